"""The finder ring: what comes before every search, then which sheet to take, and what serves every sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from leadsman.book.chosen import by_code
from leadsman.book.index import by_message, by_sign
from leadsman.book.packing import Block
from leadsman.book.rungs import GRAVE
from leadsman.book.swap_card import swap_card
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.hazards import gravest_first
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import DeckEdition, FinderEdition
from leadsman.content.model.fault import FaultEntry
from leadsman.content.model.phrases import filled
from leadsman.content.model.reference import SIGNALS

#: The codes of the cards. A condition's sheet names the first and the menus by them.
FIRST, SIGNS, MENUS = "F", "Q", "M"
#: So many signs of a condition stand on the ring; the handbook prints them all.
_SIGNS = 3
#: Lines of a list that stand together on a face at the most.
_TOGETHER = 2


@dataclass(frozen=True)
class FinderCard:
    """A card of the ring: its code, its title, and its blocks in order."""

    id: str
    code: str
    title: str
    blocks: tuple[Block, ...]


def build_finder(edition: FinderEdition, catalogue: Catalogue) -> tuple[FinderCard, ...]:
    """The cards of the ring in their order."""
    words = catalogue.phrases(edition.language).finder
    first = [Block(f"hazard-{name}", "hazard", hazard) for name, hazard in gravest_first(catalogue)]
    served = [*_menus(catalogue), *_swaps(catalogue)]
    cards = [
        FinderCard("first", FIRST, str(words.first), (*first, *_hazards(catalogue))),
        FinderCard("signs", SIGNS, str(words.signs), tuple(_signs(edition, catalogue))),
    ]
    # The list of what hangs on the ring closes it: what comes first of all is the first thing in the hand.
    rows = [*((card.id, card.code, card.title) for card in cards), ("menus", MENUS, str(words.menus))]
    served.append(Block("index-list", "effective", rows))
    if sets := list(_sets(catalogue)):
        served.append(Block("index-sets", "sets", sets))
    return (*cards, FinderCard("menus", MENUS, str(words.menus), tuple(served)))


def _sets(catalogue: Catalogue) -> Iterator[tuple[str, str]]:
    """The sets in which the sheets hang: name, and the letters of the codes."""
    for edition in catalogue.editions.values():
        # The small deck hangs on one ring of its own.
        for ring in edition.sets if isinstance(edition, DeckEdition) and len(edition.sets) > 1 else ():
            codes = [catalogue.faults[name].code for name in ring.only]
            yield (
                str(ring.name),
                ", ".join(codes or [str(catalogue.areas[area].letter) for area in ring.areas]),
            )


def _signs(edition: FinderEdition, catalogue: Catalogue) -> Iterator[Block]:
    """By what is seen, in the caller's words; and by message, word for word, family by family."""
    phrases = catalogue.phrases(edition.language)
    entries = by_code(catalogue)
    for sign, heading, rows in by_sign(entries, phrases, _SIGNS):
        yield from _listed(f"signs-{sign}", heading, [(words, _where(words, entry)) for words, entry in rows])
    for family, shown in by_message(entries, catalogue.families.values()):
        heading = filled(phrases.finder.messages, name=family.name)
        lines = [(str(message.text), entry.code) for message, entry in shown]
        yield from _listed(f"messages-{family.id}", heading, lines, short=True)


def _where(words: str, entry: FaultEntry) -> str:
    """The card for somebody's words: the first one before it where they can tell of a danger."""
    return f"{FIRST}, {entry.code}" if entry.condition.danger(words) else entry.code


def _listed(name: str, group: str, rows: Sequence[tuple[str, str]], short: bool = False) -> Iterator[Block]:
    ordered = sorted(rows, key=lambda row: row[0].casefold())
    # Messages are short: two stand side by side, the list goes on in the next row.
    for number, part in enumerate(_pieces(ordered, 8 if short else _TOGETHER), 1):
        data = {"group": group, "first": number == 1, "rows": part, "short": short}
        yield Block(f"{name}-{number}", "lines", data)


def _pieces(rows: Sequence[Any], most: int = _TOGETHER) -> Iterator[Sequence[Any]]:
    """Rows in pieces of even length that fill a face well."""
    count = -(-len(rows) // most)
    for number in range(count):
        yield rows[number * len(rows) // count : (number + 1) * len(rows) // count]


def _hazards(catalogue: Catalogue) -> Iterator[Block]:
    """Every caution that a sheet names at its head, in full; those of the first card stand there already."""
    told = {name for hazard in catalogue.hazards.values() for name in hazard.cautions}
    for signal in SIGNALS:
        for name, caution in catalogue.cautions.items():
            if caution.signal == signal and name not in told and signal in GRAVE:
                yield Block(f"caution-{name}", "caution", caution)
    # What is for property holds on every sheet: a line each.
    for name, caution in catalogue.cautions.items():
        if caution.signal not in GRAVE and caution.general:
            yield Block(f"caution-{name}", "notices", [caution])


def _menus(catalogue: Catalogue) -> Iterator[Block]:
    """Each family's own path to the tasks that a step or a fix names, under the number by which it is named."""
    named = {task for entry in catalogue.faults.values() for task in _tasks(Decision(entry, catalogue))}
    for family in catalogue.families.values():
        # What most paths begin with is said once, at the head of the family.
        start = Counter(str(path[0]) for path in family.menus.values()).most_common(1)[0][0]
        rows = [
            (number, task, _after(start, [str(step) for step in family.menus[name]]))
            for number, (name, task) in enumerate(catalogue.records["tasks"].items(), 1)
            if name in family.menus and name in named
        ]
        for piece, part in enumerate(_pieces(rows), 1):
            data = {"group": str(family.name), "first": piece == 1, "rows": part, "start": start}
            yield Block(f"menus-{family.id}-{piece}", "menus", data)


def _after(start: str, path: list[str]) -> list[str]:
    """A path without the beginning that its family's paths share, which the reader sees as an ellipsis."""
    return ["\N{HORIZONTAL ELLIPSIS}", *path[1:]] if path[0] == start and len(path) > 1 else path


def _tasks(decision: Decision) -> Iterator[str]:
    texts: list[Prose] = [
        text for check in decision.checks.values() for text in (check.body.do, check.body.see)
    ]
    texts += [text for f in decision.entry.findings for text in f.instructions]
    yield from prose.named(texts, "menu")


def _swaps(catalogue: Catalogue) -> Iterator[Block]:
    """The supply limits of each family, then what the answers of the swap tests mean."""
    if catalogue.families:
        yield Block("supply", "supply", list(catalogue.families.values()))
    if not any(check.swap for check in catalogue.checks.values()):
        return
    found = swap_card(catalogue)
    yield Block("swap-rule", "swap_rule", None)
    for test in found.swaps:
        yield Block(f"swap-{test.check}", "swap_test", test)
    told = [row for row in found.combinations if not row.contradiction]
    titles = {test.check: test.title for test in found.swaps}
    labels = {m.answer: m.label for test in found.swaps for m in test.meanings}
    if told:
        data = {"tests": [titles[name] for name in found.combined], "rows": told, "labels": labels}
        yield Block("swap-together", "swap_together", data)
