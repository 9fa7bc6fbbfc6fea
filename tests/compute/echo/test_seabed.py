"""Sediments, reflection and bottom strength."""

import numpy as np
import pytest
from hypothesis import strategies as st

from leadsman.compute.echo import seabed

SIZES = st.floats(min_value=-1, max_value=9)


def test_bottoms_stand_in_order_and_mud_is_some_nine_decibels_below_sand() -> None:
    """Hard bottoms send back more; the ends enclose the middle."""
    strengths = [seabed.normal_strength(sediment=name) for name in seabed.BOTTOMS]

    assert [s.strength for s in strengths] == sorted((s.strength for s in strengths), reverse=True)
    assert all(s.weakest < s.strength < s.strongest for s in strengths)
    assert strengths[2].strength - strengths[3].strength == pytest.approx(9)


def test_oblique_drop_grows_to_its_plateau() -> None:
    """No loss straight down, then a steady rise to no more than 5 dB."""
    drops = np.asarray(seabed.oblique_drop(incidence_deg=np.linspace(0, 45, 46)))

    assert drops[0] == 0
    assert np.all(np.diff(drops) >= 0)
    assert drops[-1] == pytest.approx(5, abs=0.01)
    # A Gaussian has lost 1 - e^-1/2 of itself at its width, and 1 - e^-2 at twice that.
    assert drops[8] == pytest.approx(5 * 0.3935, abs=1e-3)
    assert drops[16] == pytest.approx(5 * 0.8647, abs=1e-3)
