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
