"""``leadsman list``: what the content holds, with code, title and place."""

from __future__ import annotations

import argparse
import json
from typing import Any

from leadsman.errors import UsageError, shown_path
from leadsman.paths import content_folder


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "list",
        help="list the fault entries, or the records of another kind",
        description="List the fault entries by code, or the records of another kind by id, each with its file.",
        epilog="examples:\n  leadsman list\n  leadsman list checks\n  leadsman list --area power",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument(
        "kind", nargs="?", default="faults", help="faults, checks, boats, values, ... (%(default)s)"
    )
    parser.add_argument("--area", help="only the fault entries of this area")
    parser.add_argument(
        "--content", metavar="DIR", help="the content (default: ./content, else the demo content)"
    )
    parser.add_argument(
        "--format", choices=("text", "json"), default="text", help="how to list (%(default)s)"
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.inventory import inventory
    from leadsman.content.catalogue import load

    catalogue = load(content_folder(arguments.content))
    if arguments.kind not in catalogue.records:
        raise UsageError(
            f"'{arguments.kind}' is no kind of record; known: {', '.join(sorted(catalogue.records))}"
        )
    if arguments.area and arguments.area not in catalogue.areas:
        raise UsageError(f"'{arguments.area}' is no area; {catalogue.near('areas', arguments.area)}")
    rows = [row for row in inventory(catalogue, arguments.kind) if arguments.area in (None, row.area)]
    if arguments.format == "json":
        print(
            json.dumps(
                [{**vars(row), "file": shown_path(row.file)} for row in rows], indent=2, ensure_ascii=False
            )
        )
        return 0
    cells = [
        tuple(cell for cell in (row.code, row.title, row.area, row.id, shown_path(row.file))) for row in rows
    ]
    widths = [max((len(row[at]) for row in cells), default=0) for at in range(5)]
    for row in cells:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True) if width).rstrip())
    return 0
