"""From a customer list to one guide a boat: planned here, set by any ``concurrent.futures`` executor, resumed.

The plan costs little and stays in this process: it knows the content and the customers. What goes to a
worker is plain data, and what comes back are finished files. After each batch the manifest is written, so that an
interrupted run goes on where it stopped.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, as_completed
from dataclasses import dataclass, field
from pathlib import Path

from leadsman.book.guide import Shape, guide_values, outline_of
from leadsman.book.guide_numbers import Grid, boat_numbers
from leadsman.book.guide_subject import Subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.fleet import Fleet, FleetRow
from leadsman.content.model.edition import Edition
from leadsman.errors import LeadsmanError, Problem, shown_path
from leadsman.output.guide import GuideSource, guide_source
from leadsman.output.guide_press import Order, Pressed, press, unquoted
from leadsman.press import atomic

MANIFEST = "manifest.json"
#: Guides in one piece of work: enough to be worth laying a frame out for.
BATCH = 100

MakeExecutor = Callable[[], Executor]


@dataclass(frozen=True)
class Batch:
    """One piece of work: guides of one source."""

    source: GuideSource
    orders: tuple[Order, ...]


@dataclass
class FleetPlan:
    """What is to be made, what is there already, and what could not even be planned."""

    batches: list[Batch] = field(default_factory=list)
    inputs: dict[tuple[str, str], str] = field(default_factory=dict)
    """Digest of all that goes into a guide, by its id and format."""
    units: dict[str, str] = field(default_factory=dict)
    kept: dict[tuple[str, str], dict[str, object]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

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


def plan_fleet(
    fleet: Fleet,
    edition: Edition,
    catalogue: Catalogue,
    out: Path,
    templates: Path,
    *,
    units: str | None = None,
    formats: Sequence[str] = (),
) -> FleetPlan:
    """Compute each boat's numbers, sort the boats by the pages that they share, and leave out what is made."""
    plan = FleetPlan()
    manifest = read_manifest(out)
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
            plan.problems.append(_row_problem(fleet, row, unquoted(str(error))))
            continue
        wanted = []
        plan.units[row.id] = row_units
        for form in formats or edition.formats:
            digest = inputs_digest(sources[guide.shape], row.id, guide.values, form)
            plan.inputs[row.id, form] = digest
            entry = manifest.get((row.id, form))
            if entry is not None and entry.get("inputs") == digest and _is_whole(out, entry):
                plan.kept[row.id, form] = entry
            else:
                wanted.append(form)
        if wanted:
            orders.setdefault(guide.shape, []).append(Order(row.id, guide.values, tuple(wanted)))
    for shape, found in sorted(orders.items(), key=lambda item: -len(item[1])):
        batches = (found[start : start + BATCH] for start in range(0, len(found), BATCH))
        plan.batches += [Batch(sources[shape], tuple(batch)) for batch in batches]
    return plan


def make_fleet(
    plan: FleetPlan,
    fleet: Fleet,
    edition: Edition,
    out: Path,
    make_executor: MakeExecutor,
    tell: Callable[[int], None] = lambda files: None,
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
    """
    report = FleetReport(kept=len(plan.kept), problems=[*fleet.problems, *plan.problems])
    places = {row.id: row for row in fleet.rows}
    done: dict[tuple[str, str], dict[str, object]] = dict(plan.kept)
    for results in _worked(plan.batches, make_executor):
        for result in results:
            if result.fault:
                report.problems.append(
                    _row_problem(fleet, places[result.id], f"{result.format}: {result.fault}")
                )
                continue
            path = out / f"{result.id}.{result.format}"
            atomic.write_bytes(path, result.data)
            report.made += 1
            report.whole += result.whole
            done[result.id, result.format] = {
                "id": result.id,
                "file": path.name,
                "sha256": hashlib.sha256(result.data).hexdigest(),
                "bytes": len(result.data),
                "units": plan.units[result.id],
                "inputs": plan.inputs[result.id, result.format],
            }
        write_manifest(out, edition, done)
        tell(len(results))
    write_manifest(out, edition, done)
    report.problems.sort()
    return report


def _worked(batches: Sequence[Batch], make_executor: MakeExecutor) -> Iterator[list[Pressed]]:
    """The results of all batches as they come; what was lost with a worker is tried again, one at a time."""
    lost: list[Batch] = []
    with make_executor() as executor:
        try:
            futures: dict[Future[list[Pressed]], Batch] = {}
            for batch in batches:
                try:
                    futures[executor.submit(press, batch.source, batch.orders)] = batch
                except BrokenExecutor:
                    lost.append(batch)
            for future in as_completed(futures):
                try:
                    yield future.result()
                except Exception:
                    lost.append(futures[future])
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            raise
    for batch in lost:
        for order in batch.orders:
            yield _alone(Batch(batch.source, (order,)), make_executor)


def _alone(batch: Batch, make_executor: MakeExecutor) -> list[Pressed]:
    """One guide in a worker of its own, so that it can harm no other."""
    (order,) = batch.orders
    try:
        with make_executor() as executor:
            return executor.submit(press, batch.source, batch.orders).result()
    except BrokenExecutor:
        fault = "the process that set it died"
    except Exception as error:
        # The kind alone: the words of an error may repeat a name.
        fault = f"it could not be set ({type(error).__name__})"
    return [Pressed(order.id, form, fault=fault) for form in order.formats]


def inputs_digest(source: GuideSource, name: str, values: Mapping[str, str], form: str) -> str:
    """Digest of everything that decides what a guide's file holds."""
    said = json.dumps([source.key, name, form, dict(values)], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(said.encode()).hexdigest()


def read_manifest(out: Path) -> dict[tuple[str, str], dict[str, object]]:
    """The entries of an earlier run by id and format; none when there is no manifest or it cannot be read."""
    try:
        entries = json.loads((out / MANIFEST).read_text(encoding="utf-8"))["guides"]
        return {(entry["id"], entry["file"].rpartition(".")[2]): entry for entry in entries}
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        # It only saves work: without it every guide is made anew.
        return {}


def write_manifest(out: Path, edition: Edition, done: Mapping[tuple[str, str], Mapping[str, object]]) -> None:
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
        return hashlib.sha256((out / str(entry["file"])).read_bytes()).hexdigest() == entry["sha256"]
    except (OSError, KeyError):
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


def _row_problem(fleet: Fleet, row: FleetRow, what: str) -> Problem:
    line, column = row.place
    return Problem(shown_path(fleet.path), line, column, f"{row.id}: {' '.join(what.split())}", rule="fleet")
