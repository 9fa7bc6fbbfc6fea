"""Set the telephone book: landscape pages for the desk, and an EPUB for the telephone itself."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Template

from leadsman.book.computed import ComputedTable, compute_table
from leadsman.book.index import by_message, by_sign
from leadsman.book.telephone import Call, CallAnswer, CallStep, build_calls, display_page
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.hazards import gravest_first
from leadsman.content.model.edition import Edition
from leadsman.content.model.phrases import CallWords, filled
from leadsman.output.call_page import Arrangement, Texts, arrangements, may_run_over, room_mm
from leadsman.output.epub_book import full_title, write_edition_epub
from leadsman.output.papers import PAGES_MM
from leadsman.output.prose_html import Setter, menu_number
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import WordsFor, printed_language
from leadsman.press.epub import Chapter, FinishedEpub
from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf
from leadsman.units import size_text

#: Arrangements of a condition that are measured before it runs over two pages.
_TRIED = 6
#: On a telephone's screen everything stands below the other.
_FLOWING = Arrangement(70, below=False, flowing=True)
#: Fixes of the technician that are named at the foot of a call.
_MOST_FIXES = 4


@dataclass(frozen=True)
class CallPart:
    """One condition of the book: how it looks in one arrangement, and what stands in it."""

    html: Callable[[Arrangement], str]
    texts: Texts


@dataclass(frozen=True)
class TelephoneBook:
    """The finished parts of the book: the opening, one part a condition, and what serves every call."""

    edition: Edition
    calls: tuple[Call, ...]
    front: str
    parts: tuple[CallPart, ...]
    displays: tuple[str, ...]
    tables: str
    catalogue: Catalogue


def telephone_book(edition: Edition, catalogue: Catalogue, templates: Path) -> TelephoneBook:
    """Every page of the book as HTML."""
    calls = tuple(build_calls(edition, catalogue))
    held = {call.view.entry.id for call in calls}
    named = _named_tables(calls, catalogue, edition.units)

    def link(kind: str, name: str) -> str | None:
        if kind == "table" and name in named:
            return f"#table-{name}"
        return f"#{name}" if kind == "card" and name in held else None

    setter = Setter(catalogue, edition.units, link, language=edition.language, titles=False)
    jinja = environment(templates, setter)
    phrases = catalogue.phrases(edition.language)
    words = phrases.call
    front = jinja.get_template("telephone/front.html.j2").render(
        edition=edition,
        revision=edition.revisions[-1],
        words=words,
        catalogue=catalogue,
        finder=phrases.finder,
        front=phrases.front,
        signals=phrases.signals,
        hazards=gravest_first(catalogue),
    )
    index = jinja.get_template("telephone/index.html.j2").render(
        words=words, links=phrases.links, index=list(_index(calls, catalogue, edition))
    )
    template = jinja.get_template("telephone/call.html.j2")
    parts = tuple(_part(template, call, words, catalogue, edition, setter) for call in calls)
    displays = tuple(
        jinja.get_template("telephone/display.html.j2").render(
            page=display_page(family, catalogue),
            words=words,
            phrase=filled,
            tasks=catalogue.records["tasks"],
            menu_number=lambda task: menu_number(catalogue, task),
            size=size_text,
        )
        for family in catalogue.families.values()
    )
    tables = jinja.get_template("telephone/tables.html.j2").render(words=words, tables=named)
    return TelephoneBook(edition, calls, front + index, parts, displays, tables if named else "", catalogue)


def _index(
    calls: tuple[Call, ...], catalogue: Catalogue, edition: Edition
) -> Iterator[tuple[str, list[tuple[str, str, str]]]]:
    """What an owner says, group by group, and each family's messages, with the page to take."""
    phrases = catalogue.phrases(edition.language)
    entries = [call.view.entry for call in calls]
    for _, heading, rows in by_sign(entries, phrases):
        yield heading, [(words, e.id, e.code) for words, e in rows]
    for family, shown in by_message(entries, catalogue.families.values()):
        lines = sorted(((str(m.text), e.id, e.code) for m, e in shown), key=lambda row: row[0].casefold())
        if lines:
            yield filled(phrases.finder.messages, name=family.name), lines


def _named_tables(calls: tuple[Call, ...], catalogue: Catalogue, units: str) -> dict[str, ComputedTable]:
    """The tables that lie beside the telephone: what the pages, their checks and these tables themselves name.

    The notes of a check and its steps in detail are not read out; whoever asks judges by the tables that they name.
    """
    texts: list[str | None] = []
    for call in calls:
        for step in call.steps:
            texts += [*step.say, step.judged, *(answer.means for answer in step.answers)]
            texts += [*step.how, step.note]
        texts += [text for fix in call.solved for text in fix.finding.instructions]
    found: dict[str, ComputedTable] = {}
    waiting = prose.named(filter(None, texts), "table")
    while waiting:
        name = catalogue.table_in(waiting.pop(0), units)
        if name not in found:
            table = catalogue.tables[name]
            found[name] = compute_table(table, catalogue, units)
            waiting += prose.named([table.convention, *table.notes], "table")
    return found


