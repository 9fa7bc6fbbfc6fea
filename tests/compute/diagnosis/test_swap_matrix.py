"""The swap matrix: suspects against enumeration of faults, A-B-A, verdicts, figures and the next best test."""

import itertools
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.diagnosis.swap_matrix import (
    Outcome,
    State,
    SwapMatrix,
    ambiguity_groups,
    conflicts,
    involved,
    minimal_hitting_sets,
    outcome_table,
    single_fault_suspects,
    states,
    suspicion,
    swap_outcome,
    verdict_support,
)
from leadsman.compute.diagnosis.testability import (
    fraction_detected,
    fraction_isolated,
    next_best_tests,
    posterior_given_conflicts,
    rank_by_odds,
)
from leadsman.compute.registry import ComputeError

PASS, FAIL, CANNOT = Outcome.PASS, Outcome.FAIL, Outcome.CANNOT_TELL


@st.composite
def cases(draw: st.DrawFn) -> tuple[SwapMatrix, dict[str, Outcome]]:
    """A matrix of up to six causes and five tests, with any outcomes."""
    causes = tuple("abcdef"[: draw(st.integers(1, 6))])
    names = "tuvwx"[: draw(st.integers(1, 5))]
    tests = {name: draw(st.frozensets(st.sampled_from(causes))) for name in names}
    outcomes = {name: draw(st.sampled_from(list(Outcome))) for name in names}
    return SwapMatrix(causes, tests), outcomes


def explains(matrix: SwapMatrix, faulty: frozenset[str], outcomes: dict[str, Outcome]) -> bool:
    """Whether a set of faults gives exactly the known outcomes."""
    return all(
        outcome is CANNOT or (outcome is FAIL) == bool(matrix.tests[test] & faulty)
        for test, outcome in outcomes.items()
    )


# --- suspects ----------------------------------------------------------------------------------


@given(case=cases())
def test_single_suspects_are_the_causes_that_explain_everything(
    case: tuple[SwapMatrix, dict[str, Outcome]],
) -> None:
    """By trying each cause alone."""
    matrix, outcomes = case
    alone = tuple(c for c in matrix.causes if explains(matrix, frozenset({c}), outcomes))

    assert single_fault_suspects(matrix, outcomes) == alone
    assert suspicion(matrix, outcomes).no_single_cause_fits == (not alone)


@given(case=cases())
def test_pairs_are_the_minimal_explanations_by_two_faults(
    case: tuple[SwapMatrix, dict[str, Outcome]],
) -> None:
    """By trying each pair of which neither part is enough, nor needless."""
    matrix, outcomes = case
    failures = any(outcome is FAIL for outcome in outcomes.values())
    pairs = tuple(
        pair
        for pair in itertools.combinations(matrix.causes, 2)
        if failures
        and explains(matrix, frozenset(pair), outcomes)
        and not any(explains(matrix, frozenset({cause}), outcomes) for cause in pair)
    )

    assert suspicion(matrix, outcomes).pairs == pairs


@given(case=cases(), seed=st.integers(0, 99))
def test_the_order_of_rows_columns_and_outcomes_does_not_matter(
    case: tuple[SwapMatrix, dict[str, Outcome]], seed: int
) -> None:
    """Everything shuffled gives the same states, suspects and groups."""
    matrix, outcomes = case
    shuffle = random.Random(seed)
    causes, tests, results = list(matrix.causes), list(matrix.tests.items()), list(outcomes.items())
    for part in (causes, tests, results):
        shuffle.shuffle(part)
    other, again = SwapMatrix(tuple(causes), dict(tests)), dict(results)

    assert states(other, again) == states(matrix, outcomes)
    assert set(single_fault_suspects(other, again)) == set(single_fault_suspects(matrix, outcomes))
    assert set(map(frozenset, ambiguity_groups(other))) == set(map(frozenset, ambiguity_groups(matrix)))
    assert set(conflicts(other, again)) == set(conflicts(matrix, outcomes))


@given(case=cases())
def test_cannot_tell_is_the_same_as_not_made(case: tuple[SwapMatrix, dict[str, Outcome]]) -> None:
    """It removes nothing, and more knowledge never adds a suspect."""
    matrix, outcomes = case
    known = {test: outcome for test, outcome in outcomes.items() if outcome is not CANNOT}

    assert suspicion(matrix, known) == suspicion(matrix, outcomes)
    assert set(single_fault_suspects(matrix, outcomes)) <= set(single_fault_suspects(matrix, {}))


