"""Suitability of a sounder for a depth: words, reasons, grids."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.echo.readable import deepest_depth, shallowest_depth
from leadsman.compute.echo.suitability import REASONS, WORDS, _rank_deep, suitability

SEA: dict[str, Any] = {"temperature_c": 12, "salinity_psu": 35, "greatest_depth_m": 1000}
HIGH: dict[str, Any] = {
    "frequency_khz": 200,
    "power_w": 500,
    "beamwidth_deg": 12,
    "pulse_long_ms": 0.6,
    "pulse_short_ms": 0.1,
    "quality_factor": 20,
    "receiver_recovery_ms": 0.2,
}
LOW: dict[str, Any] = {
    "frequency_khz": 50,
    "power_w": 500,
    "beamwidth_deg": 30,
    "pulse_long_ms": 1.5,
    "pulse_short_ms": 0.2,
    "quality_factor": 20,
    "receiver_recovery_ms": 0.3,
}
LOW_CHIRP: dict[str, Any] = {
    "frequency_khz": 44,
    "bandwidth_khz": 32,
    "power_w": 800,
    "beamwidth_deg": 25,
    "pulse_long_ms": 4.0,
    "pulse_short_ms": 1.3,
    "quality_factor": 8.5,
    "receiver_recovery_ms": 0.3,
}
SHALLOW_FIELDS = ("pulse_short_ms", "quality_factor", "receiver_recovery_ms")


def judge(sounder: dict[str, Any], depth_m: Any, **change: Any) -> Any:
    """Word, reason and margin in the sea, with changes."""
    return suitability(depth_m=depth_m, **(SEA | sounder | change))


# --- facts of the trade (common practice, no source) ---------------------------------------------


@pytest.mark.parametrize("depth", [1.5, 1.6, 1.8])
def test_low_chirp_is_poor_in_five_or_six_feet(depth: float) -> None:
    """Trouble with a number in 1.5 to 1.8 m, and the dead zone is why."""
    assert judge(LOW_CHIRP, depth)[:2] == ("poor", "dead zone")


def test_two_hundred_kilohertz_is_not_poor_in_one_metre() -> None:
    """It has the depth well in hand."""
    assert judge(HIGH, 1.0)[:2] == ("good", "in hand")


@pytest.mark.parametrize(("salinity", "deep"), [(0, 350.0), (10, 300.0), (35, 220.0)])
def test_higher_wins_in_the_shallows_and_lower_in_the_deep(salinity: float, deep: float) -> None:
    """With two to choose from: the higher at 0.9 m, the lower in the deep."""
    rank = {
        (name, depth): WORDS.index(judge(sounder, depth, salinity_psu=salinity).word)
        for name, sounder in (("high", HIGH), ("low", LOW))
        for depth in (0.9, deep)
    }

    assert rank["high", 0.9] > rank["low", 0.9]
    assert rank["low", deep] > rank["high", deep]


def test_reason_in_the_deep_is_absorption_in_the_sea_and_spreading_in_a_lake() -> None:
    """What the next metre costs most."""
    assert judge(HIGH, 200).reason == "absorption"
    assert judge(HIGH, 350, salinity_psu=0).reason == "spreading"


def test_under_way_the_reason_is_noise_where_a_quiet_boat_would_do() -> None:
    """70 m is good at rest; planing takes it, and the reason says what to look for."""
    assert judge(HIGH, 70).word == "good"
    planing = judge(HIGH, 70, boat_state="planing")

    assert planing.word in ("fair", "poor", "none")
    assert planing.reason == "noise"
    assert judge(HIGH, 70, own_noise_db=50).reason == "noise"


def test_beyond_reach_of_a_quiet_boat_noise_is_not_blamed() -> None:
    """400 m at 200 kHz in the sea is hopeless at rest too."""
    assert judge(HIGH, 400, boat_state="planing").reason == "absorption"


def test_the_display_rules_at_both_ends() -> None:
    """A depth that the display cannot show is none for that reason, even with echo in hand."""
    assert judge(HIGH, 60, greatest_depth_m=50)[:2] == ("none", "display range")
    assert judge(HIGH, 0.7, least_depth_m=0.8)[:2] == ("none", "display range")


# --- agreement with the limits -------------------------------------------------------------------


@settings(max_examples=40)
@given(st.floats(0.06, 900), st.sampled_from([0.0, 35.0]), st.sampled_from(["high", "low", "chirp"]))
def test_word_follows_the_bands_of_both_limits(depth: float, salinity: float, name: str) -> None:
    """Good on a bad day, fair nominally, poor on a good day, none beyond: by the two limit formulas."""
    sounder = {"high": HIGH, "low": LOW, "chirp": LOW_CHIRP}[name]
    water = SEA | {"salinity_psu": salinity}
    deep = deepest_depth(**water, **{k: v for k, v in sounder.items() if k not in SHALLOW_FIELDS})
    near = shallowest_depth(
        **{k: sounder[k] for k in ("frequency_khz", "bandwidth_khz", *SHALLOW_FIELDS) if k in sounder},
        temperature_c=12,
        salinity_psu=salinity,
    )
    steps = [
        (deep.pessimistic, near.pessimistic),
        (deep.nominal, near.nominal),
        (deep.optimistic, near.optimistic),
    ]
    # A depth on the very edge of a band may fall either way by rounding.
    if min(abs(depth - edge) for step in steps for edge in step) < 1e-3 * depth:
        return
    by_deep = sum(depth <= far for far, _ in steps)
    by_near = sum(depth >= close for _, close in steps)

    assert judge(sounder, depth, salinity_psu=salinity).word == WORDS[min(by_deep, by_near)]


def test_words_go_from_none_to_good_and_back() -> None:
    """From the face to the abyss the word rises once and falls once."""
    ranks = np.array([WORDS.index(w) for w in judge(LOW, np.geomspace(0.2, 900, 300)).word])
    top = int(np.argmax(ranks))

    assert ranks[top] == len(WORDS) - 1
    assert np.all(np.diff(ranks[: top + 1]) >= 0)
    assert np.all(np.diff(ranks[top:]) <= 0)


# --- grids ---------------------------------------------------------------------------------------


def test_a_grid_of_frequency_by_depth() -> None:
    """200 by 200 cells in one call, every cell a known word and reason, cells equal to scalar calls."""
    frequency, depth = np.geomspace(28, 800, 200)[:, None], np.geomspace(0.3, 900, 200)[None, :]
    grid = judge(HIGH, depth, frequency_khz=frequency)

    assert grid.word.shape == grid.reason.shape == grid.margin.shape == (200, 200)
    assert set(np.unique(grid.word)) == set(WORDS)
    assert set(np.unique(grid.reason)) <= set(REASONS)
    assert np.array_equal(grid.word == "good", grid.reason == "in hand")
    for i, j in ((0, 0), (31, 150), (120, 90), (199, 199)):
        cell = judge(HIGH, float(depth[0, j]), frequency_khz=float(frequency[i, 0]))
        assert (grid.word[i, j], grid.reason[i, j]) == cell[:2]
        assert grid.margin[i, j] == pytest.approx(cell.margin)


def test_a_scalar_call_returns_plain_values() -> None:
    """Texts and a float, not arrays of no dimension."""
    word, reason, margin = judge(HIGH, 20.0)

    assert type(word) is str
    assert type(reason) is str
    assert type(margin) is float


@pytest.mark.parametrize(
    ("margin", "rank"),
    [(8.0, 3), (7.9, 2), (0.5, 2), (0.0, 2), (-0.1, 1), (-8.0, 1), (-8.1, 0)],
)
def test_a_depth_is_good_beyond_its_doubt_and_none_below_it(margin: float, rank: int) -> None:
    """Of 8 dB either way: good from there up, fair from nothing, poor down to as much below."""
    assert int(_rank_deep(np.asarray(margin), np.asarray(8.0))) == rank
