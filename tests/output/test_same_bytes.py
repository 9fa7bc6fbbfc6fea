"""The same document gives the same bytes: on any day, in any zone, with or without fonts on the machine."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

RENDER = """
import sys
from pathlib import Path
from leadsman.press.typeset import render_pdf
html, style, out = map(Path, sys.argv[1:4])
render_pdf(html.read_text(), style.read_text(), out=out, title="Handbook for the bench")
"""


def run(
    code: str, *arguments: Path, check: bool = True, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run a piece of Python in a process of its own."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *map(str, arguments)],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=120,
        check=check,
    )


@pytest.fixture(scope="module")
def source(
    tmp_path_factory: pytest.TempPathFactory, sample_html: str, sample_style: str
) -> tuple[Path, Path]:
    """Return the files of the document with everything."""
    folder = tmp_path_factory.mktemp("source")
    (folder / "a.html").write_text(sample_html)
    (folder / "a.css").write_text(sample_style)
    return folder / "a.html", folder / "a.css"


def test_another_zone_day_and_order_of_hashes(
    source: tuple[Path, Path], sample_pdf: Path, tmp_path: Path
) -> None:
    """Fonts cut out of a variable file carry a date unless it is kept out: hence more than a second apart."""
    expected = hashlib.sha256(sample_pdf.read_bytes()).hexdigest()
    for number, zone in enumerate(("UTC", "Asia/Tokyo"), start=1):
        time.sleep(max(0.0, sample_pdf.stat().st_mtime + 1.1 * number - time.time()))
        out = tmp_path / f"{number}.pdf"
        run(
            RENDER,
            *source,
            out,
            TZ=zone,
            PYTHONHASHSEED=str(number),
            LC_ALL="C",
            SOURCE_DATE_EPOCH=str(number),
        )
        assert hashlib.sha256(out.read_bytes()).hexdigest() == expected, zone


def test_a_machine_without_fonts_gives_the_same_pages(
    source: tuple[Path, Path], sample_pdf: Path, tmp_path: Path
) -> None:
    """A fontconfig of the machine that shows nothing, no home, no cache: nothing of it is looked at."""
    empty = tmp_path / "fonts.conf"
    empty.write_text(
        '<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd"><fontconfig/>'
    )
    nothing = str(tmp_path / "nothing")
    out = tmp_path / "a.pdf"
    run(
        RENDER,
        *source,
        out,
        FONTCONFIG_FILE=str(empty),
        HOME=nothing,
        XDG_CACHE_HOME=nothing,
        XDG_DATA_HOME=nothing,
    )
    assert out.read_bytes() == sample_pdf.read_bytes()


VISIBLE = """
from leadsman.press.engine import load_engine
load_engine()
from weasyprint.text.ffi import ffi, fontconfig
configuration = fontconfig.FcInitLoadConfigAndFonts()
found = fontconfig.FcConfigGetFonts(configuration, fontconfig.FcSetSystem)
print(found.nfont)
"""


def test_the_engine_sees_one_font_of_the_package(tmp_path: Path) -> None:
    """Whatever is installed here, fontconfig counts only the safety net."""
    assert run(VISIBLE).stdout.strip() == "1"


LEFTOVERS = """
import os, sys
from leadsman.press import fonts
folder = fonts.private_fontconfig().parent
child = os.fork()
if child == 0:
    sys.exit(0)
os.waitpid(child, 0)
assert (folder / "fonts.conf").is_file(), "a forked worker took the fonts away"
print(folder)
"""


@pytest.mark.skipif(os.name != "posix", reason="needs fork")
def test_the_private_folder_goes_with_its_process() -> None:
    folder = Path(run(LEFTOVERS).stdout.strip())
    assert not folder.exists()


LAZY = """
import sys
import leadsman.press.typeset, leadsman.press.measure, leadsman.press.fetcher
print("weasyprint" in sys.modules)
"""


def test_the_engine_is_loaded_late() -> None:
    assert run(LAZY).stdout.strip() == "False"


def test_an_engine_loaded_before_makes_no_difference(
    source: tuple[Path, Path], sample_pdf: Path, tmp_path: Path
) -> None:
    out = tmp_path / "a.pdf"
    run("import weasyprint\n" + RENDER, *source, out)
    assert out.read_bytes() == sample_pdf.read_bytes()


KILLED = """
import os, signal
os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
def test_a_process_killed_while_writing_leaves_the_older_file(tmp_path: Path) -> None:
    (tmp_path / "a.html").write_text("<h1>A</h1>")
    (tmp_path / "a.css").write_text("")
    out = tmp_path / "out" / "a.pdf"
    out.parent.mkdir()
    out.write_bytes(b"the earlier edition")
    done = run(KILLED + RENDER, tmp_path / "a.html", tmp_path / "a.css", out, check=False)
    assert done.returncode == -signal.SIGKILL
    assert out.read_bytes() == b"the earlier edition"


def test_a_document_is_the_same_after_others(
    source: tuple[Path, Path], sample_pdf: Path, tmp_path: Path
) -> None:
    """A reused engine remembers nothing of the documents before."""
    from leadsman.press.typeset import Typesetter, render_pdf

    setter = Typesetter()
    render_pdf(
        '<h1 style="font-weight: 300">Another <i>one</i> αβγ</h1><form><input name="x" title="X"></form>',
        "@page { size: A5 }",
        out=tmp_path / "other.pdf",
        title="Another document",
        typesetter=setter,
    )
    render_pdf(
        source[0].read_text(),
        source[1].read_text(),
        out=tmp_path / "a.pdf",
        title="Handbook for the bench",
        typesetter=setter,
    )
    assert (tmp_path / "a.pdf").read_bytes() == sample_pdf.read_bytes()
