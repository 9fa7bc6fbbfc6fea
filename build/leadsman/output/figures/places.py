"""Where each picture stands in the handbook: once, beside the entry that needs it most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.content.model.fault import FaultEntry
from leadsman.output.figures.figure import Figure


@dataclass(frozen=True)
class Places:
    """The pictures that stand in each entry, those that an entry only names, and those without an entry."""

    beside_entry: Mapping[str, Sequence[Figure]]
    named_by: Mapping[str, Sequence[Figure]]
    alone: Sequence[Figure]


def place(drawn: Sequence[Figure], entries: Sequence[FaultEntry]) -> Places:
    """Give each picture its place: the entry that has it on its card, else the first that it serves."""
    on_card = {entry.card_picture: entry.id for entry in reversed(entries) if entry.card_picture}
    printed = {entry.id for entry in entries}
    beside: dict[str, list[Figure]] = {}
    named: dict[str, list[Figure]] = {}
    alone = []
    for figure in drawn:
        served = [name for name in figure.serves if name in printed]
        home = next((name for card, name in on_card.items() if card == figure.id), None) or next(
            iter(served), None
        )
        if home is None:
            alone.append(figure)
            continue
        beside.setdefault(home, []).append(figure)
        for name in served:
            if name != home:
                named.setdefault(name, []).append(figure)
    return Places(beside, named, alone)
