"""The written order of checks beside the best legal one (rule of the trade 3, by expected time)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from leadsman.content.decision import Decision
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

if TYPE_CHECKING:
    from leadsman.compute.diagnosis.best_order import OrderReport
    from leadsman.content.ordering import Ordering

#: How much longer the written order may take: likelihoods and minutes are no better known than that.
TOLERATED_EXCESS = 0.25


@rule(
    "order",
    "After each history the written order of checks takes at most a quarter longer than the best that the "
    "other rules allow.",
    waivable=True,
    scope="form",
)
def order(context: Context) -> Iterator[Problem]:
    """Expected minutes to isolate, for each history by its own shares and on the way that its answer leads."""
    # Not before it is asked: most edits change words, and NumPy takes longer to load than all other rules together.
    from leadsman.content.ordering import Ordering, by_history

    for decision in context.faults():
        if not decision.sound:
            continue
        ordering = Ordering(decision)
        for history, report in by_history(ordering).items():
            if report.excess > TOLERATED_EXCESS:
                yield _slow(context, decision, ordering.after(history), history, report)


def _slow(
    context: Context, decision: Decision, ordering: Ordering, history: str, report: OrderReport
) -> Problem:
    """An order that is too slow after one history, at the check whose move saves most."""
    from leadsman.content.ordering import best_move

    what = (
        f"after '{history}' the written order takes {report.written_minutes:.0f} minutes to isolate, "
        f"{report.excess:.0%} more than {'the best legal one' if report.best.exact else 'another legal one'} "
        f"({report.best.minutes:.0f})"
    )
    move = best_move(ordering.check_set(), ordering.written)
    place, hint = ordering.written[0], f"the best order is {', '.join(report.best.order)}"
    if move is not None:
        place, hint = move.check, f"{move}, which saves {move.saves_min:.1f} minutes"
    hint += (
        f"; or let the answer '{history}' lead further on, or waive with the reason and 'about: {history}'"
    )
    return context.catalogue.problem("faults", decision.entry.id, context.check_place(decision, place), what, hint,
                                     severity="warning")  # fmt: skip


@rule("after", "What a check comes after is a check of the entry that stands before it.", scope="entry")
def after(context: Context) -> Iterator[Problem]:
    """The entry's own precedence, which the best order keeps."""
    for decision in context.decisions.values():
        before: list[str] = []
        for index, check in enumerate(decision.entry.checks):
            for number, name in enumerate(check.after):
                if name not in before:
                    known = name in decision.checks
                    what = "stands after it" if known else "is no check of this entry"
                    hint = f"checks before it: {', '.join(before) or 'none'}"
                    yield context.entry_problem(decision, ("checks", index, "after", number), f"'{name}' {what}", hint)  # fmt: skip
            before.append(check.id)
