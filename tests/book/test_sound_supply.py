"""What a limit of the supply is held against: readings that pass or fail, margins that are given, and a sound boat's
readings worked out a second time.

The readings come from Ohm's law and the quadratic of a load that holds its power (Horowitz and Hill, The Art of
Electronics, 2015, section 1.2). Copper: solid 12 AWG has 5.211 ohm/km at 20 degC (ASTM B258), 2 % more for the lay,
and 0.393 % more a kelvin. What counts as sound is common practice, no source.
"""

from __future__ import annotations

import dataclasses
import math
from functools import cache
from typing import Any

import pytest

import small_fleet
from leadsman.book.computed import compute_table
from leadsman.book.sound_supply import Day, Reading, SoundSupply, _steps_up, walk_sound, worst_readings
from leadsman.compute.registry import NoAnswer, Number, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.equipment import Boat
from leadsman.content.model.reference import Assumption, Value
from leadsman.content.model.table import Axis, Table


def test_a_real_fault_still_fails() -> None:
    """The judge can say no: a limit just missed on either side; a reading on the limit is sound."""
    assert not Reading("c", "w", 1.01, "at most", 1.0).passes
    assert not Reading("c", "w", 0.99, "at least", 1.0).passes
    assert Reading("c", "w", 1.0, "at most", 1.0).passes
    assert Reading("c", "w", 1.0, "at least", 1.0).passes
    margins = [Reading("c", "w", 0.75, side, 1.0).margin for side in ("at most", "at least")]  # type: ignore[arg-type]
    assert margins == [0.25, -0.25]


@pytest.mark.parametrize(
    ("formula", "item"),
    [
        ("supply.plug_bands", "joint_allowance"), ("supply.plug_bands", "low_limit_margin"),
        ("supply.plug_verdict", "joint_allowance"), ("supply.plug_verdict", "same_volts"),
        ("supply.lamp_test", "joint_allowance"), ("supply.lead_drop_limit", "joint_allowance"),
        ("supply.readout_floor", "readout_error"), ("supply.readout_verdict", "change"),
        ("supply.readout_verdict", "bad_change"), ("supply.leg_limit", "joint_drop"),
        ("supply.measured_loop", "same_volts"),
    ],
)  # fmt: skip
def test_no_formula_holds_a_margin_of_its_own(formula: str, item: str) -> None:
    """A margin is an input that must be given, so that no second number can hide in a default."""
    found = next(i for i in formulas()[formula].inputs if i.name == item)
    assert isinstance(found, Number)
    assert found.default is None


@pytest.mark.parametrize(
    ("true", "shown"), [(0.0, 0.0), (0.001, 0.1), (0.1, 0.1), (0.15, 0.2), (0.2, 0.2), (0.3, 0.3)]
)
def test_a_readout_in_tenths_may_show_the_next_tenth_up(true: float, shown: float) -> None:
    assert _steps_up(true, 0.1) == pytest.approx(shown)


#: Volts of each battery but those of the readout's error, and shares; what ``blocks`` is true of is doubled on 24 V.
VALUES = {
    "own-volts-change": "0.6 V", "own-volts-floor": "9.8 V", "running-window": "12.5 to 15.0 V", "battery-loaded": "12.2 V",
    "battery-loaded-lithium": "12.8 V", "battery-restart": "12.0 V", "battery-fall": "0.5 V", "rest-high": "13.8 V", "over-volts": "15.0 V",
}  # fmt: skip
PLAIN_VALUES = {
    "own-readout-error": "0.2 to 0.7 V",
    "same-volts": "0.05 V",
    "joint-drop": "0.04 V",
    "leg-share": "75 %",
}
ASSUMED: dict[str, tuple[str, list[str]]] = {
    "battery-loaded-12": ("12.5 V", ["12.2 V", "12.8 V"]), "lead-temperature-read": ("20 C", ["0 C", "40 C"]),
    "readout-step": ("0.1 V", []), "idle-share": ("30 %", []), "lamp-current": ("1.9 A", []), "fuse-warming": ("50 %", []),
}  # fmt: skip
_VOLTS = {"unit": "V", "step": 0.01, "round": "down"}
_LEAD = {
    "nominal": "12 V",
    "construction": "stranded",
    "temperature": "40 C",
    "contact": "0.09 ohm",
    "joint_allowance": "0.4 V",
}
_LENGTHS = {"input": "length", "values": ["3 m", "5 m", "8 m"], "head": "Length"}
_FUSES = {"input": "rating", "values": ["2 A", "5 A", "7.5 A"], "head": "Fuse"}


