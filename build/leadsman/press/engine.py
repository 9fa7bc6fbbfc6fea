"""The engine's inner parts: the one module that reaches past its public interface.

WeasyPrint and pydyf are pinned to the versions that these names were read in; ``tests/press`` holds what is made with
them against files made without. Of fontTools, which is not pinned, one name is used where it is there.
"""

from __future__ import annotations

import contextlib
import ctypes.util
import functools
import hashlib
import importlib
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextvars import ContextVar
from types import SimpleNamespace
from typing import Any

from leadsman.press import fonts


@functools.cache
def load_engine() -> Any:
    """The WeasyPrint module, imported (slowly, once) with only the packaged fonts in sight."""
    fonts.hide_system_fonts()
    with _libraries_by_their_names():
        engine = importlib.import_module("weasyprint")
    _remember_page_references(importlib.import_module("pydyf").PDF)
    cutting: Any = importlib.import_module("weasyprint.pdf.fonts")
    cutting.ffi = _Arrays(cutting.ffi)
    _remember_cut_fonts(cutting.Font)
    _pass_over_empty_glyphs(importlib.import_module("fontTools.varLib.instancer"))
    _remember_marks(importlib.import_module("weasyprint.pdf.stream").Stream)
    return engine


@contextlib.contextmanager
def _libraries_by_their_names() -> Iterator[None]:
    """Let the engine load its libraries by the names that each Linux has for them.

    It would first try those of other systems, and start some fifty programs (ldconfig, a compiler, a linker) to look for
    them: half a second of every process that sets a page. Elsewhere, where names differ, nothing is changed.
    """
    before = ctypes.util.find_library
    if sys.platform == "linux":
        ctypes.util.find_library = lambda name: None
    try:
        yield
    finally:
        ctypes.util.find_library = before


def engine_versions() -> list[str]:
    """What sets the type: the versions of the text shaper's libraries, which no package names."""
    load_engine()
    parts = importlib.import_module("weasyprint.text.ffi")
    shaper = max(major for major in range(100) if parts.harfbuzz.hb_version_atleast(major, 0, 0))
    return [f"pango {parts.pango.pango_version()}", f"harfbuzz {shaper}"]


def split_first_line() -> Callable[..., Any]:
    """What shapes a text to its first line: layout, length, where it goes on, width, height, baseline."""
    load_engine()
    function: Callable[..., Any] = importlib.import_module("weasyprint.text.line_break").split_first_line
    return function


#: A bookmark as the engine has it: its words, (page from 0, x, y in PDF points), what stands below it, "open" or "closed".
Bookmark = tuple[str, tuple[int, float, float], list[Any], str]


def bookmark_tree(pages: Sequence[tuple[float, Sequence[Sequence[Any]]]]) -> list[Bookmark]:
    """The tree of bookmarks of pages: the height of each [px], and its bookmarks as a laid-out page has them."""
    load_engine()
    matrix = importlib.import_module("weasyprint.matrix").Matrix
    add = importlib.import_module("weasyprint.anchors").make_page_bookmark_tree
    root: list[Bookmark] = []
    skipped: list[int] = []
    last_by_depth: list[list[Bookmark]] = [root]
    level = 0
    for number, (height, bookmarks) in enumerate(pages):
        place = matrix(a=0.75, d=-0.75, f=height * 0.75)
        level = add(SimpleNamespace(bookmarks=bookmarks), skipped, last_by_depth, level, number, place)
    return root


class DrawingParts:
    """What draws a laid-out page: shaping, text, streams, PDF objects."""

    def __init__(self) -> None:
        load_engine()
        self.split = split_first_line()
        self.draw_text = importlib.import_module("weasyprint.draw.text").draw_text
        self.stream = importlib.import_module("weasyprint.pdf.stream").Stream
        pydyf = importlib.import_module("pydyf")
        self.dictionary, self.to_bytes = pydyf.Dictionary, pydyf._to_bytes


