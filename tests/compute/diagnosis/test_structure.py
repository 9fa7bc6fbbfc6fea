"""Proofs about decision structures: each flaw is found, sound ones pass, and paths are enumerated."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.diagnosis.structure import Edge, FlawKind, Kind, Node, Structure, flaws, loops
from leadsman.compute.diagnosis.walk import count_paths, walk_paths


def structure(*edges: str, causes: tuple[str, ...] = (), **nodes: Node) -> Structure:
    """A structure from edges like ``a yes b``; a name in capitals is a finding, ``out`` a hand-over."""
    split = [edge.split() for edge in edges]
    names = list(dict.fromkeys(name for first, _, last in split for name in (first, last)))
    found = []
    for name in names:
        kind = Kind.HAND_OVER if name == "out" else Kind.FINDING if name.isupper() else Kind.CHECK
        found.append(
            nodes.get(name, Node(name, kind, causes=frozenset({name}) if name.isupper() else frozenset()))
        )
    arrows = tuple(Edge(a, b, o.rstrip("*"), remedy=o.endswith("*")) for a, o, b in split)
    return Structure(names[0], tuple(found), arrows, causes)


SOUND = structure(
    "look wet PLUG",
    "look dry volts",
    "look cannot volts",
    "volts low FEED",
    "volts good swap",
    "volts cannot swap",
    "swap gone DISPLAY",
    "swap stays out",
    "swap cannot out",
    causes=("PLUG", "FEED", "DISPLAY"),
)


def kinds(entry: Structure, *required: str) -> list[FlawKind]:
    """The kinds of the flaws found."""
    return [flaw.kind for flaw in flaws(entry, required)]


def test_a_sound_entry_has_no_flaw() -> None:
    """Three outcomes for each check, three causes, all ends reached."""
    assert flaws(SOUND, ["cannot"]) == ()


@pytest.mark.parametrize(
    ("entry", "expected", "subject"),
    [
        (Structure("x", (), ()), FlawKind.NO_START, "x"),
        (
            Structure("A", (Node("A", Kind.FINDING), Node("A", Kind.FINDING)), ()),
            FlawKind.DUPLICATE_NODE,
            "A",
        ),
        (
            Structure("A", (Node("A", Kind.FINDING),), (Edge("b", "A", "x"),)),
            FlawKind.UNKNOWN_SOURCE,
            "b",
        ),
        (Structure("a", (Node("a", Kind.CHECK),), (Edge("a", "b", "x"),)), FlawKind.UNKNOWN_TARGET, "a"),
        (structure("a x B", "a x out", causes=("B",)), FlawKind.DUPLICATE_OUTCOME, "a"),
        (structure("a x b", "a y out"), FlawKind.DEAD_END, "b"),
        (structure("a x out", "out again B", causes=("B",)), FlawKind.EXIT_FROM_END, "out"),
        (structure("a x b", "b y c", "c z b", "c w out"), FlawKind.LOOP, "b"),
        (structure("a x b", "b y c", "c z b", "a w out"), FlawKind.NEVER_ENDS, "b"),
        (structure("a x out", "b y out"), FlawKind.UNREACHABLE_NODE, "b"),
        (structure("a x out", causes=("B",)), FlawKind.UNREACHABLE_CAUSE, "B"),
        (structure("a x out", "b y B", causes=("B",)), FlawKind.UNREACHABLE_CAUSE, "B"),
        (structure("a x B", "a y out"), FlawKind.UNKNOWN_CAUSE, "B"),
        (
            structure("a x b", "b y out", b=Node("b", Kind.CHECK, check="a")),
            FlawKind.REPEATED_CHECK,
            "b",
        ),
    ],
)
def test_each_flaw_is_found_where_it_is(entry: Structure, expected: FlawKind, subject: str) -> None:
    """The kind and the node or cause that it concerns."""
    assert (expected, subject) in [(flaw.kind, flaw.subject) for flaw in flaws(entry)]


def test_a_missing_third_outcome_is_found() -> None:
    """Every check wants its "cannot tell"; a finding does not."""
    entry = structure("a yes B", "a no out", causes=("B",))

    assert kinds(entry) == []
    assert kinds(entry, "cannot") == [FlawKind.MISSING_OUTCOME]


@pytest.mark.parametrize(
    ("first", "second", "between", "repeated"),
    [
        ("", "", "x", True),
        ("transmit off", "transmit on", "x", False),
        ("", "", "x*", False),
        ("cranking", "cranking", "x", True),
    ],
)
def test_a_check_may_come_again_after_a_remedy_or_in_another_state(
    first: str, second: str, between: str, repeated: bool
) -> None:
    """Common practice, no source: re-measuring after a remedy, or in another state, is right."""
    entry = structure(
        f"a {between} b",
        "b y c",
        "c z out",
        a=Node("a", Kind.CHECK, check="volts", state=first),
        c=Node("c", Kind.CHECK, check="volts", state=second),
    )

    assert (FlawKind.REPEATED_CHECK in kinds(entry)) is repeated


@pytest.mark.parametrize("kind", [Kind.REMEDY, Kind.FINDING])
def test_a_remedy_on_the_way_allows_the_same_check(kind: Kind) -> None:
    """A remedy, or a finding whose proof failed, lies between; a path around it is still caught."""
    volts = {name: Node(name, Kind.CHECK, check="volts") for name in ("a", "c")}
    through = structure("a x b", "b y c", "c z out", b=Node("b", kind), **volts)
    around = structure("a x b", "a w d", "d y c", "b y c", "c z out", b=Node("b", kind), **volts)

    assert flaws(through) == ()
    assert [(f.kind, f.witness) for f in flaws(around)] == [(FlawKind.REPEATED_CHECK, ("a", "d", "c"))]


def test_a_finding_may_end_or_lead_on() -> None:
    """Two paths: the proof holds, or it fails and the hand-over follows."""
    entry = structure("a x B", "B failed out", causes=("B",))
    ends = [[step.node.id for step in path.steps] for path in walk_paths(entry)]

    assert flaws(entry) == ()
    assert ends == [["a", "B"], ["a", "B", "out"]]


# --- against brute force -----------------------------------------------------------------------


@st.composite
def graphs(draw: st.DrawFn) -> Structure:
    """Any small graph, sound or not."""
    size = draw(st.integers(2, 6))
    names = "abcdef"[:size]
    nodes = tuple(
        Node(name, draw(st.sampled_from([Kind.CHECK, Kind.CHECK, Kind.REMEDY, Kind.FINDING, Kind.HAND_OVER])),
             check=draw(st.sampled_from(["p", "q", ""])))
        for name in names
    )  # fmt: skip
    pairs = draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(names)), max_size=8, unique=True))
    edges = tuple(Edge(a, b, f"{n}", draw(st.integers(0, 4)) == 0) for n, (a, b) in enumerate(pairs))
    return Structure("a", nodes, edges)


def simple_walks(entry: Structure) -> list[list[tuple[Node, Edge | None]]]:
    """Every walk from the start that enters no node twice, with its edges, to its last node."""
    found: list[list[tuple[Node, Edge | None]]] = []

    def go(node: str, done: list[tuple[Node, Edge | None]], seen: frozenset[str]) -> None:
        found.append([*done, (entry.by_id[node], None)])
        for edge in entry.exits[node]:
            if edge.target not in seen:
                go(edge.target, [*done, (entry.by_id[node], edge)], seen | {edge.target})

    go("a", [], frozenset("a"))
    return found


@settings(max_examples=100)
@given(entry=graphs())
def test_repetition_agrees_with_looking_at_every_path(entry: Structure) -> None:
    """In graphs without a loop: the polynomial proof and the enumeration say the same."""
    if loops(entry):
        return
    seen = set()
    for walk in simple_walks(entry):
        for (i, (first, _)), (j, (again, _)) in itertools.combinations(enumerate(walk), 2):
            if first.kind is again.kind is Kind.CHECK and first.key == again.key:
                between = walk[i:j]
                mended = any(e is not None and e.remedy for _, e in between) or any(
                    node.kind.repairs for node, _ in between[1:]
                )
                if not mended:
                    seen.add(again.id)

    assert {f.subject for f in flaws(entry) if f.kind is FlawKind.REPEATED_CHECK} == seen


@settings(max_examples=100)
@given(entry=graphs())
def test_no_flaw_means_that_every_path_ends(entry: Structure) -> None:
    """Endings and reach, by enumeration; the number of paths is counted rightly."""
    paths = list(walk_paths(entry))
    wrong = {f.kind for f in flaws(entry)}
    if not wrong & {FlawKind.LOOP, FlawKind.DEAD_END}:
        assert all(path.ends for path in paths)
    if not loops(entry):
        assert count_paths(entry) == len(paths)
    visited = {step.node.id for path in paths for step in path.steps}
    if not loops(entry):
        assert visited == set(entry.reachable)
    assert all(path.ends for path in paths) or wrong


@settings(max_examples=100)
@given(entry=graphs())
def test_loops_are_real_and_none_is_missed(entry: Structure) -> None:
    """Each witness follows edges back to its start; no loop means that a topological order exists."""
    arrows = {(edge.source, edge.target) for edge in entry.edges}
    for cycle in loops(entry):
        assert cycle[0] == cycle[-1]
        assert all(step in arrows for step in itertools.pairwise(cycle))
    left = {node.id for node in entry.nodes}
    while free := {n for n in left if not any((m, n) in arrows for m in left)}:
        left -= free
    assert bool(left) == bool(loops(entry))


def test_a_long_entry_is_no_trouble() -> None:
    """Two thousand checks in a row, and 2 to the 40 paths counted but not walked."""
    row = structure(*[f"n{i} x n{i + 1}" for i in range(2000)], "n2000 x out")
    ladder = structure(*[f"n{i} {o} n{i + 1}" for i in range(40) for o in "xy"], "n40 x out")

    assert flaws(row) == ()
    assert len(next(walk_paths(row)).steps) == 2002
    assert count_paths(ladder) == 2**40
    assert len(list(itertools.islice(walk_paths(ladder), 100))) == 100


def test_a_loop_has_no_number_of_paths() -> None:
    """The walk is cut and says so."""
    entry = structure("a x b", "b y a", "b z out")

    assert [path.ends for path in walk_paths(entry)] == [False, True]
    with pytest.raises(ValueError, match="loop"):
        count_paths(entry)


def test_minutes_count_an_access_once() -> None:
    """Two checks behind the dash: 2 + 3 + 6 minutes."""
    behind = frozenset({"dash"})
    entry = structure(
        "a x b",
        "b y out",
        a=Node("a", Kind.CHECK, minutes=2, setups=behind),
        b=Node("b", Kind.CHECK, minutes=3, setups=behind),
    )

    assert next(walk_paths(entry)).minutes({"dash": 6}) == 11
    assert next(walk_paths(entry)).minutes() == 5
    assert next(walk_paths(entry)).end.id == "out"
