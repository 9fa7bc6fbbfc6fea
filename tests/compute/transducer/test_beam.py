"""Beam widths, patterns, tilt loss, directivity and source level against the integrals they come from."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j1

from leadsman.compute.registry import NoAnswer, OutOfRange
from leadsman.compute.transducer import range_and_time as transducer

WIDTHS = st.floats(2, 60)


def piston(x: float) -> float:
    """The circular pattern, written out here once more."""
    return 2 * j1(x) / x if x else 1.0


# --- width and aperture --------------------------------------------------------------------------


@pytest.mark.parametrize("level_db", [1.0, 3.0103, 6.0206, 10.0, 20.0])
@pytest.mark.parametrize("diameter_mm", [30.0, 75.0])
def test_circular_width_is_where_the_pattern_has_fallen_by_the_level(
    level_db: float, diameter_mm: float
) -> None:
    """Within 0.1 % of the exact form, solved here by another method."""
    x = brentq(lambda x: piston(x) - 10 ** (-level_db / 20), 1e-6, 3.83)
    exact = 2 * math.degrees(math.asin(x * 7.5 / (math.pi * diameter_mm)))

    width = transducer.beamwidth_circular(frequency_khz=200, diameter_mm=diameter_mm, level_db=level_db)

    assert width == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize("level_db", [1.0, 3.0103, 6.0206, 10.0, 20.0])
def test_rectangular_width_is_where_the_pattern_has_fallen_by_the_level(level_db: float) -> None:
    """Within 0.1 % of the exact form."""
    u = brentq(lambda u: math.sin(u) / u - 10 ** (-level_db / 20), 1e-6, math.pi)
    exact = 2 * math.degrees(math.asin(u * 7.5 / (math.pi * 60)))

    width = transducer.beamwidth_rectangular(frequency_khz=200, side_mm=60, level_db=level_db)

    assert width == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize(("words", "exact_db"), [(3.0, 10 * math.log10(2)), (6.0, 20 * math.log10(2))])
def test_three_and_six_decibels_mean_a_half(words: float, exact_db: float) -> None:
    """The field says 3 dB for half power and 6 dB for half amplitude; 3.0 taken to the letter is 0.17 % narrower."""
    face = {"frequency_khz": 200, "diameter_mm": 40.0}

    assert transducer.beamwidth_circular(**face, level_db=words) == pytest.approx(
        transducer.beamwidth_circular(**face, level_db=exact_db), rel=1e-9
    )


@settings(max_examples=30)
@given(diameter_mm=st.floats(20, 500), frequency_khz=st.floats(60, 700))
def test_a_larger_face_and_a_higher_frequency_make_a_narrower_beam(
    diameter_mm: float, frequency_khz: float
) -> None:
    """Only the ratio of diameter and wavelength counts."""
    width = transducer.beamwidth_circular(frequency_khz=frequency_khz, diameter_mm=diameter_mm)
    larger = transducer.beamwidth_circular(frequency_khz=frequency_khz, diameter_mm=2 * diameter_mm)
    higher = transducer.beamwidth_circular(frequency_khz=2 * frequency_khz, diameter_mm=diameter_mm)

    assert larger < width
    assert higher == pytest.approx(larger, rel=1e-12)


def test_a_face_too_small_to_fall_by_the_level_has_no_width() -> None:
    """10 mm at 50 kHz sends nearly to all sides."""
    with pytest.raises(NoAnswer, match="nowhere falls by the level"):
        transducer.beamwidth_circular(frequency_khz=50, diameter_mm=10)


@settings(max_examples=30)
@given(beamwidth_deg=st.floats(2, 40), level_db=st.floats(1, 30).filter(lambda level: abs(level - 3) > 0.05))
def test_the_width_at_another_level_comes_back(beamwidth_deg: float, level_db: float) -> None:
    """From 3 dB to the level and back; deeper levels are wider."""
    there = transducer.beamwidth_at_level(beamwidth_deg=beamwidth_deg, stated_level_db=3, level_db=level_db)
    back = transducer.beamwidth_at_level(beamwidth_deg=there, stated_level_db=level_db)

    assert back == pytest.approx(beamwidth_deg, rel=1e-9)
    assert (there > beamwidth_deg) == (level_db > 3.0103)


def test_a_width_for_a_grid_of_levels_and_faces() -> None:
    """Levels and faces broadcast against each other."""
    grid = transducer.beamwidth_circular(
        frequency_khz=200, diameter_mm=np.array([40.0, 80.0]), level_db=np.array([[3.0], [10.0], [20.0]])
    )
    cell = transducer.beamwidth_circular(frequency_khz=200, diameter_mm=80.0, level_db=10.0)

    assert grid.shape == (3, 2)
    assert grid[1, 1] == pytest.approx(cell, rel=1e-12)


# --- pattern -------------------------------------------------------------------------------------


@given(angle_deg=st.floats(-80, 80), beamwidth_deg=WIDTHS)
def test_the_pattern_is_the_diffraction_integral_of_the_face(angle_deg: float, beamwidth_deg: float) -> None:
    """The far field as the Fourier integral over chords of the disc, not by Bessel functions."""
    size = 1.6163399561 * math.sin(math.radians(angle_deg)) / math.sin(math.radians(beamwidth_deg) / 2)
    chord = np.cos(np.linspace(0, np.pi, 4001))
    field = np.trapezoid(np.sqrt(1 - chord**2) * np.cos(size * chord), chord) / np.trapezoid(
        np.sqrt(1 - chord**2), chord
    )

    level = transducer.beam_pattern(angle_deg=angle_deg, beamwidth_deg=beamwidth_deg)

    assert 10 ** (level / 20) == pytest.approx(abs(field), abs=1e-3)
    assert level == transducer.beam_pattern(angle_deg=-angle_deg, beamwidth_deg=beamwidth_deg)


@pytest.mark.parametrize("shape", ["circular", "rectangular", "gaussian"])
def test_every_pattern_has_its_half_power_at_half_the_width(shape: str) -> None:
    """0 dB on the axis, -3.01 dB at the edge of the stated width, twice that for the echo."""
    beam = {"beamwidth_deg": 14.0, "shape": shape}

    assert transducer.beam_pattern(angle_deg=0.0, **beam) == pytest.approx(0, abs=1e-12)
    assert transducer.beam_pattern(angle_deg=7.0, **beam) == pytest.approx(-10 * math.log10(2), abs=1e-6)
    assert transducer.two_way_loss(angle_deg=7.0, **beam) == pytest.approx(20 * math.log10(2), abs=1e-6)


# --- tilt ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["piston", "gaussian"])
@settings(max_examples=30)
@given(beamwidth_deg=WIDTHS)
def test_tilt_loss_only_rises(method: str, beamwidth_deg: float) -> None:
    """Zero when level, 6 dB at half the width, rising all the way."""
    tilts = np.linspace(0, min(45, 0.9 * beamwidth_deg), 40)
    losses = transducer.tilt_loss(tilt_deg=tilts, beamwidth_deg=beamwidth_deg, method=method)
    half = transducer.tilt_loss(tilt_deg=beamwidth_deg / 2, beamwidth_deg=beamwidth_deg, method=method)

    assert losses[0] == 0
    assert np.all(np.diff(losses) > 0)
    assert half == pytest.approx(6.0206, abs=1e-4)


@pytest.mark.parametrize(
    ("beamwidth_deg", "tilt_deg", "limit_db"),
    [
        (6, 1.5, 1.5), (9, 2.25, 1.5), (12, 3, 1.5), (20, 5, 1.5), (25, 6, 1.5),
        (6, 2, 2.7), (9, 3, 2.7), (12, 4, 2.7), (20, 6.5, 2.7), (25, 8, 2.7),
        (6, 3, 6.03), (9, 4.5, 6.03), (12, 6, 6.03), (20, 10, 6.03),
    ],
)  # fmt: skip
def test_tilts_that_the_trade_allows_cost_what_it_says(
    beamwidth_deg: float, tilt_deg: float, limit_db: float
) -> None:
    """Common practice, no source: good to a quarter of the width, acceptable to a third, the last at a half."""
    for method in ("piston", "gaussian"):
        loss = transducer.tilt_loss(tilt_deg=tilt_deg, beamwidth_deg=beamwidth_deg, method=method)
        assert loss == pytest.approx(limit_db, abs=0.3)
        assert loss <= limit_db + 0.05


def test_a_flat_element_on_seven_degrees_of_deadrise_loses_eight_decibels() -> None:
    """Common practice, no source: 12 degrees wide, 7 degrees off."""
    assert transducer.tilt_loss(tilt_deg=7, beamwidth_deg=12) == pytest.approx(8.4, abs=0.3)


# --- directivity, solid angle, source level ------------------------------------------------------


@pytest.mark.parametrize("beamwidth_deg", [4.0, 12.0, 45.0, 110.0])
def test_directivity_is_the_share_of_the_half_space(beamwidth_deg: float) -> None:
    """4 pi over the solid angle of the one-way power pattern, integrated."""
    ka = 1.6163399561 / math.sin(math.radians(beamwidth_deg) / 2)
    angle = 2 * math.pi * quad(
        lambda t: piston(ka * math.sin(t)) ** 2 * math.sin(t), 0, math.pi / 2, limit=400
    )[0]  # fmt: skip

    index = transducer.directivity_index(beamwidth_deg=beamwidth_deg)

    assert index == pytest.approx(10 * math.log10(4 * math.pi / angle), abs=1e-4)


@given(beamwidth_deg=st.floats(2, 30), narrower=st.floats(1.05, 3))
def test_a_narrower_beam_is_more_directive_and_gathers_less(beamwidth_deg: float, narrower: float) -> None:
    """Index up, equivalent angle down; the two together near a constant (7.6 dB with the piston)."""
    index = transducer.directivity_index(beamwidth_deg=beamwidth_deg)
    angle = transducer.equivalent_beam_angle(beamwidth_deg=beamwidth_deg)

    assert transducer.directivity_index(beamwidth_deg=beamwidth_deg / narrower) > index
    assert transducer.equivalent_beam_angle(beamwidth_deg=beamwidth_deg / narrower) < angle
    assert index + 10 * math.log10(angle) == pytest.approx(10 * math.log10(5.776), abs=0.35)


@settings(max_examples=25)
@given(beamwidth_deg=st.floats(1, 150))
def test_equivalent_angle_is_the_integral_at_every_width(beamwidth_deg: float) -> None:
    """Fixed nodes inside, adaptive quadrature here."""
    ka = 1.6163399561 / math.sin(math.radians(beamwidth_deg) / 2)
    last = math.asin(min(1.0, 40 / ka))
    integral = quad(lambda t: piston(ka * math.sin(t)) ** 4 * math.sin(t), 0, last, limit=500)[0]

    angle = transducer.equivalent_beam_angle(beamwidth_deg=beamwidth_deg)

    assert angle == pytest.approx(2 * math.pi * integral, rel=1e-4)


def test_fan_and_round_beams_of_one_width_differ_little() -> None:
    """A square and a round face of equal width: 1 dB in index, a tenth in equivalent angle."""
    square = {"beamwidth_along_deg": 10.0, "beamwidth_across_deg": 10.0}

    assert transducer.directivity_index_fan(**square) == pytest.approx(
        transducer.directivity_index(beamwidth_deg=10.0), abs=1.0
    )
    assert transducer.equivalent_beam_angle_fan(**square) == pytest.approx(
        transducer.equivalent_beam_angle(beamwidth_deg=10.0), rel=0.1
    )


@given(power_w=st.floats(1, 2500), efficiency=st.floats(0.05, 1), directivity_index_db=st.floats(0, 40))
def test_source_level_is_the_intensity_on_the_axis(
    power_w: float, efficiency: float, directivity_index_db: float
) -> None:
    """Acoustic watts over a sphere of 1 m, as pressure, times the directivity; double power is 3 dB."""
    sent = {"efficiency": efficiency, "directivity_index_db": directivity_index_db}
    intensity = power_w * efficiency * 10 ** (directivity_index_db / 10) / (4 * math.pi)
    pascal = math.sqrt(intensity * 1025 * 1500)

    level = transducer.source_level(power_w=power_w, **sent)

    assert level == pytest.approx(20 * math.log10(pascal / 1e-6), abs=1e-9)
    assert transducer.source_level(power_w=2 * power_w, **sent) - level == pytest.approx(3.0103, abs=1e-4)


def test_peak_to_peak_watts_are_nine_decibels_too_many() -> None:
    """Common practice, no source: a peak-to-peak figure is eight times the RMS power."""
    sent = {"efficiency": 0.5, "directivity_index_db": 25.0}

    gap = transducer.source_level(power_w=4000, **sent) - transducer.source_level(power_w=500, **sent)

    assert gap == pytest.approx(9.03, abs=0.01)


def test_an_efficiency_above_one_is_refused() -> None:
    """Percent given as a number is the usual slip."""
    with pytest.raises(OutOfRange, match="efficiency = 45"):
        transducer.source_level(power_w=500.0, efficiency=45.0, directivity_index_db=20.0)


def test_a_tilt_beyond_the_main_lobe_has_no_piston_answer() -> None:
    """The Gaussian form goes on; the piston form would come back up in the side lobe.

    The first null of a piston lies where ka sin(theta) is 3.8317, the half-power point where it is 1.6163 (Kinsler
    and others 2000, section 7.4).
    """
    null = math.degrees(math.asin(3.83171 / 1.61634 * math.sin(math.radians(4.5))))
    with pytest.raises(NoAnswer, match="beyond the first null"):
        transducer.tilt_loss(tilt_deg=null + 0.01, beamwidth_deg=9.0)

    assert transducer.tilt_loss(tilt_deg=null - 0.01, beamwidth_deg=9.0) > 60
    assert transducer.tilt_loss(tilt_deg=20, beamwidth_deg=9.0, method="gaussian") > 100


def test_a_fan_below_half_a_wavelength_has_no_large_face_index() -> None:
    """The area form would give less than a point source."""
    with pytest.raises(NoAnswer, match="half a wavelength"):
        transducer.directivity_index_fan(beamwidth_along_deg=2.0, beamwidth_across_deg=140.0)
