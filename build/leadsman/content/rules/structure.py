"""An entry is a sound decision structure: it ends, nothing dangles, and each cause is found by following it."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.compute.diagnosis.structure import Flaw, FlawKind
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, follow_cause
from leadsman.content.model.fault import HISTORIES
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem, counted

_HINTS = {
    FlawKind.UNKNOWN_TARGET: "name a check, finding or hand-over of this entry",
    FlawKind.UNKNOWN_CAUSE: "name one of the entry's causes",
    FlawKind.LOOP: "lead forward to another check, a finding or a hand-over",
    FlawKind.UNREACHABLE_NODE: "let an answer lead to it, or remove it",
    FlawKind.UNREACHABLE_CAUSE: "add a finding that names it, or remove the cause",
    FlawKind.REPEATED_CHECK: "drop it, give it another state, or put a remedy between",
    FlawKind.DUPLICATE_NODE: "ids are unique within an entry, over checks, findings and hand-overs",
}


@rule(
    "structure",
    "Every path ends, nothing loops or dangles, and no check is asked twice in vain.",
    scope="entry",
)
def structure(context: Context) -> Iterator[Problem]:
    """The proofs of compute.structure, each flaw at its place."""
    for decision in context.decisions.values():
        for flaw in decision.flaws:
            yield context.entry_problem(
                decision, _place(decision, flaw), flaw.message, _HINTS.get(flaw.kind, "")
            )
        names = [cause.id for cause in decision.entry.causes]
        for index, name in enumerate(names):
            if name in names[:index]:
                yield context.entry_problem(
                    decision,
                    ("causes", index),
                    f"two causes are called '{name}'",
                    "ids are unique in an entry",
                )


def _place(decision: Decision, flaw: Flaw) -> Location:
    entry = decision.entry
    ids = {
        "checks": [check.id for check in entry.checks],
        "findings": [finding.id for finding in entry.findings],
        "hand_overs": [hand_over.id for hand_over in entry.hand_overs],
        "causes": [cause.id for cause in entry.causes],
    }
    for name, known in ids.items():
        for index, item in enumerate(known):
            if item == flaw.subject:
                if flaw.kind is FlawKind.UNKNOWN_TARGET:
                    return (name, index, *_dangling(decision, flaw.subject))
                return (name, index)
    return ("checks",)


def _dangling(decision: Decision, node: str) -> Location:
    known = decision.structure.by_id
    for answer, target in decision.links(node).items():
        if target not in known:
            return ("outcomes", answer, "then") if node in decision.checks else ("unproved",)
    return ()


@rule(
    "answers",
    "Each check has the answer 'cannot', and exactly one other answer without 'shows'.",
    scope="entry",
)
def answers(context: Context) -> Iterator[Problem]:
    """Third answer (rule of the trade 6), and what each answer shows."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            place = context.check_place(decision, check.id, "outcomes")
            if CANNOT not in check.outcomes:
                yield context.entry_problem(decision, place, f"'{check.id}' has no answer 'cannot'",
                                            "say where to go on when the check cannot be done or decided")  # fmt: skip
            if any(h in check.outcomes for h in HISTORIES):
                continue
            if decision.entry.kind == "procedure":
                continue
            silent = [a for a, o in check.outcomes.items() if a != CANNOT and o.shows is None]
            if len(silent) != 1:
                yield context.entry_problem(decision, place, f"'{check.id}' has {counted(len(silent), 'answer')} without 'shows'",
                                            "leave 'shows' out on one answer (all other causes), list causes on the rest")  # fmt: skip
            for answer, outcome in check.outcomes.items():
                for cause in outcome.shows or ():
                    if cause not in decision.causes:
                        yield context.entry_problem(decision, (*place, answer, "shows"), f"'{cause}' is no cause here",
                                                    f"causes: {', '.join(decision.causes)}")  # fmt: skip


@rule(
    "found",
    "Following the card with one cause present leads to a finding that names it, or to an entry with a cause in the same component.",
    scope="entry",
)
def found(context: Context) -> Iterator[Problem]:
    """Each cause, in each history, is found by a literal-minded reader."""
    for decision in context.decisions.values():
        if not decision.ends:
            continue
        for index, cause in enumerate(decision.entry.causes):
            for history in HISTORIES:
                if cause.prior.share(history) == 0:
                    continue
                path = follow_cause(decision, cause.id, history)
                led_on = path.end.id.startswith(ENTRY_PREFIX) and cause.id in decision.taken_on(path.end.id)
                if path.end.id not in decision.findings and not led_on:
                    way = " > ".join(
                        f"{s.node.id} ({s.outcome})" if s.outcome else s.node.id for s in path.steps
                    )
                    yield context.entry_problem(decision, ("causes", index),
                                                f"'{cause.id}' is not found by following the card: {way}",
                                                "list the cause in 'shows' of the answer that reveals it")  # fmt: skip
                    break
