"""Set the telephone book: landscape pages for the desk, and an EPUB for the telephone itself."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman.book.telephone import Call, CallAnswer, CallStep, build_calls
from leadsman.content.catalogue import Catalogue
from leadsman.content.hazards import gravest_first
from leadsman.content.model.edition import Edition
from leadsman.content.model.phrases import CallWords, filled
from leadsman.output.papers import PAGES_MM
from leadsman.output.prose_html import Setter, menu_number
from leadsman.output.templating import environment, stylesheet
from leadsman.press.epub import Chapter, FinishedEpub, Metadata, write_epub
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf

_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "leadsman.invalid")
#: Fixes of the technician that are named at the foot of a call.
_MOST_FIXES = 5


@dataclass(frozen=True)
class TelephoneBook:
    """The finished parts of the book: the opening, and one part a condition."""

    edition: Edition
    calls: tuple[Call, ...]
    front: str
    parts: tuple[str, ...]
    catalogue: Catalogue


def telephone_book(edition: Edition, catalogue: Catalogue, templates: Path) -> TelephoneBook:
    """Every page of the book as HTML."""
    calls = tuple(build_calls(edition, catalogue))
    held = {call.view.entry.id for call in calls}
    setter = Setter(catalogue, edition.units, lambda kind, name: f"#{name}" if kind == "card" and name in held else None, titles=False)  # fmt: skip
    jinja = environment(templates, setter)
    words = catalogue.phrases(edition.language).call
    front = jinja.get_template("telephone/front.html.j2").render(
        edition=edition,
        revision=edition.revisions[-1],
        words=words,
        catalogue=catalogue,
        finder=catalogue.phrases(edition.language).finder,
        hazards=gravest_first(catalogue),
    )
    template = jinja.get_template("telephone/call.html.j2")
    parts = tuple(template.render(**_given(call, words, catalogue, edition, setter)) for call in calls)
    return TelephoneBook(edition, calls, front, parts, catalogue)


def _given(
    call: Call, words: CallWords, catalogue: Catalogue, edition: Edition, setter: Setter
) -> dict[str, Any]:
    def leads(answer: CallAnswer) -> str:
        if answer.kind == "step":
            return filled(words.to_step, name=answer.number)
        if answer.kind == "end":
            return filled(words.to_end, name=answer.number)
        return filled(words.to_card, code=answer.number) if answer.kind == "card" else str(words.to_visit)

    def grouped(step: CallStep) -> list[tuple[str, Any, str]]:
        """Answers that lead to one place and mean nothing more stand in one line."""
        found: dict[tuple[str, str], tuple[list[str], Any, str]] = {}
        for answer in step.answers:
            to = leads(answer)
            found.setdefault((to, str(answer.means or "")), ([], answer.means, to))[0].append(answer.label)
        return [(" / ".join(labels), means, to) for labels, means, to in found.values()]

    families = [f for f in catalogue.families.values() if set(call.view.entry.needs) <= set(f.capabilities)]
    likely = sorted(call.visit, key=lambda fix: -_share(call, fix.finding.causes))
    return {
        "call": call,
        "words": words,
        "phrase": filled,
        "percent": lambda share: f"{100 * share:.0f}",
        "grouped": grouped,
        "families": families,
        "menus": [
            (
                f"{menu_number(catalogue, task)} {catalogue.records['tasks'][task].name}",
                {f.id: " > ".join(path) for f, path in paths},
            )
            for task, paths in call.menus(catalogue)
        ],
        "orders": list(_orders(call, catalogue, edition)),
        "bring": [setter.plain(catalogue.records["tools"][need.tool].name) for need in call.bring],
        "likeliest": [f"{fix.letter} {setter.plain(fix.finding.says)}" for fix in likely[:_MOST_FIXES]],
    }


def _share(call: Call, causes: list[str]) -> float:
    known = {cause.id: cause for cause in call.view.entry.causes}
    return sum(known[name].prior.in_service for name in causes)


def _orders(call: Call, catalogue: Catalogue, edition: Edition) -> Iterator[tuple[str, str, str]]:
    """The cheapest legal orders: steps, the histories that have them, and the minutes, from the least to the greatest."""
    labels = catalogue.phrases(edition.language).answers
    numbers = {step.id: str(step.number) for step in call.steps}
    found: dict[str, list[tuple[str, float]]] = {}
    for settled in call.settled:
        if settled.minutes is not None:
            steps = ", ".join(numbers[name] for name in settled.order if name in numbers)
            found.setdefault(steps, []).append((str(labels[settled.history]), settled.minutes))
    for steps, histories in found.items():
        minutes = sorted({f"{m:.0f}" for _, m in histories}, key=int)
        told = minutes[0] if len(minutes) == 1 else f"{minutes[0]} to {minutes[-1]}"
        yield steps, ", ".join(name for name, _ in histories), told


def write_pdf(book: TelephoneBook, *, out: Path, templates: Path, typesetter: Typesetter) -> FinishedPdf:
    """Make the book as one landscape PDF, or leave the earlier file as it is."""
    edition = book.edition
    height, width = PAGES_MM[edition.paper, "full"]
    css = [stylesheet(templates, "tokens", "telephone"), f"@page {{ size: {width:g}mm {height:g}mm }}"]
    return render_pdf(book.front + "".join(book.parts), css, out=out, title=f"{edition.title}. {edition.subtitle}",
                      language=edition.language, typesetter=typesetter)  # fmt: skip


def write_epub_book(book: TelephoneBook, *, out: Path, templates: Path) -> FinishedEpub:
    """Make the book as an EPUB, one chapter an area, or leave the earlier file as it is."""
    edition, revision = book.edition, book.edition.revisions[-1]
    chapters = [Chapter("front", "front.xhtml", str(edition.title), book.front)]
    for call, html in zip(book.calls, book.parts, strict=True):
        entry = call.view.entry
        chapters.append(Chapter(f"call-{entry.id}", f"{entry.id}.xhtml", f"{entry.code} {entry.title}", html))
    year, month, day = (int(number) for number in revision.date.split("-"))
    metadata = Metadata(
        creator=str(book.catalogue.dealer.name),
        publisher=str(book.catalogue.dealer.name),
        description=str(edition.reader),
        date=revision.date,
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
        summary="Text with tables that have header cells; wide ones scroll in a box of their own. No conformance to "
        "WCAG is claimed.",
    )
    return write_epub(out, identifier=f"urn:uuid:{uuid.uuid5(_NAMESPACE, edition.document)}",
                      title=f"{edition.title}. {edition.subtitle}", language=edition.language,
                      modified=datetime.datetime(year, month, day, tzinfo=datetime.UTC), chapters=chapters,
                      css=stylesheet(templates, "epub"), metadata=metadata)  # fmt: skip
