"""Read the rows of a customer list out of a text with separators, in the forms in which spreadsheets write it.

One open quote would swallow every row after it. So a row ends with its line, unless a quoted cell that holds no
separator goes on over a few lines: then the row is read whole, and otherwise the line with the open quote is
given up alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

#: A quoted cell goes on over at most so many lines.
_MOST_LINES = 3
_SEPARATORS = ("\t", ";", ",")


@dataclass(frozen=True)
class Fault:
    """What is wrong with the list at a place: line and column, what, and what to do."""

    line: int
    column: int
    what: str
    hint: str


@dataclass(frozen=True)
class Line:
    """One row: the line in which it begins, its cells, and line and column of each."""

    line: int
    cells: tuple[str, ...]
    places: tuple[tuple[int, int], ...]
    row: int = 0
    """Its number in a spreadsheet, where a cell of several lines counts once."""


@dataclass
class Rows:
    """All rows that could be read, the first of them the column names; what could not, and how many lines that were."""

    separator: str = ","
    lines: list[Line] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unread: int = 0


def read_rows(text: str) -> Rows:
    """Take a text apart; the separator is the one that its first line says (``sep=;``) or holds most of."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    rows, at = Rows(), 0
    if said := re.fullmatch(r"\s*\"?sep=(.)\"?\s*", lines[0], re.IGNORECASE):
        rows.separator, at = said[1], 1
    else:
        head = next((line for line in lines if line.strip()), "")
        rows.separator = max(reversed(_SEPARATORS), key=head.count)
    opened: tuple[Fault, int] | None = None
    row = 0
    while at < len(lines):
        row += 1
        if not lines[at].strip(rows.separator + " \t"):
            at += 1
            continue
        found, span = _row(lines, at, rows.separator)
        wanted = len(rows.lines[0].cells) if rows.lines else None
        if isinstance(found, Fault):
            if opened is None:
                opened = found, 0
            opened = opened[0], opened[1] + 1
        elif opened is not None and wanted is not None and len(found.cells) != wanted:
            # Not safe: behind an open quote only a row that fits the column names is read again.
            opened = opened[0], opened[1] + 1
        else:
            rows.faults += _given_up(rows, opened, found.line)
            opened = None
            rows.lines.append(replace(found, row=row))
        at += span
    rows.faults += _given_up(rows, opened, None)
    return rows


def _given_up(rows: Rows, opened: tuple[Fault, int] | None, goes_on: int | None) -> Iterator[Fault]:
    if opened is None:
        return
    fault, count = opened
    rows.unread += count
    lost = "this row was not read" if count == 1 else f"this row and {count - 1} after it were not read"
    more = f"; the list is read on from line {goes_on}" if goes_on else ""
    yield Fault(fault.line, fault.column, f"{fault.what}: {lost}{more}", fault.hint)


def _row(lines: Sequence[str], at: int, separator: str) -> tuple[Line | Fault, int]:
    """The row that begins in a line, or what is wrong with it; and how many lines that takes."""
    if '"' not in lines[at]:
        return _plain(lines[at], at + 1, separator), 1
    alone = _quoted(lines[at], at + 1, separator)
    if isinstance(alone, Line) or alone.what != _OPEN:
        return alone, 1
    for span in range(2, _MOST_LINES + 1):
        longer = _quoted("\n".join(lines[at : at + span]), at + 1, separator)
        if isinstance(longer, Line):
            swallowed = any("\n" in cell and separator in cell for cell in longer.cells)
            return (alone, 1) if swallowed else (longer, span)
    return alone, 1


_OPEN, _AFTER = "a quote opens here and is not closed", "letters stand behind a closing quote"
_HINT = "close the quote, or write two for one that is meant"


def _plain(text: str, line: int, separator: str) -> Line:
    cells, places, column = text.split(separator), [], 1
    for cell in cells:
        places.append((line, column))
        column += len(cell) + 1
    return Line(line, tuple(cells), tuple(places))


def _quoted(text: str, line: int, separator: str) -> Line | Fault:
    """A row with quotes in it, by RFC 4180."""
    first, start, at, end = line, 0, 0, len(text)
    cells: list[str] = []
    places: list[tuple[int, int]] = []
    while True:
        place = (line, at - start + 1)
        places.append(place)
        if text[at : at + 1] == '"':
            close = at + 1
            while (close := text.find('"', close)) >= 0 and text[close + 1 : close + 2] == '"':
                close += 2
            if close < 0:
                return Fault(*place, _OPEN, _HINT)
            cell = text[at + 1 : close]
            line += cell.count("\n")
            if "\n" in cell:
                start = text.rindex("\n", at, close) + 1
            cells.append(cell.replace('""', '"'))
            at = close + 1
            if at < end and text[at] != separator:
                return Fault(line, at - start + 1, _AFTER, _HINT)
        else:
            stop = text.find(separator, at)
            stop = end if stop < 0 else stop
            if "\n" in text[at:stop]:
                return Fault(*place, _AFTER, _HINT)
            cells.append(text[at:stop])
            at = stop
        if at >= end:
            return Line(first, tuple(cells), tuple(places))
        at += 1
