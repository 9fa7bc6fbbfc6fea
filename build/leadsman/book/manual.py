"""The handbook before layout: its parts in order, with everything that each part prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.book.cards import chosen_entries
from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.views import EntryView, view_entry
from leadsman.compute.registry import Formula
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.edition import Edition
from leadsman.content.model.reference import Area, Caution
from leadsman.content.rules import Waived


@dataclass(frozen=True)
class AreaPart:
    """The conditions of one area."""

    id: str
    area: Area
    entries: tuple[EntryView, ...]


@dataclass(frozen=True)
class MessageLine:
    """One on-screen message and the entry that it leads to."""

    family: str
    text: str
    meaning: str
    entry: EntryView


@dataclass(frozen=True)
class Manual:
    """Everything that a handbook prints."""

    edition: Edition
    areas: tuple[AreaPart, ...]
    tables: Mapping[str, ComputedTable]
    formulas: tuple[Formula, ...]
    messages: tuple[MessageLine, ...]
    general_cautions: tuple[tuple[str, Caution], ...]
    waived: tuple[Waived, ...]

    @property
    def entries(self) -> list[EntryView]:
        """All entries in reading order."""
        return [view for area in self.areas for view in area.entries]


def build_manual(edition: Edition, catalogue: Catalogue, waived: Sequence[Waived] = ()) -> Manual:
    """Gather what a handbook edition prints."""
    views = [view_entry(Decision(entry, catalogue)) for entry in chosen_entries(edition, catalogue)]
    areas = tuple(
        AreaPart(name, area, found)
        for name, area in catalogue.areas.items()
        if (found := tuple(view for view in views if view.entry.area == name))
    )
    names = edition.tables or list(catalogue.tables)
    tables = {name: compute_table(catalogue.tables[name], catalogue, edition.units) for name in names}
    formulas = {table.formula.name: table.formula for table in tables.values()}
    order = ("DANGER", "WARNING", "CAUTION", "NOTICE")
    cautions = sorted(
        ((name, c) for name, c in catalogue.cautions.items() if c.general),
        key=lambda item: order.index(item[1].signal),
    )
    return Manual(edition, areas, tables, tuple(formulas[name] for name in sorted(formulas)),
                  tuple(_messages(views, catalogue)), tuple(cautions), tuple(waived))  # fmt: skip


def _messages(views: Sequence[EntryView], catalogue: Catalogue) -> list[MessageLine]:
    lines = []
    for family in catalogue.families.values():
        for message_id, message in family.messages.items():
            for view in views:
                if message_id in view.entry.condition.messages.get(family.id, ()):
                    lines.append(MessageLine(str(family.name), str(message.text), str(message.meaning), view))
    return lines
