"""The cover of a book for a phone: a PNG, set with the house's own type, large enough for every shelf.

A guide's cover names its owner and boat as the printed one does. They stand in the picture and nowhere else of the
file but on the guide's own pages: not in its name, its title or its metadata.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from html import escape

import numpy as np
import pymupdf
from numpy.typing import NDArray

from leadsman.press.frame import STAND_IN, DoesNotFit, Frame
from leadsman.press.gate import Refused
from leadsman.press.svg import sized_by_page
from leadsman.press.typeset import Typesetter

#: Pixels of a cover: shelves ask for 1200 on the short side and refuse more than four million in all.
WIDTH_PX, HEIGHT_PX = 1360, 2040
_DPI = 170
_PAGE_MM = (WIDTH_PX / _DPI * 25.4, HEIGHT_PX / _DPI * 25.4)
_MARGIN_MM = (14, 16)
_PICTURE_MM = 150
#: Sizes of the names [pt]: the first at which all of them stand on the one page.
_NAMES_PT = (26, 20, 15)
_TARGET = "the cover"


@dataclass(frozen=True)
class Cover:
    """What stands on a cover, without a name of anybody.

    Attributes
    ----------
    title, subtitle, dealer
        Its words.
    picture
        A safe SVG picture.
    language
        BCP 47 language tag.
    house
        The colour of the two lines, as ``#rrggbb``.
    mark
        The dealer's mark as a safe SVG picture.
    whose
        The places of owner and boat, each with the word that stands above it.
    """

    title: str = ""
    subtitle: str = ""
    dealer: str = ""
    picture: str = ""
    language: str = "en-GB"
    house: str | None = None
    mark: str = ""
    whose: tuple[tuple[str, str], ...] = ()

    def html(self, values: Mapping[str, str]) -> str:
        """The one page, with the values of its places."""
        whose = "".join(
            f'<p class="what">{escape(word)}</p>'
            f'<p class="whom"><span data-slot="{place}">{escape(values[place])}</span></p>'
            for word, place in self.whose
        )
        mark = f'<div class="mark">{sized_by_page(self.mark)}</div>' if self.mark else ""
        return (
            f'{mark}<h1>{escape(self.title)}</h1><p class="subtitle">{escape(self.subtitle)}</p>'
            f'<div class="picture">{sized_by_page(self.picture)}</div>'
            f'{whose}<p class="dealer">{escape(self.dealer)}</p>'
        )

    def css(self, names_pt: int = _NAMES_PT[0]) -> str:
        """Its style sheet."""
        colour = self.house or "#0b4a46"
        width, height = _PAGE_MM
        return (
            f"@page {{ size: {width:.2f}mm {height:.2f}mm; margin: {_MARGIN_MM[0]}mm {_MARGIN_MM[1]}mm }}"
            'body { margin: 0; font-family: "Leadsman Head", "Leadsman Text" }'
            ".mark { height: 30mm } .mark svg { width: 30mm; height: 30mm }"
            'h1 { font: 700 52pt/1.1 "Leadsman Head"; margin: 10mm 0 3mm } .subtitle { font-size: 22pt; margin: 0 0 10mm }'
            f".picture {{ border-top: 4pt solid {colour}; border-bottom: 4pt solid {colour}; padding: 6mm 0; margin: 0 0 8mm }}"
            f".picture svg {{ width: {_PICTURE_MM}mm; height: auto; overflow: visible }}"
            ".what { font-size: 18pt; margin: 0 }"
            f'.whom {{ font: 600 {names_pt}pt/1.2 "Leadsman Head", "Leadsman Text"; margin: 0 0 3mm }}'
            '.dealer { font: 700 20pt/1.3 "Leadsman Head", "Leadsman Text"; margin: 8mm 0 0 }'
        )


def cover_png(cover: Cover, values: Mapping[str, str] | None = None) -> bytes:
    """Set a cover and paint it; without values a stand-in keeps each of its places."""
    values = values if values is not None else {place: STAND_IN for _, place in cover.whose}
    html = cover.html(values)
    for names_pt in _NAMES_PT:
        layout = _typesetter().lay_out(
            html, cover.css(names_pt), title=cover.title, language=cover.language, target=_TARGET
        )
        if len(layout.document.pages) == 1:
            break
    else:
        raise Refused(_TARGET, ["its words take more than one page: shorten the names or the dealer's"])
    return _painted(_typesetter().write(layout, target=_TARGET).data)


class CoverFrame:
    """A cover laid out once, on which the names are then exchanged."""

    def __init__(self, cover: Cover) -> None:
        self._cover = cover
        self._frame: Frame | None = None
        if cover.whose:
            html = cover.html({place: STAND_IN for _, place in cover.whose})
            self._frame = Frame(
                html, cover.css(), title=cover.title, language=cover.language, typesetter=_typesetter()
            )

    def painted(self, values: Mapping[str, str]) -> bytes:
        """The cover with these names; it is laid out anew where one takes more than its line or a rare letter."""
        if self._frame is not None:
            try:
                return _painted(self._frame.filled({place: values[place] for _, place in self._cover.whose}))
            except DoesNotFit:
                pass
        return cover_png(self._cover, values)


def _painted(data: bytes) -> bytes:
    """The first page of a finished PDF as a PNG."""
    with pymupdf.open(stream=data) as document:  # type: ignore[no-untyped-call]
        scale = pymupdf.Matrix(WIDTH_PX / document[0].rect.width, HEIGHT_PX / document[0].rect.height)  # type: ignore[no-untyped-call]
        pixels = document[0].get_pixmap(matrix=scale, alpha=False)
    rows = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)
    return _png(rows[:, : 3 * pixels.width])


def _png(rows: NDArray[np.uint8]) -> bytes:
    """Rows of red, green and blue as a PNG (ISO/IEC 15948): three chunks, the rows as they are.

    An encoder that tries five filters on each row takes three times as long, for a page that is mostly white.
    """
    height, width = rows.shape[0], rows.shape[1] // 3
    unfiltered = np.zeros((height, 1 + rows.shape[1]), np.uint8)
    unfiltered[:, 1:] = rows
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(unfiltered.tobytes(), 3)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(text)) + kind + text + struct.pack(">I", zlib.crc32(kind + text))
        for kind, text in chunks
    )


@cache
def _typesetter() -> Typesetter:
    return Typesetter()
