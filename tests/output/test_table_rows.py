"""How the tables of a handbook follow each other on its pages; those of the book itself are in test_handbook.py."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from leadsman.output.table_rows import packed


@given(heights=st.lists(st.floats(10, 180), max_size=30), head=st.floats(0, 400))
def test_rows_in_that_order_take_no_more_pages_than_in_their_own(heights: list[float], head: float) -> None:
    """First fit decreasing never does worse than twice the least number of pages (Johnson 1973, from memory)."""
    order = packed(heights, 186.0, head)
    assert sorted(order) == list(range(len(heights)))
    pages, left = 0, 186.0 - head % 186.0 if head else 0.0
    for at in order:
        if heights[at] > left:
            pages, left = pages + 1, 186.0
        left -= heights[at]
    assert pages <= 2 * max(1.0, sum(heights) / 186.0) + 1


def test_the_lowest_rows_stand_below_the_head_where_the_others_find_no_room() -> None:
    assert packed([50.0, 120.0], 180.0, 100.0) == [0, 1]
    assert packed([50.0, 120.0], 180.0, 440.0) == [0, 1]
    assert packed([50.0, 120.0], 180.0, 400.0) == [1, 0]
