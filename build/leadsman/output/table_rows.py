"""How the tables of a handbook follow each other: narrow ones side by side, and those on a page that fill it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.book.computed import ComputedTable

#: What a letter of a cell takes, and what of a line stands between two columns [mm].
_LETTER_MM, _GAP_MM = 1.6, 1.2
#: The share of the width that each of two tables in a row has.
HALF = 0.48
#: Heights, taken from finished pages: a row, a line of text, and title, caption, heads and distances in full width [mm].
_ROW_MM, _LINE_MM, _FRAME_MM = 4.6, 4.0, 24.0
#: What title and caption take more where they have half the width [mm].
_NARROW_MM = 9.0


@dataclass(frozen=True)
class TableRow:
    """One table, or two side by side."""

    tables: tuple[tuple[str, ComputedTable], ...]
    shared: bool = False
    """Both have the same words below them: these stand once."""


def table_rows(tables: Mapping[str, ComputedTable], width_mm: float, height_mm: float) -> list[TableRow]:
    """The tables as they are printed, by estimated heights: first those of a page that leave least of it open."""
    narrow = {name: table for name, table in tables.items() if letters_mm(table) <= HALF * width_mm}
    rows = [TableRow(((name, table),)) for name, table in tables.items() if name not in narrow]
    alike = sorted(narrow.items(), key=lambda pair: (len(pair[1].row_heads), below(pair[1])))
    for at in range(0, len(alike), 2):
        two = tuple(alike[at : at + 2])
        rows.append(TableRow(two, len(two) == 2 and below(two[0][1]) == below(two[1][1])))
    return [rows[at] for at in packed([row_mm(row, width_mm) for row in rows], height_mm)]


def letters_mm(table: ComputedTable) -> float:
    """The least width of a table [mm]: only the head of its rows may break between words."""
    first = max(map(len, [*table.head.split(), *table.row_heads]))
    cells = [[cell.text for cell in row] for row in table.cells]
    others = [max(map(len, column)) for column in zip(table.column_heads, *cells, strict=True)]
    return _LETTER_MM * (first + sum(others)) + _GAP_MM * len(others)


def below(table: ComputedTable) -> tuple[str, ...]:
    """The words below a table."""
    return (
        str(table.table.convention), *map(str, table.table.notes), table.formula.name,
        *(f"{name}: {value}" for name, value in table.assumptions),
    )  # fmt: skip


def row_mm(row: TableRow, width_mm: float) -> float:
    """About how high a row stands [mm]."""
    two = len(row.tables) == 2
    width = HALF * width_mm if two else width_mm
    heights = []
    for _, table in row.tables:
        lines = 0 if row.shared else _lines(table, width)
        wraps = max(1, math.ceil(letters_mm(table) / width))
        heights.append(
            _FRAME_MM + _NARROW_MM * two + _ROW_MM * len(table.row_heads) * wraps + _LINE_MM * lines
        )
    once = _LINE_MM * _lines(row.tables[0][1], width_mm) if row.shared else 0.0
    return max(heights) + once


def _lines(table: ComputedTable, width_mm: float) -> int:
    # Running text of this size takes less for a letter than figures do.
    return math.ceil(1 + sum(map(len, below(table))) * 0.9 * _LETTER_MM / width_mm)


def packed(heights: Sequence[float], page: float) -> list[int]:
    """The numbers of rows in the order in which they fill pages: the highest first, each where it first finds room.

    Examples
    --------
    >>> packed([50, 120, 100, 60], 180)
    [1, 3, 2, 0]
    """
    pages: list[tuple[float, list[int]]] = []
    for row in sorted(range(len(heights)), key=lambda at: -heights[at]):
        for at, (left, held) in enumerate(pages):
            if heights[row] <= left:
                pages[at] = (left - heights[row], [*held, row])
                break
        else:
            pages.append((page - heights[row], [row]))
    return [row for _, held in pages for row in held]
