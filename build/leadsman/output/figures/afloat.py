"""Boats from the side, one for each kind of hull, and what sits where below the water."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from leadsman.content.model.equipment import Boat
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    DASHED,
    DOTTED,
    LINE,
    LONG_DASHED,
    THICK,
    THIN,
    Drawing,
    Point,
)
from leadsman.output.figures.figure import Figure, told
from leadsman.output.figures.numbers import Numbers

#: The water line of a boat from the side [mm].
_WATER = 27.0
#: Each kind of hull from the side, bow to the right: its outline, and the depth of its bottom amidships [mm].
_OUTLINES: dict[str, tuple[list[Point], float]] = {
    "flat": ([(9, 19), (86, 18), (76, 30), (9, 30)], 30.0),
    "modified-v": ([(9, 17), (89, 14), (80, 26), (66, 32), (9, 32)], 32.0),
    "deep-v": ([(9, 17), (91, 12), (80, 26), (62, 34), (9, 34)], 34.0),
    "displacement": ([(7, 18), (88, 12), (84, 30), (70, 35), (24, 34), (9, 26)], 34.5),
    "pontoon": ([(9, 22), (82, 22), (89, 26), (82, 31), (9, 31), (7, 26)], 31.0),
    "sailing": ([(10, 21), (88, 17), (78, 29), (56, 32), (30, 31), (14, 26)], 31.5),
}
Drive = Literal["outboard", "sterndrive", "shaft", "jet", "sail"]
#: Display and battery [mm from the stern's edge of the sheet]; on a sailing boat the wheel is aft, far from the battery.
_HELM_X, _BATTERY_X = {"sailing": 18.0}, {"sailing": 45.0}
_PLACE_X = 34.5


@dataclass(frozen=True)
class Box:
    """An upright box on the sheet [mm]."""

    left: float
    top: float
    width: float
    height: float

    @property
    def middle(self) -> float:
        """Half-way between its sides."""
        return self.left + self.width / 2

    @property
    def foot(self) -> float:
        """Its lower edge."""
        return self.top + self.height


@dataclass(frozen=True)
class Fitted:
    """Where the parts of a boat lie on the sheet; the face is the transducer's lower edge."""

    outline: list[Point]
    display: Box
    battery: Box
    transducer: Box


def levels_at(outline: list[Point], x: float) -> tuple[float, float]:
    """Sheer and bottom of an outline at a place along the boat [mm].

    Examples
    --------
    >>> levels_at([(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 6.0)], 5.0)
    (0.0, 5.0)
    """
    found = [
        y1 + (y2 - y1) * (x - x1) / (x2 - x1)
        for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]])
        if x1 != x2 and min(x1, x2) <= x <= max(x1, x2)
    ]
    return min(found), max(found)


def fitted(hull: str, housing: str) -> Fitted:
    """Lay the parts out: display on deck, battery on the floor, transducer where its housing belongs."""
    outline, _ = _OUTLINES[hull]
    helm, battery = _HELM_X.get(hull, 46.0), _BATTERY_X.get(hull, 27.0)
    deck = min(levels_at(outline, helm + side)[0] for side in (-3.5, 3.5))
    floor = min(levels_at(outline, battery + side)[1] for side in (-4, 4))
    return Fitted(
        outline,
        Box(helm - 3.5, deck - 5.9, 7, 5.5),
        Box(battery - 4, floor - 7.2, 8, 5.5),
        _housed(housing, outline),
    )


def _housed(housing: str, outline: list[Point]) -> Box:
    stern, (_, keel) = outline[0][0], levels_at(outline, outline[0][0])
    if housing == "transom":
        # On its bracket abaft the transom, the face a little below the bottom; a counter's arm reaches into the water.
        return Box(stern - 3.6, max(keel, _WATER + 3) - 1.6, 3.4, 2.2)
    if housing == "trolling-motor":
        return Box(82.5, 35.8, 4, 1.6)
    _, floor = levels_at(outline, _PLACE_X)
    if housing == "in-hull":
        # It stands on the inner skin: the stroke of the hull ends half its width above the line.
        return Box(_PLACE_X - 2.5, floor - THICK / 2 - 2.6, 5, 2.6)
    return Box(_PLACE_X - 2.5, floor - 0.6, 5, 2.2)


