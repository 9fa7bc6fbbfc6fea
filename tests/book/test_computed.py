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
    _referred,
    ask_today,
    assumed,
    assumption_text,
    bears_two_blocks,
    compute_table,
    compute_value,
    compute_word,
    lead_length,
    printed_as,
    show,
    value_on,
)
from leadsman.book.verdict import judge
from leadsman.compute.registry import formulas
from leadsman.content.catalogue import WORDS_ALONE, Catalogue, Memory, load
from leadsman.content.model.reference import Assumption, Computation, Shown, Value
from leadsman.content.model.table import Table
from leadsman.errors import LeadsmanError

TABLE = "tables/lead-drop.yaml"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


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
    catalogue = small_content.edited()
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
    file: str, old: str, new: str, field: str, what: str
) -> None:
    found = judge(small_content.edited((file, old, new)))
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
    catalogue = small_content.edited()
    table = catalogue.tables["lead-drop"]
    first = compute_table(table, catalogue)
    assert compute_table(table, catalogue) is first
    assert compute_table(table, catalogue, "us") is not first
    copied = dataclasses.replace(catalogue, records=dict(catalogue.records))
    assert compute_table(table, copied) is not first
    assert pickle.loads(pickle.dumps(catalogue)).kept == {}
    # A record that is not the content's own, as a comparison of revisions has it, is no witness for it.
    assert compute_table(table.model_copy(), catalogue) is not first


# --- ranges, systems of volts, and what is refused ---------------------------------------------------


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


def made(**changes: Any) -> Value:
    return Value.model_validate({"meaning": "x", "source": "common-practice", **changes})


@pytest.mark.parametrize(
    ("declared", "metric", "us"),
    [
        # A foot is 0.3048 m, an inch 25.4 mm, a degree Fahrenheit five ninths of a degree Celsius.
        ("3 m", "3 m", "10 ft"), ("2 to 3 m", "2 to 3 m", "7 to 10 ft"), ("25.4 mm", "25.4 mm", "1.0 in"), ("10 to 20 mm", "10 to 20 mm", "0.4 to 0.8 in"),
        ("20 C", "20 °C", "68 °F"), ("-5 to 20 C", "−5 to 20 °C", "23 to 68 °F"), ("5 kn", "5 kn", "5 kn"), ("3 m/s", "3 m/s", "3 m/s"),
        ("2.0 V", "2 V", "2 V"), ("0.5 V", "0.5 V", "0.5 V"),
    ],
)  # fmt: skip
def test_declared_numbers_in_both_systems(catalogue: Catalogue, declared: str, metric: str, us: str) -> None:
    found = [
        plain(compute_value(made(declared=declared), catalogue, units).number.text)
        for units in ("metric", "us", "us-fathoms")
    ]
    assert found == [metric, us, us]


def test_a_declared_range_keeps_both_ends_behind_its_text(catalogue: Catalogue) -> None:
    found = compute_value(made(declared="2 to 3 m"), catalogue).number
    assert (found.exact, found.unit) == ([2.0, 3.0], "m")
    us = compute_value(made(declared="2 to 3 m"), catalogue, "us").number
    assert us.unit == "ft"
    own = made(declared="2 m", show_us={"unit": "in", "step": 1, "round": "down"})
    assert plain(compute_value(own, catalogue, "us").number.text) == "78 in"
    # The writer's own words are printed as they stand, and only in a US edition.
    words = made(declared="2 to 3 m", us="6 to 9 ft")
    assert [plain(compute_value(words, catalogue, units).number.text) for units in ("metric", "us")] == [
        "2 to 3 m",
        "6 to 9 ft",
    ]


