"""Shares of causes from cases, held against what is known of the Dirichlet distribution."""

from __future__ import annotations

import numpy as np
import pytest

from leadsman.compute.diagnosis.learning import _quantile, cause_share, draw_shares, proportion
from leadsman.compute.registry import ComputeError

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


@pytest.mark.parametrize(("seen", "cases"), [(1, 20), (1, 100), (4, 20), (10, 20), (19, 20), (99, 100)])
def test_the_ends_of_a_share_are_those_that_the_count_just_allows(seen: int, cases: int) -> None:
    """Wilson 1927: at both ends the count lies 1.96 standard deviations off, by the deviation at that end itself."""
    share, low, high = (float(part) for part in proportion(seen=seen, cases=cases))
    assert share == seen / cases
    for end in (low, high):
        off = abs(share - end) / np.sqrt(end * (1 - end) / cases)
        assert off == pytest.approx(1.959964, abs=1e-5)
    assert 0 < low < share < high < 1


def test_none_and_all_are_ends_by_themselves() -> None:
    """There the other end is z2 / (n + z2) from them (Wilson 1927)."""
    z2 = 1.959964**2
    assert tuple(proportion(seen=0, cases=20)) == pytest.approx((0.0, 0.0, z2 / (20 + z2)))
    assert tuple(proportion(seen=20, cases=20)) == pytest.approx((1.0, 20 / (20 + z2), 1.0))
    assert float(proportion(seen=0, cases=20)[1]) == 0.0
    assert float(proportion(seen=20, cases=20)[2]) == 1.0


def test_all_cases_may_have_one_cause() -> None:
    """The mean is (w s + n)/(w + N) (Gelman and others 2013, chapter 2); only more than all is refused."""
    assert float(cause_share(written=0.3, weight=10, seen=10, cases=10)[0]) == pytest.approx(13 / 20)
    with pytest.raises(ComputeError, match="more cases"):
        cause_share(written=0.3, weight=10, seen=10.5, cases=10)


def test_each_draw_of_open_cases_is_a_set_of_shares() -> None:
    """They add up to 1, the first and the last as well."""
    drawn = draw_shares(WRITTEN, 20, NONE, [[1.0, 1.0, 0.0]] * 3)
    assert len(drawn) == 2000
    assert drawn.sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("alpha", "rest", "middle"),
    [
        (0.05, 0.05, 0.5),
        (0.0, 3.0, 0.0),
        (3.0, 0.0, 1.0),
        (0.05, 0.0, 1.0),
        (0.0, 0.05, 0.0),
        (2.0, 2.0, 0.5),
    ],
)
def test_a_share_with_nothing_on_one_side_stands_at_the_other(
    alpha: float, rest: float, middle: float
) -> None:
    """The median of a beta distribution that is alike on both sides is a half."""
    assert _quantile(0.5, alpha, rest) == pytest.approx(middle)
