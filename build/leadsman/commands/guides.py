"""``leadsman guides``: an owner's guide for each boat of a customer list."""

from __future__ import annotations

import argparse
import functools
import os
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_units, add_workers, cache_folder, read_content
from leadsman.commands.terminal import counting, print_table, tell_problems
from leadsman.errors import Problem, UsageError, counted, quoted
from leadsman.paths import content_folder, templates_folder

if TYPE_CHECKING:
    from leadsman.content.catalogue import Catalogue
    from leadsman.content.model.edition import GuideEdition
    from leadsman.content.model.equipment import Dealer
    from leadsman.fleet import FleetPlan


_EPILOG = """the keys of a dealer's file (YAML):
  name, address, phone, email, hours
              needed; address: one line, or a list of lines
  dial        the number as a telephone dials it from anywhere: '+44 1632 960147'
  mark        an SVG picture, or the name of an .svg file beside this file
  colour      a dark colour, as on web pages: '#1f3a5f'
  letters     one to six letters that begin the number of each document: SLS
              makes SLS-OWNER; left out, the initials of the name
  emergency   the number that a guide tells an owner in distress to telephone
              where these customers sail: '999'; left out, the edition's own,
              the one for US units or paper where it has one
"""


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "guides",
        help="make an owner's guide for each boat of a customer list",
        description="Read a customer list (CSV or YAML, one boat a row; --columns lists the\n"
        "columns), make one guide a boat and a manifest. Run it again after an\n"
        "interruption: what is whole is not made again.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("fleet", nargs="?", metavar="FLEET", help="the customer list, .csv, .yaml or .yml")
    parser.add_argument("--out", metavar="DIR", default="out/guides", help="where to put them (%(default)s)")
    add_content(parser)
    parser.add_argument("--edition", metavar="EDITION", help="the guide edition (default: the only one)")
    parser.add_argument(
        "--dealer",
        metavar="FILE",
        help="a file with the keys of dealer.yaml, whose name, address, telephone, mark and colour the guides bear in "
        "place of the content's; its mark may be an .svg file beside it",
    )
    parser.add_argument(
        "--encoding",
        type=_encoding,
        metavar="NAME",
        help="how a CSV list is written that is no UTF-8: cp1252 (western Europe), cp1250 (Polish), cp1253 (Greek), "
        "cp1254 (Turkish)",
    )
    add_units(parser, default=None, choices=("metric", "us"), note="units of rows that name none")
    parser.add_argument(
        "--paper", choices=("a", "us"), help="A5 pages or half letter; else as the edition says"
    )
    parser.add_argument(
        "--only", choices=("pdf", "epub"), action="append", help="files of this kind only; may be repeated"
    )
    add_workers(parser)
    parser.add_argument(
        "--survey",
        choices=("refuse", "tell", "off"),
        default="refuse",
        help="hold the shared pages and one guide of each hundred against the rules of the printed page: make none of "
        "those guides when one that must be kept is broken, tell of it, or do not look (%(default)s)",
    )
    parser.add_argument("--cluster", metavar="ADDRESS", help="send the work to a running Dask cluster")
    parser.add_argument("--columns", action="store_true", help="list the columns of a customer list and stop")
    return parser


def _encoding(name: str) -> str:
    """The name of a text encoding that Python knows."""
    import codecs

    try:
        # Some codecs of Python turn bytes into bytes, and some texts into texts.
        known = isinstance(b"a".decode(name), str) and codecs.lookup(name).name
    except (LookupError, ValueError):
        known = False
    if not known:
        raise argparse.ArgumentTypeError(f"{quoted(name)} is no encoding that is known; cp1252, say")
    return name


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    from leadsman.content.fleet import COLUMNS

    if arguments.columns:
        print_table(("column", "says"), list(COLUMNS.items()), head=False)
        return 0
    if arguments.fleet is None:
        raise UsageError("name the customer list; see leadsman guides --help")
    out = Path(arguments.out)
    plans: list[FleetPlan] = []
    try:
        return _run(arguments, out, plans)
    except KeyboardInterrupt:
        print(_stopped(out, plans), file=sys.stderr)
        raise


def _stopped(out: Path, plans: list[FleetPlan]) -> str:
    """What is made when a run is stopped, and how to go on."""
    from leadsman.fleet import in_place

    if not plans:
        return "stopped before a guide was begun: this run made none; the same command begins again"
    plan, there = plans[0], in_place(plans[0], out)
    of = counted(len(plan.inputs), "file")
    if there:
        return f"stopped: {there} of {of} in place and whole; the same command goes on from here"
    return (
        f"stopped before the first guide was finished: none of {of} is made, since the pages that all share are laid "
        "out first; the same command begins again"
    )


