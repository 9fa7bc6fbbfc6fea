"""Where the pieces of a condition stand in the handbook: each once, whatever their heights."""

from __future__ import annotations

import dataclasses

from hypothesis import given
from hypothesis import strategies as st

from leadsman.output.spreads import MORE_AT, InPrint, Placing, Spread, placed

NAMES = ("method", "likely", "displays", "picture-1", "picture-2", "under")
BLOCKS = st.lists(st.floats(8, 45), min_size=3, max_size=14)
PIECES = st.lists(st.floats(4, 200), min_size=len(NAMES), max_size=len(NAMES)).map(
    lambda sizes: dict(zip(NAMES, sizes, strict=True))
)
PRINTED = InPrint(
    front=["HEAD", "FIRST", "SECOND"],
    back=["STRIP", "END"],
    tail=f"FOR {MORE_AT}",
    heading="<h3>BEHIND</h3>",
    more="<h3>HOW</h3>",
    at=("METHODS ELSEWHERE", "REST ELSEWHERE"),
    pieces={"method": "STEPS", "likely": "LIKELY", "picture-1": "<h4>PICTURE</h4>"},
)


@given(front=BLOCKS, back=BLOCKS, tail=st.floats(0, 45), pieces=PIECES, room=st.floats(150, 250))
def test_what_stands_beside_a_card_has_room_on_its_pages(
    front: list[float], back: list[float], tail: float, pieces: dict[str, float], room: float
) -> None:
    flows, tail_below, below, after = dataclasses.astuple(placed(front, back, tail, pieces, room))
    assert len({*below, *after}) == len(below) + len(after)
    # Only a ladder that its page holds has anything below it, and methods stand after the ends.
    assert not (flows and (below or tail_below))
    assert "method" not in below
    front, back = ([*front, tail], back) if tail_below else (front, [*back, tail])
    if not flows:
        assert sum(front) + sum(pieces[name] for name in below) <= room
    # All of it stands on an even number of pages: the next condition begins on a left one.
    card = sum(back) + (sum(front) if flows else 0.0)
    least = -(-card // room)
    most = next(
        n for n in range(2, 60, 2) if n - (not flows) >= least and _holds(front, back, n, room, flows)
    )
    assert card + sum(pieces[name] for name in after) <= (most - (not flows)) * room


def _holds(front: list[float], back: list[float], pages: int, room: float, flows: bool) -> bool:
    """Whether blocks that never break stand on so many pages, the ends on the second one unless they flow."""
    used, begun = 0.0, 1
    for block in [*front, *back] if flows else back:
        if used + block > room - 6:
            used, begun = 0.0, begun + 1
        used += block
    return begun + (not flows) <= pages


@given(
    below=st.sets(st.sampled_from(["likely", "picture-1"])),
    after=st.sets(st.sampled_from(["method", "likely"])),
    tail_below=st.booleans(),
)
def test_each_piece_stands_once_and_it_is_said_where_the_rest_is(
    below: set[str], after: set[str], tail_below: bool
) -> None:
    spread = Spread(tail_below=tail_below, below=tuple(sorted(below - after)), after=tuple(sorted(after)))
    placing = Placing({"it": spread})
    beside, behind = placing.spread("it", PRINTED, "OPENER"), "".join(placing.behind("it", PRINTED))
    for word in ("OPENER", "HEAD", "FIRST", "SECOND", "STRIP", "END", "FOR"):
        assert beside.count(word) == 1
    assert (beside.index("FOR") < beside.index("STRIP")) == tail_below
    for word in ("STEPS", "LIKELY", "PICTURE"):
        assert (beside + behind).count(word) == 1
    # The heading behind the cards stands where anything is left, and the card then says where.
    left = {"method", "likely", "picture-1"} - below - after
    assert ("BEHIND" in behind) == bool(left)
    assert ("METHODS ELSEWHERE" in beside) == ("method" in left)
    assert ("REST ELSEWHERE" in beside) == (bool(left) and "method" not in left)
    assert ("HOW" in beside) == ("method" in after)


def test_headings_rise_where_there_is_one_level_less_above_them() -> None:
    placing = Placing({"it": Spread(below=("picture-1",))})
    assert "<h3>PICTURE</h3>" in placing.spread("it", PRINTED)
    assert "<h4>PICTURE</h4>" in "".join(Placing().behind("it", PRINTED))


def test_the_ends_follow_the_ladder_only_where_that_saves_a_leaf() -> None:
    # A ladder of a page: ends of a page and a bit would need two more pages, and run on into the room above instead.
    assert placed([40.0] * 3, [20.0] * 10, 0, {}, 186).flows
    assert not placed([40.0] * 4, [20.0] * 8, 0, {}, 186).flows
    # A ladder that no page holds.
    assert placed([40.0] * 5, [20.0] * 2, 0, {}, 186).flows


def test_the_tail_stands_below_the_ladder_only_where_it_would_cost_a_leaf_behind_the_ends() -> None:
    assert placed([60, 60], [90, 80], 20, {}, 186).tail_below
    # Behind the ends there is room for it, below the ladder there is none, or the ends need the leaf anyway.
    assert not placed([60, 60], [90, 60], 20, {}, 186).tail_below
    assert not placed([90, 80], [90, 80], 20, {}, 186).tail_below
    assert not placed([60, 60], [90, 90, 90], 20, {}, 186).tail_below
