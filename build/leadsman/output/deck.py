"""Set a deck as a PDF of faces: measure the blocks, pack them, print each face on its own page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman.book.cards import Card, Deck, Face, pack
from leadsman.content.catalogue import Catalogue
from leadsman.errors import OutputError
from leadsman.output.measure import natural_sizes
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment, stylesheet
from leadsman.output.typeset import FinishedPdf, Typesetter, render_pdf

#: Trim sizes [mm]: width, height.
SIZES_MM = {"a6": (105.0, 148.0), "100x150": (100.0, 150.0), "4x6": (101.6, 152.4)}
#: What the page frame takes above and below the live area [mm]; equal to the insets in card.css.
_ABOVE_MM, _BELOW_MM, _SIDE_MM = 18.4, 12.4, 6.0
#: Bleed beyond the trim [mm].
BLEED_MM = 3.0


@dataclass(frozen=True)
class FinishedDeck:
    """A deck that was made, with its faces."""

    pdf: FinishedPdf
    faces: Sequence[Face]


def write_deck(
    deck: Deck, catalogue: Catalogue, size: str, *, out: Path, templates: Path, typesetter: Typesetter
) -> FinishedDeck:
    """Make the deck in one size, or leave the earlier file as it is."""
    width, height = SIZES_MM[size]
    setter = Setter(catalogue, deck.edition.units, _linker(deck))
    jinja = environment(templates, setter)
    revision = deck.edition.revisions[-1]
    shared: dict[str, Any] = {
        "edition": deck.edition,
        "revision": revision,
        "catalogue": catalogue,
        "deck": deck,
    }
    css = [stylesheet(templates, "card"), _geometry(width, height)]
    room = height - _ABOVE_MM - _BELOW_MM
    # The index prints how many faces each card has, which is known only afterwards: room for two digits.
    counts = dict.fromkeys((card.id for card in deck.cards), 88)
    heights = _measured(deck, jinja, {**shared, "counts": counts}, css, width, typesetter)
    faces = [face for card in deck.cards for face in pack(card, heights, room)]
    counts = {card.id: sum(face.card is card for face in faces) for card in deck.cards}
    html = jinja.get_template("deck/deck.html.j2").render(**shared, counts=counts, faces=_with_backs(faces),
                                                           columns=len(catalogue.areas) + 1, height=height)  # fmt: skip
    pdf = render_pdf(html, css, out=out, title=f"{deck.edition.title}, {size}", language=deck.edition.language,
                     bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
    return FinishedDeck(pdf, faces)


def _measured(
    deck: Deck, jinja: Any, shared: Mapping[str, Any], css: list[str], width: float, typesetter: Typesetter
) -> dict[str, float]:
    html = jinja.get_template("deck/measure.html.j2").render(**shared)
    endless = f"@page {{ bleed: 0; marks: none }} body {{ width: {width - 2 * _SIDE_MM}mm }}"
    sizes = natural_sizes(typesetter, html, [*css, endless], class_name="block", page_width_mm=width,
                          language=deck.edition.language)  # fmt: skip
    heights = {size.id: size.height_mm for size in sizes}
    missing = [block.id for card in deck.cards for block in card.blocks if block.id not in heights]
    if missing:
        raise OutputError(f"these blocks were not laid out: {', '.join(missing)}")
    return heights


def _with_backs(faces: Sequence[Face]) -> list[tuple[Face | None, Card, int]]:
    """Every face with its card, and an empty back where a card's faces are odd in number."""
    sheets: list[tuple[Face | None, Card, int]] = []
    for face, following in zip(faces, [*faces[1:], None], strict=True):
        sheets.append((face, face.card, face.number))
        if face.is_front and (following is None or following.card is not face.card):
            sheets.append((None, face.card, face.number + 1))
    return sheets


def _linker(deck: Deck) -> Any:
    cards = {card.id for card in deck.cards}

    def link(kind: str, name: str) -> str | None:
        return f"#{name}" if kind == "card" and name in cards else None

    return link


def _geometry(width: float, height: float) -> str:
    return f"@page {{ size: {width}mm {height}mm }} :root {{ --w: {width}mm; --h: {height}mm }}"
