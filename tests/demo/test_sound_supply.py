"""No supply limit of the demo cards convicts a sound boat, and each limit has one place in the content.

A sound boat is worked out here from Ohm's law and the quadratic of a load that holds its power (Horowitz and Hill, The
Art of Electronics, 2015, section 1.2); what counts as sound (battery 12.2 to 12.8 V a block under load, copper 0 to
40 degC, readout 0.2 to 0.7 V low, fuse up to half as much again when warm) is common practice, no source.
"""

import dataclasses
import math
from typing import Any

import pytest

import built
from leadsman.book.computed import compute_table, compute_value, value_on
from leadsman.book.sound_supply import SoundSupply, walk_sound, worst_readings
from leadsman.compute.supply.fuses import BLADE_COLD_OHM
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision

BOATS = ("brent", "corrie", "linnet", "marten", "pintail", "sedge")
#: Entries that the supply decides or that lead through it.
ENTRIES = (
    "dead-unit", "restarts-on-cranking", "restarts-on-transmit", "feed-falls-under-load", "fuse-blows", "fuse-blows-late", "over-voltage", "hot-or-boot-loop",
    "which-part", "depth-flashes", "depth-lost-under-way", "no-sensor", "type-not-recognised", "no-sonar-function",
)  # fmt: skip


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return built.catalogue()


@pytest.fixture(scope="module")
def supplies(catalogue: Catalogue) -> dict[str, SoundSupply]:
    return {name: SoundSupply(boat, catalogue) for name, boat in catalogue.boats.items()}


def with_value(catalogue: Catalogue, name: str, **changes: Any) -> Catalogue:
    """The content with one value changed, as if its line in values.yaml were another."""
    values = {**catalogue.values, name: catalogue.values[name].model_copy(update=changes)}
    return dataclasses.replace(catalogue, records={**catalogue.records, "values": values})


@pytest.mark.parametrize("boat", BOATS)
def test_every_sound_reading_meets_its_printed_limit(supplies: dict[str, SoundSupply], boat: str) -> None:
    """Own volts, plug, lamp, legs, joints, fuse, battery and charging, cold and warm, at both ends of the battery."""
    supply = supplies[boat]
    worst = worst_readings(supply)
    assert len(worst) >= 18
    failed = [
        f"{r.check}: {r.what} {r.value:.3f} {r.unit}, {r.side} {r.limit}" for r in worst if not r.passes
    ]
    assert supply.lead_serves == (boat != "pintail")
    # A lead that is too thin is no sound part: its plug and its readout may be told so, nothing else of the boat may.
    assert failed == [] or {line.split(":")[0] for line in failed} == {
        "own-volts",
        "rev-at-rest",
        "volts-at-plug",
    }
    assert not failed or not supply.lead_serves


@pytest.mark.parametrize("entry", ENTRIES)
def test_no_walk_on_a_sound_boat_ends_against_a_sound_part(
    catalogue: Catalogue, supplies: dict[str, SoundSupply], entry: str
) -> None:
    decision = Decision(catalogue.faults[entry], catalogue)
    walks = [w for s in supplies.values() for day in s.days() for w in walk_sound(decision, s, day)]
    assert {w.boat for w in walks} == set(BOATS)
    assert [(w.boat, w.end, w.blames) for w in walks if w.blames] == []


def test_the_walk_tells_a_lead_that_is_too_thin(
    catalogue: Catalogue, supplies: dict[str, SoundSupply]
) -> None:
    """12 m of 1 mm2 leave the network unit 10.24 V of 12.5 V: the lead itself is the fault, and no joint of it."""
    decision = Decision(catalogue.faults["feed-falls-under-load"], catalogue)
    pintail = supplies["pintail"]
    ends = {w.end for day in pintail.days() for w in walk_sound(decision, pintail, day)}
    assert ends == {"found-lead"}
    table = compute_table(catalogue.tables["plug-volts"], catalogue)
    row = table.cells[table.row_heads.index("Pintail")]
    assert [cell.text.replace("\u202f", " ") for cell in row][::3] == ["10.25 V", "too thin"]


def test_the_fifth_of_a_loop_that_joins_the_sound_readings_is_ohms_law(
    supplies: dict[str, SoundSupply],
) -> None:
    """Marten by hand: 5 m of 12 AWG and 0.03 ohm, 45.6 W from 12.2 V, copper at 40 degC (0.393 % a kelvin)."""
    marten = supplies["marten"]
    # 5.32 ohm/km: solid 12 AWG 5.211 ohm/km at 20 degC (ASTM B258), 2 % of lay.
    loop = 2 * 5 * 5.32e-3 * (1 + 0.00393 * 20) + 0.03
    plug = (12.2 + math.sqrt(12.2**2 - 4 * 45.6 * loop)) / 2
    worst = next(r for r in worst_readings(marten) if r.what == "readout under load")
    assert worst.value == pytest.approx(plug - 0.7, abs=0.01)


@pytest.mark.parametrize(
    ("boat", "check", "what", "old_limit"),
    [
        # The limits of the first edition, each of which convicts a sound boat.
        ("corrie", "own-volts", "readout under load", 11.8),
        ("corrie", "own-volts", "fall of the readout", 0.3),
        ("sedge", "fuse-blows-late/current", "volts across the fuse", 60.0),
        ("corrie", "fuse-blows-late/current", "volts across the fuse", 60.0),
    ],
)
def test_the_old_limits_convicted_sound_boats(
    supplies: dict[str, SoundSupply], boat: str, check: str, what: str, old_limit: float
) -> None:
    worst = next(r for r in worst_readings(supplies[boat]) if r.check == check and r.what == what)
    assert worst.passes
    assert not dataclasses.replace(worst, limit=old_limit).passes


