"""What a sound boat reads at each supply check, computed, and whether the printed limit lets it pass.

A limit that convicts a sound part is the worst that a card can print. Here a boat of the content has nothing wrong:
its own lead, fuse and joints in sound condition, its battery anywhere in the sound range, the copper cold or warm,
the readout as far below a meter as readouts stand, a meter's own spread. Each reading comes from the formulas of the
supply, each limit from the value or table that the check prints.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from leadsman.book.computed import ComputedTable, compute_table, value_on
from leadsman.book.inputs import boat_inputs
from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.battery import WINDOW_V, rest_voltage
from leadsman.compute.supply.fuses import BLADE_COLD_OHM
from leadsman.compute.supply.plug_checks import ONE_BLOCK_V
from leadsman.compute.supply.voltage_drop import plug_voltage_constant_power
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, Decision
from leadsman.content.model.equipment import Boat
from leadsman.content.rules.boats import PACKS
from leadsman.units import parse

#: Volts of each block of a sound lithium battery under a sounder's load (common practice, no source).
LITHIUM_BLOCK_V = (12.8, 13.4)
#: Internal resistance of a sound house battery, per block (common practice, no source).
BATTERY_OHM = 0.02
#: Joints over which the contacts of a sound lead are spread, fuse aside: holder, switch, plug (common practice).
JOINTS = 3
#: How far the resistance of a fuse may lie from the typical one (common practice, no source).
FUSE_SPREAD = 1.15
#: The volts at which alternator and charger hold a sound battery, the least of the usual range, for each block.
CHARGING_LEAST_V = 13.6


@dataclass(frozen=True)
class Day:
    """One state of a sound installation: volts of each block, copper, and how low the readout stands."""

    block_v: float
    copper_c: float
    readout_low_v: float


@dataclass(frozen=True)
class Reading:
    """A reading of a sound boat at one check, and the printed limit on its side.

    ``check`` is the id of a shared check, or entry and check of an entry's own.
    """

    check: str
    what: str
    value: float
    side: Literal["at most", "at least"]
    limit: float
    unit: str = "V"

    @property
    def margin(self) -> float:
        """How far inside the limit the reading lies; negative where a sound boat is convicted."""
        return self.limit - self.value if self.side == "at most" else self.value - self.limit

    @property
    def passes(self) -> bool:
        """Whether the printed question is answered as for a sound part."""
        return self.margin >= -1e-9


class SoundSupply:
    """The sound supply of a boat: its readings on any day, and its limits as they are printed."""

    def __init__(self, boat: Boat, catalogue: Catalogue) -> None:
        self.boat, self.catalogue = boat, catalogue
        self.family = catalogue.families[boat.display]
        self.blocks = boat.supply.nominal_v / ONE_BLOCK_V
        self.given = boat_inputs(boat, catalogue)
        self._tables: dict[str, ComputedTable] = {}

    def days(self) -> Iterator[Day]:
        """Every corner of what a sound boat may be: battery, copper and readout at either end."""
        band = [_number(end) for end in self._assumption("battery-loaded-12").band]
        volts = LITHIUM_BLOCK_V if self.boat.supply.battery == "lithium" else band
        copper = [_number(end) for end in self._assumption("lead-temperature-read").band]
        readout = self.catalogue.values["own-readout-error"].declared or ""
        low, _, high = readout.partition(" to ")
        errors = (float(low), _number(high))
        for block, degrees, error in itertools.product(volts, copper, errors):
            yield Day(block, degrees, error)

    @cached_property
    def lead_serves(self) -> bool:
        """Whether the boat's own lead can feed its unit; one that is too thin is no sound part."""
        return str(self._cell("plug-volts", "lead")) == "serves"

    def readings(self, day: Day) -> Iterator[Reading]:
        """Every reading of the supply checks on that day, with its limit."""
        yield from self._readout(day)
        yield from self._plug(day)
        yield from self._lamp(day)
        yield from self._legs(day)
        yield from self._fuse(day)
        yield from self._battery(day)

    def loaded(self, day: Day) -> tuple[float, float]:
        """Volts at the plug and current under full load."""
        return self._at(self.blocks * day.block_v, self.given["unit_power_w"], day.copper_c)

    def _at(self, source_v: float, power_w: float, copper_c: float) -> tuple[float, float]:
        found = plug_voltage_constant_power(
            source_v=source_v, power_w=power_w, length_m=self.given["length_m"], conductor=self.given["conductor"],
            construction="stranded", temperature_c=copper_c, contact_ohm=self.given["contact_ohm"],
        )  # fmt: skip
        return float(found.voltage), float(found.current)

    def _copper(self, day: Day) -> float:
        """Resistance of the copper, out and back."""
        volts, current = self.loaded(day)
        return (self.blocks * day.block_v - volts) / current - float(self.given["contact_ohm"])

    def _readout(self, day: Day) -> Iterator[Reading]:
        source, step = self.blocks * day.block_v, _number(self._assumption("readout-step").value)
        share = _number(self._assumption("idle-share").value) / 100
        volts, _ = self.loaded(day)
        idle, _ = self._at(source, share * self.given["unit_power_w"], day.copper_c)
        sag = self._sag(day)
        # The readout shows whole steps: a true fall may show as much as the next step up.
        fall = _steps_up(idle - volts + sag, step)
        yield Reading("own-volts", "fall of the readout", fall, "at most", self._value("own-volts-change"))
        yield Reading("own-volts", "readout under load", volts - day.readout_low_v, "at least", self._value("own-volts-floor"))  # fmt: skip
        charging = self.blocks * CHARGING_LEAST_V
        running, _ = self._at(charging, self.given["unit_power_w"], day.copper_c)
        low, high = self._range("running-window")
        least = running - day.readout_low_v
        yield Reading("rev-at-rest", "readout, engine running", least, "at least", low)
        yield Reading("rev-at-rest", "readout, engine running", self._charging() - day.readout_low_v, "at most", high)  # fmt: skip

    def _sag(self, day: Day) -> float:
        """Fall at the battery posts from transmit off to full load."""
        source = self.blocks * day.block_v
        share = _number(self._assumption("idle-share").value) / 100
        _, current = self.loaded(day)
        _, resting = self._at(source, share * self.given["unit_power_w"], day.copper_c)
        return (current - resting) * BATTERY_OHM * self.blocks

    def _plug(self, day: Day) -> Iterator[Reading]:
        source, (volts, _) = self.blocks * day.block_v, self.loaded(day)
        seen = volts - self._value("same-volts")
        shift = source - self.blocks * _number(self._assumption("battery-loaded-12").value)
        joint = float(self._cell("plug-volts", "find_joint_below")) + shift
        yield Reading("volts-at-plug", "plug against the lead's own drop", seen, "at least", joint)
        convicted = float(self._cell("plug-volts", "convicted_below"))
        yield Reading("volts-at-plug", "plug against the low limit", seen, "at least", convicted)
        if self.boat.supply.nominal_v == ONE_BLOCK_V:
            drop = source - volts + self._value("same-volts")
            limit = self._any_lead_limit("lead-drop")
            if limit is not None:
                yield Reading("volts-at-plug", "drop, by the tables of any lead", drop, "at most", limit)

    def _lamp(self, day: Day) -> Iterator[Reading]:
        drop = self._lamp_current(day) * (self._copper(day) + self.given["contact_ohm"]) + self._value(
            "same-volts"
        )
        yield Reading("lamp-at-plug", "drop under the lamp", drop, "at most", float(self._cell("lamp-limits", "drop_limit")))  # fmt: skip
        if self.boat.supply.nominal_v == ONE_BLOCK_V:
            limit = self._any_lead_limit("lamp-any")
            if limit is not None:
                yield Reading("lamp-at-plug", "drop, by the tables of any lead", drop, "at most", limit)

    def _lamp_current(self, day: Day) -> float:
        return _number(self._assumption("lamp-current").value) / self.blocks

    def _legs(self, day: Day) -> Iterator[Reading]:
        """All contacts may lie in the positive leg, the fuse among them."""
        share = self._value("leg-share") / 100
        table_source = self.blocks * _number(self._assumption("battery-loaded-12").value)
        _, current = self.loaded(day)
        for load, amperes, limit in (
            ("unit", current, table_source - float(self._cell("plug-volts", "find_joint_below"))),
            ("lamp", self._lamp_current(day), float(self._cell("lamp-limits", "drop_limit"))),
        ):
            leg = amperes * (self._copper(day) / 2 + self.given["contact_ohm"])
            yield Reading("supply-legs", f"positive leg under the {load}", leg, "at most", share * limit)
            fuse = BLADE_COLD_OHM.get(self.boat.supply.fuse_a, 0.0)
            joint = amperes * (self.given["contact_ohm"] - fuse) / JOINTS
            yield Reading(
                "supply-legs", f"a joint under the {load}", joint, "at most", self._value("joint-drop")
            )

    def _fuse(self, day: Day) -> Iterator[Reading]:
        fitted = self.boat.supply.fuse_a
        least, greatest = (float(self._cell("fuse-choice", name)) for name in ("rating", "greatest"))
        yield Reading("fuse-blows-late/rating", "fuse fitted", fitted, "at least", least, "A")
        yield Reading("fuse-blows-late/rating", "fuse fitted", fitted, "at most", greatest, "A")
        _, current = self.loaded(day)
        warming = _number(self._assumption("fuse-warming").value) / 100
        # The element warms with the power that it loses: with the square of its share of the rating.
        warm = BLADE_COLD_OHM[fitted] * FUSE_SPREAD * (1 + warming * (current / fitted) ** 2)
        table = "fuse-drop" if self.blocks == 1 else "fuse-drop-24"
        limit = self._column(table, self.family.id, f"{fitted:g} A")
        if limit is not None:
            yield Reading("fuse-blows-late/current", "volts across the fuse", 1000 * current * warm, "at most", limit, "mV")  # fmt: skip

    def _battery(self, day: Day) -> Iterator[Reading]:
        lithium = self.boat.supply.battery == "lithium"
        source = self.blocks * day.block_v
        floor = self._value("battery-loaded-lithium" if lithium else "battery-loaded")
        yield Reading("battery-terminals", "posts under the lights", source, "at least", floor)
        restart = self._value("battery-loaded-lithium" if lithium else "battery-restart")
        yield Reading("feed-falls-under-load/battery", "posts at the restart", source, "at least", restart)
        sag = self._sag(day)
        yield Reading("feed-falls-under-load/battery", "fall at the posts", sag, "at most", self._value("battery-fall"))  # fmt: skip
        chemistry = {"flooded": "flooded", "agm": "AGM", "lithium": "LFP"}[self.boat.supply.battery]
        full = self.blocks * float(rest_voltage(charge_pct=100.0, chemistry=chemistry))
        yield Reading("over-voltage/rest", "full battery at rest", full, "at most", self._value("rest-high"))
        for check in ("posts", "engine"):
            yield Reading(f"over-voltage/{check}", "volts on charge", self._charging(), "at most", self._value("over-volts"))  # fmt: skip

    def _charging(self) -> float:
        """Volts to which charger and alternator lift this battery."""
        return WINDOW_V[PACKS[self.boat.supply.battery, self.boat.supply.nominal_v]][1]

    def _table(self, name: str) -> ComputedTable:
        if name not in self._tables:
            self._tables[name] = compute_table(self.catalogue.tables[name], self.catalogue)
        return self._tables[name]

    def _assumption(self, name: str) -> Any:
        return self.catalogue.records["assumptions"][name]

    def _value(self, name: str) -> float:
        found = value_on(
            self.catalogue.values[name], self.catalogue, self.family.id, self.boat.supply.nominal_v
        )
        return float(found.printed) if found.printed is not None else float(found.exact)

    def _range(self, name: str) -> tuple[float, float]:
        found = value_on(
            self.catalogue.values[name], self.catalogue, self.family.id, self.boat.supply.nominal_v
        )
        low, high = found.exact
        return float(low), float(high)

    def _cell(self, table: str, output: str) -> Any:
        """What the table prints for this boat."""
        found = self._table(table)
        row = [item.record_id for item in found.rows].index(self.boat.id)
        number = found.cells[row][[cell.output for cell in found.table.cells].index(output)]
        if not number.answered:
            raise NoAnswer(f"{table} has no {output} for {self.boat.id}: {number.text}")
        return number.exact if number.printed is None else number.printed

    def _column(self, table: str, row_id: str, rating: str) -> float | None:
        """What the table prints for a display and a fuse; nothing where that fuse is too small for it."""
        found = self._table(table)
        for row, cells in zip(found.rows, found.cells, strict=True):
            for column, cell in zip(found.columns, cells, strict=True):
                # Either axis may be the fuse's.
                if (
                    row_id in (row.record_id, column.record_id)
                    and {**row.inputs, **column.inputs}["rating"] == rating
                ):
                    return None if cell.printed is None else float(cell.printed)
        raise NoAnswer(f"{table} has no column for {rating}, or no row for {row_id}")

    def _any_lead_limit(self, kind: str) -> float | None:
        """The limit that a reader without this boat's own row finds: length and current rounded to the next above."""
        for table in self.catalogue.tables.values():
            if not table.id.startswith(kind):
                continue
            found = self._table(table.id)
            by_size = "conductor" in found.columns[0].inputs
            if not by_size and found.fixed.get("conductor") != self.given["conductor"]:
                continue
            lengths = [float(row.inputs["length_m"]) for row in found.rows]
            row = next((n for n, m in enumerate(lengths) if m >= self.given["length_m"]), None)
            wanted = "conductor" if by_size else "current_a"
            column = next((n for n, c in enumerate(found.columns)
                           if (c.inputs[wanted] == self.given["conductor"] if by_size else c.inputs[wanted] >= self.family.current_a)),
                          None)  # fmt: skip
            if (
                row is not None
                and column is not None
                and (number := found.cells[row][column]).printed is not None
            ):
                return float(number.printed)
        return None


