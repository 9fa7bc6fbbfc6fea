"""What closed cases teach an entry: new likelihoods with their intervals, orders that should change, and a patch."""

from __future__ import annotations

import dataclasses
import difflib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from leadsman.book.closed import ClosedCase
from leadsman.compute.diagnosis.best_order import best_order
from leadsman.compute.diagnosis.learning import draw_shares
from leadsman.compute.diagnosis.sequencing import expected_minutes
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.fault import HISTORIES
from leadsman.content.ordering import Ordering
from leadsman.errors import quoted

#: The written likelihoods count as so many cases, unless the call says otherwise (choice: one writer's experience).
PRIOR_WEIGHT = 20.0
#: An order should change when it saves time in this share of the draws, and at least so many minutes (choices).
SURE, LEAST_SAVING = 0.95, 0.5
#: Draws on which an order is judged.
_ORDER_DRAWS = 200


@dataclass(frozen=True)
class LearntCause:
    """One cause in one history: its share as written, and after the cases with its 95 % interval."""

    cause: str
    written: float
    mean: float
    low: float
    high: float
    seen: float


@dataclass(frozen=True)
class Learnt:
    """One entry in one history: all its causes, from so many cases."""

    entry: str
    history: str
    cases: int
    causes: tuple[LearntCause, ...]
    draws: NDArray[np.float64] = dataclasses.field(repr=False, compare=False)

    @property
    def changed(self) -> tuple[LearntCause, ...]:
        """Causes whose written share lies outside its interval."""
        return tuple(c for c in self.causes if not c.low <= c.written <= c.high)


def learn(
    cases: Sequence[ClosedCase], catalogue: Catalogue, weight: float = PRIOR_WEIGHT
) -> Iterator[Learnt]:
    """Likelihoods by entry and history from the cases that teach some."""
    for entry in catalogue.faults.values():
        names = [cause.id for cause in entry.causes]
        for history in HISTORIES:
            here = [c for c in cases if c.counts and (c.entry, c.history) == (entry.id, history)]
            written = np.array([cause.prior.share(history) for cause in entry.causes])
            if not here or not written.sum():
                continue
            written = written / written.sum()
            certain = Counter(case.causes[0] for case in here if len(case.causes) == 1)
            several = [
                [float(name in case.causes) for name in names] for case in here if len(case.causes) > 1
            ]
            draws = draw_shares(list(written), weight, [float(certain[name]) for name in names], several)
            low, high = np.quantile(draws, [0.025, 0.975], axis=0)
            mean = draws.mean(axis=0)
            seen = mean * (weight + len(here)) - weight * written
            found = tuple(LearntCause(*each) for each in zip(names, *(map(float, column) for column in (written, mean, low, high, np.maximum(seen, 0.0))), strict=True))  # fmt: skip
            yield Learnt(entry.id, history, len(here), found, draws)


@dataclass(frozen=True)
class OrderChange:
    """An entry whose best order after a history is another one, now that the likelihoods are known better."""

    entry: str
    history: str
    written_minutes: float
    best_minutes: float
    order: tuple[str, ...]
    sure: float
    """Share of the draws in which the new order is the quicker one."""


