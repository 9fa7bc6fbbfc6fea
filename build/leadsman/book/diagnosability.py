"""How well the written checks find a fault: what they cannot tell apart, and how long they take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.compute.diagnosis.best_order import OrderReport
from leadsman.compute.diagnosis.sequencing import CheckSet
from leadsman.compute.diagnosis.swap_matrix import SwapMatrix, ambiguity_groups
from leadsman.compute.diagnosis.testability import fraction_detected, fraction_isolated
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, Decision, label
from leadsman.content.model.fault import HISTORIES, FaultEntry, SharedCheck
from leadsman.content.ordering import Move, Ordering, best_move, by_history, compare

#: By when the share of faults found is told, in minutes.
BY_MINUTES = (5, 10, 20, 30, 60)


@dataclass(frozen=True)
class CheckColumn:
    """A column of an entry's matrix: a check, and the answer that is seen under each cause."""

    number: int
    check: str
    answers: Mapping[str, str]


@dataclass(frozen=True)
class Group:
    """Causes that end in the same finding; ``told_apart`` when some check of the entry answers them differently."""

    finding: str
    says: str
    causes: tuple[str, ...]
    share: float
    told_apart: bool


@dataclass(frozen=True)
class HistoryMinutes:
    """Expected minutes in one history, by the order as written and by the best one for that history.

    ``waived`` is the writer's reason where the entry lets this history be slow.
    """

    history: str
    written_min: float
    best_min: float
    excess: float
    waived: str = ""


@dataclass(frozen=True)
class EntryDiagnosis:
    """How well one entry finds its causes; shares are fractions of all its causes over all histories.

    ``isolated`` is the share that ends in a finding of its own, ``separable`` the share that no other
    cause resembles in every check, ``found_by`` the share found by each of :data:`BY_MINUTES`.
    """

    code: str
    entry: str
    title: str
    shares: Mapping[str, float]
    columns: tuple[CheckColumn, ...]
    groups: tuple[Group, ...]
    isolated: float
    separable: float
    written_min: float
    best_min: float
    excess: float
    exact: bool
    best_order: tuple[str, ...]
    move: Move | None
    histories: tuple[HistoryMinutes, ...]
    found_by: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Installation:
    """The shared checks against the components of the chain, over all entries.

    ``matrix`` holds for each check the components that it exercises. ``groups`` are components that no
    check tells apart, ``untested`` those that none exercises. The fractions are weighted by ``weights``, the
    components' shares in all entries.
    """

    components: tuple[str, ...]
    checks: tuple[str, ...]
    matrix: Mapping[str, frozenset[str]]
    groups: tuple[tuple[str, ...], ...]
    untested: tuple[str, ...]
    weights: Mapping[str, float]
    detected: float
    isolated: float


@dataclass(frozen=True)
class Diagnosability:
    """The installation's matrix, and the entries, those whose order loses most first."""

    installation: Installation
    entries: tuple[EntryDiagnosis, ...]


def diagnosability(catalogue: Catalogue) -> Diagnosability:
    """Tell for the installation and for each fault entry how well the checks find the fault.

    Entries whose structure is unsound are left out: their problems stand in the check.
    """
    decisions = [Decision(entry, catalogue) for entry in catalogue.faults.values() if entry.kind == "fault"]
    entries = [diagnose(decision) for decision in decisions if decision.sound]
    worst_first = sorted(entries, key=lambda e: (-round(e.excess, 3), e.isolated, -e.written_min))
    return Diagnosability(installation(catalogue), tuple(worst_first))


def involved_components(check: SharedCheck) -> frozenset[str]:
    """The components that a check exercises: those it tests, of a swap those exchanged and brought along."""
    return frozenset([*check.swap.part, *check.swap.carries] if check.swap else check.tests)


def installation(catalogue: Catalogue) -> Installation:
    """The matrix of the installation: which component each shared check exercises."""
    components = tuple(catalogue.records["components"])
    tests = {name: involved_components(check) & set(components) for name, check in catalogue.checks.items()}
    tests = {name: involved for name, involved in tests.items() if involved}
    matrix = SwapMatrix(components, tests)
    weights = _weights(catalogue, components)
    tested = {c for c in components if matrix.signatures[c]}
    known = sum(weights[c] for c in tested) > 0
    return Installation(
        components,
        tuple(tests),
        tests,
        tuple(group for group in ambiguity_groups(matrix, among=tested) if len(group) > 1),
        tuple(c for c in components if c not in tested),
        weights,
        fraction_detected(matrix, weights) if known else 0.0,
        fraction_isolated(matrix, 1, weights) if known else 0.0,
    )


