"""The page of a boat's own numbers, held against other sums, for boats of the tests' own."""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Hashable
from decimal import Decimal
from typing import Any

import pytest

import small_fleet
from leadsman.book.computed import Number
from leadsman.book.guide import _equipment
from leadsman.book.guide_numbers import (
    BoatNumbers,
    Grid,
    NumberLine,
    _depth,
    _ends,
    _Narrowed,
    as_slots,
    boat_numbers,
)
from leadsman.book.guide_subject import Subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.equipment import Boat
from leadsman.content.model.table import Cell

#: What a cell says where no number can be promised.
NO_DEPTH = "none"
#: IEC 60228:2004 table 3, class 5, plain copper at 20 C, greatest resistance [ohm/km]; AWG from ASTM B174 strands,
#: both from memory.
OHM_PER_KM = {"1 mm2": 19.5, "2.5 mm2": 7.98, "16 AWG": 13.7, "14 AWG": 8.6, "12 AWG": 5.4}
Content = tuple[Catalogue, GuideEdition]


@pytest.fixture(scope="module")
def content() -> Content:
    return small_fleet.content(), small_fleet.EDITION


def numbers(content: Content, boat: Boat | str, units: str = "metric") -> BoatNumbers:
    catalogue, edition = content
    return boat_numbers(edition, catalogue.boats[boat] if isinstance(boat, str) else boat, catalogue, units)


def line(found: BoatNumbers, label: str) -> float:
    (text,) = [each.text for each in found.lines if each.label.startswith(label)]
    return float(re.findall(r"[\d.]+", text)[0])


def window(found: BoatNumbers) -> dict[tuple[str, str], tuple[float, float]]:
    grid = next(g for g in found.grids if g.id == "depths")
    return {
        (row[0].partition(" through ")[0], water): tuple(float(n) for n in re.findall(r"[\d.]+", cell))  # type: ignore[misc]
        for row in grid.rows
        for water, cell in zip(grid.columns, row[1:], strict=True)
        if cell != NO_DEPTH
    }


def ohms_law_v(record: Boat, catalogue: Catalogue) -> float:
    """12.5 V at the battery less the current times copper and joints, both ways; the unit holds its power, so the
    current follows from the volts at the plug: the upper root of V^2 - 12.5 V + P R = 0."""
    power = 12 * catalogue.families[record.display].current_a
    loop = (
        2 * record.supply.lead_length_m * OHM_PER_KM[record.supply.conductor] / 1000
        + record.supply.contact_ohm
    )
    return (12.5 + math.sqrt(12.5**2 - 4 * power * loop)) / 2


def us_bolder_than_metric(content: Content) -> list[tuple[str, str]]:
    """Each is rounded to the safe side by itself: at most one step of the other apart (0.3048 m a foot)."""
    bolder = []
    for boat in content[0].boats:
        metric, us = window(numbers(content, boat)), window(numbers(content, boat, "us"))
        assert metric.keys() == us.keys()
        for key, (least, most) in metric.items():
            if us[key][0] * 0.3048 <= least - 0.101 or us[key][1] * 0.3048 >= most + 5.001:
                bolder.append(key)
    return bolder


@pytest.mark.parametrize("boat", ["sedge", "marten", "corrie", "pintail"])
def test_volts_at_the_plug_are_those_of_ohms_law(content: Content, boat: str) -> None:
    found = line(numbers(content, boat), "Volts at the power plug")
    assert found == pytest.approx(ohms_law_v(content[0].boats[boat], content[0]), abs=0.1)


def test_a_number_of_a_bracket_is_for_boats_with_a_bracket(content: Content) -> None:
    told = {name: {each.id for each in numbers(content, name).lines} for name in content[0].boats}
    assert {name for name, lines in told.items() if "bracket" in lines} == {"punt", "sedge"}


def test_a_lead_is_too_thin_where_it_leaves_less_than_the_display_wants(
    content: Content,
) -> None:
    """By the same sum: 12 m of 1 mm2 leave pintail's display 10.25 V, and half a volt above its 10.5 V is wanted."""
    catalogue = content[0]
    assert {name for name in catalogue.boats if numbers(content, name).thin_lead} == {"pintail"}
    found = numbers(content, "pintail")
    assert line(found, "Volts that this unit wants there") == pytest.approx(10.5 + 0.5)
    assert line(found, "Volts at the power plug, even when all is sound") < 10.5
    supply = catalogue.boats["pintail"].supply
    longer = catalogue.boats["pintail"].model_copy(
        update={"supply": supply.model_copy(update={"lead_length_m": 40.0})}
    )
    assert numbers(content, longer).thin_lead, "it does not pass the display's power at all"
    assert not any(each.text == NO_DEPTH for each in numbers(content, longer).lines)
    larger = longer.model_copy(update={"supply": supply.model_copy(update={"conductor": "6 mm2"})})
    assert not numbers(content, larger).thin_lead


