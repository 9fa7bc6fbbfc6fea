"""The unit's own readout of its supply volts: what it may fall by, what it must keep, and what both mean.

The readout stands a little below a meter, so its number convicts only with that error taken off; its change is
trusted more.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short
from leadsman.compute.supply.plug_checks import (
    LOW_LIMIT_INPUT,
    MARGIN_INPUT,
    ONE_BLOCK_V,
    WORKING_DROP_INPUT,
    least_at_plug,
)
from leadsman.compute.supply.voltage_drop import NOMINAL_INPUT

ERROR_INPUT = Number("readout_error", "V", 0.0, 3.0, "How far the readout may stand below a meter.")
CHANGE_INPUT = Number("change", "V", 0.0, 5.0, "Greatest fall of the readout on a sound feed.")


@formula(
    "supply.readout_fall",
    title="Greatest fall of the unit's own readout on a sound feed",
    inputs=(
        NOMINAL_INPUT,
        Number("design_drop", "%", 0.0, 20.0, "Drop for which a lead is sized, of nominal."),
        Number(
            "idle_share",
            "%",
            0.0,
            100.0,
            "Share of its full current that the unit draws with transmit off and the screen dim.",
        ),
        Number("battery_fall", "V", 0.0, 1.0, "Fall that a sound twelve-volt battery may add.", default=0.0),
        Number(
            "readout_step", "V", 0.0, 1.0, "Step of the readout: two readings may each be half of it out."
        ),
    ),
    outputs=(Output("volts", "V", "Fall from transmit off and dim to full load, no more."),),
    method="V_nominal x design drop x (1 - idle share) + the fall of each battery + one step of the readout",
    sources=("abyc-e11, 3 %", "common-practice"),
    accuracy="0.1 V, the step of the readout; a lead longer than the design drop allows may fall by more.",
)
def readout_fall(
    *,
    nominal_v: Values = 12.0,
    design_drop_pct: Values,
    idle_share_pct: Values,
    battery_fall_v: Values = 0.0,
    readout_step_v: Values,
) -> Values:
    """Fall of the readout from idle to full load on a sound lead that is as long as the design drop allows.

    The readout stands behind battery and lead, so that it shows the fall of both.

    Notes
    -----
    A greater fall convicts no part: the lead can be longer than 3 % allows. It asks for a meter.

    Examples
    --------
    >>> readout_fall(design_drop_pct=3.0, idle_share_pct=30.0, readout_step_v=0.1)
    0.352
    """
    lead = nominal_v * design_drop_pct / 100 * (1 - idle_share_pct / 100)
    return lead + battery_fall_v * nominal_v / ONE_BLOCK_V + readout_step_v


@formula(
    "supply.readout_floor",
    title="Least volts wanted on the unit's own readout",
    inputs=(LOW_LIMIT_INPUT, NOMINAL_INPUT, MARGIN_INPUT, WORKING_DROP_INPUT, ERROR_INPUT),
    outputs=(Output("volts", "V", "Least sound reading, transmit on, full brightness."),),
    method="Volts below which the plug convicts the supply, less the greatest error of the readout",
    sources=("common-practice",),
    accuracy="A reading below it convicts; one above it clears the average only as far as the readout is right.",
)
def readout_floor(
    *,
    low_limit_v: Values,
    nominal_v: Values = 12.0,
    low_limit_margin_v: Values,
    working_drop_pct: Values,
    readout_error_v: Values,
) -> Any:
    """Readout below which the plug itself stands too low, whatever the readout's own error.

    ``V_low + margin - error`` on twelve volts; above, at least the nominal volts less the permitted drop.

    Notes
    -----
    It is the end that convicts. A battery that is low and a lead that is bad both fall below it; the fall from
    idle to full load tells them apart.

    Examples
    --------
    >>> readout_floor(low_limit_v=10.8, low_limit_margin_v=0.5, working_drop_pct=10.0, readout_error_v=0.7)
    10.6
    >>> readout_floor(low_limit_v=10.5, nominal_v=24.0, low_limit_margin_v=0.5, working_drop_pct=10.0,
    ...               readout_error_v=0.7)
    20.9
    """
    return least_at_plug(low_limit_v, low_limit_margin_v, nominal_v, working_drop_pct) - readout_error_v


@formula(
    "supply.readout_verdict",
    title="Verdict on the unit's own volts, idle and transmitting",
    inputs=(
        Number("idle", "V", 5.0, 60.0, "Own readout, transmit off, dim."),
        Number("loaded", "V", 5.0, 60.0, "Own readout, transmit on, full brightness."),
        CHANGE_INPUT,
        Number("bad_change", "V", 0.0, 5.0, "Fall of the readout that convicts the feed side."),
        Number("floor", "V", 0.0, 60.0, "Least sound reading, transmit on, full brightness."),
    ),
    outputs=(Output("verdict", "", "What the two readings mean."),),
    method="A fall up to the change and a reading from the floor up clear the average; a fall above the bad change "
    "convicts the feed side; a low reading with little fall is the battery's",
    sources=("common-practice",),
    accuracy="The readout itself may stand 0.2 to 0.7 V low: the change is trusted, the value less.",
    serves="What do the unit's own volts mean, idle and transmitting?",
)
def readout_verdict(
    *, idle_v: Values, loaded_v: Values, change_v: Values, bad_change_v: Values, floor_v: Values
) -> Any:
    """Meaning of a unit's own supply readout, by its change from idle to transmitting at full brightness.

    ``V_idle - V_loaded`` against the change of a sound feed and the one that convicts; ``V_loaded`` against the
    floor.

    Returns
    -------
    str or array of str
        ``"average clear"``, ``"look: measure at the plug"``, ``"feed side convicted"``, ``"battery low: charge it"``
        or ``"readings do not agree"``.

    Notes
    -----
    A clear average does not exclude short dips. The readout costs a minute at the helm and comes first.

    Examples
    --------
    >>> readout_verdict(idle_v=12.5, loaded_v=12.3, change_v=0.4, bad_change_v=0.5, floor_v=9.8)
    'average clear'
    """
    # Readouts show tenths: 12.5 - 12.1 is no more than 0.4.
    change, usual = np.asarray(idle_v - loaded_v), np.asarray(change_v)
    return np.select(
        [exceeds(-change, usual), exceeds(change, bad_change_v), exceeds(change, usual),
         falls_short(loaded_v, floor_v)],
        ["readings do not agree", "feed side convicted", "look: measure at the plug", "battery low: charge it"],
        "average clear",
    )  # fmt: skip
