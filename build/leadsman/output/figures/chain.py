"""The chain from battery to bottom, and where a meter's probes go: fuse, legs, plug, backbone."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.output.figures.drawing import CARD_WIDTH, DASHED, LINE, THICK, THIN, Drawing, Point
from leadsman.output.figures.figure import Figure, told
from leadsman.output.figures.numbers import Numbers


def chain(numbers: Numbers) -> Iterator[Figure]:
    """Everything that must work between battery and bottom, in its order."""
    drawing = Drawing(CARD_WIDTH, 36)
    wire = 15.0
    drawing.line((11, wire), (86, wire), LINE)
    drawing.box((1, 9), 13, 12, stroke=THICK)
    drawing.text((4.2, 16.6), "–", bold=True, anchor="middle")
    drawing.text((10.8, 16.6), "+", bold=True, anchor="middle")
    drawing.box((19, 12.8), 9, 4.4, stroke=LINE)
    drawing.line((19, wire), (28, wire), LINE)
    for x in (40.5, 64.0):
        drawing.box((x, 11.8), 4.6, 6.4, stroke=LINE, fill="#000")
    drawing.box((48, 6), 13, 18, stroke=THICK)
    drawing.box((49.6, 8), 9.8, 9, stroke=LINE)
    drawing.path([(82, 12), (90, 12), (92, 18), (80, 18)], stroke=LINE, closed=True, fill="#000")
    for n in range(1, 4):
        drawing.arc((86, 16), 2.5 + 2.6 * n, 60, 120)
    words = numbers.words.chain
    for x, y, label, anchor in (
        (1, 27.4, words.battery, "start"), (23.5, 9.4, words.fuse, "middle"), (34, 22.6, words.lead, "middle"),
        (42.8, 9.4, words.plug, "middle"), (54.5, 29.0, words.display, "middle"), (66.3, 9.4, words.plug, "middle"),
        (73.5, 22.6, words.cable, "middle"), (92.5, 7.4, words.transducer, "end"), (92.5, 34.0, words.water, "end"),
    ):  # fmt: skip
        drawing.text((x, y), label, anchor=anchor)
    yield Figure(
        "chain", *told(words), drawing.svg(), ("dead-unit", "which-part"),
    )  # fmt: skip


def _meter(drawing: Drawing, centre: Point, words: str = "V") -> None:
    drawing.circle(centre, 4.6, stroke=LINE)
    drawing.text((centre[0], centre[1] + 1.6), words, anchor="middle", bold=True)


def fuse_ends(numbers: Numbers) -> Iterator[Figure]:
    """A meter on both ends of a fuse: where the volts stop."""
    drawing = Drawing(CARD_WIDTH, 44)
    wire = 12.0
    drawing.line((3, wire), (90, wire), LINE)
    drawing.box((34, 8.6), 25, 6.8, stroke=THICK)
    drawing.curve([(38, wire), (46.5, 8.4), (55, wire)], LINE)
    for x, letter in ((33.2, "A"), (59.8, "B")):
        drawing.circle((x, wire), 1.3, stroke=0, fill="#000")
        drawing.line((x, wire), (x, 22.4), LINE, DASHED)
        _meter(drawing, (x, 27))
        drawing.line((x, 31.6), (x, 36), LINE, DASHED)
        drawing.text((x, 5.8), letter, anchor="middle", bold=True)
    drawing.line((3, 36), (90, 36), LINE)
    words = numbers.words.fuse_ends
    drawing.text((2, 9.6), words.plus)
    drawing.text((91, 9.6), words.unit, anchor="end")
    drawing.text((46.5, 20.2), words.fuse, anchor="middle")
    drawing.text((2, 41.8), words.minus)
    drawing.text((91, 41.8), words.switched_on, anchor="end")
    yield Figure(
        "fuse-ends", *told(words), drawing.svg(), ("fuse-blows-late", "fuse-blows", "dead-unit", "fuse-drop"),
    )  # fmt: skip


def legs(numbers: Numbers) -> Iterator[Figure]:
    """The drop along each leg of the lead, with its four probe places."""
    drawing = Drawing(CARD_WIDTH, 52)
    drawing.box((1, 15), 14, 22, stroke=THICK)
    words = numbers.words.legs
    drawing.text((8, 28), words.battery, anchor="middle")
    drawing.box((76, 13), 16, 26, stroke=THICK)
    drawing.text((84, 28), words.unit, anchor="middle")
    for y, sign in ((17.5, "+"), (34.5, "–")):
        drawing.line((15, y), (76, y), LINE)
        drawing.text((11.5, y + 1.4), sign, bold=True, anchor="middle")
    drawing.box((28, 15.6), 8, 3.8, stroke=LINE)
    for x, y, letter in ((17.5, 17.5, "A"), (72.5, 17.5, "B"), (72.5, 34.5, "C"), (17.5, 34.5, "D")):
        drawing.circle((x, y), 1.3, stroke=0, fill="#000")
        drawing.text((x, y - 3 if y < 20 else y + 6.2), letter, bold=True, anchor="middle")
    for y, far, leg in ((6.5, 17.5, words.plus), (46, 34.5, words.minus)):
        for x in (21.5, 68.5):
            drawing.line((x, y), (17.5 if x < 40 else 72.5, far), THIN, DASHED)
        drawing.line((21.5, y), (68.5, y), LINE, DASHED)
        _meter(drawing, (45, y if y > 20 else 6.0))
        drawing.text((56 if y < 20 else 51.5, y + (5.4 if y < 20 else -2.4)), leg, plate=True)
    drawing.text((45, 28), words.both, anchor="middle")
    yield Figure(
        "legs", *told(words), drawing.svg(), ("feed-falls-under-load", "restarts-on-transmit", "connection-comes-and-goes", "longest-run-3-metric"),
    )  # fmt: skip


def shield(numbers: Numbers) -> Iterator[Figure]:
    """What lies inside a transducer's cable, and what is measured at its plug."""
    drawing = Drawing(CARD_WIDTH, 48)
    drawing.box((1, 12), 38, 20, stroke=THICK)
    drawing.box((39, 15), 12, 14, stroke=LINE)
    drawing.hatch([(39, 15), (51, 15), (51, 29), (39, 29)], angle_deg=45, spacing=1.3)
    drawing.hatch([(39, 15), (51, 15), (51, 29), (39, 29)], angle_deg=-45, spacing=1.3)
    for y in (19.0, 25.0):
        drawing.box((51, y - 1.6), 14, 3.2, stroke=LINE)
        drawing.line((65, y), (76, y), THICK)
        drawing.circle((76, y), 1.2, stroke=0, fill="#000")
    drawing.line((45, 29), (76, 33), LINE)
    drawing.circle((76, 33), 1.2, stroke=0, fill="#000")
    words = numbers.words.cable
    drawing.text((20, 24), words.jacket, anchor="middle")
    drawing.text((45, 11), words.shield, anchor="middle")
    drawing.text((58, 13.6), words.insulation, anchor="start")
    for y, label in ((20.6, words.pair), (26.6, words.pair), (34.6, words.shield)):
        drawing.text((79, y), label)
    drawing.text((1, 41.6), words.element)
    drawing.text((1, 46.4), words.no_path, bold=True)
    yield Figure(
        "cable-inside", *told(words), drawing.svg(), ("no-sensor", "since-splice", "one-band-only"),
    )  # fmt: skip