def test_us_depths_are_never_bolder_than_metric_ones(content: Content) -> None:
    assert us_bolder_than_metric(content) == []
    assert {name for name in content[0].boats if window(numbers(content, name))} == set(content[0].boats)


def test_a_thicker_laminate_never_reaches_deeper(content: Content) -> None:
    boat = content[0].boats["pintail"]
    reach = [
        max(
            most for _, most in window(numbers(content, boat.model_copy(update={"laminate_mm": mm}))).values()
        )
        for mm in (4.0, 10.0, 20.0)
    ]
    assert reach == sorted(reach, reverse=True)
    assert reach[0] > reach[-1]


def test_through_a_core_no_depth_is_promised(content: Content) -> None:
    boat = content[0].boats["pintail"].model_copy(update={"material": "cored-grp"})
    assert window(numbers(content, boat)) == {}


def test_a_display_caps_its_own_depths(content: Content) -> None:
    catalogue, edition = content
    family = catalogue.families["tideway"].model_copy(update={"greatest_depth_m": 60.0, "least_depth_m": 5.0})
    capped = dataclasses.replace(
        catalogue, records={**catalogue.records, "families": {**catalogue.families, "tideway": family}}
    )
    found = window(boat_numbers(edition, catalogue.boats["marten"], capped, "metric"))
    assert found
    assert all(least >= 5.0 and most <= 60.0 for least, most in found.values())


def test_a_transducer_without_a_thermistor_has_no_table_of_it(
    content: Content,
) -> None:
    assert [g.id for g in numbers(content, "pintail").grids] == ["depths", "bands"]
    assert [g.id for g in numbers(content, "marten").grids] == ["depths", "bands", "thermistor"]


def test_depths_that_are_kept_for_a_fleet_are_those_of_the_same_equipment_only(
    content: Content,
) -> None:
    catalogue, edition = content
    known: dict[Hashable, tuple[Grid, ...]] = {}
    boat = catalogue.boats["marten"]
    steeper = boat.model_copy(update={"deadrise_deg": 24.0})
    for each in (boat, steeper, boat, *catalogue.boats.values()):
        assert boat_numbers(edition, each, catalogue, "us", known) == numbers(content, each, "us")
    assert len(known) == len(catalogue.boats) + 1


def test_a_guide_in_fathoms_has_no_metre(content: Content) -> None:
    """What is not counted in fathoms is in feet, as in every US edition."""
    catalogue, _ = content
    boat = catalogue.boats["marten"]
    found = numbers(content, boat, "us-fathoms")
    told = [row[0] for grid in found.grids if grid.id == "bands" for row in grid.rows]
    told += [cell for grid in found.grids if grid.id == "depths" for row in grid.rows for cell in row[1:]]
    subject = Subject(
        catalogue.families[boat.display], boat=boat, transducer=catalogue.transducers[boat.transducer]
    )
    told += _equipment(subject, "us-fathoms", catalogue.phrases().guide).values()
    assert any("ft" in text for text in told)
    assert [text for text in told if re.search(r"\d\sm\b", text)] == []


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 0, 2)])
def test_of_several_depths_the_most_cautious_holds_at_either_end(
    content: Content, order: tuple[int, ...]
) -> None:
    """The deepest of the least depths and the least of the deepest ones, whichever season or end comes first."""
    catalogue, _ = content
    narrowed = _Narrowed(catalogue.boats["marten"], catalogue, "metric", catalogue.phrases())
    least = [Number(f"{n} m", n, "m", printed=Decimal(n)) for n in (1, 2, 3)]
    most = [Number(f"{n} m", n, "m", printed=Decimal(n)) for n in (60, 40, 90)]
    assert narrowed._range([least[i] for i in order], [most[i] for i in order]) == "3 m to 40 m"
    assert narrowed._range(least, [*most, Number("3 m", 3, "m", printed=Decimal(3))]) == NO_DEPTH
    assert narrowed._range(least, [*most, Number("none", None, answered=False)]) == NO_DEPTH


