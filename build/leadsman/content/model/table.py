"""Computed tables: which formula, over which axes, with what given, and how a cell is printed."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from leadsman.content.model.base import Id, Label, Prose, Record
from leadsman.content.model.reference import Shown

#: A table that may stand on a card has so many rows and columns at most.
CARD_ROWS, CARD_COLUMNS = 10, 4
#: Records over which an axis may run; each supplies the inputs that the formula shares with it.
AxisRecord = Literal["boat", "family", "transducer", "band", "element", "water"]


class Axis(Record):
    """Rows or columns: values of one input, or one for each record of a kind."""

    input: str | None = None
    values: list[Any] = []
    us_values: list[Any] = []
    fathom_values: list[Any] = []
    each: AxisRecord | None = None
    only: list[Id] = []
    season: Literal["winter", "summer"] | None = None
    head: Label

    @model_validator(mode="after")
    def _one_kind(self) -> Axis:
        if (self.input is None) == (self.each is None):
            raise ValueError("an axis needs exactly one of 'input' (with 'values') and 'each'")
        if self.input is not None and not self.values:
            raise ValueError("an axis over an input needs its 'values'")
        return self


class CellEnd(Record):
    """The other end of a printed range."""

    output: str
    show: Shown
    show_us: Shown | None = None
    show_fathoms: Shown | None = None


class Cell(Record):
    """One printed result of the formula."""

    output: str | None = None
    head: Label | None = None
    show: Shown | None = None
    show_us: Shown | None = None
    show_fathoms: Shown | None = None
    """Of a depth, how it is printed in an edition with fathoms."""
    to: CellEnd | None = None
    """A second output, printed behind the first as a range: "35–90 m"."""
    words: dict[str, Label] = {}
    """What is printed for a text result."""
    because: str | None = None
    """A second output, a text, printed after the first."""
    unsaid: list[str] = []
    """Texts of the second output that go without saying."""


class Table(Record):
    """A computed table."""

    id: Id
    title: Label
    question: Prose
    convention: Prose
    """What the numbers mean: one-way or round trip, which unit, which direction is safe."""
    formula: str
    rows: Axis
    columns: Axis | None = None
    cells: list[Cell] = Field(min_length=1)
    given: dict[str, Any] = {}
    differs: dict[str, Label] = {}
    """Inputs whose given differs from that of the other tables of the same formula, each with the reason."""
    assumptions: list[Id] = []
    no_answer: Label = Label("none")
    """What a cell says where the formula has no answer."""
    notes: list[Prose] = []
    us: Id | None = None
    """The table that stands in its place in a US edition, such as the one of the other series of conductors."""
    card: bool = True
