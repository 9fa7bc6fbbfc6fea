"""``leadsman schema``: JSON Schema of the content's files, for an editor that completes and explains."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from leadsman.commands.options import add_content, read_content
from leadsman.commands.terminal import print_json
from leadsman.errors import UsageError, shown_path


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "schema",
        help="write JSON Schema for the editor",
        description="Write the JSON Schema of each kind of file (draft 2020-12), with the ids of this content, and "
        "print the setting that ties them to the files; or print one schema.",
        epilog="examples:\n  leadsman schema --out .schema\n  leadsman schema faults",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("kind", nargs="?", help="print the schema of this kind: faults, checks, values, ...")
    parser.add_argument("--out", metavar="DIR", help="write all schemas into this folder")
    add_content(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.content.schema import file_pattern, schema_of, schemas
    from leadsman.press.atomic import write_bytes

    catalogue = read_content(arguments)
    if arguments.kind:
        if arguments.kind not in catalogue.records:
            raise UsageError(
                f"'{arguments.kind}' is no kind of record; known: {', '.join(sorted(catalogue.records))}"
            )
        print_json(schema_of(arguments.kind, catalogue))
        return 0
    if not arguments.out:
        raise UsageError("name a kind to print, or a folder to write to with --out DIR")
    out = Path(arguments.out)
    setting = {}
    for kind, schema in schemas(catalogue).items():
        path = out / f"{kind}.json"
        write_bytes(path, (json.dumps(schema, indent=1, ensure_ascii=False) + "\n").encode())
        setting[shown_path(path) if path.is_absolute() else f"./{path.as_posix()}"] = (
            f"{shown_path(catalogue.folder)}/{file_pattern(kind)}"
        )
    print_json({"yaml.schemas": setting})
    return 0
