"""Batteries: rest volts and state of charge, condition by one reading, and the window against the unit's.

12 V lead-acid batteries have a rest voltage that tells their charge; lithium iron phosphate has a plateau
that does not, and the formulas refuse to infer from it. A 24 V system is two equal blocks: measure each.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short

#: State of charge, %, of the rows below.
CHARGE_PCT = (0.0, 25.0, 50.0, 75.0, 100.0)
#: Rest volts of a flooded 12 V battery at 26.7 degC, by those rows (BCI).
FLOODED_V = (11.89, 12.06, 12.24, 12.45, 12.65)
#: AGM stands above flooded by this much (common practice; published tables spread 12.7 to 13.2 V for full).
AGM_ABOVE_FLOODED_V = 0.1
#: State of charge, %, and rest volts of four lithium iron phosphate cells (from memory, +-0.15 V).
IRON_PHOSPHATE_PCT = (0.0, 10.0, 20.0, 30.0, 50.0, 70.0, 90.0, 100.0)
IRON_PHOSPHATE_V = (10.5, 12.6, 12.85, 12.95, 13.15, 13.25, 13.35, 13.5)
#: Between these rest volts a lithium iron phosphate battery may hold anything from a fifth to nine tenths.
PLATEAU_V = (12.70, 13.50)
#: Rest volts may stand this much above the table's full value on a sound full battery.
FULL_SPREAD_V = 0.10

CHEMISTRIES = ("flooded", "AGM", "LFP")
BLOCKS = {"12 V": 1, "24 V": 2, "36 V": 3}
CHEMISTRY_INPUT = Choice(
    "chemistry", CHEMISTRIES, "Flooded lead-acid, absorbed glass mat, or lithium iron phosphate."
)
SYSTEM_INPUT = Choice(
    "system", tuple(BLOCKS), "Nominal voltage: one, two or three 12 V blocks.", default="12 V"
)


def _charge_table(chemistry: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Percent and volts of one 12 V block."""
    if chemistry == "LFP":
        return IRON_PHOSPHATE_PCT, IRON_PHOSPHATE_V
    raised = AGM_ABOVE_FLOODED_V if chemistry == "AGM" else 0.0
    return CHARGE_PCT, tuple(volts + raised for volts in FLOODED_V)


@formula(
    "supply.rest_voltage",
    title="Rest volts of a battery by state of charge",
    inputs=(
        Number("charge", "%", 0.0, 100.0, "State of charge."),
        CHEMISTRY_INPUT,
        SYSTEM_INPUT,
    ),
    outputs=(Output("voltage", "V", "Rest volts."),),
    method="Linear between the rows of the table of that chemistry, times the number of 12 V blocks",
    sources=("bci-battery-table", "common-practice"),
    accuracy="Flooded 0.05 V at 27 degC; AGM 0.1 to 0.4 V by make; LFP 0.15 V (from memory).",
)
def rest_voltage(*, charge_pct: Values, chemistry: str, system: str = "12 V") -> Values:
    """Rest volts of a battery of known charge, by interpolating the table of its chemistry.

    Returns
    -------
    float or array
        Rest volts, 8 to 24 h after charge or load [V].

    Notes
    -----
    No charger, no load, surface charge gone. A cold battery reads a little less.

    Examples
    --------
    >>> rest_voltage(charge_pct=75.0, chemistry="flooded")
    12.45
    >>> rest_voltage(charge_pct=100.0, chemistry="flooded", system="24 V")
    25.3
    """
    percent, volts = _charge_table(chemistry)
    return np.interp(charge_pct, percent, volts) * BLOCKS[system]


@formula(
    "supply.state_of_charge",
    title="State of charge from rest volts",
    inputs=(Number("rest", "V", 5.0, 48.0, "Volts of the battery at rest."), CHEMISTRY_INPUT, SYSTEM_INPUT),
    outputs=(Output("charge", "%", "State of charge."),),
    method="Inverse of supply.rest_voltage; refused where volts tell nothing",
    sources=("bci-battery-table", "common-practice"),
    accuracy="Lead-acid 10 % at best; LFP only near empty or full.",
    serves="How full is a battery at rest at these volts?",
)
def state_of_charge(*, rest_v: Values, chemistry: str, system: str = "12 V") -> Values:
    """State of charge that a rest voltage means, by inverting the table where it can be inverted.

    Linear between the rows of the table; refused on the plateau of lithium iron phosphate.

    Raises
    ------
    NoAnswer
        The volts lie on the plateau of LFP, above full (surface charge or a charger), or below empty (flat, a
        dead cell, or the pack's protection has opened).

    Notes
    -----
    Up to 0.1 V above the table's full value counts as full: that is the spread between makes.

    Examples
    --------
    >>> state_of_charge(rest_v=12.24, chemistry="flooded")
    50.0
    """
    percent, volts = _charge_table(chemistry)
    block = np.asarray(rest_v) / BLOCKS[system]
    if chemistry == "LFP" and np.any((block > PLATEAU_V[0]) & (block < PLATEAU_V[1])):
        raise NoAnswer(
            "rest volts between 12.7 and 13.5 V tell nothing about a lithium iron phosphate battery: count "
            "ampere-hours, or load it and see"
        )
    if np.any(exceeds(block, volts[-1] + FULL_SPREAD_V)):
        raise NoAnswer("above the full rest voltage: a charger is on, or the surface charge has not gone")
    if np.any(falls_short(block, volts[0])):
        raise NoAnswer("below the empty rest voltage: flat, a dead cell, or the pack's protection is open")
    result: Values = np.interp(block, volts, percent)
    return result


