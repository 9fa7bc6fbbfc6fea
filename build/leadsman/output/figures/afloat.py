"""Boats from the side, one for each kind of hull, and what sits where below the water."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from leadsman.content.model.equipment import Boat
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    DASHED,
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


def boat_side(hull: str, housing: str, drive: str, *, letters: bool = True) -> Drawing:
    """A boat of a kind from the side, with its transducer, display, battery and lead, lettered A to E."""
    drawing = Drawing(CARD_WIDTH, 50)
    outline, bottom = _OUTLINES[hull]
    drawing.line((0.5, _WATER), (92.5, _WATER), THIN, LONG_DASHED)
    drawing.path(outline, stroke=THICK, closed=True, fill="#fff")
    drawing.line((outline[0][0] - 2, _WATER), (outline[1][0], _WATER), THIN, LONG_DASHED)
    _above(drawing, hull, outline)
    _driven(drawing, drive, outline[0], bottom)
    face = _transducer(drawing, housing, outline, bottom)
    helm, battery = (46.0, outline[0][1] - 5.5), (22.0, bottom - 7.5)
    drawing.box((helm[0] - 3.5, helm[1] - 3), 7, 5.5, stroke=LINE)
    drawing.box((battery[0] - 4, battery[1] - 2), 8, 5.5, stroke=LINE)
    drawing.path(
        [(battery[0] + 4, battery[1]), (38, battery[1]), (38, helm[1]), (helm[0] - 3.5, helm[1])], stroke=LINE
    )
    drawing.path([(face[0], face[1]), (face[0], bottom - 2.6), (50, bottom - 2.6), (50, helm[1] + 2.5)], stroke=THIN,
                 dash=DASHED)  # fmt: skip
    if letters:
        drawing.badge((helm[0] + 7.5, helm[1]), "A")
        drawing.badge((battery[0] - 0.2, battery[1] - 6.0), "B")
        drawing.badge((face[0] + (6 if face[0] < 80 else -6), min(face[1] + 5.2, 44.0)), "C")
        drawing.badge((69.5, 45.5), "D")
        drawing.dimension((63.5, _WATER), (63.5, max(face[1] + 1, _WATER + 4.0)))
        drawing.line((63.5, max(face[1] + 1, _WATER + 4.0)), (68, 43.2), THIN)
    return drawing


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
            [(x - 4.6, deck + 1), (x - 4.6, bottom + 4.5), (x - 2.2, bottom + 4.5), (x - 2.2, deck + 1)],
            stroke=LINE,
        )
        drawing.line((x - 7, bottom + 2.8), (x - 7, bottom + 6.2), THICK)
        drawing.line((x - 7, bottom + 4.5), (x - 2.2, bottom + 4.5), LINE)
    elif drive == "sterndrive":
        drawing.path([(x, bottom - 6), (x - 4.5, bottom - 4), (x - 5, bottom + 4.5), (x - 2.5, bottom + 4.5), (x, bottom - 2)],
                     stroke=LINE, closed=True, fill="#fff")  # fmt: skip
        drawing.line((x - 7.5, bottom + 1.8), (x - 7.5, bottom + 5.4), THICK)
        drawing.line((x - 7.5, bottom + 3.6), (x - 4.8, bottom + 3.6), LINE)
    elif drive == "shaft":
        drawing.line((30, bottom - 1.5), (14, bottom + 2), LINE)
        drawing.line((14, bottom), (14, bottom + 4.5), THICK)
        drawing.box((8, bottom - 3.5), 3, 8, stroke=LINE)
    elif drive == "sail":
        drawing.path([(14, 28), (19, 29.4), (18, 40), (14.5, 40)], stroke=LINE, closed=True, fill="#fff")


def _transducer(drawing: Drawing, housing: str, outline: list[Point], bottom: float) -> Point:
    """Draw it and return the place where its cable begins."""
    if housing == "transom":
        x = outline[0][0] + 1.5
        drawing.box((x, bottom), 5.5, 2.0, stroke=0, fill="#000")
        return x + 2.5, bottom
    if housing == "trolling-motor":
        drawing.line((86, 8), (86, 33), LINE)
        drawing.box((82.5, 33), 8, 2.8, stroke=LINE)
        drawing.box((84, 35.8), 4, 1.6, stroke=0, fill="#000")
        return 86.0, 33.0
    place = 33.5
    if housing == "in-hull":
        drawing.box((place - 2.5, bottom - 3.4), 5, 2.6, stroke=0, fill="#000")
        return place, bottom - 3.4
    drawing.box((place - 2.5, bottom - 0.6), 5, 2.2, stroke=0, fill="#000")
    return place, bottom


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
    drawing.line((45, 17.8), (66, 17.8), THIN, DASHED)
    drawing.line((28, 27), (84, 27), THIN, DASHED)
    for x, top, letter, low in ((62, 9, "A", 17.8), (53, 17.8, "B", 47), (80, 27, "C", 47)):
        drawing.dimension((x, top), (x, low))
        drawing.text((x + 1.6, (top + low) / 2 + 1.4), letter, bold=True, plate=True)
    words = numbers.words.levels
    drawing.text((92, 7.2), words.surface, anchor="end")
    drawing.text((66.5, 17.2), words.face)
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
