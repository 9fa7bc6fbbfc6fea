"""What the drill needs to know of an entry: what each cause does to a boat, and how each check is answered."""

from __future__ import annotations

from pydantic import Field

from leadsman.content.model.base import Id, Label, Record


class DrilledCheck(Record):
    """How a simulated boat answers a check: what is done to it, and the fact behind each answer.

    Answers are tried in their order; the one answer that is not listed is seen when no fact holds.
    """

    do: list[str] = []
    """Actions that stay done."""
    trying: list[str] = []
    """Actions that are undone after the answer."""
    swap: list[Id] = []
    """Components that a sound part takes the place of, there and back again."""
    answers: dict[Id, str] = {}
    """Answer to fact: names joined by ``and``, ``or`` and ``not``."""


class DrillPlan(Record):
    """The drill of one entry, or of the shared checks (``id: shared-checks``)."""

    id: Id
    says: list[Label] = []
    """What owners say of such a boat: each sentence is looked up in the index of signs, and should lead here."""
    symptom: str = ""
    """The fact that makes a boat a case of this entry."""
    scene: dict[Id, str] = {}
    """What holds for every boat of this entry: where it lies, what was seen before."""
    causes: dict[Id, list[Id]] = {}
    """The faults of the simulator that each cause stands for; one of them is drawn."""
    checks: dict[Id, DrilledCheck] = Field(default={})
