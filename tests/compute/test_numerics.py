"""The place of a value among steps."""

import pytest

from leadsman.compute.numerics import first_not_below


@pytest.mark.parametrize(
    ("value", "place"), [(0.5, 0), (1.0, 0), (1.0 + 1e-12, 0), (1.01, 1), (2.0, 1), (3.0, 2), (3.5, 3)]
)
def test_an_exact_fit_is_not_pushed_a_step_up(value: float, place: int) -> None:
    """1.25 x 8 A is 10 A, whatever the last binary digit."""
    assert first_not_below((1.0, 2.0, 3.0), value) == place
