"""Results kept by the digest of all that went into them, so that nothing is made twice; may be deleted at any time.

A store holds bytes under a kind and a key. The key is a digest of everything that decides the bytes: inputs, the
program's own text, templates and the versions of the libraries. So an entry never goes stale, two builds that write
the same one write the same bytes, and no lock is needed: each file appears whole, under its final name.

What is read back is data (JSON, PDF, EPUB, numbers), never anything that is run. It is trusted only as far as its
folder is: a folder that another user owns or may write to is not used at all, and each entry carries the digest of its
bytes.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import stat
import sys
import tempfile
import time
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

#: Entries that nobody has asked for in this time go [s], and above this size [bytes] the oldest ones.
_UNUSED_S = 30 * 24 * 3600
_MOST_BYTES = 1_000_000_000
#: How often a store is swept [s].
_SWEEP_EVERY_S = 24 * 3600
#: An entry of at most so many bytes is also kept in memory.
_SMALL = 20_000
_DIGEST = hashlib.sha256().digest_size
#: What entries are called: the folder for the beginning of their digests, the digest; and while they are written.
_KEY_FOLDER, _KEY, _PART = re.compile("[0-9a-f]{2}"), re.compile("[0-9a-f]{64}"), ".part-"
#: What decides results beside the program's own text.
_LIBRARIES = (
    "ebooklib", "fontpkg-barlow-semi-condensed", "fontpkg-source-sans-3", "fonttools", "jinja2", "lxml", "markdown",
    "matplotlib", "nh3", "numpy", "pikepdf", "pydantic", "pydyf", "pymupdf", "pyyaml", "scipy", "weasyprint",
)  # fmt: skip


class Store:
    """Bytes by kind and key, in memory and, where a folder is given, on disk.

    Whatever the disk refuses (full, read-only, deleted meanwhile) only costs the time to make the thing again.

    Parameters
    ----------
    folder
        A folder of the user's own; it is made when it is missing. With None everything is kept in memory.
    """

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder if folder is not None and _is_own(folder) else None
        self._memory: dict[tuple[str, str], bytes] = {}
        if self.folder is not None:
            _sweep(self.folder)

    def get(self, kind: str, key: str) -> bytes | None:
        """What was kept, or None; a damaged entry counts as none."""
        found = self._memory.get((kind, key))
        if found is not None or self.folder is None:
            return found
        path = self._path(self.folder, kind, key)
        try:
            raw = path.read_bytes()
            data = raw[_DIGEST:]
            if hashlib.sha256(data).digest() != raw[:_DIGEST]:
                return None
            os.utime(path)
        except OSError:
            return None
        self._remember(kind, key, data)
        return data

    def put(self, kind: str, key: str, data: bytes) -> None:
        """Keep something; the entry appears whole or not at all."""
        self._remember(kind, key, data)
        if self.folder is None:
            return
        path = self._path(self.folder, kind, key)
        with contextlib.suppress(OSError):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=_PART, dir=path.parent)
            try:
                with os.fdopen(handle, "wb") as stream:
                    stream.write(hashlib.sha256(data).digest() + data)
                os.replace(name, path)
            except BaseException:
                os.unlink(name)
                raise

    def get_data(self, kind: str, key: str) -> Any:
        """What was kept as JSON, or None."""
        found = self.get(kind, key)
        return None if found is None else json.loads(found)

    def put_data(self, kind: str, key: str, data: Any) -> None:
        """Keep plain data as JSON."""
        self.put(kind, key, json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode())

    def _remember(self, kind: str, key: str, data: bytes) -> None:
        if self.folder is None or len(data) <= _SMALL:
            self._memory[kind, key] = data

    @staticmethod
    def _path(folder: Path, kind: str, key: str) -> Path:
        return folder / kind / key[:2] / key


class Bundle(Store):
    """A store whose plain data of one kind lie together in one file, since a thousand files take long to open.

    The file is found by what the data are about (a folder of content, say); each of them lies in it under its own
    digest, so that none is taken for another. What was neither asked for nor put in is left out when it is written anew;
    of two that are written at once the later stays, which only costs the time to make the rest again.

    Parameters
    ----------
    store
        Where the file lies, and everything of another kind.
    kind
        The kind of the data.
    about
        Digest of what they are about.
    """

    def __init__(self, store: Store, kind: str, about: str) -> None:
        self.folder, self._memory = store.folder, store._memory
        self._kind, self._about = kind, about
        self._kept: dict[str, Any] = store.get_data("bundles", about) or {}
        self._used: dict[str, Any] = {}

    def get_data(self, kind: str, key: str) -> Any:
        """What was kept as JSON, or None."""
        if kind != self._kind:
            return super().get_data(kind, key)
        if key not in self._used and key in self._kept:
            self._used[key] = self._kept[key]
        return self._used.get(key)

    def put_data(self, kind: str, key: str, data: Any) -> None:
        """Keep plain data, of the bundle's kind as soon as it is written."""
        if kind != self._kind:
            super().put_data(kind, key, data)
        else:
            self._used[key] = data

    def write(self, *, whole: bool = True) -> None:
        """Write what was asked for and put in, where it is other than before; the rest too unless this was the ``whole``."""
        data = self._used if whole else {**self._kept, **self._used}
        if data.keys() != self._kept.keys():
            super().put_data("bundles", self._about, data)
            self._kept = dict(data)


