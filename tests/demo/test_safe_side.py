"""Every printed limit of the project's content, in every system of units: rounded to the safe side in the printed unit.

The factors are the exact ones of the international yard and pound agreement of 1959 (foot 0.3048 m, inch 25.4 mm), of
the fathom of six such feet, and of the Fahrenheit scale; they stand here apart from the program's own. Which side is safe
follows from what a limit is for: a depth that must be reached or a lead that may be run is printed no greater, a depth
that must be had or a voltage that must be kept no smaller (common practice, no source).
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

import built
from leadsman.book.computed import (
    TWO_BLOCKS,
    UNIT_SYSTEMS,
    compute_table,
    compute_value,
    show,
    unit_systems,
)
from leadsman.compute.registry import formulas
from leadsman.content.model.reference import Shown

#: Factor and offset from a unit to the one that it is held against.
FACTORS = {("m", "ft"): 1 / 0.3048, ("m", "fathom"): 1 / 1.8288, ("mm", "in"): 1 / 25.4, ("m/s", "kn"): 3600 / 1852,
           ("mohm", "ohm"): 1e-3, ("ohm", "kohm"): 1e-3, ("V", "mV"): 1e3, ("s", "ms"): 1e3, ("1", "%"): 100.0}  # fmt: skip
#: The safe side of the limits that a reader acts on.
SAFE = {
    ("echo.deepest_depth", "pessimistic"): "down",
    ("echo.deepest_depth", "nominal"): "down",
    # Beyond the other end nobody is accused: it is printed no nearer than it is.
    ("echo.deepest_depth", "optimistic"): "up",
    ("echo.shallowest_depth", "optimistic"): "down",
    ("echo.shallowest_depth", "pessimistic"): "up",
    ("transducer.laminate_loss_band", "least"): "down",
    ("transducer.laminate_loss_band", "worst"): "up",
    ("transducer.dead_zone", None): "up",
    ("supply.longest_run", "length"): "down",
    ("supply.backbone_budget", "longest"): "down",
    ("supply.cranking_minimum", "voltage"): "up",
    ("supply.plug_bands", "find_joint_below"): "up",
    ("supply.plug_bands", "convicted_below"): "up",
    ("supply.unit_fuse", "rating"): "up",
    ("supply.unit_fuse", "greatest"): "down",
    ("supply.lamp_test", "drop_limit"): "down",
    ("supply.lamp_test", "loop_limit"): "down",
    ("hull.tilt_limits", "good"): "down",
    ("hull.tilt_limits", "acceptable"): "down",
    ("hull.tilt_limits", "with_margin"): "down",
    ("hull.tilt_limits", "fore_aft"): "down",
    ("hull.heel_limit", "heel"): "down",
    ("hull.residual_tilt", "total"): "up",
}


def in_unit(value: float, unit: str, printed: str) -> float:
    """A value in the printed unit, by the factors above."""
    if unit == printed:
        return value
    if (unit, printed) == ("degC", "degF"):
        return value * 9 / 5 + 32
    return value * FACTORS[unit, printed]


def shown_by(record: Any, units: str) -> Shown:
    """Which of the record's own ways of printing applies; None of them being missing in the demo content is tested."""
    if units == "us-fathoms" and record.show_fathoms is not None:
        return record.show_fathoms  # type: ignore[no-any-return]
    return record.show if units == "metric" or record.show_us is None else record.show_us  # type: ignore[no-any-return]


def printed_cells(names: Sequence[str], systems: Sequence[str]) -> Iterator[Any]:
    """Every number of the tables: place, system, cell, number, unit of the formula's output."""
    catalogue = built.catalogue()
    for name in names:
        table = catalogue.tables[name]
        for units in (u for u in systems if u in unit_systems(table)):
            computed = compute_table(table, catalogue, units)
            outputs = {o.name: o.unit for o in computed.formula.outputs}
            for head, row in zip(computed.row_heads, computed.cells, strict=True):
                for index, number in enumerate(row):
                    cell = table.cells[index % len(table.cells)]
                    if number.answered and number.printed is not None:
                        unit = outputs[cell.output] if cell.output else computed.formula.outputs[0].unit
                        yield f"{name} {units} {head} {index}", units, cell, number, unit


def test_no_cell_is_rounded_to_the_wrong_side() -> None:
    names = list(built.catalogue().tables)
    # Converted numbers everywhere; in the formulas' own units, where nothing is converted, every fifth table.
    cells = [
        *printed_cells(names, ["us"]),
        *printed_cells(names[::5], ["metric"]),
        *printed_cells(["deepest-depth"], ["us-fathoms"]),
    ]
    wrong = []
    for place, units, cell, number, unit in cells:
        shown = shown_by(cell, units)
        if cell.show_us is None and number.unit != cell.show.unit:
            shown = Shown(unit=number.unit, step=1.0, round=cell.show.round)
        exact, printed = in_unit(float(number.exact), unit, number.unit), float(number.printed)
        slack = 1e-9 * max(1.0, abs(exact))
        beyond = {
            "down": printed - exact,
            "up": exact - printed,
            "nearest": abs(printed - exact) - shown.step / 2,
        }
        if beyond[shown.round] > slack or abs(printed - exact) > shown.step * (1 + 1e-9):
            wrong.append(
                f"{place}: {exact:.6g} {number.unit} printed {printed:g}, {shown.round} by {shown.step:g}"
            )
    assert wrong == []
    assert {units for _, units, *_ in cells} == set(UNIT_SYSTEMS)


