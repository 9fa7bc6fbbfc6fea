"""``leadsman case``: what a case has come to, what comes next, and its papers."""

from __future__ import annotations

import argparse
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, add_units, readable_content
from leadsman.commands.terminal import print_json, text_width
from leadsman.errors import OutputError, UsageError
from leadsman.paths import templates_folder

if TYPE_CHECKING:
    from leadsman.book.case_text import CaseText, Section
    from leadsman.content.case_file import Case


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "case",
        help="tell where a case stands, and make its papers",
        description="Read a case (a small YAML file of the dealer's: boat, condition, answers, readings, swaps, dates, "
        "warranty, prices) and tell what is still suspect, the next check with its cost, what was not done, what to "
        "bring and to order, and when to stop. With --out, fill in the service record and write the owner's page and "
        "the message to the maker; files are named by the id of the case.",
        epilog="examples:\n  leadsman case case-117.yaml\n  leadsman case case-117.yaml --out papers\n"
        "  leadsman case case-117.yaml --part maker",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("files", nargs="+", metavar="FILE", help="the case, .yaml")
    parser.add_argument("--out", metavar="DIR", help="make the papers here")
    parser.add_argument("--part", choices=("technician", "maker", "owner"), default="technician",
                        help="what is printed (%(default)s)")  # fmt: skip
    parser.add_argument("--paper", choices=("a", "us"), default="a", help="A4 or Letter (%(default)s)")
    add_units(parser, choices=("metric", "us"))
    add_content(parser)
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code: 1 when a case cannot be read."""
    from leadsman.book.case_text import CaseText
    from leadsman.content.case_file import read_case

    catalogue = readable_content(arguments)
    cases, problems, seen = [], [], set[str]()
    for name in arguments.files:
        case, wrong = read_case(Path(name), catalogue)
        problems += wrong
        if case is not None:
            if case.file.id in seen:
                raise UsageError(
                    f"two of these cases have the id '{case.file.id}', and their papers would be one file"
                )
            seen.add(case.file.id)
            cases.append(case)
    for problem in problems:
        print(problem)
    if problems:
        return 1
    texts = [CaseText(case, arguments.units) for case in cases]
    if arguments.out:
        _write(texts, arguments)
    elif arguments.format == "json":
        print_json([_data(text) for text in texts])
    else:
        for number, text in enumerate(texts):
            print("\n" * bool(number) + _printed(text, arguments.part))
    return 0


def _sections(text: CaseText, part: str) -> list[Section]:
    return {"technician": text.technician, "maker": text.maker, "owner": text.owner}[part]()


def _printed(text: CaseText, part: str) -> str:
    head = {"technician": text.title, "maker": text.subject, "owner": text.title}[part]
    lines = [head]
    for section in _sections(text, part):
        lines += ["", section.title]
        for line in section.lines:
            lines += textwrap.wrap(line, max(40, text_width() - 2), initial_indent="  ", subsequent_indent="    ",
                                   break_on_hyphens=False)  # fmt: skip
    return "\n".join(lines)


def _data(text: CaseText) -> dict[str, Any]:
    from leadsman.book.case_advice import stop_advice, warranty_state
    from leadsman.book.case_needs import needs
    from leadsman.content.next_check import next_check

    case: Case = text.case
    best, search, stop, state = next_check(case.search), case.search, stop_advice(case), warranty_state(case)
    return {
        "case": case.file.id,
        "entry": search.decision.entry.id,
        "at": search.node,
        "suspects": [{"cause": s.cause, "likelihood": round(s.likelihood, 4)} for s in search.suspects],
        "next": None if best is None else {"check": best.check, "minutes": best.minutes, "convicts": round(best.convicts, 4),
                                           "answers": {a: round(p, 4) for a, p in best.answers.items()},
                                           "minutes_left": round(best.minutes_left, 2)},
        "not_done": [name for leg in case.legs for name, answer in leg.answers.items() if answer == "cannot"],
        "bring": [{"tool": need.tool, "likelihood": round(need.likelihood, 4)} for need in needs(search)],
        "stop": {"verdict": stop.verdict, "part": stop.part, "step": stop.step, "search": stop.search, "price": stop.price},
        "warranty": None if state is None else {"runs": state.runs, "until": state.until, "forbidden": list(state.forbidden)},
    }  # fmt: skip


def _write(texts: list[CaseText], arguments: argparse.Namespace) -> None:
    from leadsman.output.case_pages import write_case_record, write_owner_page
    from leadsman.press import atomic
    from leadsman.press.typeset import Typesetter

    out, templates = Path(arguments.out), templates_folder()
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"cannot write to {out}: {error.strerror or error}") from error
    for gone in atomic.clear_parts(out):
        print(f"removed {gone}, which a run that died had left", file=sys.stderr)
    typesetter = Typesetter(templates)
    for text in texts:
        case = text.case
        made = [
            write_case_record(case, out, paper=arguments.paper, units=arguments.units, templates=templates, typesetter=typesetter),
            write_owner_page(case, text, out, paper=arguments.paper, templates=templates, typesetter=typesetter),
        ]  # fmt: skip
        message = out / f"{case.file.id}-maker.txt"
        atomic.write_bytes(message, (_printed(text, "maker") + "\n").encode())
        for path in (*made, message):
            print(path)
