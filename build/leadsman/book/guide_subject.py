"""Whose guide it is: the display, the transducer and the boat that are known, and what follows from them.

A guide prints only what its equipment can do. What a transducer cannot do its display cannot show, whatever
the display's own list says.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat, Family, Transducer

#: What a transducer must have for a capability of its display to come to anything.
_NEEDED_OF_TRANSDUCER: Mapping[str, Callable[[Transducer], bool]] = {
    "depth": lambda t: any(band.looks == "down" for band in t.bands),
    "picture": lambda t: any(band.looks == "down" for band in t.bands),
    "temperature": lambda t: t.thermistor is not None,
    "speed": lambda t: t.paddle_hz_per_kn is not None,
    "side": lambda t: any(band.looks == "side" for band in t.bands),
    "forward": lambda t: any(band.looks == "forward" for band in t.bands),
}
#: Menu tasks that come to nothing without a capability.
_NEEDED_FOR_TASK = {"temperature-readout": "temperature", "own-volts": "own-volts"}
#: The menu task that chooses between bands.
_BAND_TASK = "frequency"


@dataclass(frozen=True)
class Subject:
    """What is known of the reader's equipment: nothing, a display family, or a whole boat.

    ``owner``, ``boat_name`` and the serial numbers are personal: they stand on the guide's own pages only.
    """

    family: Family | None = None
    transducer: Transducer | None = None
    boat: Boat | None = None
    owner: str = field(default="", repr=False)
    boat_name: str = field(default="", repr=False)
    display_serial: str = field(default="", repr=False)
    transducer_serial: str = field(default="", repr=False)

    def families(self, catalogue: Catalogue) -> list[Family]:
        """Its display family; without one, every family."""
        return [self.family] if self.family else list(catalogue.families.values())

    def can(self, catalogue: Catalogue) -> frozenset[str]:
        """The capabilities that this equipment has; without a family, those of any family."""
        known = {name for family in self.families(catalogue) for name in family.capabilities}
        transducer = self.transducer
        if transducer is None:
            return frozenset(known)
        return frozenset(
            name
            for name in known
            if name not in _NEEDED_OF_TRANSDUCER or _NEEDED_OF_TRANSDUCER[name](transducer)
        )

    def tasks(self, catalogue: Catalogue) -> frozenset[str]:
        """The menu tasks that are safe for an owner and that this equipment has."""
        can = self.can(catalogue)
        found = {
            task
            for family in self.families(catalogue)
            for task in family.menus
            if catalogue.records["tasks"][task].owner_may
            and (task not in _NEEDED_FOR_TASK or _NEEDED_FOR_TASK[task] in can)
        }
        if self.transducer is not None and len(self.transducer.bands) < 2:
            found.discard(_BAND_TASK)
        return frozenset(found)


def boat_subject(boat: Boat, catalogue: Catalogue) -> Subject:
    """The subject of a boat of the content; its name is that of the record."""
    return Subject(
        catalogue.families[boat.display],
        catalogue.transducers[boat.transducer],
        boat,
        boat_name=str(boat.name),
    )
