"""Orders of checks that a written answer may skip, of which one of a group must come first, or that come early."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.diagnosis.best_order import best_order, compare_orders
from leadsman.compute.diagnosis.order_ratios import improved_order
from leadsman.compute.diagnosis.sequencing import Check, CheckSet, Model, expected_minutes, is_legal
from leadsman.compute.registry import ComputeError

FEW = settings(max_examples=40)


def by_hand(checks: CheckSet, order: tuple[str, ...]) -> float:
    """The minutes spent under each cause, one cause at a time: what the technician's watch would say."""
    by_name = {check.name: check for check in checks.checks}
    total = 0.0
    for cause, chance in [*checks.likelihood.items(), ("", checks.other)]:
        spent, opened = 0.0, set[str]()
        for name in order:
            check = by_name[name]
            if cause in check.spared:
                continue
            spent += check.minutes + sum(checks.setup_minutes[s] for s in check.setups - opened)
            opened |= check.setups
            if cause in check.finds:
                break
        total += chance * spent
    return total


@st.composite
def branching(draw: st.DrawFn) -> CheckSet:
    """Up to five checks: some skipped after the first, some behind any of a group, some at an access."""
    size = draw(st.integers(2, 5))
    names = [str(n) for n in range(size)]
    causes = [f"c{n}" for n in range(draw(st.integers(1, 4)))]
    shares = draw(st.lists(st.integers(0, 9), min_size=len(causes), max_size=len(causes)))
    checks = []
    for number, name in enumerate(names):
        spared = frozenset(draw(st.sets(st.sampled_from(causes)))) if number else frozenset()
        finds = draw(st.sets(st.sampled_from(causes))) - spared
        group = draw(st.sets(st.sampled_from(names[:number]), max_size=2)) if number else set()
        checks.append(
            Check(
                name,
                draw(st.integers(1, 9)),
                dict.fromkeys(sorted(finds), 1.0),
                frozenset(draw(st.sets(st.sampled_from(["dash", "bilge"]), max_size=2))),
                frozenset({"0"}) if spared else frozenset(),
                (frozenset(group),) if group else (),
                draw(st.sampled_from([None, None, number + 1])),
                spared,
            )
        )
    likelihood = {cause: share / 40 for cause, share in zip(causes, shares, strict=True)}
    return CheckSet(tuple(checks), likelihood, {"dash": 6.0, "bilge": 4.0})


@FEW
@given(branching())
def test_the_best_order_is_the_best_of_all_legal_ones(checks: CheckSet) -> None:
    """Brute force over all orders, each timed cause by cause."""
    orders = [order for order in itertools.permutations(checks.names) if is_legal(checks, order)]
    best = best_order(checks)

    assert is_legal(checks, best.order)
    assert best.minutes == pytest.approx(min(by_hand(checks, order) for order in orders), abs=1e-9)
    for order in orders:
        assert expected_minutes(checks, order) == pytest.approx(by_hand(checks, order), abs=1e-9)


@FEW
@given(branching())
def test_the_heuristic_keeps_groups_and_places(checks: CheckSet) -> None:
    order = improved_order(checks)

    assert is_legal(checks, order)
    assert expected_minutes(checks, order) >= best_order(checks).minutes - 1e-9


def test_a_check_that_an_answer_skips_costs_nothing_under_that_cause() -> None:
    """The band at the top (1 min) leads past the pins (10 min behind a dash of 6) when the face is foul."""
    checks = CheckSet(
        (
            Check("band", 1),
            Check("pins", 10, {"element": 1.0}, frozenset({"dash"}), frozenset({"band"}), spared=frozenset({"face"})),
            Check("face", 5, {"face": 1.0}),
        ),
        {"element": 0.5, "face": 0.5},
        {"dash": 6.0},
    )  # fmt: skip

    # By hand: 1 for all; the element 16 more; the foul face 5 more.
    assert expected_minutes(checks, ["band", "pins", "face"]) == pytest.approx(1 + 0.5 * 16 + 0.5 * 5)
    # The face first costs the element 5 more, since nothing leads past the face.
    assert compare_orders(checks, ["band", "face", "pins"]).excess == pytest.approx(14 / 11.5 - 1)


def test_an_access_is_opened_by_the_first_check_that_is_made_there() -> None:
    """A check that is skipped opens nothing for the next at the same place."""
    checks = CheckSet(
        (
            Check("first", 1),
            Check("a", 2, {}, frozenset({"dash"}), frozenset({"first"}), spared=frozenset({"x"})),
            Check("b", 3, {"x": 1.0, "y": 1.0}, frozenset({"dash"})),
        ),
        {"x": 0.5, "y": 0.5},
        {"dash": 6.0},
    )

    assert expected_minutes(checks, ["first", "a", "b"]) == pytest.approx(
        0.5 * (1 + 6 + 3) + 0.5 * (1 + 6 + 2 + 3)
    )


def test_a_check_with_a_latest_place_is_not_left_behind() -> None:
    """The unit's own volts find little and are read early all the same."""
    checks = tuple(Check(str(n), 1, {str(n): 1.0}) for n in range(6))
    volts = Check("volts", 1, latest=3)
    found = best_order(CheckSet((*checks, volts), {str(n): 0.1 for n in range(6)}))

    assert found.order.index("volts") == 2
    assert found.minutes == pytest.approx(float(np.dot([1, 0.9, 0.8, 0.8, 0.7, 0.6, 0.5], np.ones(7))))


@pytest.mark.parametrize(
    ("checks", "told"),
    [
        ((Check("a", 1, after_any=(frozenset(),)),), "does not exist"),
        ((Check("a", 1, after_any=(frozenset({"b"}),)),), "does not exist"),
        ((Check("a", 1, after_any=(frozenset({"a"}),)),), "in a circle"),
        ((Check("a", 1, spared=frozenset({"y"})),), "is spared under a cause without likelihood"),
        ((Check("a", 1, {"x": 1.0}, spared=frozenset({"x"})),), "finds a cause under which it is not made"),
    ],
)
def test_nonsense_is_refused(checks: tuple[Check, ...], told: str) -> None:
    with pytest.raises(ComputeError, match=told):
        CheckSet(checks, {"x": 0.5})


def test_skipped_checks_need_the_single_fault_model() -> None:
    with pytest.raises(ComputeError, match="need the model 'single fault'"):
        CheckSet((Check("a", 1, spared=frozenset({"x"})),), {"x": 0.5}, model=Model.INDEPENDENT)


def test_places_that_cannot_all_be_kept_are_refused() -> None:
    with pytest.raises(ComputeError, match="no order keeps"):
        best_order(CheckSet((Check("a", 1, latest=1), Check("b", 1, latest=1)), {}))
