"""What the content lets an owner do, against the trade's own list; what it does not name is refused.

The list of what no owner's guide may ask for is common practice, no published source: nothing that opens the dash or
the bilge, nothing under way or ashore under the boat, no meter, no part exchanged, no offset, type or default changed.
"""

from pathlib import Path

import pytest

from leadsman.content.catalogue import Catalogue, load
from leadsman.content.rules.owner import OWNER_KINDS, OWNER_STATES


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """Return the content."""
    return load(Path(__file__).resolve().parents[2] / "content")


def declared(catalogue: Catalogue, kind: str) -> set[str]:
    return {name for name, record in catalogue.records[kind].items() if record.owner_may}


def test_an_owner_stays_at_the_helm_or_looks_from_quay_and_trailer(catalogue: Catalogue) -> None:
    assert declared(catalogue, "access") == {"helm", "transom"}


def test_an_owner_measures_nothing_and_exchanges_nothing(catalogue: Catalogue) -> None:
    assert not OWNER_KINDS & {"measure", "swap", "restore"}
    assert not OWNER_STATES & {"crank", "under-way"}
    forbidden = (
        "multimeter",
        "capacitance",
        "lamp",
        "battery",
        "breakout",
        "borrowed",
        "fuse",
        "crimp",
        "sealant",
        "cleaner",
    )
    named = {name for name in declared(catalogue, "tools") if any(word in name for word in forbidden)}
    assert named == set()


def test_an_owner_changes_nothing_that_falsifies_or_loses(catalogue: Catalogue) -> None:
    """A wrong offset, type or water shows more depth than there is; defaults and updates lose settings."""
    forbidden = {"depth-offset", "transducer-type", "restore-defaults", "update-software", "water-kind", "antenna-place", "ahead-direction"}  # fmt: skip
    assert forbidden <= set(catalogue.records["tasks"])
    assert not forbidden & declared(catalogue, "tasks")


def test_no_danger_stands_beside_an_owners_step(catalogue: Catalogue) -> None:
    allowed = declared(catalogue, "cautions")
    assert {catalogue.cautions[name].signal for name in allowed} <= {"WARNING", "NOTICE"}
    assert not allowed & {"live-element", "live-cable", "running-propeller", "petrol-vapour", "insert-afloat"}


def test_the_line_is_declared_from_the_socket_to_the_element(catalogue: Catalogue) -> None:
    """Several hundred volts stand on every part between transmitter and ceramic (common practice)."""
    live = {name for name, part in catalogue.records["components"].items() if part.high_volts}
    assert live == {"adapter", "plug", "cable", "element"}
