"""The expected time to isolate a fault by an order of checks, under a named model of the causes.

A :class:`CheckSet` holds the checks, what each finds, the likelihood of each cause, the accesses that
several checks share (opening the dash is paid once) and what must precede what. The best order is in
``leadsman.compute.diagnosis.best_order``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import ComputeError

if TYPE_CHECKING:
    from leadsman.compute.diagnosis.subsets import Subsets

#: The greatest number of checks that is solved exactly: 2 to this power sets are examined.
EXACT_LIMIT = 16

#: Two orders whose expected times differ by no more than this are equally good.
TIE_MIN = 1e-9

Array = NDArray[np.float64]


class Model(StrEnum):
    """How the causes are taken to occur; print the name beside every expected time."""

    SINGLE_FAULT = "single fault"
    ELIMINATION = "single fault with elimination"
    INDEPENDENT = "independent faults"


@dataclass(frozen=True)
class Check:
    """One check: its own minutes, and the chance that it finds each cause when that is the fault.

    ``setups`` names the accesses that must be open, ``after`` the checks that must come earlier;
    of each group in ``after_any`` at least one must. ``latest`` is the last place that it may have.
    Under the causes in ``spared`` the check is not made, since the answer of an earlier one leads past
    it; whoever says so also says in ``after`` which one, so that this holds in every legal order.
    """

    name: str
    minutes: float
    finds: Mapping[str, float] = field(default_factory=dict)
    setups: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()
    after_any: tuple[frozenset[str], ...] = ()
    latest: int | None = None
    spared: frozenset[str] = frozenset()


@dataclass(frozen=True)
class CheckSet:
    """A set of checks to be put in order.

    Under the single-fault models ``likelihood`` gives the probability that each cause is *the* fault;
    what is missing from 1 is the "other" mass, which no check finds and which pays for the whole list.
    Under the independent model it gives each cause's own probability of being present.
    """

    checks: tuple[Check, ...]
    likelihood: Mapping[str, float]
    setup_minutes: Mapping[str, float] = field(default_factory=dict)
    model: Model = Model.SINGLE_FAULT

    def __post_init__(self) -> None:
        """Refuse what has no meaning: unknown names, chances outside 0 to 1, negative minutes, circles."""
        names = [check.name for check in self.checks]
        if len(set(names)) != len(names):
            raise ComputeError("two checks have the same name")
        for check in self.checks:
            _demand(0.0 <= check.minutes < np.inf, f"{check.name}: minutes = {check.minutes}")
            for cause, chance in check.finds.items():
                _demand(cause in self.likelihood, f"{check.name} finds {cause!r}, which has no likelihood")
                _demand(0.0 <= chance <= 1.0, f"{check.name} finds {cause!r} with chance {chance}")
            for setup in check.setups:
                _demand(setup in self.setup_minutes, f"{check.name} needs {setup!r}, which has no minutes")
            _demand(check.after <= set(names), f"{check.name} comes after a check that does not exist")
            for group in check.after_any:
                _demand(
                    bool(group) and group <= set(names),
                    f"{check.name} comes after a check that does not exist",
                )
            _demand(
                check.spared <= set(self.likelihood),
                f"{check.name} is spared under a cause without likelihood",
            )
            _demand(
                not check.spared & set(check.finds), f"{check.name} finds a cause under which it is not made"
            )
        _demand(self.model is Model.SINGLE_FAULT or not any(check.spared for check in self.checks),
                f"checks that are not made under every cause need the model {Model.SINGLE_FAULT.value!r}")  # fmt: skip
        for cause, chance in self.likelihood.items():
            _demand(0.0 <= chance <= 1.0, f"likelihood of {cause!r} = {chance}")
        for setup, minutes in self.setup_minutes.items():
            _demand(0.0 <= minutes < np.inf, f"{setup}: minutes = {minutes}")
        if self.model is not Model.INDEPENDENT:
            total = sum(self.likelihood.values())
            _demand(total <= 1.0 + 1e-6, f"the likelihoods add up to {total:.6g}, more than 1")
        _demand(len(self.written_order) == len(names), "the checks precede one another in a circle")

    @classmethod
    def from_shares(
        cls,
        names: Sequence[str],
        shares: Sequence[float],
        minutes: Sequence[float],
        precedence: Sequence[tuple[str, str]] = (),
        model: Model = Model.SINGLE_FAULT,
    ) -> CheckSet:
        """Return the sequence in which each check finds one cause of its own, with the given likelihood."""
        checks = tuple(
            Check(name, time, {name: 1.0}, after=frozenset(a for a, b in precedence if b == name))
            for name, time in zip(names, minutes, strict=True)
        )
        return cls(checks, dict(zip(names, shares, strict=True)), model=model)

    def weighted(self, likelihood: Mapping[str, float]) -> CheckSet:
        """The same checks with other likelihoods of the same causes; what hangs on the checks alone is found once."""
        found = replace(self, likelihood={cause: likelihood.get(cause, 0.0) for cause in self.likelihood})
        for name in ("written_order", "misses", "made", "subsets"):
            # Each is found from the checks and from which causes there are, in which order.
            found.__dict__[name] = getattr(self, name)
        return found

    @cached_property
    def subsets(self) -> Subsets:
        """Every set of the checks."""
        from leadsman.compute.diagnosis.subsets import Subsets

        return Subsets(self)

    @property
    def other(self) -> float:
        """The likelihood that the fault is none of the causes listed (0 under the independent model)."""
        return 0.0 if self.model is Model.INDEPENDENT else max(0.0, 1.0 - sum(self.likelihood.values()))

    @property
    def names(self) -> tuple[str, ...]:
        """The checks' names in written order."""
        return tuple(check.name for check in self.checks)

    @cached_property
    def written_order(self) -> tuple[str, ...]:
        """The written order made legal; shorter than the list if the precedence runs in a circle."""
        done: list[str] = []
        waiting = list(self.checks)
        while ready := next((check for check in waiting if _ready(check, set(done))), None):
            done.append(ready.name)
            waiting.remove(ready)
        return tuple(done)

    @cached_property
    def misses(self) -> Array:
        """The chance that each check (row) misses each cause (column) though it is the fault."""
        return np.array(
            [[1.0 - check.finds.get(cause, 0.0) for cause in self.likelihood] for check in self.checks]
        ).reshape(len(self.checks), len(self.likelihood))

    @cached_property
    def made(self) -> Array:
        """1 where a check (row) is made under a cause (column) when it is not yet found, 0 where it is spared."""
        return np.array(
            [[float(cause not in check.spared) for cause in self.likelihood] for check in self.checks]
        ).reshape(len(self.checks), len(self.likelihood))

    @cached_property
    def chances(self) -> Array:
        """The likelihoods as an array, in the order of the columns of ``misses``."""
        return np.array(list(self.likelihood.values()), dtype=float)

    def still_unknown(self, missed: Array) -> Array:
        """Return the probability that the fault is not yet found.

        ``missed`` holds the chance that each cause, if present, was missed so far (causes on the last axis).
        """
        if self.model is Model.INDEPENDENT:
            return np.asarray(np.prod(1.0 - self.chances + self.chances * missed, axis=-1))
        left = self.chances * missed
        unknown = self.other + left.sum(axis=-1)
        if self.model is Model.ELIMINATION and self.other < 1e-9:
            unknown = np.where(np.count_nonzero(left > 1e-15, axis=-1) <= 1, 0.0, unknown)
        return np.asarray(unknown)