def boat_side(hull: str, housing: str, drive: str, *, letters: bool = True) -> Drawing:
    """A boat of a kind from the side, with its transducer, display, battery and lead, lettered A to D."""
    drawing = Drawing(CARD_WIDTH, 50)
    outline, bottom = _OUTLINES[hull]
    parts = fitted(hull, housing)
    drawing.line((0.5, _WATER), (92.5, _WATER), THIN, LONG_DASHED)
    drawing.path(outline, stroke=THICK, closed=True, fill="#fff")
    drawing.line((outline[0][0] - 2, _WATER), (outline[1][0], _WATER), THIN, LONG_DASHED)
    _above(drawing, hull, outline)
    _driven(drawing, drive, outline[0], bottom)
    for box in (parts.display, parts.battery):
        drawing.box((box.left, box.top), box.width, box.height)
    _cables(drawing, parts, housing)
    _transducer(drawing, parts, housing)
    if letters:
        _letters(drawing, parts, hull)
    return drawing


def _cables(drawing: Drawing, parts: Fitted, housing: str) -> None:
    """The lead from battery to display, and the transducer's cable, dashed."""
    display, battery, transducer = parts.display, parts.battery, parts.transducer
    ahead = battery.middle < display.middle
    start, end = (
        (battery.left + battery.width, display.left)
        if ahead
        else (battery.left, display.left + display.width)
    )
    turn = end - 4.5 if ahead else end + 4.5
    # Not along the water line.
    level = battery.foot - (2.0 if abs(battery.foot - 2.0 - _WATER) >= 1.2 else 4.2)
    helm = display.top + 3
    drawing.path([(start, level), (turn, level), (turn, helm), (end, helm)])
    if housing == "trolling-motor":
        shaft, over = transducer.middle, display.top + 1.5
        way = [(shaft, 33.0), (shaft, over), (display.left + display.width, over)]
    elif housing == "transom":
        # Up the transom and forward under the deck: no hole below the water.
        under = parts.outline[0][1] + 2.6
        up = transducer.left + transducer.width - 1
        way = [
            (up, transducer.top),
            (up, under),
            (display.middle + 2, under),
            (display.middle + 2, display.foot),
        ]
    else:
        # From inside the hull it leaves above the lead, from a stem below it.
        under = transducer.top - (5.0 if housing == "in-hull" else 1.6)
        foot = display.middle + (2 if ahead else 0)
        way = [
            (transducer.middle, transducer.top),
            (transducer.middle, under),
            (foot, under),
            (foot, display.foot),
        ]
    drawing.path(way, stroke=THIN, dash=DASHED)


def _letters(drawing: Drawing, parts: Fitted, hull: str) -> None:
    """A letter outside the boat for each part, with a line that ends at the part; D at the depth of the face."""
    display, battery, transducer = parts.display, parts.battery, parts.transducer
    deck, _ = levels_at(parts.outline, battery.middle)
    aside = -7.0 if hull == "sailing" or transducer.middle > CARD_WIDTH - 10 else 7.0
    if transducer.middle < 10 and hull in ("sailing", "displacement"):
        aside = -1.7  # clear of the rudder
    _lettered(drawing, "A", (display.middle + 3, max(display.top - 6.2, 3.4)), (display.middle, display.top))
    _lettered(drawing, "B", (battery.middle, deck - 4.2), (battery.middle, battery.top))
    _lettered(
        drawing, "C", (transducer.middle + aside, transducer.foot + 6.5), (transducer.middle, transducer.foot)
    )
    across = 90.8
    drawing.line(
        (transducer.left + transducer.width, transducer.foot), (across + 1.2, transducer.foot), THIN, DOTTED
    )
    drawing.dimension((across, _WATER), (across, transducer.foot), head=1.4)
    middle = (_WATER + transducer.foot) / 2
    _lettered(drawing, "D", (across - 6.0, transducer.foot + 6.5), (across, middle))


def _lettered(drawing: Drawing, letter: str, centre: Point, part: Point) -> None:
    away = math.atan2(part[1] - centre[1], part[0] - centre[0])
    edge = (centre[0] + 3 * math.cos(away), centre[1] + 3 * math.sin(away))
    drawing.line(edge, part, THIN)
    drawing.badge(centre, letter)


def _above(drawing: Drawing, hull: str, outline: list[Point]) -> None:
    deck = outline[0][1]
    if hull == "sailing":
        drawing.line((52, deck - 1), (52, 1), THICK)
        drawing.line((52, 9.5), (24, 11.5), LINE)
        drawing.path([(60, 32), (44, 32), (41, 41), (54, 41)], stroke=THICK, closed=True, fill="#fff")
    elif hull == "displacement":
        drawing.path([(52, 15), (54, 4), (70, 4), (73, 13.3)], stroke=LINE)
        drawing.box((56.5, 6), 11, 4.5, stroke=LINE)
    elif hull == "pontoon":
        drawing.path([(12, 22), (12, 14), (80, 14), (80, 22)], stroke=LINE)
        drawing.path([(20, 14), (18, 3), (44, 3), (42, 14)], stroke=LINE)
    elif hull == "flat":
        drawing.line((64, 18.3), (64, 24), LINE)
    else:
        drawing.path([(52, deck - 1.2), (58, deck - 8), (61, deck - 1.8)], stroke=LINE)