@pytest.mark.parametrize(
    ("declared", "part", "told"),
    [
        ({"declared": "3 ft"}, "declared", "is given in ft"), ({"declared": "68 degF"}, "declared", "is given in degF"), ({"declared": "3 to 2 m"}, "declared", "runs from the greater"),
        ({"declared": "3 to 3 m"}, "declared", "runs from the greater"), ({"declared": "2 m to 3 m"}, "declared", "gives a unit in the middle"),
    ],
)  # fmt: skip
def test_a_declaration_that_nobody_can_print_is_told(
    catalogue: Catalogue, declared: dict[str, Any], part: str, told: str
) -> None:
    with pytest.raises(TableError) as error:
        compute_value(made(**declared), catalogue)
    assert (error.value.part, told in error.value.what) == (part, True)
    assert str(error.value) == (
        f"{error.value.what}; {error.value.hint}" if error.value.hint else error.value.what
    )


def test_the_us_words_of_a_value_may_be_in_feet_and_are_held_to_the_same_form(catalogue: Catalogue) -> None:
    for us, told in (("9 to 6 ft", "runs from the greater"), ("6 zz", "zz")):
        with pytest.raises(TableError, match=told) as error:
            compute_value(made(declared="2 to 3 m", us=us), catalogue, "us")
        assert error.value.part == "us"
        compute_value(made(declared="2 to 3 m", us=us), catalogue)


def with_displays(**displays: dict[str, Any]) -> Catalogue:
    catalogue = small_content.edited()
    plain_one = catalogue.families["plain"]
    for name, changes in displays.items():
        catalogue.records["families"][name] = plain_one.model_copy(
            update={"id": name, "name": name.title(), **changes}
        )
    return catalogue


def test_a_number_for_each_system_of_volts() -> None:
    """On 24 V there are two batteries in series: twice the volts of a declared number; only where a display bears the feed.

    A 24 V battery of two AGM blocks is charged at 29.4 V (common practice, no source).
    """
    twice = made(declared="12.2 V", blocks=True)
    assert plain(compute_value(twice, with_displays()).number.text) == "12.2 V"
    both = with_displays(strong={"supply_high_v": 32.0})
    assert plain(compute_value(twice, both).number.text) == "12.2 V (24 V feed 24.4 V)"
    assert compute_value(twice, both).number.exact == [12.2, 24.4]
    span = made(declared="12.5 to 15.0 V", blocks=True)
    assert plain(compute_value(span, both).number.text) == "12.5 to 15 V (24 V feed 25 to 30 V)"
    assert compute_value(span, both).number.exact == [12.5, 15.0, 25.0, 30.0]
    # Of one display, and on one system.
    assert plain(compute_value(twice, both, family="plain").number.text) == "12.2 V"
    assert "feed" in compute_value(twice, both, family="strong").number.text
    assert [plain(compute_value(twice, both, nominal_v=volts).number.text) for volts in (12, 24)] == [
        "12.2 V",
        "24.4 V",
    ]
    for name, volts, text in (("plain", 12, "12.2 V"), ("strong", 12, "12.2 V"), ("strong", 24, "24.4 V")):
        assert plain(value_on(twice, both, name, volts).text) == text
    # A number that hangs on no battery is the same on both.
    assert plain(value_on(made(declared="0.5 V"), both, "strong", 24).text) == "0.5 V"


@pytest.mark.parametrize(("high", "bears"), [(29.3, False), (29.4, True), (32.0, True), (17.0, False)])
def test_which_display_bears_two_batteries(high: float, bears: bool) -> None:
    assert (
        bears_two_blocks(small_content.edited().families["plain"].model_copy(update={"supply_high_v": high}))
        == bears
    )


