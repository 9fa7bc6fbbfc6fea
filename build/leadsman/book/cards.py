"""A deck of cards before layout: the common cards, then one card for each condition, as blocks in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Any

from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.packing import Block, NamedCaution
from leadsman.book.pins import pin_tables
from leadsman.book.swap_card import swap_card
from leadsman.book.views import EntryView, view_entry
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.hazards import gravest_first
from leadsman.content.model.edition import Edition
from leadsman.content.model.fault import SIGNS, FaultEntry, Sign
from leadsman.content.model.reference import SIGNALS
from leadsman.errors import OutputError

#: The headings of the quick-find index by what is seen.
SIGN_HEADINGS = {
    "power": "Power",
    "message": "Messages",
    "gone": "Depth number gone",
    "wrong": "Depth number wrong",
    "frozen": "Depth number stands still",
    "number": "Depth number",
    "picture": "Picture",
    "motion": "Motion",
    "water": "Water and place",
    "reading": "Other readings",
    "fine": "Nothing wrong yet",
}
assert tuple(SIGN_HEADINGS) == SIGNS
INDEX_TITLE = "Index, effective cards"
#: The card that stands before the card of signs.
FIRST_CODE = "F"
#: Lines of a list that stand together on a face at the most.
_LINES_TOGETHER = 3


@dataclass(frozen=True)
class Card:
    """One card: what it is called, and its blocks. Without backs its blocks fill every face in turn."""

    id: str
    code: str
    title: str
    area: int
    fronts: tuple[Block, ...]
    backs: tuple[Block, ...] = ()
    view: EntryView | None = None

    @property
    def blocks(self) -> tuple[Block, ...]:
        """All blocks."""
        return (*self.fronts, *self.backs)


@dataclass(frozen=True)
class IndexLine:
    """A condition in the index, whether it has a card or stands in the handbook only."""

    entry: FaultEntry
    card: Card | None

    @property
    def signs(self) -> list[Sign]:
        """The signs that the card of signs prints; the handbook prints them all."""
        return self.entry.condition.signs[: 3 if self.card else 1]


@dataclass(frozen=True)
class Deck:
    """The cards of an edition in their order."""

    edition: Edition
    cards: tuple[Card, ...]
    tables: Mapping[str, ComputedTable]

    @property
    def cautions(self) -> dict[str, NamedCaution]:
        """Every caution that a block needs, by name."""
        return {
            name: (name, caution)
            for card in self.cards
            for block in card.blocks
            for name, caution in block.cautions
        }


def chosen_entries(edition: Edition, catalogue: Catalogue) -> list[FaultEntry]:
    """The edition's entries: as listed, else all by area and number, less those of the handbook only."""
    if edition.entries:
        return [catalogue.faults[name] for name in edition.entries]
    left_out = {off.entry for off in edition.handbook_only}
    return [entry for entry in _by_code(catalogue) if entry.id not in left_out]


def _by_code(catalogue: Catalogue) -> list[FaultEntry]:
    areas = list(catalogue.areas)
    return sorted(catalogue.faults.values(), key=lambda e: (areas.index(e.area), int(e.code[1:])))


def build_deck(edition: Edition, catalogue: Catalogue) -> Deck:
    """The cards of a deck: index, quick find, use and cautions, menus, then one card for each condition."""
    entries = chosen_entries(edition, catalogue)
    wanted = dict.fromkeys([*(entry.card_table for entry in entries if entry.card_table), *edition.tables])
    tables = {name: compute_table(catalogue.tables[name], catalogue, edition.units) for name in wanted}
    areas = list(catalogue.areas)
    views = [view_entry(Decision(entry, catalogue)) for entry in entries]
    cards = [_entry_card(view, areas.index(view.entry.area), tables) for view in views]
    by_entry = {view.entry.id: card for view, card in zip(views, cards, strict=True)}
    lines = [IndexLine(entry, by_entry.get(entry.id)) for entry in _by_code(catalogue)]
    first = [_first_card(catalogue)] if catalogue.hazards else []
    common = [*first, _find_card(lines, catalogue), _use_card(edition, catalogue)]
    if tasks := {task for view in views for task in view.menu_tasks}:
        common.append(_menu_card(catalogue, tasks))
    if any(check.swap for check in catalogue.checks.values()):
        common.append(_swap_card(catalogue, edition.units))
    if edition.tables:
        common.append(_table_card([tables[name] for name in edition.tables], catalogue))
    index = _index_card(edition, [*common, *cards], lines, catalogue)
    return Deck(edition, (index, *common, *cards), tables)


