"""A case: one boat under the technician's hands, the complaint, and the facts that a check may find."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from leadsman.content.decision import ResolvedCheck
from leadsman.drill.actions import act, renew
from leadsman.drill.boats import Installation, State
from leadsman.drill.card import Card
from leadsman.drill.faults import FAULTS, STARVED
from leadsman.drill.sensing import Meter
from leadsman.drill.view import View

#: A fact that needs numbers of the boat; it gets the check too, since the limit stands in the check's words.
FactFunction = Callable[["Case", "ResolvedCheck | None"], bool]
FACTS: dict[str, FactFunction] = {}
_WORD = re.compile(r"[a-z][a-z0-9-]*")
#: Everything that a fault can show by itself.
TAGS = frozenset(tag for f in FAULTS.values() for tag in f.shows if ":" not in tag) | frozenset(STARVED)


def fact(name: str) -> Callable[[FactFunction], FactFunction]:
    """Register a fact under its name."""

    def register(function: FactFunction) -> FactFunction:
        assert name not in FACTS, name
        FACTS[name] = function
        return function

    return register


def words(expression: str) -> list[str]:
    """The fact names of an expression."""
    return [w for w in _WORD.findall(expression) if w not in ("and", "or", "not")]


def unknown(expression: str) -> list[str]:
    """The names in an expression that no fact, fault or sign bears."""
    return [w for w in words(expression) if w not in FACTS and w not in FAULTS and w not in TAGS]


def _either(tokens: list[str], known: Callable[[str], bool]) -> bool:
    """The value of ``a or b and not c``: ``and`` binds closer than ``or``, ``not`` closest. Takes the tokens off."""
    value = _both(tokens, known)
    while tokens and tokens[0] == "or":
        tokens.pop(0)
        value = _both(tokens, known) or value
    return value


def _both(tokens: list[str], known: Callable[[str], bool]) -> bool:
    value = _negated(tokens, known)
    while tokens and tokens[0] == "and":
        tokens.pop(0)
        value = _negated(tokens, known) and value
    return value


def _negated(tokens: list[str], known: Callable[[str], bool]) -> bool:
    word = tokens.pop(0)
    return not _negated(tokens, known) if word == "not" else known(word)


@dataclass
class Case:
    """One boat, with what it was when sound and what the owner complains of."""

    state: State
    sound: State
    fitted: Installation
    card: Card
    rng: np.random.Generator
    symptom: str = ""
    insists: bool = False
    """A sound boat: the owner goes on complaining, whatever is done."""
    shown_before: bool = True
    meter: Meter = field(init=False)
    notes: list[str] = field(default_factory=list)
    before: State | None = None
    _view: tuple[int, View] | None = None

    def __post_init__(self) -> None:
        self.meter = Meter.taken(self.rng)

    @property
    def view(self) -> View:
        return View(self.state, self.fitted)

    # --- facts
    def holds(self, expression: str, check: ResolvedCheck | None = None) -> bool:
        """Whether an expression of facts is true of the boat as it stands."""
        if not expression:
            return False
        tokens = _WORD.findall(expression)
        return _either(tokens, lambda name: self.one(name, check))

    def one(self, name: str, check: ResolvedCheck | None) -> bool:
        """One fact: computed, a fault that the eye finds, or a sign."""
        if name in FACTS:
            return FACTS[name](self, check)
        return name in self.state.flags or name in self.view.tags()

    def complaint(self) -> bool:
        """Whether the owner's complaint still stands."""
        return self.insists or self.holds(self.symptom)

    # --- doing
    def do(self, name: str) -> None:
        act(name, self.state, self.sound, self.fitted, self.rng)

    def cured_by(self, actions: list[str]) -> bool:
        """Whether the complaint is gone while these actions hold; they are undone afterwards."""
        kept, self.state = self.state, self.state.copy()
        try:
            for name in actions:
                self.do(name)
            return not self.complaint()
        finally:
            self.state = kept

    def swapped(self, parts: list[str], carried: list[str]) -> str:
        """A borrowed part in the place of the old one, and back: returns, not-back or same.

        The borrowed part brings its own settings and software; parting and mating the plugs wipes the contacts.
        """
        if self.insists:
            return "same"
        kept = self.state
        trial = self.state.copy()
        renew(trial, self.sound, [*parts, *carried])
        if "display" in parts:
            # A borrowed display draws what it draws: half to all of the old one's power.
            trial.unit_w = self.sound.unit_w * float(self.rng.uniform(0.5, 1.0))
        for name in self._mated(parts):
            act(name, trial, self.sound, self.fitted, self.rng)
        self.state = trial
        gone = not self.complaint()
        self.state = kept
        for name in [*self._mated(parts), "cold-start"]:
            self.do(name)
        back = self.complaint()
        return "same" if not gone else "returns" if back else "not-back"

    @staticmethod
    def _mated(parts: list[str]) -> list[str]:
        if "display" in parts or "module" in parts:
            return ["reseat-power-plug", "reseat-transducer-plug"]
        return ["reseat-transducer-plug"] if {"plug", "cable", "element", "adapter"} & set(parts) else []
