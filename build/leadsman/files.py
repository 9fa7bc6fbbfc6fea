"""Read a file that somebody else may have put there: only a regular one, only so large, never through a link."""

from __future__ import annotations

import difflib
import errno
import os
import stat
from collections.abc import Iterator
from pathlib import Path

from leadsman.errors import LeadsmanError, quoted

#: So many names of a folder are looked at for one like that of a missing file, and so many told.
_MOST_NAMES, _MOST_TOLD = 2000, 3
_KINDS = (
    (stat.S_ISLNK, "a link"),
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


class Refused(LeadsmanError):
    """What lies there is not read; the message says why, without its name and without a word of what it holds."""

    #: What is said where nothing lies.
    MISSING = "is missing"

    @property
    def missing(self) -> bool:
        """Whether nothing lies there."""
        return str(self) == self.MISSING


def read_regular(path: Path, most: int) -> bytes:
    """The bytes of a regular file of at most so many bytes.

    The file is opened without following a link and without waiting, and is tested after it was opened, so
    that nothing can be put in its place between the test and the reading.

    Raises
    ------
    Refused
        When it is missing, of another kind, larger, or may not be read.
    """
    flags = (
        os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    )
    try:
        found = os.lstat(path).st_mode
        if not stat.S_ISREG(found):
            raise Refused(f"is {_kind(found)}, no regular file")
        handle = os.open(path, flags | getattr(os, "O_CLOEXEC", 0))
    except OSError as error:
        raise Refused(reason(error)) from None
    except ValueError:  # a name with a NUL in it
        raise Refused("has a name that no file can have") from None
    with os.fdopen(handle, "rb", buffering=0) as stream:
        facts = os.fstat(handle)
        if not stat.S_ISREG(facts.st_mode):
            raise Refused(f"is {_kind(facts.st_mode)}, no regular file")
        if facts.st_size > most:
            raise Refused(f"is larger than {size(most)}")
        try:
            # A file may grow while it is read, and some say that they are empty and never end.
            raw = _at_most(stream.fileno(), most + 1)
        except OSError as error:
            raise Refused(reason(error)) from None
    if len(raw) > most:
        raise Refused(f"is larger than {size(most)}")
    return raw


def _at_most(handle: int, count: int) -> bytes:
    parts = []
    while count > 0 and (part := os.read(handle, min(count, 1 << 20))):
        parts.append(part)
        count -= len(part)
    return b"".join(parts)


def nearest_file(path: Path) -> str:
    """What to do where a file is missing: the nearest name in its folder, or the few that are there.

    Examples
    --------
    >>> nearest_file(Path("nowhere/list.csv"))
    "there is no folder 'nowhere'"
    """
    try:
        with os.scandir(path.parent) as listed:
            names = [entry.name for entry, _ in zip(listed, range(_MOST_NAMES), strict=False)]
    except OSError:
        return f"there is no folder '{quoted(path.parent)}'"
    same = sorted(
        name for name in names if Path(name).suffix.lower() == path.suffix.lower() and name[:1] != "."
    )
    by_folded = {name.casefold(): name for name in same}
    near = difflib.get_close_matches(path.name.casefold(), by_folded, 1, 0.5)
    found = [by_folded[name] for name in near] or (same if len(same) <= _MOST_TOLD else [])
    if not found:
        return "look at its name and its folder"
    return f"did you mean {' or '.join(map(repr, map(quoted, found)))} in that folder?"


def read_named(path: Path, most: int) -> bytes:
    """As :func:`read_regular`, for a file that the user named: a link that he chose is followed."""
    try:
        found = path.resolve()
    except (OSError, RuntimeError):  # RuntimeError: a link that leads to itself, before Python 3.13
        raise Refused("is a link that leads nowhere") from None
    return read_regular(found, most)


def reason(error: OSError) -> str:
    """Why the system refused, in words that name nothing."""
    if error.errno == errno.ELOOP:
        return "is a link, no regular file"
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return Refused.MISSING
    return f"cannot be read ({error.strerror or 'refused by the system'})"


def size(count: int) -> str:
    """A limit in words: ``512 kB``, ``64 MB``."""
    return f"{count // 1_000_000} MB" if count >= 1_000_000 else f"{count // 1000} kB"


def _kind(mode: int) -> str:
    return next((name for test, name in _KINDS if test(mode)), "of no known kind")


def walk(folder: Path, most: int, deepest: int) -> Iterator[tuple[Path, str]]:
    """Everything below a folder but its folders, in the order of the names: the path, and why it is not to be read.

    An empty reason stands for a regular file. A folder that is a link, cannot be read or lies too deep is given
    itself, with the reason; what lies in it is not looked at. After ``most`` files the walk ends with the folder.
    """
    count = 0
    waiting: list[tuple[Path, int]] = [(folder, 0)]
    while waiting:
        here, depth = waiting.pop()
        try:
            with os.scandir(here) as listed:
                # One more than allowed is enough to know that there are too many.
                entries = [entry for entry, _ in zip(listed, range(most + 1), strict=False)]
        except OSError as error:
            yield here, reason(error)
            continue
        below = []
        for entry in sorted(entries, key=lambda entry: entry.name):
            count += 1
            if count > most:
                yield folder, f"holds more than {most} files"
                return
            path = Path(entry.path)
            try:
                mode = entry.stat(follow_symlinks=False).st_mode
            except FileNotFoundError:
                continue  # Somebody else took it away meanwhile: an editor its copy, git a packed object.
            except OSError as error:
                yield path, reason(error)
                continue
            if stat.S_ISDIR(mode):
                if depth + 1 > deepest:
                    yield path, f"lies more than {deepest} folders deep"
                else:
                    below.append((path, depth + 1))
            else:
                yield path, "" if stat.S_ISREG(mode) else f"is {_kind(mode)}, no regular file"
        waiting += reversed(below)
