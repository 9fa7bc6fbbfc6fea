"""The swap matrix: which components each test involves, and what its outcomes leave under suspicion.

This is the dependency matrix (D-matrix) of testability engineering: rows are causes (components),
columns are tests, and a test fails if any cause that it involves is present. Suspects are computed
under the single-fault assumption and, separately, for up to two faults; a "cannot tell" outcome
removes nothing. The result never depends on the order in which outcomes are entered.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TypeVar

from leadsman.compute.registry import ComputeError

Name = TypeVar("Name", bound=Hashable)


class Outcome(StrEnum):
    """What a test showed."""

    PASS = "pass"
    FAIL = "fail"
    CANNOT_TELL = "cannot tell"


class State(StrEnum):
    """What is known of a component when several may be faulty."""

    GOOD = "good"
    BAD = "bad"
    SUSPECT = "suspect"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class SwapMatrix:
    """The causes, and for each test the set of causes that it involves."""

    causes: tuple[str, ...]
    tests: Mapping[str, frozenset[str]]

    def __post_init__(self) -> None:
        """Refuse repeated causes and tests of what is not on the list."""
        if len(set(self.causes)) != len(self.causes):
            raise ComputeError("a cause is listed twice")
        for test, involved in self.tests.items():
            if unknown := sorted(involved - set(self.causes)):
                raise ComputeError(f"{test} involves what is no cause: {', '.join(unknown)}")

    @cached_property
    def signatures(self) -> Mapping[str, frozenset[str]]:
        """For each cause, the tests that it makes fail."""
        return {
            cause: frozenset(test for test, involved in self.tests.items() if cause in involved)
            for cause in self.causes
        }

    def in_order(self, causes: Collection[str]) -> tuple[str, ...]:
        """The given causes in the matrix's own order."""
        return tuple(cause for cause in self.causes if cause in causes)

    def failed(self, outcomes: Mapping[str, Outcome]) -> tuple[str, ...]:
        """The tests that failed, in the matrix's own order; an unknown test is refused."""
        if unknown := sorted(set(outcomes) - set(self.tests)):
            raise ComputeError(f"no such test: {', '.join(unknown)}")
        return tuple(test for test in self.tests if outcomes.get(test) is Outcome.FAIL)

    def cleared(self, outcomes: Mapping[str, Outcome]) -> frozenset[str]:
        """The causes that some passed test involves."""
        self.failed(outcomes)
        passed = (self.tests[test] for test, outcome in outcomes.items() if outcome is Outcome.PASS)
        return frozenset[str]().union(*passed)


def involved(
    chain: Iterable[str], replaced: Iterable[str], brought_good: Iterable[str] = ()
) -> frozenset[str]:
    """Return the components that a swap test still involves: the chain less what the borrowed part stands in for.

    Parameters
    ----------
    chain : iterable of str
        The components in use during the test.
    replaced : iterable of str
        Those that the borrowed part takes the place of.
    brought_good : iterable of str
        Those that it carries with it in a known good state (settings, software, mounting, clean water).

    Returns
    -------
    frozenset of str
        What a pass clears and a failure leaves under suspicion.

    Notes
    -----
    A borrowed transducer over the side brings its own mounting and clean water: if it works, the old
    transducer, its cable, its mounting and its face all stay suspect. Common practice, no source.

    Examples
    --------
    >>> sorted(involved(["display", "cable", "element", "mounting"], ["element", "cable"], ["mounting"]))
    ['display']
    """
    return frozenset(chain) - frozenset(replaced) - frozenset(brought_good)


def swap_outcome(
    fault_before: bool, fault_with_swap: bool, fault_returned: bool | None, intermittent: bool = False
) -> Outcome:
    """Return what an A-B-A swap shows: a pass only if the fault was there, went with the swap, and came back.

    Parameters
    ----------
    fault_before : bool
        The fault was present just before the swap (A).
    fault_with_swap : bool
        It was present with the borrowed part (B).
    fault_returned : bool or None
        It came back with the old part (A); None when this was not tried.
    intermittent : bool
        The fault comes and goes by itself.

    Returns
    -------
    Outcome
        ``FAIL`` if the fault stays with the borrowed part; ``PASS`` if the whole A-B-A agrees and the
        fault is steady; otherwise ``CANNOT_TELL``: a connection may have been mended or a unit
        restarted by the act of swapping. An intermittent fault is never cleared by a pass.

    Notes
    -----
    Common practice, no source.

    Examples
    --------
    >>> swap_outcome(True, False, False).value, swap_outcome(True, False, True).value
    ('cannot tell', 'pass')
    """
    if fault_with_swap:
        return Outcome.FAIL
    if fault_before and fault_returned and not intermittent:
        return Outcome.PASS
    return Outcome.CANNOT_TELL