@pytest.mark.parametrize("boat", BOATS)
def test_a_bad_joint_is_still_found(supplies: dict[str, SoundSupply], boat: str) -> None:
    """0.15 ohm more in the loop (one bad joint, common practice) falls below the boat's bad-joint volts when cool."""
    supply = supplies[boat]
    power, given = supply.given["unit_power_w"], supply.given
    source = 12.5 * supply.blocks
    volts, current = supply._at(source, power, 20.0)
    loop = (source - volts) / current + 0.15
    assert given["contact_ohm"] > 0
    bad = (source + math.sqrt(source**2 - 4 * power * loop)) / 2
    limit = float(supply._cell("plug-volts", "find_joint_below"))
    assert bad < limit or (boat == "sedge" and source - bad > 0.15)


def test_the_fuse_fits_what_its_unit_draws_at_its_lowest_volts(catalogue: Catalogue) -> None:
    """45.6 W at 10.5 V are 4.34 A, times 1.25 are 5.4 A, hence 7.5 A, which is the maker's own; on 24 V half of it."""
    table = compute_table(catalogue.tables["fuse-choice"], catalogue)
    fits = {
        row: (float(c[1].exact), float(c[3].exact))
        for row, c in zip(table.row_heads, table.cells, strict=True)
    }
    assert fits["Marten"] == fits["Pintail"] == (7.5, 7.5)
    assert fits["Brent"] == (3.0, 7.5)
    for boat in catalogue.boats.values():
        least, greatest = fits[str(boat.name)]
        family = catalogue.families[boat.display]
        assert least <= boat.supply.fuse_a <= greatest <= family.fuse_a
        assert least <= family.fuse_a, "the maker's own fuse must be right"


def test_a_boats_contacts_count_its_own_fuse(catalogue: Catalogue) -> None:
    """A 2 A blade fuse alone has 54 mohm (typical, common practice)."""
    for boat in catalogue.boats.values():
        assert boat.supply.contact_ohm > BLADE_COLD_OHM[boat.supply.fuse_a]


@pytest.mark.parametrize(
    ("name", "on_24"),
    [("own-volts-floor", 20.9), ("over-volts", 30.0), ("battery-loaded", 24.4), ("battery-restart", 24.0),
     ("crank-battery", 19.2), ("rest-high", 27.6)],
)  # fmt: skip
def test_no_24_volt_boat_is_judged_by_12_volt_numbers(catalogue: Catalogue, name: str, on_24: float) -> None:
    """Two batteries in series have twice the volts; both numbers are printed where a display bears such a feed."""
    value = catalogue.values[name]
    found = value_on(value, catalogue, "tideway", 24)
    assert float(found.exact if found.printed is None else found.printed) == pytest.approx(on_24)
    everywhere = compute_value(value, catalogue).number.text.replace("\u202f", " ").replace("\u00a0", " ")
    assert f"(24 V feed {on_24:g} V)" in everywhere
    small = compute_value(value, catalogue, family="skerry").number.text
    assert "feed" not in small


#: The trade's margins that the supply formulas judge by: value, changed line, and the tables that must follow.
MARGINS = {
    "joint-allowance": ("0.2 V", {"plug-volts", "lamp-limits", "lamp-any", "lamp-any-awg", "lead-drop-1-5", "lead-drop-14-awg"}),
    "low-limit-margin": ("0.8 V", {"plug-volts"}),
}  # fmt: skip


@pytest.mark.parametrize("name", MARGINS)
def test_a_margin_of_the_trade_stands_in_one_place(catalogue: Catalogue, name: str) -> None:
    """Another line in values.yaml changes the sentence, every table and what is computed from it alike."""
    declared, tables = MARGINS[name]
    changed = with_value(catalogue, name, declared=declared)
    before, after = (compute_value(c.values[name], c).number.text for c in (catalogue, changed))
    assert before != after
    for table in tables:
        texts = [[[cell.text for cell in row] for row in compute_table(c.tables[table], c).cells] for c in (catalogue, changed)]  # fmt: skip
        assert texts[0] != texts[1], table
    if name == "low-limit-margin":
        for computed in ("own-volts-floor", "convicted-volts"):
            first, second = (compute_value(c.values[computed], c).number.text for c in (catalogue, changed))
            assert first != second


def test_the_readouts_error_moves_the_floor(catalogue: Catalogue) -> None:
    changed = with_value(catalogue, "own-readout-error", declared="0.2 to 0.9 V")
    exact = [
        compute_value(c.values["own-volts-floor"], c, family="holm").number.exact
        for c in (catalogue, changed)
    ]
    assert exact[0] - exact[1] == pytest.approx(0.2)


def test_the_floor_of_each_display_is_printed(catalogue: Catalogue) -> None:
    """By hand: low limits of 10.8, 10.0 and 10.5 V, half a volt above them, less 0.7 V that a readout may stand low.

    The one display that bears 24 V: a tenth of that lost in the lead leaves 21.6 V, less 0.7 V.
    """
    value = catalogue.values["own-volts-floor"]
    printed = compute_value(value, catalogue).number.text.replace("\u202f", " ").replace("\u00a0", " ")
    assert printed == "Holm 10.6 V, Skerry 9.8 V, Tideway 10.3 V (24 V feed 20.9 V)"
    assert compute_value(value, catalogue, family="holm").number.text == "10.6\u202fV"
