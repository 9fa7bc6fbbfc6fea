"""The cover of a book for a phone: a PNG, set with the house's own type, large enough for every shelf."""

from __future__ import annotations

from functools import cache
from html import escape

import pymupdf

from leadsman.press.typeset import Typesetter

#: Pixels of a cover: shelves ask for 1200 on the short side and refuse more than four million in all.
WIDTH_PX, HEIGHT_PX = 1600, 2400
_DPI = 200
_PAGE_MM = (WIDTH_PX / _DPI * 25.4, HEIGHT_PX / _DPI * 25.4)


def cover_png(
    title: str, subtitle: str, dealer: str, picture: str, *, language: str, house: str | None
) -> bytes:
    """Set a cover and paint it.

    Parameters
    ----------
    title, subtitle, dealer
        Its words.
    picture
        A safe SVG picture.
    language
        BCP 47 language tag.
    house
        The colour of the two lines, as ``#rrggbb``.
    """
    colour = house or "#0b4a46"
    html = (
        f'<h1>{escape(title)}</h1><p class="subtitle">{escape(subtitle)}</p><div class="picture">{picture}</div>'
        f'<p class="dealer">{escape(dealer)}</p>'
    )
    css = (
        f"@page {{ size: {_PAGE_MM[0]:.2f}mm {_PAGE_MM[1]:.2f}mm; margin: 18mm 16mm }}"
        'body { margin: 0; font-family: "Leadsman Head", "Leadsman Text" }'
        'h1 { font: 700 52pt/1.1 "Leadsman Head"; margin: 20mm 0 4mm } .subtitle { font-size: 22pt; margin: 0 0 20mm }'
        f".picture {{ border-top: 4pt solid {colour}; border-bottom: 4pt solid {colour}; padding: 10mm 0; margin-bottom: 26mm }}"
        '.picture svg { width: 170mm; height: auto; overflow: visible } .dealer { font: 700 20pt/1.3 "Leadsman Head" }'
    )
    layout = _typesetter().lay_out(html, css, title=title, language=language, target="the cover")
    data = _typesetter().write(layout, target="the cover").data
    with pymupdf.open(stream=data) as document:  # type: ignore[no-untyped-call]
        scale = pymupdf.Matrix(WIDTH_PX / document[0].rect.width, HEIGHT_PX / document[0].rect.height)  # type: ignore[no-untyped-call]
        painted: bytes = document[0].get_pixmap(matrix=scale, alpha=False).tobytes("png")
    return painted


@cache
def _typesetter() -> Typesetter:
    return Typesetter()
