"""Absorption of sound in water by each published equation, every one with its own domain.

``water.absorption`` chooses among them. All give decibels per kilometre, one way. In fresh water only
the viscous term is left: no magnesium sulphate, no boric acid.
"""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.water.sound_speed import polynomial

_ABSORPTION = (Output("absorption", "dB/km", "absorption, one way"),)


def _relaxation(relaxation_khz: Values, frequency_khz: Values) -> Values:
    """Relaxation term ``f1 f^2 / (f^2 + f1^2)``; zero where the solute, and so ``f1``, is absent."""
    return relaxation_khz * frequency_khz**2 / (frequency_khz**2 + relaxation_khz**2)


@formula(
    "water.absorption_francois_garrison",
    title="Absorption, Francois and Garrison 1982",
    inputs=(
        Number("frequency", "kHz", 0.2, 1500, "frequency"),
        Number("temperature", "degC", 0, 40, "water temperature"),
        Number("salinity", "PSU", 0, 40, "practical salinity", 0.0),
        Number("depth", "m", 0, 5000, "depth below the surface", 0.0),
        Number(
            "ph",
            "1",
            6,
            9,
            "acidity, pH; it acts through boric acid only, below some 10 kHz in salt water",
            8.0,
        ),
    ),
    outputs=_ABSORPTION,
    method="Boric acid, magnesium sulphate and pure-water terms of Francois and Garrison 1982",
    sources=("francois-garrison-1982, part II, section IV and table IV",),
    accuracy="5 % in open sea water, stated by the authors; water.absorption_uncertainty gives the band",
)
def absorption_francois_garrison(
    *,
    frequency_khz: Values,
    temperature_c: Values,
    salinity_psu: Values = 0.0,
    depth_m: Values = 0.0,
    ph: Values = 8.0,
) -> Values:
    r"""Absorption of sound in water by Francois and Garrison, one way.

    .. math:: \alpha = A_1P_1\frac{f_1f^2}{f_1^2+f^2} + A_2P_2\frac{f_2f^2}{f_2^2+f^2} + A_3P_3f^2

    Notes
    -----
    The authors state 5 % for 10-500 kHz at -2 to 22 degC and 30-35 PSU, and above 500 kHz at 0 to 30 degC and
    0-40 PSU. Brackish water, 30-40 degC and 1-1.5 MHz extrapolate; above 1 MHz the square law of the viscous
    term carries the result. The equation's own kelvin offset is 273, its temperature branch changes above 20.

    Examples
    --------
    >>> absorption_francois_garrison(frequency_khz=100, temperature_c=10, salinity_psu=35)
    33.63
    """
    t, s, z, f = temperature_c, salinity_psu, depth_m, frequency_khz
    kelvin = 273 + t
    c = 1412 + 3.21 * t + 1.19 * s + 0.0167 * z
    f1 = 2.8 * np.sqrt(s / 35) * 10 ** (4 - 1245 / kelvin)
    boric = 8.86 / c * 10 ** (0.78 * ph - 5) * _relaxation(f1, f)
    f2 = 8.17 * 10 ** (8 - 1990 / kelvin) / (1 + 0.0018 * (s - 35))
    p2 = polynomial((1.0, -1.37e-4, 6.2e-9), z)
    sulphate = 21.44 * s / c * (1 + 0.025 * t) * p2 * _relaxation(f2, f)
    cool = polynomial((4.937e-4, -2.59e-5, 9.11e-7, -1.50e-8), t)
    warm = polynomial((3.964e-4, -1.146e-5, 1.45e-7, -6.5e-10), t)
    p3 = polynomial((1.0, -3.83e-5, 4.9e-10), z)
    return boric + sulphate + np.where(t <= 20, cool, warm) * p3 * f**2
