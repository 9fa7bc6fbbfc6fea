"""The adaptive optimum: which test to make next after each outcome, so that the expected time is least.

An AND/OR search over the sets of suspects that can remain under the single-fault assumption, exact for
the small sets at hand; the information-per-minute tree stands beside it as the heuristic that it is.
A cause "other" that no test involves carries the likelihood of none of the causes listed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from leadsman.compute.diagnosis.sequencing import TIE_MIN
from leadsman.compute.diagnosis.swap_matrix import SwapMatrix
from leadsman.compute.diagnosis.testability import binary_entropy
from leadsman.compute.registry import ComputeError

#: The greatest number of states examined before the search gives up.
STATE_LIMIT = 200_000


@dataclass(frozen=True)
class TestSet:
    """What a tree is built from: the matrix, likelihoods, minutes, precedence and shared accesses."""

    __test__ = False  # not a test class, whatever its name

    matrix: SwapMatrix
    likelihood: Mapping[str, float]
    minutes: Mapping[str, float]
    after: Mapping[str, frozenset[str]] = field(default_factory=dict)
    setups: Mapping[str, frozenset[str]] = field(default_factory=dict)
    setup_minutes: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse missing numbers and likelihoods that are negative or all zero."""
        if missing := [test for test in self.matrix.tests if not self.minutes.get(test, -1.0) >= 0.0]:
            raise ComputeError(f"no minutes for {', '.join(missing)}")
        weights = [self.likelihood.get(cause, math.nan) for cause in self.matrix.causes]
        if not all(weight >= 0.0 for weight in weights) or sum(weights) <= 0.0:
            raise ComputeError("every cause needs a likelihood of 0 or more, and not all 0")
        for test, earlier in self.after.items():
            if unknown := sorted((earlier | {test}) - set(self.matrix.tests)):
                raise ComputeError(f"no such test: {', '.join(unknown)}")


@dataclass(frozen=True)
class Leaf:
    """The end of a branch: the causes that no test can tell apart any further."""

    causes: tuple[str, ...]


@dataclass(frozen=True)
class Branch:
    """A test, and what follows when it fails and when it passes."""

    test: str
    fails: Tree
    passes: Tree


Tree = Leaf | Branch


