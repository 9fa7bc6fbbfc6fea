"""The page of a drill's figures: totals beside their targets, the conditions below, boats to replay, and its picture."""

from __future__ import annotations

from typing import Any

import pytest

import small_content
from leadsman.book.drill_page import TURNS, drill_page, minutes, share
from leadsman.drill.plot import alt_text, least_right, svg
from leadsman.output.figures.figure import Figure
from leadsman.press.typeset import Typesetter

WORDS = small_content.edited().phrases().handbook.drill
WANTED = {"right": 0.97, "condemned": 0.01, "endless": 0.0, "over_best": 0.25, "doubles_safe": 0.95, "sound_convicted": 0.0}  # fmt: skip


def _score(code: str, right: float, condemned: float = 0.0) -> dict[str, Any]:
    return {
        "entry": code.lower(), "code": code, "title": f"Condition {code}", "boats": 200, "right": right, "condemned": condemned,
        "handed_over": 1 - right, "endless": 0.0, "minutes": 12.4, "best_minutes": 10.0, "over_best": 0.24, "doubles": 10, "doubles_safe": 0.96,
        "sound": 40, "sound_convicted": 0.0, "telephone": 20, "telephone_solved": 0.3,
    }  # fmt: skip


@pytest.fixture
def figures() -> dict[str, Any]:
    turn = {
        "entry": "d1",
        "fault": "band-unsuited",
        "what": "hands over",
        "count": 3,
        "boats": ["D1-fault-1-9"],
    }
    return {
        "boats": 600, "total": _score("", 0.9996, 0.0004),
        "entries": [_score("P1", 1.0), _score("D1", 0.955), _score("S1", 0.98)], "turns": [turn] * (TURNS + 2),
    }  # fmt: skip


def test_what_is_neither_none_nor_all_is_not_printed_as_such() -> None:
    """A page that rounds one sound part in two thousand to none would lie."""
    told = [share(v) for v in (0.0, 0.0004, 0.004, 0.5, 0.9734, 0.9996, 1.0)]

    assert told == ["0", "0.1", "0.4", "50", "97", "99.9", "100"]


def test_totals_stand_beside_their_targets_and_the_worst_comes_first(figures: dict[str, Any]) -> None:
    page = drill_page(figures, WANTED, "<svg/>", "words")
    totals = {t.what: (t.figure, t.wanted, t.of) for t in page.totals}

    assert totals["right"] == ("99.9", "97", 200)
    assert totals["renewed"] == ("0.1", "1", 200)
    assert totals["over"] == ("24", "25", 200)
    assert totals["sound"] == ("0", "0", 40)
    assert [row.code for row in page.rows] == ["D1", "S1", "P1"]
    assert page.below == ("D1 96",)


def test_a_boat_of_each_wrong_turn_is_named_for_its_diary(figures: dict[str, Any]) -> None:
    page = drill_page(figures, WANTED, "<svg/>", "words")

    assert len(page.turns) == TURNS
    assert (page.turns[0].fault, page.turns[0].boat) == ("band unsuited", "D1-fault-1-9")


def test_every_figure_of_a_row_and_of_the_whole(figures: dict[str, Any]) -> None:
    """By hand: 95.5 of a hundred are printed as 96 and the other 4.5 as 5, 12.4 minutes as 12; the telephone has no target."""
    page = drill_page(figures, WANTED, "<svg/>", "words")
    first = page.rows[0]
    assert (first.entry, first.code, first.title, first.boats) == ("d1", "D1", "Condition D1", 200)
    assert (first.right, first.renewed, first.handed_over, first.minutes, first.best) == (
        "96",
        "0",
        "5",
        "12",
        "10",
    )
    assert [(t.what, t.figure, t.wanted, t.of) for t in page.totals] == [
        ("right", "99.9", "97", 200), ("renewed", "0.1", "1", 200), ("endless", "0", "0", 200), ("over", "24", "25", 200),
        ("doubles", "96", "95", 10), ("sound", "0", "0", 40), ("telephone", "30", "", 20),
    ]  # fmt: skip
    assert (page.boats, page.svg, page.text) == (600, "<svg/>", "words")
    assert [(turn.entry, turn.what, turn.count) for turn in page.turns[:1]] == [("d1", "hands over", 3)]


def test_conditions_that_are_right_alike_stand_by_code_and_one_on_the_target_is_not_below_it(
    figures: dict[str, Any],
) -> None:
    figures["entries"] = [_score("S1", 0.97), _score("D1", 0.97), _score("P1", 0.9699)]
    page = drill_page(figures, WANTED, "<svg/>", "words")
    assert [row.code for row in page.rows] == ["P1", "D1", "S1"]
    assert page.below == ("P1 97",)


@pytest.mark.parametrize(("value", "told"), [(0.0, "\u2013"), (14.66, "15"), (0.4, "0"), (1.0, "1")])
def test_minutes_are_whole_and_a_dash_stands_where_none_are_compared(value: float, told: str) -> None:
    assert minutes(value) == told


@pytest.mark.parametrize(("value", "told"), [(0.00001, "0.1"), (0.0011, "0.1"), (0.0049, "0.5"), (0.0051, "1"), (0.9949, "99"), (0.9951, "99.5"), (0.99999, "99.9"), (0.5, "50")])  # fmt: skip
def test_shares_beside_none_and_all_have_a_tenth(value: float, told: str) -> None:
    assert share(value) == told


def test_the_typesetter_takes_the_picture(figures: dict[str, Any]) -> None:
    """As drawn it holds styles that the typesetter refuses; a release would then not be made."""
    codes = least_right(figures, 2)
    drawn = svg(figures, WORDS, 112.0, codes)
    cleaned = Figure("drill", "By condition", "", alt_text(figures, WORDS), drawn).svg

    assert codes == ["D1", "S1"]
    assert "style=" in drawn
    html = f'<!DOCTYPE html><html lang="en"><head><title>Drill</title></head><body>{cleaned}</body></html>'
    assert Typesetter().lay_out(html, "", title="Drill", language="en", target="drill.pdf")
