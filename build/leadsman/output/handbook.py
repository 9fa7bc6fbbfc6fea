"""Set a handbook: its parts as HTML once, then as one tagged PDF and as an EPUB for phones."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from jinja2 import Environment

from leadsman.book.computed import ComputedValue, assumed, assumption_text, lead_length
from leadsman.book.drill_page import DrillPage
from leadsman.book.manual import Manual
from leadsman.book.pins import pin_lines
from leadsman.book.rungs import Ladder, head_lines, ladder_of, spoken
from leadsman.book.swap_card import Discriminator, SwapTest, swap_card
from leadsman.book.topics import view_topics
from leadsman.book.views import likeliest
from leadsman.compute.registry import formulas
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.content.model.handbook_words import NumberWords
from leadsman.content.model.phrases import Phrases, filled
from leadsman.content.rules import RULES, load_rules
from leadsman.evidence import gather, read_rows
from leadsman.output.appendix_text import bounds, technical
from leadsman.output.cover import Cover, cover_png
from leadsman.output.epub_book import full_title, write_edition_epub
from leadsman.output.figures import Figure, figures
from leadsman.output.figures.places import place
from leadsman.output.ladder_filters import ladder_filters
from leadsman.output.papers import PAGES_MM, page_size_css
from leadsman.output.pieces import Scale
from leadsman.output.prose_html import Setter, menu_number, menu_paths
from leadsman.output.spreads import InPrint, Placing, place_spreads
from leadsman.output.table_rows import in_filled_pages, table_rows
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import WordsFor, printed_language
from leadsman.press.binding import bind_book
from leadsman.press.chapters import Chapter, Flow
from leadsman.press.epub import Chapter as EpubChapter
from leadsman.press.epub import FinishedEpub, Section
from leadsman.press.typeset import FinishedPdf, Typesetter

#: Parts that the printed handbook leaves to a file of its own: nobody at a boat needs them.
EVIDENCE = frozenset({"isolation", "drill", "likelihoods", "numbers", "evidence"})
#: Of these a book for a phone has everything with its condition.
_PRINTED_ALONE = frozenset({"likelihoods"})
_ID = re.compile(r'\sid="([^"]+)"')
_LINK = re.compile(r'<a href="#([^"]+)"[^>]*>(.*?)</a>', re.DOTALL)
#: What says on which page of the book a place stands.
_AT_PAGE = re.compile(
    r'<span class="print-only">[^<]*<span class="at-page">[^<]*<span data-page-of="#([^"]+)"></span>[^<]*</span></span>'
)
#: Parts that go on where the one before them ends.
_FLOWING = frozenset(
    {"safety", "use", "first", "menus", "topics", "equipment", "glossary", "swaps", "record", "messages"}
)
#: Parts in which one looks something up first: in print they are the last pages, where a thumb finds them.
_LAST = ("find", "messages")
#: Menu paths in a check: in print they stand in their own list alone.
_PATHS = re.compile(r'<ul class="menus">.*?</ul>', re.DOTALL)
#: What parts the pieces of a template between which a page may end.
_BLOCK = "<!--block-->"
#: The margins above and below a page [mm].
_ABOVE_BELOW_MM = 24.0
#: Both side margins of a page, and the column of the answers [mm].
_MARGINS_MM, _ANSWERS_MM = 33.0, 28.0
#: What each of the two files has: without its log of revisions nobody knows which one is valid.
_IN_BOTH = frozenset({"record"})


@dataclass(frozen=True)
class Part:
    """One part of the handbook: a heading in the contents, sections below it, and its HTML."""

    id: str
    title: str
    html: str
    sections: tuple[Section, ...] = ()
    children: tuple[Part, ...] = ()
    """Its conditions: one file each in a book for a phone."""
    printed: InPrint | None = None
    """Of a condition."""
    behind: str = ""
    """Of an area: its heading in the part behind the cards."""
    blocks: tuple[str, ...] = ()
    """Of a part of many pages in print: the pieces between which a page may end, in place of its HTML."""

    def whole(self, placing: Placing | None = None) -> str:
        """The part with all its conditions, as the printed book has it; where nothing was measured, as it comes."""
        return "".join(html for _, html in self.on_new_pages(placing or Placing()))

    def on_new_pages(self, placing: Placing) -> list[tuple[str, str]]:
        """The part, or each of its conditions, by id: each begins on a new page."""
        found = {child.id: child.printed for child in self.children if child.printed is not None}
        if not found:
            return [(self.id, self.html)]
        first = next(iter(found))
        return [
            (name, placing.spread(name, printed, self.opener if name == first else ""))
            for name, printed in found.items()
        ]

    @property
    def opener(self) -> str:
        """What opens an area, above its first condition."""
        return f'<div class="opener">{self.html}</div>'

    def more(self, placing: Placing) -> str:
        """What its conditions have behind the cards, below the heading of the area."""
        return "".join(self.more_blocks(placing))

    def more_blocks(self, placing: Placing) -> list[str]:
        """The same in the pieces between which a page may end."""
        found = {child.id: child.printed for child in self.children if child.printed is not None}
        blocks = [block for name, printed in found.items() for block in placing.behind(name, printed)]
        return [self.behind + blocks[0], *blocks[1:]] if blocks else []


def handbook_parts(
    manual: Manual,
    catalogue: Catalogue,
    templates: Path,
    drilled: DrillPage | None = None,
    only: str | None = None,
    *,
    in_print: bool = False,
) -> list[Part]:
    """Every part of the handbook as HTML, the appendix of numbers last, since it lists what was printed.

    Where the edition was drilled, its figures stand in a part of their own. With ``only`` the part of that name alone
    is set; its links to other parts then lead nowhere. With ``in_print`` what the printed handbook leaves to a telephone
    or to the file of its evidence is not set.
    """
    # The waivers of an entry are printed by their rules; a worker has checked nothing.
    load_rules()
    setter = _setter(manual, catalogue)
    jinja = environment(templates, setter)
    jinja.filters |= {
        "technical": technical,
        "formula_anchor": _formula_anchor,
        "bounds": bounds,
        "assumed": lambda text: assumption_text(text, manual.edition.units),
    }
    phrases = catalogue.phrases(manual.edition.language)
    drawn = figures(catalogue, manual.edition.units, manual.edition.language)
    placed = place(drawn, [view.entry for view in manual.entries])
    shared: dict[str, Any] = {
        "manual": manual,
        "catalogue": catalogue,
        "edition": manual.edition,
        "revision": manual.edition.revisions[-1],
        "histories": HISTORIES,
        "menu_paths": lambda task: menu_paths(catalogue, task),
        "menu_number": lambda task: menu_number(catalogue, task),
        "named": prose.named,
        "likeliest": likeliest,
        "messages_in": _messages_in,
        "table_rows": (rows := table_rows(manual.tables, _live_mm(manual.edition.paper)[0])),
        "tables_of": lambda entry: _tables_of(entry, manual, catalogue),
        "screens": _screens(drawn, manual),
        "ids": (ids := {view.entry.id for view in manual.entries}),
        "on_deck": ids,
        "figures": {figure.id: figure for figure in drawn},
        "placed": placed.beside_entry,
        "beside": placed.named_by,
        "values_by_origin": lambda: _by_origin(setter, catalogue, phrases.handbook.numbers),
        "cause_names": {
            view.entry.id: {c.id: _inside(str(c.name)) for c in view.entry.causes} for view in manual.entries
        },
        "rules": RULES,
        "told_places": {"swaps", *(f"table-{name}" for name in manual.tables)},
        "assumed": lambda assumption: assumed(assumption, manual.edition.units),
        "pin_lines": lambda transducer: pin_lines(transducer, catalogue, phrases.pins, manual.edition.units),
        **_frame(phrases),
        "lead_length": lambda length_m: lead_length(length_m, manual.edition.units),
    }

    def part(
        name: str,
        title: str = "",
        *,
        template: str = "",
        within: str = "",
        sections: Sequence[Section] = (),
        **more: Any,
    ) -> Part:
        title = title or str(getattr(titles, name))
        if only not in (None, name, within) or (in_print and name in EVIDENCE):
            return Part(name, title, "")
        html = jinja.get_template(f"handbook/{template or name}.html.j2").render(
            **shared, **more, title=title, part=name
        )
        named = tuple(replace(section, title=words.text(section.title)) for section in sections)
        return Part(name, words.text(title), html, named)

    titles = phrases.handbook.titles
    words = WordsFor(catalogue, manual.edition.units, manual.edition.language)
    parts = [part("safety"), part("use")]
    if manual.hazards:
        dangers = [Section(f"hazard-{name}", str(hazard.title)) for name, hazard in manual.hazards]
        parts.append(part("first", sections=dangers, hazards=manual.hazards))
    parts.append(part("find"))
    parts.append(part("messages"))
    card = _card_environment(manual, catalogue, templates, setter)
    for area in manual.areas:
        sections = [Section(v.entry.id, f"{v.entry.code} {v.entry.title}") for v in area.entries]
        whole = part(f"area-{area.id}", str(area.area.name), template="area", sections=sections, area=area)
        children = []
        for view in area.entries:
            name, heading = view.entry.id, f"{view.entry.code} {view.entry.title}"
            if in_print:
                child = Part(name, words.text(heading), "")
            else:
                child = part(name, heading, template="entry", within=whole.id, view=view)
            if only in (None, name, whole.id):
                given = {**shared, **_on_card(ladder_of(view, catalogue), phrases), "view": view}
                child = replace(child, printed=_in_print(card, given))
            children.append(child)
        name = filled(phrases.handbook.behind, name=area.area.name)
        text = part(f"{whole.id}-behind", name, template="behind", within=whole.id).html
        parts.append(replace(whole, children=tuple(children), behind=text))
    checks = [Section(f"check-{method.id}", method.title) for method in manual.methods]
    parts.append(part("checks", sections=checks))
    parts.append(part("menus"))
    in_order = [pair for row in rows for pair in row.tables]
    table_sections = [Section(f"table-{name}", str(t.table.title)) for name, t in in_order]
    parts.append(part("pictures", sections=_figure_sections(placed.alone), alone=placed.alone))
    tables = part("tables", sections=table_sections)
    blocks = tuple(tables.html.split(_BLOCK))
    parts.append(replace(tables, html="".join(blocks), blocks=blocks if in_print and tables.html else ()))
    topics = view_topics(catalogue)
    worth = [Section(view.anchor, str(view.topic.title)) for view in topics]
    parts.append(part("topics", sections=worth, topics=topics))
    parts.append(part("equipment"))
    parts.append(part("glossary"))
    swaps = swap_card(catalogue)
    tests: list[SwapTest | Discriminator] = [*swaps.swaps, *swaps.discriminators]
    named = {test.check: test.title for test in tests}
    parts.append(part("swaps", swaps=swaps, tests=tests, titles=named))
    parts.append(part("isolation", found=manual.diagnosis, cover=manual.cover))
    if drilled is not None:
        picture = Figure("drill", str(phrases.handbook.drill.picture), "", drilled.text, drilled.svg)
        parts.append(part("drill", drilled=replace(drilled, svg=picture.svg)))
    likely = [
        Section(f"likely-{v.entry.id}", f"{v.entry.code} {v.entry.title}")
        for v in manual.entries
        if v.likelihoods
    ]
    parts.append(part("likelihoods", sections=likely))
    parts.append(part("numbers"))
    parts.append(part("evidence", evidence=() if in_print else gather(read_rows())))
    parts.append(part("record"))
    return [part for part in parts if only in (None, part.id) and not (in_print and part.id in EVIDENCE)]


def _setter(manual: Manual, catalogue: Catalogue) -> Setter:
    edition = manual.edition
    return Setter(catalogue, edition.units, _linker(manual), language=edition.language)


def _frame(phrases: Phrases) -> dict[str, Any]:
    """The words that the templates of a handbook print."""
    return {
        "book": phrases.handbook,
        "links": phrases.links,
        "front": phrases.front,
        "finder": phrases.finder,
        "signals": phrases.signals,
    }


def _card_environment(manual: Manual, catalogue: Catalogue, templates: Path, setter: Setter) -> Environment:
    """The templates as a card is set: other conditions by their code alone, the book's values counted with the rest."""
    card = environment(templates, replace(setter, titles=False))
    card.filters |= ladder_filters(catalogue.phrases(manual.edition.language).ladder)
    return card