def _run(arguments: argparse.Namespace, out: Path, plans: list[FleetPlan]) -> int:
    from leadsman.book.verdict import judge_kept
    from leadsman.content.fleet import read_fleet
    from leadsman.fleet import make_fleet, of_no_row, plan_fleet
    from leadsman.processes import work_folder

    started = time.monotonic()
    folder = content_folder(arguments.content)
    catalogue = read_content(arguments)
    kept = cache_folder(arguments)
    verdict = judge_kept(catalogue, kept)
    if verdict.errors:
        tell_problems(verdict, folder)
        return 1
    edition = _edition(catalogue, arguments.edition)
    wrong: list[Problem] = []
    if arguments.dealer is not None:
        catalogue, edition, wrong = _with_dealer(arguments.dealer, catalogue, edition, arguments.survey)
    if arguments.paper is not None:
        edition = edition.model_copy(update={"paper": arguments.paper})
    fleet = read_fleet(Path(arguments.fleet), catalogue, encoding=arguments.encoding)
    if wrong or fleet.unreadable:
        # Both files are told in one run.
        for problem in (*wrong, *fleet.problems):
            print(problem, file=sys.stderr)
        _tell_samples(arguments, folder)
        if wrong:
            print(f"nothing was made: {quoted(arguments.dealer)} is no dealer to print", file=sys.stderr)
        if fleet.unreadable:
            why = "cannot be understood" if Path(arguments.fleet).exists() else "is not there"
            print(f"nothing was made: {quoted(arguments.fleet)} {why}", file=sys.stderr)
        return 1
    cluster = _cluster(arguments.cluster) if arguments.cluster else None
    workers = cluster[1] if cluster else arguments.workers or os.cpu_count() or 1
    plan = plan_fleet(
        fleet,
        edition,
        catalogue,
        out,
        templates_folder(),
        units=arguments.units,
        formats=arguments.only or (),
        workers=workers,
    )
    plans.append(plan)
    for problem in (*fleet.problems, *plan.problems):
        print(problem, file=sys.stderr)
    told = {*fleet.problems, *plan.problems}
    with work_folder() as work, counting(plan.files) as advance:
        make = cluster[0] if cluster else _processes(workers, work)
        report = make_fleet(plan, fleet, edition, out, make, advance,
                            survey=arguments.survey, shares_disk=not arguments.cluster)  # fmt: skip
    for line in report.cleared:
        print(line, file=sys.stderr)
    for problem in report.problems:
        if problem not in told:
            print(problem, file=sys.stderr)
    seconds = time.monotonic() - started
    errors = [problem for problem in report.problems if problem.severity == "error"]
    print(f"{out}: {counted(report.made, 'file')} made, {report.kept} whole already, {report.whole} laid out alone, "
          f"{counted(len(errors), 'problem')}, {counted(len(report.problems) - len(errors), 'warning')}, "
          f"{seconds:.0f} s")  # fmt: skip
    if fleet.unread:
        print(f"{counted(fleet.unread, 'line')} of {arguments.fleet} not read", file=sys.stderr)
    if others := of_no_row(fleet, out):
        more = f" and {len(others) - _MOST_NAMED} more" if len(others) > _MOST_NAMED else ""
        print(f"{out}: {counted(len(others), 'file')} of no row of this list: {', '.join(others[:_MOST_NAMED])}{more}; "
              "delete what is no customer's any more", file=sys.stderr)  # fmt: skip
    return 1 if errors else 0


#: So many files that are of no row are named.
_MOST_NAMED = 12


def _with_dealer(
    named: str, catalogue: Catalogue, edition: GuideEdition, survey: str
) -> tuple[Catalogue, GuideEdition, list[Problem]]:
    """Content and edition under the dealer of a file: name, mark and colour, and the letters of its documents.

    The mark is held to the rules of the page alone, before any page is laid out with it.
    """
    from leadsman.content.dealer_file import document_of, with_dealer
    from leadsman.mark import proved_mark
    from leadsman.output.guide import dealer_mark

    def proved(dealer: Dealer) -> str:
        return proved_mark(dealer, templates_folder())

    mine, wrong = with_dealer(Path(named), catalogue, proved if survey != "off" else dealer_mark)
    if wrong and survey == "tell":
        mine, left = with_dealer(Path(named), catalogue, dealer_mark)
        for problem in wrong:
            if problem not in left:
                print(replace(problem, severity="warning"), file=sys.stderr)
        wrong = left
    if not wrong:
        edition = edition.model_copy(update={"document": document_of(edition, mine.dealer)})
    return mine, edition, wrong


def _tell_samples(arguments: argparse.Namespace, folder: Path) -> None:
    """Where a list and a dealer's file to copy lie, when the named ones do not."""
    from leadsman.paths import data_folder

    if not Path(arguments.fleet).exists():
        print(f"a list to copy: {data_folder('tests/fleet') / 'customers.csv'}; --columns says what its columns hold",
              file=sys.stderr)  # fmt: skip
    if arguments.dealer is not None and not Path(arguments.dealer).exists():
        print(f"a dealer's file to copy: {folder / 'dealer.yaml'}", file=sys.stderr)


def _edition(catalogue: Catalogue, name: str | None) -> GuideEdition:
    from leadsman.content.model.edition import GuideEdition

    guides = {
        key: edition for key, edition in catalogue.editions.items() if isinstance(edition, GuideEdition)
    }
    if name is None and len(guides) == 1:
        return next(iter(guides.values()))
    if name in guides:
        return guides[name]
    known = ", ".join(guides) or "none"
    raise UsageError(f"name the guide edition with --edition; known: {known}")


def _processes(workers: int, work: str) -> Callable[[], Executor]:
    """How to get an executor of this machine's processes."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    from leadsman.processes import begin_worker

    # A fresh interpreter each: the typesetting engine must not be copied half-way through its work.
    context = multiprocessing.get_context("spawn")
    return functools.partial(
        ProcessPoolExecutor,
        max_workers=workers,
        mp_context=context,
        initializer=begin_worker,
        initargs=(work,),
    )


def _cluster(address: str) -> tuple[Callable[[], Executor], int]:
    """How to get an executor of a running cluster, and how many workers it has."""
    import importlib

    try:
        distributed = importlib.import_module("distributed")
    except ImportError:
        raise UsageError("--cluster needs the package distributed: pip install leadsman[cluster]") from None
    try:
        client = distributed.Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError) as error:
        raise UsageError(f"no cluster answers at {address} ({type(error).__name__})") from None
    # The same call with the same names may mean another customer tomorrow: nothing is kept by its key.
    workers = sum(client.nthreads().values())
    return functools.partial(client.get_executor, pure=False), max(workers, 1)
