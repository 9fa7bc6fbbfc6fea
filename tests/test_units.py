"""Units: what is read, what a conversion gives, and that rounding never errs to the unsafe side."""

import contextlib
import functools
import math
from decimal import Decimal
from typing import Any

import numpy as np
import pint
import pytest
import scipy.constants
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from leadsman.arguments import conductor_text, match_choice
from leadsman.compute.registry import Choice, formulas
from leadsman.units import (
    PAIRS,
    UNITS,
    Direction,
    Quantity,
    UnitError,
    area_gauge,
    convert,
    gauge_area_mm2,
    number_text,
    parse,
    present,
    quantity_text,
    round_to,
    symbol,
)

#: A float carries about 16 digits; three of them may be noise after some conversions.
NOISE = 1e-12


# --- reading -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("2 1/2 in", 2.5, "in"),
        ("2-1/2 in", 2.5, "in"),
        ("2½ in", 2.5, "in"),
        ('1/2"', 0.5, "in"),
        ("23 ft 6", 23.5, "ft"),
        ("5' 6 1/2\"", 5 + 6.5 / 12, "ft"),
        ("23’", 23, "ft"),
        ("23‘ 6“", 23.5, "ft"),
        ("6 in.", 6, "in"),
        ("5 ft. 6 in.", 5.5, "ft"),
        ("20 degrees C", 20, "degC"),
        ("20 deg C", 20, "degC"),
        ("68 degrees Fahrenheit", 68, "degF"),
        ("–3 °C", -3, "degC"),
        ("35 ppt", 35, "PSU"),
        ("35 ‰", 35, "PSU"),
        ("2/0", -1, "AWG"),
        ("4/0", -3, "AWG"),
        ("2/0 (AWG)", -1, "AWG"),
        ("12 kohms", 12, "kohm"),
        ("4 A", 4, "A"),
        ("4A", 4, "A"),
        (" 4  amps ", 4, "A"),
        ("12 ft", 12, "ft"),
        ("12'", 12, "ft"),
        ("70 F", 70, "degF"),
        ("70 °F", 70, "degF"),
        ("20C", 20, "degC"),
        ("20 ℃", 20, "degC"),
        ("-3.5 degC", -3.5, "degC"),
        ("−3.5 °C", -3.5, "degC"),
        ("3 %", 3, "%"),
        ("3percent", 3, "%"),
        ("2.5mm2", 2.5, "mm2"),
        ("2.5 mm²", 2.5, "mm2"),
        ("2.5 mm^2", 2.5, "mm2"),
        ("2.5 mm**2", 2.5, "mm2"),
        ("2.5 sq mm", 2.5, "mm2"),
        ("16AWG", 16, "AWG"),
        ("16 awg", 16, "AWG"),
        ("AWG 16", 16, "AWG"),
        ("#16", 16, "AWG"),
        ("1/0 AWG", 0, "AWG"),
        ("4/0AWG", -3, "AWG"),
        ("0 AWG", 0, "AWG"),
        ("0000 AWG", -3, "AWG"),
        ("1e3 m", 1000, "m"),
        ("200 khz", 200, "kHz"),
        ("200KHZ", 200, "kHz"),
        ("4 Mohm", 4, "Mohm"),
        ("4 mohm", 4, "mohm"),
        ("4 MΩ", 4, "Mohm"),
        ("3 knots", 3, "kn"),
        ("5 fathoms", 5, "fathom"),
        ("1.5 µs", 1.5, "us"),
        ("0.5 dB/km", 0.5, "dB/km"),
        ("35 PSU", 35, "PSU"),
        ("7", 7, "1"),
        (".5m", 0.5, "m"),
        ("7\u202fm", 7, "m"),
        ("5 ft 6 in", 5.5, "ft"),
        ("5'6\"", 5.5, "ft"),
        ("5′ 6″", 5.5, "ft"),
    ],
)
def test_reads_what_people_type(text: str, value: float, unit: str) -> None:
    """Spaces, signs, capitals and the usual spellings make no difference."""
    assert parse(text) == Quantity(value, unit)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("", None, "'' is no quantity; write a number and a unit, as in 4 A"),
        ("deep", None, "'deep' is no quantity; write a number and a unit, as in 4 A"),
        ("2,5 mm2", None, "'2,5 mm2' is no quantity; write 2.5 mm2"),
        ("11,5", "V", "'11,5' is no quantity; write 11.5"),
        ("5,3 m", "m", "'5,3 m' is no quantity; write 5.3 m"),
        ("1,200 m", "m", "'1,200 m' is no quantity; write 1.200 m or 1200 m"),
        ("1.200,5 m", "m", "'1.200,5 m' is no quantity; write 1200.5 m"),
        ("21/2 in", None, "'21/2 in' is no quantity; write a fraction as in 2 1/2 in"),
        ("5/0 in", None, "'5/0 in' is no quantity; write a fraction as in 2 1/2 in"),
        ("5 ft 12 in", None, "'5 ft 12 in' is no quantity; a foot has 12 inches"),
        ("5² m", None, "'5² m' is no quantity; write a number and a unit, as in 4 A"),
        ("1 500 m", None, "'1 500 m' is no quantity; write a number and a unit, as in 4 A"),
        ("1.500.000 m", None, "'1.500.000 m' is no quantity; write a number and a unit, as in 4 A"),
        ("nan", None, "'nan' is no quantity; write a number and a unit, as in 4 A"),
        ("1e999 m", None, "'1e999 m' is no ordinary number"),
        ("7 metrs", None, "unknown unit 'metrs'; did you mean metres?"),
        ("7 quux", None, "unknown unit 'quux'"),
        ("7 MOHM", None, "unit 'MOHM' may be Mohm or mohm; write one of these"),
        ("7", "m", "7 has no unit; write 7 m"),
        ("4 A", "m", "A is a unit of current, m one of length"),
        ("3", "%", "3 has no unit; write 3 %"),
        ("4 K", "m", "K is a unit of temperature, m one of length"),
        ("77 AWG", "mm2", "AWG runs from 4/0 to 40; 77 is no size"),
        ("0 mm2", "AWG", "0 mm2 is no conductor area"),
    ],
)
def test_refuses_what_is_no_quantity(text: str, unit: str | None, told: str) -> None:
    """The message says what is wrong and what to write."""
    with pytest.raises(UnitError) as caught:
        parse(text, unit)

    assert str(caught.value) == told


