"""``leadsman drill``: simulated boats try the book; its figures, its worst turns, and any one boat's diary."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import (
    add_content,
    add_format,
    add_workers,
    completed_by,
    ids_of,
    readable_content,
    whole_number,
)
from leadsman.commands.terminal import counting, print_csv, print_json, print_table, say
from leadsman.errors import UsageError, quoted
from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.content.catalogue import Catalogue
    from leadsman.drill.scores import Difference, Figures

#: A boat's id holds the seed.
_LARGEST_SEED = 10**18 - 1
#: The drill multiplies the published error rates by at most this.
_MOST_TIMES = 100
_HEADS = (
    "entry",
    "boats",
    "right",
    "renewed sound",
    "handed over",
    "no end",
    "minutes",
    "best",
    "two faults safe",
    "sound convicted",
)


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "drill",
        help="let simulated boats try the book",
        description="Bring simulated boats with one fault, with two, and with none to a technician who follows the cards "
        "to the letter; tell how often the right part is found.",
        epilog="examples:\n  leadsman drill --boats 2000 --seed 1\n  leadsman drill dead-unit --boats 500\n"
        "  leadsman drill --replay P1-fault-1-17\n  leadsman drill --against HEAD~1",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(
        parser.add_argument("entry", nargs="*", metavar="ENTRY", help="entries to drill (default: all)"),
        ids_of("faults"),
    )
    parser.add_argument(
        "--boats", type=whole_number(1, 1_000_000), default=2000, help="how many boats in all (%(default)s)"
    )
    parser.add_argument(
        "--seed",
        type=whole_number(0, _LARGEST_SEED),
        default=1,
        help="the same seed gives the same boats (%(default)s)",
    )
    parser.add_argument(
        "--errors", type=_times, default=1.0, metavar="TIMES",
        help="human errors, as a multiple of the published ones: 0, 1, 3 or 10 (%(default)s)",
    )  # fmt: skip
    parser.add_argument(
        "--replay", metavar="ID", help="the diary of one boat, by its id in the list of turns"
    )
    parser.add_argument(
        "--against",
        metavar="REV|FILE",
        help="compare with an earlier revision, or with an earlier drill's JSON",
    )
    parser.add_argument("--plot", metavar="FILE.svg", help="write a picture of the figures as well")
    add_workers(parser, "; the figures are the same")
    add_content(parser)
    add_format(parser, csv=True, note="; csv prints one line an entry")
    return parser


def _times(text: str) -> float:
    try:
        times = float(text)
    except ValueError:
        times = -1.0
    if not 0 <= times <= _MOST_TIMES:
        raise argparse.ArgumentTypeError(f"'{quoted(text)}' is no number from 0 to {_MOST_TIMES}")
    return times


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code: 1 when a comparison shows the book to be worse."""
    from leadsman.drill.exercise import drill, replay

    catalogue = readable_content(arguments)
    for name in arguments.entry:
        if name not in catalogue.faults:
            raise UsageError(f"'{name}' is no entry; {catalogue.near('faults', name)}")
    if arguments.replay is not None:
        outcome = replay(catalogue, arguments.replay)
        for line in outcome.walk.diary:
            say(line)
        say(f"{outcome.id}: {', '.join(outcome.faults) or 'nothing wrong'}; {outcome.walk.end}"
            f"{', right' if outcome.walk.right else ''}; {outcome.walk.minutes:.0f} min")  # fmt: skip
        return 0
    with ExitStack() as stack:

        def bar(total: int) -> Callable[[int], None]:
            return stack.enter_context(counting(total))

        figures = drill(catalogue, arguments.boats, arguments.seed, arguments.entry or None,
                        arguments.workers or os.cpu_count() or 1, arguments.errors, bar)  # fmt: skip
    if arguments.plot is not None:
        from leadsman.drill.plot import svg
        from leadsman.press.atomic import write_bytes

        words = catalogue.phrases().handbook.drill
        write_bytes(Path(arguments.plot), svg(figures.as_data(), words).encode())
    if arguments.against is not None:
        return _compare(arguments, figures)
    _print(arguments.format, figures, catalogue)
    return 0


def _print(how: str, figures: Figures, catalogue: Catalogue) -> None:
    if how == "json":
        print_json(figures.as_data())
        return
    rows = [_row(score.code, score) for score in figures.entries] + [_row("all", figures.total)]
    if how == "csv":
        print_csv(_HEADS, rows)
        return
    print_table(_HEADS, rows)
    told = figures.coverage
    say(
        f"checks acted out: {told['mapped']} of {told['checks']}, causes drilled: {told['drilled']} of {told['causes']}"
    )
    for name in told["missing"]:
        say(f"  not acted out: {name}")
    if figures.turns:
        say("the book's wrong turns, the gravest first:")
        print_table(
            ("boats", "entry", "fault", "what the book does", "where", "replay"),
            [
                (str(t.count), catalogue.faults[t.entry].code, t.fault, t.what, t.where, t.boats[0])
                for t in figures.turns
            ],
        )


def _row(code: str, score: Any) -> tuple[str, ...]:
    return (
        code, str(score.boats), f"{score.right:.1%}", f"{score.condemned:.1%}", f"{score.handed_over:.1%}",
        f"{score.endless:.1%}", f"{score.minutes:.1f}", f"{score.best_minutes:.1f}",
        f"{score.doubles_safe:.0%} of {score.doubles}", f"{score.sound_convicted:.1%} of {score.sound}",
    )  # fmt: skip


def _compare(arguments: argparse.Namespace, figures: Figures) -> int:
    from leadsman.drill.exercise import at_revision
    from leadsman.drill.scores import against

    after = figures.as_data()
    file = Path(arguments.against)
    if os.path.exists(file):
        before = _earlier(file)
        if (before["seed"], before["boats"]) != (after["seed"], after["boats"]):
            raise UsageError(
                f"{file} holds {before['boats']} boats of seed {before['seed']}; ask for the same, or the boats differ"
            )
        found = _compared(file, before, after)
    else:
        before = at_revision(
            content_folder(arguments.content),
            arguments.against,
            arguments.boats,
            arguments.seed,
            arguments.entry or None,
            arguments.errors,
        )
        found = against(before, after)
    if arguments.format == "json":
        print_json([{"code": d.code, "title": d.title, "before": d.before, "after": d.after} for d in found])
    elif not found:
        say("nothing changed: the same boats end as they did")
    else:
        print_table(
            ("entry", "right", "renewed sound", "no end", "minutes", ""),
            [
                (d.code or "all", *(f"{d.before[k]:.1%} > {d.after[k]:.1%}" for k in ("right", "condemned", "endless")),
                 f"{d.before['minutes']:.1f} > {d.after['minutes']:.1f}", "worse" if d.worse() else "")
                for d in found
            ],
        )  # fmt: skip
    return 1 if any(d.worse() for d in found) else 0


def _earlier(file: Path) -> dict[str, Any]:
    from leadsman.apart import stranger

    try:
        before = json.loads(stranger(file).decode("utf-8"))
        if not all(isinstance(before[name], int) for name in ("seed", "boats")) or not isinstance(
            before["entries"], list
        ):
            raise TypeError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise _no_drill(file) from None
    return dict(before)


def _compared(file: Path, before: dict[str, Any], after: dict[str, Any]) -> list[Difference]:
    from leadsman.drill.scores import against

    try:
        return against(before, after)
    except (ValueError, KeyError, TypeError, OverflowError):
        raise _no_drill(file) from None


def _no_drill(file: Path) -> UsageError:
    return UsageError(f"{file} is no JSON of an earlier drill; write one with --format json")
