"""Bind the finished chapters of a book into one tagged PDF/UA-1 file.

Pages and tags of the chapters are taken over as they are. What a file has only once is made here: the fonts (one of each
face, with the glyphs of all chapters, cut by the engine itself), the numbers of pages, the destinations, the bookmarks,
the tree from marked content to its tags, and the index of ids. The same chapters give the same bytes.
"""

from __future__ import annotations

import hashlib
import io
import warnings
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from html import escape
from pathlib import Path
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from leadsman.collector import relaxed_collector
from leadsman.press import atomic, boxes, gate
from leadsman.press.chapters import Before, Book, Chapter, Face, FinishedChapter, Flow, finished_chapters
from leadsman.press.engine import Bookmark, bookmark_tree
from leadsman.press.figures import FigureDrawer, with_numbers
from leadsman.press.repair import heading_findings
from leadsman.press.typeset import PDF_VARIANT, FinishedPdf, Typesetter, fixed_font_date
from leadsman.store import digest

_STYLES = ("normal", "oblique", "italic")


@relaxed_collector()
def bind_book(
    chapters: Sequence[Chapter | Flow],
    css: Sequence[str],
    *,
    out: Path,
    title: str,
    language: str,
    typesetter: Typesetter,
) -> FinishedPdf:
    """Make one tagged PDF/UA-1 file of chapters, or leave the earlier file as it is.

    Parameters
    ----------
    chapters
        In order; each begins on a new page.
    css
        Style sheets as text, in order, the same for all chapters.
    out
        The file to write.
    title, language
        The document's title and BCP 47 language tag.
    typesetter
        The engine; what it has in its store is not made again.

    Raises
    ------
    Refused
        With one finding per defect; nothing was written.
    """
    anchors = Counter(anchor for chapter in chapters for anchor in chapter.anchors)
    if twice := [anchor for anchor, times in anchors.items() if times > 1]:
        raise gate.Refused(out.name, [f"two places of the book have the id '{anchor}'" for anchor in twice])
    finished = all_finished(chapters, Book(css, title, language, frozenset(anchors), typesetter, out.name))
    if typesetter.store is not None:
        typesetter.chapters = {made.key: made for made in finished}
    cover = _cover(_all_faces(finished), title, language, typesetter)
    data, page_of, findings = bound(finished, cover)
    if findings:
        raise gate.Refused(out.name, findings)
    atomic.write_bytes(out, data)
    repairs: Counter[str] = Counter()
    for made in finished:
        repairs.update(made.repairs)
    count = sum(len(made.pages) for made in finished)
    return FinishedPdf(out, count, hashlib.sha256(data).hexdigest(), page_of, dict(repairs))


def all_finished(chapters: Sequence[Chapter | Flow], book: Book) -> list[FinishedChapter]:
    """Each chapter behind those before it."""
    finished: list[FinishedChapter] = []
    before = Before()
    for chapter in chapters:
        for made in finished_chapters(chapter, before, book):
            finished.append(made)
            before = Before(before.pages + len(made.pages), made.strings)
    return finished