def test_reads_into_the_declared_unit() -> None:
    """A reader of a formula's input gets its unit; a ratio or salinity may be a plain number."""
    assert parse("12 ft", "m").value == pytest.approx(3.6576, rel=1e-15)
    assert parse("3 %", "1") == Quantity(0.03, "1")
    assert parse("35", "PSU") == Quantity(35, "PSU")
    assert parse("16AWG", "mm2").value == pytest.approx(1.309, rel=1e-3)


@given(st.floats(-1e6, 1e6).map(lambda v: round(v, 6)), st.sampled_from(sorted(UNITS)))
def test_printed_plain_text_reads_back(value: float, unit: str) -> None:
    """What is shown on the terminal may be typed again."""
    assume(unit != "AWG")

    assert parse(quantity_text(value, unit, plain=True)) == Quantity(value, unit)


@given(st.integers(-3, 40))
def test_printed_gauge_reads_back(gauge: int) -> None:
    """AWG sizes, the aught sizes with them, survive printing."""
    assert parse(quantity_text(gauge, "AWG", plain=True)) == Quantity(gauge, "AWG")
    assert parse(quantity_text(gauge, "AWG")) == Quantity(gauge, "AWG")


@given(st.text(max_size=12))
@settings(max_examples=200)
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes the reader fall over."""
    with contextlib.suppress(UnitError):
        assert math.isfinite(parse(text).value)


# --- conversion --------------------------------------------------------------------------------


def test_every_registered_unit_is_known() -> None:
    """A unit of the formula registry can be read, converted and printed."""
    used = {
        item.unit or "1" for formula in formulas().values() for item in (*formula.inputs, *formula.outputs)
    }

    assert used <= set(UNITS)


def test_suffixes_tell_the_units_of_one_kind_apart() -> None:
    """Two units of one kind would make one argument of two; milliohm and megohm are the pair that may not both be used."""
    used = {item.unit for formula in formulas().values() for item in formula.inputs}
    suffixes: dict[str, set[str]] = {}
    for unit in used:
        suffixes.setdefault(UNITS[unit or "1"].suffix, set()).add(unit or "1")

    assert [units for units in suffixes.values() if len(units) > 1] == []
    assert [UNITS[u].suffix for u in ("m", "dB/km", "m/s", "degC", "%", "1", "kg/m3", "ohm/km")] == [
        "m", "db_per_km", "mps", "c", "pct", "", "kg_per_m3", "ohm_per_km",
    ]  # fmt: skip


@functools.cache
def library_units() -> Any:
    """The library's own definitions of some thousand units."""
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", [u for u in UNITS if u not in ("AWG", "PSU")])
def test_factors_are_those_of_the_library(unit: str) -> None:
    """Each unit agrees with the unit library's own definitions (pint's default registry, CODATA and SI).

    The library's fathom is six US survey feet, 2 parts in a million longer than the nautical one of 1.8288 m.
    """
    names = {
        "in": "inch", "fathom": "foot", "%": "percent", "1": "dimensionless", "mohm": "milliohm", "Mohm": "megaohm", "kn": "knot",
        "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "Hz/kn": "hertz/knot",
        "deg": "degree", "us": "microsecond", "mbar": "millibar", "uF": "microfarad",
    }  # fmt: skip
    if "dB" in unit:
        assert convert(8.5, "dB/km", "dB/m") == pytest.approx(0.0085, rel=1e-14)
        return
    base = next(other for other in UNITS if UNITS[other].kind == UNITS[unit].kind)
    expected = library_units().Quantity(7.5, names.get(unit, unit)).to(names.get(base, base)).magnitude

    if unit == "fathom":
        expected *= 6

    assert convert(7.5, unit, base) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        # ISO 80000-3:2019 and the international yard and pound agreement of 1959: exact.
        (1, "ft", "m", scipy.constants.foot),
        (1, "in", "mm", 25.4),
        (1, "fathom", "m", 1.8288),
        (1, "kn", "m/s", scipy.constants.knot),
        (1, "mph", "m/s", scipy.constants.mph),
        (1, "psi", "Pa", scipy.constants.psi),
        (32, "degF", "degC", 0),
        (212, "degF", "degC", 100),
        (-40, "degC", "degF", -40),
        (0, "degC", "K", 273.15),
    ],
)
def test_exact_conversions(value: float, unit: str, to: str, expected: float) -> None:
    """Definitions are met to the last digits."""
    assert convert(value, unit, to) == pytest.approx(expected, rel=1e-14, abs=1e-10)


