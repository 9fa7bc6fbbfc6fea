"""Read a dealer's customer list, a CSV or YAML file with one boat a row, as strictly as the content.

A row names a boat of the content that it is ``like`` and says what is different. All problems are collected
with line and column; a bad row takes nothing away from the good ones. What names a person or a single boat is
never repeated in a message.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from leadsman.arguments import read_input
from leadsman.compute.registry import formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.content.rows import read_rows
from leadsman.content.rules.boats import boat_faults
from leadsman.content.source import Document, parse
from leadsman.errors import LeadsmanError, Problem, quoted, shown_path
from leadsman.files import Refused, read_regular
from leadsman.letters import forbidden, printable
from leadsman.units import parse as parse_quantity

#: Some fifty thousand customers.
MAX_BYTES = 5_000_000
_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*\Z")
#: The longest owner's or boat's name: longer ones are a slip of the list.
_LONGEST = 80
#: Columns that name a person or one boat: they go onto the guide's own pages and nowhere else.
PERSONAL = ("owner", "boat", "display_serial", "transducer_serial")
#: Columns with a quantity: the boat's field and its unit.
QUANTITIES = {
    "element_tilt": ("element_tilt_deg", "deg"),
    "deadrise": ("deadrise_deg", "deg"),
    "running_trim": ("running_trim_deg", "deg"),
    "shaft_angle": ("shaft_angle_deg", "deg"),
    "face_immersion": ("face_immersion_m", "m"),
    "laminate": ("laminate_mm", "mm"),
    "lead_length": ("lead_length_m", "m"),
    "fuse": ("fuse_a", "A"),
}
#: Every column, with what it says.
COLUMNS = {
    "id": "needed; small letters, digits and hyphens; the name of the guide's file",
    "like": "needed; the boat of the content whose hull, lead and equipment hold where the row says nothing else",
    "owner": "the owner's name for the cover",
    "boat": "the boat's name for the cover",
    "display": "display family",
    "transducer": "transducer",
    "waters": "usual waters, separated by spaces or semicolons (a list in YAML)",
    "element_tilt": "tilt of the element: 12 deg",
    "deadrise": "deadrise at the transducer's station: 18 deg",
    "running_trim": "running trim at cruise: 3 deg",
    "shaft_angle": "slope of the mounting surface: 8 deg",
    "face_immersion": "depth of the face below the surface: 0.35 m or 14 in",
    "laminate": "solid laminate under an in-hull transducer: 12 mm",
    "lead_length": "one-way length of the supply lead: 5 m or 16 ft",
    "conductor": "conductor of the supply lead: 14 AWG or 2.5 mm2",
    "fuse": "fuse of the supply lead: 5 A",
    "display_serial": "serial number of the display",
    "transducer_serial": "serial number of the transducer",
    "units": "metric or us; left out, as the edition or the command says",
}


#: The formula that knows every conductor.
_LEAD = formulas("supply")["supply.longest_run"]


@dataclass(frozen=True)
class FleetRow:
    """One customer's boat, checked."""

    id: str
    boat: Boat
    units: str | None
    personal: Mapping[str, str] = field(repr=False)
    place: tuple[int, int] = (1, 1)


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


def read_fleet(path: Path, catalogue: Catalogue) -> Fleet:
    """Read a customer list; problems are collected, never raised."""
    unread = 0
    try:
        raw = read_regular(path, MAX_BYTES)
    except Refused as refused:
        problem = Problem(
            shown_path(path), 1, 1, str(refused), "name a file of your own, or split it", rule="fleet"
        )
        return Fleet(path, problems=[problem], unreadable=True)
    if path.suffix.lower() in (".yaml", ".yml"):
        document = _from_yaml(parse(raw, path))
    else:
        document, unread = _from_csv(raw, path)
    fleet = Fleet(path, problems=list(document.problems), unread=unread)
    if not isinstance(document.data, list) or any(p.rule == "yaml" for p in document.problems):
        fleet.unreadable = True
        return fleet
    bad = {p.line for p in document.problems}
    first: dict[str, int] = {}
    for index, data in enumerate(document.data):
        row = _Row(document, index, data, catalogue)
        if row.line in bad:
            continue
        found = row.checked(first)
        fleet.problems += row.problems
        if found is not None:
            fleet.rows.append(found)
    fleet.problems.sort()
    return fleet


