"""The preview in a real browser: what is shown before and after a saved edit, a broken one, and who may ask.

Nothing outside this machine is asked for and no other site may lead a browser here: the Host header is checked against
DNS rebinding (RFC 9110, 7.4: a request for another authority is misdirected, 421), and the page's Content Security
Policy (W3C, level 3) names no source but this server. The browser is the system's own Chromium.
"""

from __future__ import annotations

import http.client
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from output.test_epub_browser import browser_program, driver_trouble

ENTRY = "restarts-on-cranking"
#: A busy machine is slow: this only bounds a test that hangs [ms].
PATIENCE_MS = 240_000


class Served:
    """A preview of a copy of the content, and what its browser asked for."""

    def __init__(self, folder: Path, address: str, page: Any, asked: list[str]) -> None:
        self.folder, self.address, self.page, self.asked = folder, address, page, asked

    @property
    def file(self) -> Path:
        """The entry's file."""
        return self.folder / "faults" / "power" / f"{ENTRY}.yaml"

    def pictures(self, view: str = "card") -> list[str]:
        """The addresses of the painted pages of a view."""
        found: list[str] = self.page.eval_on_selector_all(
            f"#view-{view} img", "all => all.map(e => e.getAttribute('src'))"
        )
        return found

    def wait(self, script: str) -> None:
        """Wait until something holds in the page; asked from outside, since the page may evaluate no text."""
        until = time.monotonic() + PATIENCE_MS / 1000
        while not self.page.evaluate(script):
            assert time.monotonic() < until, f"never held: {script}"
            self.page.wait_for_timeout(50)


