"""A sheet in millimetres on which pictures are drawn: strokes, hatching, dimensions and labels.

Black and white only, so that nothing is lost in grey, under a red lamp or to a colour-blind reader. A label
is measured in its own face, so that a plate behind it hides exactly what it crosses.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from html import escape
from itertools import pairwise
from typing import Any

from leadsman.press.fonts import font_bytes

#: Strokes [mm]: half a point and more, also where a card of 100 mm narrows the picture by a twentieth.
THIN, LINE, THICK = 0.2, 0.39, 0.7
#: Type of a label [pt]: ten points and more, also on that narrower card.
TYPE, STRONG_TYPE = 10.7, 12.0
#: White letters on black need more [pt].
REVERSED = 13.0
#: Width of the live area of a pocket card [mm].
CARD_WIDTH = 93.0
MM_PER_PT = 25.4 / 72
#: Height of a capital over the size of its type.
_CAPITAL = 0.7
DASHED, DOTTED, LONG_DASHED = "1.6 0.9", "0.4 0.8", "3 1"

Point = tuple[float, float]
_FILES = {500: "BarlowSemiCondensed-Medium.ttf", 700: "BarlowSemiCondensed-Bold.ttf"}


@cache
def _face(weight: int) -> Any:
    import pymupdf  # slow to load, and only labels need it

    return pymupdf.Font(fontbuffer=font_bytes("barlow", _FILES[weight]))  # type: ignore[no-untyped-call]


def text_width(text: str, size_pt: float = TYPE, weight: int = 500) -> float:
    """Width of a label in its own face [mm].

    Examples
    --------
    >>> round(text_width("12.15 V"), 1)
    9.6
    """
    # A narrow space is left out of some faces: count it as a quarter of the type's size.
    narrow = text.count("\u202f")
    words = text.replace("\u202f", "")
    return float(_face(weight).text_length(words, size_pt) + narrow * size_pt / 4) * MM_PER_PT


class Drawing:
    """A picture of a given size in millimetres; the origin stands at the upper left."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._parts: list[str] = []

    def line(self, start: Point, end: Point, stroke: float = LINE, dash: str = "") -> None:
        """A straight stroke."""
        self.path([start, end], stroke=stroke, dash=dash)

    def path(
        self, points: Sequence[Point], *, stroke: float = LINE, dash: str = "", closed: bool = False,
        fill: str = "none",
    ) -> None:  # fmt: skip
        """A stroke through points; without a width it is an area alone."""
        ends = " ".join(f"{'M' if n == 0 else 'L'}{_at(x)} {_at(y)}" for n, (x, y) in enumerate(points))
        self._add(f'<path d="{ends}{"Z" if closed else ""}" fill="{fill}"{_stroke(stroke, dash)}/>')

    def curve(
        self, points: Sequence[Point], stroke: float = LINE, dash: str = "", fill: str = "none"
    ) -> None:
        """A stroke of quadratic arcs: start, then pairs of control point and end."""
        ends = f"M{_pair(points[0])} " + " ".join(
            f"Q{_pair(points[n])} {_pair(points[n + 1])}" for n in range(1, len(points), 2)
        )
        self._add(f'<path d="{ends}" fill="{fill}"{_stroke(stroke, dash)}/>')

    def circle(self, centre: Point, radius: float, stroke: float = LINE, fill: str = "#fff") -> None:
        """A circle."""
        x, y = centre
        self._add(f'<circle cx="{_at(x)}" cy="{_at(y)}" r="{_at(radius)}" fill="{fill}"{_stroke(stroke)}/>')

    def box(
        self, corner: Point, width: float, height: float, *, stroke: float = LINE, fill: str = "#fff"
    ) -> None:
        """An upright rectangle from its upper left corner."""
        x, y = corner
        self._add(
            f'<rect x="{_at(x)}" y="{_at(y)}" width="{_at(width)}" height="{_at(height)}" '
            f'fill="{fill}"{_stroke(stroke)}/>'
        )

    def arc(
        self, centre: Point, radius: float, start_deg: float, end_deg: float, stroke: float = THIN
    ) -> None:
        """An arc of a circle; angles count clockwise from the right, as the sheet is seen."""
        steps = max(2, math.ceil(abs(end_deg - start_deg) / 4))
        angles = [start_deg + (end_deg - start_deg) * n / steps for n in range(steps + 1)]
        self.path([polar(centre, radius, a) for a in angles], stroke=stroke)

    def hatch(
        self, outline: Sequence[Point], *, angle_deg: float = 45, spacing: float = 1.6, stroke: float = THIN
    ) -> None:
        """Parallel strokes inside an outline."""
        strokes = "".join(f"M{_pair(a)} L{_pair(b)}" for a, b in hatch_lines(outline, angle_deg, spacing))
        if strokes:
            self._add(f'<path d="{strokes}" fill="none"{_stroke(stroke)}/>')

    def text(
        self, at: Point, words: str, *, anchor: str = "start", size: float = TYPE, bold: bool = False,
        plate: bool = False, room: float = math.inf, fill: str = "#000",
    ) -> None:  # fmt: skip
        """A label on its baseline; a plate, no wider than its room, is the white ground that parts it from strokes."""
        weight = 700 if bold else 500
        x, y = at
        if plate:
            # Room for the wider face of a reader without ours.
            wide = min(text_width(words, size, weight) * 1.06 + 0.8, room)
            high = size * MM_PER_PT
            left = x - {"start": 0.4, "middle": wide / 2, "end": wide - 0.4}[anchor]
            self.box((left, y - 0.78 * high), wide, 1.02 * high, stroke=0)
        place = "" if anchor == "start" else f' text-anchor="{anchor}"'
        colour = "" if fill == "#000" else f' fill="{fill}"'
        self._add(
            f'<text x="{_at(x)}" y="{_at(y)}" font-size="{size * MM_PER_PT:.3f}" font-weight="{weight}"'
            f"{place}{colour}>{escape(words)}</text>"
        )

    def lines(self, at: Point, rows: Iterable[str], *, step: float = 4.3, **how: Any) -> None:
        """Labels one below the other."""
        x, y = at
        for number, words in enumerate(rows):
            self.text((x, y + number * step), words, **how)

    def arrow(self, start: Point, end: Point, stroke: float = THIN, head: float = 1.7) -> None:
        """A stroke with a filled head at its end."""
        self.line(start, end, stroke)
        back = math.degrees(math.atan2(start[1] - end[1], start[0] - end[0]))
        wings = [polar(end, head, back - 17), polar(end, head, back + 17)]
        self.path([end, *wings], stroke=0, closed=True, fill="#000")

    def dimension(self, start: Point, end: Point, head: float = 1.7) -> None:
        """A dimension line with a head at both ends."""
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.arrow(middle, start, head=head)
        self.arrow(middle, end, head=head)

    def badge(self, centre: Point, words: str, radius: float = 3.0) -> None:
        """A sign in a black disc."""
        self.circle(centre, radius, stroke=0, fill="#000")
        self.text(
            (centre[0], centre[1] + REVERSED * MM_PER_PT * _CAPITAL / 2), words, anchor="middle", bold=True,
            fill="#fff", size=REVERSED,
        )  # fmt: skip

    def svg(self) -> str:
        """The drawing as SVG in its true size."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_at(self.width)}mm" height="{_at(self.height)}mm" '
            f'viewBox="0 0 {_at(self.width)} {_at(self.height)}" font-family="Leadsman Head, sans-serif">'
            f"{''.join(self._parts)}</svg>"
        )

    def _add(self, part: str) -> None:
        self._parts.append(part)


def polar(centre: Point, radius: float, angle_deg: float) -> Point:
    """A point on a circle; angles count clockwise from the right, as the sheet is seen."""
    a = math.radians(angle_deg)
    return centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)


def down(start: Point, length: float, tilt_deg: float) -> Point:
    """The end of a ray that leaves a point straight down but for a tilt, positive to the right.

    Examples
    --------
    >>> x, y = down((0.0, 0.0), 10.0, 30.0)
    >>> round(x, 3), round(y, 3)
    (5.0, 8.66)
    """
    a = math.radians(tilt_deg)
    return start[0] + length * math.sin(a), start[1] + length * math.cos(a)


def hatch_lines(
    outline: Sequence[Point], angle_deg: float = 45, spacing: float = 1.6
) -> list[tuple[Point, Point]]:
    """The parallel strokes that fill an outline, each inside it, by the crossings with its edges.

    Examples
    --------
    >>> [[round(x, 1) for x, _ in line] for line in hatch_lines([(0, 0), (4, 0), (4, 3), (0, 3)], 0, 1.5)]
    [[0.0, 4.0]]
    """
    a = math.radians(angle_deg)
    along, across = (math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a))
    turned = [(x * along[0] + y * along[1], x * across[0] + y * across[1]) for x, y in outline]
    levels = [v for _, v in turned]
    # Strokes lie at whole multiples of the spacing, so that neighbouring areas match.
    first, last = math.floor(min(levels) / spacing) + 1, math.ceil(max(levels) / spacing) - 1
    found = []
    for number in range(first, last + 1):
        level = number * spacing
        crossings = sorted(
            u1 + (level - v1) / (v2 - v1) * (u2 - u1)
            for (u1, v1), (u2, v2) in pairwise([*turned, turned[0]])
            if (v1 <= level) != (v2 <= level)
        )
        for u1, u2 in zip(crossings[::2], crossings[1::2], strict=True):
            ends = [(u * along[0] + level * across[0], u * along[1] + level * across[1]) for u in (u1, u2)]
            found.append((ends[0], ends[1]))
    return found


def spread(levels: Sequence[float], gap: float, least: float, most: float) -> list[float]:
    """Levels moved apart to a gap and kept within bounds, in their order, for labels beside close marks.

    Examples
    --------
    >>> spread([10, 11, 30], gap=4, least=5, most=40)
    [10, 14, 30]
    >>> spread([38, 39], gap=4, least=5, most=40)
    [36, 40]
    """
    placed: list[float] = []
    for level in levels:
        placed.append(max(level, placed[-1] + gap if placed else least))
    for number in reversed(range(len(placed))):
        limit = most if number == len(placed) - 1 else placed[number + 1] - gap
        placed[number] = min(placed[number], limit)
    return placed


def _at(value: float) -> str:
    # Adding zero turns a minus zero into plain zero.
    return f"{round(value, 2) + 0.0:g}"


def _pair(point: Point) -> str:
    return f"{_at(point[0])} {_at(point[1])}"


def _stroke(width: float, dash: str = "") -> str:
    if width <= 0:
        return ""
    return f' stroke="#000" stroke-width="{width:g}"' + (f' stroke-dasharray="{dash}"' if dash else "")
