"""Shares of causes from cases, held against what is known of the Dirichlet distribution."""

from __future__ import annotations

import numpy as np
import pytest

from leadsman.compute.diagnosis.learning import draw_shares

WRITTEN = (0.5, 0.3, 0.2)
NONE = (0.0, 0.0, 0.0)


@pytest.mark.parametrize("weight", [5.0, 20.0, 80.0])
def test_without_cases_the_draws_have_the_written_mean_and_the_spread_of_their_weight(weight: float) -> None:
    """Dirichlet: mean p, variance p(1 - p)/(w + 1) (Johnson, Kotz and Balakrishnan, Continuous multivariate distributions,
    chapter 49, from memory)."""
    drawn = draw_shares(WRITTEN, weight, NONE, [])
    assert drawn.sum(axis=1) == pytest.approx(1.0)
    shares = np.array(WRITTEN)
    variance = shares * (1 - shares) / (weight + 1)
    assert drawn.mean(axis=0) == pytest.approx(shares, abs=5 * np.sqrt(variance.max() / len(drawn)))
    assert drawn.var(axis=0) == pytest.approx(variance, rel=0.15)


def test_certain_cases_count_beside_the_weight() -> None:
    """The posterior mean of the conjugate prior: (w p + n)/(w + N)."""
    drawn = draw_shares(WRITTEN, 20, (0, 10, 20), [])
    by_hand = (np.array(WRITTEN) * 20 + np.array([0, 10, 20])) / 50
    assert drawn.mean(axis=0) == pytest.approx(by_hand, abs=0.01)


def test_an_open_case_that_leaves_one_cause_is_a_certain_one() -> None:
    open_cases = [[0.0, 1.0, 0.0]] * 10 + [[0.0, 0.0, 1.0]] * 20
    told = draw_shares(WRITTEN, 20, NONE, open_cases).mean(axis=0)
    assert told == pytest.approx(draw_shares(WRITTEN, 20, (0, 10, 20), []).mean(axis=0), abs=0.01)


def test_open_cases_that_leave_all_causes_teach_nothing() -> None:
    told = draw_shares(WRITTEN, 20, NONE, [[1.0, 1.0, 1.0]] * 30).mean(axis=0)
    assert told == pytest.approx(np.array(WRITTEN), abs=0.02)
