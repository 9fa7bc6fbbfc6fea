"""``leadsman build``: every edition of the content, in every format that it names, into one folder."""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import (
    add_cache,
    add_content,
    add_units,
    cache_folder,
    completed_by,
    ids_of,
    read_content,
)
from leadsman.commands.terminal import counting, say, tell_problems, working
from leadsman.errors import UsageError, counted
from leadsman.paths import content_folder, templates_folder

if TYPE_CHECKING:
    from leadsman.book.drill_page import DrillPage
    from leadsman.content.catalogue import Catalogue
    from leadsman.errors import Problem

#: What is done about a finished file that breaks a rule of the printed page which must be kept.
SURVEY = "refuse"

#: Each process holds the typesetting engine with its fonts: about 200 MB.
_MOST_WORKERS = 4


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "build",
        help="make the decks and handbooks",
        description="Check the content, then make every edition in every format; nothing is left half written.",
        allow_abbrev=False,
    )
    editions = parser.add_argument(
        "editions", nargs="*", metavar="EDITION", help="editions to make (default: all)"
    )
    completed_by(editions, ids_of("editions"))
    parser.add_argument("--out", metavar="DIR", default="out", help="where to put them (%(default)s)")
    add_content(parser)
    add_units(parser, default=None)
    parser.add_argument(
        "--paper",
        choices=("a", "us"),
        help="A4 and A5, or Letter and half letter (default: as the edition says)",
    )
    card = parser.add_argument(
        "--card",
        metavar="CODE",
        action="append",
        default=[],
        help="of each deck make this card alone, as a file of its own (may be given again)",
    )
    completed_by(card, ids_of("faults"))
    parser.add_argument(
        "--since",
        metavar="REV",
        help="mark what changed since this git revision, and list the cards to replace",
    )
    parser.add_argument(
        "--release",
        action="store_true",
        help="first drill the book, and make nothing when it falls short of an edition's targets; then hold the cards "
        "that were made against those of the last release (exit code 1 when one changed under its old revision), and "
        "keep their faces and the numbers of the formulas beside the content, for the next release and a later --since",
    )
    add_cache(parser)
    parser.add_argument(
        "--survey",
        choices=("refuse", "tell", "off"),
        default=SURVEY,
        help="hold each finished file against the rules of the printed page: refuse one that breaks a rule that must "
        "be kept, tell of it, or do not look (%(default)s)",
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.verdict import judge_kept
    from leadsman.build import Order, build_editions

    started = time.monotonic()
    folder = content_folder(arguments.content)
    catalogue = read_content(arguments)
    kept = cache_folder(arguments)
    verdict = judge_kept(catalogue, kept)
    if verdict.errors:
        tell_problems(verdict, folder)
        return 1
    if arguments.release and arguments.editions:
        raise UsageError("--release is for all editions at once; leave the names away")
    if arguments.card and (arguments.release or arguments.since is not None):
        raise UsageError("--card makes cards alone; leave --release and --since away")
    for name in arguments.editions:
        if name not in catalogue.editions:
            raise UsageError(f"'{name}' is no edition; {catalogue.near('editions', name)}")
    cards = tuple(catalogue.entry(named).id for named in arguments.card)
    names = arguments.editions or list(catalogue.editions)
    if cards:
        names = _decks_with(cards, names, catalogue, asked=bool(arguments.editions))
    changes = earlier = None
    if arguments.since is not None:
        from leadsman.released import read_cards
        from leadsman.revisions import compare_revisions

        compared = compare_revisions(folder, arguments.since, units=arguments.units or "metric")
        changes = compared.changes
        earlier = read_cards(compared.printed_cards) if compared.printed_cards is not None else None
        for note in changes.notes:
            print(f"note: {note}", file=sys.stderr)
    drilled = _drilled(catalogue) if arguments.release else None
    out = Path(arguments.out)
    order = Order(
        catalogue,
        verdict,
        templates_folder(),
        arguments.units,
        arguments.paper,
        changes,
        arguments.survey,
        drilled,
        kept,
        earlier,
        cards,
    )
    workers = min(os.cpu_count() or 1, _MOST_WORKERS)
    try:
        with working() as tell:
            made = build_editions(
                order,
                names,
                out,
                workers,
                tell,
                lambda line: say(line, style="red", errors=True),
            )
    except KeyboardInterrupt:
        print(
            f"stopped: what was finished is in its place in {out}, whole; everything else is as it was",
            file=sys.stderr,
        )
        raise
    for item in made:
        print(f"{item.path}: {item.what}")
    if arguments.release:
        files = {item.path: item.edition for item in made}
        if wrong := _keep_cards(catalogue, files):
            for problem in wrong:
                print(problem, file=sys.stderr)
            print(
                f"this is no release: {counted(len(wrong), 'card')} changed under the revision that was released",
                file=sys.stderr,
            )
            return 1
        print(f"{_keep_numbers(catalogue)}: the numbers of this edition; commit it with the content")
    print(f"{counted(len(catalogue.faults), 'entry')} from {folder}, {counted(len(verdict.warnings), 'warning')}, "
          f"{time.monotonic() - started:.0f} s")  # fmt: skip
    return 0


def _decks_with(
    cards: Sequence[str], names: Sequence[str], catalogue: Catalogue, *, asked: bool
) -> list[str]:
    """The decks among the editions that have one of the cards; a deck that was asked for must have them all."""
    from leadsman.book.chosen import chosen_entries

    found = []
    for name in names:
        edition = catalogue.editions[name]
        here = {entry.id for entry in chosen_entries(edition, catalogue)} if edition.kind == "deck" else set()
        codes = [str(catalogue.faults[card].code) for card in cards if card not in here]
        if asked and codes:
            raise UsageError(
                f"'{name}' is a deck without {', '.join(codes)}"
                if here
                else f"'{name}' is no deck of conditions"
            )
        if len(codes) < len(cards):
            found.append(name)
    if not found:
        raise UsageError(f"no deck has {', '.join(str(catalogue.faults[card].code) for card in cards)}")
    return found


def _drilled(catalogue: Catalogue) -> DrillPage | None:
    """The figures of a release, beside the targets of the last edition that declares any; raises where the book falls
    short of one's.
    """
    from leadsman.book.drill_page import drill_page
    from leadsman.content.model.edition import HandbookEdition
    from leadsman.drill.exercise import gate
    from leadsman.drill.plot import alt_text, least_right, svg

    drilled = [
        e for e in catalogue.editions.values() if isinstance(e, HandbookEdition) and e.drill is not None
    ]
    targets = [e.drill for e in drilled if e.drill is not None]
    if not targets:
        return None
    words = catalogue.phrases(drilled[-1].language).handbook.drill
    with ExitStack() as stack:

        def bar(total: int) -> Callable[[int], None]:
            return stack.enter_context(counting(total))

        for wanted in targets:
            figures = gate(catalogue, wanted, os.cpu_count() or 1, bar).as_data()
    return drill_page(
        figures,
        targets[-1].model_dump(),
        svg(figures, words, 112.0, least_right(figures)),
        alt_text(figures, words),
    )


def _keep_cards(catalogue: Catalogue, files: Mapping[Path, str]) -> list[Problem]:
    """Hold the faces against those of the last release, and keep them when each that changed says so."""
    from leadsman.content.catalogue import PRINTED_CARDS
    from leadsman.press.atomic import write_bytes
    from leadsman.released import cards_as_kept, is_of_cards, kept_cards, made_cards, unraised

    decks = {path: name for path, name in files.items() if is_of_cards(catalogue.editions[name])}
    before, now = kept_cards(catalogue), made_cards(decks)
    wrong = unraised(before, now, {path.name: name for path, name in decks.items()}, catalogue)
    if not wrong:
        write_bytes(catalogue.folder / PRINTED_CARDS, cards_as_kept({**before, **now}))
    return wrong


def _keep_numbers(catalogue: Catalogue) -> Path:
    from leadsman.book.printed_numbers import printed_numbers
    from leadsman.content.catalogue import PRINTED_NUMBERS
    from leadsman.press.atomic import write_bytes

    path = catalogue.folder / PRINTED_NUMBERS
    write_bytes(path, printed_numbers(catalogue))
    return path
