"""What holds for every picture: legible at card size, nothing lost in grey, and the same said in words."""

import re
from typing import get_args

import pytest
from lxml import etree

import built
import drawn
from leadsman.content.model.fault import CardPicture
from leadsman.output.figures import ON_CARDS

#: Card design: rules 0.5 pt or more, type 10 pt or more (rule PH-16, CK-01: common practice, no source).
LEAST_STROKE_MM, CARD_TYPE_PT, BOOK_TYPE_PT = 0.5 * 25.4 / 72, 10.0, 8.5
#: The narrowest live areas: a card of 100 mm, a half sheet of letter paper [mm].
CARD_MM, HALF_LETTER_MM = 88.0, 139.7 - 28.0
CHARTS = {"longest-run", "thermistor-curve"}
NAMES = [
    "probes", "voltage-ladder", "longest-run", "plug-pins", "thermistor-curve", "swap-matrix", "hull-section",
    "fairing-block", "transom-clearances", "dead-zone", "beam-on-slope", "suitability-harrow-bank",
    "suitability-lake-vessany", "suitability-tolmer-estuary", "depths-harrow-bank", "depths-lake-vessany",
    "depths-tolmer-estuary", "chain", "pulse-and-echo", "fuse-ends", "legs", "cable-inside", "backbone", "pin-states",
    "bracket", "levels", "boat-displacement", "boat-deep-v", "boat-pontoon", "boat-modified-v", "boat-sailing", "boat-flat",
    "screen-dark", "screen-message", "screen-empty", "screen-no-number", "screen-breaks-off", "screen-small-number",
    "screen-streaks", "screen-teeth", "front-holm", "front-skerry", "front-tideway",
]  # fmt: skip
DIAGRAMS = [name for name in NAMES if name not in CHARTS and not name.startswith("depths-")]
UNITS = ("metric", "us")


@pytest.mark.parametrize("units", UNITS)
def test_every_picture_is_drawn_in_both_systems_of_units(units: str) -> None:
    assert sorted(drawn.everything(units)) == sorted(NAMES)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", DIAGRAMS)
def test_no_label_touches_another_or_leaves_the_sheet(name: str, units: str) -> None:
    figure = drawn.everything(units)[name]
    width, height = drawn.sheet(figure)
    found = drawn.labels(figure)
    assert found
    outside = [
        f"{label.words}: {label.left:.1f} to {label.right:.1f}, {label.top:.1f} to {label.bottom:.1f}"
        for label in found
        if label.left < 0 or label.right > width or label.top < 0 or label.bottom > height
    ]
    touching = [
        f"{a.words} / {b.words}" for n, a in enumerate(found) for b in found[n + 1 :] if a.overlaps(b)
    ]
    assert outside == []
    assert touching == []


@pytest.mark.parametrize("name", DIAGRAMS)
def test_strokes_and_type_hold_on_the_narrowest_paper(name: str) -> None:
    figure = drawn.everything()[name]
    width, _ = drawn.sheet(figure)
    paper, least = (CARD_MM, CARD_TYPE_PT) if name in ON_CARDS else (HALF_LETTER_MM, BOOK_TYPE_PT)
    scale = min(1.0, paper / width)
    assert min(label.size_pt for label in drawn.labels(figure)) * scale >= least
    assert min(wide for wide, _ in drawn.strokes(figure) if wide) * scale >= LEAST_STROKE_MM


@pytest.mark.parametrize("name", NAMES)
def test_nothing_depends_on_a_colour(name: str) -> None:
    """WCAG 2.2, 1.4.1: black, white and the grey of grid lines alone."""
    colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", drawn.everything()[name].svg))
    assert colours <= {"#000", "#fff", "#000000", "#ffffff", "#767676"}


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(
    "name", [name for name in DIAGRAMS if name not in ("plug-pins", "swap-matrix", "probes")]
)
def test_every_number_in_a_picture_stands_in_its_text(name: str, units: str) -> None:
    """WCAG 2.2, 1.1.1: the alternative says what the picture says; meters and tests are numbered otherwise."""
    figure = drawn.everything(units)[name]
    shown = {n for label in drawn.labels(figure) for n in re.findall(r"\d+(?:\.\d+)?", label.words)}
    said = set(re.findall(r"\d+(?:\.\d+)?", figure.text))
    assert shown - said == set()


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_says_in_words_what_it_shows(name: str) -> None:
    figure = drawn.everything()[name]
    root = etree.fromstring(figure.svg.encode())
    title = root.find(f"{drawn.SVG}title")
    assert root.get("role") == "img"
    assert title.text == f"{figure.title}. {figure.text}"
    assert len(figure.text.split()) >= 25
    assert figure.caption.endswith(".")
    assert len(re.split(r"(?<=[.;:]) ", figure.caption)[0].split()) <= 25


def test_a_picture_serves_entries_and_tables_that_exist() -> None:
    catalogue, _ = built.content()
    known = {*catalogue.faults, *catalogue.tables}
    assert [
        (figure.id, name)
        for figure in drawn.everything().values()
        for name in figure.serves
        if name not in known
    ] == []


def test_card_pictures_fit_a_card_and_bear_the_names_that_entries_may_give() -> None:
    assert set(get_args(CardPicture)) == set(ON_CARDS)
    for name in ON_CARDS:
        width, height = drawn.sheet(drawn.everything()[name])
        assert width == 93.0
        assert height <= 60.0


def test_no_hatch_has_a_ground_of_its_own() -> None:
    """A tile's ground, cut by the end of a bar, is a light line of any width: PH-16 asks for 1 pt."""
    tiles = [
        ground
        for figure in drawn.everything().values()
        for ground in re.findall(r"<pattern[^>]*>\s*<rect[^>]*fill=\"([^\"]*)\"", figure.svg)
    ]
    assert tiles
    assert set(tiles) == {"none"}
