"""What the commands print with: one table, one JSON, colour where a terminal has it, and the terminal's width.

Into a pipe or a file go plain lines of their natural length. NO_COLOR and FORCE_COLOR are obeyed (rich does).
"""

from __future__ import annotations

import contextlib
import csv
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from leadsman.errors import counted

if TYPE_CHECKING:
    from pathlib import Path

    from rich.console import Console

    from leadsman.content.judged import Verdict

#: The width of a line that is not on a terminal: lines stay whole for whatever reads them.
_ENDLESS = 100_000
#: A column is not made narrower than this; a table that would need it is printed row by row.
_NARROWEST = 12
_GAP = 2
#: Running text is wrapped here at the latest.
_READABLE = 110


def console(*, errors: bool = False) -> Console:
    """The terminal, or the pipe that stands in for it; nothing in a text is taken for markup."""
    from rich.console import Console

    stream = sys.stderr if errors else sys.stdout
    width = None if stream.isatty() else _ENDLESS
    return Console(file=stream, width=width, markup=False, highlight=False, emoji=False)


def say(text: object, *, style: str = "", errors: bool = False) -> None:
    """Print one line in a style that a terminal shows and a pipe does not, wrapped at the terminal's edge."""
    console(errors=errors).print(str(text), style=style)


def tell_problems(verdict: Verdict, folder: Path) -> None:
    """Tell why nothing is made of a content, as ``leadsman check`` counts it."""
    for problem in verdict.root_errors:
        print(problem, file=sys.stderr)
    if more := len(verdict.errors) - len(verdict.root_errors):
        print(
            f"{counted(more, 'more follows', 'more follow')} from these; see all with leadsman check --all",
            file=sys.stderr,
        )
    print(f"nothing was made: {counted(len(verdict.root_errors), 'problem')} in {folder}", file=sys.stderr)


def print_json(data: Any) -> None:
    """Print plain data with every digit; what JSON lacks is an error here and not at the reader's."""
    print(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))


def print_csv(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print a table as comma-separated values."""
    csv.writer(sys.stdout, lineterminator="\n").writerows([heads, *rows])


def print_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[bool] = (), head: bool = True
) -> None:
    """Print a table as wide as it must be; on a terminal too narrow for it cells wrap, or rows stand one below another."""
    from rich.table import Table

    screen = console()
    widths = [max(map(len, column)) for column in zip(*([heads] if head else []), *rows, strict=True)]
    least = sum(min(width, _NARROWEST) for width in widths) + _GAP * (len(widths) - 1)
    if least > screen.width:
        _print_blocks(heads, rows, screen)
        return
    table = Table(box=None, show_header=head, pad_edge=False, padding=(0, _GAP, 0, 0), header_style="bold")
    aligned = [*right, *[False] * (len(heads) - len(right))]
    for name, width, number in zip(heads, widths, aligned, strict=True):
        table.add_column(
            name, justify="right" if number else "left", overflow="fold", no_wrap=width <= _NARROWEST
        )
    for row in rows:
        table.add_row(*row)
    with screen.capture() as printed:
        screen.print(table)
    print(*(line.rstrip() for line in printed.get().splitlines()), sep="\n")


def _print_blocks(heads: Sequence[str], rows: Sequence[Sequence[str]], screen: Console) -> None:
    """Each row as lines of head and cell, for a table with more columns than the terminal can hold."""
    width = max(map(len, heads))
    for number, row in enumerate(rows):
        if number:
            screen.print()
        for name, cell in zip(heads, row, strict=True):
            if cell:
                print_table(("", ""), [(f"{name:<{width}}", cell)], head=False)


def text_width() -> int:
    """The width at which running text is wrapped: the terminal's, or what reads well in a file."""
    return max(40, min(console().width, _READABLE))


@contextlib.contextmanager
def working() -> Iterator[Callable[[str], None]]:
    """Tell what is being made: one changing line on a terminal, a plain line each otherwise."""
    screen = console(errors=True)
    if not screen.is_terminal:
        yield lambda what: print(what, file=sys.stderr, flush=True)
        return
    with screen.status("") as status:
        yield status.update


@contextlib.contextmanager
def counting(total: int) -> Iterator[Callable[[int], None]]:
    """A bar with count and time left on a terminal; silence otherwise."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    screen = console(errors=True)
    columns = (BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=screen, disable=not screen.is_terminal or not total) as progress:
        task = progress.add_task("", total=total)
        yield lambda files: progress.advance(task, files)
