"""The pin table as limits: what a good reading may be, printed narrower and never wider."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.book.pins import limits
from leadsman.content.model.equipment import Pin
from leadsman.units import NARROW_NO_BREAK_SPACE


def pin(**changes: object) -> Pin:
    """A pin with an element's capacitance."""
    fields = {
        "pair": "1 and 2",
        "instrument": "capacitance",
        "what": "element",
        "expected": 2.5,
        "unit": "nF",
    }
    return Pin.model_validate(fields | changes)


def plain(text: str) -> str:
    return text.replace(NARROW_NO_BREAK_SPACE, " ")


@pytest.mark.parametrize(
    ("changes", "printed"),
    [
        # Common practice, no source: an element pair within 20 % of its own value.
        ({}, "2.0 to 3.0 nF"),
        ({"expected": 1.9}, "1.6 to 2.2 nF"),  # 1.52 up, 2.28 down
        ({"expected": 15.0, "unit": "kohm", "tolerance_pct": 5}, "14.3 to 15.7 kΩ"),
        ({"expected": 10.0, "unit": "Mohm", "least": True}, "10 MΩ or more"),
    ],
)
def test_limits_are_what_a_meter_may_show(changes: dict[str, object], printed: str) -> None:
    assert plain(limits(pin(**changes))) == printed


@given(st.floats(0.5, 50), st.sampled_from([5.0, 10.0, 20.0]))
def test_printed_limits_never_lie_outside_the_tolerance(expected: float, tolerance: float) -> None:
    low, _, high = (
        plain(limits(pin(expected=expected, tolerance_pct=tolerance))).removesuffix(" nF").partition(" to ")
    )
    assert float(low) >= expected * (1 - tolerance / 100) - 1e-9
    assert float(high) <= expected * (1 + tolerance / 100) + 1e-9
