"""The names of what an edition is made into, so that no two of them can be the same file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import (
    DeckEdition,
    Edition,
    FinderEdition,
    GuideEdition,
    HandbookEdition,
    TelephoneEdition,
)


def output_names(edition: Edition, catalogue: Catalogue) -> list[str]:
    """Every file, or folder of files, of an edition in the output folder, the notice of cards included."""
    if isinstance(edition, DeckEdition | FinderEdition):
        return [f"{edition.id}-{size}.pdf" for size in edition.formats] + [f"{edition.id}-replace.txt"]
    if isinstance(edition, HandbookEdition):
        apart = [f"{edition.id}-evidence.pdf"] if "pdf" in edition.formats else []
        return [*(f"{edition.id}.{form}" for form in edition.formats), *apart]
    if isinstance(edition, TelephoneEdition):
        return [f"{edition.id}.{form}" for form in edition.formats]
    if isinstance(edition, GuideEdition):
        stems = [edition.id] if "dealer" in edition.guides else []
        stems += [f"{edition.id}-{name}" for name in catalogue.families if "families" in edition.guides]
        stems += [f"{edition.id}-{name}" for name in catalogue.boats if "boats" in edition.guides]
        return [f"{stem}.{form}" for stem in stems for form in edition.formats]
    return [record_folder_name(edition.id, edition.paper)]


def record_folder_name(edition: str, paper: str) -> str:
    """The folder of an edition's service records."""
    return f"{edition}-{'a4' if paper == 'a' else 'letter'}"


def shared_names(named: Sequence[tuple[str, Sequence[str]]]) -> Iterator[tuple[str, str, str]]:
    """Names that stand twice: the name, who has it first, and who again. Case does not part two files everywhere.

    Examples
    --------
    >>> list(shared_names([("deck", ["deck-a6.pdf"]), ("Deck-A6", ["Deck-A6.pdf"])]))
    [('Deck-A6.pdf', 'deck', 'Deck-A6')]
    """
    first: dict[str, str] = {}
    for owner, names in named:
        for name in names:
            if name.casefold() in first:
                yield name, first[name.casefold()], owner
            else:
                first[name.casefold()] = owner
