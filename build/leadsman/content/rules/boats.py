"""Boats: hull, transducer and supply fit together as they do on a boat that can exist."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

if TYPE_CHECKING:
    from leadsman.content.model.equipment import Boat, Family, Transducer

#: Deadrise at a transducer's station by kind of hull, in degrees (common practice, no published source).
_DEADRISE_DEG = {
    "flat": (0.0, 6.0),
    "modified-v": (6.0, 19.0),
    "deep-v": (18.0, 30.0),
    "displacement": (0.0, 30.0),
    "pontoon": (0.0, 8.0),
    "sailing": (0.0, 30.0),
}
#: Hulls that an in-hull transducer sounds through; a core or metal or wood stops the sound.
_SOUNDS_THROUGH = {"solid-grp", "polyethylene"}
PACKS = {
    ("flooded", 12): "flooded 12 V",
    ("flooded", 24): "flooded 24 V",
    ("agm", 12): "AGM 12 V",
    ("agm", 24): "AGM 24 V",
    ("lithium", 12): "LFP 4 cells",
    ("lithium", 24): "LFP 8 cells",
}


class BoatFault(NamedTuple):
    """What a rule has against a boat."""

    field: str
    what: str
    hint: str
    rests_on: tuple[str, ...] = ()
    """The other fields of the boat that the verdict hangs on."""


@rule("deadrise-band", "A boat's deadrise is one that its kind of hull has.", scope="equipment")
def deadrise_band(context: Context) -> Iterator[Problem]:
    """The figure at the transducer's station, by the kind of hull."""
    for name, boat in context.catalogue.boats.items():
        for fault in _deadrise_faults(boat):
            yield context.catalogue.problem("boats", name, (fault.field,), fault.what, fault.hint)


def boat_faults(boat: Boat, family: Family | None, fitted: Transducer | None) -> Iterator[BoatFault]:
    """Everything that these rules have against a boat; where display or transducer is not known, what needs neither."""
    yield from _deadrise_faults(boat)
    if family is not None and fitted is not None:
        yield from _listed_faults(boat, family)
    if fitted is not None:
        yield from _fitting_faults(boat, fitted)
    if family is not None:
        yield from _supply_faults(boat, family)


def _deadrise_faults(boat: Boat) -> Iterator[BoatFault]:
    least, greatest = _DEADRISE_DEG[boat.hull]
    if not least <= boat.deadrise_deg <= greatest:
        yield BoatFault("deadrise_deg", f"{boat.deadrise_deg:g} degrees is no deadrise of a {boat.hull} hull",
                        f"between {least:g} and {greatest:g}, or another hull", ("hull",))  # fmt: skip


@rule(
    "boat-transducer",
    "A boat's transducer is on its display's list, in a tilt that is made, and suits its hull.",
    scope="equipment",
)
def boat_transducer(context: Context) -> Iterator[Problem]:
    """What is fitted can be had and can work."""
    catalogue = context.catalogue
    for name, boat in catalogue.boats.items():
        family, fitted = catalogue.families.get(boat.display), catalogue.transducers.get(boat.transducer)
        if family is not None:
            for fault in _listed_faults(boat, family):
                yield catalogue.problem("boats", name, (fault.field,), fault.what, fault.hint)
        if fitted is not None:
            for fault in _fitting_faults(boat, fitted):
                yield catalogue.problem("boats", name, (fault.field,), fault.what, fault.hint)


def _listed_faults(boat: Boat, family: Family) -> Iterator[BoatFault]:
    if boat.transducer not in family.transducers:
        yield BoatFault("transducer", f"'{boat.transducer}' is not on the list of {boat.display}",
                        f"its list: {', '.join(family.transducers)}", ("display",))  # fmt: skip


def _fitting_faults(boat: Boat, fitted: Transducer) -> Iterator[BoatFault]:
    if boat.element_tilt_deg not in fitted.element_tilts_deg:
        made = ", ".join(f"{tilt:g}" for tilt in fitted.element_tilts_deg)
        yield BoatFault("element_tilt_deg", f"{fitted.id} is not made with {boat.element_tilt_deg:g} degrees",
                        f"made with {made}", ("transducer",))  # fmt: skip
    if fitted.housing == "in-hull" and boat.material not in _SOUNDS_THROUGH:
        yield BoatFault("transducer", f"an in-hull transducer does not sound through {boat.material}", "fit another housing",
                        ("material",))  # fmt: skip
    elif fitted.housing == "in-hull" and boat.laminate_mm is None:
        yield BoatFault(
            "transducer", "an in-hull transducer needs the thickness of the hull", "add 'laminate_mm'"
        )


@rule(
    "boat-supply",
    "A boat's battery stays within its display's supply window, and its fuse fits the display.",
    scope="equipment",
)
def boat_supply(context: Context) -> Iterator[Problem]:
    """Nominal volts, volts on charge, and the fuse against the unit's current and its maker's rating."""
    for name, boat in context.catalogue.boats.items():
        family = context.catalogue.families.get(boat.display)
        if family is not None:
            for fault in _supply_faults(boat, family):
                place = ("supply", fault.field)
                yield context.catalogue.problem("boats", name, place, fault.what, fault.hint)


def _supply_faults(boat: Boat, family: Family) -> Iterator[BoatFault]:
    # Not before a boat is looked at: most checks look at none.
    from leadsman.compute.supply.battery import WINDOW_V
    from leadsman.compute.supply.fuses import BLADE_COLD_OHM

    supply = boat.supply
    _, charging = WINDOW_V[PACKS[supply.battery, supply.nominal_v]]
    if charging > family.supply_high_v:
        yield BoatFault(
            "nominal_v", f"the battery reaches {charging:g} V on charge, {family.id} bears {family.supply_high_v:g} V",
            "choose another display or feed", ("display", "battery"),
        )  # fmt: skip
    if supply.nominal_v <= family.supply_low_v:
        yield BoatFault(
            "nominal_v", f"{supply.nominal_v:g} V are not above the low limit of {family.id}, {family.supply_low_v:g} V",
            "choose another display or feed", ("display",),
        )  # fmt: skip
    if not family.current_a <= supply.fuse_a <= family.fuse_a:
        yield BoatFault(
            "fuse_a", f"a fuse of {supply.fuse_a:g} A does not fit {family.id}",
            f"more than its {family.current_a:g} A, and at most the {family.fuse_a:g} A of its maker", ("display",),
        )  # fmt: skip
    own = BLADE_COLD_OHM.get(supply.fuse_a, 0.0)
    if supply.contact_ohm < own:
        yield BoatFault(
            "contact_ohm",
            f"{supply.contact_ohm:g} ohm are less than a fuse of {supply.fuse_a:g} A has by itself, {own:g} ohm",
            "count the fuse with holder, switch, joints and plug", ("fuse_a",),
        )  # fmt: skip
