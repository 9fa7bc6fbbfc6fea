"""The whole book has no loop, and an entry does not ask again what the one before it has asked."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.book_walk import BookWalk, Crossing
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem


@rule("go-on-at", "An answer that leads to another entry goes on at a check that is there.")
def go_on_at(context: Context) -> Iterator[Problem]:
    """The step named under ``at``."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            for answer, outcome in check.outcomes.items():
                other = context.decisions.get(outcome.to_entry or "")
                if other is None:
                    continue
                place = context.check_place(decision, check.id, "outcomes", answer)
                if outcome.at is not None and outcome.at not in other.checks:
                    yield context.entry_problem(decision, (*place, "at"), f"'{outcome.at}' is no check of '{other.entry.id}'",
                                                f"its checks: {', '.join(other.checks)}")  # fmt: skip
                for name, said in outcome.known.items():
                    if name not in other.checks or said not in other.checks[name].outcomes:
                        yield context.entry_problem(decision, (*place, "known"), f"'{name}: {said}' is no answer of '{other.entry.id}'",
                                                    "name a check there and one of its answers")  # fmt: skip


@rule(
    "book-loop", "Following the printed answers from any entry never comes back to a step where the walk was."
)
def book_loop(context: Context) -> Iterator[Problem]:
    """The proof over all entries at once, every answer taken as possible."""
    walk = BookWalk(context.decisions)
    for crossing in walk.loops():
        yield _problem(context, crossing, f"leads back to '{crossing.target[0]}', from where a way comes here again",
                       "go on at a later check there by 'at', or lead to an end")  # fmt: skip


@rule("asked-again", "What one entry has asked, the next one does not ask again.")
def asked_again(context: Context) -> Iterator[Problem]:
    """The first steps after a crossing that every way to it has been through."""
    walk = BookWalk(context.decisions)
    for crossing in walk.crossings():
        later = walk.should_land(crossing)
        if later is not None:
            yield _problem(context, crossing, f"asks '{crossing.target[1]}' of '{crossing.target[0]}' again",
                           f"write 'at: {later}'")  # fmt: skip


def _problem(context: Context, crossing: Crossing, what: str, hint: str) -> Problem:
    decision = context.decisions[crossing.source[0]]
    place: Location = context.check_place(decision, crossing.source[1], "outcomes", crossing.answer)
    return context.entry_problem(decision, place, what, hint)
