"""Noise of the water and of the boat."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.echo import noise
from leadsman.compute.registry import OutOfRange

FREQUENCIES = st.floats(min_value=1, max_value=1500)
WINDS = st.floats(min_value=0, max_value=30)


@given(FREQUENCIES)
def test_thermal_noise_rises_six_decibels_an_octave(frequency: float) -> None:
    """Mellen's law goes with the square of frequency."""
    rise = noise.thermal(frequency_khz=min(1500, 2 * frequency)) - noise.thermal(frequency_khz=frequency)

    assert rise == pytest.approx(20 * np.log10(min(1500, 2 * frequency) / frequency), abs=1e-9)


@pytest.mark.parametrize("temperature", [0.0, 10.0, 25.0, 40.0])
def test_both_thermal_forms_agree(temperature: float) -> None:
    """The rounded constant of -15 lies within 0.7 dB of 4 pi k T rho f^2/c at any water temperature."""
    exact = noise.thermal(frequency_khz=200, method="exact", temperature_c=temperature)

    assert exact == pytest.approx(noise.thermal(frequency_khz=200), abs=0.7)


@given(FREQUENCIES, WINDS, st.floats(0, 90))
def test_a_sum_is_louder_than_each_part(frequency: float, wind: float, own: float) -> None:
    """Total noise lies above ambient, ambient above thermal and wind."""
    ambient = noise.ambient(frequency_khz=frequency, wind_mps=wind)
    thermal = noise.thermal(frequency_khz=frequency)
    total = noise.total(frequency_khz=frequency, wind_mps=wind, own_noise_db=own)

    assert ambient >= max(thermal, noise.wind(frequency_khz=frequency, wind_mps=wind))
    assert total >= max(ambient, thermal + own)
    assert total <= max(ambient, thermal + own) + 3.02


def test_equal_powers_add_to_three_decibels() -> None:
    """Two equal levels make 3.01 dB more."""
    assert float(noise.power_sum(40.0, 40.0)) == pytest.approx(43.0103, abs=1e-4)


def test_wind_and_thermal_meet_at_the_crossover() -> None:
    """At the frequency found the two levels are equal, in both wind models."""
    winds = np.array([0.0, 2.5, 5.0, 10.0, 15.0])
    frequency = noise.crossover(wind_mps=winds)
    np.testing.assert_allclose(
        noise.wind(frequency_khz=frequency, wind_mps=winds), noise.thermal(frequency_khz=frequency), atol=1e-8
    )
    five_knots = 5 * 1852 / 3600
    frequency = noise.crossover(wind_mps=five_knots, method="rule-of-fives")

    assert noise.wind_rule_of_fives(frequency_khz=frequency, wind_kn=5) == pytest.approx(
        noise.thermal(frequency_khz=frequency), abs=1e-6
    )


def test_the_two_wind_models_agree_within_ten_decibels_where_both_hold() -> None:
    """Around 5 kHz, the end of the rule of fives, both describe the same curves of Wenz."""
    for metres_a_second in (2.5, 5.0, 10.0):
        coates = noise.wind(frequency_khz=5, wind_mps=metres_a_second)
        fives = noise.wind_rule_of_fives(frequency_khz=5, wind_kn=metres_a_second * 3600 / 1852)
        assert coates == pytest.approx(fives, abs=10)


def test_rule_of_fives_falls_five_decibels_an_octave() -> None:
    """The rule's own statement, at 2 and 4 kHz."""
    levels = [noise.wind_rule_of_fives(frequency_khz=f, wind_kn=10) for f in (2.0, 4.0)]

    assert levels[0] - levels[1] == pytest.approx(5.0, abs=0.05)


def test_a_quiet_boat_is_louder_than_the_sea_at_every_sounder_frequency() -> None:
    """Ambient noise is a floor only above some 50 kHz (common practice, no source)."""
    frequency = np.array([50.0, 83.0, 200.0, 455.0, 800.0])
    ambient = noise.ambient(frequency_khz=frequency, wind_mps=3)

    assert np.all(np.asarray(noise.total(frequency_khz=frequency, wind_mps=3)) > np.asarray(ambient) + 6)


def test_arrays_broadcast() -> None:
    """A column of frequencies against a row of winds gives the grid, and the grid equals the scalars."""
    frequency, wind = np.array([[20.0], [200.0]]), np.array([[0.0, 5.0, 10.0]])
    grid = np.asarray(noise.total(frequency_khz=frequency, wind_mps=wind))

    assert grid.shape == (2, 3)
    assert grid[1, 2] == pytest.approx(noise.total(frequency_khz=200.0, wind_mps=10.0))


def test_the_rule_of_fives_refuses_a_calm() -> None:
    """Its logarithm starts at 2.5 kn."""
    with pytest.raises(OutOfRange, match="wind"):
        noise.crossover(wind_mps=0.0, method="rule-of-fives")