def _any_lead(conductor: str) -> dict[str, Any]:
    return {
        "formula": "supply.lead_drop_limit", "rows": _LENGTHS, "no_answer": "too thin",
        "columns": {"input": "current", "values": ["1.5 A", "3.8 A", "5 A"], "head": "Current"},
        "cells": [{"output": "drop", "show": _VOLTS}], "given": {**_LEAD, "conductor": conductor, "block": "12.2 V"},
    }  # fmt: skip


TABLES: dict[str, dict[str, Any]] = {
    "plug-volts": {
        "formula": "supply.plug_bands", "rows": {"each": "boat", "head": "Boat"}, "given": small_fleet.BANDS["given"],
        "cells": [{"output": "expected", "head": "1", "show": {**_VOLTS, "round": "nearest"}}, {"output": "find_joint_below", "head": "2", "show": {**_VOLTS, "round": "up"}},
                  {"output": "convicted_below", "head": "3", "show": {**_VOLTS, "round": "up"}}, {"output": "lead", "head": "4"}],
    },
    "lamp-limits": {
        "formula": "supply.lamp_test", "rows": {"each": "boat", "head": "Boat"}, "cells": [{"output": "drop_limit", "show": _VOLTS}],
        "given": {"lamp_current": "1.9 A", "construction": "stranded", "temperature": "40 C", "design_drop": "3 %", "joint_allowance": "0.4 V"},
    },
    "lamp-any": {
        "formula": "supply.lamp_test", "rows": _LENGTHS, "columns": {"input": "conductor", "values": ["14 AWG", "12 AWG"], "head": "Conductor"},
        "cells": [{"output": "drop_limit", "show": _VOLTS}], "given": {**_LEAD, "lamp_current": "1.9 A", "unit_power": "36 W", "design_drop": "3 %"},
    },
    "lead-drop-14": _any_lead("14 AWG"), "lead-drop-12": _any_lead("12 AWG"),
    "fuse-choice": {
        "formula": "supply.unit_fuse", "rows": {"each": "boat", "head": "Boat"}, "given": {"working_drop": "10 %"}, "no_answer": "larger conductor first",
        "cells": [{"output": "rating", "head": "1", "show": {"unit": "A", "step": 0.5, "round": "up"}}, {"output": "greatest", "head": "2", "show": {"unit": "A", "step": 0.5, "round": "down"}}],
    },
    **{name: {
        "formula": "supply.fuse_drop_limit", "rows": _FUSES, "columns": {"each": "family", "only": only, "head": "Unit"}, "no_answer": "too small",
        "cells": [{"output": "drop", "show": {"unit": "mV", "step": 5, "round": "up"}}], "given": {**more, "working_drop": "10 %", "warming": "50 %"},
    } for name, only, more in (("fuse-drop", ["tideway", "holm"], {}), ("fuse-drop-24", ["tideway"], {"nominal": "24 V"}))},
}  # fmt: skip
SUPPLIES: dict[str, dict[str, Any]] = {
    "twelve": {"battery": "agm"},
    "twenty-four": {"battery": "flooded", "nominal_v": 24},
    "lithium": {"battery": "lithium", "lead_length_m": 4.5},
}


@cache
def content() -> Catalogue:
    """The small fleet with all that the checks of the supply print, and one boat with each kind of supply."""
    small = small_fleet.content()
    records = {kind: dict(found) for kind, found in small.records.items()}
    records["tables"].pop("lead-drop")
    words = {"question": "Which?", "convention": "As computed."}
    for name, table in TABLES.items():
        records["tables"][name] = Table.model_validate({"id": name, "title": name, **words, **table})
    for name, declared in {**VALUES, **PLAIN_VALUES}.items():
        records["values"][name] = Value.model_validate(
            {"meaning": name, "declared": declared, "blocks": name in VALUES, "source": "common-practice"}
        )
    for name, (value, band) in ASSUMED.items():
        written = {"name": name, "value": value, "reason": "So.", "source": "common-practice"}
        records["assumptions"][name] = Assumption.model_validate(
            {**written, **({"band": band} if band else {})}
        )
    marten = records["boats"]["marten"]
    boats = {"pintail": records["boats"]["pintail"]}
    for name, supply in SUPPLIES.items():
        data = marten.model_dump()
        boats[name] = Boat.model_validate(
            {**data, "id": name, "name": name, "supply": {**data["supply"], **supply}}
        )
    return dataclasses.replace(small, records={**records, "boats": boats})


