"""Coverage of messages and menus (rule of the trade 11)."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.applicability import families_of
from leadsman.content.codes import free_code
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule("message-coverage", "Each message that a family can show is covered by exactly one entry.")
def message_coverage(context: Context) -> Iterator[Problem]:
    """Every message leads to one condition."""
    catalogue = context.catalogue
    for family_id, family in catalogue.families.items():
        for message in family.messages:
            entries = [
                n for n, e in catalogue.faults.items() if message in e.condition.messages.get(family_id, ())
            ]
            if len(entries) != 1:
                what = "is covered by no entry" if not entries else f"is covered by {', '.join(entries)}"
                yield catalogue.problem("families", family_id, ("messages", message), f"the message '{message}' {what}",
                                        "name it under 'condition: messages:' of exactly one entry", key=True)  # fmt: skip


@rule(
    "menu-coverage", "Each family has a menu path for every task that an applying text names.", waivable=True
)
def menu_coverage(context: Context) -> Iterator[Problem]:
    """An entry can be followed on every family that it applies to, any other text on one family at least."""
    catalogue = context.catalogue
    for kind, name, location, text in catalogue.prose():
        for reference in prose.references(text):
            if reference.kind == "menu" and not any(
                reference.what in f.menus for f in catalogue.families.values()
            ):
                yield catalogue.problem(kind, name, location, f"no display family has a menu path for '{reference.what}'",
                                        "add the path to the families' 'menus'")  # fmt: skip
    for decision in context.decisions.values():
        families = families_of(decision.entry, catalogue)
        for task, location in context.tasks[decision.entry.id].items():
            without = [f for f in families if task not in catalogue.families[f].menus]
            if without and any(task in f.menus for f in catalogue.families.values()):
                yield context.entry_problem(decision, location, f"{', '.join(without)} has no menu path for '{task}'",
                                            "add the path to its 'menus', or the capability to the entry's 'needs'")  # fmt: skip


@rule("codes", "Each code stands once, and its letter is the area's.")
def codes(context: Context) -> Iterator[Problem]:
    """Printed codes of entries."""
    catalogue = context.catalogue
    seen: dict[str, str] = {}
    # The entry that has changes to tell of had the code first.
    for name, entry in sorted(
        catalogue.faults.items(), key=lambda item: (-len(item[1].changes), item[1].reviewed, item[0])
    ):
        if entry.code in seen:
            free = free_code(catalogue, entry.area) if entry.area in catalogue.areas else "a free one"
            yield catalogue.problem("faults", name, ("code",), f"'{entry.code}' is also the code of {seen[entry.code]}", f"take {free}")  # fmt: skip
        seen.setdefault(entry.code, name)
        area = catalogue.areas.get(entry.area)
        if area is not None and not entry.code.startswith(area.letter):
            yield catalogue.problem("faults", name, ("code",), f"'{entry.code}' does not begin with the letter of its area", f"write {area.letter}{entry.code[1:]}")  # fmt: skip
