"""``leadsman check``: every rule over the whole content, all problems in one run."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING, Any

from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.content.rules import Verdict


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "check",
        help="check the content by every rule",
        description="Check the content by every rule and list all problems by place: file:line:column.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--content", metavar="DIR", help="the content (default: ./content, else the demo content)"
    )
    parser.add_argument(
        "--format", choices=("text", "json"), default="text", help="how to list (%(default)s)"
    )
    parser.add_argument(
        "--waivers", action="store_true", help="list the rules that entries set aside, with the reasons"
    )
    parser.add_argument("--rules", action="store_true", help="list the rules and stop")
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.book.verdict import judge
    from leadsman.content.catalogue import load
    from leadsman.content.rules import RULES

    catalogue = load(content_folder(arguments.content))
    verdict = judge(catalogue)
    if arguments.rules:
        for rule in RULES.values():
            print(f"{rule.id:26} {rule.says}{' (can be waived)' if rule.waivable else ''}")
        return 0
    if arguments.format == "json":
        print(json.dumps(_as_data(verdict), indent=2, ensure_ascii=False))
    else:
        for problem in verdict.problems:
            print(problem)
        if arguments.waivers:
            for waived in verdict.waived:
                print(f"waived {waived.problem.rule} in {waived.entry}: {waived.reason}")
        entries = len(catalogue.faults)
        print(f"{entries} entries: {_count(len(verdict.errors), 'problem')}, {_count(len(verdict.warnings), 'warning')}, "
              f"{_count(len(verdict.waived), 'waived breach', 'waived breaches')}")  # fmt: skip
    return 1 if verdict.errors else 0


def _count(number: int, noun: str, plural: str = "") -> str:
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def _as_data(verdict: Verdict) -> dict[str, Any]:
    return {
        "problems": [vars(problem) for problem in verdict.problems],
        "waived": [{"entry": w.entry, "reason": w.reason, **vars(w.problem)} for w in verdict.waived],
    }
