"""A chapter of a bound book: laid out as a document of its own, finished, and taken apart for the binder.

A long book as one document takes gigabytes, and each edit all of its time. So each part that begins on a new page is set
by itself, behind one page that stands for the end of what comes before it: it says whether the chapter begins on a left or
a right page, hands the running heads on, and is thrown away. A chapter depends on nothing else of the book. The numbers of
pages, its own and those that it refers to, are put in when the book is bound (``figures.py``).
"""

from __future__ import annotations

import io
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from html import escape
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, String

from leadsman.press import boxes, completeness, gate
from leadsman.press.figures import FigureDrawer, FigureTable, Place, numbers_of, places
from leadsman.press.repair import OTHER_CHAPTER
from leadsman.press.typeset import Layout, Typesetter
from leadsman.store import digest

#: The page number from which a chapter counts while it is by itself: nothing else in a margin looks like it.
_COUNTED_FROM = 47110
_ID = re.compile(r'\sid="([^"]+)"')
_LINK = re.compile(r'(\shref=")#([^"]*)(")')
_BEFORE = "stands-before"


@dataclass(frozen=True)
class Chapter:
    """What is set at one go: it begins on a new page. ``name`` is for messages, and for the ids of its tags."""

    name: str
    html: str

    @property
    def anchors(self) -> list[str]:
        """The places in it that can be linked to."""
        return _ID.findall(self.html)


@dataclass(frozen=True)
class Before:
    """What a chapter takes over from those before it: how many pages stand there, and the running heads."""

    pages: int = 0
    strings: Mapping[str, str] = field(default_factory=dict)

    @property
    def side(self) -> str:
        """The side of the last page before it; empty at the beginning of the book."""
        return ("left", "right")[self.pages % 2] if self.pages else ""


@dataclass(frozen=True)
class Face:
    """A face of type in a chapter: how a style asks for it, and the glyphs that it takes of it."""

    family: str
    weight: int
    style: int
    to_unicode: Mapping[int, str]
    widths: Mapping[int, float]


@dataclass(frozen=True)
class ChapterPage:
    """A page of a chapter: its height [px], the bookmarks and anchors on it [px], and where its numbers stand."""

    height_px: float
    bookmarks: Sequence[Sequence[Any]]
    anchors: Sequence[tuple[str, float, float]]
    places: Sequence[Place]


@dataclass(frozen=True)
class FinishedChapter:
    """A chapter that passed every check, ready to be bound."""

    name: str
    pdf: bytes = field(repr=False)
    pages: Sequence[ChapterPage] = field(repr=False)
    strings: Mapping[str, str]
    """The running heads that it hands on."""
    levels: Sequence[int]
    """The levels of its headings."""
    tables: Sequence[FigureTable] = field(repr=False)
    faces: Mapping[str, Face] = field(repr=False)
    repairs: Mapping[str, int]
    key: str = ""
    """Digest of all that decides it, where a store is used."""


def finished_chapter(
    chapter: Chapter,
    before: Before,
    css: Sequence[str],
    *,
    elsewhere: Collection[str],
    title: str,
    language: str,
    typesetter: Typesetter,
    target: str,
) -> FinishedChapter:
    """The chapter from the store, or set anew; one with a defect is refused.

    Parameters
    ----------
    before
        What stands before it.
    css, title, language
        Those of the book.
    elsewhere
        The anchors in the other chapters.
    target
        The file that is made, for messages.
    """
    here = set(chapter.anchors)
    html = _LINK.sub(
        lambda m: m[0] if m[2] in here or m[2] not in elsewhere else f"{m[1]}{OTHER_CHAPTER}{m[2]}{m[3]}",
        chapter.html,
    )
    store = typesetter.store
    if store is None:
        return _made(chapter.name, html, before, css, elsewhere, title, language, typesetter, target)
    key = digest(typesetter.key, chapter.name, html, before.side, before.strings, list(css), title, language)
    if key in typesetter.chapters:
        known: FinishedChapter = typesetter.chapters[key]
        return known
    pdf, about = store.get("chapters", key), store.get_data("about-chapters", key)
    if pdf is not None and about is not None:
        return replace(_from_data(chapter.name, pdf, about), key=key)
    made = _made(chapter.name, html, before, css, elsewhere, title, language, typesetter, target)
    store.put("chapters", key, made.pdf)
    store.put_data("about-chapters", key, _as_data(made))
    return replace(made, key=key)


