"""The order of checks with the least expected time to isolate, exactly, beside the order as written.

Dynamic programming over the sets of checks already made, for up to :data:`EXACT_LIMIT` checks; a longer
list gets a labelled heuristic (``leadsman.compute.diagnosis.order_ratios``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.diagnosis.order_ratios import improved_order
from leadsman.compute.diagnosis.sequencing import (
    EXACT_LIMIT,
    TIE_MIN,
    CheckSet,
    Model,
    breaches,
    expected_minutes,
)
from leadsman.compute.registry import ComputeError

Array = NDArray[np.float64]


class _Table:
    """For every set of checks already made, the least expected minutes still to come."""

    def __init__(self, checks: CheckSet) -> None:
        self.check_set, self.size = checks, len(checks.checks)
        if self.size > EXACT_LIMIT:
            raise ComputeError(f"{self.size} checks are too many for the exact order (at most {EXACT_LIMIT})")
        self.subsets = checks.subsets
        self.now = self._now()
        self.to_go = np.full(1 << self.size, np.inf)
        self.to_go[-1] = 0.0
        for count in range(self.size - 1, -1, -1):
            here, onward = self.subsets.by_count[count], self.subsets.onward[count]
            # Sets of one size need only the values of the sets that are one larger.
            self.to_go[here] = np.min(self.now[:, here] + self.to_go[onward], axis=0, initial=np.inf)
            for late in self.subsets.late[count]:
                self.to_go[late] = np.inf
        if not np.isfinite(self.to_go[0]):
            raise ComputeError("no order keeps every precedence and every latest place")

    def _now(self) -> Array:
        """The expected minutes of each check (row) when it is made after each set (column); inf where it may not be."""
        subsets, other = self.subsets, self.check_set.other
        if any(check.spared for check in self.check_set.checks):
            left, costs = self.check_set.chances * subsets.missed, []
            for number, minutes in enumerate(subsets.minutes):
                made, each = subsets.by_cause(number)
                costs.append(other * minutes + np.sum(np.compress(made, left, axis=1) * each, axis=1))
        else:
            unknown = self.check_set.still_unknown(subsets.missed)
            costs = [minutes * unknown for minutes in subsets.minutes]
        if not costs:
            return np.empty((0, subsets.sets.size))
        return np.where(np.array(subsets.legal), np.array(costs), np.inf)

    def best_next(self, done: int) -> list[int]:
        """The checks that may come next without loss, in written order."""
        through = self.now[:, done] + self.to_go[done | 1 << np.arange(self.size)]
        return [
            number
            for number, minutes in enumerate(through)
            if np.isfinite(self.now[number, done]) and minutes <= self.to_go[done] + TIE_MIN
        ]


@dataclass(frozen=True)
class BestOrder:
    """An order with its expected minutes; ``exact`` tells a proved optimum from a heuristic's best find."""

    order: tuple[str, ...]
    minutes: float
    exact: bool
    method: str
    model: Model


def best_order(checks: CheckSet) -> BestOrder:
    """Return the legal order with the least expected time to isolate, by dynamic programming.

    ``V(S) = min over legal j of (c[j] + new accesses) * P(not found by S) + V(S + j)``

    Parameters
    ----------
    checks : CheckSet
        The checks. Up to :data:`EXACT_LIMIT` of them are solved exactly; for more the result is a
        heuristic's and is labelled so.

    Returns
    -------
    BestOrder
        Ties go to the check that is written first.

    Notes
    -----
    Exact for any precedence, shared accesses, overlapping causes and imperfect checks, since the
    chance of being needed and the accesses open depend only on the *set* of checks made before.

    Examples
    --------
    >>> from leadsman.compute.diagnosis.sequencing import CheckSet
    >>> cover = CheckSet.from_shares(
    ...     ["open the cover", "fuse", "plug", "display"], [0.0, 0.6, 0.3, 0.1], [3, 1, 4, 2],
    ...     precedence=[("open the cover", "fuse")],
    ... )
    >>> best = best_order(cover)
    >>> best.order, best.minutes
    (('open the cover', 'fuse', 'plug', 'display'), 5.8)

    References
    ----------
    Held, M., Karp, R. M. A dynamic programming approach to sequencing problems. 1962.
    """
    if len(checks.checks) > EXACT_LIMIT:
        order = improved_order(checks)
        method = "heuristic: best ratio of likelihood to time first, then improved by moving single checks"
        return BestOrder(order, expected_minutes(checks, order), False, method, checks.model)
    table = _Table(checks)
    done, found = 0, list[str]()
    for _ in checks.checks:
        number = table.best_next(done)[0]
        found.append(checks.names[number])
        done |= 1 << number
    method = "exact: dynamic programming over the sets of checks made"
    return BestOrder(tuple(found), float(table.to_go[0]), True, method, checks.model)


def best_orders(checks: CheckSet) -> Iterator[tuple[str, ...]]:
    """Yield every legal order that attains the least expected time, lazily.

    Parameters
    ----------
    checks : CheckSet
        At most :data:`EXACT_LIMIT` checks.

    Yields
    ------
    tuple of str
        The checks' names.

    Examples
    --------
    >>> from leadsman.compute.diagnosis.sequencing import CheckSet
    >>> list(best_orders(CheckSet.from_shares(["a", "b"], [0.5, 0.5], [2, 2])))
    [('a', 'b'), ('b', 'a')]
    """
    table = _Table(checks)
    stack: list[tuple[int, tuple[str, ...]]] = [(0, ())]
    while stack:
        done, order = stack.pop()
        if len(order) == table.size:
            yield order
            continue
        for number in reversed(table.best_next(done)):
            stack.append((done | 1 << number, (*order, checks.names[number])))


@dataclass(frozen=True)
class OrderReport:
    """A written order beside the best legal one; ``excess`` is how much longer it takes, as a fraction."""

    written: tuple[str, ...]
    written_minutes: float
    best: BestOrder
    excess: float
    breaches: tuple[tuple[str, str], ...]
    other: float


def compare_orders(checks: CheckSet, written: Sequence[str]) -> OrderReport:
    """Set a written order's expected minutes beside the best legal order's.

    Parameters
    ----------
    checks : CheckSet
        The checks.
    written : sequence of str
        The order as an entry has it.

    Returns
    -------
    OrderReport
        ``excess`` is 0 for the best order; it can be negative only if the written order breaks a precedence.

    Examples
    --------
    >>> from leadsman.compute.diagnosis.sequencing import CheckSet
    >>> report = compare_orders(CheckSet.from_shares(["a", "b"], [0.8, 0.2], [3, 2]), ["b", "a"])
    >>> round(report.excess, 3)
    0.294
    """
    minutes = expected_minutes(checks, written)
    best = best_order(checks)
    excess = minutes / best.minutes - 1.0 if best.minutes > 0.0 else 0.0
    return OrderReport(tuple(written), minutes, best, excess, breaches(checks, written), checks.other)
