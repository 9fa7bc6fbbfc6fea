"""The EPUB of the handbook and of a small owner's guide on a phone: in a real browser, 360 px wide, light and
dark, at twice the text size.

Held against WCAG 2.2 (W3C, 2023): 1.4.3 contrast, 1.4.4 text at 200 %, 1.4.10 no scrolling in two directions
(a data table may, in its own box), 2.5.8 size of targets; by axe-core where it has a rule. The browser is the
system's own Chromium; where there is none these tests are skipped. A browser is no reading program and no screen
reader: what those add or lack is not seen here.
"""

from __future__ import annotations

import fcntl
import json
import shutil
import subprocess
import zipfile
from functools import cache
from pathlib import Path
from typing import Any

import pymupdf
import pytest
from lxml import etree

import built
import small_guides
from leadsman.output.guide import set_epub

NAMES = ("chromium", "chromium-browser")
#: A common phone held upright [CSS px].
PHONE = {"width": 360, "height": 740}
SCHEMES = ("light", "dark")
#: Rules that axe leaves out unless asked: WCAG 2.2's new one.
AXE_OPTIONS = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
#: The only rules whose outcome the colour scheme can change.
AXE_COLOURS = {"resultTypes": ["violations"], "runOnly": ["color-contrast", "link-in-text-block"]}
#: Of a table with many rows these are kept for axe: it looks at each cell, and the rows are alike.
ROWS_FOR_AXE = 6

MEASURE = """() => {
  const page = document.scrollingElement, wide = document.documentElement.clientWidth;
  const outside = [...document.body.querySelectorAll('*')].filter(e => {
    const box = e.getBoundingClientRect();
    return box.width && !e.closest('.scroll, svg') && (box.right > wide + 1 || box.left < -1);
  });
  const size = e => parseFloat(getComputedStyle(e).fontSize);
  const touch = document.querySelectorAll('.answers a, .find a, nav[role=doc-toc] a');
  return {
    page: [page.scrollWidth, wide],
    outside: outside.slice(0, 3).map(e => e.outerHTML.slice(0, 90)),
    text: Math.min(...[...document.querySelectorAll('p, li, th, td, caption')].map(size), 99),
    step: document.querySelector('[id*="-step-"]')?.getBoundingClientRect().top ?? null,
    touch: [...touch].map(e => e.getBoundingClientRect().height).reduce((a, b) => Math.min(a, b), 99),
    boxes: [...document.querySelectorAll('table')].map(t => {
      const box = t.closest('.scroll'), display = e => getComputedStyle(e).display;
      const stacked = t.classList.contains('stacked'), shown = (e, as) => display(e) === (stacked ? 'block' : as);
      return {reached: box.tabIndex === 0, shown: shown(t, 'table') && shown(t.caption, 'table-caption'), stacked,
              heads: [...t.querySelectorAll(stacked ? 'tbody th' : 'th')].every(e => e.textContent.trim() && shown(e, 'table-cell'))
                  && (!stacked || [...t.querySelectorAll('tbody td')].every(e => e.querySelector('.head')?.textContent.trim())),
              narrow: box.scrollWidth <= box.clientWidth, moves: ['auto', 'scroll'].includes(getComputedStyle(box).overflowX)};
    }),
  };
}"""


@cache
def browser_program() -> str:
    """The system's Chromium, if it starts."""
    for program in filter(None, map(shutil.which, NAMES)):
        tried = subprocess.run([program, "--version"], capture_output=True, timeout=60, check=False)
        if tried.returncode == 0:
            return program
    return ""


@cache
def driver_trouble() -> str:
    """What keeps the browser's driver from starting here; nothing, if it starts."""
    from playwright._impl._driver import compute_driver_executable

    node = compute_driver_executable()[0]
    tried = subprocess.run([node, "--version"], capture_output=True, text=True, timeout=60, check=False)
    return "" if tried.returncode == 0 else tried.stderr.strip()[-200:]


