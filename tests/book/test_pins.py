"""The pin table as limits: what a sound pair may read on an ordinary meter.

Tolerances are those of the pin tables; that a meter is off by 4 % in capacitance and 1 % in resistance is common
practice, no source.
"""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.pins import PinLine, limits, pin_lines, pin_tables
from leadsman.content.model.equipment import Pin, Thermistor
from leadsman.content.model.reference import Value
from leadsman.units import NARROW_NO_BREAK_SPACE

WORDS = small_content.edited().phrases().pins


def pin(**changes: object) -> Pin:
    """A pin with an element's capacitance."""
    fields = {
        "pair": "1 and 2",
        "instrument": "capacitance",
        "what": "element",
        "expected": 2.5,
        "unit": "nF",
    }
    return Pin.model_validate(fields | changes)


def plain(text: str) -> str:
    return text.replace(NARROW_NO_BREAK_SPACE, " ")


@pytest.mark.parametrize(
    ("changes", "printed"),
    [
        # Common practice, no source: an element pair within 20 % of its own value.
        ({}, "1.9 to 3.2 nF"),
        ({"expected": 1.9}, "1.4 to 2.4 nF"),  # 1.52 less 4 %, 2.28 and 4 %
        (
            {"expected": 15.0, "unit": "kohm", "tolerance_pct": 5, "instrument": "resistance"},
            "14.1 to 16.0 kΩ",
        ),
    ],
)
def test_limits_are_what_a_meter_may_show(changes: dict[str, object], printed: str) -> None:
    assert plain(limits(pin(**changes), WORDS)) == printed


@given(st.floats(0.5, 50), st.sampled_from([5.0, 10.0, 20.0]), st.floats(-1, 1), st.floats(-1, 1))
def test_a_sound_pair_on_an_ordinary_meter_lies_inside(
    expected: float, tolerance: float, part: float, meter: float
) -> None:
    printed = plain(limits(pin(expected=expected, tolerance_pct=tolerance), WORDS)).removesuffix(" nF")
    low, high = (float(end) for end in printed.split(" to "))
    reading = expected * (1 + part * tolerance / 100) * (1 + meter * 0.04)
    assert low - 1e-9 <= reading <= high + 1e-9


def thermistor_line(units: str) -> PinLine:
    """What is printed of a transducer whose only pins are those of a thermistor of 10 kohm and 3435 K."""
    part = pin(
        pair="6 and 8", instrument="resistance", what="thermistor", expected=10, unit="kohm", tolerance_pct=5
    )
    catalogue = small_content.edited()
    round_one = catalogue.transducers["round"].model_copy(
        update={"pins": [part], "thermistor": Thermistor(r25_ohm=10000, beta_k=3435)}
    )
    (line,) = pin_lines(round_one, catalogue, WORDS, units)
    return line


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_thermistor_is_printed_for_cold_and_warm_water(units: str) -> None:
    """10 kohm and 3435 K by the law of Becker, Green and Pearson 1946: 5 % of its own, 1 % of the meter, 1 K."""
    line = thermistor_line(units)
    assert (line.what, len(line.by_temperature)) == ("thermistor", 5)
    assert line.limits == ", ".join(line.by_temperature)
    for text in line.by_temperature:
        shown, low, high = (float(n) for n in re.findall(r"[0-9.]+", plain(text)))
        water = shown if units == "metric" else (shown - 32) / 1.8
        for off in (-1, 0, 1):
            law = 10 * math.exp(3435 * (1 / (water + off + 273.15) - 1 / 298.15))
            assert low <= law * 0.95 * 0.99 < law * 1.05 * 1.01 <= high
        assert high < 1.3 * low


