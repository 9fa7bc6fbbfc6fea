"""What the entries cover: families, capabilities, messages, menu tasks, causes and findings, and the gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from leadsman.content.applicability import applies, families_of, serves
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.rules import Context, check
from leadsman.content.rules.coverage import clearing_answers, convicting_answers
from leadsman.errors import Problem

#: The rules whose breaches are gaps of the coverage.
GAP_RULES = frozenset(
    {"message-coverage", "messages-exist", "applies", "capability-coverage", "cause-answers", "found", "menu-coverage"}
)  # fmt: skip


@dataclass(frozen=True)
class ConditionCover:
    """A condition: the families that it applies to, and the capabilities that it is about."""

    code: str
    entry: str
    title: str
    area: str
    families: tuple[str, ...]
    capabilities: tuple[str, ...]


@dataclass(frozen=True)
class CapabilityCover:
    """A capability of a family, and the entries about it that apply to the family."""

    family: str
    capability: str
    entries: tuple[str, ...]


@dataclass(frozen=True)
class MessageCover:
    """A message of a family, and the entries that it leads to: one, when nothing is wrong."""

    family: str
    message: str
    text: str
    entries: tuple[str, ...]


@dataclass(frozen=True)
class TaskCover:
    """A menu task, the entries that name it, and the families to which they apply, with and without a path."""

    task: str
    name: str
    entries: tuple[str, ...]
    families: tuple[str, ...]
    without: tuple[str, ...]


@dataclass(frozen=True)
class CauseCover:
    """A cause, and the answers (check: answer) that convict it and that clear it."""

    entry: str
    cause: str
    component: str
    convicted_by: tuple[str, ...]
    cleared_by: tuple[str, ...]


@dataclass(frozen=True)
class FindingCover:
    """A finding: how many steps mend it, and how that is proved."""

    entry: str
    finding: str
    says: str
    remedies: int
    proof: str
    owner_safe: bool


@dataclass(frozen=True)
class Coverage:
    """What the whole content covers, and where it leaves gaps."""

    families: tuple[str, ...]
    conditions: tuple[ConditionCover, ...]
    capabilities: tuple[CapabilityCover, ...]
    messages: tuple[MessageCover, ...]
    tasks: tuple[TaskCover, ...]
    causes: tuple[CauseCover, ...]
    findings: tuple[FindingCover, ...]
    gaps: tuple[Problem, ...]


def coverage(catalogue: Catalogue, errors: Sequence[Problem] | None = None) -> Coverage:
    """Tell what the entries cover, and list each gap as the check does.

    ``errors`` are those of a verdict that was given already; without them the rules are run for it.
    """
    context = Context(catalogue)
    decisions = sorted(context.decisions.values(), key=lambda d: (d.entry.code[0], int(d.entry.code[1:])))
    about = {
        d.entry.id: tuple(
            c for c in catalogue.records["capabilities"] if serves(d, c, context.tasks[d.entry.id])
        )
        for d in decisions
    }
    return Coverage(
        tuple(catalogue.families),
        tuple(_condition(d, about[d.entry.id]) for d in decisions),
        tuple(_capabilities(decisions, about, catalogue)),
        tuple(_messages(decisions, catalogue)),
        tuple(_tasks(decisions, context)),
        tuple(cause for d in decisions for cause in _causes(d)),
        tuple(finding for d in decisions for finding in _findings(d)),
        tuple(
            problem
            for problem in (check(catalogue).errors if errors is None else errors)
            if problem.rule in GAP_RULES
        ),
    )


def _condition(decision: Decision, about: tuple[str, ...]) -> ConditionCover:
    entry = decision.entry
    families = tuple(families_of(entry, decision.catalogue))
    return ConditionCover(entry.code, entry.id, str(entry.title), entry.area, families, about)


def _capabilities(
    decisions: list[Decision], about: dict[str, tuple[str, ...]], catalogue: Catalogue
) -> Iterator[CapabilityCover]:
    for name, family in catalogue.families.items():
        for capability in family.capabilities:
            entries = (
                d.entry.id
                for d in decisions
                if capability in about[d.entry.id] and applies(d.entry, catalogue, name)
            )
            yield CapabilityCover(name, capability, tuple(entries))


def _messages(decisions: list[Decision], catalogue: Catalogue) -> Iterator[MessageCover]:
    for name, family in catalogue.families.items():
        for message, record in family.messages.items():
            entries = (d.entry.id for d in decisions if message in d.entry.condition.messages.get(name, ()))
            yield MessageCover(name, message, str(record.text), tuple(entries))


def _tasks(decisions: list[Decision], context: Context) -> Iterator[TaskCover]:
    catalogue = context.catalogue
    for task, record in catalogue.records["tasks"].items():
        naming = [d.entry for d in decisions if task in context.tasks[d.entry.id]]
        wanted = [f for f in catalogue.families if any(applies(entry, catalogue, f) for entry in naming)]
        with_path = tuple(f for f in wanted if task in catalogue.families[f].menus)
        without = tuple(f for f in wanted if f not in with_path)
        yield TaskCover(task, str(record.name), tuple(entry.id for entry in naming), with_path, without)


def _causes(decision: Decision) -> Iterator[CauseCover]:
    for cause in decision.entry.causes:
        yield CauseCover(
            decision.entry.id,
            cause.id,
            cause.component,
            tuple(f"{check}: {answer}" for check, answer in convicting_answers(decision, cause.id)),
            tuple(f"{check}: {answer}" for check, answer in clearing_answers(decision, cause.id)),
        )


def _findings(decision: Decision) -> Iterator[FindingCover]:
    for finding in decision.entry.findings:
        yield FindingCover(
            decision.entry.id,
            finding.id,
            str(finding.says),
            len(finding.remedy),
            str(finding.proof),
            finding.owner_safe,
        )
