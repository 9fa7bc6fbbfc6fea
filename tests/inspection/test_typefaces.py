"""The measures of a font, on fonts whose letters are rectangles of known size, and on what a PDF says of a font."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

import pikepdf
import pytest
from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]
from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import-untyped]
from pikepdf import Array, Dictionary, Name

from leadsman.inspection.typefaces import typeface

#: Units of the em, and width and height of each letter in them.
EM = 2000
LETTERS = {
    "H": (900, 1400), "I": (200, 1404), "E": (700, 1396), "x": (600, 1000), "z": (500, 1010), "v": (500, 980), "l": (180, 1500), "O": (900, 1460),
}  # fmt: skip


def program(letters: Mapping[str, tuple[int, int]] = LETTERS) -> bytes:
    """A font of rectangles that begin 50 units to the right."""
    names = [".notdef", *letters]
    glyphs = {}
    for name in names:
        wide, high = letters.get(name, (100, 100))
        pen = TTGlyphPen(None)
        for place, point in enumerate(((50, 0), (50 + wide, 0), (50 + wide, high), (50, high))):
            (pen.lineTo if place else pen.moveTo)(point)
        pen.closePath()
        glyphs[name] = pen.glyph()
    made = FontBuilder(EM, isTTF=True)
    made.setupGlyphOrder(names)
    made.setupCharacterMap({ord(name): name for name in letters})
    made.setupGlyf(glyphs)
    made.setupHorizontalMetrics(dict.fromkeys(names, (1000, 50)))
    made.setupHorizontalHeader(ascent=1500, descent=-500)
    made.setupNameTable({"familyName": "Blocks"})
    made.setupOS2()
    made.setupPost()
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


GLYPHS = {letter: number for number, letter in enumerate(LETTERS, 1)}


def read(
    glyph_of: Mapping[str, int] = GLYPHS, data: bytes | None = None, key: str = "/FontFile2", **said: Any
) -> Any:
    """A typeface from the dictionaries of a PDF (ISO 32000-1, 9.6 to 9.9)."""
    with pikepdf.new() as pdf:
        descriptor = Dictionary(Type=Name.FontDescriptor, Flags=said.pop("Flags", 4))
        if data is None or data:
            descriptor[key] = pdf.make_stream(program() if data is None else data)
        plain = said.pop("plain", False)
        inner = {} if said.pop("bare", False) else {"FontDescriptor": descriptor}
        base = {"Type": Name.Font, "Subtype": Name.Type0, "BaseFont": Name("/ABCDEF+Blocks"), **said}
        font = (
            Dictionary(**base, **inner)
            if plain
            else Dictionary(**base, DescendantFonts=Array([Dictionary(**inner)]))
        )
        return typeface(font, glyph_of)


def test_heights_and_stem_are_those_of_the_outlines() -> None:
    """The middle of the flat capitals and of the flat small letters, the thinner of the two stems."""
    face = read()
    assert (face.cap_height, face.x_height, face.stem) == (1400 / EM, 1000 / EM, 180 / EM)
    face = read({letter: GLYPHS[letter] for letter in "HIx"})
    assert (face.cap_height, face.x_height, face.stem) == (1404 / EM, 1000 / EM, 200 / EM)
    face = read({"O": GLYPHS["O"]})  # round letters overshoot
    assert (face.cap_height, face.x_height, face.stem) == (None, None, None)
    assert read({}).cap_height is None


def test_a_letter_whose_glyph_is_not_there_is_not_measured() -> None:
    assert read({"H": len(LETTERS) + 1}).cap_height is None
    assert read({"H": len(LETTERS)}).cap_height == LETTERS["O"][1] / EM  # the last one is


@pytest.mark.parametrize("data", [b"no font", b"OTTO" + b"\0" * 40])
def test_a_program_that_is_none_has_no_measures(data: bytes) -> None:
    face = read(data=data)
    assert (face.embedded, face.cap_height, face.x_height, face.stem) == (True, None, None, None)


@pytest.mark.parametrize("key", ["/FontFile", "/FontFile2", "/FontFile3"])
def test_a_font_is_embedded_by_any_kind_of_program(key: str) -> None:
    assert read(key=key).embedded
    assert read(key=key, plain=True).cap_height == 1400 / EM


def test_a_font_says_what_it_is() -> None:
    """Flags of table 123: serif is bit 2, italic bit 7, forced bold bit 19; the six letters before the plus are a subset's."""
    face = read(data=b"")
    assert (face.name, face.embedded, face.bold, face.italic, face.serif) == (
        "Blocks",
        False,
        False,
        False,
        False,
    )
    assert read(Flags=1 << 1).serif
    assert read(Flags=1 << 6).italic
    assert read(Flags=1 << 18).bold
    others = read(Flags=~(1 << 1 | 1 << 6 | 1 << 18) & 0x7FFFFFF)
    assert (others.bold, others.italic, others.serif) == (False, False, False)
    named = lambda name: read(BaseFont=Name(f"/{name}"))  # noqa: E731
    assert named("Blocks-Bold").bold
    assert named("Blocks-Italic").italic
    assert named("Blocks-Oblique").italic
    assert [named(name).serif for name in ("Times-Bold", "Blocks-Serif", "Blocks-Roman", "Romans-Bold")] == [
        True,
        True,
        True,
        False,
    ]
    assert read(bare=True, data=b"").embedded is False
    assert read(Subtype=Name.Type3, plain=True, bare=True, data=b"").embedded


@pytest.mark.parametrize(
    ("said", "known"),
    [
        ({}, False),
        ({"ToUnicode": 1}, True),
        ({"Encoding": Name.WinAnsiEncoding}, True),
        ({"Encoding": Name.MacRomanEncoding}, True),
        ({"Encoding": Name("/Identity-H")}, False),
    ],
)
def test_letters_are_known_by_a_table_or_a_common_encoding(said: dict[str, Any], known: bool) -> None:
    """PDF/UA-1, 7.21.7."""
    assert read(**said).has_unicode == known
