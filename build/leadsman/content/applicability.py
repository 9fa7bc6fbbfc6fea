"""What an entry applies to: the display families that have what it needs, and the menu tasks that it names."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.fault import FaultEntry
from leadsman.content.source import Location


def applies(entry: FaultEntry, catalogue: Catalogue, family: str) -> bool:
    """Whether a family has every capability that the entry needs."""
    return set(entry.needs) <= set(catalogue.families[family].capabilities)


def families_of(entry: FaultEntry, catalogue: Catalogue) -> list[str]:
    """The families that the entry applies to, in the catalogue's order."""
    return [name for name in catalogue.families if applies(entry, catalogue, name)]


def tasks_of(decision: Decision) -> Iterator[tuple[str, Location]]:
    """Each menu task that the entry or a check used by it names, once, with its place in the entry."""
    seen: set[str] = set()
    texts = list(decision.catalogue.prose_in(decision.entry))
    for index, check in enumerate(decision.entry.checks):
        shared = decision.catalogue.checks.get(check.use or "")
        if shared is not None:
            texts += [(("checks", index, "use"), text) for _, text in decision.catalogue.prose_in(shared)]
    for place, text in texts:
        for reference in prose.references(text) if "{" in text else ():
            if reference.kind == "menu" and reference.what not in seen:
                seen.add(reference.what)
                yield reference.what, place


def serves(decision: Decision, capability: str, tasks: Collection[str]) -> bool:
    """Whether the entry is about a capability: it needs it, lies in its area, or names a task of it."""
    record = decision.catalogue.records["capabilities"].get(capability)
    if capability in decision.entry.needs or record is None:
        return capability in decision.entry.needs
    return decision.entry.area in record.areas or not set(tasks).isdisjoint(record.tasks)