def single_fault_suspects(matrix: SwapMatrix, outcomes: Mapping[str, Outcome]) -> tuple[str, ...]:
    """Return the causes that alone explain every known outcome.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        Tests not named, and those that cannot tell, remove nothing.

    Returns
    -------
    tuple of str
        Empty when no single cause fits: two faults, a wrong matrix, or a test that lied.

    Examples
    --------
    >>> matrix = SwapMatrix(("feed", "plug", "display"), {"lamp": frozenset({"feed", "plug"})})
    >>> single_fault_suspects(matrix, {"lamp": Outcome.PASS})
    ('display',)
    """
    suspects = set(matrix.causes) - matrix.cleared(outcomes)
    for test in matrix.failed(outcomes):
        suspects &= matrix.tests[test]
    return matrix.in_order(suspects)


def conflicts(matrix: SwapMatrix, outcomes: Mapping[str, Outcome]) -> tuple[frozenset[str], ...]:
    """Return, for each failed test, the causes of which at least one must be present: those it involves, less the cleared.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        The outcomes known.

    Returns
    -------
    tuple of frozenset of str
        In the matrix's order of tests; an empty set says that the outcomes contradict one another.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b"), {"t": frozenset({"a", "b"}), "u": frozenset({"a"})})
    >>> conflicts(matrix, {"t": Outcome.FAIL, "u": Outcome.PASS})
    (frozenset({'b'}),)
    """
    cleared = matrix.cleared(outcomes)
    return tuple(matrix.tests[test] - cleared for test in matrix.failed(outcomes))


def minimal_hitting_sets(
    conflict_sets: Iterable[Collection[Name]], most: int | None = None
) -> tuple[frozenset[Name], ...]:
    """Return the smallest sets of causes that explain all failures: each contains one cause of every conflict.

    Parameters
    ----------
    conflict_sets : iterable of collections
        The conflicts.
    most : int, optional
        The greatest number of faults considered together; without it, any.

    Returns
    -------
    tuple of frozenset
        Minimal sets only, the smaller first, then by name. One empty set when there is no conflict;
        nothing at all when a conflict is empty or the limit is too low.

    Examples
    --------
    >>> [sorted(s) for s in minimal_hitting_sets([{"x1", "x2"}, {"x1", "a2", "o1"}])]
    [['x1'], ['a2', 'x2'], ['o1', 'x2']]

    References
    ----------
    Reiter, R. A theory of diagnosis from first principles. Artificial Intelligence 32. 1987.
    de Kleer, J., Williams, B. C. Diagnosing multiple faults. Artificial Intelligence 32. 1987.
    """
    wanted = [frozenset(conflict) for conflict in conflict_sets]
    candidates = sorted(frozenset[Name]().union(*wanted), key=str)
    limit = len(candidates) if most is None else min(most, len(candidates))
    found: list[frozenset[Name]] = []
    for size in range(limit + 1):
        for chosen in map(frozenset, itertools.combinations(candidates, size)):
            if all(chosen & conflict for conflict in wanted) and not any(less <= chosen for less in found):
                found.append(chosen)
    return tuple(found)


def states(matrix: SwapMatrix, outcomes: Mapping[str, Outcome]) -> dict[str, State]:
    """Return what is known of each component when any number of them may be faulty.

    A passed test clears what it involves; what a failed test involves and nothing clears is suspect,
    and bad if it is the only such one; the rest is unknown. A bad component clears no other.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        The outcomes known.

    Returns
    -------
    dict of str to State
        One state for each cause.

    Examples
    --------
    >>> matrix = SwapMatrix(("feed", "plug", "display"), {"lamp": frozenset({"feed"}), "bench": frozenset({"display"})})
    >>> [state.value for state in states(matrix, {"lamp": Outcome.PASS, "bench": Outcome.FAIL}).values()]
    ['good', 'unknown', 'bad']
    """
    cleared, found = matrix.cleared(outcomes), conflicts(matrix, outcomes)
    suspect = frozenset[str]().union(*found)
    bad = frozenset[str]().union(*(conflict for conflict in found if len(conflict) == 1))

    def state(cause: str) -> State:
        if cause in cleared:
            return State.GOOD
        if cause in bad:
            return State.BAD
        return State.SUSPECT if cause in suspect else State.UNKNOWN

    return {cause: state(cause) for cause in matrix.causes}


def ambiguity_groups(
    matrix: SwapMatrix, among: Collection[str] | None = None, tests: Collection[str] | None = None
) -> tuple[tuple[str, ...], ...]:
    """Return the groups of causes that the tests cannot tell apart, since each test involves all or none of them.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    among : collection of str, optional
        Only these causes (the suspects that remain).
    tests : collection of str, optional
        Only these tests (those that can be made here).

    Returns
    -------
    tuple of tuple of str
        Groups in the order of their first cause; a group of one is told apart from all others.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a", "b"})})
    >>> ambiguity_groups(matrix)
    (('a', 'b'), ('c',))
    """
    usable = frozenset(matrix.tests if tests is None else tests)
    groups: dict[frozenset[str], list[str]] = {}
    for cause in matrix.causes:
        if among is None or cause in among:
            groups.setdefault(matrix.signatures[cause] & usable, []).append(cause)
    return tuple(tuple(group) for group in groups.values())


