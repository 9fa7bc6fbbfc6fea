"""Loss through a hull, by another route, over its tolerances, and with a core."""

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.transducer import range_and_time as transducer
from leadsman.compute.water import by_water as water

SEA, COUPLANT = 1027.0 * 1490.0, 960.0 * 1500.0
SOLID = {"sound_speed": 2700.0, "density": 1700.0, "attenuation": 200.0}


def reverberating(frequency_khz: float, thickness_m: float, inside: float = COUPLANT) -> float:
    """Two-way loss by summing the echoes inside the layer one after the other, not in closed form."""
    k = 2e3 * math.pi * frequency_khz / SOLID["sound_speed"]
    k -= 1j * SOLID["attenuation"] * frequency_khz / 200 / (20 * math.log10(math.e))
    z = SOLID["density"] * 2e3 * math.pi * frequency_khz / k
    enter, leave = 2 * z / (z + inside), 2 * SEA / (SEA + z)
    back = (SEA - z) / (SEA + z) * (inside - z) / (inside + z)
    passage = cmath.exp(-1j * k * thickness_m)
    pressure = sum(enter * leave * passage * (back * passage**2) ** n for n in range(200))
    return -20 * math.log10(abs(pressure) ** 2 * inside / SEA)


def in_series(frequency_khz: float, layers: list[tuple[float, float, float, float]]) -> float:
    """Two-way loss of layers (speed, density, attenuation at 200 kHz, thickness) by transfer matrices."""
    chain = np.eye(2, dtype=complex)
    for speed, density, attenuation, thickness in layers:
        k = 2e3 * math.pi * frequency_khz / speed
        k -= 1j * attenuation * frequency_khz / 200 / (20 * math.log10(math.e))
        z = density * 2e3 * math.pi * frequency_khz / k
        cosine, sine = cmath.cos(k * thickness), cmath.sin(k * thickness)
        chain = chain @ np.array([[cosine, 1j * z * sine], [1j * sine / z, cosine]])
    passed = 2 / (chain[0, 0] + chain[0, 1] / SEA + SEA * (chain[1, 0] + chain[1, 1] / SEA))
    return -20 * math.log10(abs(passed) ** 2)


# --- solid ---------------------------------------------------------------------------------------


@given(frequency_khz=st.floats(20, 1000), thickness_mm=st.floats(0.1, 40))
def test_the_loss_is_the_sum_of_all_echoes_in_the_layer(frequency_khz: float, thickness_mm: float) -> None:
    """Closed form against the series."""
    loss = transducer.laminate_loss(frequency_khz=frequency_khz, thickness_mm=thickness_mm)

    assert loss == pytest.approx(reverberating(frequency_khz, thickness_mm / 1000), abs=1e-6)


def test_no_laminate_leaves_only_the_step_from_couplant_to_water() -> None:
    """Oil and water match within 0.01 dB."""
    assert transducer.laminate_loss(frequency_khz=200, thickness_mm=0) == pytest.approx(0, abs=0.02)


def test_a_layer_of_water_costs_nothing() -> None:
    """Speed and density of the couplant, no attenuation."""
    loss = transducer.laminate_loss(
        frequency_khz=200,
        thickness_mm=10,
        sound_speed_mps=1800,
        density_kg_per_m3=960 * 1500 / 1800 + 100,
        attenuation_at_200_khz_db_per_m=0,
        couplant_sound_speed_mps=1490,
        couplant_density_kg_per_m3=1027,
    )

    assert 0 <= loss < 0.1


@pytest.mark.parametrize("half_waves", [1, 2, 3])
def test_a_half_wave_without_attenuation_is_transparent(half_waves: int) -> None:
    """Kinsler and others 2000, section 6.3; between them, the odd quarters, the loss peaks."""
    matched = {
        "frequency_khz": 200,
        "attenuation_at_200_khz_db_per_m": 0,
        "couplant_sound_speed_mps": 1490,
        "couplant_density_kg_per_m3": 1027,
    }
    half = transducer.laminate_loss(thickness_mm=6.75 * half_waves, **matched)
    quarter = transducer.laminate_loss(thickness_mm=6.75 * (half_waves - 0.5), **matched)
    ratio = 2700 * 1700 / SEA

    assert half == pytest.approx(0, abs=1e-9)
    assert quarter == pytest.approx(40 * math.log10((ratio + 1 / ratio) / 2), abs=1e-9)