def narrowed(content: Content, boat: str, units: str = "metric", **changes: Any) -> _Narrowed:
    catalogue, _ = content
    return _Narrowed(catalogue.boats[boat].model_copy(update=changes), catalogue, units, catalogue.phrases())


@pytest.mark.parametrize(
    ("boat", "changes", "tilt"),
    [
        ("marten", {}, 0.0),  # an element of 12 degrees on a deadrise of 12
        ("marten", {"deadrise_deg": 20.0}, 8.0),
        # Athwart and fore-and-aft together, for small angles the root of the squares (Pythagoras).
        ("marten", {"deadrise_deg": 15.0, "shaft_angle_deg": 4.0}, 5.0),
        ("pintail", {"shaft_angle_deg": 9.0}, 0.0),  # a tank is cut for the hull
        ("pintail", {"face_levelled": False, "deadrise_deg": 8.0}, 8.0),
        ("sedge", {"deadrise_deg": 25.0}, 0.0),  # a bracket is levelled on the boat
    ],
)
def test_the_tilt_of_a_boat_at_rest(
    content: Content, boat: str, changes: dict[str, Any], tilt: float
) -> None:
    found = narrowed(content, boat, **changes)
    assert found._tilt_deg() == pytest.approx(tilt, abs=0.05)
    table = content[0].tables["deepest-summer"]
    given = found._given(table)
    assert given["tilt"] == f"{found._tilt_deg():.3f} deg"
    assert (
        given["greatest_depth"] == f"{content[0].families[content[0].boats[boat].display].greatest_depth_m} m"
    )


def test_a_tilt_beyond_the_formulas_is_held_at_their_end(content: Content) -> None:
    given = narrowed(content, "marten", deadrise_deg=40.0, element_tilt_deg=0.0)._given(
        content[0].tables["deepest-summer"]
    )
    assert given["tilt"] == "30.000 deg"


def test_a_laminate_is_given_where_it_is_sounded_through(content: Content) -> None:
    table = content[0].tables["deepest-summer"]
    assert narrowed(content, "pintail")._given(table)["laminate"] == "12.0 mm"
    assert narrowed(content, "pintail", laminate_mm=None)._given(table)["laminate"] == "0.0 mm"
    assert "laminate" not in narrowed(content, "marten")._given(table)
    # What the formula does not take is not given to it.
    assert "greatest_depth" not in narrowed(content, "marten")._given(content[0].tables["thermistor"])


@pytest.mark.parametrize(
    ("boat", "material", "deaf"),
    [("pintail", "solid-grp", False), ("pintail", "wood", True), ("pintail", "aluminium", True), ("marten", "aluminium", False)],
)  # fmt: skip
def test_only_solid_glass_lets_sound_through(content: Content, boat: str, material: str, deaf: bool) -> None:
    found = narrowed(content, boat, material=material)
    assert found.deaf == deaf
    assert found._through() == (" through 12\u202fmm" if (boat, deaf) == ("pintail", False) else "")
    told = {
        cell
        for grid in numbers(content, found.boat).grids
        if grid.id in ("depths", "bands")
        for row in grid.rows
        for cell in row[1:]
    }
    assert (told == {NO_DEPTH}) == deaf


def test_a_band_that_looks_ahead_has_no_depth(content: Content) -> None:
    found = narrowed(content, "marten", transducer="fl-675")
    assert (found.bands, [water.id for water in found.waters]) == ([], ["harrow-bank", "tolmer-estuary"])


@pytest.mark.parametrize(
    ("depth_m", "units", "told"),
    [(2.0, "metric", "2 m"), (2.5, "metric", "2.5 m"), (2.4, "metric", "2.5 m"), (100.0, "metric", "100 m"), (2.0, "us", "7 ft"), (30.0, "us", "98 ft")],
)  # fmt: skip
def test_the_depth_of_a_water_is_told_to_the_nearest(depth_m: float, units: str, told: str) -> None:
    """2 m are 6.6 ft, 30 m 98.4 ft."""
    assert _depth(depth_m, units).replace("\u202f", " ") == told


