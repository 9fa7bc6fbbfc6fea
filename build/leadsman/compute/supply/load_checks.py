"""A known load on the lead: the lamp at the parted plug, the loop that it measures, the legs and joints."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.supply.plug_checks import (
    JOINT_ALLOWANCE_INPUT,
    ONE_BLOCK_V,
    PLUG_INPUT,
    POWER_INPUT,
    SAME_VOLTS_INPUT,
)
from leadsman.compute.supply.voltage_drop import NOMINAL_INPUT, SOURCE_INPUT, feed_inputs, loop_resistance

#: Drop for which a lead of a critical circuit is sized, of nominal (ABYC E-11, from memory) [%].
DESIGN_DROP_PCT = 3.0


class LampTest(NamedTuple):
    """Limits of the lamp test at the parted plug."""

    drop_limit: Values
    loop_limit: Values
    design_loop: Values


@formula(
    "supply.lamp_test",
    title="Limits of the lamp test at the parted plug",
    inputs=(
        *feed_inputs("stranded", 20.0, 0.03),
        POWER_INPUT,
        Number(
            "lamp_current",
            "A",
            0.1,
            20.0,
            "Greatest current of the lamp for twelve volts: 21 W draws 1.75 A at 12 V.",
        ),
        NOMINAL_INPUT,
        Number(
            "design_drop",
            "%",
            0.1,
            20.0,
            "Drop for which a new lead is sized, of nominal.",
            default=DESIGN_DROP_PCT,
        ),
        JOINT_ALLOWANCE_INPUT,
    ),
    outputs=(
        Output("drop_limit", "V", "Battery minus plug may be no more, lamp lit."),
        Output("loop_limit", "ohm", "The same as loop resistance."),
        Output("design_loop", "ohm", "Loop that keeps the design drop under the unit."),
    ),
    method="dV = I_lamp R_loop + the joint's allowance; R = dV/I_lamp; R_design = p V_nominal^2 / P; a lamp of the same "
    "watts draws half on 24 V",
    sources=("common-practice", "iec-60228", "nec-table-8"),
    accuracy="0.05 V; the allowance is common practice.",
)
def lamp_test(
    *,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    unit_power_w: Values,
    lamp_current_a: Values,
    nominal_v: Values = 12.0,
    design_drop_pct: Values = DESIGN_DROP_PCT,
    joint_allowance_v: Values,
) -> LampTest:
    """Greatest drop and loop resistance that a sound lead shows with a lamp as load, from the lead's own
    resistance.

    Notes
    -----
    A dead unit draws nothing, so the lamp supplies the load. Petrol vapour: a lamp lead sparks; see the
    cautions.

    Examples
    --------
    >>> lamp_test(length_m=6.0, conductor="16 AWG", unit_power_w=36.0, lamp_current_a=1.75, design_drop_pct=3.0,
    ...           joint_allowance_v=0.15)
    LampTest(drop_limit=0.485, loop_limit=0.277, design_loop=0.12)
    """
    loop = loop_resistance(
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    lamp = lamp_current_a * ONE_BLOCK_V / np.asarray(nominal_v)
    drop_limit = lamp * loop + joint_allowance_v
    design = design_drop_pct / 100 * np.asarray(nominal_v) ** 2 / unit_power_w
    return LampTest(*np.broadcast_arrays(drop_limit, drop_limit / lamp, design))


@formula(
    "supply.measured_loop",
    title="Loop resistance from a drop under load",
    inputs=(
        SOURCE_INPUT,
        PLUG_INPUT,
        Number("current", "A", 0.1, 100.0, "Current of the load."),
        SAME_VOLTS_INPUT,
    ),
    outputs=(Output("resistance", "ohm", "Loop resistance."),),
    method="R = (V_s - V_plug) / I",
    sources=("horowitz-hill-2015, section 1.2",),
    accuracy="0.02 ohm with a meter of 0.01 V and a load of 1 A or more.",
    serves="What is the resistance of this lead, from a drop under load?",
)
def measured_loop(*, source_v: Values, plug_v: Values, current_a: Values, same_volts_v: Values) -> Values:
    """Loop resistance of a lead from the volts at both ends under a known load, by Ohm's law.

    Raises
    ------
    NoAnswer
        The plug reads higher than the battery: the readings are not of one moment, or a charger feeds the
        plug side.

    Notes
    -----
    Record it for a hand-over; compare it with :func:`lamp_test`.

    Examples
    --------
    >>> measured_loop(source_v=12.6, plug_v=12.1, current_a=1.75, same_volts_v=0.05)
    0.286
    """
    if np.any(np.asarray(plug_v - source_v) > same_volts_v):
        raise NoAnswer("the plug reads higher than the battery: take both readings at one moment")
    return (source_v - plug_v) / current_a


class LegLimit(NamedTuple):
    """Greatest drop of one leg of a lead and of one joint in it."""

    leg: Values
    joint: Values


@formula(
    "supply.leg_limit",
    title="Greatest drop of one leg and of one joint",
    inputs=(
        Number("drop_limit", "V", 0.0, 5.0, "Greatest drop of the whole lead under this load."),
        Number("current", "A", 0.1, 5.0, "Load during the measurement."),
        Number("joint_drop", "V", 0.0, 1.0, "Greatest drop across one sound joint under the unit's load."),
        Number("leg_share", "%", 50.0, 100.0, "Greatest share of the lead's limit that one leg may take."),
    ),
    outputs=(
        Output("leg", "V", "Positive or negative leg, no more."),
        Output("joint", "V", "One fuse-holder, switch or crimp, no more."),
    ),
    method="leg = share of the lead's limit; joint = the joint drop at 2 A and more, in proportion below",
    sources=("common-practice",),
    accuracy="Common practice; 0.01 V meter resolution.",
    serves="How much may one leg and one joint drop?",
)
def leg_limit(
    *, drop_limit_v: Values, current_a: Values, joint_drop_v: Values, leg_share_pct: Values
) -> LegLimit:
    """Greatest drop of one leg of a lead and of one joint, by sharing the lead's limit and by the
    trade's rule.

    ``leg = share x dV``; ``joint = joint drop x min(1, I / 2 A)``.

    Notes
    -----
    A holder is judged by its volts: its fuse warms a sound one too.

    Examples
    --------
    >>> leg_limit(drop_limit_v=0.48, current_a=1.75, joint_drop_v=0.05, leg_share_pct=75.0)
    LegLimit(leg=0.36, joint=0.0438)
    """
    joint = joint_drop_v * np.minimum(1.0, np.asarray(current_a) / 2.0)
    return LegLimit(*np.broadcast_arrays(np.asarray(drop_limit_v) * leg_share_pct / 100, joint))
