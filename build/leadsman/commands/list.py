"""``leadsman list``: what the content holds, with code, title and place."""

from __future__ import annotations

import argparse
from typing import Any

from leadsman.commands.options import add_content, add_format, read_content
from leadsman.commands.terminal import print_json, print_table
from leadsman.errors import UsageError, shown_path


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
    add_content(parser)
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.inventory import inventory

    catalogue = read_content(arguments)
    if arguments.kind not in catalogue.records:
        raise UsageError(
            f"'{arguments.kind}' is no kind of record; known: {', '.join(sorted(catalogue.records))}"
        )
    if arguments.area and arguments.area not in catalogue.areas:
        raise UsageError(f"'{arguments.area}' is no area; {catalogue.near('areas', arguments.area)}")
    rows = [row for row in inventory(catalogue, arguments.kind) if arguments.area in (None, row.area)]
    if arguments.format == "json":
        print_json([{**vars(row), "file": shown_path(row.file)} for row in rows])
    else:
        cells = [(row.code, row.title, row.area, row.id, shown_path(row.file)) for row in rows]
        heads = ("Code", "Title", "Area", "Id", "File")
        kept = [at for at in range(len(heads)) if any(row[at] for row in cells)]
        print_table([heads[at] for at in kept], [[row[at] for at in kept] for row in cells], head=False)
    return 0
