"""Letters, words, lines and texts, on pages made of nothing but places."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inspection import making
from leadsman.inspection.model import (
    BLACK,
    MM_PER_PT,
    WHITE,
    Block,
    Box,
    Element,
    Page,
    Run,
    Typeface,
    words_of,
)

#: The height of letters of 12 pt [mm]; a point is 25.4 / 72 mm.
EM = 12 * 25.4 / 72


def after(run: Run, gap_em: float, text: str, down_mm: float = 0.0) -> Run:
    """Letters that follow others after a gap, lower by so much."""
    box = run.box
    left = box.right + gap_em * EM
    return making.letters(text, left, box.top + down_mm, left + 10, box.bottom + down_mm)


@pytest.mark.parametrize(
    ("gap", "down", "parted"),
    [
        (0.0, 0.0, False),
        (0.14, 0.0, False),
        (0.16, 0.0, True),
        (0.0, 0.49, False),
        (0.0, 0.51, True),
        (0.0, -0.49, False),
        (0.0, -0.51, True),
    ],
)
def test_a_gap_or_a_new_line_parts_words(gap: float, down: float, parted: bool) -> None:
    """A space of common faces is a quarter of an em; raised figures stay within half a millimetre."""
    first = making.letters("loose", 10, 10, 20, 14)
    assert words_of([first, after(first, gap, "wire", down)]) == ("loose wire" if parted else "loosewire")


def test_a_new_page_parts_words_and_spaces_are_never_doubled() -> None:
    first = making.letters("one", 10, 10, 20, 14)
    assert words_of([first, replace(after(first, 0, "two"), page=2)]) == "one two"
    assert words_of([first, after(first, 0, "two")]) == "onetwo"
    assert words_of([making.letters(" a  b ", 0, 0, 1, 1)]) == "a b"
    assert words_of([]) == ""


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("Leadsman-Head-Semi-Condensed", "Leadsman Head"),
        ("Leadsman-Text,Bold-Italic", "Leadsman Text"),
        ("Some-Black-Oblique", "Some"),
    ],
)
def test_the_family_is_the_name_without_style(name: str, family: str) -> None:
    assert Typeface(name, True, True, False, False, False).family == family


def tree() -> tuple[Element, Element, Element, Run, Run]:
    """A list with an item of a label and a text, each the place of some letters."""
    top = Element("L", None, 1)
    item = Element("LI", top, 1)
    label, body = Element("Lbl", item, 1), Element("LBody", item, 1)
    place = Element("", body, 1)
    top.kids.append(item)
    item.kids += [label, body]
    body.kids.append(place)
    number = making.letters("1. ", 0, 0, 4, 4, element=label)
    words = making.letters("Look.", 5, 0, 15, 4, element=place)
    label.kids.append(number)
    place.kids.append(words)
    return top, item, place, number, words


def test_elements_know_their_letters_and_their_neighbours() -> None:
    top, item, place, number, words = tree()
    assert [e.tag for e in top.elements()] == ["L", "LI", "Lbl", "LBody", ""]
    assert list(top.runs()) == [number, words]
    assert top.text == "1. Look."
    assert [e.tag for e in item.children] == ["Lbl", "LBody"]
    assert item.children[1].children == []  # the place of letters is none
    assert place.inside("L") is top
    assert place.inside("LI", "L") is item
    assert item.inside("LI") is item
    assert top.inside("Table") is None
    assert words.block is item
    assert replace(words, element=None).block is None


def test_the_label_of_an_item_is_told_from_its_words() -> None:
    _, item, _, number, words = tree()
    assert Block(item, 1, [number, words]).label == "1."
    assert Block(item, 1, [replace(number, element=None), words]).label == ""


@pytest.mark.parametrize(("down_em", "lines"), [(0.0, 1), (0.29, 1), (0.31, 2), (1.3, 2)])
def test_letters_belong_to_a_line_when_their_baselines_nearly_agree(down_em: float, lines: int) -> None:
    element = Element("P", None, 1)
    late = making.letters("late", 20, 10, 30, 14)
    early = making.letters("early", 5, 10 + down_em * EM, 15, 14 + down_em * EM)
    blank = making.letters("  ", 0, 50, 1, 54)
    block = Block(element, 1, [late, early, blank])
    assert len(block.lines) == lines
    assert [run.text for line in block.lines for run in line] == (
        ["early", "late"] if lines == 1 else ["late", "early"]
    )
    assert block.box == Box(0, 10, 30, 54)


def test_the_texts_of_a_page_stand_in_reading_order() -> None:
    """By the tags and not by the place; letters outside the tags are no text, and pieces of one text come together."""
    one, two = Element("P", None, 1, order=1), Element("P", None, 1, order=5)
    first, other = Element("", one, 1, order=2), Element("", one, 1, order=4)
    below = making.letters("below", 0, 50, 9, 54, element=two)
    page = making.page(
        below,
        making.letters("bold", 10, 10, 19, 14, element=other),
        making.letters("head", 0, 0, 9, 4),
        making.letters("some ", 0, 10, 10, 14, element=first),
    ).pages[0]
    assert [(block.text, block.tag) for block in page.blocks] == [("some bold", "P"), ("below", "P")]


def painted(pixels: Any, media: Box) -> Page:
    """A page that shows these pixels."""
    (page,) = making.page().pages
    return replace(page, media=media, painter=lambda scale: pixels)


def test_a_box_is_cut_out_of_the_painted_page_to_the_pixel() -> None:
    """At 1.5 pixels a point, 10 mm are 42.5 pixels: what the box touches is cut out, wherever the sheet begins."""
    pixels = np.zeros((200, 300, 3), np.uint8)
    pixels[..., 0], pixels[..., 1] = np.arange(200)[:, None], np.arange(300)[None, :] // 2
    page = painted(pixels, Box(-10, -20, 40, 40))
    cut = page.cut(Box(0, 0, 10, 5))
    # From 20 and 10 mm on: rows 85.04 to 106.3, columns 42.52 to 85.04.
    assert cut.shape == (107 - 85, 86 - 42, 3)
    assert (cut[0, 0, 0], cut[-1, 0, 0]) == (85, 106)
    assert (cut[0, 0, 1], cut[0, -1, 1]) == (42 // 2, 85 // 2)
    # A line without width has a pixel still, and what begins outside the page is cut at its edge.
    assert page.cut(Box(0, 0, 0, 0)).shape == (1, 1, 3)
    assert page.cut(Box(-30, -40, -9, -19)).shape == (5, 5, 3)


def test_paper_is_what_is_light_in_every_channel() -> None:
    pixels = np.full((1, 5, 3), 255, np.uint8)
    pixels[0, 1], pixels[0, 2], pixels[0, 3], pixels[0, 4] = (
        (255, 255, 169),
        (169, 255, 255),
        (255, 169, 255),
        170,
    )
    assert painted(pixels, Box(0, 0, 1, 1)).dark.tolist() == [[False, True, True, True, False]]


def test_a_shape_shows_its_fill_and_else_its_line() -> None:
    assert making.shape(0, 0, 1, 1, fill=WHITE).colour == WHITE
    assert making.shape(0, 0, 1, 1, line=WHITE, pt=1).colour == WHITE
    assert making.shape(0, 0, 1, 1, fill=WHITE, line=BLACK, pt=1).colour == WHITE
    assert making.shape(0, 0, 1, 1).colour == BLACK
    assert making.shape(0, 0, 1, 1, line=WHITE, pt=1).is_rule
    assert not making.shape(0, 0, 1, 1, fill=WHITE).is_rule


def test_a_point_is_a_72nd_of_an_inch() -> None:
    assert pytest.approx(25.4, abs=1e-12) == MM_PER_PT * 72


def test_a_box_without_size_at_the_corner_is_a_pixel() -> None:
    page = painted(np.zeros((20, 30, 3), np.uint8), Box(-10, -20, 40, 40))
    assert page.cut(Box(-10, -20, -10, -20)).shape == (1, 1, 3)


def test_what_is_not_said_is_nothing() -> None:
    """And a page in a message shows neither its painter nor what was kept of it."""
    each = Element("P", None, 1)
    assert (each.alt, each.scope, each.has_headers, each.frame, each.order, each.kids, each.annotations) == (
        "", "", False, None, 0, [], 0,
    )  # fmt: skip
    box = Box(0, 0, 1, 1)
    page = Page(1, box, box, box, [], [], [], "", 0)
    assert (page.figures, page.has_pictures, page.painter, page.memory) == ([], False, None, {})
    assert not any(word in repr(page) for word in ("painter", "memory"))
