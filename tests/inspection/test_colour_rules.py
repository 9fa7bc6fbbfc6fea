"""Rules on colour, on pages made of places: each clause just kept and just broken, and what is told of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inspection import making
from inspection.making import BOLD, FACE, page, shape
from leadsman.inspection.model import BLACK, WHITE, Box, Colour, PdfFile, Run, Shape

Told = list[tuple[float | str, str, int]]
YELLOW, RED, ORANGE, BLUE, GREEN = (
    (1.0, 0.82, 0.0),
    (0.78, 0.06, 0.18),
    (1.0, 0.51, 0.0),
    (0.04, 0.31, 0.62),
    (0.1, 0.6, 0.2),
)
MAGENTA = (0.8, 0.1, 0.8)


def grey(step: int) -> Colour:
    return (step / 255,) * 3


def told(rule: str, file: PdfFile, kind: str = "deck") -> Told:
    """What breaks a rule: measured, said, on which page."""
    return [(r.measured, r.says, r.page) for r in making.outcome(rule, kind, file).breaches]


def on(
    field: Colour, *runs: Run, things: tuple[Shape, ...] = (), size: tuple[float, float] = (105, 148)
) -> PdfFile:
    """A page that is painted in one colour all over."""
    made = page(*runs, *things, shape(0, 0, *size, fill=field), size=size)
    (only,) = made.pages
    white = only.painter

    def painter(scale: float) -> Any:
        return np.full_like(white(scale), [round(255 * v) for v in field])

    return replace(
        made, pages=[replace(only, painter=painter, shapes=[*only.shapes[-1:], *only.shapes[:-1]])]
    )


def words(
    text: str = "Off now",
    colour: Colour = BLACK,
    size_pt: float = 12.0,
    left: float = 20.0,
    *,
    bold: bool = False,
) -> Run:
    run = making.letters(text, left, 40, left + 20, 44, size_pt=size_pt, colour=colour)
    return replace(run, face=BOLD if bold else FACE)


@pytest.mark.parametrize(("step", "ratio"), [(89, None), (90, 6.89)])
def test_contrast_on_cards(step: int, ratio: float | None) -> None:
    """W3C: #595959 on white is 7.0 to 1; the next grey is 6.89 by the definition."""
    assert told("CO-01", page(words(colour=grey(step)))) == ([(ratio, "'Off now'", 1)] if ratio else [])


def test_what_cannot_be_seen_has_no_contrast() -> None:
    hidden = replace(words(colour=WHITE), invisible=True)
    assert making.outcome("CO-01", "deck", page(hidden, words("  ", WHITE))).looked_at == 0


@pytest.mark.parametrize(
    ("step", "size_pt", "bold", "breaks"),
    [
        (118, 12, False, False),  # W3C, technique G18: 4.54
        (119, 12, False, True),  # 4.48
        (119, 18, False, False),
        (119, 17.995, False, False),
        (119, 17.98, False, True),
        (119, 14, True, False),
        (119, 13.98, True, True),
        (148, 18, False, False),  # W3C, understanding SC 1.4.11: 3.03
        (149, 18, False, True),
    ],
)
def test_contrast_in_books(step: int, size_pt: float, bold: bool, breaks: bool) -> None:
    assert (
        bool(told("CO-02", page(words(colour=grey(step), size_pt=size_pt, bold=bold)), "handbook")) == breaks
    )


@pytest.mark.parametrize(
    ("step", "size_pt", "wide", "breaks"),
    [
        (118, 12, 105, False),
        (119, 12, 105, True),
        (119, 18, 110, True),
        (119, 18, 111, False),
        (119, 12, 148, True),
    ],
)
def test_contrast_in_grey_print(step: int, size_pt: float, wide: float, breaks: bool) -> None:
    """On a sheet as wide as a card nothing is large."""
    assert bool(told("CO-05", page(words(colour=grey(step), size_pt=size_pt), size=(wide, 200)))) == breaks