# --- tolerance -----------------------------------------------------------------------------------


@given(
    frequency_khz=st.floats(20, 1000),
    thickness_mm=st.floats(2, 40),
    tolerance_mm=st.floats(0, 4),
    tolerance_pct=st.floats(0, 20),
    inside_mm=st.floats(-1, 1),
    inside_pct=st.floats(-1, 1),
)
def test_no_hull_within_the_tolerances_loses_more_than_the_envelope(
    frequency_khz: float,
    thickness_mm: float,
    tolerance_mm: float,
    tolerance_pct: float,
    inside_mm: float,
    inside_pct: float,
) -> None:
    """The safe side, 0.05 dB left for the steps of the speed."""
    actual = transducer.laminate_loss(
        frequency_khz=frequency_khz,
        thickness_mm=max(thickness_mm + inside_mm * tolerance_mm, 0.0),
        sound_speed_mps=2700 * (1 + inside_pct * tolerance_pct / 100),
    )

    worst = transducer.laminate_loss_envelope(
        frequency_khz=frequency_khz,
        thickness_mm=thickness_mm,
        thickness_tolerance_mm=tolerance_mm,
        sound_speed_tolerance_pct=tolerance_pct,
    )

    assert actual <= worst + 0.05


@pytest.mark.parametrize("frequency_khz", [50.0, 83.0, 200.0, 455.0, 800.0])
@pytest.mark.parametrize("thickness_mm", [5.0, 10.0, 20.0])
def test_the_envelope_is_not_far_above_the_worst_hull(frequency_khz: float, thickness_mm: float) -> None:
    """A dense search comes within 1.5 dB of it."""
    thickness = thickness_mm + np.linspace(-2, 2, 161)
    speed = 2700 * (1 + np.linspace(-0.15, 0.15, 121)[:, np.newaxis])
    searched = transducer.laminate_loss(
        frequency_khz=frequency_khz, thickness_mm=thickness, sound_speed_mps=speed
    ).max()

    worst = transducer.laminate_loss_envelope(frequency_khz=frequency_khz, thickness_mm=thickness_mm)

    assert -0.02 <= worst - searched <= 1.5


def test_without_tolerance_the_envelope_is_the_loss() -> None:
    """Away from the quarter waves."""
    exact = {"thickness_tolerance_mm": 0, "sound_speed_tolerance_pct": 0}
    for thickness_mm in (3.0, 6.75, 8.0, 13.5):
        assert transducer.laminate_loss_envelope(
            frequency_khz=200, thickness_mm=thickness_mm, **exact
        ) == pytest.approx(transducer.laminate_loss(frequency_khz=200, thickness_mm=thickness_mm))


def test_the_envelope_of_a_grid_is_that_of_its_cells() -> None:
    """Thickness across, frequency down."""
    frequency, thickness = np.array([50.0, 200.0, 455.0]), np.array([5.0, 10.0, 15.0, 20.0])
    grid = transducer.laminate_loss_envelope(frequency_khz=frequency[:, np.newaxis], thickness_mm=thickness)
    cell = transducer.laminate_loss_envelope(frequency_khz=455.0, thickness_mm=15.0)

    assert grid.shape == (3, 4)
    assert grid[2, 2] == pytest.approx(cell)
    assert isinstance(cell, float)


def test_no_half_wave_window_is_printed_as_a_good_thickness() -> None:
    """Common practice, no source: at 200 kHz 6.75 mm is a window on paper and 10 dB in a hull."""
    window = transducer.laminate_loss(frequency_khz=200, thickness_mm=6.75)
    printed = transducer.laminate_loss_envelope(frequency_khz=200, thickness_mm=6.75)

    assert window < 6.5
    assert printed > 10


