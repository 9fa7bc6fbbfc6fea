"""The finder ring block by block: hazards and cautions first, signs and messages, menus, swaps, and what hangs on it.

Common practice of indexes (alphabet, short lists that stand whole), no source; signal words by ANSI Z535.6.
"""

from __future__ import annotations

from typing import Any

import pytest

import small_content
from leadsman.book.finder import FinderCard, _listed, _pieces, build_finder
from leadsman.book.index import by_message, by_sign
from leadsman.book.packing import Block
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import DeckEdition, SheetSet
from leadsman.content.model.fault import Sign
from leadsman.content.model.reference import Caution, Hazard


def content() -> Catalogue:
    return small_content.edited()


def cards(catalogue: Catalogue) -> dict[str, FinderCard]:
    return {card.code: card for card in build_finder(catalogue.editions["deck"], catalogue)}  # type: ignore[arg-type]


def blocks(card: FinderCard) -> dict[str, Block]:
    return {block.id: block for block in card.blocks}


def changed(catalogue: Catalogue, kind: str, name: str, **changes: Any) -> None:
    catalogue.records[kind][name] = catalogue.records[kind][name].model_copy(update=changes)


@pytest.mark.parametrize(("count", "most", "lengths"), [(0, 2, []), (1, 2, [1]), (2, 2, [2]), (3, 2, [1, 2]), (4, 2, [2, 2]), (9, 8, [4, 5]), (8, 8, [8]), (17, 8, [5, 6, 6])])  # fmt: skip
def test_a_list_is_cut_into_even_pieces(count: int, most: int, lengths: list[int]) -> None:
    found = list(_pieces(range(count), most))
    assert [len(piece) for piece in found] == lengths
    assert [item for piece in found for item in piece] == list(range(count))


def test_two_signs_or_eight_messages_stand_together_by_alphabet() -> None:
    rows = [(words, "D1") for words in ("b", "C", "a")]
    found = list(_listed("signs-gone", "Gone", rows))
    assert [(b.id, b.data["first"], b.data["short"], [words for words, _ in b.data["rows"]]) for b in found] == [
        ("signs-gone-1", True, False, ["a"]), ("signs-gone-2", False, False, ["b", "C"]),
    ]  # fmt: skip
    (short,) = _listed("messages", "Says", [(str(n), "D1") for n in range(8)], short=True)
    assert (short.data["group"], short.data["first"], short.data["short"]) == ("Says", True, True)
    assert len(list(_listed("messages", "Says", [(str(n), "D1") for n in range(9)], short=True))) == 2


def test_the_first_card_has_hazards_then_grave_cautions_then_what_holds_always() -> None:
    catalogue = content()
    words = {"hazard": "It is.", "result": "It hurts.", "avoid": "Do not."}
    cautions = catalogue.records["cautions"]
    cautions["depth"] = Caution.model_validate({"signal": "CAUTION", "short": "Mind.", **words})
    cautions["own"] = Caution.model_validate({"signal": "NOTICE", "short": "Own.", "general": False, **words})
    assert list(blocks(cards(catalogue)["F"])) == [
        "caution-vapour", "caution-live-element", "caution-update-battery", "caution-depth",
    ]  # fmt: skip
    catalogue.records["hazards"]["smell"] = Hazard.model_validate(
        {"title": "Vapour is smelt", "signal": "DANGER", "words": ["I smell"], "short": "Off.", "say": "Get off.",
         "do": ["Go."], "comes": "The fire service.", "until": "it is gone.", "cautions": ["vapour"], "areas": ["power"]}
    )  # fmt: skip
    # The caution is told with its hazard, in full.
    found = blocks(cards(catalogue)["F"])
    assert list(found)[:2] == ["hazard-smell", "caution-live-element"]
    assert "caution-vapour" not in found
    assert (
        found["hazard-smell"].kind,
        found["caution-live-element"].kind,
        found["caution-update-battery"].kind,
    ) == ("hazard", "caution", "notices")
    assert found["caution-update-battery"].data == [cautions["update-battery"]]


def test_signs_and_messages_lead_to_codes() -> None:
    found = blocks(cards(content())["Q"])
    assert list(found) == ["signs-gone-1", "messages-plain-1"]
    assert found["signs-gone-1"].data["rows"] == [("No depth", "D1")]
    assert found["messages-plain-1"].data == {
        "group": "Plain says", "first": True, "rows": [("SEEKING", "D1"), ("SUPPLY LOW", "P1")], "short": True,
    }  # fmt: skip


def test_three_signs_of_a_condition_stand_on_the_ring_and_all_in_the_book() -> None:
    catalogue = content()
    entry = catalogue.faults["no-depth"]
    signs = [entry.condition.signs[0].model_copy(update={"words": f"{letter} sign"}) for letter in "dbca"]
    changed(catalogue, "faults", "no-depth", condition=entry.condition.model_copy(update={"signs": signs}))
    rows = [
        row
        for block in cards(catalogue)["Q"].blocks
        if block.id.startswith("signs")
        for row in block.data["rows"]
    ]
    assert rows == [("b sign", "D1"), ("c sign", "D1"), ("d sign", "D1")]
    entries = list(catalogue.faults.values())
    ((kind, heading, every),) = by_sign(entries, catalogue.phrases())
    assert (kind, heading, [words for words, _ in every]) == (
        "gone",
        "Depth number gone",
        ["a sign", "b sign", "c sign", "d sign"],
    )
    assert [[words for words, _ in rows] for _, _, rows in by_sign(entries, catalogue.phrases(), 1)] == [
        ["d sign"]
    ]
    ((family, shown),) = by_message(entries, catalogue.families.values())
    assert [(family.id, str(message.text), entry.id) for message, entry in shown] == [
        ("plain", "SEEKING", "no-depth"), ("plain", "SUPPLY LOW", "low-volts"),
    ]  # fmt: skip


