"""Rules, what they measure, and what comes of it: each rule is one small function with its limit and source."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from leadsman.inspection.model import Block, Box, Run

Severity = Literal["must", "should"]
#: The kinds of finished files. A book is a handbook or a guide.
KINDS = ("deck", "handbook", "guide", "record", "sheets", "epub")
DECK, BOOKS, EPUB, SHEETS = ("deck",), ("handbook", "guide"), ("epub",), ("sheets",)
PAPER = ("deck", "handbook", "guide")
TAGGED = ("deck", "handbook", "guide", "record")

#: Numbers in a PDF have a few decimals: so far a value may be off its limit by rounding alone.
ROUNDING = {"pt": 0.01, "mm": 0.02, "arcmin": 0.01, "em": 0.005, "ratio": 0.0, "": 0.0}

_OPERATORS: dict[str, Callable[[float, float], bool]] = {
    ">=": operator.ge,
    "<=": operator.le,
}


@dataclass(frozen=True)
class Limit:
    """A number that a measured value must keep to."""

    op: str
    value: float
    unit: str

    def kept(self, measured: float) -> bool:
        """Whether a value keeps to it; only the rounding of the file is forgiven, nothing is rounded up.

        Examples
        --------
        >>> Limit(">=", 4.5, "ratio").kept(4.4999), Limit(">=", 10, "pt").kept(9.9998)
        (False, True)
        """
        slack = ROUNDING.get(self.unit, 0.0)
        return _OPERATORS[self.op](measured + (slack if self.op == ">=" else -slack), self.value)

    def __str__(self) -> str:
        return f"{self.op} {self.value:g} {self.unit}".strip()


@dataclass(frozen=True)
class Reading:
    """One thing that a rule looked at: where it stands, what was measured, and whether it is right.

    ``right`` stays empty for a number that the rule's limit decides.
    """

    measured: float | str
    says: str = ""
    page: int = 0
    box: Box | None = None
    right: bool | None = None
    file: str = ""


def at(where: Block | Run, measured: float | str, right: bool | None = None, says: str = "") -> Reading:
    """A reading at some text."""
    return Reading(measured, says or f"'{where.text.strip()[:60]}'", where.page, where.box, right)


@dataclass(frozen=True)
class Rule:
    """One rule of the printed page or of the EPUB."""

    id: str
    says: str
    severity: Severity
    kinds: tuple[str, ...]
    limit: Limit | None
    wants: str
    source: str
    read: Callable[[Any], Iterable[Reading]]


#: Every rule by its id and kinds: an id may be measured one way on paper and another in an EPUB.
RULES: dict[str, Rule] = {}


def rule(
    id: str,
    says: str,
    *,
    kinds: tuple[str, ...],
    source: str,
    limit: tuple[str, float, str] | None = None,
    wants: str = "",
    severity: Severity = "must",
) -> Callable[[Callable[[Any], Iterable[Reading]]], Callable[[Any], Iterable[Reading]]]:
    """Enter a function that yields readings as a rule; ``wants`` says a limit that is no single number."""

    def enter(read: Callable[[Any], Iterable[Reading]]) -> Callable[[Any], Iterable[Reading]]:
        key = f"{id} {' '.join(kinds)}"
        if key in RULES:
            raise ValueError(f"two rules are called {id}")
        bound = Limit(*limit) if limit else None
        RULES[key] = Rule(id, says, severity, kinds, bound, wants or str(bound or ""), source, read)
        return read

    return enter


@dataclass(frozen=True)
class Outcome:
    """What one rule found in one file."""

    rule: Rule
    looked_at: int
    worst: float | None
    breaches: tuple[Reading, ...]

    @property
    def verdict(self) -> str:
        """``kept``, ``broken`` or ``nothing to measure``."""
        return "broken" if self.breaches else "kept" if self.looked_at else "nothing to measure"


def judge(rule: Rule, file: Any) -> Outcome:
    """Apply one rule to one file."""
    readings = list(rule.read(file))
    breaches = tuple(r for r in readings if not _right(rule, r))
    numbers = [float(r.measured) for r in readings if isinstance(r.measured, int | float)]
    worst = None
    if numbers and rule.limit is not None:
        worst = min(numbers) if rule.limit.op == ">=" else max(numbers)
    return Outcome(rule, len(readings), worst, breaches)


def _right(rule: Rule, reading: Reading) -> bool:
    if reading.right is not None:
        return reading.right
    if rule.limit is None or isinstance(reading.measured, str):
        raise ValueError(f"{rule.id}: a reading without a verdict needs a number and a limit")
    return rule.limit.kept(float(reading.measured))


def rules_for(kind: str) -> Iterator[Rule]:
    """The rules of a kind of file, by id."""
    for name in sorted(RULES):
        if kind in RULES[name].kinds:
            yield RULES[name]
