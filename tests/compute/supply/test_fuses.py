"""Fuses: the three bounds, the refusals, and the drop across a blade fuse."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.ampacity import ampacity
from leadsman.compute.supply.fuses import (
    BLADE_COLD_OHM,
    BLADE_OPENING_S,
    BLADE_RATINGS_A,
    fuse,
    fuse_current,
    fuse_drop_limit,
    fuse_opening_time,
    next_fuse,
)


@given(current=st.floats(0.01, 32))
def test_the_next_fuse_is_loaded_to_four_fifths_at_most(current: float) -> None:
    """And the rating below it would be loaded beyond."""
    rating = next_fuse(current_a=current)
    smaller = [r for r in BLADE_RATINGS_A if r < rating]

    assert rating >= 1.25 * current * (1 - 1e-6)
    assert not smaller or smaller[-1] < 1.25 * current


@pytest.mark.parametrize("rating", BLADE_RATINGS_A)
def test_an_exact_load_is_not_pushed_a_size_up(rating: float) -> None:
    """0.8 of a rating fits that rating, whatever the last binary digit."""
    assert next_fuse(current_a=0.8 * rating) == rating


@given(
    current=st.floats(0.05, 16),
    conductor=st.sampled_from(["18 AWG", "16 AWG", "14 AWG", "1 mm2", "1.5 mm2", "2.5 mm2"]),
    maker=st.sampled_from([0.0, 3.0, 5.0, 10.0]),
    engine_space=st.sampled_from(["no", "yes"]),
)
def test_the_fuse_protects_conductor_and_unit(
    current: float, conductor: str, maker: float, engine_space: str
) -> None:
    """Every answer keeps all three bounds; every refusal means that they cannot be kept together."""
    limit = min(ampacity(conductor=conductor, engine_space=engine_space), maker or np.inf)
    try:
        answer = fuse(current_a=current, conductor=conductor, maker_fuse_a=maker, engine_space=engine_space)
    except NoAnswer:
        assert next_fuse(current_a=current) > limit
    else:
        assert 1.25 * current * (1 - 1e-6) <= answer.rating <= limit
        assert answer.greatest == pytest.approx(limit)


def test_the_smaller_of_conductor_and_maker_bounds_the_fuse() -> None:
    """The maker's 3 A governs on a lead that would permit 25 A (common practice, no source)."""
    assert fuse(current_a=2.0, conductor="16 AWG", maker_fuse_a=3.0).greatest == 3.0
    assert fuse(current_a=2.0, conductor="16 AWG").greatest == 25.0


def test_refusals_say_which_limit_to_change() -> None:
    """A thin conductor asks for a bigger one, a low rating of the maker for another look at the load."""
    with pytest.raises(
        NoAnswer, match=r"needs 25 A; 18 AWG permits no fuse that large: fit a bigger conductor"
    ):
        fuse(current_a=18.0, conductor="18 AWG")
    with pytest.raises(NoAnswer, match=r"needs 5 A; the unit's maker permits no fuse that large"):
        fuse(current_a=4.0, conductor="16 AWG", maker_fuse_a=3.0)


def test_an_array_of_loads_is_one_call() -> None:
    """Ratings, colours and bounds come in the shape of the loads."""
    answer = fuse(current_a=np.array([1.0, 4.0, 8.0]), conductor="16 AWG")

    assert list(answer.rating) == [2.0, 5.0, 10.0]
    assert list(answer.colour) == ["grey", "tan", "red"]
    assert list(answer.greatest) == [25.0, 25.0, 25.0]


def test_a_larger_fuse_has_less_resistance() -> None:
    """Cold resistance falls with rating, and the drop at the rating stays between 50 and 170 mV (typical
    data)."""
    resistances = [BLADE_COLD_OHM[rating] for rating in BLADE_RATINGS_A]

    assert resistances == sorted(resistances, reverse=True)
    assert all(0.05 <= rating * BLADE_COLD_OHM[rating] <= 0.17 for rating in BLADE_RATINGS_A)


def test_the_drop_across_a_fuse_tells_the_current() -> None:
    """Proportional up to the rating; a drop far beyond it is refused as no reading of a fuse."""
    assert fuse_current(rating="5 A", drop_v=0.0) == 0.0
    assert fuse_current(rating="5 A", drop_v=0.02) == pytest.approx(
        2 * fuse_current(rating="5 A", drop_v=0.01)
    )
    with pytest.raises(NoAnswer, match="burnt holder"):
        fuse_current(rating="40 A", drop_v=0.2)


def test_a_fuse_opens_sooner_the_greater_the_load() -> None:
    """Both ends of the window fall with load; 110 % must be held for 100 h (ISO 8820-3, from memory)."""
    windows = [fuse_opening_time(load=load) for load in BLADE_OPENING_S]

    assert windows[0].shortest == 100 * 3600
    assert all(a.shortest > b.shortest for a, b in itertools.pairwise(windows))
    assert all(a.longest > b.longest for a, b in itertools.pairwise(windows))


def test_cold_blades_have_the_resistances_of_their_table() -> None:
    """Written down a second time (typical data, from memory; that of 10 A from a published chart): 1 to 40 A, milliohm."""
    milliohm = (123, 53.5, 31.1, 22.8, 17.9, 10.9, 7.69, 4.8, 3.4, 2.5, 2.0, 1.7, 1.4)
    assert tuple(BLADE_COLD_OHM.values()) == pytest.approx([v / 1000 for v in milliohm])
    assert tuple(BLADE_COLD_OHM) == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)


def test_a_larger_fuse_drops_less_at_its_rating() -> None:
    """Cold resistance times rating falls from 123 mV at 1 A to 56 mV at 40 A (typical data, common practice)."""
    drops = [ampere * ohm for ampere, ohm in BLADE_COLD_OHM.items()]

    assert drops == sorted(drops, reverse=True)
    assert (drops[0], drops[-1]) == pytest.approx((0.123, 0.056))


@pytest.mark.parametrize(("share", "answered"), [(1.5, True), (1.51, False)])
def test_more_than_half_as_much_again_is_no_current_of_the_fuse(share: float, answered: bool) -> None:
    """A 10 A fuse of 7.69 milliohm: 115 mV are 15 A, and more is a burnt holder (common practice)."""
    try:
        found = fuse_current(rating="10 A", drop_v=share * 10 * 0.00769)
    except NoAnswer:
        assert not answered
    else:
        assert answered
        assert found == pytest.approx(10 * share)


@given(unit_power_w=st.floats(5.0, 60.0), maker_fuse_a=st.sampled_from([2.0, 3.0, 5.0, 7.5]))
def test_a_drop_is_told_for_just_the_fuses_that_may_be_fitted(
    unit_power_w: float, maker_fuse_a: float
) -> None:
    """Common practice, no source: a limit beside a rating reads as leave to fit it."""
    unit = {"unit_power_w": unit_power_w, "low_limit_v": 10.0, "working_drop_pct": 10.0}
    for rating in (2.0, 3.0, 4.0, 5.0, 7.5, 10.0):
        may = 1.25 * unit_power_w / 10.0 <= rating <= maker_fuse_a
        asked = {**unit, "rating": f"{rating:g} A", "warming_pct": 50.0, "maker_fuse_a": maker_fuse_a}
        if may:
            assert fuse_drop_limit(**asked) > 0
        else:
            with pytest.raises(NoAnswer, match=r"is (too small|larger than)"):
                fuse_drop_limit(**asked)