def test_a_limit_keeps_its_side_in_every_system() -> None:
    catalogue = built.catalogue()
    ends = [(n, end) for n, t in catalogue.tables.items() for c in t.cells for end in (c, c.to) if end]
    records: list[tuple[str, Any]] = [(f"{n} {end.output}", end) for n, end in ends]
    records += [(n, v) for n, v in catalogue.values.items() if v.computed is not None]
    for name, record in records:
        sides = {s.round for s in (record.show, record.show_us, record.show_fathoms) if s is not None}
        assert len(sides) <= 1, f"{name} is rounded {' and '.join(sorted(sides))}"


def test_limits_are_rounded_to_the_side_that_is_safe() -> None:
    catalogue = built.catalogue()
    met = set()
    for name, table in catalogue.tables.items():
        for end in (end for cell in table.cells for end in (cell, cell.to) if end is not None):
            key = (table.formula, end.output)
            if key in SAFE and end.show is not None:
                assert end.show.round == SAFE[key], name
                met.add(key)
    assert met == set(SAFE), "the list above names a limit that no table prints"


def exact_and_printed(number: Any) -> list[tuple[float, float]]:
    """The number with what is printed of it; of one for twelve volts and twenty-four, both as they stand in the text."""
    if not isinstance(number.exact, list):
        return [(float(number.exact), float(number.printed))]
    printed = [float(word) for word in re.findall(r"[\d.]+", number.text.replace(TWO_BLOCKS, ""))]
    return list(zip(map(float, number.exact), printed, strict=True))


def test_values_are_rounded_to_their_side_in_the_printed_unit() -> None:
    catalogue = built.catalogue()
    seen = 0
    for name, value in catalogue.values.items():
        if value.computed is None:
            continue
        families: list[str | None] = list(catalogue.families) if value.each else [None]
        for units, family in itertools.product(unit_systems(value), families):
            number = compute_value(value, catalogue, units, family=family).number
            shown = shown_by(value, units)
            assert number.unit == shown.unit
            outputs = {o.name: o.unit for o in formulas()[value.computed.formula].outputs}
            unit = outputs.get(value.computed.output or next(iter(outputs)), "")
            for found, printed in exact_and_printed(number):
                exact = in_unit(found, unit, number.unit)
                beyond = {"down": printed - exact, "up": exact - printed}
                assert beyond.get(shown.round, 0) <= 1e-9 * max(1.0, abs(exact)), name
            seen += 1
    assert seen > 4


def test_conversion_comes_before_rounding() -> None:
    """Turning the rounded metres into feet would print other numbers, and unsafe ones among them."""
    late, unsafe = 0, 0
    names = ("longest-run-3-awg", "longest-run-10-metric", "dead-zone", "shallowest-depth")
    for _, _, cell, number, unit in printed_cells(names, ["us"]):
        metric = show(float(number.exact), unit, cell.show)
        converted = float(metric.printed or 0) / 0.3048
        nearest = round(converted / cell.show_us.step) * cell.show_us.step
        late += not math.isclose(nearest, float(number.printed))
        exact = float(number.exact) / 0.3048
        unsafe += nearest > exact if cell.show.round == "down" else nearest < exact
    assert late > 10
    assert unsafe > 0


def test_no_declared_number_is_converted_without_being_asked() -> None:
    """A declared limit in US units is the writer's own or rounded as he says; "to the nearest" could be unsafe."""
    catalogue = built.catalogue()
    convertible = (" m", " mm", " mm2", " C", " degC")
    bare = [n for n, v in catalogue.values.items()
            if v.declared and v.declared.endswith(convertible) and v.us is None and v.show_us is None]  # fmt: skip
    assert bare == []


def test_fathoms_are_printed_only_where_they_are_asked_for() -> None:
    catalogue = built.catalogue()
    table = catalogue.tables["deepest-depth"]
    texts = {u: [c.text for row in compute_table(table, catalogue, u).cells for c in row if c.answered] for u in UNIT_SYSTEMS}  # fmt: skip
    assert all(text.endswith("fm") for text in texts["us-fathoms"])
    assert all(text.endswith("ft") for text in texts["us"])
    leads = catalogue.tables["longest-run-3-awg"]
    assert unit_systems(leads) == ("metric", "us")
    assert compute_table(leads, catalogue, "us-fathoms").cells == compute_table(leads, catalogue, "us").cells