def reach_left(frequency_khz: float, reach_m: float, thickness_mm: float) -> float:
    """Share of the reach left behind a laminate: spreading 40 log R and sea-water absorption make up its loss."""
    loss = transducer.laminate_loss_envelope(frequency_khz=frequency_khz, thickness_mm=thickness_mm)
    alpha = water.absorption(frequency_khz=frequency_khz, temperature_c=10.0, salinity_psu=35.0) / 1000
    share = np.linspace(0.02, 1, 4901)
    gained = -40 * np.log10(share) + 2 * alpha * reach_m * (1 - share)
    return float(share[np.argmin(np.abs(gained - loss))])


@pytest.mark.parametrize("thickness_mm", [8.0, 10.0, 12.0, 15.0])
def test_a_laminate_takes_the_reach_that_the_trade_says(thickness_mm: float) -> None:
    """Common practice, no source: 25-50 % of the reach of 150 m is lost at 200 kHz through 8-15 mm."""
    assert 0.5 <= reach_left(200, 150, thickness_mm) <= 0.75


def test_higher_frequencies_lose_more_in_the_laminate() -> None:
    """Common practice, no source: less at 50 kHz than at 200, none worth having at 455 and above."""
    losses = [
        transducer.laminate_loss_envelope(frequency_khz=f, thickness_mm=12) for f in (50, 200, 455, 800)
    ]

    assert losses == sorted(losses)
    assert losses[2] > 20


# --- cored ---------------------------------------------------------------------------------------


@given(
    frequency_khz=st.floats(40, 400),
    core_mm=st.floats(5, 40),
    outer_mm=st.floats(1, 15),
    inner_mm=st.floats(1, 15),
    core_speed=st.floats(500, 1500),
)
def test_no_cored_hull_beats_its_bound(
    frequency_khz: float, core_mm: float, outer_mm: float, inner_mm: float, core_speed: float
) -> None:
    """Any skins, lossless for the hull's best case, against the matrices of three layers."""
    hull = [
        (2700.0, 1700.0, 0.0, outer_mm / 1000),
        (core_speed, 80.0, 300.0, core_mm / 1000),
        (2700.0, 1700.0, 0.0, inner_mm / 1000),
    ]

    bound = transducer.cored_hull_loss(
        frequency_khz=frequency_khz, core_thickness_mm=core_mm, core_sound_speed_mps=core_speed
    )

    assert in_series(frequency_khz, hull) >= bound.least - 1e-6


@pytest.mark.parametrize("frequency_khz", [50.0, 70.0, 83.0, 190.0, 430.0])
def test_the_printed_worst_never_falls_with_the_thickness(frequency_khz: float) -> None:
    """A thicker hull that passes more sound is a half-wave window, and those are luck: not to be printed.

    It is the envelope up to the first quarter wave, and never below what any lesser thickness can cost.
    """
    thickness = np.linspace(1, 30, 59)
    band = transducer.laminate_loss_band(frequency_khz=frequency_khz, thickness_mm=thickness)
    envelope = transducer.laminate_loss_envelope(frequency_khz=frequency_khz, thickness_mm=thickness)

    assert np.all(np.diff(band.worst) >= 0)
    assert np.all(band.worst >= np.maximum.accumulate(envelope) - 1e-9)
    assert np.all(band.least <= band.worst)
    assert np.all(band.middle == (band.least + band.worst) / 2)


def test_the_best_hull_is_the_best_of_a_dense_search() -> None:
    """Within 0.3 dB, over thickness to 2 mm and speed to 15 % (common practice for hand-laid hulls)."""
    for frequency, thickness in ((50, 10), (70, 14), (190, 10), (200, 12), (430, 10)):
        searched = transducer.laminate_loss(
            frequency_khz=frequency,
            thickness_mm=thickness + np.linspace(-2, 2, 161),
            sound_speed_mps=2700 * (1 + np.linspace(-0.15, 0.15, 121)[:, np.newaxis]),
        ).min()
        band = transducer.laminate_loss_band(frequency_khz=frequency, thickness_mm=thickness)

        assert 0 <= band.least - searched <= 0.3


def test_no_hull_costs_nothing() -> None:
    """Thickness nought stands for a face in the water, without tolerance."""
    assert transducer.laminate_loss_band(frequency_khz=200, thickness_mm=0) == (0, 0, 0)


