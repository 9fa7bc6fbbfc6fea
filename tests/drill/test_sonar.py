"""The drill's own echo and noise, against published rows and the reach that practice knows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import yaml

from leadsman.drill import sonar
from leadsman.drill.sonar import Pulse, Sea

SEA = Sea(10, 35, "sand", 5)
LAKE = Sea(10, 0.1, "sand", 5)


def pulse(khz: float, watts: float, beam: float, short: float = 0.1, long: float = 0.8, bandwidth: float = 0.0,
          narrow: float = 0.0) -> Pulse:  # fmt: skip
    return Pulse(khz, bandwidth or 1.2 / long, watts, beam, narrow or beam, short, long, 20, 0.2)


@pytest.mark.parametrize(
    ("name", "made", "least", "most"),
    [
        # Deepest reliable digit, boat at rest, sand, sea, RMS watts: common practice, no source.
        ("50 kHz, 250 W", pulse(50, 250, 30, 0.3, 2), 150, 350),
        ("50 kHz, 600 W", pulse(50, 600, 23, 0.3, 2), 250, 500),
        ("chirp low, 800 W", pulse(45, 800, 25, 1, 4, 20), 300, 900),
        ("200 kHz, 600 W", pulse(200, 600, 12), 110, 220),
        ("200 kHz, 275 W", pulse(200, 275, 12), 90, 170),
        ("800 kHz, 350 W", pulse(800, 350, 50, 0.05, 0.2, narrow=1.2), 15, 40),
    ],
)
def test_reach_in_the_sea_is_that_of_practice(name: str, made: Pulse, least: float, most: float) -> None:
    assert least <= sonar.reach_m(made, SEA) <= most, name


@pytest.mark.parametrize(("khz", "ratio"), [(800, 1.1), (455, 1.3), (200, 2.0)])
def test_fresh_water_carries_further_as_practice_says(khz: float, ratio: float) -> None:
    """Sanity ratios fresh to sea at equal settings: common practice, no source."""
    made = pulse(khz, 300, 12 if khz < 300 else 40, narrow=12 if khz < 300 else 1.5)

    assert sonar.reach_m(made, LAKE) / sonar.reach_m(made, SEA) == pytest.approx(ratio, rel=0.2)


def test_absorption_agrees_with_the_published_tables(repository: Path) -> None:
    """Within a tenth of Francois and Garrison 1982, which is the stated accuracy of Ainslie and McColm's short form."""
    rows = yaml.safe_load((repository / "tests/reference/water.yaml").read_text("utf-8"))
    checked = 0
    for row in rows:
        inputs = row["inputs"]
        if (
            not row["formula"].startswith("water.absorption_francois")
            or not 20 <= inputs["frequency_khz"] <= 1000
        ):
            continue
        sea = Sea(inputs["temperature_c"], inputs["salinity_psu"], "sand", 5, inputs["ph"])
        found = sonar.absorption(inputs["frequency_khz"], sea, inputs["depth_m"] / 1000)
        assert found == pytest.approx(row["expected"], rel=0.1), row["id"]
        checked += 1
    assert checked >= 2


def test_sound_speed_agrees_with_the_published_rows(repository: Path) -> None:
    """Medwin's short form against the surface rows of the other equations in tests/reference/water.yaml, within 1.5 m/s."""
    rows = yaml.safe_load((repository / "tests/reference/water.yaml").read_text("utf-8"))
    checked = 0
    for row in rows:
        inputs = row["inputs"]
        at_surface = not inputs.get("pressure_bar") and not inputs.get("depth_m")
        if (
            not row["formula"].startswith("water.sound_speed")
            or not at_surface
            or not isinstance(row["expected"], float)
        ):
            continue
        # Medwin 1975 states 0 to 35 C and up to 45 PSU.
        if not 0 <= inputs["temperature_c"] <= 35:
            continue
        found = sonar.sound_speed(Sea(inputs["temperature_c"], inputs["salinity_psu"], "sand", 5))
        assert found == pytest.approx(row["expected"], abs=1.5), row["id"]
        checked += 1
    assert checked >= 4


def test_thermal_noise_rises_six_decibels_an_octave() -> None:
    """Mellen's thermal limit, -15 + 20 log f (kHz): above 300 kHz it rules (Mellen, JASA 24, 1952, from memory)."""
    low, high = (sonar.noise_level(pulse(khz, 300, 12), Sea(10, 35, "sand", 2)) for khz in (400, 800))

    assert high - low == pytest.approx(6.0, abs=0.7)


def test_echo_falls_with_depth_and_noise_takes_reach() -> None:
    made = pulse(200, 300, 12)
    level = sonar.echo_level(made, SEA, np.array([2.0, 5.0, 10.0, 50.0, 200.0]))

    assert (np.diff(level) < 0).all()
    assert (
        sonar.reach_m(made, SEA, noise_db=10)
        < sonar.reach_m(made, SEA)
        < sonar.reach_m(made, SEA, loss_db=-10)
    )


def test_a_low_chirp_is_blind_where_practice_says() -> None:
    """A low-band chirp has trouble in about 1.5 to 1.8 m of water (common practice, no source)."""
    low = Pulse(44, 28, 1000, 22, 22, 1.0, 4.0, 20, 0.3)

    assert 1.3 <= sonar.blind_m(low) <= 2.2


@pytest.mark.parametrize("seed", range(5))
def test_a_ping_with_noise_gives_the_depth_or_nothing(seed: int) -> None:
    """Echo level against time: the first rise under the ringing is the bottom, with a strong echo; none without."""
    made = pulse(200, 300, 12)
    depths, level = sonar.trace(made, SEA, 12.0, 0.0, seed)
    found = sonar.first_bottom(depths, level, sonar.blind_m(made))

    assert found == pytest.approx(12.0, abs=0.1)
    weak_depths, weak = sonar.trace(made, SEA, 12.0, 90.0, seed)
    lost = sonar.first_bottom(weak_depths, weak, sonar.blind_m(made))
    assert lost is None or abs(lost - 12.0) > 0.1 or weak.max() < 40
