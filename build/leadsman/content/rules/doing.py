"""Cautions by what is done: whatever calls for one carries it, wherever it is done (rule of the trade 8).

What calls for a caution stands in its own record, under ``called_for``, so that a new tool, setting or step needs no
new rule.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
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
    for name, caution in context.catalogue.cautions.items():
        if (called := caution.called_for) is None:
            continue
        serving = {name, *called.served_by}
        hint = f"add '{name}' to 'cautions'"
        for kind, record, location, body in bodies(context):
            why = "" if body.kind == "ask" else _calls(called, body.instructions, body.tools, body.state)
            if why and not serving & set(body.cautions):
                yield context.catalogue.problem(
                    kind, record, location, f"{why} without the caution '{name}'", hint
                )
        for decision in context.decisions.values():
            yield from _in_entry(context, decision, name, called, serving)


def _in_entry(
    context: Context, decision: Decision, name: str, called: CalledFor, serving: Collection[str]
) -> Iterator[Problem]:
    hint = f"add '{name}' to 'cautions'"
    for check in decision.checks.values():
        state = check.source.state
        if (
            check.shared is not None
            and state in called.states
            and not set(serving) & set(check.body.cautions)
        ):
            yield context.entry_problem(decision, context.check_place(decision, check.id, "state"),
                                        f"'{check.id}' is made in the state '{state}' without the caution '{name}'", hint)  # fmt: skip
    # What a check of the entry warns of has been read before its findings.
    warned = {caution for check in decision.checks.values() for caution in check.body.cautions}
    for index, finding in enumerate(decision.entry.findings):
        why = _calls(called, finding.instructions, finding.tools, "")
        held = set(finding.cautions) if set(called.cautions) else warned | set(finding.cautions)
        if not why and (with_it := sorted(set(called.cautions) & set(finding.cautions))):
            why = f"carries '{with_it[0]}'"
        if why and not set(serving) & held:
            yield context.entry_problem(decision, ("findings", index), f"'{finding.id}' {why} without the caution '{name}'", hint)  # fmt: skip


def _calls(called: CalledFor, texts: Sequence[Prose], tools: Collection[str], state: str) -> str:
    """In which way something calls for the caution; nothing where it does not."""
    if state in called.states:
        return f"is made in the state '{state}'"
    whole = " ".join(map(_plain, texts))
    if called.unless and prose.whole_words(*called.unless).search(whole):
        return ""
    tool = next((tool for tool in called.tools if tool in tools), None)
    if tool is not None:
        return f"uses the tool '{tool}'"
    tasks = prose.named(texts, "menu") if called.tasks else ()
    task = next((task for task in called.tasks if task in tasks), None)
    if task is not None:
        return f"changes the setting '{task}'"
    if not called.phrases or not prose.whole_words(*called.phrases).search(whole):
        return ""
    # One of them is there, since all of them together were found.
    phrase = next(phrase for phrase in called.phrases if prose.whole_words(phrase).search(whole))
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
