"""Where an answer and a proof may lead: to what they show, past nothing that must be tried, never round a proof."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.content.decision import CANNOT, SWAP_ANSWERS, Decision
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "answer-convicts",
    "An answer that shows causes and ends in a finding ends in one that names one of them.",
    scope="entry",
)
def answer_convicts(context: Context) -> Iterator[Problem]:
    """Told at the answer: the slip is there, not at the cause that is then not found."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            for answer, outcome in check.outcomes.items():
                finding = decision.findings.get(outcome.then or "")
                if outcome.shows and finding is not None and not set(outcome.shows) & set(finding.causes):
                    place = context.check_place(decision, check.id, "outcomes", answer)
                    fitting = [f.id for f in decision.entry.findings if set(outcome.shows) & set(f.causes)]
                    yield context.entry_problem(decision, place, f"shows {', '.join(outcome.shows)} and ends in '{finding.id}', which names none of them",
                                                f"findings that do: {', '.join(fitting) or 'none'}")  # fmt: skip


@rule("not-back-apart", "After a swap, 'not-back' never leads where 'returns' leads.", scope="entry")
def not_back_apart(context: Context) -> Iterator[Problem]:
    """A fault that did not return says nothing against the part."""
    returns, not_back = SWAP_ANSWERS[:2]
    for decision in context.decisions.values():
        for check in decision.checks.values():
            if not {returns, not_back} <= set(check.outcomes):
                continue
            targets = [decision.target(check.outcomes[answer]) for answer in (returns, not_back)]
            if targets[0] == targets[1]:
                yield context.entry_problem(decision, context.check_place(decision, check.id, "outcomes", not_back),
                                            f"'{not_back}' leads to '{targets[1]}', as '{returns}' does",
                                            "lead it to the contact, or to a hand-over")  # fmt: skip


#: What a CAN'T must say where the search goes on to the proof without that trial.
_NOT_PROVED = "not proved"


@rule("trials", "A finding that declares trials is reached through each of them.", scope="entry")
def trials(context: Context) -> Iterator[Problem]:
    """No way to 'proved' round a trial, unless the CAN'T says what is then not proved."""
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            for number, trial in enumerate(finding.trials):
                place = ("findings", index, "trials", number)
                if trial not in decision.checks:
                    yield context.entry_problem(decision, place, f"the trial '{trial}' is no check of this entry",
                                                f"its checks: {', '.join(decision.checks)}")  # fmt: skip
                elif (way := _way_round(decision, trial, finding.id)) is not None:
                    yield context.entry_problem(decision, place, f"'{finding.id}' is reached without '{trial}': {' > '.join(way)}",
                                                "lead that way through the trial, or to a hand-over")  # fmt: skip


def _way_round(decision: Decision, trial: str, finding: str) -> tuple[str, ...] | None:
    """A way to the finding on which the trial gave no answer."""
    ways: dict[str, tuple[str, ...]] = {decision.start: (decision.start,)}
    queue = [decision.start]
    while queue:
        node = queue.pop(0)
        if node == finding:
            return ways[node]
        for answer, target in decision.links(node).items():
            # A failed proof comes back through the trials; only what leads on from checks counts.
            if (
                target in ways
                or node in decision.findings
                or (node == trial and not _passes(decision, node, answer))
            ):
                continue
            ways[target] = (*ways[node], target)
            queue.append(target)
    return None


def _passes(decision: Decision, trial: str, answer: str) -> bool:
    """Whether an answer leads past the trial as if it had not been made, without a word of it."""
    if answer != CANNOT:
        return False
    means = decision.checks[trial].outcomes[answer].means
    return means is None or _NOT_PROVED not in means.lower()


@rule(
    "failed-proof",
    "A failed proof leads to a check or to a hand-over, not straight to another finding.",
    scope="entry",
)
def failed_proof(context: Context) -> Iterator[Problem]:
    """One remedy after another is no search."""
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            if finding.unproved in decision.findings:
                yield context.entry_problem(decision, ("findings", index, "unproved"),
                                            f"a failed proof of '{finding.id}' leads straight to the finding '{finding.unproved}'",
                                            "lead it to a check that tells whether that is the cause, or to a hand-over")  # fmt: skip


#: By what a renewed part is proved: the depth itself, the line's readings, or the evidence that goes with it.
_PROVED = re.compile(r"\blead line\b|\bpin table\b|\bevidence\b", re.IGNORECASE)


@rule(
    "condemned-proved",
    "A finding that condemns a part is proved by lead line, pin table or evidence.",
    scope="entry",
)
def condemned_proved(context: Context) -> Iterator[Problem]:
    """'It works' is no proof of a new part."""
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            if finding.condemns and not _PROVED.search(finding.proof):
                yield context.entry_problem(decision, ("findings", index, "proof"), f"'{finding.id}' condemns a part and proves nothing of the new one",
                                            "prove it by lead line or pin table, or ask for the evidence")  # fmt: skip