def _ready(check: Check, done: set[str]) -> bool:
    """Whether all that must come before the check has been done."""
    return check.after <= done and all(group & done for group in check.after_any)


def _demand(holds: bool, message: str) -> None:
    if not holds:
        raise ComputeError(message)


@dataclass(frozen=True)
class Stage:
    """Where a walk stands once a check is made: minutes spent so far and share of faults found."""

    check: str
    minutes: float
    found: float


def timeline(checks: CheckSet, order: Sequence[str]) -> tuple[Stage, ...]:
    """Return the minutes spent and the share of faults found after each check of an order.

    Parameters
    ----------
    checks : CheckSet
        The checks.
    order : sequence of str
        All their names, each once.

    Returns
    -------
    tuple of Stage
        One for each check ("by 15 min, 78 % are found").

    Examples
    --------
    >>> boxes = CheckSet.from_shares(["a", "b"], [0.8, 0.2], [3, 2])
    >>> [(stage.minutes, stage.found) for stage in timeline(boxes, ["b", "a"])]
    [(2.0, 0.2), (5.0, 1.0)]
    """
    index, minutes = _indexed(checks, order)
    spent = np.cumsum(minutes)
    missed = np.cumprod(checks.misses[index], axis=0)
    left = checks.chances * missed
    if checks.model is Model.INDEPENDENT:
        found = 1.0 - np.prod(1.0 - checks.chances + left, axis=1)
    else:
        found = 1.0 - checks.other - left.sum(axis=1)
    return tuple(Stage(name, float(m), float(f)) for name, m, f in zip(order, spent, found, strict=True))


