"""The evidence behind the formulas: published values recomputed, formula by formula.

The rows stand in YAML files, one or more for each topic. A row names a formula, its inputs, the value
that the source gives, how close the formula must come and why. Rows marked ``known_bad`` are misprints
in public sources, which the formula must not reproduce.
"""

from __future__ import annotations

import functools
import importlib.resources
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman.compute.registry import ComputeError, Formula, formulas
from leadsman.errors import LeadsmanError, counted

#: How the value of a row is known, the strongest first.
BASES = ("published", "library", "memory", "common practice", "regression")

_FIELDS = {"id", "formula", "inputs", "expected", "tolerance", "why", "source", "basis"}
_OPTIONAL = {"known_bad", "note"}


class EvidenceError(LeadsmanError):
    """A file of reference rows cannot be read; the message names file and row."""


@dataclass(frozen=True)
class Row:
    """One reference value: what is asked of which formula, and what a source says the answer is."""

    file: str
    id: str
    formula: str
    inputs: Mapping[str, Any]
    expected: Any
    relative: float
    absolute: float
    why: str
    source: str
    basis: str
    known_bad: bool = False

    @property
    def label(self) -> str:
        """Formula, row and source in one line, for a report or the name of a test."""
        return f"{self.formula} {Path(self.file).stem}/{self.id} [{self.basis}: {self.source}]"


@dataclass(frozen=True)
class Outcome:
    """A row evaluated. ``error`` is relative; None for a text, and where zero is expected."""

    row: Row
    actual: Any
    error: float | None
    passed: bool
    problem: str = ""


@dataclass(frozen=True)
class Evidence:
    """All outcomes of one formula."""

    formula: Formula
    outcomes: tuple[Outcome, ...]

    @property
    def witnesses(self) -> tuple[Outcome, ...]:
        """The outcomes that agree with a source, misprints left out."""
        return tuple(o for o in self.outcomes if o.passed and not o.row.known_bad)

    @property
    def failures(self) -> tuple[Outcome, ...]:
        """The outcomes that do not agree, and the misprints that are reproduced."""
        return tuple(o for o in self.outcomes if not o.passed)

    @property
    def worst(self) -> Outcome | None:
        """The witness with the greatest error; None when no witness is numeric."""
        measured = [o for o in self.witnesses if o.error is not None]
        return max(measured, key=lambda o: o.error or 0.0, default=None)

    def count(self, basis: str) -> int:
        """The number of witnesses on that basis."""
        return sum(o.row.basis == basis for o in self.witnesses)

    @property
    def basis(self) -> str:
        """The strongest basis among the witnesses, or ``none``."""
        return next((basis for basis in BASES if self.count(basis)), "none")

    @property
    def sources(self) -> tuple[str, ...]:
        """The sources of the witnesses, each once, in alphabetical order."""
        return tuple(sorted({o.row.source for o in self.witnesses}))


# --- reading -----------------------------------------------------------------------------------


def reference_folder() -> Path:
    """Where the rows are: package data when installed, ``tests/reference`` in a checkout."""
    package = Path(str(importlib.resources.files("leadsman")))
    places = (package / "_data" / "reference", package.parents[1] / "tests" / "reference")
    for place in places:
        if place.is_dir():
            return place
    raise EvidenceError(f"no reference values found; looked in {places[0]} and {places[1]}")


def read_rows(folder: Path | None = None) -> list[Row]:
    """All rows of a folder of YAML files, in order of file and row."""
    folder = folder or reference_folder()
    rows = [row for path in sorted(folder.glob("*.yaml")) for row in read_file(path)]
    if not rows:
        raise EvidenceError(f"{folder} holds no reference values")
    return rows


def read_file(path: Path) -> list[Row]:
    """The rows of one file; every field is checked, and an id may occur once only."""
    import yaml  # `leadsman calc` without the evidence does not need it

    try:
        content = yaml.load(path.read_text(encoding="utf-8"), Loader=_loader())
    except (yaml.YAMLError, UnicodeDecodeError) as problem:
        raise EvidenceError(f"{path.name}: {problem}") from None
    if not isinstance(content, list):
        raise EvidenceError(f"{path.name}: a list of rows is wanted")
    rows = [_row(path.name, number, raw) for number, raw in enumerate(content, 1)]
    seen: set[str] = set()
    for row in rows:
        if row.id in seen:
            raise EvidenceError(f"{path.name}: row {row.id}: the id occurs twice")
        seen.add(row.id)
    return rows


@functools.cache
def _loader() -> Any:
    """A safe loader for numbers as scientists write them, which refuses a key that stands twice."""
    import yaml

    class Loader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):  # type: ignore[misc]
        def construct_mapping(self, node: Any, deep: bool = False) -> Any:
            keys = [key.value for key, _ in node.value]
            twice = next((key for key, _ in node.value if keys.count(key.value) > 1), None)
            if twice is not None:
                raise yaml.MarkedYAMLError(
                    problem=f"{twice.value} stands twice", problem_mark=twice.start_mark
                )
            return super().construct_mapping(node, deep)

    # YAML 1.1 takes 1e-9, which has no point, for a text.
    Loader.add_implicit_resolver(
        "tag:yaml.org,2002:float", re.compile(r"[-+]?\d+(\.\d*)?[eE][-+]?\d+$"), list("-+0123456789")
    )
    return Loader


