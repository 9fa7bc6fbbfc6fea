"""An edition says of what day it is: no entry in it is of a later one."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "edition-date", "The last revision of an edition is no older than a reviewed entry in it.", scope="book"
)
def edition_date(context: Context) -> Iterator[Problem]:
    """Two printings with one date in their feet and other words on their pages cannot be told apart."""
    catalogue, facts = context.catalogue, context.facts
    for name, edition in catalogue.editions.items():
        chosen = edition.entries or list(facts)
        # A draft is no part of an edition yet.
        found = [
            (facts[entry].reviewed, entry) for entry in chosen if entry in facts and not facts[entry].is_draft
        ]
        last = edition.revisions[-1]
        reviewed, newest = max(found, key=lambda item: item[0], default=("", ""))
        if reviewed > last.date:
            where = ("revisions", len(edition.revisions) - 1, "date")
            yield catalogue.problem(
                "editions", name, where, f"revision {last.revision} is of {last.date}, but '{newest}' was last reviewed on {reviewed}",
                "give this revision a date no earlier, or add a revision", rule="edition-date",
            )  # fmt: skip
