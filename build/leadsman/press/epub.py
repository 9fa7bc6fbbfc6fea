"""A book for readers on a phone (EPUB 3.3): chapters in, one file out, checked before it is written.

No fonts are embedded: the reader's choice of type and size is the reader's. The accessibility
metadata is given by the caller and held against the book; a claim that the book does not keep stops
the build.
"""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

from ebooklib import epub  # type: ignore[import-untyped]

from leadsman.press import atomic, epub_claims, epub_phone, svg, xhtml
from leadsman.press.epub_chapters import (
    ANY_SANS,
    COVER_NAME,
    COVER_PICTURE,
    COVER_PNG,
    IMAGE_TYPES,
    LANDMARKS,
    NAVIGATION_NAME,
    ROLES,
    STYLE_NAME,
    Built,
    Chapter,
    Section,
    chapter_findings,
    checked_picture,
    in_order,
    name_findings,
    resolve_links,
    style_findings,
    unused_findings,
)
from leadsman.press.epub_claims import Metadata
from leadsman.press.epub_package import Navigation, Page, package
from leadsman.press.gate import Refused

__all__ = ["Chapter", "FinishedEpub", "Metadata", "Section", "Words", "write_epub"]


@dataclass(frozen=True)
class Words:
    """The few words that the book itself needs, in its language."""

    contents: str = "Contents"
    landmarks: str = "Landmarks"
    cover: str = "Cover"
    start: str = "Start of the text"


@dataclass(frozen=True)
class FinishedEpub:
    """What was written."""

    path: Path
    chapter_count: int
    sha256: str


def write_epub(
    out: Path,
    *,
    identifier: str,
    title: str,
    language: str,
    modified: datetime.datetime,
    chapters: Sequence[Chapter],
    css: str,
    metadata: Metadata,
    images: Mapping[str, bytes] | None = None,
    cover_svg: str | None = None,
    cover_png: bytes | None = None,
    words: Words | None = None,
) -> FinishedEpub:
    """Make one EPUB file, or leave the earlier file as it is.

    Parameters
    ----------
    out
        The file to write.
    identifier
        The book's lasting name, such as ``urn:uuid:...``; the same for every build of an edition.
    title, language
        The book's title and BCP 47 language tag.
    modified
        The date of the content, with its time zone; also every date inside the archive.
    chapters
        The text in reading order. A link to ``#ID`` may lead into any chapter.
    css
        The style sheet; it may load nothing.
    metadata
        Who made the book, and what it claims about its accessibility.
    images
        Pictures by file name (JPEG, PNG, SVG), as ``<img src>`` names them.
    cover_svg
        The cover as SVG; its title becomes its text alternative.
    cover_png
        The cover as PNG, in place of the SVG.
    words
        The words of the navigation; English by default.

    Returns
    -------
    FinishedEpub
        Path, number of content documents and digest.

    Raises
    ------
    Refused
        With one finding per defect; nothing was written.
    """
    words = words or Words()
    built = [Built(chapter, xhtml.body_elements(chapter.body_html)) for chapter in in_order(chapters)]
    pictures = {name: checked_picture(name, data, out) for name, data in sorted((images or {}).items())}
    cover = (
        svg.safe_svg(cover_svg, name="cover", families=ANY_SANS, default_family="sans-serif")
        if cover_svg
        else ""
    )
    has_cover = bool(cover or cover_png)
    kinds = {each.chapter.kind for each in built}
    findings = [
        *name_findings(built, pictures, modified),
        *resolve_links(built),
        *(finding for each in built for finding in chapter_findings(each, pictures)),
        *unused_findings(built, pictures),
        *style_findings(css),
        *epub_claims.findings(metadata, [each.body for each in built], kinds=kinds, has_pictures=has_cover),
    ]
    if findings:
        raise Refused(out.name, findings)

    for each in built:
        epub_phone.fit(each.body)
    book = _book(identifier, title, language, metadata)
    _add_files(book, css, pictures, cover_png or cover.encode(), COVER_PNG if cover_png else COVER_PICTURE)
    _add_pages(
        book,
        built,
        chapters,
        title,
        language,
        (COVER_PNG if cover_png else COVER_PICTURE) if has_cover else "",
        words,
    )
    data = package(book, modified)
    atomic.write_bytes(out, data)
    return FinishedEpub(out, len(built), hashlib.sha256(data).hexdigest())


def _book(identifier: str, title: str, language: str, metadata: Metadata) -> Any:
    book = epub.EpubBook()
    book.set_identifier(identifier)
    book.set_title(title)
    book.set_language(language)
    for name, value in metadata.dublin_core():
        book.add_metadata("DC", name, value)
    for value, attributes in metadata.properties():
        book.add_metadata(None, "meta", value, attributes)
    return book