def _made(
    name: str,
    html: str,
    before: Before,
    css: Sequence[str],
    elsewhere: Collection[str],
    title: str,
    language: str,
    typesetter: Typesetter,
    target: str,
) -> FinishedChapter:
    told = f"{target}, chapter {name}"
    start, more = _stands_before(before)
    layout = typesetter.lay_out(
        start + html, [*css, *more], title=title, language=language, late_numbers=True, target=told
    )
    shift = int(bool(before.side))
    if shift and boxes.body_texts(layout.document.pages[0]):
        raise gate.Refused(told, ["the chapter does not begin on a new page"])
    strings = boxes.handed_on(layout.document, {})
    layout.document = layout.document.copy(layout.document.pages[shift:])
    drawer = FigureDrawer(layout.document)
    first = _COUNTED_FROM + shift
    for number, page in enumerate(layout.document.pages, start=first):
        # Now, since writing the document cuts the fonts.
        for box in numbers_of(page, number):
            drawer.style_of(box)
    mended = typesetter.write(layout, elsewhere=elsewhere, target=told)
    if missing := completeness.missing_texts(mended.data, layout.texts):
        raise gate.Refused(told, [f"text lost on the way to the page: '{text[:80]}'" for text in missing])
    data, contents = _taken_apart(mended.data, name, told)
    pages, findings = _pages(layout, contents, drawer, first)
    if findings:
        raise gate.Refused(told, findings)
    faces = _faces(layout.document)
    return FinishedChapter(name, data, pages, strings, mended.levels, drawer.tables, faces, mended.counts)


def _stands_before(before: Before) -> tuple[str, list[str]]:
    """The page that stands for what comes before, and its styles."""
    counted = f"@page :first {{ counter-reset: page {_COUNTED_FROM} }}"
    if not before.side:
        return "", [counted]
    names = sorted(before.strings)
    sets = ", ".join(f"{name} attr(data-{name})" for name in names) or "none"
    held = "".join(f' data-{name}="{escape(before.strings[name])}"' for name in names)
    style = f"html {{ break-before: {before.side} }} .{_BEFORE} {{ string-set: {sets}; break-after: page }}"
    return f'<div class="{_BEFORE}"{held}></div>', [counted, style]


def _taken_apart(data: bytes, name: str, told: str) -> tuple[bytes, list[bytes]]:
    """The chapter without its fonts and with ids that no other chapter has; and the content of each page."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        if "/AcroForm" in pdf.Root:
            raise gate.Refused(told, ["a form cannot be bound into a book"])
        contents = [page.Contents.read_bytes() for page in pdf.pages]
        for page in pdf.pages:
            fonts = page.Resources.Font
            for key in list(fonts.keys()):
                del fonts[key]
        mark = f"{name}-"
        for element in _elements(pdf.Root.StructTreeRoot):
            if "/ID" in element:
                element.ID = String(mark + str(element.ID))
            attributes = element.get("/A")
            if isinstance(attributes, Dictionary) and "/Headers" in attributes:
                attributes.Headers = Array([String(mark + str(header)) for header in attributes.Headers])
        out = io.BytesIO()
        pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
        return out.getvalue(), contents


def _elements(root: Any) -> Iterator[Any]:
    waiting = [root]
    while waiting:
        kids = waiting.pop().get("/K")
        for kid in kids if isinstance(kids, Array) else [kids]:
            if isinstance(kid, Dictionary) and "/S" in kid:
                yield kid
                waiting.append(kid)


def _pages(
    layout: Layout, contents: Sequence[bytes], drawer: FigureDrawer, first: int
) -> tuple[list[ChapterPage], list[str]]:
    found, findings = [], []
    for at, (page, content) in enumerate(zip(layout.document.pages, contents, strict=True)):
        stand, wrong = places(page, first + at, content, drawer.style_of)
        findings += [f"page {at + 1}: {line}" for line in wrong]
        anchors = [(name, x, y) for name, (x, y, *_) in page.anchors.items()]
        found.append(ChapterPage(page.height, page.bookmarks, anchors, stand))
    return found, findings


def _faces(document: Any) -> dict[str, Face]:
    """The faces of a written document by the name that its pages call them."""
    found: dict[str, Face] = {}
    for font in document.fonts.values():
        same = found.get(font.hash)
        found[font.hash] = Face(
            font.family,
            int(font.weight),
            int(font.style),
            {**(same.to_unicode if same else {}), **font.to_unicode},
            {**(same.widths if same else {}), **font.widths},
        )
    return found


def _as_data(made: FinishedChapter) -> dict[str, Any]:
    return {
        "pages": [
            [page.height_px, page.bookmarks, page.anchors, [place.as_data() for place in page.places]]
            for page in made.pages
        ],
        "strings": made.strings,
        "levels": made.levels,
        "tables": [table.as_data() for table in made.tables],
        "faces": {
            key: [f.family, f.weight, f.style, list(f.to_unicode.items()), list(f.widths.items())]
            for key, f in made.faces.items()
        },
        "repairs": made.repairs,
    }


def _from_data(name: str, pdf: bytes, about: Mapping[str, Any]) -> FinishedChapter:
    return FinishedChapter(
        name,
        pdf,
        [
            ChapterPage(height, bookmarks, anchors, [Place(*place) for place in stand])
            for height, bookmarks, anchors, stand in about["pages"]
        ],
        about["strings"],
        about["levels"],
        [FigureTable.from_data(table) for table in about["tables"]],
        {
            key: Face(family, weight, style, dict(letters), dict(widths))
            for key, (family, weight, style, letters, widths) in about["faces"].items()
        },
        about["repairs"],
    )