def order_changes(learnt: Sequence[Learnt], catalogue: Catalogue) -> Iterator[OrderChange]:
    """Where the order of checks should change, with the minutes that it saves."""
    for found in learnt:
        decision = Decision(catalogue.faults[found.entry], catalogue)
        ordering = Ordering(decision).after(found.history)
        checks = ordering.check_set()
        names = [cause.cause for cause in found.causes]
        columns = list(checks.likelihood)
        # A column is named after its first cause and holds all that behave alike.
        ways: dict[object, list[int]] = {}
        for (cause, _), way in ordering.ways.items():
            ways.setdefault((way.convicting, frozenset(way.made)), []).append(names.index(cause))
        groups = list(ways.values())
        if len(groups) != len(columns):
            continue

        def weighted(shares: NDArray[np.float64], columns: list[str] = columns, groups: list[list[int]] = groups) -> dict[str, float]:  # fmt: skip
            values = [float(shares[group].sum()) for group in groups]
            return {column: value / sum(values) for column, value in zip(columns, values, strict=True)}

        mean = dataclasses.replace(checks, likelihood=weighted(np.array([c.mean for c in found.causes])))
        best = best_order(mean)
        now = expected_minutes(mean, ordering.written)
        if now - best.minutes < LEAST_SAVING:
            continue
        better = 0
        for shares in found.draws[:: len(found.draws) // _ORDER_DRAWS]:
            drawn = dataclasses.replace(checks, likelihood=weighted(shares))
            better += expected_minutes(drawn, best.order) < expected_minutes(drawn, ordering.written)
        sure = better / len(found.draws[:: len(found.draws) // _ORDER_DRAWS])
        if sure >= SURE:
            yield OrderChange(found.entry, found.history, now, best.minutes, best.order, sure)


# --- a proposed edit ---------------------------------------------------------------------------------

_TOKEN = re.compile(r"\d+(?:\.\d+)?")


def proposed_patch(learnt: Sequence[Learnt], catalogue: Catalogue) -> str:
    """A patch for git that puts the learnt shares in place of the written ones; nothing is written anywhere.

    Only shares whose interval leaves the written one out are proposed; the others keep their number.
    """
    edits: dict[str, list[tuple[int, str, float]]] = {}
    for found in learnt:
        entry = catalogue.faults[found.entry]
        total = sum(cause.prior.share(found.history) for cause in entry.causes)
        for number, item in enumerate(found.causes):
            if item in found.changed:
                edits.setdefault(found.entry, []).append(
                    (number, found.history, max(1.0, round(item.mean * total)))
                )
    return "".join(_file_patch(name, lines, catalogue) for name, lines in edits.items())


def _file_patch(entry: str, edits: Sequence[tuple[int, str, float]], catalogue: Catalogue) -> str:
    document, _ = catalogue.origins["faults", entry]
    lines = document.text.splitlines(keepends=True)
    places = []
    for number, history, share in edits:
        key = history.replace("-", "_")
        place = ("causes", number, "prior", key)
        known = catalogue.faults[entry].causes[number].prior
        if place in document.values:
            places.append((*document.values[place], f"{share:g}", False, ""))
        else:
            last = [k for k in type(known).model_fields if ("causes", number, "prior", k) in document.values][
                -1
            ]
            block = document.keys["causes", number, "prior", last]
            flow = "{" in lines[block[0] - 1][: block[1]]
            joint = ", " if flow else "\n" + " " * (block[1] - 1)
            places.append(
                (*document.values["causes", number, "prior", last], f"{joint}{key}: {share:g}", True, "")
            )
    for line, column, text, behind, _ in sorted(places, reverse=True):
        old = lines[line - 1]
        match = _TOKEN.match(old, column - 1)
        assert match is not None
        keep = match[0] if behind else ""
        lines[line - 1] = old[: column - 1] + keep + text + old[match.end() :]
    path = f"content/{document.path.relative_to(catalogue.folder).as_posix()}"
    return "".join(difflib.unified_diff(document.text.splitlines(keepends=True), "".join(lines).splitlines(keepends=True),
                                        f"a/{path}", f"b/{path}"))  # fmt: skip


# --- counts ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class EntryCount:
    """How the cases of one entry ended."""

    entry: str
    cases: int
    proved: int
    handed_over: int
    nothing: int
    other: int
    came_back: int
    minutes: float | None
    """Mean minutes of those that say them."""


def counts(cases: Sequence[ClosedCase], catalogue: Catalogue) -> list[EntryCount]:
    """The cases by entry, those with most cases first."""
    found = []
    for entry in catalogue.faults:
        here = [case for case in cases if case.entry == entry]
        if here:
            told = [case.minutes for case in here if case.minutes is not None]
            found.append(EntryCount(entry, len(here), sum(c.proved for c in here),
                                    sum(c.verdict == "hand-over" for c in here), sum(c.verdict == "nothing" for c in here),
                                    sum(c.verdict == "other" for c in here), sum(c.came_back for c in here),
                                    sum(told) / len(told) if told else None))  # fmt: skip
    return sorted(found, key=lambda count: -count.cases)


def unnamed_causes(cases: Sequence[ClosedCase]) -> Mapping[tuple[str, str], int]:
    """Causes that no card names: entry and words, with how often."""
    return Counter((case.entry, quoted(case.end.casefold(), 80)) for case in cases if case.verdict == "other")