def expected_minutes(checks: CheckSet, order: Sequence[str]) -> float:
    """Return an order's expected time to isolate: each check's time by its chance of being needed.

    ``E = sum_k (c[k] + accesses newly opened) * P(not found by the checks before k)``

    Parameters
    ----------
    checks : CheckSet
        The checks.
    order : sequence of str
        All their names, each once; it need not respect the precedence (see :func:`breaches`).

    Returns
    -------
    float
        Minutes.

    Notes
    -----
    Under the single-fault model the chance falls by addition, under the independent one by
    multiplication; the two give different numbers from the same inputs.

    Examples
    --------
    >>> boxes = CheckSet.from_shares(["a", "b"], [0.8, 0.2], [3, 2])
    >>> expected_minutes(boxes, ["a", "b"]), expected_minutes(boxes, ["b", "a"])
    (3.4, 4.4)

    References
    ----------
    Smith, W. E. Various optimizers for single-stage production. 1956 (single fault).
    Mitten, L. G. An analytic solution to the least cost testing sequence problem. 1960 (independent).
    """
    index, minutes = _indexed(checks, order)
    before = np.ones((len(index), len(checks.chances)))
    before[1:] = np.cumprod(checks.misses[index], axis=0)[:-1]
    if not any(check.spared for check in checks.checks):
        return float(np.dot(minutes, checks.still_unknown(before)))
    cost = _minutes_by_cause(checks, index)
    return float(checks.other * sum(minutes) + np.sum(checks.chances * before * cost))


def _minutes_by_cause(checks: CheckSet, index: Sequence[int]) -> Array:
    """Minutes of each check (rows, in the given order) under each cause: none where it is not made."""
    made = checks.made[index]
    cost = np.zeros(made.shape)
    opened = {setup: np.zeros(made.shape[1]) for setup in checks.setup_minutes}
    for row, check in enumerate(checks.checks[i] for i in index):
        cost[row] = check.minutes
        for setup in check.setups:
            cost[row] += checks.setup_minutes[setup] * (1.0 - opened[setup])
            opened[setup] = np.maximum(opened[setup], made[row])
    return np.asarray(cost * made)


def _indexed(checks: CheckSet, order: Sequence[str]) -> tuple[list[int], list[float]]:
    """The checks' positions in the given order, and the minutes of each with the accesses that it opens."""
    if sorted(order) != sorted(checks.names):
        raise ComputeError("an order names every check once: " + ", ".join(checks.names))
    index = [checks.names.index(name) for name in order]
    opened: set[str] = set()
    minutes = []
    for check in (checks.checks[i] for i in index):
        minutes.append(check.minutes + sum(checks.setup_minutes[s] for s in check.setups - opened))
        opened |= check.setups
    return index, minutes


def is_legal(checks: CheckSet, order: Sequence[str]) -> bool:
    """Return whether an order keeps every precedence: single ones, groups, and latest places.

    Parameters
    ----------
    checks : CheckSet
        The checks.
    order : sequence of str
        Their names.

    Returns
    -------
    bool
        True when it keeps them all.

    Examples
    --------
    >>> either = Check("c", 1.0, after_any=(frozenset({"a", "b"}),))
    >>> checks = CheckSet((Check("a", 1.0), Check("b", 1.0), either), {})
    >>> is_legal(checks, ["b", "c", "a"]), is_legal(checks, ["c", "a", "b"])
    (True, False)
    """
    by_name, done = {check.name: check for check in checks.checks}, set[str]()
    for place, name in enumerate(order, 1):
        check = by_name[name]
        if not _ready(check, done) or (check.latest is not None and place > check.latest):
            return False
        done.add(name)
    return True


def breaches(checks: CheckSet, order: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Return each pair (earlier, later) of checks whose precedence an order breaks.

    Parameters
    ----------
    checks : CheckSet
        The checks.
    order : sequence of str
        Their names.

    Returns
    -------
    tuple of (str, str)
        Empty when the order is legal.

    Examples
    --------
    >>> two = CheckSet.from_shares(["a", "b"], [0.8, 0.2], [3, 2], precedence=[("a", "b")])
    >>> breaches(two, ["b", "a"])
    (('a', 'b'),)
    """
    place = {name: number for number, name in enumerate(order)}
    return tuple(
        (first, check.name)
        for check in checks.checks
        for first in sorted(check.after)
        if place[first] > place[check.name]
    )