def _weights(catalogue: Catalogue, components: Sequence[str]) -> dict[str, float]:
    """The share of each component in the causes of all entries, each entry counting alike."""
    found = dict.fromkeys(components, 0.0)
    entries = [entry for entry in catalogue.faults.values() if entry.kind == "fault"]
    for entry in entries:
        shares = {c.id: c.prior.whole for c in entry.causes}
        total = sum(shares.values()) or 1.0
        for cause in entry.causes:
            if cause.component in found:
                found[cause.component] += shares[cause.id] / total / len(entries)
    return found


def diagnose(decision: Decision) -> EntryDiagnosis:
    """Tell how well one entry finds its causes, over all histories by the shares of the causes."""
    ordering, entry = Ordering(decision), decision.entry
    report, checks = compare(ordering), ordering.check_set()
    weights = {c.id: c.prior.whole for c in entry.causes}
    shares = {name: weight / (sum(weights.values()) or 1.0) for name, weight in weights.items()}
    matrix = answer_matrix(decision)
    groups = _groups(decision, ordering, matrix, shares)
    alone = [group for group in ambiguity_groups(matrix) if len(group) == 1]
    return EntryDiagnosis(
        entry.code,
        entry.id,
        str(entry.title),
        shares,
        tuple(_columns(decision)),
        groups,
        sum(group.share for group in groups if len(group.causes) == 1),
        sum(shares[cause] for group in alone for cause in group),
        report.written_minutes,
        report.best.minutes,
        report.excess,
        report.best.exact,
        report.best.order,
        best_move(checks, ordering.written),
        tuple(_history(entry, history, report) for history, report in by_history(ordering).items()),
        _found_by(checks, ordering.written),
    )


def answer_matrix(decision: Decision) -> SwapMatrix:
    """The entry's dependency matrix: for each answer of each check, the causes under which it is seen.

    Two causes with the same answer at every check cannot be told apart by the card, in whatever order.
    """
    tests = {}
    for check in decision.checks.values():
        if set(HISTORIES) & set(check.outcomes):
            continue
        for answer in check.outcomes:
            seen = frozenset(c for c in decision.causes if check.answer_for(c) == answer)
            if answer != CANNOT and seen:
                tests[f"{check.id}: {answer}"] = seen
    return SwapMatrix(tuple(decision.causes), tests)


def _columns(decision: Decision) -> list[CheckColumn]:
    columns = []
    for number, check in enumerate(decision.checks.values(), 1):
        if set(HISTORIES) & set(check.outcomes):
            continue
        answers = {cause: check.answer_for(cause) for cause in decision.causes}
        told = {
            c: label(a, check.outcomes[a], decision.catalogue) for c, a in answers.items() if a is not None
        }
        columns.append(CheckColumn(number, check.id, told))
    return columns


def _groups(
    decision: Decision, ordering: Ordering, matrix: SwapMatrix, shares: Mapping[str, float]
) -> tuple[Group, ...]:
    """The causes by the verdict in which the card as written ends, the likeliest group first."""
    ends: dict[str, list[str]] = {}
    for cause in decision.causes:
        ends.setdefault(_verdict(decision, ordering, cause), []).append(cause)
    groups = []
    for finding, causes in ends.items():
        record = decision.findings.get(finding)
        says = str(record.says if record else decision.catalogue.phrases().links.not_found)
        alike = len({matrix.signatures[cause] for cause in causes}) == 1
        share = sum(shares[c] for c in causes)
        groups.append(Group(finding, says, tuple(causes), share, not alike and len(causes) > 1))
    return tuple(sorted(groups, key=lambda group: -group.share))


def _verdict(decision: Decision, ordering: Ordering, cause: str) -> str:
    """The finding or other entry in which the written card ends under a cause."""
    for (name, _), way in ordering.ways.items():
        first = next((check for check in way.made if check in way.convicting), None)
        if name == cause and first is not None:
            check = decision.checks[first]
            answer = check.answer_for(cause)
            return decision.target(check.outcomes[answer]) if answer else ""
    return ""


def _history(entry: FaultEntry, history: str, report: OrderReport) -> HistoryMinutes:
    reasons = (str(w.reason) for w in entry.waivers if w.rule == "order" and w.about in (None, history))
    return HistoryMinutes(
        history, report.written_minutes, report.best.minutes, report.excess, next(reasons, "")
    )


def _found_by(checks: CheckSet, order: Sequence[str]) -> tuple[tuple[int, float], ...]:
    """The share of faults found by given minutes, each cause timed by itself."""
    by_name = {check.name: check for check in checks.checks}
    times: list[tuple[float, float]] = []
    for cause, chance in checks.likelihood.items():
        spent, opened = 0.0, set[str]()
        for check in (by_name[name] for name in order):
            if cause in check.spared:
                continue
            spent += check.minutes + sum(checks.setup_minutes[s] for s in check.setups - opened)
            opened |= check.setups
            if cause in check.finds:
                times.append((spent, chance))
                break
    return tuple((limit, sum(chance for spent, chance in times if spent <= limit)) for limit in BY_MINUTES)
