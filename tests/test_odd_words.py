"""What nobody should type, and what nobody should find in a folder: each command answers in one plain line."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest

import small_content
import small_guides
from bench.kills import CASE
from leadsman.cli import main

LONG = "x" * 300


@pytest.fixture
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The working folder: the small content, and files of the kinds that nobody should name."""
    small_guides.with_guide(tmp_path)
    (tmp_path / "empty").mkdir()
    (tmp_path / "zero.pdf").touch()
    (tmp_path / "bytes.txt").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "loop").symlink_to("loop")
    os.mkfifo(tmp_path / "pipe")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def said(work: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[object, str]]:
    """Run a command in the folder: exit code, and all that it says."""

    def run(*words: str) -> tuple[object, str]:
        with pytest.raises(SystemExit) as ended:
            main(words)
        out, err = capsys.readouterr()
        return ended.value.code, out + err

    return run


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["check", "--content", LONG], 2, f"{LONG} is no folder; name the content with --content DIR"),
        (["walk", "P1", "--content", "loop"], 2, "loop is no folder; name the content with --content DIR"),
        (["check", LONG], 2, "... is no file"),
        (["check", "--cache", ""], 2, "--cache names no folder"),
        (["walk", "P1", "--all", "--limit", "9" * 23], 2, "is no whole number from 0 to 1000000000"),
        (["tally", LONG], 2, f"{LONG} is no folder"),
        (["tally", "empty", "--patch", "pipe"], 1, "cannot write pipe: what is there is no file"),
        (["survey", "zero.pdf", "--texts", "loop"], 2, "the texts cannot be read: loop is a link that leads nowhere"),
        (["survey", "zero.pdf", "--texts", "bytes.txt"], 2, "the texts cannot be read: bytes.txt is not UTF-8 text"),
        (["survey", "zero.pdf"], 1, "leadsman: zero.pdf cannot be read as a PDF (PdfError)"),
        (["survey", "loop"], 1, "leadsman: loop is a link that leads nowhere"),
        (["survey", "nowhere.pdf"], 1, "leadsman: there is no file nowhere.pdf"),
        (["sheets", "zero.pdf"], 1, "leadsman: zero.pdf cannot be read as a PDF (PdfError)"),
        (["sheets", "loop"], 1, "leadsman: loop is a link that leads nowhere"),
        (["preview", "--open-by", "{path.x}"], 2, "--open-by takes an address with {path}, {line} and {column} and no other"),
        (["preview", "--open-by", "{line:99999999999999}"], 2, "and no other braces"),
        (["preview", "--open-by", "{"], 2, "and no other braces"),
        (["preview", "--port", "65536"], 2, "'65536' is no whole number from 0 to 65535"),
        (["new", "check", "a-b", "--title", "odd \udcff"], 2, "the title holds half a sign, U+DCFF"),
        (["new", "boat", "a-b", "--like", "punt", "--title", "odd \u202e"], 2, "the title holds the hidden sign U+202E"),
        (["new", "check", "a-b", "--title", "one\ntwo"], 2, "the title runs over more than one line"),
        (["new", "check", "a-b", "--title", "a \U0001f600"], 2, "which the fonts lack"),
        (["new", "fault", "../a", "--area", "power"], 2, "'../a' is no id"),
        (["schema", "--out", "zero.pdf"], 1, "cannot write zero.pdf/faults.json"),
        (["case", "pipe"], 1, "pipe:1:1: is a pipe, no regular file"),
    ],
)  # fmt: skip
def test_odd_words_are_told_in_a_line(
    said: Callable[..., tuple[object, str]], words: list[str], code: int, told: str
) -> None:
    ended, text = said(*words)
    assert (ended, text.count("\n")) == (code, 1), text
    assert told in text


