"""Read a dealer's customer list, a CSV or YAML file with one boat a row, as strictly as the content.

A row names a boat of the content that it is ``like`` and says what is different. All problems of all rows are
collected with line, column and cell; a bad row takes nothing away from the good ones, and a bad cell hides nothing
else that is wrong in its row. What names a person or a single boat is never repeated in a message.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from leadsman.content.catalogue import Catalogue
from leadsman.content.cells import Repeatable, list_id, plain
from leadsman.content.fleet_columns import COLUMNS as COLUMNS
from leadsman.content.fleet_columns import PERSONAL as PERSONAL
from leadsman.content.fleet_file import ListFile, read_list
from leadsman.content.fleet_row import FleetRow as FleetRow
from leadsman.content.fleet_row import Row
from leadsman.content.source import Document, Location
from leadsman.errors import Problem, shown_path
from leadsman.files import Refused, nearest_file, read_regular

#: Some fifty thousand customers.
MAX_BYTES = 5_000_000


@dataclass
class Fleet:
    """The good rows of a customer list, and what is wrong with the others."""

    path: Path
    rows: list[FleetRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    unreadable: bool = False
    """Whether the list as a whole cannot be understood, so that no row can be trusted."""
    unread: int = 0
    """How many lines could not be read as rows at all."""
    ids: frozenset[str] = frozenset()
    """The ids of all rows, of the bad ones too."""


def read_fleet(path: Path, catalogue: Catalogue, *, encoding: str | None = None) -> Fleet:
    """Read a customer list; problems are collected, never raised.

    Parameters
    ----------
    path, catalogue
        The list, and the content whose boats and equipment it names.
    encoding
        How a CSV list is written that is no UTF-8, by its name in Python.
    """
    try:
        raw = read_regular(path, MAX_BYTES)
    except Refused as refused:
        hint = nearest_file(path) if refused.missing else "name a file of your own, or split it"
        problem = Problem(shown_path(path), 1, 1, str(refused), hint, rule="fleet")
        return Fleet(path, problems=[problem], unreadable=True)
    file = read_list(raw, path, encoding)
    document = file.document
    fleet = Fleet(path, problems=list(document.problems), unread=file.unread)
    if not isinstance(document.data, list) or any(p.rule == "yaml" for p in document.problems):
        fleet.unreadable = True
        return fleet
    bad = {p.line for p in document.problems if p.severity == "error"}
    fleet.ids = frozenset(_ids(document.data))
    cells = Repeatable(_names(document.data))
    first: dict[str, Row] = {}
    for index, data in enumerate(document.data):
        row = Row(file, index, data, catalogue, cells)
        if row.line in bad:
            continue
        found = row.checked(first)
        fleet.problems += row.problems
        if found is not None:
            fleet.rows.append(found)
    fleet.problems.sort()
    return fleet


def _names(rows: list[Any]) -> Iterator[str]:
    for row in rows:
        if isinstance(row, dict):
            yield from (str(row[column]) for column in PERSONAL if isinstance(row.get(column), str))


def _ids(rows: list[Any]) -> Iterator[str]:
    for row in rows:
        if isinstance(row, dict):
            yield list_id(plain(str(row.get("id", ""))))


def read_row(
    document: Document, location: Location, catalogue: Catalogue
) -> tuple[FleetRow | None, list[Problem]]:
    """One boat that stands inside another file, as a row of a list would be read; its id may be left out."""
    data: Any = document.data
    for part in location:
        data = data[part]
    inside = Document(document.path, [{"id": "boat", **data} if isinstance(data, dict) else data])
    for places, kept in ((document.keys, inside.keys), (document.values, inside.values)):
        for place, at in places.items():
            if place[: len(location)] == location:
                kept[(0, *place[len(location) :])] = at
    # The messages of such a file repeat no line of it.
    row = Row(ListFile(inside), 0, inside.data[0], catalogue, Repeatable(repeats=False), is_listed=False)
    found = row.checked({})
    return found, row.problems
