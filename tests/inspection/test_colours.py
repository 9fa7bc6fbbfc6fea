"""Colours and grounds, held against published values and pages whose pixels are known."""

from __future__ import annotations

import colorsys
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inspection import making
from leadsman.inspection import colours
from leadsman.inspection.colour_rules import _grey, round_down
from leadsman.inspection.model import BLACK, MM_PER_PT, PAINT_SCALE, WHITE, Box, Colour, Page, Run

#: Pixels of a millimetre on the painted page.
PER_MM = PAINT_SCALE / MM_PER_PT


def of_hue(degrees: float, lightness: float = 0.5, saturation: float = 1.0) -> Colour:
    return colorsys.hls_to_rgb(degrees / 360, lightness, saturation)


def test_the_light_of_a_channel_is_that_of_the_standard() -> None:
    """IEC 61966-2-1:1999: the straight part ends at 0.0031308, where the curve meets it; 0.5 is 0.21404."""
    assert colours.linear(0.04045) == pytest.approx(0.04045 / 12.92, rel=1e-12)
    assert colours.linear(0.040451) == pytest.approx(0.0031308, rel=1e-4)
    assert colours.linear(0.043) == pytest.approx((0.098 / 1.055) ** 2.4, rel=1e-9)
    assert colours.linear(0.5) == pytest.approx(0.214041, abs=1e-6)
    assert [colours.linear(v) for v in (0.0, 1.0)] == [0.0, 1.0]


@pytest.mark.parametrize(
    ("colour", "light"),
    [((1, 0, 0), 0.2126), ((0, 1, 0), 0.7152), ((0, 0, 1), 0.0722), (WHITE, 1.0), (BLACK, 0.0)],
)
def test_luminance_weighs_the_primaries(colour: Colour, light: float) -> None:
    """ITU-R BT.709, as WCAG 2.2 takes it."""
    assert colours.luminance(colour) == pytest.approx(light, abs=1e-12)


@pytest.mark.parametrize("step", range(0, 256, 5))
def test_a_grey_is_its_own_grey(step: int) -> None:
    """The curve of IEC 61966-2-1 there and back, in 256 steps."""
    colour = (step / 255,) * 3
    assert _grey(colour) == pytest.approx(colour, abs=1e-9)


def test_a_colour_in_grey_print_has_its_luminance() -> None:
    """Pure blue has 0.0722 of the light of white: sRGB 76 of 255 by the curve of IEC 61966-2-1."""
    assert _grey((0.0, 0.0, 1.0)) == pytest.approx((76 / 255,) * 3, abs=1e-9)


def test_a_ratio_is_never_rounded_up() -> None:
    assert (round_down(4.499), round_down(4.5), round_down(6.999)) == (4.49, 4.5, 6.99)


@pytest.mark.parametrize(
    ("colour", "name"),
    [
        # Where one name ends and the next begins is our own choice; the CSS colours red, yellow, lime, blue and magenta
        # lie at 0, 60, 120, 240 and 300 degrees.
        *[(of_hue(angle), name) for angle, name in (
            (0, "red"), (14.5, "red"), (15.5, "orange"), (41.5, "orange"), (42.5, "yellow"), (60, "yellow"), (69.5, "yellow"),
            (70.5, "green"), (120, "green"), (169.5, "green"), (170.5, "blue"), (240, "blue"), (261.5, "blue"), (262.5, "magenta"),
            (300, "magenta"), (339.5, "magenta"), (340.5, "red"), (359, "red"))],
        ((0.14, 0.14, 0.14), "black"),
        ((0.16, 0.16, 0.16), "grey"),
        ((0.91, 0.91, 0.91), "grey"),
        ((0.93, 0.93, 0.93), "white"),
        ((0.92, 0.92, 0.92), "grey"),
        ((0.15, 0.15, 0.15), "grey"),
        ((0.5, 0.5, 0.61), "grey"),
        ((0.5, 0.5, 0.63), "blue"),
        ((0.97, 0.98, 1.0), "white"),  # saturated by the formula, and yet nobody calls it blue
        ((0.10, 0.0, 0.0), "black"),
    ],
)  # fmt: skip
def test_a_colour_has_one_name(colour: Colour, name: str) -> None:
    assert colours.hue(colour) == name
    assert colours.is_grey(colour) == (name in ("black", "grey", "white"))


