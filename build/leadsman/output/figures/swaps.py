"""The swap matrix: which test exchanges, brings along, leaves or tests which part of the chain."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.book.swap_card import Discriminator, SwapCard, SwapTest, swap_card
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
    card = swap_card(numbers.catalogue)
    tests: list[SwapTest | Discriminator] = [*card.swaps, *card.discriminators]
    foot = _HEAD + len(card.components) * _ROW
    rows = (len(tests) + 1) // 2
    drawing = Drawing(_WIDTH, foot + 5 + rows * 4.8 + 10.5)
    drawing.text((0.3, 5.2), "part", bold=True)
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
    _key(drawing, foot + 5 + rows * 4.8 + 3.2)
    yield Figure(
        "swap-matrix", "What each swap tests", "Gone with the swap and back with the old part: the black signs of that column are the suspects.",
        plain_words(_said(card)), drawing.svg(), ("which-part", "works-on-another-display"), "swaps",
    )  # fmt: skip


def _sign(drawing: Drawing, centre: Point, word: str) -> None:
    """Exchanged is a black square, brought along a half one, tested alone a disc, the rest a small ring."""
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
    elif word == "stays":
        drawing.circle((x, y), 1.0, stroke=_RING)


def _key(drawing: Drawing, top: float) -> None:
    words = {
        "exchanged": "exchanged",
        "brought": "comes along",
        "stays": "stays: suspect if SAME or NO",
        "tested": "tested: YES clears it",
    }
    places = [(3.0, top), (58.0, top), (3.0, top + 4.9), (58.0, top + 4.9)]
    for (x, y), (sign, meaning) in zip(places, words.items(), strict=True):
        _sign(drawing, (x, y), sign)
        drawing.text((x + 4, y + 1.3), meaning)


def _said(card: SwapCard) -> str:
    def names(parts: object) -> str:
        return ", ".join(part.name for part in parts).lower()  # type: ignore[attr-defined]

    told = [
        f"{swap.title} exchanges {names(swap.exchanged)}"
        + (f" and brings along {names(swap.brought)}" if swap.brought else "")
        + f"; gone, and back with the old part, leaves as suspects: {names(swap.meanings[0].suspects)}"
        for swap in card.swaps
    ]
    free = [
        f"{found.title} tests {names(found.tests)}; a bad answer suspects {names((*found.tests, *found.through))}"
        for found in card.discriminators
    ]
    return (
        "Under one fault. "
        + ". ".join([*told, *free])
        + ". The fault stays the same: every part that was not exchanged stays suspect. "
        "Gone but not back with the old part proves nothing: the act of swapping may have mended a contact."
    )
