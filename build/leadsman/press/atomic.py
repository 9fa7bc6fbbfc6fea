"""Writing that cannot half-happen: a file or a folder is replaced whole or stays as it was."""

from __future__ import annotations

import contextlib
import ctypes
import os
import re
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from leadsman.errors import OutputError

#: Marks a folder as made here: only such a folder (or an empty one) is ever replaced.
MARKER = ".leadsman-output"
MARKER_TEXT = "This folder is rebuilt whole by leadsman; keep nothing of your own in it.\n"

#: In a hidden folder: locked as long as the process that works in it lives.
_IN_USE = ".in-use"
#: No build takes longer.
_OLD_S = 3 * 3600

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


def write_bytes(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` through a temporary file beside it, which then takes its name.

    Until the last step the earlier file is untouched; when anything fails the temporary file goes. What dead writers
    left in the same folder goes too, before this process writes there for the first time.
    """
    path = Path(path)
    temporary: Path | None = None
    if os.path.exists(path) and not os.path.isfile(path):
        # A device or a pipe would lose its name to the file.
        raise OutputError(f"cannot write {path}: what is there is no file")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _clear_parts_once(path.parent)
        handle, name = tempfile.mkstemp(
            prefix=f".{path.name}.{os.getpid()}-", suffix=".part", dir=path.parent
        )
        temporary = Path(name)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(0o666 & ~_UMASK)
        os.replace(temporary, path)
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


@contextlib.contextmanager
def replace_folder(target: Path) -> Iterator[Path]:
    """Give a new folder beside ``target`` to build in; swap the two when the block ends well.

    A block that raises, or a process that dies, leaves the earlier folder as it was. A folder that
    was not made here is never replaced. Left-overs of builds that died are cleared at the start.
    """
    target = Path(os.path.realpath(target))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _restore_and_clear(target)
        _require_ours(target)
    except OSError as error:
        raise OutputError(f"cannot build {target}: {error.strerror or error}") from error
    with hidden_folder(target.parent, f".{target.name}.building-") as building:
        yield building
        try:
            (building / MARKER).write_text(MARKER_TEXT, encoding="utf-8")
            (building / _IN_USE).unlink(missing_ok=True)
        except OSError as error:
            raise OutputError(f"cannot build {target}: {error.strerror or error}") from error
        _swap_in(building, target)


@contextlib.contextmanager
def hidden_folder(parent: Path, prefix: str, *, private: bool = False) -> Iterator[Path]:
    """Give a folder beside the outputs to work in, marked as in use as long as this process lives; it goes at the end.

    The mark is a lock, which the system takes away when the process dies, however it dies: the number of a process is
    given to another one in time, and then says nothing. A private one is for this user alone.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix=f"{prefix}{os.getpid()}-", dir=parent))
        held = _lock(folder)
        if not private:
            folder.chmod(0o777 & ~_UMASK)
    except OSError as error:
        raise OutputError(f"cannot write to {parent}: {error.strerror or error}") from error
    owner = os.getpid()
    try:
        yield folder
    finally:
        # A forked worker that ends comes here too; the folder is its parent's to remove.
        if os.getpid() == owner:
            # The content first, the mark last: what is cut off in between is found and removed by the next build.
            _remove(folder)
            if held is not None:
                os.close(held)


def _lock(folder: Path) -> int | None:
    handle = os.open(folder / _IN_USE, os.O_CREAT | os.O_RDWR | getattr(os, "O_CLOEXEC", 0), 0o600)
    if _is_taken(handle) is None:
        os.close(handle)
        return None
    return handle


def _is_taken(handle: int) -> bool | None:
    """Whether another process holds the lock of a mark, which else is taken; None where there are no locks."""
    try:
        import fcntl  # not everywhere

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:
        return None
    except BlockingIOError:
        return True
    except OSError:
        return None
    return False


def abandoned(parent: Path, prefix: str) -> list[Path]:
    """The hidden folders of that name whose processes are gone."""
    pattern = re.compile(rf"{re.escape(prefix)}(\d+)-\w+")
    try:
        entries = sorted(parent.iterdir())
    except OSError:
        return []
    return [
        entry
        for entry in entries
        if (match := pattern.fullmatch(entry.name))
        and _is_own(entry, stat.S_ISDIR)
        and _abandoned(entry, match[1])
    ]


def clear_abandoned(parent: Path, prefix: str) -> list[Path]:
    """Remove what processes that died left in a folder of outputs; what was removed."""
    gone = []
    for folder in abandoned(parent, prefix):
        _remove(folder)
        if not folder.exists():
            gone.append(folder)
    return gone + clear_parts(parent)


def clear_parts(parent: Path) -> list[Path]:
    """Remove the half-written files of processes that died from a folder; what was removed."""
    gone = []
    for part in _abandoned_parts(parent):
        with contextlib.suppress(OSError):
            part.unlink()
            gone.append(part)
    return gone


@cache
def _clear_parts_once(parent: Path) -> None:
    """As :func:`clear_parts`, once for each folder in a process: a fleet writes thousands of files into one."""
    clear_parts(parent)


def _abandoned_parts(parent: Path) -> list[Path]:
    pattern = re.compile(r"\..+\.(\d+)-\w+\.part", re.DOTALL)
    try:
        return [
            entry
            for entry in sorted(parent.iterdir())
            if (match := pattern.fullmatch(entry.name))
            and _is_own(entry, stat.S_ISREG)
            and _abandoned(entry, match[1])
        ]
    except OSError:
        return []


def _is_own(entry: Path, is_kind: Callable[[int], bool]) -> bool:
    """Whether it is of that kind, no link, and this user's: in a folder for all, others' are left alone."""
    try:
        found = entry.lstat()
    except OSError:
        return False
    return is_kind(found.st_mode) and (not hasattr(os, "geteuid") or found.st_uid == os.geteuid())


def _remove(folder: Path) -> None:
    """Remove a folder; its mark goes last, with it."""
    entries: list[Path] = []
    with contextlib.suppress(OSError):
        entries = list(folder.iterdir())
    for entry in entries:
        if entry.name == _IN_USE:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry, ignore_errors=True)
        else:
            with contextlib.suppress(OSError):
                entry.unlink()
    shutil.rmtree(folder, ignore_errors=True)


def _require_ours(target: Path) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputError(f"{target} is a file; name a folder")
    if any(target.iterdir()) and not (target / MARKER).is_file():
        raise OutputError(
            f"{target} holds files that leadsman did not make; name an empty or a new folder instead"
        )


def _swap_in(building: Path, target: Path) -> None:
    """Put ``building`` in the place of ``target``; afterwards ``building`` holds the earlier one, if any."""
    try:
        if not target.exists():
            os.rename(building, target)
        elif not _exchange(building, target):
            # No exchange on this system: two renames, with a way back (see _restore_and_clear).
            earlier = building.with_name(building.name.replace(".building-", ".earlier-", 1))
            os.rename(target, earlier)
            try:
                os.rename(building, target)
            except BaseException:
                os.rename(earlier, target)
                raise
            os.rename(earlier, building)
    except OSError as error:
        raise OutputError(f"cannot replace {target}: {error.strerror or error}") from error


def _exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step where the kernel can (Linux renameat2); False where it cannot."""
    if not sys.platform.startswith("linux"):
        return False
    rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if rename is None:
        return False
    return bool(
        rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), ctypes.c_uint(_RENAME_EXCHANGE))
        == 0
    )


def _restore_and_clear(target: Path) -> None:
    """Undo what a killed build left: bring back a folder set aside, remove half-built ones."""
    for entry in abandoned(target.parent, f".{target.name}.earlier-"):
        if target.exists():
            _remove(entry)
        else:
            os.rename(entry, target)
    clear_abandoned(target.parent, f".{target.name}.building-")


def _abandoned(entry: Path, process: str) -> bool:
    """Whether the process that made a temporary file or folder is gone."""
    try:
        handle = os.open(entry / _IN_USE, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        pass  # Made a moment ago, or of another kind: its process is asked.
    else:
        try:
            taken = _is_taken(handle)
        finally:
            os.close(handle)
        if taken is not None:
            return not taken
    return not _is_alive(process) or _is_old(entry)


def _is_old(entry: Path) -> bool:
    """Whether it is older than any build takes: then its number, if somebody has it, is somebody else's."""
    try:
        return time.time() - entry.lstat().st_mtime > _OLD_S
    except OSError:
        return False


def _is_alive(process: str) -> bool:
    if os.name != "posix":
        # Asking after a process is not harmless there.
        return True
    try:
        os.kill(int(process), 0)
    except (ProcessLookupError, OverflowError, ValueError):
        # ValueError: thousands of digits, which Python does not even read.
        return False
    except OSError:
        return True
    return True


def _read_umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


#: Read once: reading means setting it for a moment, which other threads would notice.
_UMASK = _read_umask()
