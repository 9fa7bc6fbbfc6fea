"""See a fault entry as a decision structure: resolve its checks, list its links, and follow it.

The proofs and the enumeration of paths are ``leadsman.compute.diagnosis.structure`` and ``leadsman.compute.diagnosis.walk``;
here an entry becomes such a structure, and is followed by given answers or under one assumed cause.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from leadsman.compute.diagnosis.structure import Edge, Flaw, FlawKind, Kind, Node, Structure, flaws
from leadsman.compute.diagnosis.walk import Path, Step
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.base import Prose
from leadsman.content.model.fault import (
    HISTORIES,
    Cause,
    Check,
    CheckBody,
    FaultEntry,
    Finding,
    HandOver,
    Outcome,
    SharedCheck,
)

CANNOT = "cannot"
#: The answers of a swap made A-B-A: gone and back, gone but not back, the same.
SWAP_ANSWERS = ("returns", "not-back", "same", CANNOT)
#: What follows a finding whose proof fails.
NOT_PROVED = "not proved"
#: Marks a node that is another entry, since the names of an entry's own nodes are its own.
ENTRY_PREFIX = "entry:"


@dataclass(frozen=True)
class ResolvedCheck:
    """A check of an entry with everything in it: the shared body, the entry's parameters and changes."""

    source: Check
    body: CheckBody
    shared: SharedCheck | None

    @property
    def id(self) -> str:
        return self.source.id

    @cached_property
    def outcomes(self) -> Mapping[str, Outcome]:
        return self.source.outcomes

    @property
    def observation(self) -> tuple[str, str, tuple[tuple[str, str], ...]]:
        """What is observed in which state: two checks with the same observation are the same check."""
        name = self.shared.id if self.shared else f"own:{self.body.do}"
        return name, self.body.state, tuple(sorted((k, str(v)) for k, v in self.source.given.items()))

    @property
    def supply_step(self) -> str | None:
        """The rung of the supply ladder, P0 to P5, when this is one."""
        return self.shared.supply_step if self.shared else None

    def default_answer(self) -> str | None:
        """The answer seen under every cause that no other answer lists."""
        return self._default

    @cached_property
    def _default(self) -> str | None:
        return next((a for a, o in self.outcomes.items() if a != CANNOT and o.shows is None), None)

    @cached_property
    def _shown(self) -> dict[str, str]:
        """The first answer that lists each cause."""
        found: dict[str, str] = {}
        for answer, outcome in self.outcomes.items():
            if answer != CANNOT:
                for cause in outcome.shows or ():
                    found.setdefault(cause, answer)
        return found

    def answer_for(self, cause: str) -> str | None:
        """The answer that is seen when this cause, alone, is present."""
        return self._shown.get(cause, self._default)

    def answer_under(self, cause: str, history: str) -> str | None:
        """The same after a history, which the question for it is answered with."""
        return history if history in self.outcomes else self.answer_for(cause)


def label(answer: str, outcome: Outcome, catalogue: Catalogue) -> str:
    """How an answer is printed: as its writer labels it, else in the words of the frame."""
    word = catalogue.phrases().answers.get(answer)
    return str(outcome.label or word or answer.replace("-", " ").upper())


def fill(text: Prose, given: Mapping[str, str]) -> Prose:
    """A shared check's text with the entry's parameters put in (unknown ones stay, and a rule reports them)."""
    filled = prose.replace(
        text,
        lambda r: (
            given.get(r.what, f"{{given: {r.what}}}") if r.kind == "given" else f"{{{r.kind}: {r.what}}}"
        ),
    )
    return type(text)(filled)


