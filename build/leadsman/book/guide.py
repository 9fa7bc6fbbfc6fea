"""An owner's guide before layout, in two parts: what every guide of one shape says, and what only one boat has.

The **outline** is the same for all boats with the same display, the same abilities and the same number of
bands and waters: most pages of a fleet are printed from few outlines. The **values** are the short texts
that differ: owner, boat, and the boat's own numbers. An outline names a place for each value and holds
none, so that no owner's name can get into what is shared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from leadsman.book.chosen import chosen_entries
from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.guide_conditions import GuideCondition, guide_conditions, scope_of
from leadsman.book.guide_numbers import BoatNumbers, as_slots, boat_numbers
from leadsman.book.guide_pages import GuidePages, guide_pages
from leadsman.book.guide_subject import Subject
from leadsman.book.index import by_message
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.equipment import Family
from leadsman.content.model.fault import SIGNS
from leadsman.content.model.guide_words import GuideWords
from leadsman.content.model.phrases import filled
from leadsman.content.model.table import Table
from leadsman.units import Direction, convert, quantity_text, round_to


@dataclass(frozen=True)
class NumberPlace:
    """A line of the boat's page, without its number."""

    id: str
    label: str
    says: Prose | None


@dataclass(frozen=True)
class GridPlace:
    """A table of the boat's page, without its heads and cells: only how many there are."""

    id: str
    caption: str
    head: str
    columns: int
    rows: int


@dataclass(frozen=True)
class Shape:
    """All that decides what an outline says. Guides of one shape share their outline."""

    edition: str
    units: str
    family: str | None
    can: frozenset[str]
    tasks: frozenset[str]
    personal: tuple[str, ...]
    numbers: tuple[NumberPlace, ...]
    grids: tuple[GridPlace, ...]
    nominal_v: int | None = None
    """Volts of the boat's system, whose limits alone are printed; without a boat those of both."""
    thin_lead: bool = False
    """Whether the boat's power lead is too thin for its display, however sound."""
    drawn: tuple[str, str, str] | None = None
    """Hull, housing of the transducer and drive of the boat, as its picture needs them."""


@dataclass(frozen=True)
class MessagePlace:
    """A message of the display and the condition that it leads to."""

    family: str
    text: str
    meaning: Prose
    entry: str
    title: str


@dataclass(frozen=True)
class FoundBy:
    """Conditions under one way of recognising them, each with the owner's words."""

    by: str
    lines: tuple[tuple[str, str], ...]
    """The words, and the entry that they lead to."""


@dataclass(frozen=True)
class MenuPlace:
    """Something done in a menu, with its number in every list of paths and each family's path."""

    number: int
    name: str
    paths: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Outline:
    """What every guide of one shape says."""

    edition: GuideEdition
    shape: Shape
    family: Family | None
    conditions: tuple[GuideCondition, ...]
    placed: GuidePages
    messages: tuple[MessagePlace, ...]
    found_by: tuple[FoundBy, ...]
    tables: Mapping[str, ComputedTable]
    menus: tuple[MenuPlace, ...]
    window_tables: tuple[str, ...]
    """Tables whose place the boat's own depths take."""


@dataclass(frozen=True)
class GuideValues:
    """What only one guide has: the texts by the name of their place, and whose they are by an id alone."""

    id: str
    shape: Shape
    values: Mapping[str, str] = field(repr=False)


#: So many of its signs stand in the list of what is seen; its page has all of them.
_MOST_SIGNS = 2
#: The personal texts that a guide can carry, in the order in which they are printed.
PERSONAL = ("owner", "boat", "display-serial", "transducer-serial", "element", "lead", "face")


def guide_values(
    name: str,
    subject: Subject,
    edition: GuideEdition,
    catalogue: Catalogue,
    units: str,
    numbers: BoatNumbers | None = None,
) -> GuideValues:
    """The values of one guide and the shape that they fit; numbers are computed unless they are given."""
    personal = {
        "owner": subject.owner,
        "boat": subject.boat_name,
        "display-serial": subject.display_serial,
        "transducer-serial": subject.transducer_serial,
        **_equipment(subject, units, catalogue.phrases(edition.language).guide),
    }
    personal = {key: " ".join(text.split()) for key, text in personal.items() if text.strip()}
    if numbers is None and subject.boat is not None:
        numbers = boat_numbers(edition, subject.boat, catalogue, units)
    numbers = numbers or BoatNumbers((), ())
    shape = Shape(
        edition.id,
        units,
        subject.family.id if subject.family else None,
        subject.can(catalogue),
        subject.tasks(catalogue),
        tuple(key for key in (*PERSONAL, "transducer") if key in personal),
        tuple(NumberPlace(line.id, line.label, line.says) for line in numbers.lines),
        tuple(GridPlace(g.id, g.caption, g.head, len(g.columns), len(g.rows)) for g in numbers.grids),
        subject.boat.supply.nominal_v if subject.boat else None,
        numbers.thin_lead,
        _drawn(subject),
    )
    return GuideValues(name, shape, {**personal, **as_slots(numbers)})


