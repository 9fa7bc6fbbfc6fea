"""Sound speed in water by each published equation, every one with its own domain.

``water.sound_speed`` chooses among them; they are registered one by one so that each refuses what its
author did not fit. Temperature is on ITS-90, salinity on the practical scale.
"""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula

#: Temperature on IPTS-68 per degree on ITS-90 (Saunders 1990, as used by TEOS-10): T68 = 1.00024 T90.
IPTS68_PER_ITS90 = 1.00024

_SPEED = (Output("sound_speed", "m/s", "speed of sound"),)

# Fofonoff & Millard 1983, eq. 33-36; one row for each power of the pressure in bar, T68 ascending.
_CW = (
    (1402.388, 5.03711, -5.80852e-2, 3.3420e-4, -1.47800e-6, 3.1464e-9),
    (0.153563, 6.8982e-4, -8.1788e-6, 1.3621e-7, -6.1185e-10),
    (3.1260e-5, -1.7107e-6, 2.5974e-8, -2.5335e-10, 1.0405e-12),
    (-9.7729e-9, 3.8504e-10, -2.3643e-12),
)
_A = (
    (1.389, -1.262e-2, 7.164e-5, 2.006e-6, -3.21e-8),
    (9.4742e-5, -1.2580e-5, -6.4885e-8, 1.0507e-8, -2.0122e-10),
    (-3.9064e-7, 9.1041e-9, -1.6002e-10, 7.988e-12),
    (1.100e-10, 6.649e-12, -3.389e-13),
)
_B = ((-1.922e-2, -4.42e-5), (7.3637e-5, 1.7945e-7))
_D = ((1.727e-3,), (-7.9836e-6,))

_MARCZAK = (1402.385, 5.038813, -5.799136e-2, 3.287156e-4, -1.398845e-6, 2.787860e-9)
_BILANIUK_WONG = (1402.38744, 5.03836171, -5.81172916e-2, 3.34638117e-4, -1.48259672e-6, 3.16585020e-9)


def polynomial(coefficients: tuple[float, ...], x: Values) -> Values:
    """Sum of ``coefficients[i] * x**i``, by Horner's rule."""
    total: Values = coefficients[-1] + 0 * x
    for coefficient in coefficients[-2::-1]:
        total = total * x + coefficient
    return total


def _surface(rows: tuple[tuple[float, ...], ...], t: Values, p: Values) -> Values:
    """Polynomial in pressure ``p`` whose coefficients are polynomials in temperature ``t``."""
    total: Values = polynomial(rows[-1], t) + 0 * p
    for row in rows[-2::-1]:
        total = total * p + polynomial(row, t)
    return total


def pressure_at_depth(depth_m: Values) -> Values:
    """Gauge pressure [bar] at a depth at 45 degrees latitude, by Saunders' inversion of UNESCO 1983."""
    c1 = 5.92e-3 + 5.25e-3 * 0.5
    c2 = 2.21e-6
    return (1 - c1 - np.sqrt((1 - c1) ** 2 - 4 * c2 * depth_m)) / (2 * c2) / 10


@formula(
    "water.sound_speed_chen_millero",
    title="Sound speed, Chen and Millero 1977 (UNESCO 1983)",
    inputs=(
        Number(
            "temperature",
            "degC",
            0,
            40,
            "temperature on ITS-90; the equation's own scale is IPTS-68, T68 = 1.00024 T90",
        ),
        Number("salinity", "PSU", 0, 40, "practical salinity"),
        Number("pressure", "bar", 0, 1000, "gauge pressure", 0.0),
    ),
    outputs=_SPEED,
    method="Polynomial of Chen and Millero 1977 in temperature, salinity and pressure",
    sources=("fofonoff-millard-1983, section 9", "chen-millero-1977"),
    accuracy="0.61 m/s from TEOS-10 over the whole range to 1000 m, 0.3 m/s to 200 m",
)
def sound_speed_chen_millero(
    *, temperature_c: Values, salinity_psu: Values, pressure_bar: Values = 0.0
) -> Values:
    r"""Speed of sound by the UNESCO 1983 equation of Chen and Millero.

    .. math:: c = C_w(T,p) + A(T,p) S + B(T,p) S^{3/2} + D(p) S^2

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    The only simple standard whose own domain covers fresh, brackish and sea water over 0-40 degC.

    Examples
    --------
    >>> sound_speed_chen_millero(temperature_c=40 / 1.00024, salinity_psu=40, pressure_bar=1000)
    1731.995
    """
    t68 = temperature_c * IPTS68_PER_ITS90
    s, p = salinity_psu, pressure_bar
    return (
        _surface(_CW, t68, p)
        + _surface(_A, t68, p) * s
        + _surface(_B, t68, p) * s**1.5
        + _surface(_D, t68, p) * s**2
    )


