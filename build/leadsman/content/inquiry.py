"""A search that is under way: what was answered, what is still suspect, what comes next, what is left to do.

Under the single-fault assumption an answer excludes each cause under which another answer is seen. "Cannot tell"
excludes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from leadsman.compute.diagnosis.structure import Kind
from leadsman.compute.diagnosis.walk import Path, Step
from leadsman.content.decision import CANNOT, NOT_PROVED, Decision, follow_answers
from leadsman.content.model.fault import HISTORIES


@dataclass(frozen=True)
class Suspect:
    """A cause that no answer has excluded, with its share of what is left (0 to 1)."""

    cause: str
    likelihood: float


@dataclass(frozen=True)
class Inquiry:
    """One entry with the answers given so far.

    Parameters
    ----------
    decision
        The entry.
    answers
        The answer at each node: of a check one of its outcomes, of a finding ``not proved``.
    start
        The check at which the search begins; empty for the first of the entry.
    before
        The history, where it was asked in another entry.
    """

    decision: Decision
    answers: Mapping[str, str]
    start: str = ""
    before: str | None = None

    @cached_property
    def path(self) -> Path:
        """The way from the first check through the answers, to the node that waits for one."""
        return follow_answers(self.decision, self.answers, self.start)

    @property
    def node(self) -> str:
        """The check to make, or the end that was reached."""
        return self.path.end.id

    @property
    def kind(self) -> Kind:
        """Whether that is a check, a finding, a hand-over or another entry."""
        return self.path.end.kind

    @property
    def done(self) -> tuple[Step, ...]:
        """The steps that were answered."""
        return tuple(step for step in self.path.steps if step.outcome)

    @property
    def not_done(self) -> tuple[str, ...]:
        """The checks that were answered with "cannot": what a hand-over lists."""
        return tuple(step.node.id for step in self.done if step.outcome == CANNOT)

    @property
    def history(self) -> str | None:
        """What happened before, once it was asked."""
        return next((step.outcome for step in self.done if step.outcome in HISTORIES), self.before)

    @property
    def evidence(self) -> Mapping[str, str]:
        """The answers that exclude causes: those of the way."""
        return {step.node.id: step.outcome for step in self.done}

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """The causes that are left, the likeliest first; none when the answers fit no cause of the entry."""
        shares = {name: self._share(name) for name in self.decision.causes if not self._is_excluded(name)}
        total = sum(shares.values())
        found = [Suspect(name, share / total if total else 0.0) for name, share in shares.items()]
        return tuple(sorted(found, key=lambda suspect: -suspect.likelihood))

    @property
    def minutes_done(self) -> float:
        """Minutes spent so far, the opening of a place counted once."""
        return self.decision.minutes(Path(self.done, ends=False))

    @cached_property
    def minutes_left(self) -> float:
        """Mean minutes from here to the finding, over what is still suspect, by the order as written."""
        return sum(s.likelihood * (self._minutes_under(s.cause) - self.minutes_done) for s in self.suspects)

    def _share(self, cause: str) -> float:
        prior = self.decision.causes[cause].prior
        if self.history is not None:
            return prior.share(self.history)
        return sum(prior.share(history) for history in HISTORIES) / len(HISTORIES)

    def _is_excluded(self, cause: str) -> bool:
        for node, outcome in self.evidence.items():
            check = self.decision.checks.get(node)
            if check is not None and outcome not in (CANNOT, *HISTORIES):
                seen = check.answer_for(cause)
                if seen is not None and seen != outcome:
                    return True
            finding = self.decision.findings.get(node)
            if finding is not None and outcome == NOT_PROVED and cause in finding.causes:
                return True
        return False

    def _minutes_under(self, cause: str) -> float:
        """Minutes of the whole way when this cause is present and the rest is answered by it."""
        answers, seen = dict(self.answers), set[str]()
        while True:
            path = follow_answers(self.decision, answers, self.start)
            node = path.end.id
            answer = self._answer_under(cause, node)
            if answer is None or node in seen:
                return self.decision.minutes(path)
            seen.add(node)
            answers[node] = answer

    def _answer_under(self, cause: str, node: str) -> str | None:
        check = self.decision.checks.get(node)
        if check is not None:
            return HISTORIES[0] if set(HISTORIES) <= set(check.outcomes) else check.answer_for(cause)
        finding = self.decision.findings.get(node)
        return NOT_PROVED if finding is not None and cause not in finding.causes else None


@dataclass(frozen=True)
class OpenInquiry(Inquiry):
    """An inquiry in which every answer counts, be it on the way of the card or not: a call or a case has its own order."""

    @property
    def evidence(self) -> Mapping[str, str]:
        """Every answer given."""
        return self.answers
