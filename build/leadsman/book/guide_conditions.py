"""A fault entry as an owner may follow it: safe steps in their order, and one line for all the rest.

A step that is not for this owner is answered as what it is to an owner, "cannot do": the entry itself says where
that leads. So an owner's walk is a walk of the entry, and each of its ends is an owner's remedy, another
condition, or the dealer with what to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from leadsman.book.guide_subject import Subject
from leadsman.book.views import answers_in_order, by_severity, letters
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, label
from leadsman.content.hazards import hazards_of
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.fault import HISTORIES, CheckBody, FaultEntry, Finding
from leadsman.content.model.reference import Caution, Hazard, Tool


@dataclass(frozen=True)
class Scope:
    """What a guide of this shape prints: its entries, menu tasks and tables."""

    entries: frozenset[str]
    tasks: frozenset[str]
    tables: frozenset[str]
    evidence: tuple[str, ...]
    family: str | None
    skipped: frozenset[tuple[str, str]] = frozenset()
    """Entry and check of what the guide leaves to the dealer."""

    def holds(self, texts: Iterable[Prose]) -> bool:
        """Whether everything that some texts refer to is in this guide."""
        known = {"menu": self.tasks, "table": self.tables, "card": self.entries}
        for text in texts:
            for reference in prose.references(text):
                if reference.kind in known and reference.what not in known[reference.kind]:
                    return False
                if reference.kind == "message" and self.family not in (None, reference.what.split(" ")[0]):
                    return False
        return True


@dataclass(frozen=True)
class Way:
    """Where an answer leads: a step, a remedy, the dealer, or another condition."""

    kind: str
    id: str
    number: str


@dataclass(frozen=True)
class GuideAnswer:
    """One answer to a step."""

    label: str
    way: Way
    means: Prose | None


@dataclass(frozen=True)
class GuideStep:
    """A check that the owner makes."""

    number: int
    id: str
    body: CheckBody
    answers: tuple[GuideAnswer, ...]
    cautions: tuple[Caution, ...]
    tools: tuple[Tool, ...]
    history: bool

    @property
    def whatever(self) -> Way | None:
        """Where every answer leads, when all lead to one place: then the answer is only noted."""
        ways = {answer.way for answer in self.answers}
        return self.answers[0].way if len(ways) == 1 else None


@dataclass(frozen=True)
class GuideFix:
    """A remedy that the owner applies, its proof, and where to go when the proof fails."""

    letter: str
    id: str
    finding: Finding
    cautions: tuple[Caution, ...]
    otherwise: Way


@dataclass(frozen=True)
class DealerEnd:
    """The dealer takes over: what to say, and what to have ready."""

    letter: str
    id: str
    tell: Prose | None
    evidence: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class GuideCondition:
    """One condition as an owner meets it."""

    entry: FaultEntry
    seen: tuple[str, ...]
    """The owner's own words for it; none where the entry gives none."""
    messages: tuple[tuple[str, str], ...]
    """Family and message, word for word."""
    shows: tuple[tuple[str, Prose], ...]
    """Family and what its display shows."""
    steps: tuple[GuideStep, ...]
    fixes: tuple[GuideFix, ...]
    ends: tuple[DealerEnd, ...]
    hazards: tuple[tuple[str, Hazard], ...]
    """What comes before the first step."""
    line: Prose | None
    """What stands in place of steps when none is safe for an owner."""


def scope_of(
    edition: GuideEdition,
    subject: Subject,
    catalogue: Catalogue,
    entries: Sequence[FaultEntry],
    tables: Iterable[str],
) -> Scope:
    """What a guide for this subject prints of the given entries."""
    can = subject.can(catalogue)
    fitting = frozenset(entry.id for entry in entries if set(entry.needs) <= can)
    family = subject.family.id if subject.family else None
    skipped = frozenset((page.entry, check) for page in edition.pages for check in page.skip)
    return Scope(
        fitting, subject.tasks(catalogue), frozenset(tables), tuple(edition.evidence), family, skipped
    )


def guide_conditions(
    entries: Sequence[FaultEntry], scope: Scope, catalogue: Catalogue
) -> tuple[GuideCondition, ...]:
    """The conditions that this equipment can have; a procedure without a safe step is left out."""
    found = (condition(Decision(e, catalogue), scope) for e in entries if e.id in scope.entries)
    return tuple(c for c in found if c.steps or c.entry.kind == "fault")


def condition(decision: Decision, scope: Scope) -> GuideCondition:
    """An entry's condition for an owner."""
    return _Owner(decision, scope).condition()


