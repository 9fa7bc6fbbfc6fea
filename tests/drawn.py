"""What a drawing holds, read back from its SVG: labels with their boxes, strokes with their points."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from functools import cache

from fontTools.ttLib import TTFont
from lxml import etree

import built
from leadsman.output.figures import Figure, figures
from leadsman.press.fonts import font_bytes

SVG = "{http://www.w3.org/2000/svg}"
MM_PER_PT = 25.4 / 72
_FILES = {"500": "BarlowSemiCondensed-Medium.ttf", "700": "BarlowSemiCondensed-Bold.ttf"}
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")

Point = tuple[float, float]


@cache
def everything(units: str = "metric") -> dict[str, Figure]:
    """All pictures of the demo content by their names."""
    return {figure.id: figure for figure in figures(built.content()[0], units)}


@dataclass(frozen=True)
class Label:
    """A label and its box [mm]."""

    words: str
    left: float
    top: float
    right: float
    bottom: float
    size_pt: float

    def overlaps(self, other: Label, slack: float = 0.15) -> bool:
        """Whether the letters of two labels touch."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > slack
            and min(self.bottom, other.bottom) - max(self.top, other.top) > slack
        )


@cache
def _widths(weight: str) -> tuple[dict[int, str], dict[str, tuple[int, int]], int]:
    font = TTFont(io.BytesIO(font_bytes("barlow", _FILES[weight])))
    return font.getBestCmap(), font["hmtx"].metrics, font["head"].unitsPerEm


def width(words: str, size_mm: float, weight: str) -> float:
    """Width of a text by the advances of its own font file, a missing sign as a quarter of the size."""
    names, advances, unit = _widths(weight)
    return sum(advances[names[ord(c)]][0] / unit if ord(c) in names else 0.25 for c in words) * size_mm


def labels(figure: Figure) -> list[Label]:
    """All labels of a picture; letters reach 0.72 of their size above the baseline and 0.2 below."""
    found = []
    for element in etree.fromstring(figure.drawing.encode()).iter(f"{SVG}text"):
        x, y, size = (float(element.get(name)) for name in ("x", "y", "font-size"))
        words = "".join(element.itertext())
        wide = width(words, size, element.get("font-weight"))
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "start")]
        found.append(Label(words, left, y - 0.72 * size, left + wide, y + 0.2 * size, size / MM_PER_PT))
    return found


def sheet(figure: Figure) -> tuple[float, float]:
    """Width and height of a picture [mm]."""
    root = etree.fromstring(figure.drawing.encode().split(b"?>")[-1].split(b'svg11.dtd">')[-1])
    found = []
    for name in ("width", "height"):
        text = root.get(name)
        found.append(float(text[:-2]) * (MM_PER_PT if text.endswith("pt") else 1.0))
    return found[0], found[1]


def strokes(figure: Figure) -> list[tuple[float, list[Point]]]:
    """Every path of straight strokes: its width [mm] and its points."""
    found = []
    for element in etree.fromstring(figure.drawing.encode()).iter(f"{SVG}path"):
        numbers = [float(n) for n in _NUMBER.findall(element.get("d"))]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        found.append((float(element.get("stroke-width", "0")), points))
    return found


def of_width(figure: Figure, stroke: float) -> list[list[Point]]:
    """The paths of one width."""
    return [points for wide, points in strokes(figure) if abs(wide - stroke) < 1e-9]
