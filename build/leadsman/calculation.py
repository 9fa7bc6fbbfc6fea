"""Evaluate a formula for read arguments, and lay the result out as rows or as plain data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from leadsman.arguments import ArgumentError, shown_value
from leadsman.compute.registry import ComputeError, Formula, Number, OutOfRange, Series
from leadsman.compute.sources import SOURCES
from leadsman.errors import LeadsmanError, counted
from leadsman.units import PAIRS, convert, quantity_text, round_to

#: Units in which a result is shown again for a reader used to US measures.
_US = {unit: PAIRS[unit] for unit in ("m", "mm", "mm2", "degC")} | {"m/s": "ft/s"}


class CalculationError(LeadsmanError):
    """The formula refused: a value out of range, or no solution."""


@dataclass(frozen=True)
class Calculation:
    """A formula, its arguments, and its outputs by name; the varied inputs hold one value for each row."""

    formula: Formula
    arguments: Mapping[str, Any]
    outputs: Mapping[str, Any]
    varied: tuple[str, ...]
    length: int

    def settings(self) -> list[tuple[str, str]]:
        """The inputs that are the same in each row, defaults included, as name and text."""
        shown = []
        for item in self.formula.inputs:
            value = self.arguments.get(item.argument, getattr(item, "default", None))
            if item.argument in self.varied or value is None:
                continue
            if isinstance(item, Series):
                shown.append((item.name, ",".join(shown_value(item, part) for part in value)))
            else:
                shown.append((item.name, shown_value(item, value)))
        return shown


def calculate(
    formula: Formula, arguments: Mapping[str, Any], typed: Mapping[str, str] | None = None
) -> Calculation:
    """Evaluate; several values of an input give one row each, and lists of one length go together.

    ``typed`` holds the texts as the user gave them, for the message when a value is refused.
    """
    series = {i.argument for i in formula.inputs if isinstance(i, Series)}
    lengths = {name: len(v) for name, v in arguments.items() if name not in series and _is_list(v)}
    if len(set(lengths.values())) > 1:
        told = ", ".join(f"{name} has {counted(count, 'value')}" for name, count in lengths.items())
        raise ArgumentError(next(iter(lengths)), told, "lists that go together must be equally long")
    length = next(iter(lengths.values()), 1)
    try:
        outputs = _outputs(formula, arguments, tuple(lengths), length)
    except ComputeError as refusal:
        raise CalculationError(_refusal(formula, refusal, typed or {})) from None
    return Calculation(formula, arguments, outputs, tuple(lengths), length)


def _is_list(value: Any) -> bool:
    return isinstance(value, list | np.ndarray)


def _outputs(
    formula: Formula, arguments: Mapping[str, Any], varied: tuple[str, ...], length: int
) -> dict[str, Any]:
    # A choice is one text for a call, so a list of choices is the only thing that needs a call for each row.
    if not any(isinstance(arguments[name], list) for name in varied):
        return _named(formula, formula(**arguments))
    calls = []
    for index in range(length):
        row = {n: (v[index] if n in varied else v) for n, v in arguments.items()}
        calls.append(_named(formula, formula(**row)))
    return {name: [call[name] for call in calls] for name in calls[0]}


def _named(formula: Formula, result: Any) -> dict[str, Any]:
    if not hasattr(result, "_fields"):
        return {formula.outputs[0].name: result}
    return {output.name: getattr(result, output.name) for output in formula.outputs}


def _refusal(formula: Formula, refusal: ComputeError, typed: Mapping[str, str]) -> str:
    text = f"{formula.name}: {refusal}"
    if isinstance(refusal, OutOfRange):
        for item in formula.inputs:
            given = typed.get(item.name, typed.get(item.argument))
            if item.name == refusal.quantity and given is not None and isinstance(item, Number | Series):
                text += f"\n  given: {item.name}={given}"
        if not refusal.own:
            text += f"\n  source: {SOURCES.get(refusal.source, refusal.source)}"
    return text


# --- showing -----------------------------------------------------------------------------------


def table_rows(calculation: Calculation, *, digits: int, us: bool = False) -> list[list[str]]:
    """A heading and one row of texts for each value: the varied inputs, then the outputs."""
    formula = calculation.formula
    inputs = {i.argument: i for i in formula.inputs}
    columns = [
        [inputs[name].name, *(shown_value(inputs[name], value) for value in calculation.arguments[name])]
        for name in calculation.varied
    ]
    for output in formula.outputs:
        values = _per_row(calculation, calculation.outputs[output.name])
        columns.append([output.name, *(shown_result(value, output.unit, digits, us=us) for value in values)])
    return [list(row) for row in zip(*columns, strict=True)]


def _per_row(calculation: Calculation, value: Any) -> list[Any]:
    if not calculation.varied:
        return [value]
    if _is_list(value) and len(value) == calculation.length:
        return list(value)
    # An output that does not depend on the varied inputs is the same in each row.
    return [value] * calculation.length


def shown_result(value: Any, unit: str, digits: int, *, us: bool = False) -> str:
    """One result as text, rounded to the nearest, with its unit and if wanted the US one behind it."""
    if value is None:
        return "none"
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, list | tuple | np.ndarray) and np.ndim(value) > 0:
        return ", ".join(shown_result(part, unit, digits, us=us) for part in value)
    if isinstance(value, str) or not isinstance(value, int | float | np.number | np.ndarray):
        return str(value)
    number = float(value)
    if not math.isfinite(number):
        return str(number)
    if isinstance(value, int | np.integer):
        return quantity_text(float(value), unit or "1", plain=True)
    text = quantity_text(_short(number, digits), unit or "1", plain=True)
    if us and unit in _US and not (_US[unit] == "AWG" and number <= 0):
        other = convert(number, unit, _US[unit])
        text += f" ({quantity_text(_short(other, digits), _US[unit], plain=True)})"
    return text


def _short(number: float, digits: int) -> float:
    return float(round_to(number, "nearest", digits=digits))


def as_data(calculation: Calculation) -> dict[str, Any]:
    """The calculation as plain data for JSON: every digit, no value that JSON lacks."""
    formula = calculation.formula
    return {
        "formula": formula.name,
        "inputs": {
            i.name: {
                "value": _plain(calculation.arguments.get(i.argument, getattr(i, "default", None))),
                "unit": i.unit,
            }
            for i in formula.inputs
        },
        "outputs": {
            o.name: {"value": _plain(calculation.outputs[o.name]), "unit": o.unit} for o in formula.outputs
        },
        "accuracy": formula.accuracy,
        "sources": dict(formula.references),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    if hasattr(value, "_asdict"):
        return _plain(value._asdict())
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return value if isinstance(value, str | int | float | bool | None) else str(value)
