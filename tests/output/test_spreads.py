"""Where the pieces of a condition stand in the handbook: each once, whatever their heights."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from leadsman.output.spreads import FOLLOWING, InPrint, Placing, placed

HEIGHTS = st.fixed_dictionaries(
    {
        "front": st.floats(30, 500),
        "back": st.floats(30, 500),
        "likely": st.floats(0, 200),
        "rest": st.floats(0, 400),
        "method": st.floats(10, 300),
    }
)
PRINTED = InPrint("FRONT", "BACK", "<h4>LIKELY</h4>", "<h3>METHOD</h3>", "<h4>REST</h4>")


@given(heights=HEIGHTS, room=st.floats(150, 250))
def test_each_piece_stands_once_and_none_runs_on_to_a_page_of_its_own(
    heights: dict[str, float], room: float
) -> None:
    flows, pieces = placed(heights, room)
    placing = Placing(frozenset({"it"} if flows else ()), {"it": pieces})
    text = placing.spread("it", PRINTED) + placing.behind("it", PRINTED)
    for word in ("FRONT", "BACK", "LIKELY", "METHOD", "REST"):
        assert text.count(word) == 1
    # Without its heading no piece stands behind the area's cards: levels would be skipped.
    behind = placing.behind("it", PRINTED)
    assert (
        not behind
        or behind.startswith("<h3>METHOD")
        or ("method" in pieces and all(heights[name] == 0 for name in FOLLOWING[:-1] if name not in pieces))
    )
    # A ladder that fits its page keeps it; one that does not lets the ends follow.
    assert flows == (heights["front"] > room - 2.0)


def test_headings_rise_where_there_is_one_level_less_above_them() -> None:
    placing = Placing(at_card={"it": ("likely",)})
    assert "<h3>LIKELY</h3>" in placing.spread("it", PRINTED)
    assert "<h4>REST</h4>" in placing.behind("it", PRINTED)