def test_noise_near_zero_does_not_tip_a_rounded_temperature() -> None:
    """The freezing point is 0 degC, from either side."""
    assert present(32, "degF", "up", to="degC", step=1, plain=True) == "0 degC"
    assert present(32, "degF", "down", to="degC", step=1, plain=True) == "0 degC"


@pytest.mark.parametrize(
    ("gauge", "area_mm2"),
    # ASTM B258-02, Table 1 (areas in mm2), recalled: the values that wire tables everywhere repeat.
    [(18, 0.823), (16, 1.31), (14, 2.08), (12, 3.31), (10, 5.26), (8, 8.37), (6, 13.3), (0, 53.5), (-3, 107)],
)
def test_gauge_areas_are_those_of_the_wire_tables(gauge: int, area_mm2: float) -> None:
    """The formula gives the printed areas to their three digits."""
    assert gauge_area_mm2(gauge) == pytest.approx(area_mm2, rel=0.004)


@given(
    st.sampled_from([(a, b) for a in UNITS for b in UNITS if UNITS[a].kind == UNITS[b].kind]),
    st.floats(0.1, 90),
)
def test_conversion_returns(pair: tuple[str, str], value: float) -> None:
    """There and back gives the value again."""
    there, back = pair
    if "AWG" in pair:
        value = min(value, 30.0)
    if pair in (("AWG", "m2"), ("m2", "AWG"), ("cm2", "AWG")):
        value = 0.5
    assume(there != "m2" or back != "AWG")

    assert convert(convert(value, there, back), back, there) == pytest.approx(value, rel=NOISE, abs=1e-9)


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=5))
def test_arrays_convert_like_numbers(values: list[float]) -> None:
    """An array gives element for element what single numbers give."""
    for unit, to in (("degF", "degC"), ("ft", "m"), ("kn", "m/s")):
        assert list(convert(np.array(values), unit, to)) == [convert(v, unit, to) for v in values]


