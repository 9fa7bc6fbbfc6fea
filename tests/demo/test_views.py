"""The project's entries as the reader meets them: likelihoods, what to bring, and what each display shows."""

from __future__ import annotations

import pytest

import built
from book.test_views import not_a_hundred
from leadsman.book.views import view_entry
from leadsman.content.decision import Decision


def test_each_history_of_each_entry_adds_up_to_a_hundred() -> None:
    assert not_a_hundred(built.catalogue()) == []


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
    catalogue = built.catalogue()
    assert wanted <= set(view_entry(Decision(catalogue.faults[entry], catalogue)).tools)


def test_what_each_display_shows_stands_where_it_decides() -> None:
    """Three dashes are D2 on one display, an empty corner D1 on another: the card of each says so before step 1."""
    catalogue = built.catalogue()
    blank, flashing = (
        view_entry(Decision(catalogue.faults[name], catalogue))
        for name in ("depth-never-appeared", "depth-flashes")
    )
    assert blank.looks_decide
    assert flashing.looks_decide
    assert {name for name, _ in blank.looks} == {str(f.name) for f in catalogue.families.values()}