def test_ink_that_lets_paper_through_is_lighter() -> None:
    run = replace(making.letters("x", 0, 0, 1, 1, colour=(0.2, 0.4, 0.0)), opacity=0.25)
    assert colours.ink_of(run) == pytest.approx((0.8, 0.85, 0.75))
    assert colours.ink_of(replace(run, opacity=1.0)) == pytest.approx((0.2, 0.4, 0.0))


def sheet(
    *patches: tuple[tuple[float, float, float, float], Colour],
    runs: tuple[Run, ...] = (),
    pictures: bool = True,
) -> Page:
    """A white page of 40 by 20 mm with patches of colour [mm] that were painted as a picture."""
    pixels = np.full((round(20 * PER_MM), round(40 * PER_MM), 3), 255, np.uint8)
    for box, colour in patches:
        left, top, right, bottom = (round(v * PER_MM) for v in box)
        pixels[top:bottom, left:right] = [round(v * 255) for v in colour]
    (page,) = making.page().pages
    box = Box(0, 0, 40, 20)
    return replace(
        page, trim=box, media=box, bleed=box, runs=list(runs), shapes=[], has_pictures=pictures,
        painter=lambda scale: pixels,
    )  # fmt: skip


BLUE, SAND = (10 / 255, 60 / 255, 160 / 255), (230 / 255, 220 / 255, 200 / 255)


def text(*box: float, words: str = "Off", colour: Colour = BLACK) -> Run:
    return making.letters(words, *box, colour=colour)


def test_the_ground_of_a_thin_letter_is_looked_for_around_it() -> None:
    """An l of 0.8 mm fills its box with ink; one of 1.2 mm that does is not to be read."""
    thin, wide = text(4, 4, 4.8, 8, colour=BLUE), text(14, 4, 15.2, 8, colour=BLUE)
    page = sheet(
        ((0, 0, 40, 20), SAND), ((3.9, 3.9, 4.9, 8.1), BLUE), ((13, 3, 17, 9), BLUE), runs=(thin, wide)
    )
    assert colours.ground(page, thin) == pytest.approx(SAND)
    assert colours.ground(page, wide) == pytest.approx(BLUE)
    assert not colours.leaves_ink(page, wide)


def test_a_colour_close_to_that_of_the_letters_is_no_ground() -> None:
    """Six steps of 256 are what the edges of letters and the painter's rounding differ by."""
    run = text(4, 4, 16, 8, colour=(100 / 255,) * 3)
    near, apart = (106 / 255,) * 3, (107 / 255,) * 3
    page = sheet(((0, 0, 40, 20), near), ((4, 4, 6, 8), SAND), runs=(run,))
    assert colours.ground(page, run) == pytest.approx(SAND)
    page = sheet(((0, 0, 40, 20), apart), ((4, 4, 6, 8), SAND), runs=(run,))
    assert colours.ground(page, run) == pytest.approx(apart)


@pytest.mark.parametrize(
    ("inked", "seen"),
    [
        (((4, 5, 16, 7),), True),
        (((4, 5, 7, 7), (9, 5, 11, 7), (13, 5, 16, 7)), True),
        (((4, 5, 12.4, 7),), True),  # it reaches into the last third
        (((4, 5, 11.5, 7),), False),  # the end is cut off
        (((8.5, 5, 16, 7),), False),  # the beginning
        (((4, 5, 7.5, 7), (12.5, 5, 16, 7)), False),  # the middle
        ((), False),
    ],
)
def test_each_third_of_some_letters_leaves_ink(inked: tuple[tuple[float, ...], ...], seen: bool) -> None:
    run = text(4, 4, 16, 8, colour=BLUE)
    page = sheet(*[(box, BLUE) for box in inked], runs=(run,))  # type: ignore[misc]
    assert colours.leaves_ink(page, run) == seen


@pytest.mark.parametrize(("right", "seen"), [(9.9, True), (10.1, False)])
def test_a_short_word_is_not_judged_by_thirds(right: float, seen: bool) -> None:
    """Below 6 mm a word has too few letters: one that shows is enough."""
    run = text(4, 4, right, 8, colour=BLUE)
    assert colours.leaves_ink(sheet(((4, 5, 5, 7), BLUE), runs=(run,)), run) == seen


