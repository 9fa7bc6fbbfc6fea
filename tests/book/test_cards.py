"""A deck before layout: its common cards, and the blocks of each condition's card in order."""

from dataclasses import replace
from pathlib import Path

import pytest

import small_content
from leadsman.book.cards import SIGN_HEADINGS, Deck, build_deck, check_sheets, chosen_entries
from leadsman.book.manual import build_manual
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.edition import OffDeck
from leadsman.errors import OutputError
from leadsman.paths import data_folder


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


@pytest.fixture(scope="module")
def deck(catalogue: Catalogue) -> Deck:
    """The small content's deck."""
    return build_deck(catalogue.editions["deck"], catalogue)


def test_the_deck_has_its_common_cards_and_one_for_each_condition(deck: Deck) -> None:
    assert [(c.code, c.id) for c in deck.cards] == [
        ("0", "index"), ("Q", "find"), ("U", "use"), ("M", "menus"), ("X", "swaps"), ("P1", "low-volts"), ("D1", "no-depth"),
    ]  # fmt: skip
    assert set(deck.tables) == {"lead-drop"}


def test_index_and_quick_find_name_every_condition_with_a_card_or_without(catalogue: Catalogue) -> None:
    edition = catalogue.editions["deck"].model_copy(
        update={"handbook_only": [OffDeck(entry="no-depth", reason="Seldom met.")]}
    )
    deck = build_deck(edition, catalogue)
    assert [card.code for card in deck.cards] == ["0", "Q", "U", "X", "P1"]
    blocks = {block.id: block for card in deck.cards for block in card.blocks}
    assert [code for _, code, _ in blocks["effective-1"].data] == ["0", "Q", "U", "X", "P1"]
    assert [line.entry.id for line in blocks["in-handbook-d"].data["lines"]] == ["no-depth"]
    assert "in-handbook-p" not in blocks
    rows = blocks["messages-plain-1"].data["rows"]
    assert [(text, line.entry.code, line.card is not None) for text, line in rows] == [
        ("SEEKING", "D1", False), ("SUPPLY LOW", "P1", True),
    ]  # fmt: skip
    assert [(words, line.entry.code) for words, line in blocks["find-gone-1"].data["rows"]] == [
        ("No depth", "D1")
    ]


def test_menu_paths_stand_under_the_numbers_that_the_steps_print(deck: Deck, catalogue: Catalogue) -> None:
    tasks = list(catalogue.records["tasks"])
    rows = [row for block in deck.cards[3].blocks for row in block.data["rows"]]
    assert [number for number, _, _ in rows] == [
        tasks.index(task) + 1 for task in tasks if task in catalogue.families["plain"].menus
    ]


def test_a_deck_thicker_than_its_ring_is_refused_with_its_thickest_cards(deck: Deck) -> None:
    edition = deck.edition.model_copy(update={"most_sheets": 4})
    check_sheets(edition, {"0": 2, "P1": 5})
    with pytest.raises(
        OutputError, match=r"has 5 sheets, 4 are wanted at the most; .*thickest: D1 3, P1 2\)"
    ):
        check_sheets(edition, {"P1": 4, "D1": 5})


def test_each_step_and_end_is_one_block_the_ends_as_the_steps_name_them(
    deck: Deck, catalogue: Catalogue
) -> None:
    entry = catalogue.faults["no-depth"]
    targets = [outcome.then for check in entry.checks for outcome in check.outcomes.values()]
    findings = sorted((finding.id for finding in entry.findings), key=targets.index)
    names = [block.id for block in deck.cards[6].blocks]
    wanted = [
        *(f"no-depth-step-{check.id}" for check in entry.checks),
        *(f"no-depth-fix-{name}" for name in findings),
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
        ("YES", "step", "5"), ("NO", "fix", "B"), ("CAN'T", "hand-over", "F"),
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


def test_the_menu_card_has_the_path_of_every_setting_that_a_step_or_fix_names() -> None:
    """Simulator, range and limits stand in a step's details: their paths were missing on card M."""
    catalogue = load(data_folder("content"))
    deck = build_deck(catalogue.editions["pocket-deck"], catalogue)
    (menus,) = (card for card in deck.cards if card.id == "menus")
    printed = {row[1].name for block in menus.blocks for row in block.data["rows"]}
    tasks = catalogue.records["tasks"]
    named = {task for card in deck.cards if card.view for task in card.view.menu_tasks}
    assert {"transmit-off", "range-auto", "depth-gates", "sensitivity-auto", "simulator-off"} <= named
    owned = {task for family in catalogue.families.values() for task in family.menus}
    assert {tasks[task].name for task in named & owned} <= printed


def test_a_sign_stands_under_each_of_its_headings_and_a_number_by_how_it_fails(tmp_path: Path) -> None:
    """Owners look twice, and a frozen number is a danger of its own (common practice, no published source)."""
    found = small_content.edited(
        tmp_path,
        ("faults/depth/no-depth.yaml", "number: [gone]", "number: [gone, frozen]"),
        ("faults/depth/no-depth.yaml", "{by: number, words: No depth}", "{by: [number, motion, fine], words: No depth}"),
    )  # fmt: skip
    deck = build_deck(found.editions["deck"], found)
    blocks = {block.id: block for card in deck.cards for block in card.blocks}
    groups = [name for name in SIGN_HEADINGS if f"find-{name}-1" in blocks]
    assert groups == ["gone", "frozen", "motion", "fine"]
    assert all(
        [words for words, _ in blocks[f"find-{group}-1"].data["rows"]] == ["No depth"] for group in groups
    )


def test_the_index_of_the_handbook_sorts_the_number_and_asks_before_anything_is_wrong() -> None:
    catalogue = load(data_folder("content"))
    edition = catalogue.editions["handbook"].model_copy(update={"tables": ["plug-volts"]})
    signs = dict(build_manual(edition, catalogue).signs)
    codes = {heading: {entry.code for _, entry in rows} for heading, rows in signs.items()}
    assert "Depth number" not in signs
    assert {"D1", "D2", "D3"} <= codes["Depth number gone"]
    assert {"D6", "D7", "D8"} <= codes["Depth number wrong"]
    assert {"D11", "D12"} <= codes["Depth number stands still"]
    assert {"I5", "I6", "I7", "I8"} <= codes["Nothing wrong yet"]
