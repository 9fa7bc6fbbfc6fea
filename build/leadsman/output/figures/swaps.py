"""The swap matrix: which test exchanges, brings along, leaves or tests which part of the chain."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.book.swap_card import Discriminator, SwapCard, SwapTest, swap_card
from leadsman.content.model.figure_words import SwapMatrixWords
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import LINE, THIN, Drawing, Point
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

_LABELS, _COLUMN, _ROW, _HEAD, _WIDTH = 44.0, 9.6, 5.6, 8.0, 112.0

#: Stroke of the small rings [mm]: they must hold on wet paper.
_RING = 0.4


def swap_matrix(numbers: Numbers) -> Iterator[Figure]:
    """Parts down, tests across: a sign for each part that a test exchanges, brings along, or tests alone."""
    if not any(check.swap for check in numbers.catalogue.checks.values()):
        return
    words = numbers.words.swaps
    card = swap_card(numbers.catalogue)
    tests: list[SwapTest | Discriminator] = [*card.swaps, *card.discriminators]
    foot = _HEAD + len(card.components) * _ROW
    rows = (len(tests) + 1) // 2
    drawing = Drawing(_WIDTH, foot + 5 + rows * 4.8 + 15.4)
    drawing.text((0.3, 5.2), words.part, bold=True)
    for column in range(len(tests)):
        drawing.badge((_LABELS + (column + 0.5) * _COLUMN, 4.0), str(column + 1))
    for row, part in enumerate(card.components):
        top = _HEAD + row * _ROW
        drawing.line((0.3, top), (_LABELS + len(tests) * _COLUMN, top), THIN)
        drawing.text((0.3, top + 4.2), part.name)
        for column, test in enumerate(tests):
            _sign(drawing, (_LABELS + (column + 0.5) * _COLUMN, top + _ROW / 2), card.sign(test, part.id))
    drawing.line((0.3, foot), (_LABELS + len(tests) * _COLUMN, foot), THIN)
    for number, test in enumerate(tests):
        place = (1.0 + (number // rows) * 56.0, foot + 6.2 + (number % rows) * 4.8)
        drawing.text(place, f"{number + 1} {test.title}")
    _key(drawing, foot + 5 + rows * 4.8 + 3.2, words)
    yield Figure(
        "swap-matrix", str(words.title), str(words.caption), plain_words(_said(card, words)), drawing.svg(), ("which-part", "works-on-another-display"), "swaps",
    )  # fmt: skip


def _sign(drawing: Drawing, centre: Point, word: str) -> None:
    """Exchanged is a black square, brought along a half one, tested alone a lozenge, the rest a small ring.

    The ring is filled where the part stays a suspect although the fault went with the swap.
    """
    x, y = centre
    if word == "exchanged":
        drawing.box((x - 2, y - 2), 4, 4, stroke=LINE, fill="#000")
    elif word == "brought":
        drawing.box((x - 2, y - 2), 4, 4, stroke=LINE)
        drawing.path([(x - 2, y - 2), (x + 2, y - 2), (x - 2, y + 2)], stroke=0, closed=True, fill="#000")
    elif word == "tested":
        drawing.path(
            [(x, y - 2.3), (x + 2.3, y), (x, y + 2.3), (x - 2.3, y)], stroke=LINE, closed=True, fill="#000"
        )
    elif word == "unproved":
        drawing.circle((x, y), 1.3, stroke=0, fill="#000")
    elif word == "stays":
        drawing.circle((x, y), 1.0, stroke=_RING)


def _key(drawing: Drawing, top: float, words: SwapMatrixWords) -> None:
    places = [(3.0 + 55.0 * (number % 2), top + 4.9 * (number // 2)) for number in range(len(words.key))]
    for (x, y), (sign, meaning) in zip(places, words.key.items(), strict=True):
        _sign(drawing, (x, y), sign)
        drawing.text((x + 4, y + 1.3), meaning)


def _said(card: SwapCard, words: SwapMatrixWords) -> str:
    def names(parts: object) -> str:
        return ", ".join(part.name for part in parts).lower()  # type: ignore[attr-defined]

    told = [
        filled(
            words.exchanges,
            name=swap.title,
            parts=names(swap.exchanged),
            brought=f" {filled(words.brings, names=names(swap.brought))}" if swap.brought else "",
            suspects=names(swap.meanings[0].suspects),
        )
        for swap in card.swaps
    ]
    free = [
        filled(
            words.tests,
            name=found.title,
            parts=names(found.tests),
            suspects=names((*found.tests, *found.through)),
        )
        for found in card.discriminators
    ]
    return filled(words.text, names=". ".join([*told, *free]))