def _remember_page_references(pdf_class: Any) -> None:
    """Make the list of pages once for each number of pages: the engine asks for it at every tag of every page."""
    plain = pdf_class.page_references.fget

    def page_references(pdf: Any) -> tuple[bytes, ...]:
        count = len(pdf.pages["Kids"])
        known: tuple[int, tuple[bytes, ...]] | None = pdf.__dict__.get("_known_pages")
        if known is None or known[0] != count:
            known = pdf.__dict__["_known_pages"] = (count, plain(pdf))
        return known[1]

    pdf_class.page_references = property(page_references)


#: So many cut fonts are kept: a document has seven at the most.
_MOST_FONTS = 64


#: Whether fonts are only a stand-in: those of a chapter are thrown away, and cut for the whole book in the end.
_unfinished: ContextVar[bool] = ContextVar("unfinished", default=False)


@contextlib.contextmanager
def unfinished_fonts() -> Iterator[None]:
    """Embed fonts without their letters: text, widths and names are right, but nothing can be painted."""
    token = _unfinished.set(True)
    try:
        yield
    finally:
        _unfinished.reset(token)


def _remember_cut_fonts(font_class: Any) -> None:
    """Cut a font to the same letters once: cards, records and guides need the same few again and again."""
    plain = font_class.clean
    known: dict[object, bytes] = {}

    def clean(font: Any, to_unicode: dict[int, str], hinting: bool) -> None:
        if _unfinished.get() and to_unicode:
            to_unicode = {0: ""}
        key = (font.hash, font.index, font.weight, font.style, font.font_size, font.bitmap, hinting,
               tuple(sorted(font.variations.items())), tuple(sorted(to_unicode)), tuple(sorted(font.missing.items())),
               hashlib.sha256(font.file_content).digest(), os.environ.get("SOURCE_DATE_EPOCH"))  # fmt: skip
        if key in known:
            font.file_content = known[key]
            return
        plain(font, to_unicode, hinting)
        if len(known) >= _MOST_FONTS:
            known.pop(next(iter(known)))
        known[key] = font.file_content

    font_class.clean = clean


class _Arrays:
    """The engine's way to its libraries, which would read the name of each length of an array as a text in C.

    That takes longer than to cut the font for which the array lists the letters: here all lengths are of one type.
    """

    def __init__(self, ffi: Any) -> None:
        self._ffi, self._letters = ffi, ffi.typeof("hb_codepoint_t[]")

    def __getattr__(self, name: str) -> Any:
        return getattr(self._ffi, name)

    def new(self, kind: str, *given: Any) -> Any:
        """Memory of that kind."""
        return self._ffi.new(self._letters if kind.startswith("hb_codepoint_t[") else kind, *given)


def _pass_over_empty_glyphs(instancer: Any) -> None:
    """Let a weight be made of the letters that were kept: of each hundred glyphs of a cut font ninety-five are empty.

    An empty glyph that no weight changes stays as it is; to find that out for each was half of the time of a short document.
    """
    plain = getattr(instancer, "_instantiateGvarGlyph", None)
    if plain is None:
        return

    @functools.wraps(plain)
    def instantiate(name: str, glyf: Any, gvar: Any, *more: Any, **named: Any) -> None:
        if gvar.variations.get(name) or glyf[name].numberOfContours != 0:
            plain(name, glyf, gvar, *more, **named)
        else:
            gvar.variations.pop(name, None)

    instancer._instantiateGvarGlyph = instantiate


def _remember_marks(stream_class: Any) -> None:
    """Leave with each box the number of the marked content that it was drawn as (MCID): the engine forgets it."""
    plain = stream_class.marked

    def marked(stream: Any, box: Any, tag: str) -> Any:
        if stream._tags is not None:
            box.mark_number = len(stream._tags)
        return plain(stream, box, tag)

    stream_class.marked = marked
