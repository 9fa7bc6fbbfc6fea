"""Noise of the water and of the boat."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.echo import noise

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


def test_the_exact_form_is_that_of_johnson_and_mellen() -> None:
    """4 pi k T rho f2 / c with Boltzmann's constant of the SI of 2019, in uPa2/Hz: 1e12 for Pa."""
    pressure2 = 4 * np.pi * 1.380649e-23 * 283.15 * 1000 * 200e3**2 / 1480
    exact = noise.thermal(frequency_khz=200, method="exact", temperature_c=10.0)
    assert exact == pytest.approx(10 * np.log10(pressure2 * 1e12), abs=1e-6)


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


@pytest.mark.parametrize("frequency", [10.0, 100.0])
def test_noise_of_ships_and_wind_falls_by_so_much_a_decade(frequency: float) -> None:
    """Coates 1990: 26 - 60 for ships, 20 - 40 for wind, beside what their corners of 30 and 400 Hz still add; Wenz 1962
    draws the wind's lines at 5 to 6 dB an octave."""

    def fall(of: Callable[..., float], **given: float) -> float:
        return of(frequency_khz=frequency, **given) - of(frequency_khz=10 * frequency, **given)

    corner = np.log10((10 * frequency + 0.03) / (frequency + 0.03))
    assert fall(noise.shipping, shipping=0.5) == pytest.approx(60 * corner - 26, abs=1e-9)
    corner = np.log10((10 * frequency + 0.4) / (frequency + 0.4))
    assert fall(noise.wind, wind_mps=5.0) == pytest.approx(40 * corner - 20, abs=1e-9)
