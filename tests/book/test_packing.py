"""Blocks on the faces of a list: nothing lost, nothing split, in their order."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.book.packing import Block, fill
from leadsman.errors import OutputError

ROOM = 100.0


def blocks(heights: list[float]) -> tuple[list[Block], dict[str, float]]:
    """Blocks of these heights, with the heights by name."""
    found = [Block(f"b{number}", "line", None) for number in range(len(heights))]
    return found, {block.id: height for block, height in zip(found, heights, strict=True)}


@given(st.lists(st.floats(0.1, ROOM), max_size=40))
def test_every_block_stands_once_in_its_order_and_no_face_is_too_full(heights: list[float]) -> None:
    """Nothing is lost or split, and a face ends only where the next block does not fit."""
    items, high = blocks(heights)
    faces = fill("Q", items, high, ROOM)

    assert [block for face in faces for block in face.blocks] == items
    assert [face.number for face in faces] == list(range(1, len(faces) + 1))
    assert all(face.height_mm <= ROOM and face.blocks for face in faces)
    for face, following in pairwise(faces):
        assert face.height_mm + high[following.blocks[0].id] > ROOM


def test_a_block_taller_than_a_face_is_told_with_its_measure() -> None:
    """The message names the card, the block and the millimetres."""
    items, high = blocks([40.0, 103.5])
    with pytest.raises(OutputError, match=r"card Q: the block 'b1' is 3\.5 mm taller than a face"):
        fill("Q", items, high, ROOM)


def test_an_exact_fit_fits() -> None:
    """A block that fills the rest of a face to the last bit stands on it."""
    items, high = blocks([60.0, 40.0, 1.0])
    assert [len(face.blocks) for face in fill("Q", items, high, ROOM)] == [2, 1]
