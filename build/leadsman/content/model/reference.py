"""The small lists that entries refer to: sources, glossary, cautions, components, values and more."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from leadsman.content.model.base import Date, Id, Label, Meaning, Minutes, Prose, Record, Step
from leadsman.content.model.fault import SignGroup
from leadsman.errors import counted

Rounding = Literal["up", "down", "nearest"]


#: The signal words of the standard, the gravest first.
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")


class Source(Record):
    """Where a number or rule comes from."""

    reference: Prose
    basis: Literal["published", "memory", "common practice"]


class Term(Record):
    """One word for one thing."""

    term: Label
    definition: Prose
    never: list[str] = []
    """Words that must not be used for this thing."""
    on_card: bool = False
    """A card that uses the word also says what it means."""


class UsWord(Record):
    """A British word of the content, and the American one that takes its place in US editions."""

    british: str = Field(pattern=r"^[a-z][a-z-]*$")
    american: str = Field(pattern=r"^[a-z][a-z -]*$")
    plural: list[str] = Field(default=[], max_length=2)
    """The British plural and the American one; left out where the content has none."""
    british_too: bool = False
    """The American word is a British one as well, with another meaning, and may stand in the content."""

    @model_validator(mode="after")
    def _both_plurals(self) -> UsWord:
        if len(self.plural) == 1:
            raise ValueError("'plural' names the British plural and the American one")
        return self


class CalledFor(Record):
    """What calls for a caution wherever it is done: a tool in hand, a setting changed, words of a step."""

    tools: list[Id] = []
    tasks: list[Id] = []
    phrases: list[Label] = []
    """Words of a step, a remedy or a proof, capitals apart."""
    states: list[Literal["any", "power-off", "on", "transmit", "crank", "under-way", "at-rest"]] = []
    cautions: list[Id] = []
    """Cautions of a finding that do not stand without this one."""
    unless: list[Label] = []
    """Words that take the danger away where they stand in the same step, remedy or proof."""
    served_by: list[Id] = []
    """Cautions that say the same or more, one of which will do in its place."""


class Caution(Record):
    """A caution by the standard meaning of its signal word: hazard, what it does, how to avoid it."""

    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    hazard: Prose
    result: Prose
    avoid: Prose
    short: Prose
    """Hazard and avoidance in a line or two, for a card; the handbook prints the whole."""
    names: Label | None = None
    """The hazard in a word or two, for the head of a sheet; left out, what stands before the colon of ``short``."""
    first: Step | None = None
    """What to do first, in the words of a step; left out, what stands behind the colon of ``short``."""
    general: bool = True
    """Also listed once at the front of the handbook."""
    owner_may: bool = False
    """It may stand beside an owner's step: it keeps the owner from doing more."""
    trailer_only: bool = False
    """A boat that it concerns goes nowhere by water."""
    called_for: CalledFor | None = None


class Hazard(Record):
    """A danger that the caller's first sentence can tell of: what is said and done before any search.

    It bears on each entry that carries one of its ``cautions`` at a check, fix or hand-over, lies in one of its
    ``areas``, works at one of its ``access`` places, is found by one of its ``signs``, or has one of its ``phrases``
    in a step or a remedy, capitals apart.
    """

    title: Label
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    words: list[Label] = Field(min_length=1)
    """How a caller tells of it, in the caller's words."""
    short: Prose
    """What is seen and the first thing to do, in a line: it stands before step 1."""
    say: Prose
    """What to say first on the telephone."""
    do: list[Step] = Field(min_length=1)
    """What anybody aboard does, read out step by step."""
    comes: Prose
    """Who must come."""
    until: Prose
    """What must hold before the search for the fault begins."""
    cautions: list[Id] = []
    areas: list[Id] = []
    access: list[Id] = []
    signs: list[SignGroup] = []
    phrases: list[Label] = []

    @property
    def trigger(self) -> Prose:
        """What is seen, without what to do about it: ``short`` as far as its colon."""
        return Prose(self.short.partition(":")[0])


class Component(Record):
    """A link of the chain from battery to bottom: a row of the swap matrix."""

    name: Label
    about: Prose
    short: Label | None = None
    """The key word of a step that looks at this part and has no word of its own."""
    high_volts: bool = False
    """It lies on the transducer line, which carries several hundred volts in transmit."""


class Tool(Record):
    """Something to bring."""

    name: Label
    named: list[str] = []
    """Phrases by which a remedy or a proof asks for it: the entry then lists it."""
    owner_may: bool = False
    """An owner may use it."""
    by_display: bool = False
    """What fits one display does not fit another: it is brought for the display of the boat."""


class Access(Record):
    """A place that must be reached first; its set-up time counts once in a search."""

    name: Label
    short: Label
    setup_minutes: Minutes
    rank: Annotated[int, Field(ge=0, le=9)]
    owner_may: bool = False
    """An owner may be sent there."""


