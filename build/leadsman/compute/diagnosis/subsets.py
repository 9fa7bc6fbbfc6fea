"""Every set of checks that can have been made, with what of it does not hang on the likelihoods of the causes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from leadsman.compute.diagnosis.sequencing import CheckSet

#: Up to so many checks all minutes are kept; those of more fill the memory.
_KEPT = 12

Array = NDArray[np.float64]
Sets = NDArray[np.int64]


class Subsets:
    """The sets of some checks, each a number with a bit for each check.

    Parameters
    ----------
    checks : CheckSet
        The checks; their likelihoods are not looked at.
    """

    def __init__(self, checks: CheckSet) -> None:
        self.checks, self.setup_minutes, self.made = checks.checks, checks.setup_minutes, checks.made
        self.size = len(self.checks)
        self.sets: Sets = np.arange(1 << self.size)
        bit = {check.name: 1 << number for number, check in enumerate(self.checks)}
        self._needs = [sum(bit[name] for name in check.after) for check in self.checks]
        self._groups = [[sum(bit[n] for n in group) for group in check.after_any] for check in self.checks]
        self._users = {
            setup: sum(bit[check.name] for check in self.checks if setup in check.setups)
            for setup in self.setup_minutes
        }
        missed = np.ones((1, checks.misses.shape[1]))
        for row in checks.misses:
            missed = np.concatenate([missed, missed * row])
        #: The chance that each set (row) misses each cause (column) though it is the fault.
        self.missed: Array = missed
        self._by_cause: dict[int, tuple[NDArray[np.bool_], Array]] = {}
        #: Whether each check (inner) may come next after each set (outer).
        self.legal = [self._legal(number) for number in range(self.size)]

    @cached_property
    def by_count(self) -> list[Sets]:
        """The sets with no check, with one, and so on."""
        members = sum((self.sets >> number) & 1 for number in range(self.size)) if self.size else self.sets
        order = np.argsort(members, kind="stable")
        ends = np.cumsum(np.bincount(members, minlength=self.size + 1))
        return [order[(ends[count - 1] if count else 0) : ends[count]] for count in range(self.size + 1)]

    @cached_property
    def onward(self) -> list[Sets]:
        """For the sets of each count but the last, the set that each check (row) makes of each (column)."""
        bits = (1 << np.arange(self.size))[:, np.newaxis]
        return [sets | bits for sets in self.by_count[:-1]]

    @cached_property
    def late(self) -> list[Sequence[Sets]]:
        """For each count but the last, the sets that lack a check which should have been made by now."""
        return [
            [
                sets[(sets >> number) & 1 == 0]
                for number, check in enumerate(self.checks)
                if check.latest is not None and count >= check.latest
            ]
            for count, sets in enumerate(self.by_count[:-1])
        ]

    @cached_property
    def minutes(self) -> list[Array]:
        """The minutes of each check after each set, with the accesses that it opens."""
        unopened = {setup: self.sets & users == 0 for setup, users in self._users.items()}
        found = []
        for check in self.checks:
            minutes = np.full(self.sets.shape, check.minutes, dtype=float)
            for setup in check.setups:
                minutes = minutes + self.setup_minutes[setup] * unopened[setup]
            found.append(minutes)
        return found

    def by_cause(self, number: int) -> tuple[NDArray[np.bool_], Array]:
        """The causes under which a check is made, and its minutes after each set (row) under each of them."""
        if number in self._by_cause:
            return self._by_cause[number]
        check, made = self.checks[number], self.made[number] > 0
        minutes = np.full((self.sets.size, int(made.sum())), float(check.minutes))
        for setup in check.setups:
            minutes += self.setup_minutes[setup] * ~np.compress(made, self._opened[setup], axis=1)
        if self.size <= _KEPT:
            self._by_cause[number] = made, minutes
        return made, minutes

    @cached_property
    def _opened(self) -> dict[str, NDArray[np.bool_]]:
        """For each access, whether a set of checks (row) has opened it under a cause (column)."""
        found: dict[str, NDArray[np.bool_]] = {}
        for number, check in enumerate(self.checks):
            for setup in check.setups:
                opens = np.outer((self.sets >> number) & 1 == 1, self.made[number] > 0)
                found[setup] = found[setup] | opens if setup in found else opens
        return found

    def _legal(self, number: int) -> NDArray[np.bool_]:
        """Whether the check is still to be made and all that must precede it has been."""
        sets, needs = self.sets, self._needs[number]
        ready = ((sets >> number) & 1 == 0) & (sets & needs == needs)
        for group in self._groups[number]:
            ready = ready & (sets & group != 0)
        return np.asarray(ready)
