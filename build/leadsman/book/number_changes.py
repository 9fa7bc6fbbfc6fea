"""Numbers of two revisions side by side: old and new as printed, and whether input, formula or rounding changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from leadsman.book.computed import Evaluate, Number, ask_today, compute_table, compute_value
from leadsman.book.passages import plain
from leadsman.compute.registry import ComputeError, Formula, NoAnswer
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Value
from leadsman.content.model.table import Table
from leadsman.errors import LeadsmanError

#: Results that differ by less are the same number, computed on another machine.
_SAME = 1e-9


@dataclass(frozen=True)
class Side:
    """The content at one revision, and how its formulas are asked."""

    catalogue: Catalogue
    evaluate: Evaluate = ask_today


@dataclass(frozen=True)
class NumberChange:
    """One printed number that changed: where it stands, old and new, and why."""

    place: str
    old: str
    new: str
    why: tuple[str, ...]


@dataclass(frozen=True)
class _Call:
    formula: Formula
    arguments: Mapping[str, Any]


@dataclass
class _Recorder:
    """Asks as it is told, and keeps what was asked."""

    evaluate: Evaluate
    calls: list[_Call] = field(default_factory=list)

    def __call__(self, formula: Formula, arguments: Mapping[str, Any]) -> Any:
        self.calls.append(_Call(formula, dict(arguments)))
        return self.evaluate(formula, arguments)


def calls_of(
    catalogue: Catalogue, units: str, evaluate: Evaluate = ask_today
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every formula that the values and tables of a catalogue ask, with its arguments."""
    recorder = _Recorder(evaluate)
    for kind, compute in (("values", compute_value), ("tables", compute_table)):
        for record in catalogue.records[kind].values():
            try:
                compute(record, catalogue, units, recorder)
            except (LeadsmanError, NoAnswer):
                continue
    for call in recorder.calls:
        yield call.formula.name, call.arguments


def value_change(old: Value, new: Value, sides: tuple[Side, Side], units: str) -> NumberChange | None:
    """How a named value changed in print; None when it did not."""
    before, after = _value(old, sides[0], units), _value(new, sides[1], units)
    if before[0] == after[0]:
        return None
    why = []
    if old.declared is not None and new.declared is not None:
        why = [
            "declared anew" + ("" if old.source == new.source else f", source {old.source} -> {new.source}")
        ]
    elif (old.declared is None) != (new.declared is None):
        why = ["declared instead of computed" if new.declared is not None else "computed instead of declared"]
    elif before[1] and after[1]:
        why = _reasons(before[1][0], after[1][0], sides)
        if (old.show, old.show_us, old.show_fathoms) != (new.show, new.show_us, new.show_fathoms):
            why.append("printed with another unit, step or rounding")
    return NumberChange(str(new.meaning), before[0], after[0], tuple(why) or ("changed",))


def _value(value: Value, side: Side, units: str) -> tuple[str, list[_Call]]:
    recorder = _Recorder(side.evaluate)
    try:
        return plain(compute_value(value, side.catalogue, units, recorder).number.text), recorder.calls
    except (LeadsmanError, NoAnswer) as error:
        return f"not computable: {error}", recorder.calls


def table_changes(old: Table, new: Table, sides: tuple[Side, Side], units: str) -> list[NumberChange]:
    """Every cell that prints something else, by the heads of its row and column; rows and columns that came or went."""
    try:
        before, after = _grid(old, sides[0], units), _grid(new, sides[1], units)
    except LeadsmanError as error:
        return [NumberChange("the whole table", "", "", (f"not computable: {error}",))]
    printing = (old.cells, old.no_answer) != (new.cells, new.no_answer)
    changes = list(_lines_changed(before, after))
    for place in (p for p in before if p in after):
        (was, was_call), (now, now_call) = before[place], after[place]
        if was.text == now.text:
            continue
        why = _reasons(was_call, now_call, sides)
        if printing and not why:
            why = ["printed with another unit, step, rounding or wording"]
        changes.append(NumberChange(", ".join(p for p in place if p), plain(was.text), plain(now.text),
                                    tuple(why) or ("changed",)))  # fmt: skip
    return changes


_Grid = dict[tuple[str, str], tuple[Number, _Call]]


def _grid(table: Table, side: Side, units: str) -> _Grid:
    recorder = _Recorder(side.evaluate)
    computed = compute_table(table, side.catalogue, units, recorder)
    calls, columns = iter(recorder.calls), len(computed.columns)
    grid: _Grid = {}
    for row, cells in zip(computed.row_heads, computed.cells, strict=True):
        for number in range(columns):
            call = next(calls)
            for index in range(len(table.cells)):
                at = number * len(table.cells) + index
                grid[row, computed.column_heads[at]] = (cells[at], call)
    return grid


def _lines_changed(before: _Grid, after: _Grid) -> Iterator[NumberChange]:
    for axis, name in ((0, "row"), (1, "column")):
        old, new = (dict.fromkeys(place[axis] for place in grid) for grid in (before, after))
        for head in (h for h in old if h not in new):
            yield NumberChange(f"{name} {head}", "printed", "", (f"{name} taken out",))
        for head in (h for h in new if h not in old):
            yield NumberChange(f"{name} {head}", "", "printed", (f"{name} added",))


def _reasons(before: _Call, after: _Call, sides: tuple[Side, Side]) -> list[str]:
    """Why one call gives another result than an earlier one: another formula, changed inputs, a changed formula."""
    why = []
    if before.formula.name != after.formula.name:
        why.append(f"computed by {after.formula.name} instead of {before.formula.name}")
    elif not _same(_result(before, sides[0]), _result(before, sides[1])):
        why.append(f"the formula {before.formula.name} changed")
    names = [*before.arguments, *(n for n in after.arguments if n not in before.arguments)]
    moved = [n for n in names if before.arguments.get(n) != after.arguments.get(n)]
    inputs = [f"{n} {_shown(before.arguments.get(n))} -> {_shown(after.arguments.get(n))}" for n in moved]
    return [*why, *([f"input changed: {', '.join(inputs)}"] if inputs else [])]


def _shown(value: Any) -> str:
    return "default" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def _result(call: _Call, side: Side) -> Any:
    try:
        result = side.evaluate(call.formula, call.arguments)
    except (ComputeError, LeadsmanError) as error:
        return str(error)
    return tuple(result) if hasattr(result, "_fields") else (result,)


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, str) or isinstance(other, str):
        return bool(one == other)
    return len(one) == len(other) and all(
        a == b
        if isinstance(a, str) or isinstance(b, str)
        else abs(float(a) - float(b)) <= _SAME * abs(float(b))
        for a, b in zip(one, other, strict=True)
    )
