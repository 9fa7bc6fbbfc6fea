"""The hull under a transducer: deadrise, element and the tilt that is left; the fairing block, to scale."""

from __future__ import annotations

import math
from collections.abc import Iterator

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
    down,
    polar,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, angle, plain_words

#: Length of the beams that are drawn [mm].
_BEAM_MM = 31.0
#: One to this many, the fairing block is drawn.
BLOCK_SCALE = 2.0


def hull_section(numbers: Numbers) -> Iterator[Figure]:
    """The boat with the steepest element: what a level element does on its hull, and what the right one leaves."""
    tilted = [boat for boat in numbers.catalogue.boats.values() if boat.element_tilt_deg > 0]
    if not tilted:
        return
    boat = max(tilted, key=lambda b: b.deadrise_deg)
    inputs = numbers.boat(boat)
    rise, element, width = boat.deadrise_deg, boat.element_tilt_deg, float(inputs["beamwidth_deg"])
    left = {
        tilt: float(
            numbers.ask("hull.residual_tilt", {"deadrise_deg": rise, "element_tilt_deg": tilt}).athwart
        )
        for tilt in (0.0, element)
    }
    words = numbers.words.hull_section
    drawing = Drawing(CARD_WIDTH, 60)
    keel, half = (46.5, 22.0), 37.0
    _hull(drawing, keel, half, rise)
    for side, tilt in ((-1, 0.0), (1, element)):
        face = on_bottom(keel, 17.0 * side, rise)
        _beam(drawing, face, side * rise, side * left[tilt], width)
    drawing.arc(keel, 11, -rise, 0)
    drawing.line(keel, (keel[0] + 13, keel[1]), THIN, DOTTED)
    drawing.text((keel[0] + 10.5, keel[1] + 4.4), angle(rise), anchor="middle")
    drawing.text((42, 8.5), filled(words.rise, angle=angle(rise)), anchor="middle")
    drawing.text((42, 28.5), words.keel, anchor="middle")
    mark = numbers.catalogue.transducers[boat.transducer].mark
    if mark.points_to != "none":
        drawing.text((66, 8.5), filled(words.mark, where=words.marks[mark.points_to]), anchor="middle")
    for x, head, tilt in (
        (2.0, words.level, 0.0),
        (CARD_WIDTH - 2, filled(words.element, angle=angle(element)), element),
    ):
        anchor = "start" if x < keel[0] else "end"
        drawing.text((x, 53.6), head, anchor=anchor)
        drawing.text((x, 58.2), filled(words.leans, angle=angle(left[tilt], "up")), anchor=anchor, bold=True)
    drawing.text((46.5, 53.6), filled(words.beam, angle=angle(width)), anchor="middle")
    drawing.text((46.5, 58.2), words.plumb, anchor="middle")
    text = filled(
        words.text,
        boat=boat.name,
        rise=angle(rise),
        beam=angle(width),
        level=angle(left[0.0], "up"),
        verdict=words.outside if left[0.0] > width / 2 else words.weakens,
        element=angle(element),
        left=angle(left[element], "up"),
        turned=angle(rise + element, "up"),
    )
    caption = filled(words.caption, boat=boat.name, angle=angle(element))
    yield Figure(
        "hull-section", str(words.title), caption, plain_words(text), drawing.svg(),
        ("wrong-element", "choosing-transducer", "element-for-deadrise", "residual-tilt"),
    )  # fmt: skip


def on_bottom(keel: Point, offset: float, rise_deg: float) -> Point:
    """The point of a straight bottom at a level offset from its keel.

    Examples
    --------
    >>> on_bottom((50.0, 30.0), -10.0, 45.0)
    (40.0, 20.0)
    """
    return keel[0] + offset, keel[1] - abs(offset) * math.tan(math.radians(rise_deg))


def _hull(drawing: Drawing, keel: Point, half: float, rise_deg: float) -> None:
    chines = [on_bottom(keel, side * half, rise_deg) for side in (-1, 1)]
    tops = [(x + (-2 if x < keel[0] else 2), 1.5) for x, _ in chines]
    water = 5.2
    for x1, x2 in ((0.5, tops[0][0]), (tops[1][0], drawing.width - 0.5)):
        drawing.line((x1, water), (x2, water), THIN, LONG_DASHED)
    drawing.path([tops[0], chines[0], keel, chines[1], tops[1]], stroke=THICK)


def _beam(drawing: Drawing, face: Point, hull_deg: float, tilt_deg: float, width_deg: float) -> None:
    """A transducer on the bottom and its beam, which leans to the right by the tilt."""
    edges = [down(face, _BEAM_MM, tilt_deg + side * width_deg / 2) for side in (-1, 1)]
    drawing.hatch([face, *edges], angle_deg=90 - tilt_deg + 50, spacing=1.5)
    drawing.path([edges[0], face, edges[1]], stroke=LINE)
    drawing.line(face, down(face, _BEAM_MM - 3, 0), LINE, DOTTED)
    # The housing lies flush with the bottom; the element in it lies square to the beam.
    drawing.path(_turned(face, [(-3.6, -2.6), (3.6, -2.6), (3.0, 0.9), (-3.0, 0.9)], -hull_deg), stroke=0,
                 closed=True, fill="#000")  # fmt: skip
    inside = _turned(face, [(0, -0.9)], -hull_deg)[0]
    drawing.path(_turned(inside, [(-2.0, -0.3), (2.0, -0.3), (2.0, 0.3), (-2.0, 0.3)], -tilt_deg), stroke=0,
                 closed=True, fill="#fff")  # fmt: skip


