"""``leadsman preview``: what is being written as its readers meet it, in a browser, renewed on each saving."""

from __future__ import annotations

import argparse
from typing import Any

from leadsman.commands.options import add_content, add_units, completed_by, ids_of, whole_number
from leadsman.errors import UsageError
from leadsman.paths import content_folder, templates_folder


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "preview",
        help="show an entry's pages in a browser, renewed on each saving",
        description="Serve a page on this machine alone that shows the card, the owner's guide, the handbook and the "
        "telephone's screen of what is being written, with its problems, and renews itself on each saving. "
        "Ctrl-C ends it.",
        epilog="examples:\n  leadsman preview\n  leadsman preview P1\n  leadsman preview shallowest-depth\n"
        "  leadsman preview glossary",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(
        parser.add_argument(
            "shown",
            nargs="?",
            metavar="ENTRY|CODE|TABLE|PAGE",
            help="a fault entry, a table, or a part of the handbook (default: the entry that was saved last)",
        ),
        ids_of("faults"),
    )
    parser.add_argument(
        "--port", type=whole_number(0, 65535), default=0, help="the port (default: one that is free)"
    )
    parser.add_argument(
        "--open-by",
        metavar="ADDRESS",
        default="",
        help="how a problem's file is opened: an address with {path}, {line} and {column} that your editor answers to "
        "(default: the file's own address)",
    )
    add_units(parser)
    add_content(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    import asyncio
    import signal

    from leadsman.preview.server import serve
    from leadsman.preview.views import Desk

    if not _is_address(arguments.open_by):
        raise UsageError("--open-by takes an address with {path}, {line} and {column} and no other braces")
    desk = Desk(content_folder(arguments.content), templates_folder(), arguments.units)

    def told(address: str) -> None:
        print(f"{address}\nCtrl-C ends it.", flush=True)

    try:
        ended_by = asyncio.run(serve(desk, arguments.shown, arguments.port, arguments.open_by, told))
    except OSError as error:
        raise UsageError(f"port {arguments.port} cannot be used: {error.strerror or error}") from error
    if ended_by:
        # Now that all is cleaned up, the command ends by it as any other does.
        signal.raise_signal(ended_by)
    return 0


def _is_address(pattern: str) -> bool:
    """Whether the places in it are those that are filled, by their names alone: a format could ask for any width."""
    from string import Formatter

    try:
        places = [place[1:] for place in Formatter().parse(pattern) if place[1] is not None]
    except ValueError:
        return False
    return all(name in ("path", "line", "column") and not (form or turned) for name, form, turned in places)
