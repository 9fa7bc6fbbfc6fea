"""The network bus (CAN): resistance of the unpowered pair and levels of the working one, to a verdict."""

from __future__ import annotations

from typing import Any

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short

#: A terminating resistor at each end of the trunk, ohm (ISO 11898-2).
TERMINATOR_OHM = 120.0
#: Readings of a sound unpowered pair, ohm: 60 within a tenth (common practice).
SOUND_OHM = (54.0, 66.0)


@formula(
    "sensors.bus_resistance",
    title="Resistance of an unpowered bus pair",
    inputs=(
        Number(
            "terminators",
            "1",
            1.0,
            6.0,
            "Terminating resistors on the bus, one of them at the point of measurement.",
        ),
        Number(
            "pair_loop", "ohm", 0.0, 50.0, "Resistance of the pair, out and back, to the others.", default=0.0
        ),
    ),
    outputs=(Output("resistance", "ohm", "Reading at one end."),),
    method="R = 120 parallel to (120/(k - 1) + R_loop)",
    sources=("iso-11898-2, 120 ohm at each end",),
    accuracy="5 %: resistors 1 to 10 %, and each node lowers the reading by a fraction of an ohm.",
)
def bus_resistance(*, terminators: Values, pair_loop_ohm: Values = 0.0) -> Values:
    """Resistance between the two bus wires at one end, network unpowered, from its terminators in parallel.

    Notes
    -----
    Two terminators read 60 ohm, one 120, three 40.

    Examples
    --------
    >>> bus_resistance(terminators=2)
    60.0
    >>> bus_resistance(terminators=2, pair_loop_ohm=6.0)
    61.46
    """
    others = np.asarray(terminators) - 1
    # Conductance of the far terminators behind the pair; none of them conducts nothing.
    far = others / (TERMINATOR_OHM + others * pair_loop_ohm)
    result: Values = 1 / (1 / TERMINATOR_OHM + far)
    return result


@formula(
    "sensors.bus_verdict",
    title="Verdict on the resistance of a bus pair",
    inputs=(
        Number("resistance", "ohm", 0.0, 1.0e8, "Between the two bus wires; 1e8 for an open reading."),
        Choice(
            "network_power",
            ("off", "on"),
            "Whether the network had power; with power on the reading means nothing.",
            default="off",
        ),
    ),
    outputs=(Output("verdict", "", "What the reading means."),),
    method="120/k ohm for k terminators; 54 to 66 ohm is sound",
    sources=("iso-11898-2", "common-practice"),
    accuracy="Bands are common practice; they part at the middle between the values for whole numbers.",
)
def bus_verdict(*, resistance_ohm: Values, network_power: str = "off") -> Any:
    """Meaning of the resistance between the bus wires of an unpowered network, by the number of terminators.

    ``R = 120/k``; near 0 is a short, above 200 ohm an open trunk.

    Returns
    -------
    str or array of str
        ``"sound"``, ``"short between the wires"``, ``"too low: more than one terminator too many, or a
        damaged node"``, ``"one terminator too many"``, ``"low: look for a damp plug"``, ``"high: look for a
        poor contact"``, ``"one terminator missing or the trunk open"`` or ``"open: no terminator reached"``.

    Raises
    ------
    NoAnswer
        The network was powered: bus voltages falsify an ohmmeter.

    Notes
    -----
    The supply is disconnected first, at its own plug or fuse.

    Examples
    --------
    >>> bus_verdict(resistance_ohm=119.0)
    'one terminator missing or the trunk open'
    """
    if network_power == "on":
        raise NoAnswer("with the network powered an ohmmeter reads nonsense: take its supply off first")
    limits = np.array([10.0, 35.0, 45.0, SOUND_OHM[0], np.nextafter(SOUND_OHM[1], np.inf), 100.0, 200.0])
    verdicts = np.array([
        "short between the wires",
        "too low: more than one terminator too many, or a damaged node",
        "one terminator too many",
        "low: look for a damp plug",
        "sound",
        "high: look for a poor contact",
        "one terminator missing or the trunk open",
        "open: no terminator reached",
    ])  # fmt: skip
    return verdicts[np.searchsorted(limits, resistance_ohm, side="right")]


@formula(
    "sensors.bus_levels",
    title="Verdict on the levels of a working bus",
    inputs=(
        Number("high", "V", -1.0, 60.0, "Mean of the high wire to network negative."),
        Number("low", "V", -1.0, 60.0, "Mean of the low wire to network negative."),
    ),
    outputs=(Output("verdict", "", "What the two readings mean."),),
    method="Recessive 2.5 V both; dominant 3.5 and 1.5 V: means 2.5 to 3.5 and 1.5 to 2.5 V, their sum about 5 V",
    sources=("iso-11898-2, levels from memory", "common-practice"),
    accuracy="0.3 V; a meter shows the mean of a busy bus.",
)
def bus_levels(*, high_v: Values, low_v: Values) -> Any:
    """Meaning of the mean volts of the two bus wires, by the levels that the standard gives them.

    Sound where ``high >= low`` and ``4 V <= high + low <= 6 V``.

    Returns
    -------
    str or array of str
        ``"sound, traffic"``, ``"no traffic, or the wires touch: measure ohms, power off"``, ``"wires
        exchanged"``, ``"no power or both wires to negative"``, ``"a wire to supply"``, ``"high wire to negative"``, ``"low wire to negative"`` or
        ``"doubtful: look"``.

    Notes
    -----
    With traffic, high stands at 2.5 to 3.0 V and low at 2.0 to 2.5 V on a meter. Both wires at 2.5 V is an idle
    bus, and just as well a short between them: a transceiver cannot part wires that touch. Levels cannot tell.

    Examples
    --------
    >>> bus_levels(high_v=2.8, low_v=2.2)
    'sound, traffic'
    """
    high, low = np.broadcast_arrays(high_v, low_v)
    sum_fits = (high + low >= 4.0) & (high + low <= 6.0)
    return np.select(
        [
            (high < 0.7) & (low < 0.7),
            (high > 4.5) | (low > 4.5),
            high < 0.7,
            low < 0.7,
            exceeds(low, high + 0.1),
            sum_fits & falls_short(high, low + 0.1),
            sum_fits & (high <= low + 2.5),
        ],
        [
            "no power or both wires to negative",
            "a wire to supply",
            "high wire to negative",
            "low wire to negative",
            "wires exchanged",
            "no traffic, or the wires touch: measure ohms, power off",
            "sound, traffic",
        ],
        "doubtful: look",
    )
