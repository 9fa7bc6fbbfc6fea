"""From a judged catalogue to finished files: each edition in each of its formats.

What is asked for is cut into pieces, one file or a hand of records each. A piece is made into a hidden folder
beside the earlier files, surveyed there, and only then moved to its place, so that nothing is left half written.
"""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import multiprocessing
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman import processes
from leadsman.book.changes import Changes, Replacement, cards_to_replace, changed_ids
from leadsman.book.chosen import chosen_entries
from leadsman.book.drill_page import DrillPage
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.book.manual import build_manual
from leadsman.book.outputs import shared_names
from leadsman.book.record import record_sheets
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import (
    DeckEdition,
    Edition,
    FinderEdition,
    GuideEdition,
    HandbookEdition,
    RecordEdition,
    TelephoneEdition,
)
from leadsman.content.rules import Verdict
from leadsman.errors import LeadsmanError, OutputError, counted
from leadsman.inspection import publish
from leadsman.output import deck as sheet_deck
from leadsman.output import telephone
from leadsman.output.change_bars import change_bar_css
from leadsman.output.finder import write_finder
from leadsman.output.guide import guide_source, set_epub, set_pdf
from leadsman.output.handbook import handbook_parts, printed_parts, write_handbook_epub, write_handbook_pdf
from leadsman.output.record import record_folder, write_records
from leadsman.press import atomic
from leadsman.press.engine import engine_versions
from leadsman.press.typeset import Typesetter
from leadsman.released import Cards, cards_of, replacement
from leadsman.store import Store, digest, folder_digest, program_digest

#: So many records are one piece: enough of them to be worth a process, few enough to share them out.
_RECORDS_AT_ONCE = 12


@dataclass(frozen=True)
class Order:
    """What is to be made, and from what; plain data, so that another process can have it.

    ``units`` and ``paper`` stand in for those of the editions. With ``changes`` the printed passages that changed
    get a bar in the margin, and each deck a notice of the cards to replace. ``survey`` is what is done about a
    file that breaks a rule of the printed page that must be kept: "refuse", "tell" or "off".
    """

    catalogue: Catalogue
    verdict: Verdict
    templates: Path
    units: str | None = None
    paper: str | None = None
    changes: Changes | None = None
    survey: str = "off"
    drilled: DrillPage | None = None
    """The figures of the edition's drill, for the handbook's appendix."""
    cache: Path | None = None
    """The folder of the store; without one everything is made anew."""
    earlier: Cards | None = None
    """The finished cards of the release that the changes are told from, by file and code."""
    cards: tuple[str, ...] = ()
    """Entries of whose cards each deck makes a file of its own, and nothing else."""

    def edition(self, name: str) -> Edition:
        """An edition in the units and on the paper that were asked for."""
        asked = {
            key: given for key, given in (("units", self.units), ("paper", self.paper)) if given is not None
        }
        return self.catalogue.editions[name].model_copy(update=asked)

    @functools.cached_property
    def typesetter(self) -> Typesetter:
        """The engine, made when it is first needed, once a process."""
        changed = change_bar_css(changed_ids(self.changes)) if self.changes else ""
        return Typesetter(self.templates, changed, self.store)

    @functools.cached_property
    def store(self) -> Store | None:
        """What earlier builds made, opened once a process."""
        return Store(self.cache) if self.cache is not None else None

    @functools.cached_property
    def key(self) -> str:
        """Digest of all that goes into every piece; none where passages are marked, since those are seldom the same."""
        if self.cache is None or self.changes is not None:
            return ""
        records = {
            kind: {name: record.model_dump(mode="json") for name, record in found.items()}
            for kind, found in self.catalogue.records.items()
        }
        waived = [[waived.entry, waived.reason, str(waived.problem)] for waived in self.verdict.waived]
        drilled = None if self.drilled is None else dataclasses.asdict(self.drilled)
        return digest(program_digest(), engine_versions(), folder_digest(self.templates), records, waived, drilled,
                      self.units, self.paper, self.survey != "off")  # fmt: skip

    def __getstate__(self) -> dict[str, object]:
        return {name: value for name, value in vars(self).items() if name not in ("typesetter", "store")}


