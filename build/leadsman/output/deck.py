"""Set a deck as a PDF of faces: measure the blocks, pack them, print each face on its own page."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from markupsafe import Markup

from leadsman.book.cards import Card, Deck, check_sheets
from leadsman.book.packing import Face, caution_id, pack
from leadsman.book.views import Answer
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT
from leadsman.errors import OutputError
from leadsman.output.figures import card_figures
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment, stylesheet
from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf

#: Trim sizes [mm]: width, height.
SIZES_MM = {"a6": (105.0, 148.0), "100x150": (100.0, 150.0), "4x6": (101.6, 152.4)}
#: What the page frame takes above and below the live area [mm]; equal to the insets in card.css.
_ABOVE_MM, _BELOW_MM, _SIDE_MM = 18.2, 9.2, 6.0
#: Bleed beyond the trim [mm].
BLEED_MM = 3.0
#: An answer with its target of more letters than this takes two of the three columns.
_LONG_ANSWER = 8


@dataclass(frozen=True)
class CardFace:
    """One face of the deck as it is printed."""

    card: Card
    face: Face
    title: str
    onward: str
    """Where the reader goes on, for the foot of the face; empty where nothing follows."""
    last: bool
    """Whether the card ends on it: the last face that holds anything."""

    @property
    def number(self) -> int:
        """Its number within its card."""
        return self.face.number


@dataclass(frozen=True)
class FinishedDeck:
    """A deck that was made, with its faces."""

    pdf: FinishedPdf
    faces: Sequence[CardFace]


def write_deck(
    deck: Deck, catalogue: Catalogue, size: str, *, out: Path, templates: Path, typesetter: Typesetter
) -> FinishedDeck:
    """Make the deck in one size, or leave the earlier file as it is."""
    width, height = SIZES_MM[size]
    setter = Setter(
        catalogue, deck.edition.units, _linker(deck), elsewhere=" (handbook)", holds=_holder(deck)
    )
    jinja = environment(templates, setter)
    jinja.filters["answer_rows"] = functools.partial(answer_rows, on_deck={card.id for card in deck.cards})
    jinja.filters["kept"] = kept_together
    revision = deck.edition.revisions[-1]
    shared: dict[str, Any] = {
        "edition": deck.edition,
        "revision": revision,
        "catalogue": catalogue,
        "deck": deck,
        "pictures": card_figures(catalogue, deck.edition.units, _card_pictures(deck)),
        "on_deck": {card.id for card in deck.cards},
        "reasons": {off.entry: off.reason for off in deck.edition.handbook_only},
    }
    css = [stylesheet(templates, "card"), _geometry(width, height)]
    room = height - _ABOVE_MM - _BELOW_MM
    # The index prints how many faces each card has, which is known only afterwards: room for two digits.
    counts = dict.fromkeys((card.id for card in deck.cards), 88)
    heights = _measured(deck, jinja, {**shared, "counts": counts}, css, width, typesetter)
    packed = {card.id: pack(card.code, card.fronts, card.backs, heights, room) for card in deck.cards}
    check_sheets(deck.edition, {card.code: len(packed[card.id]) for card in deck.cards})
    faces = [face for card in deck.cards for face in _named(card, packed[card.id])]
    counts = {name: len(found) for name, found in packed.items()}
    html = jinja.get_template("deck/deck.html.j2").render(
        **shared, counts=counts, faces=faces, columns=len(catalogue.areas) + 1, height=height
    )
    pdf = render_pdf(html, css, out=out, title=f"{deck.edition.title}, {size}", language=deck.edition.language,
                     bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
    return FinishedDeck(pdf, faces)


def _card_pictures(deck: Deck) -> set[str]:
    return {block.data for card in deck.cards for block in card.blocks if block.kind == "picture"}


def _measured(
    deck: Deck, jinja: Any, shared: Mapping[str, Any], css: list[str], width: float, typesetter: Typesetter
) -> dict[str, float]:
    html = jinja.get_template("deck/measure.html.j2").render(**shared)
    endless = f"@page {{ bleed: 0; marks: none }} body {{ width: {width - 2 * _SIDE_MM}mm }}"
    sizes = natural_sizes(typesetter, html, [*css, endless], class_name="block", page_width_mm=width,
                          language=deck.edition.language)  # fmt: skip
    heights = {size.id: size.height_mm for size in sizes}
    wanted = [block.id for card in deck.cards for block in card.blocks] + [
        caution_id(n) for n in deck.cautions
    ]
    missing = [name for name in wanted if name not in heights]
    if missing:
        raise OutputError(f"these blocks were not laid out: {', '.join(missing)}")
    return heights


def answer_rows(answers: Sequence[Answer], on_deck: Set[str]) -> list[list[tuple[Answer | None, int]]]:
    """Answers in rows of three columns, each with the columns that it takes: CANNOT always last and in the third."""
    rows: list[list[tuple[Answer | None, int]]] = [[]]
    for answer in answers:
        letters = len(answer.label) + len(answer.target.words)
        # Another entry can stand in the handbook only, which is said before its code.
        letters += len("book ") if answer.target.kind == "entry" and answer.target.id not in on_deck else 0
        span = 2 if letters > _LONG_ANSWER else 1
        taken = sum(cells for _, cells in rows[-1])
        if answer.key == CANNOT and taken < 2:
            rows[-1].append((None, 2 - taken))
        elif taken + span > 3 or (answer.key == CANNOT and taken > 2):
            rows.append([(None, 2)] if answer.key == CANNOT else [])
        rows[-1].append((answer, 1 if answer.key == CANNOT else span))
    return rows


def _named(card: Card, faces: Sequence[Face]) -> list[CardFace]:
    """Each face with its title, which says what stands on it, and with the way onward."""
    last = max(face.number for face in faces if face.placed)
    steps = {face.number: _steps(face) for face in faces}
    named = []
    for face in faces:
        title, onward = _continued(card, face), ""
        if not card.backs:
            onward = f"face {face.number + 1} →" if face.number < last else ""
        else:
            following = steps.get(face.number + 2)
            if face.is_front and steps[face.number] and following:
                onward = f"step {following[0]} →"
            if face.number > 1:
                numbers = [str(number) for number in steps[face.number]]
                title = f"{card.title}: {_held(face, numbers)}"
        named.append(CardFace(card, face, title, onward, face.number == last))
    return named


def _continued(card: Card, face: Face) -> str:
    """The title of a common card's face; of a list in groups, with the groups on it."""
    groups = list(dict.fromkeys(str(b.data["group"]) for b in face.blocks if b.kind in ("menus", "find")))
    if groups:
        # The head has room for two lines.
        return f"{card.title}: {', '.join(groups) if len(groups) < 3 else f'{groups[0]} to {groups[-1]}'}"
    return card.title if face.number == 1 else f"{card.title}, continued"


