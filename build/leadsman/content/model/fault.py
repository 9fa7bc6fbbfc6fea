"""Fault entries: a condition, its causes, and the checks, findings and hand-overs that tell them apart."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, WithJsonSchema, field_validator, model_validator

from leadsman.content.model.base import Date, Id, Label, Minutes, Prose, Question, Reason, Record, Share, Step

#: What happened before the fault: the first question of the trade. Likelihoods differ by a factor of ten.
HISTORIES = ("in-service", "new-fitting", "after-lay-up", "after-update", "after-impact")
History = Literal["in-service", "new-fitting", "after-lay-up", "after-update", "after-impact"]

#: Kinds of check, from the cheapest to the last resort.
CheckKind = Literal["ask", "look", "operate", "read", "measure", "trial", "swap", "restore"]
#: The state in which something is observed; the same check in another state is another check.
State = Literal["any", "power-off", "on", "transmit", "crank", "under-way", "at-rest"]


class Prior(Record):
    """Likelihood of a cause by history, in shares of any total; a history left out takes ``in_service``."""

    in_service: Share
    new_fitting: Share | None = None
    after_lay_up: Share | None = None
    after_update: Share | None = None
    after_impact: Share | None = None

    def share(self, history: str) -> float:
        """The share in one history."""
        value: float | None = getattr(self, history.replace("-", "_"))
        return self.in_service if value is None else value

    @property
    def whole(self) -> float:
        """The shares of all histories together."""
        return sum(map(self.share, HISTORIES))


class Cause(Record):
    """Something that can be wrong."""

    id: Id
    name: Label
    component: Id
    prior: Prior
    because: Prose


class Swap(Record):
    """What a swap exchanges and what the borrowed part brings with it."""

    part: list[Id] = Field(min_length=1)
    carries: list[Id] = []


class CheckBody(Record):
    """What a check is, wherever it stands: one action, one observation, and what they cost."""

    kind: CheckKind
    key: Label | None = None
    """The one bold word that opens the step on a card; left out, it is taken from the title or from the part."""
    do: Step
    see: Question
    minutes: Minutes
    access: Id
    tools: list[Id] = []
    state: State = "any"
    tests: list[Id] = []
    through: list[Id] = []
    """Parts that can fail the check too, and that a good answer does not clear."""
    cautions: list[Id] = []
    owner_safe: bool = False
    wet: bool = False
    free: bool = False
    swap: Swap | None = None
    note: Prose | None = None
    say: Prose | None = None
    """What to say to an owner on the telephone, where action and question are not words for an owner."""
    how: list[Step] = []
    """The steps in detail, for the handbook; the card carries ``do``."""

    @property
    def instructions(self) -> list[Prose]:
        """What is done and asked, in short and in detail."""
        return [self.do, self.see, *self.how]

    @property
    def texts(self) -> list[Prose]:
        """The instructions, and the note on them."""
        return [*self.instructions, *([self.note] if self.note else [])]


class SharedCheck(CheckBody):
    """A check written once (content/checks/) and used by many entries, with parameters as ``{given: NAME}``."""

    id: Id
    title: Label
    parameters: dict[Id, Prose] = {}
    supply_step: Literal["P0", "P1", "P2", "P3", "P4", "P5"] | None = None
    evidence: list[Id] = []
    """What a hand-over of an entry that makes it records: one of these at least."""
    own_question: bool = False
    """Each entry asks its own question here: an answer given in one tells nothing in the next."""


class Outcome(Record):
    """What an answer means: the causes that show it, and where it leads."""

    then: Id | None = None
    to_entry: Id | None = None
    at: Id | None = None
    """With ``to_entry``: the check there at which to go on, past what was asked here; left out, its first."""
    known: dict[Id, Id] = {}
    """With ``to_entry``: checks there whose answer this answer gives already."""
    shows: list[Id] | None = None
    """Causes under which this answer is seen. Left out on one answer of a check: all the others."""
    clears: list[Id] = []
    means: Prose | None = None
    label: Label | None = None

    @model_validator(mode="after")
    def _one_target(self) -> Outcome:
        if (self.then is None) == (self.to_entry is None):
            raise ValueError("an outcome needs exactly one of 'then' and 'to_entry'")
        if (self.at is not None or self.known) and self.to_entry is None:
            raise ValueError("'at' and 'known' speak of the other entry: they stand beside 'to_entry'")
        return self


class Check(Record):
    """A check in an entry: a shared one by ``use`` with its parameters, or one of its own by ``body``."""

    id: Id
    use: Id | None = None
    given: dict[Id, Prose] = Field(default={}, alias="given")
    body: CheckBody | None = None
    minutes: Minutes | None = None
    owner_safe: bool | None = None
    tests: list[Id] | None = None
    state: State | None = None
    cautions: list[Id] = []
    note: Prose | None = None
    outcomes: dict[Id, Outcome] = Field(min_length=2)
    after: list[Id] = []
    """Checks that must come before this one for a reason of their own."""

    @model_validator(mode="after")
    def _one_body(self) -> Check:
        if (self.use is None) == (self.body is None):
            raise ValueError("a check needs exactly one of 'use' (a shared check) and 'body' (its own)")
        return self


class Finding(Record):
    """An end of the search: what was wrong, the remedy, and how to prove it."""

    id: Id
    tools: list[Id] = []
    """What remedy and proof need that no check of the entry has brought."""
    causes: list[Id] = []
    says: Label
    remedy: list[Step] = Field(min_length=1)
    proof: Question
    cautions: list[Id] = []
    owner_safe: bool = False
    by_telephone: bool = False
    """An owner does it at the helm with a technician's voice on the telephone; no guide prints it."""
    condemns: bool = False
    """The remedy replaces a part of the sounder (supply must have been measured under load before)."""
    unproved: Id | None = None
    """Where to go on when the proof fails; left out, the hand-over."""
    trials: list[Id] = []
    """Checks without whose answer this end is not reached; a CAN'T that says what is "not proved" counts as one."""
    minutes: Minutes = 0

    @property
    def instructions(self) -> list[Prose]:
        """What is done, and how it is proved."""
        return [*self.remedy, self.proof]