def backbone(numbers: Numbers) -> Iterator[Figure]:
    """A network backbone with both terminators."""
    drawing = Drawing(CARD_WIDTH, 45)
    line = 14.0
    drawing.line((10, line), (83, line), THICK)
    for x in (4.0, 83.0):
        drawing.box((x, line - 3), 6, 6, stroke=LINE, fill="#000")
    words = numbers.words.backbone
    for x, label in ((24, words.display), (46.5, words.box), (69, words.power)):
        drawing.box((x - 2.5, line - 2.2), 5, 4.4, stroke=LINE)
        drawing.line((x, line + 2.2), (x, 27), LINE)
        drawing.box((x - 10, 27), 20, 8, stroke=LINE)
        drawing.text((x, 32.6), label, anchor="middle")
    drawing.text((0.8, 7.4), words.terminator)
    drawing.text((92.2, 7.4), words.terminator, anchor="end")
    drawing.text((46.5, 9.4), words.backbone, anchor="middle")
    drawing.text((26, 24.2), words.drop)
    drawing.text((46.5, 42.4), words.count, anchor="middle", bold=True)
    yield Figure(
        "backbone", *told(words), drawing.svg(), ("depth-missing-on-bus", "bus-readings"),
    )  # fmt: skip


def pulse(numbers: Numbers) -> Iterator[Figure]:
    """Pulse down, echo up, and where both stand on the screen."""
    drawing = Drawing(CARD_WIDTH, 50)
    drawing.line((0.5, 8), (44, 8), THIN, DASHED)
    drawing.path([(8, 4), (36, 4), (34, 10), (10, 10)], stroke=THICK, closed=True, fill="#fff")
    drawing.path([(20, 10), (25, 10), (25.6, 12), (19.4, 12)], stroke=0, closed=True, fill="#000")
    drawing.arrow((20.5, 13), (16.5, 40), LINE)
    drawing.arrow((28.5, 40), (24.5, 13), LINE)
    drawing.path([(0.5, 41), (44, 41)], stroke=THICK)
    drawing.hatch([(0.5, 41), (44, 41), (44, 46), (0.5, 46)], angle_deg=45, spacing=1.5)
    words = numbers.words.pulse
    drawing.text((3.5, 27), words.pulse)
    drawing.text((29, 27), words.echo)
    drawing.box((52, 4), 40, 42, stroke=THICK)
    drawing.box((52.4, 7), 39.2, 3, stroke=0, fill="#000")
    drawing.path([(52.4, 37), (91.6, 37)], stroke=THICK)
    drawing.hatch([(52.4, 37), (91.6, 37), (91.6, 45.6), (52.4, 45.6)], angle_deg=45, spacing=1.5)
    drawing.text((72, 15.4), words.band, anchor="middle")
    drawing.text((72, 34.4), words.bottom, anchor="middle")
    drawing.dimension((72, 18), (72, 30.4))
    drawing.text((74, 25.6), words.time)
    yield Figure(
        "pulse-and-echo", *told(words), drawing.svg(), ("depth-never-appeared", "not-transmitting"),
    )  # fmt: skip