def _row(file: str, number: int, raw: Any) -> Row:
    if not isinstance(raw, dict):
        raise EvidenceError(f"{file}: row {number} is no mapping")
    place = f"{file}: row {raw.get('id', number)}"
    for missing in sorted(_FIELDS - set(raw)):
        raise EvidenceError(f"{place}: {missing} is missing")
    for unknown in sorted(set(raw) - _FIELDS - _OPTIONAL):
        raise EvidenceError(f"{place}: unknown field {unknown}")
    for text in ("formula", "why", "source"):
        if not isinstance(raw[text], str) or not raw[text].strip():
            raise EvidenceError(f"{place}: {text} must be a text")
    if raw["basis"] not in BASES:
        raise EvidenceError(f"{place}: basis must be one of {', '.join(BASES)}")
    if not isinstance(raw["inputs"], dict):
        raise EvidenceError(f"{place}: inputs must be a mapping of argument names")
    relative, absolute = _tolerance(place, raw["tolerance"])
    return Row(
        file, str(raw["id"]), raw["formula"], raw["inputs"], raw["expected"], relative, absolute,
        raw["why"], raw["source"], raw["basis"], bool(raw.get("known_bad", False)),
    )  # fmt: skip


def _tolerance(place: str, raw: Any) -> tuple[float, float]:
    if not isinstance(raw, dict) or not raw or set(raw) - {"rel", "abs", "exact"}:
        raise EvidenceError(f"{place}: tolerance must give rel, abs or exact")
    if "exact" in raw:
        if raw != {"exact": True}:
            raise EvidenceError(f"{place}: an exact tolerance is written exact: true, alone")
        return 0.0, 0.0
    amounts = [raw.get("rel", 0.0), raw.get("abs", 0.0)]
    for amount in amounts:
        if not isinstance(amount, int | float) or isinstance(amount, bool) or not 0 <= amount < math.inf:
            raise EvidenceError(f"{place}: tolerance {amount!r} is no number of 0 or more")
    return float(amounts[0]), float(amounts[1])


# --- evaluating --------------------------------------------------------------------------------


def evaluate(row: Row) -> Outcome:
    """Compute one row and hold it against its expected value."""
    known = formulas()
    if row.formula not in known:
        return Outcome(row, None, None, False, f"there is no formula {row.formula}")
    try:
        actual = known[row.formula](**row.inputs)
    except ComputeError as refusal:
        # A refused input does not reproduce a misprint either.
        return Outcome(row, None, None, row.known_bad, str(refusal))
    except TypeError as problem:
        return Outcome(row, None, None, False, str(problem))
    close, error, problem_text = _compare(row, actual, row.expected)
    if row.known_bad:
        reproduced = f"reproduces the misprint {row.expected}" if close else ""
        return Outcome(row, actual, error, not close, reproduced)
    return Outcome(row, actual, error, close, problem_text)


def _compare(row: Row, actual: Any, expected: Any) -> tuple[bool, float | None, str]:
    """Whether the values agree, the error, and a text for the report when they do not."""
    if isinstance(expected, Mapping):
        missing = [name for name in expected if not hasattr(actual, str(name))]
        if missing:
            return False, None, f"the result has no {', '.join(map(str, missing))}"
        return _worst(_compare(row, getattr(actual, str(name)), part) for name, part in expected.items())
    if isinstance(expected, list):
        parts = list(actual) if hasattr(actual, "__len__") and not isinstance(actual, str) else [actual]
        if len(parts) != len(expected):
            return False, None, f"{counted(len(parts), 'value')} instead of {len(expected)}"
        return _worst(_compare(row, a, e) for a, e in zip(parts, expected, strict=True))
    if (
        isinstance(expected, bool | str)
        or expected is None
        or isinstance(actual, bool | str)
        or actual is None
    ):
        same = bool(actual == expected)
        return same, None, "" if same else f"{actual!r} instead of {expected!r}"
    try:
        difference = abs(float(actual) - float(expected))
    except (TypeError, ValueError):
        return False, None, f"{actual!r} is no number to hold against {expected!r}"
    error = difference / abs(float(expected)) if expected else None
    # Written so that a NaN does not pass.
    close = difference <= max(row.absolute, row.relative * abs(float(expected)))
    return (
        close,
        error,
        "" if close else f"{float(actual):.8g} instead of {expected}, off by {difference:.2g}",
    )


def _worst(parts: Iterable[tuple[bool, float | None, str]]) -> tuple[bool, float | None, str]:
    results = list(parts)
    errors = [error for _, error, _ in results if error is not None]
    problems = [problem for _, _, problem in results if problem]
    return all(close for close, _, _ in results), max(errors, default=None), "; ".join(problems)


def gather(rows: Iterable[Row]) -> list[Evidence]:
    """Evaluate all rows and sort them by formula; a formula without any row is listed too."""
    known = formulas()
    by_formula: dict[str, list[Outcome]] = {name: [] for name in known}
    for row in rows:
        if row.formula not in known:
            raise EvidenceError(f"{row.file}: row {row.id}: there is no formula {row.formula}")
        by_formula[row.formula].append(evaluate(row))
    return [Evidence(known[name], tuple(outcomes)) for name, outcomes in sorted(by_formula.items())]


# --- reporting ---------------------------------------------------------------------------------


def as_data(evidence: Iterable[Evidence]) -> list[dict[str, Any]]:
    """The report as plain data, for JSON and for the provenance appendix."""
    return [
        {
            "formula": e.formula.name,
            "title": e.formula.title,
            "basis": e.basis,
            "witnesses": {basis: e.count(basis) for basis in BASES if e.count(basis)},
            "misprints_refuted": sum(o.row.known_bad and o.passed for o in e.outcomes),
            "worst_relative_error": e.worst.error if e.worst else None,
            "worst_row": f"{e.worst.row.file}: {e.worst.row.id}" if e.worst else None,
            "accuracy": e.formula.accuracy,
            "sources": list(e.sources),
            "failures": [{"row": o.row.id, "file": o.row.file, "problem": o.problem} for o in e.failures],
        }
        for e in evidence
    ]
