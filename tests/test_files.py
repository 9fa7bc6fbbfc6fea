"""Only regular files are opened: every other kind that POSIX knows is refused in words, at once."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
from pathlib import Path

import pytest

from leadsman.files import Refused, read_regular, walk


def test_a_regular_file_is_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"x" * 100)
    assert read_regular(path, 100) == b"x" * 100
    with pytest.raises(Refused, match="is larger than 0 kB"):
        read_regular(path, 99)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda p: p.symlink_to("/etc/passwd"), "is a link, no regular file"),
        (lambda p: p.symlink_to(p), "is a link, no regular file"),
        (lambda p: p.symlink_to("nowhere"), "is a link, no regular file"),
        (os.mkfifo, "is a pipe, no regular file"),
        (Path.mkdir, "is a folder, no regular file"),
        (lambda p: None, "is missing"),
    ],
)
def test_what_is_no_regular_file_is_refused_at_once(tmp_path: Path, make: object, told: str) -> None:
    path = tmp_path / "a.yaml"
    make(path)  # type: ignore[operator]
    with pytest.raises(Refused) as refused:
        read_regular(path, 1000)
    assert str(refused.value) == told


def test_devices_sockets_and_files_without_an_end_are_refused(tmp_path: Path) -> None:
    for path, told in (
        ("/dev/zero", "device"),
        ("/dev/null", "device"),
        ("/proc/kmsg", "cannot be read|larger|device"),
    ):
        if Path(path).exists() and (path != "/proc/kmsg" or os.geteuid()):
            with pytest.raises(Refused, match=told):
                read_regular(Path(path), 1000)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "s"))
        with pytest.raises(Refused, match="is a socket"):
            read_regular(tmp_path / "s", 1000)


def test_a_file_of_gigabytes_is_refused_by_its_size(tmp_path: Path) -> None:
    with (tmp_path / "large").open("wb") as stream:
        stream.truncate(5_000_000_000)
    with pytest.raises(Refused, match="is larger than 512 kB"):
        read_regular(tmp_path / "large", 512_000)


def test_a_file_that_says_it_is_empty_is_read_no_further_than_its_limit() -> None:
    """Files of the kernel say that they hold nothing."""
    path = Path("/proc/self/smaps")
    if path.exists():
        assert path.stat().st_size == 0
        with pytest.raises(Refused, match="is larger than 0 kB"):
            read_regular(path, 500)


def test_a_link_put_in_the_place_of_a_file_is_not_followed(tmp_path: Path) -> None:
    """Between the look and the opening somebody else may act; whatever then is read, it is not the secret."""
    path, secret, plain = tmp_path / "a", tmp_path / "secret", tmp_path / "plain"
    secret.write_bytes(b"secret")
    plain.write_bytes(b"plain")
    link = tmp_path / "link"
    stop = threading.Event()

    def exchange() -> None:
        while not stop.is_set():
            link.symlink_to(secret)
            os.replace(link, path)
            os.link(plain, link)
            os.replace(link, path)

    other = threading.Thread(target=exchange)
    other.start()
    try:
        for _ in range(2000):
            with contextlib.suppress(Refused):
                assert read_regular(path, 1000) == b"plain"
    finally:
        stop.set()
        other.join()


def test_a_walk_tells_what_it_leaves_out(tmp_path: Path) -> None:
    (tmp_path / "deep/er/still").mkdir(parents=True)
    (tmp_path / "deep/er/still/f").touch()
    (tmp_path / "deep/g").touch()
    (tmp_path / "link").symlink_to("deep")
    (tmp_path / "up").symlink_to("..")
    os.mkfifo(tmp_path / "pipe")
    told = {path.relative_to(tmp_path).as_posix(): why for path, why in walk(tmp_path, 100, 2)}
    assert told == {
        "deep/g": "",
        "deep/er/still": "lies more than 2 folders deep",
        "link": "is a link, no regular file",
        "up": "is a link, no regular file",
        "pipe": "is a pipe, no regular file",
    }


def test_a_walk_ends_at_its_limit(tmp_path: Path) -> None:
    for number in range(30):
        (tmp_path / f"f{number}").touch()
    assert [why for _, why in walk(tmp_path, 20, 3) if why] == ["holds more than 20 files"]


def test_a_folder_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shut").mkdir()
    right = os.scandir

    def scandir(path: Path) -> object:
        if Path(path).name == "shut":
            raise PermissionError(13, "Permission denied")
        return right(path)

    monkeypatch.setattr(os, "scandir", scandir)
    assert [why for _, why in walk(tmp_path, 20, 3)] == ["cannot be read (Permission denied)"]


def test_what_goes_while_a_folder_is_walked_is_no_file_of_it(tmp_path: Path) -> None:
    """An editor takes its copy away, git an object that it has packed."""
    for name in "abc":
        (tmp_path / name).touch()
    found = []
    for path, why in walk(tmp_path, 20, 3):
        found.append((path.name, why))
        (tmp_path / "b").unlink(missing_ok=True)
    assert found == [("a", ""), ("c", "")]


def test_a_file_that_the_system_tells_nothing_of_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its path is too long, say, though its folder's is not."""
    long = tmp_path
    while len(str(long)) < 3900:
        long /= "d" * min(200, 4000 - len(str(long)))
    long.mkdir(parents=True)
    monkeypatch.chdir(long)
    Path("n" * 200).touch()
    assert [why for _, why in walk(long, 20, 3)] == ["cannot be read (File name too long)"]
