"""Thermistors: both laws both ways, a published table, and readings against the water."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.sensors.thermistor import (
    thermistor_resistance,
    thermistor_temperature,
    thermistor_verdict,
)


@given(temperature=st.floats(-20, 80), beta=st.floats(2500, 5000), r25=st.floats(1000, 100000))
def test_beta_law_round_trip(temperature: float, beta: float, r25: float) -> None:
    """Temperature to resistance and back."""
    resistance = thermistor_resistance(temperature_c=temperature, beta_k=beta, r25_ohm=r25)

    assert thermistor_temperature(resistance_ohm=resistance, beta_k=beta, r25_ohm=r25) == pytest.approx(
        temperature, abs=1e-6
    )


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
        (1.0, "agrees"),
        (-1.0, "agrees"),
        (1.05, "differs: let it settle, repeat"),
        (5.0, "differs: let it settle, repeat"),
        (-5.0, "differs: let it settle, repeat"),
        (5.1, "wrong: wet, exchanged pins or another law"),
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


@pytest.mark.parametrize(("celsius", "factor"), [(50.0, 1 / 3), (-5.0, 3.0)])
def test_a_sensor_is_shorted_or_open_beyond_three_times_the_waters_range(
    celsius: float, factor: float
) -> None:
    """By the beta law from 25 degC; water lies between -5 and 50 degC and the factor is common practice."""
    limit = factor * 10_000 * math.exp(3950 * (1 / (celsius + 273.15) - 1 / 298.15))
    verdicts = [
        str(
            thermistor_verdict(
                resistance_ohm=limit * share, water_c=15.0, beta_k=3950.0, r25_ohm=10_000.0
            ).verdict
        )
        for share in (0.999, 1.001)
    ]
    assert [("short" in v, "open" in v) for v in verdicts] == (
        [(True, False), (False, False)] if factor < 1 else [(False, False), (False, True)]
    )


@pytest.mark.parametrize(("celsius", "water"), [(-54.9, True), (-55.1, False), (149.9, True), (150.1, False)])
def test_the_temperatures_that_a_thermistor_is_read_at(celsius: float, water: bool) -> None:
    """By the beta law from 25 degC: what lies outside -55 to 150 degC is a short, a break or another sensor."""
    resistance = 10_000 * math.exp(3000 * (1 / (celsius + 273.15) - 1 / 298.15))
    try:
        found = thermistor_temperature(resistance_ohm=resistance, beta_k=3000.0)
    except NoAnswer:
        assert not water
    else:
        assert water
        assert found == pytest.approx(celsius, abs=1e-3)


def test_three_times_the_waters_range_is_neither_short_nor_open() -> None:
    """The limits themselves still carry a temperature."""
    cold, warm = (thermistor_resistance(temperature_c=celsius, beta_k=3950.0) for celsius in (-5.0, 50.0))
    found = thermistor_verdict(resistance_ohm=np.array([3 * cold, warm / 3]), water_c=15.0, beta_k=3950.0)

    assert not np.isnan(found.temperature).any()
