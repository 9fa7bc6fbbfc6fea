"""Fixtures and settings that every test shares."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from leadsman.press.typeset import Typesetter

# Where the environment forbids it, each of the hundred processes of a run would compile the program anew: a quarter of
# the time of the tests that start commands.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

HERE = Path(__file__).resolve().parent

# Ten thousand collected tests and all their modules are looked through by each great collection: an eighth of the run.
# It comes seldomer, and not at all to what stands when the tests begin.
gc.set_threshold(20_000, 10, 10)


#: The files that take longest, longest first: with two workers none of them shall be left for the end.
DEAR = (
    "test_ends.py", "output/test_handbook.py", "output/test_deck.py", "test_build.py", "output/test_guide.py", "test_fleet.py",
    "inspection/test_limits.py", "output/test_telephone.py", "test_store.py", "preview/test_preview_browser.py", "test_odd_words.py",
    "output/test_epub_browser.py", "test_readme.py", "inspection/test_rules.py", "content/test_rules.py", "press/test_frame.py",
    "output/test_record.py", "demo/test_each_value.py", "output/test_sheets.py", "output/test_same_bytes.py", "press/test_epub.py",
    "history/test_hostile.py", "inspection/test_strangers.py", "test_released.py",
)  # fmt: skip


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files that take longest first; all others keep their order."""
    ranks = {HERE / name: rank for rank, name in enumerate(DEAR)}
    items.sort(key=lambda item: ranks.get(item.path, len(DEAR)))


def pytest_collection_finish() -> None:
    """Take what was collected out of the collector's sight."""
    gc.collect()
    gc.freeze()


# A shared machine makes single examples slow by chance, so that no time limit applies to one; the
# examples are the same each time in CI, where a failure must be one that the change has caused.
settings.register_profile("leadsman", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("leadsman")


@pytest.fixture(scope="session")
def run_folder(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Return the folder for what is made once a run, for all its workers."""
    base = tmp_path_factory.getbasetemp()
    return base if worker_id == "master" else base.parent


@pytest.fixture(scope="session", autouse=True)
def own_cache(run_folder: Path) -> None:
    """Let every command of the run keep what it makes in a folder of the run, never in the user's own."""
    os.environ["XDG_CACHE_HOME"] = str(run_folder / "cache")


@pytest.fixture(scope="session")
def repository() -> Path:
    """Return the root folder of the checkout."""
    return Path(__file__).resolve().parent.parent


STYLE = """
@page { size: 105mm 148mm; margin: 15mm 12mm;
  @top-left { content: string(chapter); font-size: 8pt }
  @bottom-center { content: "Revision 3 · page " counter(page) " of " counter(pages); font-size: 8pt } }
body { font-size: 11pt; line-height: 1.3 }
h1 { string-set: chapter content(); break-before: page }
ul, ol { padding-left: 4mm }
.contents { list-style: none; padding: 0 }
.contents li { display: flex }
.dots { flex: 1; border-bottom: 0.6pt dotted }
table { border-collapse: collapse }
.whole { break-inside: avoid }
th, td { border: 0.5pt solid; padding: 1mm 2mm; text-align: left }
input { appearance: auto; width: 50mm; height: 6mm; border: 0.5pt solid }
"""

PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80" height="40" viewBox="0 0 80 40">'
    "<title>A vee hull seen from astern</title>"
    '<path d="M5 5L40 35L75 5" fill="none" stroke="#000"/>'
    '<text x="5" y="38" font-family="Leadsman Text" font-size="8">keel</text></svg>'
)


def chapter(number: int, following: int) -> str:
    """One chapter with a link, a page reference, lists, a table, a picture and running text."""
    return f"""
<section><h1 id="chapter-{number}">Chapter {number}: the depth is blank</h1>
<p>Look at <a href="#chapter-{following}">the <b>next</b> chapter</a> on page
<span data-page-of="#chapter-{following}"></span>, or write to
<a href="https://example.org/{number}">the office</a>.</p>
<h2>Checks of chapter {number}</h2>
<ol><li>Switch the unit on.</li><li>Hear the tick.<ul><li>Close to the face.</li></ul></li></ol>
<ul><li>A lamp of 21 W</li><li>A meter</li></ul>
<div class="whole"><table><caption>Voltage at the plug, chapter {number}</caption>
<thead><tr><th>Where</th><th>Least</th><th>Usual</th><th>Most</th></tr></thead>
<tbody><tr><th scope="row">Plug</th><td>11.5 V</td><td>12.4 V</td><td>14.4 V</td></tr>
<tr><th scope="row">Battery</th><td>12.0 V</td><td>12.6 V</td><td>14.4 V</td></tr>
<tr><th scope="row">Fuse</th><td>11.9 V</td><td>12.5 V</td><td>14.4 V</td></tr></tbody></table></div>
<figure>{PICTURE}<figcaption>Where the keel lies</figcaption></figure>
<p>{"The water itself sets a limit to what comes back from the bottom. " * 12}</p></section>"""


def sample(chapters: int = 4) -> str:
    """Contents with page numbers, then the chapters, then a form."""
    lines = "".join(
        f'<li><span><a href="#chapter-{i}">Chapter {i}</a></span><span class="dots"></span>'
        f'<span data-page-of="#chapter-{i}"></span></li>'
        for i in range(chapters)
    )
    body = "".join(chapter(i, (i + 1) % chapters) for i in range(chapters))
    form = (
        '<h1 id="record">Service record</h1><form><p><label for="serial">Serial number</label> '
        '<input id="serial" name="serial" type="text"></p><p><label for="proved">Depth proved</label> '
        '<input id="proved" name="proved" type="checkbox" style="width: 5mm; height: 5mm"></p></form>'
    )
    return f'<h1>Handbook</h1><nav><ol class="contents">{lines}</ol></nav>{body}{form}'


@pytest.fixture(scope="session")
def typesetter() -> Typesetter:
    """Return one engine without assets for the whole run, as a build would use it."""
    from leadsman.press.typeset import Typesetter  # half a second that a test of a formula does not need

    return Typesetter()


@pytest.fixture
def loaded_by() -> Callable[[str], set[str]]:
    """Return a function that runs a script in a process of its own and tells which modules that loaded."""

    def run(script: str) -> set[str]:
        told = "import sys\nprint(*sorted(sys.modules), file=sys.stderr)"
        code = f"import atexit\natexit.register(lambda: exec({told!r}))\n{script}"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return set(done.stderr.split())

    return run


@pytest.fixture(scope="session")
def sample_html() -> str:
    """Return the document with everything."""
    return sample()


@pytest.fixture(scope="session")
def sample_style() -> str:
    """Return its style."""
    return STYLE


@pytest.fixture(scope="session")
def sample_pdf(
    typesetter: Typesetter, sample_html: str, sample_style: str, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """Return the finished file of the document with everything."""
    from leadsman.press.typeset import render_pdf

    out = tmp_path_factory.mktemp("sample") / "handbook.pdf"
    render_pdf(sample_html, sample_style, out=out, title="Handbook for the bench", typesetter=typesetter)
    return out


@pytest.fixture(scope="session")
def built_folder(run_folder: Path) -> Path:
    """Return the folder for the finished files of the real content."""
    folder = run_folder / "built"
    folder.mkdir(exist_ok=True)
    return folder