@pytest.fixture(scope="module")
def seen(built_folder: Path) -> dict[str, Any]:
    """Return what one browser saw, looked at once a run: by the worker that asks first."""
    if not browser_program():
        pytest.skip("no Chromium on this machine: the book was not looked at in a browser")
    if trouble := driver_trouble():
        pytest.skip(f"the browser cannot be driven here, the book was not looked at: {trouble}")
    record = built_folder / "handbook.browser.json"
    with (built_folder / "handbook.browser.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not record.exists():
            folder = built_folder / "handbook.browser"
            with zipfile.ZipFile(built.make(built_folder, built.HANDBOOK, "epub")) as book:
                book.extractall(folder)
            record.write_text(json.dumps(_look(folder / "EPUB", _guide(built_folder))), encoding="utf-8")
    return dict(json.loads(record.read_text(encoding="utf-8")))


def _guide(folder: Path) -> Path:
    """An owner's guide of the small content, unpacked."""
    values, made = small_guides.guide(), folder / "guide.browser.epub"
    set_epub(small_guides.source(), values.id, values.values, made)
    with zipfile.ZipFile(made) as book:
        book.extractall(made.with_suffix(""))
    return made.with_suffix("") / "EPUB"


def chosen(folder: Path) -> list[Path]:
    """A few documents, small ones first, that between them hold every kind of block of the book."""
    kinds = {}
    for path in sorted(folder.glob("*.xhtml"), key=lambda path: path.stat().st_size):
        body = etree.parse(path).getroot().find("{*}body")
        kinds[path] = {
            (etree.QName(e).localname, e.get("class"), e.get("role"))
            for e in body.iter("{http://www.w3.org/1999/xhtml}*")
        } | ({("svg", None, None)} if body.find(".//{http://www.w3.org/2000/svg}svg") is not None else set())
    wanted, taken = set().union(*kinds.values()), []
    for path, held in kinds.items():
        others = set().union(*(more for other, more in kinds.items() if other != path))
        if held - others:
            taken.append(path)
            wanted -= held
    while wanted:
        best = max(kinds, key=lambda path: len(kinds[path] & wanted) / path.stat().st_size)
        taken.append(best)
        wanted -= kinds[best]
    return taken


def _look(folder: Path, guide: Path) -> dict[str, Any]:
    from playwright.sync_api import sync_playwright

    found: dict[str, Any] = {"measured": {}, "axe": {}, "ground": {}, "asked": []}
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_program())
        try:
            for scheme in SCHEMES:
                context = browser.new_context(
                    viewport=PHONE, color_scheme=scheme, has_touch=True, offline=True
                )
                page = context.new_page()
                page.on("request", lambda request: found["asked"].append(request.url))
                if scheme == "light":
                    _measure(page, folder, found)
                    _measure(page, guide, found)
                    found["touched"] = _touched(page, folder)
                _judge(page, folder, scheme, found)
                _judge(page, guide, scheme, found)
                context.close()
        finally:
            browser.close()
    ours = (folder.as_uri(), guide.as_uri())
    found["asked"] = sorted({url for url in found["asked"] if not url.startswith(ours)})
    return found


def _measure(page: Any, folder: Path, found: dict[str, Any]) -> None:
    """Each document at the usual text size and at twice that, as a reading program sets it: at the root."""
    for path in sorted(folder.glob("*.xhtml")):
        page.goto(path.as_uri())
        for percent in (100, 200):
            page.evaluate(f"document.documentElement.style.fontSize = '{percent}%'")
            found["measured"][f"{path.parent.parent.name} {path.stem} {percent} %"] = page.evaluate(MEASURE)


def _judge(page: Any, folder: Path, scheme: str, found: dict[str, Any]) -> None:
    from axe_playwright_python.sync_playwright import Axe

    for path in chosen(folder):
        page.goto(path.as_uri())
        if scheme not in found["ground"]:
            picture = pymupdf.Pixmap(page.screenshot())
            text = page.evaluate("getComputedStyle(document.querySelector('h1')).color")
            found["ground"][scheme] = [picture.pixel(1, 1)[:3], text]
        page.evaluate(
            f"document.querySelectorAll('tbody tr:nth-child(n+{ROWS_FOR_AXE + 1})').forEach(row => row.remove())"
        )
        # axe takes a page without a ground of its own for white; the browser paints this colour.
        page.add_style_tag(content="html { background: Canvas }")
        options = AXE_OPTIONS if scheme == "light" else AXE_COLOURS
        found["axe"][f"{path.parent.parent.name} {path.stem} {scheme}"] = [
            f"{rule['id']}: {node['html'][:120]} {[said['message'] for said in node['any'] + node['all']]}"
            for rule in Axe().run(page, options=options).response["violations"]
            for node in rule["nodes"]
        ]


