"""Boats from the side: what is drawn lies where it lies on a boat, and each letter's line ends at what it names."""

import math
from typing import get_args

import pytest
from lxml import etree

import drawn
from leadsman.content.model.equipment import Boat
from leadsman.output.figures.afloat import Drive, boat_side, fitted, levels_at
from leadsman.output.figures.drawing import CARD_WIDTH, THICK, THIN
from leadsman.output.figures.figure import Figure

HULLS = ("flat", "modified-v", "deep-v", "displacement", "pontoon", "sailing")
HOUSINGS = ("transom", "through-hull", "in-hull", "trolling-motor")
#: The water line of the drawings, and radius of a letter's disc [mm].
WATER, DISC = 27.0, 3.0
EVERY = [(hull, housing) for hull in HULLS for housing in HOUSINGS]


def picture(hull: str, housing: str) -> Figure:
    drive = "sail" if hull == "sailing" else "outboard"
    return Figure("boat", "Boat", "A boat.", "A boat.", boat_side(hull, housing, drive).svg())


def test_every_kind_of_hull_is_drawn() -> None:
    assert set(get_args(Boat.model_fields["hull"].annotation)) == set(HULLS)
    assert "sail" in get_args(Drive)


@pytest.mark.parametrize("hull", HULLS)
def test_the_battery_lies_inside_the_hull(hull: str) -> None:
    parts = fitted(hull, "through-hull")
    for x in (parts.battery.left, parts.battery.left + parts.battery.width):
        sheer, floor = levels_at(parts.outline, x)
        assert sheer + THICK / 2 < parts.battery.top
        assert parts.battery.foot < floor - THICK / 2


@pytest.mark.parametrize(("hull", "housing"), EVERY)
def test_a_face_is_in_the_water_and_only_an_in_hull_one_behind_the_bottom(hull: str, housing: str) -> None:
    """Common practice, no source: only an in-hull transducer sounds through the bottom."""
    parts = fitted(hull, housing)
    box = parts.transducer
    assert box.foot > WATER
    ends = [x for x in (box.left, box.left + box.width) if x >= min(x for x, _ in parts.outline)]
    if housing == "in-hull":
        assert all(box.foot < levels_at(parts.outline, x)[1] for x in ends)
    elif housing == "trolling-motor":
        assert box.foot > max(y for _, y in parts.outline)
    else:
        assert all(box.foot > levels_at(parts.outline, x)[1] for x in ends)
    if housing == "transom":
        # It hangs abaft the transom, on no part of the bottom.
        assert box.left + box.width <= parts.outline[0][0]


@pytest.mark.parametrize(("hull", "housing"), EVERY)
def test_the_line_of_a_letter_ends_at_its_part(hull: str, housing: str) -> None:
    figure, parts = picture(hull, housing), fitted(hull, housing)
    discs = [
        (float(c.get("cx")), float(c.get("cy")))
        for c in etree.fromstring(figure.drawing.encode()).iter(f"{drawn.SVG}circle")
        if float(c.get("r")) == DISC
    ]
    strokes = [points for points in drawn.of_width(figure, THIN) if len(points) == 2]
    ends = []
    for disc in discs:
        assert DISC < disc[0] < CARD_WIDTH - DISC
        assert DISC <= disc[1] < 50 - DISC
        (end,) = (b for a, b in strokes if abs(math.dist(a, disc) - DISC) < 0.02)
        ends.append(end)
    for end, box in zip(ends, (parts.display, parts.battery, parts.transducer), strict=False):
        assert box.left <= end[0] <= box.left + box.width
        assert box.top - 0.02 <= end[1] <= box.foot + 0.02
    # D ends on the dimension that reaches from the surface to the level of this very face.
    x, y = ends[3]
    upright = [level for points in strokes for px, level in points if abs(px - x) < 0.02]
    assert WATER < y < parts.transducer.foot
    assert abs(min(upright) - WATER) < 0.02
    assert abs(max(upright) - parts.transducer.foot) < 0.02
    level = [p for p in strokes if p[0][1] == p[1][1] and abs(p[0][1] - parts.transducer.foot) < 0.02]
    assert any(
        abs(a[0] - (parts.transducer.left + parts.transducer.width)) < 0.02 and b[0] > x for a, b in level
    )


@pytest.mark.parametrize(("hull", "housing"), EVERY)
def test_no_letter_hides_a_part(hull: str, housing: str) -> None:
    figure, parts = picture(hull, housing), fitted(hull, housing)
    for circle in etree.fromstring(figure.drawing.encode()).iter(f"{drawn.SVG}circle"):
        x, y, radius = (float(circle.get(name)) for name in ("cx", "cy", "r"))
        for box in (parts.display, parts.battery, parts.transducer):
            near = (min(max(x, box.left), box.left + box.width), min(max(y, box.top), box.foot))
            assert math.dist((x, y), near) > radius
