"""Longest run and smallest conductor: limits on the safe side, and the cells of published tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.ampacity import ampacity
from leadsman.compute.supply.conductors import AWG_NAMES, conductor_area
from leadsman.compute.supply.voltage_drop import voltage_drop
from leadsman.compute.supply.wiring import longest_run, smallest_conductor, smallest_conductor_circular_mils

LENGTHS_FT = (10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160, 170)
#: Sizes by current and round-trip length: ABYC E-11 (2003), Table IX, 12 V, based on minimum CM area.
TABLE_IX = {
    5: "18 16 14 12 12 10 10 10 8 8 8 6 6 6 6 6 6 6 6",
    10: "14 12 10 10 10 8 6 6 6 6 4 4 4 4 2 2 2 2 2",
    15: "12 10 10 8 8 6 6 6 4 4 2 2 2 2 2 1 1 1 1",
    20: "10 10 8 6 6 6 4 4 2 2 2 2 1 1 1 1/0 1/0 1/0 2/0",
}
#: Cells that give more than 3 % by the table's own rule, K = 10.75 over the minimum area.
BELOW_ITS_RULE = {(5, 170), (15, 60)}


@pytest.mark.parametrize("current_a", TABLE_IX)
def test_whole_rows_of_the_us_table(current_a: int) -> None:
    """Every cell of four rows of ABYC E-11 Table IX, but two that contradict the table's own rule."""
    cells = TABLE_IX[current_a].split()
    computed = smallest_conductor_circular_mils(
        current_a=float(current_a), length_m=np.array(LENGTHS_FT) * 0.3048 / 2
    )

    differing = {
        (current_a, length)
        for length, cell, size in zip(LENGTHS_FT, cells, computed, strict=True)
        if size != f"{cell} SAE"
    }
    assert differing == {cell for cell in BELOW_ITS_RULE if cell[0] == current_a}


@given(
    current=st.floats(0.2, 15),
    percent=st.sampled_from([3.0, 10.0]),
    nominal=st.sampled_from([12.0, 24.0]),
    conductor=st.sampled_from(["18 AWG", "16 AWG", "12 AWG", "1.5 mm2", "4 mm2"]),
)
def test_the_longest_run_drops_exactly_the_limit(
    current: float, percent: float, nominal: float, conductor: str
) -> None:
    """Run and drop are inverse to each other."""
    length = longest_run(conductor=conductor, current_a=current, nominal_v=nominal, drop_pct=percent)
    if length <= 100:
        drop = voltage_drop(current_a=current, length_m=length, conductor=conductor)

        assert drop == pytest.approx(nominal * percent / 100)


@pytest.mark.parametrize(("conductor", "suspect_m"), [("16 AWG", 3.7), ("14 AWG", 5.8)])
@pytest.mark.parametrize("construction", ["tinned", "stranded"])
def test_no_table_halves_or_doubles_the_run(conductor: str, suspect_m: float, construction: str) -> None:
    """Runs at 4 A and 3 % beyond 3.7 m on 16 AWG or 5.8 m on 14 AWG are suspect (common practice, no
    source)."""
    run = longest_run(conductor=conductor, current_a=4.0, construction=construction, temperature_c=20.0)

    assert suspect_m * 0.7 < run < suspect_m


def test_contacts_that_use_up_the_limit_have_no_answer() -> None:
    """0.1 ohm at 4 A drops 0.4 V, more than 3 % of 12 V: no length serves."""
    with pytest.raises(NoAnswer, match="contacts alone"):
        longest_run(conductor="12 AWG", current_a=4.0, contact_ohm=0.1)