def bound(chapters: Sequence[FinishedChapter], cover: bytes) -> tuple[bytes, dict[str, int], list[str]]:
    """The bound file, the pages of its anchors, and what is wrong with it.

    Parameters
    ----------
    chapters
        In order.
    cover
        A file with the metadata of the book and the fonts of all chapters; its own page is left out.
    """
    page_of = _pages_of_anchors(chapters)
    findings = heading_findings([level for chapter in chapters for level in chapter.levels])
    with pikepdf.open(io.BytesIO(cover)) as pdf:
        fonts = pdf.pages[0].Resources.Font
        del pdf.pages[0]
        tags = _Tags(pdf, sum(len(chapter.pages) for chapter in chapters))
        for chapter in chapters:
            first = len(pdf.pages)
            # The file of a chapter goes as soon as it was copied: all of them at once take as much memory as the book.
            root = _copied(pikepdf.open(io.BytesIO(chapter.pdf)), pdf)
            pages = [pdf.pages[first + at] for at in range(len(chapter.pages))]
            for key in fonts.keys() if pages else ():
                pages[0].Resources.Font[key] = fonts[key]
            findings += _put_numbers_in(pdf, pages, chapter, first + 1, page_of)
            tags.take_over(root, pages, first)
        tags.finish()
        pages = list(pdf.pages)
        findings += _give_destinations(pdf, pages, chapters)
        _give_bookmarks(pdf, pages, chapters)
        file = io.BytesIO()
        pdf.save(file, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return file.getvalue(), page_of, findings


def _copied(source: pikepdf.Pdf, pdf: pikepdf.Pdf) -> Any:
    """Copy the pages and tags of a file behind those of another; the root of its tags there."""
    with warnings.catch_warnings():
        # Destinations are made anew for the whole book.
        warnings.simplefilter("ignore", pikepdf.PageCopyWarning)
        pdf.pages.extend(source.pages)
    return pdf.copy_foreign(source.Root.StructTreeRoot)


def _pages_of_anchors(chapters: Sequence[FinishedChapter]) -> dict[str, int]:
    """The number of the page on which each anchor of the book stands, counted from 1."""
    found: dict[str, int] = {}
    all_pages = (page for chapter in chapters for page in chapter.pages)
    for number, page in enumerate(all_pages, start=1):
        for anchor, _, _ in page.anchors:
            found.setdefault(anchor, number)
    return found


def _put_numbers_in(
    pdf: pikepdf.Pdf,
    pages: Sequence[Any],
    chapter: FinishedChapter,
    first: int,
    page_of: Mapping[str, int],
) -> list[str]:
    """Write each page number into its place; findings where one has no place of its number, or no room for it."""
    findings = []
    for number, (page, described) in enumerate(zip(pages, chapter.pages, strict=True), start=first):
        missing = {place.anchor for place in described.places if place.anchor} - page_of.keys()
        findings += [
            f"page {number}: no place '{anchor}' in the book, whose page is asked for" for anchor in missing
        ]
        if not described.places or missing:
            continue
        content, misfits = with_numbers(
            page.Contents.read_bytes(),
            described.places,
            chapter.tables,
            lambda anchor, own=number: str(page_of[anchor] if anchor else own),  # type: ignore[misc]
        )
        findings += [
            f"page {number}: no room for the page number {page_of[anchor]} of '{anchor}'"
            for anchor in misfits
        ]
        page.Contents = pdf.make_stream(content)
    return findings


class _Tags:
    """The one tree of tags, filled chapter by chapter.

    Pages come first in the tree from marked content to tags, as the engine has it, then links.
    """

    def __init__(self, pdf: pikepdf.Pdf, page_count: int) -> None:
        self.root = pdf.Root.StructTreeRoot
        self.document = self.root.K[0]
        self._pdf = pdf
        self._kids: list[Any] = []
        self._owners: list[tuple[int, Any]] = []
        self._link_owners: list[tuple[int, Any]] = []
        self._next_link = page_count
        self._ids: list[tuple[bytes, Any]] = []

    def take_over(self, root: Any, pages: Sequence[Any], first: int) -> None:
        """Take over the tags of a chapter, whose root was copied after its pages."""
        for kid in root.K[0].K:
            kid.P = self.document
            self._kids.append(kid)
        numbers = list(root.ParentTree.Nums)
        owners = {int(number): owner for number, owner in zip(numbers[::2], numbers[1::2], strict=True)}
        for at, page in enumerate(pages, start=first):
            self._owners.append((at, owners[int(page.StructParents)]))
            page.StructParents = at
            for annotation in page.get("/Annots", ()):
                self._link_owners.append((self._next_link, owners[int(annotation.StructParent)]))
                annotation.StructParent = self._next_link
                self._next_link += 1
        if "/IDTree" in root:
            self._ids += [(bytes(item.ID), item) for item in list(root.IDTree.Names)[1::2]]

    def finish(self) -> None:
        """Write the trees of the whole book."""
        self.document.K = Array(self._kids)
        pairs = [*self._owners, *self._link_owners]
        self.root.ParentTree = self._pdf.make_indirect(
            Dictionary(Nums=Array([value for pair in pairs for value in pair]))
        )
        if "/IDTree" in self.root:
            del self.root.IDTree
        if self._ids:
            ids = sorted(self._ids, key=lambda pair: pair[0])
            names = Array([value for key, item in ids for value in (String(key.decode("latin-1")), item)])
            self.root.IDTree = self._pdf.make_indirect(Dictionary(Names=names))


def _give_destinations(
    pdf: pikepdf.Pdf, pages: Sequence[Any], chapters: Sequence[FinishedChapter]
) -> list[str]:
    """Name the place of each anchor; a finding for each link that leads to none."""
    named: dict[str, Array] = {}
    described = (page for chapter in chapters for page in chapter.pages)
    for page, told in zip(pages, described, strict=True):
        for name, x, y in told.anchors:
            if name not in named:
                named[name] = _at(page, x * boxes.PT_PER_PX, (told.height_px - y) * boxes.PT_PER_PX)
    if "/Names" in pdf.Root and "/Dests" in pdf.Root.Names:
        del pdf.Root.Names.Dests
    if named:
        names = Array([value for name in sorted(named) for value in (String(name), named[name])])
        pdf.Root.Names = Dictionary(Dests=Dictionary(Names=names))
    return [
        f"page {number}: a link leads to '{annotation.Dest}', which is nowhere in the book"
        for number, page in enumerate(pages, start=1)
        for annotation in page.get("/Annots", ())
        if "/Dest" in annotation and str(annotation.Dest) not in named
    ]


def _at(page: Any, x: float, y: float) -> Array:
    """A place on a page [pt]."""
    return Array([page.obj, Name.XYZ, _number(x), _number(y), 0])


def _number(value: float) -> Decimal:
    return Decimal(f"{value:f}").normalize() + 0


def _give_bookmarks(pdf: pikepdf.Pdf, pages: Sequence[Any], chapters: Sequence[FinishedChapter]) -> None:
    """The bookmarks of all chapters as one tree: what stands below what is only known in the whole book."""
    tree = bookmark_tree([(page.height_px, page.bookmarks) for chapter in chapters for page in chapter.pages])
    if "/Outlines" in pdf.Root:
        del pdf.Root.Outlines
    if not tree:
        return
    outlines = pdf.make_indirect(Dictionary())
    outlines.Count = _bookmarks_below(pdf, pages, outlines, tree)
    pdf.Root.Outlines = outlines


def _bookmarks_below(pdf: pikepdf.Pdf, pages: Sequence[Any], parent: Any, tree: Sequence[Bookmark]) -> int:
    """Hang bookmarks below another one; how many of them are open, with what is open below them."""
    shown = len(tree)
    made: list[Any] = []
    for words, (number, x, y), below, state in tree:
        item = pdf.make_indirect(
            Dictionary(Title=String(words), Dest=_at(pages[number], x, y), Parent=parent)
        )
        count = _bookmarks_below(pdf, pages, item, below) if below else 0
        item.Count = -count if state == "closed" else count
        shown += 0 if state == "closed" else count
        if made:
            item.Prev, made[-1].Next = made[-1], item
        made.append(item)
    parent.First, parent.Last = made[0], made[-1]
    return shown


def _all_faces(chapters: Sequence[FinishedChapter]) -> dict[str, Face]:
    """The faces of the book with the glyphs of all chapters; a glyph says what it first stood for, as in one document."""
    letters: dict[str, dict[int, str]] = {}
    widths: dict[str, dict[int, float]] = {}
    asked: dict[str, Face] = {}
    for chapter in chapters:
        for key, face in chapter.faces.items():
            asked.setdefault(key, face)
            letters[key] = {**face.to_unicode, **letters.get(key, {})}
            widths[key] = {**face.widths, **widths.get(key, {})}
    # In the order of their numbers, so that a letter that moves makes no other font.
    return {
        key: replace(
            asked[key],
            to_unicode=dict(sorted(letters[key].items())),
            widths=dict(sorted(widths[key].items())),
        )
        for key in sorted(asked)
    }


def _cover(faces: Mapping[str, Face], title: str, language: str, typesetter: Typesetter) -> bytes:
    """A file with the metadata of the book and its fonts: each face is set once, and then given all its glyphs."""
    key = ""
    if typesetter.store is not None:
        told = {
            name: [f.family, f.weight, f.style, list(f.to_unicode.items()), list(f.widths.items())]
            for name, f in faces.items()
        }
        key = digest(typesetter.key, title, language, told)
        if (kept := typesetter.store.get("covers", key)) is not None:
            return kept
    html = "".join(
        f'<p style="font: {_STYLES[f.style]} {f.weight} 10pt {escape(repr(f.family))}">0</p>'
        for f in faces.values()
    )
    layout = typesetter.lay_out(
        f"<h1 style='font: {_first(faces)}'>0</h1>{html}", title=title, language=language, target="the fonts"
    )
    document = layout.document
    drawer = FigureDrawer(document)
    for box in _text_boxes(document):
        drawer.drawn(box, box.text)
    with gate.listen() as logged, fixed_font_date():
        fonts = {font.hash: font for font in document.fonts.values()}
        if fonts.keys() != faces.keys() or len(document.fonts) != len(fonts):
            raise gate.Refused("the fonts of the book", ["a face of a chapter is not found again"])
        for name, face in faces.items():
            fonts[name].to_unicode = dict(face.to_unicode)
            fonts[name].widths = dict(face.widths)
        data: bytes = document.write_pdf(pdf_variant=PDF_VARIANT, pdf_forms=True)
    if logged:
        raise gate.Refused("the fonts of the book", logged)
    if typesetter.store is not None:
        typesetter.store.put("covers", key, data)
    return data


def _first(faces: Mapping[str, Face]) -> str:
    face = next(iter(faces.values()))
    return f"{_STYLES[face.style]} {face.weight} 10pt {escape(repr(face.family))}"


def _text_boxes(document: Any) -> Iterator[Any]:
    for page in document.pages:
        for box in boxes.walk(boxes.page_box(page)):
            if boxes.is_text(box):
                yield box
