"""What is measured: places, sizes, angles, contrasts and grounds, held against published values and known drawings."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf
import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from inspection import making
from leadsman.errors import OutputError
from leadsman.inspection.colours import _inside_spaces, contrast, ground, hue, luminance, red_contrast
from leadsman.inspection.findings import Limit
from leadsman.inspection.model import Box, PdfFile, around
from leadsman.inspection.reading import read_pdf
from leadsman.inspection.roles import all_steps, cards
from leadsman.inspection.type_rules import angle_arcmin
from leadsman.press.fonts import font_bytes


def hex_colour(digits: str) -> tuple[float, float, float]:
    red, green, blue = (int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4))
    return red, green, blue


@pytest.fixture(scope="module")
def deck(tmp_path_factory: pytest.TempPathFactory) -> PdfFile:
    return making.read(making.pdf(making.DECK, making.DECK_CSS, bleed_mm=3), tmp_path_factory.mktemp("deck"))


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("000000", "ffffff", 21.0),  # WCAG 2.2, the largest ratio
        ("767676", "ffffff", 4.54),  # W3C, technique G18: the darkest grey that just passes 4.5
        ("777777", "ffffff", 4.48),  # and the next one, which does not
        ("949494", "ffffff", 3.03),  # W3C, understanding SC 1.4.11
        ("ff0000", "ffffff", 3.998),  # the same
    ],
)
def test_contrast_is_that_of_the_standard(one: str, other: str, ratio: float) -> None:
    assert contrast(hex_colour(one), hex_colour(other)) == pytest.approx(ratio, abs=0.006)


@settings(max_examples=50, derandomize=True)
@given(st.tuples(*[st.floats(0, 1)] * 3), st.tuples(*[st.floats(0, 1)] * 3))
def test_contrast_has_no_direction_and_keeps_its_bounds(one: Any, other: Any) -> None:
    assert contrast(one, other) == contrast(other, one)
    assert 1.0 <= contrast(one, other) <= 21.0 + 1e-9
    assert 0.0 <= luminance(one) <= 1.0 + 1e-9


def test_under_red_light_red_ink_is_paper() -> None:
    """Common practice: red ink vanishes by red light, blue turns black."""
    assert red_contrast(hex_colour("ff0000"), hex_colour("ffffff")) == 1.0
    assert red_contrast(hex_colour("0000ff"), hex_colour("ffffff")) == pytest.approx(21.0)


@pytest.mark.parametrize(
    ("digits", "name"),
    [("c8102e", "red"), ("ff8200", "orange"), ("ffd100", "yellow"), ("0b4f9e", "blue"), ("808080", "grey")],
)
def test_safety_colours_have_their_names(digits: str, name: str) -> None:
    """ISO 3864-4 names the safety colours; the values are printed ones."""
    assert hue(hex_colour(digits)) == name


@pytest.mark.parametrize(
    ("height_mm", "distance_mm", "arcmin"), [(2.62, 600, 15.0), (3.05, 700, 15.0), (3.49, 600, 20.0)]
)
def test_the_angle_of_a_letter(height_mm: float, distance_mm: float, arcmin: float) -> None:
    """NUREG-0700: the height that fills 15 arc minutes is 0.0044 of the distance; the table values are by trigonometry."""
    assert angle_arcmin(height_mm, distance_mm) == pytest.approx(arcmin, abs=0.05)


def test_the_measures_of_a_typeface_are_those_of_its_font(deck: PdfFile) -> None:
    """The font's own table OS/2 (ISO/IEC 14496-22), read from the whole font, against the outlines in the subset."""
    import io

    face = next(t for t in deck.typefaces if t.name == "Leadsman-Head-Semi-Condensed")
    font = TTFont(io.BytesIO(font_bytes("barlow", "BarlowSemiCondensed-Regular.ttf")))
    em = font["head"].unitsPerEm

    assert face.cap_height == pytest.approx(font["OS/2"].sCapHeight / em, abs=0.002)
    assert face.x_height == pytest.approx(font["OS/2"].sxHeight / em, abs=0.002)


