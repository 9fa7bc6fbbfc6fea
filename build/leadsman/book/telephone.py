"""The telephone book before layout: each condition as a call, with the steps that an owner can make at the helm.

A step that is not for the telephone is answered "cannot", and the entry says where that leads. What the telephone can
settle, the order that is best for it and what to bring are computed from the same likelihoods as the cards.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace

from leadsman.book.case_needs import FuseRange, Need, fuse_of_lead, lent_transducers, needs
from leadsman.book.chosen import chosen_entries
from leadsman.book.views import Answer, EntryView, FixView, StepView, view_entry
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, NOT_PROVED, Decision, ResolvedCheck
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import Edition
from leadsman.content.model.equipment import Family, Transducer
from leadsman.content.model.fault import HISTORIES, Finding, Outcome
from leadsman.content.next_check import cheapest_order

#: Names of one word are spelt up to so many letters.
_SHORT = 5
#: Tools and evidence that are named at the most.
_MOST_TOOLS, _MOST_EVIDENCE = 10, 4


def for_telephone(check: ResolvedCheck) -> bool:
    """Whether an owner can do it at the helm, with the voice on the telephone."""
    return check.body.owner_safe and check.body.access == "helm"


def mended_by_telephone(finding: Finding) -> bool:
    """Whether an owner can mend it, alone or with the voice on the telephone."""
    return finding.owner_safe or finding.by_telephone


@dataclass(frozen=True)
class CallAnswer:
    """An answer with what it means and where it leads on the telephone: a step, an end, another page, or a visit."""

    key: str
    label: str
    means: Prose | None
    kind: str
    """``step``, ``end``, ``card`` or ``visit``."""
    target: str
    """The id of the check or the finding, or the other entry."""
    number: str


@dataclass(frozen=True)
class CallStep:
    """A question of the call: the step of the card, the words to say, and what the answers mean."""

    number: int
    id: str
    say: tuple[Prose, ...]
    judged: Prose | None
    """What whoever asks holds the answer against, where ``say`` has words of its own for an owner."""
    minutes: float
    answers: tuple[CallAnswer, ...]
    tasks: tuple[str, ...]
    how: tuple[Prose, ...]
    """The check in detail, and its note: not said, but what whoever asks may look up."""
    note: Prose | None


@dataclass(frozen=True)
class Settled:
    """The share of likelihood that the telephone settles after one history, and its cheapest legal order."""

    history: str
    named: float
    """Share of the causes that are named in the end, here or on the page that an answer leads to."""
    solved: float
    """Share that an owner mends and proves."""
    order: tuple[str, ...]
    minutes: float | None
    """Mean minutes of the call by that order; None where it settles nothing."""


@dataclass(frozen=True)
class Call:
    """One page of the telephone book."""

    view: EntryView
    steps: tuple[CallStep, ...]
    solved: tuple[FixView, ...]
    visit: tuple[FixView, ...]
    """Fixes that are not an owner's: the technician's, once the boat is seen."""
    settled: tuple[Settled, ...]
    bring: tuple[Need, ...]
    evidence: tuple[str, ...]
    """What the owner can tell or bring along, what is lost later first."""

    @property
    def by_id(self) -> dict[str, CallStep]:
        """The steps by their ids."""
        return {step.id: step for step in self.steps}

    @property
    def mean(self) -> Settled:
        """All histories together."""
        count = len(self.settled)
        return Settled(
            "",
            sum(s.named for s in self.settled) / count,
            sum(s.solved for s in self.settled) / count,
            (),
            None,
        )

    def menus(self, catalogue: Catalogue) -> Iterator[tuple[Family, list[tuple[str, list[str]]]]]:
        """For each family that can show this, its own path to each menu task of the steps and of the owner's ends."""
        remedies = [text for fix in self.solved for text in fix.finding.instructions]
        of_steps = [task for step in self.steps for task in step.tasks]
        tasks = dict.fromkeys([*of_steps, *prose.named(remedies, "menu")])
        for family in catalogue.families.values():
            if set(self.view.entry.needs) <= set(family.capabilities):
                found = [(t, [str(part) for part in family.menus[t]]) for t in tasks if t in family.menus]
                if found:
                    yield family, found


def build_calls(edition: Edition, catalogue: Catalogue) -> list[Call]:
    """The pages in the order of areas and codes, or as the edition lists its entries."""
    entries = chosen_entries(edition, catalogue)
    return [call_of(Decision(entry, catalogue)) for entry in entries if entry.kind == "fault"]