class HandOver(Record):
    """An end without a remedy: who takes over, and the evidence to record."""

    id: Id
    says: Label
    to: Label
    evidence: list[Id] = Field(min_length=1)
    cautions: list[Id] = []


class Change(Record):
    """One line of an entry's history, in the words of a reader."""

    date: Date
    note: Prose


class Waiver(Record):
    """A rule of the trade set aside in this entry, with the reason."""

    rule: Id
    reason: Reason
    about: Id | None = None


#: By what a condition is recognised: the headings of the quick-find index. A depth number is gone, wrong or
#: frozen; the last headings are for whoever asks before anything is wrong, and once the search is over.
SIGNS = (
    "power",
    "message",
    "gone",
    "wrong",
    "frozen",
    "number",
    "picture",
    "motion",
    "water",
    "reading",
    "fine",
    "after",
)
SignGroup = Literal[
    "power",
    "message",
    "gone",
    "wrong",
    "frozen",
    "number",
    "picture",
    "motion",
    "water",
    "reading",
    "fine",
    "after",
]


#: A heading may stand by itself: ``by: number``.
_ONE_OR_MORE: dict[str, Any] = {
    "anyOf": [
        {"enum": list(SIGNS), "type": "string"},
        {"type": "array", "items": {"enum": list(SIGNS), "type": "string"}, "minItems": 1},
    ]
}


class Sign(Record):
    """One line of the quick-find index: what is seen, in the words of the person who telephones.

    It stands under each heading of ``by``, where owners look twice; one ``by: number`` stands under those that the
    condition's ``number`` names. ``first`` is the danger that these words can tell of, which comes before the entry.
    """

    by: Annotated[list[SignGroup], Field(min_length=1), WithJsonSchema(_ONE_OR_MORE)]
    words: Label
    first: Id | None = None

    @field_validator("by", mode="before")
    @classmethod
    def _several(cls, value: object) -> object:
        return [value] if isinstance(value, str) else value


class Condition(Record):
    """What is seen."""

    seen: Prose
    number: list[Literal["gone", "wrong", "frozen"]] = []
    """How the depth number fails here: the headings of its signs by ``number``."""
    signs: list[Sign] = []
    tells_apart: list[Prose] = []
    messages: dict[Id, list[Id]] = {}
    looks_like: dict[Id, Prose] = {}

    def groups(self, sign: Sign) -> tuple[str, ...]:
        """The headings of the index under which a sign stands, each once."""
        found = [
            group for by in sign.by for group in (self.number if by == "number" and self.number else [by])
        ]
        return tuple(dict.fromkeys(found))

    def danger(self, words: str) -> str | None:
        """The danger that comes first where somebody says these words."""
        return next((sign.first for sign in self.signs if str(sign.words) == words), None)


#: The pictures that a card may carry.
CardPicture = Literal["probes", "voltage-ladder", "hull-section", "transom-clearances", "dead-zone"]


class FaultEntry(Record):
    """A fault entry: an executable decision structure.

    A ``procedure`` (a proving trial, a laying-up) is one too, but looks for no cause: it may have none.
    """

    id: Id
    kind: Literal["fault", "procedure"] = "fault"
    code: str = Field(pattern=r"^[A-Z][0-9]{1,2}$")
    title: Label
    area: Id
    status: Literal["draft", "reviewed"]
    reviewed: Date
    revision: int | None = Field(default=None, ge=1)
    """The card's own revision; without one its sheets bear the edition's first."""
    revised: Date | None = None
    """The day of the card's own revision."""
    changes: list[Change] = []
    condition: Condition
    needs: list[Id] = []
    """Capabilities that a display family must have for this entry to apply."""
    kinds: list[Literal["intermittent"]] = []
    causes: list[Cause] = []
    checks: list[Check] = Field(min_length=2)
    findings: list[Finding] = Field(min_length=1)
    hand_overs: list[HandOver] = Field(min_length=1)
    tables: list[Id] = []
    card_table: Id | None = None
    """The table that the card's steps use; it stands on the back."""
    card_picture: CardPicture | None = None
    """The picture that stands on the back beside it."""
    owner_line: Prose | None = None
    """One line for the owner's guide where nothing in the entry is safe for an owner."""
    see_also: list[Id] = []
    waivers: list[Waiver] = []

    @property
    def all_tables(self) -> list[str]:
        """Its tables, that of its card first, each once."""
        return list(dict.fromkeys(filter(None, [self.card_table, *self.tables])))

    @model_validator(mode="after")
    def _revision_has_its_day(self) -> FaultEntry:
        if (self.revision is None) != (self.revised is None):
            raise ValueError("'revision' and 'revised' go together: the card's own revision, and its day")
        return self

    @model_validator(mode="after")
    def _fault_has_causes(self) -> FaultEntry:
        if self.kind == "fault":
            if len(self.causes) < 2:
                raise ValueError(
                    "a fault needs at least two causes (or is it a procedure: 'kind: procedure'?)"
                )
            bare = [finding.id for finding in self.findings if not finding.causes]
            if bare:
                raise ValueError(f"the finding '{bare[0]}' names no cause")
        return self
