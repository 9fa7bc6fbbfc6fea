"""Cautions by what is done: whatever calls for one carries it, wherever it is done (rule of the trade 8).

What calls for a caution stands in its own record, under ``called_for``, so that a new tool, setting or step needs no
new rule.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from leadsman.content import prose
from leadsman.content.decision import Decision
from leadsman.content.model.base import Prose
from leadsman.content.model.reference import CalledFor
from leadsman.content.rules import Context, rule
from leadsman.content.rules.links import bodies
from leadsman.errors import Problem


@rule(
    "caution-called-for", "What calls for a caution, by the caution's own record, carries it.", scope="entry"
)
def caution_called_for(context: Context) -> Iterator[Problem]:
    """At the check where it is written, be it shared, and at the finding whose remedy or proof does it."""
    written = [
        ((kind, record, location), body, _done(body.instructions, body.tools, body.state))
        for kind, record, location, body in bodies(context)
    ]
    findings = {
        name: [_done(finding.instructions, finding.tools, "") for finding in decision.entry.findings]
        for name, decision in context.decisions.items()
    }
    for name, caution in context.catalogue.cautions.items():
        if (called := caution.called_for) is None:
            continue
        serving = {name, *called.served_by}
        hint = f"add '{name}' to 'cautions'"
        for (kind, record, location), body, done in written:
            why = "" if body.kind == "ask" or serving & set(body.cautions) else _calls(called, done)
            if why:
                yield context.catalogue.problem(
                    kind, record, location, f"{why} without the caution '{name}'", hint
                )
        for entry, decision in context.decisions.items():
            yield from _in_entry(context, decision, name, called, findings[entry])


def _in_entry(
    context: Context, decision: Decision, name: str, called: CalledFor, findings: Sequence[_Done]
) -> Iterator[Problem]:
    serving, hint = {name, *called.served_by}, f"add '{name}' to 'cautions'"
    for check in decision.checks.values() if called.states else ():
        state = check.source.state
        if check.shared is not None and state in called.states and not serving & set(check.body.cautions):
            yield context.entry_problem(decision, context.check_place(decision, check.id, "state"),
                                        f"'{check.id}' is made in the state '{state}' without the caution '{name}'", hint)  # fmt: skip
    # What a check of the entry warns of has been read before its findings.
    warned = {caution for check in decision.checks.values() for caution in check.body.cautions}
    for index, (finding, done) in enumerate(zip(decision.entry.findings, findings, strict=True)):
        held = set(finding.cautions) if called.cautions else warned | set(finding.cautions)
        if serving & held:
            continue
        why = _calls(called, done)
        if not why and (with_it := sorted(set(called.cautions) & set(finding.cautions))):
            why = f"carries '{with_it[0]}'"
        if why:
            yield context.entry_problem(decision, ("findings", index), f"'{finding.id}' {why} without the caution '{name}'", hint)  # fmt: skip


@dataclass(frozen=True)
class _Done:
    """What is done in a step or a fix: its words without what references print, its settings, tools and state."""

    words: str
    tasks: Sequence[str]
    tools: Collection[str]
    state: str


def _done(texts: Sequence[Prose], tools: Collection[str], state: str) -> _Done:
    return _Done(" ".join(map(_plain, texts)), prose.named(texts, "menu"), tools, state)


def _calls(called: CalledFor, done: _Done) -> str:
    """In which way something calls for the caution; nothing where it does not."""
    if done.state in called.states:
        return f"is made in the state '{done.state}'"
    if called.unless and prose.whole_words(*called.unless).search(done.words):
        return ""
    tool = next((tool for tool in called.tools if tool in done.tools), None)
    if tool is not None:
        return f"uses the tool '{tool}'"
    task = next((task for task in called.tasks if task in done.tasks), None)
    if task is not None:
        return f"changes the setting '{task}'"
    if not called.phrases or not prose.whole_words(*called.phrases).search(done.words):
        return ""
    # One of them is there, since all of them together were found.
    phrase = next(phrase for phrase in called.phrases if prose.whole_words(phrase).search(done.words))
    return f"says '{phrase}'"


@lru_cache(maxsize=20_000)
def _plain(text: str) -> str:
    """The words of a text without what its references print."""
    return prose.replace(text, lambda reference: "")


#: How a proof asks whether a fitting is dry; the proving trial has a look at each fitting of its own.
_DRY = re.compile(
    r"\bdry\b|\bpaper\b|\bdrips?\b|\bno water\b|\{card: proving-trial\}|\bproving trial\b", re.IGNORECASE
)
#: What sealant holds below the waterline carries this caution.
_BEDDED = "sealant-cure"


@rule("bedded-dry", "A fitting that was bedded or moved below the waterline is proved dry.", scope="entry")
def bedded_dry(context: Context) -> Iterator[Problem]:
    """The caution on sealant says where; the proof asks whether it holds."""
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            if _BEDDED in finding.cautions and not _DRY.search(finding.proof):
                yield context.entry_problem(decision, ("findings", index, "proof"), f"'{finding.id}' beds a fitting and does not prove it dry",
                                            "ask for it in the proof: 'and the fitting dry?'")  # fmt: skip


@rule(
    "line-caution", "Whatever opens, probes or mates the transducer line carries its caution.", scope="entry"
)
def line_caution(context: Context) -> Iterator[Problem]:
    """Rule 8: what a record declares to bear high volts is measured or exchanged with the caution only."""
    live = {name for name, part in context.catalogue.records["components"].items() if part.high_volts}
    for kind, name, location, body in bodies(context):
        touched = {*body.tests, *(body.swap.part if body.swap is not None else [])}
        opens = body.kind in ("measure", "swap") and live & touched
        if opens and not {"live-element", "plug-power-off"} & set(body.cautions):
            yield context.catalogue.problem(kind, name, location, "touches the transducer line without a caution",
                                            "add 'live-element' (opened or probed) or 'plug-power-off' (mated) to 'cautions'")  # fmt: skip