@dataclass(frozen=True)
class Piece:
    """A part of an edition that is made at one go.

    ``target`` is the file, or the folder of files, that it belongs to, seen from the output folder; ``parts`` say
    what of the edition it is. ``share`` is its rough share of the time, so that the longest begin first.
    """

    edition: str
    target: Path
    parts: tuple[str, ...]
    share: float


@dataclass(frozen=True)
class Made:
    """One finished file or folder of files, in words."""

    path: Path
    what: str
    edition: str = ""


@dataclass(frozen=True)
class Finished:
    """A piece in the staging folder: what it is in words, what the survey has against it, or why it failed."""

    piece: Piece
    what: str
    complaints: tuple[str, ...] = ()
    failed: str = ""


def build_editions(
    order: Order,
    names: Sequence[str],
    out: Path,
    workers: int = 1,
    tell: Callable[[str], None] = lambda what: None,
    complain: Callable[[str], None] = lambda line: None,
) -> list[Made]:
    """Make the named editions with so many processes; an earlier file goes only when its successor stands.

    ``tell`` hears how far it is; ``complain`` what the survey found.

    Raises
    ------
    OutputError
        At the end, with everything that failed or that the survey refused; the other files are made all the same.
    """
    names = list(dict.fromkeys(names))
    pieces = [piece for name in names for piece in pieces_of(order, name)]
    _require_different_files(names, pieces)
    with publish.staging(out, complain) as stage:
        finished = _made(order, pieces, stage, workers)
        notices = functools.partial(_notices, order, names, stage, out)
        return publish_finished(
            _counted(finished, len(pieces), tell), pieces, stage, out, order.survey, complain, notices
        )


def _made(order: Order, pieces: Sequence[Piece], stage: Path, workers: int) -> Iterator[Finished]:
    """Each piece in the staging folder: what an earlier build made of the same is copied, the rest is made."""
    missing = []
    for piece in pieces:
        kept = kept_piece(order, piece, stage)
        if kept is None:
            missing.append(piece)
        else:
            yield kept
    processes = min(workers, len(missing))
    yield from (
        _at_once(order, missing, stage, processes) if processes > 1 else _in_turn(order, missing, stage)
    )


def _piece_key(order: Order, piece: Piece) -> str:
    return digest(order.key, piece.edition, piece.target.as_posix(), piece.parts)


def kept_piece(order: Order, piece: Piece, stage: Path) -> Finished | None:
    """The piece as an earlier build made it of the same content, put into the staging folder; None without one."""
    if order.store is None or not order.key:
        return None
    told = order.store.get_data("pieces", _piece_key(order, piece))
    if told is None:
        return None
    files = {name: order.store.get("files", sha256) for name, sha256 in told["files"].items()}
    if any(data is None for data in files.values()):
        return None
    for name, data in files.items():
        atomic.write_bytes(stage / name, data or b"")
    return Finished(piece, told["what"], tuple(told["complaints"]))


def _keep_piece(order: Order, finished: Finished, paths: Sequence[Path], stage: Path) -> None:
    if order.store is None or not order.key:
        return
    files = {}
    for path in paths:
        data = path.read_bytes()
        files[path.relative_to(stage).as_posix()] = sha256 = hashlib.sha256(data).hexdigest()
        order.store.put("files", sha256, data)
    told = {"what": finished.what, "complaints": finished.complaints, "files": files}
    order.store.put_data("pieces", _piece_key(order, finished.piece), told)


def _require_different_files(names: Sequence[str], pieces: Sequence[Piece]) -> None:
    made = [(n, list(dict.fromkeys(p.target.as_posix() for p in pieces if p.edition == n))) for n in names]
    for target, first, again in shared_names(made):
        raise OutputError(
            f"{first} and {again} would both be made into {target}; give one of them another id"
        )


