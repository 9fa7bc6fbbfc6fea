"""Fills and lines as they are seen, from drawings as the painter hands them over: places in points, cut by clips."""

from __future__ import annotations

from typing import Any

import pymupdf
import pytest

from leadsman.inspection.model import BLACK, MM_PER_PT, Box, Shape
from leadsman.inspection.shapes import shapes

RED = (1.0, 0.0, 0.0)


class Drawing:
    """A page of which only the drawings are known; places in millimetres."""

    def __init__(self, *drawn: dict[str, Any]) -> None:
        self.drawn = drawn

    def get_cdrawings(self, *, extended: bool) -> list[dict[str, Any]]:
        assert extended, "without it the painter leaves out the clips"
        return list(self.drawn)


def seen(*drawn: dict[str, Any]) -> list[Shape]:
    return shapes(Drawing(*drawn), 7, lambda box: Box(*box))


def fill(*box: float, colour: Any = RED, items: str = "re", **more: Any) -> dict[str, Any]:
    """A fill of a box."""
    return {"type": "f", "rect": box, "fill": colour, "items": [(items, box)], "level": 0, **more}


def clip(level: int, *box: float) -> dict[str, Any]:
    return {"type": "clip", "scissor": box, "level": level, "items": []}


def test_a_fill_is_cut_by_every_clip_around_it() -> None:
    """A clip holds for what lies deeper, until the level is left."""
    found = seen(
        clip(0, 0, 0, 30, 30),
        clip(1, 10, 0, 40, 40),
        fill(0, 0, 50, 50, level=2),
        fill(0, 0, 50, 50, level=1),
        fill(0, 0, 50, 50, level=0),
        fill(0, 0, 50, 50, level=2),
    )
    assert [shape.box for shape in found] == [
        Box(10, 0, 30, 30), Box(0, 0, 30, 30), Box(0, 0, 50, 50), Box(0, 0, 50, 50),
    ]  # fmt: skip
    assert {shape.whole for shape in found} == {Box(0, 0, 50, 50)}
    assert {(shape.page, shape.fill, shape.line, shape.curved, shape.dashed) for shape in found} == {
        (7, RED, None, False, False)
    }


def test_what_lies_outside_its_clip_is_not_seen() -> None:
    assert seen(clip(0, 0, 0, 9, 9), fill(10, 10, 20, 20, level=1)) == []
    assert seen(clip(0, 9, 9, 0, 0), fill(0, 0, 20, 20, level=1)) == []  # an empty clip is turned inside out


@pytest.mark.parametrize(
    ("thick_mm", "is_rule"), [(0.009, None), (0.011, True), (0.2, True), (1.29, True), (1.31, False)]
)
def test_a_thin_fill_is_seen_as_a_line(thick_mm: float, is_rule: bool | None) -> None:
    """Either way it lies; its thickness is told in points of 25.4 / 72 mm."""
    for box in ((0, 0, 50, thick_mm), (0, 0, thick_mm, 50)):
        found = seen(fill(*box))
        assert [shape.is_rule for shape in found] == ([] if is_rule is None else [is_rule])
        if is_rule:
            assert found[0].thickness_pt == pytest.approx(thick_mm / 25.4 * 72)
    (curved,) = seen(fill(0, 0, 50, thick_mm, items="c"))
    assert (curved.curved, curved.is_rule) == (True, False)


def test_a_stroke_has_the_width_it_was_drawn_with() -> None:
    stroke = {"type": "s", "rect": (0, 0, 50, 0), "color": RED, "width": 0.75, "items": [("l",)], "level": 0}
    (found,) = seen(stroke)
    assert (found.thickness_pt, found.line, found.fill, found.dashed) == (0.75, RED, None, False)
    assert [seen({**stroke, "dashes": said})[0].dashed for said in ("[] 0", "[3 2] 0", None)] == [
        False,
        True,
        False,
    ]
    (both,) = seen({**stroke, "type": "fs", "fill": BLACK, "rect": (0, 0, 50, 9)})
    assert (both.fill, both.line, both.thickness_pt) == (BLACK, RED, 0.75)
    assert seen({**stroke, "type": "s", "color": None}) == []
    assert seen({**stroke, "width": None})[0].thickness_pt == 0.0


