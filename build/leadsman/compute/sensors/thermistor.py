"""Thermistors of water-temperature sensors: resistance by temperature and back, and a reading against the
water."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short

ZERO_CELSIUS_K = 273.15
#: Temperature of the nominal resistance, K.
REFERENCE_K = ZERO_CELSIUS_K + 25.0
#: Agreement of a water temperature with a thermometer in the same water, K (common practice).
WATER_AGREEMENT_K = 1.0

TEMPERATURE_INPUT = Number("temperature", "degC", -20.0, 80.0, "Temperature of the thermistor.")
RESISTANCE_INPUT = Number("resistance", "ohm", 10.0, 2.0e6, "Measured resistance, plug apart.")
R25_INPUT = Number(
    "r25",
    "ohm",
    100.0,
    1.0e6,
    "Resistance at 25 degC; 10 kohm is common, not universal.",
    default=10000.0,
)
BETA_INPUT = Number("beta", "K", 2500.0, 5000.0, "Beta of the thermistor, from its pin table.")


@formula(
    "sensors.thermistor_resistance",
    title="Resistance of a thermistor by temperature",
    inputs=(TEMPERATURE_INPUT, BETA_INPUT, R25_INPUT),
    outputs=(Output("resistance", "ohm", "Resistance."),),
    method="R = R25 exp(B (1/T - 1/298.15 K))",
    sources=("becker-1946, equation 2",),
    accuracy="0.3 K near 25 degC; 3 % of resistance (0.6 K) at 0 degC where B is stated for 25/50 degC.",
)
def thermistor_resistance(*, temperature_c: Values, beta_k: Values, r25_ohm: Values = 10000.0) -> Values:
    """Resistance of a negative-coefficient thermistor at a temperature, by the beta equation.

    Notes
    -----
    Print three significant digits: one more is finer than the sensor's own 0.1 K.

    Examples
    --------
    >>> thermistor_resistance(temperature_c=10.0, beta_k=3950.0)
    20175.
    """
    kelvin = np.asarray(temperature_c) + ZERO_CELSIUS_K
    result: Values = r25_ohm * np.exp(beta_k * (1 / kelvin - 1 / REFERENCE_K))
    return result


@formula(
    "sensors.thermistor_temperature",
    title="Temperature from a thermistor's resistance",
    inputs=(RESISTANCE_INPUT, BETA_INPUT, R25_INPUT),
    outputs=(Output("temperature", "degC", "Temperature."),),
    method="1/T = 1/298.15 K + ln(R/R25)/B",
    sources=("becker-1946, equation 2",),
    accuracy="0.3 K near 25 degC, 0.6 K at 0 degC.",
    serves="What temperature do these ohms mean?",
)
def thermistor_temperature(*, resistance_ohm: Values, beta_k: Values, r25_ohm: Values = 10000.0) -> Values:
    """Temperature that a thermistor's resistance means, by inverting the beta equation.

    Raises
    ------
    NoAnswer
        The resistance means a temperature outside -55 to 150 degC: a short, a break, or another sensor.

    Notes
    -----
    In-hull sensors read the bilge, hull-mounted ones lag and read sun-warmed hull: no faults.

    Examples
    --------
    >>> thermistor_temperature(resistance_ohm=8000.0, beta_k=3380.0)
    30.99
    """
    celsius = _beta_temperature_c(resistance_ohm, beta_k, r25_ohm)
    if np.any(falls_short(celsius, -55) | exceeds(celsius, 150)):
        raise NoAnswer("that resistance is no water temperature: a short, a break, or another kind of sensor")
    return celsius


def _beta_temperature_c(resistance_ohm: Values, beta_k: Values, r25_ohm: Values) -> NDArray[np.float64]:
    inverse = 1 / REFERENCE_K + np.log(np.asarray(resistance_ohm) / r25_ohm) / beta_k
    result: NDArray[np.float64] = np.asarray(1 / inverse - ZERO_CELSIUS_K)
    return result


class ThermistorVerdict(NamedTuple):
    """What a thermistor reading says against a thermometer in the same water."""

    temperature: Values
    difference: Values
    verdict: Any


@formula(
    "sensors.thermistor_verdict",
    title="Thermistor reading against the water",
    inputs=(
        Number("resistance", "ohm", 0.0, 1.0e8, "Measured resistance; 1e8 for an open reading."),
        Number("water", "degC", -2.0, 40.0, "Thermometer in the same water."),
        BETA_INPUT,
        R25_INPUT,
    ),
    outputs=(
        Output(
            "temperature", "degC", "Temperature that the resistance means; no number where open or shorted."
        ),
        Output("difference", "K", "That less the thermometer; no number where open or shorted."),
        Output("verdict", "", "What the reading means."),
    ),
    method="Beta equation; agreement within 1 K; open beyond 3 R(-5 degC), shorted below R(50 degC)/3",
    sources=("becker-1946", "common-practice"),
    accuracy="1 K (common practice).",
    serves="Does the thermistor agree with the water?",
)
def thermistor_verdict(
    *, resistance_ohm: Values, water_c: Values, beta_k: Values, r25_ohm: Values = 10000.0
) -> ThermistorVerdict:
    """Meaning of a thermistor reading, by comparing its temperature with a thermometer in the same water.

    ``dT = T(R) - T_water``; within 1 K it agrees.

    Returns
    -------
    ThermistorVerdict
        ``temperature`` [degC], ``difference`` [K] and ``verdict``: ``"agrees"``, ``"differs: let it settle,
        repeat"``, ``"wrong: wet, exchanged pins or another law"``, ``"open"`` or ``"shorted"``.

    Notes
    -----
    Where the verdict is open or shorted, temperature and difference are not numbers (NaN).

    Examples
    --------
    >>> thermistor_verdict(resistance_ohm=18900.0, water_c=11.0, beta_k=3950.0)
    ThermistorVerdict(temperature=11.3..., difference=0.3..., verdict='agrees')
    """
    cold = thermistor_resistance(temperature_c=-5.0, beta_k=beta_k, r25_ohm=r25_ohm)
    warm = thermistor_resistance(temperature_c=50.0, beta_k=beta_k, r25_ohm=r25_ohm)
    resistance, water, cold, warm = np.broadcast_arrays(resistance_ohm, water_c, cold, warm)
    is_open, is_shorted = resistance > 3 * cold, resistance < warm / 3
    temperature = _beta_temperature_c(np.where(is_open | is_shorted, np.nan, resistance), beta_k, r25_ohm)
    difference = temperature - water
    verdict = np.select(
        [is_open, is_shorted, ~exceeds(abs(difference), WATER_AGREEMENT_K), ~exceeds(abs(difference), 5.0)],
        ["open", "shorted", "agrees", "differs: let it settle, repeat"],
        "wrong: wet, exchanged pins or another law",
    )
    return ThermistorVerdict(temperature, difference, verdict)
