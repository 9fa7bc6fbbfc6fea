"""From a customer list to one guide a boat: planned here, set by any ``concurrent.futures`` executor, resumed.

The plan costs little and stays in this process: it knows the content and the customers. What goes to a
worker is plain data, and what comes back are finished files. Where workers share this machine's disk, each puts a
finished guide at once into a hidden folder beside the others, under the digest of all that went into it: what was
finished is kept, whichever process dies, and an interrupted run goes on where it stopped.

Of each frame the shared pages are surveyed with stand-ins in their places, and of each batch one filled guide; what is
refused takes the guides of that frame with it and no other.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import time
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, as_completed
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from leadsman import processes
from leadsman.book.guide import Shape, guide_values, outline_of
from leadsman.book.guide_numbers import Grid, boat_numbers
from leadsman.book.guide_subject import Subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.fleet import Fleet, FleetRow
from leadsman.content.model.edition import GuideEdition
from leadsman.errors import LeadsmanError, OutputError, Problem, shown_path
from leadsman.files import Refused, read_regular
from leadsman.inspection import publish
from leadsman.output.guide import GuideSource, guide_source
from leadsman.output.guide_press import Order, Pressed, press, stand_in, unquoted
from leadsman.press import atomic
from leadsman.press.temporary import temporary_folder

MANIFEST = "manifest.json"
#: Guides in one piece of work: enough to be worth laying a frame out for.
BATCH = 100
#: No smaller batch is cut off for the sake of another worker: each lays its frame out anew.
_LEAST = 4
#: The manifest is written again after so many seconds: it only saves work.
_MANIFEST_EVERY_S = 2.0
#: The hidden folders in which workers put what they finish.
_PREFIX = ".guides-being-made-"
_MOST_BYTES = 200_000_000

_GUIDES = (".pdf", ".epub")
#: A guide's file has its customer's id for a name.
_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")

MakeExecutor = Callable[[], Executor]


@dataclass(frozen=True)
class Batch:
    """One piece of work: guides of one source."""

    source: GuideSource
    orders: tuple[Order, ...]
    is_first: bool = True
    """Whether it is the first of its source, with which the shared pages are surveyed."""


@dataclass(frozen=True)
class Worked:
    """What came of a batch: its files, and what the survey has against them."""

    pressed: tuple[Pressed, ...]
    complaints: tuple[str, ...] = ()


@dataclass
class FleetPlan:
    """What is to be made, what is there already, and what could not even be planned."""

    batches: list[Batch] = field(default_factory=list)
    inputs: dict[tuple[str, str], str] = field(default_factory=dict)
    """Digest of all that goes into a guide, by its id and format."""
    units: dict[str, str] = field(default_factory=dict)
    kept: dict[tuple[str, str], dict[str, object]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    adopted: dict[tuple[str, str], Path] = field(default_factory=dict)
    """Files that an earlier run finished but no longer put in their place, by id and format."""

    @property
    def files(self) -> int:
        """How many files are to be made."""
        return sum(len(order.formats) for batch in self.batches for order in batch.orders)


@dataclass
class FleetReport:
    """How a run ended."""

    made: int = 0
    kept: int = 0
    whole: int = 0
    """Guides that did not fit the shared pages and were laid out whole."""
    problems: list[Problem] = field(default_factory=list)
    cleared: list[str] = field(default_factory=list)
    """What runs that died had left and is gone now, in words."""


def plan_fleet(
    fleet: Fleet,
    edition: GuideEdition,
    catalogue: Catalogue,
    out: Path,
    templates: Path,
    *,
    units: str | None = None,
    formats: Sequence[str] = (),
    workers: int = 1,
) -> FleetPlan:
    """Compute each boat's numbers, sort the boats by the pages that they share, and leave out what is made.

    No batch holds more than its share for so many ``workers``, so that boats of one kind keep all of them busy.
    """
    plan = FleetPlan()
    manifest, left = read_manifest(out), _left_over(out)
    sources: dict[Shape, GuideSource] = {}
    orders: dict[Shape, list[Order]] = {}
    known: dict[Hashable, tuple[Grid, ...]] = {}
    for row in fleet.rows:
        row_units = row.units or units or edition.units
        try:
            numbers = boat_numbers(edition, row.boat, catalogue, row_units, known)
            guide = guide_values(row.id, _subject(row, catalogue), edition, catalogue, row_units, numbers)
            if guide.shape not in sources:
                sources[guide.shape] = guide_source(
                    outline_of(guide.shape, edition, catalogue), catalogue, templates
                )
        except LeadsmanError as error:
            hint = f"where the row is empty, the values are taken from '{row.like}', the boat under 'like'"
            plan.problems.append(replace(_row_problem(fleet, row, unquoted(str(error))), hint=hint))
            continue
        if numbers.thin_lead:
            plan.problems.append(_thin_lead(fleet, row))
        wanted = []
        plan.units[row.id] = row_units
        for form in formats or edition.formats:
            digest = inputs_digest(sources[guide.shape], row.id, guide.values, form)
            plan.inputs[row.id, form] = digest
            entry = manifest.get((row.id, form))
            if entry is not None and entry.get("inputs") == digest and _is_whole(out, entry):
                plan.kept[row.id, form] = entry
            elif f"{digest}.{form}" in left:
                plan.adopted[row.id, form] = left[f"{digest}.{form}"]
            else:
                wanted.append(form)
        if wanted:
            orders.setdefault(guide.shape, []).append(Order(row.id, guide.values, tuple(wanted)))
    fair = -(-sum(map(len, orders.values())) // workers)
    for shape, found in sorted(orders.items(), key=lambda item: -len(item[1])):
        batches = _even(found, min(BATCH, max(fair, _LEAST)))
        plan.batches += [Batch(sources[shape], tuple(batch), not n) for n, batch in enumerate(batches)]
    return plan


def _even(orders: Sequence[Order], most: int) -> Iterator[Sequence[Order]]:
    """The orders in runs of equal length, at most so many in each."""
    runs = max(-(-len(orders) // most), 1)
    length, longer = divmod(len(orders), runs)
    start = 0
    for number in range(runs):
        end = start + length + (number < longer)
        yield orders[start:end]
        start = end


def make_fleet(
    plan: FleetPlan,
    fleet: Fleet,
    edition: GuideEdition,
    out: Path,
    make_executor: MakeExecutor,
    tell: Callable[[int], None] = lambda files: None,
    *,
    survey: str = "refuse",
    shares_disk: bool = False,
) -> FleetReport:
    """Make what the plan lacks; a guide that cannot be made is reported and takes nothing from the others.

    Parameters
    ----------
    plan, fleet, edition, out
        What to make, from which list, and where.
    make_executor
        Gives an executor; it is asked for another one when a worker process has died.
    tell
        Called with the number of files that were just finished.
    survey
        What is done about pages that break a rule which must be kept: "refuse", "tell" or "off".
    shares_disk
        Whether the executor's workers see this machine's folders, so that they can put away what they finish.
    """
    report = FleetReport(kept=len(plan.kept), problems=[*fleet.problems, *plan.problems])
    places = {row.id: row for row in fleet.rows}
    done: dict[tuple[str, str], dict[str, object]] = dict(plan.kept)
    written = time.monotonic()

    def put(name: str, form: str, data: bytes, move: Path | None = None) -> None:
        path = out / f"{name}.{form}"
        if move is None:
            atomic.write_bytes(path, data)
        else:
            os.replace(move, path)
        report.made += 1
        done[name, form] = {
            "id": name,
            "file": path.name,
            "sha256": hashlib.sha256(data).hexdigest(),
            "bytes": len(data),
            "units": plan.units[name],
            "inputs": plan.inputs[name, form],
        }

    with _spool(out, shares_disk, report.cleared) as spool:
        try:
            for (name, form), path in plan.adopted.items():
                put(name, form, read_regular(path, _MOST_BYTES), path)
            for batch, worked in _worked(plan, make_executor, survey, spool):
                report.problems += _complaints(fleet, places, batch, worked, survey)
                for result in worked.pressed:
                    if result.fault:
                        what = f"{result.format}: {result.fault}"
                        report.problems.append(_row_problem(fleet, places[result.id], what))
                        continue
                    report.whole += result.whole
                    kept = Path(result.kept) if result.kept else None
                    put(
                        result.id,
                        result.format,
                        read_regular(kept, _MOST_BYTES) if kept else result.data,
                        kept,
                    )
                if time.monotonic() - written > _MANIFEST_EVERY_S:
                    write_manifest(out, edition, done)
                    written = time.monotonic()
                tell(len(worked.pressed))
        except KeyboardInterrupt:
            # Whoever stops a run wants what is finished of the batches that are under way.
            processes.stop_workers()
            for (name, form), path in _finished(plan, spool):
                if (name, form) not in done:
                    put(name, form, read_regular(path, _MOST_BYTES), path)
            raise
        except OSError as error:
            raise OutputError(f"cannot write to {out}: {error.strerror or error}") from error
        finally:
            with contextlib.suppress(LeadsmanError):
                write_manifest(out, edition, done)
    write_manifest(out, edition, done)
    report.problems.sort()
    return report


def _complaints(
    fleet: Fleet, places: Mapping[str, FleetRow], batch: Batch, worked: Worked, survey: str
) -> Iterator[Problem]:
    first = places[batch.orders[0].id]
    refused = survey == "refuse"
    ending = ", so that none of the guides with these pages was made" if refused else ""
    for line in worked.complaints:
        problem = _row_problem(fleet, first, f"{line}{ending}")
        yield problem if refused else replace(problem, severity="warning")


def _worked(
    plan: FleetPlan, make_executor: MakeExecutor, survey: str, spool: Path | None
) -> Iterator[tuple[Batch, Worked]]:
    """What came of each batch; of one that was lost with its worker, what is there is kept and the rest tried again.

    The guides of a batch are made in turn: the first that is not there may have killed the worker and is tried alone.
    """
    waiting = list(plan.batches)
    while waiting:
        lost: list[Batch] = []
        yield from _once(plan, waiting, make_executor, survey, spool, lost)
        waiting = []
        for batch in lost:
            there, rest = _split(plan, batch, spool)
            if there:
                yield batch, Worked(tuple(there))
            alone = rest[:1] if spool is not None else rest
            for order in alone:
                one = Batch(batch.source, (order,), batch.is_first and not there)
                yield one, _alone(plan, one, make_executor, survey, spool)
            if rest[len(alone) :]:
                waiting.append(Batch(batch.source, tuple(rest[len(alone) :]), is_first=False))


def _once(
    plan: FleetPlan, batches: Sequence[Batch], make_executor: MakeExecutor, survey: str, spool: Path | None,
    lost: list[Batch],
) -> Iterator[tuple[Batch, Worked]]:  # fmt: skip
    with make_executor() as executor:
        try:
            futures: dict[Future[Worked], Batch] = {}
            for batch in batches:
                try:
                    futures[executor.submit(make_batch, *_task(plan, batch, survey, spool))] = batch
                except BrokenExecutor:
                    lost.append(batch)
            for future in as_completed(futures):
                try:
                    worked = future.result()
                except Exception:
                    lost.append(futures[future])
                else:
                    yield futures[future], worked
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            processes.stop_workers()
            raise


def _task(plan: FleetPlan, batch: Batch, survey: str, spool: Path | None) -> tuple[Any, ...]:
    names = {(o.id, f): plan.inputs[o.id, f] for o in batch.orders for f in o.formats}
    return batch.source, batch.orders, survey, batch.is_first, str(spool) if spool else "", names


def make_batch(
    source: GuideSource,
    orders: Sequence[Order],
    survey: str,
    is_first: bool,
    spool: str,
    names: Mapping[tuple[str, str], str],
) -> Worked:
    """Make the guides of a batch in whatever process does the work; see :class:`Batch`."""

    def keep(done: Pressed) -> str:
        path = Path(spool) / f"{names[done.id, done.format]}.{done.format}"
        atomic.write_bytes(path, done.data)
        return str(path)

    complaints: list[str] = []
    forms = orders[0].formats
    if survey != "off" and is_first:
        try:
            complaints += _surveyed({form: stand_in(source, form) for form in forms}, "the shared pages")
        except LeadsmanError as error:
            complaints.append(f"the shared pages cannot be made: {unquoted(str(error))}")
    if complaints and survey == "refuse":
        return Worked((), tuple(complaints))
    first = press(source, orders[:1])
    if survey != "off":
        complaints += _surveyed({done.format: done.data for done in first if not done.fault}, "a guide")
    if complaints and survey == "refuse":
        return Worked((), tuple(complaints))
    if spool:
        first = [done if done.fault else replace(done, data=b"", kept=keep(done)) for done in first]
    rest = press(source, orders[1:], keep=keep if spool else None)
    return Worked((*first, *rest), tuple(dict.fromkeys(complaints)))


def _surveyed(files: Mapping[str, bytes], what: str) -> Iterator[str]:
    """What breaks a rule that must be kept, without a word of what the pages say: it may name a person."""
    with temporary_folder() as folder:
        for form, data in files.items():
            path = folder / f"guide.{form}"
            path.write_bytes(data)
            for rule, where in publish.breaches(path, "epub" if form == "epub" else "guide"):
                yield f"{what} ({form}) break a rule that must be kept: {rule}, {where}"


def _split(plan: FleetPlan, batch: Batch, spool: Path | None) -> tuple[list[Pressed], list[Order]]:
    """Of a lost batch: the files that were finished, and the orders for what was not."""
    there: list[Pressed] = []
    rest: list[Order] = []
    for order in batch.orders:
        missing = []
        for form in order.formats:
            path = (spool / f"{plan.inputs[order.id, form]}.{form}") if spool else None
            if path is not None and path.is_file():
                there.append(Pressed(order.id, form, kept=str(path)))
            else:
                missing.append(form)
        if missing:
            rest.append(replace(order, formats=tuple(missing)))
    return there, rest


def _alone(
    plan: FleetPlan, batch: Batch, make_executor: MakeExecutor, survey: str, spool: Path | None
) -> Worked:
    """One guide in a worker of its own, so that it can harm no other."""
    (order,) = batch.orders
    try:
        with make_executor() as executor:
            return executor.submit(make_batch, *_task(plan, batch, survey, spool)).result()
    except BrokenExecutor:
        fault = "the process that set it died"
    except Exception as error:
        # The kind alone: the words of an error may repeat a name.
        fault = f"it could not be set ({type(error).__name__})"
    return Worked(tuple(Pressed(order.id, form, fault=fault) for form in order.formats))


@contextlib.contextmanager
def _spool(out: Path, shares_disk: bool, cleared: list[str]) -> Iterator[Path | None]:
    """A hidden folder in which workers put what they finish; what dead runs left of theirs was taken over before."""
    try:
        if not shares_disk:
            yield None
            return
        out.mkdir(parents=True, exist_ok=True)
        with atomic.hidden_folder(out, _PREFIX) as folder:
            yield folder
    except OSError as error:
        raise OutputError(f"cannot write to {out}: {error.strerror or error}") from error
    finally:
        for gone in atomic.clear_abandoned(out, _PREFIX):
            cleared.append(f"removed {gone}, which a run that died had left")


def _left_over(out: Path) -> dict[str, Path]:
    """What runs that died had finished, by the digest of all that went into it and its format."""
    return {path.name: path for folder in atomic.abandoned(out, _PREFIX) for path in folder.glob("*.*")}


def _finished(plan: FleetPlan, spool: Path | None) -> list[tuple[tuple[str, str], Path]]:
    """What lies finished in the workers' folder, by id and format."""
    places = (
        {} if spool is None else {key: spool / f"{digest}.{key[1]}" for key, digest in plan.inputs.items()}
    )
    return [(key, path) for key, path in places.items() if path.is_file()]


