"""Computed tables and values: rounding to the safe side, both unit systems, and faults at the right part.

One table is recomputed by hand from the US small-craft rule CM = 10.75 I L / dV (ABYC E-11, from memory) with
16 AWG = 2583 circular mils (ASTM B258, from memory).
"""

import dataclasses
import math
import pickle
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.computed import (
    ComputedTable,
    TableError,
    assumption_text,
    compute_table,
    compute_value,
    show,
)
from leadsman.book.verdict import judge
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.model.reference import Shown, Value
from leadsman.content.model.table import Table
from leadsman.errors import LeadsmanError

TABLE = "tables/lead-drop.yaml"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


def table(catalogue: Catalogue, units: str = "metric", **changes: Any) -> ComputedTable:
    """The small content's table with some fields changed."""
    data = catalogue.tables["lead-drop"].model_dump()
    return compute_table(Table.model_validate({**data, **changes}), catalogue, units)


def texts(computed: ComputedTable) -> list[list[str]]:
    """The printed cells, with plain spaces."""
    return [
        [cell.text.replace("\u202f", " ").replace("\u00a0", " ") for cell in row] for row in computed.cells
    ]


US_RULE = {
    "formula": "supply.voltage_drop_circular_mils",
    "rows": {"input": "length", "values": ["10 ft", "20 ft"], "head": "Length"},
    "columns": {"input": "current", "values": ["2 A", "5 A"], "head": "Current"},
    "given": {"conductor": "16 AWG"},
    "assumptions": [],
}


def test_a_table_agrees_with_the_rule_worked_by_hand(catalogue: Catalogue) -> None:
    computed = table(catalogue, **US_RULE)
    by_hand = [[10.75 * amps * 2 * feet / 2583 for amps in (2, 5)] for feet in (10, 20)]
    for row, hand in zip(computed.cells, by_hand, strict=True):
        for cell, expected in zip(row, hand, strict=True):
            assert cell.exact == pytest.approx(expected, rel=2e-3)
            assert cell.printed == Decimal(str(math.ceil(cell.exact * 100) / 100))
    # 10.75 * 2 A * 20 ft / 2583 = 0.1665 V, printed upwards.
    assert texts(computed)[0][0] == "0.17 V"


@pytest.mark.parametrize(
    ("direction", "printed"), [("up", "0.17 V"), ("down", "0.16 V"), ("nearest", "0.17 V")]
)
def test_a_cell_is_rounded_to_the_stated_side(catalogue: Catalogue, direction: str, printed: str) -> None:
    cells = [{"output": "drop", "show": {"unit": "V", "step": 0.01, "round": direction}}]
    assert texts(table(catalogue, **US_RULE, cells=cells))[0][0] == printed


@given(
    st.floats(0.001, 5000), st.sampled_from([0.01, 0.05, 0.1, 0.5, 1, 5, 10]),
    st.sampled_from(["m", "ft"]), st.sampled_from(["up", "down", "nearest"]),
)  # fmt: skip
def test_no_limit_is_ever_rounded_to_the_unsafe_side(
    value: float, step: float, unit: str, direction: Any
) -> None:
    number = show(value, "m", Shown(unit=unit, step=step, round=direction))
    exact = value / 0.3048 if unit == "ft" else value  # the international foot
    assert number.printed is not None
    printed, slack = float(number.printed), 1e-9 * exact
    assert printed % step == pytest.approx(0, abs=1e-6) or printed % step == pytest.approx(step, abs=1e-6)
    assert abs(printed - exact) <= step * (1 if direction != "nearest" else 0.5) + slack
    if direction == "up":
        assert printed >= exact - slack
    if direction == "down":
        assert printed <= exact + slack


@pytest.mark.parametrize(
    ("stated", "metric", "us"),
    [
        ("30 C", "30 °C", "86 °F"),
        ("12.0 m", "12 m", "39.4 ft"),
        ("2.5 mm2", "2.5 mm²", "2.5 mm²"),
        ("16 AWG", "16 AWG", "16 AWG"),
        ("tinned", "tinned", "tinned"),
    ],
)
def test_what_is_assumed_prints_in_the_units_of_the_edition(stated: str, metric: str, us: str) -> None:
    """30 °C is 86 °F by definition, 12 m is 39.4 ft (international foot); a size of conductor is a name and stays."""
    assert [assumption_text(stated, units).replace("\u202f", " ") for units in ("metric", "us")] == [
        metric,
        us,
    ]


