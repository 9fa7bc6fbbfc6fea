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
from leadsman.output import call_page
from leadsman.output.papers import PAGES_MM
from leadsman.output.prose_html import Setter, menu_number
from leadsman.output.templating import environment, stylesheet
from leadsman.press.epub import Chapter, FinishedEpub, Metadata, write_epub
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf

_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "leadsman.invalid")
#: Fixes of the technician that are named at the foot of a call.
_MOST_FIXES = 4


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
    made = {
        "call": call,
        "words": words,
        "phrase": filled,
        "percent": lambda share: f"{100 * share:.0f}",
        "grouped": grouped,
        "menus": [(family.name, _by_start(catalogue, paths)) for family, paths in call.menus(catalogue)],
        "orders": list(_orders(call, words, catalogue, edition)),
        "bring": [setter.plain(catalogue.records["tools"][need.tool].name) for need in call.bring],
        "likeliest": [f"{fix.letter} {setter.plain(fix.finding.says)}" for fix in likely[:most]],
    }
    split, below = call_page.arranged(_texts(call, made, setter), edition.paper)
    return made | {"split": split, "below": below}


def _texts(call: Call, made: dict[str, Any], setter: Setter) -> call_page.Texts:
    """The letters of what stands on a page, to judge its room by."""

    def letters(*texts: object) -> int:
        return sum(len(setter.plain(str(text))) + 1 for text in texts if text)

    steps = [
        (letters(*s.say, s.judged), [letters(*parts) + 4 for parts in made["grouped"](s)]) for s in call.steps
    ]
    solved = [letters(f.finding.says, *f.finding.remedy, f.finding.proof) + 4 for f in call.solved]
    words = made["words"]
    come_in = letters(words.when, filled(words.until, names=words.hands_off), *call.evidence)
    i_come = letters(*made["bring"], *made["likeliest"])
    return call_page.Texts(steps, letters(*made["orders"]), solved, (come_in, i_come))


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
    return [a for step in call.steps for a in step.answers if a.kind == "visit" and a.number and a.target == fix]


def _share(call: Call, causes: list[str]) -> float:
    known = {cause.id: cause for cause in call.view.entry.causes}
    return sum(known[name].prior.in_service for name in causes)


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
        told = minutes[0] if len(minutes) == 1 else f"{minutes[0]} to {minutes[-1]}"
        whose = ", ".join(name for name, _ in histories) if told_one else str(words.cheapest)
        told_one = True
        yield filled(words.order, history=whose, steps=steps, minutes=told)


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
