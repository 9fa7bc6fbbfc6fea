"""Editions: what is made for whom, in which sizes and units, under which document number."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from leadsman.content.model.base import Date, Id, Label, Prose, Question, Record, Step
from leadsman.content.model.reference import Value


class RevisionNote(Record):
    """One row of the revision log."""

    revision: int = Field(ge=1)
    date: Date
    affects: Prose
    reason: Prose
    approved_by: Label


class OffDeck(Record):
    """A condition that stands in the handbook only, or on a second sheet, and why."""

    entry: Id
    reason: Prose


class SheetSet(Record):
    """Sheets that hang on one ring: the conditions of some areas, and the sheet that lists them."""

    name: Label
    areas: list[Id] = Field(min_length=1)
    only: list[Id] = []
    """The conditions of these areas that hang on it; left out, all of them."""


class BoatNumber(Record):
    """One line of the page of a boat's own numbers: a value whose boat is filled in for each guide."""

    label: Label
    value: Value
    nominal_v: Literal[12, 24] | None = None
    """Only for boats of these nominal volts."""
    housings: list[Literal["transom", "through-hull", "in-hull", "trolling-motor"]] = []
    """Only for transducers of these housings; left out, for all."""
    says: Prose | None = None


class DepthWindow(Record):
    """The tables from which a boat's own depths are taken, narrowed to its bands and its waters."""

    shallow: Id
    deep: list[Id] = Field(min_length=1)
    """The least of them holds: a cold and a warm season, say."""
    suitability: Id
    thermistor: Id | None = None


class RecordReading(Record):
    """One line of the readings of a service record: what is measured, where, and what limits it."""

    ask: Label
    unit: Label
    at: list[Literal["battery", "plug", "own readout"]] = Field(min_length=1)
    """The places that have a field."""
    limit: Prose
    by_boat: list[Id] = []
    """Numbers of the edition that a boat's own record prints beside it."""


class Distress(Record):
    """Where help is called: data of the edition, since they differ by country."""

    channel: Label
    """The distress channel of the radio."""
    number: Label
    """The emergency number of the telephone."""


class OwnerLook(Record):
    """A cheap look that an owner takes before the steps of a condition."""

    name: Label
    """The key word."""
    do: Step
    see: Question
    """Worded so that YES leads on."""
    otherwise: Prose
    """What to do when the answer is no."""
    housings: list[Literal["transom", "through-hull", "in-hull", "trolling-motor"]] = []
    """Only for transducers of these housings; left out, for all."""


class OwnerPage(Record):
    """A condition that has a page of its own in an owner's guide."""

    entry: Id
    looks: list[Id] = []
    picture: Id | None = None
    skip: list[Id] = []
    """Checks that this page leaves to the dealer, so that it stays one page."""


Portion = Annotated[float, Field(ge=0, le=1)]


class DrillTargets(Record):
    """What a drill with simulated boats must reach before a release is built; shares of boats."""

    boats: int = Field(ge=100, le=100_000)
    seed: int = 1
    right: Portion
    condemned: Portion
    """Greatest share in which a sound part is renewed."""
    endless: Portion = 0.0
    over_best: float = Field(ge=0, le=2)
    """How much longer than the best legal order the mean may be, as a share."""
    doubles_safe: Portion
    sound_convicted: Portion = 0.0
    coverage: Portion = 1.0


class Edition(Record):
    """One thing to make from the content."""

    id: Id
    kind: Literal["deck", "finder", "handbook", "guide", "record", "telephone"]
    title: Label
    subtitle: Label
    set_name: Label
    document: str = Field(pattern=r"^[A-Z0-9]+(?:-[A-Z0-9]+)*$")
    formats: list[Literal["a5", "half-letter", "a6", "100x150", "4x6", "pdf", "epub"]] = Field(min_length=1)
    units: Literal["metric", "us", "us-fathoms"] = "metric"
    paper: Literal["a", "us"] = "a"
    """Paper family of what is printed on office paper: A4 and A5, or Letter and half letter."""
    language: str = "en-GB"
    reader: Prose
    kept: Prose
    """Where the valid copy is kept."""
    entries: list[Id] = []
    """Entries in their order; left out, all of them by area and code."""
    handbook_only: list[OffDeck] = []
    """Of a deck: entries that have no card, each with the reason; its index names them all the same."""
    sets: list[SheetSet] = []
    """Of a deck of sheets: what hangs on one ring, at most twenty sheets each."""
    second_sheets: list[OffDeck] = []
    """Of a deck of sheets: conditions that take a second sheet, each with the reason."""
    tables: list[Id] = []
    """Tables of their own: in a guide at its end; of a deck, on a card of limits for any boat."""
    front: list[Prose] = []
    """Paragraphs of the 'how to use' page."""
    guides: list[Literal["dealer", "families", "boats"]] = ["dealer", "families", "boats"]
    """Of an owner's guide: for whom it is made, beside the fleets that a dealer gives."""
    never: list[Prose] = []
    """Of an owner's guide: what an owner must never do, once at the front."""
    distress: Distress | None = None
    """Of an owner's guide, which cannot be made without it."""
    looks: dict[Id, OwnerLook] = {}
    pages: list[OwnerPage] = []
    """Of an owner's guide: the conditions with a page of their own, in their order; left out, all of them."""
    most_pages: int | None = Field(default=None, ge=4, multiple_of=4)
    """Of an owner's guide: how many pages it may have at most, to be stitched a multiple of four."""
    evidence: list[Id] = []
    """Of an owner's guide: what an owner can record for the dealer without a tool. Of a blank service record: all."""
    numbers: dict[Id, BoatNumber] = {}
    records: list[Literal["blank", "conditions", "boats"]] = ["blank", "conditions", "boats"]
    """Of a service record: the blank one, one for each condition, one for each boat."""
    readings: dict[Id, RecordReading] = {}
    """Of a service record: the supply readings, each with its limit beside it."""
    by_family: dict[Id, BoatNumber] = {}
    """Of a service record: limits of each display family, computed for it."""
    window: DepthWindow | None = None
    drill: DrillTargets | None = None
    """Figures that a drill must reach before this edition is built as a release."""
    revisions: list[RevisionNote] = Field(min_length=1)

    @model_validator(mode="after")
    def _readings_name_numbers(self) -> Edition:
        for name, reading in self.readings.items():
            for number in reading.by_boat:
                if number not in self.numbers:
                    raise ValueError(f"the reading '{name}' names '{number}', which is none of 'numbers'")
        return self

    @model_validator(mode="after")
    def _helps_in_distress(self) -> Edition:
        if self.kind == "guide" and self.distress is None:
            raise ValueError(
                "an owner's guide needs 'distress' with the radio's 'channel' and the emergency 'number'"
            )
        for page in self.pages:
            for look in page.looks:
                if look not in self.looks:
                    raise ValueError(f"the page of '{page.entry}' names '{look}', which is none of 'looks'")
        return self