def test_a_cored_hull_fails_where_a_solid_one_of_the_same_skins_serves() -> None:
    """Common practice, no source: no core under an in-hull transducer. 40 dB and more against 10 to 15."""
    cored = transducer.cored_hull_loss(frequency_khz=200, core_thickness_mm=20)
    solid = transducer.laminate_loss_envelope(frequency_khz=200, thickness_mm=10)

    assert cored.impedance_ratio > 50
    assert cored.interface > 11
    assert cored.least > solid + 20
    assert cored.in_turn > 60


def test_the_mismatch_alone_passes_a_thirteenth() -> None:
    """Energy passing one boundary: 4 r/(1 + r)^2, the same whichever side it comes from."""
    cored = transducer.cored_hull_loss(frequency_khz=200, core_thickness_mm=20)
    r = 2700 * 1700 / (1100 * 80)

    assert 10 ** (-cored.interface / 10) == pytest.approx(4 * r / (1 + r) ** 2)
    assert 10 ** (-cored.interface / 10) == pytest.approx(1 / 13.5, rel=0.02)


@pytest.mark.parametrize(("frequency_khz", "thickness_mm"), [(200.0, 20.0), (50.0, 12.0)])
def test_the_losses_of_a_cored_hull_by_hand(frequency_khz: float, thickness_mm: float) -> None:
    """Four boundaries and the core in turn, there and back; and the bound of the docstring's formula, core to water."""
    solid, core = 2700 * 1700, 1100 * 80
    face, interface = (-10 * math.log10(4 * r / (1 + r) ** 2) for r in (solid / SEA, solid / core))
    one_way = 300 * frequency_khz / 200 * thickness_mm / 1000
    cored = transducer.cored_hull_loss(frequency_khz=frequency_khz, core_thickness_mm=thickness_mm)
    decay, passes = 10 ** (-one_way / 20), 4 * (core / SEA) / (1 + core / SEA) ** 2

    assert cored.impedance_ratio == pytest.approx(solid / core)
    assert cored.interface == pytest.approx(interface)
    assert cored.in_turn == pytest.approx(2 * (2 * face + 2 * interface + one_way))
    # The core's own impedance has a small imaginary part, which the plain formula leaves out.
    bound = -20 * math.log10((passes * decay / (1 - (1 - passes) * decay**2)) ** 2)
    assert cored.least == pytest.approx(bound, abs=0.1)


def worst_at_full_thickness(frequency_khz: float, thickness_mm: float) -> float:
    """Two-way loss over 15 % of the speed at 2 mm more: by the echoes one after the other, or all of them against it."""
    losses = []
    for step in range(41):
        speed = 2700 * (1 + 0.15 * (step / 20 - 1))
        k = 2e3 * math.pi * frequency_khz / speed - 1j * frequency_khz / 200 * 200 / (20 * math.log10(math.e))
        z = 1700 * 2e3 * math.pi * frequency_khz / k
        passage = cmath.exp(-1j * k * (thickness_mm + 2) / 1000)
        through = 4 * z / (z + COUPLANT) * SEA / (SEA + z) * passage
        back = (SEA - z) / (SEA + z) * (COUPLANT - z) / (COUPLANT + z) * passage**2
        pressures = [abs(through / (1 - back))]
        if k.real * (thickness_mm + 2) / 1000 > math.pi / 2:
            pressures.append(abs(through) / (1 + abs(back)))
        losses += [-20 * math.log10(pressure**2 * COUPLANT / SEA) for pressure in pressures]
    return max(losses)


@pytest.mark.parametrize(
    ("frequency_khz", "thickness_mm"), [(200.0, 10.0), (50.0, 5.0), (50.0, 9.0), (455.0, 20.0)]
)
def test_the_printed_worst_by_hand(frequency_khz: float, thickness_mm: float) -> None:
    """Brekhovskikh and Godin 1990, section 2.4; from the first quarter wave on at the worst phase."""
    band = transducer.laminate_loss_band(frequency_khz=frequency_khz, thickness_mm=thickness_mm)

    assert band.worst == pytest.approx(worst_at_full_thickness(frequency_khz, thickness_mm), abs=1e-6)
