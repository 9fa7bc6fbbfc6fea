"""Facts of the bus, as its two wires and their terminators make it."""

from __future__ import annotations

import math

from leadsman.content.decision import ResolvedCheck
from leadsman.drill.case import Case, fact
from leadsman.drill.facts.reading import limits_of


def _bus_ohm(case: Case) -> float:
    """Resistance between the wires, power off: 120 ohm at each end, more or fewer by the fault."""
    flags = case.state.flags
    ends = 1 if "bus-open" in flags else 2
    ohm = 120.0 / ends
    return 1.0 / (1.0 / ohm + 1.0 / 8.0) if "bus-short" in flags else ohm


@fact("bus-ohms-high")
def _bus_high(case: Case, check: ResolvedCheck | None) -> bool:
    _, high = limits_of(case, check, 2)[:2]
    return case.meter.ohm(_bus_ohm(case)) > high


@fact("bus-ohms-low")
def _bus_low(case: Case, check: ResolvedCheck | None) -> bool:
    low, _ = limits_of(case, check, 2)[:2]
    return case.meter.ohm(_bus_ohm(case)) < low


@fact("bus-feed-reads-low")
def _bus_feed(case: Case, check: ResolvedCheck | None) -> bool:
    least = limits_of(case, check, 1)[0]
    true = 0.4 if "bus-unpowered" in case.state.flags else case.state.battery_v - 0.15
    return case.meter.volts(true) < least


@fact("bus-node-reads-low")
def _bus_node(case: Case, check: ResolvedCheck | None) -> bool:
    least = limits_of(case, check, 2)[1]
    true = 8.3 if "backbone-falls" in case.state.flags else case.state.battery_v - 0.6
    return case.meter.volts(true) < least


@fact("bus-wires-alike")
def _alike(case: Case, check: ResolvedCheck | None) -> bool:
    """Without traffic, or with the two wires joined, both stand at the middle of the levels."""
    return "bus-short" in case.state.flags


@fact("bus-levels-off")
def _bus_levels(case: Case, check: ResolvedCheck | None) -> bool:
    """Mean volts of each wire with traffic: 2.75 and 2.25; crossed wires read the other way round."""
    limits = limits_of(case, check, 4)
    if any(math.isnan(n) for n in limits):
        return False
    crossed = "bus-crossed" in case.state.flags
    high, low = (2.25, 2.75) if crossed else (2.75, 2.25)
    if "bus-short" in case.state.flags:
        high = low = 2.5
    read_high, read_low = case.meter.volts(high), case.meter.volts(low)
    return not (limits[0] <= read_high <= limits[1] and limits[2] <= read_low <= limits[3])
