"""Near field, ring-down, dead zone, range resolution and footprints."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.transducer import range_and_time as transducer

# --- near field ----------------------------------------------------------------------------------


@given(diameter_mm=st.floats(20, 200), frequency_khz=st.floats(100, 800))
def test_the_last_maximum_is_one_of_the_exact_field(diameter_mm: float, frequency_khz: float) -> None:
    """On the axis of a piston the pressure is 2 |sin(k/2 (sqrt(z^2 + a^2) - z))| (Kinsler and others 2000)."""
    radius, wavenumber = diameter_mm / 2000, 2 * math.pi * frequency_khz / 1.5

    last = transducer.near_field(
        frequency_khz=frequency_khz, diameter_mm=diameter_mm, definition="last-maximum"
    )

    def phase(z: float) -> float:
        return wavenumber / 2 * (math.hypot(z, radius) - z)

    assert phase(last) == pytest.approx(math.pi / 2, rel=1e-9)
    assert all(phase(last * beyond) < math.pi / 2 for beyond in (1.01, 2, 10))


def test_the_definitions_stand_in_their_order() -> None:
    """pi a^2/lambda is pi times a^2/lambda; the exact maximum lies a quarter wave nearer."""
    face = {"frequency_khz": 200.0, "diameter_mm": 50.0}
    plain, last, rayleigh = (
        transducer.near_field(**face, definition=name)
        for name in ("near-field-length", "last-maximum", "rayleigh")
    )

    assert rayleigh == pytest.approx(math.pi * plain)
    assert plain - last == pytest.approx(0.0075 / 4)


def test_the_near_field_of_a_usual_face_is_no_limit_of_depth() -> None:
    """Common practice, no source: 50 mm at 200 kHz is 0.1-0.3 m, less than the dead zone hides anyway."""
    face = {"frequency_khz": 200.0, "diameter_mm": 50.0}

    assert transducer.near_field(**face, definition="rayleigh") < 0.3
    assert transducer.near_field(**face, definition="rayleigh") < transducer.dead_zone(
        pulse_ms=0.1, frequency_khz=200, quality_factor=20
    )


def test_a_face_below_its_wavelength_has_no_maximum() -> None:
    """12 mm at 50 kHz against 30 mm of wave."""
    with pytest.raises(NoAnswer, match="no maximum on its axis"):
        transducer.near_field(frequency_khz=50, diameter_mm=12, definition="last-maximum")


# --- ring-down and dead zone ---------------------------------------------------------------------


@given(frequency_khz=st.floats(20, 800), quality_factor=st.floats(2, 40), decay_db=st.floats(20, 120))
def test_the_ringing_has_fallen_by_the_decay(
    frequency_khz: float, quality_factor: float, decay_db: float
) -> None:
    """Amplitude exp(-pi f t/Q), the definition of Q by the energy lost in each radian."""
    time_ms = transducer.ring_down_time(
        frequency_khz=frequency_khz, quality_factor=quality_factor, decay_db=decay_db
    )

    left = math.exp(-math.pi * frequency_khz * time_ms / quality_factor)

    assert -20 * math.log10(left) == pytest.approx(decay_db, rel=1e-9)


@pytest.mark.parametrize(("pulse_ms", "hidden_m"), [(1.0, 0.75), (2.0, 1.5)])
def test_the_pulse_alone_hides_three_quarters_of_a_metre_each_millisecond(
    pulse_ms: float, hidden_m: float
) -> None:
    """Common practice, no source; the ring-down adds to it."""
    bare = transducer.dead_zone(pulse_ms=pulse_ms, frequency_khz=1500, quality_factor=0.5, decay_db=10)
    ringing = transducer.dead_zone(pulse_ms=pulse_ms, frequency_khz=50, quality_factor=10)

    assert bare == pytest.approx(hidden_m, abs=0.01)
    assert ringing > hidden_m + 0.3


def test_a_low_band_chirp_is_blind_where_the_trade_says_so() -> None:
    """Common practice, no source: trouble in 1.5-1.8 m; a 200 kHz transducer reads at 1 m."""
    low = transducer.dead_zone(pulse_ms=1.0, frequency_khz=42, quality_factor=8, receiver_recovery_ms=0.3)
    high = transducer.dead_zone(pulse_ms=0.1, frequency_khz=200, quality_factor=20, receiver_recovery_ms=0.1)

    assert 1.2 < low < 1.8
    assert 0.3 < high < 0.9


@given(
    pulse_ms=st.floats(0.05, 5),
    receiver_recovery_ms=st.floats(0, 2),
    frequency_khz=st.floats(20, 800),
    quality_factor=st.floats(1, 40),
)
def test_the_dead_zone_is_the_sum_of_its_parts(
    pulse_ms: float, receiver_recovery_ms: float, frequency_khz: float, quality_factor: float
) -> None:
    """Half the way of sound in each; more of anything makes it longer."""
    element = {"frequency_khz": frequency_khz, "quality_factor": quality_factor}
    ring_ms = transducer.ring_down_time(**element)

    zone = transducer.dead_zone(pulse_ms=pulse_ms, receiver_recovery_ms=receiver_recovery_ms, **element)

    assert zone == pytest.approx(0.75 * (pulse_ms + ring_ms + receiver_recovery_ms), rel=1e-12)


# --- resolution ----------------------------------------------------------------------------------


@given(bandwidth_khz=st.floats(1, 200))
def test_a_chirp_resolves_like_the_pulse_of_its_bandwidth(bandwidth_khz: float) -> None:
    """A compressed sweep of B is as short as a plain pulse of 1/B."""
    pulse_ms = 1 / bandwidth_khz
    if pulse_ms >= 0.01:
        assert transducer.range_resolution_chirp(bandwidth_khz=bandwidth_khz) == pytest.approx(
            transducer.range_resolution(pulse_ms=pulse_ms)
        )


def test_a_compressed_sweep_is_as_narrow_as_the_formula_says() -> None:
    """A 1 ms sweep of 40 kHz, correlated with itself: the peak is 0.88/B wide at half power (sinc)."""
    rate, length, bandwidth = 4000.0, 1.0, 40.0
    time = np.arange(0, length, 1 / rate)
    sweep = np.exp(1j * math.pi * bandwidth / length * (time - length / 2) ** 2)
    peak = np.abs(np.correlate(sweep, sweep, "full")) / len(sweep)
    width_ms = np.count_nonzero(peak**2 >= 0.5) / rate

    resolution = transducer.range_resolution_chirp(bandwidth_khz=bandwidth)

    assert 0.75 * width_ms / 0.886 == pytest.approx(resolution, rel=0.03)


# --- footprints ----------------------------------------------------------------------------------


@settings(max_examples=30)
@given(depth_m=st.floats(0.5, 500), beamwidth_deg=st.floats(2, 60))
def test_the_six_decibel_print_is_the_half_power_print(depth_m: float, beamwidth_deg: float) -> None:
    """Two-way 6 dB is one-way 3 dB; a deeper level is wider, and all grow with the depth."""
    beam = {"depth_m": depth_m, "beamwidth_deg": beamwidth_deg}
    print_m = transducer.footprint(**beam)

    assert transducer.footprint_usable(**beam, two_way_level_db=6.0) == pytest.approx(print_m, rel=1e-6)
    assert transducer.footprint_usable(**beam, two_way_level_db=12.0) > print_m
    assert transducer.footprint(depth_m=2 * depth_m, beamwidth_deg=beamwidth_deg) == pytest.approx(
        2 * print_m
    )


def test_the_edge_of_the_usable_print_is_down_by_its_level() -> None:
    """Back through the pattern."""
    width = transducer.footprint_usable(depth_m=25.0, beamwidth_deg=18.0, two_way_level_db=20.0)
    edge_deg = math.degrees(math.atan(width / 2 / 25.0))

    assert transducer.two_way_loss(angle_deg=edge_deg, beamwidth_deg=18.0) == pytest.approx(20.0, abs=1e-3)


def test_a_print_that_reaches_the_horizon_has_no_answer() -> None:
    """A beam 120 degrees wide is still above -40 dB at the horizon."""
    with pytest.raises(NoAnswer, match="nowhere short of the horizontal"):
        transducer.footprint_usable(depth_m=5.0, beamwidth_deg=120.0, two_way_level_db=40.0)


@given(depth_m=st.floats(1, 200), beamwidth_deg=st.floats(2, 60), slope_deg=st.floats(0, 45))
def test_the_first_echo_of_a_slope_is_the_nearest_point_in_the_cone(
    depth_m: float, beamwidth_deg: float, slope_deg: float
) -> None:
    """Searched over the rays of the cone, in the plane of the slope."""
    rays = np.radians(np.linspace(-beamwidth_deg / 2, beamwidth_deg / 2, 4001))
    slope = math.radians(slope_deg)
    # A ray (r sin a, r cos a), uphill positive, meets the bottom at depth - x tan(slope).
    ranges = depth_m / (np.cos(rays) + np.sin(rays) * math.tan(slope))

    found = transducer.footprint_on_slope(depth_m=depth_m, beamwidth_deg=beamwidth_deg, slope_deg=slope_deg)

    assert found.shown == pytest.approx(ranges.min(), rel=1e-5)
    assert found.uphill == pytest.approx(ranges[-1] * math.sin(rays[-1]), rel=1e-9)
    assert found.downhill == pytest.approx(-ranges[0] * math.sin(rays[0]), rel=1e-9)
    assert found.shoalest == pytest.approx((ranges * np.cos(rays)).min(), rel=1e-9)
    assert found.error <= 1e-12
    assert found.shoalest <= found.shown + 1e-9


def test_a_level_bottom_is_a_slope_of_nothing() -> None:
    """No error, and the level print."""
    level = transducer.footprint_on_slope(depth_m=20.0, beamwidth_deg=20.0, slope_deg=0.0)

    assert level.error == pytest.approx(0, abs=1e-12)
    assert level.length == pytest.approx(transducer.footprint(depth_m=20.0, beamwidth_deg=20.0))


def test_a_slope_that_the_beam_runs_along_has_no_answer() -> None:
    """60 degrees of slope and 30 of half beam are parallel."""
    with pytest.raises(NoAnswer, match="meets no bottom"):
        transducer.footprint_on_slope(depth_m=10.0, beamwidth_deg=60.0, slope_deg=60.0)