def in_place(plan: FleetPlan, out: Path) -> int:
    """How many of the plan's files stand in their place, as the manifest says."""
    manifest = read_manifest(out)
    return sum(manifest.get(key, {}).get("inputs") == digest for key, digest in plan.inputs.items())


def of_no_row(fleet: Fleet, out: Path) -> list[str]:
    """The names of files that look like guides and are those of no row of this list; nothing while lines are unread."""
    if fleet.unread:
        return []
    try:
        names = sorted(path.name for path in out.iterdir() if path.suffix in _GUIDES and path.is_file())
    except OSError:
        return []
    return [name for name in names if Path(name).stem not in fleet.ids and _NAME.fullmatch(Path(name).stem)]


def inputs_digest(source: GuideSource, name: str, values: Mapping[str, str], form: str) -> str:
    """Digest of everything that decides what a guide's file holds."""
    said = json.dumps([source.key, name, form, dict(values)], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(said.encode()).hexdigest()


def read_manifest(out: Path) -> dict[tuple[str, str], dict[str, object]]:
    """The entries of an earlier run by id and format; none when there is no manifest or it cannot be read."""
    try:
        entries = json.loads(read_regular(out / MANIFEST, _MOST_BYTES).decode("utf-8"))["guides"]
        return {(entry["id"], entry["file"].rpartition(".")[2]): entry for entry in entries}
    except (Refused, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        # It only saves work: without it every guide is made anew.
        return {}


def write_manifest(
    out: Path, edition: GuideEdition, done: Mapping[tuple[str, str], Mapping[str, object]]
) -> None:
    """Say which file is which: by ids alone, nothing personal."""
    said = {
        "edition": edition.id,
        "document": edition.document,
        "revision": edition.revisions[-1].revision,
        "guides": [done[key] for key in sorted(done)],
    }
    atomic.write_bytes(out / MANIFEST, (json.dumps(said, indent=1, ensure_ascii=False) + "\n").encode())


def _is_whole(out: Path, entry: Mapping[str, object]) -> bool:
    """Whether an earlier file is there as it was written."""
    try:
        path = out / Path(str(entry["file"])).name
        return hashlib.sha256(read_regular(path, _MOST_BYTES)).hexdigest() == entry["sha256"]
    except (Refused, KeyError):
        return False


def _subject(row: FleetRow, catalogue: Catalogue) -> Subject:
    return Subject(
        catalogue.families[row.boat.display],
        catalogue.transducers[row.boat.transducer],
        row.boat,
        row.personal.get("owner", ""),
        row.personal.get("boat", ""),
        row.personal.get("display_serial", ""),
        row.personal.get("transducer_serial", ""),
    )


def _thin_lead(fleet: Fleet, row: FleetRow) -> Problem:
    """A warning to the dealer: the guide tells the owner, and the lead may be none of that boat."""
    told = "the power lead is too thin for its display, and the guide says so"
    taken = [column for column in ("lead_length", "conductor") if column not in row.said]
    hint = "run a larger pair"
    if taken:
        hint = f"{' and '.join(taken)} taken from '{row.like}', the boat under 'like': fill in those of this boat"
    return replace(_row_problem(fleet, row, told), hint=hint, severity="warning")


def _row_problem(fleet: Fleet, row: FleetRow, what: str) -> Problem:
    line, column = row.place
    return Problem(shown_path(fleet.path), line, column, f"{row.id}: {' '.join(what.split())}", rule="fleet")
