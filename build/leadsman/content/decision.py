"""See a fault entry as a decision structure: resolve its checks, list its links, and walk it.

Links lead from an outcome or a finding to a check, a finding, a hand-over or another entry. A walk
follows given answers, or a single assumed cause; :func:`paths` lists every way through.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

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
#: How an answer is printed where the writer gives no label.
LABELS = {
    "yes": "YES", "no": "NO", CANNOT: "CAN'T", "returns": "GONE, BACK", "not-back": "GONE, NOT BACK", "same": "SAME",
    "in-service": "Worked before", "new-fitting": "Never worked", "after-lay-up": "After lay-up or paint",
    "after-update": "After an update", "after-impact": "After a knock",
}  # fmt: skip

NodeKind = Literal["check", "finding", "hand-over", "entry"]


@dataclass(frozen=True)
class Node:
    """A place in the structure: a check, finding or hand-over of the entry, or another entry."""

    kind: NodeKind
    id: str


@dataclass(frozen=True)
class ResolvedCheck:
    """A check of an entry with everything in it: the shared body, the entry's parameters and changes."""

    source: Check
    body: CheckBody
    shared: SharedCheck | None

    @property
    def id(self) -> str:
        return self.source.id

    @property
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
        return next((a for a, o in self.outcomes.items() if a != CANNOT and o.shows is None), None)

    def answer_for(self, cause: str) -> str | None:
        """The answer that is seen when this cause, alone, is present."""
        for answer, outcome in self.outcomes.items():
            if answer != CANNOT and outcome.shows is not None and cause in outcome.shows:
                return answer
        return self.default_answer()


def label(answer: str, outcome: Outcome) -> str:
    """How an answer is printed."""
    return str(outcome.label or LABELS.get(answer, answer.replace("-", " ").upper()))


