"""However a command ends - signals, kill -9, a closed pipe, a full disk - nothing is half written or left behind.

Real processes on the small content; the facts about them come from the kernel (/proc).
"""

from __future__ import annotations

import contextlib
import http.client
import os
import random
import signal
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import small_guides
from bench import kills
from children import heard
from leadsman import cli
from leadsman.press import atomic, temporary

pytestmark = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes in /proc")

#: Where any page will do.
ONE_CARD = ("--card", "P1", "--out", "out", "--survey", "off")
#: Processor time of a drill's worker that has begun to draw boats; one that only loads its modules has used less [s].
STARTED_S = 1.5
#: Guides of the list: they take a second or two after the first of them is there.
ROWS = 80
LIST = "id,like,owner\n" + "".join(f"c-{n},punt,Owner {n}\n" for n in range(ROWS))


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Path]:
    """A folder with the small content, a long list, and a folder for temporary files of its own."""
    small_guides.with_guide(tmp_path)
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    (tmp_path / "tmp").mkdir()
    yield tmp_path
    for process in children_of(None, tmp_path):
        with contextlib.suppress(ProcessLookupError):
            os.kill(process, signal.SIGKILL)


def start(
    work: Path, *words: str, program: tuple[str, ...] = ("-m", "leadsman"), **more: Any
) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "TMPDIR": str(work / "tmp")}
    with heard():
        return subprocess.Popen(
            [sys.executable, *program, *words], cwd=work, env=environment, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True, **more,
        )  # fmt: skip


def guides(work: Path) -> subprocess.Popen[str]:
    """The command, stopped by nobody yet, with its first guides made."""
    process = start(
        work, "guides", "list.csv", "--out", "g", "--only", "epub", "--workers", "2", "--survey", "off"
    )
    wait_for(lambda: any((work / "g").glob(".guides-being-made-*/*.epub")), process)
    return process


def wait_for(true: Any, process: subprocess.Popen[str] | None = None, seconds: float = 90) -> None:
    end = time.monotonic() + seconds
    while not true():
        if process is not None and process.poll() is not None:
            raise AssertionError(f"ended before: {process.communicate()}")
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


def children_of(session: int | None, work: Path | None = None) -> list[int]:
    """The living processes of a session, or those that work in a folder."""
    found = []
    for entry in Path("/proc").iterdir():
        with contextlib.suppress(OSError, ValueError, IndexError):
            fields = (entry / "stat").read_text().rpartition(")")[2].split()
            alive = fields[0] != "Z"
            mine = (
                int(fields[3]) == session if session is not None else Path(os.readlink(entry / "cwd")) == work
            )
            if mine and alive:
                found.append(int(entry.name))
    return found


def seconds_of(process: int) -> float:
    """The processor time that a process has used."""
    with contextlib.suppress(OSError, IndexError):
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        return int(fields[11]) / os.sysconf("SC_CLK_TCK")
    return 0.0


def hidden(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob(".*")) if folder.exists() else []


# SIGTERM and SIGHUP are answered by the same lines, in the command line and in the preview: each is sent to some command,
# and Ctrl-C to every one.


@pytest.mark.parametrize("name", ["SIGINT", "SIGHUP"])
def test_signals_clean_up_and_say_how_to_go_on(work: Path, name: str) -> None:
    number = getattr(signal, name)
    process = guides(work)
    # As a terminal does it: every process of the group gets Ctrl-C; a service manager asks the parent alone.
    (os.killpg if name == "SIGINT" else os.kill)(process.pid, number)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 128 + number
    # Whether a guide was finished by then depends on the machine.
    assert "the same command goes on from here" in err or "the same command begins again" in err
    assert "Traceback" not in out + err
    # The watcher of Python's own multiprocessing ends a moment after its parent.
    wait_for(lambda: children_of(process.pid) == [], seconds=5)
    assert hidden(work / "g") == []
    assert os.listdir(work / "tmp") == []


def drill(work: Path) -> subprocess.Popen[str]:
    """A drill that takes long, with both workers at it."""
    process = start(work, "drill", "no-depth", "--boats", "90000", "--workers", "2")
    # Beside the watcher of Python's own multiprocessing.
    wait_for(
        lambda: (
            sum(seconds_of(child) > STARTED_S for child in children_of(process.pid) if child != process.pid)
            >= 2
        ),
        process,
    )
    return process


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGKILL"])
def test_a_drill_ends_with_its_workers(work: Path, name: str) -> None:
    number = getattr(signal, name)
    process = drill(work)
    (os.killpg if name == "SIGINT" else os.kill)(process.pid, number)
    out, err = process.communicate(timeout=60)
    if name == "SIGKILL":
        assert process.returncode == -number
    else:
        assert (process.returncode, out, err) == (128 + number, "", "")
    wait_for(lambda: children_of(process.pid) == [], seconds=15)
    assert name == "SIGKILL" or os.listdir(work / "tmp") == []


