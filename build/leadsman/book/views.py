"""What a reader sees of an entry, in reading order and without any page format.

Steps are numbered, fixes and hand-overs lettered, and every answer says where it leads in those terms.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, ResolvedCheck, label
from leadsman.content.hazards import hazards_of
from leadsman.content.model.base import Prose
from leadsman.content.model.fault import HISTORIES, FaultEntry, Finding, HandOver, Outcome
from leadsman.content.model.phrases import filled
from leadsman.content.model.reference import SIGNALS, Access, Caution, Hazard, Term, Tool

#: So many of the causes are told after each history.
_MOST_TOLD = 3


@dataclass(frozen=True)
class Target:
    """Where an answer leads: a step of this entry, a fix, the hand-over, or another entry's card."""

    kind: str
    id: str
    number: str
    """The step's number, the fix's letter, or the other entry's code."""
    at: str = ""
    """In another entry: the check at which to go on, past what was asked here; empty for its first."""
    at_number: str = ""
    """The number of that step."""

    @property
    def words(self) -> str:
        """The target as a writer is told it: ``P3 step 4``."""
        return f"{self.number} step {self.at_number}" if self.at_number else self.number


@dataclass(frozen=True)
class Answer:
    """One answer line under a step."""

    key: str
    label: str
    target: Target
    means: Prose | None


@dataclass(frozen=True)
class StepView:
    """A check as the reader meets it."""

    number: int
    id: str
    check: ResolvedCheck
    answers: tuple[Answer, ...]
    cautions: tuple[tuple[str, Caution], ...]
    tools: tuple[Tool, ...]
    access: Access

    @property
    def decides(self) -> bool:
        """Whether the answers part the ways; if not, the reading is only noted."""
        return len({(answer.target.id, answer.target.at) for answer in self.answers}) > 1

    @property
    def asks_history(self) -> bool:
        """Whether this is the opening question about what happened before."""
        return set(HISTORIES) <= set(self.check.outcomes)


@dataclass(frozen=True)
class FixView:
    """A finding as the reader meets it."""

    letter: str
    id: str
    finding: Finding
    causes: tuple[str, ...]
    cautions: tuple[tuple[str, Caution], ...]
    not_proved: Target


@dataclass(frozen=True)
class HandOverView:
    """A hand-over as the reader meets it."""

    letter: str
    id: str
    hand_over: HandOver
    evidence: tuple[str, ...]
    cautions: tuple[tuple[str, Caution], ...]


@dataclass(frozen=True)
class Likelihood:
    """A cause with its share in each history, in per cent of that history."""

    cause: str
    because: Prose
    percent: tuple[int, ...]


@dataclass(frozen=True)
class EntryView:
    """An entry as the reader meets it."""

    entry: FaultEntry
    decision: Decision
    steps: tuple[StepView, ...]
    fixes: tuple[FixView, ...]
    hand_overs: tuple[HandOverView, ...]
    likelihoods: tuple[Likelihood, ...]
    menu_tasks: tuple[str, ...]
    tools: tuple[str, ...]
    """What to bring for the steps, the fixes and their proofs."""
    cautions: tuple[tuple[str, Caution], ...]
    hazards: tuple[tuple[str, Hazard], ...] = ()
    """What is asked before step 1, since the caller's first words can tell of it."""
    words: tuple[Term, ...] = ()
    """The words of its card that are defined on it, in the order of the glossary."""

    @property
    def looks(self) -> tuple[tuple[str, Prose], ...]:
        """What each display shows: the display's name, and the sight."""
        families = self.decision.catalogue.families
        return tuple(
            (str(families[name].name), text) for name, text in self.entry.condition.looks_like.items() if name in families
        )  # fmt: skip

    @property
    def looks_decide(self) -> bool:
        """Whether the sight is told apart from that of a sibling: it then stands before step 1."""
        faults = self.decision.catalogue.faults
        told = prose.references(" ".join(self.entry.condition.tells_apart))
        others = [faults[r.what] for r in told if r.kind == "card" and r.what in faults]
        return bool(self.looks) and any(
            other.area == self.entry.area and other.condition.looks_like for other in others
        )


