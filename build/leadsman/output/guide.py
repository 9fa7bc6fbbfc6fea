"""An owner's guide as HTML with places for its values, and from that one PDF and one EPUB.

A :class:`GuideSource` holds everything that typesetting needs and nothing of any owner: plain data that can be
sent to another process or machine. Filled with the values of one guide it gives the whole document.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any

from leadsman.book.computed import show
from leadsman.book.guide import Outline
from leadsman.book.topics import view_topics
from leadsman.content.catalogue import Catalogue
from leadsman.content.hazards import gravest_first
from leadsman.content.model.equipment import Family
from leadsman.content.model.reference import Shown
from leadsman.output.guide_prose import GuideSetter, fill, slot
from leadsman.output.papers import page_size_css
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import WordsFor
from leadsman.press import completeness
from leadsman.press.epub import Chapter, FinishedEpub, Metadata, write_epub
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter

#: What decides how pages look, beside the guide itself.
_PROGRAMS = ("leadsman", "weasyprint", "pydyf", "pikepdf", "ebooklib")
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "guides.leadsman.invalid")


@dataclass(frozen=True)
class GuideSource:
    """All that guides of one shape have in common, ready for typesetting; values stand as named places."""

    document: str
    title: str
    language: str
    date: str
    html: str = field(repr=False)
    css: str = field(repr=False)
    chapters: tuple[Chapter, ...] = field(repr=False)
    epub_css: str = field(repr=False)
    metadata: Metadata = field(repr=False)
    key: str = ""
    """Digest of all of it and of the program's version: equal keys give equal pages."""


@dataclass(frozen=True)
class _Part:
    id: str
    title: str
    html: str


def guide_source(outline: Outline, catalogue: Catalogue, templates: Path) -> GuideSource:
    """Everything that guides of this outline have in common, as HTML."""
    edition = outline.edition
    setter = GuideSetter(catalogue, outline.shape.units, _linker(outline), outline.family, outline=outline)
    jinja = environment(templates, setter)
    shared: dict[str, Any] = {
        "outline": outline,
        "edition": edition,
        "revision": edition.revisions[-1],
        "dealer": catalogue.dealer,
        "places": outline.shape.personal,
        "slot": slot,
        "evidence": [str(catalogue.records["evidence"][name].ask) for name in edition.evidence],
        "volts": _volts(outline.family) if outline.family else "",
    }

    words = WordsFor(catalogue, outline.shape.units)

    def part(template: str, title: str, entry: str = "", **more: Any) -> _Part:
        # An entry's id may be any word: the guide's own parts keep out of its way.
        name = entry or f"guide-{template}"
        html = jinja.get_template(f"guide/{template}.html.j2").render(
            **shared, **more, part=name, title=title
        )
        return _Part(name, words.text(title), html)

    parts = [part("never", "Before you begin")]
    if catalogue.hazards:
        parts.append(part("first", "First of all", hazards=gravest_first(catalogue)))
    parts.append(part("find", "What do you see?"))
    if outline.shape.numbers or outline.shape.grids:
        parts.append(part("numbers", "Your boat's numbers"))
    parts += [part("condition", str(c.entry.title), c.entry.id, c=c) for c in outline.conditions]
    if outline.menus:
        parts.append(part("menus", "Menu paths"))
    if outline.tables:
        parts.append(part("tables", "How deep and how shallow"))
    if topics := view_topics(catalogue, owner=True):
        parts.append(part("topics", "Worth knowing", topics=topics))
    front = part("front", "This guide").html
    html = jinja.get_template("guide/book.html.j2").render(front=front, parts=parts)
    chapters = (
        Chapter("guide-front", "guide-front.xhtml", "This guide", front),
        *(Chapter(p.id, f"{p.id}.xhtml", p.title, p.html) for p in parts),
    )
    source = GuideSource(
        edition.document,
        _title(outline),
        edition.language,
        edition.revisions[-1].date,
        html,
        "\n".join([stylesheet(templates, "common", "guide"), page_size_css(edition.paper, "half")]),
        chapters,
        stylesheet(templates, "epub"),
        _metadata(outline, catalogue),
    )
    return _with_key(source)


