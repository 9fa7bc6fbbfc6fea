"""Cells asked for in rows are those asked for one by one, and what fails together is asked for alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

import small_content
from leadsman.book.computed import ComputedTable, ask_today, compute_table, unit_systems
from leadsman.book.in_rows import asked_in_rows
from leadsman.compute.registry import NoAnswer, formulas
from leadsman.content.catalogue import Catalogue, load
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
    found = load(small_content.FOLDER)
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