@given(case=cases())
def test_a_group_cannot_be_split(case: tuple[SwapMatrix, dict[str, Outcome]]) -> None:
    """Whatever the outcomes, all of a group are suspects or none is."""
    matrix, outcomes = case
    suspects = set(single_fault_suspects(matrix, outcomes))

    for group in ambiguity_groups(matrix):
        assert set(group) <= suspects or not set(group) & suspects


@given(conflict_sets=st.lists(st.frozensets(st.sampled_from("abcde"), min_size=1), max_size=4))
def test_hitting_sets_are_minimal_and_complete(conflict_sets: list[frozenset[str]]) -> None:
    """Against the filter of all subsets."""
    hits = [
        frozenset(chosen)
        for size in range(6)
        for chosen in itertools.combinations("abcde", size)
        if all(conflict & set(chosen) for conflict in conflict_sets)
    ]
    minimal = {h for h in hits if not any(less < h for less in hits)}

    assert set(minimal_hitting_sets(conflict_sets)) == minimal
    assert set(minimal_hitting_sets(conflict_sets, most=2)) == {h for h in minimal if len(h) <= 2}


def test_a_contradiction_is_reported() -> None:
    """All that a failed test involves was cleared: no explanation, by one fault or by two."""
    matrix = SwapMatrix(("a", "b"), {"t": frozenset({"a"}), "u": frozenset({"a", "b"})})
    seen = suspicion(matrix, {"t": FAIL, "u": PASS})

    assert seen.contradiction
    assert seen.no_single_cause_fits
    assert seen.pairs == ()


def test_a_bad_part_does_not_clear_its_neighbours() -> None:
    """One failure convicts the feed; the plug stays suspect for the other."""
    matrix = SwapMatrix(("feed", "plug"), {"t": frozenset({"feed"}), "u": frozenset({"feed", "plug"})})

    assert states(matrix, {"t": FAIL, "u": FAIL}) == {"feed": State.BAD, "plug": State.SUSPECT}


# --- swaps of the trade ------------------------------------------------------------------------

CHAIN = (
    "feed",
    "cradle",
    "display hardware",
    "settings",
    "software",
    "plug",
    "cable",
    "element",
    "mounting",
    "face",
    "water",
    "noise",
)
DISPLAY_SWAP = involved(CHAIN, ["display hardware"], ["settings", "software"])
SENSOR_SWAP = involved(CHAIN, ["cable", "element", "plug"], ["mounting", "face", "water"])
MATRIX = SwapMatrix(CHAIN, {"borrowed display": DISPLAY_SWAP, "borrowed transducer": SENSOR_SWAP})


def test_a_borrowed_display_that_works_leaves_its_settings_and_software() -> None:
    """Common practice, no source: it brings its own, so that the old hardware alone is not convicted."""
    works = {"borrowed display": PASS}

    assert single_fault_suspects(MATRIX, works) == ("display hardware", "settings", "software")
    assert verdict_support(MATRIX, works, convicted=["display hardware"]).reasons == (
        "settings is not cleared by these outcomes",
        "software is not cleared by these outcomes",
    )
    assert verdict_support(
        MATRIX, works, convicted=["display hardware", "settings", "software"], cleared=["feed"]
    ).holds


def test_a_borrowed_transducer_over_the_side_leaves_mounting_and_face() -> None:
    """Common practice, no source: transducer, its cable, its mounting, its face (and the water there)."""
    left = single_fault_suspects(MATRIX, {"borrowed transducer": PASS})

    assert set(left) == {"plug", "cable", "element", "mounting", "face", "water"}
    assert not verdict_support(MATRIX, {"borrowed transducer": PASS}, cleared=["mounting"]).holds


def test_two_swaps_that_work_fit_no_single_cause() -> None:
    """Either swap cures: nothing is common to both; said plainly, with no pair either."""
    seen = suspicion(MATRIX, {"borrowed display": PASS, "borrowed transducer": PASS})

    assert seen.no_single_cause_fits
    assert verdict_support(
        MATRIX, {"borrowed display": PASS, "borrowed transducer": PASS}, convicted=["element"]
    ).reasons == ("no single cause fits these outcomes",)


@pytest.mark.parametrize(
    ("before", "with_swap", "returned", "intermittent", "shows"),
    [
        (True, False, True, False, PASS),
        (True, False, False, False, CANNOT),
        (True, False, None, False, CANNOT),
        (False, False, True, False, CANNOT),
        (True, False, True, True, CANNOT),
        (True, True, True, False, FAIL),
        (True, True, None, True, FAIL),
    ],
)
def test_a_swap_convicts_only_as_a_whole_aba(
    before: bool, with_swap: bool, returned: bool | None, intermittent: bool, shows: Outcome
) -> None:
    """Common practice, no source: the fault must return; an intermittent one is never cleared by a pass."""
    assert swap_outcome(before, with_swap, returned, intermittent) is shows


