"""A ladder on its sheets: letters behind their answers, nothing lost, the fewest sheets that hold it.

Behaviour as a technician needs it; common practice, no source, but for the two experiments named below.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.rungs import Ladder, head_lines, key_word, ladder_of, spoken
from leadsman.book.sheet_plan import (
    Extra,
    Heights,
    Plan,
    Room,
    end_block,
    plan_sheets,
    rung_block,
    spans,
    with_spare,
)
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.reference import Caution

ROOM = Room(200.0, 2)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


@pytest.fixture(scope="module")
def ladder(catalogue: Catalogue) -> Ladder:
    """The small content's entry about depth: nine steps, five fixes, one hand-over."""
    return ladder_of(view_entry(Decision(catalogue.faults["no-depth"], catalogue)), catalogue)


def sized(default: float, **own: float):
    """Heights: the same for every block but those that are named."""

    def ask(names: Iterable[str]) -> Heights:
        return {name: own.get(name.rpartition("-")[2], default) for name in names}

    return ask


def check_whole(plan: Plan, ladder: Ladder) -> None:
    """Every rung once and in order; each letter of a front behind it; every end somewhere."""
    assert [rung for sheet in plan.sheets for rung in sheet.steps] == list(ladder.rungs)
    assert {end.id for sheet in plan.sheets for end in sheet.ends} == {end.id for end in ladder.ends}
    for sheet in plan.sheets:
        behind = {end.id for end in sheet.ends}
        for rung in sheet.rungs:
            # Schroeder and Cenkci 2018: integrated beats separated; here, the turn of the same sheet.
            assert {e.target.id for e in rung.exits if e.target.kind in ("fix", "hand-over")} <= behind
        for end in sheet.ends:
            if end.fix is not None and end.fix.not_proved.kind in ("fix", "hand-over"):
                assert end.fix.not_proved.id in behind
        letters = [end.letter for end in sheet.ends]
        assert letters == sorted(letters)


@given(default=st.floats(1.0, 60.0), most=st.integers(1, 3))
def test_nothing_is_lost_whatever_the_heights(default: float, most: int) -> None:
    """Each plan holds everything, fits or not; what is told as too tall is the fullest face."""
    catalogue = load(small_content.FOLDER)
    ladder = ladder_of(view_entry(Decision(catalogue.faults["no-depth"], catalogue)), catalogue)
    plan = plan_sheets(ladder, [], sized(default), ROOM, most)

    check_whole(plan, ladder)
    assert 1 <= len(plan.sheets) <= most
    fullest = max(sheet.front_mm for sheet in plan.sheets)
    assert plan.over_front_mm == pytest.approx(max(fullest - ROOM.face_mm, 0), abs=0.06)


def test_the_fewest_sheets_that_hold_it(ladder: Ladder) -> None:
    """One where it fits; a second one only where it does not."""
    assert len(plan_sheets(ladder, [], sized(5.0), ROOM, 2).sheets) == 1
    two = plan_sheets(ladder, [], sized(25.0), ROOM, 2)
    assert (len(two.sheets), two.fits) == (2, True)
    one = plan_sheets(ladder, [], sized(25.0), ROOM, 1)
    assert (len(one.sheets), one.fits) == (1, False)
    assert one.over_front_mm > 0


def test_a_ladder_goes_on_at_the_back_before_it_takes_a_second_sheet(ladder: Ladder) -> None:
    """Whoever turns over has the rest in hand; a second sheet would have to be found."""
    tall = sized(21.0)
    two = plan_sheets(ladder, [], tall, ROOM, 2)
    assert (len(two.sheets), two.sheets[0].over) == (2, ())
    plan = plan_sheets(ladder, [], tall, ROOM, 2, goes_over=True)
    (sheet,) = plan.sheets
    assert plan.fits
    check_whole(plan, ladder)
    # As many steps as have room stay on the front.
    assert sheet.over == ladder.rungs[-len(sheet.over) :]
    assert sheet.front_mm <= ROOM.face_mm < sheet.front_mm + 21.0
    # Where even so there is no room the card takes a second sheet.
    assert len(plan_sheets(ladder, [], sized(27.0), ROOM, 2, goes_over=True).sheets) == 2
    # What does not fit at all is told with what is missing when the back is used too.
    apart = plan_sheets(ladder, [], sized(27.0), ROOM, 1)
    nearest = plan_sheets(ladder, [], sized(27.0), ROOM, 1, goes_over=True)
    check_whole(nearest, ladder)
    assert 0 < nearest.over_front_mm + nearest.over_back_mm < apart.over_front_mm + apart.over_back_mm


