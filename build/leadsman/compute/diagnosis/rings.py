"""Find the parts of a directed graph in which a walk can come back to where it was."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import TypeVar

N = TypeVar("N", bound=Hashable)


def cyclic_nodes(exits: Mapping[N, Sequence[N]]) -> dict[N, int]:
    """Return the nodes that lie on a loop, each with the number of its part (nodes that reach one another).

    Parameters
    ----------
    exits : mapping of node to sequence of node
        Each node of the graph and the nodes to which it leads; targets without an own entry are left out.

    Returns
    -------
    dict of node to int
        Empty when every walk ends: the graph has no loop.

    Notes
    -----
    The strongly connected parts of the graph, less single nodes that do not lead to themselves.

    Examples
    --------
    >>> cyclic_nodes({"a": ["b"], "b": ["c"], "c": []})
    {}
    >>> sorted(cyclic_nodes({"a": ["b"], "b": ["a", "c"], "c": []}))
    ['a', 'b']

    References
    ----------
    Tarjan, R. Depth-first search and linear graph algorithms. SIAM Journal on Computing 1. 1972.
    """
    nodes = list(exits)
    place = {node: number for number, node in enumerate(nodes)}
    if _is_acyclic(exits):
        return {}
    pairs = [(place[a], place[b]) for a, targets in exits.items() for b in targets if b in place]
    # Only for a book with a loop, which is a book with an error: they take longer to load than to answer.
    import numpy as np
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    rows, columns = np.transpose(np.array(pairs))
    graph = coo_array((np.ones(len(pairs), dtype=np.int8), (rows, columns)), shape=(len(nodes), len(nodes)))
    _, parts = connected_components(graph.tocsr(), directed=True, connection="strong")
    sizes = np.bincount(parts)
    selves = {a for a, b in pairs if a == b}
    return {node: int(parts[n]) for n, node in enumerate(nodes) if sizes[parts[n]] > 1 or n in selves}


def _is_acyclic(exits: Mapping[N, Sequence[N]]) -> bool:
    try:
        TopologicalSorter({a: [b for b in targets if b in exits] for a, targets in exits.items()}).prepare()
    except CycleError:
        return False
    return True
