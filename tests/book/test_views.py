"""An entry as the reader meets it: the likelihoods of its causes add up."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.views import (
    EntryView,
    Likelihood,
    by_severity,
    letters,
    likeliest,
    per_cent,
    view_entry,
)
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.base import Prose
from leadsman.content.model.fault import HISTORIES
from leadsman.content.model.phrases import filled
from leadsman.content.model.reference import Tool


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=20).filter(lambda shares: sum(shares) > 1e-6))
def test_whole_per_cent_add_up_and_stay_within_one_of_the_share(shares: list[float]) -> None:
    """The largest-remainder method: every figure is its share rounded down or up."""
    found = per_cent(shares)
    assert sum(found) == 100
    assert all(
        abs(whole - 100 * share / sum(shares)) < 1 + 1e-9 for whole, share in zip(found, shares, strict=True)
    )


def not_a_hundred(catalogue: Catalogue) -> list[str]:
    """The entries whose likelihoods do not add up after some history."""
    return [
        entry.id
        for entry in catalogue.faults.values()
        for column in zip(
            *(line.percent for line in view_entry(Decision(entry, catalogue)).likelihoods), strict=True
        )
        if sum(column) not in (0, 100)
    ]


def test_each_history_of_each_entry_adds_up_to_a_hundred() -> None:
    catalogue = small_content.edited()
    assert not_a_hundred(catalogue) == []
    # By hand: 10, 20, 40, 15 and 20 of 105 for a new fitting.
    lines = view_entry(Decision(catalogue.faults["no-depth"], catalogue)).likelihoods
    assert {line.percent[HISTORIES.index("new-fitting")] for line in lines} >= {38, 14}


def test_fixes_and_proofs_are_on_the_list_of_what_to_bring() -> None:
    """Beside the tools of the steps; each stands there once."""
    catalogue = small_content.edited()
    entry = catalogue.faults["no-depth"]
    assert view_entry(Decision(entry, catalogue)).tools == ("Torch", "Multimeter", "Borrowed transducer")
    catalogue.records["tools"]["lead-line"] = Tool.model_validate({"name": "Lead line"})
    fixes = [f.model_copy(update={"tools": ["torch", "lead-line"]}) for f in entry.findings]
    told = view_entry(Decision(entry.model_copy(update={"findings": fixes}), catalogue)).tools
    assert told == ("Torch", "Multimeter", "Borrowed transducer", "Lead line")


def test_what_each_display_shows_decides_where_a_sibling_tells_of_it_too() -> None:
    """Two conditions of one area that are told apart by the screen: then it stands before step 1."""
    catalogue = small_content.edited()
    one, other = catalogue.faults["no-depth"], catalogue.faults["low-volts"]
    assert not view_entry(Decision(one, catalogue)).looks_decide
    looks = other.condition.model_copy(update={"looks_like": one.condition.looks_like})
    sibling = other.model_copy(update={"area": "depth", "condition": looks})
    catalogue.records["faults"]["low-volts"] = sibling
    view = view_entry(Decision(one, catalogue))
    assert view.looks_decide
    assert [name for name, _ in view.looks] == ["Plain"]


# --- an entry, piece by piece ------------------------------------------------------------------------


def small() -> Catalogue:
    return small_content.edited()


def view(catalogue: Catalogue, name: str = "no-depth") -> EntryView:
    return view_entry(Decision(catalogue.faults[name], catalogue))


def test_steps_are_numbered_and_ends_lettered_as_the_steps_name_them() -> None:
    found = view(small())
    assert [(s.number, s.id) for s in found.steps] == list(
        enumerate(
            ["history", "temperature", "volts", "software", "plug", "lamp", "pins", "swap", "restore"], 1
        )
    )
    assert [(f.letter, f.id, f.causes) for f in found.fixes] == [
        ("A", "found-plug", ("Plug corroded",)), ("B", "found-software", ("Software too old",)), ("C", "found-joint", ("Joint corroded",)),
        ("D", "found-element", ("Element dead",)), ("E", "found-setting", ("Setting wrong",)),
    ]  # fmt: skip
    assert [(h.letter, h.id, h.evidence) for h in found.hand_overs] == [
        ("F", "hand-over", ("Photograph of the pins", "What changed before the fault"))
    ]
    assert [(s.id, s.decides, s.asks_history) for s in found.steps if not s.decides or s.asks_history] == [
        ("history", False, True),
        ("volts", False, False),
    ]
    assert [name for name, _ in found.cautions] == ["live-element", "update-battery"]
    assert found.menu_tasks == ("record-settings", "restore-defaults", "update-software")


def test_targets_in_a_readers_terms() -> None:
    catalogue = small()
    small_content.answered(
        catalogue,
        "software",
        "no",
        then=None,
        to_entry="low-volts",
        at="volts",
        known={"history": "after-update"},
        means=Prose("It is old."),
    )
    small_content.answered(catalogue, "software", "cannot", then=None, to_entry="low-volts")
    step = view(catalogue).steps[3]
    answers = {
        a.key: (a.target.kind, a.target.id, a.target.number, a.target.at, a.target.at_number, a.target.words)
        for a in step.answers
    }
    assert answers == {
        "yes": ("step", "plug", "5", "", "", "5"), "no": ("entry", "low-volts", "P1", "volts", "2", "P1 step 2"), "cannot": ("entry", "low-volts", "P1", "", "", "P1"),
    }  # fmt: skip
    # What the answer settles over there is said with what it means.
    means = {a.key: a.means and str(a.means) for a in step.answers}
    words = catalogue.phrases().links
    assert means["no"] is not None
    assert means["no"].startswith("It is old. ")
    label = catalogue.phrases().answers["after-update"]
    assert (
        means["no"]
        == f"It is old. {filled(words.there, names=filled(words.step_is, number=1, answer=label))}"
    )
    assert means["yes"] is None
    bare = small()
    small_content.answered(
        bare, "software", "no", then=None, to_entry="low-volts", known={"history": "after-update"}
    )
    told = next(a.means for a in view(bare).steps[3].answers if a.key == "no")
    assert str(told) == filled(words.there, names=filled(words.step_is, number=1, answer=label))


def test_letters_go_on_beyond_z() -> None:
    found = list(itertools.islice(letters(), 26 + 26 + 2))
    assert (found[0], found[25], found[26], found[51], found[52:]) == ("A", "Z", "AA", "AZ", ["BA", "BB"])


def test_likelihoods_stand_by_their_share_in_service() -> None:
    lines = view(small()).likelihoods
    assert [(line.cause, line.percent[:2]) for line in lines] == [
        ("Plug corroded", (40, 10)), ("Joint corroded", (20, 19)), ("Setting wrong", (20, 19)), ("Element dead", (15, 14)), ("Software too old", (5, 38)),
    ]  # fmt: skip


def test_the_three_likeliest_after_any_history_are_told() -> None:
    """With their shares after every history, in the order of those in service; what has no share is not told."""
    found = {line.cause: line.percent for line in likeliest(view(small()).likelihoods)}
    shares = {line.cause: line.percent for line in view(small()).likelihoods}
    assert list(found)[:2] == ["Plug corroded", "Joint corroded"]
    assert all(found[cause] == shares[cause] for cause in found)
    at = HISTORIES.index("new-fitting")
    assert max(found, key=lambda cause: found[cause][at]) == "Software too old"
    third = [
        sorted((p[column] for p in shares.values()), reverse=True)[2] for column in range(len(HISTORIES))
    ]
    assert set(found) >= {c for c, p in shares.items() if any(s > t for s, t in zip(p, third, strict=True))}
    shares = {"lead": (9, 90), "fuse": (91, 10), "joint": (0, 0), "last": (0, 0)}
    lines = [Likelihood(name, Prose(""), share + (0,) * 3) for name, share in shares.items()]
    assert [line.cause for line in likeliest(lines)] == ["fuse", "lead"]
    four = [Likelihood(str(share), Prose(""), (share,) * 5) for share in (10, 40, 30, 20)]
    assert [line.cause for line in likeliest(four)] == ["40", "30", "20"]
    assert likeliest([]) == ()


@pytest.mark.parametrize(
    ("shares", "whole"),
    [([1.0, 1.0, 1.0], [34, 33, 33]), ([0.0, 0.0], [0, 0]), ([2.0, 1.0], [67, 33]), ([1.0], [100]), ([995.0, 5.0], [100, 0]), ([], [])],
)  # fmt: skip
def test_the_largest_remainders_are_rounded_up(shares: list[float], whole: list[int]) -> None:
    assert per_cent(shares) == whole


def test_cautions_stand_by_severity_once_each() -> None:
    found = by_severity(["update-battery", "live-element", "vapour", "live-element"], small())
    assert [name for name, _ in found] == ["vapour", "live-element", "update-battery"]


def term(catalogue: Catalogue, **changes: Any) -> list[str]:
    record = catalogue.records["glossary"]["transducer"]
    catalogue.records["glossary"]["transducer"] = record.model_copy(update=changes)
    return [str(each.term) for each in view(catalogue).words]


def test_words_of_the_glossary_that_a_card_uses() -> None:
    """In a step, an answer or a fix, as a whole word or its plural, or by a reference; the rest needs no word."""
    assert term(small(), on_card=False) == []
    assert term(small(), on_card=True) == ["transducer"]
    for word, told in (
        ("pin", True),
        ("pins", True),
        ("pi", False),
        ("GONE", True),
        ("sender", False),
        ("lists", False),
    ):
        assert term(small(), on_card=True, term=word) == ([word] if told else []), word
    catalogue = small()
    shared = catalogue.checks["own-volts"]
    catalogue.records["checks"]["own-volts"] = shared.model_copy(
        update={"do": Prose("Mind the {term: transducer}.")}
    )
    assert term(catalogue, on_card=True, term="sounder head") == ["sounder head"]


def test_a_sight_decides_only_against_a_sibling_with_a_sight() -> None:
    catalogue = small()
    one, other = catalogue.faults["no-depth"], catalogue.faults["low-volts"]
    looks = one.condition.looks_like

    def decides(area: str, sibling_looks: Any, own: Any = looks) -> bool:
        found = small()
        sibling = other.model_copy(
            update={
                "area": area,
                "condition": other.condition.model_copy(update={"looks_like": sibling_looks}),
            }
        )
        found.records["faults"] |= {
            "low-volts": sibling,
            "no-depth": one.model_copy(
                update={"condition": one.condition.model_copy(update={"looks_like": own})}
            ),
        }
        return view(found).looks_decide

    assert [
        decides("depth", looks),
        decides("power", looks),
        decides("depth", {}),
        decides("depth", looks, {}),
    ] == [True, False, False, False]
