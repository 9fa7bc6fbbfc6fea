"""A file or folder is replaced whole or stays as it was, whatever happens in between."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from leadsman.errors import OutputError
from leadsman.press import atomic


def tree(folder: Path) -> dict[str, str]:
    """Return the text of each file below a folder, without the marker."""
    return {
        str(path.relative_to(folder)): path.read_text()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != atomic.MARKER
    }


def build(target: Path, text: str) -> None:
    """Build a folder of two files."""
    with atomic.replace_folder(target) as folder:
        (folder / "deck.pdf").write_text(text)
        (folder / "guides").mkdir()
        (folder / "guides" / "a.pdf").write_text(text)


def test_a_file_is_written_with_usual_rights(tmp_path: Path) -> None:
    out = tmp_path / "new" / "a.pdf"
    atomic.write_bytes(out, b"one")
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert out.read_bytes() == b"one"
    assert stat.S_IMODE(out.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    atomic.write_bytes(out, b"two")
    assert out.read_bytes() == b"two"
    assert list(out.parent.iterdir()) == [out]


def test_a_failing_write_keeps_the_earlier_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "a.pdf"
    out.write_bytes(b"earlier")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="No space left on device"):
        atomic.write_bytes(out, b"later")
    assert out.read_bytes() == b"earlier"
    assert list(tmp_path.iterdir()) == [out]


@pytest.mark.parametrize("make", [os.mkfifo, lambda path: path.symlink_to("/dev/null")])
def test_a_pipe_or_a_device_keeps_its_name(tmp_path: Path, make: Callable[[Path], object]) -> None:
    """Whoever may write to its folder would else exchange /dev/null for a file."""
    make(tmp_path / "a.pdf")
    with pytest.raises(OutputError, match=r"cannot write .*a\.pdf: what is there is no file"):
        atomic.write_bytes(tmp_path / "a.pdf", b"new")
    assert not (tmp_path / "a.pdf").is_file()
    assert len(list(tmp_path.iterdir())) == 1


def test_a_folder_in_the_way_is_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").mkdir()
    with pytest.raises(OutputError, match=r"cannot write .*a\.pdf"):
        atomic.write_bytes(tmp_path / "a.pdf", b"x")
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.pdf"]


def test_a_folder_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "out"
    build(target, "first")
    with atomic.replace_folder(target) as folder:
        (folder / "book.pdf").write_text("second")
        assert tree(target) == {"deck.pdf": "first", "guides/a.pdf": "first"}
    assert tree(target) == {"book.pdf": "second"}
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("error", [RuntimeError, KeyboardInterrupt, SystemExit])
def test_a_failing_build_keeps_the_earlier_folder(tmp_path: Path, error: type[BaseException]) -> None:
    target = tmp_path / "out"
    build(target, "first")
    with pytest.raises(error), atomic.replace_folder(target) as folder:  # noqa: PT012
        (folder / "deck.pdf").write_text("half")
        raise error
    assert tree(target) == {"deck.pdf": "first", "guides/a.pdf": "first"}
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("exchange", [True, False])
def test_both_ways_of_swapping(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool) -> None:
    """With the kernel's exchange, and with two renames where there is none."""
    if not exchange:
        monkeypatch.setattr(atomic, "_exchange", lambda *_: False)
    build(tmp_path / "out", "first")
    build(tmp_path / "out", "second")
    assert set(tree(tmp_path / "out").values()) == {"second"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


def test_a_swap_that_breaks_half_way_is_undone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "out"
    build(target, "first")
    rename, calls = os.rename, []

    def second_fails(source: Path, goal: Path) -> None:
        calls.append(source)
        if len(calls) == 2:
            raise OSError(5, "Input/output error")
        rename(source, goal)

    monkeypatch.setattr(atomic, "_exchange", lambda *_: False)
    monkeypatch.setattr(os, "rename", second_fails)
    with pytest.raises(OutputError, match="Input/output error"):
        build(target, "second")
    assert set(tree(target).values()) == {"first"}
    assert list(tmp_path.iterdir()) == [target]


SLEEPER = """
import sys, time
from pathlib import Path
from leadsman.press import atomic
with atomic.replace_folder(Path(sys.argv[1])) as folder:
    (folder / "deck.pdf").write_text("half")
    print("building", flush=True)
    time.sleep(60)
"""


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
def test_a_killed_build_keeps_the_earlier_folder_and_is_cleared_up(tmp_path: Path) -> None:
    target = tmp_path / "out"
    build(target, "first")
    with subprocess.Popen(
        [sys.executable, "-c", SLEEPER, str(target)], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "building\n"
        assert len(list(tmp_path.iterdir())) == 2
        build(target, "second")
        assert len(list(tmp_path.iterdir())) == 2, "a running build must not be cleared away"
        child.send_signal(signal.SIGKILL)
    assert set(tree(target).values()) == {"second"}
    build(target, "third")
    assert set(tree(target).values()) == {"third"}
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_set_aside_comes_back(tmp_path: Path) -> None:
    """A build that died between its two renames has left nothing under the folder's own name."""
    target = tmp_path / "out"
    build(target, "first")
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        pass
    os.rename(target, tmp_path / f".out.earlier-{gone.pid}-abc")
    with pytest.raises(RuntimeError), atomic.replace_folder(target):
        raise RuntimeError
    assert set(tree(target).values()) == {"first"}


def test_folders_of_others_are_never_replaced(tmp_path: Path) -> None:
    target = tmp_path / "letters"
    target.mkdir()
    (target / "to a customer.txt").write_text("dear")
    with pytest.raises(OutputError, match="holds files that leadsman did not make"):
        build(target, "x")
    assert tree(target) == {"to a customer.txt": "dear"}
    with pytest.raises(OutputError, match="is a file; name a folder"):
        build(target / "to a customer.txt", "x")
    (target / "to a customer.txt").unlink()
    build(target, "x")
    assert set(tree(target).values()) == {"x"}


def test_a_link_to_a_folder_is_followed(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "disk" / "books")
    build(tmp_path / "out", "x")
    assert (tmp_path / "out").is_symlink()
    assert set(tree(tmp_path / "disk" / "books").values()) == {"x"}


def test_elsewhere_only_old_leftovers_are_abandoned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where asking after a process would end it, age decides."""
    monkeypatch.setattr(atomic, "_is_alive", lambda process: True)
    assert not atomic._abandoned(tmp_path, "1")
    os.utime(tmp_path, (time.time() - 4 * 3600,) * 2)
    assert atomic._abandoned(tmp_path, "1")


@pytest.mark.parametrize(
    "number",
    [str(os.getpid()), "1", "9" * 20, "9" * 60],
    ids=["our own", "one that lives", "twenty digits", "sixty digits"],
)
def test_a_dead_builds_folder_goes_whoever_has_its_number_now(tmp_path: Path, number: str) -> None:
    """The lock of the dead process is gone, and that alone counts."""
    left = tmp_path / f".being-made-{number}-abc"
    left.mkdir()
    (left / atomic._IN_USE).touch()
    (left / "half.pdf").write_text("half")
    assert atomic.clear_abandoned(tmp_path, ".being-made-") == [left]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("number", ["9" * 20, "9" * 60])
def test_a_folder_without_a_mark_goes_when_nobody_can_have_its_number(tmp_path: Path, number: str) -> None:
    (tmp_path / f".being-made-{number}-abc").mkdir()
    assert len(atomic.clear_abandoned(tmp_path, ".being-made-")) == 1


def test_a_folder_in_use_stays_and_so_do_strangers_and_links(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / f".being-made-{'9' * 20}-link").symlink_to(tmp_path / "kept")
    (tmp_path / ".being-made-x-abc").mkdir()
    with atomic.hidden_folder(tmp_path, ".being-made-") as folder:
        # A lock of this process is no other's; a second process sees it.
        code = "import sys; from pathlib import Path; from leadsman.press import atomic; print(atomic.clear_abandoned(Path(sys.argv[1]), '.being-made-'))"
        done = subprocess.run(
            [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True
        )
        assert done.stdout == "[]\n"
        assert folder.is_dir()
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        ".being-made-" + "9" * 20 + "-link",
        ".being-made-x-abc",
        "kept",
    ]


def test_parts_of_dead_writers_go_and_others_stay(tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        pass
    for name in (f".a.pdf.{gone.pid}-x1.part", f".a.pdf.{os.getpid()}-x2.part", "letter.part"):
        (tmp_path / name).touch()
    assert [p.name for p in atomic.clear_abandoned(tmp_path, ".x-")] == [f".a.pdf.{gone.pid}-x1.part"]


def test_a_writer_removes_what_dead_writers_left_beside_it(tmp_path: Path) -> None:
    left = tmp_path / f".a.pdf.{'9' * 20}-x1.part"
    left.touch()
    atomic.write_bytes(tmp_path / "b.pdf", b"whole")
    assert [p.name for p in tmp_path.iterdir()] == ["b.pdf"]


def test_folders_of_other_users_are_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's folder for temporary files is everybody's: a stranger's trap there stops no run, and keeps what it holds."""
    folder = tmp_path / f"leadsman-work-{'9' * 20}-abc"
    folder.mkdir()
    (tmp_path / f".a.{'9' * 20}-abc.part").touch()
    monkeypatch.setattr(os, "geteuid", lambda: folder.stat().st_uid + 1)
    assert atomic.clear_abandoned(tmp_path, "leadsman-work-") == []
    assert len(list(tmp_path.iterdir())) == 2


def test_a_folder_that_cannot_be_looked_into_stops_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / f"leadsman-work-{'9' * 20}-abc"
    folder.mkdir()

    def refuse(path: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refuse)
    atomic._remove(folder)