def test_gauge_arrays_convert() -> None:
    """AWG sizes convert as an array too."""
    assert list(convert(np.array([16.0, 14.0]), "AWG", "mm2")) == [gauge_area_mm2(16), gauge_area_mm2(14)]


@given(st.floats(-3, 40))
def test_gauge_and_area_are_inverse(gauge: float) -> None:
    """The area of a gauge has that gauge."""
    assert area_gauge(gauge_area_mm2(gauge)) == pytest.approx(gauge, abs=1e-9)


def test_pairs_measure_the_same() -> None:
    """A value and the one printed in brackets behind it are of one kind."""
    assert [pair for pair in PAIRS.items() if UNITS[pair[0]].kind != UNITS[pair[1]].kind] == []


# --- rounding ----------------------------------------------------------------------------------

STEPS = st.sampled_from(["0.001", "0.01", "0.02", "0.05", "0.1", "0.25", "0.5", "1", "2", "5", "10", "50"])
VALUES = st.floats(-1e5, 1e5, allow_subnormal=False)


@given(VALUES, STEPS)
def test_rounding_to_a_step_is_safe_and_tight(value: float, step: str) -> None:
    """Down is never above, up never below, each less than a step away; the result is a multiple of the step."""
    slack = Decimal(abs(value) * NOISE)
    exact = Decimal(value)
    down, up = round_to(value, "down", step=step), round_to(value, "up", step=step)
    near = round_to(value, "nearest", step=step)

    assert exact - Decimal(step) - slack <= down <= exact + slack
    assert exact - slack <= up <= exact + Decimal(step) + slack
    assert abs(near - exact) <= Decimal(step) / 2 + slack
    assert near in (down, up)
    assert [part % Decimal(step) for part in (down, up, near)] == [0, 0, 0]


@given(VALUES, st.integers(1, 6))
def test_rounding_to_digits_is_safe_and_shows_the_digits(value: float, digits: int) -> None:
    """Significant digits round safely, and the text shows no more digits than were asked for."""
    slack = Decimal(abs(value) * NOISE)
    down, up = round_to(value, "down", digits=digits), round_to(value, "up", digits=digits)

    assert down <= Decimal(value) + slack
    assert up >= Decimal(value) - slack
    assert up - down <= Decimal(10) ** (Decimal(value).adjusted() - digits + 1) if value else up == down
    for result in (down, up):
        assert result == 0 or len(result.as_tuple().digits) <= digits


@given(st.integers(-10_000, 10_000), STEPS, st.integers(-4, 4))
def test_noise_counts_as_the_step_itself(count: int, step: str, ulps: int) -> None:
    """A multiple of the step, some last places off, stays that multiple whichever way it is rounded."""
    value = float(count * Decimal(step))
    for _ in range(abs(ulps)):
        value = math.nextafter(value, math.copysign(math.inf, ulps))
    assume(count != 0)

    results = {round_to(value, direction, step=step) for direction in ("down", "up", "nearest")}

    assert results == {count * Decimal(step)}