def test_a_name_of_a_file_that_speaks_to_the_terminal_is_written_out(
    said: Callable[..., tuple[object, str]], work: Path
) -> None:
    name, shown = "odd \x1b[31m\n\u202e.pdf", "odd <U+001B>[31m<U+000A><U+202E>.pdf"
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(work / name)
    (work / f"zero {name}").touch()
    for words in (
        ["survey", name],
        ["survey", f"zero {name}"],
        ["sheets", f"zero {name}"],
        ["case", name],
        ["walk", name],
    ):
        _, text = said(*words)
        assert shown.replace("<U+000A>", "") in text.replace("<U+000A>", "").replace("\n", "")
        assert text.replace("\n", "").isprintable()


def test_an_earlier_drill_of_an_odd_form_or_name_is_told(
    said: Callable[..., tuple[object, str]], work: Path
) -> None:
    words = ("drill", "no-depth", "--boats", "5", "--workers", "1")
    code, text = said(*words, "--format", "json")
    assert code == 0
    (work / "earlier.json").write_text(json.dumps({**json.loads(text), "entries": {}}), encoding="utf-8")
    assert said(*words, "--against", "earlier.json") == (
        2, "leadsman: earlier.json is no JSON of an earlier drill; write one with --format json\n",
    )  # fmt: skip
    code, text = said(*words, "--against", LONG)
    assert (code, "inside leadsman" in text, text.count("\n")) == (2, False, 1)


def test_a_content_that_lacks_what_the_program_counts_on_is_told(
    said: Callable[..., tuple[object, str]], work: Path
) -> None:
    """The fuse of a boat is chosen by an assumption that the small content does without."""
    text = CASE.format(number=1, minutes=12)
    (work / "case.yaml").write_text(text, encoding="utf-8")
    assert said("case", "case.yaml") == (
        1,
        "leadsman: the content lacks 'working-drop' among its assumptions; add it\n",
    )
    small_content.edit(
        work,
        "content/assumptions.yaml",
        "copper-temperature:",
        "working-drop: {name: Drop, value: 5 %, reason: It is common., source: common-practice}\ncopper-temperature:",
    )
    code, text = said("case", "case.yaml")
    assert code == 0, text


# --- what whoever starts the command may do to it -------------------------------------------------


def shell(work: Path, line: str, **more: str) -> tuple[int, str]:
    """Exit code, and what is said on the error stream, of a line of the shell."""
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "LEADSMAN": f"{sys.executable} -m leadsman",
        **more,
    }
    done = subprocess.run(
        ["bash", "-c", line], cwd=work, env=environment, capture_output=True, timeout=120, check=False
    )
    return done.returncode, done.stderr.decode("utf-8", "replace")


@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", "<&- >&- 2>&-"])
def test_streams_that_are_closed_from_the_start_are_done_without(work: Path, closed: str) -> None:
    # As text and as CSV, which is written by another library.
    words = "table lead-drop --format csv" if closed == ">&-" else "walk P1"
    assert shell(work, f"$LEADSMAN {words} {closed}") == (0, "")
    code, said = shell(work, f"$LEADSMAN walk nothing {closed}")
    assert (code, said.count("\n")) == (2, 0 if "2>&-" in closed else 1)


def test_files_are_whole_when_all_streams_are_closed(
    said: Callable[..., tuple[object, str]], work: Path
) -> None:
    """A file that got the number of the error stream would hold the words of the libraries."""
    words = ("build", "deck", "--card", "P1", "--survey", "off", "--no-cache", "--out")
    assert said(*words, "open")[0] == 0
    assert shell(work, f"$LEADSMAN {' '.join(words)} shut <&- >&- 2>&-") == (0, "")
    assert (work / "open/deck-P1-a6.pdf").read_bytes() == (work / "shut/deck-P1-a6.pdf").read_bytes()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", ["check --no-cache", "list --format json", "calc"])
def test_an_output_without_room_is_told(work: Path, words: str) -> None:
    code, said = shell(work, f"$LEADSMAN {words} > /dev/full")
    assert (code, said.count("\n")) == (1, 1)
    assert said.startswith("leadsman: there was no room for what was to be written (No space left on device)")