def publish_finished(
    finished: Iterator[Finished],
    pieces: Sequence[Piece],
    stage: Path,
    out: Path,
    survey: str,
    complain: Callable[[str], None] = lambda line: None,
    then: Callable[[Sequence[Made]], Iterable[Made]] = lambda made: (),
) -> list[Made]:
    """Move each target to its place once all its pieces are there, unless the survey refuses it.

    ``then`` makes what is told from the finished files, even where others failed.
    """
    waiting: dict[Path, list[Piece]] = {}
    for piece in pieces:
        waiting.setdefault(piece.target, []).append(piece)
    made: dict[Path, Made] = {}
    failed: dict[Path, list[str]] = {}
    for item in finished:
        target = item.piece.target
        waiting[target].remove(item.piece)
        for line in item.complaints:
            complain(line)
        if item.failed:
            failed.setdefault(target, []).append(item.failed)
        elif item.complaints and survey == "refuse":
            failed.setdefault(target, []).append(
                f"{target} breaks rules of the printed page that must be kept; an earlier one is left as it was"
            )
        if not waiting[target] and target not in failed:
            made[target] = Made(publish.publish(stage / target, stage, out), item.what, item.piece.edition)
    more = list(then(list(made.values())))
    if failed:
        raise OutputError(
            "\n".join(dict.fromkeys(line for target in waiting for line in failed.get(target, ())))
        )
    return [*(made[target] for target in waiting), *more]


def _counted(finished: Iterator[Finished], count: int, tell: Callable[[str], None]) -> Iterator[Finished]:
    tell(f"making {counted(count, 'file or folder', 'files or folders')}")
    for number, item in enumerate(finished, start=1):
        tell(f"{number} of {count}: {item.piece.target.name} {'failed' if item.failed else 'made'}")
        yield item


def _in_turn(order: Order, pieces: Sequence[Piece], stage: Path) -> Iterator[Finished]:
    for piece in pieces:
        yield make_piece(order, piece, stage)


def _at_once(order: Order, pieces: Sequence[Piece], stage: Path, workers: int) -> Iterator[Finished]:
    # New processes, not copies of this one: the typesetting libraries hold threads and locks.
    spawn = multiprocessing.get_context("spawn")
    with (
        processes.work_folder() as work,
        ProcessPoolExecutor(workers, spawn, _begin, (order, stage, work)) as pool,
    ):
        longest_first = sorted(pieces, key=lambda piece: -piece.share)
        waiting = [pool.submit(_make_here, piece) for piece in longest_first]
        try:
            for future in as_completed(waiting):
                yield future.result()
        except BrokenProcessPool as error:
            raise OutputError(
                "a process that sets pages was killed, perhaps for want of memory; what was finished before it is in its place"
            ) from error
        except BaseException:
            # Nobody waits for a handbook that is no longer wanted.
            processes.stop_workers()
            raise
        finally:
            pool.shutdown(cancel_futures=True)


_given: tuple[Order, Path] | None = None


def _begin(order: Order, stage: Path, work: str) -> None:
    """Keep the order in a process that makes pieces, since it is large and the same for all of them."""
    global _given
    processes.begin_worker(work)
    _given = order, stage


def _make_here(piece: Piece) -> Finished:
    assert _given is not None
    order, stage = _given
    return make_piece(order, piece, stage)


def pieces_of(order: Order, name: str) -> list[Piece]:
    """The pieces of an edition, in the order in which they are named when they are done."""
    return _CUT[order.edition(name).kind](order, order.edition(name))


def make_piece(order: Order, piece: Piece, stage: Path) -> Finished:
    """Make a piece in the staging folder and survey it."""
    edition = order.edition(piece.edition)
    try:
        what, paths = _MAKE[edition.kind](order, edition, piece, stage)
    except LeadsmanError as error:
        return Finished(piece, "", failed=str(error))
    complaints = () if order.survey == "off" else _surveyed(order, paths)
    finished = Finished(piece, what, complaints)
    _keep_piece(order, finished, paths, stage)
    return finished


def _surveyed(order: Order, paths: Sequence[Path]) -> tuple[str, ...]:
    """What the survey has against finished files; of a file that it has seen before it says the same."""
    found: list[str] = []
    for path in paths:
        key = "" if order.store is None else digest(program_digest(), path.name, path.read_bytes())
        told = order.store.get_data("surveys", key) if order.store is not None else None
        if told is None:
            told = publish.findings([path])
            if order.store is not None:
                order.store.put_data("surveys", key, told)
        found += told
    return tuple(found)