@formula(
    "water.sound_speed_mackenzie",
    title="Sound speed, Mackenzie 1981",
    inputs=(
        Number("temperature", "degC", -2, 30, "temperature"),
        Number("salinity", "PSU", 25, 40, "practical salinity"),
        Number("depth", "m", 0, 8000, "depth below the surface", 0.0),
    ),
    outputs=_SPEED,
    method="Nine-term equation of Mackenzie 1981",
    sources=("mackenzie-1981, nine-term equation with its check value",),
    accuracy="0.07 m/s standard error stated by the author; 0.4 m/s from TEOS-10 at 25-40 PSU",
)
def sound_speed_mackenzie(*, temperature_c: Values, salinity_psu: Values, depth_m: Values = 0.0) -> Values:
    r"""Speed of sound in sea water by Mackenzie's nine-term equation.

    .. math:: c = 1448.96 + 4.591T - 0.05304T^2 + 2.374\cdot10^{-4}T^3 + 1.340(S-35) + 0.0163D
              + 1.675\cdot10^{-7}D^2 - 0.01025T(S-35) - 7.139\cdot10^{-13}TD^3

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    For the open sea only; brackish and fresh water lie outside the fit and are refused.

    Examples
    --------
    >>> sound_speed_mackenzie(temperature_c=25, salinity_psu=35, depth_m=1000)
    1550.744
    """
    t, s35, d = temperature_c, salinity_psu - 35, depth_m
    return (
        polynomial((1448.96, 4.591, -5.304e-2, 2.374e-4), t)
        + (1.340 - 1.025e-2 * t) * s35
        + (1.630e-2 + 1.675e-7 * d) * d
        - 7.139e-13 * t * d**3
    )


@formula(
    "water.sound_speed_leroy",
    title="Sound speed, Leroy, Robinson and Goldsmith 2008",
    inputs=(
        Number("temperature", "degC", -1, 30, "temperature"),
        Number("salinity", "PSU", 0, 42, "practical salinity"),
        Number("depth", "m", 0, 12000, "depth below the surface", 0.0),
        Number("latitude", "deg", 0, 90, "latitude, north or south", 45.0),
    ),
    outputs=_SPEED,
    method="Fourteen-term equation of Leroy, Robinson and Goldsmith 2008",
    sources=("leroy-2008, eq. 2",),
    accuracy="0.2 m/s in waters that occur, stated by the authors; 0.5 m/s from TEOS-10 to 200 m",
)
def sound_speed_leroy(
    *, temperature_c: Values, salinity_psu: Values, depth_m: Values = 0.0, latitude_deg: Values = 45.0
) -> Values:
    r"""Speed of sound in any natural water by the fourteen-term equation of Leroy and others.

    .. math:: c = 1402.5 + 5T - 0.0544T^2 + 2.1\cdot10^{-4}T^3 + 1.33S - 0.0123ST + 8.7\cdot10^{-5}ST^2
              + 0.0156Z + 2.55\cdot10^{-7}Z^2 - 7.3\cdot10^{-12}Z^3 + 1.2\cdot10^{-6}Z(\varphi-45)
              - 9.5\cdot10^{-13}TZ^3 + 3\cdot10^{-7}T^2Z + 1.43\cdot10^{-5}SZ

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    Fitted to waters that occur; combinations such as warm fresh water at great depth are not among them.

    Examples
    --------
    >>> sound_speed_leroy(temperature_c=20, salinity_psu=30, depth_m=10, latitude_deg=0)
    1516.14
    """
    t, s, z = temperature_c, salinity_psu, depth_m
    return (
        polynomial((1402.5, 5.0, -5.44e-2, 2.1e-4), t)
        + polynomial((1.33, -1.23e-2, 8.7e-5), t) * s
        + polynomial((0.0, 1.56e-2, 2.55e-7, -7.3e-12), z)
        + 1.2e-6 * z * (latitude_deg - 45)
        - 9.5e-13 * t * z**3
        + 3e-7 * t**2 * z
        + 1.43e-5 * s * z
    )


@formula(
    "water.sound_speed_medwin",
    title="Sound speed, Medwin 1975",
    inputs=(
        Number("temperature", "degC", 0, 35, "temperature"),
        Number("salinity", "PSU", 0, 45, "practical salinity"),
        Number("depth", "m", 0, 1000, "depth below the surface", 0.0),
    ),
    outputs=_SPEED,
    method="Six-term equation of Medwin 1975",
    sources=("medwin-1975",),
    accuracy="2 m/s from TEOS-10: a check by hand, not a source of printed numbers",
)
def sound_speed_medwin(*, temperature_c: Values, salinity_psu: Values, depth_m: Values = 0.0) -> Values:
    r"""Speed of sound by Medwin's six-term equation.

    .. math:: c = 1449.2 + 4.6T - 0.055T^2 + 0.00029T^3 + (1.34 - 0.010T)(S-35) + 0.016z

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    Coarse, but short enough for a pocket calculator.

    Examples
    --------
    >>> sound_speed_medwin(temperature_c=10, salinity_psu=35)
    1489.99
    """
    t = temperature_c
    return (
        polynomial((1449.2, 4.6, -0.055, 0.00029), t)
        + (1.34 - 0.010 * t) * (salinity_psu - 35)
        + 0.016 * depth_m
    )