def test_workers_end_when_their_parent_is_killed_and_the_next_run_takes_over(work: Path) -> None:
    process = guides(work)
    assert len(children_of(process.pid)) >= 3
    process.kill()
    process.communicate()
    wait_for(lambda: children_of(process.pid) == [], seconds=15)
    left = list((work / "g").glob(".guides-being-made-*/*.epub"))
    assert left
    again = start(
        work, "guides", "list.csv", "--out", "g", "--only", "epub", "--workers", "2", "--survey", "off"
    )
    out, err = again.communicate(timeout=300)
    assert again.returncode == 0
    assert f"{ROWS} files made" in out or "whole already" in out
    assert "which a run that died had left" in err
    assert hidden(work / "g") == []
    assert len(list((work / "g").glob("*.epub"))) == ROWS
    assert [n for n in os.listdir(work / "tmp") if n.startswith("leadsman-work-")] == []


STRUCK = """
import signal, sys
from leadsman.preview import server
async def get(self, named):
    signal.raise_signal(signal.SIGTERM)
    self.finish({})
server.State.get = get
from leadsman.cli import main
main(sys.argv[1:])
"""


def test_a_signal_that_strikes_while_an_answer_is_written_ends_the_preview(work: Path) -> None:
    process, browser = preview(work, "-c", STRUCK)
    other = http.client.HTTPConnection(browser.host, browser.port, timeout=90)
    with contextlib.closing(other), contextlib.suppress(OSError, http.client.HTTPException):
        other.request("GET", "/state/low-volts")
        other.getresponse().close()
    _, err = process.communicate(timeout=90)
    browser.close()
    assert (process.returncode, err) == (143, "")
    wait_for(lambda: children_of(process.pid) == [], seconds=5)
    assert os.listdir(work / "tmp") == []


def preview(work: Path, *program: str) -> tuple[subprocess.Popen[str], http.client.HTTPConnection]:
    """A preview with a page open that has begun to paint, and with its worker."""
    process = start(work, "preview", "P1", program=program or ("-m", "leadsman"))
    assert process.stdout is not None
    address = process.stdout.readline()
    assert address.startswith("http://127.0.0.1:"), address
    browser = http.client.HTTPConnection(address.split("/")[2], timeout=90)
    browser.request("GET", "/events/low-volts")
    browser.getresponse()
    wait_for(lambda: len(children_of(process.pid)) >= 2, process)
    return process, browser


@pytest.mark.parametrize("name", ["SIGINT", "SIGHUP"])
def test_a_preview_ends_without_a_word_while_its_page_is_open(work: Path, name: str) -> None:
    number = getattr(signal, name)
    process, browser = preview(work)
    (os.killpg if name == "SIGINT" else os.kill)(process.pid, number)
    _, err = process.communicate(timeout=90)
    browser.close()
    assert (process.returncode, err) == (128 + number, "")
    wait_for(lambda: children_of(process.pid) == [], seconds=5)
    assert os.listdir(work / "tmp") == []


def test_a_killed_preview_takes_its_worker_along_and_the_next_run_clears_up(work: Path) -> None:
    process, browser = preview(work)
    process.kill()
    process.communicate()
    browser.close()
    wait_for(lambda: children_of(process.pid) == [], seconds=15)
    assert os.listdir(work / "tmp") != []
    again = start(work, "build", "deck", *ONE_CARD, "--no-cache")
    out, err = again.communicate(timeout=200)
    assert again.returncode == 0, out + err
    assert os.listdir(work / "tmp") == []


def test_killed_papers_of_a_case_are_whole_and_told(tmp_path: Path) -> None:
    """A kill at a random moment of many; tests/bench/kills.py makes hundreds, of every command that writes."""
    kills.lay_out(tmp_path)
    kills.kill_often("case", 1, random.Random(17), tmp_path)


def test_two_builds_at_once_do_not_touch_each_other(work: Path) -> None:
    words = ("build", "deck", *ONE_CARD)
    both = [start(work, *words), start(work, *words)]
    ends = [process.communicate(timeout=200) for process in both]
    assert [process.returncode for process in both] == [0, 0], ends
    assert sorted(os.listdir(work / "out")) == ["deck-P1-a6.pdf"]


def test_a_closed_output_is_no_failure(work: Path) -> None:
    for words in (["check", "--rules"], ["calc"], ["table", "lead-drop"], ["walk", "low-volts"]):
        process = start(work, *words)
        assert process.stdout is not None
        process.stdout.close()
        process.wait(timeout=60)
        assert process.stderr is not None
        assert process.stderr.read() == ""
        process.stderr.close()