def test_a_table_goes_below_the_ladder_then_to_the_sheet_of_the_set(ladder: Ladder) -> None:
    """The back first, the front where it has room, the sheet of the set before a second sheet is taken."""
    table = Extra("x-table", "table", None, frozenset({ladder.rungs[2].id}))
    narrow = plan_sheets(ladder, [table], sized(5.0, table=20.0), ROOM, 1)
    assert [extra.kind for extra in narrow.sheets[0].extras] == ["table"]
    below = plan_sheets(ladder, [table], sized(5.0, table=120.0, head=60.0, back=100.0), ROOM, 1)
    assert [extra.kind for extra in below.sheets[0].front_extras] == ["table"]
    moved = plan_sheets(ladder, [table], sized(12.0, table=150.0, where=5.0), ROOM, 2)
    assert (len(moved.sheets), [extra.kind for extra in moved.moved]) == (1, ["table"])
    kept = plan_sheets(ladder, [table], sized(12.0, table=150.0, where=5.0), ROOM, 2, tables_may_move=False)
    assert kept.moved == ()


def test_what_serves_stands_where_there_is_room_and_moves_nothing(ladder: Ladder) -> None:
    """A spare block never changes the ladder; it stands behind the rungs that use it, and not at all where it is too tall."""
    two = plan_sheets(ladder, [], sized(25.0), ROOM, 2)
    last = frozenset({two.sheets[1].rungs[0].id})
    spare = [Extra("x-looks", "looks", None), Extra("spare-table", "table", None, last)]
    filled = with_spare(two, spare, sized(25.0, looks=5.0, table=6.0), ROOM)
    check_whole(filled, ladder)
    assert [[x.kind for x in sheet.extras] for sheet in filled.sheets] == [["looks"], ["table"]]
    assert [s.back_mm for s in filled.sheets] == [two.sheets[0].back_mm + 5.0, two.sheets[1].back_mm + 6.0]
    assert with_spare(two, spare, sized(25.0, looks=500.0, table=500.0), ROOM) == two


def test_spans_are_every_cut_once() -> None:
    """Four rungs on three sheets: three ways, each whole."""
    found = list(spans(4, 3))
    assert len(found) == len(set(found)) == 3
    assert all(cut[0][0] == 0 and cut[-1][1] == 4 for cut in found)


def test_only_exceptions_are_exits(ladder: Ladder) -> None:
    """YES to the next step falls through and is no exit, nor is CAN'T then; every other answer is."""
    for rung in ladder.rungs:
        following = str(rung.step.number + 1)
        told = {e.key for e in rung.exits}
        for answer in rung.step.answers:
            here = answer.target.kind == "step" and answer.target.number == following
            if (
                rung.step.decides
                and not rung.step.asks_history
                # Where YES has a line of its own nothing goes down, and CAN'T is printed too.
                and not (rung.falls and here and answer.key in ("yes", "cannot"))
            ):
                assert any(answer.label in e.label for e in rung.exits), (rung.id, answer.label)
            if rung.falls and answer.key == "yes":
                assert "yes" not in told
    assert ladder.backward_jumps == 0


def test_a_caution_speaks_at_the_first_rung_of_each_run(ladder: Ladder) -> None:
    """Frantz 1994: the words in the step; repetition within a run wears them out (Kim and Wogalter 2009)."""
    said = spoken(ladder.rungs, ladder)
    before: set[str] = set()
    for rung in ladder.rungs:
        # Who comes by a jump or from a failed proof has read nothing of the run.
        before = set() if rung.id in ladder.entered else before
        grave = {name for name, _ in rung.grave}
        assert grave - before <= set(said[rung.id])
        assert not (before & set(said[rung.id]))
        before = {name for name, _ in rung.step.cautions}
    ends = spoken(ladder.ends, ladder)
    assert all({name for name, _ in end.grave} <= set(ends[end.id]) for end in ladder.ends)
    for line in head_lines(ladder.rungs):
        steps = [str(r.step.number) for r in ladder.rungs if line.name in {n for n, _ in r.grave}]
        assert list(line.where) == steps


@pytest.mark.parametrize(
    ("title", "word"),
    [
        ("Fuse, both ends", "Fuse"),
        ("Lamp at the power plug", "Lamp"),
        ("Others on the feed", "Others"),
        ("Face", "Face"),
    ],
)
def test_the_key_word_is_the_head_of_the_title(catalogue: Catalogue, title: str, word: str) -> None:
    """A shared check without a word of its own."""
    body = next(iter(catalogue.checks.values())).model_copy(update={"key": None})
    assert key_word(body, title, catalogue) == word
    assert key_word(body.model_copy(update={"key": "Own"}), title, catalogue) == "Own"


def test_names_of_blocks_differ(ladder: Ladder) -> None:
    """Two blocks of one name would take each other's height."""
    names = [rung_block(ladder, r, top=top) for r in ladder.rungs for top in (False, True)]
    names += [end_block(ladder, end) for end in ladder.ends]
    assert len(names) == len(set(names))


def test_the_colon_of_a_reference_parts_nothing() -> None:
    """The hazard ends at the first colon of the prose."""
    from leadsman.book.rungs import first_words, hazard

    words = {"signal": "DANGER", "hazard": "It burns.", "result": "It hurts.", "avoid": "Keep off."}
    plain = Caution.model_validate({**words, "short": "Vapour for {value: time}: open up."})
    assert (hazard(plain), first_words(plain)) == ("Vapour for {value: time}", "Open up.")
    whole = Caution.model_validate({**words, "short": "Never work under it."})
    assert (hazard(whole), first_words(whole)) == ("Never work under it", "Never work under it.")
