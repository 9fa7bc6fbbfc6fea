"""Eight faults as a screen shows them, and the front of each display family with what its menus ask for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from leadsman.content.model.equipment import Family
from leadsman.content.model.figure_words import FrontOfDisplayWords, PictureText, ScreenWords
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    LINE,
    THICK,
    Drawing,
    Point,
    text_width,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

#: The picture of one screen [mm]; two of them stand beside each other.
SCREEN_WIDTH, SCREEN_HEIGHT = 44.0, 31.0
_LEFT, _TOP, _RIGHT, _FOOT = 1.5, 1.5, 42.5, 29.5
#: Four of them also stand side by side on a page of the owner's guide: strokes and letters bear it.
_FRAME, _FINE, _LETTERS = 0.56, 0.28, 12.6
#: A depth that the picture of a screen shows, and one too small to be true [m].
_DEPTH_M, _SMALL_M = 6.4, 0.7


def screen_faults(numbers: Numbers) -> Iterator[Figure]:
    """One picture for each of eight faults that a screen shows."""
    depth = numbers.depth(_DEPTH_M, "nearest").partition("\u202f")[0].partition(" ")[0]
    small = numbers.depth(_SMALL_M, "nearest").partition("\u202f")[0].partition(" ")[0]
    words = numbers.words.screens
    for name, serves, draw in _FAULTS:
        drawing = Drawing(SCREEN_WIDTH, SCREEN_HEIGHT)
        right, foot = SCREEN_WIDTH - 0.4, SCREEN_HEIGHT - 0.4
        drawing.path([(0.4, 0.4), (right, 0.4), (right, foot), (0.4, foot)], stroke=THICK, closed=True)
        drawing.box((_LEFT, _TOP), _RIGHT - _LEFT, _FOOT - _TOP, stroke=_FRAME)
        shown = small if name == "small-number" else depth
        draw(drawing, shown, words)
        said: PictureText = getattr(words, name.replace("-", "_"))
        text = plain_words(filled(said.text, depth=shown))
        yield Figure(
            f"screen-{name}", str(said.title), str(said.caption), text, drawing.svg(), serves, small=True
        )


def _number(drawing: Drawing, words: str) -> None:
    drawing.text((_LEFT + 1.5, _TOP + 6), words, size=16, bold=True, plate=True)


def _bottom(drawing: Drawing, points: list[Point]) -> None:
    ground = [*points, (points[-1][0], _FOOT - 0.4), (points[0][0], _FOOT - 0.4)]
    drawing.hatch(ground, angle_deg=45, spacing=1.6, stroke=_FINE)
    drawing.path(points, stroke=THICK)


def _even(start: float = _LEFT + 0.4, end: float = _RIGHT - 0.4) -> list[Point]:
    steps = 24
    return [
        (start + (end - start) * n / steps, 21.5 + 1.2 * math.sin(n * 0.55) - 0.06 * n)
        for n in range(steps + 1)
    ]


def _band(drawing: Drawing) -> None:
    drawing.box((_LEFT + 0.4, _TOP + 8.2), _RIGHT - _LEFT - 0.8, 1.6, stroke=0, fill="#000")


def _dark(drawing: Drawing, _: str, words: ScreenWords) -> None:
    drawing.box((_LEFT, _TOP), _RIGHT - _LEFT, _FOOT - _TOP, stroke=_FRAME, fill="#000")
    drawing.text((22, 17.3), words.no_light, anchor="middle", bold=True, size=_LETTERS, plate=True)


def _message(drawing: Drawing, _: str, words: ScreenWords) -> None:
    drawing.box((6, 10), 32, 11.5, stroke=THICK)
    drawing.text((22, 17.2), words.a_message, anchor="middle", bold=True, size=_LETTERS)


def _empty(drawing: Drawing, _: str, words: ScreenWords) -> None:
    _number(drawing, "– –")
    drawing.text((22, 19.5), words.nothing, anchor="middle", size=_LETTERS)


def _no_number(drawing: Drawing, _: str, words: ScreenWords) -> None:
    _band(drawing)
    _bottom(drawing, _even())
    _number(drawing, "– –")


def _breaks(drawing: Drawing, depth: str, _: ScreenWords) -> None:
    _band(drawing)
    _bottom(drawing, _even(end=24.0))
    for n in range(9):
        x = 26.0 + 1.8 * n
        drawing.line((x, 13 + (n * 5) % 4), (x, 17 + (n * 7) % 9), _FRAME)
    _number(drawing, depth)
    wide = text_width(depth, 16, 700)
    for angle in (-30, 0, 30):
        a = math.radians(angle)
        start = (_LEFT + 3.6 + wide, _TOP + 4 + 4 * math.sin(a))
        drawing.line(start, (start[0] + 3 * math.cos(a), start[1] + 3 * math.sin(a)), _FRAME)


def _small(drawing: Drawing, small: str, _: ScreenWords) -> None:
    drawing.box((_LEFT + 0.4, _TOP + 8.2), _RIGHT - _LEFT - 0.8, 4.4, stroke=0, fill="#000")
    _bottom(drawing, _even())
    _number(drawing, small)


def _streaks(drawing: Drawing, depth: str, _: ScreenWords) -> None:
    _bottom(drawing, _even())
    for n in range(22):
        x = 3.2 + 1.78 * n
        drawing.line((x, 10.5 + (n * 7) % 5), (x, 15.0 + (n * 11) % 12), _FRAME)
    _number(drawing, depth)


def _teeth(drawing: Drawing, depth: str, _: ScreenWords) -> None:
    points = [(_LEFT + 0.4 + 40.2 * n / 16, 23.5 if n % 2 else 17.0) for n in range(17)]
    _bottom(drawing, points)
    _number(drawing, depth)


_Draw = Callable[[Drawing, str, ScreenWords], None]
_FAULTS: tuple[tuple[str, tuple[str, ...], _Draw], ...] = (
    ("dark", ("dead-unit",), _dark),
    ("message", ("no-sensor", "type-not-recognised"), _message),
    ("empty", ("not-transmitting", "hidden-by-filters"), _empty),
    ("no-number", ("depth-never-appeared",), _no_number),
    ("breaks-off", ("depth-lost-under-way", "depth-flashes"), _breaks),
    ("small-number", ("stuck-small-number",), _small),
    ("streaks", ("noise-streaks", "cross-talk"), _streaks),
    ("teeth", ("saw-tooth",), _teeth),
)


def fronts(numbers: Numbers) -> Iterator[Figure]:
    """The front of each display family with the places that its menu paths begin at."""
    words = numbers.words.fronts
    for family in numbers.catalogue.families.values():
        begins = list(dict.fromkeys(str(path[0]) for path in family.menus.values()))
        if not begins:
            continue
        drawing = Drawing(CARD_WIDTH, 46)
        drawing.box((0.5, 0.5), 92, 45, stroke=THICK)
        _screen_of(drawing, family, words)
        drawing.text((31, 41.6), family.name, anchor="middle", bold=True)
        for number, start in enumerate(begins[:4]):
            top = 3.5 + number * 10.2
            drawing.box((63.5, top), 27, 8.2, stroke=LINE)
            drawing.text((77, top + 5.6), start, anchor="middle", bold=True)
        listed = ", ".join(begins)
        text = filled(words.text, name=family.name, about=family.about, names=listed)
        yield Figure(
            f"front-{family.id}", filled(words.title, name=family.name), filled(words.caption, names=listed),
            plain_words(text), drawing.svg(), (),
        )  # fmt: skip


def _screen_of(drawing: Drawing, family: Family, words: FrontOfDisplayWords) -> None:
    drawing.box((3.5, 3.5), 56, 33, stroke=LINE)
    drawing.box((3.9, 13.5), 55.2, 1.6, stroke=0, fill="#000")
    points = [(3.9 + 55.2 * n / 24, 29 + 1.4 * math.sin(n * 0.6)) for n in range(25)]
    drawing.hatch([*points, (59.1, 36.1), (3.9, 36.1)], angle_deg=45, spacing=1.4)
    drawing.path(points, stroke=THICK)
    drawing.text((5.5, 10.2), words.depth, bold=True)
    if "temperature" in family.capabilities:
        drawing.text((57.5, 10.2), words.water, anchor="end")
    drawing.text((31, 21.3), words.picture, anchor="middle")
