"""What swap results mean, by hand, on the small content.

Common practice of the trade, no published source: a borrowed display brings its settings and software, a
borrowed transducer a mounting; a fault that does not return convicts nothing.
"""

import pytest

import small_content
from leadsman.book.swap_card import Combination, Meaning, SwapCard, swap_card
from leadsman.content.model.fault import SharedCheck


def ids(meaning: Meaning | Combination) -> set[str]:
    return {part.id for part in meaning.suspects}


def left_by_hand(card: SwapCard) -> None:
    """Each combination by hand: both the same leaves what neither changed; both gone is no fault that stays."""
    swaps = {swap.check: swap for swap in card.swaps}
    changed = {name: {part.id for part in (*swap.exchanged, *swap.brought)} for name, swap in swaps.items()}
    unproved = {name: {part.id for part in swap.unproved} for name, swap in swaps.items()}
    chain = {part.id for part in card.components}

    assert len(card.combinations) == 2 ** len(card.combined)
    for row in card.combinations:
        left = set(chain)
        for name, answer in zip(card.combined, row.answers, strict=True):
            left &= changed[name] | unproved[name] if answer == "returns" else chain - changed[name]
        assert ids(row) == left
        assert row.contradiction == (not left and not row.pairs)


@pytest.fixture(scope="module")
def card() -> SwapCard:
    return swap_card(small_content.edited())


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


def test_content_without_swaps_has_an_empty_card() -> None:
    catalogue = small_content.edited(("checks/borrowed-transducer.yaml", "swap: {part: [element, cable, plug], carries: [mounting]}\n", "")
    )  # fmt: skip
    empty = swap_card(catalogue)

    assert (empty.swaps, empty.combined, empty.combinations) == ((), (), ())


DISPLAY = {
    "id": "borrowed-display", "title": "Borrowed display", "kind": "swap", "do": "Fit it.", "see": "Is the fault gone?",
    "minutes": 5, "access": "helm", "swap": {"part": ["display"], "carries": ["settings", "software"]},
    "through": ["joints"],
}  # fmt: skip


@pytest.fixture(scope="module")
def both() -> SwapCard:
    """With a borrowed display beside the transducer, and a free reading of plug and cable through the display."""
    catalogue = small_content.edited()
    checks = catalogue.records["checks"]
    checks["borrowed-display"] = SharedCheck.model_validate(DISPLAY)
    free = {"tests": ["plug", "cable"], "through": ["display", "settings"]}
    checks["temperature-shown"] = checks["temperature-shown"].model_copy(update=free)
    return swap_card(catalogue)


def test_swap_tests_together(both: SwapCard) -> None:
    assert both.combined == ("borrowed-transducer", "borrowed-display")
    left_by_hand(both)


def test_what_a_borrowed_display_does_not_prove_stays_suspect(both: SwapCard) -> None:
    """The joints of the feed bear another load with it: gone leaves them suspect, and so does the same fault."""
    swap = next(swap for swap in both.swaps if swap.check == "borrowed-display")
    gone, _, same = swap.meanings
    assert ids(gone) == {"display", "settings", "software", "joints"}
    assert ids(same) == {"joints", "plug", "cable", "element", "mounting"}


def test_a_free_discriminator_clears_or_leaves_what_it_tests(both: SwapCard) -> None:
    (free,) = both.discriminators
    yes, no = free.meanings
    assert ids(no) == {"plug", "cable", "display", "settings"}
    assert {part.id for part in yes.cleared} == {"plug", "cable"}
    signs = [both.sign(free, name) for name in ("cable", "display", "joints")]
    assert signs == ["tested", "stays", ""]


def with_swaps(**swaps: tuple[list[str], list[str], list[str]]) -> SwapCard:
    """The small chain with these swap tests alone: what each exchanges, brings and does not clear."""
    catalogue = small_content.edited()
    checks = {name: check for name, check in catalogue.checks.items() if check.swap is None}
    for name, (part, carries, through) in swaps.items():
        made = {
            **DISPLAY,
            "id": name,
            "title": name.title(),
            "swap": {"part": part, "carries": carries},
            "through": through,
        }
        checks[name] = SharedCheck.model_validate(made)
    catalogue.records["checks"] = checks
    return swap_card(catalogue)