def _turned(centre: Point, shape: list[Point], angle_deg: float) -> list[Point]:
    """A shape about a centre, turned clockwise as the sheet is seen."""
    a = math.radians(angle_deg)
    return [
        (centre[0] + u * math.cos(a) - v * math.sin(a), centre[1] + u * math.sin(a) + v * math.cos(a))
        for u, v in shape
    ]


def fairing_block(numbers: Numbers) -> Iterator[Figure]:
    """The cutting guide for the steepest boat of the content, half of true size, with the numbers of the formula."""
    boats = numbers.catalogue.boats.values()
    table = numbers.table("fairing-block")
    if not boats or table is None:
        return
    boat = max(boats, key=lambda b: b.deadrise_deg)
    width = float(table.fixed["width_mm"])
    block = numbers.ask("hull.fairing_block", {"deadrise_deg": boat.deadrise_deg, **table.fixed})
    cut, thin, thick, stem = (
        float(v) for v in (block.cut_angle, block.thin_side, block.thick_side, block.at_stem)
    )
    words = numbers.words.fairing
    drawing = Drawing(CARD_WIDTH, 74)
    left, top = 15.0, 8.0
    scale = f"1:{BLOCK_SCALE:g}"
    wide, low, high = width / BLOCK_SCALE, thin / BLOCK_SCALE, thick / BLOCK_SCALE
    whole = low + high
    # One piece of wood: below the cut the block outside the hull, above it the backing block inside.
    corner, right = (left, top + whole), left + wide
    start, end = (left, top + whole - low), (right, top + whole - high)
    outer = [corner, start, end, (right, top + whole)]
    drawing.box((left, top), wide, whole)
    drawing.hatch(outer, angle_deg=45, spacing=2.2)
    drawing.path([start, end], stroke=THICK)
    drawing.path([*outer, outer[0]], stroke=LINE)
    drawing.text((left + 1.5, top + 5.5), words.backing, plate=True)
    drawing.text((right - 1.5, top + 5.5), filled(words.scale, scale=scale), anchor="end")
    drawing.text((left + wide * 0.66, top + whole - 4.5), words.outer, anchor="middle", bold=True, plate=True)
    drawing.line(start, (left + 24, start[1]), THIN, DOTTED)
    drawing.arc(start, 21, -cut, 0)
    drawing.text((left + 22.6, start[1] - 2.2), angle(cut), plate=True)
    middle = (left + right) / 2
    drawing.line((middle, top - 3), (middle, top + whole + 2), THIN, DASHED)
    drawing.text((middle, top - 3.6), words.stem, anchor="middle")
    size = numbers.size
    for x, length, label, anchor in (
        (left - 3, low, size(thin, "nearest"), "end"), (right + 3, high, size(thick, "nearest"), "start"),
    ):  # fmt: skip
        drawing.dimension((x, top + whole - length), (x, top + whole), head=1.3)
        sideways = x - 1.2 if anchor == "end" else x + 1.2
        drawing.text((sideways, top + whole - length / 2 + 1.3), label, anchor=anchor)
    foot = top + whole + 4.5
    drawing.dimension((left, foot), (right, foot))
    drawing.text((middle, foot + 1.3), size(width, "nearest"), anchor="middle", plate=True)
    drawing.text((left - 14, foot + 9.5), words.keel_side, bold=True)
    drawing.text((right + 17, foot + 9.5), words.outboard, anchor="end", bold=True)
    _twins(drawing, foot + 12, cut, numbers)
    at_stem = size(stem, "nearest")
    drawing.text((middle, foot + 9.5), filled(words.at_stem, size=at_stem), anchor="middle")
    text = filled(
        words.text,
        boat=boat.name,
        rise=angle(boat.deadrise_deg),
        scale=scale,
        width=size(width, "nearest"),
        angle=angle(cut),
        thin=size(thin, "nearest"),
        stem=at_stem,
        thick=size(thick, "nearest"),
    )
    yield Figure(
        "fairing-block", str(words.title), str(words.caption),
        plain_words(text), drawing.svg(), ("wrong-element", "choosing-transducer", "fairing-block"),
    )  # fmt: skip


def _twins(drawing: Drawing, top: float, cut_deg: float, numbers: Numbers) -> None:
    """Both outer blocks small, as they sit under the hull seen from astern, and a rule to check the scale."""
    words = numbers.words.fairing
    wide, low = 13.0, 1.6
    high = low + wide * math.tan(math.radians(cut_deg))
    keel = (46.5, top + high + 1.5)
    for side, name in ((-1, words.port), (1, words.starboard)):
        inner, outer = keel[0] + side * 3, keel[0] + side * (3 + wide)
        points = [(inner, keel[1]), (inner, keel[1] - low), (outer, keel[1] - high), (outer, keel[1])]
        drawing.path([*points, points[0]], stroke=LINE)
        drawing.hatch(points, angle_deg=45 * side, spacing=1.6)
        drawing.text((outer + side * 2, keel[1]), name, anchor="end" if side < 0 else "start")
        drawing.line(
            (inner - side * 2, keel[1] - low + 2 * math.tan(math.radians(cut_deg))),
            polar((outer, keel[1] - high), 3, -cut_deg if side > 0 else 180 + cut_deg),
            THICK,
        )
