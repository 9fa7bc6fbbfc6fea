"""An entry as the reader meets it: the likelihoods of its causes add up."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.views import per_cent, view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.fault import HISTORIES
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
    catalogue = load(small_content.FOLDER)
    assert not_a_hundred(catalogue) == []
    # By hand: 10, 20, 40, 15 and 20 of 105 for a new fitting.
    lines = view_entry(Decision(catalogue.faults["no-depth"], catalogue)).likelihoods
    assert {line.percent[HISTORIES.index("new-fitting")] for line in lines} >= {38, 14}


def test_fixes_and_proofs_are_on_the_list_of_what_to_bring() -> None:
    """Beside the tools of the steps; each stands there once."""
    catalogue = load(small_content.FOLDER)
    entry = catalogue.faults["no-depth"]
    assert view_entry(Decision(entry, catalogue)).tools == ("Torch", "Multimeter", "Borrowed transducer")
    catalogue.records["tools"]["lead-line"] = Tool.model_validate({"name": "Lead line"})
    fixes = [f.model_copy(update={"tools": ["torch", "lead-line"]}) for f in entry.findings]
    told = view_entry(Decision(entry.model_copy(update={"findings": fixes}), catalogue)).tools
    assert told == ("Torch", "Multimeter", "Borrowed transducer", "Lead line")


def test_what_each_display_shows_decides_where_a_sibling_tells_of_it_too() -> None:
    """Two conditions of one area that are told apart by the screen: then it stands before step 1."""
    catalogue = load(small_content.FOLDER)
    one, other = catalogue.faults["no-depth"], catalogue.faults["low-volts"]
    assert not view_entry(Decision(one, catalogue)).looks_decide
    looks = other.condition.model_copy(update={"looks_like": one.condition.looks_like})
    sibling = other.model_copy(update={"area": "depth", "condition": looks})
    catalogue.records["faults"]["low-volts"] = sibling
    view = view_entry(Decision(one, catalogue))
    assert view.looks_decide
    assert [name for name, _ in view.looks] == ["Plain"]
