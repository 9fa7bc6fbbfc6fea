"""``leadsman tally``: records that other programs filled are read back, and what cannot be counted is told.

Filled by the PDF viewer of Chromium (PDFium), with mouse and keys as a technician fills it, and by two libraries of
different making, PyMuPDF (MuPDF) and pikepdf (qpdf); read back with pikepdf. The viewer's dialog for a file's name
cannot be answered without a screen: the viewer saves "with your changes", and the test takes the bytes. A record filled
by pencil and scanned has no fields and is refused with that reason.
"""

from __future__ import annotations

import base64
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from pikepdf import Name, String

import built
from leadsman.book.record import record_sheets
from leadsman.cli import main
from leadsman.output.record import write_record
from leadsman.press.fill import read_form
from leadsman.press.typeset import Typesetter
from output.test_epub_browser import browser_program, driver_trouble

VALUES: dict[str, str | bool] = {
    "check-history-in-service": True, "check-when-yes": True, "check-own-volts-no": True, "check-plug-no": True,
    "finding-found-contact": True, "proved-found-contact": True, "minutes": "30", "came-back": True,
    "equipment-display-model": "Tideway 9", "boat-name": "Sea Otter", "signed-owner": "J. Miller",
}  # fmt: skip


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The empty record of P3."""
    catalogue, _ = built.content()
    edition = catalogue.editions["service-record"]
    sheet = next(s for s in record_sheets(edition, catalogue) if s.name == "P3-restarts-on-transmit")
    out = tmp_path_factory.mktemp("record") / "p3.pdf"
    templates = built.ROOT / "templates"
    return write_record(sheet, catalogue, out=out, templates=templates, typesetter=Typesetter(templates)).path


def by_pymupdf(blank: Path, out: Path) -> None:
    with pymupdf.open(blank) as document:
        for page in document:
            for widget in page.widgets():
                if widget.field_name in VALUES:
                    widget.field_value = VALUES[widget.field_name]
                    widget.update()
        document.save(out)


def by_pikepdf(blank: Path, out: Path) -> None:
    with pikepdf.open(blank) as pdf:
        for field in pdf.Root.AcroForm.Fields:
            value = VALUES.get(str(field.T))
            if value is True:
                field.V = field.AS = Name("/on")
            elif value:
                field.V = String(str(value))
        pdf.save(out)


#: Where the viewer shows a page, from the corner of the window [CSS px]; no width as long as it loads.
PAGE_IN_WINDOW = """page => {
  const viewer = document.querySelector('pdf-viewer');
  viewer.viewport.goToPage(page);
  const shown = viewer.viewport.getPageScreenRect(page);
  const plugin = viewer.shadowRoot.querySelector('#plugin, embed').getBoundingClientRect();
  return [shown.x + plugin.x, shown.y + plugin.y, shown.width, shown.height];
}"""
LOADED = """() => {
  try { return document.querySelector('pdf-viewer').viewport.getPageScreenRect(0).width > 0; } catch { return false; }
}"""
SAVED = """async () => {
  const saved = await document.querySelector('pdf-viewer').pluginController_.save('EDITED');
  return btoa(Array.from(new Uint8Array(saved.dataToSave), byte => String.fromCharCode(byte)).join(''));
}"""


def by_chromium(blank: Path, out: Path) -> None:
    """With mouse and keys in the browser's own viewer."""
    from playwright.sync_api import sync_playwright

    places = {}
    with pikepdf.open(blank) as pdf:
        for number, page in enumerate(pdf.pages):
            width, height = (float(page.MediaBox[i]) for i in (2, 3))
            for field in page.get("/Annots", []):
                if field.get("/Subtype") == "/Widget":
                    left, low, right, high = (float(v) for v in field.Rect)
                    places[str(field.T)] = (
                        number,
                        (left + right) / 2 / width,
                        1 - (low + high) / 2 / height,
                    )
    with sync_playwright() as driver:
        # The viewer is an extension of the browser itself, which the driver would leave out.
        browser = driver.chromium.launch(
            executable_path=browser_program(),
            args=["--headless=new"],
            ignore_default_args=[
                "--headless",
                "--disable-extensions",
                "--disable-component-extensions-with-background-pages",
            ],
        )
        try:
            # Keys reach the first text of a window alone when no screen is there: each is filled and saved by itself.
            texts = [name for name, value in VALUES.items() if value is not True]
            boxes = [name for name in VALUES if name not in texts]
            out.write_bytes(blank.read_bytes())
            for number, text in enumerate(texts):
                wanted = {name: places[name] for name in [text, *(boxes if number == 0 else [])]}
                out.write_bytes(_filled_in_a_window(browser, out, wanted))
        finally:
            browser.close()