_Done = tuple[str, list[Path]]


def _deck_pieces(order: Order, edition: DeckEdition) -> list[Piece]:
    if order.cards:
        return [
            Piece(edition.id, Path(f"{edition.id}-{entry.code}-{size}.pdf"), (size, entry.id), 1)
            for entry in chosen_entries(edition, order.catalogue) if entry.id in order.cards
            for size in edition.formats
        ]  # fmt: skip
    return [Piece(edition.id, Path(f"{edition.id}-{size}.pdf"), (size,), 10) for size in edition.formats]


def _make_deck(order: Order, edition: DeckEdition, piece: Piece, stage: Path) -> _Done:
    path = stage / piece.target
    size, *card = piece.parts
    templates, typesetter = order.templates, order.typesetter
    if card:
        made = sheet_deck.write_card(edition, order.catalogue, size, card[0], out=path, templates=templates,
                                     typesetter=typesetter)  # fmt: skip
    else:
        made = sheet_deck.write_deck(edition, order.catalogue, size, out=path, templates=templates,
                                     typesetter=typesetter)  # fmt: skip
    sheets = sum(len(plan.sheets) for plan in made.plans)
    return (
        f"{counted(len(made.plans), 'condition')} on {counted(sheets, 'sheet')}, {counted(made.pdf.page_count, 'face')}",
        [path],
    )


def _notices(
    order: Order, names: Sequence[str], stage: Path, out: Path, made: Sequence[Made]
) -> Iterator[Made]:
    """A small text file beside each deck that was made: which cards to replace, to add and to destroy."""
    for edition in map(order.edition, names) if order.changes is not None and not order.cards else ():
        files = [item.path for item in made if item.edition == edition.id]
        if isinstance(edition, DeckEdition) and len(files) == len(edition.formats):
            lines = _to_replace(order, edition, files).lines() or ["Every card stays as it is."]
            revision = edition.revisions[-1]
            head = f"{edition.title}, {edition.document} revision {revision.revision}, {revision.date}"
            notice = stage / f"{edition.id}-replace.txt"
            atomic.write_bytes(notice, "\n".join([head, *lines, ""]).encode())
            yield Made(publish.publish(notice, stage, out), " ".join(lines), edition.id)


def _to_replace(order: Order, edition: DeckEdition, files: Sequence[Path]) -> Replacement:
    """By the finished faces where the release kept them and these are in its units, else by what changed in the texts."""
    assert order.changes is not None
    entries = chosen_entries(edition, order.catalogue)
    by_texts = cards_to_replace(order.changes, {entry.id for entry in entries}.__contains__)
    kept = {path.name: (order.earlier or {}).get(path.name) for path in files}
    if order.units is not None or order.paper is not None or not all(kept.values()):
        return by_texts
    titles = {str(entry.code): str(entry.title) for entry in entries}
    withdrawn = {name.partition(" ")[0]: name for name in order.changes.withdrawn.values()}
    return replacement(((kept[path.name] or {}, cards_of(path)) for path in files), titles, withdrawn)


def _make_finder(order: Order, edition: FinderEdition, piece: Piece, stage: Path) -> _Done:
    path = stage / piece.target
    done = write_finder(edition, order.catalogue, piece.parts[0], out=path, templates=order.templates,
                        typesetter=order.typesetter)  # fmt: skip
    return f"{counted(done.pdf.page_count, 'face')}", [path]


