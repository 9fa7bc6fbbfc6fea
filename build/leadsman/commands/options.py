"""The options that commands share, each with one spelling and one help text, and the content that they name."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.errors import UsageError, quoted
from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.content.catalogue import Catalogue

#: More processes than any machine that makes books has processors.
MOST_WORKERS = 256
UNITS = ("metric", "us", "us-fathoms")
FORMATS = ("text", "csv", "json")


def add_content(parser: argparse.ArgumentParser) -> None:
    """``--content``: the folder that is read."""
    parser.add_argument(
        "--content", metavar="DIR", help="the content (default: ./content, else the demo content)"
    )


def read_content(arguments: argparse.Namespace) -> Catalogue:
    """The content that ``--content`` names, as far as it can be read: for a command that works on a part of it.

    A command that trips over the rest is told what is wrong with it (:func:`wrong_with_content`). Files that an earlier
    command has read are not parsed again.
    """
    from leadsman.content.catalogue import Memory, load
    from leadsman.store import Store

    folder = cache_folder(arguments)
    return load(content_folder(arguments.content), None if folder is None else Memory(store=Store(folder)))


def readable_content(arguments: argparse.Namespace) -> Catalogue:
    """The content that ``--content`` names, all of it: for a command that works on the whole.

    Raises
    ------
    UsageError
        When something in it cannot be read, with the first place.
    """
    catalogue = read_content(arguments)
    if catalogue.problems:
        raise UsageError(f"the content cannot be read: {catalogue.problems[0]}; see leadsman check")
    return catalogue


def wrong_with_content(arguments: argparse.Namespace) -> str:
    """What to mend first in the content that a command has tripped over; empty where nothing is wrong with it."""
    from leadsman.book.verdict import judge

    if not hasattr(arguments, "content"):
        return ""
    try:
        catalogue = read_content(arguments)
        errors = judge(catalogue).root_errors
    except Exception:
        # The rules trip over it as well: then it is they that want mending.
        return ""
    if not errors:
        return ""
    # What cannot be read at all comes first: much else follows from it.
    unread = set(catalogue.problems)
    first = min(errors, key=lambda problem: (problem not in unread, problem))
    return f"{first}{f' and {len(errors) - 1} more' if len(errors) > 1 else ''}"


def whole_number(least: int, most: int) -> Callable[[str], int]:
    """How an argument is read that is a whole number between two ends, both included."""

    def read(text: str) -> int:
        if not re.fullmatch("[+-]?[0-9]{1,18}", text) or not least <= int(text) <= most:
            raise argparse.ArgumentTypeError(f"'{quoted(text)}' is no whole number from {least} to {most}")
        return int(text)

    return read


def add_workers(parser: argparse.ArgumentParser, note: str = "") -> None:
    """``--workers``: how many processes share the work."""
    parser.add_argument(
        "--workers",
        type=whole_number(1, MOST_WORKERS),
        metavar="N",
        help=f"processes (default: one a processor{note})",
    )


def add_format(parser: argparse.ArgumentParser, *, csv: bool = False, note: str = "") -> None:
    """``--format``: how the answer is printed; JSON keeps its keys, so that programs may build on them."""
    choices = FORMATS if csv else tuple(name for name in FORMATS if name != "csv")
    parser.add_argument("--format", choices=choices, default="text", help=f"how to print (%(default)s){note}")


def add_cache(parser: argparse.ArgumentParser) -> None:
    """``--cache`` and ``--no-cache``: where what was made is kept for the next time."""
    parser.add_argument(
        "--cache",
        metavar="DIR",
        help="keep what was made in this folder of your own (default: leadsman in the user's cache folder); "
        "it may be deleted at any time",
    )
    parser.add_argument("--no-cache", action="store_true", help="make everything anew and keep nothing")


def cache_folder(arguments: argparse.Namespace) -> Path | None:
    """The folder that the options name, else the usual one; None when nothing is to be kept."""
    if getattr(arguments, "no_cache", False):
        return None
    named = getattr(arguments, "cache", None)
    if named == "":
        raise UsageError("--cache names no folder; leave it out for the usual one, or take --no-cache")
    from leadsman.store import usual_folder

    return Path(named) if named is not None else usual_folder()


def add_units(
    parser: argparse.ArgumentParser,
    *,
    default: str | None = "metric",
    choices: tuple[str, ...] = UNITS,
    note: str = "",
) -> None:
    """``--units``: the units in print."""
    told = note or ("units (%(default)s)" if default else "units (default: as the edition says)")
    parser.add_argument("--units", choices=choices, default=default, help=told)


def completed_by(action: argparse.Action, known: Callable[[argparse.Namespace], Iterable[str]]) -> None:
    """Let the shell complete an argument with words that are looked up when the key is pressed."""

    def completer(prefix: str, parsed_args: argparse.Namespace, **_: Any) -> list[str]:
        return [word for word in known(parsed_args) if word.startswith(prefix)]

    action.completer = completer  # type: ignore[attr-defined]


def ids_of(kind: str) -> Callable[[argparse.Namespace], Iterable[str]]:
    """The ids of the content's records of a kind, by their files alone: quick enough for the shell."""

    def known(arguments: argparse.Namespace) -> list[str]:
        folder = content_folder(getattr(arguments, "content", None)) / kind
        return sorted(path.stem for path in folder.rglob("*.yaml"))

    return known
