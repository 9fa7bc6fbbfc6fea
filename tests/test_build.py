"""``leadsman build`` as its user meets it: what it makes, what it refuses, and what it leaves alone.

It runs on the small content: two entries as a deck in two sizes, and as a handbook in both forms.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from string import ascii_uppercase
from typing import Any

import pymupdf
import pytest
import yaml

import small_content
from leadsman.cli import main

MADE = "deck-a6.pdf"
OTHER = "faults/power/low-volts.yaml"
ALL = {
    "deck-a6.pdf",
    "deck-100x150.pdf",
    "handbook.pdf",
    "handbook-evidence.pdf",
    "handbook.epub",
}

#: The command in one process - what several make is the same (test_record.py), and each would load everything anew -
#: with a socket that cannot be made: whatever asks the network ends with a traceback.
OFFLINE = """
import os, socket, sys
os.cpu_count = lambda: 1
def refused(*words, **named):
    raise AssertionError("the network was asked")
class NoSocket(socket.socket):
    __init__ = refused
socket.socket, socket.create_connection, socket.getaddrinfo = NoSocket, refused, refused
from leadsman.cli import main
main(sys.argv[1:])
"""


@dataclass(frozen=True)
class Ran:
    """How a command ended."""

    folder: Path
    code: int
    out: str
    err: str
    files: dict[str, str]


def whole_content(target: Path) -> Path:
    """Copy the small content with a deck in two sizes and a handbook."""
    shutil.copytree(small_content.FOLDER, target)
    deck = target / "editions" / "deck.yaml"
    record = _read(deck)
    _write(deck, {**record, "formats": ["a6", "100x150"]})
    book = {"id": "handbook", "kind": "handbook", "formats": ["pdf", "epub"], "document": "Q-BOOK"}
    common = {name: value for name, value in record.items() if name != "sets"}
    _write(target / "editions" / "handbook.yaml", {**common, **book})
    return target


def _read(path: Path) -> Any:
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def _write(path: Path, record: Any) -> None:
    path.write_text(yaml.safe_dump(record, sort_keys=False, allow_unicode=True, width=1000), encoding="utf-8")


def digests(folder: Path) -> dict[str, str]:
    """The digest of every file in a folder, hidden ones too."""
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def run(words: Sequence[str], out: Path, cwd: Path, **environment: str) -> Ran:
    """Run a command in a process of its own."""
    done = subprocess.run(
        [sys.executable, *words, "--out", str(out)],
        cwd=cwd,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    return Ran(out, done.returncode, done.stdout, done.stderr, digests(out) if out.exists() else {})


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the small content."""
    return whole_content(tmp_path_factory.mktemp("small") / "content")


