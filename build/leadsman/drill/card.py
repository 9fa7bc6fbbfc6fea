"""What the card prints for this boat: limits in a question, rows of tables, plain words of a step."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from leadsman.book.computed import ComputedTable, ComputedValue, compute_table, compute_value
from leadsman.book.inputs import boat_inputs
from leadsman.compute.registry import ComputeError, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.errors import LeadsmanError

_REFERENCE = re.compile(r"\{([a-z]+): ([^}]+)\}")
_VALUE = re.compile(r"\{value: ([a-z0-9-]+)\}")
_TABLE = re.compile(r"\{table: ([a-z0-9-]+)\}")


@dataclass
class Card:
    """The printed numbers of one content, computed when first asked for."""

    catalogue: Catalogue
    units: str = "metric"
    _values: dict[tuple[str, str], tuple[float, ...]] = field(default_factory=dict)
    _tables: dict[str, ComputedTable | None] = field(default_factory=dict)
    _cells: dict[tuple[str, str, str], float | None] = field(default_factory=dict)

    def value(self, name: str, family: str) -> tuple[float, ...]:
        """The printed number of a value, or both ends of a range, for one display family."""
        key = (name, family)
        if key not in self._values:
            self._values[key] = self._value(name, family)
        return self._values[key]

    def _value(self, name: str, family: str) -> tuple[float, ...]:
        value = self.catalogue.values.get(name)
        if value is None:
            return ()
        computed: ComputedValue = compute_value(
            value, self.catalogue, self.units, family=family if value.each is not None else None
        )
        number = computed.number
        found = float(number.printed) if number.printed is not None else number.exact
        return tuple(found) if isinstance(found, list) else (float(found),)

    def limits(self, text: str, family: str) -> list[float]:
        """The numbers of a question in their order, the ends of a range one after the other."""
        return [n for name in _VALUE.findall(str(text)) for n in self.value(name, family)]

    def tables(self, *texts: str) -> list[str]:
        """The tables that a check refers to."""
        return [name for text in texts for name in _TABLE.findall(str(text))]

    def table(self, name: str) -> ComputedTable | None:
        if name not in self._tables:
            table = self.catalogue.tables.get(name)
            try:
                self._tables[name] = compute_table(table, self.catalogue, self.units) if table else None
            except LeadsmanError:
                self._tables[name] = None
        return self._tables[name]

    def cell(self, name: str, row: str, output: str) -> float | None:
        """The printed number of a table's row, by the name of the row and the output that its column shows."""
        key = (name, row, output)
        if key not in self._cells:
            self._cells[key] = self._cell(name, row, output)
        return self._cells[key]

    def _cell(self, name: str, row: str, output: str) -> float | None:
        table = self.table(name)
        if table is None:
            return None
        columns = [cell.output for cell in table.table.cells]
        if output not in columns:
            return None
        for head, cells in zip(table.row_heads, table.cells, strict=True):
            if head == row or head.startswith(f"{row},"):
                printed = cells[columns.index(output)].printed
                return None if printed is None else float(printed)
        return None

    def for_boat(self, name: str, boat: Boat, output: str) -> float | None:
        """A boat's number: its row of the table, or, where it has none, what its own record prints."""
        printed = self.cell(name, str(boat.name), output)
        if printed is not None:
            return printed
        table = self.table(name)
        if table is None:
            return None
        cell = next((c for c in table.table.cells if c.output == output), None)
        if cell is None or cell.show is None:
            return None
        return self._own(table, boat, output)

    def _own(self, table: ComputedTable, boat: Boat, output: str) -> float | None:
        formula = formulas()[table.table.formula]
        offered: dict[str, Any] = {**boat_inputs(boat, self.catalogue), **table.fixed}
        wanted = {i.name for i in formula.inputs}
        arguments = {k: v for k, v in offered.items() if k in wanted}
        try:
            result = formula(**arguments)
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


@lru_cache(maxsize=4)
def card_of(catalogue_id: int, catalogue: Catalogue) -> Card:
    """One card for one catalogue in this process."""
    return Card(catalogue)
