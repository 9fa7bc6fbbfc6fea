"""What a hand-over records, what a check must decide, and which cause comes first."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.decision import Decision
from leadsman.content.model.fault import HISTORIES, HandOver
from leadsman.content.model.reference import SIGNALS
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

#: What was not tested, and why: the line that every hand-over has.
NOT_DONE = "not-done"


@rule("hand-over-not-done", "Each hand-over lists what was not done.", scope="entry")
def hand_over_not_done(context: Context) -> Iterator[Problem]:
    """Rule 6; a hand-over out of a danger is a call for help and lists nothing more."""
    if NOT_DONE not in context.catalogue.records["evidence"]:
        return
    for decision in context.decisions.values():
        for index, hand_over in enumerate(decision.entry.hand_overs):
            if NOT_DONE not in hand_over.evidence and not _calls_for_help(context, hand_over):
                yield context.entry_problem(decision, ("hand_overs", index, "evidence"), f"'{hand_over.id}' does not list what was not done",
                                            f"add '{NOT_DONE}'")  # fmt: skip


@rule(
    "hand-over-readings",
    "Each hand-over lists a reading of each check of its entry that declares some.",
    scope="entry",
)
def hand_over_readings(context: Context) -> Iterator[Problem]:
    """What a swap, a bypass or the pins showed is what the next person asks for."""
    for decision in context.decisions.values():
        wanted = {
            check.shared.id: check.shared.evidence
            for check in decision.checks.values()
            if check.shared and check.shared.evidence
        }
        for index, hand_over in enumerate(decision.entry.hand_overs):
            for check, evidence in wanted.items():
                if not set(evidence) & set(hand_over.evidence) and not _calls_for_help(context, hand_over):
                    yield context.entry_problem(decision, ("hand_overs", index, "evidence"), f"'{hand_over.id}' lists no reading of '{check}'",
                                                f"add one of: {', '.join(evidence)}")  # fmt: skip


def _calls_for_help(context: Context, hand_over: HandOver) -> bool:
    known = context.catalogue.cautions
    return any(known[name].signal == SIGNALS[0] for name in hand_over.cautions if name in known)


@rule(
    "decides",
    "A check whose answers all lead to one place says what an answer means, or tells nothing.",
    scope="entry",
)
def decides(context: Context) -> Iterator[Problem]:
    """The unit's own volts are read for every search, whatever they say."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            asked = bool(set(HISTORIES) & set(check.outcomes)) or check.supply_step == "P0"
            targets = {decision.target(outcome) for outcome in check.outcomes.values()}
            if len(targets) == 1 and not asked and not any(o.means for o in check.outcomes.values()):
                yield context.entry_problem(decision, context.check_place(decision, check.id), f"'{check.id}' decides nothing: every answer leads to '{targets.pop()}'",
                                            "let an answer lead elsewhere, say under 'means' what it tells, or drop the check")  # fmt: skip


#: Parts that fail seldom: most faults are supply, contacts, settings, mounting and water (common practice, no source).
_SELDOM = frozenset({"element", "display", "module"})


@rule(
    "likeliest-part",
    "The likeliest cause in service is no element, display or module.",
    waivable=True,
    scope="entry",
)
def likeliest_part(context: Context) -> Iterator[Problem]:
    """A likelihood turned round sends every technician to a part that is sound."""
    for decision in context.faults():
        first = _likeliest(decision)
        if first is not None and (part := decision.causes[first].component) in _SELDOM:
            index = [cause.id for cause in decision.entry.causes].index(first)
            yield context.entry_problem(decision, ("causes", index, "prior"), f"'{first}' ({part}) is the likeliest cause in service",
                                        "read the likelihoods again, or waive with the reason")  # fmt: skip


def _likeliest(decision: Decision) -> str | None:
    shares = {name: cause.prior.in_service for name, cause in decision.causes.items()}
    return max(shares, key=lambda name: shares[name], default=None)
