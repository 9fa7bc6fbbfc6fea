"""The ladder of volts and the probes, held against the supply formulas and the table that the card prints."""

import pytest

import built
import drawn
from leadsman.book.computed import compute_table
from leadsman.compute.supply.voltage_drop import plug_voltage_constant_power, voltage_drop
from leadsman.output.figures.drawing import LINE
from leadsman.output.figures.numbers import Numbers
from leadsman.output.figures.supply import Ladder


@pytest.fixture(scope="module")
def ladder() -> Ladder:
    """The ladder of Corrie's lead."""
    numbers = Numbers(built.content()[0])
    table = numbers.table("plug-volts")
    assert table is not None
    return Ladder(numbers, table, "corrie")


def test_the_ladder_ends_where_the_formula_ends(ladder: Ladder) -> None:
    """2.6 A at 12 V are 31.2 W, which the unit holds: by the quadratic of such a load (Horowitz and Hill, 2015)."""
    lead = {"length_m": 6.0, "conductor": "14 AWG", "construction": "stranded"}
    cool, warm = (
        plug_voltage_constant_power(source_v=12.5, power_w=31.2, contact_ohm=0.04, temperature_c=t, **lead)
        for t in (20.0, 40.0)
    )
    copper = voltage_drop(current_a=cool.current, contact_ohm=0.0, temperature_c=20.0, **lead)
    assert ladder.plug_v == pytest.approx(float(cool.voltage))
    assert ladder.copper_v == pytest.approx(float(copper))
    assert ladder.contacts_v == pytest.approx(float(cool.current) * 0.04)
    # Common practice, no source: 0.15 V beyond the warm lead's own drop, 0.5 V above the unit's low limit of 10.8 V.
    assert ladder.joint_v == pytest.approx(float(warm.voltage) - 0.15)
    assert ladder.convicted_v == pytest.approx(10.8 + 0.5)


def test_the_steps_stand_at_their_volts(ladder: Ladder) -> None:
    figure = drawn.everything()["voltage-ladder"]
    (way,) = drawn.of_width(figure, 0.7)
    levels = [y for _, y in way]
    assert levels[0] == pytest.approx(ladder.level(12.5), abs=0.01)
    assert levels[2] == pytest.approx(ladder.level(12.5 - ladder.contacts_v), abs=0.01)
    assert levels[-1] == pytest.approx(ladder.level(ladder.plug_v), abs=0.01)
    per_volt = (ladder.level(11.0) - ladder.level(12.0)) / 1.0
    assert (levels[-1] - levels[0]) / per_volt == pytest.approx(12.5 - ladder.plug_v, abs=0.01)


def test_the_bands_are_those_that_the_table_prints() -> None:
    catalogue, _ = built.content()
    table = compute_table(catalogue.tables["plug-volts"], catalogue)
    row = table.row_heads.index("Corrie")
    words = " ".join(label.words for label in drawn.labels(drawn.everything()["voltage-ladder"]))
    assert [cell.text for cell in table.cells[row][:3] if cell.text not in words] == []


def test_each_meter_joins_the_points_that_its_text_names() -> None:
    """Meter 1 and 2 across plug and battery, 3 and 4 along one leg each: no lead crosses to the other pole."""
    figure = drawn.everything()["probes"]
    leads = [points for points in drawn.of_width(figure, LINE) if len(points) == 3]
    assert len(leads) == 8
    ends = {tuple(points[-1]): [] for points in leads}
    for points in leads:
        ends[tuple(points[-1])].append(points[0])
    by_name = {label.words: label for label in drawn.labels(figure) if label.words in "1234"}
    for (x, y), (first, second) in ends.items():
        name = next(n for n, b in by_name.items() if b.left < x < b.right and b.top < y < b.bottom)
        if name in "12":
            assert first[0] == second[0]
            assert abs(first[1] - second[1]) > 15
        else:
            assert first[1] == second[1]
            assert abs(first[0] - second[0]) > 40
