"""The element pair at the transducer's plug: capacitance of element and cable, and where a cable is broken.

A piezoceramic element is a capacitor: an ohmmeter shows open on a good one, and a few ohms on a good one that
is tuned by a built-in transformer. So the element pair is measured in nanofarads, less the cable's own. Power
off, plug apart, and the pair shorted for a second before it is touched or measured.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds

#: Capacitance of transducer cable between its pair, pF/m, and its spread: 80 to 150 (common practice).
CABLE_PF_PER_M = 115.0
CABLE_SPREAD_PCT = 30.0
#: Below this a meter with its leads reads nothing, nF.
NOTHING_NF = 0.05

READING_INPUT = Number("reading", "nF", 0.0, 200.0, "Capacitance between the pins of the pair.")
CABLE_LENGTH_INPUT = Number("cable_length", "m", 0.0, 60.0, "Length of cable from plug to transducer.")
CABLE_INPUT = Number(
    "cable", "pF/m", 20.0, 300.0, "Capacitance of the cable between its pair.", default=CABLE_PF_PER_M
)
CABLE_SPREAD_INPUT = Number(
    "cable_spread", "%", 1.0, 60.0, "Doubt about it: 30 for an unknown cable.", default=CABLE_SPREAD_PCT
)
TUNED_INPUT = Choice("tuned", ("no", "yes"), "Whether a transformer or coil is built in.", default="no")
TOLERANCE_INPUT = Number("tolerance", "%", 1.0, 50.0, "Permitted deviation.", default=20.0)


class ElementCapacitance(NamedTuple):
    """Capacitance of the element alone: best estimate and its bounds."""

    element: Values
    least: Values
    greatest: Values


@formula(
    "sensors.element_capacitance",
    title="Capacitance of the element less its cable",
    inputs=(READING_INPUT, CABLE_LENGTH_INPUT, CABLE_INPUT, CABLE_SPREAD_INPUT),
    outputs=(
        Output("element", "nF", "Element, cable at the middle of its band."),
        Output("least", "nF", "Element, cable at its greatest."),
        Output("greatest", "nF", "Element, cable at its least."),
    ),
    method="C_element = C_reading - c l",
    sources=("common-practice", "ieee-176, element far below resonance"),
    accuracy="Half the band of the cable, 0.035 nF for each metre, and the meter's 2 to 5 %.",
    serves="What does the element read without its cable?",
)
def element_capacitance(
    *,
    reading_nf: Values,
    cable_length_m: Values,
    cable_pf_per_m: Values = CABLE_PF_PER_M,
    cable_spread_pct: Values = CABLE_SPREAD_PCT,
) -> ElementCapacitance:
    """Capacitance of a transducer element from the reading at its plug, by taking the cable's own off.

    Raises
    ------
    NoAnswer
        The reading is no more than the cable alone: the element is not connected to this plug.

    Notes
    -----
    A meter measures at about 1 kHz, far below resonance, where the element is a plain capacitor.

    Examples
    --------
    >>> element_capacitance(reading_nf=3.2, cable_length_m=8.0)
    ElementCapacitance(element=2.28, least=2.0, greatest=2.56)
    """
    least_per_m, greatest_per_m = _cable_bounds(cable_pf_per_m, cable_spread_pct)
    low, high = least_per_m * cable_length_m, greatest_per_m * cable_length_m
    if np.any(np.asarray(reading_nf - low) <= 0):
        raise NoAnswer("the reading is no more than the cable alone: no element is connected to these pins")
    # The cable cannot hold more than was read, so the element's least is nothing, not less.
    return ElementCapacitance(
        np.maximum(reading_nf - (low + high) / 2, 0.0), np.maximum(reading_nf - high, 0.0), reading_nf - low
    )


def _cable_bounds(pf_per_m: Values, spread_pct: Values) -> tuple[Values, Values]:
    """Least and greatest capacitance of the cable, nF/m."""
    share = np.asarray(spread_pct) / 100
    return pf_per_m * (1 - share) / 1000, pf_per_m * (1 + share) / 1000


class CableBreak(NamedTuple):
    """Where along a cable a break may lie, measured from the plug."""

    nearest: Values
    farthest: Values


@formula(
    "sensors.cable_break",
    title="Distance to a break in the transducer cable",
    inputs=(READING_INPUT, CABLE_LENGTH_INPUT, CABLE_INPUT, CABLE_SPREAD_INPUT),
    outputs=(
        Output("nearest", "m", "Nearest place from the plug."),
        Output("farthest", "m", "Farthest place from the plug."),
    ),
    method="l = C / c, with the greatest and the least capacitance of the cable",
    sources=("common-practice",),
    accuracy="The band itself: about -25 to +45 % of the middle.",
)
def cable_break(
    *,
    reading_nf: Values,
    cable_length_m: Values,
    cable_pf_per_m: Values = CABLE_PF_PER_M,
    cable_spread_pct: Values = CABLE_SPREAD_PCT,
) -> CableBreak:
    """Length of cable that is still connected to the plug, from the capacitance that is left.

    Returns
    -------
    CableBreak
        ``nearest`` and ``farthest`` [m]; both at the cable's length mean a break at the transducer.

    Raises
    ------
    NoAnswer
        More capacitance than the whole cable has: the element is still connected, or the cable is wet.

    Notes
    -----
    Known for that cable, from its data or measured on a sound one, the value narrows the place: spread 10 %.

    Examples
    --------
    >>> cable_break(reading_nf=0.4, cable_length_m=8.0)
    CableBreak(nearest=2.67, farthest=5.0)
    """
    least_per_m, greatest_per_m = _cable_bounds(cable_pf_per_m, cable_spread_pct)
    nearest = np.asarray(reading_nf) / greatest_per_m
    if np.any(exceeds(nearest, cable_length_m)):
        raise NoAnswer(
            "that is more than the whole cable has: the element is still connected, or the cable is wet"
        )
    farthest = np.minimum(np.asarray(reading_nf) / least_per_m, cable_length_m)
    return CableBreak(*np.broadcast_arrays(nearest, farthest))


@formula(
    "sensors.element_verdict",
    title="Verdict on the capacitance of an element pair",
    inputs=(
        READING_INPUT,
        Number("expected", "nF", 0.1, 100.0, "Element's own capacitance, from its pin table."),
        CABLE_LENGTH_INPUT,
        TUNED_INPUT,
        TOLERANCE_INPUT,
        CABLE_INPUT,
        CABLE_SPREAD_INPUT,
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="Reading against nothing, the cable alone, and expected +- tolerance + cable",
    sources=("common-practice", "ieee-176"),
    accuracy="Parts element from cable where the element exceeds the cable's band; 20 % is common practice.",
    serves="What do these nanofarads across the element pair mean?",
)
def element_verdict(
    *,
    reading_nf: Values,
    expected_nf: Values,
    cable_length_m: Values,
    tuned: str = "no",
    tolerance_pct: Values = 20.0,
    cable_pf_per_m: Values = CABLE_PF_PER_M,
    cable_spread_pct: Values = CABLE_SPREAD_PCT,
) -> Any:
    """Meaning of the capacitance between the element pins, by comparing it with cable and element.

    Sound within ``C_expected (1 -+ t) + c l``; cable-only readings are a break at the transducer, nothing is
    one at the plug.

    Returns
    -------
    str or array of str
        ``"sound"``, ``"open at the plug"``, ``"open along the cable"``, ``"open at the transducer"``,
        ``"low: cracked or part of the element lost"`` or ``"high: wet, wrong pair or another element"``.

    Raises
    ------
    NoAnswer
        The element is tuned, so a capacitance meter reads its coil; or the element is smaller than the doubt
        about the cable, so a reading cannot part them.

    Notes
    -----
    A sound capacitance clears the element electrically; its face can still be dead.

    Examples
    --------
    >>> element_verdict(reading_nf=3.2, expected_nf=2.2, cable_length_m=8.0)
    'sound'
    >>> element_verdict(reading_nf=0.9, expected_nf=2.2, cable_length_m=8.0)
    'open at the transducer'
    """
    if tuned == "yes":
        raise NoAnswer(
            "a capacitance meter reads the coil of a tuned element: measure ohms of the pair and insulation instead"
        )
    least_per_m, greatest_per_m = _cable_bounds(cable_pf_per_m, cable_spread_pct)
    cable_low, cable_high = least_per_m * cable_length_m, greatest_per_m * cable_length_m
    least = expected_nf * (1 - np.asarray(tolerance_pct) / 100) + cable_low
    greatest = expected_nf * (1 + np.asarray(tolerance_pct) / 100) + cable_high
    if not np.all(exceeds(least, cable_high)):
        raise NoAnswer(
            "the element is no larger than the doubt about so long a cable: compare with a sound one of its kind"
        )
    reading = np.asarray(reading_nf)
    return np.select(
        [
            (reading < np.minimum(NOTHING_NF, cable_low)) | (reading == 0),
            reading < cable_low,
            reading <= cable_high,
            reading < least,
            reading <= greatest,
        ],
        [
            "open at the plug",
            "open along the cable",
            "open at the transducer",
            "low: cracked or part of the element lost",
            "sound",
        ],
        "high: wet, wrong pair or another element",
    )
