"""An entry as its card shows it: rungs from top to bottom, the few answers that leave the line, the ends on the back.

The card is the base of the family of views: the opening spread of a handbook prints the same rungs and ends. The
expected answer falls through to the next rung: it is no exit, and stands first with its arrow down.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from leadsman.book.views import Answer, EntryView, FixView, HandOverView, StepView, Target
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT
from leadsman.content.model.base import Prose
from leadsman.content.model.fault import CheckBody
from leadsman.content.model.reference import Access, Caution

NamedCaution = tuple[str, Caution]
#: Only these can hurt somebody: they are told at the head of a face and in the words of the step.
GRAVE = ("DANGER", "WARNING")
#: Where the key word of a title ends: "Lamp at the power plug", "Fuse, both ends".
_TITLE_END = re.compile(r",|\b(?:at|of|on|under|in|for|and|to|from|with)\b")
#: So many letters of answers with one target stand in one line of the column.
_SHORT_ANSWERS = 11
#: Two answers of so many letters together stand in one line, each with its arrow.
_BESIDE = 5
#: Facts that a hand-over's sheet names; the form has the rest.
_FACTS = 2
#: The evidence for which each hand-over's sheet has a sentence.
_NOT_DONE = "not-done"


@dataclass(frozen=True)
class Exit:
    """A printed answer: its words, where it leads, and the whole remedy where that is one line."""

    label: str
    target: Target
    key: str
    jumps: bool
    """Whether it leads to a step that is not the next one."""
    back: bool
    """Whether it leads to an earlier step."""


@dataclass(frozen=True)
class Rung:
    """A step on the ladder."""

    step: StepView
    key: str
    """The bold word that opens it."""
    falls: bool
    """Whether YES, or a fact that is only noted, leads on to the next rung."""
    exits: tuple[Exit, ...]
    opens_place: bool
    """Whether it is the first rung at its place: dash, bilge, transom."""

    @property
    def id(self) -> str:
        """The step's own id."""
        return self.step.id

    @property
    def place(self) -> Access:
        """Where it is done."""
        return self.step.access

    @property
    def grave(self) -> tuple[NamedCaution, ...]:
        """The cautions that can hurt somebody, the gravest first."""
        return tuple(item for item in self.step.cautions if item[1].signal in GRAVE)

    @property
    def falling(self) -> str:
        """The label of the answer that goes on below; empty where nothing was asked, or many things were."""
        if not self.falls or self.step.asks_history:
            return ""
        return next((str(answer.label) for answer in self.step.answers if answer.key == "yes"), "")

    @property
    def beside(self) -> bool:
        """Whether the first answer is short enough to stand in the line of the one that goes on below."""
        first = self.exits[0] if self.exits else None
        return bool(
            self.falling and first and first.target.kind != "entry"
            and len(self.falling) + len(first.label) <= _BESIDE
        )  # fmt: skip

    @property
    def measures(self) -> bool:
        """Whether a reading is taken that has to be kept."""
        return self.step.check.body.kind == "measure"


@dataclass(frozen=True)
class End:
    """A fix or a hand-over."""

    letter: str
    id: str
    fix: FixView | None
    hand_over: HandOverView | None
    facts: tuple[str, ...] = ()
    """Of a hand-over: what cannot be had later."""

    @property
    def cautions(self) -> tuple[NamedCaution, ...]:
        """All its cautions."""
        found = self.fix or self.hand_over
        return found.cautions if found else ()

    @property
    def grave(self) -> tuple[NamedCaution, ...]:
        """The cautions that can hurt somebody."""
        return tuple(item for item in self.cautions if item[1].signal in GRAVE)