def test_a_computed_number_on_24_volts_is_asked_of_its_formula_or_doubled() -> None:
    """The readout's floor knows the system: 24 V less a tenth and 0.7 V. The least while cranking knows one battery."""
    both = with_displays(strong={"supply_high_v": 32.0})
    floor = Value.model_validate(
        {**FLOOR, "each": None, "computed": {**FLOOR["computed"], "family": "strong"}}
    )  # type: ignore[dict-item]
    assert plain(compute_value(floor, both, nominal_v=24).number.text) == "20.9 V"
    assert plain(value_on(Value.model_validate(FLOOR), both, "strong", 24).text) == "20.9 V"
    assert plain(value_on(Value.model_validate(FLOOR), both, "strong", 12).text) == "9.8 V"
    crank = made(computed={"formula": "supply.cranking_minimum", "given": {"temperature": "20 C"}}, source=None, blocks=True,
                 show={"unit": "V", "step": 0.1, "round": "up"})  # fmt: skip
    one, two = (compute_value(crank, both, nominal_v=volts).number for volts in (12, 24))
    assert two.printed is not None
    assert float(two.exact) == pytest.approx(2 * float(one.exact))
    assert float(two.printed) == pytest.approx(2 * float(one.exact), abs=0.1)


def test_a_value_for_each_family_lists_all_or_names_one() -> None:
    both = with_displays(strong={"supply_low_v": 10.8})
    value = Value.model_validate({**FLOOR, "blocks": False})
    found = compute_value(value, both)
    assert plain(found.number.text) == "Plain 9.8 V, Strong 10.6 V"
    assert found.number.exact == pytest.approx([9.8, 10.6])
    assert found.number.unit == "V"
    one = compute_value(value, both, family="strong")
    assert (plain(one.number.text), one.provenance.formula) == ("10.6 V", "supply.readout_floor")


WORD = {"formula": "supply.plug_bands", "boat": "punt", "output": "lead",
        "given": {"block": "12.5 V", "temperature": "20 C", "warm": "40 C", "joint_allowance": "0.4 V", "low_limit_margin": "0.5 V", "working_drop": "10 %"}}  # fmt: skip


def test_a_word_is_asked_for_as_a_word(catalogue: Catalogue) -> None:
    assert compute_word(Computation.model_validate(WORD), catalogue) == "serves"
    with pytest.raises(TableError, match=r"'expected' of supply\.plug_bands is a number"):
        compute_word(Computation.model_validate({**WORD, "output": "expected"}), catalogue)
    with pytest.raises(TableError, match="'skif' does not exist"):
        compute_word(Computation.model_validate({**WORD, "boat": "skif"}), catalogue)


def test_a_range_of_two_outputs_has_its_unit_once(catalogue: Catalogue) -> None:
    """Depths from the pessimistic to the nominal end; where both print the same, once."""
    show = {"unit": "m", "step": 1, "round": "down"}
    rows = {"input": "frequency", "values": ["50 kHz", "200 kHz"], "head": "Frequency"}
    given = {
        "power": "300 W",
        "beamwidth": "12 deg",
        "temperature": "10 C",
        "salinity": "35 PSU",
        "pulse_long": "0.8 ms",
        "greatest_depth": "900 m",
    }
    cells = [{"output": "pessimistic", "show": show, "to": {"output": "nominal", "show": show}}]
    base = {"formula": "echo.deepest_depth", "rows": rows, "columns": None, "given": given, "assumptions": []}
    both, ends = (
        table(catalogue, **base, cells=cells),
        table(
            catalogue,
            **base,
            cells=[{"output": "pessimistic", "show": show}, {"output": "nominal", "head": "n", "show": show}],
        ),
    )
    for (joined,), (low, high) in zip(both.cells, ends.cells, strict=True):
        assert plain(joined.text) == f"{low.printed}–{plain(high.text)}"
        assert (joined.exact, joined.printed) == (low.exact, low.printed)
    same = table(
        catalogue,
        **base,
        cells=[{"output": "nominal", "show": show, "to": {"output": "nominal", "show": show}}],
    )
    assert plain(same.cells[0][0].text) == plain(ends.cells[0][1].text)


