"""The errors that a user may see; each carries data, and its text says what is wrong and what to do."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

#: A message repeats at most so many letters of a file.
MOST_QUOTED = 60
#: Categories of signs that are not seen, or that change how their neighbours are seen.
_UNSEEN = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"}


class LeadsmanError(Exception):
    """Anything that leadsman reports in plain words instead of a traceback."""

    def __reduce__(self) -> tuple[Any, ...]:
        # One that a worker could not hand over would end the whole pool.
        return _again, (type(self), self.args, dict(self.__dict__))


def _again(kind: type[LeadsmanError], words: tuple[Any, ...], data: dict[str, Any]) -> LeadsmanError:
    """An error as another process raised it, whatever its own way of being made asks for."""
    error = kind.__new__(kind, *words)
    error.args = words
    error.__dict__.update(data)
    return error


class UsageError(LeadsmanError):
    """The command was called wrongly (exit code 2)."""


class OutputError(LeadsmanError):
    """An output could not be made; an earlier one is left whole."""


class MissingRecord(LeadsmanError, KeyError):
    """The program counts on a record by its id, and the content lacks it."""

    def __init__(self, kind: str, name: object) -> None:
        super().__init__(kind, name)
        self.kind, self.name = kind, name

    def __str__(self) -> str:
        return f"the content lacks '{quoted(self.name)}' among its {self.kind}; add it"


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in the content: where, what, and what to do about it."""

    path: str
    line: int
    column: int
    what: str
    hint: str = ""
    field: str = ""
    rule: str = "content"
    severity: str = "error"

    def __post_init__(self) -> None:
        # The last wall: whatever a rule repeats of a file is short and can be seen.
        object.__setattr__(self, "what", _told(self.what))
        object.__setattr__(self, "hint", _told(self.hint))

    def __str__(self) -> str:
        field = f"{self.field}: " if self.field else ""
        word = "" if self.severity == "error" else f"{self.severity}: "
        hint = f"; {self.hint}" if self.hint else ""
        return f"{self.path}:{self.line}:{self.column}: {word}{field}{self.what}{hint}"


#: What stands between quotation marks; an apostrophe inside a word opens none.
_QUOTATION = re.compile(rf"(?<!\w)(['\"])((?:(?!\1).){{{MOST_QUOTED + 1},}})\1(?!\w)", re.DOTALL)
#: Whatever stands between other marks: a reference, a tag, an address.
_LONG_RUN = re.compile(rf"[^\s'\"]{{{MOST_QUOTED + 1},}}")
#: No message is longer, whatever it lists.
_LONGEST = 2000


def _told(text: str) -> str:
    shortened = _QUOTATION.sub(lambda match: f"{match[1]}{quoted(match[2])}{match[1]}", text)
    shortened = _LONG_RUN.sub(lambda match: quoted(match[0]), shortened)
    return visible(shortened[:_LONGEST])


def visible(text: str) -> str:
    """The text with each control, hidden, private or unassigned sign written out.

    Examples
    --------
    >>> visible("volts\\u202e\\x1b[31m")
    'volts<U+202E><U+001B>[31m'
    """
    return "".join(f"<U+{ord(sign):04X}>" if unicodedata.category(sign) in _UNSEEN else sign for sign in text)


def quoted(given: object, most: int = MOST_QUOTED) -> str:
    """Something out of a file as a message may repeat it: at most sixty letters, hidden signs made visible.

    Examples
    --------
    >>> quoted("a" * 70) == "a" * 60 + "..."
    True
    """
    text = str(given) if not isinstance(given, int) or abs(given) < 10**most else "a number of many digits"
    return visible(text[:most]) + ("..." if len(text) > most else "")


def counted(number: int, one: str, many: str = "") -> str:
    """A number of things in words, for every message that counts.

    Examples
    --------
    >>> counted(1, "problem"), counted(0, "problem"), counted(2, "waived breach"), counted(3, "entry")
    ('1 problem', '0 problems', '2 waived breaches', '3 entries')
    """
    if number == 1:
        return f"1 {one}"
    if not many:
        stem = one[:-1] + "ie" if one.endswith("y") and one[-2:-1] not in tuple("aeiou") else one
        many = f"{stem}es" if one.endswith(("s", "x", "ch", "sh")) else f"{stem}s"
    return f"{number} {many}"


def shown_path(path: Path) -> str:
    """A path as a writer would type it: relative to the working folder where it lies below it."""
    try:
        # The folder's links are followed, the file's own is not: it may lead out of what the writer can see.
        place = path.parent.resolve() / path.name
        return visible(str(place.relative_to(Path.cwd().resolve())))
    except (ValueError, OSError, RuntimeError):
        return visible(str(path))


def shown_paths() -> Callable[[Path], str]:
    """The same for many files of a few folders: where each folder lies is found once."""

    @cache
    def before(folder: Path) -> str:
        return shown_path(folder / "x").removesuffix("x")

    return lambda path: before(path.parent) + visible(path.name)