@dataclass(frozen=True)
class Plan:
    """A tree with its expected minutes; ``exact`` tells the proved optimum from the heuristic."""

    tree: Tree
    minutes: float
    exact: bool
    method: str
    states: int


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Yield the ends of a tree, failures first."""
    if isinstance(tree, Leaf):
        yield tree
    else:
        yield from leaves(tree.fails)
        yield from leaves(tree.passes)


@dataclass(frozen=True)
class _State:
    """Suspects, tests done that unlock others, and accesses open, each as a set of bits."""

    suspects: int
    done: int
    opened: int


class _Search:
    """The state space shared by the exact search and the heuristic."""

    def __init__(self, tests: TestSet) -> None:
        matrix = tests.matrix
        self.tests, self.names = tests, tuple(matrix.tests)
        self.cover = [_bits(matrix.causes, matrix.tests[name]) for name in self.names]
        self.after = [_bits(self.names, tests.after.get(name, frozenset())) for name in self.names]
        accesses = tuple(tests.setup_minutes)
        self.needs = [_bits(accesses, tests.setups.get(name, frozenset())) for name in self.names]
        self.access_minutes = [tests.setup_minutes[name] for name in accesses]
        self.weight = [tests.likelihood[cause] for cause in matrix.causes]
        self.unlocking = 0
        for mask in self.after:
            self.unlocking |= mask
        self.start = _State((1 << len(matrix.causes)) - 1, 0, 0)

    def mass(self, suspects: int) -> float:
        """The likelihood of a set of suspects."""
        return sum(weight for number, weight in enumerate(self.weight) if suspects >> number & 1)

    def splits(self, suspects: int, number: int) -> bool:
        """Whether the test involves some of the suspects but not all."""
        return suspects & self.cover[number] not in (0, suspects)

    def chain(self, state: _State, number: int) -> int:
        """The test with all undone tests that must precede it."""
        wanted, queue = 1 << number, [number]
        while queue:
            earlier = self.after[queue.pop()] & ~state.done & ~wanted
            wanted |= earlier
            queue.extend(n for n in range(len(self.names)) if earlier >> n & 1)
        return wanted

    def candidates(self, state: _State) -> list[int]:
        """The legal tests that split the suspects, or unlock one that does, in written order."""
        useful = 0
        for number in range(len(self.names)):
            if self.splits(state.suspects, number):
                useful |= self.chain(state, number)
        return [
            number
            for number in range(len(self.names))
            if useful >> number & 1 and not state.done >> number & 1 and not self.after[number] & ~state.done
        ]

    def minutes(self, state: _State, chosen: int) -> float:
        """The time of a set of tests with the accesses that they would newly open."""
        numbers = [n for n in range(len(self.names)) if chosen >> n & 1]
        needed = 0
        for number in numbers:
            needed |= self.needs[number]
        accesses = sum(m for n, m in enumerate(self.access_minutes) if needed & ~state.opened & 1 << n)
        return sum(self.tests.minutes[self.names[n]] for n in numbers) + accesses

    def after_test(self, state: _State, number: int) -> tuple[_State, _State]:
        """The states when the test fails and when it passes."""
        done = state.done | (1 << number & self.unlocking)
        opened = state.opened | self.needs[number]
        covered = state.suspects & self.cover[number]
        return _State(covered, done, opened), _State(state.suspects & ~covered, done, opened)

    def build(self, choose: Callable[[_State], int | None], state: _State | None = None) -> Tree:
        """The tree that follows a rule of choice."""
        state = state or self.start
        number = choose(state)
        if number is None:
            causes = self.tests.matrix.causes
            return Leaf(tuple(c for n, c in enumerate(causes) if state.suspects >> n & 1))
        fails, passes = self.after_test(state, number)
        return Branch(self.names[number], self.build(choose, fails), self.build(choose, passes))

    def spent(self, choose: Callable[[_State], int | None], state: _State | None = None) -> float:
        """The expected minutes of a rule of choice, times the likelihood of the suspects."""
        state = state or self.start
        number = choose(state)
        if number is None or not state.suspects:
            return 0.0
        own = self.minutes(state, 1 << number) * self.mass(state.suspects)
        return own + sum(self.spent(choose, following) for following in self.after_test(state, number))


def _bits(names: tuple[str, ...], chosen: frozenset[str]) -> int:
    return sum(1 << number for number, name in enumerate(names) if name in chosen)


def best_plan(tests: TestSet, state_limit: int = STATE_LIMIT) -> Plan:
    """Return the adaptive plan with the least expected minutes, by AND/OR dynamic programming.

    ``V(S) = min over j of (c[j] + new accesses) * P(S) + V(S with j failed) + V(S with j passed)``

    Parameters
    ----------
    tests : TestSet
        The tests; perfect outcomes and one fault are assumed.
    state_limit : int
        The search gives up beyond this many states.

    Returns
    -------
    Plan
        Down to the ambiguity groups; ties go to the test that is listed first.

    Raises
    ------
    ComputeError
        When the state limit is passed: use :func:`information_plan`.

    Notes
    -----
    A test that splits nothing is considered only where it unlocks one that does.

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a"}), "u": frozenset({"b"})})
    >>> plan = best_plan(TestSet(matrix, {"a": 0.2, "b": 0.7, "c": 0.1}, {"t": 1.0, "u": 1.0}))
    >>> plan.tree.test, round(plan.minutes, 3)
    ('u', 1.3)

    References
    ----------
    Pattipati, K. R., Alexandridis, M. G. Application of heuristic search and information theory to
    sequential fault diagnosis. IEEE Transactions on Systems, Man, and Cybernetics 20. 1990.
    """
    search = _Search(tests)
    known: dict[_State, tuple[float, int | None]] = {}

    def value(state: _State) -> float:
        if state not in known:
            if len(known) >= state_limit:
                raise ComputeError(f"more than {state_limit} states; the exact plan is out of reach")
            known[state] = (math.inf, None)
            least, chosen = math.inf, None
            for number in search.candidates(state):
                cost = search.minutes(state, 1 << number) * search.mass(state.suspects)
                cost += sum(value(s) for s in search.after_test(state, number) if s.suspects)
                if cost < least - TIE_MIN:
                    least, chosen = cost, number
            known[state] = (0.0, None) if chosen is None else (least, chosen)
        return known[state][0]

    minutes = value(search.start) / search.mass(search.start.suspects)

    def choose(state: _State) -> int | None:
        value(state)
        return known[state][1]

    tree = search.build(choose)
    return Plan(tree, minutes, True, "exact: AND/OR dynamic programming, single fault", len(known))


def information_plan(tests: TestSet) -> Plan:
    """Return the plan that always makes the test with the greatest expected information per minute.

    Parameters
    ----------
    tests : TestSet
        The tests. One that is locked counts with the minutes of all that must precede it.

    Returns
    -------
    Plan
        A heuristic; ties go to the test that is listed first.

    Notes
    -----
    Its expected time can exceed any multiple of the best (Garey and Graham 1974).

    Examples
    --------
    >>> matrix = SwapMatrix(("a", "b", "c"), {"t": frozenset({"a"}), "u": frozenset({"b"})})
    >>> information_plan(TestSet(matrix, {"a": 0.2, "b": 0.7, "c": 0.1}, {"t": 1.0, "u": 1.0})).exact
    False

    References
    ----------
    Garey, M. R., Graham, R. L. Performance bounds on the splitting algorithm for binary testing. Acta
    Informatica 3. 1974.
    """
    search = _Search(tests)

    def choose(state: _State) -> int | None:
        mass, best, chosen = search.mass(state.suspects), -1.0, None
        for number in range(len(search.names)):
            if not search.splits(state.suspects, number):
                continue
            fails = search.mass(state.suspects & search.cover[number]) / mass if mass > 0.0 else 0.5
            chain = search.chain(state, number)
            minutes = search.minutes(state, chain)
            gain = binary_entropy(min(1.0, fails)) / minutes if minutes > 0.0 else math.inf
            if gain > best + 1e-12:
                best = gain
                chosen = next(n for n in search.candidates(state) if chain >> n & 1)
        return chosen

    minutes = search.spent(choose) / search.mass(search.start.suspects)
    tree = search.build(choose)
    return Plan(tree, minutes, False, "heuristic: greatest information per minute, single fault", 0)