FLOOR = {
    "meaning": "Least volts on the readout", "each": "family", "blocks": True,
    "computed": {"formula": "supply.readout_floor", "given": {"low_limit_margin": "0.5 V", "working_drop": "10 %", "readout_error": "0.7 V"}},
    "show": {"unit": "V", "step": 0.1, "round": "up"},
}  # fmt: skip


def test_a_value_for_each_family_is_a_list_or_the_number_of_one() -> None:
    """By hand: low limits of 10.0 and 10.8 V, half a volt above them, less 0.7 V that a readout may stand low.

    The one display that bears 24 V: a tenth of that lost in the lead leaves 21.6 V, less 0.7 V.
    """
    catalogue = load(small_content.FOLDER)
    strong = {"id": "strong", "name": "Strong", "supply_low_v": 10.8, "supply_high_v": 32.0}
    catalogue.records["families"]["strong"] = catalogue.families["plain"].model_copy(update=strong)
    value = Value.model_validate(FLOOR)
    printed = compute_value(value, catalogue).number.text.replace("\u202f", " ").replace("\u00a0", " ")
    assert printed == "Plain 9.8 V, Strong 10.6 V (24 V feed 20.9 V)"
    assert compute_value(value, catalogue, family="plain").number.text == "9.8\u202fV"


def test_heads_assumptions_and_what_was_given_stand_beside_the_cells(catalogue: Catalogue) -> None:
    computed = table(catalogue)
    assert (computed.head, len(computed.column_heads), len(computed.row_heads)) == ("Length", 2, 2)
    assert [h.replace("\u202f", " ") for h in computed.row_heads] == ["3 m", "6 m"]
    assert computed.assumptions == (("Copper of the lead", "20\u202f°C"),)
    assert computed.across == "Current"
    assert computed.fixed["temperature_c"] == 20
    assert computed.rows[1].inputs["length_m"] == 6
    assert computed.formula.name == "supply.voltage_drop"


def test_twice_the_length_and_twice_the_current_drop_the_same(catalogue: Catalogue) -> None:
    (_, right), (left, far) = table(catalogue).cells
    assert right.exact == pytest.approx(left.exact)
    assert far.exact == pytest.approx(2 * right.exact)


def test_us_units_take_their_own_axis_and_keep_the_physics(catalogue: Catalogue) -> None:
    computed = table(catalogue, "us")
    assert [h.replace("\u202f", " ") for h in computed.row_heads] == ["10 ft", "20 ft"]
    assert computed.rows[0].inputs["length_m"] == pytest.approx(3.048)
    metric = table(catalogue)
    assert computed.cells[0][0].exact == pytest.approx(metric.cells[0][0].exact * 3.048 / 3)


LONGEST = {
    "formula": "supply.longest_run",
    "rows": {"input": "current", "values": ["1 A", "5 A"], "head": "Current"},
    "columns": None,
    "given": {"conductor": "16 AWG"},
    "cells": [{"output": "length", "show": {"unit": "m", "step": 0.5, "round": "down"}}],
}


def test_a_length_in_feet_is_rounded_down_there_and_not_twice(catalogue: Catalogue) -> None:
    metric, us = table(catalogue, **LONGEST), table(catalogue, "us", **LONGEST)
    for (m,), (ft,) in zip(metric.cells, us.cells, strict=True):
        assert (m.unit, ft.unit) == ("m", "ft")
        assert m.exact == ft.exact
        assert m.printed is not None
        assert ft.printed is not None
        assert float(m.printed) <= m.exact
        assert ft.printed == math.floor(ft.exact / 0.3048)


def test_a_step_of_its_own_for_us_units(catalogue: Catalogue) -> None:
    cells = [{**LONGEST["cells"][0], "show_us": {"unit": "ft", "step": 5, "round": "down"}}]  # type: ignore[index]
    computed = table(catalogue, "us", **{**LONGEST, "cells": cells})
    assert all(cell.printed is not None and cell.printed % 5 == 0 for (cell,) in computed.cells)