def _title(outline: Outline) -> str:
    # Without the owner: a title shows in file lists, windows and search indexes.
    edition = outline.edition
    display = f", {outline.family.name} display" if outline.family else ""
    return f"{edition.title}. {edition.subtitle}{display}"


def _volts(family: Family) -> str:
    shown = Shown(unit="V", step=0.1, round="nearest")
    return f"{show(family.supply_low_v, 'V', shown).text} to {show(family.supply_high_v, 'V', shown).text}"


def _metadata(outline: Outline, catalogue: Catalogue) -> Metadata:
    return Metadata(
        creator=str(catalogue.dealer.name),
        publisher=str(catalogue.dealer.name),
        description=str(outline.edition.reader),
        date=outline.edition.revisions[-1].date,
        access_modes=("textual",),
        access_modes_sufficient=("textual",),
        features=(
            "tableOfContents",
            "readingOrder",
            "structuralNavigation",
            "displayTransformability",
            "unlocked",
        ),
        hazards=("none",),
        summary="Text with tables that have header cells; wide ones scroll in a box of their own. "
        "There are no pictures. No conformance to WCAG is claimed.",
    )


def _with_key(source: GuideSource) -> GuideSource:
    said = json.dumps(
        [[version(name) for name in _PROGRAMS], source.document, source.title, source.language, source.date, source.html, source.css,
         source.epub_css, [vars(c) for c in source.chapters], vars(source.metadata)],
        default=str, sort_keys=True,
    )  # fmt: skip
    return GuideSource(**{**vars(source), "key": hashlib.sha256(said.encode()).hexdigest()})


def _linker(outline: Outline) -> Any:
    entries = {condition.entry.id for condition in outline.conditions}

    def link(kind: str, name: str) -> str | None:
        if kind == "card":
            return f"#{name}" if name in entries else None
        if kind == "table":
            return f"#table-{name}" if name in outline.tables else None
        # One family's path stands in the sentence; of several, the list is needed.
        return "#guide-menus" if kind == "menu" and outline.family is None else None

    return link


def set_pdf(
    source: GuideSource, values: Mapping[str, str], typesetter: Typesetter, target: str = "guide"
) -> bytes:
    """The whole guide as a PDF, every page laid out for it.

    Raises
    ------
    Refused
        With one finding per defect.
    """
    layout = typesetter.lay_out(
        fill(source.html, values), source.css, title=source.title, language=source.language, target=target
    )
    data = typesetter.write(layout, target=target).data
    if missing := completeness.missing_texts(data, layout.texts):
        raise Refused(target, [f"text lost on the way to the page: '{text[:80]}'" for text in missing])
    return data


def identifier(source: GuideSource, guide_id: str) -> str:
    """The lasting name of a guide's EPUB."""
    return f"urn:uuid:{uuid.uuid5(_NAMESPACE, f'{source.document}/{guide_id}')}"


def set_epub(source: GuideSource, guide_id: str, values: Mapping[str, str] | None, out: Path) -> FinishedEpub:
    """Write the guide as an EPUB; without values its places stay in it, to be filled in the finished file."""
    year, month, day = (int(number) for number in source.date.split("-"))
    chapters = source.chapters
    if values is not None:
        chapters = tuple(
            Chapter(c.id, c.file_name, c.title, fill(c.body_html, values)) for c in source.chapters
        )
    return write_epub(
        out,
        identifier=identifier(source, guide_id),
        title=source.title,
        language=source.language,
        modified=datetime.datetime(year, month, day, tzinfo=datetime.UTC),
        chapters=chapters,
        css=source.epub_css,
        metadata=source.metadata,
    )
