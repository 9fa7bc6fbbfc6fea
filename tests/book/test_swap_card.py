"""What swap results mean, by hand, on the small content and by the trade's own rules.

Common practice of the trade, no published source: a borrowed display brings its settings and software, a
borrowed transducer a mounting; a fault that does not return convicts nothing.
"""

from pathlib import Path

import pytest

import small_content
from leadsman.book.swap_card import Combination, Meaning, SwapCard, swap_card
from leadsman.content.catalogue import load
from leadsman.paths import data_folder


@pytest.fixture(scope="module")
def card() -> SwapCard:
    return swap_card(load(small_content.FOLDER))


@pytest.fixture(scope="module")
def whole() -> SwapCard:
    """The handbook's own content."""
    return swap_card(load(data_folder("content")))


def ids(meaning: Meaning | Combination) -> set[str]:
    return {part.id for part in meaning.suspects}


def test_what_the_borrowed_transducer_involves(card: SwapCard) -> None:
    (swap,) = card.swaps
    signs = {part.id: card.sign(swap, part.id) for part in card.components}

    assert signs == {"joints": "stays", "display": "stays", "settings": "stays", "software": "stays",
                     "plug": "exchanged", "cable": "exchanged", "element": "exchanged", "mounting": "brought"}  # fmt: skip
    assert card.sign(swap, "absent") == ""


def test_gone_and_back_leaves_what_was_exchanged_and_brought(card: SwapCard) -> None:
    gone, not_back, same = card.swaps[0].meanings

    assert (gone.label, ids(gone)) == ("GONE, BACK", {"plug", "cable", "element", "mounting"})
    assert {part.id for part in gone.cleared} == {"joints", "display", "settings", "software"}
    assert (same.label, ids(same)) == ("SAME", {"joints", "display", "settings", "software"})
    # The act of swapping may have mended it: nothing is convicted and nothing cleared.
    assert not not_back.decides
    assert (len(not_back.suspects), not_back.cleared) == (8, ())


def test_the_handbook_never_convicts_a_display_alone(whole: SwapCard) -> None:
    swaps = {swap.check: swap for swap in whole.swaps}
    gone = {answer.answer: answer for answer in swaps["borrowed-display"].meanings}["returns"]

    feed_and_cradle = {"battery", "supply-cable", "joints", "cradle"}
    assert ids(gone) == {"display", "settings", "software"} | feed_and_cradle
    for swap in whole.swaps:
        for meaning in swap.meanings:
            assert ids(meaning) | {part.id for part in meaning.cleared} == {p.id for p in whole.components}
            assert not ids(meaning) & {part.id for part in meaning.cleared}


@pytest.mark.parametrize("name", ["borrowed-display", "borrowed-socket"])
def test_a_borrowed_display_proves_nothing_of_feed_and_cradle(whole: SwapCard, name: str) -> None:
    """Common practice, no source: another unit draws less or bears less, and reseating mends a cradle.

    So the fault that went with the borrowed one leaves the feed suspect; that it stayed leaves it suspect as well.
    """
    (swap,) = (s for s in whole.swaps if s.check == name)
    gone, _, same = swap.meanings
    feed_and_cradle = {"battery", "supply-cable", "joints", "cradle"}
    assert feed_and_cradle <= ids(gone)
    assert feed_and_cradle <= ids(same)
    assert "cable" not in ids(gone), "the boat's own cable worked with the borrowed one"


def test_a_free_discriminator_clears_or_leaves_what_it_tests(whole: SwapCard) -> None:
    free = {test.check: test for test in whole.discriminators}
    yes, no = free["temperature-shown"].meanings

    assert {"plug", "cable"} < ids(no), "a part that the reading passes through may be at fault too"
    assert {"display", "settings"} <= ids(no)
    assert "display" not in {part.id for part in yes.cleared}
    assert ids(yes) & {"plug", "cable"} == set()
    assert whole.sign(free["temperature-shown"], "cable") == "tested"
    assert whole.sign(free["temperature-shown"], "display") == "stays"
    assert whole.sign(free["temperature-shown"], "battery") == ""


def test_swap_tests_together(whole: SwapCard) -> None:
    """Each combination by hand: both the same leaves what neither changed; both gone is no fault that stays."""
    swaps = {swap.check: swap for swap in whole.swaps}
    changed = {name: {part.id for part in (*swap.exchanged, *swap.brought)} for name, swap in swaps.items()}
    unproved = {name: {part.id for part in swap.unproved} for name, swap in swaps.items()}
    chain = {part.id for part in whole.components}

    assert len(whole.combinations) == 2 ** len(whole.combined)
    for row in whole.combinations:
        left = set(chain)
        for name, answer in zip(whole.combined, row.answers, strict=True):
            left &= changed[name] | unproved[name] if answer == "returns" else chain - changed[name]
        assert ids(row) == left
        assert row.contradiction == (not left and not row.pairs)


def test_content_without_swaps_has_an_empty_card(tmp_path: Path) -> None:
    catalogue = small_content.edited(
        tmp_path, ("checks/borrowed-transducer.yaml", "swap: {part: [element, cable, plug], carries: [mounting]}\n", "")
    )  # fmt: skip
    empty = swap_card(catalogue)

    assert (empty.swaps, empty.combined, empty.combinations) == ((), (), ())
