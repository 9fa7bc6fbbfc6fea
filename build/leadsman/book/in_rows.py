"""Ask a formula for many cells at once, where it takes arrays; for those who look at the cells and print none.

What an array gives may differ from what the numbers give one by one in the last binary digit. So a page never takes
its numbers from here; whether a cell can be computed at all is the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from leadsman.book.computed import Evaluate, ask_today, compute_table, unit_systems
from leadsman.compute.registry import Formula, NoAnswer
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.table import Table
from leadsman.errors import LeadsmanError

Asked = tuple[str, tuple[tuple[str, Any], ...]]


def asked_in_rows(tables: Iterable[Table], catalogue: Catalogue) -> Evaluate:
    """How to ask for the cells of these tables: from what was computed together, else one by one."""
    groups: dict[tuple[Any, ...], dict[Asked, tuple[Formula, Mapping[str, Any]]]] = {}
    for table in tables:
        for formula, arguments in _asked(table, catalogue):
            try:
                groups.setdefault(_group(formula, arguments), {})[_key(formula, arguments)] = (
                    formula,
                    arguments,
                )
            except TypeError:
                # A list among the arguments has no hash: such a cell is asked for by itself.
                continue
    known: dict[Asked, Any] = {}
    for group in groups.values():
        if len(group) > 1:
            known |= _together(group)

    def ask(formula: Formula, arguments: Mapping[str, Any]) -> Any:
        try:
            return known[_key(formula, arguments)]
        except (KeyError, TypeError):
            return ask_today(formula, arguments)

    return ask


def _key(formula: Formula, arguments: Mapping[str, Any]) -> Asked:
    return formula.name, tuple(sorted(arguments.items()))


def _group(formula: Formula, arguments: Mapping[str, Any]) -> tuple[Any, ...]:
    """What cells have in common that are asked for together: the formula, its inputs, and what is no number."""
    shared = ((name, None if _is_number(given) else given) for name, given in sorted(arguments.items()))
    found = (formula.name, *shared)
    hash(found)
    return found


def _is_number(given: Any) -> bool:
    return isinstance(given, int | float) and not isinstance(given, bool)


def _asked(table: Table, catalogue: Catalogue) -> list[tuple[Formula, Mapping[str, Any]]]:
    """What a table asks in all systems of units; nothing where it is wrong before anything is asked."""
    asked: list[tuple[Formula, Mapping[str, Any]]] = []

    def note(formula: Formula, arguments: Mapping[str, Any]) -> Any:
        asked.append((formula, arguments))
        raise NoAnswer("noted")

    try:
        for units in unit_systems(table):
            compute_table(table, catalogue, units, note)
    except (LeadsmanError, ArithmeticError, LookupError, TypeError, ValueError):
        return []
    return asked


def _together(group: Mapping[Asked, tuple[Formula, Mapping[str, Any]]]) -> dict[Asked, Any]:
    """The results of one call for all; none where the call fails or leaves any of them without a number."""
    formula, first = next(iter(group.values()))
    columns = {name: [arguments[name] for _, arguments in group.values()] for name in first}
    given = {
        name: np.array(column, dtype=float) if _is_number(column[0]) and len(set(column)) > 1 else column[0]
        for name, column in columns.items()
    }
    try:
        result = formula(**given)
        several = hasattr(result, "_fields")
        parts = [_apart(part, len(group)) for part in (result if several else [result])]
    except (LeadsmanError, ArithmeticError, LookupError, TypeError, ValueError):
        return {}
    rows = zip(*parts, strict=True)
    return {key: type(result)(*row) if several else row[0] for key, row in zip(group, rows, strict=True)}


def _apart(part: Any, count: int) -> list[Any]:
    found: list[Any] = np.broadcast_to(np.asarray(part), (count,)).tolist()
    if any(isinstance(value, float) and not np.isfinite(value) for value in found):
        raise ValueError("a cell without a number")
    return found