def call_of(decision: Decision) -> Call:
    """One condition as a call."""
    view = view_entry(decision)
    fixes = {fix.id: fix for fix in view.fixes}
    reached = _reached(decision)
    steps = tuple(
        _step(step, decision, view) for step in view.steps if step.id in reached and for_telephone(step.check)
    )
    settled = tuple(_settled(decision, history, reached) for history in HISTORIES)
    tools = tuple(need for need in _needed(decision) if need.tool != "lead-line")
    return Call(view, steps,
                tuple(fixes[n] for n in fixes if n in reached and mended_by_telephone(fixes[n].finding)),
                (*(fixes[n] for n in fixes if not mended_by_telephone(fixes[n].finding)), *_fixes_onward(decision)),
                settled, tools[:_MOST_TOOLS], tuple(_evidence(decision))[:_MOST_EVIDENCE])  # fmt: skip


def _needed(decision: Decision) -> Iterator[Need]:
    """The tools of the entry, then what the card on which the search goes on needs beside them."""
    found = needs(Inquiry(decision, {}))
    yield from found
    if (there := decision.continued) is not None:
        known = {need.tool for need in found}
        yield from (need for need in needs(Inquiry(there, {})) if need.tool not in known)


def _fixes_onward(decision: Decision) -> Iterator[FixView]:
    """What a technician mends on the card on which the search goes on, lettered as there."""
    if (there := decision.continued) is not None:
        for fix in view_entry(there).fixes:
            if not mended_by_telephone(fix.finding):
                yield replace(fix, letter=f"{there.entry.code} {fix.letter}")


def landing(decision: Decision, node: str) -> str:
    """Where the telephone comes to: past every check that is not for it."""
    seen = set[str]()
    while node in decision.checks and not for_telephone(decision.checks[node]) and node not in seen:
        seen.add(node)
        node = decision.links(node).get(CANNOT, "")
    return "" if node in seen else node


def _reached(decision: Decision) -> set[str]:
    """Every node that a call can come to."""
    waiting, found = [landing(decision, decision.start)], set[str]()
    while waiting:
        node = waiting.pop()
        if node and node not in found:
            found.add(node)
            if node not in decision.findings or mended_by_telephone(decision.findings[node]):
                waiting += [landing(decision, target) for target in decision.links(node).values()]
    return found


@dataclass(frozen=True)
class Spoken:
    """A menu path as it is read out: the number and name of its task, and the names on the screen in their order."""

    task: str
    names: tuple[tuple[str, str], ...]
    """Each name, letter for letter as on the screen, and its letters one by one where it is spelt; else nothing."""


@dataclass(frozen=True)
class DisplayPage:
    """What serves every call about one display family: its menus read out, and what to bring for it."""

    family: Family
    spoken: tuple[Spoken, ...]
    lent: tuple[tuple[Transducer, tuple[Transducer, ...]], ...]
    """Each transducer that the display knows, with the others that prove something when lent for it."""
    fuses: tuple[tuple[str, float, FuseRange | None], ...]
    """Each conductor and battery that the boats have, with the ratings that are right for the lead."""


def display_page(family: Family, catalogue: Catalogue) -> DisplayPage:
    """The page of one display family."""
    spoken = tuple(
        Spoken(task, tuple((str(name), spelt(str(name))) for name in family.menus[task]))
        for task, record in catalogue.records["tasks"].items()
        if task in family.menus and record.owner_may
    )
    known = [catalogue.transducers[name] for name in family.transducers]
    lent = tuple(
        (t, tuple(b.transducer for b in lent_transducers(family, t, catalogue) if b.fits and b.transducer is not t))
        for t in known
    )  # fmt: skip
    leads = sorted({(b.supply.nominal_v, str(b.supply.conductor)) for b in catalogue.boats.values()})
    fuses = tuple(
        (conductor, float(volts), fuse_of_lead(family, conductor, float(volts), catalogue))
        for volts, conductor in leads
        if volts <= family.supply_high_v
    )
    return DisplayPage(family, spoken, lent, fuses)


def spelt(name: str) -> str:
    """The letters of a name that is easily misheard, one by one; nothing for one that is not.

    Spelt is what has one short word, capitals throughout a word, or a sign in it. The trade spells short names on a bad
    line (common practice, no source).

    Examples
    --------
    >>> spelt("Ear"), spelt("LIST key"), spelt("+"), spelt("Keep bottom in view")
    ('E-A-R', 'L-I-S-T', 'plus sign', '')
    """
    words = name.split()
    if len(words) == 1 and name.isalpha() and len(name) <= _SHORT:
        return "-".join(name.upper())
    told = [
        "-".join(word) if word.isalpha() and word.isupper() and len(word) > 1
        else unicodedata.name(word).casefold() if len(word) == 1 and not word.isalnum() else ""
        for word in words
    ]  # fmt: skip
    return " ".join(filter(None, told))


