"""``leadsman survey``: measure finished files and hold them against the rules of the printed page."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_format
from leadsman.commands.terminal import print_json
from leadsman.errors import LeadsmanError, UsageError, counted, visible
from leadsman.files import Refused, read_named

if TYPE_CHECKING:
    from leadsman.inspection.findings import Outcome, Reading
    from leadsman.inspection.survey import Report

#: As in ``leadsman.inspection.findings``, which is too heavy to load for a help text.
_KINDS = ("deck", "handbook", "guide", "record", "sheets", "epub")
#: So many findings of a rule are printed in words; JSON has all.
_SHOWN = 5


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "survey",
        help="measure finished PDF and EPUB files",
        description="Measure finished files and report rule by rule: page, place, measured value, limit and source. "
        "The exit code is 1 when a rule is broken that must be kept.",
        epilog="examples:\n  leadsman survey out/pocket-deck-a6.pdf\n  leadsman survey out/*.pdf --format json\n"
        "  leadsman survey out/pocket-deck-a6.pdf --pages pictures --findings pictures",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("files", nargs="+", metavar="FILE", type=Path, help="a finished PDF or EPUB")
    parser.add_argument("--kind", choices=_KINDS, help="what the files are (default: told from each file)")
    add_format(parser)
    parser.add_argument(
        "--texts", metavar="FILE", type=Path, help="a text file; each of its lines must be found in a PDF"
    )
    parser.add_argument(
        "--pages",
        metavar="DIR",
        type=Path,
        help="write every page as PNG: in colour, in grey and under red light",
    )
    parser.add_argument(
        "--findings", metavar="DIR", type=Path, help="write pages with the findings drawn on them as PNG"
    )
    parser.add_argument(
        "--all", action="store_true", help="print kept rules, advice and what a person must judge, too"
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.apart import apart, seconds_for
    from leadsman.inspection.survey import look, unlike_revisions

    texts = _texts(arguments.texts)
    reports, unread = [], 0
    for path in arguments.files:
        try:
            # A stranger's file: what it costs is limited, and what it breaks is not this process.
            report, painted, drawn = apart(
                look, path, arguments.kind, texts, arguments.pages, arguments.findings,
                name=str(path), seconds=seconds_for(path),
            )  # fmt: skip
        except LeadsmanError as error:
            print(f"leadsman: {visible(str(error))}", file=sys.stderr)
            unread += 1
            continue
        reports.append(report)
        if arguments.format == "text":
            _print(report, arguments.all)
        if painted:
            print(f"{counted(painted, 'picture')} in {arguments.pages}", file=sys.stderr)
        if arguments.findings is not None:
            print(f"{counted(drawn, 'page')} with findings in {arguments.findings}", file=sys.stderr)
    unlike = unlike_revisions(reports)
    if arguments.format == "json":
        print_json({"files": [r.as_data() for r in reports], "unlike_revisions": unlike})
    else:
        for line in unlike:
            print(f"DC-12 must: {line}")
    return 1 if unread or unlike or any(report.breaches for report in reports) else 0


def _texts(path: Path | None) -> list[str]:
    if path is None:
        return []
    try:
        text = read_named(path, 1_000_000).decode("utf-8")
    except Refused as refused:
        raise UsageError(f"the texts cannot be read: {path} {refused}") from None
    except UnicodeDecodeError:
        raise UsageError(f"the texts cannot be read: {path} is not UTF-8 text") from None
    return [line.strip() for line in text.splitlines() if line.strip()]


def _print(report: Report, everything: bool) -> None:
    from leadsman.inspection.for_person import for_a_person

    print(
        f"{visible(str(report.path))}: {report.kind}, {counted(report.pages, 'chapter' if report.kind == 'epub' else 'page')}"
    )
    for outcome in report.outcomes:
        if everything or (outcome.breaches and outcome.rule.severity == "must"):
            _print_outcome(outcome)
    kept = sum(outcome.verdict == "kept" for outcome in report.outcomes)
    print(
        f"  {kept} of {counted(len(report.outcomes), 'rule')} kept; {counted(len(report.breaches), 'finding')} that must go, "
        f"{len(report.advice)} that should; {report.seconds:.1f} s"
    )
    persons = for_a_person(report.kind)
    if everything:
        for item in persons:
            print(f"  {item.id} for a person: {item.says} ({item.why})")
    else:
        print(f"  {counted(len(persons), 'rule')} for a person to judge; --all lists them")


def _print_outcome(outcome: Outcome) -> None:
    rule = outcome.rule
    worst = f", worst {outcome.worst:g}" if outcome.worst is not None else ""
    print(f"  {rule.id} {rule.severity}, {outcome.verdict}: {rule.says}")
    print(f"      limit {rule.wants}{worst}; {outcome.looked_at} measured; {rule.source}")
    for reading in outcome.breaches[:_SHOWN]:
        print(f"      {_place(reading)}: {reading.measured}, {reading.says}")
    if len(outcome.breaches) > _SHOWN:
        print(f"      and {len(outcome.breaches) - _SHOWN} more")


def _place(reading: Reading) -> str:
    where = reading.file or (f"page {reading.page}" if reading.page else "file")
    if reading.box is None:
        return where
    return f"{where} at {reading.box.left:.0f}, {reading.box.top:.0f} mm"
