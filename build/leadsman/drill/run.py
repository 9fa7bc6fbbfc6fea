"""Draw boats, walk them, and share the work among processes; the figures do not depend on how many there are."""

from __future__ import annotations

import multiprocessing
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.drill import DrillPlan
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.drill.boats import Installation
from leadsman.drill.card import Card
from leadsman.drill.case import Case
from leadsman.drill.faults import FAULTS, inject, suits
from leadsman.drill.installations import Wanted, choose, sound_state, with_sound_lead
from leadsman.drill.plans import plan_of
from leadsman.drill.technician import Technician, Walk
from leadsman.errors import LeadsmanError
from leadsman.processes import begin_worker, stop_workers, work_folder

#: A second, independent fault is present in this share of boats.
DOUBLE_SHARE = 0.05
#: How often a boat is drawn anew until the fault shows the condition.
_TRIES = 24
#: Boats of one piece of work.
PIECE = 40
#: How the histories of cases are shared out (common practice).
HISTORY_SHARES = {
    "in-service": 0.55,
    "new-fitting": 0.15,
    "after-lay-up": 0.12,
    "after-update": 0.06,
    "after-impact": 0.12,
}


@dataclass(frozen=True)
class Task:
    """Which boats: of one entry, numbered from ``first``, drawn from the seed."""

    entry: str
    first: int
    count: int
    seed: int
    kind: str = "fault"
    """fault, sound or telephone."""
    errors: float = 1.0


@dataclass
class Outcome:
    """One boat's walk and what it was."""

    id: str
    walk: Walk
    boat: str
    family: str
    transducer: str
    history: str
    faults: tuple[str, ...]
    component: str
    double: bool
    kind: str
    start: str = ""
    """The entry to which the index led, where that is another."""
    shows: bool = True
    """Whether the fault brought the condition about; a boat that never does is none of its cases."""


@dataclass
class Drill:
    """The book under drill: read once a process."""

    catalogue: Catalogue
    decisions: dict[str, Decision] = field(default_factory=dict)
    card: Card = field(init=False)
    index: dict[str, str] = field(init=False)

    def __post_init__(self) -> None:
        self.card = Card(self.catalogue)
        self.index = {
            str(sign.words): name
            for name, entry in self.catalogue.faults.items()
            for sign in entry.condition.signs
        }
        self.decisions = {
            name: Decision(entry, self.catalogue) for name, entry in self.catalogue.faults.items()
        }

    def boat(self, task: Task, number: int, writes: bool = False) -> Outcome:
        """Draw one boat and walk it; everything follows from seed, entry, kind and number."""
        entry = self.catalogue.faults[task.entry]
        plan = plan_of(self.catalogue, task.entry)
        assert plan is not None
        rng = np.random.default_rng([task.seed, _stable(task.entry), _stable(task.kind), number])
        history = plan.scene.get("history") or _draw(rng, HISTORY_SHARES)
        case, cause, faults, shows = self._case(task, entry, plan, history, rng)
        component = entry_component(entry, cause)
        technician = Technician(
            self.catalogue, self.decisions, rng, task.errors, task.kind == "telephone", writes
        )
        name = f"{entry.code}-{task.kind}-{task.seed}-{number}"
        double = len(faults) > 1
        start = ""
        if shows:
            start = self.looked_up(plan, rng) if task.kind != "sound" else ""
            at_fault = {component, *(FAULTS[f].component for f in faults)} - {""}
            walk = technician.walk(case, task.entry, cause, at_fault, start)
        else:
            walk = Walk(task.entry, cause, "not shown")
        fitted = case.fitted
        return Outcome(name, walk, fitted.boat.id, fitted.family.id, fitted.transducer.id, history, faults, component,
                       double, task.kind, "" if start == task.entry else start, shows)  # fmt: skip

    def looked_up(self, plan: DrillPlan, rng: np.random.Generator) -> str:
        """Where the index leads from one of the sentences that owners say of such a boat; nowhere: to the title."""
        if not plan.says:
            return ""
        words = str(plan.says[int(rng.integers(len(plan.says)))])
        return self.index.get(words, "")

    def _case(
        self, task: Task, entry: FaultEntry, plan: DrillPlan, history: str, rng: np.random.Generator
    ) -> tuple[Case, str, tuple[str, ...], bool]:
        if task.kind == "sound":
            fitted = self._installation(entry, plan, "", history, rng)
            sound = sound_state(fitted, rng, plan.scene.get("place", "ordinary"))
            return self._make(fitted, sound.copy(), sound, plan, rng, insists=True), "", (), True
        causes = [c for c in entry.causes if plan.causes.get(c.id)]
        weights = np.array([c.prior.share(history) for c in causes], float)
        case: Case | None = None
        name = ""
        faults: tuple[str, ...] = ()
        chosen = None
        for trial in range(_TRIES):
            if chosen is None or trial == _TRIES // 2:
                chosen = (
                    causes[int(rng.choice(len(causes), p=weights / weights.sum()))]
                    if weights.sum()
                    else causes[0]
                )
            names = plan.causes[chosen.id]
            name = names[int(rng.integers(len(names)))]
            fitted = self._installation(entry, plan, name, history, rng)
            if not suits(name, fitted):
                if trial < _TRIES // 2:
                    chosen = None
                continue
            sound = sound_state(fitted, rng, plan.scene.get("place", "ordinary"))
            state = sound.copy()
            inject(name, state, fitted, rng)
            faults = (name,)
            case = self._make(fitted, state, sound, plan, rng)
            if not case.complaint():
                continue
            if rng.random() < DOUBLE_SHARE:
                faults = self._second(case, name, rng)
            return case, chosen.id, faults, True
        if case is None:
            fitted = self._installation(entry, plan, "", history, rng)
            sound = sound_state(fitted, rng)
            case = self._make(fitted, sound.copy(), sound, plan, rng)
        return case, chosen.id if chosen else "", faults, False

    def _second(self, case: Case, first: str, rng: np.random.Generator) -> tuple[str, ...]:
        """An independent second fault from the whole list, in another component."""
        names = sorted(FAULTS)
        for _ in range(10):
            name = names[int(rng.integers(len(names)))]
            if FAULTS[name].component != FAULTS[first].component and suits(name, case.fitted):
                inject(name, case.state, case.fitted, rng)
                return first, name
        return (first,)

    def _make(self, fitted: Installation, state: object, sound: object, plan: DrillPlan, rng: np.random.Generator,
              insists: bool = False) -> Case:  # fmt: skip
        from leadsman.drill.boats import State

        assert isinstance(state, State)
        assert isinstance(sound, State)
        return Case(
            state, sound, fitted, self.card, rng, plan.symptom, insists, plan.scene.get("shown") != "no"
        )

    def _installation(
        self, entry: FaultEntry, plan: DrillPlan, fault: str, history: str, rng: np.random.Generator
    ) -> Installation:
        needs = FAULTS[fault].only if fault else ()
        capabilities = {*entry.needs, *(n for n in needs if n in ("network", "side", "forward"))}
        housing = plan.scene.get("housing")
        for name in ("in-hull", "through-hull", "transom"):
            housing = name if name in needs and housing is None else housing
        wanted = Wanted(
            capabilities=tuple(sorted(capabilities)),
            battery="lithium" if "lithium" in needs else plan.scene.get("battery"),
            housing=housing,
            sailing="sailing" in plan.scene,
        )
        fitted = choose(self.catalogue, wanted, rng, history)
        if fault:
            fitted = with_sound_lead(fitted)
        needs = (*needs, *plan.scene)
        if "adapter" in needs or "second" in needs:
            from dataclasses import replace

            fitted = replace(fitted, has_adapter=fitted.has_adapter or "adapter" in needs,
                             second_sounder=fitted.second_sounder or "second" in needs)  # fmt: skip
        return fitted


