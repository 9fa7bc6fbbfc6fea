"""Which way a number is rounded stands twice: in words that a person reads, and in what the program does."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.content.model.reference import Shown, Value
from leadsman.content.model.table import Cell, CellEnd, Table
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

_OTHER = {"up": "down", "down": "up"}
#: Words of a meaning, and of the head of a column, and the side that they promise.
_MEANS = {"Least": "up", "Greatest": "down"}
_HEADS = (
    (re.compile(r"\bat least\b|^least\b|^greatest current\b|\bbelow$|^to$", re.IGNORECASE), "up"),
    (re.compile(r"\bat most\b|\bnever above\b|^greatest (?:drop|loop)\b|^from$", re.IGNORECASE), "down"),
)
_WHOLE = re.compile(r"\bRounded (up|down|to the nearest|towards more)\b(?! and\b)")
_RANGE = re.compile(r"\bRounded (up|down) and (up|down)\b")
#: "Interval rounded up, rate down": each word with the side of the column that it names.
_NAMED = re.compile(r"\b(\w+) (?:rounded )?(up|down|towards zero)\b", re.IGNORECASE)
_SIDES = {"to the nearest": "nearest", "towards more": "up", "towards zero": "up"}


@rule(
    "rounded-side",
    "A limit is rounded to the side that its words promise: a least one up, a greatest one down.",
    scope="equipment",
)
def rounded_side(context: Context) -> Iterator[Problem]:
    """Values by their meaning or their 'limit', cells by head and convention; a US unit as the metric one."""
    for name, value in context.catalogue.values.items():
        for field, what, hint in _of_value(value):
            yield context.catalogue.problem("values", name, field, what, hint)
    for name, table in context.catalogue.tables.items():
        for index, cell in enumerate(table.cells):
            for more, what, hint in _of_cell(table, cell):
                yield context.catalogue.problem("tables", name, ("cells", index, *more), what, hint)


def _of_value(value: Value) -> Iterator[tuple[tuple[str, ...], str, str]]:
    if value.computed is None or value.show is None:
        return
    promised = next((side for word, side in _MEANS.items() if str(value.meaning).startswith(word)), None)
    declared = {"least": "up", "greatest": "down"}.get(value.limit or "")
    if promised and declared and promised != declared:
        yield ("limit",), f"is {value.limit} and the meaning says otherwise", "correct one of them"
        return
    side = promised or declared
    if side is not None and value.convicts:
        side = _OTHER[side]
    if value.show.round != "nearest" and side is None:
        yield (
            ("show", "round"),
            f"is rounded {value.show.round}, and nothing says that it is a limit",
            "begin the meaning with Least or Greatest, or add 'limit'",
        )
    elif side is not None and value.show.round not in (side, "nearest"):
        yield (
            ("show", "round"),
            f"is rounded {value.show.round}, to the unsafe side of what its meaning says",
            f"write 'round: {side}', or 'convicts: true' where a reading beyond it convicts",
        )
    yield from _others({"show_us": value.show_us, "show_fathoms": value.show_fathoms}, value.show)


def _of_cell(table: Table, cell: Cell) -> Iterator[tuple[tuple[str, ...], str, str]]:
    ends: list[tuple[tuple[str, ...], Cell | CellEnd, str | None]] = [((), cell, cell.head)]
    if cell.to is not None:
        ends.append((("to",), cell.to, None))
    for more, end, head in ends:
        if end.show is None:
            continue
        side, rounded = _promised(table, cell, (end.output, head), end=bool(more)), end.show.round
        if side is None and rounded != "nearest":
            yield (
                (*more, "show", "round"),
                f"is rounded {rounded}, and neither head nor convention says so",
                "say in the convention which way it is rounded",
            )
        elif side is not None and rounded != side:
            yield (
                (*more, "show", "round"),
                f"is rounded {rounded}, and the table says {side}",
                f"write 'round: {side}', or correct the words",
            )
        for field, what, hint in _others(
            {"show_us": end.show_us, "show_fathoms": end.show_fathoms}, end.show
        ):
            yield (*more, *field), what, hint


def _promised(table: Table, cell: Cell, names: tuple[str | None, str | None], *, end: bool) -> str | None:
    """What head and convention promise of a column."""
    text = str(table.convention)
    if not end:
        for pattern, side in _HEADS:
            if cell.head is not None and pattern.search(cell.head):
                return side
    if (both := _RANGE.search(text)) is not None and cell.to is not None:
        return both[2 if end else 1].lower()
    spoken = " ".join(name for name in names if name).lower().replace("_", " ").split()
    for named in _NAMED.finditer(text):
        if named[1].lower() in spoken:
            return _SIDES.get(named[2].lower(), named[2].lower())
    if (whole := _WHOLE.search(text)) is not None and cell.to is None:
        return _SIDES.get(whole[1].lower(), whole[1].lower())
    return None


def _others(others: dict[str, Shown | None], metric: Shown) -> Iterator[tuple[tuple[str, ...], str, str]]:
    """The other units' steps are rounded to the same side."""
    for field, shown in others.items():
        if shown is not None and shown.round != metric.round:
            yield (
                (field, "round"),
                f"is rounded {shown.round}, the metric one {metric.round}",
                f"write 'round: {metric.round}'",
            )
