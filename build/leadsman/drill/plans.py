"""The plans of the drill, read from the content and tried for sense: faults, facts and actions that exist."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, Decision, ResolvedCheck
from leadsman.content.model.drill import DrilledCheck, DrillPlan
from leadsman.drill import facts as _facts  # registers the facts
from leadsman.drill.actions import known as known_action
from leadsman.drill.case import unknown
from leadsman.drill.faults import FAULTS
from leadsman.errors import Problem

assert _facts

SHARED = "shared-checks"


@dataclass(frozen=True)
class Coverage:
    """How much of the book the drill can act out."""

    checks: int
    mapped: int
    causes: int
    drilled: int
    missing: tuple[str, ...]

    @property
    def share(self) -> float:
        return self.mapped / self.checks if self.checks else 1.0


def plan_of(catalogue: Catalogue, entry: str) -> DrillPlan | None:
    """The plan of an entry."""
    plan: DrillPlan | None = catalogue.records["drills"].get(entry)
    return plan


def answers_to(catalogue: Catalogue, entry: str, check: ResolvedCheck) -> DrilledCheck | None:
    """How a simulated boat answers this check of this entry; ``None`` when nobody has said.

    What the entry's plan says stands before what is said of the shared check. An answer whose fact is not given,
    while more than one stands open, leaves the check unanswered.
    """
    plan = plan_of(catalogue, entry)
    own = plan.checks.get(check.id) if plan else None
    shared_plan = plan_of(catalogue, SHARED)
    shared = shared_plan.checks.get(check.shared.id) if shared_plan and check.shared else None
    found = own or shared
    if own and shared and not own.do and not own.trying and not own.swap:
        found = own.model_copy(update={"do": shared.do, "trying": shared.trying, "swap": shared.swap})
    if found is None:
        return None
    if found.swap:
        return found
    answers = {a: e for a, e in found.answers.items() if a in check.outcomes}
    silent = [a for a in check.outcomes if a != CANNOT and a not in answers]
    return found.model_copy(update={"answers": answers}) if len(silent) <= 1 else None


def problems(catalogue: Catalogue) -> list[Problem]:
    """Each name in a plan that does not exist, with its place."""
    found = []
    for plan_id, plan in catalogue.records["drills"].items():
        entry = catalogue.faults.get(plan_id)
        if entry is None and plan_id != SHARED:
            found.append(catalogue.problem("drills", plan_id, ("id",), f"'{plan_id}' is no entry", catalogue.near("faults", plan_id)))  # fmt: skip
            continue
        causes = {c.id for c in entry.causes} if entry else set()
        found += [
            catalogue.problem("drills", plan_id, ("causes", cause), f"'{cause}' is no cause of the entry", f"known: {', '.join(causes)}", key=True)
            for cause in plan.causes if cause not in causes
        ]  # fmt: skip
        found += [
            catalogue.problem("drills", plan_id, ("causes", cause), f"'{name}' is no fault of the simulator", "see leadsman.drill.faults")
            for cause, names in plan.causes.items() for name in names if name not in FAULTS
        ]  # fmt: skip
        found += [
            catalogue.problem("drills", plan_id, ("symptom",), f"'{word}' is no fact", "see leadsman.drill.facts")
            for word in unknown(plan.symptom)
        ]  # fmt: skip
        found += _check_problems(catalogue, plan_id, plan)
    return found


def _check_problems(catalogue: Catalogue, plan_id: str, plan: DrillPlan) -> list[Problem]:
    entry = catalogue.faults.get(plan_id)
    names = {c.id for c in entry.checks} if entry else set(catalogue.checks)
    found = []
    for check_id, drilled in plan.checks.items():
        place = ("checks", check_id)
        if check_id not in names:
            found.append(catalogue.problem("drills", plan_id, place, f"'{check_id}' is no check", "drop it or mend its name", key=True))  # fmt: skip
        for action in (*drilled.do, *drilled.trying):
            if not known_action(action):
                found.append(catalogue.problem("drills", plan_id, place, f"'{action}' is no action", "see leadsman.drill.actions"))  # fmt: skip
        for answer, expression in drilled.answers.items():
            found += [
                catalogue.problem("drills", plan_id, (*place, "answers", answer), f"'{word}' is no fact", "see leadsman.drill.facts")
                for word in unknown(expression)
            ]  # fmt: skip
    return found


def coverage(catalogue: Catalogue, decisions: Mapping[str, Decision]) -> Coverage:
    """How many checks have an answer, and how many causes a fault."""
    checks = mapped = causes = drilled = 0
    missing = []
    for entry_id, decision in decisions.items():
        plan = plan_of(catalogue, entry_id)
        for check in decision.checks.values():
            checks += 1
            if is_history(check) or answers_to(catalogue, entry_id, check) is not None:
                mapped += 1
            else:
                missing.append(f"{decision.entry.code} {check.id}")
        for cause in decision.causes:
            causes += 1
            if plan and plan.causes.get(cause):
                drilled += 1
            elif decision.entry.kind == "fault":
                missing.append(f"{decision.entry.code} cause {cause}")
    return Coverage(checks, mapped, causes, drilled, tuple(missing))


def is_history(check: ResolvedCheck) -> bool:
    """The question after the history is answered by the boat's own."""
    return check.shared is not None and check.shared.id == "ask-history"
