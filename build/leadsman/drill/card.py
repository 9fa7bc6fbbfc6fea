"""What the card prints for this boat: limits in a question, rows of tables, plain words of a step."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from leadsman.book.computed import ComputedTable, compute_table, value_on
from leadsman.book.inputs import AxisItem, boat_inputs
from leadsman.compute.registry import ComputeError, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.errors import LeadsmanError

_REFERENCE = re.compile(r"\{([a-z]+): ([^}]+)\}")
_VALUE = re.compile(r"\{value: ([a-z0-9-]+)\}")
_TABLE = re.compile(r"\{table: ([a-z0-9-]+)\}")


_NUMBER = re.compile(r"[-\u2212]?\d+(?:\.\d+)?")


def numbers(text: str) -> list[float]:
    """The numbers of a printed text, as a reader takes them from the page."""
    return [float(n.replace("\u2212", "-")) for n in _NUMBER.findall(text.replace("\u202f", " "))]


def _is(item: AxisItem, named: str) -> bool:
    """Whether a head is the one named: by its record, the last part of that, or its words."""
    known = (item.record_id, item.record_id.rpartition("/")[2], item.label, item.label.replace("\u202f", " "))
    return named in known


@dataclass
class Card:
    """The printed numbers of one content, computed when first asked for."""

    catalogue: Catalogue
    units: str = "metric"
    _values: dict[tuple[str, str, int], tuple[float, ...]] = field(default_factory=dict)
    _tables: dict[str, ComputedTable | None] = field(default_factory=dict)
    _own_cells: dict[tuple[str, str, str], float | None] = field(default_factory=dict)

    def value(self, name: str, family: str, nominal_v: int = 12) -> tuple[float, ...]:
        """The printed number of a value, or both ends of a range, for one display family on one system."""
        key = (name, family, nominal_v)
        if key not in self._values:
            self._values[key] = self._value(name, family, nominal_v)
        return self._values[key]

    def _value(self, name: str, family: str, nominal_v: int) -> tuple[float, ...]:
        value = self.catalogue.values.get(name)
        if value is None:
            return ()
        try:
            return tuple(numbers(value_on(value, self.catalogue, family, nominal_v, self.units).text))
        except LeadsmanError:
            return ()

    def limits(self, text: str, family: str, nominal_v: int = 12) -> list[float]:
        """The numbers of a question in their order, the ends of a range one after the other."""
        return [n for name in _VALUE.findall(str(text)) for n in self.value(name, family, nominal_v)]

    def tables(self, *texts: str) -> list[str]:
        """The tables that a check refers to."""
        return [name for text in texts for name in _TABLE.findall(str(text))]

    def table(self, name: str) -> ComputedTable | None:
        """A table with its cells, or nothing where it does not exist or cannot be computed."""
        if name not in self._tables:
            table = self.catalogue.tables.get(name)
            try:
                self._tables[name] = compute_table(table, self.catalogue, self.units) if table else None
            except LeadsmanError:
                self._tables[name] = None
        return self._tables[name]

    def text(self, name: str, row: str, column: str = "", output: str = "") -> str:
        """What a cell prints: by the row's head or record, the column's record or head, or the output shown there."""
        table = self.table(name)
        if table is None:
            return ""
        if column and not output and not any(_is(item, row) for item in table.rows):
            # A table may stand either way round: the reader looks for both heads.
            row, column = column, row
        line = next((i for i, item in enumerate(table.rows) if _is(item, row)), None)
        if line is None:
            return ""
        shown = [cell.output for cell in table.table.cells]
        if output and not column:
            return table.cells[line][shown.index(output)].text if output in shown else ""
        place = next((i for i, item in enumerate(table.columns) if _is(item, column)), None)
        return "" if place is None else table.cells[line][place * len(shown)].text

    def numbers(self, name: str, row: str, column: str = "", output: str = "") -> list[float]:
        """The numbers of a cell, both ends of a range."""
        return numbers(self.text(name, row, column, output))

    def words_for_boat(self, name: str, boat: Boat, output: str) -> str:
        """What a boat's row prints; nothing where the boat is not the one of the row: rebuilt, or with another lead."""
        return self.text(name, boat.id, output=output) if self.catalogue.boats.get(boat.id) == boat else ""

    def for_boat(self, name: str, boat: Boat, output: str) -> float | None:
        """A boat's number: its row of the table, or, where it has none, what its own record prints."""
        told = numbers(self.words_for_boat(name, boat, output))
        if told:
            return told[0]
        key = (name, boat.model_dump_json(), output)
        if key not in self._own_cells:
            self._own_cells[key] = self._own(name, boat, output)
        return self._own_cells[key]

    def _own(self, name: str, boat: Boat, output: str) -> float | None:
        table = self.table(name)
        cell = next((c for c in table.table.cells if c.output == output), None) if table else None
        if table is None or cell is None or cell.show is None:
            return None
        formula = formulas()[table.table.formula]
        wanted = {i.argument for i in formula.inputs}
        offered: dict[str, Any] = {**boat_inputs(boat, self.catalogue), **table.fixed}
        try:
            result = formula(**{k: v for k, v in offered.items() if k in wanted})
        except (ComputeError, TypeError, LeadsmanError):
            return None
        return float(getattr(result, output)) if hasattr(result, output) else None

    def plain(self, text: str, family: str) -> str:
        """A step as the technician reads it, for the diary."""

        def said(match: re.Match[str]) -> str:
            kind, name = match.group(1), match.group(2)
            if kind == "value":
                return "/".join(f"{n:g}" for n in self.value(name, family)) or name
            if kind == "menu":
                path = self.catalogue.families[family].menus.get(name, [name])
                return str(path[-1])
            if kind == "table" and name in self.catalogue.tables:
                return f"'{self.catalogue.tables[name].title}'"
            if kind == "card" and name in self.catalogue.faults:
                return self.catalogue.faults[name].code
            return name

        return _REFERENCE.sub(said, str(text))
