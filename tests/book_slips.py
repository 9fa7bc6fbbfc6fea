"""Slips of a writer, put into the book one at a time: check and drill together must notice nearly all of them.

Each is a change that leaves the content readable. They are of our own making, of the kinds that a writer makes with
a clear conscience: answers exchanged, a limit shifted, a step dropped, a letter to another fix, a caution lost, a
likelihood turned round, a loop over two entries, a sign moved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.fault import Check, FaultEntry, Outcome
from leadsman.content.rules import RULES, Context, load_rules
from leadsman.drill.run import Drill, Task
from leadsman.drill.run import Outcome as Drilled
from leadsman.errors import LeadsmanError

Change = Callable[[Catalogue], None]


@dataclass(frozen=True)
class Slip:
    """One slip: what it is, which entries the drill tries it on, and the change."""

    name: str
    kind: str
    entries: tuple[str, ...]
    change: Change


# --- how a record is changed


def _entry(catalogue: Catalogue, name: str, **update: Any) -> None:
    catalogue.records["faults"][name] = catalogue.faults[name].model_copy(update=update)


def _checks(catalogue: Catalogue, entry: str, check: str, change: Callable[[Check], Check]) -> None:
    found = [change(c) if c.id == check else c for c in catalogue.faults[entry].checks]
    assert any(c.id == check for c in found), f"{entry} has no check {check}"
    _entry(catalogue, entry, checks=found)


def _leads(outcome: Outcome, other: Outcome) -> Outcome:
    return outcome.model_copy(update={"then": other.then, "to_entry": other.to_entry})


def exchanged(entry: str, check: str, one: str = "yes", two: str = "no") -> Slip:
    """The ways of two answers are exchanged; what the writer says of them stays."""

    def change(catalogue: Catalogue) -> None:
        def swap(found: Check) -> Check:
            a, b = found.outcomes[one], found.outcomes[two]
            return found.model_copy(
                update={"outcomes": {**found.outcomes, one: _leads(a, b), two: _leads(b, a)}}
            )

        _checks(catalogue, entry, check, swap)

    return Slip(f"{entry}: {check}, {one} and {two} exchanged", "answers exchanged", (entry,), change)


def redirected(entry: str, check: str, answer: str, target: str, kind: str = "letter to another fix") -> Slip:
    """An answer leads to another node."""

    def change(catalogue: Catalogue) -> None:
        def turn(found: Check) -> Check:
            other = "to_entry" in target
            way = (
                {"then": None, "to_entry": target.removeprefix("to_entry ")}
                if other
                else {"then": target, "to_entry": None}
            )
            outcome = found.outcomes[answer].model_copy(update=way)
            return found.model_copy(update={"outcomes": {**found.outcomes, answer: outcome}})

        _checks(catalogue, entry, check, turn)

    return Slip(f"{entry}: {check}, {answer} to {target}", kind, (entry,), change)


def dropped(entry: str, check: str) -> Slip:
    """A step is left out; whatever led to it leads to where its ordinary answer led."""

    def change(catalogue: Catalogue) -> None:
        decision = Decision(catalogue.faults[entry], catalogue)
        ordinary = decision.checks[check].default_answer() or "yes"
        way = (
            catalogue.faults[entry]
            .checks[[c.id for c in catalogue.faults[entry].checks].index(check)]
            .outcomes[ordinary]
        )
        kept = []
        for found in catalogue.faults[entry].checks:
            if found.id == check:
                continue
            outcomes = {a: _leads(o, way) if o.then == check else o for a, o in found.outcomes.items()}
            kept.append(
                found.model_copy(
                    update={"outcomes": outcomes, "after": [a for a in found.after if a != check]}
                )
            )
        findings = [
            f.model_copy(update={"unproved": way.then}) if f.unproved == check else f
            for f in catalogue.faults[entry].findings
        ]
        _entry(catalogue, entry, checks=kept, findings=findings)

    return Slip(f"{entry}: step {check} dropped", "step dropped", (entry,), change)


def valued(value: str, declared: str, *entries: str) -> Slip:
    """A declared limit is typed wrong, or a computed one is replaced by a wrong number."""

    def change(catalogue: Catalogue) -> None:
        found = catalogue.values[value]
        catalogue.records["values"][value] = found.model_copy(
            update={"declared": declared, "computed": None, "each": None, "source": "common-practice"}
        )

    return Slip(f"{value} is {declared}", "limit shifted", entries, change)


def tabled(table: str, given: Mapping[str, Any], *entries: str) -> Slip:
    """A table is computed from a wrong given."""

    def change(catalogue: Catalogue) -> None:
        found = catalogue.tables[table]
        catalogue.records["tables"][table] = found.model_copy(update={"given": {**found.given, **given}})

    return Slip(f"{table} with {dict(given)}", "table input", entries, change)


def assumed(assumption: str, value: str, *entries: str) -> Slip:
    """An assumption is typed wrong."""

    def change(catalogue: Catalogue) -> None:
        found = catalogue.records["assumptions"][assumption]
        catalogue.records["assumptions"][assumption] = found.model_copy(update={"value": value})

    return Slip(f"{assumption} is {value}", "table input", entries, change)


def pinned(transducer: str, what: str, factor: float, *entries: str) -> Slip:
    """A reading of the pin table is typed wrong. The boat's own pins are made from it: nobody can notice."""

    def change(catalogue: Catalogue) -> None:
        found = catalogue.transducers[transducer]
        pins = [
            p.model_copy(update={"expected": p.expected * factor}) if p.what == what else p
            for p in found.pins
        ]
        catalogue.records["transducers"][transducer] = found.model_copy(update={"pins": pins})

    return Slip(f"{transducer}: {what} times {factor}", "limit shifted", entries, change)


