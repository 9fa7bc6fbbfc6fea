"""Fills and lines of a page as they are seen: cut by the clips around them.

A border of a box is painted as a frame-shaped fill of which a clip shows one side. So the seen part is
the fill cut by every clip around it, and a seen part that is thin is a line.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from leadsman.inspection.model import MM_PER_PT, Box, Colour, Shape

#: A fill that is thinner is seen as a line [mm].
_THIN_MM = 1.3
#: A fill that is thinner is not seen at all [mm].
_NOTHING_MM = 0.01
#: Below this share nothing is seen.
_OPAQUE = 0.02


def shapes(page: Any, number: int, box_of: Callable[[Any], Box]) -> list[Shape]:
    """Every fill and line of a page, in the order of painting."""
    found: list[Shape] = []
    clips: list[tuple[int, Box]] = []
    for drawn in page.get_cdrawings(extended=True):
        level = int(drawn.get("level", 0))
        clips = [(at, box) for at, box in clips if at < level]
        if drawn["type"] == "clip":
            # An empty clip has a rectangle turned inside out: nothing below it is seen.
            clips.append((level, box_of(drawn["scissor"])))
        elif drawn["type"] in ("f", "s", "fs"):
            sides = _sides(drawn, clips, box_of)
            found += [s for box in sides if (s := _shape(drawn, number, clips, box)) is not None]
    return found


def _sides(drawn: Any, clips: list[tuple[int, Box]], box_of: Callable[[Any], Box]) -> list[Box]:
    """The four sides of a frame that shows all of them, else the box of what is drawn."""
    whole = box_of(drawn["rect"])
    items = drawn["items"]
    if not drawn.get("even_odd") or [item[0] for item in items] != ["re", "re"]:
        return [whole]
    one, other = (box_of(_upright(item[1])) for item in items)
    outer, inner = (one, other) if one.holds(other) else (other, one)
    if not outer.holds(inner) or any(not clip.grown(0.01).holds(outer) for _, clip in clips):
        return [whole]
    return [
        Box(outer.left, outer.top, outer.right, inner.top),
        Box(outer.left, inner.bottom, outer.right, outer.bottom),
        Box(outer.left, outer.top, inner.left, outer.bottom),
        Box(inner.right, outer.top, outer.right, outer.bottom),
    ]


def _upright(rectangle: Any) -> tuple[float, float, float, float]:
    left, top, right, bottom = rectangle
    return min(left, right), min(top, bottom), max(left, right), max(top, bottom)


def _shape(drawn: Any, number: int, clips: list[tuple[int, Box]], whole: Box) -> Shape | None:
    fill = _colour(drawn, "fill") if "f" in drawn["type"] else None
    line = _colour(drawn, "color", "stroke_opacity") if "s" in drawn["type"] else None
    if fill is None and line is None:
        return None
    seen: Box | None = whole
    for _, clip in clips:
        seen = seen.shared(clip) if seen is not None else None
    if seen is None:
        return None
    width = float(drawn.get("width") or 0.0) if line is not None else None
    curved = any(item[0] == "c" for item in drawn["items"])
    if width is None and fill is not None and not curved:
        thin = min(seen.width, seen.height)
        # Less than a hundredth of a millimetre is what rounding leaves between a fill and its clip.
        if thin < _NOTHING_MM:
            return None
        width = thin / MM_PER_PT if thin < _THIN_MM else None
        if width is not None and _is_a_piece_of_a_frame(drawn, seen, whole):
            return None
    dashes = str(drawn.get("dashes") or "")
    return Shape(number, seen, whole, fill, line, width, curved, bool(dashes) and not dashes.startswith("[]"))


def _is_a_piece_of_a_frame(drawn: Any, seen: Box, whole: Box) -> bool:
    """A dot or dash of a broken border, or a corner: too short for its width to be told."""
    return max(seen.width, seen.height) < 2.0 and bool(drawn.get("even_odd")) and whole != seen


def _colour(drawn: Any, key: str, opacity: str = "fill_opacity") -> Colour | None:
    """The colour on white paper; None for what cannot be seen."""
    colour, share = drawn.get(key), drawn.get(opacity, 1.0)
    share = 1.0 if share is None else float(share)
    if colour is None or share < _OPAQUE:
        return None
    red, green, blue = (float(value) * share + (1 - share) for value in colour)
    return red, green, blue