def test_heads_name_the_column_and_the_output(catalogue: Catalogue) -> None:
    show = {"unit": "V", "step": 0.01, "round": "up"}
    two = [{"output": "drop", "head": "one", "show": show}, {"output": "drop", "head": "two", "show": show}]
    assert [plain(h) for h in table(catalogue, cells=two).column_heads] == [
        "1 A, one",
        "1 A, two",
        "2 A, one",
        "2 A, two",
    ]
    alone = table(
        catalogue,
        columns=None,
        cells=two,
        given={"conductor": "1.5 mm2", "temperature": "20 C", "current": "1 A"},
    )
    assert (alone.column_heads, alone.across) == (("one", "two"), "")
    # A single output needs no head of its own beside a column's.
    assert [plain(h) for h in table(catalogue, cells=two[:1]).column_heads] == ["1 A", "2 A"]


@pytest.mark.parametrize(
    ("columns", "across"),
    [({"input": "current", "values": ["1 A"], "head": "Current"}, "Current"), ({"each": "family", "head": "Display"}, ""), ({"each": "element", "head": "Element"}, "Element")],
)  # fmt: skip
def test_what_the_heads_of_columns_say(catalogue: Catalogue, columns: dict[str, Any], across: str) -> None:
    """Names of records need no word over them; numbers do, and the tilts of an element are numbers."""
    given = {
        "conductor": "1.5 mm2",
        "temperature": "20 C",
        **({} if "values" in columns or columns["each"] == "family" else {"current": "1 A"}),
    }
    assert table(catalogue, columns=columns, given=given).across == across


@pytest.mark.parametrize(
    ("reference", "given", "told"),
    [
        ({"assumption": "copper-temperature"}, "20 C", ""), ({"value": "some-volts"}, "7 V", ""), ({"value": "some-span", "end": "least"}, "2 V", ""),
        ({"value": "some-span", "end": "greatest"}, "3 V", ""), ({"value": "some-span"}, "", "which is a range"), ({"value": "some-volts", "end": "least"}, "", "which is one number"),
        ({"value": "absent"}, "", "names no declared value"), ({"value": "lead-drop"}, "", "names no declared value"), ({"value": "some-volts", "end": "middle"}, "", "names no assumption"),
        ({"assumption": "copper-temperature", "end": "least"}, "", "names no assumption"), ({"boat": "punt"}, "", "names no assumption"),
    ],
)  # fmt: skip
def test_an_input_may_be_taken_from_another_number(reference: dict[str, str], given: str, told: str) -> None:
    catalogue = small_content.edited()
    catalogue.records["values"] |= {
        "some-volts": made(declared="7 V"),
        "some-span": made(declared="2 to 3 V"),
    }
    if not told:
        assert _referred("x", reference, catalogue, "given") == given
        return
    with pytest.raises(TableError, match=told):
        _referred("x", reference, catalogue, "given")


@pytest.mark.parametrize(
    ("each", "only", "told"),
    [("boat", ["skif"], "'only' names skif"), ("transducer", ["skif"], "'only' names skif")],
)
def test_an_axis_of_records_that_are_not_there_is_told(
    catalogue: Catalogue, each: str, only: list[str], told: str
) -> None:
    with pytest.raises(TableError, match=told):
        table(catalogue, rows={"each": each, "only": only, "head": "Each"}, columns=None)


def test_an_axis_without_a_record_is_told() -> None:
    catalogue = small_content.edited()
    catalogue.records["boats"] = {}
    with pytest.raises(TableError, match="there is no boat for this axis"):
        table(catalogue, rows={"each": "boat", "head": "Boat"}, columns=None)


@pytest.mark.parametrize(
    ("unit", "units", "told"),
    [
        ("m", "metric", ("m", 0.5, "up")), ("m", "us", ("ft", 1.0, "up")), ("mm", "us", ("in", 0.1, "up")), ("C", "us", ("degF", 1.0, "up")), ("mm2", "us", ("AWG", 1.0, "down")),
        ("V", "us", ("V", 0.5, "up")), ("kn", "us", ("kn", 0.5, "up")), ("m", "us-fathoms", ("ft", 1.0, "up")),
    ],
)  # fmt: skip
def test_the_step_of_a_converted_number(unit: str, units: str, told: tuple[str, float, str]) -> None:
    """A larger gauge is a thinner conductor: there the safe side turns round."""
    value = made(computed={"formula": "x.y"}, source=None, show={"unit": unit, "step": 0.5, "round": "up"})
    found = printed_as(value, units)
    assert (found.unit, found.step, found.round) == told