def _index_card(
    edition: Edition, cards: Sequence[Card], lines: Sequence[IndexLine], catalogue: Catalogue
) -> Card:
    """The list of effective cards, then what stands in the handbook only, by area."""
    blocks = [Block("index-lead", "index_lead", edition)]
    rows = [("index", "0", INDEX_TITLE), *((card.id, card.code, card.title) for card in cards)]
    blocks += [
        Block(f"effective-{number}", "effective", part) for number, part in enumerate(_pieces(rows, 12), 1)
    ]
    for name, area in catalogue.areas.items():
        group = [line for line in lines if line.entry.area == name and line.card is None]
        if group:
            data = {"area": area, "lines": group}
            blocks.append(Block(f"in-handbook-{area.letter.lower()}", "in_handbook", data))
    return Card("index", "0", INDEX_TITLE, len(catalogue.areas), tuple(blocks))


def _first_card(catalogue: Catalogue) -> Card:
    """What comes before every search: the dangers that a caller's first words can tell of, the gravest first."""
    blocks = tuple(Block(f"hazard-{name}", "hazard", hazard) for name, hazard in gravest_first(catalogue))
    return Card("first", FIRST_CODE, "First of all", len(catalogue.areas), blocks)


def _find_card(lines: Sequence[IndexLine], catalogue: Catalogue) -> Card:
    """By what is seen, in the owner's words; and by message, word for word, family by family."""
    blocks: list[Block] = []
    for sign, heading in SIGN_HEADINGS.items():
        found = [
            (str(s.words), line)
            for line in lines
            for s in line.signs
            if sign in line.entry.condition.groups(s)
        ]
        blocks += _listed(f"find-{sign}", heading, sorted(found, key=lambda row: row[0].casefold()))
    for family in catalogue.families.values():
        found = [
            (str(message.text), line)
            for message_id, message in family.messages.items()
            for line in lines
            if message_id in line.entry.condition.messages.get(family.id, ())
        ]
        blocks += _listed(
            f"messages-{family.id}", f"{family.name} says", sorted(found, key=lambda row: row[0].casefold())
        )
    return Card("find", "Q", "Signs", len(catalogue.areas), tuple(blocks))


def _listed(name: str, heading: str, rows: Sequence[tuple[str, IndexLine]]) -> Iterator[Block]:
    """A list in pieces of even length that a face can hold."""
    for number, part in enumerate(_pieces(rows), 1):
        yield Block(f"{name}-{number}", "find", {"group": heading, "first": number == 1, "rows": part})


