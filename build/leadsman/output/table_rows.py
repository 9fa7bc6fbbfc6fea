"""How the tables of a handbook follow each other: narrow ones side by side, and those on a page that fill it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.book.computed import ComputedTable
from leadsman.output.pieces import Scale

#: What a letter of a cell takes, and what of a line stands between two columns [mm].
_LETTER_MM, _GAP_MM = 1.6, 1.2
#: The share of the width that each of two tables in a row has.
HALF = 0.48
#: Room that is left over, so that no row runs on to another page for a hair [mm].
_SPARE_MM = 1.0


@dataclass(frozen=True)
class TableRow:
    """One table, or two side by side."""

    tables: tuple[tuple[str, ComputedTable], ...]
    shared: bool = False
    """Both have the same words below them: these stand once."""


def table_rows(tables: Mapping[str, ComputedTable], width_mm: float) -> list[TableRow]:
    """The tables as they are printed: narrow ones side by side, those with the same words below them first."""
    narrow = {name: table for name, table in tables.items() if letters_mm(table) <= HALF * width_mm}
    rows = [TableRow(((name, table),)) for name, table in tables.items() if name not in narrow]
    by_words: dict[tuple[str, ...], list[tuple[str, ComputedTable]]] = {}
    for name, table in narrow.items():
        by_words.setdefault(below(table), []).append((name, table))
    left = []
    for found in by_words.values():
        found.sort(key=lambda pair: len(pair[1].row_heads))
        rows += [TableRow(two, shared=True) for two in zip(found[::2], found[1::2], strict=False)]
        left += found[len(found) // 2 * 2 :]
    left.sort(key=lambda pair: (len(pair[1].row_heads), below(pair[1])))
    return rows + [TableRow(tuple(left[at : at + 2])) for at in range(0, len(left), 2)]


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


def in_filled_pages(head: str, rows: Sequence[str], scale: Scale) -> list[str]:
    """The rows as HTML, measured, in the order in which they fill the pages: the first begins below the head."""
    names = [f"row--{at}" for at in range(len(rows) + 1)]
    heights = scale.heights(dict(zip(names, [head, *rows], strict=True)), "part")
    first, *others = [heights[name] for name in names]
    return [rows[at] for at in packed(others, scale.room_mm[1] - _SPARE_MM, first)]


def packed(heights: Sequence[float], page: float, head: float = 0.0) -> list[int]:
    """The numbers of rows in the order in which they fill pages: the highest first, each where it first finds room.

    ``head`` is what stands above them on the first page, or takes it and more [mm].

    Examples
    --------
    >>> packed([50, 120, 100, 60], 180)
    [1, 3, 2, 0]
    >>> packed([50, 120, 100, 60], 180, head=120)
    [3, 1, 0, 2]
    """
    pages: list[tuple[float, list[int]]] = [(page - head % page, [])] if head else []
    for row in sorted(range(len(heights)), key=lambda at: -heights[at]):
        for at, (left, held) in enumerate(pages):
            if heights[row] <= left:
                pages[at] = (left - heights[row], [*held, row])
                break
        else:
            pages.append((page - heights[row], [row]))
    return [row for _, held in pages for row in held]
