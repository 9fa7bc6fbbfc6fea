"""The words of the frame in one language: what stands on a page beside the content itself.

Every key is wanted, so that no page of a new language is printed with a hole in it. A place for something that
is known only in print is written ``{given: name}``; each phrase has exactly the places of its field here.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from leadsman.content import prose
from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.case_words import CaseWords
from leadsman.content.model.fault import HISTORIES, SIGNS
from leadsman.content.model.figure_words import FigureWords
from leadsman.content.model.guide_words import GuideWords
from leadsman.content.model.handbook_words import HandbookWords
from leadsman.content.model.record_words import RecordWords
from leadsman.content.model.reference import SIGNALS
from leadsman.content.model.words import (
    OfCode,
    OfName,
    OfNames,
    OfNumber,
    OfTitle,
    Sentence,
    SentenceOfNames,
    Words,
    whole,
    with_places,
)

#: The answers that every check may have without a label of its own.
ANSWERS = ("yes", "no", "cannot", "returns", "not-back", "same", *HISTORIES)
#: The kinds of check, for a step whose part has no word of its own.
KINDS = ("ask", "look", "operate", "read", "measure", "trial", "swap", "restore")


class LadderWords(Record):
    """The words on the faces of a condition."""

    down: Words
    """The sign that YES falls through to the next step."""
    arrow: Words
    explains: Sentence
    """What the sign means, once a front."""
    explains_over: Sentence
    """The same on a back where the ladder goes on above the ends."""
    first: Words
    """Before the hazards that come before step 1."""
    steps: OfNames
    step: OfName
    letters: OfNames
    letter: OfName
    fixes: OfTitle
    """The title of a back."""
    goes_on: OfTitle
    """The title of a second front."""
    note_it: Words
    fails: Words
    """Before the place where a failed proof leads."""
    proves: Sentence
    """What the bold question of a fix is, once a back."""
    to: OfName
    """Who takes over."""
    form: OfCode
    """That the evidence stands on the record form of this code."""
    by_hand: OfNames
    """The facts that cannot be had later."""
    not_done: Sentence
    bring: Words
    fits: Words
    """Before the display families that a condition applies to."""
    apart: Words
    shows: Words
    """Before what each display shows."""
    readings: Words
    in_book: OfCode
    listed: Words
    """The title of the units' lists of transducers."""
    display: Words
    takes: Words
    from_version: Annotated[Prose, with_places(("name", "version"))]
    pins: OfName
    """The title of what a meter reads at a transducer's plug."""
    contacts: Words
    between: Words
    wanted: Words
    assumed: Sentence
    at_face: Annotated[Label, with_places(("code", "face"))]
    """Where a table stands: the sheet and one face of it."""
    at_faces: Annotated[Label, with_places(("code", "first", "last"))]
    """The same of what stands on several faces."""
    table_on: Annotated[Prose, with_places(("name", "place"))]
    picture_on: Annotated[Prose, with_places(("place",))]
    tables: Words
    set: OfName
    """The title of the sheet that lists a set."""
    how: Words
    effective: Annotated[Label, with_places(("revision", "date"))]
    later: Sentence
    """What is done with the earlier one when a later revision of a card comes."""
    card: Words
    seen: Words
    faces: Words
    rev: Words
    face: OfName
    """The face that follows."""
    next_step: OfName
    end_of: OfCode
    turn_to: OfName
    turn: Words
    identity: Annotated[Label, with_places(("document", "code", "face", "faces", "revision", "date", "set"))]


class LinkWords(Record):
    """How the prose and the pages name a place: a page, a menu, a step of the same condition."""

    page: Annotated[Label, with_places(("number",))]
    menu: Annotated[Label, with_places(("number",))]
    menu_of: Annotated[Label, with_places(("name", "menu"))]
    """What a menu reads or sets, with the menu."""
    menu_paths: Annotated[Label, with_places(("number", "names"))]
    step: Annotated[Label, with_places(("number",))]
    fix: Annotated[Label, with_places(("number",))]
    hand_over: Annotated[Label, with_places(("number",))]
    minutes: Annotated[Label, with_places(("number",))]
    step_of: Annotated[Label, with_places(("code", "number"))]
    """A step of another condition."""
    there: SentenceOfNames
    """Which steps of the condition that an answer leads to are answered by it."""
    step_is: Annotated[Label, with_places(("number", "answer"))]
    through: Annotated[Label, with_places(("size",))]
    """Behind a band: the laminate through which it sounds."""
    not_found: Words
    """Where a condition has no end for a cause."""
    months: list[Words] = Field(min_length=12, max_length=12)
    date: Annotated[Label, with_places(("day", "month", "year"))]


class PinWords(Record):
    """What a meter reads between the contacts of a plug."""

    whats: dict[str, Words]
    tuned: OfName
    """What is read behind a winding."""
    between: Annotated[Label, with_places(("least", "greatest"))]
    or_more: Annotated[Label, with_places(("least",))]
    at: Annotated[Label, with_places(("temperature", "limits"))]

    @model_validator(mode="after")
    def _every_word(self) -> PinWords:
        whole("whats", self.whats, ("element", "identification", "thermistor", "shield"))
        return self