def turned_likelihood(entry: str, cause: str, shares: Mapping[str, float]) -> Slip:
    """A likelihood is turned round."""

    def change(catalogue: Catalogue) -> None:
        causes = [
            c.model_copy(update={"prior": c.prior.model_copy(update=dict(shares))}) if c.id == cause else c
            for c in catalogue.faults[entry].causes
        ]
        _entry(catalogue, entry, causes=causes)

    return Slip(f"{entry}: {cause} {dict(shares)}", "likelihood", (entry,), change)


def moved_sign(words: str, entry: str, to: str) -> Slip:
    """A line of the index stands with another entry."""

    def change(catalogue: Catalogue) -> None:
        here, there = catalogue.faults[entry].condition, catalogue.faults[to].condition
        sign = next(s for s in here.signs if s.words == words)
        _entry(
            catalogue,
            entry,
            condition=here.model_copy(update={"signs": [s for s in here.signs if s is not sign]}),
        )
        _entry(catalogue, to, condition=there.model_copy(update={"signs": [*there.signs, sign]}))

    return Slip(f"'{words}' to {to}", "sign moved", (entry,), change)


def without_caution(check: str, caution: str) -> Slip:
    """A shared check loses a caution."""

    def change(catalogue: Catalogue) -> None:
        found = catalogue.checks[check]
        assert caution in found.cautions, f"{check} has no {caution}"
        catalogue.records["checks"][check] = found.model_copy(
            update={"cautions": [c for c in found.cautions if c != caution]}
        )

    return Slip(f"{check} without {caution}", "caution lost", (), change)


def for_owner(entry: str, finding: str) -> Slip:
    """A fix that is none for an owner is marked safe."""

    def change(catalogue: Catalogue) -> None:
        findings = [
            f.model_copy(update={"owner_safe": True}) if f.id == finding else f
            for f in catalogue.faults[entry].findings
        ]
        _entry(catalogue, entry, findings=findings)

    return Slip(f"{entry}: {finding} for owners", "owner", (), change)


def renamed_cause(entry: str, finding: str, causes: list[str]) -> Slip:
    """A finding names other causes than those that lead to it."""

    def change(catalogue: Catalogue) -> None:
        findings = [
            f.model_copy(update={"causes": causes}) if f.id == finding else f
            for f in catalogue.faults[entry].findings
        ]
        _entry(catalogue, entry, findings=findings)

    return Slip(f"{entry}: {finding} names {', '.join(causes)}", "letter to another fix", (entry,), change)


