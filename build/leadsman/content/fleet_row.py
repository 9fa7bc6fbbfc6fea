"""One row of a customer list: each cell read as people type it, and the boat held to the rules of boats.

Everything that is wrong with a row is told at once. A cell that cannot be read takes no other with it: the boat under
``like`` stands in for it, and no rule is asked whose verdict would hang on it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from leadsman.arguments import find_input
from leadsman.compute.registry import Choice, formulas
from leadsman.compute.supply.fuses import BLADE_COLD_OHM
from leadsman.content.catalogue import Catalogue
from leadsman.content.cells import (
    ADD_UNIT,
    Repeatable,
    chosen,
    conductor,
    conductor_hint,
    folded,
    list_id,
    misread,
    plain,
    quantity,
    quantity_hint,
    spoilt,
)
from leadsman.content.fleet_columns import COLUMNS, PERSONAL, QUANTITIES
from leadsman.content.fleet_file import ListFile
from leadsman.content.model.equipment import Boat, Supply
from leadsman.content.rules.boats import BoatFault, boat_faults
from leadsman.errors import LeadsmanError, Problem, shown_path
from leadsman.letters import forbidden, printable

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*\Z")
#: The longest id, and the longest owner's or boat's name: longer ones are a slip of the list.
_LONGEST_ID, _LONGEST = 60, 80
#: Columns that name a record of the content: the kind, and what it is called in a message.
_CHOICES = {"display": ("families", "display"), "transducer": ("transducers", "transducer")}
UNITS = ("metric", "us")
#: Words that somebody may write for them, and that are no name.
_UNIT_WORDS = (*UNITS, "imperial", "american", "english", "british")
#: The formula that knows every conductor.
_LEAD = formulas("supply")["supply.longest_run"]
_COLUMN_OF = {target: column for column, (target, _) in QUANTITIES.items()}
#: What a limit of the model is called in a message.
_LIMITS = {"ge": "at least", "gt": "more than", "le": "at most", "lt": "less than"}
#: The volts that a boat's system can have.
_SYSTEMS_V = (12, 24)
#: Stands in for a cell that cannot be read where the boat under ``like`` has nothing either; no rule is asked of it.
_UNREAD = 10.0


@dataclass(frozen=True)
class FleetRow:
    """One customer's boat, checked."""

    id: str
    boat: Boat
    units: str | None
    personal: Mapping[str, str] = field(repr=False)
    place: tuple[int, int] = (1, 1)
    like: str = ""
    """The boat of the content whose values stand in for the empty cells."""
    said: frozenset[str] = frozenset()
    """The columns in which the row says something itself."""


