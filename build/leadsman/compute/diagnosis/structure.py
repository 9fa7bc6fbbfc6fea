"""Proofs about a fault entry as a decision structure: a directed graph of checks, remedies and ends.

The functions are pure and know nothing of files or wording. :func:`flaws` proves what an entry must
keep (every path ends, no loop, everything reachable, no check repeated in vain) and returns one typed
:class:`Flaw` for each breach; ``leadsman.compute.diagnosis.walk`` enumerates the paths. None is a registered
formula, since the input is a graph, not numbers.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from graphlib import CycleError, TopologicalSorter


class Kind(StrEnum):
    """What a node of a decision structure is."""

    CHECK = "check"
    REMEDY = "remedy"
    FINDING = "finding"
    HAND_OVER = "hand-over"
    ENTRY = "entry"

    @property
    def may_end(self) -> bool:
        """Whether a walk may stop here: a finding, a hand-over, or another entry."""
        return self in (Kind.FINDING, Kind.HAND_OVER, Kind.ENTRY)

    @property
    def must_end(self) -> bool:
        """Whether nothing may follow: a finding may lead on (the proof failed), these may not."""
        return self in (Kind.HAND_OVER, Kind.ENTRY)

    @property
    def repairs(self) -> bool:
        """Whether something was changed on the boat here, so that a check may be made again."""
        return self in (Kind.REMEDY, Kind.FINDING)


@dataclass(frozen=True)
class Node:
    """One step of an entry.

    ``check`` names the (shared) check that a check node performs and ``state`` the state it is made
    in ("transmit on"); the same check in the same state is a repetition. ``causes`` are what a
    finding convicts. ``minutes`` and ``setups`` (named accesses, opened once a walk) give its time.
    """

    id: str
    kind: Kind
    check: str = ""
    state: str = ""
    causes: frozenset[str] = frozenset()
    minutes: float = 0.0
    setups: frozenset[str] = frozenset()

    @property
    def key(self) -> tuple[str, str]:
        """What must not be repeated: the check and the state (the node itself when no check is named)."""
        return (self.check or self.id, self.state)


@dataclass(frozen=True)
class Edge:
    """One outcome of a step and where it leads; ``remedy`` says that something is put right on the way."""

    source: str
    target: str
    outcome: str = ""
    remedy: bool = False


@dataclass(frozen=True)
class Structure:
    """An entry as a graph: its nodes, edges, first node and the causes that it undertakes to find."""

    start: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    causes: tuple[str, ...] = ()

    @cached_property
    def by_id(self) -> Mapping[str, Node]:
        """The nodes by identifier; of duplicates, the first."""
        found: dict[str, Node] = {}
        for node in self.nodes:
            found.setdefault(node.id, node)
        return found

    @cached_property
    def exits(self) -> Mapping[str, tuple[Edge, ...]]:
        """The edges that leave each node and lead to a node that exists, in written order."""
        leaving: dict[str, list[Edge]] = {node.id: [] for node in self.nodes}
        for edge in self.edges:
            if edge.source in leaving and edge.target in leaving:
                leaving[edge.source].append(edge)
        return {name: tuple(edges) for name, edges in leaving.items()}

    @cached_property
    def reachable(self) -> frozenset[str]:
        """The nodes that a walk from the start can come to."""
        return frozenset(_spread([self.start], self.exits)) if self.start in self.by_id else frozenset()

    @cached_property
    def is_acyclic(self) -> bool:
        """Whether the nodes can be put in a row so that every edge leads forward."""
        try:
            TopologicalSorter(
                {name: [e.target for e in edges] for name, edges in self.exits.items()}
            ).prepare()
        except CycleError:
            return False
        return True


class FlawKind(StrEnum):
    """What can be wrong with a decision structure."""

    NO_START = "no-start"
    DUPLICATE_NODE = "duplicate-node"
    UNKNOWN_SOURCE = "unknown-source"
    UNKNOWN_TARGET = "unknown-target"
    DUPLICATE_OUTCOME = "duplicate-outcome"
    MISSING_OUTCOME = "missing-outcome"
    DEAD_END = "dead-end"
    EXIT_FROM_END = "exit-from-end"
    LOOP = "loop"
    NEVER_ENDS = "never-ends"
    UNREACHABLE_NODE = "unreachable-node"
    UNREACHABLE_CAUSE = "unreachable-cause"
    UNKNOWN_CAUSE = "unknown-cause"
    REPEATED_CHECK = "repeated-check"


@dataclass(frozen=True)
class Flaw:
    """One thing wrong: its kind, the node (or cause) it concerns, a sentence, and a path that shows it."""

    kind: FlawKind
    subject: str
    message: str
    witness: tuple[str, ...] = ()


def flaws(structure: Structure, required_outcomes: Collection[str] = ()) -> tuple[Flaw, ...]:
    """Prove the entry sound, or say what is wrong; an empty tuple is the proof.

    No flaw means: every path from the start ends in a finding, a hand-over or another entry after
    finitely many steps; every node can be reached; every declared cause is convicted by some reachable
    finding; and on no path is a check made twice in the same state without a remedy between. The work
    is polynomial: repetition is decided by reachability in the graph without its remedies, not by
    enumerating paths.

    Parameters
    ----------
    structure : Structure
        The entry.
    required_outcomes : collection of str
        Outcomes that every check must have (a "cannot tell" outcome, say); none by default.

    Returns
    -------
    tuple of Flaw
        In a fixed order: by kind as listed in :class:`FlawKind`, then in written order.

    Notes
    -----
    Outcomes are taken as free: a path that the physics forbids still counts. Hence the proof is on
    the safe side, and a false alarm needs a written waiver.

    Examples
    --------
    >>> entry = Structure(
    ...     start="look",
    ...     nodes=(Node("look", Kind.CHECK), Node("done", Kind.FINDING, causes=frozenset({"plug"}))),
    ...     edges=(Edge("look", "done", "green pins"), Edge("look", "look", "cannot tell")),
    ...     causes=("plug",),
    ... )
    >>> [(flaw.kind.value, flaw.witness) for flaw in flaws(entry)]
    [('loop', ('look', 'look')), ('repeated-check', ('look', 'look'))]

    References
    ----------
    Kahn, A. B. Topological sorting of large networks. Communications of the ACM 5. 1962.
    """
    found = [
        *_naming_flaws(structure),
        *_outcome_flaws(structure, required_outcomes),
        *_ending_flaws(structure),
        *_reach_flaws(structure),
        *_repetition_flaws(structure),
    ]
    rank = {kind: number for number, kind in enumerate(FlawKind)}
    return tuple(sorted(found, key=lambda flaw: rank[flaw.kind]))


def _naming_flaws(structure: Structure) -> Iterator[Flaw]:
    if structure.start not in structure.by_id:
        yield Flaw(FlawKind.NO_START, structure.start, f"the first step {structure.start!r} does not exist")
    seen: set[str] = set()
    for node in structure.nodes:
        if node.id in seen:
            yield Flaw(FlawKind.DUPLICATE_NODE, node.id, f"two steps are called {node.id!r}")
        seen.add(node.id)
    for edge in structure.edges:
        if edge.source not in seen:
            message = f"outcome {edge.outcome!r} leaves {edge.source!r}, which does not exist"
            yield Flaw(FlawKind.UNKNOWN_SOURCE, edge.source, message)
        if edge.target not in seen:
            message = f"outcome {edge.outcome!r} leads to {edge.target!r}, which does not exist"
            yield Flaw(FlawKind.UNKNOWN_TARGET, edge.source, message)
    declared = set(structure.causes)
    for node in structure.nodes:
        for cause in sorted(node.causes - declared):
            yield Flaw(FlawKind.UNKNOWN_CAUSE, node.id, f"cause {cause!r} is not among the entry's causes")


def _outcome_flaws(structure: Structure, required: Collection[str]) -> Iterator[Flaw]:
    leaving: dict[str, list[str]] = {}
    for edge in structure.edges:
        leaving.setdefault(edge.source, []).append(edge.outcome)
    for node in structure.nodes:
        outcomes = leaving.get(node.id, [])
        for outcome in sorted({word for word in outcomes if outcomes.count(word) > 1}):
            yield Flaw(FlawKind.DUPLICATE_OUTCOME, node.id, f"outcome {outcome!r} is given twice")
        if node.kind is Kind.CHECK:
            for outcome in required:
                if outcome not in outcomes:
                    yield Flaw(FlawKind.MISSING_OUTCOME, node.id, f"outcome {outcome!r} leads nowhere")
        if not outcomes and not node.kind.may_end:
            yield Flaw(FlawKind.DEAD_END, node.id, f"nothing follows this {node.kind.value}")
        if outcomes and node.kind.must_end:
            yield Flaw(
                FlawKind.EXIT_FROM_END, node.id, f"a {node.kind.value} ends the walk, yet something follows"
            )


def _ending_flaws(structure: Structure) -> Iterator[Flaw]:
    for cycle in loops(structure):
        yield Flaw(FlawKind.LOOP, cycle[0], "the walk comes back: " + " > ".join(cycle), cycle)
    entering: dict[str, list[str]] = {}
    for source, edges in structure.exits.items():
        for edge in edges:
            entering.setdefault(edge.target, []).append(source)
    ends = [node.id for node in structure.nodes if node.kind.may_end]
    can_end = _spread_plain(ends, entering)
    for node in structure.nodes:
        if node.id not in can_end and structure.exits[node.id]:
            yield Flaw(FlawKind.NEVER_ENDS, node.id, "no finding or hand-over can be reached from here")


def _reach_flaws(structure: Structure) -> Iterator[Flaw]:
    if structure.start not in structure.by_id:
        return
    for node in structure.nodes:
        if node.id not in structure.reachable:
            yield Flaw(FlawKind.UNREACHABLE_NODE, node.id, "no path leads here")
    convicted = {
        cause
        for node in structure.nodes
        if node.kind in (Kind.FINDING, Kind.ENTRY) and node.id in structure.reachable
        for cause in node.causes
    }
    for cause in structure.causes:
        if cause not in convicted:
            yield Flaw(
                FlawKind.UNREACHABLE_CAUSE, cause, "no reachable finding or other entry names this cause"
            )


def _repetition_flaws(structure: Structure) -> Iterator[Flaw]:
    checks = [node for node in structure.nodes if node.kind is Kind.CHECK and node.id in structure.reachable]
    alike: dict[tuple[str, str], list[str]] = {}
    for node in checks:
        alike.setdefault(node.key, []).append(node.id)
    vain = {
        node.id: () if node.kind.repairs else tuple(e for e in structure.exits[node.id] if not e.remedy)
        for node in structure.nodes
    }
    for first in checks:
        # Without a loop, a check that stands once only cannot come again.
        if structure.is_acyclic and len(alike[first.key]) == 1:
            continue
        came_from = _spread([edge.target for edge in vain[first.id]], vain)
        for again in alike[first.key]:
            if again in came_from:
                witness = (first.id, *_trace(again, came_from))
                state = f" ({first.state})" if first.state else ""
                message = f"{first.key[0]!r}{state} was already made at {first.id!r}, with no remedy between"
                yield Flaw(FlawKind.REPEATED_CHECK, again, message, witness)


def _spread(roots: Iterable[str], exits: Mapping[str, tuple[Edge, ...]]) -> dict[str, str | None]:
    """Breadth-first search: each node reached, with the one it was first reached from."""
    came_from: dict[str, str | None] = dict.fromkeys(roots)
    queue = deque(came_from)
    while queue:
        here = queue.popleft()
        for edge in exits[here]:
            if edge.target not in came_from:
                came_from[edge.target] = here
                queue.append(edge.target)
    return came_from


def _spread_plain(roots: Iterable[str], neighbours: Mapping[str, list[str]]) -> set[str]:
    seen = set(roots)
    queue = deque(seen)
    while queue:
        for name in neighbours.get(queue.popleft(), []):
            if name not in seen:
                seen.add(name)
                queue.append(name)
    return seen


def _trace(node: str, came_from: Mapping[str, str | None]) -> tuple[str, ...]:
    path = [node]
    while (before := came_from[path[-1]]) is not None:
        path.append(before)
    return tuple(reversed(path))


def loops(structure: Structure) -> tuple[tuple[str, ...], ...]:
    """Return one shortest loop for each strongly connected part of the graph, its first node repeated last.

    Parameters
    ----------
    structure : Structure
        The entry.

    Returns
    -------
    tuple of tuple of str
        Node ids; empty when the entry has no loop.

    Examples
    --------
    >>> loops(Structure("a", (Node("a", Kind.CHECK),), (Edge("a", "a", "again"),)))
    (('a', 'a'),)
    """
    if structure.is_acyclic:
        return ()
    found: list[tuple[str, ...]] = []
    tangled: set[str] = set()
    for node in structure.by_id:
        if node in tangled:
            continue
        onward = _spread([edge.target for edge in structure.exits[node]], structure.exits)
        if node in onward:
            found.append((node, *_trace(node, onward)))
            tangled |= {name for name in onward if node in _spread([name], structure.exits)}
    return tuple(found)