def supply(name: str) -> SoundSupply:
    return SoundSupply(content().boats[name], content())


def printed(table: str, row: str, column: int) -> float:
    """A number of a table, by the head of its row."""
    found = compute_table(content().tables[table], content())
    number = found.cells[list(found.row_heads).index(row)][column].printed
    assert number is not None
    return float(number)


#: A unit of 45.6 W (3.8 A at 12 V), contacts of 30 mohm.
POWER_W, CONTACT_OHM = 45.6, 0.03
LENGTHS_M = {"twelve": 5.0, "twenty-four": 5.0, "lithium": 4.5}
#: The volts to which charger and alternator lift a battery: AGM, two flooded ones, and four cells of lithium (common practice).
CHARGING_V = {"twelve": 14.7, "twenty-four": 29.6, "lithium": 14.6}


def by_hand(name: str, day: Day) -> dict[tuple[str, str, str], tuple[float, float]]:
    """Each reading of a boat with its limit, by check, what is read, and the side of the limit."""
    blocks = 2 if name == "twenty-four" else 1
    source = blocks * day.block_v
    copper = 2 * LENGTHS_M[name] * 5.32e-3 * (1 + 0.00393 * (day.copper_c - 20))

    def at(volts: float, power: float) -> tuple[float, float]:
        plug = (volts + math.sqrt(volts**2 - 4 * power * (copper + CONTACT_OHM))) / 2
        return plug, power / plug

    (plug, current), (idle, resting) = at(source, POWER_W), at(source, 0.3 * POWER_W)
    # 20 mohm a battery, and the next whole tenth.
    fall = math.ceil(10 * (idle - plug + (current - resting) * 0.02 * blocks)) / 10
    low, lamp = day.readout_low_v, 1.9 / blocks
    joint, convicted = (printed("plug-volts", name, column) for column in (1, 2))
    lamp_limit = printed("lamp-limits", name, 0)
    fuse = 1000 * current * 0.0109 * 1.15 * (1 + 0.5 * (current / 7.5) ** 2)
    # A fully charged block at rest: flooded 12.65, AGM 12.75 to 12.8 and lithium iron phosphate 13.3 to 13.6 V.
    found = {
        ("own-volts", "fall of the readout", "at most"): (fall, 0.6 * blocks),
        ("own-volts", "readout under load", "at least"): (plug - low, 9.8 * blocks),
        ("rev-at-rest", "readout, engine running", "at least"): (at(13.6 * blocks, POWER_W)[0] - low, 12.5 * blocks),
        ("rev-at-rest", "readout, engine running", "at most"): (CHARGING_V[name] - low, 15.0 * blocks),
        ("volts-at-plug", "plug against the lead's own drop", "at least"): (plug - 0.05, joint + source - 12.5 * blocks),
        ("volts-at-plug", "plug against the low limit", "at least"): (plug - 0.05, convicted),
        ("lamp-at-plug", "drop under the lamp", "at most"): (lamp * (copper + CONTACT_OHM) + 0.05, lamp_limit),
        ("supply-legs", "positive leg under the unit", "at most"): (current * (copper / 2 + CONTACT_OHM), 0.75 * (12.5 * blocks - joint)),
        ("supply-legs", "positive leg under the lamp", "at most"): (lamp * (copper / 2 + CONTACT_OHM), 0.75 * lamp_limit),
        # A fuse of 7.5 A has 10.9 mohm of the contacts; three joints share the rest.
        ("supply-legs", "a joint under the unit", "at most"): (current * (CONTACT_OHM - 0.0109) / 3, 0.04),
        ("supply-legs", "a joint under the lamp", "at most"): (lamp * (CONTACT_OHM - 0.0109) / 3, 0.04),
        ("fuse-blows-late/rating", "fuse fitted", "at least"): (7.5, printed("fuse-choice", name, 0)),
        ("fuse-blows-late/rating", "fuse fitted", "at most"): (7.5, printed("fuse-choice", name, 1)),
        ("fuse-blows-late/current", "volts across the fuse", "at most"): (fuse, printed("fuse-drop-24" if blocks == 2 else "fuse-drop", "7.5\u202fA", 0)),
        ("battery-terminals", "posts under the lights", "at least"): (source, 12.8 if name == "lithium" else 12.2 * blocks),
        ("feed-falls-under-load/battery", "posts at the restart", "at least"): (source, 12.8 if name == "lithium" else 12.0 * blocks),
        ("feed-falls-under-load/battery", "fall at the posts", "at most"): ((current - resting) * 0.02 * blocks, 0.5 * blocks),
        ("over-voltage/posts", "volts on charge", "at most"): (CHARGING_V[name], 15.0 * blocks),
        ("over-voltage/engine", "volts on charge", "at most"): (CHARGING_V[name], 15.0 * blocks),
    }  # fmt: skip
    if blocks == 1:
        # The next length and current of the tables of any lead: 5 m, and 3.8 A.
        found["volts-at-plug", "drop, by the tables of any lead", "at most"] = (source - plug + 0.05, printed("lead-drop-12", "5\u202fm", 1))  # fmt: skip
        found["lamp-at-plug", "drop, by the tables of any lead", "at most"] = (lamp * (copper + CONTACT_OHM) + 0.05, printed("lamp-any", "5\u202fm", 1))  # fmt: skip
    return found


