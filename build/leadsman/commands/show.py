"""``leadsman show``: an entry, a table or any other record as its reader meets it."""

from __future__ import annotations

import argparse
from typing import Any

from leadsman.commands.options import add_content, add_units, completed_by, ids_of, read_content
from leadsman.commands.terminal import text_width
from leadsman.errors import shown_path


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "show",
        help="show a fault entry in the card's words",
        description="Show a fault entry in the card's words, with its file and its state.",
        epilog="examples:\n  leadsman show P1\n  leadsman show dead-unit --units us",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(parser.add_argument("entry", help="the code or the id of a fault entry"), ids_of("faults"))
    add_units(parser)
    add_content(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.ladder import Ladder
    from leadsman.book.passages import Words
    from leadsman.content.decision import Decision

    catalogue = read_content(arguments)
    entry = catalogue.entry(arguments.entry)
    document, _ = catalogue.origins["faults", entry.id]
    print(f"{shown_path(document.path)}  {entry.status}, {entry.reviewed}\n")
    print(
        "\n".join(Ladder(Decision(entry, catalogue), Words(catalogue, arguments.units), text_width()).whole())
    )
    return 0
