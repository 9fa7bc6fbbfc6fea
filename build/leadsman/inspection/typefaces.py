"""The measures of an embedded font, taken from the outlines of its letters.

A subset holds only the letters that are printed, and its descriptor may be wrong: so the height of
capitals, the height of small letters and the stem are measured on letters that are there.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from fontTools.pens.boundsPen import BoundsPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont, TTLibError  # type: ignore[import-untyped]

from leadsman.inspection.model import Typeface

#: Letters with flat ends: round ones overshoot.
_CAPITALS, _SMALL, _STEMS = "HIETFLXZKNMVWY", "xzvwk", "Il"
_MEASURED = frozenset(_CAPITALS + _SMALL + _STEMS)
_SERIF_FLAG, _ITALIC_FLAG, _BOLD_FLAG = 1 << 1, 1 << 6, 1 << 18


def typeface(font: Any, glyph_of: Mapping[str, int]) -> Typeface:
    """Read one font of a PDF.

    Parameters
    ----------
    font
        The font dictionary of the PDF.
    glyph_of
        The glyph number of each letter that is printed with it.
    """
    inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
    descriptor = inner.get("/FontDescriptor")
    name = re.sub(r"^[A-Z]{6}\+", "", str(font.get("/BaseFont", "/unnamed"))[1:])
    flags = int(descriptor.get("/Flags", 0)) if descriptor is not None else 0
    program = _program(descriptor)
    measured = frozenset((letter, glyph) for letter, glyph in glyph_of.items() if letter in _MEASURED)
    cap, small, stem = _measures(program, measured) if program else (None, None, None)
    return Typeface(
        name=name,
        embedded=program is not None or font.get("/Subtype") == "/Type3",
        has_unicode="/ToUnicode" in font or str(font.get("/Encoding", "")) in ("/WinAnsiEncoding", "/MacRomanEncoding"),
        bold=bool(flags & _BOLD_FLAG) or "Bold" in name,
        italic=bool(flags & _ITALIC_FLAG) or "Italic" in name or "Oblique" in name,
        serif=bool(flags & _SERIF_FLAG) or bool(re.search(r"Serif|Times|Roman$", name)),
        cap_height=cap,
        x_height=small,
        stem=stem,
    )  # fmt: skip


def _program(descriptor: Any) -> bytes | None:
    for key in ("/FontFile2", "/FontFile3", "/FontFile"):
        if descriptor is not None and key in descriptor:
            return bytes(descriptor[key].read_bytes())
    return None


@lru_cache(maxsize=64)
def _measures(
    program: bytes, measured: frozenset[tuple[str, int]]
) -> tuple[float | None, float | None, float | None]:
    # Kept, since files of one kind hold the same subsets: to take a font apart is a fifth of a survey.
    glyph_of = dict(measured)
    try:
        font = TTFont(io.BytesIO(program), lazy=True)
        glyphs, names, em = font.getGlyphSet(), font.getGlyphOrder(), font["head"].unitsPerEm
    except (TTLibError, KeyError, OSError):
        return None, None, None

    def bounds(letter: str) -> tuple[float, float, float, float] | None:
        number = glyph_of.get(letter)
        if number is None or number >= len(names):
            return None
        pen = BoundsPen(glyphs)
        glyphs[names[number]].draw(pen)
        return pen.bounds  # type: ignore[no-any-return]

    def tallest(letters: str) -> float | None:
        found = sorted(b[3] / em for letter in letters if (b := bounds(letter)))
        return found[len(found) // 2] if found else None

    stems = [(b[2] - b[0]) / em for letter in _STEMS if (b := bounds(letter))]
    return tallest(_CAPITALS), tallest(_SMALL), min(stems, default=None)
