"""The whole book has no loop, and no entry asks again what the one before it has asked.

What the book must keep is the brief's own: following the printed answers never comes back to an entry in the same
state, from any start, CAN'T included. That a graph without strongly connected parts has no endless walk is
Tarjan 1972; the walks here are checked against a plain search of our own.
"""

from collections.abc import Iterator

import pytest

import small_content
from leadsman.compute.diagnosis.rings import cyclic_nodes
from leadsman.content.book_walk import BookWalk
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.rules import check
from leadsman.paths import content_folder

ENTRY, OTHER = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load(content_folder())


@pytest.fixture(scope="module")
def book(catalogue: Catalogue) -> BookWalk:
    return BookWalk({name: Decision(entry, catalogue) for name, entry in catalogue.faults.items()})


def test_the_book_has_no_loop(book: BookWalk) -> None:
    assert book.loops() == []


def test_the_loop_of_the_first_edition_is_found(catalogue: Catalogue) -> None:
    """P3 step 10 YES, C11 step 2 NO, P3: without the steps to go on at, the proof must see it."""
    bare = {
        name: entry.model_copy(
            update={
                "checks": [
                    c.model_copy(
                        update={
                            "outcomes": {
                                a: o.model_copy(update={"at": None, "known": {}})
                                for a, o in c.outcomes.items()
                            }
                        }
                    )
                    for c in entry.checks
                ]
            }
        )
        for name, entry in catalogue.faults.items()
    }
    found = BookWalk({name: Decision(entry, catalogue) for name, entry in bare.items()}).loops()
    pairs = {(c.source[0], c.target[0]) for c in found}
    assert {("restarts-on-transmit", "which-part"), ("which-part", "restarts-on-transmit")} <= pairs
    assert {("not-transmitting", "depth-never-appeared"), ("noise-streaks", "cross-talk")} <= pairs


def _ways(book: BookWalk, start: str) -> Iterator[list[tuple[tuple[str, str], str]]]:
    """Walks with one kind of answer throughout, and one odd answer at one step."""
    for standing in ("yes", "no", "cannot"):

        def first(check: object, said: str = standing) -> str:
            outcomes = check.outcomes  # type: ignore[attr-defined]
            return said if said in outcomes else next(iter(outcomes))

        yield book.follow(start, first)


def test_no_walk_is_long_or_asks_twice(book: BookWalk) -> None:
    for name in book.decisions:
        for way in _ways(book, name):
            steps = [step for step, _ in way]
            assert len(steps) == len(set(steps)), f"{name} comes back: {steps}"
            assert steps[-1][1] in book.decisions[steps[-1][0]].structure.by_id


def test_what_was_asked_is_not_asked_again(catalogue: Catalogue) -> None:
    assert [p.what for p in check(catalogue).problems if p.rule in ("asked-again", "book-loop")] == []


def test_after_the_bypass_battery_has_cleared_the_feed_the_search_goes_on_at_the_version(
    book: BookWalk,
) -> None:
    assert book.exits["restarts-on-transmit", "bypass"]["yes"] == ("which-part", "version")
    assert book.exits["which-part", "own-volts"]["no"] == ("restarts-on-transmit", "plug")


def test_between_the_restart_and_the_part_nothing_is_asked_twice(book: BookWalk) -> None:
    """From P3's bypass the next card asks neither plug nor bypass again, whatever is answered there."""
    before = {
        c.shared.id for c in book.decisions["restarts-on-transmit"].checks.values() if c.shared is not None
    }
    there = book.decisions["which-part"]
    asked, waiting = set(), ["version"]
    while waiting:
        node = waiting.pop()
        if node in there.checks and node not in asked:
            asked.add(node)
            waiting += there.links(node).values()
    shared = {there.checks[n].shared.id for n in asked if there.checks[n].shared is not None}  # type: ignore[union-attr]
    assert {"reseat-power-plug", "bypass-battery"} <= before
    assert not shared & before


VOLTS = '      "no": {then: software, shows: [bad-joint]}'


@pytest.mark.parametrize(
    ("rule", "says", "at"),
    [
        ("go-on-at", "'lampe' is no check of 'low-volts'", ", at: lampe"),
        ("go-on-at", "'volts: maybe' is no answer of 'low-volts'", ", known: {volts: maybe}"),
        ("asked-again", "asks 'history' of 'low-volts' again", ""),
    ],
)
def test_a_wrong_way_on_is_reported_at_its_place(rule: str, says: str, at: str) -> None:
    edit = (ENTRY, VOLTS, f'      "no": {{to_entry: low-volts{at}, shows: [bad-joint]}}')
    problems = [p for p in check(small_content.edited(edit)).problems if p.rule == rule]
    assert any(says in p.what for p in problems), [p.what for p in problems]
    assert all(p.line > 1 for p in problems)


def test_two_entries_that_send_to_each_other_are_reported() -> None:
    there = (ENTRY, VOLTS, '      "no": {to_entry: low-volts, shows: [bad-joint]}')
    back = (
        OTHER,
        "cannot: {then: hand-over}}\nfindings",
        "cannot: {to_entry: no-depth}}\nfindings",
    )
    problems = check(small_content.edited(there, back)).problems
    assert any(p.rule == "book-loop" for p in problems)


def test_rings_are_those_of_a_plain_search() -> None:
    graph = {"a": ["b"], "b": ["c", "d"], "c": ["a"], "d": ["e"], "e": [], "f": ["f"], "g": ["missing"]}

    def reaches(start: str, goal: str) -> bool:
        seen, waiting = set(), list(graph[start])
        while waiting:
            node = waiting.pop()
            if node == goal:
                return True
            if node in graph and node not in seen:
                seen.add(node)
                waiting += graph[node]
        return False

    assert set(cyclic_nodes(graph)) == {node for node in graph if reaches(node, node)}
    assert cyclic_nodes({}) == {}
