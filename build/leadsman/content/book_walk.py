"""The whole book as one structure: entries lead to entries, and what one has asked the next need not ask again.

A step is an entry and one of its nodes. An answer that leads to another entry goes on at its first check, or at
the one that the outcome names under ``at``. The proofs take every answer as possible, CAN'T included, and every
entry as a start, so that no walk can come back to a step where it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from leadsman.compute.diagnosis.rings import cyclic_nodes
from leadsman.content.decision import ENTRY_PREFIX, Decision, ResolvedCheck

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


class Onward(NamedTuple):
    """Where an answer leads to another entry: which, at which check (none: its first), and what is known there."""

    entry: str
    at: str | None
    known: Mapping[str, str]


class EntryWalk(NamedTuple):
    """What the walk through the book sees of one entry, as plain data.

    Each check has what it asks and its answers; a finding asks nothing. An answer leads to a node of the entry, to
    another entry, or (an empty word) to nothing that is there.
    """

    start: str
    checks: Mapping[str, tuple[str, Mapping[str, str | Onward]]]
    findings: Mapping[str, Mapping[str, str]]

    def links(self, node: str) -> Mapping[str, str | Onward]:
        """The answers at a node, and where each leads."""
        return self.checks[node][1] if node in self.checks else self.findings.get(node, {})

    def crossings(self) -> Iterator[tuple[str, str, Onward]]:
        """The answers that lead to another entry: the check, the answer, where to."""
        for node, (_, answers) in self.checks.items():
            for answer, target in answers.items():
                if isinstance(target, Onward):
                    yield node, answer, target

    def as_data(self) -> list[object]:
        """As a store keeps it."""
        return [self.start, self.checks, self.findings]

    @classmethod
    def from_data(cls, data: list[Any]) -> EntryWalk:
        """As it was kept."""
        start, checks, findings = data
        read = {
            node: (asks, {a: to if isinstance(to, str) else Onward(*to) for a, to in answers.items()})
            for node, (asks, answers) in checks.items()
        }
        return cls(start, read, findings)


def walk_of(decision: Decision) -> EntryWalk:
    """What the walk through the book sees of an entry."""
    there = decision.structure.by_id

    def leads(check: ResolvedCheck, answer: str, target: str) -> str | Onward:
        outcome = check.outcomes[answer]
        if outcome.to_entry is not None:
            return Onward(outcome.to_entry, outcome.at, outcome.known)
        return target if target in there else ""

    return EntryWalk(
        decision.start,
        {
            name: (
                _question(check),
                {answer: leads(check, answer, target) for answer, target in decision.links(name).items()},
            )
            for name, check in decision.checks.items()
        },
        {
            name: {
                answer: target if target in there else "" for answer, target in decision.links(name).items()
            }
            for name in decision.findings
            if name not in decision.checks
        },
    )


@dataclass
class BookWalk:
    """All entries with the links between them; of entries that are not at hand, ``walks`` says what counts."""

    decisions: Mapping[str, Decision]
    walks: Mapping[str, EntryWalk] = field(default_factory=dict)
    exits: dict[Step, dict[str, Step]] = field(init=False, default_factory=dict)
    _asked: dict[str, dict[str, dict[str, frozenset[str]]]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.walks = self.walks or {name: walk_of(decision) for name, decision in self.decisions.items()}
        for name, walk in self.walks.items():
            for node in (*walk.checks, *walk.findings):
                self.exits[name, node] = dict(self._exits(name, walk.links(node)))

    def _exits(self, name: str, links: Mapping[str, str | Onward]) -> Iterator[tuple[str, Step]]:
        for answer, target in links.items():
            if isinstance(target, Onward):
                if (landing := self.landing(target)) is not None:
                    yield answer, landing
            elif target:
                yield answer, (name, target)

    def landing(self, onward: Onward) -> Step | None:
        """The step of the other entry at which an answer goes on; ``None`` where it does not exist."""
        other = self.walks.get(onward.entry)
        if other is None or (onward.at is not None and onward.at not in other.checks):
            return None
        return onward.entry, onward.at or other.start

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
        waiting: list[_State] = [((name, walk.start), frozenset()) for name, walk in self.walks.items()]
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
        links, is_check, given = self.walks[name].links(node), node in self.walks[name].checks, dict(known)
        for answer, target in self.exits.get((name, node), {}).items():
            if not is_check:
                yield answer, (target, frozenset())
            elif given.get(node, answer) == answer:
                onward = links[answer]
                yield (
                    answer,
                    (target, frozenset(onward.known.items()) if isinstance(onward, Onward) else known),
                )

    def asked(self, crossing: Crossing) -> dict[str, frozenset[str]]:
        """What every way through the source entry has asked before it crosses, and the answers it can have had.

        An answer CAN'T counts as one: who could not measure there cannot here. A remedy on the way makes what was
        asked before it a new question, so it counts no more.
        """
        name, last = crossing.source
        if name not in self._asked:
            self._asked[name] = self._asked_in(name)
        return _after(self.walks[name], last, crossing.answer, self._asked[name].get(last, {}))

    def _asked_in(self, name: str) -> dict[str, dict[str, frozenset[str]]]:
        """The same before each node of an entry."""
        walk = self.walks[name]
        found: dict[str, dict[str, frozenset[str]]] = {walk.start: {}}
        for node in _in_order(walk):
            if node not in found:
                continue
            for answer, (entry, target) in self.exits.get((name, node), {}).items():
                if entry != name:
                    continue
                known = _after(walk, node, answer, found[node])
                found[target] = _both(found[target], known) if target in found else known
        return found

    def should_land(self, crossing: Crossing) -> str | None:
        """The later step at which a crossing should go on, since what stands before it was asked already."""
        known, (name, node) = self.asked(crossing), crossing.target
        walk = self.walks[name]
        while node in walk.checks and (question := walk.checks[node][0]) in known:
            links = walk.links(node)
            led = [links[a] for a in known[question] if a in links]
            targets = {f"{ENTRY_PREFIX}{to.entry}" if isinstance(to, Onward) else to for to in led}
            if len(targets) != 1 or (target := targets.pop()) not in walk.checks:
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


def _in_order(walk: EntryWalk) -> list[str]:
    """The nodes of an entry so that each comes before those to which it leads."""
    done: dict[str, None] = {}

    def visit(node: str) -> None:
        for target in walk.links(node).values():
            if isinstance(target, str) and target and target not in done:
                visit(target)
        done[node] = None

    visit(walk.start)
    return list(reversed(done))


def _after(
    walk: EntryWalk, node: str, answer: str, known: Mapping[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    if node not in walk.checks:
        return {q: a for q, a in known.items() if q.startswith(_HISTORY)}
    return {**known, walk.checks[node][0]: frozenset({answer})}


#: What no remedy changes.
_HISTORY = "ask-history"


def _both(
    one: Mapping[str, frozenset[str]], other: Mapping[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    return {question: one[question] | other[question] for question in one if question in other}
