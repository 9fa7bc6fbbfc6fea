"""Signal excess and the deepest and shallowest readable depths."""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.echo.budget import budget, signal_excess
from leadsman.compute.echo.readable import absorption_rules, deepest_depth, shallowest_depth
from leadsman.compute.registry import NoAnswer, OutOfRange
from leadsman.compute.water.by_water import absorption

SOUNDER: dict[str, Any] = {
    "frequency_khz": 200,
    "power_w": 500,
    "beamwidth_deg": 12,
    "pulse_long_ms": 0.6,
    "temperature_c": 12,
    "salinity_psu": 35,
}
SHALLOW: dict[str, dict[str, Any]] = {
    "50": {"frequency_khz": 50, "pulse_short_ms": 0.2, "quality_factor": 20, "receiver_recovery_ms": 0.3},
    "200": {"frequency_khz": 200, "pulse_short_ms": 0.1, "quality_factor": 20, "receiver_recovery_ms": 0.2},
    "800": {"frequency_khz": 800, "pulse_short_ms": 0.05, "quality_factor": 20, "receiver_recovery_ms": 0.3},
    "low chirp": {
        "frequency_khz": 44,
        "bandwidth_khz": 32,
        "pulse_short_ms": 1.3,
        "quality_factor": 8.5,
        "receiver_recovery_ms": 0.3,
    },
}


def deepest(**change: Any) -> Any:
    """Depths of the sounder above, with changes."""
    return deepest_depth(**(SOUNDER | {"greatest_depth_m": 10_000} | change))


def excess(depth_m: Any, **change: Any) -> Any:
    """Signal excess of the sounder above, with changes."""
    return signal_excess(depth_m=depth_m, **(SOUNDER | change))


# --- the budget ----------------------------------------------------------------------------------


def test_a_budget_by_hand() -> None:
    """500 W, 200 kHz, 12 degrees, 0.6 ms, 100 m of sea at 10 degC, worked with pencil and textbook.

    Source: 170.8 + 10 lg 225 W + 23.8 dB; absorption 54.45 dB/km (Francois and Garrison 1982); two-way beam
    0.0242 sr, 242 m2, less than the 281 m2 of the pulse; sand -16 dB; own noise 26 dB above
    thermal -15 + 20 lg 200.
    """
    source = 170.8 + 10 * math.log10(225) + 23.8
    loss = 40 * math.log10(100) + 0.2 * 54.45
    noise = -15 + 20 * math.log10(200) + 26 + 10 * math.log10(1 / 0.0006) - 23.8
    by_hand = source - loss - 16 + 10 * math.log10(242) - noise - 10 - 54

    assert excess(100, temperature_c=10) == pytest.approx(by_hand, abs=0.3)


@settings(max_examples=40)
@given(
    st.floats(1, 1000),
    st.sampled_from([28.0, 50.0, 200.0, 800.0]),
    st.sampled_from(["rock", "gravel", "sand", "mud"]),
    st.floats(0, 25),
    st.sampled_from([0.0, 20.0]),
    st.sampled_from(["at rest", "planing"]),
)
def test_printed_terms_add_up(
    depth: float, frequency: float, sediment: str, tilt: float, bandwidth: float, state: str
) -> None:
    """The terms of the printed budget sum to the signal excess, whatever the case."""
    record = SOUNDER | {
        "frequency_khz": frequency,
        "sediment": sediment,
        "tilt_deg": tilt,
        "bandwidth_khz": bandwidth,
        "boat_state": state,
    }
    terms = budget(depth_m=depth, **record)

    assert sum(terms[:-1]) == pytest.approx(terms.signal_excess, abs=1e-9)
    assert terms.signal_excess == pytest.approx(signal_excess(depth_m=depth, **record), abs=1e-9)


@settings(max_examples=40)
@given(
    st.sampled_from([30.0, 83.0, 200.0, 455.0]),
    st.floats(2, 60),
    st.floats(0.05, 5),
    st.floats(0, 30),
    st.sampled_from([0.0, 10.0, 30.0]),
)
def test_excess_falls_with_depth(
    frequency: float, beam: float, pulse: float, tilt: float, bandwidth: float
) -> None:
    """Deeper is never easier, whichever area and whichever slope path rules."""
    margins = np.asarray(
        excess(
            np.geomspace(0.2, 5000, 80),
            frequency_khz=frequency,
            beamwidth_deg=beam,
            pulse_long_ms=pulse,
            tilt_deg=tilt,
            bandwidth_khz=bandwidth,
        )
    )

    assert np.all(np.diff(margins) < 0)


