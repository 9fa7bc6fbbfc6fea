"""Coverage of messages and menus (rule of the trade 11)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.applicability import families_of
from leadsman.content.codes import free_code
from leadsman.content.decision import Decision, ResolvedCheck
from leadsman.content.model.base import Prose
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem


@rule(
    "message-coverage", "Each message that a family can show is covered by exactly one entry.", scope="book"
)
def message_coverage(context: Context) -> Iterator[Problem]:
    """Every message leads to one condition."""
    catalogue = context.catalogue
    covered: dict[tuple[str, str], dict[str, None]] = {}
    for name, facts in context.facts.items():
        for family_id, messages in facts.messages.items():
            for message in messages:
                covered.setdefault((family_id, message), {})[name] = None
    for family_id, family in catalogue.families.items():
        for message in family.messages:
            entries = list(covered.get((family_id, message), ()))
            if len(entries) != 1:
                what = "is covered by no entry" if not entries else f"is covered by {', '.join(entries)}"
                yield catalogue.problem("families", family_id, ("messages", message), f"the message '{message}' {what}",
                                        "name it under 'condition: messages:' of exactly one entry", key=True)  # fmt: skip


@rule(
    "message-words",
    "No answer to a question about messages is worded as a message of a display.",
    scope="entry",
)
def message_words(context: Context) -> Iterator[Problem]:
    """Who reads "beams held" on the screen must not take an answer HELD that means something else."""
    messages = [
        (family_id, str(message.text))
        for family_id, family in context.catalogue.families.items()
        for message in family.messages.values()
    ]
    for decision in context.decisions.values():
        for check in decision.checks.values():
            if not _asks_about_messages(check):
                continue
            for answer, outcome in check.outcomes.items():
                for family_id, text in messages if outcome.label else ():
                    if f" {_words(str(outcome.label))} " in f" {_words(text)} ":
                        place = context.check_place(decision, check.id, "outcomes", answer, "label")
                        yield context.entry_problem(decision, place, f"'{outcome.label}' stands in the message '{text}' of {family_id}",
                                                    "word the answer by what it means, not as a display says it")  # fmt: skip


def _asks_about_messages(check: ResolvedCheck) -> bool:
    return "message-list" in prose.named(check.body.instructions, "menu")


def _words(text: str) -> str:
    return " ".join(re.findall(r"[a-z0-9']+", text.lower()))


@rule(
    "menu-coverage",
    "Each family has a menu path for every task that an applying text names.",
    waivable=True,
    scope="entry",
)
def menu_coverage(context: Context) -> Iterator[Problem]:
    """An entry can be followed on every family that it applies to, any other text on one family at least."""
    catalogue = context.catalogue
    on_some = {task for family in catalogue.families.values() for task in family.menus}
    for kind, name, location, text in context.prose():
        for reference in prose.references(text):
            if reference.kind == "menu" and reference.what not in on_some:
                yield catalogue.problem(kind, name, location, f"no display family has a menu path for '{reference.what}'",
                                        "add the path to the families' 'menus'")  # fmt: skip
    for decision in context.decisions.values():
        families = families_of(decision.entry, catalogue)
        for task, location in context.tasks[decision.entry.id].items():
            without = [f for f in families if task not in catalogue.families[f].menus]
            if without and task in on_some:
                yield context.entry_problem(decision, location, f"{', '.join(without)} has no menu path for '{task}'",
                                            "add the path to its 'menus', or the capability to the entry's 'needs'")  # fmt: skip


@rule("codes", "Each code stands once, and its letter is the area's.", scope="book")
def codes(context: Context) -> Iterator[Problem]:
    """Printed codes of entries."""
    catalogue = context.catalogue
    seen: dict[str, str] = {}
    # The entry that has changes to tell of had the code first.
    for name, entry in sorted(
        context.facts.items(), key=lambda item: (-item[1].changes, item[1].reviewed, item[0])
    ):
        if entry.code in seen:
            taken = (other.code for other in context.facts.values())
            free = free_code(catalogue, entry.area, taken) if entry.area in catalogue.areas else "a free one"
            yield catalogue.problem("faults", name, ("code",), f"'{entry.code}' is also the code of {seen[entry.code]}", f"take {free}")  # fmt: skip
        seen.setdefault(entry.code, name)
        area = catalogue.areas.get(entry.area)
        if area is not None and not entry.code.startswith(area.letter):
            yield catalogue.problem("faults", name, ("code",), f"'{entry.code}' does not begin with the letter of its area", f"write {area.letter}{entry.code[1:]}")  # fmt: skip


@rule(
    "named-setting",
    "An entry that names a setting refers to its menu path, so that its book prints it.",
    scope="entry",
)
def named_setting(context: Context) -> Iterator[Problem]:
    """By the words of each task, in everything that a reader of the entry's steps and fixes reads."""
    catalogue = context.catalogue
    named = {n: [w.lower() for w in t.words] for n, t in catalogue.records["tasks"].items() if t.words}
    for name, decision in context.decisions.items():
        told = set(context.tasks[name])
        for place, text in _instructions(decision):
            # A reference to a setting stands for itself: only the words around it count.
            plain = prose.replace(text, lambda reference: "").lower()
            for task, words in named.items():
                if task not in told and any(word in plain for word in words):
                    told.add(task)
                    yield context.entry_problem(decision, place, f"names '{task}' and nowhere its menu path",
                                                f"refer to {{menu: {task}}} in the step or in its details")  # fmt: skip


def _instructions(decision: Decision) -> Iterator[tuple[Location, Prose]]:
    """What the steps and the fixes of an entry tell to do, each with its place."""
    for index, check in enumerate(decision.entry.checks):
        if (found := decision.checks.get(check.id)) is not None:
            for text in found.body.instructions:
                yield ("checks", index), text
    for index, finding in enumerate(decision.entry.findings):
        for text in finding.remedy:
            yield ("findings", index), text
