"""See the checks of a fault entry as a set to be put in order: what each finds, costs, and must follow.

A check finds the causes that one of its answers convicts, where that answer leads to a finding which names
them. A verdict that names more causes than the one in which the card as written ends does not count: the
bypass battery that convicts "the feed" has not found the joint. Under each cause the reader follows the written answers, so that a check which an earlier answer leads
past is not made and costs nothing. The precedence is that of the rules of the trade; where an entry breaks
one (waived with a reason, or an error of its own) the written order stands.

Each history is judged by itself: by its own shares, on the way that its answer leads. An answer to the first
question that leads further on jumps; what it jumps over is not made, neither as written nor in the best order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from graphlib import TopologicalSorter

from leadsman.compute.diagnosis.best_order import OrderReport, compare_orders
from leadsman.compute.diagnosis.sequencing import TIE_MIN, Check, CheckSet, expected_minutes, is_legal
from leadsman.content.decision import CANNOT, Decision, ResolvedCheck
from leadsman.content.model.fault import HISTORIES
from leadsman.content.stages import COSTLY_RANK as COSTLY_RANK
from leadsman.content.stages import STAGES as STAGES
from leadsman.content.stages import SUPPLY_EARLY_PLACES as SUPPLY_EARLY_PLACES
from leadsman.content.stages import UNDER_LOAD as UNDER_LOAD


@dataclass(frozen=True)
class Way:
    """What a reader goes through under one cause, going on even after the check that convicts it."""

    made: tuple[str, ...]
    convicting: frozenset[str]
    #: Check by check, where the reader went on to.
    turns: tuple[tuple[str, str], ...]


def convicts(decision: Decision, check: ResolvedCheck, answer: str, cause: str) -> bool:
    """Whether an answer convicts a cause: it leads to a finding that names it, or shows it to another entry."""
    outcome = check.outcomes[answer]
    finding = decision.findings.get(decision.target(outcome))
    if finding is not None:
        return cause in finding.causes
    return outcome.to_entry is not None and cause in (outcome.shows or ())


def _width(decision: Decision, target: str) -> int:
    """How many causes a verdict names; another entry goes on to tell them apart."""
    finding = decision.findings.get(target)
    return len(finding.causes) if finding is not None else 1


def way_under(decision: Decision, cause: str, history: str) -> Way:
    """Follow the card under one cause to its end, as if no answer had convicted it."""
    made: list[str] = []
    convicting: dict[str, int] = {}
    turns: list[tuple[str, str]] = []
    node, seen = decision.start, set[str]()
    while node not in seen:
        seen.add(node)
        if node in decision.findings:
            # A finding that does not name the cause: its proof fails and the search goes on.
            node = decision.after_failed_proof(decision.findings[node])
            continue
        check = decision.checks.get(node)
        answer = check.answer_under(cause, history) if check is not None else None
        if check is None or answer is None:
            break
        made.append(node)
        target = decision.target(check.outcomes[answer])
        if convicts(decision, check, answer, cause):
            convicting[node] = _width(decision, target)
            target = _leading_on(decision, check, cause)
        turns.append((node, target))
        node = target
    written = next(iter(convicting.values()), 0)
    narrow = frozenset(name for name, width in convicting.items() if width <= written)
    return Way(tuple(made), narrow, tuple(turns))


def _leading_on(decision: Decision, check: ResolvedCheck, cause: str) -> str:
    """Where a reader would go who had not seen the answer that convicts: the expected one, else 'cannot'."""
    for answer in (check.default_answer() or CANNOT, CANNOT):
        if answer in check.outcomes and not convicts(decision, check, answer, cause):
            return decision.target(check.outcomes[answer])
    return ""


@dataclass
class Ordering:
    """The checks of one entry with what each finds and must follow; ``written`` is their order on the card."""

    decision: Decision
    histories: tuple[str, ...] = HISTORIES
    """The histories that count: their causes, their ways through the card, and the checks made on them."""

    @cached_property
    def ways(self) -> dict[tuple[str, str], Way]:
        """The way under each cause in each history in which it has a likelihood."""
        return {key: way for key, way in self._all_ways.items() if key[1] in self.histories}

    @cached_property
    def _all_ways(self) -> dict[tuple[str, str], Way]:
        return {
            (cause.id, history): way_under(self.decision, cause.id, history)
            for cause in self.decision.entry.causes
            for history in HISTORIES
            if cause.prior.share(history) > 0
        }

    def after(self, history: str) -> Ordering:
        """The same entry after one history alone: what its answer leads past is no part of it."""
        found = Ordering(self.decision, (history,))
        # What is the same after every history is found once.
        for name in ("_all_ways", "_reach", "convicting"):
            found.__dict__[name] = getattr(self, name)
        return found

    @cached_property
    def written(self) -> tuple[str, ...]:
        """The checks as they stand on the card, without those that only 'cannot' leads to."""
        made = {name for way in self.ways.values() for name in way.made}
        place = {name: number for number, name in enumerate(self.decision.checks)}
        before: dict[str, set[str]] = {name: set() for name in place}
        for name in place:
            for target in set(self.decision.links(name).values()) & set(place):
                before[target].add(name)
        # Where an answer leads back up the card, the walk's order counts.
        sorter = TopologicalSorter(before)
        sorter.prepare()
        order: list[str] = []
        ready: set[str] = set()
        while sorter.is_active():
            ready |= set(sorter.get_ready())
            name = min(ready, key=place.__getitem__)
            ready.remove(name)
            order.append(name)
            sorter.done(name)
        return tuple(name for name in order if name in made)

    def check_set(self) -> CheckSet:
        """The checks in written order, with the causes weighted by their shares over the histories.

        The likelihoods are the shares as written, over the sum of all shares of these histories.
        """
        columns, total = self._columns
        checks = []
        for name in self.written:
            body = self.decision.checks[name].body
            checks.append(
                Check(
                    name,
                    body.minutes,
                    {column: 1.0 for column, (finds, _) in columns.items() if name in finds},
                    frozenset({body.access}),
                    self.precedence[name],
                    self.after_any[name],
                    self._latest(name),
                    frozenset(column for column, (_, made) in columns.items() if name not in made),
                )
            )
        # A place that is none costs nothing here; its own rule tells it.
        nowhere = dict.fromkeys((self.decision.checks[name].body.access for name in self.written), 0.0)
        return CheckSet(tuple(checks), total, {**nowhere, **self.decision.setup_minutes})

    @cached_property
    def _columns(self) -> tuple[dict[str, tuple[frozenset[str], frozenset[str]]], dict[str, float]]:
        """Causes that behave alike, taken together: what finds them, what is made under them, their likelihood."""
        names: dict[tuple[frozenset[str], frozenset[str]], str] = {}
        shares: dict[str, float] = {}
        for cause in self.decision.entry.causes:
            for history in self.histories:
                way = self.ways.get((cause.id, history))
                if way is not None:
                    key = (way.convicting, frozenset(way.made))
                    name = names.setdefault(key, f"{cause.id} ({history})")
                    shares[name] = shares.get(name, 0.0) + cause.prior.share(history)
        total = sum(shares.values()) or 1.0
        likelihood = {name: share / total for name, share in shares.items()}
        return {name: key for key, name in names.items()}, likelihood

    def likelihoods(self, history: str) -> dict[str, float]:
        """The likelihood of each column of the checks' set after one history alone."""
        column = {key: name for name, key in self._columns[0].items()}
        shares: dict[str, float] = {}
        for cause in self.decision.entry.causes:
            if (way := self.ways.get((cause.id, history))) is not None:
                name = column[way.convicting, frozenset(way.made)]
                shares[name] = shares.get(name, 0.0) + cause.prior.share(history)
        total = sum(shares.values()) or 1.0
        return {name: share / total for name, share in shares.items()}

    @cached_property
    def convicting(self) -> frozenset[str]:
        """The checks that convict a cause, after whatever history: what does so seldom is free to stand later."""
        return frozenset().union(*(way.convicting for way in self._all_ways.values()))

    @cached_property
    def precedence(self) -> dict[str, frozenset[str]]:
        """For each check, those that must come before it; a pair that the written order breaks is turned round."""
        place = {name: number for number, name in enumerate(self.written)}
        found: dict[str, set[str]] = {name: set() for name in self.written}
        for first, then in self._pairs():
            if first in place and then in place and first != then:
                first, then = sorted((first, then), key=place.__getitem__)
                found[then].add(first)
        for name in self.written:
            for group in self._wanted[name]:
                earlier = place[name] > min(place[other] for other in group)
                # No one of the group stands before it: as written, all come after.
                for other in () if earlier else group:
                    found[other].add(name)
        return {name: frozenset(earlier) for name, earlier in found.items()}

    @cached_property
    def after_any(self) -> dict[str, tuple[frozenset[str], ...]]:
        """For each check, the groups of which at least one must come before it."""
        place = {name: number for number, name in enumerate(self.written)}
        return {
            name: tuple(
                group for group in self._wanted[name] if min(place[other] for other in group) < place[name]
            )
            for name in self.written
        }

    def _latest(self, name: str) -> int | None:
        early = self.written.index(name) < SUPPLY_EARLY_PLACES
        own_volts = self.decision.checks[name].supply_step == "P0"
        return min(SUPPLY_EARLY_PLACES, len(self.written)) if early and own_volts else None

    def _pairs(self) -> Iterator[tuple[str, str]]:
        """Each pair (first, then) that a rule of the trade, the entry or its branches demand."""
        checks = {name: self.decision.checks[name] for name in self.written}
        for name, check in checks.items():
            yield from ((earlier, name) for earlier in check.source.after)
            rank = self._rank(check)
            for other, then in checks.items():
                if any(
                    (
                        self._asks_history(check),
                        check.body.free and rank == 0 < self._rank(then),
                        then.body.kind == "restore" and check.body.kind != "restore",
                        rank == 0 and STAGES[check.body.kind] < 2 and check.body.kind != "trial"
                        and not check.body.wet and self._is_wet_or_costly(then),
                    )
                ):  # fmt: skip
                    yield name, other
            if self._sorts(check) or (name not in self.convicting and rank == 0):
                # It sends other faults elsewhere, or convicts nothing and costs little: its place has
                # another reason than the likelihoods, and it stays.
                yield from ((name, other) for other in self.written[self.written.index(name) + 1 :])
        yield from self._branches()

    def _branches(self) -> Iterator[tuple[str, str]]:
        """A check whose answer leads past another under some cause comes before that other."""
        for way in set(self.ways.values()):
            skipped = set(self.written) - set(way.made)
            for check, target in way.turns if skipped else ():
                others = {
                    node
                    for answer, exit_to in self.decision.links(check).items()
                    if answer != CANNOT and exit_to != target
                    for node in self._reach[exit_to]
                }
                yield from ((check, name) for name in skipped & others - self._reach[target])

    @cached_property
    def _reach(self) -> dict[str, frozenset[str]]:
        """For each node, every node that can be come to from it without a 'cannot', itself included."""
        found: dict[str, frozenset[str]] = {"": frozenset()}
        links = {n: self.decision.links(n) for n in (*self.decision.checks, *self.decision.findings)}
        for start in {*links, *(target for answers in links.values() for target in answers.values())}:
            queue, seen = [start], set[str]()
            while queue:
                node = queue.pop()
                if node not in seen:
                    seen.add(node)
                    queue += [t for answer, t in self.decision.links(node).items() if answer != CANNOT]
            found[start] = frozenset(seen)
        return found

    @cached_property
    def _wanted(self) -> dict[str, list[frozenset[str]]]:
        return {name: self._wanted_before(name) for name in self.written}

    def _wanted_before(self, name: str) -> list[frozenset[str]]:
        """Groups of checks of which one should come before this: looked, measured, supply and software proved."""
        check = self.decision.checks[name]
        others = {other: self.decision.checks[other] for other in self.written if other != name}
        groups: list[Collection[str]] = []
        stage = STAGES[check.body.kind]
        if 0 < stage < 3 and check.supply_step is None:
            groups += [
                {o for o, c in others.items() if c.supply_step is None and STAGES[c.body.kind] == lower
                 and component in c.body.tests}
                for component in check.body.tests for lower in range(stage)
            ]  # fmt: skip
        if self._condemns(check):
            groups.append({o for o, c in others.items() if c.supply_step in UNDER_LOAD})
            groups.append({o for o, c in others.items() if "software" in c.body.tests})
        groups += [{o for o, c in others.items() if component in c.body.tests} for component in self._open_suspects(check)]  # fmt: skip
        return list(dict.fromkeys(frozenset(group) for group in groups if group))

    def _condemns(self, check: ResolvedCheck) -> bool:
        targets = [self.decision.target(outcome) for outcome in check.outcomes.values()]
        return any(self.decision.findings[t].condemns for t in targets if t in self.decision.findings)

    def _open_suspects(self, check: ResolvedCheck) -> set[str]:
        """What a swap changed besides what its verdict blames: it must have been tested before."""
        swap, gone = check.body.swap, check.outcomes.get("returns")
        finding = self.decision.findings.get(self.decision.target(gone)) if gone is not None else None
        if swap is None or finding is None:
            return set()
        blamed = {self.decision.causes[c].component for c in finding.causes if c in self.decision.causes}
        return {*swap.part, *swap.carries} - blamed

    @staticmethod
    def _sorts(check: ResolvedCheck) -> bool:
        """Whether an answer sends what is no cause here to another entry."""
        return any(o.to_entry is not None and o.shows == [] for o in check.outcomes.values())

    def _rank(self, check: ResolvedCheck) -> int:
        access = self.decision.catalogue.records["access"].get(check.body.access)
        return access.rank if access else 0

    def _is_wet_or_costly(self, check: ResolvedCheck) -> bool:
        return check.body.wet or self._rank(check) >= COSTLY_RANK

    @staticmethod
    def _asks_history(check: ResolvedCheck) -> bool:
        return set(HISTORIES) <= set(check.outcomes)