def fill(text: Prose, given: Mapping[str, str]) -> Prose:
    """A shared check's text with the entry's parameters put in (unknown ones stay, and a rule reports them)."""
    filled = prose.replace(
        text,
        lambda r: given.get(r.what, f"{{given: {r.what}}}") if r.kind == "given" else f"{{{r.kind}: {r.what}}}",
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
    for name in ("do", "see", "note"):
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

    @property
    def start(self) -> Node:
        return Node("check", self.entry.checks[0].id)

    @property
    def last_resort(self) -> Node:
        """Where an unproved finding leads when it names nothing: the first hand-over."""
        return Node("hand-over", self.entry.hand_overs[0].id)

    def node(self, target: str) -> Node | None:
        """The node of an id of this entry."""
        if target in self.checks:
            return Node("check", target)
        if target in self.findings:
            return Node("finding", target)
        if target in self.hand_overs:
            return Node("hand-over", target)
        return None

    def target(self, outcome: Outcome) -> Node | None:
        """Where an outcome leads; ``None`` for an id that does not exist."""
        return Node("entry", outcome.to_entry) if outcome.to_entry else self.node(outcome.then or "")

    def after_failed_proof(self, finding: Finding) -> Node | None:
        """Where the search goes on when a remedy does not prove."""
        return self.node(finding.unproved) if finding.unproved else self.last_resort

    def links(self, node: Node) -> Iterator[tuple[str, Node]]:
        """The answers of a node and where each leads (dangling ones left out)."""
        if node.kind == "check":
            for answer, outcome in self.checks[node.id].outcomes.items():
                if (target := self.target(outcome)) is not None:
                    yield answer, target
        elif node.kind == "finding" and (target := self.after_failed_proof(self.findings[node.id])) is not None:
            yield "not proved", target

    def graph(self) -> dict[Node, list[Node]]:
        """Every node of the entry with the nodes that follow it."""
        nodes = [*(Node("check", i) for i in self.checks), *(Node("finding", i) for i in self.findings),
                 *(Node("hand-over", i) for i in self.hand_overs)]  # fmt: skip
        graph = {node: [target for _, target in self.links(node)] for node in nodes}
        for targets in list(graph.values()):
            for target in targets:
                graph.setdefault(target, [])
        return graph


@dataclass(frozen=True)
class Stage:
    """One node of a walk with the answer given there (empty at an end)."""

    node: Node
    answer: str


@dataclass(frozen=True)
class Walk:
    """One way through an entry."""

    stages: tuple[Stage, ...]
    minutes: float
    complete: bool = True

    @property
    def end(self) -> Node:
        return self.stages[-1].node

    @property
    def checks(self) -> list[str]:
        return [stage.node.id for stage in self.stages if stage.node.kind == "check"]


def walk_minutes(decision: Decision, stages: list[Stage] | tuple[Stage, ...]) -> float:
    """Minutes spent on a walk: each check, each remedy, and each place opened once."""
    total, opened = 0.0, set()
    for stage in stages:
        if stage.node.kind == "check" and stage.answer != CANNOT:
            body = decision.checks[stage.node.id].body
            total += body.minutes
            if body.access not in opened:
                opened.add(body.access)
                access = decision.catalogue.records["access"].get(body.access)
                total += access.setup_minutes if access else 0.0
    return total


def walk_cause(decision: Decision, cause: str, history: str = HISTORIES[0]) -> Walk:
    """Follow the card literally with one cause present: to the finding that names it, or to another end.

    A finding that does not name the cause is a wrong turn: its proof fails and the walk goes on from there.
    """
    stages: list[Stage] = []
    node: Node | None = decision.start
    seen: set[Node] = set()
    while node is not None and node not in seen:
        seen.add(node)
        if node.kind == "check":
            check = decision.checks[node.id]
            answer = history if history in check.outcomes else check.answer_for(cause)
            if answer is None:
                return Walk((*stages, Stage(node, "")), walk_minutes(decision, stages), complete=False)
            stages.append(Stage(node, answer))
            node = decision.target(check.outcomes[answer])
        elif node.kind == "finding" and cause not in decision.findings[node.id].causes:
            stages.append(Stage(node, "not proved"))
            node = decision.after_failed_proof(decision.findings[node.id])
        else:
            stages.append(Stage(node, ""))
            return Walk(tuple(stages), walk_minutes(decision, stages))
    return Walk(tuple(stages), walk_minutes(decision, stages), complete=False)


def walk_answers(decision: Decision, answers: Mapping[str, str]) -> Walk:
    """Follow given answers (check id to answer), ending where no answer is given."""
    stages: list[Stage] = []
    node: Node | None = decision.start
    seen: set[Node] = set()
    while node is not None and node not in seen:
        seen.add(node)
        links = dict(decision.links(node))
        answer = answers.get(node.id, "")
        if answer not in links:
            stages.append(Stage(node, ""))
            break
        stages.append(Stage(node, answer))
        node = links[answer]
    return Walk(tuple(stages), walk_minutes(decision, stages), complete=node is None or not dict(decision.links(node)))


def paths(decision: Decision, limit: int = 100_000) -> Iterator[Walk]:
    """Every way through the entry, depth first, including the ways on from a remedy that did not prove."""
    count = 0
    stack: list[tuple[Node, tuple[Stage, ...]]] = [(decision.start, ())]
    while stack and count < limit:
        node, stages = stack.pop()
        links = list(decision.links(node))
        if node.kind == "finding" or not links:
            count += 1
            yield Walk((*stages, Stage(node, "")), walk_minutes(decision, stages))
        if any(stage.node == node for stage in stages):
            continue
        stack += [(target, (*stages, Stage(node, answer))) for answer, target in reversed(links)]


def path_count(decision: Decision) -> int:
    """How many ways through there are, counted without listing them (0 when the structure loops)."""
    counts: dict[Node, int] = {}
    open_nodes: set[Node] = set()

    def count(node: Node) -> int:
        if node in counts:
            return counts[node]
        if node in open_nodes:
            raise _Loop
        open_nodes.add(node)
        links = [target for _, target in decision.links(node)]
        counts[node] = sum(count(t) for t in links) + (node.kind == "finding" or not links)
        open_nodes.discard(node)
        return counts[node]

    try:
        return count(decision.start)
    except _Loop:
        return 0


class _Loop(Exception):
    """The structure loops."""
