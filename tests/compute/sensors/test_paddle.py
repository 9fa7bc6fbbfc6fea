"""Speed paddles: pulse rate both ways, and when calibration is not the answer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.sensors.paddle import paddle_calibration, paddle_frequency, paddle_speed


@given(speed=st.floats(0, 60), rate=st.floats(0.5, 50))
def test_round_trip(speed: float, rate: float) -> None:
    """Speed to pulses and back."""
    frequency = paddle_frequency(speed_kn=speed, paddle_hz_per_kn=rate)

    assert paddle_speed(frequency_hz=frequency, paddle_hz_per_kn=rate) == pytest.approx(speed)


def test_a_pulse_count_per_mile_is_independent_of_speed() -> None:
    """20000 pulses a nautical mile: at any speed, frequency times the time for a mile gives 20000."""
    rate = 20000 / 3600
    for speed in (2.0, 6.0, 25.0):
        seconds_per_mile = 3600 / speed

        assert paddle_frequency(speed_kn=speed, paddle_hz_per_kn=rate) * seconds_per_mile == pytest.approx(
            20000
        )


@given(true=st.floats(1, 30), old=st.floats(0.5, 2), error=st.floats(0.5, 2))
def test_the_new_factor_makes_the_display_right(true: float, old: float, error: float) -> None:
    """With the new factor set, the same pulses show the true speed."""
    shown = true * error
    new = paddle_calibration(true_speed_kn=true, shown_speed_kn=shown, calibration=old).factor

    assert shown / old * new == pytest.approx(true)


@pytest.mark.parametrize(
    ("shown", "verdict"), [(5.0, "set it"), (7.5, "set it"), (4.99, "find"), (7.51, "find")]
)
def test_a_factor_outside_practice_is_a_fault(shown: float, verdict: str) -> None:
    """0.8 to 1.2 is calibration; outside it is flow or wheel (common practice, no source)."""
    assert paddle_calibration(true_speed_kn=6.0, shown_speed_kn=shown).verdict.startswith(verdict)
