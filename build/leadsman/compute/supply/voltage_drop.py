"""Voltage drop of a lead and the volts that arrive: the physics of the supply, before any verdict.

Lengths are **one-way** route lengths everywhere; the formulas count the way out and back themselves.
Percentages are of the *nominal* voltage, 12 or 24 V.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds
from leadsman.compute.supply.conductors import (
    CONDUCTOR_INPUT,
    conductor_resistance,
    construction_input,
    temperature_input,
)

CURRENT_INPUT = Number("current", "A", 0.0, 300.0, "Steady current of the load.", own_range=True)
LENGTH_INPUT = Number("length", "m", 0.0, 100.0, "One-way route length of the lead.", own_range=True)
NOMINAL_INPUT = Number(
    "nominal", "V", 6.0, 48.0, "Nominal voltage of the system.", default=12.0, own_range=True
)
DROP_LIMIT_INPUT = Number(
    "drop", "%", 0.1, 20.0, "Permitted drop, of nominal voltage.", default=3.0, own_range=True
)
SOURCE_INPUT = Number("source", "V", 5.0, 60.0, "Volts at the battery, at the same moment.", own_range=True)


def contact_input(default: float) -> Number:
    """The input for contacts in the loop: joints, fuse-holder, switch and plug pins, both poles together."""
    return Number(
        "contact", "ohm", 0.0, 5.0, "Contact resistance of the whole loop.", default=default, own_range=True
    )


def feed_inputs(construction: str, temperature_c: float, contact_ohm: float) -> tuple:  # type: ignore[type-arg]
    """The inputs that describe one lead, with the defaults of a limit or of a prediction."""
    return (
        LENGTH_INPUT,
        CONDUCTOR_INPUT,
        construction_input(construction),
        temperature_input(temperature_c),
        contact_input(contact_ohm),
    )


@formula(
    "supply.loop_resistance",
    title="Resistance of a lead, out and back",
    inputs=feed_inputs("tinned", 30.0, 0.0),
    outputs=(Output("resistance", "ohm", "Loop resistance with contacts."),),
    method="R = 2 l R' + R_contact",
    sources=("faa-ac43.13-1b, par. 11-66", "iec-60228, Table 3"),
    accuracy="That of the resistance table; contacts are an allowance (common practice).",
)
def loop_resistance(
    *,
    length_m: Values,
    conductor: str,
    construction: str = "tinned",
    temperature_c: Values = 30.0,
    contact_ohm: Values = 0.0,
) -> Values:
    """Resistance of both conductors of a lead and its contacts, by adding them up.

    Notes
    -----
    Sound contacts of a small lead add up to 0.02 to 0.04 ohm, a single bad one to more than 0.1 ohm
    (common practice, no source).

    Examples
    --------
    >>> loop_resistance(length_m=6.0, conductor="1.5 mm2", temperature_c=20.0, contact_ohm=0.02)
    0.1844
    """
    per_km = conductor_resistance(conductor=conductor, construction=construction, temperature_c=temperature_c)
    return 2 * length_m * per_km / 1000 + contact_ohm


@formula(
    "supply.voltage_drop",
    title="Voltage drop of a lead",
    inputs=(CURRENT_INPUT, *feed_inputs("tinned", 30.0, 0.0)),
    outputs=(Output("drop", "V", "Drop, both conductors and contacts."),),
    method="dV = I (2 l R'(T) + R_contact), R' from the resistance tables of tinned flexible cable",
    sources=("faa-ac43.13-1b, Tables 11-7 to 11-9", "iec-60228, Table 3"),
    accuracy="A sound lead drops no more; typically 10 to 20 % less, as the tables are maxima.",
)
def voltage_drop(
    *,
    current_a: Values,
    length_m: Values,
    conductor: str,
    construction: str = "tinned",
    temperature_c: Values = 30.0,
    contact_ohm: Values = 0.0,
) -> Values:
    """Drop of a two-conductor lead at constant current, from the table resistance of its conductor.

    Notes
    -----
    Copper only unless ``contact_ohm`` is given. At 30 degC it lies above the US small-craft formula by 13 to
    20 % for metric and by 20 to 28 % for AWG names, and above the metric formula by 9 % more, because it
    counts tin, lay and temperature.

    Examples
    --------
    >>> voltage_drop(current_a=4.0, length_m=7.0, conductor="16 AWG")
    0.918
    """
    resistance = loop_resistance(
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    return current_a * resistance


@formula(
    "supply.load_current",
    title="Current of a load of known power",
    inputs=(
        Number("power", "W", 0.0, 2000.0, "Power that the load draws."),
        Number("lowest", "V", 5.0, 60.0, "Lowest volts at which it still works."),
    ),
    outputs=(Output("current", "A", "Greatest current."),),
    method="I = P / V_lowest",
    sources=("horowitz-hill-2015, section 1.2",),
    accuracy="Exact for a load that holds its power; a resistive load draws less.",
    serves="What does this unit draw at its lowest volts?",
)
def load_current(*, power_w: Values, lowest_v: Values) -> Values:
    """Greatest steady current of a load that holds its power, at the lowest voltage that it accepts.

    Notes
    -----
    Size leads and fuses for this current, not for the power divided by the volts of a full battery.

    Examples
    --------
    >>> load_current(power_w=36.0, lowest_v=10.0)
    3.6
    """
    return power_w / lowest_v


@formula(
    "supply.plug_voltage",
    title="Volts at the plug of a load of constant current",
    inputs=(SOURCE_INPUT, CURRENT_INPUT, *feed_inputs("stranded", 20.0, 0.03)),
    outputs=(Output("voltage", "V", "Volts at the plug."),),
    method="V = V_source - I (2 l R'(T) + R_contact)",
    sources=("iec-60228, Table 3", "nec-table-8, Chapter 9 Table 8 (lay)", "common-practice"),
    accuracy="0.1 V for a sound lead up to 4 A; contacts are an allowance (common practice).",
    serves="What should the plug read at this current?",
)
def plug_voltage(
    *,
    source_v: Values,
    current_a: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
) -> Values:
    """Volts that a sound lead leaves at the plug under load, by subtracting its expected drop.

    Raises
    ------
    NoAnswer
        The lead cannot carry that current from that battery: the drop exceeds the source.

    Notes
    -----
    The defaults predict (stranded copper at 20 degC, sound contacts); the design formulas limit (tinned, 30
    degC). In heat the drop grows by about a tenth.

    Examples
    --------
    >>> plug_voltage(source_v=12.65, current_a=3.0, length_m=8.0, conductor="16 AWG")
    11.92
    """
    drop = voltage_drop(
        current_a=current_a,
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    voltage = source_v - drop
    if not np.all(exceeds(source_v, drop)):
        raise NoAnswer("the lead drops the whole source voltage: it cannot carry this current")
    return voltage


class ConstantPower(NamedTuple):
    """Where a load that holds its power settles on a lead."""

    voltage: Values
    current: Values


@formula(
    "supply.plug_voltage_constant_power",
    title="Volts at the plug of a load of constant power",
    inputs=(
        SOURCE_INPUT,
        Number("power", "W", 0.0, 2000.0, "Power that the load draws."),
        *feed_inputs("stranded", 20.0, 0.03),
    ),
    outputs=(
        Output("voltage", "V", "Volts at the plug."),
        Output("current", "A", "Current that it then draws."),
    ),
    method="V = (V_s + sqrt(V_s^2 - 4 P R))/2, the upper root of V^2 - V_s V + P R = 0",
    sources=("horowitz-hill-2015, section 1.2", "iec-60228, Table 3", "common-practice"),
    accuracy="That of the loop resistance; holds for switch-mode instruments.",
)
def plug_voltage_constant_power(
    *,
    source_v: Values,
    power_w: Values,
    length_m: Values,
    conductor: str,
    construction: str = "stranded",
    temperature_c: Values = 20.0,
    contact_ohm: Values = 0.03,
) -> ConstantPower:
    """Volts and current where a load that holds its power settles at the end of a lead, from the quadratic.

    Raises
    ------
    NoAnswer
        ``4 P R > V_s^2``: more power than the lead can pass; the load drags the voltage down and restarts.

    Notes
    -----
    A modern display is such a load: as the volts fall it draws more, so a thin lead fails suddenly.

    Examples
    --------
    >>> plug_voltage_constant_power(source_v=12.0, power_w=18.0, length_m=6.0, conductor="1.5 mm2",
    ...                             construction="tinned", contact_ohm=0.02)
    ConstantPower(voltage=11.717, current=1.536)
    """
    resistance = loop_resistance(
        length_m=length_m,
        conductor=conductor,
        construction=construction,
        temperature_c=temperature_c,
        contact_ohm=contact_ohm,
    )
    discriminant = np.asarray(source_v**2 - 4 * power_w * resistance)
    if np.any(discriminant < 0):
        most_w = float(np.min(np.asarray(source_v) ** 2 / (4 * np.asarray(resistance))))
        raise NoAnswer(
            f"the lead can pass at most {most_w:.3g} W at this source voltage: a load that holds its power "
            "drags the voltage down and restarts"
        )
    voltage = (source_v + np.sqrt(discriminant)) / 2
    return ConstantPower(voltage, power_w / voltage)
