"""The handbook before layout: its parts in order, with everything that each part prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from leadsman.book.chosen import chosen_entries
from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.coverage import Coverage, coverage
from leadsman.book.diagnosability import Diagnosability, diagnosability
from leadsman.book.index import by_message, by_sign
from leadsman.book.views import EntryView, by_severity, view_entry
from leadsman.compute.registry import Formula
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision, fill
from leadsman.content.hazards import gravest_first
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import HandbookEdition
from leadsman.content.model.fault import FaultEntry
from leadsman.content.model.reference import Area, Caution, Hazard
from leadsman.content.rules import Waived
from leadsman.errors import Problem


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
    entry: FaultEntry


@dataclass(frozen=True)
class MethodView:
    """A shared check in full, its parameters at their usual words, for the chapter of methods."""

    id: str
    title: str
    do: Prose
    see: Prose
    how: list[Prose]
    note: Prose | None
    minutes: float
    access: str
    tools: tuple[str, ...]
    tests: tuple[str, ...]
    cautions: tuple[tuple[str, Caution], ...]
    users: tuple[str, ...]
    """Codes of the entries that use it."""


@dataclass(frozen=True)
class Manual:
    """Everything that a handbook prints."""

    edition: HandbookEdition
    areas: tuple[AreaPart, ...]
    tables: Mapping[str, ComputedTable]
    formulas: tuple[Formula, ...]
    messages: tuple[MessageLine, ...]
    cautions: tuple[tuple[str, Caution], ...]
    """Every caution, in full once before the first condition; beside the steps stand their first words."""
    waived: tuple[Waived, ...]
    diagnosis: Diagnosability | None
    cover: Coverage | None
    methods: tuple[MethodView, ...]
    signs: tuple[tuple[str, tuple[tuple[str, FaultEntry], ...]], ...]
    """By what is seen: a heading, and the owner's words with the entry that each leads to."""
    hazards: tuple[tuple[str, Hazard], ...] = ()
    """What a caller's first words can tell of, the gravest first."""

    @property
    def entries(self) -> list[EntryView]:
        """All entries in reading order."""
        return [view for area in self.areas for view in area.entries]


def build_manual(
    edition: HandbookEdition,
    catalogue: Catalogue,
    waived: Sequence[Waived] = (),
    errors: Sequence[Problem] | None = None,
    *,
    reports: bool = True,
) -> Manual:
    """Gather what a handbook edition prints.

    ``waived`` and ``errors`` come from a verdict of the content. Without ``reports`` the two that look at every entry
    are left out, for a part that does not print them.
    """
    views = [view_entry(Decision(entry, catalogue)) for entry in chosen_entries(edition, catalogue)]
    areas = tuple(
        AreaPart(name, area, found)
        for name, area in catalogue.areas.items()
        if (found := tuple(view for view in views if view.entry.area == name))
    )
    given = edition.tables or sorted(
        catalogue.tables, key=lambda name: str(catalogue.tables[name].title).casefold()
    )
    names = dict.fromkeys(catalogue.table_in(name, edition.units) for name in given)
    entries = [view.entry for view in views]
    messages = tuple(
        MessageLine(str(family.name), str(message.text), entry)
        for family, shown in by_message(entries, catalogue.families.values())
        for message, entry in shown
    )
    signs = tuple(
        (heading, tuple(rows)) for _, heading, rows in by_sign(entries, catalogue.phrases(edition.language))
    )
    tables = {name: compute_table(catalogue.tables[name], catalogue, edition.units) for name in names}
    formulas = {table.formula.name: table.formula for table in tables.values()}
    return Manual(edition, areas, tables, tuple(formulas[name] for name in sorted(formulas)),
                  messages, by_severity(list(catalogue.cautions), catalogue), tuple(waived),
                  diagnosability(catalogue) if reports else None, coverage(catalogue, errors) if reports else None,
                  tuple(_methods(views, catalogue)), signs, gravest_first(catalogue))  # fmt: skip


def _methods(views: Sequence[EntryView], catalogue: Catalogue) -> Iterator[MethodView]:
    """The shared checks that the entries use, by title."""
    users: dict[str, list[str]] = {}
    for view in views:
        for step in view.steps:
            if step.check.shared is not None:
                users.setdefault(step.check.shared.id, []).append(view.entry.code)
    for name in sorted(users, key=lambda name: str(catalogue.checks[name].title).casefold()):
        shared = catalogue.checks[name]
        yield MethodView(
            id=name,
            title=str(shared.title),
            do=fill(shared.do, shared.parameters),
            see=fill(shared.see, shared.parameters),
            how=[fill(step, shared.parameters) for step in shared.how],
            note=fill(shared.note, shared.parameters) if shared.note else None,
            minutes=shared.minutes,
            access=str(catalogue.records["access"][shared.access].name),
            tools=tuple(str(catalogue.records["tools"][tool].name) for tool in shared.tools),
            tests=tuple(str(catalogue.records["components"][test].name) for test in shared.tests),
            cautions=by_severity(shared.cautions, catalogue),
            users=tuple(dict.fromkeys(users[name])),
        )
