"""Ohms, insulation, identification and transmit volts: the trade's limits, and what an ohmmeter cannot
say."""

import numpy as np
import pytest

from leadsman.compute.registry import OutOfRange
from leadsman.compute.sensors.pins import (
    element_resistance_verdict,
    identification_verdict,
    insulation_verdict,
    transmit_voltage,
)


def test_open_is_right_on_an_untuned_element_and_wrong_on_a_tuned_one() -> None:
    """The same reading, two meanings (common practice, no source)."""
    assert element_resistance_verdict(resistance_ohm=1e9).startswith("as it should be")
    assert element_resistance_verdict(resistance_ohm=1e9, tuned="yes").startswith("open")


def test_a_few_ohms_are_wrong_on_an_untuned_element_and_right_on_a_tuned_one() -> None:
    """The same reading, two meanings (common practice, no source)."""
    assert element_resistance_verdict(resistance_ohm=5.0) == "shorted"
    assert element_resistance_verdict(resistance_ohm=5.0, tuned="yes") == "winding sound"


@pytest.mark.parametrize(
    ("mohm", "word"), [(0.0, "condemned"), (0.99, "condemned"), (1.0, "damp"), (9.99, "damp"), (10.0, "good")]
)
def test_insulation_limits(mohm: float, word: str) -> None:
    """10 Mohm and more is good, below 1 Mohm condemned (common practice, no source)."""
    assert insulation_verdict(insulation_mohm=mohm).startswith(word)


def test_the_insulation_limits_are_those_that_are_given() -> None:
    """A content that asks for 20 Mohm, and calls wet what is below 2 Mohm, is answered by its own limits."""
    found = insulation_verdict(insulation_mohm=np.array([19.0, 20.0, 1.5]), good_mohm=20.0, wet_mohm=2.0)
    assert [str(word).partition(":")[0] for word in found] == ["damp", "good", "condemned"]


def test_no_insulation_test_above_50_volts() -> None:
    """Identification chips and thermistors do not survive it."""
    with pytest.raises(OutOfRange, match=r"test = 250 V is outside 0.1 to 50 V"):
        insulation_verdict(insulation_mohm=100.0, test_v=250.0)


def test_identification_verdicts_are_ordered() -> None:
    """Short, dirt in parallel, sound, contact in series, open."""
    verdicts = identification_verdict(
        resistance_ohm=np.array([10.0, 9000.0, 9500.0, 10500.0, 11000.0, 1e8]), expected_ohm=10000.0
    )

    assert [v.split(":")[0] for v in verdicts] == ["shorted", "low", "sound", "sound", "high", "open"]


def test_dirt_in_parallel_lowers_the_reading() -> None:
    """100 kohm of damp dirt across 10 kohm reads 9.09 kohm: low, not another part."""
    reading = 1 / (1 / 10000 + 1 / 100000)

    assert identification_verdict(resistance_ohm=reading, expected_ohm=10000.0).startswith("low: dirt")


def test_transmit_volts_give_the_power_back() -> None:
    """P = V^2/Z; peak to peak is 2.83 times the RMS value."""
    volts = transmit_voltage(power_w=np.array([50.0, 250.0, 1000.0]), impedance_ohm=200.0)

    assert volts.rms**2 / 200.0 == pytest.approx([50.0, 250.0, 1000.0])
    assert volts.peak_to_peak / volts.rms == pytest.approx(np.full(3, 8**0.5))


@pytest.mark.parametrize(
    ("tuned", "ohm", "verdict"),
    [
        ("no", 99.0, "shorted"), ("no", 100.0, "leaks"), ("no", 999e3, "leaks"), ("no", 1e6, "as it should"),
        ("yes", 3.9, "shorted"), ("yes", 4.0, "winding sound"), ("yes", 16.0, "winding sound"), ("yes", 16.5, "high"),
        ("yes", 9990.0, "high"), ("yes", 10000.0, "open"), ("no", 105.0, "leaks"), ("no", 1.05e6, "as it should"),
        ("yes", 3.0, "shorted"), ("yes", 20.0, "high"), ("yes", 10500.0, "open"),
    ],
)  # fmt: skip
def test_ohms_of_an_element_at_each_limit(tuned: str, ohm: float, verdict: str) -> None:
    """Untuned 1 Mohm and more; tuned half to twice the winding, here 8 ohm; 10 kohm is open (common practice)."""
    assert element_resistance_verdict(resistance_ohm=ohm, tuned=tuned, winding_ohm=8.0).startswith(verdict)


@pytest.mark.parametrize(
    ("ohm", "verdict"),
    [(499.0, "shorted"), (500.0, "low"), (200000.0, "high"), (201000.0, "open"), (490.0, "shorted"), (205000.0, "open"),
     (9498.0, "low"), (9500.0, "sound"), (10500.0, "sound"), (10502.0, "high")],
)  # fmt: skip
def test_identification_at_each_limit(ohm: float, verdict: str) -> None:
    """A twentieth and twenty times the value are short and open, a twentieth off is sound (common practice)."""
    assert identification_verdict(resistance_ohm=ohm, expected_ohm=10000.0).startswith(verdict)


def test_no_higher_test_voltage_is_offered_than_harms_nothing() -> None:
    """50 V is the last that chips and thermistors bear (common practice)."""
    assert insulation_verdict(insulation_mohm=100.0, test_v=50.0) == "good"
    with pytest.raises(OutOfRange, match="test"):
        insulation_verdict(insulation_mohm=100.0, test_v=50.5)
