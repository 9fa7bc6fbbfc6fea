"""The supply ladder: what each measurement on a boat's lead should read, and what the reading means.

P0 the unit's own readout, P1 a lamp at the parted plug, P2 the plug under load, P3 the legs and joints,
P4 cranking. Limits come from *this* lead (its conductor, length and load), not from a percentage.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.supply.voltage_drop import (
    CURRENT_INPUT,
    NOMINAL_INPUT,
    SOURCE_INPUT,
    feed_inputs,
    loop_resistance,
    plug_voltage,
)

#: Drop beyond the expected that means a bad joint, V (common practice).
BAD_JOINT_V = 0.15
#: Margin over the unit's lowest volts under which the supply is convicted, V (common practice).
CONVICTION_MARGIN_V = 0.5
#: Margin over the unit's lowest volts wanted on its own readout, which stands a little low, V (common practice).
READOUT_MARGIN_V = 1.0
#: Readings at battery and plug that differ by less in the wrong direction are one and the same, V.
METER_SPREAD_V = 0.05

LOW_LIMIT_INPUT = Number("low_limit", "V", 5.0, 48.0, "Lowest supply volts at which the unit works.")
PLUG_INPUT = Number("plug", "V", 0.0, 60.0, "Volts at the plug, at the same moment.")


class PlugBands(NamedTuple):
    """Volts at the plug that part the three bands of one lead."""

    expected: Values
    find_joint_below: Values
    convicted_below: Values


@formula(
    "supply.plug_bands",
    title="Three bands of volts at the plug",
    inputs=(SOURCE_INPUT, CURRENT_INPUT, *feed_inputs("stranded", 20.0, 0.03), LOW_LIMIT_INPUT),
    outputs=(
        Output("expected", "V", "What a sound lead leaves."),
        Output("find_joint_below", "V", "Below: a bad joint, find it."),
        Output("convicted_below", "V", "Below: the supply is convicted."),
    ),
    method="expected = V_s - I R_loop; expected - 0.15 V; low limit + 0.5 V",
    sources=("common-practice", "iec-60228", "nec-table-8"),
    accuracy="0.1 V up to 4 A; the 0.15 V and 0.5 V are common practice and absorb warm or tinned copper.",
)
def plug_bands(
    *,
    source_v: Values,
    current_a: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    low_limit_v: Values,
) -> PlugBands:
    """Volts at the plug that part sound, bad joint and convicted supply for one lead, from its expected drop.

    ``expected = V_s - I R_loop``; a bad joint below ``expected - 0.15 V``; convicted below ``V_low + 0.5 V``.

    Parameters
    ----------
    source_v : float or array
        Volts at the battery at the same moment [V].
    current_a : float or array
        Current of the unit, transmitting, full brightness [A].
    length_m : float or array
        One-way route length [m].
    conductor : str
        Size of each conductor, such as ``"16 AWG"``.
    construction : str
        ``"stranded"`` predicts what is measured; ``"tinned"`` gives the lowest that a sound lead may leave.
    temperature_c : float or array
        Temperature of the copper [degC].
    contact_ohm : float or array
        Contacts of the whole loop [ohm].
    low_limit_v : float or array
        Lowest supply volts at which the unit works [V].

    Returns
    -------
    PlugBands
        ``expected``, ``find_joint_below`` and ``convicted_below`` [V].

    Notes
    -----
    Where ``convicted_below`` lies above ``expected``, even a sound lead of that size cannot feed the unit
    from that battery: the lead is too thin or the battery too low. 3 % is a limit of design and no fault
    limit.

    Examples
    --------
    >>> plug_bands(source_v=12.6, current_a=4.0, length_m=6.0, conductor="16 AWG", low_limit_v=10.0)
    PlugBands(expected=11.83, find_joint_below=11.68, convicted_below=10.5)

    References
    ----------
    Common practice of the trade, no published source; resistances as in
    :func:`leadsman.compute.supply.voltage_drop.plug_voltage`.
    """
    expected = plug_voltage(
        source_v=source_v,
        current_a=current_a,
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    convicted = low_limit_v + CONVICTION_MARGIN_V
    return PlugBands(*np.broadcast_arrays(expected, expected - BAD_JOINT_V, convicted))


class PlugVerdict(NamedTuple):
    """What a pair of readings means, with the drop and how much of it is not the copper's."""

    verdict: Any
    drop: Values
    excess: Values


