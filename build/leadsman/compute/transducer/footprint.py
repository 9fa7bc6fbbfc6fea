"""The print of the beam on the bottom, level and sloping, and the error that a slope makes in the depth."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.transducer.beam import BEAMWIDTH, PISTON_HALF_POWER, piston_argument

_DEPTH = Number("depth", "m", 0, 5000, "depth of water below the face")
_DIAMETER = (Output("diameter", "m", "diameter of the print on a level bottom"),)


@formula(
    "transducer.footprint",
    title="Print of the beam on a level bottom",
    inputs=(_DEPTH, BEAMWIDTH),
    outputs=_DIAMETER,
    method="Cone of the half-power beam width",
    sources=("lurton-2010, section 7.2",),
    accuracy="exact for the cone; the beam has no edge there",
)
def footprint(*, depth_m: Values, beamwidth_deg: Values) -> Values:
    r"""Diameter of the half-power print of the beam on a level bottom.

    .. math:: w = 2d\tan(\theta/2)

    Notes
    -----
    Two-way the edge stands 6 dB below the middle: strong targets outside it show as well.

    Examples
    --------
    >>> footprint(depth_m=10, beamwidth_deg=20)
    3.5265
    """
    result: Values = 2 * depth_m * np.tan(np.radians(beamwidth_deg) / 2)
    return result


@formula(
    "transducer.footprint_usable",
    title="Usable print of the beam on a level bottom",
    inputs=(
        _DEPTH,
        BEAMWIDTH,
        Number(
            "two_way_level",
            "dB",
            1,
            60,
            "two-way level at the edge, below the axis; 6 dB is the half-power print",
        ),
    ),
    outputs=_DIAMETER,
    method="Cone in which the two-way piston pattern stays above the level",
    sources=("kinsler-2000, section 7.4", "lurton-2010"),
    accuracy="10 % for a real round transducer",
    serves="How wide is the print that the display can use?",
)
def footprint_usable(*, depth_m: Values, beamwidth_deg: Values, two_way_level_db: Values) -> Values:
    r"""Diameter of the print inside which an echo is weakened by no more than a two-way level.

    .. math:: \sin\alpha = \frac{x_{L/2}}{1.6163}\sin\frac{\theta_3}{2}, \quad w = 2d\tan\alpha

    Notes
    -----
    The main lobe only: in shallow water with high gain the first side lobe, 35 dB down two-way, shows too.
    No answer where the lobe reaches the horizontal.

    Examples
    --------
    >>> footprint_usable(depth_m=10, beamwidth_deg=20, two_way_level_db=20)
    6.139
    """
    # The field's 6 dB two-way is 3 dB one way, which is half power: piston_argument reads it so.
    ratio = piston_argument(np.asarray(two_way_level_db) / 2) / PISTON_HALF_POWER
    sine = ratio * np.sin(np.radians(beamwidth_deg) / 2)
    if np.any(sine >= 1):
        raise NoAnswer("the beam is so wide that it falls by this level nowhere short of the horizontal")
    result: Values = 2 * depth_m * np.tan(np.arcsin(sine))
    return result


class SlopePrint(NamedTuple):
    """The print on a slope and what the sounder makes of it."""

    uphill: float | NDArray[np.float64]
    downhill: float | NDArray[np.float64]
    length: float | NDArray[np.float64]
    shown: float | NDArray[np.float64]
    error: float | NDArray[np.float64]
    shoalest: float | NDArray[np.float64]


@formula(
    "transducer.footprint_on_slope",
    title="Print of the beam on a slope, and the depth shown",
    inputs=(_DEPTH, BEAMWIDTH, Number("slope", "deg", 0, 60, "slope of the bottom")),
    outputs=(
        Output("uphill", "m", "reach of the print up the slope, level distance from below the face"),
        Output("downhill", "m", "reach of the print down the slope, level distance"),
        Output("length", "m", "length of the print, measured on the slope"),
        Output("shown", "m", "depth shown: the first echo inside the cone"),
        Output("error", "m", "depth shown less depth straight below; negative: shows less water"),
        Output("shoalest", "m", "least depth of water inside the print"),
    ),
    method="Ideal cone over a plane: the shown depth is the shortest slant range inside the cone",
    sources=("lurton-2010, section 7.2", "common-practice"),
    accuracy="a sounder that follows the strongest echo shows the depth straight along the axis instead",
)
def footprint_on_slope(*, depth_m: Values, beamwidth_deg: Values, slope_deg: Values) -> SlopePrint:
    r"""Print of the beam on a sloping bottom, and the depth that the first echo shows.

    .. math:: r(\varphi) = \frac{d\cos s}{\cos(\varphi - s)}, \quad
              d_{shown} = \min_{|\varphi|\le\theta/2} r(\varphi)

    Notes
    -----
    Against the water straight below the boat a slope makes the sounder show less: the safe side. Against the
    shoalest water inside its own print it shows more. No answer where the downhill edge of the cone meets no
    bottom.

    Examples
    --------
    >>> footprint_on_slope(depth_m=20, beamwidth_deg=20, slope_deg=15)
    SlopePrint(uphill=3.37, downhill=3.70, length=7.32, shown=19.39, error=-0.61, shoalest=19.10)
    """
    half, slope = np.radians(beamwidth_deg) / 2, np.radians(slope_deg)
    if np.any(half + slope >= np.pi / 2):
        raise NoAnswer(
            "the downhill edge of the beam runs along the slope or away from it and meets no bottom"
        )
    normal = depth_m * np.cos(slope)
    to_uphill, to_downhill = normal / np.cos(half - slope), normal / np.cos(half + slope)
    # The shortest way to a plane is square to it; a steeper slope leaves only the uphill edge of the cone.
    shown = np.where(slope <= half, normal, to_uphill)
    uphill, downhill = to_uphill * np.sin(half), to_downhill * np.sin(half)
    return SlopePrint(
        uphill=uphill,
        downhill=downhill,
        length=(uphill + downhill) / np.cos(slope),
        shown=shown,
        error=shown - depth_m,
        shoalest=to_uphill * np.cos(half),
    )
