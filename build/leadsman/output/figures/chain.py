"""The chain from battery to bottom, and where a meter's probes go: fuse, legs, plug, backbone."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.output.figures.drawing import CARD_WIDTH, DASHED, LINE, THICK, THIN, Drawing, Point
from leadsman.output.figures.figure import Figure
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
    for x, y, words, anchor in (
        (1, 27.4, "battery", "start"), (23.5, 9.4, "fuse", "middle"), (34, 22.6, "lead", "middle"),
        (42.8, 9.4, "plug", "middle"), (54.5, 29.0, "display", "middle"), (66.3, 9.4, "plug", "middle"),
        (73.5, 22.6, "cable", "middle"), (92.5, 7.4, "transducer", "end"), (92.5, 34.0, "water, bottom", "end"),
    ):  # fmt: skip
        drawing.text((x, y), words, anchor=anchor)
    yield Figure(
        "chain", "From battery to bottom", "One broken link stops the depth; the checks go along the chain from left to right.",
        "The chain that the depth depends on, from left to right: battery, fuse, power lead, power plug, display, transducer plug, cable, "
        "transducer. At last come the water and the bottom below it. Power runs one way along it, the echo comes back the other.",
        drawing.svg(), ("dead-unit", "which-part"),
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
    for x, words in ((33.2, "A"), (59.8, "B")):
        drawing.circle((x, wire), 1.3, stroke=0, fill="#000")
        drawing.line((x, wire), (x, 22.4), LINE, DASHED)
        _meter(drawing, (x, 27))
        drawing.line((x, 31.6), (x, 36), LINE, DASHED)
        drawing.text((x, 5.8), words, anchor="middle", bold=True)
    drawing.line((3, 36), (90, 36), LINE)
    drawing.text((2, 9.6), "from battery +")
    drawing.text((91, 9.6), "to unit", anchor="end")
    drawing.text((46.5, 20.2), "fuse", anchor="middle")
    drawing.text((2, 41.8), "battery –")
    drawing.text((91, 41.8), "unit switched on", anchor="end")
    yield Figure(
        "fuse-ends", "A meter on both ends of a fuse",
        "Volts at A and none at B: fuse or holder is open. Far less at B: a bad contact.",
        "A fuse in the plus lead with the unit switched on. A meter measures from battery minus to end A, which comes from the battery, and then "
        "to end B, which goes to the unit. The same volts at both ends mean a sound fuse. Volts at A and none at B mean that fuse or holder is open.",
        drawing.svg(), ("fuse-blows", "dead-unit", "fuse-drop"),
    )  # fmt: skip


def legs(numbers: Numbers) -> Iterator[Figure]:
    """The drop along each leg of the lead, with its four probe places."""
    drawing = Drawing(CARD_WIDTH, 52)
    drawing.box((1, 15), 14, 22, stroke=THICK)
    drawing.text((8, 28), "battery", anchor="middle")
    drawing.box((76, 13), 16, 26, stroke=THICK)
    drawing.text((84, 28), "unit on", anchor="middle")
    for y, sign in ((17.5, "+"), (34.5, "–")):
        drawing.line((15, y), (76, y), LINE)
        drawing.text((11.5, y + 1.4), sign, bold=True, anchor="middle")
    drawing.box((28, 15.6), 8, 3.8, stroke=LINE)
    for x, y, words in ((17.5, 17.5, "A"), (72.5, 17.5, "B"), (72.5, 34.5, "C"), (17.5, 34.5, "D")):
        drawing.circle((x, y), 1.3, stroke=0, fill="#000")
        drawing.text((x, y - 3 if y < 20 else y + 6.2), words, bold=True, anchor="middle")
    for y, far, words in ((6.5, 17.5, "plus leg"), (46, 34.5, "minus leg")):
        for x in (21.5, 68.5):
            drawing.line((x, y), (17.5 if x < 40 else 72.5, far), THIN, DASHED)
        drawing.line((21.5, y), (68.5, y), LINE, DASHED)
        _meter(drawing, (45, y if y > 20 else 6.0))
        drawing.text((56 if y < 20 else 51.5, y + (5.4 if y < 20 else -2.4)), words, plate=True)
    drawing.text((45, 28), "drop of the whole lead: both legs", anchor="middle")
    yield Figure(
        "legs", "The drop along each leg", "Measure each leg under load; the leg with the greater drop holds the bad joint.",
        "Where the probes go to find the leg that takes the volts, unit switched on and transmitting. From A at the battery's plus to B at the plug's plus: "
        "the drop of the plus leg with its fuse. From C at the plug's minus to D at the battery's minus: the drop of the minus leg.",
        drawing.svg(), ("restarts-on-transmit", "connection-comes-and-goes", "longest-run-3-metric"),
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
    drawing.text((20, 24), "jacket", anchor="middle")
    drawing.text((45, 11), "shield", anchor="middle")
    drawing.text((58, 13.6), "insulation", anchor="start")
    for y, words in ((20.6, "pair"), (26.6, "pair"), (34.6, "shield")):
        drawing.text((79, y), words)
    drawing.text((1, 41.6), "pair to pair: the element's own value")
    drawing.text((1, 46.4), "either to shield: no path at all", bold=True)
    yield Figure(
        "cable-inside", "Pair, shield and insulation", "A path from pair to shield means water in the cable or a crushed place.",
        "The end of a transducer's cable laid open: the jacket outside, under it the woven shield, inside two insulated conductors that make a pair. At the "
        "plug each ends on a pin of its own. Pair to pair the element's own value is measured; from either conductor to the shield there is no path.",
        drawing.svg(), ("no-sensor", "since-splice", "one-band-only"),
    )  # fmt: skip


def backbone(numbers: Numbers) -> Iterator[Figure]:
    """A network backbone with both terminators."""
    drawing = Drawing(CARD_WIDTH, 45)
    line = 14.0
    drawing.line((10, line), (83, line), THICK)
    for x in (4.0, 83.0):
        drawing.box((x, line - 3), 6, 6, stroke=LINE, fill="#000")
    for x, words in ((24, "display"), (46.5, "sounder box"), (69, "power")):
        drawing.box((x - 2.5, line - 2.2), 5, 4.4, stroke=LINE)
        drawing.line((x, line + 2.2), (x, 27), LINE)
        drawing.box((x - 10, 27), 20, 8, stroke=LINE)
        drawing.text((x, 32.6), words, anchor="middle")
    drawing.text((0.8, 7.4), "terminator")
    drawing.text((92.2, 7.4), "terminator", anchor="end")
    drawing.text((46.5, 9.4), "backbone", anchor="middle")
    drawing.text((26, 24.2), "drop")
    drawing.text((46.5, 42.4), "one terminator at each end, none between", anchor="middle", bold=True)
    yield Figure(
        "backbone", "Backbone with its terminators", "Two terminators, one at each end; power comes in once, between them.",
        "A network backbone drawn as one straight line with a terminator at each end and none between. Display, sounder box and power each join it by a "
        "tee and a drop of their own. With one terminator missing the bus reads twice its resistance; with a third one it reads too little.",
        drawing.svg(), ("depth-missing-on-bus", "bus-readings"),
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
    drawing.text((3.5, 27), "pulse")
    drawing.text((29, 27), "echo")
    drawing.box((52, 4), 40, 42, stroke=THICK)
    drawing.box((52.4, 7), 39.2, 3, stroke=0, fill="#000")
    drawing.path([(52.4, 37), (91.6, 37)], stroke=THICK)
    drawing.hatch([(52.4, 37), (91.6, 37), (91.6, 45.6), (52.4, 45.6)], angle_deg=45, spacing=1.5)
    drawing.text((72, 15.4), "band: the pulse", anchor="middle")
    drawing.text((72, 34.4), "bottom: the echo", anchor="middle")
    drawing.dimension((72, 18), (72, 30.4))
    drawing.text((74, 25.6), "time")
    yield Figure(
        "pulse-and-echo", "Pulse and echo", "The band proves the pulse, the bottom proves the echo; the time between them is the depth.",
        "Left a boat whose transducer sends a pulse down to the bottom and hears the echo that comes up again. Right the screen: the solid band at its top is "
        "the pulse itself. The line below is the echo of the bottom, and the time between the two is the depth.",
        drawing.svg(), ("depth-never-appeared", "not-transmitting"),
    )  # fmt: skip
