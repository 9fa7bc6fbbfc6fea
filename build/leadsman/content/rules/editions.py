"""An edition says of what day it is: no entry in it is of a later one."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule("edition-date", "The last revision of an edition is no older than an entry in it.")
def edition_date(context: Context) -> Iterator[Problem]:
    """Two printings with one date in their feet and other words on their pages cannot be told apart."""
    catalogue = context.catalogue
    for name, edition in catalogue.editions.items():
        chosen = edition.entries or list(catalogue.faults)
        found = [catalogue.faults[entry] for entry in chosen if entry in catalogue.faults]
        last = edition.revisions[-1]
        newest = max(found, key=lambda entry: entry.reviewed, default=None)
        if newest is not None and newest.reviewed > last.date:
            where = ("revisions", len(edition.revisions) - 1, "date")
            yield catalogue.problem(
                "editions", name, where, f"revision {last.revision} is of {last.date}, but '{newest.id}' was last reviewed on {newest.reviewed}",
                "give this revision a date no earlier, or add a revision", rule="edition-date",
            )  # fmt: skip