def view_entry(decision: Decision) -> EntryView:
    """Number the steps and letter the fixes of an entry."""
    entry, catalogue = decision.entry, decision.catalogue
    names = _Names(decision)
    steps = tuple(_step(check, names, catalogue) for check in decision.checks.values())
    fixes = tuple(
        _fix(decision.findings[n], names, decision) for n in names.letters if n in decision.findings
    )
    ends = tuple(
        HandOverView(
            names.letters[h.id],
            h.id,
            h,
            tuple(str(catalogue.records["evidence"][e].ask) for e in h.evidence),
            by_severity(h.cautions, catalogue),
        )
        for h in entry.hand_overs
    )
    parts: tuple[StepView | FixView | HandOverView, ...] = (*steps, *fixes, *ends)
    cautions = {name: caution for part in parts for name, caution in part.cautions}
    brought = [tool for step in steps for tool in step.tools]
    brought += [catalogue.records["tools"][name] for fix in fixes for name in fix.finding.tools]
    brought += _tools_onward(decision)
    tools = dict.fromkeys(str(tool.name) for tool in brought)
    return EntryView(entry, decision, steps, fixes, ends, _likelihoods(entry), tuple(_menu_tasks(decision)),
                     tuple(tools), tuple(cautions.items()), hazards_of(decision),
                     tuple(_words(steps, fixes, catalogue)))  # fmt: skip


def _tools_onward(decision: Decision) -> Iterator[Tool]:
    """What the card on which the search goes on needs: nobody walks back for it."""
    if (there := decision.continued) is None:
        return
    names = [name for check in there.checks.values() for name in check.body.tools]
    names += [name for finding in there.findings.values() for name in finding.tools]
    yield from (decision.catalogue.records["tools"][name] for name in names)


class _Names:
    """Numbers of steps and letters of ends."""

    def __init__(self, decision: Decision) -> None:
        self.decision = decision
        self.numbers = {name: number for number, name in enumerate(decision.checks, 1)}
        self.letters = dict(zip(_ends_in_order(decision), letters(), strict=False))

    def other(self, outcome: Outcome) -> Target:
        """The other entry that an outcome leads to, with the step at which to go on there."""
        entry = self.decision.catalogue.faults[outcome.to_entry or ""]
        number = str(_number(entry, outcome.at)) if outcome.at else ""
        return Target("entry", entry.id, entry.code, outcome.at or "", number)

    def means(self, outcome: Outcome) -> Prose | None:
        """What an answer means, with the answers that it gives to steps of the entry it leads to."""
        if not outcome.known or outcome.to_entry is None:
            return outcome.means
        entry = self.decision.catalogue.faults[outcome.to_entry]
        checks = {check.id: check for check in entry.checks}
        catalogue = self.decision.catalogue
        words = catalogue.phrases().links
        given = [
            filled(
                words.step_is,
                number=_number(entry, name),
                answer=label(said, checks[name].outcomes[said], catalogue),
            )
            for name, said in outcome.known.items()
        ]
        there = filled(words.there, names=", ".join(given))
        return Prose(" ".join([*([str(outcome.means)] if outcome.means else []), there]))

    def target(self, node: str) -> Target:
        if node in self.numbers:
            return Target("step", node, str(self.numbers[node]))
        if node.startswith(ENTRY_PREFIX):
            other = node.removeprefix(ENTRY_PREFIX)
            return Target("entry", other, self.decision.catalogue.faults[other].code)
        kind = "fix" if node in self.decision.findings else "hand-over"
        return Target(kind, node, self.letters[node])


def _number(entry: FaultEntry, check: str) -> int:
    """The number of a check in its entry."""
    return [c.id for c in entry.checks].index(check) + 1


def _ends_in_order(decision: Decision) -> list[str]:
    """Findings in the order in which the steps first name them, then the hand-overs."""
    named = [target for check in decision.checks for target in decision.links(check).values()]
    findings = dict.fromkeys(name for name in [*named, *decision.findings] if name in decision.findings)
    return [*findings, *decision.hand_overs]


def letters() -> Iterator[str]:
    """The letters of ends in their order: A to Z, then AA to ZZ."""
    yield from ascii_uppercase
    for first in ascii_uppercase:
        for second in ascii_uppercase:
            yield first + second