class _Owner:
    """An owner's walk through one entry."""

    def __init__(self, decision: Decision, scope: Scope) -> None:
        self.decision, self.scope, self.catalogue = decision, scope, decision.catalogue
        self.safe = {name for name in decision.checks if self._is_for_owner(name)}
        self.nodes = self._reached()
        self.numbers = {n: i for i, n in enumerate((n for n in decision.checks if n in self.nodes), 1)}
        ends = [n for n in self.nodes if n not in self.numbers and not self._leads_on(n)]
        ends.sort(key=lambda n: not self._is_fix(n))
        self.letters = dict(zip(ends, letters(), strict=False))

    def _is_for_owner(self, name: str) -> bool:
        check = self.decision.checks[name]
        body = check.body
        return (
            body.owner_safe
            and (self.decision.entry.id, name) not in self.scope.skipped
            and self.scope.holds(body.texts)
            and all(self._is_for_owner(before) for before in check.source.after)
        )

    def _is_fix(self, node: str) -> bool:
        finding = self.decision.findings.get(node)
        return finding is not None and finding.owner_safe and self.scope.holds(finding.instructions)

    def _leads_on(self, node: str) -> bool:
        return node.removeprefix(ENTRY_PREFIX) in self.scope.entries and node.startswith(ENTRY_PREFIX)

    def _is_asked_once(self, name: str) -> bool:
        """Whether this is the question about the history, with answers that all lead on to one place.

        It parts nothing for an owner; what to note for the dealer stands once at the front.
        """
        check = self.decision.checks[name]
        targets = {self.decision.target(outcome) for outcome in check.outcomes.values()}
        return set(HISTORIES) <= set(check.outcomes) and len(targets) == 1

    def arrives(self, node: str) -> str:
        """The node at which an owner arrives who cannot do what is not for an owner."""
        passed: set[str] = set()
        while node in self.decision.checks and node not in passed:
            if node in self.safe and not self._is_asked_once(node):
                break
            passed.add(node)
            cannot = self.decision.checks[node].outcomes.get(CANNOT)
            node = self.decision.target(cannot) if cannot else self.decision.entry.hand_overs[0].id
        return node

    def _reached(self) -> list[str]:
        """Every node of the owner's walk, in the order in which it comes to them."""
        waiting, found = [self.arrives(self.decision.start)], dict[str, None]()
        while waiting:
            node = waiting.pop(0)
            if node in found:
                continue
            found[node] = None
            if node in self.safe:
                targets = [self.decision.target(o) for o in self.decision.checks[node].outcomes.values()]
                waiting += [self.arrives(target) for target in targets]
            elif self._is_fix(node):
                waiting.append(self.arrives(self.decision.after_failed_proof(self.decision.findings[node])))
        return list(found)

    def way(self, node: str) -> Way:
        """How a reader is told where to go."""
        node = self.arrives(node)
        if node in self.numbers:
            return Way("step", node, str(self.numbers[node]))
        if self._leads_on(node):
            other = node.removeprefix(ENTRY_PREFIX)
            return Way("condition", other, str(self.catalogue.faults[other].title))
        return Way("fix" if self._is_fix(node) else "dealer", node.replace(":", "-"), self.letters[node])

    def condition(self) -> GuideCondition:
        """The whole condition."""
        entry, scope = self.decision.entry, self.scope
        steps = tuple(self._step(name) for name in self.numbers)
        does = any(not step.history for step in steps)
        families = [f for f in self.catalogue.families.values() if scope.family in (None, f.id)]
        messages = tuple(
            (str(f.name), str(f.messages[m].text))
            for f in families
            for m in entry.condition.messages.get(f.id, ())
        )
        shows = tuple(
            (str(f.name), text)
            for f in families
            if (text := entry.condition.looks_like.get(f.id)) and scope.holds([text])
        )
        return GuideCondition(
            entry,
            tuple(str(sign.words) for sign in entry.condition.signs),
            messages,
            shows,
            steps if does else (),
            tuple(self._fix(n) for n in self.letters if self._is_fix(n)) if does else (),
            tuple(self._end(n) for n in self.letters if not self._is_fix(n)) if does else (),
            hazards_of(self.decision),
            None if does else entry.owner_line,
        )

    def _step(self, name: str) -> GuideStep:
        check = self.decision.checks[name]
        history = set(HISTORIES) <= set(check.outcomes)
        answers = []
        for key, outcome in answers_in_order(check):
            way = self.way(self.decision.target(outcome))
            means = outcome.means
            # What a technician concludes from a history, or before a hand-over, is not the owner's business.
            shown = means is not None and not history and way.kind != "dealer" and self.scope.holds([means])
            answers.append(GuideAnswer(label(key, outcome, self.catalogue), way, means if shown else None))
        tools = tuple(self.catalogue.records["tools"][tool] for tool in check.body.tools)
        return GuideStep(self.numbers[name], name, check.body, tuple(answers),
                         self._cautions([*self.opening(name), *check.body.cautions]), tools, history)  # fmt: skip

    def opening(self, name: str) -> list[str]:
        """Cautions of the question about the history, which an owner is not asked, for the step that comes first."""
        first = next(iter(self.numbers), None)
        start = self.decision.checks[self.decision.start]
        return list(start.body.cautions) if name == first and name != self.decision.start else []

    def _fix(self, name: str) -> GuideFix:
        finding = self.decision.findings[name]
        return GuideFix(self.letters[name], name, finding, self._cautions(finding.cautions),
                        self.way(self.decision.after_failed_proof(finding)))  # fmt: skip

    def _end(self, name: str) -> DealerEnd:
        decision = self.decision
        tell: Prose | None = None
        cautions: list[str] = []
        asked = {item for end in decision.entry.hand_overs for item in end.evidence}
        if name in decision.findings:
            tell = decision.findings[name].says
        elif name in decision.hand_overs:
            cautions = decision.hand_overs[name].cautions
            asked = set(decision.hand_overs[name].evidence)
        elif name.startswith(ENTRY_PREFIX):
            tell = self.catalogue.faults[name.removeprefix(ENTRY_PREFIX)].title
        evidence = tuple(
            str(self.catalogue.records["evidence"][e].ask) for e in self.scope.evidence if e in asked
        )
        return DealerEnd(self.letters[name], name.replace(":", "-"), tell, evidence, self._cautions(cautions))

    def _cautions(self, names: Sequence[str]) -> tuple[Caution, ...]:
        """The gravest first."""
        return tuple(caution for _, caution in by_severity(names, self.catalogue))