class Row:
    """One row while it is checked."""

    def __init__(self, file: ListFile, index: int, data: Any, catalogue: Catalogue, cells: Repeatable, *,
                 is_listed: bool = True) -> None:  # fmt: skip
        self.document, self.places, self.index, self.catalogue = file.document, file.cells, index, catalogue
        self.data: dict[str, Any] = data if isinstance(data, dict) else {}
        self.texts: dict[str, str] = {}
        self.told = cells.told
        self.is_listed, self.name = is_listed, ""
        self.problems: list[Problem] = []
        #: Fields of the boat whose cells cannot be read: no rule is asked of them.
        self.bad: set[str] = set()
        self.line = self.document.place((index,))[0]
        if not isinstance(data, dict):
            self.complain("", "a row must be a mapping of column to text", "write 'id: ...' and indent")

    def complain(self, column: str, what: str, hint: str = "", severity: str = "error") -> None:
        """Note what is wrong with a cell or with the row; the message begins with the cell and the row's id."""
        location = (self.index, column) if column in self.data else (self.index,)
        cell = self.places.get(location, "")
        whose = " of ".join(part for part in (cell, self.name) if part)
        path = shown_path(self.document.path)
        what = f"{whose}: {what}" if whose else what
        self.problems.append(
            Problem(path, *self.document.place(location), what, hint, column, "fleet", severity)
        )

    def checked(self, first: dict[str, Row]) -> FleetRow | None:
        """The row, or None when anything is wrong with it."""
        if self.problems:
            return None
        # Before anything else is told: each message names the row by it.
        self.texts = dict(self._texts())
        name = self._id(first)
        if any(problem.severity == "warning" for problem in self.problems):
            # What is wrong with it is told of the first of the two.
            return None
        units = self.texts.get("units", "").replace(".", "").casefold() or None
        if units is not None and units not in UNITS:
            self.complain("units", f"{self.told(self.texts['units'], _UNIT_WORDS)} is neither metric nor us",
                          "write metric or us, or leave it empty")  # fmt: skip
        like, boat = self._boat()
        if self.problems or boat is None:
            return None
        personal = {column: self.texts[column] for column in PERSONAL if column in self.texts}
        place = self.document.place((self.index,))
        return FleetRow(name, boat, units, personal, place, like, frozenset(self.texts))

    def _id(self, first: dict[str, Row]) -> str:
        text = self.texts.get("id", "")
        name = list_id(text)
        if not text and "id" in self.bad:
            pass  # What is wrong with the cell was told.
        elif not text:
            self.complain("id", "is missing", "give each boat an id of its own, a customer's number, say")
        elif not _ID.match(name) or len(name) > _LONGEST_ID:
            self.complain(
                "id",
                f"{self.told(text)} is no id",
                "use small letters, digits and single hyphens, and no name",
            )
        elif name not in first:
            first[name] = self
        elif first[name].folded == self.folded:
            self.complain(
                "id",
                f"the row stands twice (first in line {first[name].line})",
                "its guide is made once",
                "warning",
            )
        else:
            self.complain(
                "id", f"'{name}' stands twice (first in line {first[name].line})", "ids are unique in a list"
            )
        return name

    @property
    def folded(self) -> dict[str, str]:
        """What the row says, capitals apart."""
        return {column: text.casefold() for column, text in self.texts.items()}

    def _texts(self) -> Iterator[tuple[str, str]]:
        """The cells that say something, as text; what is wrong with the others is told when all were looked at."""
        faults = []
        for column, value in self.data.items():
            fault = self._spoilt(column, value) or _cell_fault(column, value)
            if fault is not None:
                faults.append((column, *fault))
                self.bad.add(_field(column))
            elif isinstance(value, list):
                yield column, "; ".join(value)
            elif value is not None and (text := plain(value)):
                yield column, text
                if column == "id" and self.is_listed and _ID.match(list_id(text)):
                    self.name = list_id(text)[:_LONGEST_ID]
        for column, what, hint in faults:
            self.complain(column, what, hint)

    def _spoilt(self, column: str, value: Any) -> tuple[str, str] | None:
        text = plain(value) if isinstance(value, str) else ""
        fault = spoilt(text, is_number=column in QUANTITIES)
        return fault and (f"{self.told(text)} {fault[0]}", fault[1])

    def _boat(self) -> tuple[str, Boat | None]:
        """The boat under ``like``, and this one; where there is none of that name, every cell is looked at all the same."""
        text, boats = self.texts.get("like", ""), self.catalogue.boats
        like = chosen(text, boats)
        if like is None:
            what = f"{self.told(text, boats)} is no boat of the content" if text else "is missing"
            if "like" not in self.bad:
                self.complain("like", what, self.catalogue.near("boats", folded(text)))
            # What the row does not say itself is not known either.
            known = (*Boat.model_fields, *Supply.model_fields)
            self.bad |= {name for name in known if _column_of_field(name) not in self.texts}
        base = boats[like] if like is not None else next(iter(boats.values()), None)
        if base is None:
            return "", None
        fields: dict[str, Any] = base.model_dump()
        self._choices(fields)
        self._conductor(fields["supply"])
        self._quantities(fields)
        boat = self._within_range(fields, base)
        self._rules(boat, base)
        return (like, boat) if like is not None else ("", None)

    def _choices(self, fields: dict[str, Any]) -> None:
        for column, (kind, noun) in _CHOICES.items():
            if column not in self.texts:
                continue
            text, known = self.texts[column], self.catalogue.records[kind]
            found = chosen(text, known)
            if found is None:
                self.complain(column, f"{self.told(text, known)} is no {noun} of the content",
                              self.catalogue.near(kind, folded(text)))  # fmt: skip
                self.bad.add(column)
            fields[column] = found or fields[column]
        if "waters" in self.texts:
            fields["waters"] = list(dict.fromkeys(self._waters(self.texts["waters"]))) or fields["waters"]

    def _waters(self, text: str) -> Iterator[str]:
        known = self.catalogue.records["waters"]
        for piece in filter(None, map(str.strip, re.split(r"[;,/|]| (?:and|und|&|[+]) ", text))):
            # A name may be of two words, and two names may stand with a blank between them.
            words = [piece] if chosen(piece, known) else piece.split()
            if not any(chosen(word, known) for word in words):
                words = [piece]
            for word in words:
                found = chosen(word, known)
                if found is None:
                    hint = self.catalogue.near("waters", folded(word))
                    self.complain("waters", f"{self.told(word, known)} does not exist", hint)
                else:
                    yield found

    def _conductor(self, supply: dict[str, Any]) -> None:
        item = find_input(_LEAD, "conductor")
        assert isinstance(item, Choice)
        if (text := self.texts.get("conductor")) is None:
            return
        try:
            supply["conductor"] = conductor(text, item.choices)
        except LeadsmanError:
            self.complain("conductor", f"{self.told(text, item.choices)} is no conductor that is known",
                          self._or_in_head(conductor_hint(text, item.choices), "conductor", "mm2"))  # fmt: skip

    def _quantities(self, fields: dict[str, Any]) -> None:
        for column in (name for name in QUANTITIES if name in self.texts):
            target, unit = QUANTITIES[column]
            place = fields["supply"] if target in fields["supply"] else fields
            text = self.texts[column]
            try:
                value: float | None = quantity(text, unit)
            except LeadsmanError:
                hint = quantity_hint(text, unit, COLUMNS[column].split(": ")[-1])
                hint = self._or_in_head(hint, column, unit)
                self.complain(column, f"{self.told(text)} is no quantity in {unit}", hint)
                value = None
            if column == "system_volts" and value is not None and value not in _SYSTEMS_V:
                self.complain(column, f"{value:g} V is neither 12 V nor 24 V", "write 12 V or 24 V")
                value = None
            if value is None:
                self.bad.add(target)
                place[target] = _UNREAD if place[target] is None else place[target]
            else:
                place[target] = int(value) if column == "system_volts" else value
        self._with_own_fuse(fields["supply"])

    def _or_in_head(self, hint: str, column: str, unit: str) -> str:
        """A hint to add a unit, with the other place where it may stand."""
        if not hint.startswith(ADD_UNIT) or not self.places:
            return hint
        return f"{hint}, or name it once for all rows in the head: {column} ({unit})"

    def _with_own_fuse(self, supply: dict[str, Any]) -> None:
        """The resistance of the contacts holds that of the fuse: with another fuse it is another."""
        like = self.catalogue.boats.get(chosen(self.texts.get("like", ""), self.catalogue.boats) or "")
        if like is not None and supply["fuse_a"] != like.supply.fuse_a:
            old, new = (BLADE_COLD_OHM.get(amperes) for amperes in (like.supply.fuse_a, supply["fuse_a"]))
            if old is not None and new is not None:
                supply["contact_ohm"] = round(max(supply["contact_ohm"] - old, 0.0) + new, 4)

    def _within_range(self, fields: dict[str, Any], base: Boat) -> Boat:
        """The boat; what no boat can have is told, and the value of the boat under ``like`` stands in for it."""
        try:
            return Boat.model_validate(fields)
        except ValidationError as error:
            whole = base.model_dump()
            for item in error.errors():
                target = str(item["loc"][-1])
                column = _COLUMN_OF.get(target, target)
                unit = QUANTITIES[column][1] if column in QUANTITIES else ""
                limits = [
                    f"{word} {item['ctx'][kind]:g} {unit}"
                    for kind, word in _LIMITS.items()
                    if kind in item.get("ctx", {})
                ]
                place, kept = (
                    (fields["supply"], whole["supply"]) if item["loc"][0] == "supply" else (fields, whole)
                )
                self.complain(column, f"{place[target]:g} {unit} is out of range", " and ".join(limits))
                self.bad.add(target)
                place[target] = _UNREAD if kept[target] is None else kept[target]
            return Boat.model_validate(fields)

    def _rules(self, boat: Boat, like: Boat) -> None:
        """A row is held to the rules that a boat of the content is held to, as far as its cells can be read."""
        family = None if "display" in self.bad else self.catalogue.families.get(boat.display)
        fitted = None if "transducer" in self.bad else self.catalogue.transducers.get(boat.transducer)
        for fault in boat_faults(boat, family, fitted):
            on = (fault.field, *fault.rests_on)
            if self.bad.isdisjoint(on):
                hint = "; ".join(part for part in (fault.hint, self._taken(on, boat, like)) if part)
                self.complain(self._column(fault), _in_columns(fault.what), _in_columns(hint))

    def _column(self, fault: BoatFault) -> str:
        """The cell to look at first: the field's own where it says something, else one that the verdict hangs on."""
        columns = [_column_of_field(name) for name in (fault.field, *fault.rests_on)]
        return next((column for column in columns if column in self.texts), "like")

    def _taken(self, fields: tuple[str, ...], boat: Boat, like: Boat) -> str:
        """Which of the values that a verdict hangs on the row does not say itself, and where they come from."""
        taken = [name for name in fields if _column_of_field(name) not in self.texts]
        if not taken:
            return ""
        values = {**boat.model_dump(), **boat.supply.model_dump()}
        said = [_SAID[name].format(values[name]) for name in taken]
        own = [f"'{column}'" for column in map(_column_of_field, taken) if column in COLUMNS]
        other = f"; fill in {' and '.join(own)} if your boat differs" if own else ""
        return f"taken from '{like.id}', the boat under 'like': {', '.join(said)}{other}"