@formula(
    "water.sound_speed_coppens",
    title="Sound speed, Coppens 1981",
    inputs=(
        Number("temperature", "degC", 0, 35, "temperature"),
        Number("salinity", "PSU", 0, 45, "practical salinity"),
        Number("depth", "m", 0, 4000, "depth below the surface", 0.0),
    ),
    outputs=_SPEED,
    method="Equation of Coppens 1981",
    sources=("coppens-1981",),
    accuracy="1.5 m/s from TEOS-10, 0.4 m/s to 200 m",
)
def sound_speed_coppens(*, temperature_c: Values, salinity_psu: Values, depth_m: Values = 0.0) -> Values:
    r"""Speed of sound by the equation of Coppens, with t = T/10 and D in kilometres.

    .. math:: c = 1449.05 + 45.7t - 5.21t^2 + 0.23t^3 + (1.333 - 0.126t + 0.009t^2)(S-35)
              + (16.23 + 0.253t)D + (0.213 - 0.1t)D^2 + [0.016 + 0.0002(S-35)](S-35)tD

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    Between Medwin's and the UNESCO equation in both length and accuracy.

    Examples
    --------
    >>> sound_speed_coppens(temperature_c=10, salinity_psu=35)
    1489.77
    """
    t, s35, d = temperature_c / 10, salinity_psu - 35, depth_m / 1000
    return (
        polynomial((1449.05, 45.7, -5.21, 0.23), t)
        + polynomial((1.333, -0.126, 0.009), t) * s35
        + (16.23 + 0.253 * t) * d
        + (0.213 - 0.1 * t) * d**2
        + (0.016 + 0.0002 * s35) * s35 * t * d
    )


@formula(
    "water.sound_speed_pure",
    title="Sound speed of pure water at one atmosphere",
    inputs=(Number("temperature", "degC", 0, 95, "temperature, ITS-90"),),
    outputs=_SPEED,
    method="Fifth-degree polynomial of Marczak 1997",
    sources=("marczak-1997",),
    accuracy="0.02 m/s",
)
def sound_speed_pure(*, temperature_c: Values) -> Values:
    r"""Speed of sound in pure water at one atmosphere by Marczak's polynomial.

    .. math:: c = \sum_{i=0}^{5} a_i T^i

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    A laboratory standard. Dissolved salts raise the speed by about 0.13 m/s for each 0.1 g/l.

    Examples
    --------
    >>> sound_speed_pure(temperature_c=20)
    1482.38
    """
    return polynomial(_MARCZAK, temperature_c)


@formula(
    "water.sound_speed_bilaniuk_wong",
    title="Sound speed of pure water, Bilaniuk and Wong 1993",
    inputs=(Number("temperature", "degC", 0, 100, "temperature, ITS-90"),),
    outputs=_SPEED,
    method="Fifth-degree polynomial of Bilaniuk and Wong, 148 points",
    sources=("bilaniuk-wong-1993",),
    accuracy="0.02 m/s",
)
def sound_speed_bilaniuk_wong(*, temperature_c: Values) -> Values:
    r"""Speed of sound in pure water at one atmosphere by the 148-point fit of Bilaniuk and Wong.

    .. math:: c = \sum_{i=0}^{5} a_i T^i

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    Independent of Marczak's fit; the two agree within 0.03 m/s over 0-40 degC.

    Examples
    --------
    >>> sound_speed_bilaniuk_wong(temperature_c=15)
    1465.943
    """
    return polynomial(_BILANIUK_WONG, temperature_c)


@formula(
    "water.sound_speed_del_grosso_mader",
    title="Sound speed of pure water, Del Grosso and Mader 1972",
    inputs=(
        Number("temperature", "degC", 0, 95, "temperature on ITS-90, converted to the equation's IPTS-68"),
    ),
    outputs=_SPEED,
    method="Fifth-degree polynomial of Del Grosso and Mader, the pure-water term of UNESCO 1983",
    sources=("del-grosso-mader-1972", "fofonoff-millard-1983, section 9"),
    accuracy="0.015 m/s stated by the authors",
)
def sound_speed_del_grosso_mader(*, temperature_c: Values) -> Values:
    r"""Speed of sound in pure water at one atmosphere by Del Grosso and Mader's polynomial.

    .. math:: c = \sum_{i=0}^{5} a_i T_{68}^i

    Returns
    -------
    float or array
        Speed of sound [m/s].

    Notes
    -----
    Its coefficients are the first row of the UNESCO 1983 equation.

    Examples
    --------
    >>> sound_speed_del_grosso_mader(temperature_c=25 / 1.00024)
    1496.688
    """
    return polynomial(_CW[0], temperature_c * IPTS68_PER_ITS90)
