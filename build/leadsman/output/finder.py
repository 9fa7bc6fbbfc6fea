"""Set the finder ring as a PDF of faces: measure the blocks, fill the faces in turn, print each on its page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman.book.finder import FinderCard, build_finder
from leadsman.book.packing import Block, Face, fill
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import FinderEdition
from leadsman.content.model.phrases import FinderWords, filled
from leadsman.errors import OutputError
from leadsman.output.deck import BLEED_MM, FORMATS
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import printed_language
from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf

#: What the head and the foot of a face take [mm].
_HEAD_MM, _ABOVE_MM, _BELOW_MM = 9.0, 5.0, 8.9
#: So many sheets, of two faces each, make a ring.
MOST_SHEETS = 10

#: Blocks whose place among the others says nothing.
_FREE = ("caution", "notices")


@dataclass(frozen=True)
class FinderFace:
    """A face of the ring as it is printed."""

    card: FinderCard
    number: int
    of: int
    title: str
    onward: str
    blocks: Sequence[Block]


@dataclass(frozen=True)
class FinishedFinder:
    """A ring that was made, with its faces."""

    pdf: FinishedPdf
    faces: Sequence[FinderFace]


def write_finder(
    edition: FinderEdition,
    catalogue: Catalogue,
    size: str,
    *,
    out: Path,
    templates: Path,
    typesetter: Typesetter,
) -> FinishedFinder:
    """Make the finder ring in one size, or leave the earlier file as it is.

    Raises
    ------
    OutputError
        When it has more sheets than a ring may have.
    """
    form, phrases = FORMATS[size], catalogue.phrases(edition.language)
    cards = build_finder(edition, catalogue)
    jinja = environment(templates, Setter(catalogue, edition.units, language=edition.language))
    shared: dict[str, Any] = {
        "edition": edition,
        "revision": edition.revisions[-1],
        "words": phrases.finder,
        "identity": phrases.ladder.identity,
        "later": phrases.ladder.later,
        "signals": phrases.signals,
        "cards": cards,
    }
    css = [
        stylesheet(templates, "tokens", "ladder", "finder"),
        f"@page {{ size: {form.width_mm}mm {form.height_mm}mm }} "
        f":root {{ --w: {form.width_mm}mm; --h: {form.height_mm}mm; --live: {form.live_mm}mm; --answers: 0mm }}",
    ]
    # How many faces a card has is known only afterwards: room for two digits.
    html = jinja.get_template("finder/measure.html.j2").render(
        **shared, counts=dict.fromkeys((card.id for card in cards), 88)
    )
    endless = f"@page {{ bleed: 0; marks: none }} body {{ width: {form.live_mm}mm }}"
    sizes = natural_sizes(typesetter, html, [*css, endless], class_name="block", page_width_mm=form.width_mm,
                          language=printed_language(edition, catalogue))  # fmt: skip
    heights = {size.id: size.height_mm for size in sizes}
    room = form.height_mm - _ABOVE_MM - _BELOW_MM - _HEAD_MM
    packed = {
        card.id: _tightened(fill(card.code, card.blocks, heights, room), heights, room) for card in cards
    }
    packed = _even(cards, packed)
    count = sum(len(faces) for faces in packed.values())
    if count > 2 * MOST_SHEETS:
        raise OutputError(
            f"the finder '{edition.id}' has {-(-count // 2)} sheets, {MOST_SHEETS} are wanted at the most; "
            "shorten its lists"
        )
    faces = [face for card in cards for face in _faces(card, packed[card.id], phrases.finder)]
    html = jinja.get_template("finder/deck.html.j2").render(
        **shared, counts={name: len(found) for name, found in packed.items()}, faces=faces
    )
    pdf = render_pdf(html, css, out=out, title=f"{edition.title}, {size}",
                     language=printed_language(edition, catalogue), bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
    return FinishedFinder(pdf, faces)


def _tightened(faces: list[Face], heights: Mapping[str, float], room: float) -> list[Face]:
    """The faces without the last one where all its cautions find room on earlier ones: each names its own signal word."""
    *before, last = faces
    if not before or any(block.kind not in _FREE for block in last.blocks):
        return faces
    filled_to = [sum(heights[block.id] for block in face.blocks) for face in before]
    blocks = [list(face.blocks) for face in before]
    for block in sorted(last.blocks, key=lambda block: -heights[block.id]):
        at = next((n for n, used in enumerate(filled_to) if used + heights[block.id] <= room), None)
        if at is None:
            return faces
        blocks[at].append(block)
        filled_to[at] += heights[block.id]
    return [Face(face.number, found) for face, found in zip(before, blocks, strict=True)]


def _even(cards: Sequence[FinderCard], packed: dict[str, list[Face]]) -> dict[str, list[Face]]:
    """Faces run on from card to card without a blank: only the whole ring must have an even number of them.

    Where it is odd, the longest list that can is spread over one face more.
    """
    if sum(len(faces) for faces in packed.values()) % 2 == 0:
        return packed
    for card in sorted(cards, key=lambda card: -len(card.blocks)):
        last = packed[card.id][-1]
        if len(last.blocks) > 1:
            half = len(last.blocks) // 2
            more = Face(last.number + 1, last.blocks[half:])
            last.blocks = last.blocks[:half]
            packed[card.id].append(more)
            break
    return packed


def _faces(card: FinderCard, packed: Sequence[Face], words: FinderWords) -> list[FinderFace]:
    found = []
    for number, face in enumerate(packed, 1):
        onward = (
            filled(words.face, name=number + 1)
            if number < len(packed)
            else filled(words.end_of, code=card.code)
        )
        found.append(
            FinderFace(card, number, len(packed), _title(card, face, number, words), onward, face.blocks)
        )
    return found


def _title(card: FinderCard, face: Face, number: int, words: FinderWords) -> str:
    """The title of a face; of a list in groups, with the groups on it."""
    groups = list(
        dict.fromkeys(b.data["group"] for b in face.blocks if isinstance(b.data, dict) and "group" in b.data)
    )
    if groups:
        # The head has room for one line: of several groups the first is named.
        more = "" if len(groups) == 1 else "\N{NO-BREAK SPACE}\N{HORIZONTAL ELLIPSIS}"
        return filled(words.held, title=card.title, name=f"{groups[0]}{more}")
    return card.title if number == 1 else filled(words.goes_on, title=card.title)
