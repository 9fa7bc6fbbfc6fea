"""``leadsman check``: every rule over the whole content, all problems in one run."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_cache, add_content, add_format, cache_folder
from leadsman.commands.terminal import print_json, print_table, say
from leadsman.errors import UsageError, counted, quoted, shown_path
from leadsman.paths import content_folder

if TYPE_CHECKING:
    from leadsman.content.judged import Verdict
    from leadsman.errors import Problem


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "check",
        help="check the content by every rule",
        description="Check the content by every rule and list all problems by place: file:line:column.",
        allow_abbrev=False,
    )
    parser.add_argument("files", nargs="*", metavar="FILE", help="tell of these files alone (all are read)")
    add_content(parser)
    add_format(parser)
    add_cache(parser)
    parser.add_argument(
        "--waivers", action="store_true", help="list the rules that entries set aside, with the reasons"
    )
    parser.add_argument("--all", action="store_true", help="list what only follows from other problems, too")
    parser.add_argument(
        "--pages",
        action="store_true",
        help="when no problem is left, also lay out the cards of every deck and tell what a build would refuse",
    )
    parser.add_argument("--rules", action="store_true", help="list the rules and stop")
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    folder = content_folder(arguments.content)
    if arguments.rules:
        from leadsman.content.rules import RULES, load_rules

        load_rules()
        rows = [(r.id, f"{r.says}{' (can be waived)' if r.waivable else ''}") for r in RULES.values()]
        print_table(("rule", "says"), rows, head=False)
        return 0
    from leadsman.collector import relaxed_collector

    with relaxed_collector():
        entries, verdict = _judged(folder, cache_folder(arguments))
        if arguments.pages and not verdict.errors:
            verdict = replace(
                verdict, problems=[*verdict.problems, *_foreseen(folder, cache_folder(arguments))]
            )
    verdict = _of_files(verdict, arguments.files)
    if arguments.format == "json":
        print_json(_as_data(verdict))
    else:
        for problem in verdict.problems if arguments.all else verdict.roots:
            say(f"{problem} [{problem.rule}]", style="red" if problem.severity == "error" else "yellow")
        if arguments.waivers:
            for waived in verdict.waived:
                print(f"waived {waived.problem.rule} in {waived.entry}: {waived.reason}")
        if verdict.following:
            more = f"{counted(len(verdict.following), 'more follows', 'more follow')} from these; mend them first"
            shown = f"{len(verdict.following)} of these only {'follows' if len(verdict.following) == 1 else 'follow'} from others"
            print(shown if arguments.all else f"{more}, or see all with --all")
        warnings = len(verdict.roots) - len(verdict.root_errors)
        print(f"{counted(entries, 'entry')}: {counted(len(verdict.root_errors), 'problem')}, {counted(warnings, 'warning')}, "
              f"{counted(len(verdict.waived), 'waived breach', 'waived breaches')}")  # fmt: skip
    return 1 if verdict.errors else 0


def _judged(folder: Path, kept: Path | None) -> tuple[int, Verdict]:
    """How many entries there are, and the verdict; of an unchanged content without reading its records."""
    from leadsman.content.judged import Verdict, bundle_of, folder_key, listed, opened
    from leadsman.store import Store

    if kept is None or not folder.is_dir():
        from leadsman.book.verdict import judge
        from leadsman.content.catalogue import load

        catalogue = load(folder)
        return len(catalogue.faults), judge(catalogue)
    store, files = Store(kept), list(map(opened, listed(folder)))
    key = folder_key(folder, files)
    if (told := store.get_data("verdicts", key)) is not None:
        return int(told["entries"]), Verdict.from_data(told)
    from leadsman.book.verdict import judge
    from leadsman.content.catalogue import Memory, load

    bundle = bundle_of(store, folder)
    # The very bytes that the key was made of: a file that is saved meanwhile is judged the next time.
    catalogue = load(folder, Memory(store=bundle, waits=True), files)
    verdict, entries = judge(catalogue, bundle), len(catalogue.faults)
    bundle.write()
    store.put_data("verdicts", key, {"entries": entries, **verdict.as_data()})
    return entries, verdict


def _foreseen(folder: Path, kept: Path | None) -> list[Problem]:
    from leadsman.content.catalogue import Memory, load
    from leadsman.output.foreseen import foreseen
    from leadsman.paths import templates_folder
    from leadsman.press.typeset import Typesetter
    from leadsman.store import Store

    store, templates = None if kept is None else Store(kept), templates_folder()
    return foreseen(load(folder, Memory(store=store)), templates, Typesetter(templates, store=store))


def _of_files(verdict: Verdict, files: Sequence[str]) -> Verdict:
    """The problems that stand in some files; in all of them when none is named."""
    if not files:
        return verdict
    for name in files:
        if not os.path.isfile(name):
            raise UsageError(f"{quoted(name)} is no file")
    wanted = {shown_path(Path(name)) for name in files}
    problems = [problem for problem in verdict.problems if problem.path in wanted]
    following = verdict.following.intersection(problems)
    return replace(
        verdict,
        problems=problems,
        waived=[waived for waived in verdict.waived if waived.problem.path in wanted],
        # What follows from other files alone is all that there is to tell of these.
        following=following if len(following) < len(problems) else frozenset(),
    )


def _as_data(verdict: Verdict) -> dict[str, Any]:
    return {
        "problems": [
            {**vars(problem), "follows": problem in verdict.following} for problem in verdict.problems
        ],
        "waived": [{"entry": w.entry, "reason": w.reason, **vars(w.problem)} for w in verdict.waived],
    }