@settings(max_examples=40)
@given(st.floats(1, 300), st.floats(0, 29))
def test_more_tilt_is_never_better(depth: float, tilt: float) -> None:
    """A steeper slope or a more tilted face loses, and none is lost at none."""
    assert excess(depth, tilt_deg=tilt + 1) <= excess(depth, tilt_deg=tilt) + 1e-9
    assert budget(depth_m=depth, **SOUNDER).tilt_loss == 0


def test_every_decibel_counts_once() -> None:
    """Installed loss, further loss and threshold come off the excess one for one; power by its logarithm."""
    base = excess(50)

    assert excess(50, installed_loss_db=44) - base == pytest.approx(10)
    assert excess(50, extra_loss_db=4) - base == pytest.approx(-4)
    assert excess(50, detection_threshold_db=13) - base == pytest.approx(-3)
    assert excess(50, power_w=1000) - base == pytest.approx(10 * math.log10(2))


def test_peak_to_peak_watts_would_overstate_by_nine_decibels() -> None:
    """Eight times the watts: why an undeclared peak-to-peak figure shifts every table."""
    assert excess(50, power_w=4000) - excess(50, power_w=500) == pytest.approx(9.03, abs=0.01)


def test_a_chirp_is_no_louder_than_a_tone_of_its_length() -> None:
    """The noise behind the matched filter is the same; the finer cells cost half their decibels back."""
    deep = 150
    tone = excess(deep, pulse_long_ms=2.0)
    chirp = excess(deep, pulse_long_ms=2.0, bandwidth_khz=50)

    assert tone - 5 * math.log10(2.0 * 50) - 0.01 <= chirp <= tone


def test_a_fan_beam_of_equal_widths_is_nearly_the_round_one() -> None:
    """12 by 12 degrees, rectangular for round: 1.5 dB at most."""
    assert excess(50, beamwidth_across_deg=12) == pytest.approx(excess(50), abs=1.5)


def test_tilt_in_the_wide_plane_of_a_fan_costs_little() -> None:
    """A fan of 30 by 1.5 degrees looks sideways without loss: the plane of the tilt counts."""
    wide = excess(10, beamwidth_deg=30, beamwidth_across_deg=1.5)
    tilted = excess(10, beamwidth_deg=30, beamwidth_across_deg=1.5, tilt_deg=5)

    assert 0 < wide - tilted < 1


# --- the deepest depth ---------------------------------------------------------------------------


@settings(max_examples=40)
@given(
    st.sampled_from([28.0, 50.0, 200.0, 800.0]),
    st.floats(50, 2000),
    st.sampled_from([0.0, 10.0, 35.0]),
    st.floats(0, 20),
)
def test_excess_is_nil_at_the_deepest_depth(
    frequency: float, power: float, salinity: float, tilt: float
) -> None:
    """The root is a root, and the band encloses it."""
    given_ = {"frequency_khz": frequency, "power_w": power, "salinity_psu": salinity, "tilt_deg": tilt}
    band = deepest(**given_)

    assert excess(band.nominal, **given_) == pytest.approx(0, abs=1e-3)
    assert band.pessimistic < band.nominal < band.optimistic


@pytest.mark.parametrize(("sediment", "spread"), [("rock", 5), ("gravel", 5), ("sand", 6), ("mud", 10)])
def test_the_band_carries_every_stated_accuracy(sediment: str, spread: float) -> None:
    """At the ends the excess is the root of the sum of squares of all that is stated.

    The spreads of the bottom are those that ``echo.bottom_strength`` declares; in fresh water absorption is
    known to 5 % (Francois and Garrison 1982), a decibel at most here.
    """
    for noise, loss, state, by_state in ((0, 0, "at rest", 0), (5, 6, "at rest", 0), (5, 6, "planing", 6)):
        change = {"salinity_psu": 0, "sediment": sediment, "boat_state": state}
        band = deepest(**change, own_noise_band_db=noise, installed_loss_band_db=loss)
        steady = math.sqrt(noise**2 + loss**2 + by_state**2 + spread**2)

        assert steady <= excess(band.pessimistic, **change) <= math.hypot(steady, 1.5)
        assert -math.hypot(steady, 1.5) <= excess(band.optimistic, **change) <= -steady


def test_a_hull_stands_whole_at_both_ends() -> None:
    """Through 10 mm the worst hull is taken for what must be reached, the best for what may be.

    Common practice, no source: the nominal reach through a solid hull is half to three quarters of the bare.
    """
    bare, through = deepest(), deepest(laminate_mm=10)

    assert through.pessimistic == pytest.approx(deepest(extra_loss_db=14.23).pessimistic, rel=0.01)
    assert through.optimistic == pytest.approx(deepest(extra_loss_db=5.5).optimistic, rel=0.02)
    assert 0.5 <= through.nominal / bare.nominal <= 0.75