@dataclass(frozen=True)
class Move:
    """One check moved: it, the check that it then comes before (none: to the end), and the minutes saved."""

    check: str
    before: str | None
    saves_min: float

    def __str__(self) -> str:
        return f"move '{self.check}' " + (f"before '{self.before}'" if self.before else "to the end")


def compare(ordering: Ordering) -> OrderReport:
    """The written order beside the best legal one, over the histories of the ordering."""
    return compare_orders(ordering.check_set(), ordering.written)


def by_history(ordering: Ordering) -> dict[str, OrderReport]:
    """For each history in which a cause has a likelihood, its written order beside the best for it alone."""
    known = dict.fromkeys(history for _, history in ordering.ways)
    histories = [history for history in HISTORIES if history in known]
    whole = set(ordering.ways.values())
    if any(set(ordering.after(history).ways.values()) != whole for history in histories):
        return {history: compare(ordering.after(history)) for history in histories}
    # The reader goes the same ways after each of them: only the likelihoods differ.
    checks = ordering.check_set()
    return {
        history: compare_orders(checks.weighted(ordering.likelihoods(history)), ordering.written)
        for history in histories
    }


def minutes_under(ordering: Ordering, order: Sequence[str], cause: str, history: str) -> float | None:
    """Minutes of the checks that an order makes under one cause until one convicts it; ``None`` when none does."""
    way, total, opened = ordering.ways.get((cause, history)), 0.0, set[str]()
    for name in order if way is not None else ():
        if way is not None and name in way.made:
            body = ordering.decision.checks[name].body
            setup = ordering.decision.setup_minutes.get(body.access, 0.0)
            total += body.minutes + (0.0 if body.access in opened else setup)
            opened.add(body.access)
            if name in way.convicting:
                return total
    return None


def best_move(checks: CheckSet, written: Sequence[str]) -> Move | None:
    """The single move of one check that saves most and keeps the order legal; of equals the first."""
    now, best = expected_minutes(checks, written), None
    for start, name in enumerate(written):
        rest = [*written[:start], *written[start + 1 :]]
        for end in range(len(written)):
            order = [*rest[:end], name, *rest[end:]]
            if end == start or not is_legal(checks, order):
                continue
            saved = now - expected_minutes(checks, order)
            if saved > (best.saves_min if best else 0.0) + TIE_MIN:
                best = Move(name, rest[end] if end < len(rest) else None, saved)
    return best
