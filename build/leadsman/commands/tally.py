"""``leadsman tally``: filled service records and closed cases back into the likelihoods."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, readable_content
from leadsman.commands.terminal import print_json
from leadsman.errors import LeadsmanError, UsageError, counted, shown_path

if TYPE_CHECKING:
    from leadsman.book.closed import ClosedCase
    from leadsman.content.catalogue import Catalogue

#: So many files of a folder are read, so many folders deep.
_MOST_FILES, _DEEPEST = 20_000, 4


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "tally",
        help="count closed cases and propose likelihoods",
        description="Read the filled service records (PDF) and cases (YAML) of a folder, without names, and tell how they "
        "ended, which likelihoods they teach with their 95 % intervals, which orders of checks should change, and which "
        "causes no card names. The content is never changed: --patch writes a proposal for git. Records filled by pencil "
        "and scanned are not read.",
        epilog="examples:\n  leadsman tally records\n  leadsman tally records --patch likelihoods.patch --picture tally.svg",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("folder", metavar="FOLDER", help="where the records and cases lie")
    parser.add_argument("--weight", type=float, default=None, metavar="N", help="how many cases the written likelihoods are worth (20)")  # fmt: skip
    parser.add_argument("--patch", metavar="FILE", help="write the proposed likelihoods as a patch for git")
    parser.add_argument("--picture", metavar="FILE", help="draw the likelihoods, as SVG")
    add_content(parser)
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code: 1 when some files could not be counted."""
    from leadsman.book.learning import PRIOR_WEIGHT, learn, order_changes, proposed_patch
    from leadsman.press import atomic

    weight = PRIOR_WEIGHT if arguments.weight is None else arguments.weight
    if not 0.01 <= weight <= 10_000:
        raise UsageError("--weight lies between 0.01 and 10000")
    catalogue = readable_content(arguments)
    cases, left_out = read_folder(Path(arguments.folder), catalogue)
    learnt = list(learn(cases, catalogue, weight))
    changes = list(order_changes(learnt, catalogue))
    patch = proposed_patch(learnt, catalogue)
    if arguments.patch:
        atomic.write_bytes(Path(arguments.patch), patch.encode())
    if arguments.picture:
        from leadsman.output.tally_picture import svg

        codes = {name: entry.code for name, entry in catalogue.faults.items()}
        atomic.write_bytes(Path(arguments.picture), svg(learnt, codes).encode())
    data = _data(cases, left_out, learnt, changes, weight, catalogue)
    if arguments.format == "json":
        print_json(data)
    else:
        _print(data)
    return 1 if left_out else 0


def read_folder(folder: Path, catalogue: Catalogue) -> tuple[list[ClosedCase], list[tuple[str, str]]]:
    """The closed cases of a folder, and each file that could not be counted, with the reason."""
    from leadsman.book.closed import RecordReader, closed_of_case
    from leadsman.content.case_file import read_case
    from leadsman.files import read_regular, walk
    from leadsman.press.fill import MOST_BYTES, read_form

    if not os.path.isdir(folder):
        raise UsageError(f"{folder} is no folder")
    reader = RecordReader(catalogue)
    cases: list[ClosedCase] = []
    left_out: list[tuple[str, str]] = []
    for path, why in walk(folder, _MOST_FILES, _DEEPEST):
        suffix = path.suffix.lower()
        if why:
            left_out.append((shown_path(path), why))
            continue
        try:
            if suffix == ".pdf":
                cases.append(reader.read(*read_form(read_regular(path, MOST_BYTES))))
            elif suffix in (".yaml", ".yml"):
                case, problems = read_case(path, catalogue)
                if case is None:
                    first = problems[0]
                    left_out.append((f"{first.path}:{first.line}:{first.column}", first.what))
                else:
                    cases += closed_of_case(case)
        except LeadsmanError as error:
            left_out.append((shown_path(path), str(error)))
    return cases, left_out


def _data(cases: Any, left_out: Any, learnt: Any, changes: Any, weight: float, catalogue: Catalogue) -> dict[str, Any]:  # fmt: skip
    from leadsman.book.learning import counts, unnamed_causes
    from leadsman.compute.diagnosis.learning import proportion

    def entry_data(count: Any) -> dict[str, Any]:
        again = proportion(seen=count.came_back, cases=count.cases)
        return {"code": catalogue.faults[count.entry].code, "entry": count.entry, "cases": count.cases,
                "proved": count.proved, "handed_over": count.handed_over, "nothing_found": count.nothing,
                "other": count.other, "came_back": count.came_back,
                "came_back_interval": [round(float(again.low), 4), round(float(again.high), 4)],
                "minutes": None if count.minutes is None else round(count.minutes, 1)}  # fmt: skip

    return {
        "cases": len(cases),
        "weight": weight,
        "source": "Dirichlet-multinomial (Gelman et al. 2013, section 3.4); come-backs by Wilson 1927",
        "left_out": [{"file": name, "reason": why} for name, why in left_out],
        "entries": [entry_data(count) for count in counts(cases, catalogue)],
        "likelihoods": [
            {"entry": f.entry, "history": f.history, "cases": f.cases,
             "causes": [{"cause": c.cause, "written": round(c.written, 4), "mean": round(c.mean, 4),
                         "low": round(c.low, 4), "high": round(c.high, 4), "outside": not c.low <= c.written <= c.high}
                        for c in f.causes]}
            for f in learnt
        ],
        "orders": [
            {"entry": c.entry, "history": c.history, "written_minutes": round(c.written_minutes, 1),
             "best_minutes": round(c.best_minutes, 1), "saves_minutes": round(c.written_minutes - c.best_minutes, 1),
             "sure": round(c.sure, 3), "order": list(c.order)}
            for c in changes
        ],
        "unnamed": [{"entry": entry, "words": words, "times": times} for (entry, words), times in unnamed_causes(cases).items()],
    }  # fmt: skip


def _print(data: dict[str, Any]) -> None:
    for item in data["left_out"]:
        print(f"{item['file']}: not counted: {item['reason']}")
    print(
        f"{counted(data['cases'], 'closed case')}; the written likelihoods count as {data['weight']:g}. {data['source']}"
    )
    for item in data["entries"]:
        low, high = item["came_back_interval"]
        minutes = "" if item["minutes"] is None else f", {item['minutes']:.0f} min"
        print(f"{item['code']:4} {counted(item['cases'], 'case'):>10}, {item['proved']} proved, {item['handed_over']} handed over, "
              f"{item['nothing_found']} nothing found, {item['other']} other, {item['came_back']} came back "
              f"({low:.0%} to {high:.0%}){minutes}")  # fmt: skip
    for item in data["likelihoods"]:
        for cause in (c for c in item["causes"] if c["outside"]):
            print(f"{item['entry']} {item['history']}: {cause['cause']} written {cause['written']:.0%}, "
                  f"found {cause['mean']:.0%} ({cause['low']:.0%} to {cause['high']:.0%}), {counted(item['cases'], 'case')}")  # fmt: skip
    for item in data["orders"]:
        print(f"{item['entry']} {item['history']}: another order saves {item['saves_minutes']} of "
              f"{item['written_minutes']} min: {', '.join(item['order'])}")  # fmt: skip
    for item in data["unnamed"]:
        print(f"{item['entry']}: no card names '{item['words']}', {counted(item['times'], 'time')}")