@pytest.mark.parametrize("beam", [20, 30, 40, 45])
@pytest.mark.parametrize(
    ("power", "salinity", "low", "high"),
    [(250, 35, 150, 350), (250, 0, 200, 500), (500, 35, 250, 500), (600, 35, 250, 500), (600, 0, 350, 900)],
)
def test_wide_beams_lean_short_and_the_band_holds_practice(
    beam: float, power: float, salinity: float, low: float, high: float
) -> None:
    """Practice gives one bracket for 50 kHz from 20 to 45 degrees (common practice, no source).

    Above 40 degrees the nominal depth may lie below it by a tenth, as the formula states; the middle of the
    bracket still lies within the band, so that nobody who reaches it is told that he cannot.
    """
    band = deepest(
        frequency_khz=50, beamwidth_deg=beam, power_w=power, salinity_psu=salinity, pulse_long_ms=1.5
    )

    assert band.nominal >= 0.9 * low
    assert band.pessimistic <= math.sqrt(low * high) <= band.optimistic


def test_the_display_caps_depth_and_band_and_says_so() -> None:
    """Nothing deeper than the display can show is ever promised."""
    capped = deepest(greatest_depth_m=90)

    assert capped.nominal == 90
    assert capped.optimistic == 90
    assert capped.pessimistic < 90
    assert capped.limit == "display range"


def test_absorption_limits_the_sea_and_spreading_the_lake() -> None:
    """At 200 kHz the sea's absorption sets the reach; in fresh water spreading and noise do."""
    assert deepest().limit == "absorption"
    assert deepest(salinity_psu=0).limit == "spreading"


def test_lower_reaches_deeper() -> None:
    """Of two frequencies the lower wins in the deep sea."""
    low = deepest(frequency_khz=50, beamwidth_deg=30, pulse_long_ms=1.5)

    assert low.pessimistic > deepest().nominal


def test_hopeless_losses_have_no_depth() -> None:
    """A drowned echo is no depth of a few millimetres but a refusal with its reason."""
    with pytest.raises(NoAnswer, match="no depth"):
        deepest(extra_loss_db=90, installed_loss_db=90)


def test_a_grid_of_forty_thousand_equals_its_cells() -> None:
    """200 frequencies by 200 powers in one call; cells picked out agree with scalar calls."""
    frequency, power = np.linspace(28, 800, 200)[:, None], np.geomspace(50, 2000, 200)[None, :]
    grid = deepest(frequency_khz=frequency, power_w=power)

    assert grid.nominal.shape == grid.limit.shape == (200, 200)
    for i, j in ((0, 0), (57, 120), (199, 199)):
        cell = deepest(frequency_khz=float(frequency[i, 0]), power_w=float(power[0, j]))
        assert grid.nominal[i, j] == pytest.approx(cell.nominal, rel=1e-5)
        assert grid.pessimistic[i, j] == pytest.approx(cell.pessimistic, rel=1e-5)
        assert grid.limit[i, j] == cell.limit


@pytest.mark.parametrize(
    ("argument", "value"),
    [("power_w", 0), ("power_w", 8000), ("frequency_khz", 5), ("tilt_deg", 45), ("salinity_psu", -1)],
)
def test_out_of_range_is_refused_by_name(argument: str, value: float) -> None:
    """No clamping."""
    with pytest.raises(OutOfRange, match=argument.rsplit("_", 1)[0]):
        deepest(**{argument: value})


# --- the shallowest depth ------------------------------------------------------------------------


def shallowest(name: str, **change: Any) -> Any:
    """Depths of one of the sounders above, with changes."""
    return shallowest_depth(**(SHALLOW[name] | {"temperature_c": 12, "salinity_psu": 35} | change))


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("50", 1.0, 2.5), ("200", 0.4, 0.9), ("800", 0.25, 0.5), ("low chirp", 1.5, 3.0)],
)
def test_shallowest_depth_is_believable(name: str, low: float, high: float) -> None:
    """The brackets of the trade (common practice, no source)."""
    assert low <= shallowest(name).nominal <= high


def test_a_low_chirp_cannot_be_trusted_in_man_deep_water() -> None:
    """1.5 to 1.8 m lies below its nominal limit, for its long pulse and its ringing."""
    band = shallowest("low chirp")

    assert band.nominal > 1.8
    assert band.limit == "dead zone"


