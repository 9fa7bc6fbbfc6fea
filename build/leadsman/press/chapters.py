"""A chapter of a bound book: laid out as a document of its own, finished, and taken apart for the binder.

A long book as one document takes gigabytes, and each edit all of its time. So each part that begins on a new page is set
by itself, behind one page that stands for the end of what comes before it: it says whether the chapter begins on a left or
a right page, hands the running heads on, and is thrown away. A chapter depends on nothing else of the book. The numbers of
pages, its own and those that it refers to, are put in when the book is bound (``figures.py``).
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
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
_FIRST_TAG = re.compile(r"^\s*<\w+")
#: What numbers the blocks of a flow.
_BLOCK = "data-block"
#: Higher than any page.
_FULL_MM = 3000
#: So much HTML of a flow is laid out at one go [characters]: some pages.
ENOUGH = 40_000


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
class Flow:
    """A part of many pages whose blocks follow each other without a forced break.

    It is set in as many chapters as it has page breaks between blocks, some pages at a time, so that an edit costs a few
    pages. Styles must not ask what stands before a block. ``opens`` stands before the first block, ``runs_on``
    before those on later pages (the same elements, without their break), ``closes`` after them.
    """

    name: str
    opens: str
    runs_on: str
    blocks: Sequence[str]
    closes: str

    @property
    def html(self) -> str:
        """The whole."""
        return self.opens + "".join(self.blocks) + self.closes

    @property
    def anchors(self) -> list[str]:
        """The places in it that can be linked to."""
        return _ID.findall(self.html)

    def name_from(self, start: int) -> str:
        """A name for what begins with a block: the anchor before it, and how many blocks behind that one it is."""
        for back in range(start + 1):
            if anchors := _ID.findall(self.blocks[start - back]):
                return f"{self.name}-{anchors[0 if not back else -1]}-{back}"
        return f"{self.name}-{start}"

    def enough(self, start: int) -> int:
        """The block behind the ones that are laid out with each other."""
        size, end = 0, start
        while end < len(self.blocks) and size < ENOUGH:
            size, end = size + len(self.blocks[end]), end + 1
        return end


@dataclass(frozen=True)
class Before:
    """What a chapter takes over from those before it: how many pages stand there, and the running heads."""

    pages: int = 0
    strings: Mapping[str, str] = field(default_factory=dict)
    runs_on: bool = False
    """The last page is full, and what follows runs on."""

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
    blocks: int = 0
    """Of a flow, how many of its blocks it holds; 0 for all that it was given."""


@dataclass(frozen=True)
class Book:
    """What the chapters of a book share: its style sheets, title and language, its anchors, the engine."""

    css: Sequence[str]
    title: str
    language: str
    anchors: Collection[str]
    typesetter: Typesetter
    target: str
    """The file that is made, for messages."""


def finished_chapters(chapter: Chapter | Flow, before: Before, book: Book) -> Iterator[FinishedChapter]:
    """The chapter, or one after the other those into which a flow falls; one with a defect is refused."""
    if isinstance(chapter, Chapter):
        html = _led_elsewhere(chapter.html, set(chapter.anchors), book.anchors)
        made = _kept_or_made(
            chapter.name, html, before, book, lambda: _made(chapter.name, html, before, book)
        )
        assert made is not None
        yield made
        return
    start = 0
    while start < len(chapter.blocks):
        made = _begun(chapter, start, before, book)
        yield made
        start += made.blocks
        before = Before(before.pages + len(made.pages), made.strings)


def _led_elsewhere(html: str, here: Collection[str], anchors: Collection[str]) -> str:
    """The HTML with another form of address for what stands in another chapter."""
    return _LINK.sub(
        lambda m: m[0] if m[2] in here or m[2] not in anchors else f"{m[1]}{OTHER_CHAPTER}{m[2]}{m[3]}", html
    )


def _kept_or_made(
    name: str, html: str, before: Before, book: Book, make: Callable[[], FinishedChapter | None]
) -> FinishedChapter | None:
    """The chapter from the store, or made; None where a flow was found to fall into no shorter piece here."""
    setter = book.typesetter
    store = setter.store
    if store is None:
        return make()
    key = digest(setter.key, name, html, before.side, before.runs_on, before.strings, list(book.css), book.title,
                 book.language)  # fmt: skip
    if key in setter.chapters:
        known: FinishedChapter = setter.chapters[key]
        return known
    pdf, about = store.get("chapters", key), store.get_data("about-chapters", key)
    if pdf is not None and about is not None:
        return replace(_from_data(name, pdf, about), key=key) if about else None
    made = make()
    store.put("chapters", key, b"" if made is None else made.pdf)
    store.put_data("about-chapters", key, {} if made is None else _as_data(made))
    return None if made is None else replace(made, key=key)


def _begun(flow: Flow, start: int, before: Before, book: Book) -> FinishedChapter:
    """What stands on the pages from a block on, to one of the next page breaks before which a block ends.

    The blocks behind that break are laid out with it, since they decide whether the page ends there; the next
    chapter sets them again.
    """
    name, before = flow.name_from(start), replace(before, runs_on=start > 0)
    end = start
    while True:
        end = flow.enough(end)
        marked = [
            _FIRST_TAG.sub(rf'\g<0> {_BLOCK}="{number}"', _led_elsewhere(block, set(_ID.findall(block)), book.anchors), count=1)
            for number, block in enumerate(flow.blocks[start:end])
        ]  # fmt: skip
        last = end == len(flow.blocks)
        html = (flow.runs_on if start else flow.opens) + "".join(marked) + flow.closes
        told = f"{html}<!-- {last} -->"
        made = _kept_or_made(
            name,
            told,
            before,
            book,
            lambda html=html, marked=marked, last=last: _made(
                name, html, before, book, None if last else marked
            ),  # type: ignore[misc]
        )
        if made is not None:
            return made if made.blocks else replace(made, blocks=end - start)


def _made(
    name: str, html: str, before: Before, book: Book, blocks: Sequence[str] | None = None
) -> FinishedChapter | None:
    """A chapter, or as much of these blocks as ends with a page; None where no page ends with a block."""
    setter, told = book.typesetter, f"{book.target}, chapter {name}"
    start, more = _stands_before(before)
    layout = setter.lay_out(
        start + html,
        [*book.css, *more],
        title=book.title,
        language=book.language,
        late_numbers=True,
        target=told,
    )
    shift = int(bool(before.side))
    if shift and boxes.body_texts(layout.document.pages[0]):
        raise gate.Refused(told, ["the chapter does not begin on a new page"])
    count, end = 0, len(layout.document.pages)
    if blocks is not None:
        count, end = _last_break(layout.document.pages, shift)
        if not count:
            return None
        layout.texts = setter.texts_of("".join(blocks[:count]))
    layout.document = layout.document.copy(layout.document.pages[:end])
    strings = boxes.handed_on(layout.document, {})
    layout.document = layout.document.copy(layout.document.pages[shift:])
    drawer = FigureDrawer(layout.document)
    first = _COUNTED_FROM + shift
    for number, page in enumerate(layout.document.pages, start=first):
        # Now, since writing the document cuts the fonts.
        for box in numbers_of(page, number):
            drawer.style_of(box)
    mended = setter.write(layout, elsewhere=book.anchors, target=told)
    if missing := completeness.missing_texts(mended.data, layout.texts):
        raise gate.Refused(told, [f"text lost on the way to the page: '{text[:80]}'" for text in missing])
    data, contents = _taken_apart(mended.data, name, told)
    pages, findings = _pages(layout, contents, drawer, first)
    if findings:
        raise gate.Refused(told, findings)
    faces = _faces(layout.document)
    return FinishedChapter(
        name, data, pages, strings, mended.levels, drawer.tables, faces, mended.counts, blocks=count
    )


def _last_break(pages: Sequence[Any], shift: int) -> tuple[int, int]:
    """How many blocks end with the last page before which one begins, and how many pages that is; none without one."""
    found, seen = (0, 0), set[str]()
    for number, page in enumerate(pages):
        begins = boxes.first_with(page, _BLOCK)
        if number > shift and begins is not None and begins not in seen:
            found = int(begins), number
        seen.update(boxes.values_of(page, _BLOCK))
    return found


def _stands_before(before: Before) -> tuple[str, list[str]]:
    """The page that stands for what comes before, and its styles."""
    counted = f"@page :first {{ counter-reset: page {_COUNTED_FROM} }}"
    if not before.side:
        return "", [counted]
    names = sorted(before.strings)
    sets = ", ".join(f"{name} attr(data-{name})" for name in names) or "none"
    held = "".join(f' data-{name}="{escape(before.strings[name])}"' for name in names)
    # What runs on from a full page has no forced break before it, and loses the margin that a forced one would keep.
    ends = f"height: {_FULL_MM}mm; break-inside: avoid" if before.runs_on else "break-after: page"
    style = f"html {{ break-before: {before.side} }} .{_BEFORE} {{ string-set: {sets}; {ends} }}"
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
        "blocks": made.blocks,
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
        blocks=about["blocks"],
    )