def test_where_the_formula_has_no_answer_the_cell_says_so(catalogue: Catalogue) -> None:
    # One kilovolt-ampere over a kilometre: no conductor of the list is thick enough.
    computed = table(catalogue, formula="supply.smallest_conductor",
                     rows={"input": "length", "values": ["2 m", "100 m"], "head": "Length"},
                     columns={"input": "current", "values": ["2 A", "100 A"], "head": "Current"},
                     cells=[{"output": "conductor"}], given={"series": "AWG"}, no_answer="split the load")  # fmt: skip
    cell = computed.cells[1][1]
    assert (cell.text, cell.answered) == ("split the load", False)
    assert cell.exact  # the reason
    assert computed.cells[0][0].answered


@pytest.mark.parametrize(
    ("changes", "part", "what", "hint"),
    [
        ({"formula": "supply.voltage_dropp"}, "formula", "'supply.voltage_dropp' is no formula", "did you mean"),
        ({"given": {"temperature": "20 C"}}, "given", "supply.voltage_drop also needs conductor", "under 'given'"),
        ({"given": {"conductor": "16 AWG", "temperature": {"assumption": "copper"}}}, "given",
         "'temperature' names no assumption", "did you mean 'copper-temperature'?"),
        ({"given": {"conductor": "16 AWG", "colour": "red"}}, "given", "colour", ""),
        ({"given": {"conductor": "16 AWG", "temperature": "5 m"}}, "given", "temperature", ""),
        ({"rows": {"input": "lenght", "values": ["3 m"], "head": "L"}}, "rows", "lenght", ""),
        ({"rows": {"input": "length", "values": ["3 kg"], "head": "L"}}, "rows", "length", ""),
        ({"columns": {"input": "current", "values": ["many"], "head": "I"}}, "columns", "current", ""),
        ({"rows": {"each": "boat", "only": ["absent"], "head": "Boat"}}, "rows", "'only' names absent", "check 'only'"),
        ({"cells": [{"output": "drops", "show": {"unit": "V", "step": 1.0, "round": "up"}}]}, "cells",
         "supply.voltage_drop has no output 'drops'", "outputs: "),
        ({"cells": [{"output": "drop"}]}, "cells", "'drop' is a number but has no 'show'", "add unit, step"),
    ],
)  # fmt: skip
def test_a_fault_is_reported_at_its_part(
    catalogue: Catalogue, changes: dict[str, Any], part: str, what: str, hint: str
) -> None:
    with pytest.raises(TableError) as error:
        table(catalogue, **changes)
    assert error.value.part == part
    assert what in error.value.what
    assert hint in error.value.hint


def test_a_record_gives_its_numbers_to_the_formula(catalogue: Catalogue) -> None:
    computed = table(catalogue, rows={"each": "boat", "head": "Boat"}, columns=None, given={})
    (row,) = computed.rows
    assert (row.label, row.record_id) == ("Punt", "punt")
    # From the boat's file and its display's.
    assert (row.inputs["length_m"], row.inputs["conductor"], row.inputs["current_a"]) == (4.0, "16 AWG", 1.0)


@pytest.mark.parametrize(("units", "printed"), [("metric", "2 m"), ("us", "7 ft")])
def test_a_declared_value(catalogue: Catalogue, units: str, printed: str) -> None:
    computed = compute_value(catalogue.values["safe-depth"], catalogue, units)
    assert computed.number.text.replace("\u202f", " ") == printed
    assert computed.provenance.source == "common-practice"


def test_a_declared_range_has_its_unit_once(catalogue: Catalogue) -> None:
    for units in ("metric", "us"):
        computed = compute_value(catalogue.values["charge-volts"], catalogue, units)
        assert computed.number.text.replace("\u202f", " ") == "13.6 to 14.6 V"


def test_the_writers_own_us_words_win(catalogue: Catalogue) -> None:
    value = Value.model_validate(
        {"meaning": "x", "declared": "2 m", "us": "6 ft", "source": "common-practice"}
    )
    assert compute_value(value, catalogue, "us").number.text.replace("\u202f", " ") == "6 ft"