@dataclass(frozen=True)
class Ladder:
    """An entry's card before layout."""

    view: EntryView
    rungs: tuple[Rung, ...]
    ends: tuple[End, ...]
    from_elsewhere: frozenset[str] = frozenset()
    """The rungs at which other entries go on."""

    @property
    def id(self) -> str:
        """The entry's id."""
        return self.view.entry.id

    @property
    def code(self) -> str:
        """The entry's code."""
        return self.view.entry.code

    @cached_property
    def end_of(self) -> dict[str, End]:
        """The ends by id."""
        return {end.id: end for end in self.ends}

    @cached_property
    def entered(self) -> frozenset[str]:
        """The rungs to which more leads than the rung above them: a jump, a failed proof or another card."""
        targets = [(leaves.target, at + 1) for at, rung in enumerate(self.rungs) for leaves in rung.exits]
        targets += [(end.fix.not_proved, -1) for end in self.ends if end.fix is not None]
        place = {rung.id: at for at, rung in enumerate(self.rungs)}
        inside = frozenset(t.id for t, below in targets if t.kind == "step" and place[t.id] != below)
        return inside | self.from_elsewhere

    @property
    def forward_jumps(self) -> int:
        """Printed answers that pass over a step."""
        return sum(leaves.jumps and not leaves.back for rung in self.rungs for leaves in rung.exits)

    @property
    def backward_jumps(self) -> int:
        """Printed answers that lead back up."""
        return sum(leaves.back for rung in self.rungs for leaves in rung.exits)

    @property
    def returns(self) -> int:
        """How often a place is opened again after it was left."""
        places = [rung.place.short for rung in self.rungs if rung.opens_place]
        return len(places) - len(set(places))

    def ends_behind(self, rungs: Sequence[Rung], *, last: bool) -> tuple[End, ...]:
        """The ends to which some rungs lead, with those to which a failed proof of these leads.

        On the ``last`` sheet also the ends that only other ends name, and always the hand-over.
        """
        wanted = {
            leaves.target.id for rung in rungs for leaves in rung.exits if leaves.target.id in self.end_of
        }
        named = {leaves.target.id for rung in self.rungs for leaves in rung.exits}
        if last:
            wanted |= {end.id for end in self.ends if end.id not in named}
        more = True
        while more:
            after = {
                end.fix.not_proved.id for name in wanted
                if (end := self.end_of[name]).fix is not None and end.fix.not_proved.id in self.end_of
            }  # fmt: skip
            more = not after <= wanted
            wanted |= after
        return tuple(end for end in self.ends if end.id in wanted)

    def names(self, table: str) -> bool:
        """Whether a text that is printed on the card names a table."""
        texts: list[str] = []
        for rung in self.rungs:
            texts += [rung.step.check.body.do, rung.step.check.body.see]
        for end in self.ends:
            if end.fix is not None:
                finding = end.fix.finding
                texts += [finding.says, *finding.remedy, finding.proof]
        return table in prose.named(texts, "table")

    def uses(self, table: str) -> set[str]:
        """The rungs whose text names a table."""
        return {
            rung.id for rung in self.rungs if table in prose.named(rung.step.check.body.instructions, "table")
        }


def ladder_of(view: EntryView, catalogue: Catalogue) -> Ladder:
    """The card of an entry."""
    rungs, place = [], ""
    for step in view.steps:
        rungs.append(_rung(step, step.access.short != place, catalogue))
        place = step.access.short
    ends = [End(fix.letter, fix.id, fix, None) for fix in view.fixes]
    led = {answer.target.id for step in view.steps for answer in step.answers}
    led |= {fix.not_proved.id for fix in view.fixes}
    # A card that ends in another one has its hand-over there: no letter here would lead to it.
    ends += [
        End(end.letter, end.id, None, end, tuple(_facts(end, catalogue)))
        for end in view.hand_overs
        if end.id in led
    ]
    return Ladder(view, tuple(rungs), tuple(ends), _from_elsewhere(view.entry.id, catalogue))


def _from_elsewhere(entry: str, catalogue: Catalogue) -> frozenset[str]:
    outcomes = (
        outcome
        for fault in catalogue.faults.values()
        for check in fault.checks
        for outcome in check.outcomes.values()
    )
    return frozenset(found.at for found in outcomes if found.to_entry == entry and found.at is not None)


def _rung(step: StepView, opens: bool, catalogue: Catalogue) -> Rung:
    key = key_word(step.check.body, str(step.check.shared.title) if step.check.shared else "", catalogue)
    if not step.decides:
        if _is_next(step, step.answers[0].target):
            return Rung(step, key, True, (), opens)
        # A fact that is only noted, with no rung below it: it says once where to go.
        answer, label = step.answers[0], str(catalogue.phrases().ladder.note_it)
        onward = Exit(label, answer.target, answer.key, answer.target.kind == "step", False)
        return Rung(step, key, False, (onward,), opens)
    expected = {answer.target.id for answer in step.answers if answer.key == "yes"}
    if step.asks_history:
        # What was not said goes on; only a history that leads elsewhere is printed.
        expected = {answer.target.id for answer in step.answers if answer.key == CANNOT}
    falls = any(_is_next(step, answer.target) and answer.target.id in expected for answer in step.answers)
    return Rung(step, key, falls, tuple(_exits(step, falls)), opens)


def _exits(step: StepView, falls: bool) -> Iterator[Exit]:
    told: list[list[Answer]] = []
    for answer in step.answers:
        following = _is_next(step, answer.target)
        # Where YES does not fall through there is no sign to go down by: then CAN'T is printed too.
        if following and falls and (answer.key in (CANNOT, "yes") or step.asks_history):
            continue
        # Answers with one target stand in one line where that is short; histories always. Two steps of one other card
        # are two places.
        same = (
            line for line in told
            if (line[0].target.id, line[0].target.at) == (answer.target.id, answer.target.at)
            and (step.asks_history or sum(len(a.label) + 2 for a in line) + len(answer.label) <= _SHORT_ANSWERS)
        )  # fmt: skip
        if (line := next(same, None)) is not None:
            line.append(answer)
        else:
            told.append([answer])
    for answers in told:
        target = answers[0].target
        jumps = target.kind == "step" and not _is_next(step, target)
        back = target.kind == "step" and int(target.number) <= step.number
        yield Exit(", ".join(a.label for a in answers), target, answers[0].key, jumps, back)


