"""The hull under a transducer: deadrise, the tilt of the beam in both axes, and what a tilt does to the depth.

Signs, for either side of the boat: an athwart tilt is positive when the beam leans outboard, a fore-and-aft
tilt when it leans forward (the aft edge of the face is low). ``leadsman.compute.hull.tilt`` says how much tilt a
beam bears, ``leadsman.compute.hull.fitting`` how a face is fitted level.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.rounding import exceeds
from leadsman.compute.transducer.beam import BEAMWIDTH

#: A result in words: one for a scalar call, an array of them for arrays.
Words = str | NDArray[np.str_]

DEADRISE = Number("deadrise", "deg", 0, 40, "deadrise of the bottom at the station, not the brochure's")
ELEMENT = Number("element_tilt", "deg", 0, 30, "tilt built into the element, toward the keel", 0.0)
TRIM = Number("running_trim", "deg", -5, 15, "trim at cruise, bow up", 0.0)
LIST = Number("list", "deg", -15, 15, "lean of the boat toward the transducer's side", 0.0)
TILT = Number("tilt", "deg", 0, 45, "tilt of the beam axis from the vertical")
_DEPTH = Number("depth", "m", 0.1, 5000, "water under the face")


class Deadrise(NamedTuple):
    """A deadrise measured with level and rule, and how far a reading error moves it."""

    angle: Values
    tolerance: Values


@formula(
    "hull.deadrise",
    title="Deadrise from level and rule",
    inputs=(
        Number("rise", "mm", 0, 2000, "height of the bottom above a level at the run's outer end"),
        Number(
            "run",
            "mm",
            50,
            2000,
            "distance along the level, from the point where it touches; along the slope of the bottom would be wrong",
        ),
        Number("reading_error", "mm", 0, 20, "error of the rise", 1.0),
    ),
    outputs=(
        Output("angle", "deg", "deadrise"),
        Output("tolerance", "deg", "greatest change of the angle by the reading error"),
    ),
    method="Arc tangent of rise over run, the run measured level",
    sources=("nist-functions-2010, section 4.23",),
    accuracy="as the rule: 1 mm in 600 mm is 0.08 to 0.1 deg; a boat that is not level adds its list",
    serves="What is the deadrise, from a level and a rule?",
)
def deadrise(*, rise_mm: Values, run_mm: Values, reading_error_mm: Values = 1.0) -> Deadrise:
    r"""Deadrise at a station from the rise of the bottom over a level run, with its tolerance.

    .. math:: \beta = \arctan(rise / run)

    Notes
    -----
    The boat must be level athwart; else measure both sides and take the mean.

    Examples
    --------
    >>> deadrise(rise_mm=218.4, run_mm=600)
    Deadrise(angle=20.00, tolerance=0.08)
    """
    rise, run, error = map(np.asarray, (rise_mm, run_mm, reading_error_mm))
    angle = np.degrees(np.arctan(rise / run))
    # The arc tangent is steepest toward zero, so the lower reading moves the angle further.
    moved = np.degrees(np.arctan((rise - error) / run))
    return Deadrise(angle, angle - moved)


class Tilt(NamedTuple):
    """The tilt of a beam axis from the vertical, in each axis and in all."""

    athwart: Values
    fore_aft: Values
    total: Values


@formula(
    "hull.residual_tilt",
    title="Residual tilt of the beam",
    inputs=(
        DEADRISE,
        ELEMENT,
        TRIM,
        Number("shaft_angle", "deg", -15, 20, "slope of the mounting surface, lower aft", 0.0),
        Number("face_angle", "deg", -15, 15, "face against its surface, aft edge low", 0.0),
        LIST,
    ),
    outputs=(
        Output("athwart", "deg", "athwart tilt, positive when the beam leans outboard"),
        Output("fore_aft", "deg", "fore-and-aft tilt at cruise, positive when the beam leans forward"),
        Output("total", "deg", "tilt of the beam axis from the vertical"),
    ),
    method="Sum of the angles in each axis; rotations about the two axes combined by their cosines",
    sources=(
        "diebel-2006, rotation sequence (1, 2, 3): the last element of the matrix is the product of two cosines",
    ),
    accuracy="exact for the angles given; on a boat they are known to 1 or 2 deg",
)
def residual_tilt(
    *,
    deadrise_deg: Values,
    element_tilt_deg: Values = 0.0,
    running_trim_deg: Values = 0.0,
    shaft_angle_deg: Values = 0.0,
    face_angle_deg: Values = 0.0,
    list_deg: Values = 0.0,
) -> Tilt:
    r"""Tilt left in the beam after element and fairing, athwart, fore-and-aft and in all.

    .. math:: a = \beta - \epsilon - l, \quad b = \tau + s + f, \quad \cos t = \cos a \cos b

    Notes
    -----
    A face that is level at rest has the running trim for its tilt at cruise. The total is less than the sum
    of the two tilts.

    Examples
    --------
    >>> residual_tilt(deadrise_deg=22, element_tilt_deg=20, running_trim_deg=4)
    Tilt(athwart=2.0, fore_aft=4.0, total=4.47)
    """
    athwart = np.asarray(deadrise_deg) - element_tilt_deg - list_deg
    fore_aft = np.asarray(running_trim_deg) + shaft_angle_deg + face_angle_deg
    athwart, fore_aft = np.broadcast_arrays(athwart, fore_aft)
    return Tilt(athwart, fore_aft, _combined(athwart, fore_aft))


def _combined(athwart_deg: Values, fore_aft_deg: Values) -> Values:
    """The angle whose cosine is the product of the two cosines, in a form that is exact for small angles."""
    a, b = np.radians(athwart_deg), np.radians(fore_aft_deg)
    sine = np.hypot(np.sin(a), np.cos(a) * np.sin(b))
    return np.asarray(np.degrees(np.arctan2(sine, np.cos(a) * np.cos(b))))


@formula(
    "hull.total_tilt",
    title="Tilt of both axes combined",
    inputs=(
        Number("athwart", "deg", -45, 45, "athwart tilt"),
        Number("fore_aft", "deg", -45, 45, "fore-and-aft tilt"),
    ),
    outputs=(Output("total", "deg", "tilt of the beam axis from the vertical"),),
    method="Product of the cosines",
    sources=("diebel-2006, rotation sequence (1, 2, 3)",),
    accuracy="exact",
)
def total_tilt(*, athwart_deg: Values, fore_aft_deg: Values) -> Values:
    r"""Tilt of the beam axis from the vertical when it leans in both axes.

    .. math:: \cos t = \cos a \cos b

    Notes
    -----
    Not the arithmetic sum: 4 and 20 deg give 20.4, not 24.

    Examples
    --------
    >>> total_tilt(athwart_deg=20, fore_aft_deg=4)
    20.38
    """
    return _combined(athwart_deg, fore_aft_deg)


class FirstEcho(NamedTuple):
    """What a tilted beam shows over a level or sloping bottom; errors are positive when it reads deep."""

    first_error: Values
    axis_error: Values
    offset: Values
    reads: Words


@formula(
    "hull.first_echo",
    title="Depth error of a tilted beam",
    inputs=(
        _DEPTH,
        TILT,
        BEAMWIDTH,
        Number("slope", "deg", -30, 30, "slope of the bottom, rising to where the beam leans", 0.0),
    ),
    outputs=(
        Output("first_error", "m", "error of the first return: positive shows more water than there is"),
        Output("axis_error", "m", "error of a display that follows the axis"),
        Output("offset", "m", "level distance to where the axis meets the bottom"),
        Output("reads", "", "true, deep or shallow: the first return"),
    ),
    method="Nearest point of a plane bottom inside the half-power beam; the axis alone for the second figure",
    sources=("nist-functions-2010, section 4.14 (plane trigonometry)",),
    accuracy="geometry only; a strong bottom is also seen outside the half-power beam, which lessens the error",
)
def first_echo(
    *, depth_m: Values, tilt_deg: Values, beamwidth_deg: Values, slope_deg: Values = 0.0
) -> FirstEcho:
    r"""Errors of the shown depth when a beam is tilted: of the first return, and of the axis.

    .. math:: R(a) = D\frac{\cos\phi}{\cos(a-\phi)}, \quad a_1 = \mathrm{clip}(\phi,\ t-\theta/2,\ t+\theta/2)

    Notes
    -----
    On a level bottom the first return is true as long as the tilt is within half the beam width, only
    weaker. A slope makes a wide beam read shallow, which is the safe side.

    Examples
    --------
    >>> first_echo(depth_m=20, tilt_deg=10, beamwidth_deg=12)
    FirstEcho(first_error=0.0488, axis_error=0.309, offset=3.53, reads='deep')
    """
    depth, tilt, half, slope = np.broadcast_arrays(
        depth_m, np.radians(tilt_deg), np.radians(beamwidth_deg) / 2, np.radians(slope_deg)
    )
    nearest = np.clip(slope, tilt - half, tilt + half)
    first = depth * (np.cos(slope) / np.cos(nearest - slope) - 1.0)
    along = depth * np.cos(slope) / np.cos(tilt - slope)
    # A millionth of the depth is below anything that a display can show.
    unseen = 1e-6 * depth
    reads = np.select([exceeds(first, unseen), exceeds(-first, unseen)], ["deep", "shallow"], "true")
    return FirstEcho(first, along - depth, along * np.sin(tilt), reads)


@formula(
    "hull.heel_limit",
    title="Heel at which a sailing boat loses the bottom",
    inputs=(BEAMWIDTH,),
    outputs=(Output("heel", "deg", "heel at which the depth is lost"),),
    method="Half the beam width and 5 deg",
    sources=("common-practice",),
    accuracy="2 deg for a 12 deg beam, 3 deg for 45 deg, judged from practice",
)
def heel_limit(*, beamwidth_deg: Values) -> Values:
    r"""Heel at which a sailing boat's single transducer is expected to lose the bottom.

    .. math:: h = \theta/2 + 5

    Notes
    -----
    The depth comes back when the boat tacks. A depth lost upright is no fault of the heel.

    Examples
    --------
    >>> heel_limit(beamwidth_deg=12)
    11.0
    """
    return beamwidth_deg / 2 + 5.0
