"""The way into the book by what is seen: the owner's words under their headings, and each display's messages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from leadsman.content.model.equipment import Family, Message
from leadsman.content.model.fault import FaultEntry
from leadsman.content.model.phrases import Phrases


def by_sign(
    entries: Sequence[FaultEntry], phrases: Phrases, most: int | None = None
) -> Iterator[tuple[str, str, list[tuple[str, FaultEntry]]]]:
    """Each kind of sign that an entry has: its name, its heading, and the words by alphabet with their entry.

    ``most`` is how many signs of an entry count, in the order in which they are written; without it all.
    """
    for sign, heading in phrases.sign_headings.items():
        found = [
            (str(s.words), entry)
            for entry in entries
            for s in entry.condition.signs[:most]
            if sign in entry.condition.groups(s)
        ]
        if found:
            yield sign, str(heading), sorted(found, key=lambda row: row[0].casefold())


def by_message(
    entries: Sequence[FaultEntry], families: Iterable[Family]
) -> Iterator[tuple[Family, list[tuple[Message, FaultEntry]]]]:
    """Each display family with its messages, in the order of its record, and the entries that they lead to."""
    for family in families:
        yield (
            family,
            [
                (message, entry)
                for name, message in family.messages.items()
                for entry in entries
                if name in entry.condition.messages.get(family.id, ())
            ],
        )