def _part(
    template: Template, call: Call, words: CallWords, catalogue: Catalogue, edition: Edition, setter: Setter
) -> CallPart:
    made = _given(call, words, catalogue, edition, setter)
    return CallPart(
        lambda arrangement: template.render(**made, arrangement=arrangement), _texts(call, made, setter)
    )


def _given(
    call: Call, words: CallWords, catalogue: Catalogue, edition: Edition, setter: Setter
) -> dict[str, Any]:
    def leads(answer: CallAnswer) -> str:
        if answer.kind == "step":
            return filled(words.to_step, name=answer.number)
        if answer.kind == "end":
            return filled(words.to_end, name=answer.number)
        if answer.kind == "card":
            return filled(words.to_card, code=answer.number)
        return f"{words.to_visit} {answer.number}".strip()

    def grouped(step: CallStep) -> list[tuple[str, Any, str]]:
        """Answers that lead to one place and mean nothing more stand together; one place for all is said once."""
        found: dict[tuple[str, str], tuple[list[str], Any, str]] = {}
        for answer in step.answers:
            to = leads(answer)
            found.setdefault((to, str(answer.means or "")), ([], answer.means, to))[0].append(answer.label)
        rows = [(" / ".join(labels), means, to) for labels, means, to in found.values()]
        if len({to for _, _, to in rows}) == 1:
            rows = [(labels, means, "") for labels, means, _ in rows[:-1]] + rows[-1:]
        return rows

    # What an answer has found comes before what is only likely.
    found = {fix.id for fix in call.visit if _found_by(call, fix.id)}
    likely = sorted(call.visit, key=lambda fix: (fix.id not in found, -_share(call, fix.finding.causes)))
    most = max(_MOST_FIXES, len(found))
    tools = [catalogue.records["tools"][need.tool] for need in call.bring]
    return {
        "call": call,
        "words": words,
        "signals": catalogue.phrases(edition.language).signals,
        "phrase": filled,
        "percent": lambda share: f"{100 * share:.0f}",
        "grouped": grouped,
        "menus": [(family.name, _by_start(catalogue, paths)) for family, paths in call.menus(catalogue)],
        "orders": list(_orders(call, words, catalogue, edition)),
        "fits": any(tool.by_display for tool in tools),
        "bring": [setter.plain(tool.name) for tool in tools],
        # A boat that takes water in goes nowhere by water.
        "when": words.when_ashore if any(c.trailer_only for _, c in call.view.cautions) else words.when,
        "likeliest": [f"{fix.letter} {setter.plain(fix.finding.says)}" for fix in likely[:most]],
    }


def _texts(call: Call, made: dict[str, Any], setter: Setter) -> Texts:
    """The letters of what stands on a page, to judge its room by."""

    def letters(*texts: object) -> int:
        return sum(len(setter.plain(str(text))) + 1 for text in texts if text)

    steps = []
    for step in call.steps:
        rows = made["grouped"](step)
        answers = [letters(*parts) + 4 for parts in rows]
        steps.append((letters(*step.say, step.judged) + 5, answers if rows[0][2] else [0, *answers]))
    solved = [letters(f.finding.says, *f.finding.instructions) + 4 for f in call.solved]
    words = made["words"]
    come_in = letters(made["when"], filled(words.until, names=words.hands_off), *call.evidence)
    i_come = letters(*made["bring"], *made["likeliest"])
    return Texts(steps, letters(*made["orders"]), solved, (come_in, i_come))


def _by_start(
    catalogue: Catalogue, paths: list[tuple[str, list[str]]]
) -> list[tuple[str, list[tuple[int, list[str]]]]]:
    """Menu numbers and paths under the key or page that they begin with, which is then read out once."""
    found: dict[str, list[tuple[int, list[str]]]] = {}
    for task, (start, *rest) in paths:
        found.setdefault(start, []).append((menu_number(catalogue, task), rest))
    return list(found.items())


def _found_by(call: Call, fix: str) -> list[CallAnswer]:
    """The answers that have found a fix of the technician's."""
    return [
        a for step in call.steps for a in step.answers if a.kind == "visit" and a.number and a.target == fix
    ]


def _share(call: Call, causes: list[str]) -> float:
    known = {cause.id: cause for cause in call.view.entry.causes}
    # A card on which the search goes on may tell more causes apart.
    return sum(known[name].prior.in_service for name in causes if name in known)


