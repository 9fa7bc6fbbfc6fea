"""What the bottom gives back: reflection loss and backscattering strength.

The properties of the sediments stand in ``leadsman.compute.echo.sediment``; all are registered as ``echo.``
and can be taken from here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.echo import sediment as _sediment
from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula

density_ratio = _sediment.density_ratio
sound_speed_ratio = _sediment.sound_speed_ratio
loss_parameter = _sediment.loss_parameter
sediment = _sediment.sediment

_DENSITY_RATIO = Number("density_ratio", "1", 0.5, 5, "density of the bottom over that of the water")
_SPEED_RATIO = Number("sound_speed_ratio", "1", 0.5, 5, "sound speed of the bottom over that of the water")


class NormalStrength(NamedTuple):
    """Backscattering strength at normal incidence: nominal and the ends of what is met."""

    strength: float
    weakest: float
    strongest: float


#: Ends of the backscattering strength near normal incidence [dB re 1 m2/m2]: the usual spread of
#: high-frequency measurements, recalled from the general literature and not from one table.
_NORMAL_ENDS_DB = {
    "rock": (-15.0, -5.0),
    "gravel": (-18.0, -8.0),
    "sand": (-22.0, -10.0),
    "mud": (-35.0, -15.0),
}
#: The bottoms that the depth formulas know.
BOTTOMS = tuple(_NORMAL_ENDS_DB)

#: Fall of the strength from normal to steep oblique incidence, and the half-width of the normal lobe:
#: the form is that of Lamarche et al. 2011, the two numbers are common practice (see oblique_drop).
_OBLIQUE_DROP_DB = 5.0
_LOBE_DEG = 8.0


@formula(
    "echo.bottom_reflection_coefficient",
    title="Reflection coefficient at normal incidence",
    inputs=(
        Number("water_density", "kg/m3", 900, 1100, "density of the water"),
        Number("water_sound_speed", "m/s", 1300, 1700, "sound speed of the water"),
        Number("bottom_density", "kg/m3", 500, 5000, "density of the bottom"),
        Number("bottom_sound_speed", "m/s", 300, 7000, "sound speed of the bottom"),
    ),
    outputs=(Output("coefficient", "1", "pressure reflected over pressure incident"),),
    method="Impedance step at normal incidence, without loss",
    sources=("medwin-clay-1998, section 2.6",),
    accuracy="exact for a flat step between two lossless fluids",
)
def reflection_coefficient(
    *,
    water_density_kg_per_m3: Values,
    water_sound_speed_mps: Values,
    bottom_density_kg_per_m3: Values,
    bottom_sound_speed_mps: Values,
) -> Values:
    r"""Pressure reflection coefficient of a flat bottom at normal incidence, from the two impedances.

    .. math:: R = \frac{\rho_2 c_2 - \rho_1 c_1}{\rho_2 c_2 + \rho_1 c_1}

    Returns
    -------
    float or array
        Reflection coefficient, negative off a softer bottom [-].

    Notes
    -----
    Valid for two fluids; shear in rock changes it little at normal incidence.

    Examples
    --------
    >>> reflection_coefficient(water_density_kg_per_m3=1000, water_sound_speed_mps=1500,
    ...                        bottom_density_kg_per_m3=1900, bottom_sound_speed_mps=1650)
    0.353
    """
    water = water_density_kg_per_m3 * water_sound_speed_mps
    bottom = bottom_density_kg_per_m3 * bottom_sound_speed_mps
    return (bottom - water) / (bottom + water)


@formula(
    "echo.bottom_reflection_loss",
    title="Bottom reflection loss",
    inputs=(
        _DENSITY_RATIO,
        _SPEED_RATIO,
        Number("loss_parameter", "1", 0, 0.2, "loss parameter of the bottom", 0.0),
        Number("grazing", "deg", 0.1, 90, "grazing angle; 90 is normal incidence", 90.0),
    ),
    outputs=(Output("loss", "dB", "bottom reflection loss"),),
    method="Rayleigh reflection off a lossy fluid half-space",
    sources=("apl-uw-tr-9407, section IV, equations 6 to 9",),
    accuracy="0.01 dB of the formula; some 3 dB of a real bottom, which is neither flat nor a fluid",
)
def reflection_loss(
    *,
    density_ratio: Values,
    sound_speed_ratio: Values,
    loss_parameter: Values = 0.0,
    grazing_deg: Values = 90.0,
) -> Values:
    r"""Loss in reflection from a flat bottom, by the lossy Rayleigh coefficient.

    .. math:: BL = -20\log_{10}\left|\frac{y-1}{y+1}\right|,\quad
        y = \frac{\rho\sin\theta}{\sqrt{\kappa^2-\cos^2\theta}},\quad \kappa = \frac{1+i\delta}{\nu}

    Returns
    -------
    float or array
        Bottom reflection loss [dB].

    Notes
    -----
    It does not depend on frequency and knows no roughness: it ranks bottoms, hard to soft.

    Examples
    --------
    >>> reflection_loss(density_ratio=1.451, sound_speed_ratio=1.1073, loss_parameter=0.01602)
    12.66
    """
    angle = np.radians(grazing_deg)
    wave_number = (1 + 1j * np.asarray(loss_parameter)) / sound_speed_ratio
    admittance = density_ratio * np.sin(angle) / np.sqrt(wave_number**2 - np.cos(angle) ** 2)
    magnitude = np.abs((admittance - 1) / (admittance + 1))
    if np.any(magnitude < 1e-9):
        raise NoAnswer("the bottom has the same impedance as the water: there is no reflection at all")
    result: Values = -20 * np.log10(magnitude)
    return result


@formula(
    "echo.bottom_critical_angle",
    title="Critical grazing angle",
    inputs=(
        Number("water_sound_speed", "m/s", 1300, 1700, "sound speed of the water"),
        Number("bottom_sound_speed", "m/s", 300, 7000, "sound speed of the bottom"),
    ),
    outputs=(Output("grazing", "deg", "grazing angle below which all sound is reflected"),),
    method="Snell's law",
    sources=("medwin-clay-1998, section 2.6",),
    accuracy="exact for a lossless bottom",
)
def critical_angle(*, water_sound_speed_mps: Values, bottom_sound_speed_mps: Values) -> Values:
    r"""Grazing angle below which a lossless bottom reflects all sound, by Snell's law.

    .. math:: \theta_c = \arccos(c_1/c_2)

    Returns
    -------
    float or array
        Critical grazing angle [deg].

    Notes
    -----
    It matters for side-looking pictures, never for a sounder that looks down.

    Examples
    --------
    >>> critical_angle(water_sound_speed_mps=1500, bottom_sound_speed_mps=1650)
    24.6
    """
    if np.any(np.asarray(bottom_sound_speed_mps) <= water_sound_speed_mps):
        raise NoAnswer("the bottom is no faster than the water: there is no critical angle")
    return np.degrees(np.arccos(water_sound_speed_mps / np.asarray(bottom_sound_speed_mps)))


@formula(
    "echo.bottom_strength_lambert",
    title="Bottom backscattering strength by Lambert's law",
    inputs=(
        Number("grazing", "deg", 0.1, 90, "grazing angle"),
        Number("mackenzie_constant", "dB", -45, -10, "strength that normal incidence would have", -27.0),
    ),
    outputs=(Output("strength", "dB", "backscattering strength re 1 m2 per m2"),),
    method="Lambert's law with Mackenzie's constant",
    sources=("mackenzie-1961",),
    accuracy="-25 to -35 dB are met on loose sediments; below 45 degrees of grazing only",
)
def lambert_strength(*, grazing_deg: Values, mackenzie_constant_db: Values = -27.0) -> Values:
    r"""Backscattering strength of a rough bottom at low grazing angle, by Lambert's law.

    .. math:: S_b = \mu + 10\log_{10}\sin^2\theta

    Returns
    -------
    float or array
        Backscattering strength re 1 m2/m2 [dB].

    Notes
    -----
    Meant for grazing angles below 45 degrees (side-looking). Near normal incidence it is arithmetic, no
    physics: use ``echo.bottom_strength``.

    Examples
    --------
    >>> lambert_strength(grazing_deg=20)
    -36.32
    """
    return mackenzie_constant_db + 20 * np.log10(np.sin(np.radians(grazing_deg)))


@formula(
    "echo.bottom_strength",
    title="Bottom backscattering strength straight down",
    inputs=(Choice("sediment", BOTTOMS, "kind of bottom"),),
    outputs=(
        Output("strength", "dB", "backscattering strength re 1 m2 per m2, middle of what is met"),
        Output("weakest", "dB", "weak end of what is met"),
        Output("strongest", "dB", "strong end of what is met"),
    ),
    method="Middle and ends of high-frequency measurements near normal incidence",
    sources=("seabed-backscatter-general",),
    accuracy="5 dB on rock and gravel, 6 dB on sand, 10 dB on mud",
)
def normal_strength(*, sediment: str) -> NormalStrength:
    r"""Backscattering strength of a bottom at normal incidence: the middle of what is met, with its ends.

    .. math:: S_b = (S_{\text{weakest}} + S_{\text{strongest}})/2

    Returns
    -------
    NormalStrength
        Middle, weak end and strong end re 1 m2/m2 [dB].

    Notes
    -----
    Recalled from the general literature, not read from one table. Weed has no entry: no number holds
    there, and the bottom may not be read at all.

    Examples
    --------
    >>> normal_strength(sediment="sand").strength
    -16.0
    """
    weakest, strongest = _NORMAL_ENDS_DB[sediment]
    return NormalStrength((weakest + strongest) / 2, weakest, strongest)


@formula(
    "echo.bottom_strength_drop",
    title="Fall of the bottom strength off the normal",
    inputs=(Number("incidence", "deg", 0, 45, "angle between the sound and the bottom's normal"),),
    outputs=(Output("drop", "dB", "strength lost against normal incidence"),),
    method="Gaussian lobe about the normal on a plateau",
    sources=("lamarche-2011, form of the law", "common-practice"),
    accuracy="3 to 10 dB are met at 20 degrees; narrow smooth bottoms lose more",
)
def oblique_drop(*, incidence_deg: Values) -> Values:
    r"""Backscattering strength lost when sound meets the bottom off its normal: a Gaussian lobe on a plateau.

    .. math:: D = D_\infty\left(1 - e^{-\theta^2/2\sigma^2}\right)

    Returns
    -------
    float or array
        Loss against normal incidence [dB].

    Notes
    -----
    The plateau of 5 dB and the lobe of 8 degrees are common practice, set so that a 20 degree slope
    costs a 200 kHz, 12 degree sounder the third to half of its depth that the trade reports.

    Examples
    --------
    >>> oblique_drop(incidence_deg=20)
    4.78
    """
    return _OBLIQUE_DROP_DB * -np.expm1(-((np.asarray(incidence_deg) / _LOBE_DEG) ** 2) / 2)
