"""Which entries an edition holds, and the order in which every output has them."""

from __future__ import annotations

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import Edition
from leadsman.content.model.fault import FaultEntry


def chosen_entries(edition: Edition, catalogue: Catalogue) -> list[FaultEntry]:
    """The edition's entries: as listed, else all by area and number, less those of the handbook only."""
    if edition.entries:
        return [catalogue.faults[name] for name in edition.entries]
    left_out = {off.entry for off in edition.handbook_only}
    return [entry for entry in by_code(catalogue) if entry.id not in left_out]


def by_code(catalogue: Catalogue) -> list[FaultEntry]:
    """All entries by area, and by number within it."""
    areas = list(catalogue.areas)
    return sorted(catalogue.faults.values(), key=lambda e: (areas.index(e.area), int(e.code[1:])))