def test_pages_are_read_with_sizes_and_places(deck: PdfFile) -> None:
    """What the style sheet asks for is what is measured."""
    page = deck.pages[2]
    assert (page.trim.width, page.trim.height) == pytest.approx((105, 148), abs=0.01)
    assert page.trim.left - page.bleed.left == pytest.approx(3, abs=0.01)
    title = next(run for run in page.runs if run.text == "Dead unit")
    assert title.size_pt == pytest.approx(15, abs=0.01)
    assert title.box.left == pytest.approx(15, abs=0.05)
    assert title.element is not None
    assert title.element.inside("H1")
    frame = [s for s in page.shapes if s.is_rule and abs(s.box.width - 93) < 0.1]
    assert frame
    assert frame[0].thickness_pt == pytest.approx(0.5, abs=0.01)


def test_steps_answers_and_faces_are_recognised(deck: PdfFile) -> None:
    found = list(all_steps(deck))
    assert [step.number for step in found] == [1, 2]
    assert [(a.label, a.target) for a in found[0].answers] == [("YES", "2"), ("NO", "A"), ("CAN'T", "2")]
    assert found[0].question is not None
    assert found[0].question.text == "Does the unit stay dark?"
    assert {code: len(faces) for code, faces in cards(deck).items()} == {"0": 2, "P1": 2}
    assert [face.letters for face in cards(deck)["P1"]] == [[], ["A"]]


def test_the_ground_is_what_is_painted_behind(tmp_path: Path) -> None:
    """A drawing whose colours are known."""
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    page = document.new_page(width=200, height=100)
    page.draw_rect((0, 0, 200, 50), fill=(0.0, 0.2, 0.6), color=None)
    page.insert_text((10, 30), "on blue", color=(1, 1, 1))
    page.insert_text((10, 80), "on paper")
    file = making.read(document.tobytes(), tmp_path)

    grounds = {run.text: ground(file.pages[0], run) for run in file.runs}
    assert grounds["on blue"] == pytest.approx((0.0, 0.2, 0.6), abs=0.01)
    assert grounds["on paper"] == (1.0, 1.0, 1.0)


def test_letters_in_the_colour_of_their_ground_are_not_seen(tmp_path: Path) -> None:
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    page = document.new_page(width=200, height=100)
    page.insert_text((10, 30), "white on white", color=(1, 1, 1))
    page.insert_text((10, 50), "no ink at all", render_mode=3)
    page.insert_text((10, 80), "plain to see")
    file = making.read(document.tobytes(), tmp_path)

    lost = [reading.says for reading in making.outcome("LT-01", "deck", file).breaches]
    assert lost == ["'white on white'", "'no ink at all'"]


def test_wanted_texts_are_looked_for(tmp_path: Path) -> None:
    """Layout may break lines, hyphens and ligatures, but no word may be missing."""
    html = "<h1>Find it</h1><p>The first fish finder floats.</p>"
    data = making.pdf(html, "@page { size: 60mm 90mm; margin: 5mm }")
    whole = making.read(data, tmp_path, ["The first fish finder floats."])
    torn = making.read(data, tmp_path, ["The first fish finder floats.", "A second one sinks."])

    assert making.outcome("LT-01", "guide", whole).breaches == ()
    (missing,) = making.outcome("LT-01", "guide", torn).breaches
    assert missing.measured == "A second one sinks."


def test_a_limit_is_never_rounded_up() -> None:
    """WCAG 2.2, understanding SC 1.4.3: 4.499 does not meet 4.5."""
    assert not Limit(">=", 4.5, "ratio").kept(4.499)
    assert Limit(">=", 10, "pt").kept(9.9998)
    assert not Limit(">=", 10, "pt").kept(9.9)
    assert not Limit("<=", 20, "words").kept(21)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [("absent.pdf", None, "there is no file"), ("torn.pdf", b"%PDF-1.7 torn", "cannot be read")],
)
def test_what_is_no_pdf_is_told_in_plain_words(
    tmp_path: Path, name: str, data: bytes | None, told: str
) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(OutputError, match=told):
        read_pdf(tmp_path / name)


@pytest.mark.parametrize(
    ("text", "kept"), [("IT", (0, 12)), (" IT ", (3, 9)), ("  NO", (6, 12)), ("NO  ", (0, 6))]
)
def test_the_spaces_around_letters_are_no_lost_ink(text: str, kept: tuple[int, int]) -> None:
    """A run is judged by its letters: a third that is all space would else pass for a clipped end."""
    assert list(_inside_spaces(text, np.arange(12))) == list(range(*kept))


