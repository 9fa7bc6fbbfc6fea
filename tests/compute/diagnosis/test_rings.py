"""Loops of a graph: which nodes lie on one, and with which others."""

import pytest

from leadsman.compute.diagnosis.rings import cyclic_nodes


@pytest.mark.parametrize(
    ("exits", "rings"),
    [
        ({"a": ["b"], "b": ["c"], "c": []}, []),
        ({"a": ["b"], "b": ["a"]}, [{"a", "b"}]),
        ({"a": ["a"], "b": ["a"]}, [{"a"}]),
        ({"a": ["b"], "b": ["c"], "c": ["b", "d"], "d": []}, [{"b", "c"}]),
        ({"a": ["b"], "b": ["a", "c"], "c": ["d"], "d": ["c"]}, [{"a", "b"}, {"c", "d"}]),
        ({"a": ["b", "elsewhere"], "b": ["a", "elsewhere"], "c": ["elsewhere"]}, [{"a", "b"}]),
        ({"a": ["elsewhere"]}, []),
        ({}, []),
    ],
)
def test_the_nodes_of_each_loop_go_together(exits: dict[str, list[str]], rings: list[set[str]]) -> None:
    """Drawn by hand; what has no entry of its own leads nowhere."""
    found = cyclic_nodes(exits)
    parts: dict[int, set[str]] = {}
    for node, part in found.items():
        parts.setdefault(part, set()).add(node)

    assert sorted(map(sorted, parts.values())) == sorted(map(sorted, rings))
