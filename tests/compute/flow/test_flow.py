"""Cavitation and ventilation: limits, scaling, and the trade's warning about inception speeds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.flow import cavitation as flow

SUCTION, DEPTH, WARMTH = st.floats(0.05, 5), st.floats(0.02, 20), st.floats(0, 40)
KNOT = 1852 / 3600


@given(suction=SUCTION, depth=DEPTH, warmth=WARMTH)
def test_at_the_inception_speed_the_cavitation_number_is_the_suction(
    suction: float, depth: float, warmth: float
) -> None:
    """Round trip of the definition sigma_i = -Cp_min."""
    speed = flow.inception_speed(suction=suction, depth_m=depth, temperature_c=warmth)

    if 0.1 <= speed <= 50:
        number = flow.cavitation_number(speed_mps=speed, depth_m=depth, temperature_c=warmth)
        assert number == pytest.approx(suction, rel=1e-9)


@given(suction=SUCTION, depth=DEPTH, warmth=WARMTH)
def test_air_can_always_be_drawn_before_water_boils(suction: float, depth: float, warmth: float) -> None:
    """The air's pressure keeps the second speed above the first at every depth."""
    assert flow.ventilation_speed(suction=suction, depth_m=depth) < flow.inception_speed(
        suction=suction, depth_m=depth, temperature_c=warmth, salinity_psu=0
    )


def test_temperature_hardly_matters() -> None:
    """Vapour pressure is 2 % of the air's at 20 degC: less than 1 % of speed over 0 to 20 degC."""
    cold, warm = flow.inception_speed(suction=1, depth_m=0.5, temperature_c=np.array([0.0, 20.0]))

    assert 0 < 1 - warm / cold < 0.01


def test_draught_changes_the_speed_by_three_percent() -> None:
    """From 0.3 to 1 m."""
    shallow, deep = flow.inception_speed(suction=1, depth_m=np.array([0.3, 1.0]))

    assert deep / shallow - 1 == pytest.approx(0.03, abs=0.005)


@pytest.mark.parametrize("suction", [0.3, 0.5, 0.7, 1.0])
@pytest.mark.parametrize("depth", [0.3, 0.6, 1.0])
def test_inception_lies_at_28_to_50_knots_for_usual_faces(suction: float, depth: float) -> None:
    """Common practice, no source: about 28 to 50 kn for 0.3 to 1 m and 0.3 to 1 of suction."""
    speed = flow.inception_speed(suction=suction, depth_m=depth) / KNOT

    assert 28 - 1 <= speed <= 50 + 3  # the band is given in round figures


@given(suction=st.floats(0.05, 1.0), depth=st.floats(0.1, 1.0))
def test_no_speed_where_small_craft_lose_the_echo_is_called_cavitation(suction: float, depth: float) -> None:
    """Common practice, no source: at 14 kn air does the harm; nobody may read cavitation, or a clean flow."""
    assert flow.loss_mechanism(speed_mps=14 * KNOT, suction=suction, depth_m=depth).word in {
        "carried air",
        "drawn air",
    }


def test_the_words_change_at_the_two_speeds() -> None:
    """In this order: carried air, drawn air, air and cavitation."""
    found = flow.loss_mechanism(speed_mps=np.array([1.0, 8.0, 40.0]), suction=1.0, depth_m=0.5)

    assert found.word.tolist() == ["carried air", "drawn air", "air and cavitation"]
