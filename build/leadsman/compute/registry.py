"""What a registered formula is: its name, typed inputs with units and range, output, method and sources.

A topic module decorates its functions with :func:`formula`. From that one declaration come the
range check of every call, most of the docstring, ``leadsman calc``, the tables
that the content asks for, and the provenance appendix of the handbook.
"""

from __future__ import annotations

import functools
import importlib
import inspect
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.sources import SOURCES
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


@functools.cache
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
    references: Mapping[str, str]
    """The full reference of each source by its key, with the place in it that the formula is taken from."""
    accuracy: str
    serves: str
    """The question that a person brings to it, for a formula that no page prints and no other formula needs."""
    function: Callable[..., Any] = field(repr=False)

    @property
    def sources(self) -> tuple[str, ...]:
        """The keys of the sources, the first of which is named when an input is refused."""
        return tuple(self.references)

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
    serves: str = "",
) -> Callable[[F], F]:
    """Register the decorated function and guard each call by the declared ranges.

    ``sources`` are keys of ``leadsman.compute.sources.SOURCES``, each with the place in it where there is one:
    ``"urick-1983, chapter 2"``. The wrapped function receives floats (all inputs scalar) or broadcast-ready float
    arrays. It names its inputs as arguments, or takes a whole record of them, defaults included, as ``**record``.
    ``serves`` is the question of a person at the terminal, needed where neither a page nor a formula uses this one.
    Its docstring says what it does, its result, notes and an example; method, parameters and references come from here,
    and so does the result where its docstring says nothing of it.
    """
    assert name not in FORMULAS, f"{name} is registered twice"
    declared = [i.argument for i in inputs]
    defaults = {i.argument: i.default for i in inputs if not isinstance(i, Series) and i.default is not None}
    references = dict(map(_reference, sources))
    known, named, first = (
        frozenset(declared),
        tuple(zip(declared, inputs, strict=True)),
        next(iter(references), ""),
    )

    def decorate(function: F) -> F:
        takes_record = _agreed(name, function, declared, defaults)

        @functools.wraps(function)
        def guarded(**arguments: Any) -> Any:
            if unknown := arguments.keys() - known:
                raise TypeError(f"{name} takes {', '.join(declared)}; not {', '.join(sorted(unknown))}")
            given = {**defaults, **arguments} if takes_record else arguments
            if takes_record and (missing := [i for i in declared if i not in given]):
                raise TypeError(f"{name} lacks {', '.join(missing)}")
            checked = {
                argument: _checked(name, item, given[argument], first)
                for argument, item in named
                if argument in given
            }
            return _plain(function(**checked))

        guarded.__doc__ = _documented(function, method, inputs, outputs, references)
        FORMULAS[name] = Formula(name, title, inputs, outputs, method, references, accuracy, serves, guarded)
        return guarded  # type: ignore[return-value]

    return decorate


def _reference(source: str) -> tuple[str, str]:
    """The key of a source, and its full reference with the place."""
    key, _, place = source.partition(", ")
    told = place.casefold() in SOURCES[key].casefold()
    return key, SOURCES[key] + ("" if told else f" {place[0].upper()}{place[1:]}.")


def _agreed(
    name: str, function: Callable[..., Any], declared: list[str], defaults: Mapping[str, Any]
) -> bool:
    """Hold the signature against the declaration; whether the function takes the inputs as a record."""
    parameters = inspect.signature(function).parameters
    record = [p.name for p in parameters.values() if p.kind is inspect.Parameter.VAR_KEYWORD]
    named = [p for p in parameters.values() if p.name not in record]
    listed = [p.name for p in named]
    wanted = [argument for argument in declared if argument in listed] if record else declared
    assert listed == wanted, f"{name}: signature {listed} != {wanted}"
    for parameter in named:
        assert parameter.kind is inspect.Parameter.KEYWORD_ONLY, (
            f"{name}: {parameter.name} must be keyword-only"
        )
        default = defaults.get(parameter.name, inspect.Parameter.empty)
        assert record or parameter.default == default, f"{name}: default of {parameter.name}"
    return bool(record)


def _checked(name: str, item: Input, value: Any, source: str) -> Any:
    # Most of what formulas give each other: no array is made of it.
    if isinstance(item, Number) and isinstance(value, float) and item.low <= value <= item.high:
        return float(value)
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
        raise OutOfRange(item.name, value, item.unit, item.low, item.high, source, own) from None
    if isinstance(item, Series) and array.ndim != 1:
        raise ComputeError(f"{name}: {item.name} must be a list of numbers")
    # A NaN fails both comparisons, so it is refused like any value out of range.
    good = (array >= item.low) & (array <= item.high)
    if not np.all(good):
        bad = float(array[~good].flat[0])
        raise OutOfRange(item.name, bad, item.unit, item.low, item.high, source, own)
    return float(array) if array.ndim == 0 else array


def _plain(result: Any) -> Any:
    """A NumPy scalar becomes a Python one, also inside a result of several; arrays stay as they are."""
    if isinstance(result, tuple) and hasattr(result, "_fields"):
        return type(result)(*(_plain(part) for part in result))
    if isinstance(result, np.generic) or (isinstance(result, np.ndarray) and result.ndim == 0):
        return result.item()
    return result


def _documented(
    function: Callable[..., Any],
    method: str,
    inputs: tuple[Input, ...],
    outputs: tuple[Output, ...],
    references: Mapping[str, str],
) -> str:
    """The docstring with what the declaration says: the result only where the function does not tell it itself."""
    written = re.split(r"\n\n(?=[A-Z][a-z]+\n-+\n)", inspect.cleandoc(function.__doc__ or ""))
    parts = [f"{written[0]}\n\n{method.rstrip('.')}.", _section("Parameters", map(_parameter, inputs))]
    if not any(part.startswith("Returns\n") for part in written):
        kind = str(function.__annotations__["return"]).replace("Values", "float or array")
        parts.append(_section("Returns", [kind, *map(_output, outputs)]))
    return "\n\n".join([*parts, *written[1:], _section("References", references.values())]) + "\n"


def _section(heading: str, lines: Iterable[str]) -> str:
    return "\n".join([heading, "-" * len(heading), *lines])


def _output(item: Output) -> str:
    unit = "-" if item.unit == "1" else item.unit
    return f"    {item.name}: {item.meaning.rstrip('.')}{unit and f' [{unit}]'}."


def _parameter(item: Input) -> str:
    kinds = {Number: "float or array", Series: "list of float"}
    text = item.meaning.rstrip(".")
    says = f"{text[0].upper()}{text[1:]}"
    default = getattr(item, "default", None)
    if isinstance(item, Number | Series):
        unit = item.unit if item.unit not in ("", "1") else "-"
        says += f" [{unit}], {item.low:g} to {item.high:g}"
    elif isinstance(item, Choice):
        says += f": one of {', '.join(item.choices)}"
    if default is not None:
        says += f"; {default} if not given"
    return f"{item.argument} : {kinds.get(type(item), 'str')}\n    {says}."


@functools.cache
def _load(topic: str) -> None:
    package = importlib.import_module(f"leadsman.compute.{topic}")
    for name in getattr(package, "REGISTERING", ()):
        importlib.import_module(f"{package.__name__}.{name}")


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