def _step(check: ResolvedCheck, names: _Names, catalogue: Catalogue) -> StepView:
    def answer(key: str, outcome: Outcome) -> Answer:
        target = names.other(outcome) if outcome.to_entry else names.target(names.decision.target(outcome))
        return Answer(key, label(key, outcome, catalogue), target, names.means(outcome))

    return StepView(
        names.numbers[check.id],
        check.id,
        check,
        tuple(answer(key, outcome) for key, outcome in answers_in_order(check)),
        by_severity(check.body.cautions, catalogue),
        tuple(catalogue.records["tools"][tool] for tool in check.body.tools),
        catalogue.records["access"][check.body.access],
    )


def _fix(finding: Finding, names: _Names, decision: Decision) -> FixView:
    causes = tuple(str(decision.causes[cause].name) for cause in finding.causes)
    return FixView(names.letters[finding.id], finding.id, finding, causes,
                   by_severity(finding.cautions, decision.catalogue),
                   names.target(decision.after_failed_proof(finding)))  # fmt: skip


def answers_in_order(check: ResolvedCheck) -> list[tuple[str, Outcome]]:
    """The answers of a check as every output prints them: YES first, NO second, CANNOT last, the others as written."""
    ranks = {"yes": 0, "no": 1, CANNOT: 3}
    return sorted(check.outcomes.items(), key=lambda item: ranks.get(item[0], 2))


def by_severity(names: Sequence[str], catalogue: Catalogue) -> tuple[tuple[str, Caution], ...]:
    """The cautions by severity, the gravest first."""
    found = [(name, catalogue.cautions[name]) for name in dict.fromkeys(names)]
    return tuple(sorted(found, key=lambda item: SIGNALS.index(item[1].signal)))


def _likelihoods(entry: FaultEntry) -> tuple[Likelihood, ...]:
    ordered = sorted(entry.causes, key=lambda cause: -cause.prior.in_service)
    columns = [per_cent([cause.prior.share(h) for cause in ordered]) for h in HISTORIES]
    return tuple(
        Likelihood(str(cause.name), cause.because, percent)
        for cause, percent in zip(ordered, zip(*columns, strict=True), strict=True)
    )


def likeliest(likelihoods: Sequence[Likelihood]) -> tuple[Likelihood, ...]:
    """The causes that are among the first three after some history, the likeliest in service first.

    Examples
    --------
    >>> shares = {"joint": 30, "fuse": 60, "lead": 0}
    >>> found = likeliest([Likelihood(name, Prose(""), (share,) * 5) for name, share in shares.items()])
    >>> [line.cause for line in found]
    ['fuse', 'joint']
    """
    kept: set[str] = set()
    for column in range(len(HISTORIES)):
        shares = sorted(likelihoods, key=lambda line: -line.percent[column])[:_MOST_TOLD]
        kept |= {line.cause for line in shares if line.percent[column]}
    return tuple(
        sorted((line for line in likelihoods if line.cause in kept), key=lambda line: -line.percent[0])
    )


def _words(steps: Sequence[StepView], fixes: Sequence[FixView], catalogue: Catalogue) -> Iterator[Term]:
    """The glossary's words for the card that the shortened steps, the answers and the fixes use."""
    texts: list[Prose] = [text for step in steps for text in (step.check.body.do, step.check.body.see)]
    texts += [text for fix in fixes for text in fix.finding.instructions]
    told = " ".join([*texts, *(answer.label for step in steps for answer in step.answers)])
    for name, term in catalogue.records["glossary"].items():
        if term.on_card and (
            f"{{term: {name}}}" in told or re.search(rf"\b{re.escape(term.term)}s?\b", told, re.IGNORECASE)
        ):
            yield term


def per_cent(shares: Sequence[float]) -> list[int]:
    """Shares as whole per cent that add up to a hundred: the largest remainders are rounded up.

    Examples
    --------
    >>> per_cent([1.0, 1.0, 1.0])
    [34, 33, 33]
    """
    total = sum(shares)
    if not total:
        return [0] * len(shares)
    exact = [100 * share / total for share in shares]
    found = [int(value) for value in exact]
    order = sorted(range(len(exact)), key=lambda at: found[at] - exact[at])
    for at in order[: 100 - sum(found)]:
        found[at] += 1
    return found


def _menu_tasks(decision: Decision) -> list[str]:
    """The menu tasks that the entry's texts name, in order of first mention."""
    texts: list[Prose] = []
    for check in decision.checks.values():
        texts += check.body.texts
        texts += [outcome.means for outcome in check.outcomes.values() if outcome.means]
    for finding in decision.entry.findings:
        texts += finding.instructions
    return prose.named(texts, "menu")
