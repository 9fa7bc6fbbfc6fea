"""Comparing beyond the last binary digits."""

import numpy as np
import pytest

from leadsman.compute.rounding import exceeds, falls_short, first_not_below


@pytest.mark.parametrize("limit", [10.0, -10.0, 0.0, 3e-12])
def test_a_limit_is_kept_by_what_equals_it_but_for_binary_digits(limit: float) -> None:
    """A tenth of a part in 1e9 is rounding, ten parts are not; nothing is nothing."""
    hair = abs(limit) * 1e-10

    assert not exceeds(limit, limit)
    assert not falls_short(limit, limit)
    assert not exceeds(limit + hair, limit)
    assert not falls_short(limit - hair, limit)
    assert exceeds(limit + 100 * hair + 1e-20, limit)
    assert falls_short(limit - 100 * hair - 1e-20, limit)


def test_arrays_are_compared_element_by_element() -> None:
    """With numbers and with each other."""
    assert list(exceeds(np.array([1.0, 2.0, 3.0]), 2.0)) == [False, False, True]
    assert list(falls_short(np.array([1.0, 2.0, 3.0]), np.array([2.0, 2.0, 4.0]))) == [True, False, True]


@pytest.mark.parametrize(
    ("value", "place"), [(0.5, 0), (1.0, 0), (1.0 + 1e-12, 0), (1.01, 1), (2.0, 1), (3.0, 2), (3.5, 3)]
)
def test_an_exact_fit_is_not_pushed_a_step_up(value: float, place: int) -> None:
    """1.25 x 8 A is 10 A, whatever the last binary digit."""
    assert first_not_below((1.0, 2.0, 3.0), value) == place
