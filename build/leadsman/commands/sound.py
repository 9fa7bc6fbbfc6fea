"""``leadsman sound``: hold every supply limit of the cards against boats on which nothing is wrong."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from leadsman.commands.options import add_content, add_format, completed_by, ids_of, readable_content
from leadsman.commands.terminal import print_json, print_table, say
from leadsman.errors import UsageError, counted

if TYPE_CHECKING:
    from leadsman.book.sound_supply import Reading, SoundWalk
    from leadsman.content.catalogue import Catalogue


def add(subparsers: argparse._SubParsersAction[Any]) -> argparse.ArgumentParser:
    """Declare the command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "sound",
        help="hold the supply limits of the cards against sound boats",
        description="Compute what each boat reads at the supply checks with nothing wrong, cold and warm, its battery at "
        "either end of the sound range, and hold it against the printed limits. With entries, walk them on such boats: "
        "none may end in a verdict against a sound part of the supply.",
        epilog="examples:\n  leadsman sound\n  leadsman sound feed-falls-under-load fuse-blows-late",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    entries = parser.add_argument(
        "entries", nargs="*", metavar="ENTRY", help="walk these entries on each sound boat"
    )
    completed_by(entries, ids_of("faults"))
    add_content(parser)
    add_format(parser)
    return parser


def run(arguments: argparse.Namespace) -> int:
    """Act on the parsed arguments and return the exit code: 1 when a sound part is convicted."""

    catalogue = readable_content(arguments)
    for name in arguments.entries:
        if name not in catalogue.faults:
            raise UsageError(f"'{name}' is no fault entry; {catalogue.near('faults', name)}")
    if arguments.entries:
        return _walks(arguments.entries, catalogue, arguments.format)
    return _limits(catalogue, arguments.format)


def _limits(catalogue: Catalogue, form: str) -> int:
    from leadsman.book.sound_supply import SoundSupply, worst_readings

    wrong, found = 0, []
    for boat in catalogue.boats.values():
        supply = SoundSupply(boat, catalogue)
        worst = worst_readings(supply)
        wrong += sum(not reading.passes for reading in worst) if supply.lead_serves else 0
        found.append((str(boat.name), supply.lead_serves, worst))
    if form == "json":
        print_json([_as_data(*boat) for boat in found])
        return 1 if wrong else 0
    for name, serves, worst in found:
        say(f"{name}{'' if serves else ': its lead itself is too thin, and so no sound part'}", style="bold")
        rows = [
            (
                "passes" if reading.passes else "CONVICTED" if serves else "told",
                reading.check,
                reading.what,
                f"{reading.value:.2f}",
                f"{'at most' if reading.side == 'at most' else 'at least'} {reading.limit:.2f} {reading.unit}",
            )
            for reading in worst
        ]
        heads = ("verdict", "check", "what", "reads", "limit")
        print_table(heads, rows, right=(False, False, False, True, False))
    print(f"{counted(wrong, 'sound reading')} convicted")
    return 1 if wrong else 0


def _as_data(name: str, serves: bool, worst: list[Reading]) -> dict[str, Any]:
    readings = [
        {"check": r.check, "what": r.what, "value": r.value, "side": r.side, "limit": r.limit, "unit": r.unit,
         "passes": r.passes}
        for r in worst
    ]  # fmt: skip
    return {"boat": name, "lead_serves": serves, "readings": readings}


def _walks(entries: list[str], catalogue: Catalogue, form: str) -> int:
    from leadsman.book.sound_supply import SoundSupply, walk_sound
    from leadsman.content.decision import Decision

    supplies = [SoundSupply(boat, catalogue) for boat in catalogue.boats.values()]
    walks: dict[str, list[SoundWalk]] = {}
    for name in entries:
        decision = Decision(catalogue.faults[name], catalogue)
        found = [
            walk for supply in supplies for day in supply.days() for walk in walk_sound(decision, supply, day)
        ]
        walks[name] = list(dict.fromkeys(found))
    wrong = sum(bool(walk.blames) for found in walks.values() for walk in found)
    if form == "json":
        data = {
            name: [{"boat": w.boat, "steps": w.steps, "end": w.end, "blames": w.blames} for w in found]
            for name, found in walks.items()
        }
        print_json(data)
        return 1 if wrong else 0
    for name, found in walks.items():
        for walk in found:
            way = " > ".join(f"{check}: {answer}" for check, answer in walk.steps)
            told = f"; BLAMES {', '.join(walk.blames)}" if walk.blames else ""
            print(f"{name} {walk.boat}: {way} > {walk.end}{told}")
    print(f"{counted(wrong, 'walk')} with a verdict against a sound part of the supply")
    return 1 if wrong else 0
