"""From a judged catalogue to finished files: each edition in each of its formats."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from leadsman.book.cards import build_deck, chosen_entries
from leadsman.book.changes import Changes, cards_to_replace, changed_ids
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.book.manual import build_manual
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import Edition
from leadsman.content.rules import Verdict
from leadsman.inspection import publish
from leadsman.output import atomic
from leadsman.output.change_bars import change_bar_css
from leadsman.output.deck import write_deck
from leadsman.output.gate import Refused
from leadsman.output.guide import guide_source, set_epub, set_pdf
from leadsman.output.handbook import handbook_parts, write_handbook_epub, write_handbook_pdf
from leadsman.output.record import record_folder, write_records
from leadsman.output.typeset import Typesetter


@dataclass(frozen=True)
class Made:
    """One finished file, in words."""

    path: Path
    what: str


def build_editions(
    catalogue: Catalogue,
    verdict: Verdict,
    names: Sequence[str],
    out: Path,
    templates: Path,
    units: str | None = None,
    tell: Callable[[str], None] = lambda what: None,
    paper: str | None = None,
    changes: Changes | None = None,
    executor: Executor | None = None,
    workers: int = 1,
) -> Iterator[Made]:
    """Make the named editions one after the other; a file is replaced only by a finished one.

    ``units`` and ``paper`` stand in for those of the editions. With ``changes`` the printed passages that
    changed get a bar in the margin, and each deck a notice of the cards to replace. Editions of many small
    files go to the ``executor`` of processes, dealt to so many ``workers``.
    """
    typesetter = Typesetter(templates, change_bar_css(changed_ids(changes)) if changes else "")
    for name in names:
        asked = {key: given for key, given in (("units", units), ("paper", paper)) if given is not None}
        edition = catalogue.editions[name].model_copy(update=asked)
        if edition.kind == "deck":
            yield from _decks(edition, catalogue, out, templates, typesetter, tell)
            if changes is not None:
                yield _replacement_notice(edition, catalogue, changes, out)
        elif edition.kind == "record":
            yield _records(edition, catalogue, out, templates, typesetter, tell, executor, workers)
        elif edition.kind == "guide":
            yield from _guides(edition, catalogue, out, templates, typesetter, tell)
        else:
            yield from _handbooks(edition, catalogue, verdict, out, templates, typesetter, tell)


def build_surveyed(
    out: Path, refuse: bool, complain: Callable[[str], None], make: Callable[[Path], Iterator[Made]]
) -> Iterator[Made]:
    """Survey each file that ``make`` puts into a folder, and only then move it to its place in ``out``.

    With ``refuse`` a file that breaks a rule of the printed page that must be kept does not replace the earlier
    one; the others are made all the same, and :class:`Refused` is raised at the end. Without, it is complained of.
    """
    refused: list[str] = []
    with publish.staging(out) as stage:
        for item in make(stage):
            found = publish.findings(item.path)
            for line in found:
                complain(line)
            if found and refuse:
                refused.append(f"{item.path.name} is left as it was")
            else:
                yield Made(publish.publish(item.path, stage, out), item.what)
    if refused:
        raise Refused("a file that breaks the rules of the printed page", refused)


def _decks(edition: Edition, catalogue: Catalogue, out: Path, templates: Path, typesetter: Typesetter,
           tell: Callable[[str], None]) -> Iterator[Made]:  # fmt: skip
    deck = build_deck(edition, catalogue)
    for size in edition.formats:
        path = out / f"{edition.id}-{size}.pdf"
        tell(path.name)
        done = write_deck(deck, catalogue, size, out=path, templates=templates, typesetter=typesetter)
        yield Made(path, f"{len(deck.cards)} cards, {done.pdf.page_count} faces")


def _replacement_notice(edition: Edition, catalogue: Catalogue, changes: Changes, out: Path) -> Made:
    """A small text file that goes with a deck: which cards to replace, to add and to destroy."""
    cards = {entry.id for entry in chosen_entries(edition, catalogue)}
    lines = cards_to_replace(changes, cards.__contains__).lines() or ["Every card stays as it is."]
    revision = edition.revisions[-1]
    head = f"{edition.title}, {edition.document} revision {revision.revision}, {revision.date}"
    path = out / f"{edition.id}-replace.txt"
    atomic.write_bytes(path, "\n".join([head, *lines, ""]).encode())
    return Made(path, " ".join(lines))


def _records(edition: Edition, catalogue: Catalogue, out: Path, templates: Path, typesetter: Typesetter,
             tell: Callable[[str], None], executor: Executor | None, workers: int) -> Made:  # fmt: skip
    made = write_records(
        edition, catalogue, out=out, templates=templates, typesetter=typesetter, tell=tell,
        executor=executor, workers=workers,
    )  # fmt: skip
    return Made(record_folder(out, edition.id, edition.paper), f"{len(made)} fillable records")


def _handbooks(edition: Edition, catalogue: Catalogue, verdict: Verdict, out: Path, templates: Path,
               typesetter: Typesetter, tell: Callable[[str], None]) -> Iterator[Made]:  # fmt: skip
    manual = build_manual(edition, catalogue, verdict.waived)
    parts = handbook_parts(manual, catalogue, templates)
    if "pdf" in edition.formats:
        path = out / f"{edition.id}.pdf"
        tell(path.name)
        done = write_handbook_pdf(
            manual, parts, out=path, templates=templates, typesetter=typesetter, catalogue=catalogue
        )
        yield Made(path, f"{done.page_count} pages, {len(manual.entries)} entries")
    if "epub" in edition.formats:
        path = out / f"{edition.id}.epub"
        tell(path.name)
        book = write_handbook_epub(manual, parts, out=path, templates=templates, catalogue=catalogue)
        yield Made(path, f"{book.chapter_count} chapters")


def _guides(edition: Edition, catalogue: Catalogue, out: Path, templates: Path, typesetter: Typesetter,
            tell: Callable[[str], None]) -> Iterator[Made]:  # fmt: skip
    for name, subject in _subjects(edition, catalogue).items():
        guide = guide_values(name, subject, edition, catalogue, edition.units)
        source = guide_source(outline_of(guide.shape, edition, catalogue), catalogue, templates)
        if "pdf" in edition.formats:
            path = out / f"{name}.pdf"
            tell(path.name)
            atomic.write_bytes(path, set_pdf(source, guide.values, typesetter, path.name))
            yield Made(path, "an owner's guide")
        if "epub" in edition.formats:
            path = out / f"{name}.epub"
            tell(path.name)
            book = set_epub(source, guide.id, guide.values, path)
            yield Made(path, f"{book.chapter_count} chapters")


def _subjects(edition: Edition, catalogue: Catalogue) -> dict[str, Subject]:
    """For whom an owner's guide is made, by the name of the file."""
    found: dict[str, Subject] = {}
    if "dealer" in edition.guides:
        found[edition.id] = Subject()
    if "families" in edition.guides:
        found |= {f"{edition.id}-{name}": Subject(family) for name, family in catalogue.families.items()}
    if "boats" in edition.guides:
        found |= {
            f"{edition.id}-{name}": boat_subject(boat, catalogue) for name, boat in catalogue.boats.items()
        }
    return found