class Capability(Record):
    """Something that a display family can do; what lies in its areas or names its tasks is about it."""

    name: Label
    areas: list[Id] = []
    tasks: list[Id] = []


class Area(Record):
    """A group of conditions, one letter on the cards."""

    name: Label
    letter: str = Field(pattern=r"^[A-Z]$")
    about: Prose
    short: Label | None = None
    """The word on the tab of a sheet, where the name is too long for it."""


class Task(Record):
    """Something done in a menu; each family has its own path to it."""

    name: Label
    noun: Label | None = None
    """What the menu shows or sets, for lists and for a sentence that has no other word for it: "supply volts"."""
    owner_may: bool = False
    """An owner may do it."""
    words: list[Label] = []
    """How the prose names the setting. An entry that uses one of these words refers to the task, so that its book
    prints the path."""


class Evidence(Record):
    """Something to record for a hand-over."""

    ask: Label
    kind: Literal["text", "reading", "photo", "tick"] = "text"
    lost_later: bool = False
    """Whether it cannot be had any more once the boat is left or the fault is mended."""
    owner_may: bool = False
    """Whether an owner can have it ready from helm and quay: nothing opened, parted or measured for it."""


class Computation(Record):
    """A computed number: which formula, with what, and how it is printed."""

    formula: str
    given: dict[str, Any] = {}
    boat: Id | None = None
    family: Id | None = None
    transducer: Id | None = None
    water: Id | None = None
    output: str | None = None


class Shown(Record):
    """How a number is printed: unit and step, and the direction that keeps the reader safe."""

    unit: str
    step: Annotated[float, Field(gt=0)]
    round: Rounding


class Value(Record):
    """A number that the prose may name: declared with a source, or computed."""

    meaning: Meaning
    declared: str | None = None
    unitless: bool = False
    """The declared value has no unit and needs none, such as a ratio."""
    us: str | None = None
    """The declared value in US units, where it is not a plain conversion."""
    limit: Literal["least", "greatest"] | None = None
    """What a limit is: the US value of a declared one may not be below a least, nor above a greatest; a computed one
    is rounded to that side."""
    convicts: bool = False
    """Of a computed limit: a reading beyond it convicts, so that it is rounded to the end that every sound unit meets."""
    band: list[str] = Field(default=[], max_length=2)
    """Of a declared value: between which it may lie. Whoever goes outside moves the band, with a source."""
    below: list[Id] = []
    """Values that stand above this one."""
    source: Id | None = None
    computed: Computation | None = None
    show: Shown | None = None
    show_us: Shown | None = None
    show_fathoms: Shown | None = None
    """Of a depth, how it is printed in an edition with fathoms."""
    each: Literal["family"] | None = None
    """Computed for each display family: all of them are printed, or the one that the output is for."""
    blocks: bool = False
    """Volts of a twelve-volt system: where a display bears twenty-four volts, the number for such a feed is
    printed beside it, computed for it or twice as much."""

    @model_validator(mode="after")
    def _one_origin(self) -> Value:
        if (self.declared is None) == (self.computed is None):
            raise ValueError("a value needs exactly one of 'declared' and 'computed'")
        if self.declared is not None and self.source is None:
            raise ValueError("a declared value needs its 'source'")
        if self.computed is not None and self.show is None:
            raise ValueError("a computed value needs 'show' (unit, step, round)")
        if self.each is not None and self.computed is None:
            raise ValueError("a value for each family must be computed")
        if self.blocks and not (self.declared or "V").endswith("V"):
            raise ValueError("only volts have a number for a twenty-four-volt feed; drop 'blocks'")
        return self


class Assumption(Record):
    """A number that the computation takes as given, printed with every table that uses it."""

    name: Label
    value: str
    band: list[str] = []
    us: str | None = None
    """The value as a US edition prints it, where the converted one is not round."""
    reason: Prose
    source: Id


class Topic(Record):
    """Something worth knowing beside the conditions: a question answered in paragraphs, in a table, or in both."""

    id: Id
    title: Label
    question: Prose
    paragraphs: list[Prose] = []
    columns: list[Label] = []
    rows: list[list[Prose]] = []
    """Cells in the order of ``columns``; the first cell is the head of its row."""
    notes: list[Prose] = []
    source: Id
    cautions: list[Id] = []
    owner_safe: bool = False
    """It also stands in owner's guides."""

    @model_validator(mode="after")
    def _whole(self) -> Topic:
        if not self.paragraphs and not self.rows:
            raise ValueError("a topic needs 'paragraphs' or 'rows'")
        if bool(self.columns) != bool(self.rows) or len(self.columns) == 1:
            raise ValueError("a topic's table needs 'rows' and at least two 'columns'")
        for number, row in enumerate(self.rows, 1):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"row {number} has {counted(len(row), 'cell')} for {counted(len(self.columns), 'column')}"
                )
        return self


class Retired(Record):
    """An id that was used once and must never be used again."""

    was: Label
    on: Date
    replaced_by: Id | None = None
    reason: Prose