def _pieces(rows: Sequence[Any], most: int = _LINES_TOGETHER) -> Iterator[Sequence[Any]]:
    """Rows in pieces of even length that fill a face well."""
    pieces = -(-len(rows) // most)
    for number in range(pieces):
        yield rows[number * len(rows) // pieces : (number + 1) * len(rows) // pieces]


def _use_card(edition: Edition, catalogue: Catalogue) -> Card:
    """How to use the deck, then the cautions that hold on every card."""
    blocks = [
        Block(f"use-{number}", "front", {"first": number == 0, "line": line})
        for number, line in enumerate(edition.front)
    ]
    # NOTICE is for property: it stands before its step only.
    for signal in SIGNALS[:-1]:
        found = [c for c in catalogue.cautions.values() if c.general and c.signal == signal]
        if found:
            blocks.append(Block(f"general-{signal.lower()}", "general", (signal, found)))
    return Card("use", "U", "How to use the deck, and what always holds", len(catalogue.areas), tuple(blocks))


def _menu_card(catalogue: Catalogue, tasks: Set[str]) -> Card:
    """Each family's own path to the tasks, under the number by which the steps name them."""
    blocks = []
    for family in catalogue.families.values():
        rows = [
            (number, task, [str(step) for step in family.menus[name]])
            for number, (name, task) in enumerate(catalogue.records["tasks"].items(), 1)
            if name in family.menus and name in tasks
        ]
        for piece, part in enumerate(_pieces(rows)):
            data = {"group": family.name, "first": piece == 0, "rows": part}
            blocks.append(Block(f"menus-{family.id}-{piece + 1}", "menus", data))
    return Card("menus", "M", "Menus", len(catalogue.areas), tuple(blocks))


def _swap_card(catalogue: Catalogue, units: str) -> Card:
    """What the answers of the swap tests mean, then what a meter reads at each transducer's plug."""
    found = swap_card(catalogue)
    blocks = [Block("swap-lead", "swap_lead", None)]
    blocks += [Block(f"swap-{test.check}", "swap_test", test) for test in found.swaps]
    told = [row for row in found.combinations if not row.contradiction]
    titles = {test.check: test.title for test in found.swaps}
    if told:
        tests = [titles[name] for name in found.combined]
        blocks.append(Block("swap-together", "swap_together", {"tests": tests, "rows": told}))
    if catalogue.families:
        blocks.append(Block("supply-windows", "supply_windows", list(catalogue.families.values())))
        # What a version must be to know a transducer: card C11 asks it before any part is condemned.
        blocks.append(Block("transducer-lists", "transducer_lists", list(catalogue.families.values())))
    # The insulation of every line is the same; it stands once, above the tables.
    found_pins = pin_tables(catalogue, units)
    shield = " or ".join(
        dict.fromkeys(p.limits for _, lines in found_pins for p in lines if p.what == "shield")
    )
    tables = [(t, [line for line in lines if line.what != "shield"]) for t, lines in found_pins]
    blocks += [
        Block(
            f"pins-{t.id}", "pins", {"transducer": t, "lines": lines, "first": number == 0, "shield": shield}
        )
        for number, (t, lines) in enumerate((t, lines) for t, lines in tables if lines)
    ]
    return Card("swaps", "X", "Swaps, limits, pins", len(catalogue.areas), tuple(blocks))


def _table_card(tables: Sequence[ComputedTable], catalogue: Catalogue) -> Card:
    """Tables that belong to no one condition: limits for a boat that the cards do not name."""
    blocks = []
    for table in tables:
        name = f"any-{table.table.id}"
        blocks.append(Block(name, "table", table))
        blocks.append(Block(f"{name}-notes", "table_notes", table, after=name))
    return Card("any-boat", "L", "Limits for any boat", len(catalogue.areas), tuple(blocks))


def _entry_card(view: EntryView, area: int, tables: Mapping[str, ComputedTable]) -> Card:
    entry = view.entry
    fronts = [Block(f"{entry.id}-lead", "lead", view)]
    if view.hazards:
        fronts.append(Block(f"{entry.id}-first", "first", view.hazards))
    fronts += [Block(f"{entry.id}-step-{step.id}", "step", step, step.cautions) for step in view.steps]
    # What to bring and how to tell it from the likes is read before setting out: on the back of the first sheet.
    backs = [Block(f"{entry.id}-before", "before", view, serves=frozenset({fronts[0].id}))]
    if entry.card_table is not None:
        table = tables[entry.card_table]
        users = _steps_that_use(view, entry.card_table)
        backs.append(Block(f"{entry.id}-table", "table", table, serves=users))
        backs.append(
            Block(f"{entry.id}-table-notes", "table_notes", table, serves=users, after=f"{entry.id}-table")
        )
    if entry.card_picture is not None:
        users = _steps_that_use(view, entry.card_table) if entry.card_table else frozenset()
        backs.append(Block(f"{entry.id}-picture", "picture", entry.card_picture, serves=users))
    backs += [
        Block(f"{entry.id}-fix-{f.id}", "fix", f, f.cautions, _steps_to(view, f.id)) for f in view.fixes
    ]
    ends = [
        Block(f"{entry.id}-end-{e.id}", "hand_over", e, e.cautions, _steps_to(view, e.id))
        for e in view.hand_overs
    ]
    # The last end closes the card, wherever it is named first.
    last = frozenset({fronts[-1].id})
    backs += [*ends[:-1], *(Block(b.id, b.kind, b.data, b.cautions, last) for b in ends[-1:])]
    return Card(entry.id, entry.code, str(entry.title), area, tuple(fronts), tuple(backs), view)


def _steps_to(view: EntryView, end: str) -> frozenset[str]:
    """The blocks of the steps that lead to an end; of one that only another end leads to, every step's."""
    found = {f"{view.entry.id}-step-{s.id}" for s in view.steps if any(a.target.id == end for a in s.answers)}
    return frozenset(found)


def _steps_that_use(view: EntryView, table: str) -> frozenset[str]:
    """The blocks of the steps whose text names the table; every step's where none does."""

    def names(texts: Sequence[Any]) -> bool:
        return any(r.kind == "table" and r.what == table for text in texts for r in prose.references(text))

    found = [s for s in view.steps if names([s.check.body.do, s.check.body.see, *s.check.body.how])]
    return frozenset(f"{view.entry.id}-step-{step.id}" for step in found)


def check_sheets(edition: Edition, faces: Mapping[str, int]) -> None:
    """Refuse a deck of more sheets than its ring takes.

    Raises
    ------
    OutputError
        Naming the thickest cards.
    """
    sheets = {code: -(-count // 2) for code, count in faces.items()}
    total = sum(sheets.values())
    if edition.most_sheets is not None and total > edition.most_sheets:
        thick = sorted(sheets.items(), key=lambda item: -item[1])[:5]
        raise OutputError(
            f"the deck '{edition.id}' has {total} sheets, {edition.most_sheets} are wanted at the most; "
            f"shorten a card or move one to 'handbook_only' (thickest: {', '.join(f'{c} {n}' for c, n in thick)})"
        )
