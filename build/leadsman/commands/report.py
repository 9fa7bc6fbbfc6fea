"""``leadsman report``: what the content covers, how well it isolates, how it reads, what it sets aside."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, completed_by, readable_content
from leadsman.commands.terminal import print_csv, print_json, print_table, say
from leadsman.errors import UsageError

if TYPE_CHECKING:
    from leadsman.book.reports import Cell, Report, Sheet
    from leadsman.content.catalogue import Catalogue

#: The report that needs the pages laid out.
FACES = "faces"


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "report",
        help="report on the content as a whole",
        description="Report on the content as a whole; without a name, list the reports.",
        epilog="examples:\n  leadsman report coverage\n  leadsman report isolation --part entries --format csv\n"
        "  leadsman report isolation --part dead-unit",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(parser.add_argument("name", nargs="?", help="the name of a report"), _names)
    parser.add_argument("--part", metavar="PART", help="only this table of the report")
    add_content(parser)
    add_format(parser, csv=True, note="; csv prints one table, the first unless --part names another")
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code: 1 when the coverage has gaps."""
    from difflib import get_close_matches

    from leadsman.book.reports import REPORTS

    told = {name: says for name, (says, _) in REPORTS.items()} | {FACES: "what the sheets measure, laid out"}
    if arguments.name is None:
        print_table(("report", "says"), list(told.items()), head=False)
        return 0
    if arguments.name not in told:
        near = get_close_matches(arguments.name, told, 1)
        hint = f"did you mean '{near[0]}'?" if near else f"the reports are {', '.join(told)}"
        raise UsageError(f"'{arguments.name}' is no report; {hint}")
    catalogue = readable_content(arguments)
    report = _faces(catalogue) if arguments.name == FACES else REPORTS[arguments.name][1](catalogue)
    sheets = _chosen(report, arguments.part)
    if arguments.format == "json":
        print_json(_as_data(arguments.name, sheets, report.gaps))
    elif arguments.format == "csv":
        print_csv(sheets[0].heads, list(map(_words, sheets[0].rows)))
    else:
        for number, sheet in enumerate(sheets):
            print("\n" * (number > 0), end="")
            _print_text(sheet)
    return 1 if report.gaps else 0


def _faces(catalogue: Catalogue) -> Report:
    from leadsman.output.face_report import faces_report
    from leadsman.paths import templates_folder
    from leadsman.press.typeset import Typesetter

    folder = templates_folder()
    return faces_report(catalogue, folder, Typesetter(folder))


def _chosen(report: Report, part: str | None) -> list[Sheet]:
    if part is None:
        return list(report.sheets)
    found = [sheet for sheet in report.sheets if sheet.name == part]
    if not found:
        raise UsageError(
            f"'{part}' is no part of this report; parts: {', '.join(s.name for s in report.sheets)}"
        )
    return found


def _words(row: tuple[Cell, ...]) -> list[str]:
    return [("yes" if cell else "no") if isinstance(cell, bool) else str(cell) for cell in row]


def _print_text(sheet: Sheet) -> None:
    say(sheet.title, style="bold")
    if sheet.rows:
        numeric = [all(map(_is_number, column)) for column in zip(*sheet.rows, strict=True)]
        print_table(sheet.heads, list(map(_words, sheet.rows)), right=numeric)
    if sheet.note:
        say(f"({sheet.note})")


def _is_number(cell: Cell) -> bool:
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def _as_data(name: str, sheets: list[Sheet], gaps: int) -> dict[str, Any]:
    tables = [
        {
            "name": sheet.name,
            "title": sheet.title,
            "note": sheet.note,
            "rows": [dict(zip(sheet.heads, row, strict=True)) for row in sheet.rows],
        }
        for sheet in sheets
    ]
    return {"report": name, "gaps": gaps, "tables": tables}


def _names(_: argparse.Namespace) -> list[str]:
    from leadsman.book.reports import REPORTS

    return [*REPORTS, FACES]
