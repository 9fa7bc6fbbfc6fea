"""The paths through a fault entry: enumerated lazily, timed, and counted without enumeration.

The graph itself and the proofs about it are in ``leadsman.compute.diagnosis.structure``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from leadsman.compute.diagnosis.structure import Node, Structure, loops


@dataclass(frozen=True)
class Step:
    """One step of a path: the node and the outcome that was followed from it (empty at the end)."""

    node: Node
    outcome: str = ""


@dataclass(frozen=True)
class Path:
    """One way through an entry; ``ends`` is false when it was cut where a loop or a dead end begins."""

    steps: tuple[Step, ...]
    ends: bool = True

    @property
    def end(self) -> Node:
        """The last node: the finding, hand-over or other entry that the path comes to."""
        return self.steps[-1].node

    def minutes(self, setup_minutes: Mapping[str, float] | None = None) -> float:
        """Return the time of the path, each access (opening the dash, say) counted once."""
        opened = frozenset[str]().union(*(step.node.setups for step in self.steps))
        known = setup_minutes or {}
        return sum(step.node.minutes for step in self.steps) + sum(known.get(name, 0.0) for name in opened)


def walk_paths(structure: Structure) -> Iterator[Path]:
    """Yield every path from the start, depth first in written order, one at a time.

    A finding that leads on (its proof may fail) yields the path that ends there and those that go on.
    A path that would enter a node a second time is cut before it and marked as not ending, so the
    iterator is finite for any graph; use ``itertools.islice`` as the cap and :func:`count_paths` for
    the number.

    Parameters
    ----------
    structure : Structure
        The entry.

    Yields
    ------
    Path
        With its steps and outcomes.

    Examples
    --------
    >>> from leadsman.compute.diagnosis.structure import Edge, Kind
    >>> entry = Structure(
    ...     "look",
    ...     (Node("look", Kind.CHECK), Node("plug", Kind.FINDING), Node("maker", Kind.HAND_OVER)),
    ...     (Edge("look", "plug", "wet"), Edge("look", "maker", "dry")),
    ... )
    >>> [" ".join(f"{s.node.id} {s.outcome}".strip() for s in path.steps) for path in walk_paths(entry)]
    ['look wet plug', 'look dry maker']
    """
    if structure.start not in structure.by_id:
        return
    # An explicit stack: a long entry must not meet Python's recursion limit.
    stack: list[tuple[tuple[Step, ...], str]] = [((), structure.start)]
    while stack:
        before, here = stack.pop()
        node, exits = structure.by_id[here], structure.exits[here]
        if node.kind.may_end or not exits:
            yield Path((*before, Step(node)), ends=node.kind.may_end)
        visited = {step.node.id for step in before} | {here}
        for edge in reversed(exits):
            steps = (*before, Step(node, edge.outcome))
            if edge.target in visited:
                yield Path(steps, ends=False)
            else:
                stack.append((steps, edge.target))


def count_paths(structure: Structure) -> int:
    """Return the number of paths that :func:`walk_paths` yields, counted without enumerating them.

    Parameters
    ----------
    structure : Structure
        An entry without loops.

    Returns
    -------
    int
        The number of paths.

    Raises
    ------
    ValueError
        When the entry loops: the number then depends on where a path is cut.

    Examples
    --------
    >>> from leadsman.compute.diagnosis.structure import Edge, Kind
    >>> steps = (Node("look", Kind.CHECK), Node("plug", Kind.FINDING))
    >>> count_paths(Structure("look", steps, (Edge("look", "plug", "wet"), Edge("look", "plug", "green"))))
    2
    """
    if loops(structure):
        raise ValueError("a structure with a loop has no definite number of paths")
    if structure.start not in structure.by_id:
        return 0
    counts: dict[str, int] = {}
    stack = [structure.start]
    while stack:
        here = stack[-1]
        exits = structure.exits[here]
        waiting = [edge.target for edge in exits if edge.target not in counts]
        if waiting:
            stack.extend(waiting)
            continue
        ends_here = structure.by_id[here].kind.may_end or not exits
        counts[here] = int(ends_here) + sum(counts[edge.target] for edge in exits)
        stack.pop()
    return counts[structure.start]
