"""The numbers of an edition, kept with its content: what each formula gave when the edition was released.

A later comparison reads them as data, so that it need not run the program text of another revision.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from leadsman.book.computed import UNIT_SYSTEMS, Evaluate, ask_today
from leadsman.book.number_changes import calls_of
from leadsman.compute.registry import ComputeError, Formula, NoAnswer
from leadsman.content.catalogue import PRINTED_NUMBERS, Catalogue
from leadsman.errors import LeadsmanError, quoted
from leadsman.files import size

#: A formula's name with a digest of its arguments.
Call = tuple[str, str]

MOST_BYTES = 8_000_000
_FORM = 1
_LONGEST_WORDS = 400
_ABOUT = "What the formulas gave for this edition; written by leadsman build --release. Do not edit."


@dataclass(frozen=True)
class Answer:
    """What a formula gave for an edition: outputs by name, or why there is none."""

    outputs: Mapping[str, Any] | None = None
    no_answer: str | None = None


def call_of(name: str, arguments: Mapping[str, Any]) -> Call:
    """The call as a key; arguments that differ only by the rounding of a machine have the same.

    Examples
    --------
    >>> call_of("supply.fuse", {"current_a": 0.1 + 0.2}) == call_of("supply.fuse", {"current_a": 0.3})
    True
    """
    text = json.dumps({key: _rounded(arguments[key]) for key in sorted(arguments)})
    return name, hashlib.sha256(text.encode()).hexdigest()[:24]


def _rounded(value: Any) -> Any:
    if isinstance(value, str | bool | None):
        return value
    if isinstance(value, np.ndarray | list | tuple):
        return [_rounded(part) for part in value]
    return f"{float(value):.12g}"


def printed_numbers(catalogue: Catalogue) -> bytes:
    """Every number that values and tables ask of a formula, in each system of units, as the file that keeps them."""
    numbers: dict[str, dict[str, Any]] = {}
    known: dict[Call, Any] = {}

    def keep(formula: Formula, arguments: Mapping[str, Any]) -> Any:
        call = call_of(formula.name, arguments)
        if call not in known:
            try:
                known[call] = formula(**arguments)
            except ComputeError as error:
                known[call] = error
            if (kept := _kept(formula, known[call])) is not None:
                numbers.setdefault(call[0], {})[call[1]] = kept
        if isinstance(known[call], ComputeError):
            raise known[call]
        return known[call]

    for units in UNIT_SYSTEMS:
        for _ in calls_of(catalogue, units, keep):
            pass
    data = {"about": _ABOUT, "form": _FORM, "numbers": numbers}
    return (json.dumps(data, indent=0, sort_keys=True, ensure_ascii=True) + "\n").encode()


def _kept(formula: Formula, result: Any) -> dict[str, Any] | None:
    """A result as plain data; None for what is no number and no word, and for an error."""
    if isinstance(result, NoAnswer):
        return {"no_answer": str(result)}
    if isinstance(result, ComputeError):
        return None
    many = hasattr(result, "_fields")
    given = {o.name: getattr(result, o.name) if many else result for o in formula.outputs}
    if any(np.ndim(value) for value in given.values()):
        return None
    outputs = {name: _plain(value) for name, value in given.items()}
    return {"outputs": outputs} if all(map(_is_plain, outputs.values())) else None


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return str(value)
    return value if isinstance(value, bool | None) else float(value)


def read_printed_numbers(raw: bytes) -> dict[Call, Answer]:
    """The numbers of an edition from its file, which may come from anybody.

    Raises
    ------
    LeadsmanError
        When it is not such a file; the message says why.
    """
    if len(raw) > MOST_BYTES:
        raise LeadsmanError(f"{PRINTED_NUMBERS} is larger than {size(MOST_BYTES)}")
    try:
        data = json.loads(raw.decode("utf-8"), parse_constant=_no_number, parse_int=float)
    except (ValueError, RecursionError):
        raise LeadsmanError(f"{PRINTED_NUMBERS} is no JSON that leadsman wrote") from None
    if not isinstance(data, dict) or data.get("form") != _FORM or not isinstance(data.get("numbers"), dict):
        raise LeadsmanError(f"{PRINTED_NUMBERS} has a form that leadsman does not know")
    return {
        (name, key): _answer(name, entry)
        for name, entries in data["numbers"].items()
        for key, entry in (entries.items() if isinstance(entries, dict) else [("", None)])
    }


def _no_number(text: str) -> float:
    raise ValueError(text)


def _answer(name: str, entry: Any) -> Answer:
    if isinstance(entry, dict) and isinstance(entry.get("no_answer"), str):
        return Answer(no_answer=quoted(entry["no_answer"], 200))
    outputs = entry.get("outputs") if isinstance(entry, dict) else None
    if not isinstance(outputs, dict) or not all(map(_is_plain, outputs.values())):
        raise LeadsmanError(f"{PRINTED_NUMBERS} gives something else than numbers for {quoted(name)}")
    return Answer(outputs)


def _is_plain(value: Any) -> bool:
    if isinstance(value, str):
        return len(value) <= _LONGEST_WORDS and value.isprintable()
    return value is None or isinstance(value, bool) or (isinstance(value, float) and math.isfinite(value))


@dataclass
class PrintedNumbers:
    """Asks the numbers that were kept with an edition; a call that is not among them goes to today's formula."""

    answers: Mapping[Call, Answer]
    today: Evaluate = ask_today
    stood_in: set[Call] = field(default_factory=set)
    """The calls for which today's formulas stood in."""

    def __call__(self, formula: Formula, arguments: Mapping[str, Any]) -> Any:
        call = call_of(formula.name, arguments)
        answer = self.answers.get(call)
        if answer is not None and answer.no_answer is not None:
            raise NoAnswer(answer.no_answer)
        names = [output.name for output in formula.outputs]
        if answer is None or answer.outputs is None or any(n not in answer.outputs for n in names):
            self.stood_in.add(call)
            return self.today(formula, arguments)
        if len(names) == 1:
            return answer.outputs[names[0]]
        return _named(names, answer.outputs)


class _Outputs(tuple[Any, ...]):
    """Several outputs by name, as a formula gives them."""

    _fields: tuple[str, ...]

    def __getattr__(self, name: str) -> Any:
        if name in self._fields:
            return self[self._fields.index(name)]
        raise AttributeError(name)


def _named(names: Sequence[str], outputs: Mapping[str, Any]) -> _Outputs:
    found = _Outputs(outputs[name] for name in names)
    found._fields = tuple(names)
    return found