def _is_next(step: StepView, target: Target) -> bool:
    return target.kind == "step" and int(target.number) == step.number + 1


def key_word(body: CheckBody, title: str, catalogue: Catalogue) -> str:
    """The word that opens a step: the writer's, else the head of the shared check's title, else the part, else the kind.

    Examples
    --------
    >>> from leadsman.content.model.fault import CheckBody
    >>> key_word(CheckBody.model_construct(key=None), "Lamp at the power plug", None)
    'Lamp'
    """
    if body.key is not None:
        return str(body.key)
    if head := _TITLE_END.split(title)[0].strip():
        return head
    if body.tests:
        part = catalogue.records["components"][body.tests[0]]
        return str(part.short or part.name)
    return str(catalogue.phrases().kinds[body.kind])


def _facts(end: HandOverView, catalogue: Catalogue) -> Iterator[str]:
    """The two facts of a hand-over that are gone when the boat is left: as declared, else history, then a reading.

    What was not done is none of them: the card asks for it in words of its own.
    """
    records = catalogue.records["evidence"]
    wanted = [records[name] for name in end.hand_over.evidence if name != _NOT_DONE]
    declared = [record for record in wanted if record.lost_later]
    likely = [record for record in wanted if record.kind == "reading"]
    rest = [record for record in wanted if record.kind == "text"]
    chosen = list({id(record): record for record in [*declared, *likely, *rest]}.values())
    yield from (str(record.ask) for record in chosen[:_FACTS])


def hazard(caution: Caution) -> Prose:
    """The hazard of a caution in a word or two.

    Examples
    --------
    >>> fields = {"short": Prose("Petrol vapour: open, smell."), "names": None, "first": None}
    >>> hazard(Caution.model_construct(**fields)), first_words(Caution.model_construct(**fields))
    ('Petrol vapour', 'Open, smell.')
    """
    return Prose(caution.names or _parted(caution.short)[0])


def first_words(caution: Caution) -> Prose:
    """What a step begins with where the hazard is: the avoidance, as a command."""
    return Prose(caution.first or _parted(caution.short)[1])


def _parted(short: str) -> tuple[str, str]:
    # Not at the colon of a reference: "{value: blower-time}".
    depth = 0
    for at, letter in enumerate(short):
        depth += {"{": 1, "}": -1}.get(letter, 0)
        if letter == ":" and not depth:
            words = short[at + 1 :].strip()
            return short[:at].strip(), words[:1].upper() + words[1:]
    return short.rstrip("."), short


def _known(caution: Caution) -> bool:
    """Whether it is for property only and holds always: the card of hazards has it, and the step is worded so."""
    return caution.general and caution.signal not in GRAVE


def spoken(parts: Sequence[Rung] | Sequence[End], ladder: Ladder) -> dict[str, tuple[str, ...]]:
    """By rung or end, the cautions whose words stand in it: at the first of each unbroken run of guarded rungs.

    Within the run the sign stands beside the number: a caution that is repeated at every step is no longer read.
    A run begins anew where a jump or a failed proof leads in, and at each end: who comes there has read nothing above.
    Cautions for property stand at the head of no face, so that each run of them speaks too.
    """
    found, before, entered = {}, set[str](), ladder.entered
    for part in parts:
        cautions = part.step.cautions if isinstance(part, Rung) else part.cautions
        if isinstance(part, End) or part.id in entered:
            before = set()
        found[part.id] = tuple(
            name for name, caution in cautions if name not in before and not _known(caution)
        )
        before = {name for name, _ in cautions}
    return found


@dataclass(frozen=True)
class HeadLine:
    """A hazard at the head of a face, with the exact steps or letters that it is about."""

    name: str
    caution: Caution
    where: tuple[str, ...]


def head_lines(parts: Sequence[Rung | End]) -> tuple[HeadLine, ...]:
    """The hazards of a face, each once, the gravest first, in the order of their first step."""
    found: dict[str, tuple[Caution, list[str]]] = {}
    for part in parts:
        number = str(part.step.number) if isinstance(part, Rung) else part.letter
        for name, caution in part.grave:
            found.setdefault(name, (caution, []))[1].append(number)
    ordered = sorted(found.items(), key=lambda item: GRAVE.index(item[1][0].signal))
    return tuple(HeadLine(name, caution, tuple(where)) for name, (caution, where) in ordered)
