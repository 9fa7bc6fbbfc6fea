"""An entry as the reader meets it: the likelihoods of its causes add up."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import built
from leadsman.book.views import per_cent, view_entry
from leadsman.content.decision import Decision


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=20).filter(lambda shares: sum(shares) > 1e-6))
def test_whole_per_cent_add_up_and_stay_within_one_of_the_share(shares: list[float]) -> None:
    """The largest-remainder method: every figure is its share rounded down or up."""
    found = per_cent(shares)
    assert sum(found) == 100
    assert all(
        abs(whole - 100 * share / sum(shares)) < 1 + 1e-9 for whole, share in zip(found, shares, strict=True)
    )


def test_each_history_of_each_entry_adds_up_to_a_hundred() -> None:
    catalogue, _ = built.content()
    for entry in catalogue.faults.values():
        view = view_entry(Decision(entry, catalogue))
        for column in zip(*(line.percent for line in view.likelihoods), strict=True):
            assert sum(column) in (0, 100), entry.id


@pytest.mark.parametrize(
    ("entry", "wanted"),
    [
        ("no-sensor", {"Multimeter with low hold", "Capacitance meter"}),
        ("which-part", {"Lead line"}),
        ("noise-streaks", {"Ferrite to wind cables through"}),
    ],
)
def test_fixes_and_proofs_are_on_the_list_of_what_to_bring(entry: str, wanted: set[str]) -> None:
    """Cutting back needs the pin table's meters, a renewed transducer a lead line (common practice, no source)."""
    catalogue, _ = built.content()
    assert wanted <= set(view_entry(Decision(catalogue.faults[entry], catalogue)).tools)


def test_what_each_display_shows_stands_where_it_decides() -> None:
    """Three dashes are D2 on one display, an empty corner D1 on another: the card of each says so before step 1."""
    catalogue, _ = built.content()
    blank, flashing = (
        view_entry(Decision(catalogue.faults[name], catalogue))
        for name in ("depth-never-appeared", "depth-flashes")
    )
    assert blank.looks_decide
    assert flashing.looks_decide
    assert {name for name, _ in blank.looks} == {str(f.name) for f in catalogue.families.values()}