def resolve(check: Check, catalogue: Catalogue) -> ResolvedCheck | None:
    """The check with its shared body filled in; ``None`` when it uses one that does not exist."""
    shared = catalogue.checks.get(check.use) if check.use else None
    base: CheckBody | None = shared or check.body
    if base is None:
        return None
    given = {**(shared.parameters if shared else {}), **check.given}
    changes = {
        name: getattr(check, name)
        for name in ("minutes", "owner_safe", "tests", "state", "note")
        if getattr(check, name) is not None
    }
    fields = {name: getattr(base, name) for name in CheckBody.model_fields}
    fields |= changes
    fields["cautions"] = [*base.cautions, *(c for c in check.cautions if c not in base.cautions)]
    for name in ("do", "see", "note", "say"):
        if isinstance(fields[name], Prose):
            fields[name] = fill(fields[name], given)
    fields["how"] = [fill(step, given) for step in base.how]
    return ResolvedCheck(check, CheckBody.model_construct(**fields), shared)


@dataclass
class Decision:
    """One entry as a structure of linked nodes."""

    entry: FaultEntry
    catalogue: Catalogue
    checks: dict[str, ResolvedCheck] = field(default_factory=dict)
    _followed: dict[tuple[str, str], Path] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        for check in self.entry.checks:
            if (resolved := resolve(check, self.catalogue)) is not None:
                self.checks[check.id] = resolved

    @cached_property
    def findings(self) -> dict[str, Finding]:
        return {finding.id: finding for finding in self.entry.findings}

    @cached_property
    def hand_overs(self) -> dict[str, HandOver]:
        return {hand_over.id: hand_over for hand_over in self.entry.hand_overs}

    @cached_property
    def causes(self) -> dict[str, Cause]:
        return {cause.id: cause for cause in self.entry.causes}

    @cached_property
    def answers_under(self) -> dict[str, dict[str, str | None]]:
        """The answer of each check that is seen under each cause."""
        return {
            name: {cause: check.answer_for(cause) for cause in self.causes}
            for name, check in self.checks.items()
        }

    @property
    def start(self) -> str:
        return self.entry.checks[0].id

    def after_failed_proof(self, finding: Finding) -> str:
        """Where the search goes on when a remedy does not prove: as written, else the first hand-over."""
        return finding.unproved or self.entry.hand_overs[0].id

    def target(self, outcome: Outcome) -> str:
        """The node that an outcome leads to (which may not exist)."""
        return f"{ENTRY_PREFIX}{outcome.to_entry}" if outcome.to_entry else outcome.then or ""

    def links(self, node: str) -> dict[str, str]:
        """The answers at a node and the node that each leads to."""
        return self._links.get(node, {})

    @cached_property
    def _links(self) -> dict[str, dict[str, str]]:
        proved = {name: {NOT_PROVED: self.after_failed_proof(found)} for name, found in self.findings.items()}
        checks = {
            name: {answer: self.target(outcome) for answer, outcome in check.outcomes.items()}
            for name, check in self.checks.items()
        }
        return {**proved, **checks}

    @property
    def _led_to(self) -> set[str]:
        return {target for node in (*self.checks, *self.findings) for target in self.links(node).values()}

    @cached_property
    def structure(self) -> Structure:
        """The entry as the proofs see it."""
        # By the entry's own list: of two checks with one id, the proofs must see both.
        nodes = [self._check_node(self.checks[c.id]) for c in self.entry.checks if c.id in self.checks]
        nodes += [
            Node(f.id, Kind.FINDING, causes=frozenset(f.causes), minutes=f.minutes)
            for f in self.entry.findings
        ]
        # Where the search ends in another entry, the hand-over of this one serves a call, an owner's guide and the
        # record: no answer of the card need lead to it.
        nodes += [
            Node(h.id, Kind.HAND_OVER)
            for h in self.entry.hand_overs
            if h.id in self._led_to or not self.leads_on
        ]
        names = dict.fromkeys(node.id for node in nodes)
        edges = [Edge(n, target, answer) for n in names for answer, target in self.links(n).items()]
        others = dict.fromkeys(e.target for e in edges if e.target.startswith(ENTRY_PREFIX))
        nodes += [Node(target, Kind.ENTRY, causes=frozenset(self.taken_on(target))) for target in others]
        return Structure(self.start, tuple(nodes), tuple(edges), tuple(self.causes))

    @cached_property
    def flaws(self) -> tuple[Flaw, ...]:
        """What the proofs have against the entry; kept, since several rules ask and a decision does not change."""
        return flaws(self.structure)

    @property
    def leads_on(self) -> str | None:
        """The entry in which the search goes on, if it does: that is where CAN'T leads at the last check."""
        last = self.checks.get(self.entry.checks[-1].id)
        onward = last.outcomes.get(CANNOT) if last is not None else None
        return onward.to_entry if onward is not None else None

    @property
    def continued(self) -> Decision | None:
        """The card of the same area that is the second half of this one: its steps at the boat and its hand-over stand there."""
        onward = self.catalogue.faults.get(self.leads_on or "")
        if onward is None or onward.area != self.entry.area or self._led_to & set(self.hand_overs):
            return None
        return Decision(onward, self.catalogue)

    @property
    def ends(self) -> bool:
        """Whether a walk begins somewhere and goes round nowhere."""
        return not {FlawKind.LOOP, FlawKind.NO_START} & {flaw.kind for flaw in self.flaws}

    @property
    def sound(self) -> bool:
        """Whether every walk ends, and every answer leads to one node: what an order of the checks can be read from."""
        return self.ends and not {FlawKind.UNKNOWN_TARGET, FlawKind.DUPLICATE_NODE} & {
            f.kind for f in self.flaws
        }

    def taken_on(self, target: str) -> list[str]:
        """The causes of this entry that another entry goes on looking for: it has one in the same component."""
        other = self.catalogue.faults.get(target.removeprefix(ENTRY_PREFIX))
        parts = {cause.component for cause in other.causes} if other else set()
        return [cause.id for cause in self.entry.causes if cause.component in parts]

    def _check_node(self, check: ResolvedCheck) -> Node:
        body = check.body
        given = ", ".join(f"{name} {value}" for name, value in sorted(check.source.given.items()))
        name = f"{check.shared.id if check.shared else check.id}{f' ({given})' if given else ''}"
        # The set-up of a place counts once a walk, however many checks are made there.
        return Node(
            check.id, Kind.CHECK, name, body.state, minutes=body.minutes, setups=frozenset({body.access})
        )

    @cached_property
    def setup_minutes(self) -> dict[str, float]:
        """Minutes to open each place."""
        return {name: access.setup_minutes for name, access in self.catalogue.records["access"].items()}

    def minutes(self, path: Path) -> float:
        """Minutes spent on a path; what could not be done costs nothing."""
        done = Path(tuple(step for step in path.steps if step.outcome != CANNOT), path.ends)
        return done.minutes(self.setup_minutes)