def _number(text: str) -> float:
    return float(parse(text).value)


def _steps_up(value: float, step: float) -> float:
    """The greatest difference that a readout in whole steps shows for a true one."""
    whole = int(value / step + 1e-9)
    return (whole + (0 if abs(value - whole * step) < 1e-9 else 1)) * step


def worst_readings(supply: SoundSupply) -> list[Reading]:
    """Of each kind of reading the one nearest to its limit, over all days."""
    worst: dict[tuple[str, str, str], Reading] = {}
    for day in supply.days():
        for reading in supply.readings(day):
            kind = (reading.check, reading.what, reading.side)
            if kind not in worst or reading.margin < worst[kind].margin:
                worst[kind] = reading
    return list(worst.values())


@dataclass(frozen=True)
class SoundWalk:
    """How the card goes with a sound supply: the steps with their answers, and the end."""

    boat: str
    steps: tuple[tuple[str, str], ...]
    end: str
    blames: tuple[str, ...]
    """Components of the supply that the end blames although they are sound."""


def walk_sound(decision: Decision, supply: SoundSupply, day: Day) -> Iterator[SoundWalk]:
    """Follow an entry whose fault shows although the boat's supply is sound: measured steps are computed.

    What an owner is asked may be answered in any way that leads to another check. Every other step gets its expected
    answer. At a swap the borrowed part brings no cure but where it stands in for the display, the one part left.
    """
    readings = list(supply.readings(day))
    # Where the lead is too thin, a verdict against the supply is right, whichever of its parts it names.
    sound = {"battery", "joints", "supply-cable"} if supply.lead_serves else {"battery"}
    open_walks: list[tuple[str, tuple[tuple[str, str], ...]]] = [(decision.start, ())]
    while open_walks:
        node, steps = open_walks.pop(0)
        if node not in decision.checks:
            finding = decision.findings.get(node)
            blamed = {decision.causes[c].component for c in finding.causes} if finding is not None else set()
            yield SoundWalk(supply.boat.id, steps, node, tuple(sorted(blamed & sound)))
            continue
        links = decision.links(node)
        for answer in _answers(decision, node, readings, supply):
            open_walks.append((links[answer], (*steps, (node, answer))))


def _answers(decision: Decision, node: str, readings: list[Reading], supply: SoundSupply) -> list[str]:
    check = decision.checks[node]
    keys = {check.shared.id if check.shared else "", f"{decision.entry.id}/{node}"}
    if any(r.check in keys and not r.passes for r in readings):
        return ["thin" if "thin" in check.outcomes and not supply.lead_serves else "no"]
    if check.body.swap is not None:
        return ["returns" if "display" in check.body.swap.part else "same"]
    expected = check.default_answer() or CANNOT
    if check.body.kind != "ask" or node == decision.start:
        return [expected]
    return [a for a, target in decision.links(node).items() if a == expected or target in decision.checks]
