"""What the rules over the whole book know of one entry, as plain data: found once, and kept as long as the entry stays.

A fact may rest on the entry itself and on what is no entry (its shared checks, hazards and so on), never on another entry.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import Any

from leadsman.content import prose
from leadsman.content.applicability import tasks_of
from leadsman.content.book_walk import EntryWalk, walk_of
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.hazards import own_reasons
from leadsman.content.links import LINKS, named_by, named_in_given
from leadsman.content.model.base import Prose
from leadsman.content.source import Location

#: The last part of the place of a text by which a step or a proof is answered.
_ASKED = ("see", "proof", "wanted")


@dataclass(frozen=True)
class Named:
    """An entry that is named: in which record, at which place, as the value there or as its key, and its id."""

    kind: str
    record: str
    location: Location
    what: str
    is_key: bool = False


@dataclass(frozen=True)
class Mentions:
    """What records say of entries and of values, wherever it stands."""

    links: tuple[Named, ...]
    """The entries that fields name."""
    cards: tuple[Named, ...]
    """The entries that the prose refers to."""
    taken: tuple[str, ...]
    """The values by which a step or a proof is answered, or from which something is computed."""

    def as_data(self) -> list[Any]:
        """As a store keeps it."""
        told = [
            [[n.kind, n.record, n.location, n.what, n.is_key] for n in named]
            for named in (self.links, self.cards)
        ]
        return [*told, self.taken]

    @classmethod
    def from_data(cls, data: list[Any]) -> Mentions:
        """As it was kept."""
        links, cards = (
            tuple(
                Named(kind, record, tuple(location), what, is_key)
                for kind, record, location, what, is_key in named
            )
            for named in data[:2]
        )
        return cls(links, cards, tuple(data[2]))


@dataclass(frozen=True)
class Facts:
    """What the rules over the whole book know of an entry."""

    code: str
    area: str
    reviewed: str
    is_draft: bool
    changes: int
    """How many lines its history has."""
    needs: list[str]
    messages: dict[str, list[str]]
    """The messages that it covers, by display family."""
    waivers: list[tuple[str, str, str | None]]
    """Rule, reason and about of each."""
    components: list[str]
    """The components of its causes: what an entry that leads here may hand on."""
    tasks: list[str]
    """The menu tasks that it or a check used by it names."""
    hazards: list[str]
    """The hazards that bear on it by themselves."""
    mentions: Mentions
    walk: EntryWalk

    @property
    def leads_to(self) -> list[str]:
        """The entries that its answers lead to, each once."""
        return sorted({onward.entry for _, _, onward in self.walk.crossings()})

    def as_data(self) -> dict[str, Any]:
        """As a store keeps it."""
        told = {field.name: getattr(self, field.name) for field in fields(self)}
        return {**told, "mentions": self.mentions.as_data(), "walk": self.walk.as_data()}

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> Facts:
        """As it was kept."""
        mentions, walk = Mentions.from_data(data["mentions"]), EntryWalk.from_data(data["walk"])
        return cls(**{**data, "mentions": mentions, "walk": walk})


def facts_of(decision: Decision) -> Facts:
    """The facts of an entry."""
    entry, catalogue = decision.entry, decision.catalogue
    return Facts(
        code=entry.code,
        area=entry.area,
        reviewed=entry.reviewed,
        is_draft=entry.status == "draft",
        changes=len(entry.changes),
        needs=list(entry.needs),
        messages={family: list(messages) for family, messages in entry.condition.messages.items()},
        waivers=[(waiver.rule, str(waiver.reason), waiver.about) for waiver in entry.waivers],
        components=sorted({cause.component for cause in entry.causes}),
        tasks=[task for task, _ in tasks_of(decision)],
        hazards=[
            name for name, hazard in catalogue.hazards.items() if next(own_reasons(decision, hazard), None)
        ],
        mentions=_mentions(
            {"faults": {entry.id: entry}}, (("faults", entry.id, *at) for at in catalogue.prose_in(entry))
        ),
        walk=walk_of(decision),
    )


def mentions_outside(catalogue: Catalogue) -> Mentions:
    """What everything that is no entry says of entries and of values."""
    records = {kind: found for kind, found in catalogue.records.items() if kind != "faults"}
    said = _mentions(records, (found for found in catalogue.prose() if found[0] != "faults"))
    computed = [value.computed.given for value in catalogue.values.values() if value.computed is not None]
    given = [*(table.given for table in catalogue.tables.values()), *computed]
    counted = (name for each in given for name in named_in_given(each, "value"))
    return replace(said, taken=tuple(dict.fromkeys([*said.taken, *counted])))


def _mentions(
    records: dict[str, dict[str, Any]], texts: Iterable[tuple[str, str, Location, Prose]]
) -> Mentions:
    links = [
        Named(kind, name, *found)
        for kind, path, target in LINKS
        if target == "faults"
        for name, record in records.get(kind, {}).items()
        for found in named_by(record, path)
    ]
    cards, asked = [], list[str]()
    for kind, name, location, text in texts:
        for reference in prose.references(text):
            if reference.kind == "card" and reference.what:
                cards.append(Named(kind, name, location, reference.what))
            elif reference.kind == "value" and location and location[-1] in _ASKED:
                asked.append(reference.what)
    return Mentions(tuple(links), tuple(cards), tuple(dict.fromkeys(asked)))
