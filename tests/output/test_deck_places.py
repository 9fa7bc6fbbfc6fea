"""Where a table stands, as a text says it: the reader's own set first, the sheet of a set before a card."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

import small_content
from leadsman.book.sheet_plan import Extra
from leadsman.content.catalogue import load
from leadsman.content.model.phrases import LadderWords
from leadsman.output.deck_places import PIN_TABLE, Places, Standing, what_of, widest

TABLE = ("table", "lead-drop")


@pytest.fixture(scope="module")
def words() -> LadderWords:
    """Return the words of the small content."""
    return load(small_content.FOLDER).phrases().ladder


def table(name: str) -> Extra:
    """Return a block with a table."""
    data: Any = SimpleNamespace(table=SimpleNamespace(id=name))
    return Extra(f"block-{name}", "table", data)


def test_a_block_is_known_by_the_name_that_texts_use() -> None:
    """Tables and pictures by their ids, pin tables all by one word; a list of sheets is named by nobody."""
    assert what_of(table("lead-drop")) == TABLE
    assert what_of(Extra("x", "picture", "chain")) == ("picture", "chain")
    assert what_of(Extra("x", "pins", ("TD", []))) == ("term", PIN_TABLE)
    assert what_of(Extra("x", "effective", [])) is None


def test_the_readers_own_set_comes_first_and_a_sheet_before_a_card(words: LadderWords) -> None:
    """Whoever holds a card of the set D is not sent to the ring P, nor to another card while the set's sheet has it."""
    places = Places(words)
    places.put([table("lead-drop")], "P9", 2, "P0")
    assert places.named(TABLE, "D0") == "P9\u00a0face\u00a02"
    places.put([table("lead-drop")], "P0", 4, "P0")
    assert places.named(TABLE, "D0") == "P0\u00a0face\u00a04"
    places.put([table("lead-drop")], "D4", 2, "D0")
    assert places.named(TABLE, "D0") == "D4\u00a0face\u00a02"
    assert places.named(TABLE, "P0") == "P0\u00a0face\u00a04"
    assert places.named(("table", "other"), "P0") == ""


def test_what_runs_over_several_faces_is_named_from_first_to_last(words: LadderWords) -> None:
    """The pin tables of eight transducers take more than one face."""
    places = Places(words)
    for face in (2, 3, 4):
        places.put([Extra(f"pins-{face}", "pins", ("TD", []))], "C0", face, "C0")
    assert places.named(("term", PIN_TABLE), "C0") == "C0\u00a0faces\u00a02–4"


def test_a_sheet_whose_faces_are_not_known_is_named_alone(words: LadderWords) -> None:
    """A preview of one card knows the sheet, not the face."""
    places = Places(words, {TABLE: [Standing("P0", (), "P0")]})
    assert places.named(TABLE, "C0") == "P0"


@pytest.mark.parametrize(("code", "face"), [("P0", 1), ("P0", 10), ("D02", 4), ("C10", 2)])
def test_no_place_is_wider_than_it_was_measured(words: LadderWords, code: str, face: int) -> None:
    """Blocks are measured before the faces are known: what is printed later never takes more letters."""
    measured = widest(words, {TABLE: {"P0", "D02", "C10"}}).named(TABLE, "P0")
    assert len(measured) >= len(Places(words).said(Standing(code, (face,), "P0")))


def test_a_table_of_no_sheet_has_no_place(words: LadderWords) -> None:
    """What stands in the book only is told as such elsewhere."""
    assert widest(words, {TABLE: ()}).named(TABLE, "P0") == ""


def test_what_stands_outside_of_the_readers_set_is_noted(words: LadderWords) -> None:
    """A card that is set beside its own set alone must know when it names what only the whole deck tells."""
    places = Places(words)
    places.put([table("lead-drop")], "P0", 5, "P0")
    assert places.named(TABLE, "P0")
    assert not places.asked_elsewhere
    assert places.named(TABLE, "D0")
    assert places.asked_elsewhere
    unknown = Places(words)
    assert unknown.named(TABLE, "P0") == ""
    assert unknown.asked_elsewhere