def test_each_band_has_its_line_and_the_insulation_stands_behind_the_elements() -> None:
    catalogue = small_content.edited()
    catalogue.records["values"]["insulation-good"] = Value.model_validate(
        {"meaning": "Insulation", "declared": "10 Mohm", "source": "common-practice"}
    )
    identity = pin(pair="6 and 7", instrument="resistance", what="identification", expected=15, unit="kohm")
    round_one = catalogue.transducers["round"].model_copy(
        update={"pins": [pin(band="round-200", tuned=True), identity], "insulated": "each of 1 and 2 with 5"}
    )
    lines = list(pin_lines(round_one, catalogue, WORDS))
    assert [(line.pair, line.what) for line in lines] == [
        ("1 and 2", "200 kHz, winding less the leads"),
        ("each of 1 and 2 with 5", "shield"),
        ("6 and 7", "identification"),
    ]
    assert plain(lines[1].limits) == "10 MΩ or more"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_thermistor_reads_in_tenths_of_the_law_with_its_margins(units: str) -> None:
    """The law once more, a kelvin warmer and colder, 5 % of the part and 1 % of the meter; three digits, outwards."""
    line = thermistor_line(units)
    shown = (5, 10, 15, 20, 25) if units == "metric" else (40, 50, 60, 70, 80)
    told = [[float(n) for n in re.findall(r"[0-9.]+", plain(text))] for text in line.by_temperature]
    for (temperature, low, high), wanted in zip(told, shown, strict=True):
        water = wanted if units == "metric" else (wanted - 32) / 1.8
        warm, cold = (10 * math.exp(3435 * (1 / (water + off + 273.15) - 1 / 298.15)) for off in (1, -1))
        # Three digits of the greater: tenths from ten upwards, else hundredths; the lesser as the greater.
        digits = 10 if cold * 1.05 * 1.01 >= 10 else 100
        assert temperature == wanted
        assert low == pytest.approx(math.floor(warm * 0.95 * 0.99 * digits) / digits)
        assert high == pytest.approx(math.ceil(cold * 1.05 * 1.01 * digits) / digits)


@pytest.mark.parametrize(
    ("changes", "printed"),
    [
        # By hand: 100 ohm less and more 10 %, and 1 % of the meter: 89.1 to 111.1, two digits, outwards.
        ({"expected": 100, "unit": "ohm", "instrument": "resistance", "tolerance_pct": 10}, "80 to 120 Ω"),
        ({"expected": 1.0, "tolerance_pct": 10}, "0.8 to 1.2 nF"),  # 0.864 to 1.144
        ({"expected": 2.5, "tolerance_pct": 10}, "2.1 to 2.9 nF"),  # 2.16 to 2.86
    ],
)
def test_limits_are_rounded_outwards_to_what_a_meter_shows(changes: dict[str, object], printed: str) -> None:
    assert plain(limits(pin(**changes), WORDS)) == printed


def test_a_pin_without_a_band_bears_what_it_is_and_insulation_without_a_place_is_not_printed() -> None:
    catalogue = small_content.edited()
    round_one = catalogue.transducers["round"].model_copy(
        update={"pins": [pin(), pin(band="round-200")], "insulated": None}
    )
    lines = list(pin_lines(round_one, catalogue, WORDS))
    assert [line.what for line in lines] == [WORDS.whats["element"], "200 kHz"]
    assert [t.id for t, _ in pin_tables(catalogue, WORDS)] == ["round"]
    assert [line.limits for _, found in pin_tables(catalogue, WORDS) for line in found] == [
        limits(pin(), WORDS)
    ]


def test_the_insulation_behind_the_last_element_stands_once() -> None:
    catalogue = small_content.edited()
    catalogue.records["values"]["insulation-good"] = Value.model_validate(
        {"meaning": "Insulation", "declared": "10 Mohm", "source": "common-practice"}
    )
    round_one = catalogue.transducers["round"].model_copy(
        update={"pins": [pin(band="round-200")], "insulated": "1 with 5"}
    )
    assert [line.what for line in pin_lines(round_one, catalogue, WORDS)] == ["200 kHz", "shield"]
