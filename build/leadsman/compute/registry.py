"""What a registered formula is: its name, typed inputs with units and range, output, method and sources.

A topic module decorates its functions with :func:`formula`. From that one declaration come the
range check of every call, the validity part of the docstring, ``leadsman calc``, the tables that
the content asks for, and the provenance appendix of the handbook.
"""

from __future__ import annotations

import functools
import importlib
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.unit_table import UNITS

#: The eight topics: the folders of formulas, and the first word of each formula's name.
TOPICS = ("water", "transducer", "echo", "hull", "supply", "flow", "sensors", "diagnosis")


class ComputeError(ValueError):
    """A formula cannot give an answer: the message says which, and why."""


class OutOfRange(ComputeError):
    """A value lies outside the range in which its formula holds (or is no number at all)."""

    def __init__(
        self, quantity: str, value: object, unit: str, low: float, high: float, source: str, own: bool = False
    ) -> None:
        self.quantity, self.value, self.unit = quantity, value, unit
        self.low, self.high, self.source, self.own = low, high, source, own
        said = "a limit of this program" if own else source
        shown = f"{value:.6g}" if isinstance(value, float) else str(value)
        unit_text = f" {unit}" if unit not in ("", "1") else ""
        super().__init__(
            f"{quantity} = {shown}{unit_text} is outside {low:g} to {high:g}{unit_text} ({said})"
        )


class NoAnswer(ComputeError):
    """The inputs are in range but the physics has no solution; the message gives the reason."""


def with_suffix(name: str, unit: str) -> str:
    """The name of an argument in a unit: ``length`` in "m" is ``length_m``; a plain number carries no suffix."""
    suffix = UNITS[unit or "1"].suffix
    return f"{name}_{suffix}" if suffix else name


@dataclass(frozen=True)
class Number:
    """A numeric input: scalar or array, checked against ``low``..``high`` (both included)."""

    name: str
    unit: str
    low: float
    high: float
    meaning: str
    default: float | None = None
    own_range: bool = False
    """The range is this program's own, for want of a published one: no source is credited with it."""

    @property
    def argument(self) -> str:
        """The Python argument: the name with the unit's suffix, as in ``length_m``."""
        return with_suffix(self.name, self.unit)


@dataclass(frozen=True)
class Choice:
    """A text input that takes one of the listed words."""

    name: str
    choices: tuple[str, ...]
    meaning: str
    default: str | None = None
    unit: str = ""

    @property
    def argument(self) -> str:
        """The Python argument, which is the name itself."""
        return self.name


@dataclass(frozen=True)
class Text:
    """A free-text input (a serial sentence, say); the formula itself checks it."""

    name: str
    meaning: str
    default: str | None = None
    unit: str = ""

    @property
    def argument(self) -> str:
        """The Python argument, which is the name itself."""
        return self.name


@dataclass(frozen=True)
class Series:
    """A one-dimensional list of numbers (a profile, a set of likelihoods), each checked against the range."""

    name: str
    unit: str
    low: float
    high: float
    meaning: str

    @property
    def argument(self) -> str:
        """The Python argument: the name with the unit's suffix."""
        return with_suffix(self.name, self.unit)


#: What a checked number is inside a formula, and what a numeric formula returns.
Values = float | NDArray[np.float64]

Input = Number | Choice | Text | Series


@dataclass(frozen=True)
class Output:
    """One result. A formula with several returns a NamedTuple with these names, in this order."""

    name: str
    unit: str
    meaning: str


@dataclass(frozen=True)
class Formula:
    """A registered formula, callable like the function that it wraps."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    method: str
    sources: tuple[str, ...]
    accuracy: str
    function: Callable[..., Any] = field(repr=False)

    @property
    def topic(self) -> str:
        """The module part of the name: ``supply`` of ``supply.voltage_drop``."""
        return self.name.split(".")[0]

    def __call__(self, **arguments: Any) -> Any:
        """Evaluate, after the range check; arguments carry the unit's suffix."""
        return self.function(**arguments)


FORMULAS: dict[str, Formula] = {}

F = TypeVar("F", bound=Callable[..., Any])