@pytest.mark.parametrize(
    ("value", "direction", "how", "expected"),
    [
        (0.30000000000000004, "up", {"step": 0.1}, "0.3"),
        (0.1 + 0.2, "up", {"digits": 1}, "0.3"),
        (0.29999999999999993, "down", {"step": 0.1}, "0.3"),
        (3.3 * 3, "up", {"step": 0.1}, "9.9"),
        (3.39, "down", {"step": 0.1}, "3.3"),
        (3.31, "up", {"step": 0.1}, "3.4"),
        (2.675, "nearest", {"step": 0.01}, "2.68"),
        (2.5, "nearest", {"step": 1}, "3"),
        (-2.5, "nearest", {"step": 1}, "-3"),
        (-3.1, "down", {"step": 1}, "-4"),
        (-3.9, "up", {"step": 1}, "-3"),
        (-0.04, "up", {"step": 0.1}, "0.0"),
        (1.4, "down", {"step": 0.25}, "1.25"),
        (0.5, "nearest", {"step": 0.05}, "0.50"),
        (1234, "down", {"digits": 2}, "1200"),
        (1234, "up", {"digits": 2}, "1300"),
        (9.96, "up", {"digits": 2}, "10"),
        (0.0996, "up", {"digits": 2}, "0.10"),
        (0.5, "down", {"digits": 2}, "0.50"),
        (0, "up", {"digits": 3}, "0"),
        (99999, "up", {"step": 10}, "100000"),
    ],
)
def test_rounding_by_hand(value: float, direction: Direction, how: dict[str, Any], expected: str) -> None:
    """Worked by hand."""
    assert number_text(round_to(value, direction, **how), plain=True) == expected


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({}, "give either a step or a number of significant digits"),
        ({"step": 1, "digits": 2}, "give either a step or a number of significant digits"),
        ({"step": 0}, "a rounding step must be greater than 0, not 0"),
        ({"step": -0.1}, "a rounding step must be greater than 0"),
        ({"digits": 0}, "0 significant digits are none"),
    ],
)
def test_rounding_refuses_nonsense(how: dict[str, Any], told: str) -> None:
    """A rounding that means nothing is an error."""
    with pytest.raises(UnitError, match=told):
        round_to(1.0, "down", **how)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_rounded(value: float) -> None:
    """No limit is ever printed for a NaN."""
    with pytest.raises(UnitError, match="cannot be rounded"):
        round_to(value, "down", step=1)


@given(
    st.floats(0.01, 5000),
    st.sampled_from([("m", "ft"), ("m", "fathom"), ("mm", "in"), ("m/s", "kn"), ("kn", "m/s"), ("ft", "m")]),
    STEPS,
)
def test_the_printed_unit_is_the_safe_one(value: float, pair: tuple[str, str], step: str) -> None:
    """Converted first, then rounded: the printed limit, read back, is never beyond the true one."""
    unit, printed = pair
    shown = parse(present(value, unit, "down", to=printed, step=step, plain=True), unit).value

    assert shown <= value * (1 + NOISE)
    shown = parse(present(value, unit, "up", to=printed, step=step, plain=True), unit).value
    assert shown >= value * (1 - NOISE)


def test_rounding_before_converting_would_be_unsafe() -> None:
    """The case that the order is for: 3.05 m down is 10 ft, while 3.1 m would be printed as 10.2 ft."""
    assert present(3.05, "m", "down", to="ft", step=0.1, plain=True) == "10.0 ft"
    assert convert(3.1, "m", "ft") > 10.1


# --- conductors and choices --------------------------------------------------------------------

