"""Old and new numbers side by side, and why each changed: input, formula, rounding, or what was declared."""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Mapping
from typing import Any

import pytest

import small_content
from leadsman.book.computed import ask_today
from leadsman.book.number_changes import (
    NumberChange,
    Side,
    _Call,
    _reasons,
    _same,
    _shown,
    calls_of,
    table_changes,
    value_change,
)
from leadsman.compute.registry import ComputeError, Formula, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Value
from leadsman.content.model.table import Table

DROP = {
    "formula": "supply.voltage_drop",
    "output": "drop",
    "given": {"length": "5 m", "current": "2 A", "conductor": "1.5 mm2", "temperature": "20 C"},
}
SHOW = {"unit": "V", "step": 0.1, "round": "up"}


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return small_content.edited()


def value(**changes: Any) -> Value:
    return Value.model_validate({"meaning": "Drop", **changes})


def declared(text: str, source: str = "common-practice") -> Value:
    return value(declared=text, source=source)


def computed(**given: str) -> Value:
    return value(computed={**DROP, "given": {**DROP["given"], **given}}, show=SHOW)  # type: ignore[dict-item]


def change(catalogue: Catalogue, old: Value, new: Value) -> NumberChange | None:
    side = Side(catalogue)
    return value_change(old, new, (side, side), "metric")


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        (declared("1 V"), declared("2 V"), ("declared anew",)),
        (declared("1 V"), declared("2 V", "other"), ("declared anew, source common-practice -> other",)),
        (declared("1 V"), computed(), ("computed instead of declared",)),
        (computed(), declared("1 V"), ("declared instead of computed",)),
        (computed(), computed(length="9 m"), ("input changed: length_m 5 -> 9",)),
        (computed(), computed(length="9 m", current="4 A"), ("input changed: current_a 2 -> 4, length_m 5 -> 9",)),
        (computed(), computed().model_copy(update={"show": value(computed=DROP, show={**SHOW, "unit": "mV"}).show}), ("printed with another unit, step or rounding",)),
    ],
)  # fmt: skip
def test_why_a_value_changed(catalogue: Catalogue, old: Value, new: Value, why: tuple[str, ...]) -> None:
    found = change(catalogue, old, new)
    assert found is not None
    assert (found.place, found.why) == ("Drop", why)
    assert found.old != found.new
    assert change(catalogue, old, old) is None


def test_a_value_that_cannot_be_computed_says_so(catalogue: Catalogue) -> None:
    found = change(catalogue, computed(), computed(length="9 kg"))
    assert found is not None
    assert found.new.startswith("not computable: ")
    # Nothing was asked of a formula: no reason is made up.
    assert found.why == ("changed",)


def table(catalogue: Catalogue, **changes: Any) -> Table:
    return Table.model_validate({**catalogue.tables["lead-drop"].model_dump(), **changes})


def cells(catalogue: Catalogue, new: Table, old: Table | None = None) -> list[NumberChange]:
    side = Side(catalogue)
    found = table_changes(old or catalogue.tables["lead-drop"], new, (side, side), "metric")
    return [NumberChange(c.place.replace("\u202f", " "), c.old, c.new, c.why) for c in found]


def test_each_cell_has_its_place_and_its_reason(catalogue: Catalogue) -> None:
    """Twice the length, a thicker conductor, another rounding: each cell by the heads of its row and column."""
    thick = cells(catalogue, table(catalogue, given={"conductor": "2.5 mm2", "temperature": "20 C"}))
    assert [c.place for c in thick] == ["3 m, 1 A", "3 m, 2 A", "6 m, 1 A", "6 m, 2 A"]
    assert {c.why for c in thick} == {("input changed: conductor 1.5 mm2 -> 2.5 mm2",)}
    coarse = cells(
        catalogue,
        table(catalogue, cells=[{"output": "drop", "show": {"unit": "V", "step": 0.5, "round": "up"}}]),
    )
    assert {(c.new, c.why) for c in coarse} == {
        ("0.5 V", ("printed with another unit, step, rounding or wording",))
    }
    both = cells(
        catalogue,
        table(
            catalogue,
            given={"conductor": "6 mm2", "temperature": "20 C"},
            cells=[{"output": "drop", "show": {"unit": "mV", "step": 1, "round": "up"}}],
        ),
    )
    # The input says enough.
    assert {c.why for c in both} == {("input changed: conductor 1.5 mm2 -> 6 mm2",)}
    assert cells(catalogue, table(catalogue)) == []


def test_cells_beside_each_other_are_told_apart(catalogue: Catalogue) -> None:
    """Two outputs in each column: a change of one is no change of the other."""
    show = {"unit": "V", "step": 0.01, "round": "up"}
    two = [
        {"output": "drop", "head": "drop", "show": show},
        {"output": "drop", "head": "again", "show": show},
    ]
    old = table(catalogue, cells=two)
    new = table(catalogue, cells=[two[0], {**two[1], "show": {**show, "unit": "mV", "step": 1}}])
    assert [c.place for c in cells(catalogue, new, old)] == [
        f"{row}, {column}, again" for row in ("3 m", "6 m") for column in ("1 A", "2 A")
    ]


