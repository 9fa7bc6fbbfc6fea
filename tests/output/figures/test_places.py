"""Each picture stands once: beside the entry that has it on its card, else the first that it serves."""

import small_content
from leadsman.content.model.fault import FaultEntry
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.places import place

PICTURES = [
    Figure("probes", "Probes", "", "", "", serves=("no-depth", "low-volts")),
    Figure("chain", "Chain", "", "", "", serves=("lead-drop", "low-volts", "no-depth")),
    Figure("waves", "Waves", "", "", ""),
]


def entries() -> list[FaultEntry]:
    """Those of the small content; the second has the probes on its card."""
    faults = small_content.edited().faults
    low = faults["low-volts"].model_copy(update={"card_picture": "probes"})
    return [faults["no-depth"], low]


def test_the_entry_with_the_picture_on_its_card_has_it() -> None:
    places = place(PICTURES, entries())
    assert {name: [f.id for f in found] for name, found in places.beside_entry.items()} == {
        "low-volts": ["probes", "chain"]
    }
    assert {name: [f.id for f in found] for name, found in places.named_by.items()} == {
        "no-depth": ["probes", "chain"]
    }
    assert [f.id for f in places.alone] == ["waves"]


def test_an_entry_that_is_not_printed_leaves_its_picture_alone() -> None:
    places = place(PICTURES, [])
    assert [f.id for f in places.alone] == [f.id for f in PICTURES]
    assert places.beside_entry == {}
    (depth, _) = entries()
    assert [f.id for f in place(PICTURES, [depth]).beside_entry["no-depth"]] == ["probes", "chain"]
