"""Compare two revisions of a content folder: read both from git, ask each one's own formulas, list the changes."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from leadsman.book.changes import Changes, compare
from leadsman.book.number_changes import Side, calls_of
from leadsman.compute.registry import ComputeError, Formula, NoAnswer
from leadsman.content.catalogue import Catalogue, load
from leadsman.errors import LeadsmanError, Problem
from leadsman.history.formulas import COMPUTE, Answer, Call, ask, call_of, package_path
from leadsman.history.repository import HistoryError, Repository, Revision

#: How many records that cannot be read are named in a note.
_NAMED = 3


@dataclass(frozen=True)
class Comparison:
    """What was compared, the commits between, and what changed."""

    old: Revision
    new: Revision | None
    commits: tuple[Revision, ...]
    changes: Changes

    @property
    def span(self) -> str:
        """Both revisions in words."""
        return f"{self.old.label} to {self.new.label if self.new else 'the working folder'}"


def compare_revisions(content: Path, old: str, new: str | None = None, units: str = "metric") -> Comparison:
    """What changed for a reader from revision ``old`` to ``new`` (by default to the folder as it stands).

    Neither the working tree nor the index is touched: both revisions are read from git's store into a
    temporary folder.
    """
    repository = Repository.of(content)
    before = repository.resolve(old)
    after = repository.resolve(new) if new is not None else None
    gathered = _Gathering(repository, content)
    catalogues = (gathered.catalogue(before), gathered.catalogue(after))
    calls = [
        dict.fromkeys(call_of(*call) for call in calls_of(catalogue, units, gathered.today))
        for catalogue in catalogues
    ]
    asked = list(calls[0] | calls[1])
    sides = [
        Side(catalogue, gathered.asking(revision, asked))
        for catalogue, revision in zip(catalogues, (before, after), strict=True)
    ]
    commits = tuple(repository.subjects(before, after))
    if repository.is_shallow:
        gathered.notes.append(
            "this clone holds only the latest part of the history: commits before it are not listed "
            "(git fetch --unshallow brings them)"
        )
    return Comparison(before, after, commits, compare(sides[0], sides[1], units, gathered.notes))


@dataclass
class _Gathering:
    repository: Repository
    content: Path
    notes: list[str] = field(default_factory=list)
    today: Today = field(default_factory=lambda: Today())

    def catalogue(self, revision: Revision | None) -> Catalogue:
        """The content of a revision, or of the folder; what today's rules cannot read of it becomes a note."""
        if revision is None:
            found = load(self.content)
            self._note(found.problems, "the working folder")
            return found
        with tempfile.TemporaryDirectory(prefix="leadsman-content-") as folder:
            self.repository.extract(revision, self.repository.inside, Path(folder))
            found = load(Path(folder))
        self._note(found.problems, revision.label)
        return found

    def _note(self, problems: list[Problem], where: str) -> None:
        files = dict.fromkeys(Path(p.path).name for p in problems if p.severity == "error")
        if files:
            named = ", ".join(list(files)[:_NAMED]) + (" and others" if len(files) > _NAMED else "")
            self.notes.append(
                f"{where}: today's program cannot read all of {named}; what it cannot read counts as missing"
            )

    def asking(self, revision: Revision | None, calls: list[Call]) -> Any:
        """How the formulas of a revision are asked."""
        today = self.today
        if revision is None:
            return today
        package = package_path(self.repository)
        if package is None:
            self.notes.append(
                f"{revision.label}: the formulas are not in this repository; today's stand for its own"
            )
            return today
        if not self.repository.differs(revision, f"{package}/{COMPUTE}"):
            return today
        if not self.repository.is_ancestor(revision):
            self.notes.append(
                f"{revision.label} is not in the history of HEAD, so that its formulas are not run; today's stand for them"
            )
            return today
        try:
            return PastFormulas(ask(self.repository, revision, package, calls), today)
        except HistoryError as error:
            self.notes.append(f"{error}; today's formulas stand for its own")
            return today


class Today:
    """Asks the formulas as they stand, each call once: most calls of two revisions are the same."""

    def __init__(self) -> None:
        self._results: dict[Call, Any] = {}

    def __call__(self, formula: Formula, arguments: Mapping[str, Any]) -> Any:
        call = call_of(formula.name, arguments)
        if call not in self._results:
            try:
                self._results[call] = formula(**arguments)
            except ComputeError as error:
                self._results[call] = error
        if isinstance(result := self._results[call], ComputeError):
            raise result
        return result


@dataclass(frozen=True)
class PastFormulas:
    """Asks the answers of an earlier revision; a call that was not put to it goes to today's formula."""

    answers: Mapping[Call, Answer]
    today: Today

    def __call__(self, formula: Formula, arguments: Mapping[str, Any]) -> Any:
        answer = self.answers.get(call_of(formula.name, arguments))
        if answer is None:
            return self.today(formula, arguments)
        if answer.no_answer is not None:
            raise NoAnswer(answer.no_answer)
        if answer.outputs is None:
            raise LeadsmanError(f"the earlier formula {formula.name} fails: {answer.error}")
        names = [output.name for output in formula.outputs]
        missing = [name for name in names if name not in answer.outputs]
        if missing:
            raise LeadsmanError(f"the earlier formula {formula.name} gives no {', '.join(missing)}")
        if len(names) == 1:
            return answer.outputs[names[0]]
        return _named(names, answer.outputs)


class _Outputs(tuple[Any, ...]):
    """Several outputs by name, as a formula gives them."""

    _fields: tuple[str, ...]

    def __getattr__(self, name: str) -> Any:
        if name in self._fields:
            return self[self._fields.index(name)]
        raise AttributeError(name)


def _named(names: list[str], outputs: Mapping[str, Any]) -> _Outputs:
    found = _Outputs(outputs[name] for name in names)
    found._fields = tuple(names)
    return found