def formula(
    name: str,
    *,
    title: str,
    inputs: tuple[Input, ...],
    outputs: tuple[Output, ...],
    method: str,
    sources: tuple[str, ...],
    accuracy: str,
) -> Callable[[F], F]:
    """Register the decorated function and guard each call by the declared ranges.

    ``sources`` are keys of ``leadsman.compute.sources.SOURCES``; the first is named when an input is refused.
    The wrapped function receives floats (all inputs scalar) or broadcast-ready float arrays.
    """
    assert name not in FORMULAS, f"{name} is registered twice"

    def decorate(function: F) -> F:
        signature = inspect.signature(function)
        declared = [i.argument for i in inputs]
        assert list(signature.parameters) == declared, (
            f"{name}: signature {list(signature.parameters)} != {declared}"
        )
        for parameter in signature.parameters.values():
            assert parameter.kind is inspect.Parameter.KEYWORD_ONLY, (
                f"{name}: {parameter.name} must be keyword-only"
            )
        for item in inputs:
            default = getattr(item, "default", None)
            given = signature.parameters[item.argument].default
            assert given == (inspect.Parameter.empty if default is None else default), (
                f"{name}: default of {item.name}"
            )

        @functools.wraps(function)
        def guarded(**arguments: Any) -> Any:
            unknown = set(arguments) - set(declared)
            if unknown:
                raise TypeError(f"{name} takes {', '.join(declared)}; not {', '.join(sorted(unknown))}")
            checked = {
                i.argument: _checked(name, i, arguments[i.argument], sources)
                for i in inputs
                if i.argument in arguments
            }
            return _plain(function(**checked))

        guarded.__doc__ = (function.__doc__ or "") + _validity(inputs)
        FORMULAS[name] = Formula(name, title, inputs, outputs, method, sources, accuracy, guarded)
        return guarded  # type: ignore[return-value]

    return decorate


def _checked(name: str, item: Input, value: Any, sources: tuple[str, ...]) -> Any:
    if isinstance(item, Choice):
        if value not in item.choices:
            raise ComputeError(f"{name}: {item.name} = {value!r} is none of {', '.join(item.choices)}")
        return value
    if isinstance(item, Text):
        if not isinstance(value, str):
            raise ComputeError(f"{name}: {item.name} must be text")
        return value
    own = isinstance(item, Number) and item.own_range
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise OutOfRange(item.name, value, item.unit, item.low, item.high, sources[0], own) from None
    if isinstance(item, Series) and array.ndim != 1:
        raise ComputeError(f"{name}: {item.name} must be a list of numbers")
    # A NaN fails both comparisons, so it is refused like any value out of range.
    good = (array >= item.low) & (array <= item.high)
    if not np.all(good):
        bad = float(array[~good].flat[0])
        raise OutOfRange(item.name, bad, item.unit, item.low, item.high, sources[0], own)
    return float(array) if array.ndim == 0 else array


def _plain(result: Any) -> Any:
    """A NumPy scalar becomes a Python one, also inside a result of several; arrays stay as they are."""
    if isinstance(result, tuple) and hasattr(result, "_fields"):
        return type(result)(*(_plain(part) for part in result))
    if isinstance(result, np.generic) or (isinstance(result, np.ndarray) and result.ndim == 0):
        return result.item()
    return result


def _validity(inputs: tuple[Input, ...]) -> str:
    lines = []
    for item in inputs:
        if isinstance(item, Number | Series):
            unit = f" {item.unit}" if item.unit not in ("", "1") else ""
            lines.append(f"    {item.argument}: {item.low:g} to {item.high:g}{unit}")
        elif isinstance(item, Choice):
            lines.append(f"    {item.argument}: one of {', '.join(item.choices)}")
    return "\n\n    Validity\n    --------\n" + "\n".join(lines) + "\n" if lines else ""


@functools.cache
def _load(topic: str) -> None:
    importlib.import_module(f"leadsman.compute.{topic}")


def formulas(topic: str = "") -> Mapping[str, Formula]:
    """The registered formulas by name: all, or those of one topic, whose folder alone is imported.

    A word that is no topic gives none.
    """
    if not topic:
        for each in TOPICS:
            _load(each)
        return FORMULAS
    if topic in TOPICS:
        _load(topic)
    return {name: known for name, known in FORMULAS.items() if known.topic == topic}
