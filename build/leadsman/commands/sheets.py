"""``leadsman sheets``: lay a finished deck onto print-shop sheets, both sides in register."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from leadsman.errors import counted, visible
from leadsman.paths import data_folder, templates_folder


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "sheets",
        help="lay a deck onto sheets for printing, cutting and punching",
        description="Lay the cards of a finished deck onto sheets: several a sheet, back on front after the flip, with "
        "crop marks, bleed and a scale bar. A second file is the template for cutting, punching and folding.",
        epilog="examples:\n  leadsman sheets out/pocket-deck-a6.pdf --paper a4 --flip long-edge\n"
        "  leadsman sheets out/pocket-deck-4x6.pdf --paper letter --flip fold",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("deck", metavar="DECK.pdf", type=Path, help="a deck that leadsman build made")
    parser.add_argument(
        "--paper", choices=("a4", "letter", "a3", "tabloid"), default="a4", help="the sheets (%(default)s)"
    )
    parser.add_argument(
        "--flip",
        choices=("long-edge", "short-edge", "fold"),
        default="long-edge",
        help="how the printer turns the sheet; fold for a printer that prints one side only (%(default)s)",
    )
    parser.add_argument(
        "--stack", action="store_true", help="deal the cards so that the cut piles stack in order"
    )
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="where to put them (default: beside the deck)"
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.apart import apart, seconds_for
    from leadsman.content.catalogue import load

    # The deck may be anybody's: its words are none of the content at hand.
    words = load(data_folder("content")).phrases().sheets
    made = apart(
        _made,
        argparse.Namespace(**{k: v for k, v in vars(arguments).items() if k != "run"}, words=words),
        name=str(arguments.deck),
        seconds=seconds_for(arguments.deck),
    )
    print(
        f"{visible(str(made.sheets))}: {counted(made.card_count, 'card')} on {counted(made.sheet_count, 'sheet')}, {made.plan.per_sheet} a sheet"
    )
    print(f"{visible(str(made.template))}: lines to cut, punch and fold by")
    return 0


def _made(arguments: argparse.Namespace) -> Any:
    """The sheets, made in a process of its own: the deck may be a stranger's file."""
    from leadsman.output.sheets import write_sheets

    return write_sheets(
        arguments.deck,
        arguments.paper,
        arguments.flip,
        arguments.words,
        out=arguments.out or arguments.deck.parent,
        templates=templates_folder(),
        stacked=arguments.stack,
    )