METRIC = ("0.75 mm2", "1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2", "16 mm2")
GAUGES = ("18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("16AWG", "16 AWG"),
        ("16 awg", "16 AWG"),
        ("awg16", "16 AWG"),
        ("#16", "16 AWG"),
        ("00AWG", "2/0 AWG"),
        ("2.5mm2", "2.5 mm2"),
        ("2.50 mm²", "2.5 mm2"),
        ("1 sq mm", "1 mm2"),
        ("4 A", None),
        ("thick", None),
    ],
)
def test_conductor_spellings(text: str, expected: str | None) -> None:
    """Every usual spelling becomes the one text that formulas take."""
    assert conductor_text(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"), [("16awg", "16 AWG"), ("1.50mm²", "1.5 mm2"), (" 2.5 mm2 ", "2.5 mm2")]
)
def test_a_conductor_is_found_among_choices(text: str, expected: str) -> None:
    """The choice of the formula stays a text."""
    assert match_choice(text, (*GAUGES, *METRIC)) == expected


def test_no_two_choices_of_a_formula_are_told_apart_by_joints_alone() -> None:
    """Every choice of every formula finds itself, written together and in small letters."""
    for formula in formulas().values():
        for item in formula.inputs:
            for choice in item.choices if isinstance(item, Choice) else ():
                assert match_choice(choice, item.choices) == choice
                assert match_choice(choice.replace(" ", "").lower(), item.choices) == choice


def test_a_choice_forgives_capitals_and_joints_only() -> None:
    """Another word is refused with the nearest."""
    assert match_choice("Chen_Millero", ("chen-millero", "medwin")) == "chen-millero"
    with pytest.raises(UnitError) as caught:
        match_choice("chen-milero", ("chen-millero", "medwin"))
    assert str(caught.value) == "'chen-milero' is none of chen-millero, medwin; did you mean chen-millero?"


def test_an_area_printed_as_gauge_rounds_to_the_larger_wire() -> None:
    """A larger wire has the smaller number, so that the safe direction for an area needed is down."""
    assert present(2.5, "mm2", "down", to="AWG", step=2, plain=True) == "12 AWG"


# --- printing ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        (Decimal("0.50"), "V", "0.50\u202fV"),
        (2.5, "mm2", "2.5\u202fmm²"),
        (-3, "degC", "\u22123\u202f°C"),
        (12, "deg", "12°"),
        (3, "%", "3\u202f%"),
        (16, "AWG", "16\u202fAWG"),
        (-1, "AWG", "2/0\u202fAWG"),
        (0.7, "1", "0.7"),
        (4.0, "ohm", "4\u202fΩ"),
        (5, "fathom", "5\u202ffm"),
        (-0.0, "V", "0\u202fV"),
        (1e-7, "m", "0.0000001\u202fm"),
        (1.5e16, "Hz", "15000000000000000\u202fHz"),
    ],
)
def test_printed_text(value: float | Decimal, unit: str, expected: str) -> None:
    """SI Brochure, 9th edition (2019), 5.4.3: a space before the unit, the percent sign too, none before a degree."""
    assert quantity_text(value, unit) == expected


def test_decimal_mark_follows_the_language() -> None:
    """A German page prints a comma."""
    assert present(2.46, "V", "down", step=0.1, decimal_mark=",") == "2,4\u202fV"


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_every_symbol_stands_for_itself(unit: str) -> None:
    """Symbol and printed sign both lead back to the symbol."""
    assert symbol(unit) == unit
    assert symbol(UNITS[unit].printed) == unit


def test_k_and_m_stand_for_thousands_where_ohms_or_hertz_are_asked_for() -> None:
    """Nobody writes the sign of the ohm; elsewhere a bare k is no unit of that kind."""
    assert parse("12 k", "ohm") == Quantity(12_000, "ohm")
    assert parse("12K", "kohm") == Quantity(12, "kohm")
    assert parse("4.7 M", "Mohm") == Quantity(4.7, "Mohm")
    assert parse("200k", "Hz") == Quantity(200_000, "Hz")
    with pytest.raises(UnitError, match="one of length"):
        parse("12 k", "m")
