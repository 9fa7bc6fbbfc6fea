"""Beam width from the face, the face from a beam width, and a width at another level."""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.transducer.beam import (
    FREQUENCY,
    SOUND_SPEED,
    full_angle,
    line_argument,
    piston_argument,
)

_TOO_SMALL = "the face is so small for its wavelength that its pattern nowhere falls by the level asked for"
_WIDTH = (Output("beamwidth", "deg", "full beam width at the level, one way"),)
_LEVEL = Number("level", "dB", 0.5, 40, "one-way level at which the width is taken, below the axis", 3.0)
_DIAMETER = Number("diameter", "mm", 4, 1000, "diameter of the radiating face")


@formula(
    "transducer.beamwidth_circular",
    title="Beam width of a circular face",
    inputs=(FREQUENCY, _DIAMETER, _LEVEL, SOUND_SPEED),
    outputs=_WIDTH,
    method="Piston pattern 2 J1(x)/x solved for the level",
    sources=("kinsler-2000, section 7.4", "urick-1983, table 3.2"),
    accuracy="exact for an ideal piston; a real face is some 10 to 20 % wider than its diameter promises",
)
def beamwidth_circular(
    *, frequency_khz: Values, diameter_mm: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Full beam width of a circular face at a stated one-way level, from the piston pattern.

    .. math:: \theta = 2\arcsin\frac{x_L\lambda}{\pi D}, \quad 20\log\left|2J_1(x_L)/x_L\right| = -L

    Notes
    -----
    No answer where the face is too small for the pattern to fall by the level. The small-angle constant
    (59 deg times wavelength over diameter at 3 dB) is not used.

    Examples
    --------
    >>> beamwidth_circular(frequency_khz=200, diameter_mm=50)
    8.852
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    return full_angle(piston_argument(level_db) * wavelength_mm / (np.pi * diameter_mm), _TOO_SMALL)


@formula(
    "transducer.beamwidth_rectangular",
    title="Beam width of a rectangular face in the plane of one side",
    inputs=(
        FREQUENCY,
        Number("side", "mm", 4, 1000, "length of the side in whose plane the width is taken"),
        _LEVEL,
        SOUND_SPEED,
    ),
    outputs=_WIDTH,
    method="Line pattern sin(u)/u solved for the level",
    sources=("kinsler-2000, section 7.3", "urick-1983, table 3.2"),
    accuracy="exact for an ideal face driven evenly",
)
def beamwidth_rectangular(
    *, frequency_khz: Values, side_mm: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Full beam width of a rectangular face along one side, from the line pattern.

    .. math:: \theta = 2\arcsin\frac{u_L\lambda}{\pi\ell}, \quad 20\log\left|\sin(u_L)/u_L\right| = -L

    Notes
    -----
    A fan beam has two widths, one for each side; the long side makes the narrow one.

    Examples
    --------
    >>> beamwidth_rectangular(frequency_khz=455, side_mm=150)
    1.1156
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    return full_angle(line_argument(level_db) * wavelength_mm / (np.pi * side_mm), _TOO_SMALL)


@formula(
    "transducer.beamwidth_at_level",
    title="Beam width at another level",
    inputs=(
        Number("beamwidth", "deg", 0.3, 150, "full beam width as stated, one way"),
        Number("stated_level", "dB", 0.5, 40, "one-way level at which the width is stated"),
        Number("level", "dB", 0.5, 40, "one-way level wanted", 3.0),
    ),
    outputs=_WIDTH,
    method="Piston pattern of the face that has the stated width",
    sources=("kinsler-2000, section 7.4",),
    accuracy="exact for an ideal piston",
    serves="How wide is this beam at another level than its data sheet says?",
)
def beamwidth_at_level(*, beamwidth_deg: Values, stated_level_db: Values, level_db: Values = 3.0) -> Values:
    r"""Full beam width at one level from the width stated at another, by the piston pattern.

    .. math:: \sin\frac{\theta_2}{2} = \frac{x_{L2}}{x_{L1}}\sin\frac{\theta_1}{2}

    Notes
    -----
    Wide "cones" are often stated at 10 dB; a 20 degree cone at 10 dB is an 11.8 degree beam at 3 dB.

    Examples
    --------
    >>> beamwidth_at_level(beamwidth_deg=20, stated_level_db=10)
    11.80
    """
    ratio = piston_argument(level_db) / piston_argument(stated_level_db)
    return full_angle(ratio * np.sin(np.radians(beamwidth_deg) / 2), _TOO_SMALL)
