"""Service records before layout: which there are, and the limits, evidence and swaps on each."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import small_cases
import small_fleet
import small_guides
from leadsman.book.record import RecordSheet, case_sheet, record_sheets
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.reference import Evidence
from leadsman.errors import OutputError

DROP = {
    "formula": "supply.voltage_drop",
    "output": "drop",
    "given": {"conductor": "1.5 mm2", "temperature": "20 C"},
}
SHOW = {"unit": "V", "step": 0.01, "round": "up"}
NUMBERS = {
    name: {"label": name.title(), "value": {"meaning": name, "computed": DROP, "show": SHOW}, **more}
    for name, more in {"any": {}, "on-12": {"nominal_v": 12}, "on-24": {"nominal_v": 24}}.items()
}
FLOOR = {
    "formula": "supply.readout_floor",
    "given": {"low_limit_margin": "0.5 V", "working_drop": "10 %", "readout_error": "0.7 V"},
}
BY_FAMILY = {
    "floor": {
        "label": "Floor",
        "value": {"meaning": "Floor", "computed": FLOOR, "show": {**SHOW, "step": 0.1}},
    }
}


def catalogue() -> Catalogue:
    found = small_cases.content()
    more = {
        name: Evidence.model_validate({"ask": name.title(), "kind": kind})
        for name, kind in (("shot", "photo"), ("volts", "reading"))
    }
    return replace(found, records={**found.records, "evidence": {**found.records["evidence"], **more}})


def edition(**changes: Any) -> RecordEdition:
    common = {k: v for k, v in small_guides.EDITION.items() if k in RecordEdition.model_fields}
    readings = {
        "own": {
            "ask": "Own readout",
            "unit": "V",
            "at": ["own readout"],
            "limit": "At least 11 V.",
            "by_boat": list(NUMBERS),
        }
    }
    made = {
        "id": "record",
        "kind": "record",
        "formats": ["pdf"],
        "readings": readings,
        "numbers": NUMBERS,
        "by_family": BY_FAMILY,
        "evidence": ["history", "volts"],
    }
    return RecordEdition.model_validate({**common, **made, **changes})


def sheets(**changes: Any) -> dict[str, RecordSheet]:
    return {sheet.name: sheet for sheet in record_sheets(edition(**changes), catalogue())}


@pytest.mark.parametrize(
    ("records", "names"),
    [
        (["blank"], ["blank"]), (["conditions"], ["P1-low-volts", "D1-no-depth"]), (["boats"], ["boat-punt"]),
        (["blank", "conditions", "boats"], ["blank", "P1-low-volts", "D1-no-depth", "boat-punt"]),
    ],
)  # fmt: skip
def test_the_records_of_an_edition(records: list[str], names: list[str]) -> None:
    assert list(sheets(records=records)) == names


def plain(text: str) -> str:
    return text.replace("\u202f", " ")


def test_a_boats_record_has_its_own_limits() -> None:
    """Of the volts that it has: those of the other system are left out. The floor is 10 V and a half, less 0.7 V."""
    found = sheets(records=["blank", "boats", "conditions"])
    (reading,) = found["boat-punt"].readings
    assert [(limit.id, limit.label) for limit in reading.limits] == [("any", "Any"), ("on-12", "On-12")]
    # 4 m out and back at 13.3 ohm/km (IEC 60228, class 5, from memory) and contacts of 0.06 ohm at 1 A, rounded up.
    assert plain(reading.limits[0].text) == "0.17 V"
    (family,) = found["boat-punt"].families
    assert [(limit.id, plain(limit.text)) for limit in family.limits] == [("floor", "9.8 V")]
    boat = found["boat-punt"]
    assert boat.boat is not None
    assert boat.display is not None
    assert boat.transducer is not None
    assert (boat.boat.id, boat.display.id, boat.transducer.id, boat.view) == ("punt", "plain", "round", None)
    blank = found["blank"]
    assert [(r.id, r.limits) for r in blank.readings] == [("own", ())]
    assert (blank.boat, blank.display, blank.transducer, blank.swaps) == (None, None, None, [])


def test_without_a_boat_every_display_has_its_line() -> None:
    fleet = small_fleet.content()
    (blank,) = record_sheets(edition(records=["blank"], readings={}, evidence=[]), fleet)
    assert [line.family.id for line in blank.families] == list(fleet.families)


def test_evidence_is_that_of_the_hand_over_or_of_the_edition() -> None:
    """Of a condition what its hand-overs ask for; of none the edition's list, and every photograph."""
    found = sheets(records=["blank", "conditions"])
    assert (list(found["D1-no-depth"].evidence), list(found["D1-no-depth"].photos)) == (
        ["history"],
        ["photo-pins"],
    )
    assert (list(found["P1-low-volts"].evidence), list(found["P1-low-volts"].photos)) == (["history"], [])
    assert (list(found["blank"].evidence), list(found["blank"].photos)) == (
        ["history", "volts"],
        ["photo-pins", "shot"],
    )


def test_the_swaps_of_a_condition_are_its_steps_that_exchange() -> None:
    found = sheets(records=["conditions"])
    assert [step.id for step in found["D1-no-depth"].swaps] == ["swap"]
    assert found["P1-low-volts"].swaps == []


def test_a_case_has_the_steps_of_the_one_and_the_limits_of_the_other() -> None:
    content = catalogue()
    found = case_sheet(edition(), content, content.faults["no-depth"], content.boats["punt"])
    assert (found.name, found.view and found.view.entry.id, found.boat and found.boat.id) == (
        "D1-no-depth",
        "no-depth",
        "punt",
    )
    assert [limit.id for limit in found.readings[0].limits] == ["any", "on-12"]


def test_a_limit_that_is_not_computed_is_refused() -> None:
    made = edition(records=["boats"])
    number = made.numbers["any"].model_copy(
        update={"value": made.numbers["any"].value.model_copy(update={"computed": None, "declared": "1 V"})}
    )
    wrong = made.model_copy(update={"numbers": {**made.numbers, "any": number}})
    with pytest.raises(OutputError, match="record: the limit 'any' is not computed; name a formula"):
        list(record_sheets(wrong, catalogue()))
