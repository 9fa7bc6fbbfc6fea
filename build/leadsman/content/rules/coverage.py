"""Nothing is left out: families, capabilities, and an answer for and against each cause (rule of the trade 11)."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.applicability import applies, families_of, serves
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, follow_cause
from leadsman.content.model.fault import HISTORIES
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule("applies", "An entry applies to a display family, and to each one whose messages it names.")
def applying(context: Context) -> Iterator[Problem]:
    """What an entry needs, some family has."""
    catalogue = context.catalogue
    for name, entry in catalogue.faults.items():
        wanted = ", ".join(entry.needs)
        if catalogue.families and not families_of(entry, catalogue):
            yield catalogue.problem("faults", name, ("needs",), f"no display family has {wanted}",
                                    "give a family the capability, or need less")  # fmt: skip
        for family in entry.condition.messages:
            if family in catalogue.families and not applies(entry, catalogue, family):
                yield catalogue.problem("faults", name, ("condition", "messages", family),
                                        f"names a message of {family}, which lacks what the entry needs ({wanted})",
                                        "move the message to an entry that applies", key=True)  # fmt: skip


@rule("capability-coverage", "Each capability of each display family has an entry that applies to it.")
def capability_coverage(context: Context) -> Iterator[Problem]:
    """By what entries need, by the capability's areas, or by its menu tasks."""
    catalogue = context.catalogue
    decisions = list(context.decisions.values())
    about = {
        capability: [d.entry for d in decisions if serves(d, capability, context.tasks[d.entry.id])]
        for capability in catalogue.records["capabilities"]
    }
    for name, family in catalogue.families.items():
        for index, capability in enumerate(family.capabilities):
            entries = about.get(capability)
            if entries is not None and not any(applies(entry, catalogue, name) for entry in entries):
                yield catalogue.problem("families", name, ("capabilities", index),
                                        f"no entry is about '{capability}'",
                                        "name it under 'needs' of an entry, or name its areas or tasks in capabilities.yaml")  # fmt: skip


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
        seen = {other: check.answer_for(other) for other in decision.causes}
        found += [
            (check.id, answer)
            for answer in check.outcomes
            if answer != CANNOT
            and seen[cause] != answer
            and _counts(check.outcomes[answer].shows, answer, seen)
        ]
    return found


def _counts(shows: list[str] | None, answer: str, seen: dict[str, str | None]) -> bool:
    """Whether an answer says something: it is seen under some cause, or it is the expected one."""
    return shows is None or answer in seen.values()