@given(
    current=st.floats(0.1, 30),
    length=st.floats(0.2, 15),
    series=st.sampled_from(["AWG", "SAE", "mm2"]),
    engine_space=st.sampled_from(["no", "yes"]),
)
def test_the_smallest_conductor_serves_and_the_next_smaller_does_not(
    current: float, length: float, series: str, engine_space: str
) -> None:
    """Drop, ampacity and minimum hold for the answer; at least one fails for the size below it."""
    answer = smallest_conductor(current_a=current, length_m=length, series=series, engine_space=engine_space)

    assert answer.drop <= 0.36 * (1 + 1e-6)
    assert answer.ampacity >= current * (1 - 1e-6)
    assert conductor_area(conductor=answer.conductor) >= 0.999
    if answer.governed_by != "minimum size":
        smaller = _next_smaller(answer.conductor)
        drop = voltage_drop(current_a=current, length_m=length, conductor=smaller)
        allowed = ampacity(conductor=smaller, engine_space=engine_space)
        assert drop > 0.36 or allowed < current


def _next_smaller(conductor: str) -> str:
    from leadsman.compute.supply.wiring import SERIES

    sizes = next(sizes for sizes in SERIES.values() if conductor in sizes)
    return sizes[sizes.index(conductor) - 1]


@pytest.mark.parametrize(("series", "minimum"), [("AWG", "16 AWG"), ("mm2", "1 mm2"), ("SAE", "16 SAE")])
def test_never_below_the_standards_minimum(series: str, minimum: str) -> None:
    """33 CFR 183.425(e): 16 AWG on its own; ISO 10133 (2012) 7.3: 1 mm2; even for next to no current."""
    answer = smallest_conductor(current_a=0.1, length_m=0.5, series=series)

    assert (answer.conductor, answer.governed_by) == (minimum, "minimum size")


@pytest.mark.parametrize(
    ("current_a", "length_m", "governed_by"),
    [(4.0, 6.0, "drop"), (40.0, 0.3, "ampacity"), (0.5, 1.0, "minimum size")],
)
def test_what_governs_is_named(current_a: float, length_m: float, governed_by: str) -> None:
    """Long leads are governed by drop, short heavy ones by ampacity, light ones by the minimum."""
    assert smallest_conductor(current_a=current_a, length_m=length_m).governed_by == governed_by


def test_24_volts_need_no_more_copper_than_12() -> None:
    """At the same current and percentage twice the drop is permitted."""
    sizes = [
        AWG_NAMES.index(smallest_conductor(current_a=5.0, length_m=10.0, nominal_v=volts).conductor)
        for volts in (12.0, 24.0)
    ]

    assert sizes[0] > sizes[1]


def test_a_load_beyond_every_size_has_no_answer() -> None:
    """The reason names the limit that no size keeps and what to do."""
    with pytest.raises(NoAnswer, match="4/0 AWG keeps the permitted drop: shorten the run"):
        smallest_conductor(current_a=200.0, length_m=50.0)
    with pytest.raises(NoAnswer, match="more copper is needed than 4/0"):
        smallest_conductor_circular_mils(current_a=200.0, length_m=50.0)


def test_a_grid_agrees_with_single_calls() -> None:
    """Currents by lengths in one call, text and numbers alike."""
    currents, lengths = np.array([[1.0], [5.0], [20.0]]), np.array([1.0, 4.0, 9.0])
    grid = smallest_conductor(current_a=currents, length_m=lengths, series="mm2")

    assert grid.conductor.shape == grid.drop.shape == (3, 3)
    for i, current in enumerate(currents[:, 0]):
        for j, length in enumerate(lengths):
            single = smallest_conductor(current_a=float(current), length_m=float(length), series="mm2")
            assert (single.conductor, single.governed_by) == (grid.conductor[i, j], grid.governed_by[i, j])
            assert single.drop == pytest.approx(grid.drop[i, j])


def test_contacts_that_take_the_whole_drop_leave_no_run() -> None:
    """3 % of 12 V are 0.36 V; 2 A through 0.18 ohm of contacts drop just that, by Ohm's law."""
    with pytest.raises(NoAnswer, match="contacts alone"):
        longest_run(conductor="16 AWG", current_a=2.0, nominal_v=12.0, drop_pct=3.0, contact_ohm=0.18)
    assert longest_run(conductor="16 AWG", current_a=2.0, nominal_v=12.0, drop_pct=3.0, contact_ohm=0.17) > 0
