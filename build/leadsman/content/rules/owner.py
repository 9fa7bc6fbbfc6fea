"""What an owner may do (rule of the trade 7)."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.decision import ResolvedCheck
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

#: Access, kinds and tools that no owner's guide may ask for.
_NEVER_ACCESS = {"dash", "bilge", "haul-out", "run"}
_NEVER_KIND = {"measure", "swap", "restore"}
_OWNER_TOOLS = {"torch", "soft-sponge", "lead-line", "thermometer", "mirror", "pole", "radio-am"}
#: Cautions that may stand beside an owner's check: they keep the owner from doing more.
_SIGNALS_FOR_OWNERS = {"NOTICE", "CAUTION", "WARNING"}


@rule("owner-safe", "What is marked safe for an owner needs no tool, no opened place, and no danger.")
def owner_safe(context: Context) -> Iterator[Problem]:
    """The list of what an owner must never be told to do."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            if not check.body.owner_safe:
                continue
            for reason in _reasons(context, check):
                yield context.entry_problem(decision, context.check_place(decision, check.id),
                                            f"'{check.id}' is marked safe for an owner but {reason}",
                                            "set 'owner_safe: false' here or in the shared check")  # fmt: skip


def _reasons(context: Context, check: ResolvedCheck) -> Iterator[str]:
    body = check.body
    if body.access in _NEVER_ACCESS:
        yield f"needs access to '{body.access}'"
    if body.kind in _NEVER_KIND:
        yield f"is a {body.kind} check"
    if body.wet:
        yield "is wet work"
    for tool in body.tools:
        if tool not in _OWNER_TOOLS:
            yield f"needs the tool '{tool}'"
    if body.state in ("under-way", "crank"):
        yield f"is made in the state '{body.state}'"
    for name in body.cautions:
        caution = context.catalogue.cautions.get(name)
        if caution is not None and caution.signal not in _SIGNALS_FOR_OWNERS:
            yield f"carries the {caution.signal} '{name}'"
