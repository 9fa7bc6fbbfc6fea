"""Volts at the plug under load: what a sound lead leaves, and what a lower reading means.

A modern display holds its power: as the volts fall it draws more. So every band here comes from the unit's power
and *this* lead (its conductor, length and joints), not from a percentage. The margins of the trade are inputs
without a default: the content gives them, and sentence, table and picture then say the same number.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.supply.voltage_drop import (
    NOMINAL_INPUT,
    SOURCE_INPUT,
    feed_inputs,
    plug_voltage_constant_power,
)

#: A system of more than this is two or more twelve-volt blocks in series, V.
ONE_BLOCK_V = 12.0

LOW_LIMIT_INPUT = Number("low_limit", "V", 5.0, 48.0, "Lowest supply volts at which the unit works.")
PLUG_INPUT = Number("plug", "V", 0.0, 60.0, "Volts at the plug, at the same moment.")
POWER_INPUT = Number(
    "unit_power", "W", 0.1, 2000.0, "Power that the unit draws, transmitting, full brightness."
)
BLOCK_INPUT = Number("block", "V", 8.0, 16.0, "Volts of each twelve-volt block under the unit's load.")
WARM_INPUT = Number("warm", "degC", -20.0, 105.0, "Warmest copper of the lead that the limit must allow.")
JOINT_ALLOWANCE_INPUT = Number(
    "joint_allowance", "V", 0.0, 2.0, "Drop above that of a sound warm lead that shows a bad joint."
)
MARGIN_INPUT = Number(
    "low_limit_margin", "V", 0.0, 5.0, "Margin above the low limit below which the supply is convicted."
)
WORKING_DROP_INPUT = Number(
    "working_drop",
    "%",
    0.0,
    50.0,
    "Drop that the standards allow, of nominal; it judges a system above 12 V.",
)
SAME_VOLTS_INPUT = Number("same_volts", "V", 0.0, 1.0, "Two readings count as equal within this.")


def least_at_plug(
    low_limit_v: Values, low_limit_margin_v: Values, nominal_v: Values, working_drop_pct: Values
) -> Values:
    """Volts at the plug below which the supply is convicted.

    On twelve volts the unit's low limit and a margin. A unit that also bears twenty-four volts runs on long after
    such a feed has begun to die, so above twelve volts the nominal volts less the permitted drop judge it.
    """
    return least_of_system(np.asarray(low_limit_v) + low_limit_margin_v, nominal_v, working_drop_pct)


def least_of_system(of_unit_v: Values, nominal_v: Values, working_drop_pct: Values) -> Values:
    """The least volts that a unit asks for [V]; above twelve volts no less than the nominal less the permitted drop."""
    of_system = np.asarray(nominal_v) * (1 - np.asarray(working_drop_pct) / 100)
    result: Values = np.where(
        np.asarray(nominal_v) > ONE_BLOCK_V, np.maximum(of_unit_v, of_system), of_unit_v
    )
    return result


class PlugBands(NamedTuple):
    """Volts at the plug that part the three bands of one lead, and whether the lead can serve at all."""

    expected: Values
    find_joint_below: Values
    convicted_below: Values
    lead: Any


@formula(
    "supply.plug_bands",
    title="Three bands of volts at the plug",
    inputs=(
        BLOCK_INPUT,
        NOMINAL_INPUT,
        POWER_INPUT,
        *feed_inputs("stranded", 20.0, 0.03),
        WARM_INPUT,
        LOW_LIMIT_INPUT,
        JOINT_ALLOWANCE_INPUT,
        MARGIN_INPUT,
        WORKING_DROP_INPUT,
    ),
    outputs=(
        Output("expected", "V", "What a sound lead leaves."),
        Output("find_joint_below", "V", "Below: a bad joint, find it."),
        Output("convicted_below", "V", "Below: the supply is convicted."),
        Output("lead", "", "Whether a sound lead of this size can feed the unit."),
    ),
    method="V = (V_s + sqrt(V_s^2 - 4 P R))/2 with V_s = blocks x volts of a block; the same warm, less the joint's "
    "allowance; low limit + margin, above 12 V at least the nominal less the permitted drop",
    sources=("common-practice", "horowitz-hill-2015, section 1.2", "iec-60228", "nec-table-8"),
    accuracy="0.1 V up to 4 A; the margins are common practice. Heat is computed, the allowance is left for tin, "
    "joints and meter.",
)
def plug_bands(
    *,
    block_v: Values,
    nominal_v: Values = 12.0,
    unit_power_w: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    warm_c: Values,
    low_limit_v: Values,
    joint_allowance_v: Values,
    low_limit_margin_v: Values,
    working_drop_pct: Values,
) -> PlugBands:
    """Volts at the plug that part sound, bad joint and convicted supply for one lead, from its expected drop.

    ``expected`` is the upper root of ``V^2 - V_s V + P R = 0``; a bad joint below that of the warm lead less the
    allowance; convicted below ``V_low`` and its margin.

    Returns
    -------
    PlugBands
        ``expected``, ``find_joint_below``, ``convicted_below`` [V] and ``lead``: ``"serves"`` or ``"too thin"``.

    Raises
    ------
    NoAnswer
        The lead cannot pass the unit's power at all.

    Notes
    -----
    Where the warm lead leaves less than ``convicted_below``, even a sound lead of that size cannot feed the unit
    from that battery. 3 % is a limit of design and no fault limit.

    Examples
    --------
    >>> plug_bands(block_v=12.5, unit_power_w=45.6, length_m=12.0, conductor="1 mm2", contact_ohm=0.04, warm_c=40.0,
    ...            low_limit_v=10.5, joint_allowance_v=0.15, low_limit_margin_v=0.5, working_drop_pct=10.0)
    PlugBands(expected=10.24, find_joint_below=9.87, convicted_below=11.0, lead='too thin')
    """
    source_v = block_v * np.asarray(nominal_v) / ONE_BLOCK_V
    return _bands(
        source_v, nominal_v, unit_power_w, (length_m, conductor, construction, contact_ohm), temperature_c, warm_c,
        low_limit_v, joint_allowance_v, low_limit_margin_v, working_drop_pct,
    )  # fmt: skip


def _bands(source_v: Values, nominal_v: Values, unit_power_w: Values, lead: tuple[Any, ...], temperature_c: Values,
           warm_c: Values, low_limit_v: Values, joint_allowance_v: Values, low_limit_margin_v: Values,
           working_drop_pct: Values) -> PlugBands:  # fmt: skip
    length_m, conductor, construction, contact_ohm = lead

    def left_at(copper_c: Values) -> Values:
        """Volts that the sound lead leaves with its copper at this temperature."""
        return plug_voltage_constant_power(
            source_v=source_v, power_w=unit_power_w, length_m=length_m, conductor=conductor, construction=construction,
            temperature_c=copper_c, contact_ohm=contact_ohm,
        ).voltage  # fmt: skip

    warm = left_at(warm_c)
    convicted = least_at_plug(low_limit_v, low_limit_margin_v, nominal_v, working_drop_pct)
    words = np.where(np.asarray(warm) < convicted, "too thin", "serves")
    return PlugBands(*np.broadcast_arrays(left_at(temperature_c), warm - joint_allowance_v, convicted, words))


class PlugVerdict(NamedTuple):
    """What a pair of readings means, with the drop and how much of it is not the copper's."""

    verdict: Any
    drop: Values
    excess: Values


