"""Sound speed, absorption, density, vapour pressure and the error of the shown depth."""

import math
from typing import Any

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95

from leadsman.compute.registry import OutOfRange
from leadsman.compute.water import by_water as water

ANY_TEMPERATURE = st.floats(0, 40)
ANY_SALINITY = st.floats(0, 40)
ANY_FREQUENCY = st.floats(10, 1500)


def uwa() -> Any:
    """The independent program, which loads a library of plots: in the process alone that compares with it."""
    from arlpy import uwa as found

    return found


def absolute_salinity(salinity_psu):
    """Absolute salinity [g/kg] of standard composition, as TEOS-10 defines the reference salinity."""
    return salinity_psu * 35.16504 / 35


# --- sound speed -------------------------------------------------------------------------------


def test_sound_speed_stays_within_its_target_of_teos10() -> None:
    """0.7 m/s over 0-40 degC, 0-40 PSU, 0-200 m, against the exact TEOS-10 speed of gsw."""
    t, s, z = np.meshgrid(
        np.linspace(0, 40, 41), np.linspace(0, 40, 21), np.linspace(0, 200, 11), indexing="ij"
    )
    teos10 = gsw.sound_speed_t_exact(absolute_salinity(s), t, gsw.p_from_z(-z, 45))

    difference = water.sound_speed(temperature_c=t, salinity_psu=s, depth_m=z) - teos10

    assert np.max(np.abs(difference)) < 0.35


@pytest.mark.parametrize("temperature_c", [0.01, 10.0, 20.0, 30.0, 40.0])
def test_fresh_water_agrees_with_iapws95(temperature_c: float) -> None:
    """0.05 m/s from the standard of pure water."""
    standard = IAPWS95(T=temperature_c + 273.15, P=0.101325).w

    assert water.sound_speed(temperature_c=temperature_c) == pytest.approx(standard, abs=0.05)


@given(temperature_c=st.floats(2, 30), salinity_psu=st.floats(25, 40), depth_m=st.floats(0, 200))
def test_an_equation_of_other_authors_agrees_in_its_own_waters(
    temperature_c: float, salinity_psu: float, depth_m: float
) -> None:
    """The nine terms of Mackenzie 1981, as arlpy has them: the two data sets lie 0.43 m/s apart where both end, warm and salt."""
    theirs = uwa().soundspeed(temperature_c, salinity_psu, depth_m)
    ours = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu, depth_m=depth_m)

    assert ours == pytest.approx(theirs, abs=0.45)


@given(temperature_c=ANY_TEMPERATURE, salinity_psu=st.floats(0, 39), depth_m=st.floats(0, 4000))
def test_sound_runs_faster_in_saltier_and_in_deeper_water(
    temperature_c: float, salinity_psu: float, depth_m: float
) -> None:
    """About 1.3 m/s for each PSU and 1.6 m/s for each 100 m."""
    here = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu, depth_m=depth_m)
    saltier = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu + 1, depth_m=depth_m)
    deeper = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu, depth_m=depth_m + 100)

    assert 0.8 < saltier - here < 1.5
    assert 1.4 < deeper - here < 2.0


@given(temperature_c=st.floats(0, 39), salinity_psu=ANY_SALINITY)
def test_sound_runs_faster_in_warmer_water(temperature_c: float, salinity_psu: float) -> None:
    """Below 74 degC the speed only rises with temperature."""
    here = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu)

    assert water.sound_speed(temperature_c=temperature_c + 1, salinity_psu=salinity_psu) > here + 1


def test_one_bad_cell_of_an_array_is_refused_with_its_value() -> None:
    """Nothing is clamped or left as NaN."""
    with pytest.raises(OutOfRange) as caught:
        water.sound_speed(temperature_c=[4.0, 41.0, 60.0])

    assert caught.value.value == 41.0


# --- absorption --------------------------------------------------------------------------------


