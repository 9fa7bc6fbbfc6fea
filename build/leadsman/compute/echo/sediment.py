"""Density, sound speed and loss of sediments, after the APL-UW handbook (TR 9407, 1994).

The handbook's scattering models are stated for 10 to 100 kHz. Above that its numbers order the bottoms
rightly but are no absolute levels.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, Number, Output, Values, formula

_GRAIN_SIZE = Number("mean_grain_size", "1", -1, 9, "mean grain size in phi units, -log2 of millimetres")

#: Mean grain size in phi of each sediment name of TR 9407, Table 2, that has one.
GRAIN_SIZE_PHI = {
    "sandy gravel": -1.0,
    "very coarse sand": -0.5,
    "muddy sandy gravel": 0.0,
    "coarse sand": 0.5,
    "gravelly muddy sand": 1.0,
    "medium sand": 1.5,
    "muddy gravel": 2.0,
    "fine sand": 2.5,
    "muddy sand": 3.0,
    "very fine sand": 3.5,
    "clayey sand": 4.0,
    "coarse silt": 4.5,
    "sandy silt": 5.0,
    "medium silt": 5.5,
    "sandy mud": 6.0,
    "fine silt": 6.5,
    "sandy clay": 7.0,
    "very fine silt": 7.5,
    "silty clay": 8.0,
    "clay": 9.0,
}


class SedimentProperties(NamedTuple):
    """Acoustic properties of a sediment relative to the water above it."""

    density_ratio: Values
    sound_speed_ratio: Values
    loss_parameter: Values


#: Hard bottoms of TR 9407, Table 2, which have no grain size.
_HARD = {
    "rock": SedimentProperties(2.5, 2.5, 0.01374),
    "cobble": SedimentProperties(2.5, 1.8, 0.01374),
}


def _by_grain_size(mean_grain_size: Values, edges: list[float], laws: list[list[float]]) -> Any:
    """Evaluate the polynomial (highest power first) of the interval in which each grain size lies."""
    size = np.asarray(mean_grain_size)
    inside = [size < edge for edge in edges]
    return np.select(inside, [np.polyval(law, size) for law in laws[:-1]], np.polyval(laws[-1], size))


@formula(
    "echo.sediment_density_ratio",
    title="Density of a sediment",
    inputs=(_GRAIN_SIZE,),
    outputs=(Output("density_ratio", "1", "density of the sediment over that of the water"),),
    method="Regression on mean grain size of the APL-UW handbook, TR 9407",
    sources=("apl-uw-tr-9407, section IV, equation 2 and Table 2",),
    accuracy="reproduces the handbook's Table 2 to its last digit",
)
def density_ratio(*, mean_grain_size: Values) -> Values:
    r"""Density of a sediment over that of water, by the grain-size regression of TR 9407.

    .. math:: \rho = 0.007797 M^2 - 0.17057 M + 2.3139 \quad (-1 \le M < 1), \text{ and two more branches}

    Returns
    -------
    float or array
        Density ratio [-].

    Notes
    -----
    Surficial sediment as sound at 10 to 100 kHz meets it; a core from deeper down is denser.

    Examples
    --------
    >>> density_ratio(mean_grain_size=1.5)
    1.845
    """
    laws = [
        [0.007797, -0.17057, 2.3139],
        [-0.0165406, 0.2290201, -1.1069031, 3.0455],
        [-0.0012973, 1.1565],
    ]
    result: Values = _by_grain_size(mean_grain_size, [1.0, 5.3], laws)
    return result


@formula(
    "echo.sediment_sound_speed_ratio",
    title="Sound speed of a sediment",
    inputs=(_GRAIN_SIZE,),
    outputs=(Output("sound_speed_ratio", "1", "sound speed of the sediment over that of the water"),),
    method="Regression on mean grain size of the APL-UW handbook, TR 9407",
    sources=("apl-uw-tr-9407, section IV, equation 3 and Table 2",),
    accuracy="reproduces the handbook's Table 2 to its last digit",
)
def sound_speed_ratio(*, mean_grain_size: Values) -> Values:
    r"""Sound speed of a sediment over that of water, by the grain-size regression of TR 9407.

    .. math:: \nu = 0.002709 M^2 - 0.056452 M + 1.2778 \quad (-1 \le M < 1), \text{ and two more branches}

    Returns
    -------
    float or array
        Sound-speed ratio; below 1 in the finest sediments [-].

    Notes
    -----
    A ratio below 1 means no critical angle: mud lets sound in at every angle.

    Examples
    --------
    >>> sound_speed_ratio(mean_grain_size=9)
    0.980
    """
    laws = [
        [0.002709, -0.056452, 1.2778],
        [-0.0014881, 0.0213937, -0.1382798, 1.3425],
        [-0.0024324, 1.0019],
    ]
    result: Values = _by_grain_size(mean_grain_size, [1.0, 5.3], laws)
    return result


@formula(
    "echo.sediment_loss_parameter",
    title="Loss parameter of a sediment",
    inputs=(
        _GRAIN_SIZE,
        Number("reference_sound_speed", "m/s", 1400, 1600, "sound speed of the water in the table", 1528.0),
    ),
    outputs=(Output("loss_parameter", "1", "imaginary over real part of the sediment's wave number"),),
    method="Attenuation regression on mean grain size of the APL-UW handbook, TR 9407",
    sources=("apl-uw-tr-9407, section IV, equations 4 and 5 and Table 2",),
    accuracy="reproduces the handbook's Table 2 to 3e-5",
)
def loss_parameter(*, mean_grain_size: Values, reference_sound_speed_mps: Values = 1528.0) -> Values:
    r"""Loss parameter of a sediment, from the attenuation regression of TR 9407.

    .. math:: \delta = \frac{\alpha_2}{f}\,\frac{\nu c_1 \ln 10}{40\pi}

    Returns
    -------
    float or array
        Loss parameter [-].

    Notes
    -----
    Attenuation is taken as proportional to frequency, so the parameter does not depend on it.

    Examples
    --------
    >>> loss_parameter(mean_grain_size=4.5)
    0.0216
    """
    laws = [
        [0.4556],
        [0.0245, 0.4556],
        [0.1245, 0.1978],
        [0.20098, -2.5228, 8.0399],
        [0.0117, -0.2041, 0.9431],
    ]
    attenuation_db_per_m_khz = _by_grain_size(mean_grain_size, [0.0, 2.6, 4.5, 6.0], laws)
    speed_m_per_ms = sound_speed_ratio(mean_grain_size=mean_grain_size) * reference_sound_speed_mps / 1000
    result: Values = attenuation_db_per_m_khz * speed_m_per_ms * np.log(10) / (40 * np.pi)
    return result


@formula(
    "echo.sediment",
    title="Acoustic properties of a named sediment",
    inputs=(Choice("sediment", (*_HARD, *GRAIN_SIZE_PHI), "name of the sediment"),),
    outputs=(
        Output("density_ratio", "1", "density over that of the water"),
        Output("sound_speed_ratio", "1", "sound speed over that of the water"),
        Output("loss_parameter", "1", "imaginary over real part of the wave number"),
    ),
    method="Table 2 of the APL-UW handbook, TR 9407, through its grain-size regressions",
    sources=("apl-uw-tr-9407, Table 2, page IV-6",),
    accuracy="the handbook's table to its last digit",
)
def sediment(*, sediment: str) -> SedimentProperties:
    r"""Density, sound speed and loss of a named sediment, as tabulated in TR 9407.

    .. math:: (\rho, \nu, \delta) = f(M_z)

    Returns
    -------
    SedimentProperties
        Density ratio, sound-speed ratio and loss parameter [-].

    Notes
    -----
    Rough rock and rock share these three properties and differ in roughness only.

    Examples
    --------
    >>> sediment(sediment="fine sand").density_ratio
    1.451
    """
    if sediment in _HARD:
        return _HARD[sediment]
    size = GRAIN_SIZE_PHI[sediment]
    return SedimentProperties(
        density_ratio(mean_grain_size=size),
        sound_speed_ratio(mean_grain_size=size),
        loss_parameter(mean_grain_size=size),
    )
