"""A deck before layout: the blocks of a card in order, and how they are packed into faces."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import small_content
from leadsman.book.cards import Block, Card, Deck, build_deck, chosen_entries, pack
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.errors import OutputError


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


@pytest.fixture(scope="module")
def deck(catalogue: Catalogue) -> Deck:
    """The small content's deck."""
    return build_deck(catalogue.editions["deck"], catalogue)


def card(*new_faces: bool) -> Card:
    """A card of blocks b0, b1, ..., each beginning a new face or not."""
    blocks = tuple(Block(f"b{i}", "step", None, new_face=new) for i, new in enumerate(new_faces))
    return Card("some-fault", "P7", "Some fault", 0, blocks)


def heights(*values: float) -> dict[str, float]:
    return {f"b{i}": value for i, value in enumerate(values)}


def test_blocks_fill_a_face_and_go_on_on_the_next() -> None:
    faces = pack(card(False, False, False), heights(40, 60, 1), 100)
    assert [[b.id for b in face.blocks] for face in faces] == [["b0", "b1"], ["b2"]]
    assert [(face.number, face.is_front, face.height_mm) for face in faces] == [(1, True, 100), (2, False, 1)]


@pytest.mark.parametrize(("first", "faces"), [(61.0, 2), (59.0, 1)])
def test_a_wanted_new_face_is_begun_when_the_old_one_is_well_filled(first: float, faces: int) -> None:
    assert len(pack(card(False, True), heights(first, 10), 100)) == faces


def test_a_block_taller_than_a_face_is_named_with_the_excess() -> None:
    with pytest.raises(OutputError, match=r"card P7: the block 'b1' is 3\.4 mm taller than a face; shorten"):
        pack(card(False, False), heights(10, 103.4), 100)


BLOCKS = st.lists(st.tuples(st.floats(0.1, 130), st.booleans()), min_size=1, max_size=25)


@given(BLOCKS)
def test_packing_never_splits_loses_or_reorders_a_block(blocks: list[tuple[float, bool]]) -> None:
    tall = [i for i, (height, _) in enumerate(blocks) if height > 100]
    made, high = card(*(new for _, new in blocks)), heights(*(height for height, _ in blocks))
    if tall:
        with pytest.raises(OutputError, match=f"'b{tall[0]}' is {blocks[tall[0]][0] - 100:.1f} mm taller"):
            pack(made, high, 100)
        return
    faces = pack(made, high, 100)
    assert [block for face in faces for block in face.blocks] == list(made.blocks)
    assert [face.number for face in faces] == list(range(1, len(faces) + 1))
    for face in faces:
        assert face.blocks
        assert face.height_mm <= 100
        assert face.height_mm == pytest.approx(sum(high[block.id] for block in face.blocks))


@given(BLOCKS)
def test_a_face_ends_only_where_the_next_block_does_not_fit_or_wants_its_own(
    blocks: list[tuple[float, bool]],
) -> None:
    assume(all(height <= 100 for height, _ in blocks))
    high = heights(*(height for height, _ in blocks))
    faces = pack(card(*(new for _, new in blocks)), high, 100)
    for face, after in pairwise(faces):
        first = after.blocks[0]
        assert face.height_mm + high[first.id] > 100 or (first.new_face and face.height_mm > 60)


def test_the_deck_has_an_index_and_one_card_for_each_condition(deck: Deck) -> None:
    assert [(c.code, c.id) for c in deck.cards] == [("0", "index"), ("P1", "low-volts"), ("D1", "no-depth")]
    assert set(deck.tables) == {"lead-drop"}


def test_the_index_lists_every_card_and_every_message(deck: Deck) -> None:
    blocks = {block.id: block for block in deck.cards[0].blocks}
    assert [c.id for c in blocks["index-d"].data["cards"]] == ["no-depth"]
    assert [c.id for c in blocks["index-p"].data["cards"]] == ["low-volts"]
    rows = blocks["messages-plain"].data["rows"]
    assert [(text, c.code) for text, c in rows] == [("SEEKING", "D1"), ("SUPPLY LOW", "P1")]


def test_each_step_fix_and_end_is_one_block_in_the_written_order(deck: Deck, catalogue: Catalogue) -> None:
    entry = catalogue.faults["no-depth"]
    names = [block.id for block in deck.cards[2].blocks]
    wanted = [
        *(f"no-depth-step-{check.id}" for check in entry.checks),
        *(f"no-depth-fix-{finding.id}" for finding in entry.findings),
        *(f"no-depth-end-{end.id}" for end in entry.hand_overs),
    ]
    assert [name for name in names if name in wanted] == wanted
    assert names[0] == "no-depth-lead"
    assert "no-depth-table" in names
    assert len(names) == len(set(names))


def test_an_edition_may_choose_its_entries(catalogue: Catalogue) -> None:
    edition = catalogue.editions["deck"]
    assert [e.id for e in chosen_entries(edition, catalogue)] == ["low-volts", "no-depth"]
    chosen = edition.model_copy(update={"entries": ["no-depth"]})
    assert [e.id for e in chosen_entries(chosen, catalogue)] == ["no-depth"]


def test_codes_are_sorted_as_numbers(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / "faults/power/low-volts.yaml").read_text()
    for code in ("P10", "P2"):
        new = text.replace("code: P1", f"code: {code}").replace("id: low-volts", f"id: {code.lower()}")
        (folder / f"faults/power/{code.lower()}.yaml").write_text(new)
    loaded = load(folder)
    assert [e.code for e in chosen_entries(loaded.editions["deck"], loaded)] == ["P1", "P2", "P10", "D1"]


def test_a_reader_sees_numbers_letters_and_where_each_answer_leads(catalogue: Catalogue) -> None:
    view = view_entry(Decision(catalogue.faults["no-depth"], catalogue))
    assert [step.number for step in view.steps] == list(range(1, 10))
    assert [fix.letter for fix in view.fixes] == ["A", "B", "C", "D", "E"]
    assert [end.letter for end in view.hand_overs] == ["F"]
    software = next(step for step in view.steps if step.id == "software")
    assert [(a.label, a.target.kind, a.target.number) for a in software.answers] == [
        ("YES", "step", "5"), ("NO", "fix", "C"), ("CAN'T", "hand-over", "F"),
    ]  # fmt: skip
    assert view.steps[0].asks_history
    assert view.fixes[0].not_proved.number == "F"
    # The shares of the history "in service" are those of the file: 40, 20, 5, 15 and 20 of 100.
    assert sorted(line.percent[0] for line in view.likelihoods) == [5, 15, 20, 20, 40]
    assert view.menu_tasks == ("record-settings", "restore-defaults", "update-software")


def test_the_gravest_caution_comes_first(catalogue: Catalogue) -> None:
    entry = catalogue.faults["no-depth"]
    finding = entry.findings[0].model_copy(update={"cautions": ["update-battery", "vapour", "live-element"]})
    changed = entry.model_copy(update={"findings": [finding, *entry.findings[1:]]})
    view = view_entry(Decision(changed, replace(catalogue)))
    assert [caution.signal for _, caution in view.fixes[0].cautions] == ["DANGER", "WARNING", "NOTICE"]
