"""``leadsman walk``: print every path of an entry, or follow given answers or one cause."""

from __future__ import annotations

import argparse
from itertools import islice
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, completed_by, ids_of
from leadsman.commands.terminal import print_json
from leadsman.errors import UsageError
from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.compute.diagnosis.walk import Path
    from leadsman.content.decision import Decision


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "walk",
        help="walk through a fault entry",
        description="Print every path of an entry, or follow given answers (check=answer), or one cause.",
        epilog="examples:\n  leadsman walk dead-unit\n  leadsman walk dead-unit history=in-service alive=yes\n"
        "  leadsman walk dead-unit --cause fuse",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(parser.add_argument("entry", help="the id of a fault entry"), ids_of("faults"))
    parser.add_argument("answers", nargs="*", metavar="check=answer", help="follow these answers")
    parser.add_argument("--cause", help="follow the card as if this cause were present")
    parser.add_argument(
        "--history", default="in-service", help="with --cause: what happened before (%(default)s)"
    )
    add_content(parser)
    parser.add_argument("--limit", type=int, default=200, help="paths printed at most (%(default)s)")
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.compute.diagnosis.structure import loops
    from leadsman.compute.diagnosis.walk import count_paths, walk_paths
    from leadsman.content.catalogue import load
    from leadsman.content.decision import Decision, follow_answers, follow_cause
    from leadsman.content.model.fault import HISTORIES

    if arguments.limit < 0:
        raise UsageError("--limit must be 0 or more")
    if arguments.history not in HISTORIES:
        raise UsageError(f"--history '{arguments.history}' is none of {', '.join(HISTORIES)}")
    catalogue = load(content_folder(arguments.content))
    entry = catalogue.faults.get(arguments.entry)
    if entry is None:
        raise UsageError(
            f"'{arguments.entry}' is no fault entry; {catalogue.near('faults', arguments.entry)}"
        )
    decision = Decision(entry, catalogue)
    total = None
    if arguments.answers:
        walked = [follow_answers(decision, _answers(decision, arguments.answers))]
    elif arguments.cause:
        if arguments.cause not in decision.causes:
            raise UsageError(
                f"'{arguments.cause}' is no cause of {entry.id}; causes: {', '.join(decision.causes)}"
            )
        walked = [follow_cause(decision, arguments.cause, arguments.history)]
    else:
        looping = loops(decision.structure)
        total = None if looping else count_paths(decision.structure)
        walked = list(islice(walk_paths(decision.structure), arguments.limit))
    if arguments.format == "json":
        print_json([_as_data(decision, path) for path in walked])
    else:
        for path in walked:
            print(_line(decision, path))
        if total is not None:
            shown = f"the first {len(walked)} of " if total > len(walked) else ""
            print(f"{entry.id}: {shown}{total} paths, every one ends")
            if entry.kind == "fault":
                print(_expected(decision))
    return 0


def _expected(decision: Decision) -> str:
    """The expected minutes to isolate, by the order as written and by the best legal one."""
    from leadsman.content.ordering import Ordering, best_move, compare

    ordering = Ordering(decision)
    report = compare(ordering)
    line = f"{decision.entry.id}: {report.written_minutes:.1f} min to isolate, {report.best.minutes:.1f} by the best legal order"
    move = best_move(ordering.check_set(), ordering.written)
    if move is not None:
        line += f" ({move}: {move.saves_min:.1f} min)"
    return line


def _answers(decision: Decision, words: list[str]) -> dict[str, str]:
    answers = {}
    for word in words:
        check, _, answer = word.partition("=")
        links = decision.links(check)
        if not links:
            raise UsageError(
                f"'{check}' is no check of {decision.entry.id}; checks: {', '.join(decision.checks)}"
            )
        if answer not in links:
            raise UsageError(f"'{answer}' is no answer of '{check}'; answers: {', '.join(links)}")
        answers[check] = answer
    return answers


def _line(decision: Decision, path: Path) -> str:
    way = " > ".join(
        f"{step.node.id}: {step.outcome}" if step.outcome else step.node.id for step in path.steps
    )
    says = ""
    if path.end.id in decision.findings:
        says = f" = {decision.findings[path.end.id].says}"
    elif path.end.id in decision.hand_overs:
        says = f" = hand over: {decision.hand_overs[path.end.id].says}"
    return f"{decision.minutes(path):5.0f} min  {way}{says}"


def _as_data(decision: Decision, path: Path) -> dict[str, Any]:
    return {
        "minutes": decision.minutes(path),
        "ends": path.ends,
        "steps": [
            {"node": step.node.id, "kind": step.node.kind.value, "answer": step.outcome}
            for step in path.steps
        ],
    }
