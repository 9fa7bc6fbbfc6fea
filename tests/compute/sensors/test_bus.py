"""The network bus: terminators by ohms, and levels by volts."""

import numpy as np
import pytest

from leadsman.compute.registry import NoAnswer
from leadsman.compute.sensors.bus import bus_levels, bus_resistance, bus_verdict


@pytest.mark.parametrize(
    ("terminators", "expected"),
    [(1, "one terminator missing or the trunk open"), (2, "sound"), (3, "one terminator too many")],
)
def test_the_verdict_reads_the_number_of_terminators(terminators: int, expected: str) -> None:
    """What the formula computes for one, two and three terminators, the verdict names."""
    assert bus_verdict(resistance_ohm=bus_resistance(terminators=terminators)) == expected


def test_more_terminators_read_less_and_cable_reads_more() -> None:
    """Parallel resistors, and the pair in series with the far ones."""
    readings = bus_resistance(terminators=np.arange(1.0, 7.0))

    assert np.all(np.diff(readings) < 0)
    assert bus_resistance(terminators=2, pair_loop_ohm=10.0) > bus_resistance(terminators=2)
    assert bus_resistance(terminators=1, pair_loop_ohm=10.0) == 120.0


@pytest.mark.parametrize(
    ("ohm", "word"),
    [(0.0, "short"), (9.9, "short"), (20.0, "too low"), (40.0, "too many"), (50.0, "damp"), (53.9, "damp"),
     (54.0, "sound"), (66.0, "sound"), (66.1, "poor contact"), (120.0, "missing"), (200.0, "open:"), (1e8, "open:")],
)  # fmt: skip
def test_bands_leave_no_gap(ohm: float, word: str) -> None:
    """60 ohm (54-66), 120, 40, near 0 and above 200 ohm (common practice, no source)."""
    assert word in bus_verdict(resistance_ohm=ohm)


def test_a_powered_network_is_refused() -> None:
    """60 ohm counts with the backbone unpowered only."""
    with pytest.raises(NoAnswer, match="take its supply off"):
        bus_verdict(resistance_ohm=60.0, network_power="on")


@pytest.mark.parametrize(
    ("high", "low", "expected"),
    [
        (2.5, 2.5, "no traffic, or the wires touch: measure ohms, power off"),
        (2.7, 2.3, "sound, traffic"),
        (3.5, 1.5, "sound, traffic"),
        (2.3, 2.7, "wires exchanged"),
        (0.0, 0.0, "no power or both wires to negative"),
        (12.0, 2.5, "a wire to supply"),
        (0.1, 2.4, "high wire to negative"),
        (2.5, 0.1, "low wire to negative"),
        (4.4, 1.0, "doubtful: look"),
    ],
)
def test_levels(high: float, low: float, expected: str) -> None:
    """Recessive 2.5 V, dominant 3.5 and 1.5 V (ISO 11898-2, from memory); the sum near 5 V is the useful
    check."""
    assert bus_levels(high_v=high, low_v=low) == expected


@pytest.mark.parametrize(
    ("ohm", "verdict"),
    [
        (9.9, "short between the wires"), (10.1, "too low: more than one"), (34.9, "too low: more than one"),
        (35.1, "one terminator too many"), (44.9, "one terminator too many"), (45.1, "low: look for a damp plug"),
        (66.0, "sound"), (99.9, "high: look for a poor contact"), (100.1, "one terminator missing"),
        (199.9, "one terminator missing"), (200.1, "open: no terminator reached"),
    ],
)  # fmt: skip
def test_a_verdict_on_the_bus_changes_midway_between_its_faults(ohm: float, verdict: str) -> None:
    """Terminators of 120 ohm side by side: 120, 60, 40 and 30 ohm; the bounds between them are common practice."""
    assert str(bus_verdict(resistance_ohm=ohm)).startswith(verdict)


@pytest.mark.parametrize(
    ("high", "low", "sound"),
    [(3.0, 3.0, True), (3.05, 3.0, False), (2.0, 2.0, True), (1.95, 2.0, False)],
)
def test_both_wires_stand_around_five_volts_together(high: float, low: float, sound: bool) -> None:
    """ISO 11898-2: both rest at 2.5 V; a volt either way for their sum is common practice."""
    assert (str(bus_levels(high_v=high, low_v=low)) == str(bus_levels(high_v=2.5, low_v=2.5))) == (
        sound and high - low < 0.1
    )


@pytest.mark.parametrize(
    ("high", "low", "verdict"),
    [
        (0.69, 0.69, "no power"), (0.7, 0.69, "low wire to negative"), (0.69, 0.7, "high wire to negative"),
        (0.72, 0.69, "low wire to negative"), (0.7, 2.5, "wires exchanged"), (0.69, 0.72, "high wire to negative"),
        (2.5, 0.69, "low wire to negative"), (2.5, 0.7, "doubtful"), (2.5, 0.72, "doubtful"), (0.72, 2.5, "wires exchanged"),
        (4.5, 1.0, "doubtful"), (4.6, 1.0, "a wire to supply"), (2.5, 4.5, "wires exchanged"), (2.5, 4.6, "a wire to supply"),
        (2.5, 2.605, "wires exchanged"), (2.5, 2.6, "no traffic"),
        (2.595, 2.5, "no traffic"), (2.605, 2.5, "sound, traffic"),
        (3.75, 1.25, "sound, traffic"), (3.8, 1.25, "doubtful"),
    ],
)  # fmt: skip
def test_levels_at_each_limit(high: float, low: float, verdict: str) -> None:
    """0.7 V is a wire to negative, 4.5 V one to supply, 0.1 V apart is traffic, and no more than 2.5 V (common practice)."""
    assert str(bus_levels(high_v=high, low_v=low)).startswith(verdict)
