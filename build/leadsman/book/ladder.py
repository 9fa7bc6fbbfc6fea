"""An entry as text for a terminal: the card's own words as a ladder of steps, and a search question by question."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from leadsman.book.passages import Words
from leadsman.book.views import Answer, EntryView, FixView, HandOverView, StepView, view_entry
from leadsman.compute.diagnosis.structure import Kind
from leadsman.content.decision import NOT_PROVED, Decision
from leadsman.content.inquiry import Inquiry

#: A narrower terminal is treated as this wide.
LEAST_WIDTH = 40
#: Suspects that a line of the search names.
_MOST_SUSPECTS = 5


class Ladder:
    """The printed words of one entry, wrapped to a width.

    Parameters
    ----------
    decision
        The entry.
    words
        Turns prose into printed words, numbers computed.
    width
        Columns of the terminal.
    """

    def __init__(self, decision: Decision, words: Words, width: int = 80) -> None:
        self.decision, self.words, self.width = decision, words, max(width, LEAST_WIDTH)
        self.view: EntryView = view_entry(decision)
        self._steps = {step.id: step for step in self.view.steps}
        self._fixes = {fix.id: fix for fix in self.view.fixes}
        self._ends = {end.id: end for end in self.view.hand_overs}

    def whole(self) -> list[str]:
        """The whole entry: what is seen, every step with its answers, every end."""
        entry = self.view.entry
        lines = [
            *self._wrap(f"{entry.code:<3} {self.words.text(entry.title)}", "", "    "),
            *self._wrap(self.words.text(entry.condition.seen), "    "),
        ]
        for step in self.view.steps:
            lines += ["", *self.step(step.id)]
        for fix in self.view.fixes:
            lines += ["", *self.fix(fix.id)]
        for end in self.view.hand_overs:
            lines += ["", *self.hand_over(end.id)]
        return lines

    def step(self, name: str) -> list[str]:
        """One step: cautions, action, question, and where each answer leads."""
        step = self._steps[name]
        lines = [
            line
            for caution in step.cautions
            for line in self._wrap(f"{caution[1].signal}: {self.words.text(caution[1].short)}", "    ")
        ]
        head = f"{step.number:>2}  {self.words.text(step.check.body.do)}"
        lines += self._wrap(head, "", "    ")
        lines += self._wrap(self.words.text(step.check.body.see), "    ")
        return [*lines, *self._answers(step)]

    def fix(self, name: str) -> list[str]:
        """One finding: what it was, the remedy, the proof, and where a failed proof leads."""
        fix: FixView = self._fixes[name]
        lines = self._wrap(f"{fix.letter:>2}  {self.words.text(fix.finding.says)}", "", "    ")
        for remedy in fix.finding.remedy:
            lines += self._wrap(f"- {self.words.text(remedy)}", "    ", "      ")
        lines += self._wrap(f"Proof: {self.words.text(fix.finding.proof)}", "    ")
        return [*lines, *self._wrap(f"not proved > {fix.not_proved.number}", "      ")]

    def hand_over(self, name: str) -> list[str]:
        """One hand-over: to whom, and what to record."""
        end: HandOverView = self._ends[name]
        lines = self._wrap(
            f"{end.letter:>2}  {self.words.text(end.hand_over.says)}. To: {self.words.text(end.hand_over.to)}.",
            "",
            "    ",
        )
        for item in end.evidence:
            lines += self._wrap(f"- {item}", "    ", "      ")
        return lines

    def _answers(self, step: StepView) -> Iterator[str]:
        # Answers that lead to one place stand in one line.
        by_target: dict[str, list[Answer]] = {}
        for answer in step.answers:
            by_target.setdefault(
                answer.target.number + (f": {self.words.text(answer.means)}" if answer.means else ""), []
            ).append(answer)
        for target, answers in by_target.items():
            yield from self._wrap(f"{' / '.join(a.label for a in answers)} > {target}", "      ", "        ")

    def _wrap(self, text: str, first: str, rest: str | None = None) -> list[str]:
        return textwrap.wrap(text, self.width, initial_indent=first, subsequent_indent=first if rest is None else rest,
                             break_on_hyphens=False) or [first]  # fmt: skip

    def answers(self, name: str) -> dict[str, str]:
        """The answers that are possible at a node, each with its printed label; none at an end."""
        if name in self._steps:
            return {answer.key: answer.label for answer in self._steps[name].answers}
        return {"proved": "PROVED", NOT_PROVED: "NOT PROVED"} if name in self._fixes else {}

    # --- a search under way ---------------------------------------------------------------------

    def situation(self, inquiry: Inquiry) -> list[str]:
        """What a search has come to: the next question or the end, what is still suspect, and what is left to do."""
        lines = []
        if inquiry.kind is Kind.CHECK:
            lines += self.step(inquiry.node)
        elif inquiry.kind is Kind.FINDING:
            lines += self.fix(inquiry.node)
        elif inquiry.kind is Kind.HAND_OVER:
            lines += [*self.hand_over(inquiry.node), *self._undone(inquiry)]
        else:
            other = self.decision.catalogue.faults[inquiry.node.removeprefix("entry:")]
            lines += self._wrap(f"Go on with {other.code} {self.words.text(other.title)}.", "    ")
        return [*lines, "", *self._state(inquiry)]

    def _undone(self, inquiry: Inquiry) -> list[str]:
        lines: list[str] = []
        for name in inquiry.not_done:
            body = self.decision.checks[name].body
            lines += self._wrap(f"- not done: {self.words.text(body.do)}", "    ", "      ")
        return lines

    def _state(self, inquiry: Inquiry) -> list[str]:
        suspects = inquiry.suspects
        if not suspects:
            told = "Suspect: none of the causes of this entry fits these answers."
        else:
            named = [
                f"{self.words.text(self.decision.causes[s.cause].name)} {s.likelihood:.0%}"
                for s in suspects[:_MOST_SUSPECTS]
            ]
            more = f", {len(suspects) - _MOST_SUSPECTS} more" if len(suspects) > _MOST_SUSPECTS else ""
            told = f"Suspect: {', '.join(named)}{more}."
        minutes = f"Spent {inquiry.minutes_done:.0f} min"
        if inquiry.kind is Kind.CHECK and suspects:
            minutes += f", {inquiry.minutes_left:.0f} min to go on average"
        return [*self._wrap(told, ""), minutes + "."]


def answer_named(check_answers: Mapping[str, str], typed: str) -> str | None:
    """The answer that was typed: its key, its printed label, or an unmistakable beginning of either.

    Parameters
    ----------
    check_answers
        Label of each answer by its key.
    typed
        What was typed.

    Examples
    --------
    >>> answers = {"yes": "YES", "no": "NO", "cannot": "CAN'T", "not-back": "GONE, NOT BACK", "off": "WAS OFF"}
    >>> [answer_named(answers, typed) for typed in ("y", "can't", "gone", "n", "o", "")]
    ['yes', 'cannot', 'not-back', None, 'off', None]
    """
    wanted = " ".join(typed.casefold().split())
    if not wanted:
        return None
    for key, label in check_answers.items():
        if wanted in (key, label.casefold()):
            return key
    near = {
        key
        for key, label in check_answers.items()
        if key.startswith(wanted) or label.casefold().startswith(wanted)
    }
    return near.pop() if len(near) == 1 else None
