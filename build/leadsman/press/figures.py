"""Page numbers that are drawn into finished pages: how each style draws its figures, and where they stand.

A chapter of a bound book is finished before anybody knows the numbers in it. So the engine draws all figures once, one
by one and in pairs, and a number is put together from them: glyphs and the space between two of them, as the engine
itself would have drawn it. A test holds such numbers against numbers that were laid out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, astuple, dataclass
from itertools import pairwise, product
from typing import Any

from leadsman.errors import counted
from leadsman.press import boxes
from leadsman.press.engine import DrawingParts

FIGURES = "0123456789"
#: What decides how the engine shapes a text, beside the text.
_SHAPING = (
    "font_family", "font_size", "font_stretch", "font_style", "font_weight", "font_variation_settings", "font_kerning",
    "font_feature_settings", "font_variant_alternates", "font_variant_caps", "font_variant_east_asian",
    "font_variant_ligatures", "font_variant_numeric", "font_variant_position", "font_language_override", "lang",
    "letter_spacing", "word_spacing",
)  # fmt: skip
#: A folio may be as wide as it is: nothing else stands there.
_NO_LIMIT_PX = 1e9
_TOKEN = re.compile(r"<([0-9a-f]*)>|(-?[\d.]+)")
#: How the engine, and the repair after it, write a run of text of one face.
_RUN = re.compile(
    rb"1 0 0 -1 (-?[\d.]+) (-?[\d.]+) Tm\s+/(\w+) ([\d.]+) Tf\s+(?:\[([^\]]*)\] TJ|<([0-9a-f]+)> Tj)"
)
_PIECE = re.compile(rb"/(Span|Artifact)\s*<<\s*/(MCID|Type)\s*/?(\w+)\s*>>\s*BDC(.*?)\bEMC\b", re.DOTALL)


@dataclass(frozen=True)
class Drawn:
    """A text as it is drawn: its width [px], and each glyph (as hexadecimal) with the space taken off after it."""

    width_px: float
    glyphs: tuple[str, ...]
    spaces: tuple[int, ...]

    @property
    def operator(self) -> bytes:
        """The operator that shows it."""
        pairs = (f"<{glyph}> {space}" for glyph, space in zip(self.glyphs, self.spaces, strict=True))
        return f"[ {' '.join(pairs)} ] TJ".encode()


class FigureTable:
    """The figures of one style, alone and in pairs.

    Parameters
    ----------
    drawn
        The ten figures and their hundred pairs, by text.
    """

    def __init__(self, drawn: dict[str, Drawn]) -> None:
        self._drawn = drawn

    def number(self, text: str) -> Drawn:
        """A number put together from pairs."""
        last = self._drawn[text[-1]]
        pairs = [(self._drawn[a + b], self._drawn[b]) for a, b in pairwise(text)]
        return Drawn(
            sum(pair.width_px - second.width_px for pair, second in pairs) + last.width_px,
            tuple(self._drawn[figure].glyphs[0] for figure in text),
            (*(pair.spaces[0] for pair, _ in pairs), last.spaces[0]),
        )

    def as_data(self) -> dict[str, list[Any]]:
        """As plain data."""
        return {text: list(astuple(drawn)) for text, drawn in self._drawn.items()}

    @classmethod
    def from_data(cls, data: dict[str, list[Any]]) -> FigureTable:
        """From plain data."""
        return cls(
            {text: Drawn(w, tuple(glyphs), tuple(spaces)) for text, (w, glyphs, spaces) in data.items()}
        )


@dataclass(frozen=True)
class Place:
    """Where a page number stands in the content of a page, and how it is written there."""

    start: int
    end: int
    anchor: str
    """Whose page number it is; empty for the page's own."""
    x_px: float
    """Its left edge, or its right one where that one stays."""
    keeps_right: bool
    y: str
    font: str
    size: str
    room_px: float
    """The widest number that moves nothing."""
    style: int
    """Which of the tables of figures it takes."""

    def written(self, drawn: Drawn) -> bytes:
        """The number as it stands in the content of the page."""
        x = self.x_px - drawn.width_px if self.keeps_right else self.x_px
        at = f"{x:f}".rstrip("0").rstrip(".")
        return f"1 0 0 -1 {at} {self.y} Tm\n/{self.font} {self.size} Tf\n".encode() + drawn.operator

    def as_data(self) -> list[Any]:
        """As plain data."""
        return list(asdict(self).values())


