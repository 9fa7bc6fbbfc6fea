"""The print of the beam on a slope, and the depth that the first echo shows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    DOTTED,
    LINE,
    LONG_DASHED,
    THICK,
    THIN,
    Drawing,
    Point,
    down,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, angle, plain_words

#: Water straight below [m], [ft].
DEPTHS = (10.0, 30.0)
#: Slope [deg], and millimetres of the sheet for a metre of water.
SLOPE_DEG, SCALE = 20.0, 4.2
#: Where the face stands on the sheet.
FACE: Point = (44.0, 6.0)


def beam_on_slope(numbers: Numbers) -> Iterator[Figure]:
    """The widest round beam of the content over a slope: print, first echo, and the water that is there."""
    wide = [
        (t, number)
        for t in numbers.catalogue.transducers.values()
        for number, band in enumerate(band for band in t.bands if band.looks == "down")
        if band.narrow_beamwidth_deg is None
    ]
    if not wide:
        return
    transducer, number = max(wide, key=lambda found: float(numbers.band(*found)["beamwidth_deg"]))
    width = float(numbers.band(transducer, number)["beamwidth_deg"])
    depth_m = numbers.round_depth(*DEPTHS)
    slope = {"depth_m": depth_m, "beamwidth_deg": width, "slope_deg": SLOPE_DEG}
    found = numbers.ask("transducer.footprint_on_slope", slope)
    drawing = Drawing(CARD_WIDTH, 66)
    _draw(drawing, found, depth_m, width)
    depth = numbers.depth
    true, shown, shoalest = (
        depth(depth_m, "nearest"),
        depth(float(found.shown), "nearest"),
        depth(float(found.shoalest), "down"),
    )
    length = depth(float(found.length), "up", step=0.5, us_step=1)
    words = numbers.words.slope
    drawing.lines((1, 12), [words.plumb, true], bold=True)
    drawing.lines((64, 12), [words.first, filled(words.shows, depth=shown)], bold=True)
    drawing.lines((64, 22.5), [words.least, filled(words.in_print, depth=shoalest)])
    drawing.text((1, 28), filled(words.beam, angle=angle(width)))
    drawing.text((1, 32.4), filled(words.slope, angle=angle(SLOPE_DEG)))
    drawing.text((54, 62.5), filled(words.print, size=length))
    text = filled(
        words.text,
        name=transducer.name,
        beam=angle(width),
        slope=angle(SLOPE_DEG),
        depth=true,
        shown=shown,
        length=length,
        least=shoalest,
    )
    yield Figure(
        "beam-on-slope", str(words.title), str(words.caption),
        plain_words(text), drawing.svg(), ("disagrees-with-chart", "shallow-and-wanders", "slope-error", "beam-print"),
    )  # fmt: skip


def _draw(drawing: Drawing, found: Any, depth_m: float, width: float) -> None:
    x, y = FACE
    rise = math.tan(math.radians(SLOPE_DEG))
    below = (x, y + depth_m * SCALE)

    def ground(offset_m: float) -> Point:
        """A point of the bottom at a level distance from below the face; it rises to the right."""
        return x + offset_m * SCALE, below[1] - offset_m * SCALE * rise

    uphill, downhill = ground(float(found.uphill)), ground(-float(found.downhill))
    drawing.hatch([FACE, uphill, downhill], angle_deg=35, spacing=2.4)
    drawing.path([uphill, FACE, downhill], stroke=LINE)
    ends = ground(-9.6), ground(11.0)
    drawing.line(*ends, THICK)
    drawing.path([downhill, uphill], stroke=1.4)
    drawing.line(FACE, below, LINE, DOTTED)
    nearest = min(SLOPE_DEG, width / 2)
    drawing.arrow(down(FACE, float(found.shown) * SCALE, nearest), FACE, stroke=THICK, head=2.4)
    middle = ((uphill[0] + downhill[0]) / 2, (uphill[1] + downhill[1]) / 2)
    drawing.path([(middle[0] + 1, middle[1] + 1), (57, 59.5)], stroke=THIN)
    drawing.line((1, y - 2.5), (x - 9, y - 2.5), THIN, LONG_DASHED)
    drawing.line((x + 9, y - 2.5), (92, y - 2.5), THIN, LONG_DASHED)
    drawing.path(
        [(x - 10, 1), (x - 7, y - 0.3), (x + 7, y - 0.3), (x + 10, 1)], stroke=LINE, closed=True, fill="#fff"
    )
    drawing.box((x - 2.4, y - 1), 4.8, 1.2, stroke=0, fill="#000")