class FrontWords(Record):
    """What the first page of a book says of its edition."""

    identity: Annotated[Label, with_places(("document", "revision", "date"))]
    approved: Annotated[Prose, with_places(("name",))]
    applies: SentenceOfNames


class FinderWords(Record):
    """The words on the finder ring."""

    first: Words
    comes: Words
    until: Words
    signs: Words
    messages: OfName
    menus: Words
    supply: Words
    supply_of: Annotated[Label, with_places(("name", "fuse"))]
    between: Annotated[Label, with_places(("low", "high"))]
    swap_rule: Sentence
    swap_words: Sentence
    """What the answers of a swap test mean."""
    swap_not_back: Sentence
    guilty: OfNames
    cleared: OfNames
    together: Words
    effective: Annotated[Label, with_places(("revision", "date"))]
    sets: Annotated[Label, with_places(("name", "codes"))]
    card: Words
    faces: Words
    seen: Words
    rev: Words
    face: OfName
    end_of: OfCode
    goes_on: OfTitle
    held: Annotated[Label, with_places(("title", "name"))]
    """The title of a face of a list, with the groups on it."""


class OpeningQuestion(Record):
    """One question of every call: the words to say, and what the answer means."""

    say: Sentence
    means: Sentence


class CallWords(Record):
    """The words of the telephone book."""

    first: Words
    opening: Words
    questions: list[OpeningQuestion]
    which: Words
    step: Words
    say: Words
    means: Words
    minutes: Words
    menus: OfName
    to_step: OfName
    to_end: OfName
    to_card: OfCode
    to_visit: Words
    solved: Words
    come_in: Words
    when: Sentence
    when_ashore: Sentence
    """The same for a boat that takes water in."""
    with_what: OfNames
    until: OfNames
    i_come: Words
    bring: OfNames
    first_fixes: OfNames
    settles: Annotated[Prose, with_places(("named", "solved"))]
    cheapest: Words
    span: Annotated[Label, with_places(("least", "greatest"))]
    """From the fewest minutes to the most."""
    order: Annotated[Prose, with_places(("history", "steps", "minutes"))]
    nothing: Sentence
    hands_off: Sentence
    index: Words
    index_about: Sentence
    display: OfName
    """The title of a display's page."""
    read_out: Words
    read_out_about: Sentence
    spelling: list[Words] = Field(min_length=26, max_length=26)
    """The words of the spelling alphabet, A to Z."""
    for_it: Words
    breakout: OfName
    lent: Words
    lent_heads: list[Words] = Field(min_length=2, max_length=2)
    lent_none: Words
    fuses: Words
    fuse_heads: list[Words] = Field(min_length=2, max_length=2)
    fuse_between: Annotated[Prose, with_places(("least", "greatest"))]
    fuse_one: OfName
    fuse_none: Words
    tables: Words
    on_display: Sentence
    """Said where lent parts, leads or fuses are to be brought."""


class SheetWords(Record):
    """The words on the sheets for a print shop and on their template."""

    turns: dict[str, Words]
    """How the printer turns a sheet."""
    title: OfTitle
    title_of: Annotated[Label, with_places(("title", "turn"))]
    front: OfNumber
    """The number of the sheets, with the side of this one."""
    back: OfNumber
    foot: Annotated[Prose, with_places(("title", "number", "side", "scale", "turn"))]
    template: Annotated[Prose, with_places(("title", "scale"))]
    advice: Annotated[Prose, with_places(("scale", "turn", "fold", "size", "corner", "film", "hole"))]
    fold: Sentence

    @model_validator(mode="after")
    def _every_word(self) -> SheetWords:
        whole("turns", self.turns, ("long-edge", "short-edge", "fold"))
        return self


class EpubWords(Record):
    """What a book for a phone says of how it can be read."""

    summary: Sentence
    summary_with_pictures: Sentence


class Phrases(Record):
    """The words of the frame in one language."""

    answers: dict[str, Words]
    sign_headings: dict[str, Words]
    kinds: dict[str, Words]
    """The bold key word of a step whose part has none of its own."""
    signals: dict[str, Words]
    links: LinkWords
    pins: PinWords
    front: FrontWords
    ladder: LadderWords
    handbook: HandbookWords
    finder: FinderWords
    case: CaseWords
    record: RecordWords
    call: CallWords
    guide: GuideWords
    sheets: SheetWords
    epub: EpubWords
    figures: FigureWords

    @model_validator(mode="after")
    def _every_word(self) -> Phrases:
        whole("answers", self.answers, ANSWERS)
        whole("sign_headings", self.sign_headings, SIGNS)
        whole("kinds", self.kinds, KINDS)
        whole("signals", self.signals, SIGNALS)
        return self


def filled(phrase: str, **given: object) -> str:
    """A phrase with what is given put into its places.

    Examples
    --------
    >>> filled("END of {given: code}", code="P1")
    'END of P1'
    """
    return prose.replace(phrase, lambda reference: str(given[reference.what]))