def menus(catalogue: Catalogue) -> list[tuple[bool, str, list[tuple[int, list[str]]]]]:
    found = [block.data for block in cards(catalogue)["M"].blocks if block.kind == "menus"]
    return [
        (data["first"], data["start"], [(number, path) for number, _, path in data["rows"]]) for data in found
    ]


def test_menu_paths_stand_under_their_number_without_what_most_begin_with() -> None:
    catalogue = content()
    assert menus(catalogue) == [
        (True, "LIST key", [(1, ["…", "Choices"])]),
        (False, "LIST key", [(2, ["…", "As new"]), (3, ["…", "Load"])]),
    ]
    own = {
        "record-settings": ["LIST key", "Choices"],
        "restore-defaults": ["Knob", "As new"],
        "update-software": ["LIST key"],
    }
    changed(catalogue, "families", "plain", menus=own)
    # A path of the shared beginning alone is printed, and so is one that begins otherwise.
    assert [row for _, _, rows in menus(catalogue) for row in rows] == [
        (1, ["…", "Choices"]), (2, ["Knob", "As new"]), (3, ["LIST key"]),
    ]  # fmt: skip


def test_a_menu_that_no_step_names_or_that_a_display_lacks_is_left_out() -> None:
    catalogue = content()
    spare = catalogue.records["tasks"]["record-settings"].model_copy(update={"name": "Spare"})
    catalogue.records["tasks"] = {"spare": spare, **catalogue.records["tasks"]}
    family = catalogue.families["plain"]
    less = {name: path for name, path in family.menus.items() if name != "restore-defaults"}
    changed(catalogue, "families", "plain", menus={**less, "spare": ["LIST key", "Spare"]})
    # The numbers are those of the whole list of tasks.
    assert [[number for number, _ in rows] for _, _, rows in menus(catalogue)] == [[2, 4]]


def test_swaps_are_explained_where_there_are_some() -> None:
    catalogue = content()
    found = blocks(cards(catalogue)["M"])
    assert [name for name in found if not name.startswith("menus")] == [
        "supply", "swap-rule", "swap-borrowed-transducer", "swap-together", "index-list",
    ]  # fmt: skip
    together = found["swap-together"].data
    assert together["tests"] == ["Borrowed transducer"]
    assert [row.answers for row in together["rows"]] == [("returns",), ("same",)]
    assert together["labels"] == {"returns": "GONE, BACK", "not-back": "GONE, NOT BACK", "same": "SAME"}
    assert found["supply"].data == list(catalogue.families.values())
    # What no single fault explains is no row.
    borrowed = catalogue.checks["borrowed-transducer"]
    assert borrowed.swap is not None
    every = {"part": list(catalogue.records["components"]), "carries": []}
    changed(catalogue, "checks", "borrowed-transducer", swap=borrowed.swap.model_copy(update=every))
    assert [row.answers for row in blocks(cards(catalogue)["M"])["swap-together"].data["rows"]] == [
        ("returns",)
    ]
    changed(catalogue, "checks", "borrowed-transducer", swap=None)
    assert [name for name in blocks(cards(catalogue)["M"]) if name.startswith("swap")] == []


def test_what_hangs_on_the_ring_and_in_which_sets() -> None:
    """One set is the ring itself; several are listed, by their areas' letters or by the codes that they hold alone."""
    catalogue = content()
    assert blocks(cards(catalogue)["M"])["index-list"].data == [
        ("first", "F", "First of all"), ("signs", "Q", "Signs"), ("menus", "M", "Menus and swaps"),
    ]  # fmt: skip
    assert "index-sets" not in blocks(cards(catalogue)["M"])
    deck = catalogue.editions["deck"]
    assert isinstance(deck, DeckEdition)
    (one,) = deck.sets
    assert isinstance(one, SheetSet)
    own = one.model_copy(update={"name": "Own", "areas": ["power"], "only": ["no-depth", "low-volts"]})
    changed(catalogue, "editions", "deck", sets=[one, own])
    assert blocks(cards(catalogue)["M"])["index-sets"].data == [("All", "P, D"), ("Own", "D1, P1")]


def test_words_that_can_tell_of_a_danger_lead_to_the_first_card_before_their_own() -> None:
    catalogue = content()
    said = Sign.model_validate({"by": "power", "words": "It smells"})

    def where(sign: Sign) -> str:
        condition = catalogue.faults["low-volts"].condition.model_copy(update={"signs": [sign]})
        changed(catalogue, "faults", "low-volts", condition=condition)
        found = [row for block in cards(catalogue)["Q"].blocks if block.id.startswith("signs-power")
                 for row in block.data["rows"]]  # fmt: skip
        return str(dict(found)["It smells"])

    assert where(said) == "P1"
    assert where(said.model_copy(update={"first": "smell"})) == "F, P1"
    assert catalogue.faults["low-volts"].condition.danger("Something else") is None
