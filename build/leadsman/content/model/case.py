"""A case of the dealer's: one boat with one complaint, what was answered, read, swapped and found.

A case is no part of the content. It names entries, checks and answers by their ids; the reader holds them against
the content.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, field_validator, model_validator

from leadsman.content.model.base import Date, Id, Minutes, Positive, Record
from leadsman.content.model.fault import History

#: A line of the dealer's own: it is printed as it stands and never read as a reference.
Line = Annotated[str, StringConstraints(min_length=1, max_length=300, strip_whitespace=True)]
Money = Annotated[float, Field(ge=0, le=1_000_000)]
Volts = Annotated[float, Field(ge=-60, le=60)]
#: What a warranty forbids until the maker agrees.
ACTIONS = ("open", "cut", "update")


class Given(Record):
    """What was answered at a check or a finding: the answer alone, or with reading, remark and date."""

    answer: str = Field(min_length=1, max_length=60)
    reading: Line | None = None
    remark: Line | None = None
    on: Date | None = None


class SwapTrial(Record):
    """How one swap went: there, back, and there again."""

    compatible: bool
    gone: bool
    back: bool | None = None
    """Whether the fault returned with the old part; left out, that was not tried."""
    carried: Line | None = None


class Other(Record):
    """A cause that the entry does not name."""

    component: Id
    words: Line


class CaseVerdict(Record):
    """How the case ended: by one finding, one hand-over, a cause that nobody wrote down, or with nothing found."""

    finding: Id | None = None
    entry: Id | None = None
    """The entry of the finding or the hand-over; left out, the one that the case began with."""
    hand_over: Id | None = None
    other: Other | None = None
    nothing_found: bool = False
    proved: bool = False
    renewed: Line | None = None
    lead_line: Line | None = None
    open: Line | None = None
    on: Date | None = None

    @model_validator(mode="after")
    def _one_end(self) -> CaseVerdict:
        ends = [self.finding, self.hand_over, self.other, self.nothing_found or None]
        if sum(end is not None for end in ends) != 1:
            raise ValueError("a verdict is one of 'finding', 'hand_over', 'other' and 'nothing_found: true'")
        if self.proved and self.finding is None and self.other is None:
            raise ValueError("nothing was found, so nothing is proved; drop 'proved'")
        return self


class Warranty(Record):
    """Bought when and where, and what the maker has agreed to."""

    bought: Date
    seller: Literal["here", "elsewhere"]
    months: int = Field(ge=0, le=240)
    receipt: bool = False
    return_number: Line | None = None
    agreed: list[Literal["open", "cut", "update"]] = []


class Prices(Record):
    """The dealer's own sums, all in one currency."""

    currency: str = Field(pattern=r"^[A-Z]{3}$")
    hour: Positive
    travel: Money = 0.0
    parts: dict[Id, Money] = {}
    """Price of a part, by the component that it renews."""


class CaseFile(Record):
    """A case as it is written."""

    id: Id
    entry: str | None = Field(default=None, max_length=60)
    """The condition: id or code. Else ``sign`` says it in the words of the index."""
    sign: Line | None = None
    opened: Date
    boat: dict[str, Any]
    """A line of a customer list: ``like`` names the boat of the content, the rest its own values."""
    history: History | None = None
    words: Line | None = None
    """The owner's own words."""
    message: Id | None = None
    answers: dict[Id, Given] = {}
    further: dict[Id, dict[Id, Given]] = {}
    """Answers in the entries to which an answer led on, by entry."""
    readings: dict[Id, dict[Literal["battery", "plug", "own-readout"], Volts]] = {}
    swaps: dict[Id, SwapTrial] = {}
    """By the check that is the swap."""
    evidence: dict[Id, Line] = {}
    photos: list[Id] = []
    settings_recorded: bool = False
    software_checked: bool = False
    verdict: CaseVerdict | None = None
    minutes: Minutes | None = None
    came_back: bool = False
    """The same complaint came back after an earlier job."""
    warranty: Warranty | None = None
    prices: Prices | None = None

    @field_validator("answers", mode="before")
    @classmethod
    def _short(cls, value: object) -> object:
        return _spelt_out(value)

    @field_validator("further", mode="before")
    @classmethod
    def _short_too(cls, value: object) -> object:
        return {k: _spelt_out(v) for k, v in value.items()} if isinstance(value, dict) else value

    @model_validator(mode="after")
    def _one_condition(self) -> CaseFile:
        if (self.entry is None) == (self.sign is None):
            raise ValueError("a case needs exactly one of 'entry' and 'sign'")
        return self


def _spelt_out(value: object) -> object:
    if not isinstance(value, dict):
        return value
    return {name: {"answer": v} if isinstance(v, str) else v for name, v in value.items()}
