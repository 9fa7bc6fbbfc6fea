"""A verdict as data, and what it was given on: read without the records, so that an unchanged content answers at once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from leadsman.errors import Problem, shown_path
from leadsman.files import Refused, read_regular, walk
from leadsman.store import Bundle, Store, digest, program_digest

#: So many files a folder of content may hold, so many folders deep, and so many bytes a file.
MOST_FILES, DEEPEST, MAX_BYTES = 5000, 4, 512_000


@dataclass(frozen=True)
class Waived:
    """A breach that the entry sets aside, with the writer's reason."""

    problem: Problem
    entry: str
    reason: str


@dataclass
class Verdict:
    """All problems of the content, the warnings, and what was waived."""

    problems: list[Problem] = field(default_factory=list)
    waived: list[Waived] = field(default_factory=list)
    following: frozenset[Problem] = frozenset()
    """Of the problems, those that only follow from others."""

    @property
    def roots(self) -> list[Problem]:
        """What to mend first."""
        return [problem for problem in self.problems if problem not in self.following]

    @property
    def root_errors(self) -> list[Problem]:
        """What keeps the content from being printed, each told once: the number of problems that a writer is told."""
        return [problem for problem in self.roots if problem.severity == "error"]

    @property
    def errors(self) -> list[Problem]:
        return [problem for problem in self.problems if problem.severity == "error"]

    @property
    def warnings(self) -> list[Problem]:
        return [problem for problem in self.problems if problem.severity != "error"]

    def as_data(self) -> dict[str, Any]:
        """The verdict as a store keeps it."""
        return {
            "problems": [[*astuple(problem), problem in self.following] for problem in self.problems],
            "waived": [[astuple(waived.problem), waived.entry, waived.reason] for waived in self.waived],
        }

    @classmethod
    def from_data(cls, told: dict[str, Any]) -> Verdict:
        """The verdict that a store kept."""
        problems = [(Problem(*parts), follows) for *parts, follows in told["problems"]]
        waived = [Waived(Problem(*parts), entry, reason) for parts, entry, reason in told["waived"]]
        following = frozenset(problem for problem, follows in problems if follows)
        return cls([problem for problem, _ in problems], waived, following)


@dataclass(frozen=True)
class Seen:
    """What lies in a folder of content, as it was found: the bytes of a file, or why it is not read."""

    path: Path
    why: str = ""
    """Why it is no file that could be read; empty for a regular file."""
    raw: bytes | Refused | None = field(default=None, repr=False)
    """Its bytes, or why they could not be read; None as long as nobody has read it."""

    @cached_property
    def digest(self) -> str:
        """Digest of its bytes; of what was not read, the reason."""
        if isinstance(self.raw, bytes):
            return hashlib.sha256(self.raw).hexdigest()
        return self.why or str(self.raw)


def listed(folder: Path) -> Iterator[Seen]:
    """What lies in a folder of content; nothing of it is read."""
    return (Seen(path, why) for path, why in walk(folder, MOST_FILES, DEEPEST))


def opened(file: Seen) -> Seen:
    """The same with its bytes, or with the reason why they cannot be had."""
    if file.why or file.raw is not None:
        return file
    try:
        return Seen(file.path, "", read_regular(file.path, MAX_BYTES))
    except Refused as refused:
        return Seen(file.path, "", refused)


def bundle_of(store: Store, folder: Path) -> Bundle:
    """What checks of a folder of content found before, piece by piece."""
    return Bundle(store, "verdicts", digest(program_digest(), "check", shown_path(folder)))


def folder_key(folder: Path, files: Iterable[Seen] | None = None) -> str:
    """Digest of all that a verdict on a folder of content is given on: its files, byte by byte, and this program."""
    found = [
        [str(file.path.relative_to(folder)), file.digest]
        for file in (map(opened, listed(folder)) if files is None else files)
    ]
    return digest(program_digest(), "folder", shown_path(folder), found)
