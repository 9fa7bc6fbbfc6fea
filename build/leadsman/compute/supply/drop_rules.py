"""Voltage drop as the small-craft standards write it: the percentages and the two rules of thumb.

These are the numbers that a reader of the standards expects. Both rules leave out tin and heat, so
:func:`leadsman.compute.supply.voltage_drop` is the project's own number.
"""

from __future__ import annotations

from leadsman.compute.registry import Output, Values, formula
from leadsman.compute.supply.conductors import CIRCULAR_MIL_MM2, CONDUCTOR_INPUT, FOOT_M, conductor_area
from leadsman.compute.supply.voltage_drop import CURRENT_INPUT, DROP_LIMIT_INPUT, LENGTH_INPUT, NOMINAL_INPUT

#: K of the US small-craft formula CM = K I L / dV, ohm circular mil per foot (ABYC E-11).
K_CIRCULAR_MIL = 10.75
#: Constant of the metric small-craft formula dV = 0.0164 I L / S, ohm mm2/m; it lies below pure copper at 20
#: degC.
METRIC_CONSTANT = 0.0164


@formula(
    "supply.voltage_drop_circular_mils",
    title="Voltage drop by the US small-craft formula",
    inputs=(CURRENT_INPUT, LENGTH_INPUT, CONDUCTOR_INPUT),
    outputs=(Output("drop", "V", "Drop, both conductors."),),
    method="dV = 10.75 I L / CM, L out and back in feet, CM in circular mils",
    sources=("abyc-e11, Table IX note",),
    accuracy="The reader's expected number; 3.7 % above solid copper at 20 degC, below tinned cable.",
    serves="What drop does the US small-craft formula give?",
)
def voltage_drop_circular_mils(*, current_a: Values, length_m: Values, conductor: str) -> Values:
    """Drop of a two-conductor lead by the US small-craft formula with K = 10.75.

    ``dV = 10.75 I L / CM`` with ``L`` the length out and back in feet and ``CM`` the copper in circular mils.

    Notes
    -----
    Print it beside :func:`leadsman.compute.supply.voltage_drop` as the number that a reader of the US tables expects.

    Examples
    --------
    >>> voltage_drop_circular_mils(current_a=4.0, length_m=7.0, conductor="16 SAE")
    0.8455
    """
    circular_mils = conductor_area(conductor=conductor) / CIRCULAR_MIL_MM2
    return K_CIRCULAR_MIL * current_a * (2 * length_m / FOOT_M) / circular_mils


@formula(
    "supply.voltage_drop_square_millimetres",
    title="Voltage drop by the metric small-craft formula",
    inputs=(CURRENT_INPUT, LENGTH_INPUT, CONDUCTOR_INPUT),
    outputs=(Output("drop", "V", "Drop, both conductors."),),
    method="dV = 0.0164 I L / S, L out and back in metres, S in mm2",
    sources=("iso-10133, Annex A",),
    accuracy="4.9 % below pure copper at 20 degC: never the safe value.",
    serves="What drop does the metric small-craft formula give?",
)
def voltage_drop_square_millimetres(*, current_a: Values, length_m: Values, conductor: str) -> Values:
    """Drop of a two-conductor lead by the metric small-craft formula with the constant 0.0164.

    ``dV = 0.0164 I L / S`` with ``L`` the length out and back in metres and ``S`` the copper in mm2.

    Notes
    -----
    The constant is lower than the resistivity of pure copper, so the result is optimistic; no limit rests on
    it.

    Examples
    --------
    >>> voltage_drop_square_millimetres(current_a=1.6, length_m=11.0, conductor="1.5 mm2")
    0.3849
    """
    return METRIC_CONSTANT * current_a * 2 * length_m / conductor_area(conductor=conductor)


@formula(
    "supply.area_circular_mils",
    title="Copper area required by the US small-craft formula",
    inputs=(CURRENT_INPUT, LENGTH_INPUT, NOMINAL_INPUT, DROP_LIMIT_INPUT),
    outputs=(Output("area", "mm2", "Least copper area."),),
    method="CM = 10.75 I L / dV, L out and back in feet; 1 circular mil = 5.06707e-4 mm2",
    sources=("abyc-e11, Table IX note",),
    accuracy="Exact arithmetic of the formula; see supply.voltage_drop_circular_mils for what it leaves out.",
)
def area_circular_mils(
    *, current_a: Values, length_m: Values, nominal_v: Values = 12.0, drop_pct: Values = 3.0
) -> Values:
    """Copper area that keeps a drop within its limit, by the US small-craft formula.

    ``CM = 10.75 I L / (p V)``, given in mm2.

    Notes
    -----
    Sizes of the standard's tables follow when the SAE minimum areas are compared with the result.

    Examples
    --------
    >>> area_circular_mils(current_a=5.0, length_m=25 * 0.3048 / 2)
    1.891
    """
    drop_v = nominal_v * drop_pct / 100
    return K_CIRCULAR_MIL * current_a * (2 * length_m / FOOT_M) / drop_v * CIRCULAR_MIL_MM2
