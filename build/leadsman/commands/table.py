"""``leadsman table``: a computed table on the terminal, as CSV or JSON."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, add_units, completed_by, ids_of, read_content
from leadsman.commands.terminal import print_csv, print_json, print_table, say
from leadsman.errors import UsageError

if TYPE_CHECKING:
    from leadsman.book.computed import ComputedTable


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "table",
        help="print a computed table",
        description="Print a computed table of the content; without a name, list the tables.",
        allow_abbrev=False,
    )
    completed_by(parser.add_argument("name", nargs="?", help="the id of a table"), ids_of("tables"))
    add_content(parser)
    add_format(parser, csv=True)
    add_units(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.computed import compute_table
    from leadsman.book.passages import Words

    catalogue = read_content(arguments)
    if arguments.name is None:
        print_table(
            ("table", "title"),
            [(name, str(record.title)) for name, record in catalogue.tables.items()],
            head=False,
        )
        return 0
    if arguments.name not in catalogue.tables:
        raise UsageError(f"'{arguments.name}' is no table; {catalogue.near('tables', arguments.name)}")
    # As in print: a US edition has the table that takes the place of one with metric sizes.
    name = catalogue.table_in(arguments.name, arguments.units)
    computed = compute_table(catalogue.tables[name], catalogue, arguments.units)
    convention = Words(catalogue, arguments.units).text(computed.table.convention)
    if arguments.format == "json":
        print_json(_as_data(computed, convention))
    elif arguments.format == "csv":
        print_csv(*_heads_and_rows(computed))
    else:
        _print_text(computed, convention)
    return 0


def _heads_and_rows(computed: ComputedTable) -> tuple[list[str], list[list[str]]]:
    rows = [[r, *(c.text for c in row)] for r, row in zip(computed.row_heads, computed.cells, strict=True)]
    return [computed.head, *computed.column_heads], rows


def _print_text(computed: ComputedTable, convention: str) -> None:
    say(computed.table.title, style="bold")
    say(f"{convention}\n")
    if computed.across:
        say(f"{computed.across}:")
    print_table(*_heads_and_rows(computed))
    say(f"\nformula {computed.formula.name}: {computed.formula.method}")
    for name, value in computed.assumptions:
        say(f"assumed {name}: {value}")


def _as_data(computed: ComputedTable, convention: str) -> dict[str, Any]:
    rows = [
        {
            "row": head,
            "cells": [
                {"text": c.text, "value": _plain(c.exact), "unit": c.unit, "answered": c.answered}
                for c in row
            ],
        }
        for head, row in zip(computed.row_heads, computed.cells, strict=True)
    ]
    return {
        "id": computed.table.id,
        "title": computed.table.title,
        "convention": convention,
        "formula": computed.formula.name,
        "units": computed.units,
        "across": computed.across,
        "columns": list(computed.column_heads),
        "assumptions": dict(computed.assumptions),
        "rows": rows,
    }


def _plain(value: Any) -> Any:
    return value if isinstance(value, str) else float(value)
