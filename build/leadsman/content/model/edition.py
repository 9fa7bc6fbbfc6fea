"""Editions: what is made for whom, in which sizes and units, under which document number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, model_validator

from leadsman.content.model.base import Date, Id, Label, Prose, Question, Record, Step
from leadsman.content.model.reference import Computation, Value


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
    tables: list[Id] = []
    """Tables of no one condition, such as limits for any boat; they stand on the sheet that opens the set."""
    equipment: bool = False
    """Whether that sheet has what the equipment tells too: each unit's list of transducers, and their pin tables."""


class BoatNumber(Record):
    """One line of the page of a boat's own numbers: a value whose boat is filled in for each guide."""

    label: Label
    value: Value
    nominal_v: Literal[12, 24] | None = None
    """Only for boats of these nominal volts."""
    housings: list[Literal["transom", "through-hull", "in-hull", "trolling-motor"]] = []
    """Only for transducers of these housings; left out, for all."""
    lead: Literal["serves", "too thin"] | None = None
    """Only for boats whose power lead can feed the display, or only for those whose lead is too thin for it."""
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
    us: Label | None = None
    """That number in a guide with US units or on US paper; left out, the same."""


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
    """One thing to make from the content: what every kind of it has. Each kind is a record of its own below."""

    id: Id
    kind: Literal["deck", "finder", "handbook", "guide", "record", "telephone"]
    title: Label
    subtitle: Label
    set_name: Label
    document: str = Field(pattern=r"^[A-Z0-9]+(?:-[A-Z0-9]+)*$")
    formats: Sequence[str]
    units: Literal["metric", "us", "us-fathoms"] = "metric"
    paper: Literal["a", "us"] = "a"
    """Paper family of what is printed on office paper: A4 and A5, or Letter and half letter."""
    language: str = "en-GB"
    reader: Prose
    kept: Prose
    """Where the valid copy is kept."""
    entries: list[Id] = []
    """Entries in their order; left out, all of them by area and code."""
    front: list[Prose] = []
    """Paragraphs of the 'how to use' page."""
    revisions: list[RevisionNote] = Field(min_length=1)


class DeckEdition(Edition):
    """A deck of sheets or cards for the technician at the boat."""

    kind: Literal["deck"]
    formats: list[Literal["a5", "half-letter", "a6", "100x150", "4x6"]] = Field(min_length=1)
    """Trim sizes."""
    handbook_only: list[OffDeck] = []
    """Entries that have no card, each with the reason; the index names them all the same."""
    sets: list[SheetSet] = []
    """What hangs on one ring, at most twenty sheets each."""
    second_sheets: list[OffDeck] = []
    """Conditions that take a second sheet, each with the reason."""


class FinderEdition(Edition):
    """The ring that goes in the pocket: first of all, signs, menus and swaps."""

    kind: Literal["finder"]
    formats: list[Literal["a6", "100x150", "4x6"]] = Field(min_length=1)
    """Trim sizes."""


class HandbookEdition(Edition):
    """The technician's handbook."""

    kind: Literal["handbook"]
    formats: list[Literal["pdf", "epub"]] = Field(min_length=1)
    tables: list[Id] = []
    """Tables that it prints; left out, all that its entries name."""
    drill: DrillTargets | None = None
    """Figures that a drill must reach before this edition is built as a release."""


class GuideEdition(Edition):
    """An owner's guide."""

    kind: Literal["guide"]
    formats: list[Literal["pdf", "epub"]] = Field(min_length=1)
    tables: list[Id] = []
    """Tables at its end."""
    guides: list[Literal["dealer", "families", "boats"]] = ["dealer", "families", "boats"]
    """For whom it is made, beside the fleets that a dealer gives."""
    never: list[Prose] = []
    """What an owner must never do, once at the front."""
    evidence: list[Id] = []
    """What an owner can record for the dealer without a tool."""
    numbers: dict[Id, BoatNumber] = {}
    """The page of a boat's own numbers."""
    lead: Computation | None = None
    """What tells whether a boat's own power lead, when sound, can feed its display: "serves" or "too thin"."""
    window: DepthWindow | None = None
    distress: Distress
    """The radio's channel and the emergency number: no guide can be made without them."""
    looks: dict[Id, OwnerLook] = {}
    pages: list[OwnerPage] = []
    """The conditions with a page of their own, in their order; left out, all of them."""
    most_pages: int | None = Field(default=None, ge=4, multiple_of=4)
    """How many pages it may have at most, to be stitched a multiple of four."""

    @model_validator(mode="after")
    def _pages_name_looks(self) -> GuideEdition:
        for page in self.pages:
            for look in page.looks:
                if look not in self.looks:
                    raise ValueError(f"the page of '{page.entry}' names '{look}', which is none of 'looks'")
        return self


class TelephoneEdition(Edition):
    """The questions of a call in their order, for the desk."""

    kind: Literal["telephone"]
    formats: list[Literal["pdf", "epub"]] = Field(min_length=1)


class RecordEdition(Edition):
    """The service record: a form to fill in."""

    kind: Literal["record"]
    formats: list[Literal["pdf"]] = Field(min_length=1)
    evidence: list[Id] = []
    """Of the blank one: all that can be recorded."""
    records: list[Literal["blank", "conditions", "boats"]] = ["blank", "conditions", "boats"]
    """The blank one, one for each condition, one for each boat."""
    readings: dict[Id, RecordReading] = {}
    """The supply readings, each with its limit beside it."""
    numbers: dict[Id, BoatNumber] = {}
    """Limits of a boat, computed for it."""
    by_family: dict[Id, BoatNumber] = {}
    """Limits of each display family, computed for it."""

    @model_validator(mode="after")
    def _readings_name_numbers(self) -> RecordEdition:
        for name, reading in self.readings.items():
            for number in reading.by_boat:
                if number not in self.numbers:
                    raise ValueError(f"the reading '{name}' names '{number}', which is none of 'numbers'")
        return self


#: The record of each kind: what ``kind`` says decides which fields and formats an edition may have.
KINDS: dict[str, type[Edition]] = {
    "deck": DeckEdition,
    "finder": FinderEdition,
    "handbook": HandbookEdition,
    "guide": GuideEdition,
    "record": RecordEdition,
    "telephone": TelephoneEdition,
}


def kinds_with(field: str) -> list[str]:
    """The kinds of edition that have a field.

    Examples
    --------
    >>> kinds_with("never"), kinds_with("sets")
    (['guide'], ['deck'])
    """
    return [kind for kind, model in KINDS.items() if field in model.model_fields]
