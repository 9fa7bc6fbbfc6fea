"""``leadsman table``: a computed table on the terminal, as CSV or JSON."""

from __future__ import annotations

import argparse
import csv
import json
import sys
from typing import TYPE_CHECKING, Any

from leadsman.errors import UsageError
from leadsman.paths import content_folder

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
    parser.add_argument("name", nargs="?", help="the id of a table")
    parser.add_argument(
        "--content", metavar="DIR", help="the content (default: ./content, else the demo content)"
    )
    parser.add_argument(
        "--format", choices=("text", "csv", "json"), default="text", help="how to print (%(default)s)"
    )
    parser.add_argument(
        "--units", choices=("metric", "us", "us-fathoms"), default="metric", help="units (%(default)s)"
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.computed import compute_table
    from leadsman.book.passages import Words
    from leadsman.content.catalogue import load

    catalogue = load(content_folder(arguments.content))
    if arguments.name is None:
        for name, record in catalogue.tables.items():
            print(f"{name:28} {record.title}")
        return 0
    if arguments.name not in catalogue.tables:
        raise UsageError(f"'{arguments.name}' is no table; {catalogue.near('tables', arguments.name)}")
    computed = compute_table(catalogue.tables[arguments.name], catalogue, arguments.units)
    if arguments.format == "csv":
        _print_csv(computed)
    else:
        convention = Words(catalogue, arguments.units).text(computed.table.convention)
        {"text": _print_text, "json": _print_json}[arguments.format](computed, convention)
    return 0


def _lines(computed: ComputedTable) -> list[list[str]]:
    head = [computed.head, *computed.column_heads]
    return [
        head,
        *([r, *(c.text for c in row)] for r, row in zip(computed.row_heads, computed.cells, strict=True)),
    ]


def _print_text(computed: ComputedTable, convention: str) -> None:
    print(f"{computed.table.title}\n{convention}\n")
    if computed.across:
        print(f"{computed.across}:")
    lines = _lines(computed)
    widths = [max(len(line[i]) for line in lines) for i in range(len(lines[0]))]
    for line in lines:
        print("  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip())
    print(f"\nformula {computed.formula.name}: {computed.formula.method}")
    for name, value in computed.assumptions:
        print(f"assumed {name}: {value}")


def _print_csv(computed: ComputedTable) -> None:
    csv.writer(sys.stdout, lineterminator="\n").writerows(_lines(computed))


def _print_json(computed: ComputedTable, convention: str) -> None:
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
    data = {
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
    print(json.dumps(data, indent=2, ensure_ascii=False))


def _plain(value: Any) -> Any:
    return value if isinstance(value, str) else float(value)