def test_blue_and_black_may_be_one_grey() -> None:
    """Pure blue is the grey of 76 of 255: 0.1222 over 0.05 on black, by the definition of WCAG 2.2."""
    assert told("CO-05", on(BLACK, words(colour=(0.0, 0.0, 1.0)))) == [(2.44, "'Off now'", 1)]


@pytest.mark.parametrize(
    ("step", "breaks"), [(148, False), (149, True), (252, True), (253, False), (255, False)]
)
def test_a_line_stands_out_from_the_paper(step: int, breaks: bool) -> None:
    """3 to 1; a line as light as the paper is none to anybody."""
    found = told("CO-03", page(shape(20, 40, 60, 40.2, line=grey(step), pt=0.5)))
    assert bool(found) == breaks
    assert all((says, number) == ("line", 1) for _, says, number in found)


def test_a_line_stands_out_from_the_field_that_it_lies_on() -> None:
    """The last fill painted before it that reaches 0.3 mm beyond it; a ring, a line and a smaller fill are no ground."""
    line = shape(20, 40, 60, 40.2, line=BLACK, pt=0.5)
    under = lambda *box, **more: shape(*(box or (10, 30, 70, 50)), fill=grey(40), **more)  # noqa: E731
    assert told("CO-03", page(under(), line)) != []
    assert told("CO-03", page(line, under())) == []
    assert told("CO-03", page(under(), shape(10, 30, 70, 50, fill=WHITE), line)) == []
    assert told("CO-03", page(shape(10, 30, 70, 50, fill=WHITE), under(), line)) != []
    assert told("CO-03", page(under(ring=True), line)) == []
    assert told("CO-03", page(shape(10, 30, 70, 50, fill=grey(40), pt=0.4), line))[1:] == []
    assert told("CO-03", page(under(19.7, 39.7, 60.3, 40.5), line)) != []
    assert told("CO-03", page(under(19.8, 39.7, 60.3, 40.5), line)) == []
    # A mark of the printer beyond the edge is none of ours; one on the edge is.
    assert told("CO-03", page(shape(-3, 40, 5, 40.2, line=grey(200), pt=0.5))) == []
    assert told("CO-03", page(shape(-0.09, 40, 5, 40.2, line=grey(200), pt=0.5))) != []


@pytest.mark.parametrize(
    ("thing", "name"),
    [
        (shape(20, 40, 30, 50, fill=YELLOW), "yellow"),
        (shape(20, 40, 30, 50, fill=GREEN), "green"),
        (shape(20, 40, 22, 42, fill=YELLOW), "yellow"),
        (shape(20, 40, 22, 41.9, fill=YELLOW), ""),  # a dot of less than 4 mm2
        (shape(-20, 40, 0.1, 50, fill=YELLOW), ""),  # beyond the edge but for a tenth
        (shape(-20, 40, -5, 50, fill=YELLOW), ""),
        (shape(20, 40, 30, 50, fill=grey(100)), ""),
        (shape(20, 40, 30, 50, line=YELLOW, pt=1), ""),
        (shape(20, 40, 30, 50, fill=YELLOW, pt=1), ""),
    ],
)
def test_a_coloured_field_has_a_word_in_it(thing: Shape, name: str) -> None:
    assert told("CO-04", page(thing)) == ([("no word", f"{name} field", 1)] if name else [])
    assert told("CO-04", page(thing, making.letters("Power", 22, 41, 26, 44))) == []


def test_the_word_of_a_field_lies_on_it() -> None:
    field = shape(20, 40, 30, 50, fill=YELLOW)
    assert told("CO-04", page(field, making.letters("Power", 30.4, 41, 40, 44))) == []
    assert told("CO-04", page(field, making.letters("Power", 30.6, 41, 40, 44))) != []
    assert told("CO-04", page(field, making.letters("   ", 22, 41, 26, 44))) != []
    # A figure may be coloured: it has a legend and an alternative.
    assert told("CO-04", page(field, figures=[Box(19, 39, 40, 60)])) == []
    assert told("CO-04", page(field, figures=[Box(20.9, 40.9, 40, 60)])) == []
    assert told("CO-04", page(field, figures=[Box(21.1, 39, 40, 60)])) != []


