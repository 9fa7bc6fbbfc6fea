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

    Returns
    -------
    float or array
        Absorption, one way [dB/km].

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


@formula(
    "water.absorption_ainslie_mccolm",
    title="Absorption, Ainslie and McColm 1998",
    inputs=(
        Number("frequency", "kHz", 0.1, 1000, "frequency"),
        Number("temperature", "degC", -6, 35, "water temperature"),
        Number("salinity", "PSU", 5, 50, "practical salinity"),
        Number("depth", "m", 0, 7000, "depth below the surface", 0.0),
        Number("ph", "1", 7.7, 8.3, "acidity, pH", 8.0),
    ),
    outputs=_ABSORPTION,
    method="Simplified boric acid, magnesium sulphate and viscous terms of Ainslie and McColm 1998",
    sources=("ainslie-mccolm-1998, eq. 3-5",),
    accuracy="10 % from Francois and Garrison, stated by the authors",
)
def absorption_ainslie_mccolm(
    *,
    frequency_khz: Values,
    temperature_c: Values,
    salinity_psu: Values,
    depth_m: Values = 0.0,
    ph: Values = 8.0,
) -> Values:
    r"""Absorption of sound in sea water by Ainslie and McColm, one way, with z in kilometres.

    .. math:: \alpha = 0.106\frac{f_1f^2}{f_1^2+f^2}e^{(pH-8)/0.56}
              + 0.52\left(1+\frac{T}{43}\right)\frac{S}{35}\frac{f_2f^2}{f_2^2+f^2}e^{-z/6}
              + 0.00049f^2e^{-(T/27+z/17)}

    Returns
    -------
    float or array
        Absorption, one way [dB/km].

    Notes
    -----
    Fitted to the measurements of Francois and Garrison: a check of arithmetic, not an independent experiment.

    Examples
    --------
    >>> absorption_ainslie_mccolm(frequency_khz=200, temperature_c=10, salinity_psu=35, depth_m=200)
    54.517
    """
    t, z, f = temperature_c, depth_m / 1000, frequency_khz
    f1 = 0.78 * np.sqrt(salinity_psu / 35) * np.exp(t / 26)
    f2 = 42 * np.exp(t / 17)
    boric = 0.106 * _relaxation(f1, f) * np.exp((ph - 8) / 0.56)
    sulphate = 0.52 * (1 + t / 43) * salinity_psu / 35 * _relaxation(f2, f) * np.exp(-z / 6)
    result: Values = boric + sulphate + 0.00049 * f**2 * np.exp(-(t / 27 + z / 17))
    return result


@formula(
    "water.absorption_fisher_simmons",
    title="Absorption, Fisher and Simmons 1977",
    inputs=(
        Number("frequency", "kHz", 10, 400, "frequency"),
        Number("temperature", "degC", 0, 30, "water temperature"),
        Number("depth", "m", 0, 5000, "depth below the surface; ten metres count as one atmosphere", 0.0),
    ),
    outputs=_ABSORPTION,
    method="Boric acid, magnesium sulphate and water terms of Fisher and Simmons 1977 at 35 PSU, pH 8",
    sources=("fisher-simmons-1977, table IV and the equations of section IV",),
    accuracy="30 % below to 15 % above Francois and Garrison",
)
def absorption_fisher_simmons(
    *, frequency_khz: Values, temperature_c: Values, depth_m: Values = 0.0
) -> Values:
    r"""Absorption of sound in standard sea water (35 PSU, pH 8) by Fisher and Simmons, one way.

    .. math:: \alpha = A_1\frac{f_1f^2}{f_1^2+f^2} + A_2P_2\frac{f_2f^2}{f_2^2+f^2} + A_3P_3f^2

    Returns
    -------
    float or array
        Absorption, one way [dB/km].

    Notes
    -----
    From laboratory measurements; superseded in sea water, kept as the independent check.

    Examples
    --------
    >>> absorption_fisher_simmons(frequency_khz=200, temperature_c=20)
    66.37
    """
    t, f, atmospheres = temperature_c, frequency_khz * 1e3, depth_m / 10
    kelvin = t + 273.1
    f1 = 1.32e3 * kelvin * np.exp(-1700 / kelvin)
    boric = polynomial((1.03e-8, 2.36e-10, -5.22e-12), t) * _relaxation(f1, f)
    f2 = 1.55e7 * kelvin * np.exp(-3052 / kelvin)
    p2 = polynomial((1.0, -1.03e-3, 3.7e-7), atmospheres)
    sulphate = (5.62e-8 + 7.52e-10 * t) * p2 * _relaxation(f2, f)
    p3 = polynomial((1.0, -3.84e-4, 7.57e-8), atmospheres)
    water = polynomial((55.9, -2.37, 4.77e-2, -3.48e-4), t) * 1e-15 * p3 * f**2
    # The equation is in nepers per metre; one neper is 20 log10(e) = 8.686 dB.
    return (boric + sulphate + water) * 8686