def _step(step: StepView, decision: Decision, view: EntryView) -> CallStep:
    body = step.check.body
    said = (body.say,) if body.say else (body.see,) if body.kind == "ask" else (body.do, body.see)
    judged = body.see if body.say and body.kind != "ask" else None
    tasks = prose.named([*said, *body.how], "menu")
    answers = tuple(_answer(answer, step.id, decision, view) for answer in step.answers)
    return CallStep(
        step.number,
        step.id,
        tuple(text for text in said if text),
        judged,
        body.minutes,
        answers,
        tuple(tasks),
        tuple(body.how),
        body.note,
    )


def _answer(answer: Answer, step: str, decision: Decision, view: EntryView) -> CallAnswer:
    written = decision.links(step)[answer.key]
    node = landing(decision, written)
    if node in decision.checks:
        number = next(s.number for s in view.steps if s.id == node)
        return CallAnswer(answer.key, answer.label, answer.means, "step", node, str(number))
    # Past steps that only the boat can answer the call does not change the page: somebody has to see the boat.
    if (
        node.startswith(ENTRY_PREFIX)
        and node == written
        and _goes_on(decision.checks[step].outcomes[answer.key], decision)
    ):
        other = node.removeprefix(ENTRY_PREFIX)
        return CallAnswer(
            answer.key, answer.label, answer.means, "card", other, decision.catalogue.faults[other].code
        )
    if node in decision.findings and mended_by_telephone(decision.findings[node]):
        letter = next(f.letter for f in view.fixes if f.id == node)
        return CallAnswer(answer.key, answer.label, answer.means, "end", node, letter)
    # What the answer has found is known before the visit, where it leads straight to a fix.
    letter = next((f.letter for f in view.fixes if f.id == node == written), "")
    return CallAnswer(answer.key, answer.label, answer.means, "visit", node, letter)


def _goes_on(outcome: Outcome, decision: Decision) -> bool:
    """Whether there is anything to ask on the page that an answer leads to, from the step there on."""
    other = Decision(decision.catalogue.faults[outcome.to_entry or ""], decision.catalogue)
    node = landing(other, outcome.at or other.start)
    return node in other.checks or (node in other.findings and mended_by_telephone(other.findings[node]))


def _settled(decision: Decision, history: str, reached: set[str]) -> Settled:
    total = named = solved = 0.0
    for cause in decision.entry.causes:
        share = cause.prior.share(history)
        total += share
        end = _end_under(decision, cause.id, history)
        if end in decision.findings and cause.id in decision.findings[end].causes:
            named += share
            solved += share if mended_by_telephone(decision.findings[end]) else 0.0
        elif end.startswith(ENTRY_PREFIX):
            named += share
    total = total or 1.0
    inquiry = Inquiry(decision, {decision.start: history})
    found = cheapest_order(inquiry, lambda check: for_telephone(check) and check.id in reached)
    order, minutes = (found[1].order, found[1].minutes) if found else ((), None)
    return Settled(history, named / total, solved / total, order, minutes)


def _end_under(decision: Decision, cause: str, history: str) -> str:
    """Where a call ends with one cause present; an answer that shows the cause to another page counts as that page."""
    node, seen = landing(decision, decision.start), set[str]()
    while node and node not in seen:
        seen.add(node)
        if node in decision.findings:
            if cause in decision.findings[node].causes or not mended_by_telephone(decision.findings[node]):
                return node
            node = landing(decision, decision.links(node)[NOT_PROVED])
            continue
        check = decision.checks.get(node)
        if check is None:
            return ""
        answer = check.answer_under(cause, history)
        if answer is None:
            return ""
        outcome = check.outcomes[answer]
        if outcome.to_entry is not None:
            named = cause in (outcome.shows or ()) and _goes_on(outcome, decision)
            return f"{ENTRY_PREFIX}{outcome.to_entry}" if named else ""
        node = landing(decision, outcome.then or "")
    return ""


def _evidence(decision: Decision) -> Iterator[str]:
    known = decision.catalogue.records["evidence"]
    names = dict.fromkeys(
        name for end in decision.entry.hand_overs for name in end.evidence if name != "not-done"
    )
    for name in sorted(names, key=lambda n: not known[n].lost_later):
        if known[name].owner_may:
            yield str(known[name].ask)
