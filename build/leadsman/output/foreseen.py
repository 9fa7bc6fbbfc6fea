"""What a build would refuse of a content that keeps every rule: told at its place, before anything is made."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import DeckEdition
from leadsman.errors import OutputError, Problem
from leadsman.output.deck import refusals
from leadsman.output.guide import dealer_mark
from leadsman.press.typeset import Typesetter


def foreseen(catalogue: Catalogue, templates: Path, typesetter: Typesetter) -> list[Problem]:
    """Cards that are too tall for their sheets, sets that no ring holds, a mark that no page takes.

    The blocks of every card are laid out and measured, as the build does; with a store behind the typesetter only
    those that nobody has measured before.
    """
    return sorted({*_marks(catalogue), *_decks(catalogue, templates, typesetter)})


def _marks(catalogue: Catalogue) -> Iterator[Problem]:
    try:
        dealer_mark(catalogue.dealer)
    except OutputError as error:
        yield catalogue.problem("dealer", "dealer", ("mark",), f"the mark cannot be printed: {error}",
                                "save it as plain SVG: shapes alone, nothing that is loaded or run", rule="dealer-mark")  # fmt: skip


def _decks(catalogue: Catalogue, templates: Path, typesetter: Typesetter) -> Iterator[Problem]:
    for name, edition in catalogue.editions.items():
        if not isinstance(edition, DeckEdition):
            continue
        for size in edition.formats:
            for entry, said in refusals(edition, catalogue, size, templates=templates, typesetter=typesetter):
                what, _, hint = said.partition("; ")
                place = ("faults", entry, ("checks",)) if entry else ("editions", name, ("sets",))
                yield catalogue.problem(*place, what, hint, key=True, rule="fits")