def read_row(document: Document, location: tuple[str | int, ...], catalogue: Catalogue) -> tuple[FleetRow | None, list[Problem]]:  # fmt: skip
    """One boat that stands inside another file, as a row of a list would be read; its id may be left out."""
    data: Any = document.data
    for part in location:
        data = data[part]
    inside = Document(document.path, [{"id": "boat", **data} if isinstance(data, dict) else data])
    for places, kept in ((document.keys, inside.keys), (document.values, inside.values)):
        for place, at in places.items():
            if place[: len(location)] == location:
                kept[(0, *place[len(location) :])] = at
    row = _Row(inside, 0, inside.data[0], catalogue)
    found = row.checked({})
    return found, row.problems


class _Row:
    """One row while it is checked."""

    def __init__(self, document: Document, index: int, data: Any, catalogue: Catalogue) -> None:
        self.document, self.index, self.catalogue = document, index, catalogue
        self.data: dict[str, Any] = data if isinstance(data, dict) else {}
        self.problems: list[Problem] = []
        #: What was read as a quantity, and so is no name.
        self.read: dict[str, str] = {}
        self.line = document.place((index,))[0]
        if not isinstance(data, dict):
            self.complain("", "a row must be a mapping of column to text", "write 'id: ...' and indent")

    def complain(self, column: str, what: str, hint: str = "") -> None:
        location = (self.index, column) if column in self.data else (self.index,)
        line, number = self.document.place(location)
        path = shown_path(self.document.path)
        self.problems.append(Problem(path, line, number, what, hint, column, "fleet"))

    def checked(self, first: dict[str, int]) -> FleetRow | None:
        """The row, or None when anything is wrong with it."""
        if self.problems:
            return None
        texts = dict(self._texts())
        name = texts.get("id", "")
        if not _ID.match(name) or len(name) > 60:
            self.complain(
                "id", "is no id" if name else "is missing", "use small letters, digits and single hyphens"
            )
        elif name in first:
            self.complain("id", f"stands twice (first in line {first[name]})", "ids are unique in a list")
        elif name:
            first[name] = self.line
        units = texts.get("units", "").lower() or None
        if units not in (None, "metric", "us"):
            self.complain("units", "is neither metric nor us", "write metric or us, or leave it empty")
        boat = self._boat(texts)
        if self.problems or boat is None:
            return None
        personal = {column: texts[column] for column in PERSONAL if column in texts}
        return FleetRow(name, boat, units, personal, self.document.place((self.index,)))

    def _texts(self) -> Iterator[tuple[str, str]]:
        """The cells that say something, as text."""
        for column, value in self.data.items():
            if column not in COLUMNS:
                near = ", ".join(COLUMNS)
                self.complain(column, "is no column of a fleet", f"known: {near}")
            elif column == "waters" and isinstance(value, list) and all(isinstance(v, str) for v in value):
                yield column, " ".join(value)
            elif value is not None and not isinstance(value, str):
                self.complain(column, "is not text", "put it in quotes, with its unit")
            elif value is not None and value.strip():
                if any(forbidden(value)) or any(sign in value for sign in "\t\n\r"):
                    self.complain(
                        column,
                        "holds a control or hidden sign, or one that is written in two ways",
                        "write it anew",
                    )
                elif any(sign > "~" and sign not in printable() for sign in value):
                    self.complain(column, "holds a sign that the fonts lack", "write it in Latin letters")
                elif column in PERSONAL and len(value.strip()) > _LONGEST:
                    self.complain(column, f"is longer than {_LONGEST} characters", "shorten it for the page")
                else:
                    yield column, " ".join(value.split())

    def _boat(self, texts: Mapping[str, str]) -> Boat | None:
        catalogue = self.catalogue
        base = catalogue.boats.get(texts.get("like", ""))
        if base is None:
            what = "is no boat of the content" if texts.get("like") else "is missing"
            self.complain("like", what, catalogue.near("boats", texts.get("like", "")))
            return None
        fields: dict[str, Any] = base.model_dump()
        for column, kind in (("display", "families"), ("transducer", "transducers")):
            if column in texts:
                self._known(column, kind, texts[column])
                fields[column] = texts[column]
        if "waters" in texts:
            fields["waters"] = re.split(r"[;,\s]+", texts["waters"].strip("; ,"))
            for water in fields["waters"]:
                self._known("waters", "waters", water)
        if "conductor" in texts and self._is_conductor(texts["conductor"]):
            fields["supply"]["conductor"] = texts["conductor"]
        for column in (name for name in QUANTITIES if name in texts):
            target, unit = QUANTITIES[column]
            value = self._quantity(column, texts[column], unit)
            (fields["supply"] if target in fields["supply"] else fields)[target] = value
            self.read[column] = f"{value:g} {unit}"
        return None if self.problems else self._fitting(fields)

    def _known(self, column: str, kind: str, name: str) -> None:
        if name not in self.catalogue.records[kind]:
            self.complain(column, "does not exist", self.catalogue.near(kind, name))

    def _is_conductor(self, text: str) -> bool:
        try:
            known = isinstance(read_input(_LEAD, "conductor", text)[1], str)
        except LeadsmanError:
            known = False
        if not known:
            self.complain("conductor", "is no conductor that is known", "write it as 14 AWG or 2.5 mm2")
        return known

    def _quantity(self, column: str, text: str, unit: str) -> float:
        try:
            return float(parse_quantity(text, unit).value)
        except LeadsmanError:
            # The cell is not repeated: in a list whose columns slipped it may hold a name.
            example = COLUMNS[column].split(": ")[-1]
            self.complain(
                column, f"is no quantity in {unit}", f"write a number and its unit, such as {example}"
            )
            return 0.0

    def _fitting(self, fields: dict[str, Any]) -> Boat | None:
        """The boat, when its parts go together."""
        try:
            boat = Boat.model_validate(fields)
        except ValidationError as error:
            for item in error.errors():
                column = self._column(str(item["loc"][-1]))
                self.complain(column, f"{self.read.get(column, 'it')} is out of range: {item['msg'].lower()}")
            return None
        family = self.catalogue.families[boat.display]
        transducer = self.catalogue.transducers[boat.transducer]
        # A row is held to the rules that a boat of the content is held to.
        for name, what, hint in boat_faults(boat, family, transducer):
            self.complain(self._column(name), what, hint)
        return None if self.problems else boat

    def _column(self, name: str) -> str:
        """The column that decides a field of a boat: its own where the row says something, else what brought it."""
        column = _COLUMN_OF.get(name, name)
        if column not in self.data:
            brought = (c for c in ("transducer", "display", "fuse", "like") if c in self.data)
            return (
                next(brought, "like")
                if column != "nominal_v"
                else "display"
                if "display" in self.data
                else "like"
            )
        return column


