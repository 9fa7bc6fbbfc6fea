"""How much tilt a beam bears, and which tilted element a deadrise wants (formulas of the topic ``hull``).

A tilt costs echo by one model with two bottoms. Over a mirror-like bottom, the strict case, the loss is
``24 (tilt/width)^2`` two-way: the limits of class, the verdict and the printed table of losses are made of it,
and serve the choice and the setting of a face. Over a rough bottom the echo also comes back from where the beam
points, so that the loss is the lesser of that and of oblique scattering: ``echo.budget`` and the depths take it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.hull.geometry import DEADRISE, LIST, TILT, TRIM, Words, total_tilt
from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short
from leadsman.compute.transducer.beam import BEAMWIDTH, PISTON_FIRST_NULL, PISTON_HALF_POWER, tilt_loss

#: The classes of tilt, the best first.
CLASSES = ("good", "acceptable", "only with margin", "no")

#: Greatest fore-and-aft tilt at cruise: beyond it the flow over the face goes before the beam does.
FORE_AFT_LIMIT_DEG = 5.0

#: What must be in hand at the working depth where the tilt passes the acceptable class.
MARGIN_DB = 10.0

_GOOD_CAP_DEG, _ACCEPTABLE_CAP_DEG = 7.0, 10.0
#: The cap of the third class by beam width: 10 deg at 25 deg, 12 deg at 45 deg, in between by proportion.
_MARGIN_CAP_DEG = ((25.0, 45.0), (10.0, 12.0))


FORE_AFT_LIMIT = Number(
    "fore_aft_limit", "deg", 0, 30, "greatest fore-and-aft tilt at cruise", FORE_AFT_LIMIT_DEG
)


class TiltLimits(NamedTuple):
    """The greatest tilt in each class, and the greatest fore-and-aft."""

    good: Values
    acceptable: Values
    with_margin: Values
    fore_aft: Values


@formula(
    "hull.tilt_limits",
    title="Tilt that a beam bears",
    inputs=(
        BEAMWIDTH,
        Number("beamwidth_across", "deg", 0, 150, "fore-and-aft width of a fan beam; 0 for a round one", 0.0),
        FORE_AFT_LIMIT,
    ),
    outputs=(
        Output("good", "deg", "greatest tilt with at most 1.5 dB lost"),
        Output("acceptable", "deg", "greatest tilt with at most 2.7 dB lost"),
        Output("with_margin", "deg", "greatest tilt with 6 dB lost and 10 dB in hand"),
        Output("fore_aft", "deg", "greatest tilt fore and aft at cruise"),
    ),
    method="A quarter, a third and a half of the beam width over a mirror-like bottom, capped for wide beams",
    sources=("common-practice",),
    accuracy="print whole degrees: a boat is measured to 1 or 2 deg",
)
def tilt_limits(
    *,
    beamwidth_deg: Values,
    beamwidth_across_deg: Values = 0.0,
    fore_aft_limit_deg: Values = FORE_AFT_LIMIT_DEG,
) -> TiltLimits:
    r"""Greatest tilt that counts as good, as acceptable, and as bearable with margin, for a beam width.

    .. math:: t_{1,2,3} = \min(\theta/4,\ 7),\ \min(\theta/3,\ 10),\ \min(\theta/2,\ 10 \ldots 12)

    Notes
    -----
    The fractions are 1.5, 2.7 and 6 dB of two-way loss by the Gaussian form 24 (tilt/width)^2. The caps keep
    a wide beam from excusing a face that the water no longer flows over. Fore and aft the third limit holds as
    well as that of the flow. The narrow axis of a fan beam is another matter: at its bands no bottom is a mirror
    (rough by an eighth of a wavelength, 0.4 mm at 430 kHz), the echo comes from where the fan points, and only
    the flow limits the tilt. What the fan would lose over a mirror, ``hull.mounting_class`` tells.

    Examples
    --------
    >>> tilt_limits(beamwidth_deg=12)
    TiltLimits(good=3.0, acceptable=4.0, with_margin=6.0, fore_aft=5.0)
    """
    width = np.asarray(beamwidth_deg, dtype=float)
    most = np.minimum(width / 2, margin_cap(width))
    flow = np.asarray(fore_aft_limit_deg, dtype=float)
    fore_aft = np.where(np.asarray(beamwidth_across_deg) > 0, flow, np.minimum(most, flow))
    return TiltLimits(
        np.minimum(width / 4, _GOOD_CAP_DEG), np.minimum(width / 3, _ACCEPTABLE_CAP_DEG), most, fore_aft
    )


def margin_cap(beamwidth_deg: Values) -> NDArray[np.float64]:
    """The tilt that no margin makes good, by beam width."""
    return np.asarray(np.interp(beamwidth_deg, *_MARGIN_CAP_DEG))


def _rank(tilt: Values, limits: Sequence[Values]) -> NDArray[np.int_]:
    """The number of the class: how many of the limits the tilt passes."""
    return np.asarray(sum(np.asarray(exceeds(tilt, limit), dtype=int) for limit in limits))


class TiltVerdict(NamedTuple):
    """Whether a tilted face serves at a depth, what the tilt costs, and what is left in hand."""

    word: Words
    loss: Values
    left: Values


@formula(
    "hull.tilt_verdict",
    title="Whether a tilted face serves",
    inputs=(
        TILT,
        BEAMWIDTH,
        Number("margin", "dB", -100, 150, "signal excess of a level face at the working depth"),
    ),
    outputs=(
        Output("word", "", "serves or no"),
        Output("loss", "dB", "two-way loss by the tilt over a mirror-like bottom"),
        Output("left", "dB", "margin left"),
    ),
    method="Margin less tilt loss: 0 dB suffices for an acceptable tilt, 10 dB is wanted beyond",
    sources=("common-practice", "kinsler-2000, section 7.4 (pattern of a piston)"),
    accuracy="3 dB, for a tilt known to 1 deg",
    serves="Does this face serve as it stands?",
)
def tilt_verdict(*, tilt_deg: Values, beamwidth_deg: Values, margin_db: Values) -> TiltVerdict:
    r"""Whether a tilted face serves at a boat's working depth, by the margin that is left there.

    .. math:: m - L(t) \ge 0\ \mathrm{or}\ 10

    Notes
    -----
    Two-way loss alone gives a verdict that practice refutes: a flat element on 7 deg of deadrise with a
    12 deg beam loses 8 dB and serves for decades in 3 to 60 m, where 40 dB are to spare. No margin excuses
    a tilt beyond 10 to 12 deg, nor one at which the main lobe misses the bottom straight below. The loss is
    that of ``transducer.tilt_loss`` in its Gaussian form, over a mirror-like bottom: the verdict is the strict
    one of who chooses or sets a face. What a tilt takes from the depth over a real, rough bottom is less, and
    ``echo.budget`` tells it.

    Examples
    --------
    >>> tilt_verdict(tilt_deg=7, beamwidth_deg=12, margin_db=40)
    TiltVerdict(word='serves', loss=8.2, left=31.8)
    """
    loss = tilt_loss(tilt_deg=tilt_deg, beamwidth_deg=beamwidth_deg, method="gaussian")
    sine = np.sin(np.radians(tilt_deg)) / np.sin(np.radians(beamwidth_deg) / 2)
    in_lobe = PISTON_HALF_POWER * sine < PISTON_FIRST_NULL
    left = np.asarray(margin_db - loss)
    limits = tilt_limits(beamwidth_deg=beamwidth_deg)[:3]
    wanted = np.where(_rank(tilt_deg, limits) >= CLASSES.index("only with margin"), MARGIN_DB, 0.0)
    capped = exceeds(tilt_deg, margin_cap(beamwidth_deg))
    word = np.where(~falls_short(left, wanted) & in_lobe & ~capped, "serves", "no")
    return TiltVerdict(word, np.broadcast_to(loss, left.shape), left)


class Mounting(NamedTuple):
    """The class of a mounting by both axes, what decides it, and the two-way loss."""

    word: Words
    reason: Words
    loss: Values
    total: Values


@formula(
    "hull.mounting_class",
    title="Class of a mounting by both axes",
    inputs=(
        Number("athwart", "deg", -45, 45, "athwart tilt"),
        Number("fore_aft", "deg", -45, 45, "fore-and-aft tilt at cruise"),
        Number("athwart_beamwidth", "deg", 0.3, 150, "beam width athwart at half power"),
        Number("fore_aft_beamwidth", "deg", 0.3, 150, "beam width fore-and-aft at half power"),
        FORE_AFT_LIMIT,
    ),
    outputs=(
        Output("word", "", "good, acceptable, only with margin, or no"),
        Output("reason", "", "within limits, athwart, fore-and-aft, or flow"),
        Output("loss", "dB", "two-way loss, Gaussian form"),
        Output("total", "deg", "tilt of the beam axis from the vertical"),
    ),
    method="Loss of the two axes added, mirror-like bottom; the caps of each axis; the limit of the flow",
    sources=("common-practice",),
    accuracy="a tilt within 2 deg of a limit may belong to either class",
    serves="Is this tilt, on both axes together, good enough?",
)
def mounting_class(
    *,
    athwart_deg: Values,
    fore_aft_deg: Values,
    athwart_beamwidth_deg: Values,
    fore_aft_beamwidth_deg: Values,
    fore_aft_limit_deg: Values = FORE_AFT_LIMIT_DEG,
) -> Mounting:
    r"""Class of a mounting from the tilt and the beam width of each axis, with the reason.

    .. math:: L = 24\left[(a/\theta_a)^2 + (b/\theta_b)^2\right]

    Notes
    -----
    A fan beam is judged axis by axis. Its narrow axis is the strict one, for the mirror-like return; depth and
    picture made of scattered sound bear more, to the fore_aft of ``hull.tilt_limits``.

    Examples
    --------
    >>> mounting_class(athwart_deg=2, fore_aft_deg=4, athwart_beamwidth_deg=12, fore_aft_beamwidth_deg=12)
    Mounting(word='only with margin', reason='fore-and-aft', loss=3.3, total=4.47)
    """
    athwart, fore_aft, wide, long, limit = np.broadcast_arrays(
        np.abs(athwart_deg),
        np.abs(fore_aft_deg),
        athwart_beamwidth_deg,
        fore_aft_beamwidth_deg,
        fore_aft_limit_deg,
    )
    parts = (athwart / wide) ** 2, (fore_aft / long) ** 2
    share = np.sqrt(parts[0] + parts[1])
    both = _rank(share, (1 / 4, 1 / 3, 1 / 2))
    of_athwart = _rank(athwart, (_GOOD_CAP_DEG, _ACCEPTABLE_CAP_DEG, margin_cap(wide)))
    of_fore_aft = _rank(fore_aft, (_GOOD_CAP_DEG, _ACCEPTABLE_CAP_DEG, margin_cap(long)))
    flow = exceeds(fore_aft, limit)
    rank = np.maximum.reduce([both, of_athwart, of_fore_aft, np.where(flow, len(CLASSES) - 1, 0)])
    # The axis whose own cap decides, else the one that costs more.
    capped = np.maximum(of_athwart, of_fore_aft) > both
    by_athwart = np.where(capped, of_athwart >= of_fore_aft, parts[0] >= parts[1])
    reason = np.where(rank == 0, "within limits", np.where(by_athwart, "athwart", "fore-and-aft"))
    reason = np.where(flow, "flow", reason)
    loss = tilt_loss(tilt_deg=share, beamwidth_deg=1.0, method="gaussian")
    total = total_tilt(athwart_deg=athwart, fore_aft_deg=fore_aft)
    return Mounting(np.asarray(CLASSES)[rank], reason, loss, total)


class Band(NamedTuple):
    """The deadrises for which an element is made (core) and those that it still serves (tolerable)."""

    element: float
    core: tuple[float, float]
    tolerable: tuple[float, float]


#: The usual three elements; neighbours overlap in the seams at 6 to 8 and 15 to 17 deg.
ELEMENT_BANDS = (
    Band(0.0, (0.0, 6.0), (0.0, 8.0)),
    Band(12.0, (8.0, 15.0), (6.0, 17.0)),
    Band(20.0, (16.0, 24.0), (15.0, 26.0)),
)

#: What to do where no element serves.
INSTEAD = "fairing block, another station, or a transom mount"


class ElementChoice(NamedTuple):
    """The element for a deadrise, how well it fits, what else serves, and the tilt that is left."""

    element: Words
    fit: Words
    also: Words
    athwart: Values
    total: Values
    instead: Words


@formula(
    "hull.element_choice",
    title="Tilted element for a deadrise",
    inputs=(DEADRISE, TRIM, LIST),
    outputs=(
        Output("element", "", "0, 12 or 20 (degrees), or none"),
        Output("fit", "", "core, seam (two serve), edge, or none"),
        Output("also", "", "the other element that serves in a seam"),
        Output("athwart", "deg", "athwart tilt left; with none, that of the steepest element"),
        Output("total", "deg", "tilt left with the running trim"),
        Output("instead", "", "what to do where no element serves"),
    ),
    method="Bands of the usual 0, 12 and 20 deg elements; in a seam the smaller tilt left",
    sources=("common-practice",),
    accuracy="band edges differ by 1 to 2 deg between practices; the tilt left is exact",
)
def element_choice(
    *, deadrise_deg: Values, running_trim_deg: Values = 0.0, list_deg: Values = 0.0
) -> ElementChoice:
    r"""Element of the usual 0, 12 and 20 degree set for a deadrise, and the tilt that it leaves.

    .. math:: \epsilon = \arg\min |\beta - l - \epsilon|

    over the elements whose tolerable band holds the deadrise.

    Notes
    -----
    At an even choice the element in whose core the deadrise lies is taken. Above 26 deg none serves.

    Examples
    --------
    >>> element_choice(deadrise_deg=7)
    ElementChoice(element='12', fit='seam', also='0', athwart=-5.0, total=5.0, instead='')
    """
    rise, trim, leaning = np.broadcast_arrays(deadrise_deg, running_trim_deg, list_deg)
    left = np.stack([rise - leaning - band.element for band in ELEMENT_BANDS])
    serves = np.stack([(band.tolerable[0] <= rise) & (rise <= band.tolerable[1]) for band in ELEMENT_BANDS])
    core = np.stack([(band.core[0] <= rise) & (rise <= band.core[1]) for band in ELEMENT_BANDS])
    cost = np.where(serves, np.abs(left), np.inf)
    none = ~serves.any(axis=0)
    nearest = ~exceeds(cost, cost.min(axis=0))
    central = nearest & core
    best = np.where(central.any(axis=0), np.argmax(central, axis=0), np.argmax(nearest, axis=0))
    chosen = np.where(none, len(ELEMENT_BANDS) - 1, best)
    pick = chosen[np.newaxis]
    athwart = np.take_along_axis(left, pick, axis=0)[0]
    names = np.asarray([f"{band.element:g}" for band in ELEMENT_BANDS])
    second = serves.copy()
    np.put_along_axis(second, pick, False, axis=0)
    seam = second.any(axis=0)
    in_core = np.take_along_axis(core, pick, axis=0)[0]
    return ElementChoice(
        element=np.where(none, "none", names[chosen]),
        fit=np.where(none, "none", np.where(seam, "seam", np.where(in_core, "core", "edge"))),
        also=np.where(seam, names[np.argmax(second, axis=0)], ""),
        athwart=athwart,
        total=total_tilt(athwart_deg=athwart, fore_aft_deg=trim),
        instead=np.where(none, INSTEAD, ""),
    )
