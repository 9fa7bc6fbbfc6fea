"""``leadsman new``: begin a record with a file that passes the check."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Any

from leadsman.commands.options import add_content, read_content
from leadsman.errors import OutputError, UsageError, shown_path
from leadsman.paths import templates_folder

_KINDS = ("fault", "check", "topic", "family", "transducer", "boat", "water", "table", "edition")


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "new",
        help="begin a fault entry or another record",
        description="Write the file of a new record that passes the check as a draft: a fault entry, check or topic "
        "from a pattern, anything else after a record that is there.",
        epilog="examples:\n  leadsman new fault silent-alarm --area sensors --title 'The depth alarm stays silent'\n"
        "  leadsman new boat heron --like corrie --title Heron",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("kind", choices=_KINDS, help="what to begin")
    parser.add_argument("id", help="its id: small letters, digits and hyphens; also the file's name")
    parser.add_argument("--title", help="its title or name (default: from the id)")
    parser.add_argument("--area", default="", help="of a fault entry: its area")
    parser.add_argument("--like", default="", metavar="ID", help="the record to begin with")
    add_content(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.content.scaffold import PATTERNS, after, place_for

    catalogue = read_content(arguments)
    title = arguments.title or arguments.id.replace("-", " ").capitalize()
    _require_printable(title)
    place = place_for(arguments.kind, arguments.id, catalogue, arguments.area)
    if arguments.kind in PATTERNS:
        if arguments.like:
            raise UsageError(f"a {arguments.kind} begins from a pattern; leave --like out")
        files = {place: _from_pattern(arguments, title, catalogue)}
    elif not arguments.like:
        raise UsageError(f"a {arguments.kind} begins with one that is there; name it with --like ID")
    else:
        files = after(arguments.kind, arguments.like, arguments.id, title, catalogue)
    _write(files, place)
    for path in files:
        print(shown_path(path))
    return 0


def _require_printable(title: str) -> None:
    """Or the record would not pass the check."""
    from leadsman.letters import forbidden, printable

    for _, found, _ in forbidden(title):
        raise UsageError(f"the title {found}")
    if any(sign in "\t\n\r" for sign in title):
        raise UsageError("the title runs over more than one line")
    for sign in title:
        if sign > "~" and sign not in printable():
            raise UsageError(f"the title holds '{sign}', which the fonts lack")


def _from_pattern(arguments: argparse.Namespace, title: str, catalogue: Any) -> str:
    import jinja2

    from leadsman.content.codes import free_code
    from leadsman.content.scaffold import quoted

    text = (templates_folder() / "new" / f"{arguments.kind}.yaml.j2").read_text(encoding="utf-8")
    environment = jinja2.Environment(
        undefined=jinja2.StrictUndefined, keep_trailing_newline=True, autoescape=False
    )
    code = free_code(catalogue, arguments.area) if arguments.kind == "fault" else ""
    return environment.from_string(text).render(id=arguments.id, title=quoted(title), area=arguments.area, code=code,
                                                today=date.today().isoformat())  # fmt: skip


def _write(files: dict[Path, str], new: Path) -> None:
    """The new file must not be there; the others are replaced whole."""
    from leadsman.press.atomic import write_bytes

    if new.exists():
        raise OutputError(f"{shown_path(new)} is there already; choose another id")
    for path, text in files.items():
        write_bytes(path, text.encode())