def test_red_light_takes_red_ink_away() -> None:
    """By red light only the red channel reflects (common practice): grey of 4.54 and of 4.48 to 1 as in white light."""
    assert told("CO-06", page(words(colour=grey(118)))) == []
    assert told("CO-06", page(words(colour=grey(119)))) == [(4.47, "'Off now'", 1)]
    assert told("CO-06", page(words(colour=(1.0, 0.0, 0.0)))) == [(1.0, "'Off now'", 1)]
    assert told("CO-06", page(words(colour=(0.0, 0.9, 0.9)))) == []


def frame(pt: float = 0.75, colour: Colour = BLACK, off: float = 0.0, *, sides: str = "hv") -> list[Shape]:
    """Lines around the word of these tests, so far off."""
    found = []
    if "h" in sides:
        found.append(shape(18, 46.4 + off, 42, 46.6 + off, line=colour, pt=pt))
    if "v" in sides:
        found.append(shape(42.4 + off, 38, 42.6 + off, 46, line=colour, pt=pt))
    return found


@pytest.mark.parametrize(
    ("lines", "right"),
    [
        (frame(), True),
        (frame(pt=0.73), True),
        (frame(pt=0.72), False),
        (frame(colour=grey(60)), True),  # luminance 0.045
        (frame(colour=grey(70)), False),  # 0.061
        (frame(off=0.2), False),
        (frame(sides="h"), False),
        (frame(sides="v"), False),
        ([], False),
    ],
)
def test_a_signal_word_that_vanishes_has_a_black_frame(lines: list[Shape], right: bool) -> None:
    """Of 0.75 pt, on two sides, within 2.5 mm; no other word has this leave."""
    assert (told("CO-06", page(words("WARNING", RED), *lines)) == []) == right
    assert told("CO-06", page(words("NEWS", RED), *lines)) != []


def test_a_signal_word_that_vanishes_may_be_said_again_in_black() -> None:
    def of(text: str, colour: Colour = BLACK) -> bool:
        return (
            told("CO-06", page(words("WARNING ", RED), replace(words(text, colour), box=Box(20, 60, 60, 64))))
            == []
        )

    assert of("WARNING Hot.")
    assert of("WARNING", grey(60))
    assert not of("DANGER")
    assert not of("WARNING", grey(118 - 40))
    assert told("CO-06", page(words("WARNING", RED))) != []  # not by itself
    assert told("CO-06", page(words("WARNING", RED), words("WARNING", RED, left=60))) != []


@pytest.mark.parametrize(
    ("ink", "field", "name"),
    [
        (RED, WHITE, "red"), (ORANGE, WHITE, "orange"), (MAGENTA, WHITE, "magenta"), (BLUE, WHITE, ""), (YELLOW, WHITE, ""),
        (RED, BLACK, ""), (RED, grey(170), "red"), (RED, grey(169), ""),  # luminance 0.402 and 0.397
    ],
)  # fmt: skip
def test_no_letters_are_red_on_a_light_ground(ink: Colour, field: Colour, name: str) -> None:
    assert told("CO-07", on(field, words(colour=ink))) == ([(name, "'Off now'", 1)] if name else [])


