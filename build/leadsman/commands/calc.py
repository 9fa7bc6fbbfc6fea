"""``leadsman calc``: list the formulas, describe one, evaluate one with units, show the evidence."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_format, add_units, completed_by, whole_number
from leadsman.commands.terminal import print_json, print_table, say, text_width
from leadsman.errors import UsageError, counted

if TYPE_CHECKING:
    from leadsman.calculation import Calculation
    from leadsman.compute.registry import Formula
    from leadsman.evidence import Evidence

_DESCRIPTION = """\
Without a name, list the formulas by topic. With a name, describe that formula. With a name and its
inputs, evaluate it: every value carries its unit, decimals have a point, and several values are separated by
commas, or by semicolons where a comma could be taken for a decimal sign."""

_EPILOG = """\
examples:
  leadsman calc supply.voltage_drop
  leadsman calc supply.voltage_drop current=4A length=7m conductor=16AWG
  leadsman calc supply.voltage_drop current=2A,4A length=20ft conductor=2.5mm2 --format json
  leadsman calc --evidence"""


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "calc",
        help="evaluate, describe or list the formulas, with units and sources",
        description=_DESCRIPTION,
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    name = parser.add_argument(
        "name", nargs="?", help="a formula, as in water.sound_speed, or a topic, as in water"
    )
    completed_by(name, _known_names)
    inputs = parser.add_argument(
        "inputs", nargs="*", metavar="input=value", help="an input with its unit, as in length=7m"
    )
    completed_by(inputs, _known_inputs)
    add_format(parser, note="; json has every digit")
    add_units(parser, choices=("metric", "us"), note="us shows the results in US units as well")
    parser.add_argument(
        "--evidence", action="store_true", help="hold the formulas against the published values"
    )
    parser.add_argument(
        "--digits", type=whole_number(1, 17), default=4, help="significant digits shown (%(default)s)"
    )
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code."""
    as_json = arguments.format == "json"
    formulas = _chosen(arguments.name)
    if arguments.evidence:
        if arguments.inputs:
            raise UsageError("--evidence takes no inputs: the reference rows hold them")
        return _evidence(formulas, arguments)
    if arguments.name not in {f.name for f in formulas}:
        if arguments.inputs:
            raise UsageError(
                f"{arguments.name} is a topic; name one of {', '.join(f.name for f in formulas)}"
            )
        _print_list(formulas, as_json=as_json)
    elif arguments.inputs:
        _evaluate(formulas[0], arguments)
    else:
        _print_description(formulas[0], as_json=as_json)
    return 0


def _chosen(name: str | None) -> list[Formula]:
    """The formulas that a name stands for: one, a topic's, or all."""
    from leadsman.arguments import nearest
    from leadsman.compute.registry import formulas

    if name is None:
        return [known for _, known in sorted(formulas().items())]
    # Only the topic that is named is imported; the others for a name that is in none.
    topic = formulas(name.partition(".")[0])
    if name in topic:
        return [topic[name]]
    if topic and "." not in name:
        return [known for _, known in sorted(topic.items())]
    known = formulas()
    # A formula is often remembered without its topic.
    short = [n for n in sorted(known) if n.split(".", 1)[1] == name]
    hint = f"did you mean {' or '.join(short)}?" if short else nearest(name, known)
    raise UsageError(f"there is no formula {name!r}; {hint or 'leadsman calc lists all'}")


def _known_names(_: argparse.Namespace) -> Iterator[str]:
    from leadsman.compute.registry import TOPICS, formulas

    yield from TOPICS
    yield from formulas()


def _known_inputs(arguments: argparse.Namespace) -> Iterator[str]:
    from leadsman.compute.registry import Choice, formulas

    name = arguments.name or ""
    formula = formulas(name.partition(".")[0] or "none").get(name)
    for item in formula.inputs if formula else ():
        yield f"{item.name}="
        if isinstance(item, Choice):
            yield from (f"{item.name}={choice}" for choice in item.choices)


# --- list and description ----------------------------------------------------------------------


def _print_list(formulas: list[Formula], *, as_json: bool) -> None:
    if as_json:
        print_json([_description(f) for f in formulas])
        return
    rows: list[tuple[str, str]] = []
    for topic in dict.fromkeys(f.topic for f in formulas):
        rows += [("", ""), (topic, "")] if rows else [(topic, "")]
        rows += [(f"  {f.name}", f.title) for f in formulas if f.topic == topic]
    print_table(("formula", "title"), rows, head=False)


def _description(formula: Formula) -> dict[str, Any]:
    inputs: list[dict[str, Any]] = []
    for item in formula.inputs:
        entry: dict[str, Any] = {"name": item.name, "argument": item.argument, "unit": item.unit}
        for key in ("low", "high", "choices", "default"):
            if getattr(item, key, None) is not None:
                entry[key] = getattr(item, key)
        inputs.append(entry | {"kind": type(item).__name__.lower(), "meaning": item.meaning})
    return {
        "formula": formula.name,
        "title": formula.title,
        "serves": formula.serves,
        "inputs": inputs,
        "outputs": [{"name": o.name, "unit": o.unit, "meaning": o.meaning} for o in formula.outputs],
        "method": formula.method,
        "accuracy": formula.accuracy,
        "sources": dict(formula.references),
    }


