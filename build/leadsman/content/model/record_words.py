"""The words of a service record, one group for each of its sections."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.words import (
    OfName,
    OfNumber,
    Sentence,
    SentenceOfNames,
    Words,
    whole,
    with_places,
)

#: The links of the chain that carry a label.
PARTS = ("display", "module", "transducer", "adapter", "battery")
#: Where a reading is taken.
PLACES = ("battery", "plug", "own readout")
#: The parts that a blank record offers to swap.
SWAPPED = ("transducer", "display", "socket")
_HULLS = ("flat", "modified-v", "deep-v", "displacement", "pontoon", "sailing")
_MATERIALS = ("solid-grp", "cored-grp", "aluminium", "wood", "steel", "polyethylene")
_DRIVES = ("outboard", "sterndrive", "shaft", "sail", "electric")

OfStep = Annotated[Label, with_places(("number", "name"))]


class JobWords(Record):
    """Job and boat. Whatever ends in ``tip`` is read out at a field whose words on the page are too short."""

    title: Words
    caption: Words
    number: Words
    date: Words
    date_tip: Words
    boat: Words
    boat_tip: Words
    technician: Words
    technician_tip: Words
    hull: Words
    hull_tip: Words
    hulls: dict[str, Words]
    materials: dict[str, Words]
    drives: dict[str, Words]
    place: Words
    place_tip: Words
    lead: Words
    lead_tip: Words
    fuse: Words
    settings: Words
    compatible: Words

    @model_validator(mode="after")
    def _every_word(self) -> JobWords:
        whole("hulls", self.hulls, _HULLS)
        whole("materials", self.materials, _MATERIALS)
        whole("drives", self.drives, _DRIVES)
        return self


class LabelWords(Record):
    """The equipment, from its labels."""

    caption: Words
    part: Words
    parts: dict[str, Words]
    model: Words
    model_tip: OfName
    serial: Words
    serial_tip: OfName
    date: Words
    date_tip: OfName
    software: Words
    software_tip: OfName
    no_software: Words

    @model_validator(mode="after")
    def _every_word(self) -> LabelWords:
        whole("parts", self.parts, PARTS)
        return self


class ReadingWords(Record):
    """The supply readings."""

    title: Words
    caption: Words
    state: Words
    places: dict[str, Words]
    heads: dict[str, Words]
    """The heads of the columns, by the same keys."""
    limit: Words
    tip: Annotated[Label, with_places(("name", "place"))]
    families: Words
    display: Words
    low: Words
    high: Words
    computed: SentenceOfNames

    @model_validator(mode="after")
    def _every_word(self) -> ReadingWords:
        whole("places", self.places, PLACES)
        whole("heads", self.heads, PLACES)
        return self


class OutcomeWords(Record):
    """The checks and their outcomes."""

    title: Words
    menus: Sentence
    caption: Annotated[Label, with_places(("code", "title"))]
    caption_made: Words
    step: Words
    line: Words
    check: Words
    what: Words
    what_tip: OfNumber
    outcome: Words
    remark: Words
    remark_tip: OfNumber
    line_remark_tip: OfNumber
    answer_tip: OfStep
    line_answer_tip: OfStep


class ExchangeWords(Record):
    """The swaps."""

    title: Words
    caption: Words
    parts: dict[str, Words]
    other: Words
    """The one line of a condition without a swap."""
    of_step: OfStep
    part: Words
    compatible: Words
    compatible_tick: Words
    compatible_tip: OfName
    borrowed: Words
    gone: Words
    gone_tip: OfName
    same: Words
    same_tip: OfName
    again: Words
    back: Words
    back_tip: OfName
    not_back: Words
    not_back_tip: OfName
    carried: Words
    carried_tip: OfName

    @model_validator(mode="after")
    def _every_word(self) -> ExchangeWords:
        whole("parts", self.parts, SWAPPED)
        return self


class FoundWords(Record):
    """The evidence."""

    title: Words
    caption: Words
    caption_most: Words
    found: Words
    done: Words
    taken_tip: OfName


class VerdictWords(Record):
    """The verdict and the signatures."""

    title: Words
    caption: Words
    letter: Words
    reached: Words
    proving: Words
    says_tip: Annotated[Label, with_places(("letter", "says"))]
    proved: Words
    proved_tip: Annotated[Label, with_places(("letter",))]
    to: OfName
    which: Words
    part: Words
    result: Words
    caption_done: Words
    renewed: Words
    lead_line: Words
    open: Words
    open_tip: Words
    sign_technician: Words
    sign_owner: Words
    signature: Words


class RecordWords(Record):
    """The words of a service record; its reading back depends on the first six."""

    other: Words
    elsewhere: Words
    elsewhere_proved: Words
    minutes: Words
    came_back: Words
    nothing_found: Words
    identity: Annotated[Prose, with_places(("document", "revision", "date", "set"))]
    asked: Words
    answer: Words
    job: JobWords
    labels: LabelWords
    readings: ReadingWords
    outcomes: OutcomeWords
    swaps: ExchangeWords
    evidence: FoundWords
    verdict: VerdictWords
