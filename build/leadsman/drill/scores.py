"""What the drill tells: shares by entry, the book's worst turns with a boat to replay, ways never taken."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from leadsman.content.decision import CANNOT, Decision
from leadsman.content.model.edition import DrillTargets
from leadsman.content.ordering import Ordering, compare, minutes_under
from leadsman.drill.run import Outcome

#: How many boats of one wrong turn are named, and how many turns are listed.
_NAMED, _LISTED = 3, 40


@dataclass
class EntryScore:
    """The figures of one entry over its drilled boats; shares are of boats with one fault."""

    entry: str
    code: str
    title: str
    boats: int = 0
    right: float = 0.0
    condemned: float = 0.0
    """A sound part was renewed."""
    convicted: float = 0.0
    """A remedy was tried that did not cure, and the card led on."""
    handed_over: float = 0.0
    """Handed over though the entry knows the cause."""
    endless: float = 0.0
    rounds: float = 0.0
    minutes: float = 0.0
    """On the card itself, over the boats that it found and whose least time is known."""
    best_minutes: float = 0.0
    """Of the best legal order for each of these boats: its history and its cause."""
    all_minutes: float = 0.0
    """To a right end, on whatever card, remedies not counted."""
    doubles: int = 0
    doubles_safe: float = 1.0
    """Of boats with two faults: right, or handed over with no sound part renewed."""
    sound: int = 0
    sound_convicted: float = 0.0
    telephone: int = 0
    telephone_solved: float = 0.0
    not_shown: int = 0
    """Boats whose fault never brought the condition about."""
    never_taken: list[str] = field(default_factory=list)

    @property
    def over_best(self) -> float:
        """How much longer the card took than the best legal order for the same boats, as a share of that order's minutes.

        Both are means over the boats that the card itself found and whose least time is known; of all entries together,
        means of their means by numbers of boats. 0 where no boat was timed.
        """
        return self.minutes / self.best_minutes - 1 if self.best_minutes else 0.0


@dataclass
class Turn:
    """A wrong turn of the book: what was wrong with the boat, what the card did, how often, and boats to replay."""

    entry: str
    fault: str
    what: str
    where: str
    count: int
    boats: list[str]


@dataclass
class Figures:
    """All figures of one drill."""

    seed: int
    boats: int
    errors: float
    total: EntryScore
    entries: list[EntryScore]
    turns: list[Turn]
    coverage: dict[str, Any]

    def as_data(self) -> dict[str, Any]:
        """As plain data, for JSON."""
        data = asdict(self)
        for told, score in zip((data["total"], *data["entries"]), (self.total, *self.entries), strict=True):
            told["over_best"] = score.over_best
        return data


def judge(outcomes: Iterable[Outcome], decisions: Mapping[str, Decision], seed: int, errors: float,
          coverage: dict[str, Any]) -> Figures:  # fmt: skip
    """Figures by entry and over all."""
    by_entry: dict[str, list[Outcome]] = defaultdict(list)
    everything = []
    for outcome in outcomes:
        by_entry[outcome.walk.entry].append(outcome)
        everything.append(outcome)
    taken = {edge for o in everything for edge in o.walk.edges}
    scores = [_score(decisions[name], found, taken) for name, found in by_entry.items()]
    total = _sum(everything)
    weights = [s.boats for s in scores if s.best_minutes]
    total.best_minutes = _mean([s.best_minutes for s in scores if s.best_minutes], weights)
    total.minutes = _mean([s.minutes for s in scores if s.best_minutes], weights)
    return Figures(seed, len(everything), errors, total, scores, _turns(everything), coverage)


def _mean(values: list[float], weights: list[int]) -> float:
    return sum(v * w for v, w in zip(values, weights, strict=True)) / sum(weights) if sum(weights) else 0.0


def _share(outcomes: list[Outcome], said: Any) -> float:
    return sum(bool(said(o)) for o in outcomes) / len(outcomes) if outcomes else 0.0


def _sum(outcomes: list[Outcome]) -> EntryScore:
    score = EntryScore("", "", "All entries")
    drilled = [o for o in outcomes if o.kind == "fault"]
    score.not_shown = sum(not o.shows for o in drilled)
    single = [o for o in drilled if o.shows and not o.double]
    double = [o for o in drilled if o.shows and o.double]
    score.boats, score.doubles = len(single), len(double)
    score.right = _share(single, lambda o: o.walk.right)
    score.condemned = _share(single, lambda o: o.walk.condemned)
    score.convicted = _share(single, lambda o: o.walk.convicted)
    score.handed_over = _share(single, lambda o: o.walk.end == "hand-over")
    score.endless = _share(single, lambda o: o.walk.end in ("patience", "stranded"))
    score.rounds = _share(single, lambda o: o.walk.rounds)
    ended = [o.walk.minutes for o in single if o.walk.right]
    score.all_minutes = sum(ended) / len(ended) if ended else 0.0
    if double:
        score.doubles_safe = _share(
            double, lambda o: (o.walk.right or o.walk.end == "hand-over") and not o.walk.condemned
        )
    sound = [o for o in outcomes if o.kind == "sound"]
    score.sound, score.sound_convicted = len(sound), _share(sound, lambda o: o.walk.condemned)
    calls = [o for o in outcomes if o.kind == "telephone" and o.shows]
    score.telephone, score.telephone_solved = len(calls), _share(calls, lambda o: o.walk.right)
    return score


def _score(decision: Decision, outcomes: list[Outcome], taken: set[tuple[str, str, str]]) -> EntryScore:
    score = _sum(outcomes)
    entry = decision.entry
    score.entry, score.code, score.title = entry.id, entry.code, str(entry.title)
    if entry.kind == "fault":
        _time(score, decision, outcomes)
    score.never_taken = [
        f"{check.id}: {answer}" for check in decision.checks.values() for answer in check.outcomes
        if answer != CANNOT and (entry.id, check.id, answer) not in taken
    ]  # fmt: skip
    return score


def _time(score: EntryScore, decision: Decision, outcomes: list[Outcome]) -> None:
    """Minutes beside those of the best legal order, boat by boat.

    That order knows only its own card: what a boat cost on other cards, where its supply was found poor by the way,
    is in ``all_minutes``.
    """
    ordering = Ordering(decision)
    orders: dict[str, tuple[str, ...]] = {}
    spent = best = 0.0
    count = 0
    for o in outcomes:
        here = o.walk.right and o.walk.last_entry == o.walk.entry and not o.start
        if o.kind != "fault" or not o.shows or o.double or not here:
            continue
        if o.history not in orders:
            orders[o.history] = tuple(compare(ordering.after(o.history)).best.order)
        least = minutes_under(ordering, orders[o.history], o.walk.cause, o.history)
        if least is not None:
            spent, best, count = spent + o.walk.own_minutes, best + least, count + 1
    score.minutes, score.best_minutes = (spent / count, best / count) if count else (0.0, 0.0)


def _turns(outcomes: list[Outcome]) -> list[Turn]:
    """The wrong turns, the gravest and most frequent first."""
    counts: Counter[tuple[str, str, str, str]] = Counter()
    boats: dict[tuple[str, str, str, str], list[str]] = defaultdict(list)
    for outcome in outcomes:
        walk = outcome.walk
        if not outcome.shows or outcome.double or outcome.kind == "telephone":
            continue
        fault = outcome.faults[0] if outcome.faults else "nothing wrong"
        if outcome.kind == "sound" and not walk.condemned:
            continue
        told = [("renews a sound part", where) for where in walk.condemned]
        told += [("remedy does not cure", where) for where in walk.convicted if where not in walk.condemned]
        if walk.end in ("patience", "stranded"):
            told.append(("goes round without end", f"{walk.last_entry}/{walk.last_node}"))
        elif walk.end == "hand-over" and outcome.kind == "fault":
            told.append(("hands over", f"{walk.last_entry}/{walk.last_node}"))
        elif walk.end == "finding" and not walk.right and outcome.kind == "fault" and not told:
            told.append(("ends at another cause", f"{walk.last_entry}/{walk.last_node}"))
        for what, where in told:
            key = (walk.entry, fault, what, where)
            counts[key] += 1
            if outcome.id not in boats[key]:
                boats[key].append(outcome.id)
    grave = {
        "renews a sound part": 5,
        "goes round without end": 4,
        "ends at another cause": 2,
        "hands over": 2,
    }
    ranked = sorted(counts, key=lambda k: (-counts[k] * grave.get(k[2], 1), k))
    return [Turn(*key, counts[key], boats[key][:_NAMED]) for key in ranked[:_LISTED]]


def shortfalls(figures: Figures, targets: DrillTargets) -> list[str]:
    """Each target that the figures miss, in words; empty when the book may go out."""
    total = figures.total
    found = []
    if total.right < targets.right:
        found.append(f"isolated rightly {total.right:.1%}, wanted {100 * targets.right:g}% or more")
    if total.condemned > targets.condemned:
        found.append(f"sound part renewed {total.condemned:.1%}, wanted {targets.condemned:.0%} or less")
    if total.endless > targets.endless:
        found.append(f"walks without an end {total.endless:.1%}, wanted {targets.endless:.0%} or less")
    if total.over_best > targets.over_best:
        found.append(
            f"minutes {total.over_best:.0%} over the best legal order, wanted {targets.over_best:.0%} or less"
        )
    if total.doubles and total.doubles_safe < targets.doubles_safe:
        found.append(
            f"two faults: safe in {total.doubles_safe:.1%}, wanted {targets.doubles_safe:.0%} or more"
        )
    if total.sound and total.sound_convicted > targets.sound_convicted:
        found.append(
            f"sound boats convicted {total.sound_convicted:.1%}, wanted {targets.sound_convicted:.0%} or less"
        )
    if figures.coverage["share"] < targets.coverage:
        found.append(
            f"checks that can be acted out {figures.coverage['share']:.1%}, wanted {targets.coverage:.0%} or more"
        )
    return found


@dataclass
class Difference:
    """One entry then and now."""

    code: str
    title: str
    before: Mapping[str, float]
    after: Mapping[str, float]

    def worse(self) -> bool:
        return (
            self.after["right"] < self.before["right"] - 1e-9
            or self.after["condemned"] > self.before["condemned"] + 1e-9
            or self.after["endless"] > self.before["endless"] + 1e-9
        )


_COMPARED = ("right", "condemned", "convicted", "handed_over", "endless", "minutes", "sound_convicted")


def against(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """The entries whose figures changed between two drills of the same seed, the worse ones first."""
    then = {s["entry"]: s for s in before["entries"]}
    found = []
    for score in [after["total"], *after["entries"]]:
        old = before["total"] if not score["entry"] else then.get(score["entry"])
        if old is None:
            continue
        one, two = ({k: float(s[k]) for k in _COMPARED} for s in (old, score))
        if one != two:
            found.append(Difference(score["code"], score["title"], one, two))
    return sorted(found, key=lambda d: (bool(d.code), not d.worse(), d.after["right"] - d.before["right"]))