def _print_description(formula: Formula, *, as_json: bool) -> None:
    from leadsman.arguments import described_range, shown_value

    if as_json:
        print_json(_description(formula))
        return
    say(f"{formula.name}: {formula.title}", style="bold")
    if formula.serves:
        say(formula.serves)
    print("\ninputs")
    for item in formula.inputs:
        default = getattr(item, "default", None)
        given = "" if default is None else f"; {shown_value(item, default)} if not given"
        _print_entry(f"  {item.name}", f"{item.meaning.rstrip('.')} ({described_range(item)}{given})")
    print("\nresult" if len(formula.outputs) == 1 else "\nresults")
    for output in formula.outputs:
        unit = "" if output.unit in ("", "1") else f" ({output.unit})"
        _print_entry(f"  {output.name}", f"{output.meaning.rstrip('.')}{unit}")
    for heading, text in (("method", formula.method), ("accuracy", formula.accuracy)):
        print(f"\n{heading}")
        _print_entry("  ", text)
    print("\nsources")
    for reference in formula.references.values():
        _print_entry("  ", reference)
    words = [f"{i.name}=..." for i in formula.inputs if getattr(i, "default", None) is None]
    print(f"\nleadsman calc {formula.name} {' '.join(words)}")


def _print_entry(label: str, text: str) -> None:
    first, rest = (f"{label}  ", "      ") if label.strip() else ("  ", "  ")
    lines = textwrap.wrap(
        text,
        text_width(),
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
        break_long_words=False,
    )
    print("\n".join(lines))


# --- evaluation --------------------------------------------------------------------------------


def _evaluate(formula: Formula, arguments: argparse.Namespace) -> None:
    from leadsman.arguments import ArgumentError, read_arguments
    from leadsman.calculation import as_data, calculate, table_rows

    given: dict[str, str] = {}
    for word in arguments.inputs:
        name, equals, value = word.partition("=")
        if not equals or not name or not value.strip():
            raise UsageError(f"{word!r} is no input; write name=value, as in length=7m")
        if name in given:
            raise UsageError(f"{name} is given twice; separate several values by commas")
        given[name] = value
    try:
        calculation = calculate(formula, read_arguments(formula, given), given)
    except ArgumentError as problem:
        raise UsageError(str(problem)) from None
    if arguments.format == "json":
        print_json(as_data(calculation))
        return
    _print_result(calculation, table_rows(calculation, digits=arguments.digits, us=arguments.units == "us"))


def _print_result(calculation: Calculation, rows: list[list[str]]) -> None:
    say(f"{calculation.formula.name}: {calculation.formula.title}", style="bold")
    for label, text in calculation.settings():
        print(f"  {label} = {text}")
    if len(rows) == 2 and not calculation.varied:
        for label, text in zip(*rows, strict=True):
            print(f"{label} = {text}")
        return
    print_table(rows[0], rows[1:], right=[True] * len(rows[0]))


# --- evidence ----------------------------------------------------------------------------------


def _evidence(formulas: list[Formula], arguments: argparse.Namespace) -> int:
    from leadsman.evidence import as_data, gather, read_rows

    wanted = {f.name for f in formulas}
    report = [e for e in gather(read_rows()) if e.formula.name in wanted]
    if arguments.format == "json":
        print_json(as_data(report))
    else:
        _print_evidence(report, detailed=arguments.name in wanted)
    return 1 if any(e.failures for e in report) else 0


def _print_evidence(report: list[Evidence], *, detailed: bool) -> None:
    from leadsman.evidence import BASES

    rows = []
    for evidence in report:
        worst = "-" if evidence.worst is None else f"{evidence.worst.error:.2g}"
        counts = ", ".join(f"{evidence.count(b)} {b}" for b in BASES if evidence.count(b)) or "none"
        rows.append((evidence.formula.name, str(len(evidence.witnesses)), worst, counts))
    heads = ("formula", "witnesses", "worst relative error", "basis")
    print_table(heads, rows, right=(False, True, True, False))
    if detailed:
        for evidence in report:
            _print_rows(evidence)
    for outcome in (o for e in report for o in e.failures):
        say(f"FAILED {outcome.row.label}: {outcome.problem}", style="red")
    total = sum(len(e.witnesses) for e in report)
    failed = sum(len(e.failures) for e in report)
    refuted = sum(o.row.known_bad and o.passed for e in report for o in e.outcomes)
    print(
        f"{counted(len(report), 'formula')}, {counted(total, 'witness')}, {counted(refuted, 'misprint')} refuted, {failed} failed"
    )


def _print_rows(evidence: Evidence) -> None:
    print(f"\naccuracy: {evidence.formula.accuracy}")
    for outcome in evidence.outcomes:
        row = outcome.row
        error = "" if outcome.error is None else f", error {outcome.error:.2g}"
        kind = "misprint, refuted" if row.known_bad else row.basis
        given = ", ".join(f"{name}={value}" for name, value in row.inputs.items())
        _print_entry(f"  {row.id}", f"{given}: {row.expected}{error} ({kind}) {row.source}")