_COLUMN_OF = {target: column for column, (target, _) in QUANTITIES.items()}


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


def _from_csv(raw: bytes, path: Path) -> tuple[Document, int]:
    """The rows of a list with separators, and how many lines of it could not be read."""
    document = Document(path)

    def complain(line: int, column: int, what: str, hint: str) -> None:
        document.problems.append(Problem(shown_path(path), line, column, what, hint, rule="fleet"))

    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        complain(raw[: error.start].count(b"\n") + 1, 1, "is not UTF-8 text", "save the file as CSV UTF-8")
        return document, 0
    rows = read_rows(text)
    for fault in rows.faults:
        complain(fault.line, fault.column, fault.what, fault.hint)
    if not rows.lines:
        if not rows.faults:
            complain(1, 1, "is empty", "begin with a line of column names")
        return document, rows.unread
    head, *lines = rows.lines
    names = [re.sub(r"[\s_-]+", "_", cell.strip().lower()) for cell in head.cells]
    before = len(document.problems)
    _check_header(names, head.places, complain)
    if len(document.problems) > before:
        return document, rows.unread
    read: list[dict[str, str]] = []
    for line in lines:
        document.values[(len(read),)] = (line.line, 1)
        for column, place in zip(names, line.places, strict=False):
            document.values[(len(read), column)] = place
        if len(line.cells) != len(names):
            complain(line.line, 1, f"has {len(line.cells)} cells under {len(names)} columns",
                     "put a cell that holds a separator in quotes")  # fmt: skip
        cells = line.cells if rows.separator == "," else map(_with_a_point, line.cells)
        read.append(dict(zip(names, cells, strict=False)))
    document.data = read
    return document, rows.unread


def _with_a_point(cell: str) -> str:
    """A number with a decimal comma, as a spreadsheet writes it where the comma parts no cells, with a point."""
    return re.sub(r"^\s*([+-]?\d+),(\d+)(?=\s*\D{0,12}$)", r"\1.\2", cell)


def _check_header(header: list[str], places: Sequence[tuple[int, int]], complain: Any) -> None:
    for number, (column, place) in enumerate(zip(header, places, strict=True)):
        if column not in COLUMNS:
            complain(*place, f"'{quoted(column)}' is no column of a fleet", f"known: {', '.join(COLUMNS)}")
        elif column in header[:number]:
            complain(*place, f"the column '{column}' stands twice", "keep one of them")
    for column in ("id", "like"):
        if column not in header:
            complain(places[0][0], 1, f"the column '{column}' is missing", "add it")
