"""The next check of a search under way: by the cheapest legal order of what is left, and what it can still tell."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from leadsman.compute.diagnosis.best_order import BestOrder, best_order
from leadsman.compute.diagnosis.sequencing import EXACT_LIMIT, Check, CheckSet
from leadsman.content.decision import CANNOT, Decision, ResolvedCheck
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.fault import HISTORIES
from leadsman.content.ordering import Ordering


@dataclass(frozen=True)
class NextCheck:
    """A check to make: what it costs with the place that it needs opened, and what it can tell."""

    check: str
    minutes: float
    """Its own, and those to open its place if that is not open yet."""
    convicts: float
    """Likelihood that it convicts a cause, of what is still suspect."""
    answers: Mapping[str, float]
    """Likelihood of each answer."""
    order: tuple[str, ...]
    """The whole order of which it is the first."""
    minutes_left: float
    """Mean minutes from here to a finding in that order."""

    @property
    def tells(self) -> bool:
        """Whether more than one answer is possible."""
        return len(self.answers) > 1


def next_check(
    inquiry: Inquiry, allowed: Callable[[ResolvedCheck], bool] = lambda check: True
) -> NextCheck | None:
    """The first check of the cheapest legal order of those that are left; ``None`` when none can convict a suspect.

    Parameters
    ----------
    inquiry
        The search. What was answered, "cannot" too, is not asked again.
    allowed
        Which checks may be made at all, such as those at the helm.
    """
    found = cheapest_order(inquiry, allowed)
    if found is None:
        return None
    checks, best = found
    by_name = {check.name: check for check in checks.checks}
    suspects = set(checks.likelihood)
    first = next(name for name in best.order if suspects - by_name[name].spared)
    check = by_name[first]
    answers: dict[str, float] = {}
    for cause, share in checks.likelihood.items():
        seen = inquiry.decision.checks[first].answer_for(cause)
        if seen is not None and share > 0.0:
            answers[seen] = answers.get(seen, 0.0) + share
    minutes = check.minutes + sum(checks.setup_minutes[setup] for setup in check.setups)
    convicts = sum(checks.likelihood[cause] for cause in check.finds)
    return NextCheck(first, minutes, convicts, answers, best.order, best.minutes)


def cheapest_order(
    inquiry: Inquiry, allowed: Callable[[ResolvedCheck], bool] = lambda check: True
) -> tuple[CheckSet, BestOrder] | None:
    """What is left with its cheapest legal order; ``None`` where none of it convicts a suspect, or it is too much."""
    checks = checks_left(inquiry, allowed)
    if not any(check.finds for check in checks.checks) or len(checks.checks) > EXACT_LIMIT:
        return None
    return checks, best_order(checks)


def checks_left(inquiry: Inquiry, allowed: Callable[[ResolvedCheck], bool] = lambda check: True) -> CheckSet:
    """The checks that were not answered yet as a set to be put in order, under what is still suspect."""
    decision = inquiry.decision
    ordering = Ordering(decision)
    if inquiry.history is not None:
        ordering = ordering.after(inquiry.history)
    answered = set(inquiry.answers)
    left = [name for name in ordering.written if name not in answered and not _asks_history(decision, name)
            and allowed(decision.checks[name])]  # fmt: skip
    shares = {suspect.cause: suspect.likelihood for suspect in inquiry.suspects}
    ways = {cause: way for (cause, history), way in ordering.ways.items()
            if cause in shares and history == (inquiry.history or history)}  # fmt: skip
    opened = {decision.checks[name].body.access for name, answer in inquiry.answers.items()
              if name in decision.checks and answer != CANNOT}  # fmt: skip
    checks = []
    for name in left:
        body = decision.checks[name].body
        finds = {cause: 1.0 for cause in shares if cause in ways and name in ways[cause].convicting}
        spared = frozenset(cause for cause in shares if cause not in ways or name not in ways[cause].made)
        groups = [group & set(left) for group in ordering.after_any[name] if not group & answered]
        checks.append(Check(name, body.minutes, finds, frozenset({body.access} - opened),
                            ordering.precedence[name] & set(left), tuple(g for g in groups if g), None, spared))  # fmt: skip
    return CheckSet(
        tuple(checks), shares, {n: m for n, m in decision.setup_minutes.items() if n not in opened}
    )


def _asks_history(decision: Decision, name: str) -> bool:
    return set(HISTORIES) <= set(decision.checks[name].outcomes)