def test_letters_outside_the_sheet_are_not_seen() -> None:
    inside, outside = text(4, 4, 9, 8), text(36, 4, 40.2, 8)
    page = sheet(((0, 0, 40, 20), BLACK), ((4, 4, 5, 8), WHITE), runs=(inside, outside))
    assert colours.leaves_ink(page, inside)
    assert not colours.leaves_ink(page, outside)
    assert colours.leaves_ink(
        sheet(((38, 5, 40, 7), BLACK), runs=(touching := text(36, 4, 40.05, 8),)), touching
    )


def test_what_is_nearer_to_the_ground_than_to_the_ink_is_no_letter() -> None:
    """The soft edge of letters: half way is still the ground's."""
    run = text(4, 4, 9, 8, colour=(0.4, 0.4, 0.4))
    half = (0.4 + 0.31,) * 3
    assert not colours.leaves_ink(sheet(((4, 5, 6, 7), half), runs=(run,)), run)
    assert colours.leaves_ink(sheet(((4, 5, 6, 7), (0.4 + 0.28,) * 3), runs=(run,)), run)


@pytest.mark.parametrize(
    ("fill", "paper"),
    [
        ((4.5, 4.5, 5, 5), False),
        ((2, 2, 3.9, 9), True),  # left of it
        ((2, 2, 4, 9), False),
        ((9.1, 2, 12, 9), True),  # right
        ((9, 2, 12, 9), False),
        ((2, 2, 12, 3.9), True),  # above
        ((2, 2, 12, 4), False),
        ((2, 8.1, 12, 9), True),  # below
        ((2, 8, 12, 9), False),
    ],
)
def test_letters_stand_on_paper_when_no_fill_meets_them(fill: tuple[float, ...], paper: bool) -> None:
    """Then nothing has to be painted to know their ground; a line is no ground, a picture may be one."""
    run = text(4, 4, 9, 8)
    page = replace(
        sheet(((0, 0, 40, 20), SAND), runs=(run,), pictures=False), shapes=[making.shape(*fill, fill=SAND)]
    )
    assert (colours.ground(page, run) == WHITE) == paper
    line = replace(page, shapes=[making.shape(*fill, fill=SAND, pt=0.5)], memory={})
    assert colours.ground(line, run) == WHITE
    assert colours.ground(replace(line, has_pictures=True, memory={}), run) == pytest.approx(SAND)


def test_a_page_is_painted_once_and_its_pixels_are_let_go() -> None:
    asked: list[float] = []
    run = text(4, 4, 9, 8)
    page = sheet(((0, 0, 40, 10), BLACK), runs=(run,))
    paint: Any = page.painter
    page = replace(page, painter=lambda scale: (asked.append(scale), paint(scale))[1])
    assert colours.dark_share(page) == pytest.approx(0.5, abs=0.03)
    colours.ground(page, run)
    colours.leaves_ink(page, run)
    assert len(asked) == 1
    assert not {"pixels", "dark"} & set(page.__dict__)


@pytest.mark.parametrize(
    ("colour", "dark"),
    [
        ((0.49,) * 3, 1.0),
        ((0.51,) * 3, 0.0),
        ((1.0, 0.0, 0.0), 1.0),
        ((0.0, 1.0, 0.0), 0.0),
        ((0.0, 0.65, 0.0), 1.0),
    ],
)
def test_a_page_is_dark_where_it_is_darker_than_middle_grey(colour: Colour, dark: float) -> None:
    """By the weights of ITU-R BT.709: 0.7152 of green."""
    assert colours.dark_share(sheet(((0, 0, 40, 20), colour))) == dark


def test_under_red_light_only_the_red_channel_counts_of_either_colour() -> None:
    """Common practice, no source: what reflects red looks like paper, what does not looks black."""
    red, cyan = (1.0, 0.0, 0.0), (0.0, 1.0, 1.0)
    assert colours.red_contrast(WHITE, red) == colours.red_contrast(red, WHITE) == 1.0
    assert colours.red_contrast(WHITE, cyan) == colours.red_contrast(cyan, WHITE) == pytest.approx(21.0)
