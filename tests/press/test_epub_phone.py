"""Tables that may be wider than a phone, and pictures drawn for a type that the phone does not have."""

from __future__ import annotations

import io
from importlib.resources import files
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from leadsman.press import epub_phone, xhtml

SVG = "{http://www.w3.org/2000/svg}"


def fitted(html: str) -> Any:
    body = xhtml.body_elements(html)
    epub_phone.fit(body)
    return body


def test_each_table_gets_a_box_named_by_its_caption_and_the_text_behind_stays() -> None:
    body = fitted(
        "<p id='caption-1'>x</p><table><caption>Volts</caption><tr><td>12 V</td></tr></table>behind"
        "<table><caption id='own'>Ohms</caption><tr><td>3</td></tr></table><table><tr><td>1</td></tr></table>"
    )
    boxes = body.findall("{*}div")
    assert [box.find("{*}table") is not None for box in boxes] == [True] * 3
    assert {box.get("tabindex") for box in boxes} == {"0"}
    assert boxes[0].tail == "behind"
    for box, words in zip(boxes[:2], ("Volts", "Ohms"), strict=True):
        (caption,) = body.xpath("//*[@id=$name]", name=box.get("aria-labelledby"))
        assert caption.text == words
    assert boxes[1].get("aria-labelledby") == "own"
    assert boxes[2].get("aria-label")


def test_header_cell_without_words_becomes_a_plain_cell() -> None:
    """A header cell that says nothing is announced before each cell of its column."""
    body = fitted("<table><tr><th scope='col'>Band</th><th scope='col'> </th></tr></table>")
    cells = list(next(body.iter("{*}tr")))
    assert [xhtml.tag_name(cell) for cell in cells] == ["th", "td"]
    assert cells[1].get("scope") is None


@pytest.mark.parametrize(("weight", "file"), [("400", "Regular"), ("500", "Medium"), ("bold", "Bold")])
def test_text_of_a_picture_keeps_the_width_of_its_printed_type(weight: str, file: str) -> None:
    """Against the advance widths in the font file, read with fontTools."""
    body = fitted(
        f'<svg font-family="Leadsman Head, sans-serif" font-size="4" font-weight="{weight}">'
        "<title>t</title><text x='1'>full gain 1.0 m</text></svg>"
    )
    text = body.find(f".//{SVG}text")
    data = (files("fontpkg_barlow_semi_condensed") / "files" / f"BarlowSemiCondensed-{file}.ttf").read_bytes()
    font = TTFont(io.BytesIO(data))
    names, metrics = font.getBestCmap(), font["hmtx"].metrics
    units = sum(metrics[names[ord(letter)]][0] for letter in "full gain 1.0 m")
    # Pairs are set closer by kerning, by little.
    assert float(text.get("textLength")) == pytest.approx(units * 4 / font["head"].unitsPerEm, rel=0.02)
    assert text.get("lengthAdjust") == "spacingAndGlyphs"


@pytest.mark.parametrize(
    "text",
    [
        "<text font-size='4'>a<tspan>b</tspan></text>",
        "<text font-size='1em'>a</text>",
        "<text font-size='4' font-family='Leadsman Text'>a</text>",
        "<text font-size='4'> </text>",
    ],
)
def test_what_cannot_be_measured_is_left_alone(text: str) -> None:
    body = fitted(f'<svg font-family="Leadsman Head"><title>t</title>{text}</svg>')
    assert body.find(f".//{SVG}text").get("textLength") is None
