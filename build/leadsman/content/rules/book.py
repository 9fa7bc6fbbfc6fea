"""The whole book has no loop, and an entry does not ask again what the one before it has asked."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.book_walk import Crossing
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem


@rule("go-on-at", "An answer that leads to another entry goes on at a check that is there.", scope="book")
def go_on_at(context: Context) -> Iterator[Problem]:
    """The step named under ``at``."""
    walks = context.walk.walks
    for name, walk in walks.items():
        for check, answer, onward in walk.crossings():
            other = walks.get(onward.entry)
            if other is None:
                continue
            if onward.at is not None and onward.at not in other.checks:
                yield _at(context, name, check, answer, "at", f"'{onward.at}' is no check of '{onward.entry}'",
                          f"its checks: {', '.join(other.checks)}")  # fmt: skip
            for known, said in onward.known.items():
                if known not in other.checks or said not in other.checks[known][1]:
                    yield _at(context, name, check, answer, "known", f"'{known}: {said}' is no answer of '{onward.entry}'",
                              "name a check there and one of its answers")  # fmt: skip


def _at(context: Context, name: str, check: str, answer: str, field: str, what: str, hint: str) -> Problem:
    decision = context.decision(name)
    place = context.check_place(decision, check, "outcomes", answer, field)
    return context.entry_problem(decision, place, what, hint)


@rule(
    "book-loop",
    "Following the printed answers from any entry never comes back to a step where the walk was.",
    scope="book",
)
def book_loop(context: Context) -> Iterator[Problem]:
    """The proof over all entries at once, every answer taken as possible."""
    for crossing in context.walk.loops():
        yield _problem(context, crossing, f"leads back to '{crossing.target[0]}', from where a way comes here again",
                       "go on at a later check there by 'at', or lead to an end")  # fmt: skip


@rule("asked-again", "What one entry has asked, the next one does not ask again.", scope="book")
def asked_again(context: Context) -> Iterator[Problem]:
    """The first steps after a crossing that every way to it has been through."""
    for crossing in context.walk.crossings():
        later = context.walk.should_land(crossing)
        if later is not None:
            yield _problem(context, crossing, f"asks '{crossing.target[1]}' of '{crossing.target[0]}' again",
                           f"write 'at: {later}'")  # fmt: skip


def _problem(context: Context, crossing: Crossing, what: str, hint: str) -> Problem:
    decision = context.decision(crossing.source[0])
    place: Location = context.check_place(decision, crossing.source[1], "outcomes", crossing.answer)
    return context.entry_problem(decision, place, what, hint)