@formula(
    "supply.plug_verdict",
    title="Verdict on volts measured at battery and plug",
    inputs=(SOURCE_INPUT, PLUG_INPUT, CURRENT_INPUT, *feed_inputs("stranded", 20.0, 0.03), LOW_LIMIT_INPUT),
    outputs=(
        Output("verdict", "", "What the readings mean."),
        Output("drop", "V", "Measured drop."),
        Output("excess", "V", "Drop beyond that of a sound lead."),
    ),
    method="Compare V_s - V_plug with the expected drop + 0.15 V, and V_plug with the low limit + 0.5 V",
    sources=("common-practice", "iec-60228", "nec-table-8"),
    accuracy="Decides to 0.1 V; the thresholds are common practice.",
)
def plug_verdict(
    *,
    source_v: Values,
    plug_v: Values,
    current_a: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    low_limit_v: Values,
) -> PlugVerdict:
    """Meaning of the volts at battery and plug under load, by comparing their difference with the lead's own
    drop.

    ``excess = (V_s - V_plug) - I R_loop``; ``> 0.15 V`` is a bad joint, ``V_plug < V_low + 0.5 V`` convicts.

    Parameters
    ----------
    source_v : float or array
        Volts at the battery at the same moment [V].
    plug_v : float or array
        Volts at the plug at the same moment [V].
    current_a : float or array
        Current of the unit, transmitting, full brightness [A].
    length_m : float or array
        One-way route length [m].
    conductor : str
        Size of each conductor, such as ``"16 AWG"``.
    construction : str
        ``"stranded"``, ``"tinned"`` or ``"solid"``.
    temperature_c : float or array
        Temperature of the copper [degC].
    contact_ohm : float or array
        Contacts of the whole loop [ohm].
    low_limit_v : float or array
        Lowest supply volts at which the unit works [V].

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
    >>> plug_verdict(source_v=12.6, plug_v=11.4, current_a=4.0, length_m=6.0, conductor="16 AWG", low_limit_v=10.0)
    PlugVerdict(verdict='bad joint: find it', drop=1.2, excess=0.435)

    References
    ----------
    Common practice of the trade, no published source; resistances as in
    :func:`leadsman.compute.supply.voltage_drop.plug_voltage`.
    """
    loop = loop_resistance(
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    drop = np.asarray(source_v - plug_v)
    excess = drop - current_a * loop
    floor = low_limit_v + CONVICTION_MARGIN_V
    low = np.asarray(plug_v) < floor
    joint = excess > BAD_JOINT_V
    verdict = np.select(
        [drop < -METER_SPREAD_V, low & joint, low & (np.asarray(source_v) < floor), low, joint],
        [
            "readings do not agree",
            "supply convicted: bad joint",
            "supply convicted: battery low",
            "supply convicted: lead too thin",
            "bad joint: find it",
        ],
        "as expected",
    )
    return PlugVerdict(*np.broadcast_arrays(verdict, drop, excess))


@formula(
    "supply.readout_verdict",
    title="Verdict on the unit's own volts, idle and transmitting",
    inputs=(
        Number("idle", "V", 5.0, 60.0, "Own readout, transmit off, dim."),
        Number("loaded", "V", 5.0, 60.0, "Own readout, transmit on, full brightness."),
        LOW_LIMIT_INPUT,
    ),
    outputs=(Output("verdict", "", "What the two readings mean."),),
    method="Change <= 0.3 V and loaded >= low limit + 1 V clear the average; change > 0.5 V convicts the feed side",
    sources=("common-practice",),
    accuracy="The readout itself may stand 0.2 to 0.7 V low: the change is trusted, the value less.",
)
def readout_verdict(*, idle_v: Values, loaded_v: Values, low_limit_v: Values) -> Any:
    """Meaning of a unit's own supply readout, by its change from idle to transmitting at full brightness.

    ``V_idle - V_loaded``: up to 0.3 V is sound, above 0.5 V convicts the feed side.

    Parameters
    ----------
    idle_v : float or array
        Own readout, transmit off and dim [V].
    loaded_v : float or array
        Own readout, transmit on, full brightness, network on [V].
    low_limit_v : float or array
        Lowest supply volts at which the unit works [V].

    Returns
    -------
    str or array of str
        ``"average clear"``, ``"look: measure at the plug"``, ``"feed side convicted"`` or
        ``"readings do not agree"``.

    Notes
    -----
    A clear average does not exclude short dips. The readout costs a minute at the helm and comes first.

    Examples
    --------
    >>> readout_verdict(idle_v=12.5, loaded_v=12.3, low_limit_v=10.0)
    'average clear'

    References
    ----------
    Common practice of the trade, no published source.
    """
    change = np.asarray(idle_v - loaded_v)
    near_limit = np.asarray(loaded_v) < low_limit_v + READOUT_MARGIN_V
    # Readouts show tenths; the small slack keeps 12.5 - 12.2 from reading as more than 0.3.
    return np.select(
        [change < -0.3, change > 0.5 + 1e-9, (change > 0.3 + 1e-9) | near_limit],
        ["readings do not agree", "feed side convicted", "look: measure at the plug"],
        "average clear",
    )


@formula(
    "supply.readout_floor",
    title="Least volts wanted on the unit's own readout",
    inputs=(LOW_LIMIT_INPUT,),
    outputs=(Output("volts", "V", "Least sound reading, transmit on, full brightness."),),
    method="low limit + 1 V",
    sources=("common-practice",),
    accuracy="The readout itself may stand 0.2 to 0.7 V low.",
)
def readout_floor(*, low_limit_v: Values) -> Any:
    """Least volts that a sound feed leaves on the unit's own readout: the unit's low limit and a margin of 1 V.

    Parameters
    ----------
    low_limit_v : float or array
        Lowest supply volts at which the unit works [V].

    Returns
    -------
    float or array
        Least sound reading, transmit on and full brightness [V].

    Notes
    -----
    The same margin as in :func:`readout_verdict`. It clears the average only, not a short dip.

    Examples
    --------
    >>> readout_floor(low_limit_v=10.5)
    11.5

    References
    ----------
    Common practice of the trade, no published source.
    """
    return low_limit_v + READOUT_MARGIN_V


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
        Number("current", "A", 0.05, 100.0, "Current of the unit that the lead feeds."),
        Number(
            "lamp_current", "A", 0.1, 20.0, "Current of the lamp: 21 W draws 1.75 A at 12 V.", default=1.75
        ),
        NOMINAL_INPUT,
    ),
    outputs=(
        Output("drop_limit", "V", "Battery minus plug may be no more, lamp lit."),
        Output("loop_limit", "ohm", "The same as loop resistance."),
        Output("design_loop", "ohm", "Loop that keeps 3 % at the unit's current."),
    ),
    method="dV = I_lamp R_loop + 0.15 V; R = dV/I_lamp; R_design = 0.03 V_nominal / I_unit",
    sources=("common-practice", "iec-60228", "nec-table-8"),
    accuracy="0.05 V; the 0.15 V is common practice.",
)
def lamp_test(
    *,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
    current_a: Values,
    lamp_current_a: Values = 1.75,
    nominal_v: Values = 12.0,
) -> LampTest:
    """Greatest drop and loop resistance that a sound lead shows with a lamp as load, from the lead's own
    resistance.

    ``dV <= I_lamp R_loop + 0.15 V``, ``R <= dV/I_lamp``; beside it the design loop ``0.03 V_nominal/I_unit``.

    Parameters
    ----------
    length_m : float or array
        One-way route length [m].
    conductor : str
        Size of each conductor, such as ``"16 AWG"``.
    construction : str
        ``"stranded"``, ``"tinned"`` or ``"solid"``.
    temperature_c : float or array
        Temperature of the copper [degC].
    contact_ohm : float or array
        Contacts of the whole loop [ohm].
    current_a : float or array
        Current of the unit that the lead feeds [A].
    lamp_current_a : float or array
        Current of the lamp [A].
    nominal_v : float or array
        Nominal voltage of the system [V].

    Returns
    -------
    LampTest
        ``drop_limit`` [V], ``loop_limit`` [ohm] and ``design_loop`` [ohm].

    Notes
    -----
    A dead unit draws nothing, so the lamp supplies the load. Petrol vapour: a lamp lead sparks; see the
    cautions.

    Examples
    --------
    >>> lamp_test(length_m=6.0, conductor="16 AWG", current_a=3.0)
    LampTest(drop_limit=0.485, loop_limit=0.277, design_loop=0.12)

    References
    ----------
    Common practice of the trade, no published source. 3 %: American Boat and Yacht Council, E-11, 2003.
    """
    loop = loop_resistance(
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    drop_limit = lamp_current_a * loop + BAD_JOINT_V
    design = 0.03 * nominal_v / current_a
    return LampTest(*np.broadcast_arrays(drop_limit, drop_limit / lamp_current_a, design))


@formula(
    "supply.measured_loop",
    title="Loop resistance from a drop under load",
    inputs=(SOURCE_INPUT, PLUG_INPUT, Number("current", "A", 0.1, 100.0, "Current of the load.")),
    outputs=(Output("resistance", "ohm", "Loop resistance."),),
    method="R = (V_s - V_plug) / I",
    sources=("horowitz-hill-2015",),
    accuracy="0.02 ohm with a meter of 0.01 V and a load of 1 A or more.",
)
def measured_loop(*, source_v: Values, plug_v: Values, current_a: Values) -> Values:
    """Loop resistance of a lead from the volts at both ends under a known load, by Ohm's law.

    ``R = (V_s - V_plug)/I``.

    Parameters
    ----------
    source_v : float or array
        Volts at the battery at the same moment [V].
    plug_v : float or array
        Volts at the plug at the same moment [V].
    current_a : float or array
        Current of the load [A].

    Returns
    -------
    float or array
        Loop resistance [ohm].

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
    >>> measured_loop(source_v=12.6, plug_v=12.1, current_a=1.75)
    0.286

    References
    ----------
    Horowitz, P. and Hill, W., The Art of Electronics, 3rd ed., 2015, section 1.2.
    """
    if np.any(np.asarray(plug_v - source_v) > METER_SPREAD_V):
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
        Number("current", "A", 0.1, 4.0, "Load during the measurement."),
    ),
    outputs=(
        Output("leg", "V", "Positive or negative leg, no more."),
        Output("joint", "V", "One fuse-holder, switch or crimp, no more."),
    ),
    method="leg = half the lead's limit; joint = 0.05 V at 2 A and more, in proportion below",
    sources=("common-practice",),
    accuracy="Common practice; 0.01 V meter resolution.",
)
def leg_limit(*, drop_limit_v: Values, current_a: Values) -> LegLimit:
    """Greatest drop of one leg of a lead and of one joint, by halving the lead's limit and by the trade's
    rule.

    ``leg = dV/2``; ``joint = 0.05 V x min(1, I / 2 A)``.

    Parameters
    ----------
    drop_limit_v : float or array
        Greatest drop of the whole lead under this load [V].
    current_a : float or array
        Load during the measurement [A].

    Returns
    -------
    LegLimit
        ``leg`` [V] and ``joint`` [V].

    Notes
    -----
    A holder that is warm after three minutes is guilty whatever the meter says.

    Examples
    --------
    >>> leg_limit(drop_limit_v=0.48, current_a=1.75)
    LegLimit(leg=0.24, joint=0.0438)

    References
    ----------
    Common practice of the trade, no published source.
    """
    leg, current = np.broadcast_arrays(np.asarray(drop_limit_v) / 2, current_a)
    return LegLimit(leg, 0.05 * np.minimum(1.0, current / 2.0))