def _filled_in_a_window(browser: Any, form: Path, wanted: dict[str, tuple[int, float, float]]) -> bytes:
    window = browser.new_page(viewport={"width": 1000, "height": 1300})
    window.goto(f"{form.as_uri()}#zoom=100&navpanes=0")
    for _ in range(150):
        window.wait_for_timeout(200)
        found = [f for f in window.frames if f.url.startswith("chrome-extension:")]
        if found and found[0].evaluate(LOADED):
            break
    viewer = found[0]
    window.wait_for_timeout(1000)
    for name, (number, across, down) in wanted.items():
        viewer.evaluate(PAGE_IN_WINDOW, number)
        window.wait_for_timeout(400)
        x, y, width, height = viewer.evaluate(PAGE_IN_WINDOW, number)
        window.mouse.click(x + across * width, y + down * height)
        if VALUES[name] is not True:
            window.wait_for_timeout(500)
            window.keyboard.type(str(VALUES[name]), delay=30)
            window.keyboard.press("Tab")
    window.wait_for_timeout(400)
    saved = base64.b64decode(viewer.evaluate(SAVED))
    window.close()
    return saved


def in_a_browser(blank: Path, out: Path) -> None:
    """The same, or skipped where there is no browser to drive."""
    if not browser_program() or driver_trouble():
        pytest.skip("no Chromium that can be driven: the form was not filled in a browser's viewer")
    by_chromium(blank, out)


@pytest.mark.parametrize("fill", [in_a_browser, by_pymupdf, by_pikepdf])
def test_what_a_program_filled_in_is_read_back_field_by_field(
    fill: Callable[[Path, Path], None], blank: Path, tmp_path: Path
) -> None:
    fill(blank, tmp_path / "filled.pdf")
    _, fields = read_form((tmp_path / "filled.pdf").read_bytes())
    assert fields == VALUES


def tally(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[object, Any]:
    with pytest.raises(SystemExit) as end:
        main(["tally", *words, "--format", "json"])
    return end.value.code, json.loads(capsys.readouterr().out)


def test_records_of_two_programs_and_a_case_are_counted(
    blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    by_pymupdf(blank, tmp_path / "one.pdf")
    by_pikepdf(blank, tmp_path / "two.pdf")
    shutil.copy(Path(__file__).resolve().parents[1] / "cases/proved-face.yaml", tmp_path)
    code, data = tally(
        capsys, str(tmp_path), "--picture", str(tmp_path / "t.svg"), "--patch", str(tmp_path / "t.patch")
    )
    assert (code, data["cases"], data["left_out"]) == (0, 3, [])
    counts = {item["code"]: item for item in data["entries"]}
    assert (
        counts["P3"]["cases"],
        counts["P3"]["proved"],
        counts["P3"]["came_back"],
        counts["P3"]["minutes"],
    ) == (2, 2, 2, 30)
    assert counts["D15"]["proved"] == 1
    (p3,) = (item for item in data["likelihoods"] if item["entry"] == "restarts-on-transmit")
    contact = next(c for c in p3["causes"] if c["cause"] == "contact")
    assert contact["mean"] > contact["written"]
    assert "Miller" not in json.dumps(data)
    assert "Otter" not in json.dumps(data)
    assert (tmp_path / "t.svg").read_text().startswith("<?xml")


def test_what_cannot_be_counted_is_told_with_the_reason(
    blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(blank, tmp_path / "empty.pdf")
    (tmp_path / "torn.pdf").write_bytes(blank.read_bytes()[:2000])
    with pymupdf.open() as scan:
        scan.new_page()
        scan.save(tmp_path / "scan.pdf")
    shutil.copy(Path(__file__).resolve().parents[1] / "cases/weak-feed.yaml", tmp_path)
    code, data = tally(capsys, str(tmp_path))
    told = {Path(item["file"]).name.split(":")[0]: item["reason"] for item in data["left_out"]}
    assert (code, data["cases"]) == (1, 0)
    assert "no verdict" in told["empty.pdf"]
    assert "cannot be read as a PDF" in told["torn.pdf"]
    assert "no fields" in told["scan.pdf"]
    assert "no verdict" in told["weak-feed.yaml"]