def test_a_water_of_one_depth_has_one_row(content: Content) -> None:
    catalogue, edition = content
    lake = catalogue.waters["lake-vessany"].model_copy(update={"shallow_m": 12.5, "deep_m": 12.5})
    flat = dataclasses.replace(
        catalogue, records={**catalogue.records, "waters": {**catalogue.waters, "lake-vessany": lake}}
    )
    grid = next(
        g for g in boat_numbers(edition, catalogue.boats["sedge"], flat, "metric").grids if g.id == "bands"
    )
    assert [row[0].replace("\u202f", " ") for row in grid.rows] == [
        "Tolmer Estuary, 2 m",
        "Tolmer Estuary, 20 m",
        "Lake Vessany, 12.5 m",
    ]
    assert grid.columns == ("70 kHz", "190 kHz")


def test_the_thermistor_is_told_as_its_law_has_it(content: Content) -> None:
    """R = R25 exp(B (1/T - 1/298.15 K)) (Becker, Green and Pearson 1946): 5 kohm and 3450 K."""
    grid = next(g for g in numbers(content, "marten").grids if g.id == "thermistor")
    by_law = [5 * math.exp(3450 * (1 / (c + 273.15) - 1 / 298.15)) for c in (0, 10)]
    assert [row[0].replace("\u202f", " ") for row in grid.rows] == ["0 °C", "10 °C"]
    assert [float(row[1].split("\u202f")[0]) for row in grid.rows] == pytest.approx(by_law, abs=0.051)
    us = next(g for g in numbers(content, "marten", "us").grids if g.id == "thermistor")
    assert [row[0].replace("\u202f", " ") for row in us.rows] == ["32 °F", "50 °F"]


def test_either_end_of_a_range_may_be_the_cautious_one() -> None:
    show = {"unit": "m", "step": 1, "round": "down"}
    alone = Cell.model_validate({"output": "nominal", "show": show})
    assert _ends(alone) == [alone]
    both = Cell.model_validate(
        {"output": "nominal", "show": show, "to": {"output": "pessimistic", "show": {**show, "step": 5}}}
    )
    first, last = _ends(both)
    assert (first.output, first.to, first.show) == ("nominal", None, alone.show)
    assert (last.output, last.to, last.show and last.show.step) == ("pessimistic", None, 5)


def test_a_range_that_ends_before_it_begins_is_none(content: Content) -> None:
    found = narrowed(content, "marten")

    def metres(value: int) -> Number:
        return Number(f"{value} m", value, "m", printed=Decimal(value))

    assert found._range([metres(3)], [metres(3)]) == NO_DEPTH
    assert found._range([metres(3)], [metres(4)]) == "3 m to 4 m"
    assert found._range([Number("none", None, "m")], [metres(4)]) == NO_DEPTH
    assert found._range([metres(3)], [Number("none", None, "m")]) == NO_DEPTH


def test_lines_of_a_guide_are_those_of_the_boats_volts_and_lead(content: Content) -> None:
    catalogue, edition = content
    both = {
        name: edition.numbers["plug"].model_copy(update={"nominal_v": volts, "lead": None})
        for name, volts in (("on-12", 12), ("on-24", 24))
    }
    own = edition.model_copy(update={"numbers": both, "window": None})
    found = boat_numbers(own, catalogue.boats["marten"], catalogue, "metric")
    assert ([each.id for each in found.lines], found.grids) == (["on-12"], ())
    # Without a word on the lead none is told to be too thin.
    blind = edition.model_copy(update={"lead": None, "window": None})
    thin = boat_numbers(blind, catalogue.boats["pintail"], catalogue, "metric")
    assert (thin.thin_lead, [each.id for each in thin.lines]) == (False, ["plug"])


def test_a_number_without_an_answer_is_told_as_none(content: Content) -> None:
    """Forty metres of 1 mm2 pass no such power; a lead that is not said to be too thin says so in a word."""
    catalogue, edition = content
    boat = catalogue.boats["pintail"]
    long = boat.model_copy(update={"supply": boat.supply.model_copy(update={"lead_length_m": 40.0})})
    blind = edition.model_copy(update={"lead": None, "window": None})
    assert [each.text for each in boat_numbers(blind, long, catalogue, "metric").lines] == [NO_DEPTH]


def test_every_text_of_the_page_has_its_place() -> None:
    grid = Grid("g", "Caption", "Head", ("a", "b"), (("r", "1", "2"), ("s", "3", "4")))
    found = as_slots(BoatNumbers((NumberLine("plug", "Plug", "12 V"),), (grid,)))
    assert found == {
        "number-plug": "12 V", "g-head-1": "a", "g-head-2": "b", "g-1-0": "r", "g-1-1": "1", "g-1-2": "2", "g-2-0": "s", "g-2-1": "3", "g-2-2": "4",
    }  # fmt: skip
