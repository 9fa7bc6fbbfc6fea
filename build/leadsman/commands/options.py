"""The options that commands share: one spelling, one set of values and one help text for each."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

UNITS = ("metric", "us", "us-fathoms")
FORMATS = ("text", "csv", "json")


def add_content(parser: argparse.ArgumentParser) -> None:
    """``--content``: the folder that is read."""
    parser.add_argument(
        "--content", metavar="DIR", help="the content (default: ./content, else the demo content)"
    )


def wrong_with_content(arguments: argparse.Namespace) -> str:
    """The first thing wrong with the content that a command has tripped over; empty where nothing is."""
    from leadsman.book.verdict import judge
    from leadsman.content.catalogue import load
    from leadsman.paths import content_folder

    if not hasattr(arguments, "content"):
        return ""
    try:
        catalogue = load(content_folder(arguments.content))
        errors = judge(catalogue).errors
    except Exception:
        # The rules trip over it as well: then it is they that want mending.
        return ""
    if not errors:
        return ""
    # What cannot be read at all comes first: much else follows from it.
    first = min(errors, key=lambda problem: (problem not in catalogue.problems, problem))
    return f"{first}{f' and {len(errors) - 1} more' if len(errors) > 1 else ''}"


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
    if arguments.no_cache:
        return None
    from leadsman.store import usual_folder

    return Path(arguments.cache) if arguments.cache is not None else usual_folder()


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
        from leadsman.paths import content_folder

        folder = content_folder(getattr(arguments, "content", None)) / kind
        return sorted(path.stem for path in folder.rglob("*.yaml"))

    return known
