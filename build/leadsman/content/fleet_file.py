"""The file of a customer list as rows: CSV as spreadsheets write it, or YAML; with the place of every cell."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

from leadsman.content.fleet_columns import (
    COLUMNS,
    MEASURES,
    NEEDED,
    column_and_unit,
    head_faults,
    unused,
)
from leadsman.content.rows import Line, read_rows
from leadsman.content.source import Document, Location, parse
from leadsman.errors import Problem, counted, shown_path
from leadsman.units import with_decimal_point

#: A number without a unit, and the size of one wire of two.
_BARE = re.compile(r"\s*(?:2\s*[x×*·]\s*)?[#+-]?\d[\d.,/\s-]*")
#: The words before which a spreadsheet's sums stand, in languages of its users.
_SUM = re.compile(
    r"(?:(?:grand|sub)[\s-]?)?total(?:s|e|en|t|er)?|totaal|toplam|sum(?:me|men|ma|a)?|(?:gesamt|zwischen)(?:summe)?|gesamt\w*|"
    r"somme|razem|i\s*alt|ialt|count|number|anzahl|antall?|aantal|nombre|итого|всего|сумма|σύνολο|yhteensä",
    re.IGNORECASE,
)
#: What may stand with such a word in its cell, and what alone fills the cells of such a row.
_FIGURES = re.compile(r"[\s:=.,\d'€$£%-]*")
_FORMULA = re.compile(r"=\s*\w+\(.*\)", re.DOTALL)
_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


@dataclass
class ListFile:
    """The rows of a list, the place of each cell in file and spreadsheet, and what of the file cannot be used."""

    document: Document
    cells: dict[Location, str] = field(default_factory=dict)
    """The name of each cell and row as a spreadsheet shows it: ``E7``, ``row 7``."""
    unread: int = 0
    """How many lines could not be read as rows at all."""

    def complain(self, place: tuple[int, int], what: str, hint: str, severity: str = "error") -> None:
        """A problem at a place of the file."""
        path = shown_path(self.document.path)
        self.document.problems.append(Problem(path, *place, what, hint, rule="fleet", severity=severity))


def read_list(raw: bytes, path: Path, encoding: str | None) -> ListFile:
    """The rows of a list; the document's data is no list where it cannot be understood."""
    if path.suffix.lower() in (".yaml", ".yml"):
        return _without_unused(ListFile(_from_yaml(parse(raw, path))))
    file = ListFile(Document(path))
    text = _decoded(raw, file, encoding)
    if text is not None:
        _read_csv(text, file)
    return file


def _decoded(raw: bytes, file: ListFile, encoding: str | None) -> str | None:
    marked = next((name for mark, name in _MARKS if raw.startswith(mark)), None)
    if (other := _no_text(raw, None if marked else encoding)) is not None:
        file.complain((1, 1), *other)
        return None
    try:
        return raw.decode(marked or encoding or "utf-8")
    except UnicodeError as error:
        line = raw[: getattr(error, "start", 0)].count(b"\n") + 1
        said = encoding if encoding and not marked else "UTF-8"
        file.complain(
            (line, 1),
            f"is not {said} text",
            "save the list as 'CSV UTF-8', or say how it is written: --encoding cp1252 for most of western Europe, "
            "cp1250 for Polish, cp1253 for Greek, cp1254 for Turkish; then look at the names on the covers",
        )
        return None


def _no_text(raw: bytes, encoding: str | None) -> tuple[str, str] | None:
    """What a list is that is no CSV, or none in that encoding; and what to do."""
    if raw.startswith(_WORKBOOKS):
        return "is the workbook of a spreadsheet", "save the list from there as 'CSV UTF-8'"
    if encoding is None:
        if b"\0" in raw[:2] and not raw.startswith(_MARKS[1][0]):
            order = "be" if raw[:1] == b"\0" else "le"
            return "is UTF-16 text without a mark at its start", f"say so: --encoding utf-16-{order}"
        return None
    if codecs.lookup(encoding).name.startswith(_OF_ONE_BYTE) and not raw.isascii():
        try:
            raw.decode("utf-8")
        except UnicodeError:
            return None
        # Letters of such an encoding do not make whole UTF-8 by chance, from the first line to the last.
        return f"is UTF-8 text, not {encoding}", "leave --encoding out"
    return None