def test_what_lets_paper_through_has_the_colour_that_is_seen() -> None:
    """On white paper a quarter of red is three quarters of white in the other channels."""
    (found,) = seen(fill(0, 0, 9, 9, fill_opacity=0.25))
    assert found.fill == pytest.approx((1.0, 0.75, 0.75))
    assert seen(fill(0, 0, 9, 9, fill_opacity=0.019)) == []
    assert len(seen(fill(0, 0, 9, 9, fill_opacity=0.021))) == 1
    assert seen(fill(0, 0, 9, 9, fill_opacity=None))[0].fill == RED
    stroke = {
        "type": "s",
        "rect": (0, 0, 50, 0),
        "color": RED,
        "width": 1,
        "items": [("l",)],
        "stroke_opacity": 0.5,
    }
    assert seen(stroke)[0].line == pytest.approx((1.0, 0.5, 0.5))


def frame(outer: tuple[float, ...], inner: tuple[float, ...], *, even_odd: bool = True) -> dict[str, Any]:
    items = [("re", outer), ("re", inner)]
    return {"type": "f", "rect": outer, "fill": RED, "items": items, "even_odd": even_odd, "level": 1}


@pytest.mark.parametrize("turned", [False, True])
def test_a_frame_is_seen_as_four_lines(turned: bool) -> None:
    """Whichever of its rectangles comes first, and from whichever corner it is drawn."""
    outer, inner = (0, 0, 40, 30), (1, 0.5, 39.2, 29.3)
    drawn = frame(outer, inner)
    drawn["items"] = (
        [("re", (inner[2], inner[3], inner[0], inner[1])), ("re", outer)] if turned else drawn["items"]
    )
    found = seen(clip(0, 0, 0, 40, 30), drawn)
    assert [shape.box for shape in found] == [
        Box(0, 0, 40, 0.5), Box(0, 29.3, 40, 30), Box(0, 0, 1, 30), Box(39.2, 0, 40, 30),
    ]  # fmt: skip
    assert [shape.thickness_pt for shape in found] == pytest.approx(
        [v / MM_PER_PT for v in (0.5, 0.7, 1, 0.8)]
    )


def test_what_is_no_whole_frame_is_one_fill() -> None:
    whole = [Box(0, 0, 40, 30)]
    assert [s.box for s in seen(frame((0, 0, 40, 30), (1, 1, 39, 29), even_odd=False))] == whole
    assert [
        s.box for s in seen(frame((0, 0, 40, 30), (1, 1, 39, 31)))
    ] == whole  # the one does not hold the other
    # A clip that shows a side of it alone: that is how a border of one side is painted.
    assert [s.box for s in seen(clip(0, 0, 0, 40, 0.5), frame((0, 0, 40, 30), (1, 1, 39, 29)))] == [
        Box(0, 0, 40, 0.5)
    ]
    assert (
        len(seen(clip(0, 0.009, 0, 40, 30), frame((0, 0, 40, 30), (1, 1, 39, 29)))) == 4
    )  # rounding of the file
    assert [s.box for s in seen(clip(0, 0.02, 0, 40, 30), frame((0, 0, 40, 30), (1, 1, 39, 29)))] == [
        Box(0.02, 0, 40, 30)
    ]


@pytest.mark.parametrize(("long_mm", "even_odd", "count"), [(1.9, True, 0), (2.1, True, 1), (1.9, False, 1)])
def test_a_dot_of_a_border_tells_no_thickness(long_mm: float, even_odd: bool, count: int) -> None:
    for visible in ((0, 0, long_mm, 0.5), (0, 0, 0.5, long_mm)):
        drawn = fill(0, 0, 40, 30, level=1, even_odd=even_odd)
        assert len(seen(clip(0, *visible), drawn)) == count
    assert len(seen(fill(0, 0, long_mm, 0.5, even_odd=even_odd))) == 1  # all of it is seen


def test_a_drawn_page_is_seen_as_it_was_drawn() -> None:
    """The painter's own hand-over, so that the drawings above are like it."""
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    page = document.new_page(width=200, height=100)
    page.draw_rect((10, 20, 60, 80), fill=RED, color=None)
    page.draw_line((10, 90), (110, 90), color=BLACK, width=2, dashes="[4 2] 0")
    page.draw_circle((150, 50), 20, color=BLACK, width=1)
    box, line, ring = shapes(page, 1, lambda box: Box(*box))
    assert (box.box, box.fill, box.is_rule) == (Box(10, 20, 60, 80), RED, False)
    assert (line.thickness_pt, line.dashed, line.fill) == (2.0, True, None)
    assert (ring.curved, ring.dashed, round(ring.whole.width)) == (True, False, 40)