def _drawn(subject: Subject) -> tuple[str, str, str] | None:
    boat, transducer = subject.boat, subject.transducer
    return (boat.hull, transducer.housing, boat.drive) if boat and transducer else None


def _equipment(subject: Subject, units: str, words: GuideWords) -> dict[str, str]:
    """What is fitted, in short texts."""
    boat, transducer = subject.boat, subject.transducer
    if boat is None or transducer is None:
        return {}
    lead = _measured(boat.supply.lead_length_m, units, "nearest")
    tilt = boat.element_tilt_deg
    element = filled(words.tilted, angle=f"{tilt:g}°") if tilt else str(words.level)
    return {
        "transducer": str(transducer.name),
        "element": f"{element}, {words.housings[transducer.housing]}",
        "lead": filled(
            words.lead_is,
            length=lead,
            conductor=boat.supply.conductor.replace("mm2", "mm²"),
            fuse=f"{boat.supply.fuse_a:g} A",
        ),
        # It is added to the reading: told deeper than it is, it would tell more water than there is.
        "face": _measured(boat.face_immersion_m, units, "down"),
    }


def _measured(length_m: float, units: str, direction: Direction) -> str:
    """A length of the boat as a tape read it: to a centimetre, or to a twentieth of a foot, about half an inch."""
    unit, step = ("m", "0.01") if units == "metric" else ("ft", "0.05")
    return quantity_text(round_to(convert(length_m, "m", unit), direction, step=step).normalize(), unit)


def outline_of(shape: Shape, edition: GuideEdition, catalogue: Catalogue) -> Outline:
    """Gather what guides of a shape say."""
    family = catalogue.families[shape.family] if shape.family else None
    window = edition.window
    own = (window.shallow, *window.deep) if window and shape.grids else ()
    tables = {} if shape.grids else {name: _table(name, family, catalogue) for name in edition.tables}
    printed = {
        name: compute_table(table, catalogue, shape.units)
        for name, table in tables.items()
        if table is not None
    }
    entries = chosen_entries(edition, catalogue)
    scope = scope_of(edition, Subject(family), catalogue, entries, (*own, *printed))
    fitting = frozenset(entry.id for entry in entries if set(entry.needs) <= shape.can)
    scope = replace(scope, entries=fitting, tasks=shape.tasks)
    conditions = guide_conditions(entries, scope, catalogue)
    # An entry that came to nothing must not be led to.
    kept = frozenset(c.entry.id for c in conditions)
    if kept != fitting:
        scope = replace(scope, entries=kept)
        conditions = guide_conditions(entries, scope, catalogue)
    families = [family] if family else list(catalogue.families.values())
    messages = tuple(
        MessagePlace(str(f.name), str(message.text), message.meaning, entry.id, str(entry.title))
        for f, shown in by_message([c.entry for c in conditions], families)
        for message, entry in shown
    )
    placed = guide_pages(edition, conditions, shape.drawn[1] if shape.drawn else None, shape.tasks)
    return Outline(edition, shape, family, conditions, placed, messages, tuple(_found_by(tuple(p.condition for p in placed.pages))), printed,
                   tuple(_menus(shape, families, catalogue)), own)  # fmt: skip


def _found_by(conditions: tuple[GuideCondition, ...]) -> list[FoundBy]:
    """The quick-find lines in the owner's words; a condition without any stands by its title."""
    groups: dict[str, list[tuple[str, str]]] = {by: [] for by in SIGNS}
    rest = []
    for condition in conditions:
        seen = condition.entry.condition
        signs = seen.signs[:_MOST_SIGNS]
        for sign, group in ((s, group) for s in signs for group in seen.groups(s)):
            groups[group].append((str(sign.words), condition.entry.id))
        if not condition.entry.condition.signs:
            rest.append((str(condition.entry.title), condition.entry.id))
    found = [FoundBy(by, tuple(lines)) for by, lines in groups.items() if lines]
    return [*found, FoundBy("other", tuple(rest))] if rest else found


def _table(name: str, family: Family | None, catalogue: Catalogue) -> Table | None:
    """A table narrowed to what a family can use; none where it holds nothing of that."""
    table: Table = catalogue.tables[name]
    if family is None:
        return table
    changes = {}
    for side in ("rows", "columns"):
        axis = getattr(table, side)
        if axis is not None and axis.each in ("band", "transducer", "element"):
            only = [t for t in axis.only or catalogue.transducers if t in family.transducers]
            if not only:
                return None
            changes[side] = axis.model_copy(update={"only": only})
    return table.model_copy(update=changes)


def _menus(shape: Shape, families: list[Family], catalogue: Catalogue) -> list[MenuPlace]:
    return [
        MenuPlace(
            number,
            str(task.name),
            tuple((str(f.name), tuple(str(w) for w in f.menus[name])) for f in families if name in f.menus),
        )
        for number, (name, task) in enumerate(catalogue.records["tasks"].items(), 1)
        if name in shape.tasks
    ]
