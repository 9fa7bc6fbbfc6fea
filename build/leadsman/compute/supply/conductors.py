"""Copper conductors: gauge names, copper area, and resistance by construction and temperature.

Three series of names are known: ``16 AWG`` (American wire gauge, nominal copper), ``16 SAE``
(the same number with the smaller minimum copper that SAE permits) and ``1.5 mm2`` (IEC 60228).
Three constructions are known, because a limit and a prediction need different numbers:

``tinned``
    the *greatest* resistance that the tables allow for tinned flexible cable: for design limits;
``stranded``
    what a sound stranded lead measures: nominal copper plus 2 % for the lay, and for metric cable
    the class 5 plain table: for predictions;
``solid``
    pure annealed copper of the nominal area: for comparison only.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, Number, Output, Values, formula
from leadsman.compute.rounding import first_not_below

#: Resistivity of the International Annealed Copper Standard at 20 degC, ohm mm2/m (exactly 1/58).
COPPER_RESISTIVITY_OHM_MM2_PER_M = 1.0 / 58.0
#: Magnitude of the inferred temperature of zero resistance of copper, degC (FAA AC 43.13-1B, par. 11-66).
ZERO_RESISTANCE_C = 234.5
#: One circular mil, the area of a circle of 0.001 in diameter, in mm2.
CIRCULAR_MIL_MM2 = math.pi / 4 * 0.0254**2
FOOT_M = 0.3048
#: Added length of the lay of a stranded conductor (2 %): NEC Table 8, stranded against solid, 1.018 to 1.026.
LAY_FACTOR = 1.02
#: Coated strands against uncoated: NEC Chapter 9 Table 8 has 1.04 to 1.063, rounded up here.
TIN_FACTOR = 1.07

#: Index n of the AWG diameter formula; 1/0 is 0, 2/0 is -1 and so on.
AWG_INDEX = {
    "22 AWG": 22, "20 AWG": 20, "18 AWG": 18, "16 AWG": 16, "14 AWG": 14, "12 AWG": 12, "10 AWG": 10,
    "8 AWG": 8, "6 AWG": 6, "4 AWG": 4, "2 AWG": 2, "1 AWG": 1,
    "1/0 AWG": 0, "2/0 AWG": -1, "3/0 AWG": -2, "4/0 AWG": -3,
}  # fmt: skip

#: Greatest resistance at 20 degC of tin-plated stranded copper, ohm per 1000 ft (FAA AC 43.13-1B, Table
#: 11-9).
FAA_TINNED_OHM_PER_1000_FT = {
    "22 AWG": 16.2, "20 AWG": 9.88, "18 AWG": 6.23, "16 AWG": 4.81, "14 AWG": 3.06, "12 AWG": 2.02,
    "10 AWG": 1.26, "8 AWG": 0.70, "6 AWG": 0.44, "4 AWG": 0.28, "2 AWG": 0.18, "1 AWG": 0.15,
    "1/0 AWG": 0.12, "2/0 AWG": 0.09, "3/0 AWG": 0.07, "4/0 AWG": 0.06,
}  # fmt: skip

#: Minimum copper of SAE gauges, circular mils (SAE J378/J1127/J1128 as used by ABYC E-11; from memory).
SAE_MINIMUM_CIRCULAR_MILS = {
    "18 SAE": 1537, "16 SAE": 2336, "14 SAE": 3702, "12 SAE": 5833, "10 SAE": 9343, "8 SAE": 14810,
    "6 SAE": 24538, "4 SAE": 37360, "2 SAE": 62450, "1 SAE": 77790,
    "1/0 SAE": 98980, "2/0 SAE": 125100, "3/0 SAE": 158600, "4/0 SAE": 205500,
}  # fmt: skip

#: Area in mm2, then the greatest resistance at 20 degC of class 5, plain and tinned, ohm/km (IEC 60228:2004,
#: Table 3).
IEC_CLASS_5 = {
    "0.5 mm2": (0.5, 39.0, 40.1), "0.75 mm2": (0.75, 26.0, 26.7), "1 mm2": (1.0, 19.5, 20.0),
    "1.5 mm2": (1.5, 13.3, 13.7), "2.5 mm2": (2.5, 7.98, 8.21), "4 mm2": (4.0, 4.95, 5.09),
    "6 mm2": (6.0, 3.30, 3.39), "10 mm2": (10.0, 1.91, 1.95), "16 mm2": (16.0, 1.21, 1.24),
    "25 mm2": (25.0, 0.780, 0.795), "35 mm2": (35.0, 0.554, 0.565), "50 mm2": (50.0, 0.386, 0.393),
    "70 mm2": (70.0, 0.272, 0.277), "95 mm2": (95.0, 0.206, 0.210), "120 mm2": (120.0, 0.161, 0.164),
}  # fmt: skip

AWG_NAMES = tuple(AWG_INDEX)
SAE_NAMES = tuple(SAE_MINIMUM_CIRCULAR_MILS)
METRIC_NAMES = tuple(IEC_CLASS_5)
#: Every conductor name that the supply formulas take.
CONDUCTORS = AWG_NAMES + SAE_NAMES + METRIC_NAMES
CONSTRUCTIONS = ("tinned", "stranded", "solid")

_CONSTRUCTION = (
    "Which resistance counts: tinned is the greatest permitted, for a limit; stranded what a sound lead measures, "
    "for a prediction; solid pure copper, to compare."
)
CONDUCTOR_INPUT = Choice("conductor", CONDUCTORS, "Size of each of the two conductors.")


def construction_input(default: str) -> Choice:
    """The input that names the construction, with the default that suits a limit or a prediction."""
    return Choice("construction", CONSTRUCTIONS, _CONSTRUCTION, default=default)


def temperature_input(default: float) -> Number:
    """The input for the temperature of the copper, which is warmer than the air around a loaded cable."""
    return Number("temperature", "degC", -40.0, 200.0, "Temperature of the copper.", default=default)


def _awg_diameter_mm(index: float) -> float:
    return float(0.127 * 92 ** ((36 - index) / 39))


def _area_mm2(conductor: str) -> float:
    if conductor in AWG_INDEX:
        return math.pi / 4 * _awg_diameter_mm(AWG_INDEX[conductor]) ** 2
    if conductor in SAE_MINIMUM_CIRCULAR_MILS:
        return SAE_MINIMUM_CIRCULAR_MILS[conductor] * CIRCULAR_MIL_MM2
    return IEC_CLASS_5[conductor][0]


def _resistance_20_ohm_per_km(conductor: str, construction: str) -> float:
    """Resistance at 20 degC: from the table of the construction where there is one, else from the copper
    area."""
    copper = 1000.0 * COPPER_RESISTIVITY_OHM_MM2_PER_M / _area_mm2(conductor)
    if construction == "solid":
        return copper
    if conductor in IEC_CLASS_5:
        _, plain, tinned = IEC_CLASS_5[conductor]
        return tinned if construction == "tinned" else plain
    if construction == "stranded":
        return copper * LAY_FACTOR
    from_copper = copper * LAY_FACTOR * TIN_FACTOR
    # Aircraft strands of 22 to 18 AWG hold 17 % more copper than the gauge: their table is no maximum there.
    from_table = FAA_TINNED_OHM_PER_1000_FT.get(conductor, 0.0) / FOOT_M
    return max(from_copper, from_table)


@formula(
    "supply.temperature_factor",
    title="Rise of copper resistance with temperature",
    inputs=(Number("temperature", "degC", -40.0, 200.0, "Temperature of the copper."),),
    outputs=(Output("factor", "1", "Resistance as a multiple of that at 20 degC."),),
    method="R(T)/R(20) = (234.5 + T)/254.5",
    sources=("faa-ac43.13-1b, par. 11-66 (4)", "iec-60028"),
    accuracy="0.1 % for annealed copper between -40 and 150 degC.",
)
def temperature_factor(*, temperature_c: Values) -> Values:
    """Resistance of copper at a temperature, as a multiple of its resistance at 20 degC.

    ``R(T)/R(20) = (234.5 + T)/(234.5 + 20)``, the same as a coefficient of 0.00393 /K.

    Notes
    -----
    The inverse shortens a permitted run: a lead sized at 20 degC may be only 0.89 as long in a space at 50
    degC.

    Examples
    --------
    >>> temperature_factor(temperature_c=50.0)
    1.1179
    """
    return (ZERO_RESISTANCE_C + temperature_c) / (ZERO_RESISTANCE_C + 20.0)


@formula(
    "supply.conductor_area",
    title="Copper area of a conductor",
    inputs=(CONDUCTOR_INPUT,),
    outputs=(Output("area", "mm2", "Copper area."),),
    method="AWG: d = 0.127 mm x 92^((36 - n)/39); SAE: minimum circular mils; metric: the nominal area",
    sources=("astm-b258", "sae-j1127, minimum areas, from memory", "iec-60228, Table 3"),
    accuracy="AWG exact by definition; SAE minima from memory of the standard.",
)
def conductor_area(*, conductor: str) -> float:
    """Copper area of a named conductor, from the definition of its gauge.

    ``d = 0.127 mm x 92^((36 - n)/39)``, ``A = pi d^2/4`` for AWG number ``n`` (1/0 counts as 0, 2/0 as -1).

    Notes
    -----
    A conductor sold by an SAE gauge has 5 to 11 % less copper than the AWG size of the same number.

    Examples
    --------
    >>> conductor_area(conductor="16 AWG")
    1.3087
    """
    return _area_mm2(conductor)


@formula(
    "supply.conductor_resistance",
    title="Resistance of a conductor per kilometre",
    inputs=(CONDUCTOR_INPUT, construction_input("tinned"), temperature_input(30.0)),
    outputs=(Output("resistance", "ohm/km", "Resistance of one conductor."),),
    method="Resistance at 20 degC of the table (FAA Table 11-9, IEC 60228) or of the copper, x (234.5 + T)/254.5",
    sources=(
        "faa-ac43.13-1b, Table 11-9",
        "iec-60228, Table 3",
        "nec-table-8, Chapter 9 Table 8",
        "iec-60028",
    ),
    accuracy="Tables are maxima; the FAA table has two decimals, so 5 to 8 % of rounding above 2 AWG.",
)
def conductor_resistance(
    *, conductor: str, construction: str = "tinned", temperature_c: Values = 30.0
) -> Values:
    """Resistance of one conductor per kilometre, from its table at 20 degC corrected to the copper's
    temperature.

    ``R' = R'20 (234.5 + T)/254.5``; ``R'20`` is the table's value, or ``1000 rho/A`` where there is no table.

    Returns
    -------
    float or array
        Resistance of one conductor, not of the loop [ohm/km]; the shape of ``temperature_c``.

    Notes
    -----
    30 degC is the default of design limits; take 50 degC in an engine space. Stranded copper is taken 2 %
    above solid copper, tinned strands without a table a further 7 %. For 22 to 18 AWG that is more than the
    aircraft table, whose strands hold more copper than the gauge. Tables of land practice (NEC Table 8) hold
    at 75 degC and must be divided by 1.216 before they are compared.

    Examples
    --------
    >>> conductor_resistance(conductor="1.5 mm2", temperature_c=20.0)
    13.70
    >>> conductor_resistance(conductor="16 AWG", construction="stranded", temperature_c=20.0)
    13.44
    """
    return _resistance_20_ohm_per_km(conductor, construction) * temperature_factor(
        temperature_c=temperature_c
    )


class EquivalentGauge(NamedTuple):
    """The AWG sizes beside a metric area: the nearest one, and the smallest that has no less copper."""

    nearest: Any
    not_smaller: Any


@formula(
    "supply.equivalent_gauge",
    title="American wire gauge beside a metric area",
    inputs=(Number("area", "mm2", 0.33, 107.2, "Copper area."),),
    outputs=(
        Output("nearest", "", "AWG size nearest in area ratio."),
        Output("not_smaller", "", "Smallest AWG size with no less copper."),
    ),
    method="Least |ln(A/A_AWG)| over the standard sizes 22 to 4/0",
    sources=("astm-b258",),
    accuracy="Exact by definition of the gauge.",
    serves="Which American gauge stands beside this metric size?",
)
def equivalent_gauge(*, area_mm2: Values) -> EquivalentGauge:
    """AWG size nearest to an area, and the smallest AWG size that may replace it, by comparing areas.

    ``nearest = argmin |ln(A/A_AWG)|`` over the even sizes 22 to 2 and 1, 1/0 to 4/0.

    Returns
    -------
    EquivalentGauge
        ``nearest`` and ``not_smaller``, text or arrays of text; the shape of the input.

    Notes
    -----
    The nearest size is no safe substitute: 16 AWG is nearest to 1.5 mm2 and has 13 % less copper.

    Examples
    --------
    >>> equivalent_gauge(area_mm2=1.5)
    EquivalentGauge(nearest='16 AWG', not_smaller='14 AWG')
    """
    names = np.array(AWG_NAMES)
    areas = np.array([_area_mm2(name) for name in AWG_NAMES])
    area = np.asarray(area_mm2)
    nearest = np.argmin(np.abs(np.log(areas / area[..., np.newaxis])), axis=-1)
    return EquivalentGauge(names[nearest], names[first_not_below(areas, area)])