#: How a value is told that a row does not say itself.
_SAID = {
    "display": "the display {}", "transducer": "the transducer {}", "hull": "the {} hull", "material": "a hull of {}",
    "battery": "the {} battery", "nominal_v": "its {} V", "contact_ohm": "contacts of {:g} ohm", "fuse_a": "the fuse of {:g} A",
    "deadrise_deg": "a deadrise of {:g} deg", "element_tilt_deg": "an element tilt of {:g} deg",
}  # fmt: skip


def _cell_fault(column: str, value: Any) -> tuple[str, str] | None:
    """What keeps a cell from being read at all, without a word of it."""
    if column not in COLUMNS:
        return "is no column of a fleet", f"known: {', '.join(COLUMNS)}"
    if value is None or (
        column == "waters" and isinstance(value, list) and all(isinstance(v, str) for v in value)
    ):
        return None
    if not isinstance(value, str):
        return "is not text", "put it in quotes, with its unit"
    if any(sign in value.strip() for sign in "\t\n\r"):
        return "holds a line break or a tab", "write it in one line"
    text = plain(value)
    if misread(value):
        return (
            "is UTF-8 text that was read in another encoding, two signs for one letter",
            "open the list in the spreadsheet as UTF-8, look at the names, and save it as 'CSV UTF-8'",
        )
    if found := next(iter(forbidden(text)), None):
        at, what, hint = found
        return f"{what} as sign {at + 1}", hint
    if at := next((n for n, sign in enumerate(text, 1) if sign > "~" and sign not in printable()), 0):
        return "holds a sign that the fonts lack", f"write sign {at} in Latin, Greek or Cyrillic letters"
    if column in PERSONAL and len(text) > _LONGEST:
        return f"is longer than {_LONGEST} characters", "shorten it for the page"
    return None


def _field(column: str) -> str:
    return QUANTITIES[column][0] if column in QUANTITIES else column


def _column_of_field(name: str) -> str:
    """The column that says a field of a boat; for a field without one, its own name."""
    return _COLUMN_OF.get(name, "fuse" if name == "contact_ohm" else name)


def _in_columns(text: str) -> str:
    """A message of the rules of boats with the list's names for the fields."""
    return re.sub(r"'(\w+)'", lambda match: f"'{_COLUMN_OF.get(match[1], match[1])}'", text)