def follow_cause(decision: Decision, cause: str, history: str = HISTORIES[0]) -> Path:
    """Follow the card literally with one cause present: to the finding that names it, or to another end.

    A finding that does not name the cause is a wrong turn: its proof fails and the walk goes on from there.
    The path does not end when it meets a loop, a missing node, or a check that says nothing under the cause.
    """

    def answer(node: str) -> str | None:
        if node in decision.checks:
            return decision.checks[node].answer_under(cause, history)
        if node in decision.findings and cause not in decision.findings[node].causes:
            return NOT_PROVED
        return None

    # Several rules ask for the same way, and a decision does not change.
    known = decision._followed
    if (cause, history) not in known:
        known[cause, history] = _follow(decision, answer)
    return known[cause, history]


def follow_answers(decision: Decision, answers: Mapping[str, str], start: str = "") -> Path:
    """Follow given answers (node id to answer) from a check, or from the first, stopping where none is given."""
    return _follow(decision, lambda node: answers.get(node), start)


def _follow(decision: Decision, answer: Callable[[str], str | None], start: str = "") -> Path:
    by_id, steps, node = decision.structure.by_id, list[Step](), start or decision.start
    seen: set[str] = set()
    while node in by_id and node not in seen:
        seen.add(node)
        given = answer(node)
        links = decision.links(node)
        if given is None or given not in links:
            steps.append(Step(by_id[node]))
            return Path(tuple(steps), ends=by_id[node].kind.may_end)
        steps.append(Step(by_id[node], given))
        node = links[given]
    return Path(tuple(steps), ends=False)