def _on_card(ladder: Ladder, phrases: Phrases) -> dict[str, Any]:
    """What the spread of a condition needs beside the book's own."""
    texts = [text for rung in ladder.rungs for text in (rung.step.check.body.do, rung.step.check.body.see)]
    texts += [text for end in ladder.ends if end.fix for text in end.fix.finding.remedy]
    return {
        "ladder": ladder,
        "said": {**spoken(ladder.rungs, ladder), **spoken(ladder.ends, ladder)},
        "fronts": head_lines(ladder.rungs),
        "backs": head_lines(ladder.ends),
        "menus": prose.named(texts, "menu"),
        "words": phrases.ladder,
        "answers": phrases.answers,
        "remedies": {},
    }


def _in_print(card: Environment, given: Mapping[str, Any]) -> InPrint:
    """The pieces of a condition, each set by its template."""

    def piece(template: str, **more: Any) -> str:
        return card.get_template(f"handbook/{template}.html.j2").render(**given, **more).strip()

    ladder, book = given["ladder"], given["book"]
    drawn = given["placed"].get(ladder.id, ())
    pieces = {
        "method": piece("method"),
        "likely": piece("likely"),
        "displays": piece("displays"),
        **{f"picture-{number}": piece("figure", figure=f) for number, f in enumerate(drawn, start=1)},
        "under": piece("under"),
    }
    *back, tail = piece("ends").split(_BLOCK)
    return InPrint(
        front=[piece("ladder_head"), *(piece("rung", rung=rung, below={}) for rung in ladder.rungs)],
        back=back,
        tail=tail,
        heading=piece("heading"),
        more=f'<h3 class="beside">{book.more}</h3>',
        at=(piece("more_at", words_more=book.more), piece("more_at", words_more=book.rest)),
        pieces={name: html for name, html in pieces.items() if html},
    )