def test_the_card_has_every_combination() -> None:
    """Four rows for two tests, the impossible one included."""
    table = outcome_table(MATRIX, ["borrowed display", "borrowed transducer"])

    assert [row for row, _ in table] == [(PASS, PASS), (PASS, FAIL), (FAIL, PASS), (FAIL, FAIL)]
    assert table[0][1].no_single_cause_fits
    assert table[3][1].single == ("feed", "cradle", "noise")
    with pytest.raises(ComputeError, match="9 tests make too many"):
        outcome_table(MATRIX, ["borrowed display"] * 9)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: SwapMatrix(("a", "a"), {}), "listed twice"),
        (lambda: SwapMatrix(("a",), {"t": frozenset({"b"})}), "t involves what is no cause: b"),
        (lambda: single_fault_suspects(MATRIX, {"bucket": PASS}), "no such test: bucket"),
        (lambda: verdict_support(MATRIX, {}, convicted=["keel"]), "no such cause: keel"),
        (lambda: fraction_detected(MATRIX, {"feed": 1.0}), "no failure rate for cradle"),
        (lambda: fraction_isolated(SwapMatrix(("a",), {}), 1), "no fault is detected"),
        (lambda: posterior_given_conflicts({"a": 0.1}, [set()]), "no combination of faults"),
    ],
)
def test_nonsense_is_refused(call: object, told: str) -> None:
    """With the name of what is wrong."""
    with pytest.raises(ComputeError, match=told):
        call()  # type: ignore[operator]


# --- figures and the next test -----------------------------------------------------------------


@given(case=cases(), size=st.integers(1, 6))
def test_isolation_grows_with_the_group_size_to_all_that_is_detected(
    case: tuple[SwapMatrix, dict[str, Outcome]], size: int
) -> None:
    """FFI is a share of the detected faults, or of all, as asked."""
    matrix, _ = case
    detected = fraction_detected(matrix)
    if detected > 0:
        isolated = fraction_isolated(matrix, size)

        assert isolated <= fraction_isolated(matrix, size + 1) + 1e-12
        assert fraction_isolated(matrix, len(matrix.causes)) == pytest.approx(1)
        assert fraction_isolated(matrix, size, of_total=True) == pytest.approx(isolated * detected)


@given(case=cases())
def test_a_proposed_test_splits_the_suspects(case: tuple[SwapMatrix, dict[str, Outcome]]) -> None:
    """Nothing is proposed that is known or tells nothing, and everything else is; the best comes first."""
    matrix, outcomes = case
    likelihood, minutes = dict.fromkeys(matrix.causes, 1.0), dict.fromkeys(matrix.tests, 2.0)
    ranked = next_best_tests(matrix, outcomes, likelihood, minutes)
    suspects = set(single_fault_suspects(matrix, outcomes))
    useful = {
        test
        for test, covered in matrix.tests.items()
        if outcomes[test] is CANNOT and covered & suspects and suspects - covered
    }

    assert {found.test for found in ranked} == useful
    assert [f.bits_per_minute for f in ranked] == sorted((f.bits_per_minute for f in ranked), reverse=True)
    assert all(0 < found.bits <= 1 for found in ranked)


def test_the_cheap_test_comes_first_and_the_unavailable_not_at_all() -> None:
    """The same information in a minute beats that in twelve."""
    matrix = SwapMatrix(("a", "b"), {"swap": frozenset({"a"}), "look": frozenset({"b"})})
    likelihood, minutes = {"a": 0.5, "b": 0.5}, {"swap": 12.0, "look": 1.0}

    assert [f.test for f in next_best_tests(matrix, {}, likelihood, minutes)] == ["look", "swap"]
    assert [f.test for f in next_best_tests(matrix, {}, likelihood, minutes, ["swap"])] == ["swap"]
    assert next_best_tests(matrix, {"look": FAIL}, likelihood, minutes) == ()


def test_explanations_are_ranked_by_their_odds() -> None:
    """One likely fault before two, two likely ones before an unlikely one."""
    prior = {"a": 0.2, "b": 0.2, "c": 0.01}

    assert rank_by_odds([{"c"}, {"a", "b"}, {"a"}], prior) == (
        frozenset("a"),
        frozenset("ab"),
        frozenset("c"),
    )
