"""Orders of checks: the exact optimum against all permutations, shared accesses, and sequences of the trade."""

import itertools
import time
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.diagnosis.best_order import best_order, best_orders, compare_orders
from leadsman.compute.diagnosis.order_ratios import improved_order, ratio_blocks, ratios
from leadsman.compute.diagnosis.sequencing import (
    Check,
    CheckSet,
    Model,
    breaches,
    expected_minutes,
    is_legal,
    timeline,
)
from leadsman.compute.registry import ComputeError

FEW = settings(max_examples=40)


@st.composite
def check_sets(draw: st.DrawFn, most: int = 5) -> CheckSet:
    """Small sets with overlapping causes, imperfect checks, two accesses, precedence, and any model."""
    size = draw(st.integers(1, most))
    causes = ["a", "b", "c", "d"]
    weights = draw(st.lists(st.integers(0, 10), min_size=4, max_size=4))
    total = sum(weights) + draw(st.integers(0, 5)) or 1
    checks = []
    for number in range(size):
        finds = draw(st.dictionaries(st.sampled_from(causes), st.sampled_from([0.5, 0.9, 1.0]), max_size=3))
        setups = draw(st.frozensets(st.sampled_from(["dash", "quay"])))
        earlier = [str(n) for n in range(number)]
        after = draw(st.frozensets(st.sampled_from(earlier), max_size=2)) if earlier else frozenset()
        checks.append(Check(str(number), draw(st.integers(0, 12)), finds, setups, after))
    likelihood = {cause: weight / total for cause, weight in zip(causes, weights, strict=True)}
    model = draw(st.sampled_from(list(Model)))
    return CheckSet(tuple(checks), likelihood, {"dash": 6.0, "quay": 2.0}, model)


def minutes_by_definition(checks: CheckSet, order: tuple[str, ...]) -> float:
    """Expected minutes cause by cause: single fault, certain detection only."""
    by_name = {check.name: check for check in checks.checks}
    total = 0.0
    for cause, chance in [*checks.likelihood.items(), (None, checks.other)]:
        opened: set[str] = set()
        for name in order:
            check = by_name[name]
            new = check.setups - opened
            opened |= new
            total += chance * (check.minutes + sum(checks.setup_minutes[s] for s in new))
            if cause in check.finds:
                break
    return total


@FEW
@given(checks=check_sets())
def test_best_order_is_the_best_of_all_permutations(checks: CheckSet) -> None:
    """Brute force over every legal order, under each model."""
    legal = [order for order in itertools.permutations(checks.names) if not breaches(checks, order)]
    least = min(expected_minutes(checks, order) for order in legal)
    best = best_order(checks)

    assert best.minutes == pytest.approx(least, abs=1e-9)
    assert expected_minutes(checks, best.order) == pytest.approx(least, abs=1e-9)
    assert breaches(checks, best.order) == ()
    assert best.exact
    assert best.model is checks.model


@FEW
@given(checks=check_sets(4))
def test_best_orders_are_all_of_them(checks: CheckSet) -> None:
    """Every tied optimum, no other order, each once."""
    legal = [order for order in itertools.permutations(checks.names) if not breaches(checks, order)]
    least = min(expected_minutes(checks, order) for order in legal)
    found = list(best_orders(checks))

    assert set(found) == {o for o in legal if expected_minutes(checks, o) <= least + 1e-9}
    assert len(found) == len(set(found))


@FEW
@given(checks=check_sets(), data=st.data())
def test_expected_minutes_agree_with_the_definition(checks: CheckSet, data: st.DataObject) -> None:
    """Summed cause by cause, with the other mass paying for the whole list."""
    certain = tuple(replace(c, finds=dict.fromkeys(c.finds, 1.0)) for c in checks.checks)
    single = replace(checks, checks=certain, model=Model.SINGLE_FAULT)
    order = tuple(data.draw(st.permutations(single.names)))

    assert expected_minutes(single, order) == pytest.approx(minutes_by_definition(single, order), abs=1e-9)


@FEW
@given(checks=check_sets())
def test_the_heuristic_is_legal_and_never_better_than_the_optimum(checks: CheckSet) -> None:
    """What is used beyond the size limit keeps the precedence."""
    order = improved_order(checks)

    assert breaches(checks, order) == ()
    assert expected_minutes(checks, order) >= best_order(checks).minutes - 1e-9


