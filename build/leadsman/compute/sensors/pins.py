"""Other readings at the transducer's plug: ohms of the pair, insulation, identification, and transmit volts.

Power off and plug apart. No test voltage above 50 V, and never with a display connected.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short
from leadsman.compute.sensors.element import TUNED_INPUT

#: No higher test voltage reaches identification chips and thermistors without harm, V.
HIGHEST_TEST_V = 50.0


@formula(
    "sensors.element_resistance_verdict",
    title="Verdict on the ohms of an element pair",
    inputs=(
        Number("resistance", "ohm", 0.0, 1.0e9, "Between the pins of the pair; 1e9 for an open reading."),
        TUNED_INPUT,
        Number("winding", "ohm", 0.1, 200.0, "Winding of a tuned element, from its pin table.", default=5.0),
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="Untuned: open is right, below 1 Mohm leaks; tuned: the winding's few ohms are right, open is a break",
    sources=("common-practice",),
    accuracy="Common practice.",
    serves="What do these ohms across the element pair mean?",
)
def element_resistance_verdict(
    *, resistance_ohm: Values, tuned: str = "no", winding_ohm: Values = 5.0
) -> Any:
    """Meaning of an ohmmeter across the element pins, which differs between tuned and untuned elements.

    Untuned: ``R >= 1 Mohm`` is right. Tuned: ``R`` within half and twice the winding is right.

    Returns
    -------
    str or array of str
        Untuned ``"as it should be: now measure nanofarads"``, ``"leaks: wet or damaged cable"`` or
        ``"shorted"``; tuned ``"winding sound"``, ``"open: cable or winding broken"``, ``"shorted"`` or
        ``"high: poor contact"``.

    Notes
    -----
    An ohmmeter that shows open on an untuned element proves nothing about the element.

    Examples
    --------
    >>> element_resistance_verdict(resistance_ohm=1e9)
    'as it should be: now measure nanofarads'
    >>> element_resistance_verdict(resistance_ohm=4.6, tuned="yes")
    'winding sound'
    """
    resistance, winding = np.broadcast_arrays(resistance_ohm, winding_ohm)
    if tuned == "yes":
        return np.select(
            [resistance < winding / 2, resistance <= winding * 2, resistance < 10000.0],
            ["shorted", "winding sound", "high: poor contact"],
            "open: cable or winding broken",
        )
    return np.select(
        [resistance < 100.0, resistance < 1.0e6],
        ["shorted", "leaks: wet or damaged cable"],
        "as it should be: now measure nanofarads",
    )


@formula(
    "sensors.insulation_verdict",
    title="Verdict on insulation to the shield",
    inputs=(
        Number("insulation", "Mohm", 0.0, 1.0e5, "Each element wire to shield, plug dried."),
        Number("test", "V", 0.1, HIGHEST_TEST_V, "Voltage of the test.", default=9.0),
        Number("good", "Mohm", 0.01, 1.0e5, "Least insulation of a dry line.", default=10.0),
        Number("wet", "Mohm", 0.01, 1.0e5, "Insulation below which a line is wet.", default=1.0),
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="At or above the least of a dry line good, below that of a wet one condemned, between dry and repeat",
    sources=("common-practice",),
    accuracy="Common practice.",
    serves="Is this insulation good enough?",
)
def insulation_verdict(
    *, insulation_mohm: Values, test_v: Values = 9.0, good_mohm: Values = 10.0, wet_mohm: Values = 1.0
) -> Any:
    """Meaning of the insulation between an element wire and the shield, by the trade's two limits.

    ``R >= R_good`` is good, ``R < R_wet`` condemned; commonly 10 and 1 Mohm.

    Returns
    -------
    str or array of str
        ``"good"``, ``"damp: dry and repeat"`` or ``"condemned: water in plug, cable or transducer"``.

    Notes
    -----
    No insulation tester above 50 V, and never with a display connected: identification chips and thermistors
    die. Readings that recover when warm and return in days are water in the cable.

    Examples
    --------
    >>> insulation_verdict(insulation_mohm=4.0)
    'damp: dry and repeat'
    """
    insulation, _, good, wet = np.broadcast_arrays(insulation_mohm, test_v, good_mohm, wet_mohm)
    return np.select(
        [insulation >= good, insulation >= wet],
        ["good", "damp: dry and repeat"],
        "condemned: water in plug, cable or transducer",
    )


@formula(
    "sensors.identification_verdict",
    title="Verdict on the identification pair",
    inputs=(
        Number("resistance", "ohm", 0.0, 1.0e8, "Between the identification pins; 1e8 for an open reading."),
        Number("expected", "ohm", 10.0, 1.0e6, "Value from the transducer's pin table."),
        Number("tolerance", "%", 0.5, 20.0, "Permitted deviation.", default=5.0),
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="Expected +- tolerance; below, a leak in parallel; above, a contact in series",
    sources=("common-practice",),
    accuracy="Common practice; a resistor's own 1 % and the meter's 1 %.",
    serves="What do these ohms across the identification pair mean?",
)
def identification_verdict(
    *, resistance_ohm: Values, expected_ohm: Values, tolerance_pct: Values = 5.0
) -> Any:
    """Meaning of the resistance of the identification pair, by its expected value.

    Sound within ``R_expected (1 -+ t)``.

    Returns
    -------
    str or array of str
        ``"sound"``, ``"open"``, ``"shorted"``, ``"low: dirt or water in parallel, or another type"`` or
        ``"high: poor contact in series, or another type"``.

    Notes
    -----
    Dirt in the plug shifts this reading first: clean and reseat before anything is condemned or updated.

    Examples
    --------
    >>> identification_verdict(resistance_ohm=8700.0, expected_ohm=10000.0)
    'low: dirt or water in parallel, or another type'
    """
    resistance, expected, tolerance = np.broadcast_arrays(resistance_ohm, expected_ohm, tolerance_pct)
    share = tolerance / 100
    return np.select(
        [
            resistance < expected / 20,
            resistance > expected * 20,
            falls_short(resistance, expected * (1 - share)),
            exceeds(resistance, expected * (1 + share)),
        ],
        [
            "shorted",
            "open",
            "low: dirt or water in parallel, or another type",
            "high: poor contact in series, or another type",
        ],
        "sound",
    )


class TransmitVoltage(NamedTuple):
    """Voltage on the transducer line while transmitting."""

    rms: Values
    peak_to_peak: Values


@formula(
    "sensors.transmit_voltage",
    title="Voltage on the transducer line in transmit",
    inputs=(
        Number("power", "W", 1.0, 5000.0, "RMS power of the pulse."),
        Number("impedance", "ohm", 10.0, 2000.0, "Impedance of the element at its frequency."),
    ),
    outputs=(
        Output("rms", "V", "RMS of the pulse."),
        Output("peak_to_peak", "V", "Peak to peak of the pulse."),
    ),
    method="V = sqrt(P Z); V_pp = 2 sqrt(2) V",
    sources=("horowitz-hill-2015, section 1.2",),
    accuracy="A resistive element at resonance; otherwise the voltage is higher.",
    serves="How many volts stand on the transducer line in transmit?",
)
def transmit_voltage(*, power_w: Values, impedance_ohm: Values) -> TransmitVoltage:
    """Voltage between the element wires during a transmit pulse, from its power and the element's impedance.

    Notes
    -----
    Several hundred volts: why no step opens, probes or mates the transducer line with the unit on. A power
    that is stated peak to peak is eight times the RMS power.

    Examples
    --------
    >>> transmit_voltage(power_w=250.0, impedance_ohm=300.0)
    TransmitVoltage(rms=274., peak_to_peak=775.)
    """
    rms = np.sqrt(np.asarray(power_w) * impedance_ohm)
    return TransmitVoltage(rms, 2 * np.sqrt(2) * rms)
