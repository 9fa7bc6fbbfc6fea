"""The words of a handbook, one group for each of its parts."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.fault import HISTORIES
from leadsman.content.model.words import (
    OfName,
    OfNames,
    OfTitle,
    Sentence,
    SentenceOfNames,
    SentenceOfText,
    Words,
    whole,
    with_places,
)
from leadsman.evidence import BASES


class TitleWords(Record):
    """The titles of the parts, by the part's name."""

    edition: Words
    contents: Words
    safety: Words
    use: Words
    first: Words
    find: Words
    messages: Words
    checks: Words
    behind: Words
    menus: Words
    pictures: Words
    tables: Words
    topics: Words
    equipment: Words
    glossary: Words
    swaps: Words
    isolation: Words
    drill: Words
    numbers: Words
    likelihoods: Words
    evidence: Words
    record: Words


class SafetyWords(Record):
    """Before you begin."""

    prevails: Sentence
    signals: Sentence
    """What each signal word stands for."""
    returns: Sentence


class FirstWords(Record):
    """What a caller's first words tell of."""

    about: Sentence
    caller: OfNames
    say: SentenceOfText


class FindWords(Record):
    """The lists by what is seen and by message."""

    about: Sentence
    screens: Words
    messages: Words
    message: Words
    display: Words
    entry: Words
    conditions: Words


class EntryWords(Record):
    """A condition in full, and what stands behind its card."""

    checks: Words
    steps: Words
    """The heading of a procedure's steps."""
    fixes: Words
    ends: Words
    """The heading of a procedure's ends."""
    method: OfTitle
    fails: Words
    """Before the place where a failed proof leads."""
    to: OfName
    not_done: Sentence
    bring: SentenceOfNames
    tables: SentenceOfNames
    pictures: SentenceOfNames
    see_also: SentenceOfNames
    statuses: dict[str, Words]
    reviewed: Annotated[Prose, with_places(("status", "date"))]
    displays: Words
    message: SentenceOfNames
    set_aside: Words
    not_here: SentenceOfText

    @model_validator(mode="after")
    def _every_word(self) -> EntryWords:
        whole("statuses", self.statuses, ("draft", "reviewed"))
        return self


class LikelihoodWords(Record):
    """The table of the causes."""

    title: Words
    about: Sentence
    likeliest: Words
    caption: Words
    cause: Words
    always: Words
    """The one column where no history makes a difference."""
    histories: dict[str, Words]

    @model_validator(mode="after")
    def _every_word(self) -> LikelihoodWords:
        whole("histories", self.histories, HISTORIES)
        return self


class CheckWords(Record):
    """The checks in full."""

    about: Sentence
    question: SentenceOfText
    tools: SentenceOfNames
    tests: SentenceOfNames
    used: SentenceOfNames


class MenuWords(Record):
    """The menu paths."""

    about: Sentence
    caption: OfName
    menu: Words
    purpose: Words
    path: Words


class TableWords(Record):
    """What stands under a table."""

    formula: OfName
    assumed: SentenceOfNames
    source: SentenceOfText
    """Where a topic comes from."""


class PictureWords(Record):
    """The list of the pictures, and what stands under one."""

    about: Sentence
    told: OfName
    """That the part that is linked says the same in words."""
    there: Words


#: Where the mark of a transducer may point.
MARKS = ("keel", "bow", "forward", "up")


class EquipmentWords(Record):
    """Displays, transducers and boats."""

    displays: Words
    supply: Annotated[Prose, with_places(("low", "high", "current", "rated", "fuse"))]
    lost: SentenceOfText
    never: SentenceOfText
    restart: SentenceOfText
    accepts: SentenceOfNames
    from_version: Annotated[Label, with_places(("name", "version"))]
    transducers: Words
    readings_about: Sentence
    mark: Annotated[Label, with_places(("name", "where"))]
    points: dict[str, Words]
    readings: OfName
    pair: Words
    what: Words
    wanted: Words
    boats: Words
    boat: Annotated[Prose, with_places(("display", "transducer", "length", "conductor"))]

    @model_validator(mode="after")
    def _every_word(self) -> EquipmentWords:
        whole("points", self.points, MARKS)
        return self


class SwapWords(Record):
    """What a swap result means."""

    about: Sentence
    exchanged: SentenceOfNames
    brought: SentenceOfNames
    proves_nothing: Sentence
    guilty: OfNames
    cleared: SentenceOfNames
    matrix: Words
    matrix_caption: Words
    part: Words
    signs: dict[str, Words]
    """The letter of each thing that a test does to a part."""
    together: Words
    together_caption: Words
    then: Words
    back: Words
    """The letter for gone with the borrowed part and back with the old one."""
    same: Words
    contradiction: Words

    @model_validator(mode="after")
    def _every_word(self) -> SwapWords:
        whole("signs", self.signs, ("exchanged", "brought", "stays", "unproved", "tested"))
        return self