def entry_component(entry: FaultEntry, cause: str) -> str:
    """The component of a cause; empty on a sound boat."""
    return next((c.component for c in entry.causes if c.id == cause), "")


def _draw(rng: np.random.Generator, shares: dict[str, float]) -> str:
    names = list(shares)
    return names[int(rng.choice(len(names), p=list(shares.values())))]


def _stable(text: str) -> int:
    """A number of a text that is the same in every process."""
    number = 0
    for letter in text:
        number = (number * 131 + ord(letter)) % (2**31)
    return number


def drillable(catalogue: Catalogue, names: list[str] | None = None) -> list[str]:
    """The entries that can be drilled: those with a plan and causes."""
    wanted = names or list(catalogue.faults)
    found = []
    for name in wanted:
        plan = plan_of(catalogue, name)
        if plan is not None and plan.causes:
            found.append(name)
    return found


def tasks(entries: list[str], boats: int, seed: int, kind: str = "fault", errors: float = 1.0) -> list[Task]:
    """All boats in pieces, spread evenly over the entries; the pieces are the same however many work on them."""
    made = []
    for index, entry in enumerate(entries):
        share = boats // len(entries) + (index < boats % len(entries))
        for first in range(0, share, PIECE):
            made.append(Task(entry, first, min(PIECE, share - first), seed, kind, errors))
    return made


_DRILLS: dict[str, Drill] = {}


def _work(folder: str, task: Task) -> list[Outcome]:
    if folder not in _DRILLS:
        _DRILLS[folder] = Drill(load(Path(folder)))
    drill = _DRILLS[folder]
    return [drill.boat(task, number) for number in range(task.first, task.first + task.count)]


def run(
    drill: Drill, work: list[Task], workers: int = 1, tick: Callable[[int], None] = lambda done: None
) -> Iterator[Outcome]:
    """Every boat, in the order of the work; with more than one worker, each process reads the content itself."""
    if workers <= 1:
        for task in work:
            for number in range(task.first, task.first + task.count):
                yield drill.boat(task, number)
            tick(task.count)
        return
    yield from _shared(str(drill.catalogue.folder), work, workers, tick)


def _shared(folder: str, work: list[Task], workers: int, tick: Callable[[int], None]) -> Iterator[Outcome]:
    # New processes, not copies of this one: the bar of a terminal is drawn by a thread.
    spawn = multiprocessing.get_context("spawn")
    with (
        work_folder() as place,
        ProcessPoolExecutor(min(workers, len(work)), spawn, begin_worker, (place,)) as pool,
    ):
        waiting = deque(pool.submit(_work, folder, task) for task in work)
        try:
            for task in work:
                yield from waiting.popleft().result()
                tick(task.count)
        except BrokenProcessPool as error:
            raise LeadsmanError("a process that drills was killed, perhaps for want of memory") from error
        except BaseException:
            # Nobody waits for boats that are no longer wanted.
            stop_workers()
            raise
        finally:
            pool.shutdown(cancel_futures=True)


assert set(HISTORY_SHARES) == set(HISTORIES)
