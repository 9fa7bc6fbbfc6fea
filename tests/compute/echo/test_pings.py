"""Timing of pings, second returns and cross-talk."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.echo import pings
from leadsman.compute.registry import NoAnswer

INTERVALS = st.floats(min_value=20, max_value=2000)


@given(st.floats(0.5, 5000), st.floats(0, 500))
def test_no_ping_leaves_before_the_echo_is_back(range_m: float, overhead: float) -> None:
    """The interval is the way out and back, and no shorter; the rate is its inverse."""
    timing = pings.ping_interval(range_m=range_m, overhead_ms=overhead)

    assert timing.interval >= 2 * range_m / 1.5 - 1e-9
    assert timing.interval * timing.rate == pytest.approx(1000)


@given(st.floats(0.5, 500), st.floats(0, 5))
def test_second_return_by_its_path(depth: float, immersion: float) -> None:
    """Down, up to the surface, down, up to the face: half the path is what the display shows.

    Below the face it stands at 2 d plus the immersion; shown from the surface it is exactly double.
    """
    surface_to_bottom = depth + immersion
    path = depth + surface_to_bottom + surface_to_bottom + depth
    below_face = pings.second_return(depth_m=depth, face_immersion_m=immersion)
    from_surface = pings.second_return(depth_m=depth, face_immersion_m=immersion, offset_m=immersion)

    assert below_face.from_face == pytest.approx(path / 2)
    assert from_surface.ratio == pytest.approx(2)


def test_third_return_is_one_more_depth_of_water() -> None:
    """Each further return lies the whole depth of the water deeper."""
    second, third = (pings.second_return(depth_m=4, face_immersion_m=0.5, order=n).from_face for n in (2, 3))

    assert third - second == pytest.approx(4.5)


def test_an_offset_that_hides_the_depth_has_no_ratio() -> None:
    """A keel offset deeper than the water leaves nothing to show."""
    with pytest.raises(NoAnswer, match="offset"):
        pings.second_return(depth_m=1, face_immersion_m=0.3, offset_m=-1.5)


@given(st.floats(20, 1000), st.floats(1, 15), st.floats(20, 1000), st.floats(1, 15))
def test_overlap_is_a_fraction_of_the_other(own: float, width: float, other: float, narrow: float) -> None:
    """Between none and all; all when the own band encloses the other; none when they lie apart."""
    overlap = pings.band_overlap(
        frequency_khz=own, bandwidth_khz=width, other_frequency_khz=other, other_bandwidth_khz=narrow
    )

    assert 0 <= overlap <= 1 + 1e-9
    if abs(own - other) > (width + narrow) / 2:
        assert overlap == 0
    if abs(own - other) < (width - narrow) / 2:
        assert overlap == pytest.approx(1)


def simulated_marks(own_ms: float, other_ms: float, count: int) -> list[tuple[int, float]]:
    """Own ping and delay of each mark, found by letting both sounders run; first mark 5 ms after a ping."""
    marks = []
    for m in range(count):
        time = 5 + m * other_ms
        ping = int(time // own_ms)
        marks.append((ping, time - ping * own_ms))
    return marks


@pytest.mark.parametrize(("own", "other"), [(100.0, 101.0), (100.0, 303.0), (250.0, 83.0), (100.0, 100.4)])
def test_march_is_what_two_running_sounders_show(own: float, other: float) -> None:
    """The step between neighbouring marks equals that of a simulation ping by ping."""
    march = pings.interference_march(ping_interval_ms=own, other_ping_interval_ms=other)
    stride = max(1, round(own / other))
    marks = simulated_marks(own, other, 3 * stride + 1)[::stride]
    (first_ping, first), (next_ping, following) = marks[0], marks[1]
    # A mark earlier than its ping's zero is the tail end of the ping before.
    lapped = (next_ping - first_ping - march.pings_between) * own

    assert 0.75 * (following - first + lapped) == pytest.approx(march.step, abs=1e-9)


@given(INTERVALS, INTERVALS)
def test_speed_is_step_over_time(own: float, other: float) -> None:
    """The march goes one step in the time between two marks."""
    march = pings.interference_march(ping_interval_ms=own, other_ping_interval_ms=other)

    assert march.speed * march.pings_between * own / 1000 == pytest.approx(march.step, abs=1e-9)


def test_equal_intervals_stand_still() -> None:
    """They never cross the picture; the reason says what is seen instead."""
    assert pings.interference_march(ping_interval_ms=80, other_ping_interval_ms=80).step == 0
    with pytest.raises(NoAnswer, match="second bottom"):
        pings.interference_crossing(ping_interval_ms=80, other_ping_interval_ms=80, range_m=30)


def test_crossing_is_slower_the_nearer_the_intervals() -> None:
    """A tenth of the difference takes ten times as long."""
    fast, slow = (
        pings.interference_crossing(ping_interval_ms=100, other_ping_interval_ms=100 + d, range_m=60)
        for d in (1.0, 0.1)
    )

    assert slow / fast == pytest.approx(10, rel=1e-6)


def test_pings_take_arrays() -> None:
    """Ranges in, intervals and rates out, cell by cell."""
    ranges = np.array([7.5, 75.0, 750.0])
    timing = pings.ping_interval(range_m=ranges)

    np.testing.assert_allclose(timing.interval, [10.0, 100.0, 1000.0])
    np.testing.assert_allclose(timing.rate, [100.0, 10.0, 1.0])
