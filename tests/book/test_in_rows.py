"""Cells asked for in rows are those asked for one by one, and what fails together is asked for alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, NamedTuple

import pytest

import small_content
from leadsman.book.computed import ComputedTable, ask_today, compute_table, unit_systems
from leadsman.book.in_rows import _apart, _group, _is_number, _key, _together, asked_in_rows
from leadsman.compute.registry import NoAnswer, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.table import Table

#: Tables with one formula and with another, over numbers, records and words, for two systems of units.
MORE: dict[str, dict[str, Any]] = {
    "leads": {"rows": {"input": "length", "values": [f"{n} m" for n in range(1, 9)], "head": "Length"}},
    "boats": {"rows": {"each": "boat", "head": "Boat"}, "columns": None, "given": {}},
    "runs": {
        "formula": "supply.longest_run", "columns": None, "given": {"conductor": "16 AWG"},
        "rows": {"input": "current", "values": [f"{n} A" for n in range(1, 9)], "head": "Current"},
        "cells": [{"output": "length", "show": {"unit": "m", "step": 0.5, "round": "down"}}],
    },
    "depths": {
        "formula": "echo.deepest_depth", "no_answer": "none",
        "rows": {"input": "frequency", "values": [f"{n} kHz" for n in range(40, 240, 20)], "head": "Frequency"},
        "columns": {"input": "power", "values": ["100 W", "300 W", "1000 W"], "head": "Power"},
        "given": {"beamwidth": "12 deg", "temperature": "10 C", "salinity": "35 PSU", "pulse_long": "0.8 ms",
                  "greatest_depth": "900 m"},
        "cells": [{"output": "pessimistic", "show": {"unit": "m", "step": 1, "round": "down"}}],
    },
}  # fmt: skip


@pytest.fixture
def catalogue() -> Catalogue:
    """The small content with more tables."""
    found = small_content.edited()
    first = found.tables["lead-drop"].model_dump()
    for name, changes in MORE.items():
        table = {**first, "assumptions": [], **changes, "id": name}
        found.records["tables"][name] = Table.model_validate(table)
    return found


def texts(found: ComputedTable) -> list[list[str]]:
    return [[cell.text for cell in row] for row in found.cells]


def reads_the_same(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    """All cells of all tables in all units, and hardly one of them was asked for by itself."""
    ask, alone, all_cells = asked_in_rows(catalogue.tables.values(), catalogue), 0, 0

    def counting(formula: Any, arguments: Mapping[str, Any]) -> Any:
        nonlocal alone
        alone += 1
        return ask_today(formula, arguments)

    monkeypatch.setattr("leadsman.book.in_rows.ask_today", counting)
    for name, table in catalogue.tables.items():
        for units in unit_systems(table):
            rows = texts(compute_table(table, catalogue, units, ask))
            assert rows == texts(compute_table(table, catalogue, units)), name
            all_cells += sum(map(len, rows))
    assert alone < all_cells / 20


def test_every_table_reads_the_same(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    reads_the_same(catalogue, monkeypatch)


def test_a_cell_without_an_answer_is_the_same(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    """One cell of a group that has no answer: the others keep theirs."""
    table = next(t for t in catalogue.tables.values() if t.formula == "echo.deepest_depth")
    formula = formulas()[table.formula]

    def refuse(**given: Any) -> Any:
        result = formula.function(**given)
        if getattr(result.nominal, "shape", ()) or result.nominal > 100:
            raise NoAnswer("too deep")
        return result

    refusing = {**formulas(), table.formula: replace(formula, function=refuse)}
    monkeypatch.setattr("leadsman.book.computed.formulas", lambda: refusing)
    rows = texts(compute_table(table, catalogue, "metric", asked_in_rows([table], catalogue)))
    assert rows == texts(compute_table(table, catalogue, "metric"))
    words = [text for row in rows for text in row]
    assert 0 < words.count(str(table.no_answer)) < len(words)


# --- cells together, one by one ----------------------------------------------------------------------


class Asked:
    """A formula that notes how it is asked: twice the first number, and the word."""

    name = "x.y"

    def __init__(self, several: bool = False, fails: Exception | None = None) -> None:
        self.calls: list[dict[str, Any]] = []
        self.several, self.fails = several, fails

    def __call__(self, **given: Any) -> Any:
        self.calls.append(given)
        if self.fails is not None:
            raise self.fails
        twice = 2 * given["a"]
        return Pair(twice, given["word"]) if self.several else twice


class Pair(NamedTuple):
    """Two outputs."""

    twice: Any
    word: Any


def together(formula: Asked, *numbers: float, **same: Any) -> tuple[list[Any], dict[Any, Any]]:
    given = [{"a": number, "word": "w", **same} for number in numbers]
    group = {_key(formula, each): (formula, each) for each in given}  # type: ignore[arg-type]
    found = _together(group)  # type: ignore[arg-type]
    return [found.get(_key(formula, each)) for each in given], found  # type: ignore[arg-type]


def test_one_call_answers_for_all() -> None:
    """What differs goes in as an array, what is the same as it stands."""
    formula = Asked()
    assert together(formula, 1.0, 2.0, 4.0, b=7.0)[0] == [2.0, 4.0, 8.0]
    (given,) = formula.calls
    assert (list(given["a"]), given["b"], given["word"]) == ([1.0, 2.0, 4.0], 7.0, "w")
    both = Asked(several=True)
    assert together(both, 1.0, 3.0)[0] == [Pair(2.0, "w"), Pair(6.0, "w")]


@pytest.mark.parametrize(
    "fails", [NoAnswer("none"), ZeroDivisionError(), ValueError(), TypeError(), KeyError()]
)
def test_what_fails_together_is_known_of_none(fails: Exception) -> None:
    assert together(Asked(fails=fails), 1.0, 2.0)[1] == {}


def test_a_cell_without_a_number_spoils_its_group() -> None:
    assert together(Asked(), 1.0, float("inf"))[1] == {}
    for part in ([1.0, float("nan")], float("nan")):
        with pytest.raises(ValueError, match="a cell without a number"):
            _apart(part, 2)
    assert _apart(3.0, 2) == [3.0, 3.0]
    assert _apart(["good", "none"], 2) == ["good", "none"]
    assert _apart([True, False], 2) == [True, False]


def test_cells_are_asked_together_that_differ_in_numbers_alone() -> None:
    """A truth value is a choice, not a number; so is a word."""
    assert [_is_number(given) for given in (1, 1.5, True, "1", None, [1.0])] == [
        True,
        True,
        False,
        False,
        False,
        False,
    ]
    formula: Any = Asked()
    same = _group(formula, {"a": 1.0, "word": "w", "flag": True})
    assert _group(formula, {"flag": True, "word": "w", "a": 9}) == same
    others = [
        {"a": 1.0, "word": "v", "flag": True},
        {"a": 1.0, "word": "w", "flag": False},
        {"a": 1.0, "word": "w"},
        {"a": "x", "word": "w", "flag": True},
    ]
    assert same not in [_group(formula, other) for other in others]
    with pytest.raises(TypeError):
        _group(formula, {"a": [1.0], "word": "w"})


def test_two_cells_are_enough_to_be_asked_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """A list among the arguments is asked for by itself; a table that is wrong asks nothing."""
    formula, other = Asked(), Asked()
    other.name = "x.z"
    asked = [
        (formula, {"a": 1.0, "word": "w"}),
        (formula, {"a": 2.0, "word": "w"}),
        (other, {"a": [1.0], "word": "w"}),
    ]
    monkeypatch.setattr("leadsman.book.in_rows._asked", lambda table, catalogue: asked)
    monkeypatch.setattr("leadsman.book.in_rows.ask_today", lambda formula, given: "alone")
    ask: Any = asked_in_rows([None], None)  # type: ignore[list-item, arg-type]
    assert [ask(*each) for each in asked] == [2.0, 4.0, "alone"]
    assert ask(formula, {"a": 3.0, "word": "w"}) == "alone"
    assert (len(formula.calls), other.calls) == (1, [])


def test_a_table_that_is_wrong_asks_nothing(catalogue: Catalogue) -> None:
    wrong = catalogue.tables["leads"].model_copy(update={"formula": "x.y"})
    ask = asked_in_rows([wrong], catalogue)
    assert texts(compute_table(catalogue.tables["leads"], catalogue, "metric", ask)) == texts(
        compute_table(catalogue.tables["leads"], catalogue)
    )