@FEW
@given(checks=check_sets())
def test_a_timeline_ends_with_all_that_can_be_found(checks: CheckSet) -> None:
    """Minutes and found share grow; the likelihood of what no check finds stays."""
    stages = timeline(checks, checks.names)

    assert [s.minutes for s in stages] == sorted(s.minutes for s in stages)
    assert [s.found for s in stages] == sorted(s.found for s in stages)
    assert stages[-1].found <= 1 - checks.other + 1e-9


@FEW
@given(
    shares=st.lists(st.integers(0, 9), min_size=1, max_size=6),
    minutes=st.lists(st.integers(1, 9), min_size=6, max_size=6),
)
def test_without_precedence_the_ratio_rule_is_optimal(shares: list[int], minutes: list[int]) -> None:
    """Smith 1956, Mitten 1960: falling share over time, for both models without elimination."""
    names = [str(n) for n in range(len(shares))]
    for model in (Model.SINGLE_FAULT, Model.INDEPENDENT):
        checks = CheckSet.from_shares(names, [s / 60 for s in shares], minutes[: len(shares)], model=model)
        ranked = sorted(names, key=lambda name: -ratios(checks)[name])

        assert expected_minutes(checks, ranked) == pytest.approx(best_order(checks).minutes, abs=1e-9)


def test_an_access_is_paid_once() -> None:
    """Two checks behind the dash cost its 6 minutes together; apart they would seem the worse choice."""
    behind = frozenset({"dash"})
    checks = CheckSet(
        (
            Check("look at the helm", 4, {"a": 1.0}),
            Check("fuse", 1, {"b": 1.0}, behind),
            Check("plug", 1, {"c": 1.0}, behind),
        ),
        {"a": 0.3, "b": 0.35, "c": 0.35},
        {"dash": 6.0},
    )
    best = best_order(checks)

    assert timeline(checks, ["fuse", "plug", "look at the helm"])[1].minutes == 8
    assert best.order == ("fuse", "plug", "look at the helm") or best.minutes == pytest.approx(
        4 + 0.7 * 7 + 0.35
    )
    assert expected_minutes(checks, ["fuse", "look at the helm", "plug"]) == pytest.approx(
        7 + 0.65 * 4 + 0.35
    )


# --- sequences of the trade --------------------------------------------------------------------

#: Common practice, no source: minutes and first-conviction shares, and what is found by when.
TRADE = {
    "dead unit": (
        9.3,
        [(1, 12), (1, 12), (2, 16), (2, 22), (3, 10), (6, 6), (4, 10), (5, 6), (6, 6)],
        {6: 62, 15: 78, 24: 94},
    ),
    "no sensor": (
        22.4,
        [(1, 2), (1, 6), (2, 8), (4, 28), (6, 10), (6, 10), (10, 14), (8, 3), (12, 9), (10, 5), (10, 5)],
        {8: 44, 20: 64, 38: 81, 50: 90},
    ),
    "blank depth": (
        14.8,
        [(1, 12), (3, 22), (2, 5), (1, 7), (5, 22), (8, 8), (4, 6), (10, 10), (12, 5), (10, 3)],
        {12: 68, 24: 82, 34: 92},
    ),
    "loss under way": (
        17.6,
        [(1, 4), (4, 27), (3, 9), (10, 28), (3, 10), (4, 5), (3, 4), (12, 9), (20, 4)],
        {18: 68, 28: 87, 40: 96},
    ),
    "restarts": (
        13.2,
        [(1, 15), (4, 24), (2, 6), (3, 17), (10, 25), (5, 4), (10, 4), (12, 5)],
        {10: 62, 20: 87},
    ),
}


def trade(steps: list[tuple[int, int]]) -> CheckSet:
    """A sequence of the trade as a set of checks."""
    names = [str(n) for n in range(1, len(steps) + 1)]
    return CheckSet.from_shares(names, [s / 100 for _, s in steps], [m for m, _ in steps])