@given(
    frequency_khz=ANY_FREQUENCY,
    temperature_c=ANY_TEMPERATURE.filter(lambda t: t != 20),
    salinity_psu=st.floats(1, 40),
    depth_m=st.floats(0, 3000),
)
def test_francois_garrison_agrees_with_an_independent_program(
    frequency_khz: float, temperature_c: float, salinity_psu: float, depth_m: float
) -> None:
    """Against arlpy, which gives an amplitude factor over a distance and branches the other way at 20 degC."""
    factor = uwa().absorption(frequency_khz * 1e3, 10.0, temperature_c, salinity_psu, depth_m, 8.0)
    theirs = -20 * math.log10(factor) * 100

    ours = water.absorption(
        frequency_khz=frequency_khz,
        temperature_c=temperature_c,
        salinity_psu=salinity_psu,
        depth_m=depth_m,
    )

    assert ours == pytest.approx(theirs, rel=1e-4)


@pytest.mark.parametrize("temperature_c", [0.01, 10.0, 20.0, 30.0, 40.0])
def test_fresh_water_absorbs_by_its_viscosity_alone(temperature_c: float) -> None:
    """Stokes' law with the IAPWS viscosity and a bulk viscosity 2.8 times the shear (recalled): 8 %."""
    state = IAPWS95(T=temperature_c + 273.15, P=0.101325)
    omega = 2 * math.pi * 200e3
    nepers = omega**2 / (2 * state.rho * state.w**3) * (4 / 3 + 2.8) * state.mu
    stokes = nepers * 20 * math.log10(math.e) * 1000

    assert water.absorption(frequency_khz=200, temperature_c=temperature_c) == pytest.approx(stokes, rel=0.08)


@given(frequency_khz=st.floats(10, 750), temperature_c=ANY_TEMPERATURE, ph=st.floats(6, 9))
def test_fresh_water_absorbs_with_the_square_of_the_frequency(
    frequency_khz: float, temperature_c: float, ph: float
) -> None:
    """No relaxation is left at salinity 0, whatever the acidity."""
    here = water.absorption(frequency_khz=frequency_khz, temperature_c=temperature_c, ph=ph)
    octave = water.absorption(frequency_khz=2 * frequency_khz, temperature_c=temperature_c)

    assert octave == pytest.approx(4 * here, rel=1e-9)


@given(temperature_c=ANY_TEMPERATURE, salinity_psu=ANY_SALINITY, frequency_khz=st.floats(10, 1400))
def test_absorption_rises_with_frequency_and_salt(
    temperature_c: float, salinity_psu: float, frequency_khz: float
) -> None:
    """Higher frequencies reach less far, and less far in the sea than in a lake."""
    inputs = {"temperature_c": temperature_c, "salinity_psu": salinity_psu}
    here = water.absorption(frequency_khz=frequency_khz, **inputs)

    assert water.absorption(frequency_khz=frequency_khz * 1.05, **inputs) > here
    assert here >= water.absorption(frequency_khz=frequency_khz, temperature_c=temperature_c)


def test_the_band_of_the_absorption_covers_what_was_measured() -> None:
    """18.5 dB/km above the equation at 333 kHz in fjords (2011-2014); the spread of the two fits in the sea."""
    equation = water.absorption(frequency_khz=333, temperature_c=8.0, salinity_psu=33.0)
    band = water.absorption_uncertainty(frequency_khz=333, salinity_psu=33.0)

    assert equation * band >= 0.9 * 18.5
    assert water.absorption_uncertainty(frequency_khz=200, salinity_psu=8.0) == pytest.approx(0.20)
    assert water.absorption_uncertainty(frequency_khz=200, salinity_psu=0.2) == pytest.approx(0.05)


@given(frequency_khz=ANY_FREQUENCY, salinity_psu=st.floats(0.5, 40))
def test_the_band_never_falls_with_frequency(frequency_khz: float, salinity_psu: float) -> None:
    """And stays within 5 to 25 %."""
    here = water.absorption_uncertainty(frequency_khz=frequency_khz, salinity_psu=salinity_psu)
    lower = water.absorption_uncertainty(frequency_khz=frequency_khz / 2, salinity_psu=salinity_psu)

    assert 0.05 <= lower <= here <= 0.25


# --- density, pressure, vapour pressure ----------------------------------------------------------


def test_density_agrees_with_teos10() -> None:
    """0.01 % over all waters to 1000 m."""
    t, s, z = np.meshgrid(
        np.linspace(0, 40, 21), np.linspace(0, 40, 11), np.linspace(0, 1000, 6), indexing="ij"
    )
    teos10 = gsw.rho_t_exact(absolute_salinity(s), t, gsw.p_from_z(-z, 45))

    ratio = water.density(temperature_c=t, salinity_psu=s, depth_m=z) / teos10

    assert np.max(np.abs(ratio - 1)) < 1e-4


