"""Sediments, reflection and bottom strength."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.echo import seabed, sediment
from leadsman.compute.registry import OutOfRange

SIZES = st.floats(min_value=-1, max_value=9)


@given(SIZES)
def test_finer_sediment_is_lighter_and_slower(size: float) -> None:
    """Density and sound speed fall from gravel to clay (TR 9407, Table 2), but for the joints of the fit."""
    coarse, fine = (
        (sediment.density_ratio(mean_grain_size=s), sediment.sound_speed_ratio(mean_grain_size=s))
        for s in (max(-1.0, size - 0.5), size)
    )

    assert fine[0] <= coarse[0] + 0.001
    assert fine[1] <= coarse[1] + 0.001


def test_grain_size_array_equals_scalars_across_the_branches() -> None:
    """One call over all branches of the fits gives the same as one call for each size."""
    sizes = np.linspace(-1, 9, 41)
    for law in (sediment.density_ratio, sediment.sound_speed_ratio, sediment.loss_parameter):
        np.testing.assert_allclose(
            law(mean_grain_size=sizes), [law(mean_grain_size=float(s)) for s in sizes], rtol=1e-13
        )


def test_loss_follows_the_reference_sound_speed() -> None:
    """The parameter is an attenuation for each wavelength, so it goes with the sound speed."""
    at_1528 = sediment.loss_parameter(mean_grain_size=2.0)
    at_1450 = sediment.loss_parameter(mean_grain_size=2.0, reference_sound_speed_mps=1450)

    assert at_1450 / at_1528 == pytest.approx(1450 / 1528)


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


def test_not_a_number_is_refused() -> None:
    """NaN never passes as a grain size."""
    with pytest.raises(OutOfRange, match="mean_grain_size"):
        sediment.density_ratio(mean_grain_size=float("nan"))