@dataclass(frozen=True)
class Suspicion:
    """What a set of outcomes means.

    ``single`` are the causes that alone explain it, ``groups`` those of them that no test tells apart,
    ``pairs`` the minimal explanations by exactly two faults, ``states`` what holds for any number.
    """

    single: tuple[str, ...]
    groups: tuple[tuple[str, ...], ...]
    pairs: tuple[tuple[str, str], ...]
    states: Mapping[str, State]
    contradiction: bool

    @property
    def no_single_cause_fits(self) -> bool:
        """Whether the single-fault assumption is broken: to be reported, never passed over."""
        return not self.single


def suspicion(matrix: SwapMatrix, outcomes: Mapping[str, Outcome]) -> Suspicion:
    """Return all that a set of outcomes says, under one fault and under two.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        The outcomes known.

    Returns
    -------
    Suspicion
        With the contradiction noted when a failed test involves only what passes have cleared.

    Notes
    -----
    Two faults are taken to combine so that a test fails if either would make it fail; faults that mask
    each other lie outside the model.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a", "b"}), "u": frozenset({"b", "c"})})
    >>> seen = suspicion(matrix, {"t": Outcome.FAIL, "u": Outcome.FAIL})
    >>> seen.single, seen.pairs
    (('b',), (('a', 'c'),))
    """
    found = conflicts(matrix, outcomes)
    single = single_fault_suspects(matrix, outcomes)
    pairs = [matrix.in_order(chosen) for chosen in minimal_hitting_sets(found, most=2) if len(chosen) == 2]
    return Suspicion(
        single=single,
        groups=ambiguity_groups(matrix, among=single),
        pairs=tuple(sorted(((a, b) for a, b in pairs), key=lambda p: tuple(map(matrix.causes.index, p)))),
        states=states(matrix, outcomes),
        contradiction=not all(found),
    )


@dataclass(frozen=True)
class Support:
    """Whether the outcomes bear out a verdict, and the reasons why not."""

    holds: bool
    reasons: tuple[str, ...]


def verdict_support(
    matrix: SwapMatrix,
    outcomes: Mapping[str, Outcome],
    convicted: Collection[str] = (),
    cleared: Collection[str] = (),
) -> Support:
    """Return whether the swap matrix supports a verdict, under the single-fault assumption.

    A conviction of a set of causes is borne out if no cause outside the set alone explains the
    outcomes and each one in it does; an acquittal, if none of the acquitted does.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    outcomes : mapping of str to Outcome
        The outcomes on which the verdict rests.
    convicted, cleared : collection of str
        What the verdict says; the convicted are named as a group ("one of these").

    Returns
    -------
    Support
        With one sentence for each thing that is not borne out.

    Examples
    --------
    >>> matrix = SwapMatrix(("hardware", "settings", "cable"), {"borrowed": frozenset({"cable"})})
    >>> verdict_support(matrix, {"borrowed": Outcome.PASS}, convicted=["hardware"]).reasons
    ('settings is not cleared by these outcomes',)
    """
    if unknown := sorted((set(convicted) | set(cleared)) - set(matrix.causes)):
        raise ComputeError(f"no such cause: {', '.join(unknown)}")
    suspects = single_fault_suspects(matrix, outcomes)
    reasons = []
    if not suspects:
        reasons.append("no single cause fits these outcomes")
    if convicted:
        innocent = [cause for cause in matrix.causes if cause in convicted and cause not in suspects]
        reasons += [f"{cause} does not explain these outcomes" for cause in innocent if suspects]
        reasons += [f"{c} is not cleared by these outcomes" for c in suspects if c not in convicted]
    reasons += [f"{c} is not cleared by these outcomes" for c in suspects if c in cleared]
    return Support(not reasons, tuple(dict.fromkeys(reasons)))


def outcome_table(
    matrix: SwapMatrix, tests: Sequence[str]
) -> tuple[tuple[tuple[Outcome, ...], Suspicion], ...]:
    """Return what each combination of pass and fail of the given tests means: the rows of a swap card.

    Parameters
    ----------
    matrix : SwapMatrix
        What each test involves.
    tests : sequence of str
        At most 8 of its tests.

    Returns
    -------
    tuple of (outcomes, Suspicion)
        All combinations, passes first; also those that no single cause fits.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b"), {"t": frozenset({"a"})})
    >>> [(row[0].value, seen.single) for row, seen in outcome_table(matrix, ["t"])]
    [('pass', ('b',)), ('fail', ('a',))]
    """
    if len(tests) > 8:
        raise ComputeError(f"{len(tests)} tests make too many combinations for a table (at most 8)")
    combinations = itertools.product((Outcome.PASS, Outcome.FAIL), repeat=len(tests))
    return tuple((row, suspicion(matrix, dict(zip(tests, row, strict=True)))) for row in combinations)
