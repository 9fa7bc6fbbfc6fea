"""Thermistors of water-temperature sensors: resistance by temperature and back, and a reading against the
water."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import ComputeError, NoAnswer, Number, Output, Series, Values, formula

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
COEFFICIENT_INPUTS = (
    Number("coefficient_a", "1", 1e-4, 1e-2, "Steinhart-Hart A, 1/K."),
    Number("coefficient_b", "1", 1e-5, 1e-3, "Steinhart-Hart B, 1/K."),
    Number("coefficient_c", "1", 1e-9, 1e-6, "Steinhart-Hart C, 1/K."),
)


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

    ``R = R25 exp(B (1/T - 1/298.15))``.

    Returns
    -------
    float or array
        Resistance [ohm].

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
)
def thermistor_temperature(*, resistance_ohm: Values, beta_k: Values, r25_ohm: Values = 10000.0) -> Values:
    """Temperature that a thermistor's resistance means, by inverting the beta equation.

    ``1/T = 1/298.15 + ln(R/R25)/B``.

    Returns
    -------
    float or array
        Temperature [degC].

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
    if not np.all((celsius > -55) & (celsius < 150)):
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
        [is_open, is_shorted, abs(difference) <= WATER_AGREEMENT_K, abs(difference) <= 5.0],
        ["open", "shorted", "agrees", "differs: let it settle, repeat"],
        "wrong: wet, exchanged pins or another law",
    )
    return ThermistorVerdict(temperature, difference, verdict)


@formula(
    "sensors.steinhart_hart_temperature",
    title="Temperature by the Steinhart-Hart equation",
    inputs=(RESISTANCE_INPUT, *COEFFICIENT_INPUTS),
    outputs=(Output("temperature", "degC", "Temperature."),),
    method="1/T = A + B ln R + C (ln R)^3",
    sources=("steinhart-hart-1968",),
    accuracy="0.01 K over 0 to 50 degC with coefficients of that thermistor.",
)
def steinhart_hart_temperature(
    *, resistance_ohm: Values, coefficient_a: Values, coefficient_b: Values, coefficient_c: Values
) -> Values:
    """Temperature that a thermistor's resistance means, by the three-coefficient equation of Steinhart and
    Hart.

    ``1/T = A + B ln R + C (ln R)^3``.

    Returns
    -------
    float or array
        Temperature [degC].

    Notes
    -----
    Coefficients belong to one kind of thermistor; :func:`steinhart_hart_coefficients` finds them from three
    points.

    Examples
    --------
    >>> steinhart_hart_temperature(resistance_ohm=10000.0, coefficient_a=1.129148e-3, coefficient_b=2.34125e-4,
    ...                            coefficient_c=8.76741e-8)
    25.00
    """
    log = np.log(np.asarray(resistance_ohm))
    result: Values = 1 / (coefficient_a + coefficient_b * log + coefficient_c * log**3) - ZERO_CELSIUS_K
    return result


@formula(
    "sensors.steinhart_hart_resistance",
    title="Resistance by the Steinhart-Hart equation",
    inputs=(TEMPERATURE_INPUT, *COEFFICIENT_INPUTS),
    outputs=(Output("resistance", "ohm", "Resistance."),),
    method="Real root of C x^3 + B x + A - 1/T = 0 with x = ln R (Cardano)",
    sources=("steinhart-hart-1968",),
    accuracy="As the direct equation: 0.01 K.",
)
def steinhart_hart_resistance(
    *, temperature_c: Values, coefficient_a: Values, coefficient_b: Values, coefficient_c: Values
) -> Values:
    """Resistance of a thermistor at a temperature, by solving the cubic of Steinhart and Hart for ln R.

    ``ln R = cbrt(y - x) - cbrt(y + x)``, ``x = (A - 1/T)/(2C)``, ``y = sqrt((B/3C)^3 + x^2)``.

    Returns
    -------
    float or array
        Resistance [ohm].

    Raises
    ------
    NoAnswer
        The coefficients give no resistance between 0.1 ohm and 1e9 ohm: they do not belong together.

    Notes
    -----
    B and C positive make the cubic monotonic, so its real root is unique.

    Examples
    --------
    >>> steinhart_hart_resistance(temperature_c=0.0, coefficient_a=1.129148e-3, coefficient_b=2.34125e-4,
    ...                           coefficient_c=8.76741e-8)
    32650.
    """
    half = (coefficient_a - 1 / (np.asarray(temperature_c) + ZERO_CELSIUS_K)) / (
        2 * np.asarray(coefficient_c)
    )
    root = np.sqrt((coefficient_b / (3 * np.asarray(coefficient_c))) ** 3 + half**2)
    # cbrt(y - x) - cbrt(y + x) cancels for large |x|; the product of the two cube roots is B/(3C) exactly.
    big = np.cbrt(root + np.abs(half))
    log = -np.sign(half) * (big - coefficient_b / (3 * np.asarray(coefficient_c)) / big)
    if not np.all((log > np.log(0.1)) & (log < np.log(1e9))):
        raise NoAnswer("these coefficients give no resistance of a thermistor: they do not belong together")
    result: Values = np.exp(log)
    return result


class SteinhartHart(NamedTuple):
    """Coefficients of the Steinhart-Hart equation, 1/K."""

    coefficient_a: float
    coefficient_b: float
    coefficient_c: float


@formula(
    "sensors.steinhart_hart_coefficients",
    title="Steinhart-Hart coefficients from three points",
    inputs=(
        Series("temperature", "degC", -20.0, 80.0, "Three temperatures."),
        Series("resistance", "ohm", 10.0, 2.0e6, "The resistances at them."),
    ),
    outputs=(
        Output("coefficient_a", "1", "A, 1/K."),
        Output("coefficient_b", "1", "B, 1/K."),
        Output("coefficient_c", "1", "C, 1/K."),
    ),
    method="Solve 1/T = A + B ln R + C (ln R)^3 at three points",
    sources=("steinhart-hart-1968",),
    accuracy="Exact at the points; 0.02 K between points 25 K apart.",
)
def steinhart_hart_coefficients(*, temperature_c: Any, resistance_ohm: Any) -> SteinhartHart:
    """Coefficients of the Steinhart-Hart equation through three points of a thermistor's table, by solving
    for them.

    ``1/T_i = A + B ln R_i + C (ln R_i)^3``, ``i = 1..3``.

    Returns
    -------
    SteinhartHart
        ``coefficient_a``, ``coefficient_b`` and ``coefficient_c`` [1/K].

    Raises
    ------
    NoAnswer
        Two points coincide, or resistance does not fall with temperature.

    Notes
    -----
    Choose the points at both ends and the middle of the range of use.

    Examples
    --------
    >>> steinhart_hart_coefficients(temperature_c=[0, 25, 50], resistance_ohm=[32650, 10000, 3603])
    SteinhartHart(coefficient_a=0.001125, coefficient_b=0.0002347, coefficient_c=8.56e-08)
    """
    if len(temperature_c) != 3 or len(resistance_ohm) != 3:
        raise ComputeError(
            "sensors.steinhart_hart_coefficients: give three temperatures and three resistances"
        )
    order = np.argsort(temperature_c)
    if np.any(np.diff(temperature_c[order]) <= 0) or np.any(np.diff(resistance_ohm[order]) >= 0):
        raise NoAnswer("three different temperatures are needed, and resistance must fall as they rise")
    log = np.log(resistance_ohm)
    matrix = np.column_stack([np.ones(3), log, log**3])
    return SteinhartHart(
        *(float(part) for part in np.linalg.solve(matrix, 1 / (temperature_c + ZERO_CELSIUS_K)))
    )