@pytest.mark.parametrize("name", SUPPLIES)
def test_each_reading_of_a_sound_boat_and_its_limit_by_hand(name: str) -> None:
    own = supply(name)
    for day in own.days():
        readings = {(r.check, r.what, r.side): r for r in own.readings(day)}
        full = readings.pop(("over-voltage/rest", "full battery at rest", "at most"))
        blocks = 2 if name == "twenty-four" else 1
        assert {"twelve": 12.7, "twenty-four": 25.2, "lithium": 13.3}[name] <= full.value <= 13.7 * blocks
        assert full.limit == 13.8 * blocks
        expected = by_hand(name, day)
        assert readings.keys() == expected.keys()
        for kind, (value, limit) in expected.items():
            assert readings[kind].value == pytest.approx(
                value, abs=0.5 if readings[kind].unit == "mV" else 2e-3
            ), kind
            assert readings[kind].limit == pytest.approx(limit), kind


def test_a_sound_boat_is_looked_at_in_every_corner() -> None:
    """Each end of battery, copper and readout with each other: lead-acid 12.2 to 12.8 V a block, lithium 12.8 to 13.4 V."""
    corners = {(day.block_v, day.copper_c, day.readout_low_v) for day in supply("twelve").days()}
    assert corners == {(v, c, low) for v in (12.2, 12.8) for c in (0.0, 40.0) for low in (0.2, 0.7)}
    assert {day.block_v for day in supply("lithium").days()} == {12.8, 13.4}


def test_the_worst_day_of_each_reading_is_kept() -> None:
    """The readout stands lowest on the lowest battery with the hottest copper, and highest on charge at its least error."""
    own = supply("twelve")
    worst = {(r.what, r.side): r for r in worst_readings(own)}
    assert worst["readout under load", "at least"].value == pytest.approx(
        by_hand("twelve", Day(12.2, 40.0, 0.7))["own-volts", "readout under load", "at least"][0], abs=2e-3
    )
    assert worst["readout, engine running", "at most"].value == pytest.approx(14.7 - 0.2)
    assert len(worst_readings(own)) == len(by_hand("twelve", Day(12.5, 20.0, 0.2))) + 1


def test_a_lead_that_is_too_thin_is_told() -> None:
    """12 m of 1 mm2 leave 45.6 W no more than 10.3 V of 12.5 V: below the 10.5 V at which the unit still works."""
    assert supply("twelve").lead_serves
    assert not supply("pintail").lead_serves


def test_a_longer_lead_than_the_tables_have_no_limit() -> None:
    boat = content().boats["twelve"]
    for changes, told in (
        ({"lead_length_m": 8.5}, False),
        ({"conductor": "10 AWG"}, False),
        ({"lead_length_m": 8.0}, True),
    ):
        long = boat.model_copy(update={"supply": boat.supply.model_copy(update=changes)})
        found = SoundSupply(long, content())
        assert [found._any_lead_limit(kind) is not None for kind in ("lead-drop", "lamp-any")] == [told, told]


def test_a_table_of_one_column_is_read_too() -> None:
    catalogue = content()
    columns = Axis.model_validate({"input": "conductor", "values": ["12 AWG"], "head": "Conductor"})
    one = catalogue.tables["lamp-any"].model_copy(update={"columns": columns})
    narrow = dataclasses.replace(
        catalogue, records={**catalogue.records, "tables": {**catalogue.tables, "lamp-any": one}}
    )
    found = SoundSupply(narrow.boats["twelve"], narrow)
    assert found._any_lead_limit("lamp-any") == printed("lamp-any", "5\u202fm", 1)


