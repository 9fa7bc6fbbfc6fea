"""Fuses: the rating to fit, and what a blade fuse tells when volts are measured across it."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, first_not_below
from leadsman.compute.supply.ampacity import BUNDLED_INPUT, ENGINE_SPACE_INPUT, INSULATION_INPUT, ampacity
from leadsman.compute.supply.conductors import CONDUCTOR_INPUT
from leadsman.compute.supply.plug_checks import LOW_LIMIT_INPUT, least_of_system

#: Ratings, A, and colours of blade fuses (ISO 8820-3:2015 type C; colours 1, 4, 7.5, 30 and 35 A from
#: memory).
BLADE_COLOURS = {
    1.0: "black", 2.0: "grey", 3.0: "violet", 4.0: "pink", 5.0: "tan", 7.5: "brown", 10.0: "red",
    15.0: "blue", 20.0: "yellow", 25.0: "clear", 30.0: "green", 35.0: "blue-green", 40.0: "orange",
}  # fmt: skip
BLADE_RATINGS_A = tuple(BLADE_COLOURS)

#: Cold resistance of typical blade fuses, ohm (typical data from memory; the 10 A value from a published
#: chart).
BLADE_COLD_OHM = {
    1.0: 0.123, 2.0: 0.0535, 3.0: 0.0311, 4.0: 0.0228, 5.0: 0.0179, 7.5: 0.0109, 10.0: 0.00769,
    15.0: 0.0048, 20.0: 0.0034, 25.0: 0.0025, 30.0: 0.0020, 35.0: 0.0017, 40.0: 0.0014,
}  # fmt: skip

#: Shortest and longest time to open, s, by load in percent of the rating (ISO 8820-3 type C, from memory).
BLADE_OPENING_S = {
    "110 %": (360000.0, float("inf")),
    "135 %": (0.75, 600.0),
    "200 %": (0.15, 5.0),
    "350 %": (0.04, 0.5),
    "600 %": (0.02, 0.1),
}

#: A fuse carries its rating for long only cold and new: rating >= 1.25 x continuous current (NEC 210.20(A)).
CONTINUOUS_FACTOR = 1.25
#: Greatest distance of the fuse from the source along the conductor, mm (33 CFR 183.455): 7 in; 40 in if
#: sheathed.
FUSE_DISTANCE_MM = {"no": 177.8, "yes": 1016.0}

LOAD_INPUT = Number("current", "A", 0.01, 32.0, "Greatest continuous current of the load.")


def _next_rating_index(needed_a: Values) -> Any:
    # 1.25 x 8 A fits a 10 A fuse whatever the last binary digit.
    return first_not_below(BLADE_RATINGS_A, needed_a)


_MAKER_FUSE_INPUT = Number(
    "maker_fuse", "A", 0.0, 40.0, "Greatest rating that the unit's maker states; 0 = none stated.", 0.0
)


@formula(
    "supply.next_fuse",
    title="Blade fuse next above a continuous current",
    inputs=(LOAD_INPUT,),
    outputs=(Output("rating", "A", "Fuse rating."),),
    method="Smallest blade rating >= 1.25 I",
    sources=("nec-210.20", "iso-8820-3"),
    accuracy="Exact choice from the series 1 to 40 A.",
)
def next_fuse(*, current_a: Values) -> Values:
    """Smallest blade fuse that a continuous current loads to no more than 80 %, from the series of ratings.

    Notes
    -----
    By load only: :func:`fuse` also respects the conductor and the maker's stated rating.

    Examples
    --------
    >>> next_fuse(current_a=5.0)
    7.5
    """
    rating: Values = np.array(BLADE_RATINGS_A)[_next_rating_index(CONTINUOUS_FACTOR * current_a)]
    return rating


class Fuse(NamedTuple):
    """The fuse to fit, its colour, and the greatest rating that conductor and maker would permit."""

    rating: Values
    colour: Any
    greatest: Values


@formula(
    "supply.fuse",
    title="Fuse to fit",
    inputs=(
        LOAD_INPUT,
        CONDUCTOR_INPUT,
        _MAKER_FUSE_INPUT,
        Number(
            "conductor_share", "%", 50.0, 150.0, "Share of ampacity that the fuse may reach.", default=100.0
        ),
        INSULATION_INPUT,
        ENGINE_SPACE_INPUT,
        BUNDLED_INPUT,
    ),
    outputs=(
        Output("rating", "A", "Rating to fit."),
        Output("colour", "", "Colour of that blade fuse."),
        Output("greatest", "A", "Greatest permitted rating."),
    ),
    method="Smallest blade rating >= 1.25 I that exceeds neither the conductor's limit nor the maker's rating",
    sources=("nec-210.20", "cfr-33-183", "iso-8820-3"),
    accuracy="Exact choice; limits as in supply.ampacity.",
)
def fuse(
    *,
    current_a: Values,
    conductor: str,
    maker_fuse_a: Values = 0.0,
    conductor_share_pct: Values = 100.0,
    insulation_c: Values = 105.0,
    engine_space: str = "no",
    bundled_conductors: Values = 1.0,
) -> Fuse:
    """Fuse for a lead: the next rating above the load that both the conductor and the unit's maker permit.

    ``1.25 I <= I_fuse <= min(share x I_allowed, I_maker)``, from the series of blade fuses.

    Raises
    ------
    NoAnswer
        No rating satisfies load, conductor and maker together; the message says which limit to change.

    Notes
    -----
    100 % of ampacity is the default; 33 CFR 183.455 permits 150 % below 50 V. The fuse stands in the
    ungrounded conductor, within 7 in of the source (40 in if sheathed). A blade fuse breaks at most 1 kA: a
    lithium or large lead bank needs another kind at its terminal. Never fit a larger fuse than computed here.

    Examples
    --------
    >>> fuse(current_a=4.0, conductor="16 AWG")
    Fuse(rating=5.0, colour='tan', greatest=25.0)
    """
    allowed = ampacity(
        conductor=conductor,
        insulation_c=insulation_c,
        engine_space=engine_space,
        bundled_conductors=bundled_conductors,
    )
    by_conductor = np.asarray(allowed) * conductor_share_pct / 100
    by_maker = np.where(np.asarray(maker_fuse_a) > 0, maker_fuse_a, np.inf)
    rating = np.asarray(next_fuse(current_a=current_a))
    _refuse(rating, by_conductor, f"{conductor} permits no fuse that large: fit a bigger conductor")
    _refuse(rating, by_maker, "the unit's maker permits no fuse that large: check the load, or ask the maker")
    greatest = np.minimum(by_conductor, by_maker)
    colours = np.array(list(BLADE_COLOURS.values()))
    return Fuse(*np.broadcast_arrays(rating, colours[_next_rating_index(rating)], greatest))


def _refuse(rating: Any, limit: Any, reason: str) -> None:
    rating, limit = np.broadcast_arrays(rating, limit)
    beyond = exceeds(rating, limit)
    if np.any(beyond):
        raise NoAnswer(f"the load needs {rating[beyond].flat[0]:g} A; {reason}")


class UnitFuse(NamedTuple):
    """The fuse for a unit of known power, and the current for which it is chosen."""

    current: Values
    rating: Values
    colour: Any
    greatest: Values


def greatest_current(
    unit_power_w: Values, low_limit_v: Values, nominal_v: Values, working_drop_pct: Values
) -> Values:
    """Current of a unit that holds its power, at the lowest volts at which it is meant to run [A].

    On twelve volts those are its low limit, above that at least the nominal volts less the permitted drop.
    """
    return unit_power_w / least_of_system(low_limit_v, nominal_v, working_drop_pct)


_RATING_INPUT = Choice(
    "rating", tuple(f"{rating:g} A" for rating in BLADE_RATINGS_A), "Rating printed on the fuse."
)
_UNIT_INPUTS = (
    Number("unit_power", "W", 0.1, 350.0, "Power that the unit draws, transmitting, full brightness."),
    LOW_LIMIT_INPUT,
    Number("nominal", "V", 6.0, 48.0, "Nominal voltage of the system.", default=12.0),
    Number("working_drop", "%", 0.0, 50.0, "Drop that the standards allow, of nominal; used above 12 V."),
)


@formula(
    "supply.unit_fuse",
    title="Fuse for a unit",
    inputs=(
        *_UNIT_INPUTS,
        CONDUCTOR_INPUT,
        Number(
            "maker_fuse", "A", 0.0, 40.0, "Greatest rating that the unit's maker states; 0 = none stated."
        ),
    ),
    outputs=(
        Output("current", "A", "Greatest current of the unit."),
        Output("rating", "A", "Least rating to fit."),
        Output("colour", "", "Colour of that blade fuse."),
        Output("greatest", "A", "Greatest permitted rating: the smaller of conductor and maker."),
    ),
    method="I = P / V_lowest, since the unit holds its power; then supply.fuse",
    sources=("horowitz-hill-2015", "nec-210.20", "cfr-33-183", "iso-8820-3"),
    accuracy="Exact choice; limits as in supply.ampacity.",
)
def unit_fuse(
    *,
    unit_power_w: Values,
    low_limit_v: Values,
    nominal_v: Values = 12.0,
    working_drop_pct: Values,
    conductor: str,
    maker_fuse_a: Values,
) -> UnitFuse:
    """Fuse for a unit that holds its power: from the current that it draws at its lowest volts.

    ``I = P/V_lowest``, ``1.25 I <= I_fuse <= min(I_allowed, I_maker)``.

    Raises
    ------
    NoAnswer
        No rating satisfies load, conductor and maker together; the message says which limit to change.

    Notes
    -----
    Every rating from ``rating`` to ``greatest`` is right. The maker's own lies among them.

    Examples
    --------
    >>> unit_fuse(unit_power_w=45.6, low_limit_v=10.5, working_drop_pct=10.0, conductor="12 AWG", maker_fuse_a=7.5)
    UnitFuse(current=4.343, rating=7.5, colour='brown', greatest=7.5)
    """
    current = greatest_current(unit_power_w, low_limit_v, nominal_v, working_drop_pct)
    chosen = fuse(current_a=current, conductor=conductor, maker_fuse_a=maker_fuse_a)
    return UnitFuse(*np.broadcast_arrays(current, chosen.rating, chosen.colour, chosen.greatest))


@formula(
    "supply.fuse_drop_limit",
    title="Volts across a fuse up to which its unit draws no more than it may",
    inputs=(
        _RATING_INPUT,
        *_UNIT_INPUTS,
        _MAKER_FUSE_INPUT,
        Number("warming", "%", 0.0, 100.0, "How much more a warm fuse resists than a cold one."),
    ),
    outputs=(Output("drop", "V", "Across the fuse's two test points, no more."),),
    method="V = P / V_lowest x R_cold x (1 + warming); refused below 1.25 P / V_lowest and above the maker's rating",
    sources=("common-practice", "nec-210.20", "iso-8820-3"),
    accuracy="15 %, the spread of cold resistances; it finds a plain overload, not one of a tenth.",
)
def fuse_drop_limit(
    *,
    rating: str,
    unit_power_w: Values,
    low_limit_v: Values,
    nominal_v: Values = 12.0,
    working_drop_pct: Values,
    maker_fuse_a: Values = 0.0,
    warming_pct: Values,
) -> Values:
    """Greatest volts across a warm fuse while a sound unit draws its greatest current through it.

    Raises
    ------
    NoAnswer
        The rating is too small for the unit, or larger than its maker states.

    Notes
    -----
    One number for every unit and fuse would convict sound ones: 1.1 A drops 59 mV on a cold 2 A fuse, 3.8 A only
    41 mV on one of 7.5 A.

    Examples
    --------
    >>> fuse_drop_limit(rating="2 A", unit_power_w=13.2, low_limit_v=10.0, working_drop_pct=10.0, warming_pct=50.0)
    0.1059
    """
    amperes = float(rating.split()[0])
    current = greatest_current(unit_power_w, low_limit_v, nominal_v, working_drop_pct)
    if np.any(exceeds(CONTINUOUS_FACTOR * np.asarray(current), amperes)):
        raise NoAnswer(f"a fuse of {rating} is too small: 1.25 times the unit's greatest current is more")
    if np.any((np.asarray(maker_fuse_a) > 0) & (amperes > np.asarray(maker_fuse_a) * (1 + 1e-9))):
        raise NoAnswer(f"a fuse of {rating} is larger than the unit's maker states")
    return current * BLADE_COLD_OHM[amperes] * (1 + np.asarray(warming_pct) / 100)


@formula(
    "supply.fuse_current",
    title="Current through a blade fuse from the volts across it",
    inputs=(
        _RATING_INPUT,
        Number("drop", "V", 0.0, 0.2, "Volts across the fuse, probe on both test points."),
    ),
    outputs=(Output("current", "A", "Current through the fuse."),),
    method="I = V / R_cold of that rating",
    sources=("common-practice", "iso-8820-3"),
    accuracy="15 % up to half the rating; above, the element warms and the true current is up to a third less.",
    serves="What current do these millivolts across a fuse mean?",
)
def fuse_current(*, rating: str, drop_v: Values) -> Values:
    """Current that flows in a branch, read as a drop across its blade fuse without opening the circuit.

    Raises
    ------
    NoAnswer
        The drop would mean more than the fuse's rating: not the fuse, but its holder is being measured.

    Notes
    -----
    Finds the branch that still draws current with everything off. Cold resistances are typical values.

    Examples
    --------
    >>> fuse_current(rating="10 A", drop_v=0.001)
    0.130
    """
    amperes = float(rating.split()[0])
    current = drop_v / BLADE_COLD_OHM[amperes]
    if np.any(exceeds(current, 1.5 * amperes)):
        raise NoAnswer(
            "that drop means far more than the rated current: look for a blown fuse or a burnt holder"
        )
    return current


class OpeningTime(NamedTuple):
    """Shortest and longest time in which a fuse opens."""

    shortest: float
    longest: float


@formula(
    "supply.fuse_opening_time",
    title="Time in which a blade fuse opens",
    inputs=(Choice("load", tuple(BLADE_OPENING_S), "Load in percent of the rating."),),
    outputs=(
        Output("shortest", "s", "It must hold at least this long."),
        Output("longest", "s", "It must have opened by then; infinite where it need not open."),
    ),
    method="Operating-time table of blade fuses, type C",
    sources=("iso-8820-3, operating-time ratings of type C (from memory)",),
    accuracy="Windows from memory of the standard; they differ slightly by rating.",
    serves="How soon does this fuse open?",
)
def fuse_opening_time(*, load: str) -> OpeningTime:
    """Time window in which a blade fuse opens at a multiple of its rating, from the standard's table.

    ``t_min <= t <= t_max`` by load.

    Notes
    -----
    A fuse is slow: at twice its rating it may take 5 s, so it protects the conductor, not the unit.

    Examples
    --------
    >>> fuse_opening_time(load="200 %")
    OpeningTime(shortest=0.15, longest=5.0)
    """
    return OpeningTime(*BLADE_OPENING_S[load])


@formula(
    "supply.fuse_distance",
    title="Greatest distance of a fuse from its source",
    inputs=(
        Choice("sheathed", ("no", "yes"), "Whether the conductor is sheathed or enclosed up to the fuse."),
    ),
    outputs=(Output("distance", "mm", "Along the conductor, no more."),),
    method="7 in, or 40 in where the conductor is sheathed or enclosed for the whole length",
    sources=("cfr-33-183",),
    accuracy="Exact inches of the regulation; round down to print.",
)
def fuse_distance(*, sheathed: str) -> float:
    """Greatest length of conductor between the source and its fuse, from the regulation.

    ``7 in = 177.8 mm``, ``40 in = 1016 mm``.

    Notes
    -----
    At the source itself wherever that is practicable; the conductor up to the fuse is protected by nothing.

    Examples
    --------
    >>> fuse_distance(sheathed="no")
    177.8
    """
    return FUSE_DISTANCE_MM[sheathed]
