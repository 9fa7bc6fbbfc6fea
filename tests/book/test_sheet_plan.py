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
    balanced,
    end_block,
    head_block,
    plan_sheets,
    rung_block,
    spans,
    strip_block,
    where_blocks,
    with_spare,
)
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.reference import Caution

ROOM = Room(200.0, 2)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


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
    catalogue = small_content.edited()
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


# --- heights by hand ---------------------------------------------------------------------------------


def named(**own: float):
    """Heights by the whole name of a block without the entry's; every other is 0."""

    def ask(names: Iterable[str]) -> Heights:
        return {name: own.get(name.removeprefix("no-depth-").replace("-", "_"), 0.0) for name in names}

    return ask


def test_the_height_of_a_face_is_that_of_its_blocks(ladder: Ladder) -> None:
    """Front: head, strip and steps, the first with its place said once more. Back: head, strip, the taller column, extras."""
    heights = {"head_front": 10.0, "strip_7_8": 3.0, "rung_history_top": 7.0, "rung_history": 1000.0, "rung_pins": 5.0,
               "head_back": 20.0, "strip_D": 2.0, "ending_found_plug": 30.0, "ending_hand_over": 12.0, "x_table": 4.0}  # fmt: skip
    plan = plan_sheets(ladder, [Extra("x-table", "table", None)], named(**heights), Room(100.0, 2), 1)
    (sheet,) = plan.sheets
    assert (sheet.front_mm, sheet.rungs_mm, sheet.back_mm) == (25.0, 12.0, 20.0 + 2.0 + 30.0 + 4.0)
    assert (plan.fits, plan.over_front_mm, plan.over_back_mm, plan.moved) == (True, 0.0, 0.0, ())
    assert [[end.id for end in column] for column in sheet.columns] == [
        ["found-plug"], ["found-software", "found-joint", "found-element", "found-setting", "hand-over"],
    ]  # fmt: skip
    alone = plan_sheets(
        ladder, [Extra("x-table", "table", None)], named(**heights), Room(100.0, 1), 1
    ).sheets[0]
    assert alone.back_mm == 20.0 + 2.0 + 42.0 + 4.0
    assert len(alone.columns) == 1


def test_what_is_too_tall_is_told_to_a_tenth(ladder: Ladder) -> None:
    plan = plan_sheets(ladder, [], named(head_front=60.04, head_back=50.26), Room(50.0, 2), 1)
    assert (plan.over_front_mm, plan.over_back_mm, plan.fits) == (10.0, 0.3, False)
    assert not plan_sheets(ladder, [], named(head_front=60.0), Room(50.0, 2), 1).fits
    assert not plan_sheets(ladder, [], named(head_back=60.0), Room(50.0, 2), 1).fits
    # To the millimetre full is not too tall.
    assert plan_sheets(ladder, [], named(head_front=50.0, head_back=50.0), Room(50.0, 2), 1).fits


def test_the_second_sheet_has_heads_of_its_own(ladder: Ladder) -> None:
    """Both halves hold a tall step: the cut lies between, where the fronts are most even."""
    heights = {
        "head_front": 5.0,
        "head_front_more": 9.0,
        "head_back": 1.0,
        "head_back_more": 2.0,
        "rung_plug": 30.0,
        "rung_lamp": 30.0,
        "rung_lamp_top": 31.0,
        "rung_plug_top": 35.0,
    }
    one, two = plan_sheets(ladder, [], named(**heights), Room(41.0, 2), 2).sheets
    assert (one.number, two.number) == (1, 2)
    assert (one.rungs[-1].id, two.rungs[0].id) == ("plug", "lamp")
    assert (one.front_mm, two.front_mm) == (35.0, 40.0)
    assert (one.back_mm, two.back_mm) == (1.0, 2.0)


def test_a_ladder_that_goes_over_heads_its_back_with_the_rest(ladder: Ladder) -> None:
    heights = {
        "head_front": 10.0,
        "head_over": 6.0,
        "head_back": 1000.0,
        "rung_restore_top": 25.0,
        "rung_restore": 60.0,
        "rung_swap": 50.0,
    }
    (sheet,) = plan_sheets(ladder, [], named(**heights), Room(100.0, 2), 2, goes_over=True).sheets
    assert [rung.id for rung in sheet.over] == ["restore"]
    assert (sheet.front_mm, sheet.back_mm) == (60.0, 31.0)
    assert sheet.steps == ladder.rungs


@pytest.mark.parametrize(
    ("heights", "columns", "cut"),
    [([], 2, [0]), ([5.0], 2, [1]), ([5.0, 5.0], 1, [2]), ([9.0, 1.0, 1.0, 1.0], 2, [1, 3]), ([1.0, 1.0, 1.0, 9.0], 2, [3, 1]),
     ([2.0, 2.0, 2.0, 2.0], 2, [2, 2]), ([4.0, 3.0, 3.0], 2, [1, 2])],
)  # fmt: skip
def test_ends_stand_in_even_columns(
    ladder: Ladder, heights: list[float], columns: int, cut: list[int]
) -> None:
    ends = ladder.ends[: len(heights)]
    found = balanced(ends, heights, columns)
    assert [len(column) for column in found] == cut
    assert [end for column in found for end in column] == list(ends)


