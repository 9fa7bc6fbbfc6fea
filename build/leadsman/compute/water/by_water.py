"""The water itself: sound speed, absorption, density, vapour pressure, and what they do to a shown depth."""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.water import absorption as _absorption
from leadsman.compute.water import sound_speed as _sound_speed
from leadsman.compute.water.properties import SALINITY
from leadsman.compute.water.properties import density as density
from leadsman.compute.water.properties import density_at_pressure as density_at_pressure
from leadsman.compute.water.properties import vapour_pressure as vapour_pressure
from leadsman.compute.water.shown_depth import depth_bias as depth_bias
from leadsman.compute.water.shown_depth import true_depth as true_depth
from leadsman.compute.water.sound_speed import pressure_at_depth

TEMPERATURE = Number("temperature", "degC", 0, 40, "water temperature")
_DEPTH = Number("depth", "m", 0, 5000, "depth below the surface", 0.0)


@formula(
    "water.sound_speed",
    title="Speed of sound in water",
    inputs=(
        TEMPERATURE,
        SALINITY,
        _DEPTH,
    ),
    outputs=(Output("sound_speed", "m/s", "speed of sound"),),
    method="UNESCO 1983 equation of Chen and Millero",
    sources=("fofonoff-millard-1983, section 9", "chen-millero-1977", "saunders-1981"),
    accuracy="0.7 m/s from TEOS-10, 0.3 m/s to 200 m",
)
def sound_speed(*, temperature_c: Values, salinity_psu: Values = 0.0, depth_m: Values = 0.0) -> Values:
    r"""Speed of sound in fresh, brackish or sea water by the UNESCO equation.

    .. math:: c = c(T, S, p(z))

    Notes
    -----
    The pressure is taken from the depth at 45 degrees latitude (Saunders 1981); another latitude
    changes the speed by less than 0.05 m/s at 1000 m.

    Examples
    --------
    >>> sound_speed(temperature_c=10, salinity_psu=35)
    1489.8
    """
    return _sound_speed.sound_speed_chen_millero(
        temperature_c=temperature_c, salinity_psu=salinity_psu, pressure_bar=pressure_at_depth(depth_m)
    )


@formula(
    "water.absorption",
    title="Absorption of sound in water",
    inputs=(
        Number("frequency", "kHz", 0.2, 1500, "frequency"),
        TEMPERATURE,
        SALINITY,
        _DEPTH,
        Number("ph", "1", 6, 9, "acidity, pH; of no account above some 10 kHz", 8.0),
    ),
    outputs=(Output("absorption", "dB/km", "absorption, one way"),),
    method="Francois and Garrison 1982; at salinity 0 the viscous term alone",
    sources=("francois-garrison-1982, part II",),
    accuracy="water.absorption_uncertainty gives the band to print",
)
def absorption(
    *,
    frequency_khz: Values,
    temperature_c: Values,
    salinity_psu: Values = 0.0,
    depth_m: Values = 0.0,
    ph: Values = 8.0,
) -> Values:
    r"""Absorption of sound in water, one way, by the equation of Francois and Garrison.

    .. math:: \alpha = \alpha_{\text{boric}} + \alpha_{\text{MgSO}_4} + \alpha_{\text{water}}

    Returns
    -------
    float or array
        Absorption, one way; the echo suffers it twice [dB/km].

    Notes
    -----
    Sea-water absorption used in a lake overstates the loss twenty times at 50 kHz, four times at 200 kHz.

    Examples
    --------
    >>> absorption(frequency_khz=200, temperature_c=10, salinity_psu=35)
    54.45
    >>> absorption(frequency_khz=200, temperature_c=10)
    12.43
    """
    return _absorption.absorption_francois_garrison(
        frequency_khz=frequency_khz,
        temperature_c=temperature_c,
        salinity_psu=salinity_psu,
        depth_m=depth_m,
        ph=ph,
    )


#: Bounds of the Venice system of 1958: fresh water below, sea water from there on [PSU].
_FRESH_BELOW, _SEA_FROM = 0.5, 30.0
#: Band to print for sea water, by frequency [kHz], straight in the logarithm between the points.
_SEA_BAND = ((120.0, 0.10), (200.0, 0.20), (455.0, 0.25))
_FRESH_BAND, _BRACKISH_BAND = 0.05, 0.20


@formula(
    "water.absorption_uncertainty",
    title="Band of the absorption to print",
    inputs=(Number("frequency", "kHz", 0.2, 1500, "frequency"), SALINITY),
    outputs=(Output("uncertainty", "1", "fraction of the absorption, either way"),),
    method="Fresh 5 %; brackish 20 % at least; sea 10 % to 120 kHz, 20 % at 200 kHz, 25 % from 455 kHz",
    sources=("doonan-2003", "francois-garrison-1982, part II", "venice-1958"),
    accuracy="a judgement from the spread of published measurements",
)
def absorption_uncertainty(*, frequency_khz: Values, salinity_psu: Values = 0.0) -> Values:
    r"""Fraction by which the absorption of natural water may differ from the equation, either way.

    .. math:: u = u(f, S)

    Notes
    -----
    A refit of the data for 10-120 kHz changes the fish biomass found in deep water at 38 kHz by 17 % (Doonan and
    others 2003), and absorption measured in fjords at 333 kHz was a quarter above the equation. In fresh water
    only the viscosity counts, on which laboratories agree within 3 %; silt and plankton are not included. Bounds
    of the waters as in the Venice system: fresh below 0.5 PSU, sea from 30 PSU.

    Examples
    --------
    >>> absorption_uncertainty(frequency_khz=200, salinity_psu=35)
    0.20
    >>> absorption_uncertainty(frequency_khz=50)
    0.05
    """
    frequencies, bands = zip(*_SEA_BAND, strict=True)
    sea = np.interp(np.log(frequency_khz), np.log(frequencies), bands)
    brackish = np.maximum(sea, _BRACKISH_BAND)
    result: Values = np.where(
        np.less(salinity_psu, _FRESH_BELOW),
        _FRESH_BAND,
        np.where(np.less(salinity_psu, _SEA_FROM), brackish, sea),
    )
    return result