def _steps(face: Face) -> list[int]:
    return [block.data.number for block in face.blocks if block.kind == "step"]


def _held(face: Face, numbers: Sequence[str]) -> str:
    """What stands on a face: its steps, and every end, which an answer names by its letter alone."""
    ends = _ends(face)
    if not numbers:
        return ends or ("before you begin" if face.placed else "notes")
    return ", ".join(part for part in (_span("step", numbers), ends) if part)


def _ends(face: Face) -> str:
    letters = [block.data.letter for block in face.blocks if block.kind in ("fix", "hand_over")]
    kinds = {block.kind for block in face.blocks}
    parts = [str(kind) for kind in ("table", "picture") if kind in kinds]
    if letters:
        parts.append(_span("end", letters))
    return ", ".join(parts)


def _span(noun: str, names: Sequence[str]) -> str:
    """The names as a run where they follow each other, else one by one."""
    if len(names) == 1:
        return f"{noun}\N{NO-BREAK SPACE}{names[0]}"
    keys = [int(name) if name.isdigit() else ord(name[0]) if len(name) == 1 else 0 for name in names]
    in_a_row = keys == list(range(keys[0], keys[0] + len(keys)))
    return (
        f"{noun}s\N{NO-BREAK SPACE}{names[0]}\N{EN DASH}{names[-1]}"
        if in_a_row
        else f"{noun}s {', '.join(names)}"
    )


def _holder(deck: Deck) -> Any:
    tables = {b.data.table.id for card in deck.cards for b in card.blocks if b.kind == "table"}
    return lambda kind, name: kind == "table" and name in tables


def kept_together(title: str) -> Markup:
    """A face's title whose runs, such as "steps 4-6", stay on one line.

    Examples
    --------
    >>> kept_together("Dead unit: steps\N{NO-BREAK SPACE}4\N{EN DASH}6")
    Markup('Dead unit: <span class="keep">steps\xa04–6</span>')
    """
    pieces = re.split("(\\w+\N{NO-BREAK SPACE}\\w+\N{EN DASH}\\w+)", title)
    return Markup().join(
        Markup('<span class="keep">{}</span>').format(piece) if number % 2 else piece
        for number, piece in enumerate(pieces)
    )


def _linker(deck: Deck) -> Any:
    cards = {card.id for card in deck.cards}

    def link(kind: str, name: str) -> str | None:
        if kind == "menu":
            return "#menus"
        return f"#{name}" if kind == "card" and name in cards else None

    return link


def _geometry(width: float, height: float) -> str:
    return f"@page {{ size: {width}mm {height}mm }} :root {{ --w: {width}mm; --h: {height}mm }}"
