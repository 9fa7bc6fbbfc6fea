"""The outer wall: every command on mutated inputs says something in plain words, soon, and without eating the memory.

By a fixed seed: content folders with one file mutated, customers' lists, words of a command line, repositories. The
whole corpus is run with LEADSMAN_WHOLE=1, a part of it otherwise.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

import memory
import small_guides
from leadsman.cli import main

WHOLE = bool(os.environ.get("LEADSMAN_WHOLE"))
CONTENTS, LISTS, WORDS = (400, 400, 200) if WHOLE else (30, 30, 40)
#: What is put in the place of a word of a file.
ODD = (
    "", "null", "true", "[]", "{}", "- a", "9" * 400, "-1", "0", "1e999", "12:30", "*x", "&x", "!!python/object:os.system", "'", '"', "{{",
    "{value: nothing}", "\u202e", "\ufdd0", "\U0001f600", "e\u0301", "x" * 5000, "../../etc/passwd", "6 ft", "14 AWG", "2026-00-10", "|", ">",
    "\t", "\x00", "%", "?", "<b>", "https://example.org", "99999999999999999999", "0.0000000000000000001", "inf", "NaN",
)  # fmt: skip


def mutated(text: str, chance: random.Random) -> str:
    """A text with a few words exchanged, lines doubled, moved, taken out or cut."""
    for _ in range(chance.randrange(1, 4)):
        kind = chance.randrange(6)
        lines = text.split("\n")
        at = chance.randrange(len(lines))
        if kind == 0:
            lines[at] = lines[at] * 2
        elif kind == 1:
            del lines[at]
        elif kind == 2:
            lines.insert(at, lines[chance.randrange(len(lines))] if lines else "")
        elif kind == 3:
            return text[: chance.randrange(len(text) + 1)]
        else:
            words = list(re.finditer(r"[^\s,:\[\]{}]+", text))
            if words:
                word = chance.choice(words)
                text = text[: word.start()] + chance.choice(ODD) + text[word.end() :]
            continue
        text = "\n".join(lines)
    return text


def said_by(words: list[str]) -> tuple[int, str, float]:
    """Exit code, everything that was said, and seconds, of a command in this process."""
    out, started = io.StringIO(), time.monotonic()
    code: object = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            main(words)
        except SystemExit as ended:
            code = ended.code
    return (
        int(code or 0) if isinstance(code, int) or code is None else 99,
        out.getvalue(),
        time.monotonic() - started,
    )


def run_all(cases: list[list[str]], log: Path) -> float:
    """Run commands one after the other, a line of each in the log; the peak of memory [MB]."""
    with log.open("a", encoding="utf-8") as lines:
        for words in cases:
            code, said, seconds = said_by(words)
            lines.write(json.dumps([words, code, said[-2000:], seconds]) + "\n")
            lines.flush()
    return memory.peak_mb()


def judged(cases: list[list[str]], folder: Path) -> None:
    """Every case ends with 0, 1 or 2, within ten seconds, in visible words; all together below a gigabyte."""
    log = folder / "log"
    # A process of its own, since a copy of this one begins with all that earlier tests have left in its memory.
    ran = subprocess.run([sys.executable, __file__, str(log)], input=json.dumps(cases), capture_output=True, text=True,
                         timeout=1500, check=True)  # fmt: skip
    peak = float(ran.stdout.splitlines()[-1])
    found = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    assert len(found) == len(cases)
    inside = [(words, said) for words, code, said, _ in found if code not in (0, 1, 2) or "Traceback" in said]
    assert inside == []
    slow = [(words, seconds) for words, _, _, seconds in found if seconds > 10]
    assert slow == []
    assert peak < 1024
    codes = [sum(code == number for _, code, _, _ in found) for number in (0, 1, 2)]
    print(f"{len(found)} commands: {codes[0]} fine, {codes[1]} problems, {codes[2]} wrong use, "
          f"slowest {max(f[3] for f in found):.1f} s, peak {peak:.0f} MB")  # fmt: skip


COMMANDS = (
    ["check"], ["check", "--format", "json"], ["walk", "low-volts"], ["table", "lead-drop"], ["report", "coverage"], ["report", "language"],
    ["report", "isolation"],
)  # fmt: skip


def test_commands_on_mutated_content(tmp_path: Path) -> None:
    chance = random.Random(20261125)
    files = sorted(
        p.relative_to(small_guides.small_content.FOLDER)
        for p in small_guides.small_content.FOLDER.rglob("*.yaml")
    )
    cases = []
    for number in range(CONTENTS):
        content = small_guides.with_guide(tmp_path / f"c{number}")
        file = content / chance.choice(files)
        file.write_text(mutated(file.read_text(encoding="utf-8"), chance), encoding="utf-8")
        for words in (COMMANDS[0], chance.choice(COMMANDS[1:])):
            cases.append([*words, "--content", str(content)])
    judged(cases, tmp_path)


def test_guides_on_mutated_lists(tmp_path: Path, repository: Path) -> None:
    """Up to the planning: what is set afterwards is what the plan lets through; a list that names nobody makes nothing."""
    chance = random.Random(20261126)
    content = small_guides.with_guide(tmp_path)
    text = (repository / "tests/fleet/customers.csv").read_text(encoding="utf-8").replace("\n", ",\n")
    head = "id,like,owner,boat,lead_length,fuse,deadrise,units"
    rows = [head, 'a,nobody,"Rook, P.",Sedge,5 m,2 A,2 deg,us', "b,nobody,Pellow,Raven,16 ft,,,metric"]
    cases = []
    for number in range(LISTS):
        plain = "\n".join(rows) if number % 2 else text
        path = tmp_path / f"list{number}.{chance.choice(['csv', 'csv', 'csv', 'yaml'])}"
        path.write_text(mutated(plain, chance), encoding="utf-8")
        cases.append(
            ["guides", str(path), "--content", str(content), "--out", str(tmp_path / "g"), "--survey", "off"]
        )
    judged(cases, tmp_path)
    assert not list((tmp_path / "g").glob(".*"))


def test_words_of_the_command_line(tmp_path: Path) -> None:
    chance = random.Random(20261127)
    content = small_guides.with_guide(tmp_path)
    known = ["check", "walk", "table", "calc", "report", "changes", "build", "guides", "sheets", "survey"]
    more = [*ODD, "--format", "json", "--units", "us", "--help", "supply.voltage_drop", "current=4A", "length=9 parsecs", "conductor=16AWG",
            "low-volts", "lead-drop", "coverage", "--out", "/dev/null/x", "/dev/zero", "/etc/passwd", "--content", "HEAD~1"]  # fmt: skip
    cases = [
        [
            chance.choice(known),
            *(chance.choice(more) for _ in range(chance.randrange(5))),
            "--content",
            str(content),
        ]
        for _ in range(WORDS)
    ]
    judged(cases, tmp_path)


@pytest.mark.skipif(shutil.which("git") is None, reason="needs git")
def test_changes_on_mutated_history(tmp_path: Path) -> None:
    """The content of the earlier revision is mutated, and so are git's own files."""
    chance = random.Random(20261128)
    cases = []
    for number in range(40 if WHOLE else 8):
        book = tmp_path / f"b{number}"
        content = small_guides.with_guide(book)
        right = {p: p.read_bytes() for p in content.rglob("*.yaml")}
        for file in chance.sample(sorted(right), 3):
            file.write_text(mutated(file.read_text(encoding="utf-8"), chance), encoding="utf-8")
        named = ["-c", "user.name=W", "-c", "user.email=w@tolmerquay.example", "-c", "commit.gpgsign=false"]
        for words in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "odd"]):
            subprocess.run(["git", *named, *words], cwd=book, check=True, capture_output=True)
        for file, data in right.items():
            file.write_bytes(data)
        if number % 2:
            file = chance.choice(
                sorted(p for p in (book / ".git").rglob("*") if p.is_file() and "hooks" not in p.parts)
            )
            file.chmod(0o644)
            data = bytearray(file.read_bytes() or b"x")
            for _ in range(5):
                data[chance.randrange(len(data))] = chance.randrange(256)
            file.write_bytes(bytes(data))
        cases.append(["changes", "HEAD", "--content", str(content)])
    judged(cases, tmp_path)


if __name__ == "__main__":
    print(run_all(json.load(sys.stdin), Path(sys.argv[1])))