def unproved(entry: str, finding: str, target: str) -> Slip:
    """A failed proof leads to a wrong place."""

    def change(catalogue: Catalogue) -> None:
        findings = [
            f.model_copy(update={"unproved": target}) if f.id == finding else f
            for f in catalogue.faults[entry].findings
        ]
        _entry(catalogue, entry, findings=findings)

    return Slip(f"{entry}: {finding} unproved to {target}", "way of a failed proof", (entry,), change)


SLIPS: tuple[Slip, ...] = (
    # answers exchanged
    exchanged("dead-unit", "fuse"), exchanged("dead-unit", "neighbours"), exchanged("dead-unit", "plug"),
    exchanged("dead-unit", "legs", "joint", "leg"), exchanged("dead-unit", "swap", "returns", "not-back"),
    exchanged("no-sensor", "temperature"), exchanged("no-sensor", "reseat"), exchanged("no-sensor", "adapter", "returns", "same"),
    exchanged("depth-never-appeared", "band"), exchanged("transducer-suspected", "face"),
    exchanged("depth-lost-under-way", "rev", "no", "volts"), exchanged("depth-lost-under-way", "turns", "one-turn", "trim"),
    exchanged("over-voltage", "terminals"), exchanged("cross-talk", "own-off"), exchanged("weak-picture", "settings"),
    exchanged("one-band-only", "pins", "line", "housing"), exchanged("temperature-wrong", "source"),
    exchanged("wrong-by-constant", "heights", "once", "twice"), exchanged("fuse-blows-late", "rating", "small", "shared"),
    exchanged("which-part", "pins", "line", "identification"), exchanged("simulated-data", "card"),
    # letter to another fix
    redirected("dead-unit", "battery", "no", "found-fuse"), redirected("no-sensor", "walk", "no", "found-plug"),
    redirected("depth-flashes", "quiet", "no", "found-face"), redirected("feed-falls-under-load", "battery", "no", "found-lead"),
    redirected("noise-streaks", "one-by-one", "device", "found-motor"), redirected("depth-missing-on-bus", "ohms", "high", "found-short"),
    redirected("speed-wrong", "reseat", "no", "found-wheel"), redirected("water-at-fitting", "paper", "ring", "found-screws"),
    renamed_cause("in-hull-weak", "found-void", ["outside"]), renamed_cause("heavy-band-at-top", "found-face", ["bed"]),
    # a step dropped
    dropped("dead-unit", "plug"), dropped("dead-unit", "battery"), dropped("depth-never-appeared", "settings"),
    dropped("depth-flashes", "face"), dropped("no-sensor", "reseat"), dropped("weak-picture", "face"),
    dropped("restarts-on-transmit", "card"), dropped("not-transmitting", "settings"), dropped("one-side-dark", "both"),
    dropped("cross-talk", "pace"), dropped("depth-frozen", "live"),
    # a limit shifted
    valued("battery-loaded", "13.0 V", "dead-unit"), valued("own-volts-change", "0.1 V", "weak-picture", "no-sensor"),
    valued("own-volts-floor", "12.4 V", "weak-picture", "no-sensor"), valued("joint-drop", "3 V", "feed-falls-under-load", "dead-unit"),
    valued("insulation-good", "0.001 Mohm", "water-at-fitting"), valued("battery-fall", "0.02 V", "feed-falls-under-load"),
    valued("over-volts", "13.5 V", "over-voltage"), valued("over-volts", "18.5 V", "over-voltage"),
    valued("rest-high", "11.5 V", "over-voltage"), valued("bus-pair", "90 to 130 ohm", "depth-missing-on-bus"),
    valued("bus-node", "12.6 V", "depth-missing-on-bus"), valued("crank-joint-drop", "0.02 V", "restarts-on-cranking"),
    valued("temperature-agrees", "0.05 C", "temperature-wrong"), valued("ripple-good", "1 V", "noise-streaks"),
    tabled("plug-volts", {"low_limit_margin": "3 V"}, "one-band-only"), assumed("lamp-current", "0.2 A", "dead-unit"),
    pinned("td-70-190", "identification", 1.3, "which-part"), exchanged("over-voltage", "posts", "no", "charger"),
    # loops over entries
    redirected("which-part", "version", "yes", "to_entry depth-flashes", "loop"),
    redirected("restarts-on-transmit", "card", "yes", "to_entry restarts-on-cranking", "loop"),
    redirected("no-sensor", "settings", "yes", "to_entry which-part", "loop"),
    redirected("noise-streaks", "all-off", "no", "to_entry cross-talk", "loop"),
    # signs
    moved_sign("It will not switch on", "dead-unit", "fish-as-streaks"),
    moved_sign("Depth flashes or turns to dashes", "depth-flashes", "temperature-wrong"),
    moved_sign("It says that it finds no transducer", "no-sensor", "sides-exchanged"),
    # cautions, owners, proofs, likelihoods
    without_caution("pin-readings", "live-element"), without_caution("speed-trial", "running-propeller"),
    without_caution("lamp-at-plug", "petrol-vapour"), for_owner("dead-unit", "found-fuse"),
    for_owner("wrong-by-constant", "found-level"), unproved("dead-unit", "found-fuse", "found-fuse"),
    unproved("no-sensor", "found-supply", "found-cable"),
    turned_likelihood("temperature-wrong", "thermistor", {"in_service": 95}),
    turned_likelihood("dead-unit", "display", {"in_service": 95, "after_impact": 95}),
)  # fmt: skip


