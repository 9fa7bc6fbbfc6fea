"""What a test could tell: its information a minute, the odds of explanations, and what conflicts leave."""

from __future__ import annotations

import math

import pytest

from leadsman.compute.diagnosis.swap_matrix import SwapMatrix
from leadsman.compute.diagnosis.testability import (
    NextTest,
    next_best_tests,
    posterior_given_conflicts,
    rank_by_odds,
)
from leadsman.compute.registry import ComputeError


@pytest.mark.parametrize(("minutes", "rate"), [(0.0, math.inf), (0.05, 20.0), (4.0, 0.25)])
def test_information_by_the_minute(minutes: float, rate: float) -> None:
    """One bit over the minutes that it takes; what is free comes first."""
    assert NextTest("swap", 0.5, 1.0, minutes).bits_per_minute == pytest.approx(rate)


def test_only_a_test_that_parts_the_suspects_is_proposed() -> None:
    """Half the likelihood is one bit (Shannon 1948); a cause that cannot be is no suspect to part from."""
    matrix = SwapMatrix(
        ("a", "b", "c"),
        {
            name: frozenset(parts)
            for name, parts in {"none": "c", "all": "ab", "one": "a", "rest": "bc"}.items()
        },
    )
    found = next_best_tests(matrix, {}, {"a": 3.0, "b": 3.0}, dict.fromkeys(matrix.tests, 2.0))

    assert [(each.test, each.fails, each.bits) for each in found] == [("one", 0.5, 1.0), ("rest", 0.5, 1.0)]


def test_explanations_are_ranked_by_odds_and_not_by_chance() -> None:
    """Odds of 0.6 are 1.5, two of them 2.25, those of 0.65 are 1.86; a certain cause beats all (de Kleer, Williams 1987)."""
    prior = {"a": 0.6, "b": 0.6, "c": 0.65, "d": 1.0, "e": 0.5}

    assert rank_by_odds([{"c"}, {"a", "b"}, {"d"}, {"e"}], prior) == (
        frozenset("d"), frozenset("ab"), frozenset("c"), frozenset("e"),
    )  # fmt: skip


def test_a_conflict_raises_what_could_cause_it() -> None:
    """Of two causes of 0.1 and 0.2 at least one is there: P(a) = 0.1/0.28, P(b) = 0.2/0.28, by Bayes."""
    found = posterior_given_conflicts({"a": 0.1, "b": 0.2, "c": 0.3}, [{"a", "b"}])

    assert found == pytest.approx({"a": 0.1 / 0.28, "b": 0.2 / 0.28, "c": 0.3})


@pytest.mark.parametrize("causes", [16, 17])
def test_sixteen_causes_are_enumerated_and_no_more(causes: int) -> None:
    """Certain causes, so that one world alone is left."""
    prior = {str(number): 1.0 for number in range(causes)}
    if causes > 16:
        with pytest.raises(ComputeError, match="17 causes are too many"):
            posterior_given_conflicts(prior, [])
    else:
        assert posterior_given_conflicts(prior, [{name} for name in prior]) == prior


def test_what_nothing_explains_has_no_answer() -> None:
    with pytest.raises(ComputeError, match="no combination"):
        posterior_given_conflicts({"a": 0.0}, [{"a"}])