def printed_parts(parts: Sequence[Part], *, evidence: bool = False) -> list[Part]:
    """The parts that stand in the printed handbook, in its order, or in the file of its evidence.

    Of a link into the other file its words are left, and no page is named there.
    """
    chosen = [part for part in parts if part.id in _IN_BOTH or (part.id in EVIDENCE) == evidence]
    if not evidence:
        chosen.sort(key=lambda part: part.id in _LAST)
        has_menus = any(part.id == "menus" for part in chosen)
        return [
            replace(part, html=_PATHS.sub("", part.html)) if part.id == "checks" and has_menus else part
            for part in chosen
        ]
    there = {name for part in chosen for name in _ID.findall(part.html)}

    def alone(html: str) -> str:
        html = _AT_PAGE.sub(lambda page: page[0] if page[1] in there else "", html)
        return _LINK.sub(lambda link: link[0] if link[1] in there else link[2], html)

    return [replace(part, html=alone(part.html)) for part in chosen]


def write_handbook_pdf(
    manual: Manual,
    parts: Sequence[Part],
    *,
    out: Path,
    templates: Path,
    typesetter: Typesetter,
    catalogue: Catalogue,
) -> FinishedPdf:
    """Make the handbook as one PDF, or leave the earlier file as it is."""
    jinja = environment(templates, _setter(manual, catalogue))
    revision = manual.edition.revisions[-1]
    css = [
        stylesheet(templates, "common", "handbook"),
        page_size_css(manual.edition.paper, "half"),
        _live_css(manual.edition.paper),
    ]
    edition = manual.edition
    language = printed_language(edition, catalogue)
    scale = Scale(css, PAGES_MM[edition.paper, "half"], _live_mm(edition.paper), typesetter, language)
    conditions = {c.id: c.printed for part in parts for c in part.children if c.printed is not None}
    openers = {part.children[0].id: part.opener for part in parts if part.children}
    placing = place_spreads(conditions, scale, openers)
    parts = [_filled(part, scale) if part.blocks else part for part in parts]
    phrases = catalogue.phrases(manual.edition.language)
    parts = _with_behind(parts, placing, phrases)
    opening = jinja.get_template("handbook/opening.html.j2").render(
        edition=manual.edition,
        revision=revision,
        parts=parts,
        catalogue=catalogue,
        listed={part.id for part in parts if part.children},
        **_frame(phrases),
    )
    return bind_book(book_chapters(opening, parts, placing), css, out=out, title=full_title(manual.edition),
                     language=language, typesetter=typesetter)  # fmt: skip


