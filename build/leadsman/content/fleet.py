"""Read a dealer's customer list, a CSV or YAML file with one boat a row, as strictly as the content.

A row names a boat of the content that it is ``like`` and says what is different. All problems are collected
with line and column; a bad row takes nothing away from the good ones. What names a person or a single boat is
never repeated in a message.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from leadsman.arguments import read_input
from leadsman.compute.registry import formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.content.source import Document, parse
from leadsman.errors import LeadsmanError, Problem, shown_path
from leadsman.units import parse as parse_quantity

MAX_BYTES = 20_000_000
_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*\Z")
#: The longest owner's or boat's name: longer ones are a slip of the list.
_LONGEST = 80
_HIDDEN = re.compile(r"[\x00-\x1f\x7f-\x9f\xad\u200b-\u200f\u2028-\u202e\u2060-\u206f\ue000-\uf8ff\ufeff]")

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


def read_fleet(path: Path, catalogue: Catalogue) -> Fleet:
    """Read a customer list; problems are collected, never raised."""
    try:
        raw = path.read_bytes()
    except OSError as error:
        problem = Problem(shown_path(path), 1, 1, f"cannot be read ({error.strerror})", rule="fleet")
        return Fleet(path, problems=[problem], unreadable=True)
    if path.suffix.lower() in (".yaml", ".yml"):
        document = _from_yaml(parse(raw, path))
    else:
        document = _from_csv(raw, path)
    fleet = Fleet(path, problems=list(document.problems))
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


class _Row:
    """One row while it is checked."""

    def __init__(self, document: Document, index: int, data: Any, catalogue: Catalogue) -> None:
        self.document, self.index, self.catalogue = document, index, catalogue
        self.data: dict[str, Any] = data if isinstance(data, dict) else {}
        self.problems: list[Problem] = []
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
        units = texts.get("units")
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
                if _HIDDEN.search(value):
                    self.complain(column, "holds a control or hidden character", "remove it")
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
            columns = {target: column for column, (target, _) in QUANTITIES.items()}
            for item in error.errors():
                column = columns.get(str(item["loc"][-1]), str(item["loc"][-1]))
                self.complain(column, f"is out of range: {item['msg'].lower()}")
            return None
        family, transducer = (
            self.catalogue.families[boat.display],
            self.catalogue.transducers[boat.transducer],
        )
        if boat.transducer not in family.transducers:
            column = "transducer" if "transducer" in self.data else "display"
            self.complain(column, f"the display '{family.id}' does not accept the transducer '{transducer.id}'",
                          f"it accepts {', '.join(family.transducers)}")  # fmt: skip
        if boat.element_tilt_deg not in transducer.element_tilts_deg:
            tilts = ", ".join(f"{tilt:g} deg" for tilt in transducer.element_tilts_deg)
            self.complain("element_tilt" if "element_tilt" in self.data else "transducer",
                          f"the transducer '{transducer.id}' has no element tilted {boat.element_tilt_deg:g} deg", f"it has {tilts}; say which under element_tilt")  # fmt: skip
        return None if self.problems else boat


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


def _from_csv(raw: bytes, path: Path) -> Document:
    document = Document(path)

    def complain(line: int, column: int, what: str, hint: str) -> None:
        document.problems.append(Problem(shown_path(path), line, column, what, hint, rule="fleet"))

    if len(raw) > MAX_BYTES:
        complain(1, 1, f"the file is larger than {MAX_BYTES // 1_000_000} MB", "split it")
        return document
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        complain(raw[: error.start].count(b"\n") + 1, 1, "is not UTF-8 text", "save the file as CSV UTF-8")
        return document
    lines = text.splitlines(keepends=True)
    delimiter = ";" if lines and lines[0].count(";") > lines[0].count(",") else ","
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    before = 0
    rows: list[dict[str, str]] = []
    header: list[str] | None = None
    try:
        for cells in reader:
            start, before = before, reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            places = _places("".join(lines[start:before]), delimiter, start + 1)
            if header is None:
                header = [cell.strip() for cell in cells]
                _check_header(header, places, complain)
                continue
            document.values[(len(rows),)] = (start + 1, 1)
            for column, place in zip(header, places, strict=False):
                document.values[(len(rows), column)] = place
            if len(cells) != len(header):
                complain(
                    start + 1,
                    1,
                    f"has {len(cells)} cells under {len(header)} columns",
                    "put a cell that holds a comma in quotes",
                )
            rows.append(dict(zip(header, cells, strict=False)))
    except csv.Error as error:
        complain(reader.line_num, 1, f"is not valid CSV: {error}", "look at the quotes of this line")
    if header is None and not document.problems:
        complain(1, 1, "is empty", "begin with a line of column names")
    document.data = None if header is None or any(p.line == 1 for p in document.problems) else rows
    return document


def _check_header(header: list[str], places: list[tuple[int, int]], complain: Any) -> None:
    for column, (line, number) in zip(header, places, strict=False):
        if column not in COLUMNS:
            complain(line, number, f"'{column}' is no column of a fleet", f"known: {', '.join(COLUMNS)}")
        elif header.count(column) > 1 and header.index(column) != places.index((line, number)):
            complain(line, number, f"the column '{column}' stands twice", "keep one of them")
    for column in ("id", "like"):
        if column not in header:
            complain(1, 1, f"the column '{column}' is missing", "add it")


def _places(record: str, delimiter: str, line: int) -> list[tuple[int, int]]:
    """Line and column at which each cell of a CSV record begins."""
    found, column, quoted = [(line, 1)], 0, False
    for sign in record.rstrip("\r\n"):
        column += 1
        if sign == '"':
            quoted = not quoted
        elif sign == "\n":
            line, column = line + 1, 0
        elif sign == delimiter and not quoted:
            found.append((line, column + 1))
    return found
