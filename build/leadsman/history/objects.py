"""Walk the trees of a commit and read its files, under limits of number, size, depth and name.

Trees are read and taken apart here, one at a time and each only after its size is known: twenty objects can
stand for ten thousand million files, and a few kilobytes for a file of gigabytes.
"""

from __future__ import annotations

import contextlib
import re
import subprocess
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import IO

from leadsman.errors import LeadsmanError, quoted
from leadsman.files import size


class HistoryError(LeadsmanError):
    """The history lacks what was asked of it, or holds what is not read; the message says what, and what to do."""


@dataclass(frozen=True)
class Limits:
    """What a folder of a revision may hold at most; content that people write stays far below."""

    files: int = 5000
    folders: int = 500
    depth: int = 6
    name_letters: int = 120
    file_bytes: int = 8_000_000
    all_bytes: int = 64_000_000
    tree_bytes: int = 1_000_000
    seconds: float = 60.0


LIMITS = Limits()

_REGULAR = {b"100644", b"100755", b"100664"}
_KINDS = {b"120000": "a link", b"160000": "another repository"}
_HEAD = re.compile(rb"([0-9a-f]{40,64}) (blob|tree|commit|tag) ([0-9]{1,18})\n")

#: Starts git with some words.
Start = Callable[..., "subprocess.Popen[bytes]"]


class Reader:
    """Asks git for objects, first how large and then for what they hold; ends it when it takes too long."""

    def __init__(self, start: Start, label: str, limits: Limits) -> None:
        self.label, self.limits = label, limits
        self._sizes, self._contents = start("cat-file", "--batch-check"), start("cat-file", "--batch")
        self._expired = False
        self._late = threading.Timer(limits.seconds, self._stop)
        self._late.start()

    def __enter__(self) -> Reader:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._late.cancel()
        for process in (self._sizes, self._contents):
            process.kill()
            process.wait()
            for stream in (process.stdin, process.stdout, process.stderr):
                assert stream is not None
                with contextlib.suppress(BrokenPipeError):
                    stream.close()

    def _stop(self) -> None:
        self._expired = True
        self._sizes.kill()
        self._contents.kill()

    def refuse(self, what: str) -> HistoryError:
        """An error about this revision."""
        return HistoryError(f"{self.label}: {what}")

    def found(self, name: str) -> tuple[str, bytes, int]:
        """Id, kind and size of an object, by the name of a commit and a path in it, or by its id."""
        answer = self._asked(self._sizes, name)
        if answer is None:
            raise self.refuse(f"the object {quoted(name)} is missing or broken in this clone")
        return answer

    def read(self, object_id: str, kind: bytes, most: int, what: str) -> bytes:
        """What an object holds, once it is known to be of that kind and not too large."""
        _, found, count = self.found(object_id)
        if found != kind:
            raise self.refuse(f"{what} is no {'folder' if kind == b'tree' else 'file'}")
        if count > most:
            raise self.refuse(f"{what} is larger than {size(most)}; refused")
        answer = self._asked(self._contents, object_id)
        if answer is None or answer[1] != kind or answer[2] != count:
            raise self.refuse(f"{what} is missing or broken in this clone")
        assert self._contents.stdout is not None
        data = self._contents.stdout.read(count + 1)
        if len(data) != count + 1:
            raise self._cut_off(what)
        return data[:-1]

    def _asked(self, process: subprocess.Popen[bytes], name: str) -> tuple[str, bytes, int] | None:
        if "\n" in name:
            return None
        stdin: IO[bytes] | None = process.stdin
        assert stdin is not None
        assert process.stdout is not None
        try:
            stdin.write(name.encode("utf-8", "surrogateescape") + b"\n")
            stdin.flush()
        except BrokenPipeError:
            raise self._cut_off(name) from None
        line = process.stdout.readline(4096)
        if not line:
            raise self._cut_off(name)
        match = _HEAD.fullmatch(line)
        return (match[1].decode(), match[2], int(match[3])) if match else None

    def _cut_off(self, what: str) -> HistoryError:
        if self._expired:
            return self.refuse(f"git did not answer in {self.limits.seconds:g} s; refused")
        return self.refuse(f"git cannot read {quoted(what)}; is the clone whole?")


def files_below(reader: Reader, commit: str, path: str) -> dict[str, bytes]:
    """All files below a path of a commit; see :meth:`Repository.files`."""
    where = f"{commit}:{path}" if path else f"{commit}^{{tree}}"
    try:
        tree, kind, _ = reader.found(where)
    except HistoryError:
        kind = b""
    if kind != b"tree":
        raise HistoryError(f"{reader.label} holds no {quoted(path)}/")
    limits, held = reader.limits, 0
    wanted = list(_walk(reader, tree))
    found: dict[str, bytes] = {}
    for name, object_id in wanted:
        found[name] = reader.read(object_id, b"blob", limits.file_bytes, quoted(name))
        held += len(found[name])
        if held > limits.all_bytes:
            raise reader.refuse(f"holds more than {size(limits.all_bytes)}; refused")
    return found


def _walk(reader: Reader, tree: str) -> Iterator[tuple[str, str]]:
    """Path and id of each file, the whole of it judged before the first file is read."""
    limits, files, folders = reader.limits, 0, 0
    waiting = [("", tree, 0)]
    while waiting:
        base, object_id, depth = waiting.pop()
        folders += 1
        if depth > limits.depth:
            raise reader.refuse(f"{quoted(base)} lies more than {limits.depth} folders deep; refused")
        if folders > limits.folders:
            raise reader.refuse(f"holds more than {limits.folders} folders; refused")
        data = reader.read(object_id, b"tree", limits.tree_bytes, quoted(base) or "the folder")
        seen = set()
        for mode, raw, entry in _entries(reader, data, len(tree) // 2):
            name = _name(reader, raw)
            if name.casefold() in seen:
                raise reader.refuse(f"the name {quoted(base + name)} stands twice in its folder; refused")
            seen.add(name.casefold())
            if mode == b"40000":
                waiting.append((f"{base}{name}/", entry, depth + 1))
            elif mode in _REGULAR:
                files += 1
                if files > limits.files:
                    raise reader.refuse(f"holds more than {limits.files} files; refused")
                yield base + name, entry
            else:
                what = _KINDS.get(mode, "no file")
                raise reader.refuse(f"{quoted(base + name)} is {what}; only regular files are read")


def _entries(reader: Reader, data: bytes, id_bytes: int) -> Iterator[tuple[bytes, bytes, str]]:
    """Mode, name and id of each entry of a tree object."""
    at = 0
    while at < len(data):
        blank = data.find(b" ", at, at + 8)
        end = data.find(b"\0", blank + 1) if blank > 0 else -1
        if end < 0 or end + 1 + id_bytes > len(data):
            raise reader.refuse("a folder is broken; refused")
        yield data[at:blank], data[blank + 1 : end], data[end + 1 : end + 1 + id_bytes].hex()
        at = end + 1 + id_bytes


def _name(reader: Reader, raw: bytes) -> str:
    name = raw.decode("utf-8", "replace")
    most = reader.limits.name_letters
    if len(name) > most:
        raise reader.refuse(f"a name begins with {quoted(name)} and has more than {most} letters; refused")
    if (
        not name
        or name in (".", "..")
        or name.lower() == ".git"
        or re.search(r"[/\\:\x00-\x1f\x7f\ufffd]", name)
    ):
        raise reader.refuse(f"'{quoted(name)}' is no name for a file; refused")
    return name
