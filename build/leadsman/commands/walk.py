"""``leadsman walk``: ask an entry question by question, print its ladder or its paths, or follow one cause."""

from __future__ import annotations

import argparse
import sys
from itertools import islice
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import (
    add_content,
    add_format,
    add_units,
    completed_by,
    ids_of,
    read_content,
    whole_number,
)
from leadsman.commands.terminal import print_json, text_width
from leadsman.errors import UsageError, counted

if TYPE_CHECKING:
    from leadsman.book.ladder import Ladder
    from leadsman.compute.diagnosis.walk import Path
    from leadsman.content.decision import Decision
    from leadsman.content.inquiry import Inquiry


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "walk",
        help="walk through a fault entry",
        description="Ask an entry question by question, in the card's words; or print its ladder, where nobody can "
        "answer. Answers given as check=answer are followed first.",
        epilog="examples:\n  leadsman walk P1\n  leadsman walk dead-unit history=in-service alive=yes\n"
        "  leadsman walk dead-unit --cause fuse\n  leadsman walk dead-unit --all",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    completed_by(parser.add_argument("entry", help="the id or the code of a fault entry"), ids_of("faults"))
    parser.add_argument("answers", nargs="*", metavar="check=answer", help="follow these answers")
    parser.add_argument("--all", action="store_true", help="print every path, by the ids of its checks")
    parser.add_argument("--cause", help="follow the card as if this cause were present")
    parser.add_argument(
        "--history", default="in-service", help="with --cause: what happened before (%(default)s)"
    )
    add_units(parser)
    add_content(parser)
    parser.add_argument(
        "--limit",
        type=whole_number(0, 1_000_000_000),
        default=200,
        help="with --all: paths printed at most (%(default)s)",
    )
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.content.decision import Decision, follow_cause
    from leadsman.content.model.fault import HISTORIES

    if arguments.history not in HISTORIES:
        raise UsageError(f"--history '{arguments.history}' is none of {', '.join(HISTORIES)}")
    catalogue = read_content(arguments)
    decision = Decision(catalogue.entry(arguments.entry), catalogue)
    if arguments.cause:
        if arguments.cause not in decision.causes:
            raise UsageError(
                f"'{arguments.cause}' is no cause of {decision.entry.id}; causes: {', '.join(decision.causes)}"
            )
        _print_paths(decision, [follow_cause(decision, arguments.cause, arguments.history)], arguments.format)
    elif arguments.all:
        _print_all(decision, arguments.limit, arguments.format)
    else:
        _search(decision, _answers(decision, arguments.answers), arguments)
    return 0


def _print_all(decision: Decision, limit: int, form: str) -> None:
    from leadsman.compute.diagnosis.structure import loops
    from leadsman.compute.diagnosis.walk import count_paths, walk_paths

    walked = list(islice(walk_paths(decision.structure), limit))
    _print_paths(decision, walked, form)
    if form == "text" and not loops(decision.structure):
        total = count_paths(decision.structure)
        shown = f"the first {len(walked)} of " if total > len(walked) else ""
        print(f"{decision.entry.id}: {shown}{counted(total, 'path')}{_ending(decision)}")
        _print_expected(decision)


def _ending(decision: Decision) -> str:
    """Whether every path ends: only a content without problems says so, since what is broken is on no path."""
    from leadsman.book.verdict import judge

    problems = len(judge(decision.catalogue).root_errors)
    if not problems:
        return ", every one ends"
    return f" of a content with {counted(problems, 'problem')}; see leadsman check"


def _print_paths(decision: Decision, walked: list[Path], form: str) -> None:
    if form == "json":
        print_json([_as_data(decision, path) for path in walked])
    else:
        for path in walked:
            print(_line(decision, path))


def _print_expected(decision: Decision) -> None:
    if decision.entry.kind == "fault":
        print(_expected(decision))


def _search(decision: Decision, answers: dict[str, str], arguments: argparse.Namespace) -> None:
    """The ladder, a search that goes on from given answers, or one that asks."""
    from leadsman.book.ladder import Ladder
    from leadsman.book.passages import Words
    from leadsman.content.inquiry import Inquiry

    inquiry = Inquiry(decision, answers)
    if arguments.format == "json":
        print_json(_inquiry_data(inquiry))
        return
    ladder = Ladder(decision, Words(decision.catalogue, arguments.units), text_width())
    if sys.stdin.isatty() and sys.stdout.isatty():
        _ask(ladder, inquiry)
    elif answers:
        print("\n".join(ladder.situation(inquiry)))
    else:
        print("\n".join(ladder.whole()))
        print()
        _print_expected(decision)


def _ask(ladder: Ladder, inquiry: Inquiry) -> None:
    """Ask until an end; an empty line takes the last answer back, and the end of input leaves."""
    from leadsman.book.ladder import answer_named
    from leadsman.content.decision import NOT_PROVED
    from leadsman.content.inquiry import Inquiry

    print("An answer may be shortened. An empty line takes the last one back; end the input to leave.\n")
    while True:
        print("\n".join(ladder.situation(inquiry)))
        labels = ladder.answers(inquiry.node)
        if not labels:
            return
        try:
            typed = input(f"{' / '.join(labels.values())} ? ")
        except EOFError:
            print()
            return
        print()
        if not typed.strip():
            done = [step.node.id for step in inquiry.done]
            inquiry = Inquiry(
                ladder.decision, {k: v for k, v in inquiry.answers.items() if k not in done[-1:]}
            )
            continue
        answer = answer_named(labels, typed)
        if answer is None:
            print(f"'{typed.strip()}' is none of these answers.\n")
        elif answer == "proved":
            print("Proved: the fault is found and mended.")
            return
        else:
            inquiry = Inquiry(
                ladder.decision,
                {**inquiry.answers, inquiry.node: NOT_PROVED if answer == NOT_PROVED else answer},
            )


def _inquiry_data(inquiry: Inquiry) -> dict[str, Any]:
    return {
        "entry": inquiry.decision.entry.id,
        "at": inquiry.node,
        "kind": inquiry.kind.value,
        "answers": inquiry.decision.links(inquiry.node),
        "done": [{"node": step.node.id, "answer": step.outcome} for step in inquiry.done],
        "not_done": list(inquiry.not_done),
        "suspects": [{"cause": s.cause, "likelihood": round(s.likelihood, 4)} for s in inquiry.suspects],
        "minutes_done": inquiry.minutes_done,
        "minutes_left": round(inquiry.minutes_left, 2),
    }


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