def digest(*parts: object) -> str:
    """Digest of plain data: texts, bytes, numbers, and lists and mappings of them.

    Examples
    --------
    >>> digest("a", "bc") == digest("ab", "c")
    False
    """
    found = hashlib.sha256()
    for part in parts:
        data = part if isinstance(part, bytes) else json.dumps(part, sort_keys=True, default=str).encode()
        found.update(b"%d:" % len(data))
        found.update(data)
    return found.hexdigest()


def folder_digest(folder: Path, pattern: str = "*") -> str:
    """Digest of the names and bytes of all files below a folder, what Python compiles left out."""
    found = hashlib.sha256()
    for path in sorted(folder.rglob(pattern)):
        if path.is_file() and "__pycache__" not in path.parts:
            data = path.read_bytes()
            found.update(f"{path.relative_to(folder).as_posix()}:{len(data)}:".encode())
            found.update(data)
    return found.hexdigest()


@cache
def program_digest() -> str:
    """Digest of the program itself: its text, its Python, and the versions of the libraries that it uses."""
    return digest(
        folder_digest(Path(__file__).resolve().parent, "*.py"),
        sys.version,
        sys.platform,
        [_version(name) for name in _LIBRARIES],
    )


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def usual_folder() -> Path | None:
    """The user's own cache folder by the XDG Base Directory specification; None for a user without a home."""
    given = os.environ.get("XDG_CACHE_HOME", "")
    if os.path.isabs(given):
        return Path(given) / "leadsman"
    try:
        return Path.home() / ".cache" / "leadsman"
    except RuntimeError:
        return None


def _is_own(folder: Path) -> bool:
    """Whether the folder is there (or can be made), is this user's, and nobody else may write to it."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.lstat()
    except OSError:
        return False
    if not stat.S_ISDIR(found.st_mode):
        return False
    if not hasattr(os, "getuid"):
        return True
    return found.st_uid == os.getuid() and not found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _is_entry(path: Path) -> bool:
    """Whether a store made this file: the folder may be one in which its owner keeps other things too."""
    name = path.name
    made = name[:2] == path.parent.name if _KEY.fullmatch(name) else name.startswith(_PART)
    return made and bool(_KEY_FOLDER.fullmatch(path.parent.name)) and stat.S_ISREG(path.lstat().st_mode)


def _sweep(folder: Path) -> None:
    """Once a day remove what was not asked for of late, and of the rest the oldest while it is too much."""
    mark, now = folder / "swept", time.time()
    with contextlib.suppress(OSError):
        if mark.exists() and now - mark.stat().st_mtime < _SWEEP_EVERY_S:
            return
        mark.touch()
        os.utime(mark)
        entries = sorted(
            ((path.lstat().st_mtime, path.lstat().st_size, path) for path in folder.glob("*/*/*") if _is_entry(path)),
            reverse=True,
        )  # fmt: skip
        held = 0
        for asked, size, path in entries:
            held += size
            if held > _MOST_BYTES or now - asked > _UNUSED_S:
                path.unlink(missing_ok=True)
