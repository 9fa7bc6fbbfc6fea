"""An owner's guide as HTML with places for its values, and from that one PDF and one EPUB.

A :class:`GuideSource` holds everything that typesetting needs and nothing of any owner: plain data that can be
sent to another process or machine. Filled with the values of one guide it gives the whole document.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any

from leadsman.book.computed import show
from leadsman.book.guide import Outline
from leadsman.book.rungs import first_words
from leadsman.content.catalogue import Catalogue
from leadsman.content.hazards import gravest_first
from leadsman.content.model.equipment import Dealer, Family
from leadsman.content.model.phrases import filled
from leadsman.content.model.reference import Shown
from leadsman.errors import OutputError, counted
from leadsman.output.cover import Cover, cover_png
from leadsman.output.epub_book import about_book, day, full_title
from leadsman.output.figures import figures
from leadsman.output.figures.afloat import boat_side
from leadsman.output.figures.figure import LABEL_FAMILIES
from leadsman.output.guide_prose import GuideSetter, fill, slot, with_breaks
from leadsman.output.papers import page_size_css
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import WordsFor, printed_language
from leadsman.press import completeness
from leadsman.press.epub import Chapter, FinishedEpub, Metadata, write_epub
from leadsman.press.gate import TooLong
from leadsman.press.svg import safe_svg, sized_by_page
from leadsman.press.typeset import Layout, Typesetter

#: What decides how pages look, beside the guide itself.
_PROGRAMS = ("leadsman", "weasyprint", "pydyf", "pikepdf", "ebooklib")
#: Half letter is narrower than A5: what its margins give up, its lines keep.
_MARGINS = {
    "a": "",
    "us": "@page { margin: 11mm 10mm 10mm 12mm } @page :left { margin: 11mm 12mm 10mm 10mm } "
    ".front .boat { margin: 6mm -10mm 4mm -12mm; padding: 4mm 10mm 0 12mm }",
}
#: Where pages for notes are put in.
_NOTES = "<!--notes-->"
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
    cover: Cover = field(default_factory=Cover, repr=False)
    """The cover of a book for a phone."""
    notes: str = field(default="", repr=False)
    """A page to write on, for as many as are wanted to a multiple of four."""
    most_pages: int | None = None
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
    shape = outline.shape
    setter = GuideSetter(
        catalogue,
        shape.units,
        _linker(outline),
        outline.family,
        shape.nominal_v,
        language=edition.language,
        outline=outline,
    )
    jinja = environment(templates, setter)
    jinja.filters |= {"first_words": first_words}
    phrases = catalogue.phrases(edition.language)
    shared: dict[str, Any] = {
        "outline": outline,
        "edition": edition,
        "revision": edition.revisions[-1],
        "dealer": catalogue.dealer,
        "dial": catalogue.dealer.dial or re.sub(r"[^0-9]", "", catalogue.dealer.phone),
        "places": outline.shape.personal,
        "slot": slot,
        "w": phrases.guide,
        "links": phrases.links,
        "answers": phrases.answers,
        "signals": phrases.signals,
        "headings": {**phrases.sign_headings, "other": phrases.guide.other},
        "boxes": [str(catalogue.records["evidence"][name].ask) for name in edition.evidence],
        "distress": _distress(outline, catalogue),
        "volts": _volts(outline.family) if outline.family else "",
        "pictures": _Pictures(outline, catalogue),
        "hazards": gravest_first(catalogue) if catalogue.hazards else [],
        "titles": {c.entry.id: str(c.entry.title) for c in outline.conditions},
    }
    words = WordsFor(catalogue, shape.units, edition.language)
    w = phrases.guide

    def part(template: str, title: str, entry: str = "", **more: Any) -> _Part:
        # An entry's id may be any word: the guide's own parts keep out of its way.
        name = entry or f"guide-{template}"
        html = jinja.get_template(f"guide/{template}.html.j2").render(
            **shared, **more, part=name, title=title
        )
        return _Part(name, words.text(title), html)

    parts = [part("help", w.help)]
    if catalogue.hazards:
        parts.append(part("first", w.safety))
    # What must never be done stands before the first numbered line of the guide.
    if edition.never:
        parts.append(part("never", w.never))
    parts.append(part("start", w.start))
    parts.append(part("numbers", w.yours))
    parts.append(part("find", w.find))
    if outline.messages:
        parts.append(part("messages", w.messages))
    if outline.placed.methods:
        parts.append(part("how", w.how))
    parts += [
        part("condition", str(p.condition.entry.title), p.condition.entry.id, p=p)
        for p in outline.placed.pages
    ]
    if outline.placed.others:
        parts.append(part("others", w.others))
    if outline.menus and outline.family is None:
        parts.append(part("menus", w.menus))
    if outline.tables:
        parts.append(part("tables", w.tables))
    parts.append(part("call", w.call))
    back = part("back", str(catalogue.dealer.name))
    front = part("front", w.this).html
    # A telephone breaks its lines itself.
    html = with_breaks(
        jinja.get_template("guide/book.html.j2").render(**shared, front=front, parts=parts, back=back)
    )
    chapters = (
        Chapter("guide-front", "guide-front.xhtml", str(w.this), front),
        *(Chapter(p.id, f"{p.id}.xhtml", p.title, p.html) for p in [*parts, back]),
    )
    source = GuideSource(
        edition.document,
        _title(outline, catalogue),
        words.tag,
        edition.revisions[-1].date,
        html,
        "\n".join(
            [
                stylesheet(templates, "tokens", "common", "guide"),
                page_size_css(edition.paper, "half"),
                _MARGINS[edition.paper],
                _colours(catalogue),
            ]
        ),
        chapters,
        stylesheet(templates, "epub"),
        about_book(edition, catalogue, units=shape.units),
        _cover(outline, catalogue),
        jinja.get_template("guide/notes.html.j2").render(**shared),
        edition.most_pages,
    )
    return _with_key(source)


def _cover(outline: Outline, catalogue: Catalogue) -> Cover:
    """The words and pictures of the cover, as on the printed one, with places for owner and boat."""
    edition = outline.edition
    w = catalogue.phrases(edition.language).guide
    labels = {"owner": str(w.guide_for), "boat": str(w.boat)}
    return Cover(
        str(edition.title),
        _title(outline, catalogue).partition(". ")[2],
        str(catalogue.dealer.name),
        _Pictures(outline, catalogue).boat(letters=False),
        printed_language(edition, catalogue, outline.shape.units),
        catalogue.dealer.colour,
        dealer_mark(catalogue.dealer),
        tuple((label, place) for place, label in labels.items() if place in outline.shape.personal),
    )


class _Pictures:
    """The pictures of a guide, each under a name of its own wherever it stands."""

    def __init__(self, outline: Outline, catalogue: Catalogue) -> None:
        units, language = outline.shape.units, outline.edition.language
        self._drawn = {figure.id: figure for figure in figures(catalogue, units, language, slow=False)}
        if not {page.picture for page in outline.edition.pages if page.picture} <= self._drawn.keys():
            self._drawn = {figure.id: figure for figure in figures(catalogue, units, language)}
        self._catalogue, self._outline = catalogue, outline
        self._count = 0

    def named(self, name: str) -> str:
        """One of the program's pictures.

        Raises
        ------
        OutputError
            Where none of that name is drawn.
        """
        if name not in self._drawn:
            raise OutputError(f"a guide's page asks for the picture '{name}', which is none that is drawn")
        self._count += 1
        return self._drawn[name].named(f"guide-picture-{self._count}-{name}")

    def holds(self, name: str) -> bool:
        """Whether the content has what a picture shows."""
        return name in self._drawn

    @property
    def screens(self) -> list[tuple[str, str, str]]:
        """The faults of the screen whose condition this guide holds: the picture, its title, and where to turn."""
        held = {condition.entry.id for condition in self._outline.conditions}
        found = []
        for figure in self._drawn.values():
            entry = next((name for name in figure.serves if name in held), None)
            if figure.id.startswith("screen-") and entry is not None:
                # Which message it is decides where to turn: the list of messages tells.
                lists = figure.id == "screen-message" and self._outline.messages
                found.append((figure.id, figure.title, "guide-messages" if lists else entry))
        return found

    def boat(self, letters: bool) -> str:
        """The reader's boat from the side; without one, a boat of the usual kind."""
        hull, housing, drive = self._outline.shape.drawn or ("modified-v", "transom", "outboard")
        words = self._catalogue.phrases(self._outline.edition.language).guide
        said = ". ".join(f"{letter} {mark}" for letter, mark in zip("ABCD", words.marks, strict=False))
        title = f"{words.yours}. {said}." if letters else str(words.boat)
        self._count += 1
        return safe_svg(boat_side(hull, housing, drive, letters=letters).svg(), name=f"guide-boat-{self._count}",
                        title=title, families=LABEL_FAMILIES, default_family="Leadsman Head")  # fmt: skip

    @property
    def mark(self) -> str:
        """The dealer's mark, made safe; nothing where the dealer has none."""
        return dealer_mark(self._catalogue.dealer)


