"""The chapters of a book and what must hold of them before they are written."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from leadsman.press import svg, xhtml
from leadsman.press.fonts import FAMILIES
from leadsman.press.gate import Refused

STYLE_NAME, NAVIGATION_NAME = "style.css", "nav.xhtml"
COVER_NAME, COVER_PICTURE, COVER_PNG = "cover.xhtml", "cover.svg", "cover.png"
IMAGE_TYPES = {
    ".jpeg": "image/jpeg",
    ".jpg": "image/jpeg",
    ".png": "image/png",
    ".svg": "image/svg+xml",
}
_SIGNATURES = {"image/jpeg": b"\xff\xd8\xff", "image/png": b"\x89PNG\r\n\x1a\n"}
#: A length that does not follow the reader's text size, as the size of a font.
_FIXED_SIZE = re.compile(r"(?<![\w-])font(?:-size)?\s*:[^;}]*?\d(px|pt|pc|mm|cm|in|q)\b", re.IGNORECASE)
_FILE_NAME = re.compile(r"[A-Za-z0-9][\w-]*(/[A-Za-z0-9][\w-]*)*\.[a-z]+")

#: Kind of a chapter (EPUB Structural Semantics) -> its role for assistive technology (DPUB-ARIA 1.1).
ROLES = {
    "afterword": "doc-afterword",
    "appendix": "doc-appendix",
    "bibliography": "doc-bibliography",
    "chapter": "doc-chapter",
    "colophon": "doc-colophon",
    "conclusion": "doc-conclusion",
    "foreword": "doc-foreword",
    "glossary": "doc-glossary",
    "index": "doc-index",
    "introduction": "doc-introduction",
    "part": "doc-part",
    "preface": "doc-preface",
}
#: Kinds that a reading system may offer as places to jump to.
LANDMARKS = ("bibliography", "glossary", "index")


#: A reader chooses its own fonts, so that a picture may name a general one.
ANY_SANS = frozenset({"sans-serif"}) | FAMILIES


@dataclass(frozen=True)
class Section:
    """A place inside a chapter that the contents list: an id in its HTML and the words for it."""

    anchor: str
    title: str


@dataclass(frozen=True)
class Chapter:
    """One content document; ``children`` follow it in reading order and stand below it in the contents."""

    id: str
    file_name: str
    title: str
    body_html: str
    children: tuple[Chapter, ...] = ()
    sections: tuple[Section, ...] = ()
    kind: str = "chapter"


@dataclass(frozen=True)
class Built:
    """A chapter with its parsed body."""

    chapter: Chapter
    body: Any


def in_order(chapters: Sequence[Chapter]) -> Iterator[Chapter]:
    for chapter in chapters:
        yield chapter
        yield from in_order(chapter.children)


def checked_picture(name: str, data: bytes, out: Path) -> bytes:
    kind = IMAGE_TYPES.get(Path(name).suffix)
    if kind is None or not _FILE_NAME.fullmatch(name):
        raise Refused(
            out.name, [f"picture {name}: name it as letters, digits, - and _ with .jpg, .png or .svg"]
        )
    if kind == "image/svg+xml":
        safe = svg.safe_svg(data, name=Path(name).stem, families=ANY_SANS, default_family="sans-serif")
        return safe.encode()
    if not data.startswith(_SIGNATURES[kind]):
        raise Refused(out.name, [f"picture {name}: the file is no {kind}"])
    return data


def name_findings(
    built: Sequence[Built], pictures: Mapping[str, bytes], modified: datetime.datetime
) -> Iterator[str]:
    if not built:
        yield "the book has no chapter"
    if modified.tzinfo is None:
        yield "the date of modification has no time zone"
    seen_files = {STYLE_NAME, NAVIGATION_NAME, COVER_NAME, COVER_PICTURE, COVER_PNG, *pictures}
    seen_ids: set[str] = set()
    for each in built:
        chapter = each.chapter
        if chapter.file_name in seen_files:
            yield f"the file name {chapter.file_name} is used twice"
        if not _FILE_NAME.fullmatch(chapter.file_name) or not chapter.file_name.endswith(".xhtml"):
            yield f"the file name {chapter.file_name} is not letters, digits, - and _ with .xhtml"
        if "/" in chapter.file_name:
            yield f"the file {chapter.file_name} must not lie in a folder"
        if chapter.id in seen_ids or not re.fullmatch(r"[A-Za-z_][\w.-]*", chapter.id):
            yield f"the chapter id '{chapter.id}' is used twice or is no XML name"
        if chapter.kind not in ROLES:
            yield f"chapter '{chapter.id}': unknown kind '{chapter.kind}'; known are {', '.join(ROLES)}"
        if not chapter.title.strip():
            yield f"chapter '{chapter.id}' has no title"
        seen_files.add(chapter.file_name)
        seen_ids.add(chapter.id)


def resolve_links(built: Sequence[Built]) -> list[str]:
    """Lead each ``#ID`` to the chapter that holds it; report those that no chapter or several hold."""
    findings = []
    homes: dict[str, list[str]] = {}
    for each in built:
        ids = [element.get("id") for element in xhtml.elements(each.body) if element.get("id")]
        findings += [
            f"chapter '{each.chapter.id}': the id '{name}' is used twice"
            for name in set(ids)
            if ids.count(name) > 1
        ]
        for name in set(ids):
            homes.setdefault(name, []).append(each.chapter.file_name)
        findings += [
            f"chapter '{each.chapter.id}': the contents name '#{section.anchor}', which is not there"
            for section in each.chapter.sections
            if section.anchor not in ids
        ]
    files = {each.chapter.file_name for each in built}
    for each in built:
        for element in xhtml.elements(each.body):
            target = element.get("href")
            if target is None or element.tag != f"{{{xhtml.XHTML}}}a":
                continue
            resolved = _resolved(target, each.chapter.file_name, homes, files)
            if resolved is None:
                findings.append(f"chapter '{each.chapter.id}': the link to '{target}' leads nowhere")
            else:
                element.set("href", resolved)
    return sorted(findings)


