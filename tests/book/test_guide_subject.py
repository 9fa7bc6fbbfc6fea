"""What follows from a reader's equipment: what it can, and which menu tasks it leaves to an owner."""

from __future__ import annotations

from typing import Any

import pytest

import small_fleet
import small_guides
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Transducer

ALL = ("depth", "picture", "temperature", "speed", "side", "forward", "own-volts")


def transducer(name: str = "round", **changes: Any) -> Transducer:
    found = small_fleet.content().transducers[name]
    return found.model_copy(update=changes)


def can(fitted: Transducer | None, *capabilities: str) -> set[str]:
    catalogue = small_fleet.content()
    family = catalogue.families["plain"].model_copy(update={"capabilities": list(capabilities or ALL)})
    return set(Subject(family, fitted).can(catalogue))


def looking(*sides: str) -> Transducer:
    (band,) = transducer().bands
    return transducer(bands=[band.model_copy(update={"id": f"b-{side}", "looks": side}) for side in sides])


@pytest.mark.parametrize(
    ("fitted", "lacks"),
    [
        (None, set()),
        (transducer(), {"temperature", "speed", "side", "forward"}),
        (transducer("th-50-200"), {"speed", "side", "forward"}),
        (transducer(paddle_hz_per_kn=5.5), {"temperature", "side", "forward"}),
        (looking("side"), {"depth", "picture", "temperature", "speed", "forward"}),
        (looking("forward", "down"), {"temperature", "speed", "side"}),
    ],
)
def test_a_display_shows_only_what_its_transducer_can(fitted: Transducer | None, lacks: set[str]) -> None:
    """What is the display's own, such as its volts, hangs on no transducer."""
    assert can(fitted) == set(ALL) - lacks


def test_a_transducer_adds_nothing_to_a_display() -> None:
    assert can(transducer("th-50-200"), "depth") == {"depth"}


def test_without_a_display_every_family_counts() -> None:
    catalogue = small_fleet.content()
    assert Subject().families(catalogue) == list(catalogue.families.values())
    holm = catalogue.families["holm"]
    assert Subject(holm).families(catalogue) == [holm]


def tasks(fitted: Transducer | None, capabilities: list[str], safe: bool = True) -> frozenset[str]:
    catalogue: Catalogue = small_guides.for_owners()
    task = catalogue.records["tasks"]["update-software"]
    names = ("temperature-readout", "own-volts", "frequency", "other")
    catalogue.records["tasks"] |= {name: task.model_copy(update={"owner_may": safe}) for name in names}
    menus = {name: ["Knob"] for name in names}
    family = catalogue.families["plain"].model_copy(update={"menus": menus, "capabilities": capabilities})
    return Subject(family, fitted).tasks(catalogue)


def test_menus_that_come_to_nothing_are_left_out() -> None:
    """Of the temperature without a sensor, of the unit's volts without that readout, of the band with one band."""
    one, two = transducer(), transducer("th-50-200")
    every = {"temperature-readout", "own-volts", "frequency", "other"}
    assert tasks(two, list(ALL)) == every
    assert tasks(one, list(ALL)) == every - {"temperature-readout", "frequency"}
    assert tasks(two, ["depth"]) == {"frequency", "other"}
    assert tasks(None, ["own-volts"]) == {"own-volts", "frequency", "other"}
    # What is not safe for an owner is no task of a guide.
    assert tasks(two, list(ALL), safe=False) == frozenset()


def test_the_subject_of_a_boat_bears_its_name() -> None:
    catalogue = small_fleet.content()
    found = boat_subject(catalogue.boats["marten"], catalogue)
    assert (found.boat_name, found.owner) == ("Marten", "")
    assert (found.family, found.transducer, found.boat) == (
        catalogue.families["tideway"], catalogue.transducers["th-50-200"], catalogue.boats["marten"],
    )  # fmt: skip


def test_what_names_a_person_or_a_boat_stands_in_no_message() -> None:
    """Whatever prints a subject, a traceback above all, prints none of it."""
    personal = {
        "owner": "A. Person",
        "boat_name": "Sea Otter",
        "display_serial": "PL-1",
        "transducer_serial": "TR-2",
    }
    assert not [text for text in personal.values() if text in repr(Subject(**personal))]  # type: ignore[arg-type]
