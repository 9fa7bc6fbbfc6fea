"""The words of a case: on a terminal, in the message to the maker and on the owner's page."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.case import ACTIONS
from leadsman.content.model.words import HOUSINGS, OfName, OfNames, Sentence, Words, whole, with_places


class CaseWords(Record):
    """The words of a case: on a terminal, in the message to the maker and on the owner's page."""

    title: Annotated[Label, with_places(("name", "code", "title"))]
    boat: Annotated[Label, with_places(("display", "transducer", "volts", "length", "conductor", "fuse"))]
    suspect: Words
    none_left: Sentence
    next: Words
    as_written: Annotated[Label, with_places(("number", "text"))]
    cheapest: Annotated[Label, with_places(("number", "text"))]
    costs: Annotated[Label, with_places(("minutes", "convicts"))]
    left: Annotated[Label, with_places(("minutes",))]
    ended: Words
    no_check: Sentence
    other_entry: Annotated[Label, with_places(("code", "title"))]
    not_done: Words
    all_done: Sentence
    bring: Words
    lent: Words
    misfits: dict[str, Words]
    """What stands against a borrowed transducer."""
    breakout_for: OfName
    fuse_for: Annotated[Label, with_places(("least", "greatest"))]
    fuse_one: Annotated[Label, with_places(("greatest",))]
    no_fuse: Sentence
    same_model: Words
    order: Words
    order_display: Annotated[Label, with_places(("name",))]
    order_transducer: Annotated[Label, with_places(("name", "element", "length"))]
    order_lead: Annotated[Label, with_places(("conductor", "length", "fuse"))]
    order_other: OfName
    no_element: Sentence
    seals: dict[str, Sentence]
    """What goes with a transducer of a housing."""
    order_when: Sentence
    stop: Words
    go_on: Annotated[Label, with_places(("step", "part"))]
    renew: Annotated[Label, with_places(("part", "search", "price", "chance"))]
    supply_first: Annotated[Label, with_places(("part",))]
    tells_nothing: Sentence
    leads_on: Sentence
    no_prices: Sentence
    stop_at_once: Sentence
    warranty: Words
    runs: Annotated[Label, with_places(("date",))]
    ran_out: Annotated[Label, with_places(("date",))]
    unknown_warranty: Sentence
    actions: dict[str, Words]
    action_words: dict[str, list[Words]]
    """By what a remedy is known to open, cut or update something."""
    not_before: OfNames
    agreed: OfNames
    asks_for: Annotated[Label, with_places(("letter", "says", "names"))]
    seller: dict[str, Words]
    receipt: Words
    no_receipt: Words
    return_number: OfName
    no_return_number: Sentence
    call_back: Sentence
    maker_subject: Annotated[Label, with_places(("code", "title", "name"))]
    equipment: Words
    serial: Annotated[Label, with_places(("part", "name"))]
    no_serial: Annotated[Label, with_places(("part",))]
    complaint: Words
    since: Annotated[Label, with_places(("date",))]
    own_words: OfName
    history: Words
    done: Words
    readings: Words
    reading: Annotated[Label, with_places(("what", "place", "value", "limit"))]
    swapped: Words
    evidence: Words
    photos: OfNames
    conclusion: Words
    asks_maker: Sentence
    asks_warranty: Sentence
    owner_title: OfName
    found: Words
    not_found: Sentence
    nothing_found: Sentence
    remedied: Words
    proving: Words
    proved: Annotated[Prose, with_places(("proof",))]
    not_proved: Annotated[Prose, with_places(("proof",))]
    open: Words
    nothing_open: Sentence
    no_aid: Sentence
    ask_us: Words

    @model_validator(mode="after")
    def _every_word(self) -> CaseWords:
        whole("misfits", self.misfits, ("list", "band", "power", "pins"))
        whole("seals", self.seals, HOUSINGS)
        whole("actions", self.actions, ACTIONS)
        whole("action_words", self.action_words, ACTIONS)
        whole("seller", self.seller, ("here", "elsewhere"))
        return self