class FigureDrawer:
    """Draws the figures of each style of one document, away from its pages, so that its fonts hold them too."""

    def __init__(self, document: Any) -> None:
        self._engine = DrawingParts()
        nowhere = self._engine.dictionary(
            {kind: self._engine.dictionary() for kind in ("ExtGState", "XObject", "Pattern", "Shading")}
        )
        self._stream = self._engine.stream(
            document.fonts, (0, 0, 1, 1), nowhere, {}, None, document.color_profiles, document.output_intent
        )
        self._known: dict[tuple[str, ...], int] = {}
        self.tables: list[FigureTable] = []

    def style_of(self, box: Any) -> int:
        """Which table the figures of a text box are in; it is made when it is first asked for."""
        key = tuple(str(box.style[name]) for name in _SHAPING)
        if key not in self._known:
            self._known[key] = len(self.tables)
            texts = [*FIGURES, *("".join(pair) for pair in product(FIGURES, repeat=2))]
            self.tables.append(FigureTable({text: self.drawn(box, text) for text in texts}))
        return self._known[key]

    def drawn(self, box: Any, text: str) -> Drawn:
        """A text as the engine draws it in the style of a box."""
        copy = box.copy()
        layout, _, _, width, *_ = self._engine.split(text, box.style, None, None, 0)
        copy.text, copy.pango_layout = text, layout
        before = len(self._stream.stream)
        self._engine.draw_text(self._stream, copy, 0, "clip", "none")
        content = b"\n".join(self._engine.to_bytes(item) for item in self._stream.stream[before:])
        (shown,) = re.findall(rb"\[([^\]]*)\] TJ", content)
        glyphs: list[str] = []
        spaces: list[int] = []
        for glyph, space in _TOKEN.findall(shown.decode()):
            for at in range(0, len(glyph), 4):
                glyphs.append(glyph[at : at + 4])
                spaces.append(0)
            if space:
                spaces[-1] += int(space)
        if len(glyphs) != len(text):
            raise ValueError(f"the figures '{text}' are drawn as {counted(len(glyphs), 'glyph')}")
        return Drawn(width, tuple(glyphs), tuple(spaces))


def numbers_of(page: Any, number: int) -> list[Any]:
    """The text boxes of a page that hold a page number: its own, where its margin shows it, and those of others."""
    own = [box for box in boxes.margin_texts(page) if box.text == str(number)]
    return [*own, *(box for _, box, _ in boxes.page_slots(page, "data-page-of"))]


def places(
    page: Any, number: int, content: bytes, style_of: Callable[[Any], int]
) -> tuple[list[Place], list[str]]:
    """The page numbers of a page in the order of its content, and what is wrong with them.

    Parameters
    ----------
    page
        The laid-out page, after it was drawn.
    number
        Its number as its margin shows it now.
    content
        Its content as it stands in the mended file.
    style_of
        Which table of figures a text box takes.
    """
    pieces = dict(_drawn_pieces(page, content))
    findings = []
    wanted: list[tuple[str, Any, Any]] = [
        ("", box, None) for box in boxes.margin_texts(page) if box.text == str(number)
    ]
    for address, box, block in boxes.page_slots(page, "data-page-of"):
        wanted.append((address.removeprefix("#"), box, block))
    found: list[Place] = []
    for anchor, box, block in wanted:
        piece = pieces.get(box)
        runs = list(_RUN.finditer(piece[4])) if piece is not None else []
        if piece is None or len(runs) != 1 or (anchor and block is None):
            findings.append(
                f"the page number of '{anchor}' has no place of its own (display: inline-block; min-width)"
            )
            continue
        run, right = runs[0], boxes.ends_right(box)
        x, y, font, size = (part.decode() for part in run.groups()[:4])
        room = block.width if block is not None else _NO_LIMIT_PX
        found.append(Place(
            piece.start(4) + run.start(), piece.start(4) + run.end(), anchor, float(x) + right * box.width, right,
            y, font, size, room, style_of(box),
        ))  # fmt: skip
    return sorted(found, key=lambda place: place.start), findings


def _drawn_pieces(page: Any, content: bytes) -> Iterator[tuple[Any, re.Match[bytes]]]:
    """Each text box of a page with the piece of the content that draws it.

    In the text a piece has its number still; those of the margins were made artifacts, in the order in which they were drawn.
    """
    marked: dict[int, re.Match[bytes]] = {}
    running: list[re.Match[bytes]] = []
    for match in _PIECE.finditer(content):
        if match[1] == b"Span":
            marked[int(match[3])] = match
        else:
            running.append(match)
    for box in boxes.body_texts(page):
        if (piece := marked.get(getattr(box, "mark_number", -1))) is not None:
            yield box, piece
    margins = [box for box in boxes.margin_texts(page) if hasattr(box, "mark_number")]
    if len(margins) == len(running):
        yield from zip(sorted(margins, key=lambda box: int(box.mark_number)), running, strict=True)


def with_numbers(
    content: bytes,
    stand: Sequence[Place],
    tables: Sequence[FigureTable],
    number_of: Callable[[str], str],
) -> tuple[bytes, list[str]]:
    """The content of a page with its numbers in their places, and for which anchors there is no room.

    ``number_of`` gives the number of an anchor's page; of the page itself for an empty one.
    """
    pieces: list[bytes] = []
    at, misfits = 0, []
    for place in stand:
        drawn = tables[place.style].number(number_of(place.anchor))
        if drawn.width_px > place.room_px + 0.01:
            misfits.append(place.anchor)
        pieces += [content[at : place.start], place.written(drawn)]
        at = place.end
    return b"".join([*pieces, content[at:]]), misfits
