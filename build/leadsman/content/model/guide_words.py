"""The words of an owner's guide."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.words import (
    HOUSINGS,
    OfName,
    OfNames,
    OfNumber,
    OfTitle,
    Sentence,
    Words,
    whole,
    with_places,
)


class GuideWords(Record):
    """The words of an owner's guide."""

    this: Words
    guide_for: Words
    boat: Words
    telephone: OfName
    help: Words
    distress: Words
    distress_when: Sentence
    distress_first: Sentence
    radio: OfName
    """Before what is said; the channel is given."""
    say: list[Annotated[Prose, with_places(())]]
    """What is said on the radio, in its order."""
    ring: OfNumber
    urgent: Words
    urgent_when: Sentence
    urgent_do: list[Annotated[Prose, with_places(())]]
    signals: Sentence
    name_of_boat: Words
    call_sign: Words
    radio_number: Words
    safety: Words
    leave: Sentence
    comes: Words
    until: Words
    start: Words
    start_steps: list[Annotated[Prose, with_places(())]]
    contents: Words
    never: Words
    yours: Words
    yours_about: Sentence
    parts: Words
    part: Words
    on_your_boat: Words
    display: Words
    display_serial: Words
    transducer: Words
    transducer_serial: Words
    element: Words
    lead: Words
    face: Words
    face_says: Sentence
    marks: list[Words]
    """What the letters of the boat's picture stand for, A first."""
    numbers: Words
    thin_lead: Sentence
    """Above the numbers of a boat whose power lead cannot feed its display."""
    number: Words
    volts: Words
    band: Words
    water: Words
    depth: Words
    depths: Words
    span: Annotated[Label, with_places(("least", "greatest"))]
    """From one depth to another."""
    depths_say: Sentence
    no_depth: Words
    """Where no number can be promised."""
    bands: Words
    bands_head: Words
    bands_say: Sentence
    level: Words
    tilted: Annotated[Label, with_places(("angle",))]
    housings: dict[str, Words]
    lead_is: Annotated[Label, with_places(("length", "conductor", "fuse"))]
    thermistor: Words
    thermistor_heads: Annotated[list[Words], Field(min_length=2, max_length=2)]
    find: Words
    find_about: Sentence
    messages: Words
    messages_caption: Words
    message: Words
    means: Words
    turn: Words
    display_of: OfName
    """Behind the subtitle of a guide for one display."""
    own_least: Words
    """The boat's own depths, where the prose names the table of which they are a part."""
    own_greatest: Words
    least_table: Words
    greatest_table: Words
    other: Words
    how: Words
    how_about: Sentence
    how_at: OfName
    before: OfName
    """Before a caution that stands at the head: the steps that it guards."""
    on_screen: OfNames
    fixes: Words
    take: OfNames
    to_step: OfName
    to_fix: OfName
    to_call: Words
    then: OfName
    note_it: Words
    unsure: Words
    fails: OfName
    at_the_end: OfTitle
    notes: Words
    nothing_here: Sentence
    others: Words
    others_about: Sentence
    seen: Words
    do: Words
    call: Words
    call_about: Sentence
    log: Words
    log_heads: list[Words]
    menus: Words
    menus_about: Sentence
    menus_of: OfName
    menus_caption: Words
    menus_heads: list[Words]
    tables: Words
    topics: Words
    identity: Annotated[Label, with_places(("document", "revision", "date"))]

    @model_validator(mode="after")
    def _every_word(self) -> GuideWords:
        whole("housings", self.housings, HOUSINGS)
        return self
