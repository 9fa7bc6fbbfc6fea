"""Adaptive plans: the optimum against a search over all trees, bounds, precedence and accesses."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.diagnosis.decision_tree import (
    Branch,
    Leaf,
    TestSet,
    Tree,
    best_plan,
    information_plan,
    leaves,
)
from leadsman.compute.diagnosis.information import entropy, huffman_bound
from leadsman.compute.diagnosis.swap_matrix import SwapMatrix, ambiguity_groups
from leadsman.compute.registry import ComputeError

MODEST = settings(max_examples=60)


@st.composite
def sets_of_tests(draw: st.DrawFn) -> TestSet:
    """Up to five causes and four tests, with a precedence and a shared access now and then."""
    causes = tuple("abcde"[: draw(st.integers(2, 5))])
    names = "tuvw"[: draw(st.integers(1, 4))]
    matrix = SwapMatrix(causes, {name: draw(st.frozensets(st.sampled_from(causes))) for name in names})
    likelihood = {cause: draw(st.integers(1, 9)) / 10 for cause in causes}
    minutes = {name: float(draw(st.integers(1, 9))) for name in names}
    after = {names[-1]: frozenset(names[0])} if len(names) > 1 and draw(st.booleans()) else {}
    setups = {name: frozenset({"dash"}) for name in names if draw(st.booleans())}
    return TestSet(matrix, likelihood, minutes, after, setups, {"dash": 6.0})


def least_by_search(
    tests: TestSet, suspects: frozenset[str], done: frozenset[str], opened: frozenset[str]
) -> float:
    """The least expected minutes times likelihood, over every tree that makes each test at most once."""
    splitting = [t for t, c in tests.matrix.tests.items() if suspects & c and suspects - c]
    if not splitting:
        return 0.0
    least = math.inf
    for test, covered in tests.matrix.tests.items():
        if test in done or tests.after.get(test, frozenset()) - done:
            continue
        needed = tests.setups.get(test, frozenset())
        minutes = tests.minutes[test] + sum(tests.setup_minutes[s] for s in needed - opened)
        total = minutes * sum(tests.likelihood[c] for c in suspects)
        for part in (suspects & covered, suspects - covered):
            if part:
                total += least_by_search(tests, part, done | {test}, opened | needed)
        least = min(least, total)
    return least


def minutes_of(tests: TestSet, tree: Tree) -> float:
    """The expected minutes of a tree, cause by cause."""
    spent = 0.0
    for cause, chance in tests.likelihood.items():
        here, opened = tree, frozenset[str]()
        while isinstance(here, Branch):
            needed = tests.setups.get(here.test, frozenset())
            spent += chance * tests.minutes[here.test]
            spent += chance * sum(tests.setup_minutes[s] for s in needed - opened)
            opened |= needed
            here = here.fails if cause in tests.matrix.tests[here.test] else here.passes
        assert cause in here.causes
    return spent / sum(tests.likelihood.values())


@MODEST
@given(tests=sets_of_tests())
def test_the_plan_is_the_best_of_all_trees(tests: TestSet) -> None:
    """By exhaustive search; the tree itself takes the minutes stated."""
    plan = best_plan(tests)
    searched = least_by_search(tests, frozenset(tests.matrix.causes), frozenset(), frozenset())

    assert plan.minutes == pytest.approx(searched / sum(tests.likelihood.values()), abs=1e-9)
    assert minutes_of(tests, plan.tree) == pytest.approx(plan.minutes, abs=1e-9)


@MODEST
@given(tests=sets_of_tests())
def test_both_plans_end_in_the_ambiguity_groups(tests: TestSet) -> None:
    """Nothing more can be told, nothing less is; the heuristic is never the quicker one."""
    groups = set(ambiguity_groups(tests.matrix))
    best, heuristic = best_plan(tests), information_plan(tests)

    assert {leaf.causes for leaf in leaves(best.tree) if leaf.causes} == groups
    assert {leaf.causes for leaf in leaves(heuristic.tree) if leaf.causes} == groups
    assert heuristic.minutes >= best.minutes - 1e-9
    assert minutes_of(tests, heuristic.tree) == pytest.approx(heuristic.minutes, abs=1e-9)


@MODEST
@given(tests=sets_of_tests())
def test_no_plan_beats_entropy_and_huffman(tests: TestSet) -> None:
    """At one minute a test: H(groups) <= Huffman(groups) <= optimum."""
    unit = TestSet(tests.matrix, tests.likelihood, dict.fromkeys(tests.minutes, 1.0))
    total = sum(tests.likelihood.values())
    masses = [sum(tests.likelihood[c] for c in g) / total for g in ambiguity_groups(tests.matrix)]
    bound = huffman_bound(weight=masses)

    assert entropy(weight=masses) <= bound + 1e-9
    assert bound <= best_plan(unit).minutes + 1e-9


def test_the_cover_is_opened_when_it_unlocks() -> None:
    """A test that splits nothing comes first where nothing else is legal."""
    matrix = SwapMatrix(("a", "b"), {"cover": frozenset(), "look": frozenset({"a"})})
    plan = best_plan(
        TestSet(matrix, {"a": 0.5, "b": 0.5}, {"cover": 2.0, "look": 1.0}, {"look": frozenset({"cover"})})
    )

    assert plan.tree == Branch("cover", Leaf(()), Branch("look", Leaf(("a",)), Leaf(("b",))))
    assert plan.minutes == 3


@pytest.mark.parametrize(
    ("likelihood", "minutes", "told"),
    [
        ({"a": 0.5, "b": 0.5}, {}, "no minutes for t"),
        ({"a": 0.5}, {"t": 1.0}, "every cause needs a likelihood"),
        ({"a": 0.0, "b": 0.0}, {"t": 1.0}, "not all 0"),
    ],
)
def test_missing_numbers_are_refused(
    likelihood: dict[str, float], minutes: dict[str, float], told: str
) -> None:
    """With the name of what is missing."""
    with pytest.raises(ComputeError, match=told):
        TestSet(SwapMatrix(("a", "b"), {"t": frozenset({"a"})}), likelihood, minutes)


def test_the_state_cap_is_kept() -> None:
    """A search that grows too large gives up in plain words."""
    causes = tuple("abcdefgh")
    matrix = SwapMatrix(causes, {f"only {c}": frozenset({c}) for c in causes})
    tests = TestSet(matrix, dict.fromkeys(causes, 0.125), dict.fromkeys(matrix.tests, 1.0))

    with pytest.raises(ComputeError, match="more than 10 states"):
        best_plan(tests, state_limit=10)
    assert best_plan(tests).states <= 2**8
