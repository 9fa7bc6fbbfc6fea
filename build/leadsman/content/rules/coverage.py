"""Nothing is left out: families, capabilities, and an answer for and against each cause (rule of the trade 11)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from leadsman.content.applicability import applies, families_of
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, follow_cause
from leadsman.content.model.fault import HISTORIES
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "applies", "An entry applies to a display family, and to each one whose messages it names.", scope="entry"
)
def applying(context: Context) -> Iterator[Problem]:
    """What an entry needs, some family has."""
    catalogue = context.catalogue
    for name, entry in context.records("faults").items():
        wanted = ", ".join(entry.needs)
        if catalogue.families and not families_of(entry, catalogue):
            yield catalogue.problem("faults", name, ("needs",), f"no display family has {wanted}",
                                    "give a family the capability, or need less")  # fmt: skip
        for family in entry.condition.messages:
            if family in catalogue.families and not applies(entry, catalogue, family):
                yield catalogue.problem("faults", name, ("condition", "messages", family),
                                        f"names a message of {family}, which lacks what the entry needs ({wanted})",
                                        "move the message to an entry that applies", key=True)  # fmt: skip


@rule(
    "capability-coverage",
    "Each capability of each display family has an entry that applies to it.",
    scope="book",
)
def capability_coverage(context: Context) -> Iterator[Problem]:
    """By what entries need, by the capability's areas, or by its menu tasks."""
    catalogue = context.catalogue
    about = _needs_by_capability(context)
    for name, family in catalogue.families.items():
        has = set(family.capabilities)
        for index, capability in enumerate(family.capabilities):
            entries = about.get(capability)
            if entries is not None and not any(needs <= has for needs in entries):
                yield catalogue.problem("families", name, ("capabilities", index),
                                        f"no entry is about '{capability}'",
                                        "name it under 'needs' of an entry, or name its areas or tasks in capabilities.yaml")  # fmt: skip


def _needs_by_capability(context: Context) -> dict[str, set[frozenset[str]]]:
    """For each capability, what the entries need that are about it (see ``applicability.serves``)."""
    capabilities = context.catalogue.records["capabilities"]
    found: dict[str, set[frozenset[str]]] = {name: set() for name in capabilities}
    by_area, by_task = defaultdict[str, set[str]](set), defaultdict[str, set[str]](set)
    for name, capability in capabilities.items():
        for area in capability.areas:
            by_area[area].add(name)
        for task in capability.tasks:
            by_task[task].add(name)
    for facts in context.facts.values():
        needs = frozenset(facts.needs)
        about = {*needs & found.keys(), *by_area[facts.area]}
        for name in about.union(*(by_task[task] for task in facts.tasks)):
            found[name].add(needs)
    return found


@rule("cause-answers", "Each cause has an answer that convicts it, and one that clears it.", scope="entry")
def cause_answers(context: Context) -> Iterator[Problem]:
    """A cause that no answer rules out stays suspect for ever."""
    for decision in context.faults():
        if not decision.ends:
            continue
        for index, cause in enumerate(decision.entry.causes):
            # What no answer convicts is the business of the rule 'found'.
            if convicting_answers(decision, cause.id) and not clearing_answers(decision, cause.id):
                yield context.entry_problem(decision, ("causes", index), f"no answer clears '{cause.id}'",
                                            "list under 'shows' what each answer shows, so that the other answer clears it")  # fmt: skip


def convicting_answers(decision: Decision, cause: str) -> list[tuple[str, str]]:
    """The (check, answer) with which the card convicts a cause, over all histories, each once."""
    found: dict[tuple[str, str], None] = {}
    for history in HISTORIES:
        if decision.causes[cause].prior.share(history) > 0:
            path = follow_cause(decision, cause, history)
            named = path.end.id in decision.findings and cause in decision.findings[path.end.id].causes
            if named or path.end.id.startswith(ENTRY_PREFIX):
                *_, last = (step for step in path.steps if step.node.id in decision.checks)
                found[last.node.id, last.outcome] = None
    return list(found)


def clearing_answers(decision: Decision, cause: str) -> list[tuple[str, str]]:
    """The (check, answer) that is not seen under a cause and is seen under another: under one fault it clears."""
    found = []
    for check in decision.checks.values():
        if set(HISTORIES) & set(check.outcomes):
            continue
        answers = decision.answers_under[check.id]
        found += [
            (check.id, answer)
            for answer in check.outcomes
            if answer != CANNOT
            and answers[cause] != answer
            and _counts(check.outcomes[answer].shows, answer, answers)
        ]
    return found


def _counts(shows: list[str] | None, answer: str, seen: dict[str, str | None]) -> bool:
    """Whether an answer says something: it is seen under some cause, or it is the expected one."""
    return shows is None or answer in seen.values()
