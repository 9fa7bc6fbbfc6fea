"""Eight faults as a screen shows them, and the front of each display family with what its menus ask for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from leadsman.content.model.equipment import Family
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
    for name, title, caption, text, serves, draw in _FAULTS:
        drawing = Drawing(SCREEN_WIDTH, SCREEN_HEIGHT)
        right, foot = SCREEN_WIDTH - 0.4, SCREEN_HEIGHT - 0.4
        drawing.path([(0.4, 0.4), (right, 0.4), (right, foot), (0.4, foot)], stroke=THICK, closed=True)
        drawing.box((_LEFT, _TOP), _RIGHT - _LEFT, _FOOT - _TOP, stroke=_FRAME)
        draw(drawing, small if name == "small-number" else depth)
        said = text.format(depth=depth, small=small)
        yield Figure(f"screen-{name}", title, caption, plain_words(said), drawing.svg(), serves)


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


def _dark(drawing: Drawing, _: str) -> None:
    drawing.box((_LEFT, _TOP), _RIGHT - _LEFT, _FOOT - _TOP, stroke=_FRAME, fill="#000")
    drawing.text((22, 17.3), "no light", anchor="middle", bold=True, size=_LETTERS, plate=True)


def _message(drawing: Drawing, _: str) -> None:
    drawing.box((6, 10), 32, 11.5, stroke=THICK)
    drawing.text((22, 17.2), "a message", anchor="middle", bold=True, size=_LETTERS)


def _empty(drawing: Drawing, _: str) -> None:
    _number(drawing, "– –")
    drawing.text((22, 19.5), "nothing is drawn", anchor="middle", size=_LETTERS)


def _no_number(drawing: Drawing, _: str) -> None:
    _band(drawing)
    _bottom(drawing, _even())
    _number(drawing, "– –")


def _breaks(drawing: Drawing, depth: str) -> None:
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


def _small(drawing: Drawing, small: str) -> None:
    drawing.box((_LEFT + 0.4, _TOP + 8.2), _RIGHT - _LEFT - 0.8, 4.4, stroke=0, fill="#000")
    _bottom(drawing, _even())
    _number(drawing, small)


def _streaks(drawing: Drawing, depth: str) -> None:
    _bottom(drawing, _even())
    for n in range(22):
        x = 3.2 + 1.78 * n
        drawing.line((x, 10.5 + (n * 7) % 5), (x, 15.0 + (n * 11) % 12), _FRAME)
    _number(drawing, depth)


def _teeth(drawing: Drawing, depth: str) -> None:
    points = [(_LEFT + 0.4 + 40.2 * n / 16, 23.5 if n % 2 else 17.0) for n in range(17)]
    _bottom(drawing, points)
    _number(drawing, depth)


_Draw = Callable[[Drawing, str], None]
_FAULTS: tuple[tuple[str, str, str, str, tuple[str, ...], _Draw], ...] = (
    ("dark", "Dark screen", "No light, no picture, no sound.",
     "A screen that stays black all over after the power key is held. There is no light, no letter and no picture, as on a unit that gets no power.",
     ("dead-unit",), _dark),
    ("message", "A message stands on the screen", "Copy the message word for word before you clear it.",
     "A screen on which a box with a message covers the picture. The words of the message differ from display to display; the list of messages has each.",
     ("no-sensor", "type-not-recognised"), _message),
    ("empty", "Neither number nor picture", "Dashes for the depth, and nothing drawn, not even a band at the top.",
     "A screen with two dashes in the depth corner and nothing drawn below them. There is no solid band at the top of the picture either, which a sounder that transmits would draw.",
     ("not-transmitting", "hidden-by-filters"), _empty),
    ("no-number", "A picture and no number", "The band stands at the top and the bottom is drawn, but the depth stays empty.",
     "A screen with a solid band at its top and a bottom drawn from side to side. The depth corner above them holds two dashes and has shown no number since the unit was switched on.",
     ("depth-never-appeared",), _no_number),
    ("breaks-off", "Depth lost under way", "The bottom ends in ragged strokes, and the last number flashes.",
     "A screen whose bottom is drawn in the left half and ends there. Ragged strokes follow, as the boat gathers speed. The last depth, {depth}, flashes and is old.",
     ("depth-lost-under-way", "depth-flashes"), _breaks),
    ("small-number", "A small number that stays", "The number belongs to the thick band at the top, not to the bottom.",
     "A screen with a very thick band at its top and the true bottom far below it. The depth corner shows {small}, which is read from the band and stays whatever the water does.",
     ("stuck-small-number",), _small),
    ("streaks", "Speckle and streaks", "Strokes from top to foot that come with an engine, a pump or another sounder.",
     "A screen whose water is filled with upright strokes of all lengths, from the top down to the bottom line. The depth corner shows {depth}. The strokes are noise and no fish.",
     ("noise-streaks", "cross-talk"), _streaks),
    ("teeth", "Bottom like the teeth of a saw", "One tooth for each wave: the boat moves, the bottom does not.",
     "A screen whose bottom runs up and down in even teeth from side to side while the boat lies in waves. The depth corner shows {depth} and changes with every wave.",
     ("saw-tooth",), _teeth),
)  # fmt: skip


def fronts(numbers: Numbers) -> Iterator[Figure]:
    """The front of each display family with the places that its menu paths begin at."""
    for family in numbers.catalogue.families.values():
        begins = list(dict.fromkeys(str(path[0]) for path in family.menus.values()))
        if not begins:
            continue
        drawing = Drawing(CARD_WIDTH, 46)
        drawing.box((0.5, 0.5), 92, 45, stroke=THICK)
        _screen_of(drawing, family)
        drawing.text((31, 41.6), family.name, anchor="middle", bold=True)
        for number, words in enumerate(begins[:4]):
            top = 3.5 + number * 10.2
            drawing.box((63.5, top), 27, 8.2, stroke=LINE)
            drawing.text((77, top + 5.6), words, anchor="middle", bold=True)
        listed = ", ".join(begins)
        text = (
            f"Front of the {family.name} display, drawn to explain and not to scale. {family.about} Left its screen with the depth "
            f"corner, the band at the top and the bottom. Right the places at which its menu paths begin: {listed}."
        )
        yield Figure(
            f"front-{family.id}", f"Front of the {family.name} display",
            f"Each menu path of this display begins at one of these: {listed}.",
            plain_words(text), drawing.svg(), (),
        )  # fmt: skip


def _screen_of(drawing: Drawing, family: Family) -> None:
    drawing.box((3.5, 3.5), 56, 33, stroke=LINE)
    drawing.box((3.9, 13.5), 55.2, 1.6, stroke=0, fill="#000")
    points = [(3.9 + 55.2 * n / 24, 29 + 1.4 * math.sin(n * 0.6)) for n in range(25)]
    drawing.hatch([*points, (59.1, 36.1), (3.9, 36.1)], angle_deg=45, spacing=1.4)
    drawing.path(points, stroke=THICK)
    drawing.text((5.5, 10.2), "depth", bold=True)
    if "temperature" in family.capabilities:
        drawing.text((57.5, 10.2), "water", anchor="end")
    drawing.text((31, 21.3), "picture", anchor="middle")