def test_a_foot_in_a_metric_edition_is_told() -> None:
    value = made(computed={"formula": "x.y"}, source=None, show={"unit": "ft", "step": 1, "round": "up"})
    with pytest.raises(TableError, match="prints ft in a metric edition"):
        printed_as(value, "us")


@pytest.mark.parametrize(
    ("length", "metric", "us"),
    [(3.0, "3 m", "10 ft"), (4.24, "4.2 m", "14 ft"), (4.5, "4.5 m", "15 ft"), (12.0, "12 m", "39 ft")],
)
def test_the_length_of_a_lead(length: float, metric: str, us: str) -> None:
    assert [plain(lead_length(length, units)) for units in ("metric", "us", "us-fathoms")] == [metric, us, us]


def test_what_is_assumed_may_have_words_for_us_units() -> None:
    base = {"name": "x", "value": "3 m", "reason": "x.", "source": "common-practice"}
    own, none = Assumption.model_validate({**base, "us": "9 ft"}), Assumption.model_validate(base)
    assert [plain(assumed(own, units)) for units in ("metric", "us")] == ["3 m", "9 ft"]
    assert [plain(assumed(none, units)) for units in ("metric", "us")] == ["3 m", "9.84 ft"]


def test_a_list_among_the_arguments_is_asked_for_as_well() -> None:
    """It cannot be kept by its value; the answer is that of the formula all the same."""
    formula = formulas()["supply.voltage_drop"]
    given = {"length_m": [1.0, 2.0], "current_a": 2.0, "conductor": "1.5 mm2", "temperature_c": 20.0}
    found: Any = ask_today(formula, given)
    drops = getattr(found, "drop", found)
    assert drops[1] == pytest.approx(2 * drops[0])
    single: Any = ask_today(formula, {**given, "length_m": 2.0})
    assert getattr(single, "drop", single) == pytest.approx(drops[1])


def test_a_table_is_computed_again_only_when_a_record_behind_numbers_changes(tmp_path: Path) -> None:
    """A reading after an edit of an entry's words keeps the tables; one of a boat, a value or a table does not."""
    folder, memory = small_content.copy(tmp_path), Memory()

    def table() -> ComputedTable:
        found = load(folder, memory)
        return compute_table(found.tables["lead-drop"], found)

    first = table()
    assert table() is first
    entry = next((folder / "faults").rglob("no-depth.yaml"))
    entry.write_text(
        entry.read_text(encoding="utf-8").replace("  seen: ", "  seen: At sea, ", 1), encoding="utf-8"
    )
    assert table() is first
    small_content.edit(folder, "boats/punt.yaml", "about: A flat boat.", "about: A flat, wide boat.")
    assert (second := table()) is not first
    small_content.edit(folder, "tables/lead-drop.yaml", "[3 m, 6 m]", "[3 m, 12 m]")
    third = table()
    found = load(folder)
    assert third.cells == compute_table(found.tables["lead-drop"], found).cells != second.cells
    # What stands back in its old words is read anew, and computed anew with it.
    small_content.edit(folder, "tables/lead-drop.yaml", "[3 m, 12 m]", "[3 m, 6 m]")
    assert table().cells == first.cells


def test_no_number_is_computed_from_an_entry_or_an_edition() -> None:
    """So that a reading may keep the tables when only these changed: whoever computes does not get to see them."""
    found = load(small_content.FOLDER)
    bare = dataclasses.replace(
        found, records={k: v for k, v in found.records.items() if k not in WORDS_ALONE}
    )
    assert "faults" not in bare.records
    for name, table in found.tables.items():
        assert compute_table(bare.tables[name], bare).cells == compute_table(table, found).cells