def test_a_current_above_the_tables_has_no_limit() -> None:
    catalogue = content()
    family = catalogue.families["tideway"].model_copy(update={"current_a": 5.1})
    strong = dataclasses.replace(catalogue, records={**catalogue.records, "families": {**catalogue.families, "tideway": family}})  # fmt: skip
    assert SoundSupply(strong.boats["twelve"], strong)._any_lead_limit("lead-drop") is None


def test_the_fuse_table_is_read_by_unit_and_rating() -> None:
    own = supply("twelve")
    assert own._column("fuse-drop", "holm", "5 A") == printed("fuse-drop", "5\u202fA", 1)
    # 45.6 W draw more at their lowest volts than 2 A may carry.
    assert own._column("fuse-drop", "tideway", "2 A") is None
    for unit, rating in (("skerry", "5 A"), ("tideway", "10 A")):
        with pytest.raises(NoAnswer, match="fuse-drop has no column for"):
            own._column("fuse-drop", unit, rating)


def walks(volts: float = 9.8, of: str = "twelve", entry: str = "D1") -> list[Any]:
    """The walks of an entry on a sound boat, with the printed floor of the readout."""
    catalogue = content()
    floor = catalogue.values["own-volts-floor"].model_copy(update={"declared": f"{volts} V"})
    changed = dataclasses.replace(catalogue, records={**catalogue.records, "values": {**catalogue.values, "own-volts-floor": floor}})  # fmt: skip
    own = SoundSupply(changed.boats[of], changed)
    return list(walk_sound(Decision(changed.entry(entry), changed), own, Day(12.5, 20.0, 0.2)))


def test_a_walk_with_a_sound_supply_passes_all_of_it() -> None:
    """The expected answer at each step; the borrowed transducer brings no cure, and nothing of the supply is blamed."""
    (walk,) = walks()
    answers = dict(walk.steps)
    assert (walk.boat, walk.end, walk.blames) == ("twelve", "hand-over", ())
    assert answers == {"history": "in-service", "temperature": "yes", "volts": "yes", "software": "yes", "plug": "yes",
                       "lamp": "yes", "pins": "yes", "swap": "same", "restore": "yes"}  # fmt: skip


def test_a_limit_that_convicts_a_sound_boat_is_seen_in_its_walk() -> None:
    """With a floor of 13 V the readout of a sound boat fails; on P1 that blames its joints."""
    (walk,) = walks(volts=13.0, entry="P1")
    assert dict(walk.steps)["volts"] == "no"
    assert (walk.end, walk.blames) == ("found-joint", ("joints",))
    # Where the lead itself is too thin, a verdict against the lead and its joints is right.
    (thin,) = walks(volts=13.0, entry="P1", of="pintail")
    assert (thin.end, thin.blames) == ("found-joint", ())


def test_of_what_an_owner_is_asked_every_answer_that_leads_to_a_check_is_walked() -> None:
    catalogue = content()
    entry = catalogue.faults["no-depth"]
    look = catalogue.checks["look-at-plug"].model_copy(update={"kind": "ask"})
    changed = dataclasses.replace(catalogue, records={**catalogue.records, "checks": {**catalogue.checks, "look-at-plug": look}})  # fmt: skip
    found = list(walk_sound(Decision(entry, changed), SoundSupply(changed.boats["twelve"], changed), Day(12.5, 20.0, 0.2)))  # fmt: skip
    # YES is expected, and CAN'T leads on to the lamp as well; NO leads to a fix.
    assert [dict(walk.steps)["plug"] for walk in found] == ["yes", "cannot"]


def test_a_borrowed_display_cures_what_stays() -> None:
    """The one part left, where it is the display that is exchanged."""
    catalogue = content()
    swap = catalogue.checks["borrowed-transducer"]
    assert swap.swap is not None
    other = swap.model_copy(update={"swap": swap.swap.model_copy(update={"part": ["display"]})})
    changed = dataclasses.replace(catalogue, records={**catalogue.records, "checks": {**catalogue.checks, "borrowed-transducer": other}})  # fmt: skip
    (walk,) = walk_sound(Decision(changed.entry("D1"), changed), SoundSupply(changed.boats["twelve"], changed), Day(12.5, 20.0, 0.2))  # fmt: skip
    assert (dict(walk.steps)["swap"], walk.end) == ("returns", "found-element")
