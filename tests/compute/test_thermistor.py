"""Thermistors: both laws both ways, a published table, and readings against the water."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from leadsman.compute.registry import ComputeError, NoAnswer
from leadsman.compute.sensors.thermistor import (
    steinhart_hart_coefficients,
    steinhart_hart_resistance,
    steinhart_hart_temperature,
    thermistor_resistance,
    thermistor_temperature,
    thermistor_verdict,
)

#: Published generic coefficients of a 10 kohm thermistor.
GENERIC = {"coefficient_a": 1.129148e-3, "coefficient_b": 2.34125e-4, "coefficient_c": 8.76741e-8}


@given(temperature=st.floats(-20, 80), beta=st.floats(2500, 5000), r25=st.floats(1000, 100000))
def test_beta_law_round_trip(temperature: float, beta: float, r25: float) -> None:
    """Temperature to resistance and back."""
    resistance = thermistor_resistance(temperature_c=temperature, beta_k=beta, r25_ohm=r25)

    assert thermistor_temperature(resistance_ohm=resistance, beta_k=beta, r25_ohm=r25) == pytest.approx(
        temperature, abs=1e-6
    )


@given(temperature=st.floats(-20, 80))
def test_steinhart_hart_round_trip(temperature: float) -> None:
    """The closed form of the cubic is the inverse of the direct equation."""
    resistance = steinhart_hart_resistance(temperature_c=temperature, **GENERIC)

    assert steinhart_hart_temperature(resistance_ohm=resistance, **GENERIC) == pytest.approx(
        temperature, abs=1e-7
    )


@pytest.mark.parametrize("coefficient_c", [1e-9, 8.8e-8, 1e-6])
def test_the_cubic_against_a_root_finder(coefficient_c: float) -> None:
    """scipy's brentq finds the same root, for a cubic term near nothing and at the end of its range."""
    wanted = 1 / (10 + 273.15)
    log = brentq(lambda x: 1.1e-3 + 2.3e-4 * x + coefficient_c * x**3 - wanted, 0, 20, xtol=1e-14)
    resistance = steinhart_hart_resistance(
        temperature_c=10.0, coefficient_a=1.1e-3, coefficient_b=2.3e-4, coefficient_c=coefficient_c
    )

    assert resistance == pytest.approx(np.exp(log), rel=1e-9)


def test_beta_and_steinhart_hart_agree_near_room_temperature() -> None:
    """A generic 3950 K thermistor: the two laws stay within 0.3 K between 15 and 40 degC."""
    temperatures = np.linspace(15, 40, 26)
    resistance = steinhart_hart_resistance(temperature_c=temperatures, **GENERIC)

    assert thermistor_temperature(resistance_ohm=resistance, beta_k=3950.0) == pytest.approx(
        temperatures, abs=0.3
    )


def test_coefficients_reproduce_their_points() -> None:
    """Points in any order; the fit passes through each of them."""
    points = {"temperature_c": [50.0, 0.0, 25.0], "resistance_ohm": [3603.0, 32650.0, 10000.0]}
    fitted = steinhart_hart_coefficients(**points)._asdict()

    assert steinhart_hart_temperature(
        resistance_ohm=np.array(points["resistance_ohm"]), **fitted
    ) == pytest.approx(points["temperature_c"], abs=1e-8)


@pytest.mark.parametrize(
    ("temperatures", "resistances", "told"),
    [
        ([0.0, 25.0], [32650.0, 10000.0], "give three temperatures"),
        ([0.0, 0.0, 25.0], [32650.0, 32000.0, 10000.0], "three different temperatures"),
        ([0.0, 25.0, 50.0], [3603.0, 10000.0, 32650.0], "resistance must fall"),
    ],
)
def test_points_that_are_no_thermistor_are_refused(
    temperatures: list[float], resistances: list[float], told: str
) -> None:
    """Too few, coinciding, or rising points."""
    with pytest.raises(ComputeError, match=told):
        steinhart_hart_coefficients(temperature_c=temperatures, resistance_ohm=resistances)


@pytest.mark.parametrize("temperature_c", np.linspace(-2, 40, 15))
def test_three_significant_digits_are_enough(temperature_c: float) -> None:
    """Resistance rounded for print, to three digits, moves the temperature by less than 0.15 K."""
    exact = thermistor_resistance(temperature_c=temperature_c, beta_k=3950.0)
    printed = float(f"{exact:.3g}")

    assert thermistor_temperature(resistance_ohm=printed, beta_k=3950.0) == pytest.approx(
        temperature_c, abs=0.15
    )


@pytest.mark.parametrize(("resistance_ohm", "beta_k"), [(10.0, 2500.0), (2.0e6, 2500.0)])
def test_no_water_temperature_has_no_answer(resistance_ohm: float, beta_k: float) -> None:
    """A short or a break is not turned into degrees."""
    with pytest.raises(NoAnswer, match="no water temperature"):
        thermistor_temperature(resistance_ohm=resistance_ohm, beta_k=beta_k)


@pytest.mark.parametrize(
    ("offset_k", "expected"),
    [
        (0.9, "agrees"),
        (-0.9, "agrees"),
        (1.1, "differs: let it settle, repeat"),
        (6.0, "wrong: wet, exchanged pins or another law"),
    ],
)
def test_verdict_against_the_water(offset_k: float, expected: str) -> None:
    """Within 1 K of a thermometer in the same water it agrees (common practice, no source)."""
    resistance = thermistor_resistance(temperature_c=12.0 + offset_k, beta_k=3435.0)
    verdict = thermistor_verdict(resistance_ohm=resistance, water_c=12.0, beta_k=3435.0)

    assert verdict.verdict == expected
    assert verdict.difference == pytest.approx(offset_k)


def test_open_and_shorted_carry_no_temperature() -> None:
    """They are named, and their temperature is not a number; the others of the array are unharmed."""
    verdict = thermistor_verdict(resistance_ohm=np.array([0.0, 1e8, 18410.0]), water_c=10.0, beta_k=3435.0)

    assert list(verdict.verdict) == ["shorted", "open", "agrees"]
    assert list(np.isnan(verdict.temperature)) == [True, True, False]