def _filled(part: Part, scale: Scale) -> Part:
    """A part whose blocks may stand in any order, in the one that fills its pages."""
    head, *rows = part.blocks
    return replace(part, blocks=(head, *in_filled_pages(head, rows, scale)))


def book_chapters(opening: str, parts: Sequence[Part], placing: Placing) -> list[Chapter | Flow]:
    """The printed book in pieces that each begin on a new page: what flows on stands with what it follows."""
    found: list[Chapter | Flow] = [Chapter("opening", opening)]
    for part in parts:
        if part.blocks:
            begin = f'<div class="{part.id}">'
            found.append(Flow(part.id, f'<section class="part">{begin}', f'<section class="part on">{begin}',
                              part.blocks, "</div></section>"))  # fmt: skip
            continue
        flows = part.id in _FLOWING and not part.children
        more = " on" if flows else " area" if part.children else ""
        for name, html in part.on_new_pages(placing):
            section = f'<section class="part{more}">{html}</section>'
            if flows:
                section, name = found[-1].html + section, found.pop().name
            found.append(Chapter(name, section))
    return found


def _with_behind(parts: Sequence[Part], placing: Placing, phrases: Phrases) -> list[Part]:
    """The parts with one behind the last area, for what the cards have no room for."""
    areas = [at for at, part in enumerate(parts) if part.children]
    blocks = [block for at in areas for block in parts[at].more_blocks(placing)]
    if not blocks:
        return list(parts)
    title = str(phrases.handbook.titles.behind)
    about = f'<h1 id="behind">{title}</h1><p>{phrases.handbook.behind_about}</p>'
    whole = Part("behind", title, "", blocks=(about, *blocks))
    return [*parts[: areas[-1] + 1], whole, *parts[areas[-1] + 1 :]]


