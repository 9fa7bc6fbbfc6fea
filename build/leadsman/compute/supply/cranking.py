"""Cranking: how far a shared starting battery dips, and how far it may."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula

#: Least volts of a 12 V battery after 15 s at half its cold-cranking current (BCI load test). The source prints each
#: row in degF by tens and in whole degC; both name the same volts, so each row stands at both of its temperatures.
LOAD_TEST_C = (-18.0, -17.78, -12.23, -12.0, -7.0, -6.66, -1.12, -1.0, 4.0, 4.45, 10.0, 15.55, 16.0, 20.0)
LOAD_TEST_V = (8.5, 8.5, 8.7, 8.7, 8.9, 8.9, 9.1, 9.1, 9.3, 9.3, 9.4, 9.5, 9.5, 9.6)
#: Volts that a battery still holds at its cold-cranking current after 30 s at -18 degC (SAE J537).
COLD_CRANKING_V = 7.2
#: Open-circuit volts of a full 12 V battery in that test.
FULL_V = 12.6


class CrankingVoltage(NamedTuple):
    """Volts while the starter turns, at the battery and at the plug of a unit on the same battery."""

    battery: Values
    plug: Values
    margin: Values


@formula(
    "supply.cranking_voltage",
    title="Volts while cranking on a shared battery",
    inputs=(
        Number("rest", "V", 5.0, 60.0, "Battery at rest before the start."),
        Number("crank_current", "A", 0.0, 1000.0, "Current of the starter."),
        Number("battery_resistance", "ohm", 0.0005, 0.2, "Internal resistance of the battery."),
        Number("current", "A", 0.0, 100.0, "Current of the unit."),
        Number("loop_resistance", "ohm", 0.0, 5.0, "Loop resistance of the unit's own lead."),
        Number("low_limit", "V", 5.0, 48.0, "Lowest supply volts at which the unit works."),
    ),
    outputs=(
        Output("battery", "V", "At the battery terminals."),
        Output("plug", "V", "At the unit's plug."),
        Output("margin", "V", "Plug above the unit's low limit; negative = it restarts."),
    ),
    method="V_b = V_rest - (I_crank + I_unit) R_i; V_plug = V_b - I_unit R_loop",
    sources=("horowitz-hill-2015", "sae-j537"),
    accuracy="0.5 V; the internal resistance varies with temperature, age and charge.",
    serves="What is left for the unit while the engine cranks?",
)
def cranking_voltage(
    *,
    rest_v: Values,
    crank_current_a: Values,
    battery_resistance_ohm: Values,
    current_a: Values,
    loop_resistance_ohm: Values,
    low_limit_v: Values,
) -> CrankingVoltage:
    """Volts at the battery and at a unit's plug while the starter turns, from the battery's internal
    resistance.

    Raises
    ------
    NoAnswer
        The battery cannot deliver that current.

    Notes
    -----
    The first 0.1 s, the starter still at rest, dips deeper than this. A unit that restarts only while
    cranking needs a feed of its own, not a bigger fuse.

    Examples
    --------
    >>> cranking_voltage(rest_v=12.5, crank_current_a=200.0, battery_resistance_ohm=0.01, current_a=2.0,
    ...                  loop_resistance_ohm=0.2, low_limit_v=10.0)
    CrankingVoltage(battery=10.48, plug=10.08, margin=0.08)
    """
    battery = rest_v - (crank_current_a + current_a) * battery_resistance_ohm
    plug = battery - current_a * loop_resistance_ohm
    if np.any(np.asarray(plug) <= 0):
        raise NoAnswer("the battery cannot deliver that current through its internal resistance")
    return CrankingVoltage(*np.broadcast_arrays(battery, plug, plug - low_limit_v))


@formula(
    "supply.battery_resistance",
    title="Internal resistance of a starting battery",
    inputs=(Number("cold_cranking", "A", 50.0, 2000.0, "Cold-cranking current on the label."),),
    outputs=(Output("resistance", "ohm", "Internal resistance at -18 degC."),),
    method="R_i = (12.6 V - 7.2 V) / I_cold_cranking",
    sources=("sae-j537, 7.2 V after 30 s at -18 degC",),
    accuracy="Upper bound for a sound battery: at 20 degC about half to two thirds of it.",
    serves="What may the battery itself have, in ohms?",
)
def battery_resistance(*, cold_cranking_a: Values) -> Values:
    """Internal resistance of a 12 V starting battery in the cold, from the definition of its cold-cranking
    current.

    Notes
    -----
    An upper bound for a sound, full battery; an old one exceeds it.

    Examples
    --------
    >>> battery_resistance(cold_cranking_a=600.0)
    0.009
    """
    return (FULL_V - COLD_CRANKING_V) / cold_cranking_a


@formula(
    "supply.cranking_minimum",
    title="Least volts of a sound battery while cranking",
    inputs=(Number("temperature", "degC", -18.0, 50.0, "Temperature of the battery."),),
    outputs=(Output("voltage", "V", "Least volts of a 12 V battery."),),
    method="BCI load-test table, linear between its rows; 9.6 V from 20 degC up",
    sources=("bci-battery-table",),
    accuracy="0.05 V of the table.",
)
def cranking_minimum(*, temperature_c: Values) -> Values:
    """Least volts that a sound 12 V battery shows under a heavy load, by interpolating the load-test table.

    Notes
    -----
    The table holds for half the cold-cranking current for 15 s; a starter usually asks less.

    Examples
    --------
    >>> cranking_minimum(temperature_c=10.0)
    9.4
    """
    result: Values = np.interp(temperature_c, LOAD_TEST_C, LOAD_TEST_V)
    return result