def _driven(drawing: Drawing, drive: str, stern: Point, bottom: float) -> None:
    x, deck = stern
    if drive == "outboard":
        drawing.path([(x - 7, deck - 7), (x - 1, deck - 7), (x - 1, deck + 1), (x - 7, deck + 1)], stroke=LINE, closed=True,
                     fill="#fff")  # fmt: skip
        drawing.path(
            [(x - 6.6, deck + 1), (x - 6.6, bottom + 4.5), (x - 4.4, bottom + 4.5), (x - 4.4, deck + 1)],
            stroke=LINE,
        )
        drawing.line((x - 8.2, bottom + 2.8), (x - 8.2, bottom + 6.2), THICK)
        drawing.line((x - 8.2, bottom + 4.5), (x - 4.4, bottom + 4.5), LINE)
    elif drive == "sterndrive":
        drawing.path([(x, bottom - 6), (x - 4.5, bottom - 4), (x - 5, bottom + 4.5), (x - 2.5, bottom + 4.5), (x, bottom - 2)],
                     stroke=LINE, closed=True, fill="#fff")  # fmt: skip
        drawing.line((x - 7.5, bottom + 1.8), (x - 7.5, bottom + 5.4), THICK)
        drawing.line((x - 7.5, bottom + 3.6), (x - 4.8, bottom + 3.6), LINE)
    elif drive == "shaft":
        drawing.line((30, bottom - 1.5), (14, bottom + 2), LINE)
        drawing.line((14, bottom), (14, bottom + 4.5), THICK)
        drawing.line((9.5, 26.3), (9.5, bottom - 3.5), LINE)
        drawing.box((8, bottom - 3.5), 3, 8, stroke=LINE)
    elif drive == "sail":
        drawing.path([(14, 26.2), (19, 27.8), (18, 40), (14.5, 40)], stroke=LINE, closed=True, fill="#fff")


def _transducer(drawing: Drawing, parts: Fitted, housing: str) -> None:
    """The transducer in black, with what holds it."""
    box = parts.transducer
    if housing == "transom":
        arm, height = box.left + box.width - 1, box.top - 4
        (x1, y1), (x2, y2) = parts.outline[0], parts.outline[-1]
        stern = x1 + (x2 - x1) * min(1.0, (height - y1) / (y2 - y1))
        drawing.path([(arm, box.top), (arm, height), (stern, height)], stroke=THICK)
    elif housing == "trolling-motor":
        drawing.line((box.middle, 8), (box.middle, 33), LINE)
        drawing.box((box.middle - 3.5, 33), 8, 2.8, stroke=LINE)
    drawing.box((box.left, box.top), box.width, box.height, stroke=0, fill="#000")


def hulls(numbers: Numbers) -> Iterator[Figure]:
    """Each kind of hull of the content from the side, as its first boat is fitted out."""
    words = numbers.words.hulls
    seen: dict[str, Boat] = {}
    for boat in numbers.catalogue.boats.values():
        seen.setdefault(boat.hull, boat)
    for hull, boat in seen.items():
        housing = numbers.catalogue.transducers[boat.transducer].housing
        name = words.names[hull]
        housings = numbers.phrases.guide.housings
        text = filled(words.text, name=name, boat=boat.name, housing=housings[housing])
        yield Figure(
            f"boat-{hull}", filled(words.title, name=name), str(words.caption), text, boat_side(hull, housing, boat.drive).svg(), ("choosing-transducer", "first-launch"),
        )  # fmt: skip