def dealer_mark(dealer: Dealer) -> str:
    """The mark of a dealer as a picture that loads and runs nothing; nothing where there is none."""
    if not dealer.mark:
        return ""
    return sized_by_page(safe_svg(dealer.mark, name="dealer-mark", title=str(dealer.name)))


def _colours(catalogue: Catalogue) -> str:
    return f":root {{ --house: {catalogue.dealer.colour} }}" if catalogue.dealer.colour else ""


def _title(outline: Outline, catalogue: Catalogue) -> str:
    # Without the owner: a title shows in file lists, windows and search indexes.
    edition = outline.edition
    title = full_title(edition)
    if outline.family:
        words = catalogue.phrases(edition.language).guide
        title += f", {filled(words.display_of, name=outline.family.name)}"
    return title


def _distress(outline: Outline, catalogue: Catalogue) -> dict[str, str]:
    """Where help is called: the dealer's own number, else that of the region whose units or paper the guide has."""
    said = outline.edition.distress
    is_us = outline.shape.units.startswith("us") or outline.edition.paper == "us"
    number = said.us if is_us and said.us is not None else said.number
    return {"channel": str(said.channel), "number": str(catalogue.dealer.emergency or number)}


def _volts(family: Family) -> str:
    shown = Shown(unit="V", step=0.1, round="nearest")
    return f"{show(family.supply_low_v, 'V', shown).text} to {show(family.supply_high_v, 'V', shown).text}"


