"""Fitting a face level: fairing block, transom bracket and clearances (formulas of the topic ``hull``)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.hull.geometry import DEADRISE, ELEMENT, TRIM, Words
from leadsman.compute.hull.tilt import FORE_AFT_LIMIT, FORE_AFT_LIMIT_DEG
from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds

#: The least thickness of a fairing block at its thin side (half an inch).
THIN_SIDE_MM = 12.0

#: The rakes of transom that brackets take up without a wedge.
BRACKET_RAKE_DEG = (3.0, 16.0)

_MEASURED = Choice(
    "measured",
    ("level", "slope"),
    "whether the width was measured level or along the slope of the bottom",
    "level",
)
_SIDE = Choice(
    "side",
    ("starboard", "port"),
    "side of the boat: port and starboard blocks are mirror images",
    "starboard",
)


@formula(
    "hull.wedge_thickness",
    title="Thickness difference of a wedge",
    inputs=(
        Number("width", "mm", 1, 1000, "width of the wedge"),
        Number("angle", "deg", 0, 60, "cut angle"),
        _MEASURED,
    ),
    outputs=(Output("difference", "mm", "thick side less thin side"),),
    method="Width times the tangent if the width is measured level, times the sine along the slope",
    sources=("nist-functions-2010, section 4.14 (plane trigonometry)",),
    accuracy="exact",
)
def wedge_thickness(*, width_mm: Values, angle_deg: Values, measured: str = "level") -> Values:
    r"""Difference in thickness between the two sides of a wedge, from width and angle.

    .. math:: d = w\tan\alpha \quad (level), \qquad d = w\sin\alpha \quad (slope)

    Notes
    -----
    The two differ by 4 percent at 15 deg and 9 percent at 24 deg.

    Examples
    --------
    >>> wedge_thickness(width_mm=120, angle_deg=15)
    32.15
    """
    angle = np.radians(angle_deg)
    return np.asarray(width_mm * (np.tan(angle) if measured == "level" else np.sin(angle)))


class Block(NamedTuple):
    """A fairing block: where to cut, how thick it comes out, and which way round it goes."""

    cut_angle: Values
    saw_angle: Values
    thin_side: Values
    at_stem: Values
    thick_side: Values
    thick_toward: Words


@formula(
    "hull.fairing_block",
    title="Fairing block for a deadrise",
    inputs=(
        DEADRISE,
        Number("width", "mm", 20, 600, "width of the block athwart"),
        Number("thin_side", "mm", THIN_SIDE_MM, 100, "thickness wanted at the thin side", THIN_SIDE_MM),
        ELEMENT,
        Number("fore_aft", "deg", -15, 15, "slope of the surface fore-and-aft, lower aft", 0.0),
        Number(
            "length",
            "mm",
            20,
            1500,
            "length of the block fore-and-aft, used with a fore-and-aft slope only",
            200.0,
        ),
        _SIDE,
        _MEASURED,
    ),
    outputs=(
        Output("cut_angle", "deg", "angle of the athwart cut: deadrise less element tilt"),
        Output("saw_angle", "deg", "the same with its sign seen from astern: positive rises to starboard"),
        Output("thin_side", "mm", "thickness at the thinnest corner"),
        Output("at_stem", "mm", "thickness in the middle, where the stem goes through"),
        Output("thick_side", "mm", "thickness at the thickest corner"),
        Output("thick_toward", "", "the side of the boat to which the outer block is thick"),
    ),
    method="Plane wedge athwart and fore-and-aft on top of the thin side",
    sources=("nist-functions-2010, section 4.14", "common-practice"),
    accuracy="exact for a flat bottom; add the saw's kerf; a curved bottom is scribed",
)
def fairing_block(
    *,
    deadrise_deg: Values,
    width_mm: Values,
    thin_side_mm: Values = THIN_SIDE_MM,
    element_tilt_deg: Values = 0.0,
    fore_aft_deg: Values = 0.0,
    length_mm: Values = 200.0,
    side: str = "starboard",
    measured: str = "level",
) -> Block:
    r"""Cut angle and thicknesses of the outer fairing block that brings a face level, for one side of the boat.

    .. math:: h = h_0 + w\tan(\beta-\epsilon) + l\tan|s|

    Notes
    -----
    The bottom rises outboard, so the outer block is thick outboard; the piece cut off is the backing block
    inside and goes the other way round. Most spoilt pairs were cut for the same side twice.

    Examples
    --------
    >>> fairing_block(deadrise_deg=15, width_mm=120, side="port")
    Block(cut_angle=15.0, saw_angle=-15.0, thin_side=12.0, at_stem=28.08, thick_side=44.15, thick_toward='port')
    """
    cut = np.asarray(deadrise_deg) - element_tilt_deg
    if np.any(cut < 0):
        raise NoAnswer("the element tilts more than the bottom rises; take an element of less tilt")
    athwart = wedge_thickness(width_mm=width_mm, angle_deg=cut, measured=measured)
    along = wedge_thickness(width_mm=length_mm, angle_deg=np.abs(fore_aft_deg))
    slack = np.asarray(athwart) + along
    sign = 1.0 if side == "starboard" else -1.0
    cut, thin, slack = np.broadcast_arrays(cut, thin_side_mm, slack)
    toward = np.full(cut.shape, side)
    # Adding zero turns the minus zero of a flat port block into plain zero.
    return Block(cut, sign * cut + 0.0, thin, thin + slack / 2, thin + slack, toward)


class Bracket(NamedTuple):
    """How a transom bracket is set, and what tilt the face has at cruise."""

    turn: Values
    wedge: Values
    cruise_tilt: Values
    word: Words


@formula(
    "hull.transom_bracket",
    title="Setting of a transom bracket",
    inputs=(
        Number("transom_rake", "deg", -10, 40, "lean of the transom out of plumb, its top aft"),
        Number(
            "aft_edge_low", "deg", 0, 3, "aft edge of the face below its fore edge, along the bottom", 1.0
        ),
        TRIM,
        FORE_AFT_LIMIT,
    ),
    outputs=(
        Output("turn", "deg", "turn of the face out of square to the transom, aft edge up"),
        Output("wedge", "deg", "wedge behind the bracket where its range does not reach"),
        Output("cruise_tilt", "deg", "fore-and-aft tilt of the beam at cruise, leaning forward"),
        Output("word", "", "bracket, wedge, or too steep at cruise"),
    ),
    method="Rake less the aft-edge angle; usual bracket range 3 to 16 deg of rake",
    sources=("common-practice",),
    accuracy="1 to 2 deg on a boat",
)
def transom_bracket(
    *,
    transom_rake_deg: Values,
    aft_edge_low_deg: Values = 1.0,
    running_trim_deg: Values = 0.0,
    fore_aft_limit_deg: Values = FORE_AFT_LIMIT_DEG,
) -> Bracket:
    r"""Turn of a transom bracket that sets the face along the flow, and the tilt that is left at cruise.

    .. math:: turn = rake - low, \quad tilt = low + \tau

    Notes
    -----
    A face square to a raked transom has its aft edge low by the rake; the turn takes that back. Beyond
    the limit at cruise the flow over the face goes before the beam does.

    Examples
    --------
    >>> transom_bracket(transom_rake_deg=14, running_trim_deg=3)
    Bracket(turn=13.0, wedge=0.0, cruise_tilt=4.0, word='bracket')
    """
    rake, low, trim = np.broadcast_arrays(transom_rake_deg, aft_edge_low_deg, running_trim_deg)
    least, most = BRACKET_RAKE_DEG
    wedge = np.maximum(0.0, np.maximum(least - rake, rake - most))
    cruise = low + trim
    steep = exceeds(np.abs(cruise), fore_aft_limit_deg)
    word = np.where(steep, "too steep at cruise", np.where(wedge > 0, "wedge", "bracket"))
    return Bracket(rake - low, wedge, cruise, word)


class Clearance(NamedTuple):
    """A verdict on each clearance of a transom mount, and on all."""

    propeller: Words
    strake: Words
    below: Words
    word: Words


#: Least and comfortable distances, and the window of the face below the bottom for each kind of hull.
PROPELLER_MM, STRAKE_MM = (400.0, 750.0), (75.0, 150.0)
BELOW_MM = {"grp": (3.0, 10.0), "aluminium": (10.0, 25.0)}


@formula(
    "hull.transom_clearance",
    title="Clearances of a transom mount",
    inputs=(
        Number("from_propeller", "mm", 0, 10000, "distance athwart from the propeller's tips"),
        Number(
            "from_strake",
            "mm",
            0,
            10000,
            "distance from what disturbs the flow ahead: strake, fin, intake, log, anode, trim tab",
        ),
        Number("below_hull", "mm", -200, 200, "face below the bottom at the transom; negative when above"),
        Choice("hull", ("grp", "aluminium"), "smooth GRP, or riveted aluminium and pontoon logs", "grp"),
    ),
    outputs=(
        Output("propeller", "", "too close, usable or clear"),
        Output("strake", "", "too close, usable or clear"),
        Output("below", "", "too high, as it should be, or too low"),
        Output("word", "", "the worst: move it, usable or clear"),
    ),
    method="400 to 750 mm from the propeller, 75 to 150 mm from strakes, 3 to 10 mm (10 to 25) below the bottom",
    sources=("common-practice",),
    accuracy="a start for the trial run, not a limit",
    serves="Is this place on the transom clear of what disturbs the water?",
)
def transom_clearance(
    *, from_propeller_mm: Values, from_strake_mm: Values, below_hull_mm: Values, hull: str = "grp"
) -> Clearance:
    r"""Verdict on the place of a transom mount by its distances from propeller, strake and bottom edge.

    .. math:: d < d_1 \rightarrow too\ close, \quad d \ge d_2 \rightarrow clear

    Notes
    -----
    Whether the place is good is settled by the run, one change at a time: lower by a step, or the aft edge
    down by a step. Too low shows as a rooster tail.

    Examples
    --------
    >>> transom_clearance(from_propeller_mm=500, from_strake_mm=200, below_hull_mm=5)
    Clearance(propeller='usable', strake='clear', below='as it should be', word='usable')
    """
    propeller, strake, below = np.broadcast_arrays(from_propeller_mm, from_strake_mm, below_hull_mm)
    ranks = [_distance_rank(propeller, PROPELLER_MM), _distance_rank(strake, STRAKE_MM)]
    words = np.asarray(["too close", "usable", "clear"])
    least, most = BELOW_MM[hull]
    high, low = below < least, below > most
    height = np.where(high, "too high", np.where(low, "too low", "as it should be"))
    worst = np.where(high | low, 0, np.minimum(*ranks))
    overall = np.asarray(["move it", "usable", "clear"])[worst]
    return Clearance(words[ranks[0]], words[ranks[1]], height, overall)


def _distance_rank(
    distance: Values, limits: tuple[float, float]
) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    return np.asarray(distance >= np.asarray(limits[0]), dtype=np.int64) + (distance >= np.asarray(limits[1]))


@formula(
    "hull.clean_water_side",
    title="Side of cleaner water",
    inputs=(
        Choice(
            "propeller",
            ("right-hand", "left-hand", "counter-rotating"),
            "turning of the propeller seen from astern: right-hand is clockwise",
        ),
    ),
    outputs=(Output("side", "", "starboard, port or either"),),
    method="The side on which the blades go down",
    sources=("common-practice",),
    accuracy="a habit for a single propeller; the run decides",
    serves="On which side of the propeller does the face get clean water?",
)
def clean_water_side(*, propeller: str) -> str:
    r"""Side of a single propeller on which a transom mount finds the cleaner water.

    .. math:: side = side\ of\ the\ descending\ blades

    Notes
    -----
    A claim of practice, not of a source.

    Examples
    --------
    >>> clean_water_side(propeller="right-hand")
    'starboard'
    """
    return {"right-hand": "starboard", "left-hand": "port"}.get(propeller, "either")