def _resolved(target: str, here: str, homes: Mapping[str, list[str]], files: set[str]) -> str | None:
    if re.match(r"(https?|mailto|tel):", target):
        return target
    file, _, anchor = target.partition("#")
    holders = homes.get(anchor, [])
    if file:
        return target if file in files and (not anchor or file in holders) else None
    if here in holders:
        return target
    return f"{holders[0]}#{anchor}" if len(holders) == 1 else None


def chapter_findings(each: Built, pictures: Mapping[str, bytes]) -> Iterator[str]:
    where = f"chapter '{each.chapter.id}'"
    levels = []
    for element in xhtml.elements(each.body):
        name = xhtml.tag_name(element)
        if name in xhtml.FORBIDDEN and element.tag.startswith("{" + xhtml.XHTML):
            yield f"{where}: <{name}> has no place in a book"
        for attribute in element.attrib:
            if attribute.lower().startswith("on"):
                yield f"{where}: the script attribute {attribute} has no place in a book"
        if name == "img":
            if element.get("src") not in pictures:
                yield f"{where}: the picture '{element.get('src')}' is not in the book"
            if element.get("alt") is None:
                yield f"{where}: the picture '{element.get('src')}' has no text alternative"
        if name == "svg" and not (element.findtext(f"{{{xhtml.SVG}}}title") or "").strip():
            yield f"{where}: a drawing has no <title>"
        if "url(" in (element.get("style") or ""):
            yield f"{where}: a style loads something"
        if element.tag.startswith("{" + xhtml.XHTML) and _FIXED_SIZE.search(element.get("style") or ""):
            yield f"{where}: a style fixes the size of text"
        if re.fullmatch(r"h[1-6]", name):
            levels.append(int(name[1]))
    if not levels:
        yield f"{where}: has no heading"
    for before, after in pairwise(levels):
        if after > before + 1:
            yield f"{where}: heading level skipped: h{after} follows h{before}"


def unused_findings(built: Sequence[Built], pictures: Mapping[str, bytes]) -> Iterator[str]:
    """Each picture that no chapter shows."""
    shown = {element.get("src") for each in built for element in xhtml.elements(each.body)}
    for name in pictures:
        if name not in shown:
            yield f"the picture '{name}' is in the book but no chapter shows it"


def style_findings(css: str) -> Iterator[str]:
    bare = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    for word in ("@import", "@font-face", "url(", "\\"):
        if word in bare.lower():
            yield f"the style sheet holds '{word}': a book loads nothing and carries no fonts"
    for found in _FIXED_SIZE.finditer(bare):
        yield f"the style sheet holds '{found[0]}': text follows the reader's size (em, rem, %)"