def test_letters_that_stand_upright_have_a_box_around_them(tmp_path: Path) -> None:
    """Written upwards from 50, 80 mm: the box is as high as the line is long, and as wide as the type is large."""
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    page = document.new_page(width=mm(100), height=mm(100))
    page.insert_text((mm(50), mm(80)), "Upwards", fontsize=mm(5), rotate=90)
    long = pymupdf.get_text_length("Upwards", fontsize=mm(5)) / mm(1)
    (run,) = making.read(document.tobytes(), tmp_path).runs
    assert run.box.bottom == pytest.approx(80, abs=0.3)
    assert run.box.top == pytest.approx(80 - long, abs=0.3)
    assert 44 < run.box.left < 47 < 50 < run.box.right < 53


def mm(value: float) -> float:
    """Millimetres in points."""
    return value * 72 / 25.4


BOXES = st.builds(
    lambda left, top, width, height: Box(left, top, left + width, top + height), *[st.integers(0, 50)] * 4
)


@settings(max_examples=100, derandomize=True)
@given(BOXES, BOXES, st.integers(0, 20))
def test_boxes_keep_the_laws_of_rectangles(one: Box, other: Box, by: int) -> None:
    grown = one.grown(by)
    assert (grown.width, grown.height) == (one.width + 2 * by, one.height + 2 * by)
    assert grown.holds(one)
    assert one.holds(grown) == (by == 0)
    assert grown.grown(-by) == one
    both = one.shared(other)
    assert both == other.shared(one)
    assert both is None or (one.holds(both) and other.holds(both))
    whole = around([one, other])
    assert whole.holds(one)
    assert whole.holds(other)
    # By the points of a grid: what lies in both lies in the shared box, and nothing else does.
    inside = {
        (x, y)
        for x in range(0, 101, 5)
        for y in range(0, 101, 5)
        if _holds_point(one, x, y) and _holds_point(other, x, y)
    }
    assert inside == {
        (x, y)
        for x in range(0, 101, 5)
        for y in range(0, 101, 5)
        if both is not None and _holds_point(both, x, y)
    }


def _holds_point(box: Box, x: float, y: float) -> bool:
    return box.left <= x <= box.right and box.top <= y <= box.bottom


def painted(*patches: tuple[tuple[int, int, int, int], tuple[int, int, int]]) -> Any:
    """A painter of a white page of 40 by 20 mm with patches of colour [mm]."""

    def paint(scale: float) -> Any:
        pixels = np.full((20 * 6, 40 * 6, 3), 255, np.uint8)
        for (left, top, right, bottom), colour in patches:
            at = [int(v * mm(1) * scale) for v in (left, top, right, bottom)]
            pixels[at[1] : at[3], at[0] : at[2]] = colour
        return pixels

    return paint


def test_the_ground_is_never_the_colour_of_the_letters() -> None:
    """Fat letters cover more of their box than the ground does: here three quarters of it, blue on a light field."""
    blue, field = (10, 60, 160), (230, 220, 200)
    fat = making.letters("FAT", 2, 2, 18, 10, colour=(10 / 255, 60 / 255, 160 / 255))
    page = making.page(fat, making.shape(0, 0, 20, 12, fill=(0.9, 0.86, 0.78)), size=(40, 20)).pages[0]
    page = dataclasses.replace(
        page, media=page.trim, painter=painted(((0, 0, 20, 12), field), ((2, 2, 14, 10), blue))
    )
    (letters,) = page.runs
    assert ground(page, letters) == pytest.approx(tuple(v / 255 for v in field), abs=0.001)


@pytest.mark.parametrize(("share", "broken"), [(0.124, True), (0.125, False), (0.2, False), (0.201, True)])
def test_stems_are_an_eighth_to_a_fifth_of_the_capitals(tmp_path: Path, share: float, broken: bool) -> None:
    """MIL-HDBK-791 (from memory): letters with thinner stems fade, with thicker ones fill."""
    deck = making.read(making.pdf(making.DECK, making.DECK_CSS, bleed_mm=3), tmp_path)
    for run in deck.runs:
        run.face = dataclasses.replace(run.face, cap_height=0.7, stem=0.7 * share)
    assert bool(making.outcome("TY-09", "deck", deck).breaches) == broken
