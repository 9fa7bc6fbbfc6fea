"""The errors that a user may see; each carries data, and its text says what is wrong and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


class LeadsmanError(Exception):
    """Anything that leadsman reports in plain words instead of a traceback."""


class UsageError(LeadsmanError):
    """The command was called wrongly (exit code 2)."""


class OutputError(LeadsmanError):
    """An output could not be made; an earlier one is left whole."""


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

    def __str__(self) -> str:
        field = f"{self.field}: " if self.field else ""
        word = "" if self.severity == "error" else f"{self.severity}: "
        hint = f"; {self.hint}" if self.hint else ""
        return f"{self.path}:{self.line}:{self.column}: {word}{field}{self.what}{hint}"


def shown_path(path: Path) -> str:
    """A path as a writer would type it: relative to the working folder where it lies below it."""
    try:
        return str(path.resolve().relative_to(Path.cwd().resolve()))
    except ValueError:
        return str(path)
