"""The terms of the sonar equation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, ncx2

from leadsman.compute.echo import bottom_echo
from leadsman.compute.echo import sonar_equation as echo
from leadsman.compute.registry import NoAnswer, OutOfRange

RANGES = st.floats(min_value=0.1, max_value=5000)
ABSORPTIONS = st.floats(min_value=0, max_value=500)


@given(RANGES, ABSORPTIONS)
def test_range_and_loss_are_inverse(range_m: float, absorption: float) -> None:
    """The range found for a figure of merit loses exactly that figure."""
    loss = echo.transmission_loss(range_m=range_m, absorption_db_per_km=absorption)
    if 0 <= loss <= 200:
        found = echo.detection_range(figure_of_merit_db=loss, absorption_db_per_km=absorption)
        assert found == pytest.approx(range_m, rel=1e-6)


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


@given(RANGES, st.floats(0.005, 1), st.floats(0.05, 10))
def test_the_bottom_that_answers_is_the_smaller_area(range_m: float, beam: float, pulse: float) -> None:
    """Beam area before the switch, pulse area after it, equal at the switch."""
    given_ = {"range_m": range_m, "beam_sr": beam, "pulse_ms": pulse}
    switch = bottom_echo.beam_pulse_switch(beam_sr=beam, pulse_ms=pulse)
    limit = "beam" if range_m <= switch else "pulse"

    assert bottom_echo.bottom_area(**given_) == pytest.approx(bottom_echo.bottom_area(**given_, limit=limit))


def test_spreading_is_twenty_then_thirty_log() -> None:
    """Tenfold range costs 20 dB while the beam limits the echo and 30 dB once the pulse does."""
    common = {
        "source_level_db": 210,
        "absorption_db_per_km": 0,
        "bottom_strength_db": -16,
        "beam_sr": 0.025,
        "pulse_ms": 0.6,
    }
    near = [bottom_echo.bottom_echo_rough(range_m=r, **common) for r in (1, 10)]
    far = [bottom_echo.bottom_echo_rough(range_m=r, **common) for r in (1000, 10_000)]

    assert near[0] - near[1] == pytest.approx(20)
    assert far[0] - far[1] == pytest.approx(30)


def test_a_mirror_answers_louder_than_any_rough_bottom() -> None:
    """The specular form is the upper bound for sand at 200 kHz, 12 degrees (psi = 0.024 sr)."""
    common = {"source_level_db": 215, "range_m": np.array([2.0, 20.0, 200.0]), "absorption_db_per_km": 54}
    rough = bottom_echo.bottom_echo_rough(bottom_strength_db=-16, beam_sr=0.024, pulse_ms=0.6, **common)

    assert np.all(np.asarray(bottom_echo.bottom_echo_specular(reflection_loss_db=9, **common)) > rough)


def test_a_fish_falls_away_faster_than_the_bottom() -> None:
    """40 log R against 30 log R: 10 dB more for each tenfold range."""
    fish = [
        echo.target_echo_level(
            source_level_db=210, range_m=r, absorption_db_per_km=10, target_strength_db=-40
        )
        for r in (20, 200)
    ]
    bottom = [
        bottom_echo.bottom_echo_rough(
            source_level_db=210,
            range_m=r,
            absorption_db_per_km=10,
            bottom_strength_db=-16,
            beam_sr=1.0,
            pulse_ms=0.1,
        )
        for r in (20, 200)
    ]

    assert (fish[0] - fish[1]) - (bottom[0] - bottom[1]) == pytest.approx(10, abs=0.01)


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
    level = chi2.isf(false_alarm, 2 * pings)
    offsets = np.linspace(-0.4, 0.4, 1601)
    ratios = 10 ** ((threshold_db + offsets) / 10)
    probability = ncx2.sf(level, 2 * pings, 2 * pings * ratios)
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


@pytest.mark.parametrize("bad", [0.0, -3.0, float("nan"), float("inf"), 1e9])
def test_a_senseless_range_is_refused(bad: float) -> None:
    """No clamping: the message names the quantity."""
    with pytest.raises(OutOfRange, match="range"):
        echo.transmission_loss(range_m=bad, absorption_db_per_km=10)


def test_detection_ranges_broadcast() -> None:
    """A column of figures against a row of absorptions, each cell equal to its scalar call."""
    figure, absorption = np.array([[60.0], [90.0]]), np.array([[0.0, 15.0, 60.0]])
    grid = np.asarray(echo.detection_range(figure_of_merit_db=figure, absorption_db_per_km=absorption))

    assert grid.shape == (2, 3)
    for (i, j), value in np.ndenumerate(grid):
        assert value == pytest.approx(
            echo.detection_range(
                figure_of_merit_db=float(figure[i, 0]), absorption_db_per_km=float(absorption[0, j])
            )
        )