#: How the files of spreadsheets begin: a ZIP archive, and the older compound file.
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_OF_ONE_BYTE = ("cp125", "iso8859", "latin", "koi8", "mac", "cp437", "cp85")


# --- YAML --------------------------------------------------------------------------------------


def _from_yaml(document: Document) -> Document:
    """A YAML list as it is; a mapping of id to row as a list of rows."""
    if isinstance(document.data, dict):
        rows = []
        for index, (name, row) in enumerate(document.data.items()):
            for places in (document.keys, document.values):
                for location in [loc for loc in places if loc and loc[0] == name]:
                    places[(index, *location[1:])] = places[location]
            document.values.setdefault((index, "id"), document.keys.get((name,), (1, 1)))
            rows.append({"id": name, **row} if isinstance(row, dict) else row)
        document.data = rows
    elif not isinstance(document.data, list) and not document.problems:
        document.problems.append(
            document.problem((), "must be a list of boats", "begin each boat with '- id: ...'")
        )
        document.data = None
    return document


def _without_unused(file: ListFile) -> ListFile:
    """Rows without a dealer's own keys, which are named once."""
    document = file.document
    if not isinstance(document.data, list):
        return file
    first: dict[str, Location] = {}
    rows: list[Any] = []
    for index, row in enumerate(document.data):
        if isinstance(row, dict):
            for key in row:
                if key not in COLUMNS:
                    first.setdefault(str(key), (index, key))
            row = {key: value for key, value in row.items() if key in COLUMNS}
        rows.append(row)
    document.data = rows
    if first:
        used = sorted({key for row in rows if isinstance(row, dict) for key in row})
        place = document.place(next(iter(first.values())), key=True)
        file.complain(place, unused(list(first), used), _LISTED, "warning")
    return file


# --- CSV ---------------------------------------------------------------------------------------

_LISTED = "leadsman guides --columns lists the columns that are used"


def _read_csv(text: str, file: ListFile) -> None:
    document = file.document
    rows = read_rows(text)
    file.unread = rows.unread
    for fault in rows.faults:
        file.complain((fault.line, fault.column), fault.what, fault.hint)
    if not rows.lines:
        if not rows.faults:
            file.complain((1, 1), "is empty", "begin with a line of column names")
        return
    head, *lines = rows.lines
    named = [column_and_unit(cell) for cell in head.cells]
    columns, units = [column for column, _ in named], {column: unit for column, unit in named if unit}
    faults = list(head_faults([" ".join(cell.split()) for cell in head.cells], columns))
    above = _heads_below(lines) if not set(NEEDED) & set(columns) else None
    for number, what, hint in faults:
        file.complain(
            head.places[number], what, f"delete all above line {above}, which names them" if above else hint
        )
    # Without any column of ours the first line may be a customer, and is not repeated.
    if set(NEEDED) & set(columns):
        _tell_unused(file, head, columns, lines)
    if faults:
        return
    read: list[dict[str, str]] = []
    # One row alone that is longer holds a separator too many, and its cells stand under other names.
    widths = {len(line.cells) for line in lines}
    margin = max(widths) if len(widths) == 1 and max(widths) > len(columns) else len(columns)
    for line in lines:
        _locate(file, len(read), columns, line)
        cells = line.cells
        blank = len(cells) == margin and not any(map(str.strip, cells[len(columns) :]))
        if (no_boat := _no_boat(columns, cells)) is not None:
            file.complain((line.line, 1), f"row {line.row}: {no_boat}", "delete this row from the list")
        elif len(cells) != len(columns) and not blank:
            what, hint = _misfit(columns, cells, rows.separator)
            file.complain((line.line, 1), f"row {line.row}: {what}", hint)
        row = {column: cell for column, cell in zip(columns, cells, strict=False) if column in COLUMNS}
        if rows.separator == ";":
            row |= {c: with_decimal_point(row[c], always=True) for c in MEASURES if c in row}
        row |= {c: f"{row[c].strip()} {unit}" for c, unit in units.items() if _BARE.fullmatch(row.get(c, ""))}
        read.append(row)
    document.data = read