def _add_files(book: Any, css: str, pictures: Mapping[str, bytes], cover: bytes, name_of_cover: str) -> None:
    def add(uid: str, name: str, media_type: str, content: bytes, *properties: str) -> None:
        item = epub.EpubImage(uid=uid, file_name=name, media_type=media_type, content=content)
        item.properties = list(properties)
        book.add_item(item)

    add("style", STYLE_NAME, "text/css", css.encode())
    for number, (name, data) in enumerate(pictures.items(), start=1):
        add(f"picture-{number}", name, IMAGE_TYPES[Path(name).suffix], data)
    if cover:
        add("cover-picture", name_of_cover, IMAGE_TYPES[Path(name_of_cover).suffix], cover, "cover-image")


def _add_pages(
    book: Any,
    built: Sequence[Built],
    chapters: Sequence[Chapter],
    title: str,
    language: str,
    cover: str,
    words: Words,
) -> None:
    pages = []
    if cover:
        said = f"{words.cover}: {title}"
        body = (
            f'<main><section epub:type="cover" aria-label="{escape(words.cover)}">'
            f'<h1>{escape(title)}</h1><img src="{cover}" alt="{escape(said)}" role="doc-cover"/></section></main>'
        )
        pages.append(Page("cover", COVER_NAME, words.cover, _document(words.cover, language, body)))
    navigation = _document(words.contents, language, _navigation(built, chapters, bool(cover), words))
    pages.append(Navigation("navigation", NAVIGATION_NAME, words.contents, navigation))
    for each in built:
        names = {xhtml.tag_name(element) for element in xhtml.elements(each.body)}
        properties = [kind for kind, name in (("mathml", "math"), ("svg", "svg")) if name in names]
        pages.append(
            Page(
                f"text-{each.chapter.id}",
                each.chapter.file_name,
                each.chapter.title,
                _document(each.chapter.title, language, _chapter_body(each)),
                properties,
            )
        )
    for page in pages:
        book.add_item(page)
    # Older readers know only this form of the contents.
    book.add_item(epub.EpubNcx())
    book.toc = _toc(chapters)
    book.spine = pages


def _toc(chapters: Sequence[Chapter]) -> list[Any]:
    entries: list[Any] = []
    for chapter in chapters:
        link = epub.Link(chapter.file_name, chapter.title, f"contents-{chapter.id}")
        below = [
            epub.Link(f"{chapter.file_name}#{s.anchor}", s.title, f"contents-{chapter.id}-{s.anchor}")
            for s in chapter.sections
        ] + _toc(chapter.children)
        entries.append((link, below) if below else link)
    return entries


def _chapter_body(each: Built) -> str:
    inside = xhtml.serialised(each.body)
    inside = re.sub(r"^<body[^>]*?/?>|</body>$", "", inside)
    kind = each.chapter.kind
    return (
        f'<main><section epub:type="{kind}" role="{ROLES[kind]}" aria-label="{escape(each.chapter.title)}">'
        f"{inside}</section></main>"
    )


def _document(title: str, language: str, body: str) -> bytes:
    return (
        '<?xml version="1.0" encoding="utf-8"?>\n<!DOCTYPE html>\n'
        f'<html xmlns="{xhtml.XHTML}" xmlns:epub="{xhtml.OPS}" lang="{language}" xml:lang="{language}">\n'
        f'<head><meta charset="utf-8"/><title>{escape(title)}</title>'
        f'<link rel="stylesheet" type="text/css" href="{STYLE_NAME}"/></head>\n<body>{body}</body></html>\n'
    ).encode()


def _navigation(built: Sequence[Built], chapters: Sequence[Chapter], has_cover: bool, words: Words) -> str:
    marks = [("cover", COVER_NAME, words.cover)] if has_cover else []
    marks.append(("toc", "#contents", words.contents))
    front = ("foreword", "introduction", "preface", "colophon")
    first = next((each.chapter for each in built if each.chapter.kind not in front), built[0].chapter)
    marks.append(("bodymatter", first.file_name, words.start))
    for kind in LANDMARKS:
        marks += [(kind, c.chapter.file_name, c.chapter.title) for c in built if c.chapter.kind == kind][:1]
    places = "".join(
        f'<li><a epub:type="{kind}" href="{target}">{escape(text, quote=False)}</a></li>'
        for kind, target, text in marks
    )
    return (
        '<main><nav epub:type="toc" role="doc-toc" id="contents" aria-labelledby="contents-title">'
        f'<h1 id="contents-title">{escape(words.contents, quote=False)}</h1>{_contents(chapters)}</nav></main>\n'
        '<nav epub:type="landmarks" aria-labelledby="landmarks-title" hidden="hidden">'
        f'<h2 id="landmarks-title">{escape(words.landmarks, quote=False)}</h2><ol>{places}</ol></nav>'
    )


def _contents(chapters: Sequence[Chapter]) -> str:
    lines = []
    for chapter in chapters:
        below = "".join(
            f'<li><a href="{chapter.file_name}#{s.anchor}">{escape(s.title, quote=False)}</a></li>'
            for s in chapter.sections
        )
        children = _contents(chapter.children).removeprefix("<ol>").removesuffix("</ol>")
        nested = f"<ol>{below}{children}</ol>" if below or children else ""
        lines.append(
            f'<li><a href="{chapter.file_name}">{escape(chapter.title, quote=False)}</a>{nested}</li>'
        )
    return f"<ol>{''.join(lines)}</ol>" if lines else ""
