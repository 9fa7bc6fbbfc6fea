"""Thermistor, meter and slips of the drill, against published rows."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from leadsman.drill import sensing


def test_thermistor_agrees_with_the_published_rows(repository: Path) -> None:
    """Summed in steps from the 25 C point; the rows were calculated by the beta law (tests/reference/sensors.yaml)."""
    rows = yaml.safe_load((repository / "tests/reference/sensors.yaml").read_text("utf-8"))
    checked = 0
    for row in rows:
        plain = {"temperature_c", "r25_ohm", "beta_k"} == set(row["inputs"])
        if row["formula"] != "sensors.thermistor_resistance" or not plain:
            continue
        inputs = row["inputs"]
        found = sensing.thermistor_ohm(inputs["temperature_c"], inputs["r25_ohm"], inputs["beta_k"])
        assert found == pytest.approx(row["expected"], rel=2e-3), row["id"]
        checked += 1
    assert checked >= 8


@given(temperature=st.floats(-2, 35), r25=st.floats(1000, 20000), beta=st.floats(3000, 4500))
def test_a_display_reads_back_the_water(temperature: float, r25: float, beta: float) -> None:
    ohm = sensing.thermistor_ohm(temperature, r25, beta)

    assert sensing.thermistor_c(ohm, r25, beta) == pytest.approx(temperature, abs=0.02)


def test_an_open_and_a_shorted_thermistor_stand_at_the_ends_of_the_scale() -> None:
    """Open reads coldest, short reads warmest (common practice, no source)."""
    assert sensing.thermistor_c(math.inf, 10000, 3400) == -40
    assert sensing.thermistor_c(0.0, 10000, 3400) == 120


@given(volts=st.floats(0, 30), seed=st.integers(0, 10**6))
def test_a_meter_errs_within_its_limit(volts: float, seed: int) -> None:
    """0.5 % of the reading and 3 digits of the range: public instrument note, worked example 2 V (0.013 V at 1 mV)."""
    meter = sensing.Meter.taken(np.random.default_rng(seed))
    step = 0.001 if volts < 2 else 0.01 if volts < 20 else 0.1

    assert abs(meter.volts(volts) - volts) <= 0.005 * volts + 3 * step + 1e-9


def test_slips_are_the_published_medians() -> None:
    """THERP, NUREG/CR-1278, 1983: tables 20-7 items 1 and 3, 20-10 items 1 and 2, 20-12 item 2; error factor 3."""
    assert (sensing.OMITS_TICKED_STEP, sensing.OMITS_STEP) == (0.001, 0.003)
    assert (sensing.MISREADS_DIGITS, sensing.MISREADS_PICTURE, sensing.CHOOSES_WRONG_ITEM) == (
        0.001,
        0.003,
        0.003,
    )
    people = [sensing.person(np.random.default_rng(seed)) for seed in range(4000)]
    low, middle, high = np.percentile(people, (5, 50, 95))
    assert middle == pytest.approx(1.0, rel=0.06)
    assert math.sqrt(high / low) == pytest.approx(3.0, rel=0.1)