@pytest.mark.parametrize("condition", TRADE)
def test_written_sequences_of_the_trade(condition: str) -> None:
    """Under the single-fault model they take the minutes stated and are far from 25 % worse than the best."""
    minutes, steps, found = TRADE[condition]
    checks = trade(steps)
    report = compare_orders(checks, checks.names)
    by_minutes = {stage.minutes: 100 * stage.found for stage in timeline(checks, checks.names)}

    assert report.written_minutes == pytest.approx(minutes, abs=0.0501)  # given to 0.1 min
    assert 0 <= report.excess < 0.10
    assert {m: round(by_minutes[m]) for m in found} == found


def test_a_bad_order_is_more_than_a_quarter_worse() -> None:
    """The restart sequence backwards begins with the borrowed parts."""
    checks = trade(TRADE["restarts"][1])

    assert compare_orders(checks, checks.names[::-1]).excess > 0.25


# --- size, labels, refusals --------------------------------------------------------------------


def chain(size: int) -> CheckSet:
    """A long list with an access and some precedence."""
    names = [str(n) for n in range(size)]
    checks = tuple(
        Check(
            name,
            1 + n * 7 % 11,
            {name: 1.0},
            frozenset({"dash"}) if n % 3 == 0 else frozenset(),
            frozenset({str(n - 2)}) if n % 4 == 3 else frozenset(),
        )
        for n, name in enumerate(names)
    )
    return CheckSet(checks, dict.fromkeys(names, 1 / (size + 3)), {"dash": 6.0})


def test_fifteen_checks_are_solved_within_a_second() -> None:
    """The writer waits for it at every check of the content."""
    checks = chain(15)
    start = time.perf_counter()
    best = best_order(checks)

    assert best.exact
    assert time.perf_counter() - start < 1.0


def test_beyond_the_limit_the_order_is_labelled_a_heuristic() -> None:
    """It says so, and is still legal."""
    best = best_order(chain(20))

    assert not best.exact
    assert best.method.startswith("heuristic")
    assert breaches(chain(20), best.order) == ()
    with pytest.raises(ComputeError, match="20 checks are too many"):
        list(best_orders(chain(20)))


@pytest.mark.parametrize(
    ("checks", "likelihood", "told"),
    [
        ([Check("a", 1), Check("a", 1)], {}, "same name"),
        ([Check("a", -1)], {}, "a: minutes = -1"),
        ([Check("a", float("nan"))], {}, "a: minutes = nan"),
        ([Check("a", 1, {"x": 1.0})], {}, "finds 'x', which has no likelihood"),
        ([Check("a", 1, {"x": 1.5})], {"x": 0.1}, "finds 'x' with chance 1.5"),
        ([Check("a", 1, setups=frozenset({"dash"}))], {}, "needs 'dash', which has no minutes"),
        ([Check("a", 1, after=frozenset({"b"}))], {}, "a comes after a check that does not exist"),
        ([Check("a", 1, after=frozenset({"b"})), Check("b", 1, after=frozenset({"a"}))], {}, "in a circle"),
        ([Check("a", 1)], {"x": 0.7, "y": 0.7}, "add up to 1.4, more than 1"),
        ([Check("a", 1)], {"x": 0.7, "y": 0.300002}, "add up to 1, more than 1"),
        ([Check("a", 1)], {"x": 1.1}, "likelihood of 'x' = 1.1"),
        ([Check("a", 1)], {"x": -0.1}, "likelihood of 'x' = -0.1"),
    ],
)
def test_nonsense_is_refused(checks: list[Check], likelihood: dict[str, float], told: str) -> None:
    """Each with the name of what is wrong."""
    with pytest.raises(ComputeError) as caught:
        CheckSet(tuple(checks), likelihood)

    assert told in str(caught.value)


def test_an_order_names_every_check_once() -> None:
    """A forgotten check would make the order look quick."""
    with pytest.raises(ComputeError, match="names every check once: 1, 2, 3"):
        expected_minutes(trade([(1, 50), (2, 30), (3, 20)]), ["1", "2"])


# --- blocks, replacing as a test ---------------------------------------------------------------