def _record_pieces(order: Order, edition: RecordEdition) -> list[Piece]:
    names = [sheet.name for sheet in record_sheets(edition, order.catalogue)]
    target = record_folder(Path(), edition.id, edition.paper)
    hands = -(-len(names) // _RECORDS_AT_ONCE)
    return [Piece(edition.id, target, tuple(names[start::hands]), 5) for start in range(hands)]


def _make_records(order: Order, edition: RecordEdition, piece: Piece, stage: Path) -> _Done:
    folder = stage / piece.target
    folder.mkdir(parents=True, exist_ok=True)
    paths = write_records(
        edition, order.catalogue, piece.parts, folder, templates=order.templates, typesetter=order.typesetter
    )
    return counted(sum(1 for _ in record_sheets(edition, order.catalogue)), "fillable record"), paths


def _handbook_pieces(order: Order, edition: HandbookEdition | TelephoneEdition) -> list[Piece]:
    shares = {"pdf": 100.0, "epub": 20.0}
    pieces = [
        Piece(edition.id, Path(f"{edition.id}.{form}"), (form,), shares[form]) for form in edition.formats
    ]
    if edition.kind == "handbook" and "pdf" in edition.formats:
        pieces.append(Piece(edition.id, Path(f"{edition.id}-evidence.pdf"), ("evidence",), 15.0))
    return pieces


def _make_handbook(order: Order, edition: HandbookEdition, piece: Piece, stage: Path) -> _Done:
    path, catalogue, templates = stage / piece.target, order.catalogue, order.templates
    in_print, apart = piece.parts == ("pdf",), piece.parts == ("evidence",)
    verdict = order.verdict
    # The reports on all entries stand with the evidence and in the EPUB.
    manual = build_manual(edition, catalogue, verdict.waived, verdict.errors, reports=not in_print)
    parts = handbook_parts(manual, catalogue, templates, order.drilled, in_print=in_print)
    if in_print or apart:
        chosen = printed_parts(parts, evidence=apart)
        done = write_handbook_pdf(
            manual, chosen, out=path, templates=templates, typesetter=order.typesetter, catalogue=catalogue
        )
        held = "the evidence of the numbers" if apart else counted(len(manual.entries), "entry")
        return f"{counted(done.page_count, 'page')}, {held}", [path]
    book = write_handbook_epub(manual, parts, out=path, templates=templates, catalogue=catalogue)
    return counted(book.chapter_count, "chapter"), [path]


def _guide_pieces(order: Order, edition: GuideEdition) -> list[Piece]:
    shares = {"pdf": 15.0, "epub": 5.0}
    return [
        Piece(edition.id, Path(f"{name}.{form}"), (name, form), shares[form])
        for name in _subjects(edition, order.catalogue)
        for form in edition.formats
    ]


def _make_guide(order: Order, edition: GuideEdition, piece: Piece, stage: Path) -> _Done:
    name, form = piece.parts
    path = stage / piece.target
    subject = _subjects(edition, order.catalogue)[name]
    guide = guide_values(name, subject, edition, order.catalogue, edition.units)
    source = guide_source(outline_of(guide.shape, edition, order.catalogue), order.catalogue, order.templates)
    if form == "pdf":
        atomic.write_bytes(path, set_pdf(source, guide.values, order.typesetter, path.name))
        return "an owner's guide", [path]
    book = set_epub(source, guide.id, guide.values, path)
    return counted(book.chapter_count, "chapter"), [path]


def _subjects(edition: GuideEdition, catalogue: Catalogue) -> dict[str, Subject]:
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


def _make_telephone(order: Order, edition: Edition, piece: Piece, stage: Path) -> _Done:
    path = stage / piece.target
    book = telephone.telephone_book(edition, order.catalogue, order.templates)
    if piece.parts == ("pdf",):
        done = telephone.write_pdf(book, out=path, templates=order.templates, typesetter=order.typesetter)
        return f"{counted(done.page_count, 'page')}, {counted(len(book.calls), 'condition')}", [path]
    made = telephone.write_epub_book(book, out=path, templates=order.templates)
    return counted(made.chapter_count, "chapter"), [path]


#: By the kind of an edition; each takes the record of that kind.
_CUT: dict[str, Callable[[Order, Any], list[Piece]]] = {
    "deck": _deck_pieces,
    "finder": _deck_pieces,
    "handbook": _handbook_pieces,
    "guide": _guide_pieces,
    "record": _record_pieces,
    "telephone": _handbook_pieces,
}
_MAKE: dict[str, Callable[[Order, Any, Piece, Path], _Done]] = {
    "deck": _make_deck,
    "finder": _make_finder,
    "handbook": _make_handbook,
    "guide": _make_guide,
    "record": _make_records,
    "telephone": _make_telephone,
}