@formula(
    "supply.rest_voltage_from_gravity",
    title="Rest volts from the acid's specific gravity",
    inputs=(
        Number("specific_gravity", "1", 1.05, 1.35, "Specific gravity of the electrolyte."),
        SYSTEM_INPUT,
    ),
    outputs=(Output("voltage", "V", "Rest volts."),),
    method="V = 6 (SG + 0.84) per 12 V block",
    sources=("bci-battery-table",),
    accuracy="0.03 V near full, 0.13 V low at empty against the BCI table.",
    serves="What rest volts go with this hydrometer reading?",
)
def rest_voltage_from_gravity(*, specific_gravity: Values, system: str = "12 V") -> Values:
    """Rest volts of a flooded battery from its specific gravity, by the rule of SG + 0.84 V per cell.

    Notes
    -----
    A cell that differs by more than 0.05 from the others is failing (common practice).

    Examples
    --------
    >>> rest_voltage_from_gravity(specific_gravity=1.265)
    12.63
    """
    return 6 * (specific_gravity + 0.84) * BLOCKS[system]


@formula(
    "supply.battery_verdict",
    title="Verdict on a battery from one reading",
    inputs=(
        Number("battery", "V", 0.0, 60.0, "Volts at the battery terminals."),
        CHEMISTRY_INPUT,
        Choice("state", ("rested", "lights on", "engine running"), "State in which it was read."),
        SYSTEM_INPUT,
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="Thresholds of practice by chemistry and state, per 12 V block",
    sources=("common-practice", "bci-battery-table"),
    accuracy="Thresholds are common practice; 0.1 V.",
    serves="What does this battery reading mean?",
)
def battery_verdict(*, battery_v: Values, chemistry: str, state: str, system: str = "12 V") -> Any:
    """Meaning of one reading at the battery terminals, by the thresholds of practice for its state.

    Thresholds per 12 V block; see the table in the module.

    Returns
    -------
    str or array of str
        At rest or with lights on ``"fit to test with"``, ``"weak: charge and repeat"``, ``"flat: charge, find
        why"``, ``"protection open or dead"`` or ``"charger on or over-voltage"``; running ``"charging"``,
        ``"charging poorly"``, ``"not charging"``, ``"high: look"`` or ``"over-voltage"``.

    Notes
    -----
    Nearly 0 V on a lithium battery is its protection, not a flat cell: it revives when a charger is
    connected.

    Examples
    --------
    >>> battery_verdict(battery_v=12.3, chemistry="flooded", state="lights on")
    'fit to test with'
    >>> battery_verdict(battery_v=15.3, chemistry="flooded", state="engine running")
    'over-voltage'
    """
    block = np.asarray(battery_v) / BLOCKS[system]
    if state == "engine running":
        return np.select(
            [
                exceeds(block, 15.0),
                exceeds(block, 14.6),
                ~falls_short(block, 13.6),
                ~falls_short(block, 12.5),
            ],
            ["over-voltage", "high: look", "charging", "charging poorly"],
            "not charging",
        )
    fit, flat, high = VERDICT_V[chemistry, state]
    return np.select(
        [exceeds(block, high), *(~falls_short(block, least) for least in (fit, flat, 8.0))],
        [
            "charger on or over-voltage",
            "fit to test with",
            "weak: charge and repeat",
            "flat: charge, find why",
        ],
        "protection open or dead",
    )


#: Per 12 V block: fit from, flat below, and a charger or over-voltage above (common practice).
VERDICT_V = {
    ("flooded", "rested"): (12.5, 11.8, 12.9),
    ("AGM", "rested"): (12.6, 11.9, 13.2),
    ("LFP", "rested"): (12.8, 12.0, 13.8),
    ("flooded", "lights on"): (12.2, 11.8, 12.9),
    ("AGM", "lights on"): (12.2, 11.8, 13.2),
    ("LFP", "lights on"): (12.8, 12.0, 13.8),
}

#: Lowest under load and highest on charge, V, of whole packs (common practice; cell limits from memory).
WINDOW_V = {
    "flooded 12 V": (11.8, 14.8),
    "AGM 12 V": (11.8, 14.7),
    "LFP 4 cells": (10.0, 14.6),
    "lithium-ion 3 cells": (9.0, 12.6),
    "lithium-ion 4 cells": (12.0, 16.8),
    "flooded 24 V": (23.6, 29.6),
    "AGM 24 V": (23.6, 29.4),
    "LFP 8 cells": (20.0, 29.2),
}


class WindowFit(NamedTuple):
    """How a battery's span of volts fits the span that a unit accepts."""

    low_margin: Values
    high_margin: Values
    verdict: Any


@formula(
    "supply.battery_window",
    title="Battery's span of volts against the unit's",
    inputs=(
        Choice("pack", tuple(WINDOW_V), "Kind of battery."),
        Number("low_limit", "V", 5.0, 48.0, "Lowest supply volts at which the unit works."),
        Number("high_limit", "V", 8.0, 60.0, "Highest supply volts that the unit accepts."),
        Number("drop", "V", 0.0, 5.0, "Drop of the lead at the unit's current.", default=0.0),
    ),
    outputs=(
        Output("low_margin", "V", "Empty battery less drop, above the low limit."),
        Output("high_margin", "V", "High limit above the charging battery."),
        Output("verdict", "", "Whether both ends fit."),
    ),
    method="low = V_empty - dV - V_low; high = V_high - V_charging",
    sources=("common-practice",),
    accuracy="0.2 V; pack limits are common practice.",
)
def battery_window(
    *, pack: str, low_limit_v: Values, high_limit_v: Values, drop_v: Values = 0.0
) -> WindowFit:
    """Margins of a battery's whole span of volts inside a unit's, at the empty and at the charging end.

    Returns
    -------
    WindowFit
        ``low_margin`` [V], ``high_margin`` [V] and ``verdict``: ``"fits"``, ``"too low when nearly empty"``,
        ``"too high when full or charging"`` or ``"fits at neither end"``.

    Notes
    -----
    A full pack of four lithium-ion cells stands at 16.8 V: over-voltage for some 12 V units. Three such cells
    sag under 10.5 V with a third of their charge left.

    Examples
    --------
    >>> battery_window(pack="lithium-ion 4 cells", low_limit_v=10.0, high_limit_v=16.0)
    WindowFit(low_margin=2.0, high_margin=-0.8, verdict='too high when full or charging')
    """
    lowest, highest = WINDOW_V[pack]
    low, high = np.broadcast_arrays(
        lowest - drop_v - np.asarray(low_limit_v), np.asarray(high_limit_v) - highest
    )
    verdict = np.select(
        [(low < 0) & (high < 0), low < 0, high < 0],
        ["fits at neither end", "too low when nearly empty", "too high when full or charging"],
        "fits",
    )
    return WindowFit(low, high, verdict)


class BlockBalance(NamedTuple):
    """Difference of the two blocks of a 24 V battery, and what it means."""

    difference: Values
    verdict: Any


@formula(
    "supply.block_balance",
    title="Balance of the two blocks of a 24 V battery",
    inputs=(
        Number("upper", "V", 5.0, 17.0, "Block at the positive end, at rest."),
        Number("lower", "V", 5.0, 17.0, "Block at the negative end, at rest."),
    ),
    outputs=(
        Output("difference", "V", "Upper less lower."),
        Output("verdict", "", "What the difference means."),
    ),
    method="dV = V_upper - V_lower; equal within 0.2 V",
    sources=("common-practice",),
    accuracy="The 0.2 V (about a quarter of the charge) is common practice.",
    serves="Are the two blocks of this 24 V battery equal?",
)
def block_balance(*, upper_v: Values, lower_v: Values) -> BlockBalance:
    """Difference of the two 12 V blocks of a 24 V battery, and whether one of them is being tapped or
    failing.

    Notes
    -----
    A 12 V unit tapped from one block unbalances a series battery and puts the unit's negative at the wrong
    potential.

    Examples
    --------
    >>> block_balance(upper_v=12.7, lower_v=12.2)
    BlockBalance(difference=0.5, verdict='lower block drained: is 12 V tapped from it?')
    """
    difference = np.asarray(upper_v - lower_v)
    verdict = np.select(
        [exceeds(difference, 0.2), falls_short(difference, -0.2)],
        ["lower block drained: is 12 V tapped from it?", "upper block drained or failing"],
        "equal",
    )
    return BlockBalance(difference, verdict)