def _orders(call: Call, words: CallWords, catalogue: Catalogue, edition: Edition) -> Iterator[str]:
    """The cheapest legal orders with their minutes: that of most histories, then the others with their histories."""
    labels = catalogue.phrases(edition.language).answers
    numbers = {step.id: str(step.number) for step in call.steps}
    found: dict[str, list[tuple[str, float]]] = {}
    for settled in call.settled:
        if settled.minutes is not None:
            steps = ", ".join(numbers[name] for name in settled.order if name in numbers)
            found.setdefault(steps, []).append((str(labels[settled.history]), settled.minutes))
    told_one = False
    for steps, histories in sorted(found.items(), key=lambda item: -len(item[1])):
        minutes = sorted({f"{m:.0f}" for _, m in histories}, key=int)
        told = minutes[0] if len(minutes) == 1 else filled(words.span, least=minutes[0], greatest=minutes[-1])
        whose = ", ".join(name for name, _ in histories) if told_one else str(words.cheapest)
        told_one = True
        yield filled(words.order, history=whose, steps=steps, minutes=told)


def write_pdf(book: TelephoneBook, *, out: Path, templates: Path, typesetter: Typesetter) -> FinishedPdf:
    """Make the book as one landscape PDF, or leave the earlier file as it is."""
    edition = book.edition
    height, width = PAGES_MM[edition.paper, "full"]
    css = [stylesheet(templates, "tokens", "telephone"), f"@page {{ size: {width:g}mm {height:g}mm }}"]
    parts = _arranged(book, css, typesetter)
    return render_pdf("".join([book.front, *parts, *book.displays, book.tables]), css, out=out,
                      title=full_title(edition), language=printed_language(edition, book.catalogue),
                      typesetter=typesetter)  # fmt: skip


def _arranged(book: TelephoneBook, css: list[str], typesetter: Typesetter) -> list[str]:
    """Each condition in the arrangement that fills one page, or in the one that takes the least room."""
    paper = book.edition.paper
    ranked = [arrangements(part.texts, paper) for part in book.parts]
    chosen = [found[0] for found in ranked]
    close = [n for n, part in enumerate(book.parts) if may_run_over(part.texts, paper)]
    heights = _measured(book, [(n, chosen[n]) for n in close], css, typesetter)
    over = [n for n in close if heights[n, chosen[n]] > room_mm(paper)]
    heights |= _measured(book, [(n, a) for n in over for a in ranked[n][1:_TRIED]], css, typesetter)
    for n in over:
        chosen[n] = min(ranked[n][:_TRIED], key=lambda a, n=n: heights[n, a])  # type: ignore[misc]
    return [part.html(chosen[n]) for n, part in enumerate(book.parts)]


def _measured(
    book: TelephoneBook, wanted: list[tuple[int, Arrangement]], css: list[str], typesetter: Typesetter
) -> dict[tuple[int, Arrangement], float]:
    """The heights of conditions in given arrangements [mm]."""
    html: dict[str, str] = {}
    names: dict[tuple[int, Arrangement], str] = {}
    for n, arrangement in wanted:
        # Each is measured by itself: it leads nowhere, and its name tells what it is, whatever else is measured.
        name = (
            f"{book.calls[n].view.entry.id}-{arrangement.split}-{'below' if arrangement.below else 'beside'}"
        )
        bare = re.sub(r' (?:id|href)="[^"]*"', "", book.parts[n].html(arrangement))
        html[name] = bare.replace("<section ", f'<section id="{name}" ', 1)
        names[n, arrangement] = name
    if not html:
        return {}
    sizes = natural_sizes(
        typesetter,
        "".join(html.values()),
        css,
        class_name="call",
        page_width_mm=PAGES_MM[book.edition.paper, "full"][1],
        language=printed_language(book.edition, book.catalogue),
    )
    heights = {size.id: size.height_mm for size in sizes}
    return {key: heights[name] for key, name in names.items()}


def write_epub_book(book: TelephoneBook, *, out: Path, templates: Path) -> FinishedEpub:
    """Make the book as an EPUB, one chapter a condition, or leave the earlier file as it is."""
    edition = book.edition
    own = WordsFor(book.catalogue, edition.units, edition.language)
    chapters = [Chapter("front", "front.xhtml", str(edition.title), book.front)]
    for call, part in zip(book.calls, book.parts, strict=True):
        entry = call.view.entry
        html = part.html(_FLOWING)
        title = own.text(f"{entry.code} {entry.title}")
        chapters.append(Chapter(f"call-{entry.id}", f"{entry.id}.xhtml", title, html))
    for family, html in zip(book.catalogue.families.values(), book.displays, strict=True):
        chapters.append(Chapter(f"display-{family.id}", f"display-{family.id}.xhtml", str(family.name), html))
    if book.tables:
        words = book.catalogue.phrases(edition.language).call
        chapters.append(Chapter("tables", "tables.xhtml", str(words.tables), book.tables))
    return write_edition_epub(edition, book.catalogue, chapters, out=out, templates=templates, pictures=False)