def test_pulse_alone_is_half_its_length() -> None:
    """1 ms hides 0.75 m and 2 ms hides 1.5 m (at 1500 m/s), before any ringing."""
    short, long = (
        shallowest_depth(
            frequency_khz=200,
            pulse_short_ms=pulse,
            quality_factor=1,
            receiver_recovery_ms=0,
            temperature_c=13,
            salinity_psu=35,
        ).nominal
        for pulse in (1.0, 2.0)
    )

    assert long - short == pytest.approx(0.75, abs=0.005)
    assert short == pytest.approx(0.75, abs=0.02)


def test_a_sound_speed_that_is_a_hundredth_off_moves_the_pulse_by_a_hundredth() -> None:
    """Half the way that sound travels: what does not hang on ringing is in proportion to its speed."""
    given = {"quality_factor": 1, "receiver_recovery_ms": 0, "pulse_short_ms": 5.0}
    known, off = (shallowest("200", **given, sound_speed_band_pct=percent) for percent in (0, 1))
    assert off.nominal == known.nominal
    assert off.pessimistic / known.pessimistic == pytest.approx(1.01, rel=1e-9)
    assert off.optimistic / known.optimistic == pytest.approx(0.99, rel=1e-9)


def test_the_displays_least_depth_counts() -> None:
    """The larger of dead zone and display, with its name."""
    band = shallowest("200", least_depth_m=0.8)

    assert band.nominal == 0.8
    assert band.optimistic == 0.8
    assert band.limit == "display range"
    assert shallowest("200", least_depth_m=0.1).limit == "dead zone"


@settings(max_examples=40)
@given(st.floats(0.02, 5), st.floats(1, 60), st.floats(0, 5))
def test_longer_pulse_or_ring_hides_more(pulse: float, quality: float, recovery: float) -> None:
    """Each part of the dead zone only adds."""
    base = {"pulse_short_ms": pulse, "quality_factor": quality, "receiver_recovery_ms": recovery}
    nominal = shallowest("200", **base).nominal

    assert shallowest("200", **(base | {"pulse_short_ms": pulse * 1.5})).nominal > nominal
    assert shallowest("200", **(base | {"quality_factor": quality * 1.1})).nominal > nominal
    assert shallowest("50", **base).nominal > nominal


def test_a_sweep_below_ten_kilohertz_is_a_slip() -> None:
    """The frequency of a chirp is the middle of its band."""
    with pytest.raises(NoAnswer, match="middle of the band"):
        shallowest("low chirp", frequency_khz=20)


@pytest.mark.parametrize("frequency_khz", [50, 200, 455])
def test_absorption_sets_the_depth_where_the_next_metre_costs_more_by_it(frequency_khz: float) -> None:
    """By the slope of the excess itself: of what a metre costs, twice the absorption is the water's own share."""
    change = {"frequency_khz": frequency_khz, "salinity_psu": 35, "temperature_c": 12}
    # What the sounder budgets with: the loss that two beamwidths' worth of range cannot explain.
    alpha_db_per_m = absorption(frequency_khz=frequency_khz, temperature_c=12, salinity_psu=35) / 1000
    told = set()
    for power_w in np.geomspace(5, 4000, 25):
        found = deepest(power_w=float(power_w), **change)
        depth, step = float(found.nominal), 1e-3
        slope = (
            float(excess(depth - step, power_w=float(power_w), **change))
            - float(excess(depth + step, power_w=float(power_w), **change))
        ) / (2 * step)
        by_water = 2 * alpha_db_per_m
        if abs(by_water / (slope - by_water) - 1) > 0.03:  # at the turn itself rounding decides
            assert str(found.limit) == ("absorption" if by_water > slope - by_water else "spreading"), depth
            told.add(str(found.limit))
    assert told <= {"absorption", "spreading"}
    assert frequency_khz != 200 or told == {"absorption", "spreading"}


@pytest.mark.parametrize(("cell", "law"), [(0.1, 30), (100.0, 20)])
def test_absorption_rules_where_the_next_metre_costs_more_by_it(cell: float, law: float) -> None:
    """The slope of ``law`` times log10 r is law times log10(e) / r; with a short pulse the echo of the bottom falls by 30
    instead of 20 (Urick 1983, chapter 9)."""
    for share, rules in ((1.01, True), (0.99, False)):
        absorption = share * law * math.log10(math.e) / 100 / 2
        link: Any = SimpleNamespace(beam_sr=0.05, cell_m=cell, absorption_db_per_m=absorption)
        assert bool(absorption_rules(100.0, link)) == rules
