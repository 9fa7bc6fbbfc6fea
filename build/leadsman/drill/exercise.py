"""Drill a whole content, or a few entries, and give its figures: the one thing that commands and tests call."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from leadsman.content.catalogue import Catalogue, load, load_files
from leadsman.content.model.edition import DrillTargets
from leadsman.drill.plans import coverage, problems
from leadsman.drill.run import Drill, Outcome, Task, drillable, run, tasks
from leadsman.drill.scores import Figures, judge, shortfalls
from leadsman.errors import LeadsmanError, UsageError, counted, quoted
from leadsman.history.repository import Repository

#: Of all boats, so many are sound, and so many are owners on the telephone.
SOUND_SHARE, TELEPHONE_SHARE = 0.2, 0.1


class DrillError(LeadsmanError):
    """A book that does not reach its targets, or a plan that names what does not exist."""


def work_for(entries: list[str], boats: int, seed: int, errors: float = 1.0) -> list[Task]:
    """All pieces of work of a drill: boats with faults, sound boats, and telephone calls."""
    sound = max(len(entries), round(boats * SOUND_SHARE))
    calls = round(boats * TELEPHONE_SHARE)
    return [
        *tasks(entries, max(boats - sound - calls, len(entries)), seed, "fault", errors),
        # A sound boat tries the limits of the book, not the hands.
        *tasks(entries, sound, seed, "sound", 0.0),
        *(tasks(entries, calls, seed, "telephone", errors) if calls else []),
    ]


def drill(
    catalogue: Catalogue,
    boats: int,
    seed: int,
    entries: list[str] | None = None,
    workers: int = 1,
    errors: float = 1.0,
    counting: Callable[[int], Callable[[int], None]] | None = None,
) -> Figures:
    """The figures of a content; raises where a plan is wrong."""
    wrong = problems(catalogue)
    if wrong:
        raise DrillError("\n".join(map(str, wrong)))
    names = drillable(catalogue, entries)
    if not names:
        raise UsageError("nothing can be drilled: no such entry has a plan in drills/ with causes")
    book = Drill(catalogue)
    work = work_for(names, boats, seed, errors)
    tick = counting(sum(t.count for t in work)) if counting else lambda done: None
    told = coverage(catalogue, book.decisions)
    covered = {"checks": told.checks, "mapped": told.mapped, "causes": told.causes, "drilled": told.drilled,
               "share": told.share, "missing": list(told.missing)}  # fmt: skip
    return judge(run(book, work, workers, tick), book.decisions, seed, errors, covered)


def replay(catalogue: Catalogue, boat: str) -> Outcome:
    """One boat again, with its diary; its id says entry, kind, seed and number: ``P1-fault-1-17``."""
    code, _, rest = boat.partition("-")
    kind, _, rest = rest.partition("-")
    seed, _, number = rest.partition("-")
    entry = next((e.id for e in catalogue.faults.values() if e.code == code), None)
    if (
        entry is None
        or kind not in ("fault", "sound", "telephone")
        or not all(re.fullmatch("[0-9]{1,18}", text) for text in (seed, number))
    ):
        raise UsageError(
            f"'{quoted(boat)}' is no boat of a drill; take an id from its list, such as P1-fault-1-17"
        )
    if entry not in drillable(catalogue):
        raise UsageError(f"{code} has no plan in drills/")
    return Drill(catalogue).boat(Task(entry, 0, 1, int(seed), kind), int(number), writes=True)


def at_revision(
    content: Path, name: str, boats: int, seed: int, entries: list[str] | None, errors: float
) -> dict[str, Any]:
    """The figures of an earlier revision of the content, read from git, with today's simulator and formulas.

    Where that revision has no plans yet, today's stand in: the same boats try both books.
    """
    with Repository.of(content) as repository:
        then = load_files(content, repository.files(repository.resolve(name), repository.inside))
    today = load(content)
    for plan_id, plan in today.records["drills"].items():
        then.records["drills"].setdefault(plan_id, plan)
        then.origins.setdefault(("drills", plan_id), today.origins["drills", plan_id])
    names = [e for e in (entries or list(then.faults)) if e in then.faults]
    book = Drill(then)
    work = work_for(drillable(then, names), boats, seed, errors)
    told = coverage(then, book.decisions)
    covered = {"share": told.share, "missing": list(told.missing)}
    return judge(run(book, work), book.decisions, seed, errors, covered).as_data()


def gate(catalogue: Catalogue, targets: DrillTargets, workers: int = 1,
         counting: Callable[[int], Callable[[int], None]] | None = None) -> Figures:  # fmt: skip
    """The figures of a release; raises with every shortfall when the book may not go out."""
    figures = drill(catalogue, targets.boats, targets.seed, None, workers, counting=counting)
    short = shortfalls(figures, targets)
    if short:
        worst = "\n".join(
            f"  {t.entry}: {t.fault} {t.what} at {t.where}, {counted(t.count, 'boat')}, {t.boats[0]}"
            for t in figures.turns[:10]
        )
        raise DrillError(
            "the book falls short in the drill:\n  " + "\n  ".join(short) + "\nits worst turns:\n" + worst
        )
    return figures
