"""Compare two revisions of a content folder: read both from git, and each one's numbers as they were released.

No program text of another revision is run. The numbers that an edition printed lie beside its content as data
(``printed_numbers``); where there are none, today's formulas stand in and a note says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from leadsman.book.changes import Changes, compare
from leadsman.book.computed import Evaluate
from leadsman.book.number_changes import Side
from leadsman.book.printed_numbers import Call, PrintedNumbers, call_of, read_printed_numbers
from leadsman.compute.registry import ComputeError, Formula
from leadsman.content.catalogue import PRINTED_CARDS, PRINTED_NUMBERS, load, load_files
from leadsman.errors import LeadsmanError, Problem
from leadsman.history.repository import Repository, Revision

#: How many records that cannot be read are named in a note.
_NAMED = 3


@dataclass(frozen=True)
class Comparison:
    """What was compared, the commits between, and what changed."""

    old: Revision
    new: Revision | None
    commits: tuple[Revision, ...]
    changes: Changes
    printed_cards: bytes | None = None
    """The finished cards of the old revision, as its release kept them."""

    @property
    def span(self) -> str:
        """Both revisions in words."""
        return f"{self.old.label} to {self.new.label if self.new else 'the working folder'}"


def compare_revisions(content: Path, old: str, new: str | None = None, units: str = "metric") -> Comparison:
    """What changed for a reader from revision ``old`` to ``new`` (by default to the folder as it stands).

    Neither the working tree nor the index is touched, and nothing is written: both revisions are read from git's
    store into memory.
    """
    with Repository.of(content) as repository:
        before = repository.resolve(old)
        after = repository.resolve(new) if new is not None else None
        gathered = _Gathering(repository, content)
        sides = gathered.side(before), gathered.side(after)
        commits = tuple(repository.subjects(before, after))
    if repository.is_shallow:
        gathered.notes.append(
            "this clone holds only the latest part of the history: commits before it are not listed "
            "(git fetch --unshallow brings them)"
        )
    changes = compare(sides[0], sides[1], units, gathered.notes)
    if told := tuple(gathered.stood_in()):
        changes = replace(changes, notes=(*changes.notes, *told))
    return Comparison(before, after, commits, changes, gathered.cards.get(before.commit))


@dataclass
class _Gathering:
    repository: Repository
    content: Path
    notes: list[str] = field(default_factory=list)
    today: Today = field(default_factory=lambda: Today())
    asked: dict[str, PrintedNumbers] = field(default_factory=dict)
    cards: dict[str, bytes] = field(default_factory=dict)

    def side(self, revision: Revision | None) -> Side:
        """The content of a revision, or of the folder, and how its numbers are asked."""
        if revision is None:
            found = load(self.content)
            self._note(found.problems, "the working folder")
            return Side(found, self.today)
        files = self.repository.files(revision, self.repository.inside)
        numbers, cards = files.pop(PRINTED_NUMBERS, None), files.pop(PRINTED_CARDS, None)
        if cards is not None:
            self.cards[revision.commit] = cards
        found = load_files(self.content, files)
        if not found.records["phrases"]:
            # A revision from before the words of the frame were content: they were today's.
            found.records["phrases"] = load(self.content).records["phrases"]
        self._note(found.problems, revision.label)
        return Side(found, self._asking(revision, numbers))

    def _note(self, problems: list[Problem], where: str) -> None:
        """What today's rules cannot read of a revision becomes a note."""
        files = dict.fromkeys(Path(p.path).name for p in problems if p.severity == "error")
        if files:
            named = ", ".join(list(files)[:_NAMED]) + (" and others" if len(files) > _NAMED else "")
            self.notes.append(
                f"{where}: today's program cannot read all of {named}; what it cannot read counts as missing"
            )

    def _asking(self, revision: Revision, numbers: bytes | None) -> Evaluate:
        if numbers is None:
            self.notes.append(
                f"{revision.label} keeps no {PRINTED_NUMBERS}: today's formulas stand in for the numbers that it printed"
            )
            return self.today
        try:
            kept = PrintedNumbers(read_printed_numbers(numbers), self.today)
        except LeadsmanError as error:
            self.notes.append(f"{revision.label}: {error}; today's formulas stand in for its numbers")
            return self.today
        self.asked[revision.label] = kept
        return kept

    def stood_in(self) -> list[str]:
        """What was asked of an edition that it does not keep: the content changed after its release."""
        return [
            f"{label}: {PRINTED_NUMBERS} lacks {len(kept.stood_in)} of its numbers; today's formulas stand in for them"
            for label, kept in self.asked.items()
            if kept.stood_in
        ]


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