@formula(
    "supply.plug_verdict",
    title="Verdict on volts measured at battery and plug",
    inputs=(
        SOURCE_INPUT,
        PLUG_INPUT,
        NOMINAL_INPUT,
        POWER_INPUT,
        *feed_inputs("stranded", 20.0, 0.03),
        WARM_INPUT,
        LOW_LIMIT_INPUT,
        JOINT_ALLOWANCE_INPUT,
        MARGIN_INPUT,
        WORKING_DROP_INPUT,
        SAME_VOLTS_INPUT,
    ),
    outputs=(
        Output("verdict", "", "What the readings mean."),
        Output("drop", "V", "Measured drop."),
        Output("excess", "V", "Drop beyond that of a sound warm lead."),
    ),
    method="The bands of supply.plug_bands from the measured battery volts, and where the plug volts lie in them",
    sources=("common-practice", "horowitz-hill-2015, section 1.2", "iec-60228", "nec-table-8"),
    accuracy="Decides to 0.1 V; the thresholds are common practice.",
    serves="Who is at fault: joint, lead or battery?",
)
def plug_verdict(
    *,
    source_v: Values,
    plug_v: Values,
    nominal_v: Values = 12.0,
    unit_power_w: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    warm_c: Values,
    low_limit_v: Values,
    joint_allowance_v: Values,
    low_limit_margin_v: Values,
    working_drop_pct: Values,
    same_volts_v: Values,
) -> PlugVerdict:
    """Meaning of the volts at battery and plug under load, by the bands of this lead.

    A plug below the warm lead's volts and the joint's allowance is a bad joint; below the least that is wanted at
    the plug the supply is convicted.

    Returns
    -------
    PlugVerdict
        ``verdict`` (one of ``"as expected"``, ``"bad joint: find it"``, ``"supply convicted: bad joint"``,
        ``"supply convicted: lead too thin"``, ``"supply convicted: battery low"``, ``"readings do not
        agree"``), ``drop`` [V] and ``excess`` [V].

    Notes
    -----
    The difference judges the lead, the absolute volts judge the battery. A steady meter clears the average
    only: dips of some milliseconds that restart a unit are found with a fused battery on a short lead
    instead.

    Examples
    --------
    >>> plug_verdict(source_v=12.6, plug_v=11.4, unit_power_w=48.0, length_m=6.0, conductor="16 AWG", warm_c=40.0,
    ...              low_limit_v=10.0, joint_allowance_v=0.15, low_limit_margin_v=0.5, working_drop_pct=10.0,
    ...              same_volts_v=0.05)
    PlugVerdict(verdict='bad joint: find it', drop=1.2, excess=0.368)
    """
    bands = _bands(
        source_v, nominal_v, unit_power_w, (length_m, conductor, construction, contact_ohm), temperature_c, warm_c,
        low_limit_v, joint_allowance_v, low_limit_margin_v, working_drop_pct,
    )  # fmt: skip
    drop = np.asarray(source_v - plug_v)
    excess = bands.find_joint_below + joint_allowance_v - plug_v
    low, joint = np.asarray(plug_v) < bands.convicted_below, np.asarray(plug_v) < bands.find_joint_below
    verdict = np.select(
        [drop < -np.asarray(same_volts_v), low & joint, low & (np.asarray(source_v) < bands.convicted_below), low,
         joint],
        [
            "readings do not agree",
            "supply convicted: bad joint",
            "supply convicted: battery low",
            "supply convicted: lead too thin",
            "bad joint: find it",
        ],
        "as expected",
    )  # fmt: skip
    return PlugVerdict(*np.broadcast_arrays(verdict, drop, excess))


