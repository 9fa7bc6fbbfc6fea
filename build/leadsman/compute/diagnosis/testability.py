"""How good a set of tests is: the next best test, detection and isolation figures, posterior likelihoods."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from leadsman.compute.diagnosis.swap_matrix import (
    Name,
    Outcome,
    SwapMatrix,
    ambiguity_groups,
    single_fault_suspects,
)
from leadsman.compute.registry import ComputeError


def binary_entropy(chance: float) -> float:
    """Return the entropy in bits of an event that happens with the given chance; 0 log 0 counts as 0.

    Examples
    --------
    >>> binary_entropy(0.5)
    1.0
    """
    return -sum(p * math.log2(p) for p in (chance, 1.0 - chance) if p > 0.0)


@dataclass(frozen=True)
class NextTest:
    """A test that could be made next: its chance of failing, the information it gives, and that per minute."""

    test: str
    fails: float
    bits: float
    minutes: float

    @property
    def bits_per_minute(self) -> float:
        """The expected information per minute; infinite for a test that is informative and free."""
        return self.bits / self.minutes if self.minutes > 0.0 else math.inf


def next_best_tests(
    matrix: SwapMatrix,
    outcomes: Mapping[str, Outcome],
    likelihood: Mapping[str, float],
    minutes: Mapping[str, float],
    available: Collection[str] | None = None,
) -> tuple[NextTest, ...]:
    """Return the tests still worth making, ranked by expected information per minute under one fault.

    ``I = h(P(fail))`` with the likelihoods of the remaining suspects scaled to 1.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        The outcomes known; a test that could not tell may be proposed again.
    likelihood : mapping of str to float
        Prior likelihood of each cause (any scale).
    minutes : mapping of str to float
        Time of each test, with the accesses that it would have to open now.
    available : collection of str, optional
        The tests that can be made here; all by default.

    Returns
    -------
    tuple of NextTest
        The best first, ties in the matrix's order; empty when no test can tell the suspects apart.

    Notes
    -----
    Taking the first each time is a heuristic: on a published example it costs 2.86 tests where 2.18
    suffice.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a"}), "u": frozenset({"a", "b"})})
    >>> ranked = next_best_tests(matrix, {}, {"a": 0.5, "b": 0.25, "c": 0.25}, {"t": 2.0, "u": 1.0})
    >>> [(n.test, round(n.bits_per_minute, 2)) for n in ranked]
    [('u', 0.81), ('t', 0.5)]

    References
    ----------
    Shannon, C. E. A mathematical theory of communication. 1948.
    """
    suspects = single_fault_suspects(matrix, outcomes)
    weight = {cause: likelihood.get(cause, 0.0) for cause in suspects}
    total = sum(weight.values())
    if total <= 0.0:
        return ()
    known = {test for test, outcome in outcomes.items() if outcome is not Outcome.CANNOT_TELL}
    found = []
    for test, covered in matrix.tests.items():
        if test in known or (available is not None and test not in available):
            continue
        likely = {cause for cause in suspects if weight[cause]}
        if not 0 < len(likely & covered) < len(likely):
            continue  # Under all that is left it has the same outcome.
        fails = sum(weight[cause] for cause in suspects if cause in covered) / total
        found.append(NextTest(test, fails, binary_entropy(fails), minutes[test]))
    return tuple(sorted(found, key=lambda test: -test.bits_per_minute))


def fraction_detected(matrix: SwapMatrix, rates: Mapping[str, float] | None = None) -> float:
    """Return the fraction of faults detected (FFD): the failure rate of causes that some test involves, over the total.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    rates : mapping of str to float, optional
        Failure rate of each cause; without it every cause counts alike, which must then be said.

    Returns
    -------
    float
        0 to 1.

    Examples
    --------
    >>> fraction_detected(SwapMatrix(("a", "b"), {"t": frozenset({"a"})}), {"a": 3.0, "b": 1.0})
    0.75

    References
    ----------
    IEEE Std 1522-2004. Trial-use standard for testability and diagnosability characteristics and metrics.
    """
    rate = _rates(matrix, rates)
    return sum(rate[cause] for cause in matrix.causes if matrix.signatures[cause]) / sum(rate.values())


def fraction_isolated(
    matrix: SwapMatrix, group_size: int, rates: Mapping[str, float] | None = None, of_total: bool = False
) -> float:
    """Return the fraction of faults isolated (FFI) to an ambiguity group of at most a given size.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    group_size : int
        The greatest number of causes in the group.
    rates : mapping of str to float, optional
        Failure rate of each cause; without it every cause counts alike.
    of_total : bool
        Divide by the total rate; by default the detected rate is the divisor. Documents differ, so
        print which.

    Returns
    -------
    float
        0 to 1. Causes that no test involves are no group that can be isolated.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a"}), "u": frozenset({"b", "c"})})
    >>> fraction_isolated(matrix, 1, {"a": 1.0, "b": 2.0, "c": 1.0})
    0.25

    References
    ----------
    IEEE Std 1522-2004. Trial-use standard for testability and diagnosability characteristics and metrics.
    """
    rate = _rates(matrix, rates)
    detected = {cause for cause in matrix.causes if matrix.signatures[cause]}
    isolated = sum(
        rate[cause]
        for group in ambiguity_groups(matrix, among=detected)
        if len(group) <= group_size
        for cause in group
    )
    divisor = sum(rate.values()) if of_total else sum(rate[cause] for cause in detected)
    if divisor <= 0.0:
        raise ComputeError("no fault is detected, so none can be isolated")
    return isolated / divisor


def _rates(matrix: SwapMatrix, rates: Mapping[str, float] | None) -> dict[str, float]:
    if rates is None:
        return dict.fromkeys(matrix.causes, 1.0)
    if missing := [cause for cause in matrix.causes if cause not in rates]:
        raise ComputeError(f"no failure rate for {', '.join(missing)}")
    chosen = {cause: rates[cause] for cause in matrix.causes}
    if min(chosen.values()) < 0.0 or sum(chosen.values()) <= 0.0:
        raise ComputeError("failure rates must be 0 or more, and not all 0")
    return chosen


def rank_by_weight(
    explanations: Iterable[Collection[Name]], weights: Mapping[Name, float]
) -> tuple[frozenset[Name], ...]:
    """Return explanations (sets of causes) in ascending sum of their causes' weights.

    Examples
    --------
    >>> [sorted(s) for s in rank_by_weight([{"a"}, {"b", "c"}], {"a": 1.0, "b": 0.3, "c": 0.4})]
    [['b', 'c'], ['a']]
    """
    return tuple(sorted(map(frozenset, explanations), key=lambda causes: sum(weights[c] for c in causes)))


def rank_by_odds(
    explanations: Iterable[Collection[Name]], prior: Mapping[Name, float]
) -> tuple[frozenset[Name], ...]:
    """Return explanations, the likeliest first, under independent faults: by the product of r / (1 - r).

    Examples
    --------
    >>> [sorted(s) for s in rank_by_odds([{"a", "b"}, {"c"}], {"a": 0.5, "b": 0.5, "c": 0.1})]
    [['a', 'b'], ['c']]

    References
    ----------
    de Kleer, J., Williams, B. C. Diagnosing multiple faults. Artificial Intelligence 32. 1987.
    """

    def odds(causes: frozenset[Name]) -> float:
        return math.prod(prior[c] / (1.0 - prior[c]) if prior[c] < 1.0 else math.inf for c in causes)

    return tuple(sorted(map(frozenset, explanations), key=lambda causes: -odds(causes)))


def posterior_given_conflicts(
    prior: Mapping[str, float], conflict_sets: Iterable[Collection[str]]
) -> dict[str, float]:
    """Return each cause's probability of being present, given that every conflict holds a faulty one.

    All combinations of independent faults are enumerated; those that leave a conflict unexplained drop out.

    Parameters
    ----------
    prior : mapping of str to float
        Each cause's own probability; at most 16 causes.
    conflict_sets : iterable of collections of str
        From :func:`leadsman.compute.diagnosis.swap_matrix.conflicts`.

    Returns
    -------
    dict of str to float
        Posterior probabilities; they need not add up to 1.

    Examples
    --------
    >>> posterior_given_conflicts({"a": 0.1, "b": 0.1}, [{"a"}])
    {'a': 1.0, 'b': 0.1}

    References
    ----------
    de Kleer, J., Williams, B. C. Diagnosing multiple faults. Artificial Intelligence 32. 1987.
    """
    if len(prior) > 16:
        raise ComputeError(f"{len(prior)} causes are too many to enumerate (at most 16)")
    wanted = [frozenset(conflict) for conflict in conflict_sets]
    total, present = 0.0, dict.fromkeys(prior, 0.0)
    for world in itertools.product((False, True), repeat=len(prior)):
        faulty = {cause for cause, bad in zip(prior, world, strict=True) if bad}
        if all(faulty & conflict for conflict in wanted):
            chance = math.prod(p if cause in faulty else 1.0 - p for cause, p in prior.items())
            total += chance
            for cause in faulty:
                present[cause] += chance
    if total <= 0.0:
        raise ComputeError("no combination of faults explains the outcomes")
    return {cause: chance / total for cause, chance in present.items()}