def levels(numbers: Numbers) -> Iterator[Figure]:
    """Surface, face, keel and bottom, and what an offset adds or takes off."""
    drawing = Drawing(CARD_WIDTH, 54)
    drawing.line((0.5, 9), (92.5, 9), THIN, LONG_DASHED)
    drawing.path(
        [(6, 3), (58, 3), (55, 14), (36, 18), (34, 27), (22, 27), (20, 18), (9, 14)],
        stroke=THICK,
        closed=True,
        fill="#fff",
    )
    drawing.box((42, 15.6), 5, 2.2, stroke=0, fill="#000")
    drawing.path([(0.5, 47), (92.5, 47)], stroke=THICK)
    drawing.hatch([(0.5, 47), (92.5, 47), (92.5, 53), (0.5, 53)], angle_deg=45, spacing=1.6)
    drawing.line((45, 17.8), (84, 17.8), THIN, DASHED)
    drawing.line((28, 27), (84, 27), THIN, DASHED)
    for x, top, letter, low in ((62, 9, "A", 17.8), (53, 17.8, "B", 47), (80, 27, "C", 47)):
        drawing.dimension((x, top), (x, low))
        drawing.text((x + 1.6, (top + low) / 2 + 1.4), letter, bold=True, plate=True)
    words = numbers.words.levels
    drawing.text((92, 7.2), words.surface, anchor="end")
    drawing.text((92, 16.4), words.face, anchor="end")
    drawing.text((92, 25.6), words.keel, anchor="end")
    drawing.text((2, 45), words.bottom)
    yield Figure(
        "levels", *told(words), drawing.svg(), ("wrong-by-constant", "depth-bias"),
    )  # fmt: skip


def bracket(numbers: Numbers) -> Iterator[Figure]:
    """A transom bracket that is down and square, kicked up, and askew."""
    drawing = Drawing(CARD_WIDTH, 42)
    for left in (0.0, 31.0):
        drawing.path([(left + 6, 4), (left + 9, 25), (left + 0.5, 25)], stroke=THICK)
        drawing.line((left + 1, 13), (left + 30, 13), THIN, LONG_DASHED)
    drawing.path(
        [(8.6, 15), (12, 15), (12, 26), (24, 27.5), (24, 30.5), (10, 29)],
        stroke=LINE,
        closed=True,
        fill="#000",
    )
    drawing.path(
        [(39.6, 15), (43, 15), (51, 8), (57, 3.5), (59.5, 6), (43, 19.5)],
        stroke=LINE,
        closed=True,
        fill="#000",
    )
    drawing.path([(64, 25), (92, 25), (92, 4), (64, 4)], stroke=THICK, closed=True)
    drawing.line((63, 13), (92.5, 13), THIN, LONG_DASHED)
    drawing.path([(75, 15), (80, 14), (83, 26.5), (78, 27.8)], stroke=LINE, closed=True)
    drawing.path([(71.5, 30.5), (89.5, 26), (90.2, 28.8), (72.2, 33.3)], stroke=0, closed=True, fill="#000")
    words = numbers.words.bracket
    for x, label in ((15, words.down), (46.5, words.up), (78, words.askew)):
        drawing.text((x, 39.8), label, anchor="middle", bold=True)
    yield Figure(
        "bracket", *told(words), drawing.svg(), ("transom-bracket", "depth-lost-under-way"),
    )  # fmt: skip


def pin_states(numbers: Numbers) -> Iterator[Figure]:
    """Pins that are good, green, bent and pushed back, and a collar that is home."""
    drawing = Drawing(CARD_WIDTH, 38)
    words = numbers.words.pin_states
    for n, state in enumerate(words.states):
        left = 0.6 + n * 18.5
        drawing.text((left + 8.6, 36), state, anchor="middle", bold=True)
        if n == 4:
            drawing.box((left + 3, 6), 11, 10, stroke=LINE)
            drawing.box((left + 0.6, 16), 15.8, 9, stroke=THICK)
            for rib in range(6):
                drawing.line((left + 2 + rib * 2.6, 16.5), (left + 2 + rib * 2.6, 24.5), THIN)
            drawing.line((left + 8.5, 25), (left + 8.5, 30.5), THICK)
            continue
        drawing.box((left + 1, 18), 15.4, 9, stroke=THICK)
        drawing.line((left + 8.6, 27), (left + 8.6, 31), THICK)
        for pin in range(3):
            place = left + 4.2 + pin * 4.5
            odd = pin == 1
            top = 15.5 if n == 3 and odd else 8.0
            lean = 3.0 if n == 2 and odd else 0.0
            drawing.path(
                [(place, 18), (place, 14 if lean else top), (place + lean, top + (1 if lean else 0))],
                stroke=THICK,
            )
            if n == 1 and odd:
                for k in range(5):
                    drawing.circle((place + (-0.9 if k % 2 else 0.9), 9 + k * 1.9), 0.9, stroke=LINE)
    yield Figure(
        "pin-states", *told(words), drawing.svg(), ("no-sensor", "connection-comes-and-goes", "dead-unit"),
    )  # fmt: skip