def test_a_computed_value_names_its_formula_and_arguments(catalogue: Catalogue) -> None:
    computed = compute_value(catalogue.values["lead-drop"], catalogue)
    assert computed.provenance.formula == "supply.voltage_drop"
    assert computed.provenance.arguments["length_m"] == 5
    assert computed.provenance.arguments["temperature_c"] == 20
    # The same number from the formula itself.
    from leadsman.compute.registry import formulas

    again = formulas()["supply.voltage_drop"](**computed.provenance.arguments)
    assert computed.number.exact == getattr(again, "drop", again)


def test_a_declared_range_may_be_without_a_unit(catalogue: Catalogue) -> None:
    value = Value.model_validate({"meaning": "x", "declared": "5 to 6", "source": "common-practice"})
    assert compute_value(value, catalogue).number.text == "5 to 6"


@pytest.mark.parametrize("text", ["much", "10 to many V", "10 zz"])
def test_a_declaration_that_is_no_quantity_is_a_problem(catalogue: Catalogue, text: str) -> None:
    value = Value.model_validate({"meaning": "x", "declared": text, "source": "common-practice"})
    with pytest.raises(LeadsmanError):
        compute_value(value, catalogue)


@pytest.mark.parametrize(
    ("file", "old", "new", "field", "what"),
    [
        (TABLE, "formula: supply.voltage_drop", "formula: supply.absent", "formula", "'supply.absent' is no formula"),
        (TABLE, "conductor: 1.5 mm2, ", "", "given", "supply.voltage_drop also needs conductor"),
        (TABLE, "values: [3 m, 6 m]", "values: [3 m, 6 parsecs]", "rows", "parsecs"),
        (TABLE, "us_values: [10 ft, 20 ft]", "us_values: [10 ft, x ft]", "rows", "x ft"),
        ("values.yaml", "declared: 10 s", "declared: soon", "wait-time.declared", "soon"),
        ("values.yaml", "output: drop}", "output: absent}", "lead-drop.computed", "no output 'absent'"),
        ("values.yaml", "conductor: 1.5 mm2, ", "", "lead-drop.computed", "also needs conductor"),
    ],
)  # fmt: skip
def test_the_verdict_lists_what_cannot_be_computed_at_its_place(
    tmp_path: Path, file: str, old: str, new: str, field: str, what: str
) -> None:
    found = judge(small_content.edited(tmp_path, (file, old, new)))
    assert [problem.rule for problem in found.problems] == ["computed"]
    (problem,) = found.problems
    assert what in problem.what
    assert problem.field == field
    assert problem.path.endswith(file)


def test_a_word_is_printed_with_its_reason_unless_that_goes_without_saying(catalogue: Catalogue) -> None:
    """A suitability grid says why a band does not serve (the dead zone in a puddle, absorption in the deep)."""
    table = Table.model_validate({
        "id": "serves", "title": "Serves", "question": "Does it?", "convention": "Below the face.",
        "formula": "echo.suitability", "rows": {"input": "depth", "values": ["0.05 m", "10 m", "400 m"], "head": "Depth"},
        "cells": [{"output": "word", "because": "reason", "unsaid": ["in hand"], "words": {"dead zone": "too near"}}],
        "given": {"frequency": "200 kHz", "power": "300 W", "beamwidth": "12 deg", "temperature": "10 C",
                  "salinity": "35 PSU", "pulse_long": "0.8 ms", "pulse_short": "0.1 ms", "quality_factor": "24",
                  "receiver_recovery": "0.15 ms", "greatest_depth": "900 m"},
    })  # fmt: skip
    computed = compute_table(table, catalogue, "metric")
    assert [row[0].text for row in computed.cells] == ["none: too near", "good", "none: absorption"]


def test_a_table_is_computed_once_for_one_content() -> None:
    """All pieces of a build share it; a copy with other records, and the copy of another process, begin anew."""
    catalogue = load(small_content.FOLDER)
    table = catalogue.tables["lead-drop"]
    first = compute_table(table, catalogue)
    assert compute_table(table, catalogue) is first
    assert compute_table(table, catalogue, "us") is not first
    copied = dataclasses.replace(catalogue, records=dict(catalogue.records))
    assert compute_table(table, copied) is not first
    assert pickle.loads(pickle.dumps(catalogue)).kept == {}
    # A record that is not the content's own, as a comparison of revisions has it, is no witness for it.
    assert compute_table(table.model_copy(), catalogue) is not first
