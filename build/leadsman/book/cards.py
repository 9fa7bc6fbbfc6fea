"""A deck of cards before layout: each card's blocks in order, and how blocks are packed into faces.

A block is never split: a step stands with its cautions and its answers, a fix with its proof, a table
whole. So a card is split between faces only where a reader may stop.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.views import EntryView, view_entry
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.edition import Edition
from leadsman.content.model.fault import FaultEntry
from leadsman.errors import OutputError


@dataclass(frozen=True)
class Block:
    """Something that stands whole on a face: its kind (a template macro), its data, and its name."""

    id: str
    kind: str
    data: Any
    new_face: bool = False


@dataclass(frozen=True)
class Card:
    """One card: what it is called, and its blocks."""

    id: str
    code: str
    title: str
    area: int
    blocks: tuple[Block, ...]
    view: EntryView | None = None


@dataclass
class Face:
    """One face of a card."""

    card: Card
    number: int
    blocks: list[Block] = field(default_factory=list)
    height_mm: float = 0.0

    @property
    def is_front(self) -> bool:
        return self.number % 2 == 1


@dataclass(frozen=True)
class Deck:
    """The cards of an edition in their order."""

    edition: Edition
    cards: tuple[Card, ...]
    tables: Mapping[str, ComputedTable]


def chosen_entries(edition: Edition, catalogue: Catalogue) -> list[FaultEntry]:
    """The edition's entries: as listed, else all by area and number."""
    if edition.entries:
        return [catalogue.faults[name] for name in edition.entries]
    areas = list(catalogue.areas)
    return sorted(catalogue.faults.values(), key=lambda e: (areas.index(e.area), int(e.code[1:])))


def build_deck(edition: Edition, catalogue: Catalogue) -> Deck:
    """The cards of a deck: index, general cautions, then one card for each condition."""
    entries = chosen_entries(edition, catalogue)
    wanted = dict.fromkeys(entry.card_table for entry in entries if entry.card_table)
    tables = {name: compute_table(catalogue.tables[name], catalogue, edition.units) for name in wanted}
    areas = list(catalogue.areas)
    cards = [
        _entry_card(view_entry(Decision(entry, catalogue)), areas.index(entry.area), tables, catalogue)
        for entry in entries
    ]
    return Deck(edition, (_index_card(edition, cards, catalogue), *cards), tables)


def _index_card(edition: Edition, cards: Sequence[Card], catalogue: Catalogue) -> Card:
    blocks = [Block("index-lead", "index_lead", edition)]
    letters = dict.fromkeys(card.code[0] for card in cards)
    for letter in letters:
        area = next(a for a in catalogue.areas.values() if a.letter == letter)
        group = [card for card in cards if card.code[0] == letter]
        blocks.append(Block(f"index-{letter.lower()}", "index_area", {"area": area, "cards": group}))
    blocks += [
        Block(f"index-use-{number}", "front", {"first": number == 0, "line": line}, new_face=number == 0)
        for number, line in enumerate(edition.front)
    ]
    for family in catalogue.families.values():
        rows = [
            (message.text, card)
            for message_id, message in family.messages.items()
            for card in cards
            if card.view is not None and message_id in card.view.entry.condition.messages.get(family.id, ())
        ]
        if rows:
            blocks.append(Block(f"messages-{family.id}", "messages", {"family": family, "rows": rows}))
    blocks.append(Block("index-finish", "finish", edition))
    return Card("index", "0", "Index and list of effective cards", len(catalogue.areas), tuple(blocks))


def _entry_card(
    view: EntryView, area: int, tables: Mapping[str, ComputedTable], catalogue: Catalogue
) -> Card:
    entry = view.entry
    blocks = [Block(f"{entry.id}-lead", "lead", view)]
    blocks += [Block(f"{entry.id}-step-{step.id}", "step", step) for step in view.steps]
    blocks.append(Block(f"{entry.id}-turn-to-fixes", "fixes_head", view, new_face=True))
    blocks += [Block(f"{entry.id}-fix-{fix.id}", "fix", fix) for fix in view.fixes]
    blocks += [Block(f"{entry.id}-end-{end.id}", "hand_over", end) for end in view.hand_overs]
    if view.menu_tasks:
        menus = [
            (catalogue.records["tasks"][task], [(f, f.menus.get(task)) for f in catalogue.families.values()])
            for task in view.menu_tasks
        ]
        blocks += [Block(f"{entry.id}-menu-{i}", "menu", {"first": i == 0, "task": t, "paths": p})
                   for i, (t, p) in enumerate(menus)]  # fmt: skip
    if entry.card_table is not None:
        blocks.append(Block(f"{entry.id}-table", "table", tables[entry.card_table]))
        blocks.append(Block(f"{entry.id}-table-notes", "table_notes", tables[entry.card_table]))
    blocks.append(Block(f"{entry.id}-finish", "finish", view))
    return Card(entry.id, entry.code, str(entry.title), area, tuple(blocks), view)


def pack(card: Card, heights_mm: Mapping[str, float], room_mm: float) -> list[Face]:
    """Put a card's blocks onto faces in order; a face is begun where the next block no longer fits.

    Raises
    ------
    OutputError
        When a single block is taller than a face: the message says which, and by how much.
    """
    faces = [Face(card, 1)]
    for block in card.blocks:
        height = heights_mm[block.id]
        if height > room_mm:
            raise OutputError(
                f"card {card.code}: the block '{block.id}' is {height - room_mm:.1f} mm taller than a face; "
                "shorten its text, or split the step"
            )
        face = faces[-1]
        if face.blocks and (
            face.height_mm + height > room_mm or (block.new_face and face.height_mm > 0.6 * room_mm)
        ):
            face = Face(card, face.number + 1)
            faces.append(face)
        face.blocks.append(block)
        face.height_mm += height
    return faces
