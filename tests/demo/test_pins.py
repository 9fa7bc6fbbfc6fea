"""The project's pin tables as limits: every sound transducer reads inside them, and a broken pair does not.

Tolerances are those of the pin tables; that a meter is off by 4 % in capacitance and 1 % in resistance, and that
thermometer and thermistor law agree within 1 K, is common practice, no source.
"""

import math
import re

import pytest

import built
from leadsman.book.pins import limits, pin_lines
from leadsman.content.model.equipment import Transducer
from leadsman.units import NARROW_NO_BREAK_SPACE

CATALOGUE = built.catalogue()
WORDS = CATALOGUE.phrases().pins


def plain(text: str) -> str:
    return text.replace(NARROW_NO_BREAK_SPACE, " ")


def beta_ohm(r25_ohm: float, beta_k: float, water_c: float) -> float:
    """The law of Becker, Green and Pearson 1946, written out here once more."""
    return r25_ohm * math.exp(beta_k * (1 / (water_c + 273.15) - 1 / 298.15))


def test_the_cold_water_of_the_review_does_not_condemn() -> None:
    """10 kohm with a beta of 3435 K reads 18.4 kohm at 10 degC; the first edition printed 9.5 to 10.5 kohm alone."""
    assert beta_ohm(10000, 3435, 10) == pytest.approx(18400, rel=0.005)
    (line,) = (
        p for p in pin_lines(CATALOGUE.transducers["ch-185"], CATALOGUE, WORDS) if p.what == "thermistor"
    )
    at_ten = next(plain(text) for text in line.by_temperature if plain(text).startswith("at 10 °C"))
    low, high = (float(n) for n in re.findall(r"[0-9.]+", at_ten.removeprefix("at 10 °C")))
    assert low < 18.4 < high < 2.2 * 10
    assert len(line.by_temperature) == 5


@pytest.mark.parametrize("transducer", CATALOGUE.transducers.values(), ids=lambda t: t.id)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_sound_transducer_meets_its_printed_limits(transducer: Transducer, units: str) -> None:
    """Each at the ends of its tolerance, warm and cold, with the meter off either way."""
    lines = {line.pair: line for line in pin_lines(transducer, CATALOGUE, WORDS, units)}
    for measured in transducer.pins:
        line = lines[str(measured.pair)]
        if measured.what == "thermistor":
            assert transducer.thermistor is not None
            for text in line.by_temperature:
                shown, low, high = (float(n) for n in re.findall(r"[0-9.]+", plain(text)))
                water = shown if units == "metric" else (shown - 32) / 1.8
                law = transducer.thermistor
                for off in (-1, 0, 1):
                    for share in (0.95 * 0.99, 1.05 * 1.01):
                        read = beta_ohm(law.r25_ohm, law.beta_k, water + off) * share / 1000
                        assert low <= read <= high, (text, read)
        else:
            low, high = (float(n) for n in re.findall(r"[0-9.]+", line.limits))
            meter = 0.04 if measured.instrument == "capacitance" else 0.01
            for share in (-1, 1):
                sound = measured.expected * (1 + share * measured.tolerance_pct / 100) * (1 + share * meter)
                assert low <= sound <= high


@pytest.mark.parametrize("transducer", CATALOGUE.transducers.values(), ids=lambda t: t.id)
def test_a_broken_pair_is_not_acquitted(transducer: Transducer) -> None:
    """Open at the plug reads nothing, open at the housing the cable alone, with a tenth of spread."""
    for measured in transducer.pins:
        if measured.instrument == "capacitance":
            low = float(re.findall(r"[0-9.]+", limits(measured, WORDS))[0])
            cable_nf = transducer.cable_length_m * transducer.cable_pf_per_m / 1000
            assert cable_nf * 1.1 < low, measured


def test_every_winding_is_read_less_the_leads() -> None:
    tuned = [
        line.what
        for t in CATALOGUE.transducers.values()
        for line in pin_lines(t, CATALOGUE, WORDS)
        if line.pair in {str(measured.pair) for measured in t.pins if measured.tuned}
    ]
    assert tuned
    assert all("less the leads" in what for what in tuned)
