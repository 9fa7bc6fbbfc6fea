"""The terms of the sonar equation."""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import chdtri, chndtr

from leadsman.compute.echo import sonar_equation as echo
from leadsman.compute.echo.budget import bottom_gain, budget, signal_excess
from leadsman.compute.echo.readable import deepest_depth
from leadsman.compute.registry import NoAnswer
from leadsman.compute.transducer.laminate import laminate_loss_band


@given(st.floats(20, 1000), st.floats(-10, 20), st.floats(0, 300), st.sampled_from([20.0, 30.0, 40.0]))
def test_a_change_taken_back_restores_the_reach(
    reach: float, change: float, absorption: float, spreading: float
) -> None:
    """Gaining and losing the same decibels ends where it began."""
    there = echo.reach_after_change(
        reach_m=reach, change_db=change, absorption_db_per_km=absorption, spreading=spreading
    )
    if 0.5 <= there <= 5000:
        back = echo.reach_after_change(
            reach_m=there, change_db=-change, absorption_db_per_km=absorption, spreading=spreading
        )
        assert back == pytest.approx(reach, rel=1e-5)


def test_without_absorption_nine_decibels_double_a_pulse_limited_reach() -> None:
    """30 log 2 = 9.03 dB."""
    assert echo.reach_after_change(reach_m=100, change_db=9.0309, absorption_db_per_km=0) == pytest.approx(
        200, rel=1e-4
    )


def test_a_loss_beyond_all_measure_has_no_reach() -> None:
    """The budget is spent before the echo leaves the face."""
    with pytest.raises(NoAnswer, match="no readable depth"):
        echo.reach_after_change(reach_m=0.5, change_db=-60, absorption_db_per_km=0)


@pytest.mark.parametrize("detection", [0.3, 0.5, 0.9])
@pytest.mark.parametrize("false_alarm", [1e-7, 1e-5, 1e-3])
@pytest.mark.parametrize("pings", [1, 4, 32])
def test_threshold_agrees_with_the_exact_detector(detection: float, false_alarm: float, pings: int) -> None:
    """Albersheim states 0.2 dB for a linear detector; the exact square-law one lies 0.3 dB off at most.

    Exact: a steady signal in noise, N squared envelopes summed, non-central chi-square by SciPy.
    """
    threshold_db = echo.detection_threshold(
        detection_probability=detection, false_alarm_probability=false_alarm, pings=pings
    )
    level = chdtri(2 * pings, false_alarm)
    offsets = np.linspace(-0.4, 0.4, 1601)
    ratios = 10 ** ((threshold_db + offsets) / 10)
    probability = 1 - chndtr(level, 2 * pings, 2 * pings * ratios)
    exact_offset = float(np.interp(detection, probability, offsets))

    assert exact_offset == pytest.approx(0, abs=0.3)


def test_ten_decibels_is_a_firm_digit() -> None:
    """The default threshold of the budget: nine of ten pings with a false alarm in a thousand, within 1 dB."""
    threshold = echo.detection_threshold(detection_probability=0.9, false_alarm_probability=1e-3)

    assert threshold == pytest.approx(10, abs=1.0)


def test_a_chirp_gains_its_time_bandwidth_product_and_a_tone_nothing() -> None:
    """30 kHz over 4 ms is 120, or 20.8 dB; a matched tone burst has none."""
    assert echo.processing_gain(pulse_ms=4, bandwidth_khz=30) == pytest.approx(10 * np.log10(120))
    assert echo.processing_gain(pulse_ms=4) == 0
    assert echo.processing_gain(pulse_ms=4, bandwidth_khz=0.25) == 0


def test_the_bottom_sends_back_from_the_lesser_patch_and_the_looks_add_up() -> None:
    """A pulse lights a ring of pi r c tau (Urick 1983, chapter 8), a short range all of the beam; of n looks at it the mean
    is 5 log n steadier (Urick 1983, chapter 12: incoherent addition)."""
    link: Any = SimpleNamespace(beam_sr=0.05, cell_m=0.5, looks=10.0)
    near, middle, far = (float(bottom_gain(r, link)) for r in (10.0, 100.0, 1000.0))
    assert near == pytest.approx(10 * math.log10(0.05 * 10**2))
    ring = math.pi * 100 * 0.5
    assert middle == pytest.approx(10 * math.log10(ring) + 5 * math.log10(0.05 * 100**2 / ring))
    assert far == pytest.approx(10 * math.log10(math.pi * 1000 * 0.5) + 5)  # ten looks at the most


#: A transducer behind a laminate on a boat under way, so that each term counts.
WHOLE: dict[str, Any] = {
    "frequency_khz": 200.0, "power_w": 500.0, "beamwidth_deg": 12.0, "pulse_long_ms": 0.6, "temperature_c": 12.0, "salinity_psu": 35.0,
    "laminate_mm": 10.0, "tilt_deg": 5.0, "extra_loss_db": 3.0, "bandwidth_khz": 4.0,
}  # fmt: skip


def test_the_terms_of_a_budget_add_up_to_the_excess() -> None:
    """Each is computed by itself for the page, and all together for the depth."""
    terms = budget(depth_m=20.0, **WHOLE)

    assert sum(terms[:-1]) == pytest.approx(signal_excess(depth_m=20.0, **WHOLE))
    assert terms.signal_excess == pytest.approx(signal_excess(depth_m=20.0, **WHOLE))
    assert terms.transmission_loss < -40 * math.log10(20)


@pytest.mark.parametrize(
    ("change", "decibels"),
    [
        ({"extra_loss_db": 5.0}, -2.0), ({"power_w": 1000.0}, 10 * math.log10(2)),
        ({"laminate_mm": 0.0}, float(laminate_loss_band(frequency_khz=200.0, thickness_mm=10.0).middle)),
    ],
)  # fmt: skip
def test_what_a_change_costs_the_echo(change: dict[str, float], decibels: float) -> None:
    """Decibel for decibel (Urick 1983, chapter 2)."""
    before, after = (signal_excess(depth_m=20.0, **(WHOLE | more)) for more in ({}, change))
    assert after - before == pytest.approx(decibels)


def test_the_band_behind_a_laminate_is_half_of_what_it_may_cost() -> None:
    band = laminate_loss_band(frequency_khz=200.0, thickness_mm=10.0)
    record = {name: value for name, value in WHOLE.items() if name not in ("laminate_mm", "extra_loss_db")}
    without, behind = (
        deepest_depth(greatest_depth_m=5000.0, laminate_mm=thick, extra_loss_db=loss, **record)
        for thick, loss in ((0.0, 3.0 + float(band.middle)), (10.0, 3.0))
    )
    assert behind.nominal == pytest.approx(without.nominal, rel=1e-4)
    assert behind.pessimistic < without.pessimistic
    assert behind.optimistic > without.optimistic