def test_fresh_water_is_densest_near_four_degrees() -> None:
    """A textbook fact; it is why cold lakes are layered upside down."""
    t = np.linspace(0, 10, 1001)

    assert t[np.argmax(water.density(temperature_c=t))] == pytest.approx(3.98, abs=0.03)


@pytest.mark.parametrize("temperature_c", [5.0, 15.0, 25.0, 40.0])
def test_vapour_pressure_agrees_with_the_saturation_line(temperature_c: float) -> None:
    """IAPWS-95 at the same temperature, by solving for the two phases."""
    standard = IAPWS95(T=temperature_c + 273.15, x=0).P * 1e6

    assert water.vapour_pressure(temperature_c=temperature_c) == pytest.approx(standard, rel=3e-4)


@pytest.mark.parametrize("salinity_psu", [5.0, 20.0, 35.0, 40.0])
def test_salt_lowers_the_vapour_pressure_as_its_chemical_potential_says(salinity_psu: float) -> None:
    """The activity of the water from the TEOS-10 chemical potential, R = 8.314 J/(mol K), M = 18.015 g/mol."""
    potential = [
        gsw.chem_potential_water_t_exact(absolute_salinity(s), 20.0, 0.0) for s in (salinity_psu, 0.0)
    ]
    activity = math.exp((potential[0] - potential[1]) * 18.015268 / (8.314472 * 293.15))

    ratio = water.vapour_pressure(temperature_c=20, salinity_psu=salinity_psu) / water.vapour_pressure(
        temperature_c=20
    )

    assert ratio == pytest.approx(activity, rel=2e-3)


# --- the shown depth -----------------------------------------------------------------------------


def test_cold_fresh_water_shows_more_than_there_is() -> None:
    """Common practice, no source: the direction matters, and it is the dangerous one."""
    assert water.depth_bias(temperature_c=0.0) == pytest.approx(7.0, abs=0.05)
    assert abs(water.depth_bias(temperature_c=13.0, salinity_psu=35.0)) < 0.1
    assert water.depth_bias(temperature_c=30.0, salinity_psu=35.0) < 0


@given(
    depth_m=st.floats(1, 4000),
    temperature_c=ANY_TEMPERATURE,
    salinity_psu=ANY_SALINITY,
    set_sound_speed_mps=st.floats(1400, 1600),
)
def test_true_depth_undoes_the_bias(
    depth_m: float, temperature_c: float, salinity_psu: float, set_sound_speed_mps: float
) -> None:
    """Shown from true by the bias, and back again."""
    where = {
        "temperature_c": temperature_c,
        "salinity_psu": salinity_psu,
        "set_sound_speed_mps": set_sound_speed_mps,
    }
    shown = depth_m * (1 + water.depth_bias(depth_m=depth_m, **where) / 100)

    assert water.true_depth(shown_depth_m=shown, **where) == pytest.approx(depth_m, abs=1e-3)


@pytest.mark.parametrize(
    ("call", "arguments"),
    [
        (water.sound_speed, {"salinity_psu": 10.0, "depth_m": 20.0}),
        (water.absorption, {"frequency_khz": 200.0, "salinity_psu": 35.0}),
        (water.density, {"salinity_psu": 35.0}),
        (water.vapour_pressure, {"salinity_psu": 35.0}),
        (water.depth_bias, {"salinity_psu": 10.0}),
        (water.true_depth, {"shown_depth_m": 10.0}),
    ],
)
def test_an_array_gives_what_its_scalars_give(call, arguments: dict[str, float]) -> None:
    """Cell by cell, and a scalar call returns a plain float; 20 degC is the edge of a branch."""
    temperatures = np.array([0.0, 4.0, 19.99, 20.0, 20.01, 40.0])

    together = call(temperature_c=temperatures, **arguments)
    apart = [call(temperature_c=float(t), **arguments) for t in temperatures]

    assert {type(value) for value in apart} == {float}
    assert together == pytest.approx(apart, rel=1e-12)
