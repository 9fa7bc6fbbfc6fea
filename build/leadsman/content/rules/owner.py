"""What an owner may do (rule of the trade 7): what the records do not declare is refused."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from leadsman.content import prose
from leadsman.content.decision import ResolvedCheck
from leadsman.content.model.base import Prose
from leadsman.content.model.fault import Finding
from leadsman.content.model.reference import SIGNALS
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

#: Kinds of check and states of the boat that an owner's step may have; any other is refused.
OWNER_KINDS = frozenset({"ask", "look", "operate", "read", "trial"})
OWNER_STATES = frozenset({"any", "power-off", "on", "transmit", "at-rest"})


@rule(
    "owner-safe",
    "What is marked safe for an owner is declared in each record that it names: place, tool, setting, caution.",
    scope="entry",
)
def owner_safe(context: Context) -> Iterator[Problem]:
    """Steps, findings with their remedies, and topics: an owner reads nothing that no record lets an owner do."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            for reason in _of_check(context, check) if check.body.owner_safe else ():
                yield context.entry_problem(decision, context.check_place(decision, check.id),
                                            f"'{check.id}' is marked safe for an owner but {reason}",
                                            "set 'owner_safe: false' here or in the shared check")  # fmt: skip
        for index, finding in enumerate(decision.entry.findings):
            for reason in _of_finding(context, finding) if finding.owner_safe or finding.by_telephone else ():
                mark = "owner_safe" if finding.owner_safe else "by_telephone"
                yield context.entry_problem(decision, ("findings", index, mark),
                                            f"'{finding.id}' is marked safe for an owner but {reason}",
                                            f"drop '{mark}', or have the remedy done without it")  # fmt: skip
    for name, topic in context.records("topics").items():
        texts = [*topic.paragraphs, *topic.notes, *(cell for row in topic.rows for cell in row)]
        for reason in _tasks(context, texts) if topic.owner_safe else ():
            yield context.catalogue.problem("topics", name, ("owner_safe",), f"'{name}' is marked safe for an owner but {reason}",
                                            "drop 'owner_safe', or do not name the setting")  # fmt: skip


def _of_check(context: Context, check: ResolvedCheck) -> Iterator[str]:
    body = check.body
    if not _may(context, "access", body.access):
        yield f"needs access to '{body.access}'"
    if body.kind not in OWNER_KINDS:
        yield f"is a {body.kind} check"
    if body.wet:
        yield "is wet work"
    if body.state not in OWNER_STATES:
        yield f"is made in the state '{body.state}'"
    yield from _tools(context, body.tools)
    yield from _cautions(context, body.cautions)
    yield from _tasks(context, [text for text in (body.do, body.see, body.say, *body.how) if text])


def _of_finding(context: Context, finding: Finding) -> Iterator[str]:
    if finding.condemns:
        yield "condemns a part"
    yield from _tools(context, finding.tools)
    yield from _cautions(context, finding.cautions)
    yield from _tasks(context, finding.instructions)


def _tools(context: Context, tools: Iterable[str]) -> Iterator[str]:
    for tool in tools:
        if not _may(context, "tools", tool):
            yield f"needs the tool '{tool}'"


def _tasks(context: Context, texts: Iterable[Prose]) -> Iterator[str]:
    for task in prose.named(texts, "menu"):
        if not _may(context, "tasks", task):
            yield f"names the setting '{task}'"


def _cautions(context: Context, cautions: Iterable[str]) -> Iterator[str]:
    for name in cautions:
        caution = context.catalogue.cautions.get(name)
        # A danger is none that an owner is sent into, whatever its record says.
        if caution is not None and (caution.signal == SIGNALS[0] or not caution.owner_may):
            yield f"carries the {caution.signal} '{name}'"


def _may(context: Context, kind: str, name: str) -> bool:
    """Whether the record lets an owner; one that is missing is told by the rule on links."""
    record = context.catalogue.records[kind].get(name)
    return record is None or record.owner_may
