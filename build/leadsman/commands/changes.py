"""``leadsman changes``: what a reader would notice between two revisions of the content."""

from __future__ import annotations

import argparse
import textwrap
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, add_units
from leadsman.commands.terminal import print_json, text_width
from leadsman.errors import counted
from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.book.changes import Change
    from leadsman.revisions import Comparison


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "changes",
        help="tell what changed for a reader between two revisions",
        description="Compare two git revisions of the content as their readers meet them: conditions, steps, answers, "
        "findings, cautions, tables and numbers, with old and new value and why. Nothing in the folder is touched.",
        epilog="examples:\n  leadsman changes v1.0\n  leadsman changes HEAD~5 HEAD --format json",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("old", metavar="FROM", help="a tag, branch or commit")
    parser.add_argument("new", metavar="TO", nargs="?", help="another one (default: the folder as it is)")
    add_content(parser)
    add_units(parser)
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.revisions import compare_revisions

    comparison = compare_revisions(
        content_folder(arguments.content), arguments.old, arguments.new, arguments.units
    )
    if arguments.format == "json":
        print_json(_as_data(comparison))
    else:
        _print(comparison)
    return 0


def _print(comparison: Comparison) -> None:
    from leadsman.book.changes import cards_to_replace

    changes = comparison.changes
    print(f"Changes from {comparison.span}")
    for note in changes.notes:
        print(f"note: {note}")
    for commit in comparison.commits:
        print(f"  {commit.date} {commit.commit} {commit.subject}")
    heading = None
    for change in changes.changes:
        here = _heading(change, comparison)
        if here != heading:
            print(f"\n{here}")
            heading = here
        _print_change(change)
    if not changes:
        print("\nNothing changed for a reader.")
        return
    print()
    if comparison.printed_cards is not None:
        print(
            "By their texts; `leadsman build --since` holds the finished faces against those of the release."
        )
    for line in cards_to_replace(changes).lines():
        print(textwrap.fill(line, text_width(), subsequent_indent="  "))
    entries = len(changes.entries) + len(changes.withdrawn)
    print(f"{counted(len(changes.changes), 'change')}, {counted(entries, 'entry')} touched")


def _heading(change: Change, comparison: Comparison) -> str:
    if not change.entry:
        return "Shared by entries"
    entry = comparison.changes.entries.get(change.entry)
    return (
        f"{entry.code} {entry.title}"
        if entry
        else comparison.changes.withdrawn.get(change.entry, change.entry)
    )


def _print_change(change: Change) -> None:
    part = f", {change.part}" if change.part else ""
    name = change.name.replace("\n", " ")
    print(textwrap.fill(f"{change.kind} {change.action}: {name}{part}", text_width(), initial_indent="  ", subsequent_indent="    "))  # fmt: skip
    for word, text in (("was", change.old), ("now", change.new)):
        for number, line in enumerate(text.splitlines()):
            print(textwrap.fill(line, text_width(), initial_indent=f"      {word if not number else '   '} ", subsequent_indent=" " * 10))  # fmt: skip
    for reason in change.why:
        print(textwrap.fill(reason, text_width(), initial_indent="      why ", subsequent_indent=" " * 10))


def _as_data(comparison: Comparison) -> dict[str, Any]:
    from leadsman.book.changes import cards_to_replace, changed_ids

    changes, new = comparison.changes, comparison.new
    replacement = cards_to_replace(changes)
    return {
        "from": vars(comparison.old),
        "to": vars(new) if new else None,
        "notes": list(changes.notes),
        "commits": [{"commit": c.commit, "date": c.date, "subject": c.subject} for c in comparison.commits],
        "changes": [{**vars(change), "why": list(change.why)} for change in changes.changes],
        "changed_ids": sorted(changed_ids(changes)),
        "cards": {name: list(getattr(replacement, name)) for name in ("replace", "add", "destroy")},
    }
