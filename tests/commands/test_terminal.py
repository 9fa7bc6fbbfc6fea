"""What the commands print: on a terminal within its width and in colour, into a pipe plain and whole; and completion."""

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

import small_content
from leadsman.cli import COMMANDS, build_parser
from leadsman.commands import options


def _terminal_trouble() -> str:
    """What keeps this machine from opening a pseudo-terminal; nothing, if it does."""
    try:
        ends = pty.openpty()
    except OSError as error:
        return str(error)
    for end in ends:
        os.close(end)
    return ""


needs_terminal = pytest.mark.skipif(
    bool(_terminal_trouble()),
    reason=f"no pseudo-terminal can be opened here, what a terminal gets was not looked at: {_terminal_trouble()}",
)
ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
REPORT = ["report", "coverage", "--content", str(small_content.FOLDER)]


def on_a_terminal(words: list[str], columns: int, **environment: str) -> str:
    """What a terminal of that width receives."""
    reader, writer = pty.openpty()
    fcntl.ioctl(writer, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    plain = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "LINES")}
    with subprocess.Popen(
        [sys.executable, "-m", "leadsman", *words],
        stdin=writer,
        stdout=writer,
        stderr=subprocess.DEVNULL,
        env={**plain, "TERM": "xterm-256color", **environment},
    ) as process:
        os.close(writer)
        received = bytearray()
        while True:
            try:
                part = os.read(reader, 65536)
            except OSError:  # the other end is closed: all is read
                break
            if not part:
                break
            received += part
        process.wait()
    os.close(reader)
    return received.decode().replace("\r\n", "\n")


@cache
def piped(*words: str) -> str:
    """What a pipe receives."""
    done = subprocess.run(
        [sys.executable, "-m", "leadsman", *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return done.stdout


@needs_terminal
@pytest.mark.parametrize("columns", [40, 120])
def test_a_terminal_gets_no_line_beyond_its_edge(columns: int) -> None:
    """Every cell is there, folded or one below another, and none runs over."""
    shown = ESCAPE.sub("", on_a_terminal(REPORT, columns))

    assert max(map(len, shown.splitlines())) <= columns
    assert Counter(re.sub(r"\s", "", piped(*REPORT))) <= Counter(re.sub(r"\s", "", shown))


def test_a_pipe_gets_whole_lines_without_colour() -> None:
    """One line for each row, however long, for whatever reads it."""
    text = piped(*REPORT)

    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) > 110


@needs_terminal
def test_colour_stands_on_a_terminal_unless_it_is_unwanted(tmp_path: Path) -> None:
    """https://no-color.org: any value of NO_COLOR but an empty one takes the colour away."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "areas.yaml", "letter: P", "letter: p")
    words = ["check", "--content", str(folder)]

    assert "\x1b[31m" in on_a_terminal(words, 100)
    assert "\x1b[31m" not in on_a_terminal(words, 100, NO_COLOR="1")
    assert "\x1b" not in on_a_terminal(words, 100, TERM="dumb")
    assert "\x1b" not in piped(*words)


@needs_terminal
def test_a_table_wraps_no_number_from_its_unit() -> None:
    """A short cell stays on one line, so that a volt never stands apart from its number."""
    shown = on_a_terminal(["table", "lead-drop", "--content", str(small_content.FOLDER)], 40, NO_COLOR="1")

    assert re.search(r"^3\sm +0\.09\sV +0\.17\sV$", ESCAPE.sub("", shown), re.M)


# --- the same options everywhere ---------------------------------------------------------------


def test_options_of_one_name_mean_the_same_in_every_command() -> None:
    """``--format``, ``--units`` and ``--content`` take the same words in every command that has them."""
    parser = build_parser()
    commands = next(a for a in parser._actions if a.dest == "command").choices
    assert commands is not None
    known = {"format": set(options.FORMATS), "units": set(options.UNITS)}
    for name in COMMANDS:
        actions = {action.dest: action for action in commands[name]._actions}  # type: ignore[index]
        for dest, words in known.items():
            if dest in actions:
                assert set(actions[dest].choices or ()) <= words, (name, dest)
        if "content" in actions:
            assert actions["content"].help == "the content (default: ./content, else the demo content)"
        assert not {"json", "us"} & set(actions), name


# --- completion --------------------------------------------------------------------------------


def completions(line: str, folder: Path) -> list[str]:
    """What the shell is offered behind a line, by the protocol of argcomplete."""
    told = folder / "told"
    subprocess.run(
        [sys.executable, "-m", "leadsman"],
        env={
            **os.environ,
            "COMP_LINE": line,
            "COMP_POINT": str(len(line)),
            "COMP_TYPE": "9",
            "_ARGCOMPLETE": "1",
            "_ARGCOMPLETE_IFS": "\n",
            "_ARGCOMPLETE_SUPPRESS_SPACE": "1",
            "_ARGCOMPLETE_STDOUT_FILENAME": str(told),
        },
        cwd=folder,
        check=True,
        capture_output=True,
    )
    return told.read_text().split("\n") if told.exists() else []


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("leadsman su", ["survey"]),
        ("leadsman calc supply.longest_r", ["supply.longest_run"]),
        ("leadsman calc supply.voltage_drop le", ["length="]),
        ("leadsman calc supply.voltage_drop construction=so", ["construction=solid"]),
        ("leadsman table lead-d", ["lead-drop"]),
        ("leadsman table lead-drop --units us-", ["us-fathoms"]),
        ("leadsman walk low-v", ["low-volts"]),
    ],
)
def test_the_shell_completes(line: str, offered: list[str], tmp_path: Path) -> None:
    """Commands, formulas with their inputs and words, tables, reports, entries and the values of options."""
    small_content.copy(tmp_path)
    assert [word.strip() for word in completions(line, tmp_path)] == offered
