"""Design of a lead: the longest run of a conductor and the smallest conductor of a run."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short, first_not_below
from leadsman.compute.supply.ampacity import (
    BUNDLED_INPUT,
    ENGINE_SPACE_INPUT,
    INSULATION_INPUT,
    ISO_AMPERES,
    SMALLEST_SEPARATE,
    TABLE_5_AMPERES,
    ampacity,
)
from leadsman.compute.supply.conductors import (
    AWG_NAMES,
    CONDUCTOR_INPUT,
    METRIC_NAMES,
    SAE_NAMES,
    conductor_area,
    conductor_resistance,
    construction_input,
    temperature_input,
)
from leadsman.compute.supply.drop_rules import area_circular_mils
from leadsman.compute.supply.voltage_drop import (
    CURRENT_INPUT,
    DROP_LIMIT_INPUT,
    LENGTH_INPUT,
    NOMINAL_INPUT,
    contact_input,
    voltage_drop,
)

SERIES = {"AWG": AWG_NAMES, "SAE": SAE_NAMES, "mm2": METRIC_NAMES}
SERIES_INPUT = Choice("series", ("AWG", "SAE", "mm2"), "Series of sizes to choose from.", default="AWG")
LOADED_INPUT = Number("current", "A", 0.01, 300.0, "Steady current of the load.")


@formula(
    "supply.longest_run",
    title="Longest run of a conductor",
    inputs=(
        CONDUCTOR_INPUT,
        LOADED_INPUT,
        NOMINAL_INPUT,
        DROP_LIMIT_INPUT,
        construction_input("tinned"),
        temperature_input(30.0),
        contact_input(0.0),
    ),
    outputs=(Output("length", "m", "Longest one-way route."),),
    method="l = (p V/100 - I R_contact) / (2 I R'(T))",
    sources=("faa-ac43.13-1b, Table 11-8", "iec-60228, Table 3", "abyc-e11, the 3 % and 10 % limits"),
    accuracy="On the safe side: the table resistance is a maximum. Round down to print.",
)
def longest_run(
    *,
    conductor: str,
    current_a: Values,
    nominal_v: Values = 12.0,
    drop_pct: Values = 3.0,
    construction: str = "tinned",
    temperature_c: Values = 30.0,
    contact_ohm: Values = 0.0,
) -> Values:
    """Longest one-way route of a lead that keeps its drop within the limit, from the table resistance.

    Returns
    -------
    float or array
        One-way length, not rounded [m].

    Raises
    ------
    NoAnswer
        The contacts alone use up the permitted drop.

    Notes
    -----
    Copper only by default, as the standards count it. Ampacity is a separate limit:
    :func:`smallest_conductor`.

    Examples
    --------
    >>> longest_run(conductor="16 AWG", current_a=4.0)
    2.744
    >>> longest_run(conductor="16 AWG", current_a=4.0, construction="stranded", temperature_c=20.0)
    3.349
    """
    left_v = np.asarray(nominal_v * drop_pct / 100 - current_a * contact_ohm)
    if np.any(left_v <= 0):
        raise NoAnswer("the contacts alone drop more than the limit permits: mend them, or permit more drop")
    per_m = (
        conductor_resistance(conductor=conductor, construction=construction, temperature_c=temperature_c)
        / 1000
    )
    result: Values = left_v / (2 * current_a * per_m)
    return result


class SmallestConductor(NamedTuple):
    """The smallest size that serves, what governs the choice, and what it then does."""

    conductor: Any
    governed_by: Any
    drop: Values
    ampacity: Values


@formula(
    "supply.smallest_conductor",
    title="Smallest conductor that serves",
    inputs=(
        CURRENT_INPUT,
        LENGTH_INPUT,
        SERIES_INPUT,
        NOMINAL_INPUT,
        DROP_LIMIT_INPUT,
        construction_input("tinned"),
        temperature_input(30.0),
        INSULATION_INPUT,
        ENGINE_SPACE_INPUT,
        BUNDLED_INPUT,
    ),
    outputs=(
        Output("conductor", "", "Smallest size that serves."),
        Output("governed_by", "", "drop, ampacity or minimum size."),
        Output("drop", "V", "Drop of that size."),
        Output("ampacity", "A", "Allowable current of that size."),
    ),
    method="First size not below the minimum whose drop and ampacity both hold",
    sources=(
        "faa-ac43.13-1b, Table 11-9",
        "iec-60228, Table 3",
        "cfr-33-183",
        "iso-10133, 7.3 and Table A.1",
    ),
    accuracy="On the safe side: greatest table resistance, reduced ampacity, standards' minimum size.",
)
def smallest_conductor(
    *,
    current_a: Values,
    length_m: Values,
    series: str = "AWG",
    nominal_v: Values = 12.0,
    drop_pct: Values = 3.0,
    construction: str = "tinned",
    temperature_c: Values = 30.0,
    insulation_c: Values = 105.0,
    engine_space: str = "no",
    bundled_conductors: Values = 1.0,
) -> SmallestConductor:
    """Smallest size of a series that keeps drop and ampacity and the standards' minimum, by trying each size.

    The first size from the minimum (16 AWG or 1 mm2) up with ``dV <= p V/100`` and ``I <= I_allowed``.

    Raises
    ------
    NoAnswer
        No size of the series serves.

    Notes
    -----
    Never below 16 AWG or 1 mm2, the standards' minimum for a conductor on its own; smaller cores inside a
    sheath are permitted by the standards but not proposed here. The scope of the ampacity table is that of
    :func:`leadsman.compute.supply.ampacity.ampacity`.

    Examples
    --------
    >>> smallest_conductor(current_a=4.0, length_m=5.0)
    SmallestConductor(conductor='12 AWG', governed_by='drop', drop=0.275..., ampacity=45.0)
    """
    names = _sizes_from_minimum(series)
    limit_v = np.asarray(nominal_v * drop_pct / 100)
    current, length, limit_v, temperature, insulation, bundled = np.broadcast_arrays(
        current_a, length_m, limit_v, temperature_c, insulation_c, bundled_conductors
    )
    drops = np.stack([
        np.asarray(voltage_drop(
            current_a=current, length_m=length, conductor=name, construction=construction,
            temperature_c=temperature,
        )) for name in names
    ])  # fmt: skip
    allowed = np.stack([
        np.asarray(ampacity(
            conductor=name, insulation_c=insulation, engine_space=engine_space, bundled_conductors=bundled
        )) for name in names
    ])  # fmt: skip
    by_drop = _first_that_holds(~exceeds(drops, limit_v), names, "the permitted drop")
    by_ampacity = _first_that_holds(~falls_short(allowed, current), names, "the current")
    chosen = np.maximum(by_drop, by_ampacity)
    governed = np.where(chosen == 0, "minimum size", np.where(by_drop >= by_ampacity, "drop", "ampacity"))
    return SmallestConductor(
        np.array(names)[chosen],
        governed,
        np.take_along_axis(drops, chosen[np.newaxis], axis=0)[0],
        np.take_along_axis(allowed, chosen[np.newaxis], axis=0)[0],
    )


def _sizes_from_minimum(series: str) -> list[str]:
    """Sizes that may be installed on their own and have an ampacity, smallest first."""
    sizes = SERIES[series]
    allowed = sizes[sizes.index(SMALLEST_SEPARATE[series]) :]
    return [name for name in allowed if name in ISO_AMPERES or name.partition(" ")[0] in TABLE_5_AMPERES]


def _first_that_holds(holds: NDArray[np.bool_], names: list[str], what: str) -> NDArray[np.intp]:
    """Index of the first size along axis 0 that holds; drop falls and ampacity rises with size."""
    if not np.all(np.any(holds, axis=0)):
        raise NoAnswer(
            f"no size up to {names[-1]} keeps {what}: shorten the run, split the load or raise the voltage"
        )
    first: NDArray[np.intp] = np.argmax(holds, axis=0)
    return first


@formula(
    "supply.smallest_conductor_circular_mils",
    title="Conductor by the US small-craft tables",
    inputs=(CURRENT_INPUT, LENGTH_INPUT, NOMINAL_INPUT, DROP_LIMIT_INPUT),
    outputs=(Output("conductor", "", "Size that the standard's drop table gives."),),
    method="First SAE minimum area >= 10.75 I L / dV",
    sources=("abyc-e11, areas from memory", "sae-j1127"),
    accuracy="Reproduces the published 12 V, 3 % table; SAE minima from memory of the standard.",
    serves="Which conductor do the US small-craft tables ask for?",
)
def smallest_conductor_circular_mils(
    *, current_a: Values, length_m: Values, nominal_v: Values = 12.0, drop_pct: Values = 3.0
) -> Any:
    """Size that the US small-craft drop tables give, from K = 10.75 and the SAE minimum copper areas.

    The first size with ``CM_minimum >= 10.75 I L / (p V)``.

    Raises
    ------
    NoAnswer
        More copper is needed than 4/0 has.

    Notes
    -----
    Shows what a reader finds in the printed table: drop only, no ampacity, and 18 SAE where the table has it.
    :func:`smallest_conductor` is the size to fit.

    Examples
    --------
    >>> smallest_conductor_circular_mils(current_a=5.0, length_m=25 * 0.3048 / 2)
    '12 SAE'
    """
    areas = np.array([conductor_area(conductor=name) for name in SAE_NAMES])
    needed = area_circular_mils(
        current_a=current_a, length_m=length_m, nominal_v=nominal_v, drop_pct=drop_pct
    )
    index = first_not_below(areas, needed)
    if np.any(index >= len(areas)):
        raise NoAnswer("more copper is needed than 4/0 has: shorten the run or raise the voltage")
    return np.array(SAE_NAMES)[index]