def test_the_tallest_extra_goes_to_the_front_first_and_no_more_than_must(ladder: Ladder) -> None:
    small, tall = Extra("x-small", "bring", None), Extra("x-tall", "table", None)
    (sheet,) = plan_sheets(
        ladder,
        [small, tall],
        named(head_back=90.0, x_small=8.0, x_tall=10.0),
        Room(100.0, 2),
        1,
        tables_may_move=False,
    ).sheets
    assert ([x.id for x in sheet.front_extras], [x.id for x in sheet.extras]) == (["x-tall"], ["x-small"])
    assert (sheet.front_mm, sheet.back_mm) == (10.0, 98.0)
    # A back that is full to the millimetre keeps what it has.
    (kept,) = plan_sheets(ladder, [tall], named(head_back=90.0, x_tall=10.0), Room(100.0, 2), 1).sheets
    assert ([x.id for x in kept.extras], kept.front_extras) == (["x-tall"], ())
    # A front that is full to the millimetre with it takes it, a fuller one does not.
    full = plan_sheets(
        ladder,
        [tall],
        named(head_back=95.0, head_front=90.0, x_tall=10.0),
        Room(100.0, 2),
        1,
        tables_may_move=False,
    )
    assert [x.id for x in full.sheets[0].front_extras] == ["x-tall"]
    over = plan_sheets(
        ladder,
        [tall],
        named(head_back=95.0, head_front=90.5, x_tall=10.0),
        Room(100.0, 2),
        1,
        tables_may_move=False,
    )
    assert (over.sheets[0].front_extras, over.fits) == ((), False)


def test_of_table_and_picture_the_picture_is_moved_first_then_the_table_then_both(ladder: Ladder) -> None:
    table, picture, bring = (Extra(f"x-{kind}", kind, None) for kind in ("table", "picture", "bring"))
    for tall, moved in (
        ({"x_picture": 60.0}, ["picture"]), ({"x_table": 60.0, "x_picture": 5.0}, ["table"]), ({"x_table": 55.0, "x_picture": 55.0}, ["table", "picture"]), ({}, []),
    ):  # fmt: skip
        room = {
            "head_front": 50.0,
            "head_back": 48.0,
            "x_table_where": 1.0,
            "x_picture_where": 1.0,
            "x_bring": 1.0,
        }
        plan = plan_sheets(ladder, [table, picture, bring], named(**{**room, **tall}), Room(100.0, 2), 1)
        assert plan.fits
        assert [extra.kind for extra in plan.moved] == moved
        kinds = [extra.kind for extra in plan.sheets[0].extras]
        # Where it stood, a line says where it is; what is to bring never leaves the sheet.
        assert kinds.count("where") == len(moved)
        assert "bring" in kinds
    assert [extra.id for extra in where_blocks([table, picture, bring])] == [
        "x-table-where",
        "x-picture-where",
    ]


def test_an_extra_stands_behind_the_steps_that_use_it(ladder: Ladder) -> None:
    """On two sheets: what every step uses on the first, what a step uses with that step, what none uses on the last."""
    heights = {"rung_plug": 30.0, "rung_plug_top": 35.0, "rung_lamp": 30.0, "rung_lamp_top": 30.0}
    extras = [
        Extra("x-all", "bring", None), Extra("x-lamp", "readings", None, frozenset({"lamp"})), Extra("x-none", "readings", None, frozenset({"absent"})),
        Extra("x-first", "readings", None, frozenset({"plug", "lamp"})),
    ]  # fmt: skip
    one, two = plan_sheets(ladder, extras, named(**heights), Room(41.0, 2), 2).sheets
    assert [x.id for x in one.extras] == ["x-all", "x-first"]
    assert [x.id for x in two.extras] == ["x-lamp", "x-none"]


def test_a_spare_block_fills_a_back_to_the_millimetre(ladder: Ladder) -> None:
    plan = plan_sheets(ladder, [], named(head_back=90.0), Room(100.0, 2), 1)
    spare = [Extra("x-a", "looks", None), Extra("x-b", "looks", None)]
    filled = with_spare(plan, spare, named(x_a=10.0, x_b=0.5), Room(100.0, 2))
    assert ([x.id for x in filled.sheets[0].extras], filled.sheets[0].back_mm) == (["x-a"], 100.0)
    assert with_spare(plan, spare, named(x_a=10.5, x_b=0.5), Room(100.0, 2)).sheets[0].extras == (spare[1],)


def test_a_block_of_hazards_bears_the_steps_and_letters_that_it_is_about(ladder: Ladder) -> None:
    assert strip_block(ladder, ladder.rungs) == "no-depth-strip-7-8"
    assert strip_block(ladder, ladder.ends) == "no-depth-strip-D"
    assert strip_block(ladder, ladder.rungs[:3]) == ""
    heads = [head_block(ladder, side, first) for side in ("front", "back") for first in (True, False)]
    assert heads == [
        "no-depth-head-front",
        "no-depth-head-front-more",
        "no-depth-head-back",
        "no-depth-head-back-more",
    ]
