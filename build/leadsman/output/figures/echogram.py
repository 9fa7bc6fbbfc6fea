"""The way of the sound beside the picture that it draws: band at the top, bottom, and second return."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.model.figure_words import BandTopWords
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    DASHED,
    LINE,
    LONG_DASHED,
    THICK,
    THIN,
    Drawing,
    spread,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

#: Water under the face in the picture, a bottom that the dead zone does not hide [m], [ft].
DEPTHS = (3.0, 10.0)
#: Millimetres of the sheet for a metre of water.
SCALE = 6.4
#: Where the face stands on the sheet.
TOP = 7.5
#: Fall of the ringing up to which the band shows [dB]: with the gain on automatic, and with full gain.
AUTOMATIC_DB, FULL_DB = 80.0, 100.0


def dead_zone(numbers: Numbers) -> Iterator[Figure]:
    """The boat with the shallowest face and its lowest band: what it shows over the same bottom."""
    boats = numbers.catalogue.boats.values()
    if not boats:
        return
    boat = min(boats, key=lambda b: (b.face_immersion_m, b.id))
    transducer = numbers.catalogue.transducers[boat.transducer]
    down = [band for band in transducer.bands if band.looks == "down"]
    if not down:
        return
    band = min(down, key=lambda b: b.frequency_khz)
    given = numbers.band(transducer, down.index(band))
    zone = {
        decay: float(numbers.ask("transducer.dead_zone", given, decay_db=decay))
        for decay in (AUTOMATIC_DB, FULL_DB)
    }
    depth_m = numbers.round_depth(*DEPTHS)
    hanging = {"face_immersion_m": boat.face_immersion_m}
    second = float(numbers.ask("echo.second_return", hanging, depth_m=depth_m).from_face)
    words = numbers.words.band_top
    drawing = Drawing(CARD_WIDTH, 60)
    _water(drawing, depth_m, boat.face_immersion_m, words)
    _picture(drawing, zone, depth_m, second, words)
    depth = numbers.depth
    marks = [
        (zone[AUTOMATIC_DB], filled(words.band, depth=depth(zone[AUTOMATIC_DB], "up")), True),
        (zone[FULL_DB], filled(words.full, depth=depth(zone[FULL_DB], "up")), False),
        (depth_m, filled(words.bottom, depth=depth(depth_m, "nearest")), True),
        (second, filled(words.second, depth=depth(second, "nearest")), True),
    ]
    levels = [TOP + m * SCALE for m, _, _ in marks]
    edge = 64.0
    for level, place, (_, label, bold) in zip(levels, spread(levels, 4.8, TOP + 2, 56), marks, strict=True):
        drawing.path([(edge - 1.5, level), (edge + 0.5, level), (edge + 2, place - 0.2)], stroke=THIN)
        drawing.text((edge + 2.6, place + 1.1), label, bold=bold)
    foot = TOP + second * SCALE
    drawing.lines((edge + 2.6, foot + 5.8), words.not_there, step=4.3)
    text = filled(
        words.text,
        boat=boat.name,
        immersion=depth(boat.face_immersion_m, "nearest"),
        depth=depth(depth_m, "nearest"),
        name=band.name,
        band=depth(zone[AUTOMATIC_DB], "up"),
        full=depth(zone[FULL_DB], "up"),
        bottom=depth(depth_m, "nearest"),
        second=depth(second, "nearest"),
    )
    yield Figure(
        "dead-zone", str(words.title), str(words.caption), plain_words(text), drawing.svg(),
        ("stuck-small-number", "wrong-by-factor", "no-bottom-shallow", "heavy-band-at-top", "dead-zone", "second-return"),
    )  # fmt: skip


def _water(drawing: Drawing, depth_m: float, immersion_m: float, words: BandTopWords) -> None:
    """Boat, bottom, and the way of both echoes, at the scale of the picture beside it."""
    surface, bottom = TOP - immersion_m * SCALE, TOP + depth_m * SCALE
    drawing.path(
        [(4, surface - 3.2), (6.5, TOP - 0.4), (18.5, TOP - 0.4), (21, surface - 3.2)],
        stroke=LINE,
        closed=True,
        fill="#fff",
    )
    drawing.line((0.5, surface), (5, surface), THIN, LONG_DASHED)
    drawing.line((20, surface), (33, surface), THIN, LONG_DASHED)
    drawing.box((8.5, TOP - 1.2), 5, 1.2, stroke=0, fill="#000")
    ground = [(0.5, bottom), (33, bottom), (33, bottom + 4), (0.5, bottom + 4)]
    drawing.hatch(ground, angle_deg=135, spacing=1.3)
    drawing.line((0.5, bottom), (33, bottom), THICK)
    drawing.arrow((9.5, TOP), (9.5, bottom), LINE)
    drawing.arrow((12.5, bottom), (12.5, TOP), LINE)
    steps = [
        (24, TOP, 24, bottom),
        (26.5, bottom, 26.5, surface),
        (29, surface, 29, bottom),
        (31.5, bottom, 31.5, TOP),
    ]
    for x1, y1, x2, y2 in steps:
        drawing.arrow((x1, y1), (x2, y2), LINE, head=1.4)
    drawing.text((11, bottom + 9), words.once, anchor="middle")
    drawing.text((27.5, bottom + 9), words.twice, anchor="middle")
    drawing.lines((0.5, bottom + 20), words.scale)


def _picture(
    drawing: Drawing, zone: dict[float, float], depth_m: float, second_m: float, words: BandTopWords
) -> None:
    """The picture of the display: time runs to the right, depth down from the face."""
    left, right, foot = 35.5, 62.5, 58.0
    drawing.box((left, TOP), right - left, foot - TOP)
    for decay, spacing, angle_deg in ((FULL_DB, 1.8, 45), (AUTOMATIC_DB, 0.9, 45)):
        low = TOP + zone[decay] * SCALE
        drawing.hatch(
            [(left, TOP), (right, TOP), (right, low), (left, low)], angle_deg=angle_deg, spacing=spacing
        )
    drawing.line((left, TOP + zone[AUTOMATIC_DB] * SCALE), (right, TOP + zone[AUTOMATIC_DB] * SCALE), LINE)
    drawing.line((left, TOP + zone[FULL_DB] * SCALE), (right, TOP + zone[FULL_DB] * SCALE), THIN, DASHED)
    for level, stroke, tail in ((depth_m, THICK, 4.2), (second_m, LINE, 2.2)):
        top = TOP + level * SCALE
        drawing.path([(left, top), (right, top)], stroke=stroke, dash="" if stroke == THICK else DASHED)
        drawing.hatch(
            [(left, top), (right, top), (right, top + tail), (left, top + tail)], angle_deg=90,
            spacing=0.9 if stroke == THICK else 1.8,
        )  # fmt: skip
    drawing.box((left, TOP), right - left, foot - TOP, fill="none")
    drawing.text(((left + right) / 2, TOP - 2.2), words.picture, anchor="middle")