def _live_css(paper: str) -> str:
    """The width between the margins, and what of it the answers of a ladder take."""
    width, _ = _live_mm(paper)
    return f":root {{ --live: {width:g}mm; --answers: {_ANSWERS_MM:g}mm }}"


def _live_mm(paper: str) -> tuple[float, float]:
    """Width and height between the margins."""
    width, height = PAGES_MM[paper, "half"]
    return width - _MARGINS_MM, height - _ABOVE_BELOW_MM


def write_handbook_epub(
    manual: Manual, parts: Sequence[Part], *, out: Path, templates: Path, catalogue: Catalogue
) -> FinishedEpub:
    """Make the handbook as an EPUB, or leave the earlier file as it is."""
    edition, revision = manual.edition, manual.edition.revisions[-1]
    phrases = catalogue.phrases(edition.language)
    jinja = environment(templates, _setter(manual, catalogue))
    front = jinja.get_template("handbook/front.html.j2").render(
        edition=edition, revision=revision, catalogue=catalogue, **_frame(phrases)
    )
    chapters = [EpubChapter("front", "front.xhtml", str(phrases.handbook.titles.edition), front)]
    chapters += [_chapter(p) for p in parts if p.id not in _PRINTED_ALONE]
    return write_edition_epub(
        edition,
        catalogue,
        chapters,
        out=out,
        templates=templates,
        cover_png=cover_png(
            Cover(
                str(edition.title),
                str(edition.subtitle),
                str(catalogue.dealer.name),
                next(
                    (
                        f.named("cover")
                        for f in figures(catalogue, edition.units, edition.language)
                        if f.id == "chain"
                    ),
                    "",
                ),
                printed_language(edition, catalogue),
                catalogue.dealer.colour,
            )
        ),
    )