def _with_key(source: GuideSource) -> GuideSource:
    said = json.dumps(
        [[version(name) for name in _PROGRAMS], source.document, source.title, source.language, source.date, source.html, source.css,
         vars(source.cover), source.notes, source.most_pages,
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
    TooLong
        With one finding per text that was lost, or when it has more pages than its edition allows.
    Refused
        With one finding per other defect.
    """
    layout = lay_out(source, fill(source.html, values), typesetter, target)[0]
    data = typesetter.write(layout, target=target).data
    if missing := completeness.missing_texts(data, layout.texts):
        raise TooLong(target, [f"text lost on the way to the page: '{text[:80]}'" for text in missing])
    return data


def lay_out(source: GuideSource, html: str, typesetter: Typesetter, target: str) -> tuple[Layout, str]:
    """Lay a guide out, with pages for notes before its back up to a multiple of four, and the HTML of that.

    Raises
    ------
    TooLong
        When it has more pages than its edition allows.
    """

    def once(text: str) -> Layout:
        return typesetter.lay_out(
            text, source.css, title=source.title, language=source.language, target=target
        )

    layout = once(html)
    count = len(layout.document.pages)
    if source.most_pages is None:
        return layout, html
    if missing := -count % 4:
        html = html.replace(_NOTES, source.notes * missing)
        layout = once(html)
        count = len(layout.document.pages)
    if count > source.most_pages:
        raise TooLong(
            target,
            [
                f"{counted(count, 'page')}; the edition allows {source.most_pages}: let pages of the edition name fewer conditions, or skip more"
            ],
        )
    return layout, html


def identifier(source: GuideSource, guide_id: str) -> str:
    """The lasting name of a guide's EPUB."""
    return f"urn:uuid:{uuid.uuid5(_NAMESPACE, f'{source.document}/{guide_id}')}"


def set_epub(source: GuideSource, guide_id: str, values: Mapping[str, str] | None, out: Path) -> FinishedEpub:
    """Write the guide as an EPUB; without values its places stay in it, to be filled in the finished file."""
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
        modified=day(source.date),
        chapters=chapters,
        css=source.epub_css,
        metadata=source.metadata,
        cover_png=cover_png(source.cover, values),
    )