def _touched(page: Any, folder: Path) -> list[list[Any]]:
    """Touch a link of the contents, of a list of signs and of an answer; tell where each led."""
    condition = next(path.stem for path in sorted(folder.glob("condition-*.xhtml")))
    led = []
    for name, link in (
        ("nav", f"nav a[href^='{condition}.xhtml']"),
        ("find", ".find a"),
        (condition, ".answers a[href^='#']"),
    ):
        page.goto((folder / f"{name}.xhtml").as_uri())
        place = page.locator(link).first
        target = str(place.get_attribute("href"))
        place.tap()
        page.wait_for_url(f"**/{target if not target.startswith('#') else name + '.xhtml' + target}")
        top = page.evaluate(
            "(location.hash ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : document.body)"
            ".getBoundingClientRect().top"
        )
        led.append([name, target, page.url.rpartition("/")[2], top])
    return led


@pytest.mark.parametrize("percent", [100, 200])
def test_no_document_scrolls_sideways(seen: dict[str, Any], percent: int) -> None:
    """WCAG 2.2, 1.4.10 (the page 360 px wide) and 1.4.4 (text at 200 %)."""
    measured = {name: m for name, m in seen["measured"].items() if name.endswith(f" {percent} %")}
    assert len(measured) > 10
    wrong = {n: m["outside"] for n, m in measured.items() if m["page"][0] > m["page"][1] or m["outside"]}
    assert wrong == {}


def test_the_first_step_of_every_condition_stands_on_the_first_screen(seen: dict[str, Any]) -> None:
    """Whoever stands on a pontoon reads what to do without moving the page: two lines of it at least."""
    tops = {
        name: measured["step"] for name, measured in seen["measured"].items()
        if " condition-" in name and name.endswith(" 100 %")
    }  # fmt: skip
    assert len(tops) > 5
    assert {name: top for name, top in tops.items() if top is None or top > PHONE["height"] - 60} == {}


def test_text_and_tables_have_the_size_that_the_reader_chose(seen: dict[str, Any]) -> None:
    """The browser's default of 16 px, and twice that; nothing is set smaller."""
    for name, measured in seen["measured"].items():
        assert measured["text"] >= (32 if name.endswith("200 %") else 16), name


def test_tables_stay_tables_or_stand_row_below_row_in_a_box_that_the_keyboard_reaches(
    seen: dict[str, Any],
) -> None:
    """On a telephone a wide table is stacked: then every cell says its column, and nothing scrolls sideways."""
    boxes = [(name, box) for name, measured in seen["measured"].items() for box in measured["boxes"]]
    assert len(boxes) > 20
    for name, box in boxes:
        assert box["reached"], name
        assert box["shown"], name
        assert box["heads"], name
        assert box["narrow"] or (box["moves"] and not box["stacked"]), name
    assert any(box["stacked"] for _, box in boxes)
    at_usual_size = [box for name, box in boxes if name.endswith("100 %")]
    assert sum(box["narrow"] for box in at_usual_size) > 0.6 * len(at_usual_size)


def test_links_have_room_for_a_finger_and_lead_to_their_place(seen: dict[str, Any]) -> None:
    """WCAG 2.2, 2.5.5: 44 px, for the links that are followed one after the other; 2.5.8 is left to axe."""
    for name, measured in seen["measured"].items():
        assert measured["touch"] >= 44, name
    assert len(seen["touched"]) == 3
    for name, target, reached, top in seen["touched"]:
        assert reached == (target if not target.startswith("#") else f"{name}.xhtml{target}")
        assert -1 <= top <= PHONE["height"]


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_no_violation(seen: dict[str, Any], scheme: str) -> None:
    """All rules of axe-core in the light scheme; in the dark one those on colour."""
    found = {name: said for name, said in seen["axe"].items() if name.endswith(scheme)}
    assert len(found) >= 4
    assert {name: said for name, said in found.items() if said} == {}


@pytest.mark.parametrize("scheme", SCHEMES)
def test_ground_follows_the_scheme_with_contrast(seen: dict[str, Any], scheme: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1, of the painted ground and the colour of the text."""
    ground, text = seen["ground"][scheme]
    letters = tuple(int(part) / 255 for part in text.removeprefix("rgb(").removesuffix(")").split(","))
    painted = tuple(part / 255 for part in ground)
    assert built.contrast(painted, letters) >= 4.5
    assert (sum(painted) > sum(letters)) == (scheme == "light")


def test_book_asks_for_nothing_outside_itself(seen: dict[str, Any]) -> None:
    assert seen["asked"] == []