def _heads_below(lines: Sequence[Line]) -> int | None:
    """The line below the first one that names the columns, where a title stands above them."""
    return next((line.line for line in lines[:_MOST_ABOVE]
                 if set(NEEDED) <= {column_and_unit(cell)[0] for cell in line.cells}), None)  # fmt: skip


_MOST_ABOVE = 10


def _no_boat(columns: Sequence[str], cells: Sequence[str]) -> str | None:
    """What a row is that belongs to the spreadsheet and to no customer."""
    if [column_and_unit(cell)[0] for cell in cells] == list(columns):
        return "repeats the column names"
    said = [cell.strip() for cell in cells if cell.strip()]
    like = dict(zip(columns, cells, strict=False)).get("like", "")
    if _FIGURES.fullmatch(like) or _is_sum(like):
        words = [cell for cell in said if not _FIGURES.fullmatch(cell)]
        if words and all(map(_is_sum, words)):
            return "looks like a sum row"
    return None


def _is_sum(cell: str) -> bool:
    if _FORMULA.fullmatch(cell.strip()):
        return True
    word = _SUM.match(cell.strip())
    return word is not None and _FIGURES.fullmatch(cell.strip()[word.end() :]) is not None


def _tell_unused(file: ListFile, head: Line, columns: Sequence[str], lines: Sequence[Line]) -> None:
    """A dealer's own columns, once for the whole list; one that has neither a name nor a cell is a spreadsheet's margin."""
    own = [n for n, column in enumerate(columns) if column and column not in COLUMNS]
    nameless = [n for n, column in enumerate(columns) if not column
                and any(line.cells[n].strip() for line in lines if len(line.cells) > n)]  # fmt: skip
    if own:
        said = unused([" ".join(head.cells[n].split()) for n in own], columns)
        file.complain(head.places[own[0]], said, _LISTED, "warning")
    if nameless:
        said = ", ".join(letters(n) for n in nameless[:12])
        file.complain(head.places[nameless[0]], f"not used, since it has no name: column {said}",
                      "name it in the first line", "warning")  # fmt: skip


def _misfit(columns: Sequence[str], cells: Sequence[str], separator: str) -> tuple[str, str]:
    what = f"has {counted(len(cells), 'cell')} under {counted(len(columns), 'column')}"
    for number, (cell, after) in enumerate(pairwise(cells)):
        column = columns[number] if number < len(columns) else ""
        if (
            separator == ","
            and column in MEASURES
            and re.fullmatch(r"\s*\d+", cell)
            and re.match(r"\d", after)
        ):
            return (
                what,
                f"a decimal comma in '{column}' parts its cell in two: write a point, or put the cell in quotes",
            )
    if len(cells) < len(columns):
        return what, "a line break in a cell parts its row in two: take it out"
    return what, "put a cell that holds a separator in quotes"


def _locate(file: ListFile, index: int, columns: Sequence[str], line: Line) -> None:
    """Where a row and its cells stand, in the file and in the spreadsheet that it comes from."""
    places = file.document.values
    places[(index,)] = (line.line, 1)
    file.cells[(index,)] = f"row {line.row}"
    for number, (column, place) in enumerate(zip(columns, line.places, strict=False)):
        places[(index, column)] = place
        file.cells[(index, column)] = f"cell {letters(number)}{line.row}"


def letters(number: int) -> str:
    """The letters of a spreadsheet's column, counted from 0.

    Examples
    --------
    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