@formula(
    "supply.lead_drop_limit",
    title="Greatest drop of any sound lead under its unit",
    inputs=(
        Number("current", "A", 0.05, 100.0, "Current of the unit at its nominal volts, by its data."),
        BLOCK_INPUT,
        NOMINAL_INPUT,
        *feed_inputs("stranded", 20.0, 0.03),
        JOINT_ALLOWANCE_INPUT,
    ),
    outputs=(Output("drop", "V", "Battery less plug, no more."),),
    method="V_s less the upper root of V^2 - V_s V + P R = 0 with P = I V_nominal, plus the joint's allowance",
    sources=("common-practice", "horowitz-hill-2015, section 1.2", "iec-60228", "nec-table-8"),
    accuracy="0.1 V up to 5 A; more than this is a bad joint, or a lead of another size than thought.",
)
def lead_drop_limit(
    *,
    current_a: Values,
    block_v: Values,
    nominal_v: Values = 12.0,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    joint_allowance_v: Values,
) -> Values:
    """Greatest difference from battery to plug that a sound lead shows under its unit, the joints' allowance added.

    Raises
    ------
    NoAnswer
        The lead cannot pass the unit's power at all.

    Notes
    -----
    For a boat that no table names. On twenty-four volts the same unit draws half the amperes.

    Examples
    --------
    >>> lead_drop_limit(current_a=3.0, block_v=12.2, length_m=5.0, conductor="1.5 mm2", temperature_c=40.0,
    ...                 contact_ohm=0.04, joint_allowance_v=0.15)
    0.718
    """
    source_v = block_v * np.asarray(nominal_v) / ONE_BLOCK_V
    left = plug_voltage_constant_power(
        source_v=source_v, power_w=current_a * np.asarray(nominal_v), length_m=length_m, conductor=conductor,
        construction=construction, temperature_c=temperature_c, contact_ohm=contact_ohm,
    ).voltage  # fmt: skip
    result: Values = source_v - left + joint_allowance_v
    return result