@pytest.mark.parametrize("words", [["check"], ["build", "deck", *ONE_CARD]])
def test_no_home_no_locale_and_no_cache_to_write_to(work: Path, words: list[str]) -> None:
    bare = {"PATH": "/usr/bin:/bin", "PYTHONPATH": os.pathsep.join(sys.path), "HOME": "/nonexistent", "TMPDIR": str(work / "tmp"),
            "LC_ALL": "C", "XDG_CACHE_HOME": "/nonexistent", "PYTHONDONTWRITEBYTECODE": "1", "PYTHONUTF8": "0"}  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-m", "leadsman", *words],
        cwd=work,
        env=bare,
        capture_output=True,
        timeout=200,
        check=False,
    )
    assert (done.returncode, b"Traceback" in done.stderr) == (0, False), done.stderr


FULL = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
from leadsman.cli import main
main(sys.argv[1:])
"""


def test_a_full_disk_keeps_the_earlier_file_and_is_told_in_a_line(work: Path) -> None:
    """A limit on the size of files stands for the disk: the kernel refuses the write in the same place."""
    (work / "out").mkdir()
    (work / "out/deck-a6.pdf").write_bytes(b"earlier")
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "TMPDIR": str(work / "tmp"),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    done = subprocess.run([sys.executable, "-c", FULL, "build", "deck", "--out", "out"], cwd=work, env=environment,
                          capture_output=True, text=True, timeout=200, check=False)  # fmt: skip
    assert done.returncode in (1, 70)
    assert "Traceback" not in done.stderr
    assert "too large" in done.stderr.lower()
    assert (work / "out/deck-a6.pdf").read_bytes() == b"earlier"
    assert hidden(work / "out") == []


# --- the outer wall ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "error", [KeyError("Perpetua Rookling"), RecursionError(), MemoryError(), ZeroDivisionError("x")]
)
def test_whatever_escapes_is_one_line_and_exit_code_70(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, error: Exception
) -> None:
    words = ["check", "--content", str(small_guides.with_guide(tmp_path))]

    def fails(arguments: Any) -> int:
        raise error

    monkeypatch.setattr("leadsman.commands.check.run", fails)
    with pytest.raises(SystemExit) as ended:
        cli.main(words)
    said = capsys.readouterr().err
    assert ended.value.code == 70
    assert said.count("\n") == 1
    assert f"something went wrong inside leadsman ({type(error).__name__} in " in said
    assert "--traceback" in said
    assert "Rookling" not in said
    with pytest.raises(type(error)):
        cli.main([*words, "--traceback"])


BROKEN = pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("access.yaml", "helm: {", "helm: [", "access.yaml:1:"),
        ("checks/own-volts.yaml", "kind: read", "kind: guess", "own-volts.yaml:3:"),
        ("phrases/en.yaml", "answers:", "answers: [", "en.yaml:"),
    ],
)


def said_of_broken(
    capsys: pytest.CaptureFixture[str], folder: Path, words: list[str], file: str, old: str, new: str
) -> tuple[object, str]:
    """Exit code and words of a command on the small content with one slip in it."""
    path = small_guides.with_guide(folder) / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        cli.main([*words, "--content", str(folder / "content")])
    out, err = capsys.readouterr()
    assert "inside leadsman" not in out + err
    return ended.value.code, out + err


@BROKEN
@pytest.mark.parametrize(
    ("words", "code"),
    [(["walk", "low-volts"], 1), (["show", "low-volts"], 1), (["check", "--no-cache"], 1), (["build", "--no-cache"], 1),
     (["guides", "list.csv"], 1), (["report", "coverage"], 2), (["case", "case.yaml"], 2), (["drill"], 2),
     (["sound"], 2), (["tally", "."], 2)],
)  # fmt: skip
def test_a_command_that_trips_over_broken_content_names_its_line(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    words: list[str],
    code: int,
    file: str,
    old: str,
    new: str,
    told: str,
) -> None:
    ended, said = said_of_broken(capsys, tmp_path, words, file, old, new)
    assert ended == code
    assert told in said


@BROKEN
def test_a_command_whose_part_of_a_broken_content_is_whole_goes_on(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, file: str, old: str, new: str, told: str
) -> None:
    for number, (words, answered) in enumerate(
        [
            (["walk", "low-volts", "--all"], " of a content with "),
            (["table", "lead-drop"], "Drop in the lead"),
            (["list"], "low-volts"),
        ]
    ):
        ended, said = said_of_broken(capsys, tmp_path / str(number), words, file, old, new)
        assert (ended, told in said) == (0, False)
        assert answered in said


def test_temporary_folders_of_dead_runs_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from leadsman.processes import work_folder

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    left = tmp_path / f"leadsman-work-{'9' * 20}-abc"
    left.mkdir()
    temporary.own_folder.cache_clear()
    try:
        with work_folder() as folder:
            assert not left.exists()
            assert Path(folder).is_dir()
            assert atomic.abandoned(tmp_path, "leadsman-work-") == []
            (own,) = tmp_path.iterdir()
            assert Path(folder).parent == own
            # It may name a customer.
            assert stat.S_IMODE(own.stat().st_mode) == 0o700
            assert tempfile.gettempdir() == str(own)
        assert not Path(folder).exists()
    finally:
        temporary.own_folder.cache_clear()