@FEW
@given(data=st.data(), size=st.integers(1, 6))
def test_some_best_order_keeps_the_blocks_together(data: st.DataObject, size: int) -> None:
    """Sidney 1975: an optimum runs through the blocks one after the other."""
    shares = data.draw(st.lists(st.integers(0, 9), min_size=size, max_size=size))
    minutes = data.draw(st.lists(st.integers(1, 9), min_size=size, max_size=size))
    pairs = [(a, b) for b in range(size) for a in range(b) if data.draw(st.integers(0, 3)) == 0]
    names = [str(n) for n in range(size)]
    precedence = [(str(a), str(b)) for a, b in pairs]
    checks = CheckSet.from_shares(names, [s / 60 for s in shares], minutes, precedence)
    blocks = ratio_blocks(shares, minutes, pairs)
    place = {number: rank for rank, block in enumerate(blocks) for number in block}
    stepwise = [(str(a), str(b)) for a in range(size) for b in range(size) if place[a] < place[b]]
    bound = CheckSet.from_shares(names, [s / 60 for s in shares], minutes, sorted({*precedence, *stepwise}))

    assert best_order(bound).minutes == pytest.approx(best_order(checks).minutes, abs=1e-9)


def test_a_timeline_counts_faults_apart_or_one_alone() -> None:
    """Of two that exclude each other the shares add up; of two that may come together the misses multiply."""
    for model, found in ((Model.SINGLE_FAULT, (0.5, 0.7)), (Model.INDEPENDENT, (0.5, 1 - 0.5 * 0.8))):
        checks = CheckSet.from_shares(["a", "b"], [0.5, 0.2], [1, 2], model=model)
        stages = timeline(checks, ["a", "b"])
        assert [stage.found for stage in stages] == pytest.approx(found)
        assert [stage.minutes for stage in stages] == [1, 3]


def test_shares_may_add_up_to_one_but_for_their_last_digits() -> None:
    """A millionth is what printed shares lose; a likelihood may be 0 or 1."""
    for likelihood in ({"x": 0.7, "y": 0.3000009}, {"x": 1.0, "y": 0.0}):
        assert CheckSet((Check("a", 0.0),), likelihood).names == ("a",)


@pytest.mark.parametrize(("minutes", "ratio"), [(0.05, 6.0), (0.0, float("inf")), (2.0, 0.15)])
def test_a_ratio_is_likelihood_by_the_minute(minutes: float, ratio: float) -> None:
    """0.3 found in so long; what is free comes first."""
    found = ratios(CheckSet((Check("a", minutes, {"x": 1.0}),), {"x": 0.3, "y": 0.7}))
    assert found == {"a": pytest.approx(ratio)}


def test_checks_that_take_no_time_have_no_excess() -> None:
    assert compare_orders(CheckSet.from_shares(["a", "b"], [0.8, 0.2], [0, 0]), ["b", "a"]).excess == 0.0


def test_as_many_checks_as_are_solved_exactly(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit itself is solved, one more is not."""
    monkeypatch.setattr("leadsman.compute.diagnosis.best_order.EXACT_LIMIT", 2)
    checks = [
        CheckSet.from_shares(list(names), [0.2] * len(names), [1] * len(names)) for names in ("ab", "abc")
    ]
    assert [best_order(each).exact for each in checks] == [True, False]


@pytest.mark.parametrize(("order", "legal"), [("abc", True), ("bac", True), ("bca", False)])
def test_a_check_may_stand_as_late_as_its_latest_place(order: str, legal: bool) -> None:
    checks = CheckSet((Check("a", 1.0, latest=2), Check("b", 1.0), Check("c", 1.0)), {})
    assert is_legal(checks, list(order)) == legal


def test_a_fault_that_no_check_finds_costs_all_of_them() -> None:
    """0.5 is found by b after nothing else, 0.3 by a, 0.2 by neither: 0.5 x 3 + 0.3 x 2 + 0.2 x 5 minutes."""
    checks = CheckSet(
        (Check("a", 2.0, {"y": 1.0}, spared=frozenset({"x"})), Check("b", 3.0, {"x": 1.0})),
        {"x": 0.5, "y": 0.3},
    )
    assert expected_minutes(checks, ["a", "b"]) == pytest.approx(3.1)


def test_every_check_of_a_block_takes_time() -> None:
    """However little: the ratio of one that takes none has no end."""
    assert ratio_blocks([0.5, 0.4], [0.05, 4.0]) == ((0,), (1,))
    with pytest.raises(ComputeError, match="takes time"):
        ratio_blocks([0.5, 0.4], [0.0, 4.0])