def test_rows_and_columns_that_came_and_went(catalogue: Catalogue) -> None:
    rows = cells(
        catalogue, table(catalogue, rows={"input": "length", "values": ["3 m", "9 m"], "head": "Length"})
    )
    assert [(c.place, c.old, c.new, c.why) for c in rows] == [
        ("row 6 m", "printed", "", ("row taken out",)), ("row 9 m", "", "printed", ("row added",)),
    ]  # fmt: skip
    columns = cells(
        catalogue, table(catalogue, columns={"input": "current", "values": ["2 A", "4 A"], "head": "Current"})
    )
    assert [(c.place, c.why) for c in columns] == [
        ("column 1 A", ("column taken out",)),
        ("column 4 A", ("column added",)),
    ]


def test_a_table_that_cannot_be_computed_is_one_change(catalogue: Catalogue) -> None:
    (found,) = cells(catalogue, table(catalogue, formula="supply.absent"))
    assert found.place == "the whole table"
    assert found.why[0].startswith("not computable: ")


def call(name: str = "supply.voltage_drop", **arguments: Any) -> _Call:
    return _Call(formulas()[name], arguments)


def reasons(old: _Call, new: _Call, before: Any = ask_today, after: Any = ask_today) -> list[str]:
    catalogue = small_content.edited()
    return _reasons(old, new, (Side(catalogue, before), Side(catalogue, after)))


def test_reasons_name_formula_and_inputs() -> None:
    one = {"length_m": 5.0, "current_a": 2.0, "conductor": "1.5 mm2", "temperature_c": 20.0}
    assert reasons(call(**one), call(**one)) == []
    less = {name: given for name, given in one.items() if name != "temperature_c"}
    assert reasons(call(**less), call(**one)) == ["input changed: temperature_c default -> 20"]
    assert reasons(call(**one), call(**{**one, "length_m": 5.25})) == ["input changed: length_m 5 -> 5.25"]
    other = reasons(call("supply.longest_run", current_a=2.0), call(current_a=2.0))
    assert other == ["computed by supply.voltage_drop instead of supply.longest_run"]


def test_a_formula_that_gives_something_else_on_the_old_input_changed() -> None:
    """The old question is asked of both: so a changed input is told apart from a changed formula."""
    given = {"length_m": 5.0, "current_a": 2.0, "conductor": "1.5 mm2", "temperature_c": 20.0}

    def doubled(formula: Formula, arguments: Mapping[str, Any]) -> Any:
        return 2 * ask_today(formula, arguments)

    def refused(formula: Formula, arguments: Mapping[str, Any]) -> Any:
        raise ComputeError("no longer")

    changed = "the formula supply.voltage_drop changed"
    assert reasons(call(**given), call(**given), ask_today, doubled) == [changed]
    assert reasons(call(**given), call(**given), ask_today, refused) == [changed]
    assert reasons(call(**given), call(**given), refused, refused) == []
    assert reasons(call(**given), call(**{**given, "length_m": 6.0}), ask_today, doubled) == [
        changed,
        "input changed: length_m 5 -> 6",
    ]


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ((1.0,), (1.0 + 1e-10,), True), ((1.0,), (1.0 + 1e-8,), False), ((1e6,), (1e6 + 1e-4,), True), ((-1.0,), (-1.0,), True), ((0.0,), (0.0,), True),
        ((0.0,), (1e-12,), False), ((1.0, "a"), (1.0, "a"), True), ((1.0, "a"), (1.0, "b"), False), ((1.0,), (1.0, 2.0), False), ("no", "no", True),
        ("no", "yes", False), ("no", (1.0,), False), (("a",), (1.0,), False), ((2.0,), (-2.0,), False), ((1.0, 2.0), (1.0, 3.0), False),
    ],
)  # fmt: skip
def test_results_are_the_same_to_nine_digits(one: Any, other: Any, same: bool) -> None:
    """What another machine computes may differ in its last binary digits."""
    assert _same(one, other) == same


def test_inputs_are_shown_briefly() -> None:
    assert [_shown(given) for given in (None, 5.0, 0.123456789, "1.5 mm2", True)] == [
        "default",
        "5",
        "0.123457",
        "1.5 mm2",
        "True",
    ]


def test_every_call_of_a_content_is_listed_but_those_that_fail() -> None:
    catalogue = small_content.edited()
    found = list(calls_of(catalogue, "metric"))
    # One value, and a table of two by two.
    assert [name for name, _ in found] == ["supply.voltage_drop"] * 5
    assert [(a["length_m"], a["current_a"]) for _, a in found] == [(5, 2), (3, 1), (3, 2), (6, 1), (6, 2)]
    catalogue.records["values"]["lead-drop"] = catalogue.values["lead-drop"].model_copy(
        update={"computed": computed(length="9 kg").computed}
    )
    assert len(list(calls_of(catalogue, "metric"))) == 4


def test_a_result_of_several_outputs_is_compared_in_each() -> None:
    pair = namedtuple("pair", "a b")
    given = {"length_m": 5.0, "current_a": 2.0, "conductor": "1.5 mm2", "temperature_c": 20.0}
    old, new = (lambda f, a, second=second: pair(1.0, second) for second in (2.0, 3.0))  # type: ignore[misc]
    assert reasons(call(**given), call(**given), old, new) == ["the formula supply.voltage_drop changed"]
    assert reasons(call(**given), call(**given), old, old) == []
