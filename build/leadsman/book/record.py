"""Service records before layout: the blank one, one for each condition with its evidence, one for each boat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from leadsman.book.chosen import chosen_entries
from leadsman.book.computed import compute_value
from leadsman.book.views import EntryView, StepView, view_entry
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.edition import BoatNumber, RecordEdition, RecordReading
from leadsman.content.model.equipment import Boat, Family, Transducer
from leadsman.content.model.fault import FaultEntry
from leadsman.content.model.reference import Evidence
from leadsman.errors import OutputError


@dataclass(frozen=True)
class LimitLine:
    """A computed limit with its label, as printed."""

    id: str
    label: str
    text: str


@dataclass(frozen=True)
class ReadingLine:
    """One reading to take: what, where, the limit in words, and the limits computed for this boat."""

    id: str
    reading: RecordReading
    limits: tuple[LimitLine, ...]


@dataclass(frozen=True)
class FamilyLine:
    """The supply window of a display family with the limits computed for it."""

    family: Family
    limits: tuple[LimitLine, ...]


@dataclass(frozen=True)
class RecordSheet:
    """One service record: what is known beforehand, and what is to be filled in."""

    edition: RecordEdition
    name: str
    """The end of its file's name."""
    readings: tuple[ReadingLine, ...]
    families: tuple[FamilyLine, ...]
    evidence: Mapping[str, Evidence]
    photos: Mapping[str, Evidence]
    view: EntryView | None = None
    boat: Boat | None = None
    display: Family | None = None
    transducer: Transducer | None = None

    @property
    def swaps(self) -> Sequence[StepView]:
        """The swap tests of the condition, in their order."""
        return [step for step in self.view.steps if step.check.body.kind == "swap"] if self.view else []


def record_sheets(edition: RecordEdition, catalogue: Catalogue) -> Iterator[RecordSheet]:
    """Every sheet of an edition of kind ``record``, the blank one first."""
    if "blank" in edition.records:
        yield _sheet(edition, catalogue, "blank")
    if "conditions" in edition.records:
        for entry in chosen_entries(edition, catalogue):
            view = view_entry(Decision(entry, catalogue))
            yield _sheet(edition, catalogue, f"{entry.code}-{entry.id}", view=view)
    if "boats" in edition.records:
        for boat in catalogue.boats.values():
            yield _sheet(edition, catalogue, f"boat-{boat.id}", boat=boat)


def case_sheet(edition: RecordEdition, catalogue: Catalogue, entry: FaultEntry, boat: Boat) -> RecordSheet:
    """The record of one condition on one boat: the steps of the one beside the limits of the other."""
    view = view_entry(Decision(entry, catalogue))
    return _sheet(edition, catalogue, f"{entry.code}-{entry.id}", view=view, boat=boat)


def _sheet(
    edition: RecordEdition, catalogue: Catalogue, name: str, *, view: EntryView | None = None, boat: Boat | None = None
) -> RecordSheet:  # fmt: skip
    evidence = _evidence(edition, catalogue, view)
    display = catalogue.families[boat.display] if boat else None
    families = [display] if display else list(catalogue.families.values())
    more: dict[str, Any] = {}
    if boat is not None:
        more = {"boat": boat, "display": display, "transducer": catalogue.transducers[boat.transducer]}
    return RecordSheet(
        edition,
        name,
        tuple(
            ReadingLine(key, reading, tuple(_boat_limits(reading.by_boat, boat, edition, catalogue)))
            for key, reading in edition.readings.items()
        ),
        tuple(FamilyLine(f, tuple(_family_limits(f, edition, catalogue))) for f in families),
        {key: item for key, item in evidence.items() if item.kind != "photo"},
        {key: item for key, item in evidence.items() if item.kind == "photo"},
        view,
        **more,
    )


def _evidence(edition: RecordEdition, catalogue: Catalogue, view: EntryView | None) -> dict[str, Evidence]:
    """What a hand-over of the condition asks for; of no condition, what the edition lists, and every photograph."""
    known: Mapping[str, Evidence] = catalogue.records["evidence"]
    if view is not None:
        wanted = [name for end in view.hand_overs for name in end.hand_over.evidence]
    else:
        wanted = [*edition.evidence, *(name for name, item in known.items() if item.kind == "photo")]
    return {name: known[name] for name in dict.fromkeys(wanted)}


def _boat_limits(
    names: Sequence[str], boat: Boat | None, edition: RecordEdition, catalogue: Catalogue
) -> Iterator[LimitLine]:
    """The named numbers of the edition, computed for a boat; those of the other nominal volts are left out."""
    for name in names if boat else ():
        assert boat is not None
        number = edition.numbers[name]
        if number.nominal_v in (None, boat.supply.nominal_v):
            yield _limit(name, number, {"boat": boat.id}, edition, catalogue)


def _family_limits(family: Family, edition: RecordEdition, catalogue: Catalogue) -> Iterator[LimitLine]:
    for name, number in edition.by_family.items():
        yield _limit(name, number, {"family": family.id}, edition, catalogue)


def _limit(name: str, number: BoatNumber, filled: Mapping[str, str], edition: RecordEdition, catalogue: Catalogue) -> LimitLine:  # fmt: skip
    if number.value.computed is None:
        raise OutputError(f"{edition.id}: the limit '{name}' is not computed; name a formula")
    computed = number.value.computed.model_copy(update=dict(filled))
    value = number.value.model_copy(update={"computed": computed})
    found = compute_value(value, catalogue, edition.units)
    return LimitLine(name, str(number.label), found.number.text)
