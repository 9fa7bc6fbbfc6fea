"""The whole book as one structure: entries lead to entries, and what one has asked the next need not ask again.

A step is an entry and one of its nodes. An answer that leads to another entry goes on at its first check, or at
the one that the outcome names under ``at``. The proofs take every answer as possible, CAN'T included, and every
entry as a start, so that no walk can come back to a step where it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from leadsman.compute.diagnosis.rings import cyclic_nodes
from leadsman.content.decision import Decision, ResolvedCheck
from leadsman.content.model.fault import Outcome

Step = tuple[str, str]
"""An entry and a node of it: a check, a finding or a hand-over."""
_State = tuple[Step, frozenset[tuple[str, str]]]
"""A step with the answers that are known there, as check and answer."""


@dataclass(frozen=True)
class Crossing:
    """An answer that leads to another entry, and the step at which the walk goes on there."""

    source: Step
    answer: str
    target: Step


@dataclass
class BookWalk:
    """All entries with the links between them."""

    decisions: Mapping[str, Decision]
    exits: dict[Step, dict[str, Step]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        for name, decision in self.decisions.items():
            for node in (*decision.checks, *decision.findings, *decision.hand_overs):
                self.exits[name, node] = dict(self._exits(decision, node))

    def _exits(self, decision: Decision, node: str) -> Iterator[tuple[str, Step]]:
        check = decision.checks.get(node)
        for answer, target in decision.links(node).items():
            if check is not None and check.outcomes[answer].to_entry is not None:
                landing = self.landing(check.outcomes[answer])
                if landing is not None:
                    yield answer, landing
            elif target in decision.structure.by_id:
                yield answer, (decision.entry.id, target)

    def landing(self, outcome: Outcome) -> Step | None:
        """The step of the other entry at which an outcome goes on; ``None`` where it does not exist."""
        other = self.decisions.get(outcome.to_entry or "")
        if other is None or (outcome.at is not None and outcome.at not in other.checks):
            return None
        return other.entry.id, outcome.at or other.start

    def crossings(self) -> Iterator[Crossing]:
        """Every answer that leads from one entry to another."""
        for source, ways in self.exits.items():
            for answer, target in ways.items():
                if target[0] != source[0]:
                    yield Crossing(source, answer, target)

    def loops(self) -> list[Crossing]:
        """The crossings on a way that comes back to a state where it was; none when the book has no loop.

        A state is a step with what the last crossing said is known; a remedy makes that a question again.
        """
        states: dict[_State, list[tuple[str, _State]]] = {}
        waiting: list[_State] = [((name, d.start), frozenset()) for name, d in self.decisions.items()]
        while waiting:
            state = waiting.pop()
            if state not in states:
                states[state] = list(self._onward(state))
                waiting += [after for _, after in states[state]]
        rings = cyclic_nodes({state: [after for _, after in ways] for state, ways in states.items()})
        found = {
            Crossing(state[0], answer, after[0]): None
            for state, ways in states.items()
            for answer, after in ways
            if after[0][0] != state[0][0] and state in rings and rings[state] == rings.get(after)
        }
        return sorted(found, key=lambda c: (c.source, c.answer))

    def _onward(self, state: _State) -> Iterator[tuple[str, _State]]:
        (name, node), known = state
        decision = self.decisions[name]
        check, given = decision.checks.get(node), dict(known)
        for answer, target in self.exits.get((name, node), {}).items():
            if check is None:
                yield answer, (target, frozenset())
            elif given.get(node, answer) == answer:
                outcome = check.outcomes[answer]
                crosses = outcome.to_entry is not None
                yield answer, (target, frozenset(outcome.known.items()) if crosses else known)

    def asked(self, crossing: Crossing) -> dict[str, frozenset[str]]:
        """What every way through the source entry has asked before it crosses, and the answers it can have had.

        An answer CAN'T counts as one: who could not measure there cannot here. A remedy on the way makes what was
        asked before it a new question, so it counts no more.
        """
        name, last = crossing.source
        decision = self.decisions[name]
        found: dict[str, dict[str, frozenset[str]]] = {decision.start: {}}
        for node in _in_order(decision):
            if node not in found:
                continue
            for answer, (entry, target) in self.exits.get((name, node), {}).items():
                if entry != name:
                    continue
                known = _after(decision, node, answer, found[node])
                found[target] = _both(found[target], known) if target in found else known
        return _after(decision, last, crossing.answer, found.get(last, {}))

    def should_land(self, crossing: Crossing) -> str | None:
        """The later step at which a crossing should go on, since what stands before it was asked already."""
        known, (name, node) = self.asked(crossing), crossing.target
        decision = self.decisions[name]
        while (check := decision.checks.get(node)) is not None and (question := _question(check)) in known:
            links = decision.links(node)
            targets = {links[a] for a in known[question] if a in links}
            if len(targets) != 1 or (target := targets.pop()) not in decision.checks:
                break
            node = target
        return node if node != crossing.target[1] else None

    def follow(self, start: str, answer: Callable[[ResolvedCheck], str]) -> list[tuple[Step, str]]:
        """Follow the printed answers through the book, taking an answer that was given before as it stands.

        Returns every step with its answer; of an end, the answer is empty.
        """
        walked: list[tuple[Step, str]] = []
        given: dict[str, str] = {}
        step = (start, self.decisions[start].start)
        while (check := self.decisions[step[0]].checks.get(step[1])) is not None:
            question = _question(check)
            said = given.get(question, answer(check))
            said = said if said in check.outcomes else answer(check)
            given[question] = said
            walked.append((step, said))
            step = self.exits[step][said]
        return [*walked, (step, "")]


def _question(check: ResolvedCheck) -> str:
    """What is asked, whatever the entry calls it: the shared check and the state."""
    if check.shared is None or check.shared.own_question:
        return f"{check.body.do} {check.body.see}"
    return f"{check.shared.id} / {check.body.state}"


def _in_order(decision: Decision) -> list[str]:
    """The nodes of an entry so that each comes before those to which it leads."""
    done: dict[str, None] = {}

    def visit(node: str) -> None:
        for target in decision.links(node).values():
            if target in decision.structure.by_id and target not in done:
                visit(target)
        done[node] = None

    visit(decision.start)
    return list(reversed(done))


def _after(
    decision: Decision, node: str, answer: str, known: Mapping[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    check = decision.checks.get(node)
    if check is None:
        return {q: a for q, a in known.items() if q.startswith(_HISTORY)}
    return {**known, _question(check): frozenset({answer})}


#: What no remedy changes.
_HISTORY = "ask-history"


def _both(
    one: Mapping[str, frozenset[str]], other: Mapping[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    return {question: one[question] | other[question] for question in one if question in other}
