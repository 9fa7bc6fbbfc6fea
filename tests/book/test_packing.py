"""Blocks on the faces of a card's sheets: nothing lost, nothing split, every end behind or after its step."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.book.packing import Block, Face, caution_id, pack
from leadsman.content.model.reference import Caution
from leadsman.errors import OutputError

ROOM = 100.0


def caution(name: str) -> tuple[str, Caution]:
    """A caution of that name."""
    words = {"hazard": "It burns.", "result": "It hurts.", "avoid": "Keep off.", "short": "Keep off."}
    return name, Caution.model_validate({"signal": "WARNING", **words})


def step(number: int, *cautions: str) -> Block:
    return Block(f"step-{number}", "step", None, tuple(map(caution, cautions)))


def fix(name: str, *steps: int) -> Block:
    return Block(f"fix-{name}", "fix", None, serves=frozenset(f"step-{number}" for number in steps))


def names(faces: list[Face]) -> list[list[str]]:
    return [[block.id for block in face.blocks] for face in faces]


def test_steps_go_from_front_to_front_with_their_fixes_behind() -> None:
    high = {"step-1": 60, "step-2": 60, "fix-a": 30, "fix-b": 30, "fix-c": 50}
    faces = pack("P1", [step(1), step(2)], [fix("a", 1), fix("b", 2), fix("c", 1)], high, ROOM)
    assert names(faces) == [["step-1"], ["fix-a", "fix-c"], ["step-2"], ["fix-b"]]
    assert [face.is_front for face in faces] == [True, False, True, False]


def test_without_backs_the_blocks_fill_every_face_and_whole_sheets() -> None:
    faces = pack("0", [step(1), step(2), step(3)], [], {"step-1": 90, "step-2": 90, "step-3": 90}, ROOM)
    assert names(faces) == [["step-1"], ["step-2"], ["step-3"], []]


def test_a_caution_stands_once_a_face_and_again_on_the_next() -> None:
    high = {"step-1": 40, "step-2": 40, "step-3": 40, caution_id("fire"): 8}
    faces = pack("P1", [step(n, "fire") for n in (1, 2, 3)], [], high, ROOM)
    printed = [[[name for name, _ in p.cautions] for p in face.placed] for face in faces]
    assert printed == [[["fire"], []], [["fire"]]]
    assert [[name for name, _ in p.above] for p in faces[0].placed] == [[], ["fire"]]
    assert [face.height_mm for face in faces] == [88, 48]


def test_what_finds_no_room_behind_stands_below_the_last_step_or_on_a_new_sheet() -> None:
    high = {"step-1": 50, "fix-a": 80, "fix-b": 45, "fix-c": 90}
    faces = pack("P1", [step(1)], [fix("a", 1), fix("b", 1), fix("c", 1)], high, ROOM)
    assert names(faces) == [["step-1", "fix-b"], ["fix-a"], ["fix-c"], []]


def test_notes_never_stand_before_their_table() -> None:
    high = {"step-1": 60, "step-2": 60, "fix-a": 50, "table": 70, "notes": 20}
    backs = [fix("a", 1), Block("table", "table", None), Block("notes", "table_notes", None, after="table")]
    faces = pack("P1", [step(1), step(2)], backs, high, ROOM)
    assert names(faces) == [["step-1"], ["fix-a"], ["step-2"], ["table", "notes"]]


def test_a_block_taller_than_a_face_is_named_with_the_excess() -> None:
    high = {"step-1": 10, "step-2": 96.4, caution_id("fire"): 7}
    with pytest.raises(
        OutputError, match=r"card P7: the block 'step-2' is 3\.4 mm taller than a face; shorten"
    ):
        pack("P7", [step(1), step(2, "fire")], [], high, ROOM)


HEIGHTS = st.lists(st.floats(1, ROOM - 20), min_size=1, max_size=14)


@given(HEIGHTS, st.lists(st.tuples(st.floats(1, ROOM), st.integers(0, 30)), max_size=14), st.data())
def test_nothing_is_lost_split_or_put_before_its_step(
    steps: list[float], ends: list[tuple[float, int]], data: st.DataObject
) -> None:
    hazards = [data.draw(st.sets(st.sampled_from(["fire", "shock"]))) for _ in steps]
    fronts = [step(n, *sorted(found)) for n, found in enumerate(hazards)]
    backs = [fix(str(n), serves % len(steps)) for n, (_, serves) in enumerate(ends)]
    high = {caution_id("fire"): 9.0, caution_id("shock"): 9.0}
    high |= {f"step-{n}": height for n, height in enumerate(steps)}
    high |= {f"fix-{n}": height for n, (height, _) in enumerate(ends)}
    faces = pack("P1", fronts, backs, high, ROOM)
    assert len(faces) % 2 == 0
    assert [face.number for face in faces] == list(range(1, len(faces) + 1))
    placed = [block for face in faces for block in face.blocks]
    assert sorted(block.id for block in placed) == sorted(block.id for block in (*fronts, *backs))
    assert [block for block in placed if block.kind == "step"] == fronts
    at = {block.id: face.number for face in faces for block in face.blocks}
    for before, after in pairwise(fronts):
        assert at[before.id] <= at[after.id]
        assert not backs or at[after.id] % 2 == 1
    for block in backs:
        # Before its step only on a back: fronts are read in order.
        early = at[block.id] < min(at[name] for name in block.serves)
        assert not early or at[block.id] % 2 == 0
    for face in faces:
        shown = {name for p in face.placed for name, _ in p.cautions}
        assert face.height_mm <= ROOM
        assert face.height_mm == pytest.approx(sum(high[b.id] for b in face.blocks) + 9.0 * len(shown))
        for p in face.placed:
            assert {name for name, _ in (*p.cautions, *p.above)} == {name for name, _ in p.block.cautions}


def table(*steps: int) -> list[Block]:
    serves = frozenset(f"step-{number}" for number in steps)
    return [
        Block("table", "table", None, serves=serves),
        Block("table-notes", "table_notes", None, serves=serves, after="table"),
    ]


def test_a_table_waits_for_a_face_with_room_for_its_notes_too() -> None:
    high = {"step-1": 60, "step-2": 60, "fix-a": 50, "table": 40, "table-notes": 20}
    faces = pack("P1", [step(1), step(2)], [fix("a", 1), *table(1)], high, ROOM)
    assert names(faces) == [["step-1"], ["fix-a"], ["step-2"], ["table", "table-notes"]]


def test_a_table_and_its_notes_part_rather_than_take_a_sheet_more() -> None:
    high = {"step-1": 60, "step-2": 85, "fix-a": 50, "fix-b": 70, "table": 40, "table-notes": 20}
    faces = pack("P1", [step(1), step(2)], [fix("a", 1), *table(1), fix("b", 2)], high, ROOM)
    assert names(faces) == [["step-1"], ["fix-a", "table"], ["step-2"], ["table-notes", "fix-b"]]
