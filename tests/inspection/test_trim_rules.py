"""Sheet, edge, hole and lines at their limits: what just keeps a rule, and what just breaks it.

The pages are made of places alone. Sizes are those of ISO 216 and of inches; the other limits are those of the sources
that the rules name.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspection import making
from inspection.making import letters, page, shape
from leadsman.inspection.model import BLACK, WHITE, Box, Colour, Element, Shape

INCH_MM = 25.4
GREY: Colour = (0.5, 0.5, 0.5)
#: A6 and the places on it that these tests take [mm].
WIDE, HIGH = 105.0, 148.0


def broken(rule: str, kind: str, *things: object, **more: object) -> bool:
    """Whether a page with these things on it breaks a rule; it must have been looked at."""
    found = making.outcome(rule, kind, page(*things, **more))  # type: ignore[arg-type]
    assert found.looked_at
    return bool(found.breaches)


@pytest.mark.parametrize(
    "size", [(105, 148), (148, 210), (100, 150), (4 * INCH_MM, 6 * INCH_MM), (5.5 * INCH_MM, 8.5 * INCH_MM)]
)
def test_a_card_has_a_size_that_is_cut(size: tuple[float, float]) -> None:
    """ISO 216: A6 is 105 x 148 mm, A5 148 x 210 mm. Half letter is 5.5 by 8.5 inches."""
    wide, high = size
    assert not broken("PH-01", "deck", size=(wide, high))
    assert not broken("PH-01", "deck", size=(high, wide))
    assert not broken("PH-01", "deck", size=(wide + 0.5, high - 0.5))
    assert broken("PH-01", "deck", size=(wide, high + 0.6))
    assert broken("PH-01", "deck", size=(wide - 0.6, high))


@pytest.mark.parametrize(
    "size", [(210, 297), (297, 420), (8.5 * INCH_MM, 11 * INCH_MM), (11 * INCH_MM, 17 * INCH_MM)]
)
def test_a_sheet_has_a_size_that_is_sold(size: tuple[float, float]) -> None:
    """ISO 216: A4 is 210 x 297 mm, A3 297 x 420 mm. Letter is 8.5 by 11 inches, tabloid 11 by 17."""
    wide, high = size
    assert not broken("PH-03", "sheets", size=(high, wide))
    assert not broken("PH-03", "sheets", size=(wide + 0.5, high))
    assert broken("PH-03", "sheets", size=(wide, high - 0.6))


@pytest.mark.parametrize(
    ("bar", "breaks"),
    [
        ((10, 10, 110, 13), False),
        ((10, 10, 110.2, 13), False),
        ((10, 10, 109.7, 13), True),
        ((10, 10, 110.3, 13), True),
        ((10, 10, 112, 13), True),  # no bar at all
        ((10, 10, 110, 16), True),  # a field, no bar
    ],
)
def test_a_sheet_has_a_bar_to_measure(bar: tuple[float, ...], breaks: bool) -> None:
    other = shape(10, 50, 110.9, 52, fill=BLACK)
    assert broken("PH-19", "sheets", shape(*bar, fill=BLACK), size=(210, 297)) == breaks
    if not breaks:
        assert not broken("PH-19", "sheets", other, shape(*bar, fill=BLACK), size=(210, 297))


#: For each edge a field that reaches so far beyond it.
REACHING = {
    "left": lambda far: (-far, 40, 20, 60),
    "top": lambda far: (40, -far, 60, 20),
    "right": lambda far: (80, 40, WIDE + far, 60),
    "bottom": lambda far: (40, 120, 60, HIGH + far),
}


@pytest.mark.parametrize("edge", REACHING)
def test_colour_at_an_edge_goes_on_beyond_it(edge: str) -> None:
    """Printers want 3 mm; what stays half a millimetre inside is meant to stay there, and white is no colour."""
    place = REACHING[edge]
    assert not broken("PH-05", "deck", shape(*place(3), fill=GREY))
    assert broken("PH-05", "deck", shape(*place(2.9), fill=GREY))
    assert broken("PH-05", "deck", shape(*place(-0.4), fill=GREY))
    assert not broken("PH-05", "deck", shape(*place(-0.6), fill=GREY))
    assert not broken("PH-05", "deck", shape(*place(1), fill=WHITE))
    assert broken("PH-05", "deck", bleed_mm=2.9)
    # A mark outside the sheet that touches nothing of it is the printer's.
    outside = {
        "left": (-9, 40, -3, 41),
        "top": (40, -9, 41, -3),
        "right": (108, 40, 114, 41),
        "bottom": (40, 151, 41, 157),
    }
    assert not broken("PH-05", "deck", shape(*outside[edge], fill=BLACK))


#: For each edge a box that keeps so far from it.
KEEPING = {
    "left": lambda far: (far, 40, 60, 44),
    "top": lambda far: (40, far, 60, 20),
    "right": lambda far: (40, 40, WIDE - far, 44),
    "bottom": lambda far: (40, 130, 60, HIGH - far),
}


@pytest.mark.parametrize("edge", KEEPING)
def test_text_and_lines_keep_from_the_edge(edge: str) -> None:
    place = KEEPING[edge]
    for far, breaks in ((5, False), (4.9, True)):
        assert broken("PH-06", "deck", letters("Off.", *place(far))) == breaks
        assert broken("PH-06", "deck", shape(*place(far), line=BLACK, pt=0.5)) == breaks
    assert broken("CK-26", "deck", letters("Off.", *place(-0.5)))
    assert not broken("CK-26", "deck", letters("Off.", *place(0)))


def ring(left: float, top: float, across: float = 5) -> Shape:
    """A drawn hole."""
    return shape(left, top, left + across, top + across, line=BLACK, pt=0.5, ring=True)


def test_the_hole_keeps_from_the_edge_and_from_letters() -> None:
    """The distance from letters is that of their nearest corner: 3, 4 and 5 make a right angle."""
    assert not broken("PH-10", "deck", ring(5, 5))
    assert broken("PH-10", "deck", ring(4.9, 5))
    assert broken("PH-10", "deck", ring(5, 4.9))
    assert not broken("PH-10", "deck", ring(WIDE - 10, 5))
    # The middle lies at 7.5, 7.5; its edge 2.5 mm from there, so that 6.5 mm are 4 mm clear.
    assert not broken("PH-10", "deck", ring(5, 5), letters("Off.", 14, 6, 40, 9))
    assert broken("PH-10", "deck", ring(5, 5), letters("Off.", 13.9, 6, 40, 9))
    assert not broken("PH-10", "deck", ring(5, 5), letters("Off.", 6, 14, 40, 18))
    assert broken("PH-10", "deck", ring(5, 5), letters("Off.", 6, 13.9, 40, 18))
    assert not broken(
        "PH-10", "deck", ring(5, 5), letters("Off.", 11.4, 12.7, 40, 18)
    )  # 3.9 across, 5.2 down: 6.5
    assert broken("PH-10", "deck", ring(5, 5), letters("Off.", 11.3, 12.6, 40, 18))
    assert not broken("PH-10", "deck", ring(WIDE - 10, 5), letters("Off.", 60, 6, WIDE - 14, 9))
    assert broken("PH-10", "deck", ring(WIDE - 10, 5), letters("Off.", 60, 6, WIDE - 13.9, 9))


@pytest.mark.parametrize("across", [4.2, 8.5])
def test_a_hole_may_be_of_any_punch(across: float) -> None:
    """Punches make 5 to 8 mm (common practice); a finished drawing of one is found by its size."""
    assert not broken("PH-10", "deck", ring(5, 5, across))
    assert broken("PH-10", "deck", ring(3, 5, across))


@pytest.mark.parametrize(
    "thing",
    [
        ring(12, 5),  # too far in for a hole
        ring(5, 12),
        ring(4, 4, across=3),  # too small
        ring(1, 1, across=9.5),  # too large
        shape(4, 4, 10, 9, line=BLACK, pt=0.5, ring=True),  # not round
        shape(4, 4, 9, 9, line=BLACK, pt=0.5),  # no ring
    ],
)
def test_what_is_no_hole_may_lie_anywhere(thing: Shape) -> None:
    near = letters("Off.", 10, 8, 40, 12)
    assert making.outcome("PH-10", "deck", page(thing, near)).verdict == "nothing to measure"


def test_a_ring_of_a_figure_is_no_hole() -> None:
    figure = Box(3, 3, 60, 60)
    assert making.outcome("PH-10", "deck", page(ring(4, 4), figures=[figure])).verdict == "nothing to measure"


@pytest.mark.parametrize(
    ("colour", "pt", "breaks"),
    [(BLACK, 0.5, False), (BLACK, 0.45, True), (WHITE, 1.0, False), (WHITE, 0.9, True), (GREY, 0.5, False)],
)
def test_a_line_is_heavy_enough_to_print(colour: Colour, pt: float, breaks: bool) -> None:
    """Half a point; a light line on a dark ground closes up in print and wants a whole one."""
    assert broken("PH-16", "deck", shape(10, 40, 60, 40.2, line=colour, pt=pt)) == breaks


def test_a_crop_mark_is_no_line_of_the_page() -> None:
    crossing = shape(-5, 40, 5, 40.1, line=BLACK, pt=0.25)
    outside = shape(-9, 40, -4, 40.1, line=BLACK, pt=0.25)
    assert making.outcome("PH-16", "deck", page(crossing, outside)).verdict == "nothing to measure"


def test_no_text_lies_upon_another() -> None:
    """Two lines 4 mm high: their small letters meet when more than half of the line is shared, not when tails touch."""
    one, other = Element("P", None, 1), Element("P", None, 1)

    def upon(top: float, left: float = 20, element: Element = other) -> bool:
        first, second = (
            letters("First.", 20, 40, 50, 44, element=one),
            letters("Next.", left, top, left + 20, top + 4, element=element),
        )
        return broken("CK-26", "deck", first, second)

    assert upon(40)
    assert upon(41)
    assert not upon(43)
    assert not upon(44.5)
    assert not upon(40, left=50)
    assert not upon(40, element=one)  # pieces of one text


@pytest.mark.parametrize(("bottom", "breaks"), [(18 + 0.76 * 119, False), (18 + 0.78 * 119, True)])
def test_a_card_leaves_room_for_longer_languages(bottom: float, breaks: bool) -> None:
    """Of the 119 mm of an A6 card between head and foot, 23 % stay free."""
    words = letters("Off.", 10, 20, 60, bottom, element=Element("P", None, 1))
    assert broken("LO-02", "deck", words) == breaks


@pytest.mark.parametrize("edge", ["left", "top", "right", "bottom"])
def test_the_bleed_box_goes_beyond_each_edge(edge: str) -> None:
    """3 mm on all four: one edge that is a tenth of a millimetre short breaks the rule."""
    file = page()
    (only,) = file.pages
    inward = 0.1 if edge in ("left", "top") else -0.1
    short = replace(only.trim.grown(3), **{edge: getattr(only.trim.grown(3), edge) + inward})

    def breaks(bleed: Box) -> bool:
        return (
            making.outcome("PH-05", "deck", replace(file, pages=[replace(only, bleed=bleed)])).verdict
            == "broken"
        )

    assert breaks(short)
    assert not breaks(only.trim.grown(3))


def test_of_two_bars_the_nearest_to_a_hundred_millimetres_counts() -> None:
    short, right = shape(10, 50, 109.5, 52, fill=BLACK), shape(10, 10, 110.1, 13, fill=BLACK)
    assert broken("PH-19", "sheets", short, size=(210, 297))
    assert not broken("PH-19", "sheets", short, right, size=(210, 297))