def _screens(drawn: Sequence[Figure], manual: Manual) -> list[tuple[Figure, FaultEntry]]:
    """The faults of the screen with the condition that each leads to, as far as the book holds it."""
    entries = {view.entry.id: view.entry for view in manual.entries}
    screens = [figure for figure in drawn if figure.id.startswith("screen-")]
    return [
        (f, entries[name]) for f in screens if (name := next((n for n in f.serves if n in entries), None))
    ]


def _chapter(part: Part) -> EpubChapter:
    """A part as a chapter; each of its conditions is a file of its own."""
    if not part.children:
        return EpubChapter(part.id, f"{part.id}.xhtml", part.title, part.html, sections=part.sections)
    below = tuple(
        EpubChapter(f"condition-{child.id}", f"condition-{child.id}.xhtml", child.title, _raised(child.html))
        for child in part.children
    )
    return EpubChapter(part.id, f"{part.id}.xhtml", part.title, part.html, children=below)


def _raised(html: str) -> str:
    """The headings of a condition one level up, where it is a file of its own."""
    return re.sub(r"(</?h)([2-6])\b", lambda match: f"{match[1]}{int(match[2]) - 1}", html)


def _by_origin(
    setter: Setter, catalogue: Catalogue, words: NumberWords
) -> list[tuple[str, list[ComputedValue]]]:
    """The values that the book prints, by where they come from: the computed ones first."""
    computed: dict[str, list[ComputedValue]] = {}
    declared: dict[str, list[ComputedValue]] = {}
    for value in sorted(setter.used.values(), key=lambda used: str(used.value.meaning).casefold()):
        formula = value.provenance.formula
        if formula:
            computed.setdefault(filled(words.computed, title=formulas()[formula].title), []).append(value)
        else:
            source = catalogue.records["sources"][value.provenance.source]
            declared.setdefault(str(source.reference), []).append(value)
    return [
        (origin, values)
        for found in (computed, declared)
        for origin, values in sorted(found.items(), key=lambda item: item[0].casefold())
    ]


def _formula_anchor(name: str) -> str:
    return f"formula-{name.replace('.', '-').replace('_', '-')}"


def _inside(name: str) -> str:
    """A name in the middle of a sentence; an abbreviation keeps its capitals."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def _tables_of(entry: FaultEntry, manual: Manual, catalogue: Catalogue) -> list[str]:
    """The tables that an entry names, as far as the book holds them, each once."""
    found = dict.fromkeys(catalogue.table_in(name, manual.edition.units) for name in entry.all_tables)
    return [name for name in found if name in manual.tables]


def _messages_in(text: str) -> list[str]:
    """The messages that a text refers to, without the display that shows them."""
    return [what.rpartition(" ")[2] for what in prose.named([text], "message")]


def _figure_sections(drawn: Sequence[Figure]) -> list[Section]:
    return [Section(f"picture-{figure.id}", figure.title) for figure in drawn]


def _linker(manual: Manual) -> Any:
    cards = {view.entry.id for view in manual.entries}

    def link(kind: str, name: str) -> str | None:
        if kind == "card":
            return f"#{name}" if name in cards else None
        if kind == "table":
            return f"#table-{name}" if name in manual.tables else None
        if kind == "menu":
            return "#menus"
        return f"#word-{name}" if kind == "term" else None

    return link