@pytest.fixture(scope="module")
def served(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Serve a copy of the content and open its page."""
    if not browser_program():
        pytest.skip("no Chromium on this machine: the preview was not looked at in a browser")
    if trouble := driver_trouble():
        pytest.skip(f"the browser cannot be driven here, the preview was not looked at: {trouble}")
    from playwright.sync_api import sync_playwright

    folder = tmp_path_factory.mktemp("preview") / "content"
    shutil.copytree(repository / "content", folder)
    environment = {**os.environ, "PYTHONPATH": str(repository / "build")}
    server = subprocess.Popen(
        [sys.executable, "-m", "leadsman", "preview", "P2", "--content", str(folder)],
        stdout=subprocess.PIPE, text=True, env=environment,
    )  # fmt: skip
    try:
        assert server.stdout is not None
        address = server.stdout.readline().strip()
        assert re.fullmatch(rf"http://127\.0\.0\.1:\d+/show/{ENTRY}", address)
        with sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=browser_program())
            page, asked = browser.new_page(viewport={"width": 1600, "height": 1000}), []
            page.on("request", lambda request: asked.append(request.url))
            page.on("pageerror", lambda error: asked.append(f"error: {error}"))
            page.on("console", lambda line: line.type == "error" and asked.append(f"error: {line.text}"))
            page.goto(address)
            yield Served(folder, address, page, asked)
            browser.close()
    finally:
        server.terminate()
        server.wait(30)
        if server.stdout is not None:
            server.stdout.close()


def shown(served: Served) -> None:
    """Wait until every view of the entry stands, and its rules are asked."""
    served.wait(
        "['card', 'ladder', 'guide', 'handbook', 'phone'].every(n => document.querySelector(`#view-${n}`))"
    )


def test_an_entry_is_shown_as_each_of_its_readers_meets_it(served: Served) -> None:
    shown(served)
    served.wait(
        "[...document.querySelectorAll('#view-card img, #view-handbook img')].every(e => e.complete && e.naturalWidth > 300)"
    )
    assert len(served.pictures("card")) in (2, 4), "front and back of one sheet or of two"
    assert len(served.pictures("handbook")) >= 2
    ladder = served.page.inner_text("#view-ladder pre")
    assert ladder.startswith("P2"), "the walk is told by code"
    phone = served.page.frame_locator("#view-phone iframe")
    assert phone.locator("h2, h3").first.inner_text(timeout=PATIENCE_MS)
    assert served.page.eval_on_selector("#view-phone iframe", "e => e.clientWidth") == 360
    served.wait("document.body.dataset.judged === 'true'")
    assert served.page.inner_text("#problems-head") == "0 problems"


def test_a_saved_edit_is_shown_and_a_broken_one_keeps_the_last_good_page(served: Served) -> None:
    shown(served)
    text = served.file.read_text(encoding="utf-8")
    before, number = served.pictures(), int(served.page.evaluate("document.body.dataset.number"))
    seen = re.search(r"^  seen: (.*)$", text, re.MULTILINE)
    assert seen
    changed = text.replace(seen[0], "  seen: The unit dies each time that somebody turns the key.")
    served.file.write_text(changed, encoding="utf-8")
    served.wait(f"Number(document.body.dataset.number) > {number}")
    served.wait("document.querySelector('#view-ladder pre').textContent.includes('somebody turns the key')")
    after = served.pictures()
    assert after[0] != before[0], "the face with the condition is another picture"
    assert len(after) == len(before)

    served.file.write_text(changed.replace("causes:", "causes: [\n", 1), encoding="utf-8")
    served.wait("document.querySelector('#view-card').classList.contains('old')")
    assert served.pictures() == after, "the last good page stays"
    assert "last good page" in served.page.inner_text("#view-card .trouble")
    link = served.page.locator("#problems li.here a").first
    line = int(re.search(r":(\d+):\d+$", link.inner_text())[1])  # type: ignore[index]
    assert line >= changed[: changed.index("causes:")].count("\n") + 1
    assert link.get_attribute("href") == f"{served.file.as_uri()}#L{line}"

    served.file.write_text(text, encoding="utf-8")
    served.wait("!document.querySelector('#view-card').classList.contains('old')")
    assert served.pictures() == before, "the text as it was gives the pages as they were"


def test_nothing_outside_this_machine_is_asked_for(served: Served) -> None:
    shown(served)
    origin = served.address.partition("/show/")[0]
    assert [asked for asked in served.asked if not asked.startswith((origin, "data:"))] == []


def _answer(served: Served, method: str, path: str, host: str = "") -> http.client.HTTPResponse:
    place = served.address.split("/")[2]
    connection = http.client.HTTPConnection(place, timeout=60)
    connection.request(method, path, headers={"Host": host or place})
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer


@pytest.mark.parametrize(
    ("method", "path", "host", "status"),
    [
        ("GET", "/", "", 302),
        ("GET", f"/show/{ENTRY}", "", 200),
        ("GET", f"/show/{ENTRY}", "elsewhere.example", 421),
        ("GET", f"/state/{ENTRY}", "127.0.0.1:1", 421),
        ("POST", f"/state/{ENTRY}", "", 405),
        ("PUT", f"/show/{ENTRY}", "", 405),
        ("GET", "/show/no-such-entry", "", 404),
        ("GET", "/page.css/../../areas.yaml", "", 404),
        ("GET", "/show/%2e%2e%2fareas.yaml", "", 404),
        ("GET", f"/picture/{'0' * 64}.png", "", 404),
    ],
)
def test_only_navigation_to_this_machine_is_answered(
    served: Served, method: str, path: str, host: str, status: int
) -> None:
    answer = _answer(served, method, path, host)
    assert answer.status == status
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert answer.headers["Server"] is None


def test_the_telephone_runs_no_script(served: Served) -> None:
    shown(served)
    source = served.page.get_attribute("#view-phone iframe", "src")
    policy = _answer(served, "GET", source).headers["Content-Security-Policy"]
    assert "sandbox" in policy
    assert "script-src" not in policy, "default-src 'none' stands for it"


def test_it_listens_on_the_loopback_alone(served: Served) -> None:
    port = int(served.address.split(":")[2].split("/")[0])
    listening = [
        line.split()[1]
        for table in ("/proc/net/tcp", "/proc/net/tcp6") if Path(table).exists()
        for line in Path(table).read_text(encoding="utf-8").splitlines()[1:]
        if line.split()[3] == "0A" and int(line.split()[1].split(":")[1], 16) == port
    ]  # fmt: skip
    assert listening == [f"0100007F:{port:04X}"] or not Path("/proc/net/tcp").exists()
