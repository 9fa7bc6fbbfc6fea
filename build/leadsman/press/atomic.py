"""Writing that cannot half-happen: a file or a folder is replaced whole or stays as it was."""

from __future__ import annotations

import contextlib
import ctypes
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from leadsman.errors import OutputError

#: Marks a folder as made here: only such a folder (or an empty one) is ever replaced.
MARKER = ".leadsman-output"
MARKER_TEXT = "This folder is rebuilt whole by leadsman; keep nothing of your own in it.\n"

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


def write_bytes(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` through a temporary file beside it, which then takes its name.

    Until the last step the earlier file is untouched; when anything fails the temporary file goes.
    """
    path = Path(path)
    temporary: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
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
        building = Path(tempfile.mkdtemp(prefix=f".{target.name}.building-{os.getpid()}-", dir=target.parent))
        building.chmod(0o777 & ~_UMASK)
    except OSError as error:
        raise OutputError(f"cannot build {target}: {error.strerror or error}") from error
    try:
        yield building
        (building / MARKER).write_text(MARKER_TEXT, encoding="utf-8")
        _swap_in(building, target)
    finally:
        shutil.rmtree(building, ignore_errors=True)


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
    pattern = re.compile(rf"\.{re.escape(target.name)}\.(building|earlier)-(\d+)-\w+")
    for entry in sorted(target.parent.iterdir()):
        match = pattern.fullmatch(entry.name)
        if not match or not entry.is_dir() or not _abandoned(entry, int(match[2])):
            continue
        if match[1] == "earlier" and not target.exists():
            os.rename(entry, target)
        else:
            shutil.rmtree(entry, ignore_errors=True)


def _abandoned(entry: Path, process: int) -> bool:
    """Whether the process that made a temporary folder is gone."""
    if os.name != "posix":
        # Asking after a process is not harmless there; an hour is longer than any build.
        return time.time() - entry.stat().st_mtime > 3600
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False


def _read_umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


#: Read once: reading means setting it for a moment, which other threads would notice.
_UMASK = _read_umask()
