"""The order in which a good technician works (rules of the trade 1 to 6, 8 and 12)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from leadsman.content import prose
from leadsman.content.decision import CANNOT, SWAP_ANSWERS, Decision, ResolvedCheck
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.content.rules import Context, rule
from leadsman.content.rules.links import bodies
from leadsman.content.stages import COSTLY_RANK, STAGES, SUPPLY_EARLY_PLACES, UNDER_LOAD
from leadsman.errors import Problem

_HELM_RANK = 0


@rule(
    "history-first",
    "An entry opens with what happened before: did it ever work, what changed?",
    waivable=True,
    scope="entry",
)
def history_first(context: Context) -> Iterator[Problem]:
    """Rule 1: history."""
    for decision in context.faults():
        first = next(iter(decision.checks.values()), None)
        if first is not None and not set(HISTORIES) <= set(first.outcomes):
            missing = [h for h in HISTORIES if h not in first.outcomes]
            yield context.entry_problem(decision, ("checks", 0), f"the first check does not ask the history ({', '.join(missing)})",
                                        "begin with 'use: ask-history' and lead on from each history")  # fmt: skip


@rule(
    "free-first",
    "The free ten-second discriminators come before anything that must be opened.",
    waivable=True,
    scope="entry",
)
def free_first(context: Context) -> Iterator[Problem]:
    """Rule 1: temperature, band at the top, tick."""
    for decision in context.decisions.values():
        opened: str | None = None
        for check in decision.checks.values():
            if _rank(context, check) > _HELM_RANK:
                opened = opened or check.id
            elif check.body.free and opened:
                yield context.entry_problem(decision, context.check_place(decision, check.id),
                                            f"the free check '{check.id}' comes after '{opened}', which needs access",
                                            "move it up")  # fmt: skip


#: The links of the chain that feed the display.
_SUPPLY = {"battery", "supply-cable", "joints"}


@rule(
    "supply-early",
    "Where the supply can be the cause, the unit's own volts are read near the start.",
    waivable=True,
    scope="entry",
)
def supply_early(context: Context) -> Iterator[Problem]:
    """Rule 2: the first rung of the supply ladder."""
    for decision in context.faults():
        if not any(cause.component in _SUPPLY for cause in decision.causes.values()):
            continue
        order = list(decision.checks.values())
        place = next((i for i, check in enumerate(order) if check.supply_step == "P0"), None)
        if place is None or place >= SUPPLY_EARLY_PLACES:
            what = (
                "the supply is not read at all"
                if place is None
                else f"'{order[place].id}' comes as check {place + 1}"
            )
            yield context.entry_problem(decision, ("checks",), what,
                                        "put the check of the unit's own volts (P0) among the first five, or waive with the reason")  # fmt: skip


@rule(
    "supply-before-condemning",
    "No part is condemned before the supply was measured under load.",
    waivable=True,
    scope="entry",
)
def supply_before_condemning(context: Context) -> Iterator[Problem]:
    """Rule 2: compulsory before any verdict on a part."""
    yield from _before_condemning(context, lambda check: check.supply_step in UNDER_LOAD,
                                  "without a measurement of the supply under load",
                                  "lead that path through the lamp (P1), the breakout lead (P2) or the bypass battery (P5)")  # fmt: skip


@rule(
    "software-before-condemning",
    "Software and compatibility are checked before any part is condemned.",
    waivable=True,
    scope="entry",
)
def software_before_condemning(context: Context) -> Iterator[Problem]:
    """Rule 5: software first."""
    yield from _before_condemning(context, lambda check: "software" in check.body.tests,
                                  "without a check of software and compatibility",
                                  "lead that path through a check that tests 'software'")  # fmt: skip


def _before_condemning(
    context: Context, counts: Callable[[ResolvedCheck], bool], what: str, hint: str
) -> Iterator[Problem]:
    """Condemning findings that can be reached without the wanted check having given an answer."""
    for decision in context.decisions.values():
        without = _reached_without(decision, counts)
        for index, finding in enumerate(decision.entry.findings):
            if finding.condemns and finding.id in without:
                way = " > ".join(without[finding.id])
                yield context.entry_problem(decision, ("findings", index),
                                            f"'{finding.id}' condemns a part {what}: {way}", hint)  # fmt: skip


def _reached_without(
    decision: Decision, counts: Callable[[ResolvedCheck], bool]
) -> dict[str, tuple[str, ...]]:
    """Nodes that can be reached with no counting check answered on the way, each with such a way."""
    reached: dict[str, tuple[str, ...]] = {decision.start: (decision.start,)}
    queue = [decision.start]
    while queue:
        node = queue.pop(0)
        check = decision.checks.get(node)
        for answer, target in decision.links(node).items():
            if check is not None and counts(check) and answer != CANNOT:
                continue
            if target not in reached:
                reached[target] = (*reached[node], target)
                queue.append(target)
    return reached


#: What may stand too late; nothing comes before looking, and a swap is followed by what restores.
_STAGE_WORDS = ("looking", "measuring")


@rule(
    "cheap-first",
    "Of each component: look before you measure, measure before you swap.",
    waivable=True,
    scope="entry",
)
def cheap_first(context: Context) -> Iterator[Problem]:
    """Rule 3: by component, in the written order."""
    for decision in context.decisions.values():
        order = [c for c in decision.checks.values() if c.supply_step is None]
        for position, check in enumerate(order):
            stage = STAGES[check.body.kind]
            for later in order[position + 1 :]:
                late = STAGES[later.body.kind]
                both = [c for c in check.body.tests if c in later.body.tests]
                done = {c for o in order[:position] if STAGES[o.body.kind] == late for c in o.body.tests}
                missing = [c for c in both if c not in done]
                if late < stage < 3 and missing:
                    yield context.entry_problem(decision, context.check_place(decision, later.id),
                                                f"'{later.id}' ({_STAGE_WORDS[late]}) tests {', '.join(missing)} after "
                                                f"'{check.id}' ({check.body.kind}) did", "change the order")  # fmt: skip


@rule("dry-first", "Cheap and dry comes before costly and wet.", waivable=True, scope="entry")
def dry_first(context: Context) -> Iterator[Problem]:
    """Rule 3: nothing wet, and no haul-out, before what can be done dry at the helm."""
    for decision in context.decisions.values():
        wet: str | None = None
        for check in decision.checks.values():
            rank = _rank(context, check)
            if check.body.wet or rank >= COSTLY_RANK:
                wet = wet or check.id
            elif wet and rank <= _HELM_RANK and check.body.kind not in ("trial", "swap", "restore"):
                yield context.entry_problem(decision, context.check_place(decision, check.id),
                                            f"'{check.id}' at the helm comes after the wet or costly '{wet}'", "move it up")  # fmt: skip


@rule("swap-there-and-back", "A swap is made there and back, says what it carries, and its verdict stands on the swap matrix.",
      waivable=True, scope="entry")  # fmt: skip
def swap_there_and_back(context: Context) -> Iterator[Problem]:
    """Rule 4: the fault must return, and no suspect of the swap may be left out of the verdict."""
    for decision in context.decisions.values():
        for position, check in enumerate(decision.checks.values()):
            if check.body.kind != "swap":
                continue
            place = context.check_place(decision, check.id)
            if check.body.swap is None:
                yield context.entry_problem(decision, place, "a swap does not say what it exchanges",
                                            "add 'swap: {part: [...], carries: [...]}' to the check")  # fmt: skip
                continue
            missing = [a for a in SWAP_ANSWERS if a not in check.outcomes]
            if missing:
                yield context.entry_problem(decision, (*place, "outcomes"), f"the swap lacks the answers {', '.join(missing)}",
                                            f"a swap has {', '.join(SWAP_ANSWERS)}")  # fmt: skip
                continue
            yield from _swap_verdict(context, decision, check, position)


def _swap_verdict(
    context: Context, decision: Decision, check: ResolvedCheck, position: int
) -> Iterator[Problem]:
    swap = check.body.swap
    assert swap is not None
    # What a good answer does not clear is suspect beside what was exchanged and brought.
    suspects = {*swap.part, *swap.carries, *check.body.through}
    looked_at = {c for earlier in list(decision.checks.values())[:position] for c in earlier.body.tests}
    place = context.check_place(decision, check.id, "outcomes")
    for answer in ("returns", "not-back"):
        finding = decision.findings.get(decision.target(check.outcomes[answer]))
        if finding is None:
            continue
        blamed = {decision.causes[c].component for c in finding.causes if c in decision.causes}
        if answer == "not-back" and finding.condemns:
            yield context.entry_problem(decision, (*place, answer),
                                        f"'{finding.id}' condemns a part although the fault did not return",
                                        "the swap itself may have been the repair: connection or restart")  # fmt: skip
        if answer != "returns":
            continue
        if not blamed & suspects:
            yield context.entry_problem(decision, (*place, answer),
                                        f"the swap matrix does not support '{finding.id}': it blames {', '.join(sorted(blamed))}, "
                                        f"the swap changed {', '.join(sorted(suspects))}", "blame what the swap changed")  # fmt: skip
        open_suspects = sorted(suspects - blamed - looked_at)
        if open_suspects:
            yield context.entry_problem(decision, (*place, answer),
                                        f"'{finding.id}' leaves out what the swap also changed and nothing has tested: "
                                        f"{', '.join(open_suspects)}", "test it before, or name a cause there in the finding")  # fmt: skip


@rule("intermittent", "An intermittent fault is never cleared by a pass.", scope="entry")
def intermittent(context: Context) -> Iterator[Problem]:
    """Rule 4: no answer of an intermittent entry clears a component."""
    for decision in context.decisions.values():
        if "intermittent" not in decision.entry.kinds:
            continue
        for check in decision.checks.values():
            for answer, outcome in check.outcomes.items():
                if outcome.clears:
                    yield context.entry_problem(decision, context.check_place(decision, check.id, "outcomes", answer, "clears"),
                                                "clears a component of an intermittent fault",
                                                "a pass means nothing unless the fault was showing minutes before; drop 'clears'")  # fmt: skip


@rule(
    "restore-last",
    "Restoring defaults comes last, after recording the settings.",
    waivable=True,
    scope="entry",
)
def restore_last(context: Context) -> Iterator[Problem]:
    """Rule 5: defaults."""
    for decision in context.decisions.values():
        restored: str | None = None
        for check in decision.checks.values():
            if check.body.kind == "restore":
                restored = check.id
                if not _names_task(check, "record-settings"):
                    yield context.entry_problem(decision, context.check_place(decision, check.id),
                                                f"'{check.id}' does not record the settings first",
                                                "refer to {menu: record-settings} in the check")  # fmt: skip
            elif restored:
                yield context.entry_problem(decision, context.check_place(decision, check.id),
                                            f"'{check.id}' comes after '{restored}'", "restore defaults last")  # fmt: skip


def _names_task(check: ResolvedCheck, task: str) -> bool:
    return task in prose.named(check.body.texts, "menu")


@rule("update-caution", "An update is never started without the caution about a weak battery.", scope="entry")
def update_caution(context: Context) -> Iterator[Problem]:
    """Rule 5: no update on a weak battery."""
    for kind, name, location, body in bodies(context):
        if _updates(body.instructions) and "update-battery" not in body.cautions:
            yield context.catalogue.problem(kind, name, location, "updates software without the caution 'update-battery'",
                                            "add it to 'cautions'")  # fmt: skip
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            if _updates(finding.remedy) and "update-battery" not in finding.cautions:
                yield context.entry_problem(decision, ("findings", index),
                                            "updates software without the caution 'update-battery'", "add it to 'cautions'")  # fmt: skip


def _updates(texts: Sequence[str]) -> bool:
    return "update-software" in prose.named(texts, "menu")


@rule(
    "looks-like",
    "An entry about the depth number says how each display family shows it.",
    waivable=True,
    scope="entry",
)
def looks_like(context: Context) -> Iterator[Problem]:
    """Rule 12: blank, flashing and frozen differ by family."""
    for decision in context.decisions.values():
        entry = decision.entry
        if entry.area != "depth":
            continue
        for family in _families(context, entry):
            if family not in entry.condition.looks_like:
                yield context.entry_problem(decision, ("condition",), f"does not say what it looks like on {family}",
                                            "add the family to 'looks_like'")  # fmt: skip


def _families(context: Context, entry: FaultEntry) -> list[str]:
    return [n for n, f in context.catalogue.families.items() if set(entry.needs) <= set(f.capabilities)]


def _rank(context: Context, check: ResolvedCheck) -> int:
    access = context.catalogue.records["access"].get(check.body.access)
    return access.rank if access else 0