def test_swaps_that_exchange_most_are_combined_first_and_three_at_the_most() -> None:
    """One that exchanges a part of another adds nothing: it is left out, and the next unlike one is taken."""
    chosen = with_swaps(
        one=(["joints"], [], []),
        two=(["plug", "cable"], [], []),
        same=(["cable"], [], []),
        three=(["display"], [], []),
        four=(["software"], [], []),
    )
    assert chosen.combined == ("two", "one", "three")
    assert [row.answers for row in chosen.combinations][:2] == [
        ("returns",) * 3,
        ("returns", "returns", "same"),
    ]
    assert len(chosen.combinations) == 8
    left_by_hand(chosen)


def test_two_faults_explain_what_no_single_one_does() -> None:
    """Each swap leaves the fault: with everything exchanged in turn no single part is left, but a pair of two parts is."""
    catalogue = small_content.edited()
    every = list(catalogue.records["components"])
    half, rest = every[:4], every[4:]
    found = with_swaps(first=(half, [], []), second=(rest, [], []))
    same = next(row for row in found.combinations if row.answers == ("same", "same"))
    assert (same.suspects, same.contradiction) == ((), False)
    assert {(a.id, b.id) for a, b in same.pairs} == {(a, b) for a in half for b in rest}
    gone = next(row for row in found.combinations if row.answers == ("returns", "same"))
    # By itself one part of the first explains both: no pair is looked for.
    assert ({part.id for part in gone.suspects}, gone.pairs, gone.contradiction) == (set(half), (), False)
    both = next(row for row in found.combinations if row.answers == ("returns", "returns"))
    assert (both.suspects, both.pairs, both.contradiction) == ((), (), True)


def test_a_test_bears_its_minutes_title_and_parts_in_the_order_of_the_chain(both: SwapCard) -> None:
    swap = next(swap for swap in both.swaps if swap.check == "borrowed-display")
    assert (swap.title, swap.minutes) == ("Borrowed display", 5)
    assert [[part.id for part in parts] for parts in (swap.exchanged, swap.brought, swap.unproved)] == [
        ["display"],
        ["settings", "software"],
        ["joints"],
    ]
    assert [part.id for part in swap.stays] == ["joints", "plug", "cable", "element", "mounting"]
    assert [both.sign(swap, name) for name in ("display", "settings", "joints")] == [
        "exchanged",
        "brought",
        "unproved",
    ]
    assert both.sign(swap, "plug") == "stays"
    assert [(m.answer, m.decides) for m in swap.meanings] == [
        ("returns", True),
        ("not-back", False),
        ("same", True),
    ]
    (free,) = both.discriminators
    assert (free.check, free.minutes, [part.id for part in free.tests], [part.id for part in free.through]) == (
        "temperature-shown", 1, ["plug", "cable"], ["display", "settings"],
    )  # fmt: skip
    assert [(m.answer, m.label, m.decides) for m in free.meanings] == [
        ("yes", "YES", True),
        ("no", "NO", True),
    ]


def test_what_a_free_check_tests_is_not_what_it_runs_through() -> None:
    catalogue = small_content.edited()
    checks = catalogue.records["checks"]
    found = checks["temperature-shown"].model_copy(
        update={"tests": ["plug", "absent"], "through": ["plug", "display"]}
    )
    checks["temperature-shown"] = found
    (free,) = swap_card(catalogue).discriminators
    assert ([part.id for part in free.tests], [part.id for part in free.through]) == (["plug"], ["display"])
    # One that tests nothing, or is not free, tells nothing here.
    for changes in ({"tests": []}, {"free": False}):
        checks["temperature-shown"] = found.model_copy(update=changes)
        assert swap_card(catalogue).discriminators == ()