@pytest.mark.parametrize(
    ("lines", "right"),
    [
        ([shape(20, 50.5, 30, 50.6, line=BLACK, pt=0.75)], True),
        ([shape(20, 50.7, 30, 50.8, line=BLACK, pt=0.75)], False),
        ([shape(20, 50, 30, 50.2, line=BLACK, pt=0.73)], True),
        ([shape(20, 50, 30, 50.2, line=BLACK, pt=0.72)], False),
        ([shape(20, 50, 30, 50.2, line=grey(70), pt=1)], False),
        ([shape(20, 50, 30, 50.2, fill=BLACK)], False),
        ([shape(20, 50, 30, 50.2, line=grey(70), pt=1), shape(20, 40, 20.2, 50, line=BLACK, pt=1)], True),
    ],
)
def test_a_coloured_field_has_a_black_line(lines: list[Shape], right: bool) -> None:
    made = page(shape(20, 40, 30, 50, fill=YELLOW), making.letters("Power and more", 22, 41, 26, 44), *lines)
    assert told("CO-08", made) == ([] if right else [("bare", "Power and more", 1)])
    assert making.outcome("CO-08", "deck", made).looked_at == 1


@pytest.mark.parametrize(
    ("field", "right"),
    [
        (WHITE, True), (YELLOW, True), (grey(150), True), (grey(148), False),  # luminance 0.305 and 0.296
        (RED, False), (GREEN, False), ((0.4, 0.8, 0.4), False), ((0.75, 1.0, 0.75), True), ((0.7, 0.85, 1.0), False),
        ((0.8, 0.9, 1.0), True),
    ],
)  # fmt: skip
def test_black_letters_stand_on_a_light_ground(field: Colour, right: bool) -> None:
    """Red, green or blue ground must be of luminance 0.7: 0.62 of light blue is not, 0.77 is (by the definition)."""
    found = told("CO-09", on(field, words()))
    assert (found == []) == right
    assert making.outcome("CO-09", "deck", on(field, words(colour=grey(70)))).looked_at == 0


def test_a_card_has_three_hues() -> None:
    """Of fills, lines and letters on the face; greys are none, nor what lies beyond the edge."""
    three = (
        shape(20, 40, 30, 50, fill=YELLOW),
        shape(20, 60, 30, 60.2, line=RED, pt=1),
        shape(5, 5, 9, 9, fill=grey(99)),
    )
    more = (words(colour=BLUE), shape(200, 40, 230, 50, fill=GREEN), words(colour=BLACK))
    found = making.outcome("CO-10", "deck", page(*three, *more))
    assert (found.worst, found.verdict) == (3, "kept")
    assert told("CO-10", page(*three, *more, shape(0, 0, 1, 1, fill=GREEN))) == [
        (4, "blue, green, red, yellow", 1)
    ]


@pytest.mark.parametrize(("share", "right"), [(0.39, True), (0.41, False)])
def test_a_face_is_dark_on_light(share: float, right: bool) -> None:
    made = page()
    (only,) = made.pages
    white = only.painter

    def painter(scale: float) -> Any:
        pixels = white(scale).copy()
        top = (only.trim.top - only.media.top) / making.MM_PER_PT * scale
        pixels[: round(top + share * 148 / making.MM_PER_PT * scale)] = 0
        return pixels

    found = told("CO-14", replace(made, pages=[replace(only, painter=painter)]))
    assert found == ([] if right else [(f"{100 * share:.0f} % dark", "face", 1)])


def test_places_at_a_field_and_at_the_edge_hold_to_the_tenth() -> None:
    field = shape(20, 40, 30, 50, fill=YELLOW)
    assert told("CO-04", page(field, making.letters("Power", 30.52, 41, 40, 44))) != []
    assert told("CO-03", page(shape(-0.105, 40, 5, 40.2, line=grey(200), pt=0.5))) == []
    line = shape(20, 50.65, 30, 50.8, line=BLACK, pt=0.75)
    assert told("CO-08", page(field, making.letters("Power", 22, 41, 26, 44), line)) != []


def test_long_labels_of_fields_are_cut() -> None:
    field, label = shape(20, 40, 30, 50, fill=YELLOW), "Power and more than fits into a line of the report"
    labelled = page(field, making.letters(label, 22, 41, 26, 44))
    assert told("CO-08", labelled) == [("bare", label[:30], 1)]
    found = making.judge(making.rule("CO-04", "deck"), labelled)
    assert (found.verdict, found.looked_at) == ("kept", 1)