# --- how a slip is noticed


@contextmanager
def put_in(catalogue: Catalogue, slip: Slip) -> Iterator[Catalogue]:
    """The content with the slip in it; the given one stays as it is."""
    changed = replace(catalogue, records={kind: dict(records) for kind, records in catalogue.records.items()})
    slip.change(changed)
    yield changed


def said_by_check(catalogue: Catalogue, slip: Slip) -> set[tuple[str, str]]:
    """What the rules say of the slip's entries, or of all where it names none: rule and words.

    Only the slip's own entries are looked at, so that many slips can be tried; what the rules say of the way
    into an entry that is left out is the same before and after.
    """
    load_rules()
    kept = {n: e for n, e in catalogue.faults.items() if not slip.entries or n in slip.entries}
    context = Context(replace(catalogue, records={**catalogue.records, "faults": kept}))
    found = set()
    for rule in RULES.values():
        if not slip.entries and rule.id in _SLOW:
            continue
        try:
            found |= {(rule.id, problem.what) for problem in rule.find(context)}
        except LeadsmanError as error:
            found.add((rule.id, str(error)))
    return found


#: Rules of order and of the whole book: they say nothing of a caution, and take long over all entries.
_SLOW = {"order", "rounds"}


def drilled(book: Drill, entry: str, boats: int, seed: int = 5) -> list[Drilled]:
    """The same boats each time, with faults and sound, in hands that do not err."""
    faulty = [book.boat(Task(entry, 0, 1, seed, "fault", 0.0), number) for number in range(boats)]
    return faulty + [book.boat(Task(entry, 0, 1, seed, "sound", 0.0), number) for number in range(boats // 4)]


def worse(before: list[Drilled], after: list[Drilled]) -> int:
    """How many boats fare worse than before: no longer found, a sound part renewed, more wrong remedies, no end."""
    count = 0
    for one, two in zip(before, after, strict=True):
        graver = len(two.walk.condemned) > len(one.walk.condemned) or len(two.walk.convicted) > len(
            one.walk.convicted
        )
        ended = two.walk.end in ("patience", "stranded") and one.walk.end not in ("patience", "stranded")
        longer = two.walk.minutes > 1.05 * one.walk.minutes + 1
        lost = one.walk.right and not two.walk.right
        count += lost or graver or ended or longer
    return count


def entry_of(catalogue: Catalogue, name: str) -> FaultEntry:
    """An entry by its id."""
    return catalogue.faults[name]
