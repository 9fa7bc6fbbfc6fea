"""The kinds of records that a folder of content holds: where each lies, and which model it is read as."""

from __future__ import annotations

import importlib
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from leadsman.content.model.base import Record


class Models(Mapping[str, "type[Record]"]):
    """The model of each kind, by module and name; loaded when it is asked for, since some take long and few read all."""

    def __init__(self, **places: str) -> None:
        self._places = places

    def __getitem__(self, kind: str) -> type[Record]:
        module, _, name = self._places[kind].partition(".")
        model: type[Record] = getattr(importlib.import_module(f"leadsman.content.model.{module}"), name)
        return model

    def __contains__(self, kind: object) -> bool:
        return kind in self._places

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


#: Folders of one record a file; the file's name is the record's id.
FOLDERS = Models(
    faults="fault.FaultEntry",
    checks="fault.SharedCheck",
    families="equipment.Family",
    transducers="equipment.Transducer",
    waters="equipment.Water",
    boats="equipment.Boat",
    tables="table.Table",
    topics="reference.Topic",
    editions="edition.Edition",
    phrases="phrases.Phrases",
    drills="drill.DrillPlan",
)
#: Files that hold a mapping of id to record.
LISTS = Models(
    areas="reference.Area",
    access="reference.Access",
    assumptions="reference.Assumption",
    capabilities="reference.Capability",
    cautions="reference.Caution",
    components="reference.Component",
    evidence="reference.Evidence",
    glossary="reference.Term",
    hazards="reference.Hazard",
    retired="reference.Retired",
    sources="reference.Source",
    tasks="reference.Task",
    tools="reference.Tool",
    us_words="reference.UsWord",
    values="reference.Value",
)
#: Lists that a folder of content may do without.
OPTIONAL = {"hazards", "us_words"}
#: Files that hold one record.
SINGLES = Models(dealer="equipment.Dealer")
#: Files for people, not for the program.
NOTES = {"CONVENTIONS.md"}
#: What the formulas gave for the last edition that was released; the program writes it and reads it from the history.
PRINTED_NUMBERS = "printed-numbers.json"
#: The faces of the cards of the last release; the program writes it and holds the next release against it.
PRINTED_CARDS = "printed-cards.json"