@pytest.fixture(scope="module")
def first(content: Path, tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """Return a build without a network from an empty folder, the content named by option."""
    folder = tmp_path_factory.mktemp("first")
    words = ["-c", OFFLINE, "build", "--content", str(content)]
    return run(words, folder / "out", folder, TZ="Pacific/Kiritimati", PYTHONHASHSEED="1")


@pytest.fixture(scope="module")
def second(content: Path, tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """Return a build without a network, beside the content, at another clock and with another hash seed.

    Nothing of the first is kept for it: else it would hand out the first one's pages. Those were surveyed.
    """
    folder = tmp_path_factory.mktemp("second")
    words = ["-c", OFFLINE, "build", "--no-cache", "--survey", "off"]
    return run(words, folder / "out", content.parent, TZ="America/Adak", PYTHONHASHSEED="2")


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Return a way to run the command line in this process and no other."""
    monkeypatch.setattr(os, "cpu_count", lambda: 1)

    def run_here(*words: str, out: Path) -> Ran:
        with pytest.raises(SystemExit) as ended:
            main([*words, "--out", str(out)])
        printed = capsys.readouterr()
        return Ran(
            out, int(ended.value.code or 0), printed.out, printed.err, digests(out) if out.exists() else {}
        )

    return run_here


@pytest.fixture
def earlier(tmp_path: Path) -> Path:
    """Return an output folder with a file of an earlier build."""
    out = tmp_path / "out"
    out.mkdir()
    (out / MADE).write_bytes(b"the earlier edition")
    return out


def test_build_makes_the_edition_from_any_folder(first: Ran, content: Path) -> None:
    assert first.code == 0, first.err
    assert set(first.files) == ALL
    assert f"{MADE}: 2 conditions on 4 sheets, 10 faces" in first.out
    assert "2 entries" in first.out
    assert f"2 entries from {content}, 0 warnings" in first.out


def test_progress_off_a_terminal_is_one_plain_line_a_file(first: Ran) -> None:
    told = [line.split(": ") for line in first.err.splitlines() if " of 5: " in line]
    assert [number for number, _ in told] == [f"{number} of 5" for number in range(1, 6)]
    assert sorted(name for _, name in told) == sorted(f"{name} made" for name in ALL)
    assert "\r" not in first.err


def test_build_needs_no_network_and_finds_the_content_beside_it(second: Ran) -> None:
    assert second.code == 0, second.err
    assert "2 entries from content, " in second.out


def test_two_processes_make_the_same_bytes(first: Ran, second: Ran) -> None:
    """Every output: another time zone, clock and hash seed, and no network."""
    assert set(first.files) == ALL
    assert first.files == second.files


def test_content_with_a_problem_makes_nothing(
    command: Callable[..., Ran], content: Path, earlier: Path, tmp_path: Path
) -> None:
    broken = shutil.copytree(content, tmp_path / "content")
    small_content.edit(broken, OTHER, '"no": {then: found-joint', '"no": {then: no-such-check')
    before = digests(earlier)
    done = command("build", "--content", str(broken), out=earlier)
    assert done.code == 1
    assert done.files == before
    assert done.out == ""
    assert "low-volts.yaml:" in done.err
    assert "no-such-check" in done.err
    assert done.err.splitlines()[-1].startswith("nothing was made: ")
    assert "Traceback" not in done.err


def test_a_card_that_does_not_fit_leaves_the_earlier_file(
    command: Callable[..., Ran], content: Path, earlier: Path, tmp_path: Path
) -> None:
    long = shutil.copytree(content, tmp_path / "content")
    lamps = [f"If lamp {letter} is dark, look at the lamp before the unit." for letter in ascii_uppercase * 2]
    small_content.edit(long, OTHER, "condition:\n", f"condition:\n  tells_apart: {json.dumps(lamps)}\n")
    before = digests(earlier)
    done = command("build", "deck", "--content", str(long), out=earlier)
    assert done.code == 1
    assert done.files == before
    assert len(re.findall(r"card P1 \(\S+, 3 sheets\): its back is [0-9.]+ mm too tall", done.err)) == 2, (
        "each size says so"
    )
    assert "Traceback" not in done.err


def test_a_card_alone_is_that_of_the_deck(command: Callable[..., Ran], first: Ran, earlier: Path) -> None:
    """A card to try, or to put in place of a lost one: the same faces, surveyed, and no other file is touched."""
    words = ["build", "deck", "--content", str(small_content.FOLDER)]
    done = command(*words, "--card", "d1", "--card", "low-volts", out=earlier)
    assert (done.code, set(done.files)) == (0, {MADE, "deck-D1-a6.pdf", "deck-P1-a6.pdf"})
    assert (earlier / MADE).read_bytes() == b"the earlier edition"
    deck = _faces(first.folder / MADE)
    for code in ("D1", "P1"):
        alone = _faces(earlier / f"deck-{code}-a6.pdf")
        assert len(alone) > 1
        assert alone == [text for text in deck if f"-{code}, " in text]


def _faces(path: Path) -> list[str]:
    """The words of each face; their order in the file is that of painting."""
    with pymupdf.open(path) as file:
        return [" ".join(sorted(page.get_text().split())) for page in file]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--card", "Q7"], "'Q7' is no fault entry"),
        (["handbook", "--card", "D1"], "'handbook' is no deck"),
        (["deck", "--card", "D1", "--release"], "leave the names away"),
        (["--card", "D1", "--since", "HEAD"], "leave --release and --since away"),
    ],
)
def test_a_card_that_no_deck_has_is_a_wrong_call(
    command: Callable[..., Ran], content: Path, tmp_path: Path, words: list[str], told: str
) -> None:
    done = command("build", *words, "--content", str(content), out=tmp_path / "out")
    assert (done.code, done.files) == (2, {})
    assert told in done.err


def test_an_unknown_edition_is_a_wrong_call(
    command: Callable[..., Ran], content: Path, tmp_path: Path
) -> None:
    done = command("build", "dekk", "--content", str(content), out=tmp_path / "out")
    assert done.code == 2
    assert "'dekk' is no edition" in done.err
    assert "deck" in done.err.replace("dekk'", "")
    assert done.files == {}


def test_content_that_is_no_folder_is_a_wrong_call(command: Callable[..., Ran], tmp_path: Path) -> None:
    done = command("build", "--content", str(tmp_path / "nowhere"), out=tmp_path / "out")
    assert done.code == 2
    assert "is no folder" in done.err


def test_no_socket_can_be_made_in_the_offline_run(tmp_path: Path) -> None:
    """The guard of the offline run bites: otherwise that run would prove nothing."""
    script = OFFLINE.replace("from leadsman.cli import main\nmain(sys.argv[1:])", "socket.socket()")
    done = run(["-c", script], tmp_path / "out", tmp_path)
    assert done.code == 1
    assert "the network was asked" in done.err
