"""What swap results mean, by hand, by the trade's own rules.

Common practice of the trade, no published source: a borrowed display brings its settings and software, a
borrowed transducer a mounting; a fault that does not return convicts nothing.
"""

import pytest

import built
from book.test_swap_card import ids, left_by_hand
from leadsman.book.swap_card import SwapCard, swap_card


@pytest.fixture(scope="module")
def whole() -> SwapCard:
    """The handbook's own content."""
    return swap_card(built.catalogue())


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
    left_by_hand(whole)