class IsolationWords(Record):
    """How well the checks find the fault."""

    about: Sentence
    caption: Words
    condition: Words
    written: Words
    best: Words
    isolated: Words
    found_in: Annotated[Label, with_places(("time",))]
    shared: Words
    """The heading above the causes that share a fix."""
    installation: Words
    counts: Annotated[Prose, with_places(("checks", "parts"))]
    untested: SentenceOfNames
    alike: SentenceOfNames
    joint: Words
    """Between two of them."""
    all_apart: Sentence
    displays: Words
    displays_caption: Words
    can: Words
    cannot: Words


#: The totals of a drill, by what they count.
TOTALS = ("right", "renewed", "endless", "over", "doubles", "sound", "telephone")


class DrillWords(Record):
    """How an edition fared in the drill."""

    about: Annotated[Prose, with_places(("number",))]
    caption: Words
    what: Words
    share: Words
    wanted: Words
    boats: Words
    totals: dict[str, Words]
    no_target: Words
    or_more: Annotated[Label, with_places(("number",))]
    none: Words
    or_less: Annotated[Label, with_places(("number",))]
    below: SentenceOfNames
    none_below: Sentence
    turns: Words
    turns_about: Annotated[Prose, with_places(("command",))]
    condition: Words
    fault: Words
    turn: Words
    example: Words
    least: Words
    """The heading above the picture."""
    picture: Words
    """The name of the picture itself."""
    bars: dict[str, Words]
    axis: Words
    told: Annotated[Prose, with_places(("boats", "right"))]
    """What the picture says, in a sentence."""
    told_least: Annotated[Prose, with_places(("boats", "right", "least", "code", "title"))]
    rows_caption: Sentence
    right: Words
    renewed: Words
    handed_over: Words
    minutes: Words
    best: Words

    @model_validator(mode="after")
    def _every_word(self) -> DrillWords:
        whole("totals", self.totals, TOTALS)
        whole("bars", self.bars, ("right", "handed_over", "condemned", "endless"))
        return self


class NumberWords(Record):
    """Where the numbers come from."""

    formulas: Words
    formulas_about: Sentence
    method: Annotated[Prose, with_places(("name", "method", "accuracy"))]
    holds: Words
    sources: Words
    in_text: Words
    computed: OfTitle
    assumptions: Words
    between: Annotated[Label, with_places(("least", "greatest"))]
    content_sources: Words
    from_memory: Sentence
    set_aside: Words


class EvidenceWords(Record):
    """How far the formulas were checked."""

    about: Sentence
    basis_about: Sentence
    caption: Words
    formula: Words
    witnesses: Words
    basis: Words
    error: Words
    bases: dict[str, Words]
    none: Words
    """Where a formula has no witness, or a witness no number."""

    @model_validator(mode="after")
    def _every_word(self) -> EvidenceWords:
        whole("bases", self.bases, BASES)
        return self


class RevisionWords(Record):
    """The log of revisions."""

    caption: OfName
    revision: Words
    date: Words
    affects: Words
    reason: Words
    approved: Words
    every_page: Annotated[Prose, with_places(("revision",))]


class HandbookWords(Record):
    """The words of a handbook."""

    explains: Sentence
    """What the signs of a ladder mean, at the head of each of its pages."""
    signs: Sentence
    """The same in full."""
    proves: Sentence
    """What the bold question of a fix is."""
    first: Words
    """Before the hazards that come before step 1."""
    behind: OfName
    """The heading of an area in the part behind the cards."""
    behind_about: Sentence
    behind_card: OfTitle
    """The heading above what stands behind a card."""
    more: Words
    """The heading of the methods, and before the page on which they stand."""
    rest: Words
    """Before the page on which more stands about a condition, where its methods stand beside its card."""
    menus: Words
    """Before the page of the menu paths."""
    record: Words
    """Before the evidence of a hand-over."""
    titles: TitleWords
    safety: SafetyWords
    callers: FirstWords
    find: FindWords
    entry: EntryWords
    likelihoods: LikelihoodWords
    checks: CheckWords
    menu_paths: MenuWords
    tables: TableWords
    pictures: PictureWords
    equipment: EquipmentWords
    swaps: SwapWords
    isolation: IsolationWords
    drill: DrillWords
    numbers: NumberWords
    evidence: EvidenceWords
    revisions: RevisionWords
