"""Everything that is named exists: ids between records, and the references in the prose."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.model.fault import CheckBody
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem

#: Where a record names others: kind of record, field path ('*' for each item or key), kind that is named.
LINKS: tuple[tuple[str, str, str], ...] = (
    ("faults", "area", "areas"),
    ("faults", "needs.*", "capabilities"),
    ("faults", "causes.*.component", "components"),
    ("faults", "checks.*.use", "checks"),
    ("faults", "checks.*.cautions.*", "cautions"),
    ("faults", "checks.*.tests.*", "components"),
    ("faults", "checks.*.body.access", "access"),
    ("faults", "checks.*.body.tools.*", "tools"),
    ("faults", "checks.*.body.tests.*", "components"),
    ("faults", "checks.*.body.through.*", "components"),
    ("faults", "checks.*.body.cautions.*", "cautions"),
    ("faults", "checks.*.body.swap.part.*", "components"),
    ("faults", "checks.*.body.swap.carries.*", "components"),
    ("faults", "checks.*.outcomes.*.to_entry", "faults"),
    ("faults", "checks.*.outcomes.*.clears.*", "components"),
    ("faults", "findings.*.cautions.*", "cautions"),
    ("faults", "findings.*.tools.*", "tools"),
    ("faults", "hand_overs.*.evidence.*", "evidence"),
    ("faults", "hand_overs.*.cautions.*", "cautions"),
    ("faults", "tables.*", "tables"),
    ("faults", "card_table", "tables"),
    ("faults", "see_also.*", "faults"),
    ("faults", "condition.signs.*.first", "hazards"),
    ("faults", "condition.messages.#", "families"),
    ("faults", "condition.looks_like.#", "families"),
    ("checks", "access", "access"),
    ("checks", "tools.*", "tools"),
    ("checks", "tests.*", "components"),
    ("checks", "through.*", "components"),
    ("checks", "cautions.*", "cautions"),
    ("checks", "evidence.*", "evidence"),
    ("cautions", "called_for.tools.*", "tools"),
    ("cautions", "called_for.tasks.*", "tasks"),
    ("cautions", "called_for.cautions.*", "cautions"),
    ("cautions", "called_for.served_by.*", "cautions"),
    ("checks", "swap.part.*", "components"),
    ("checks", "swap.carries.*", "components"),
    ("hazards", "cautions.*", "cautions"),
    ("hazards", "areas.*", "areas"),
    ("hazards", "access.*", "access"),
    ("capabilities", "areas.*", "areas"),
    ("capabilities", "tasks.*", "tasks"),
    ("families", "capabilities.*", "capabilities"),
    ("families", "menus.#", "tasks"),
    ("families", "transducers.#", "transducers"),
    ("boats", "display", "families"),
    ("boats", "transducer", "transducers"),
    ("boats", "waters.*", "waters"),
    ("tables", "assumptions.*", "assumptions"),
    ("tables", "us", "tables"),
    ("topics", "source", "sources"),
    ("topics", "cautions.*", "cautions"),
    ("editions", "entries.*", "faults"),
    ("editions", "handbook_only.*.entry", "faults"),
    ("editions", "sets.*.areas.*", "areas"),
    ("editions", "sets.*.only.*", "faults"),
    ("editions", "sets.*.tables.*", "tables"),
    ("editions", "second_sheets.*.entry", "faults"),
    ("editions", "pages.*.entry", "faults"),
    ("editions", "tables.*", "tables"),
    ("editions", "evidence.*", "evidence"),
    ("values", "source", "sources"),
    ("values", "below.*", "values"),
    ("values", "computed.boat", "boats"),
    ("values", "computed.family", "families"),
    ("values", "computed.transducer", "transducers"),
    ("values", "computed.water", "waters"),
    ("assumptions", "source", "sources"),
)
_SINGULAR = {
    "faults": "fault entry",
    "access": "access",
    "families": "display family",
    "evidence": "evidence item",
}


@rule("links", "Every id that a record names exists.")
def links(context: Context) -> Iterator[Problem]:
    """Ids in fields."""
    catalogue = context.catalogue
    for kind, path, target in LINKS:
        for record_id, record in catalogue.records[kind].items():
            for location, named, is_key in _named(record, tuple(path.split("."))):
                if named not in catalogue.records[target]:
                    # A file that could not be read still counts as there: its own problems are reported.
                    if catalogue.knows(target, named):
                        continue
                    noun = _SINGULAR.get(target, target.removesuffix("s"))
                    yield catalogue.problem(kind, record_id, location, f"'{named}' is no {noun}",
                                            catalogue.near(target, named), key=is_key)  # fmt: skip


def _named(
    value: object, path: tuple[str, ...], location: Location = ()
) -> Iterator[tuple[Location, str, bool]]:
    if value is None:
        return
    if not path:
        yield location, str(value), False
    elif path[0] == "#":
        for key in value:  # type: ignore[attr-defined]
            yield (*location, key), key, True
    elif path[0] == "*":
        items = value.items() if isinstance(value, dict) else enumerate(value)  # type: ignore[arg-type]
        for key, item in items:
            yield from _named(item, path[1:], (*location, key))
    else:
        # An edition of another kind has no such field.
        yield from _named(getattr(value, path[0], None), path[1:], (*location, path[0]))


_TARGETS = {"value": "values", "menu": "tasks", "card": "faults", "table": "tables", "term": "glossary"}


@rule("references", "Every reference in the prose is well formed and points to something.")
def references(context: Context) -> Iterator[Problem]:
    """References in braces."""
    catalogue = context.catalogue
    for kind, record_id, location, text in catalogue.prose():
        for fault in prose.faults(text):
            yield catalogue.problem(kind, record_id, location, fault.what, fault.hint)
        for reference in prose.references(text):
            target = _TARGETS.get(reference.kind)
            if target and reference.what and reference.what not in catalogue.records[target]:
                if not catalogue.knows(target, reference.what):
                    yield catalogue.problem(kind, record_id, location, f"{{{reference.kind}: {reference.what}}} points to nothing",
                                            catalogue.near(target, reference.what))  # fmt: skip
            elif reference.kind == "message":
                yield from _message(context, kind, record_id, location, reference.what)
            elif reference.kind == "given":
                yield from _given(context, kind, record_id, location, reference.what)


def _message(context: Context, kind: str, record_id: str, location: Location, what: str) -> Iterator[Problem]:
    family_id, _, message = what.partition(" ")
    family = context.catalogue.families.get(family_id)
    if family is None or message not in family.messages:
        known = (
            f"messages of {family_id}: {', '.join(family.messages)}"
            if family
            else "write {message: family message-id}"
        )
        yield context.catalogue.problem(
            kind, record_id, location, f"{{message: {what}}} points to nothing", known
        )


def _given(context: Context, kind: str, record_id: str, location: Location, what: str) -> Iterator[Problem]:
    if kind == "phrases":
        return  # The record itself refuses a place that it does not have.
    shared = context.catalogue.checks.get(record_id) if kind == "checks" else None
    if shared is None:
        yield context.catalogue.problem(kind, record_id, location, f"{{given: {what}}} stands outside a shared check",
                                        "write the words out")  # fmt: skip
    elif what not in shared.parameters:
        yield context.catalogue.problem(kind, record_id, location, f"the check has no parameter '{what}'",
                                        f"parameters: {', '.join(shared.parameters) or 'none'}")  # fmt: skip


@rule("phrases", "The words of the frame are there in the language of every edition.")
def phrases(context: Context) -> Iterator[Problem]:
    """One file of content/phrases/ for each language."""
    known = context.catalogue.records["phrases"]
    for name, edition in context.catalogue.editions.items():
        language = edition.language.partition("-")[0]
        if language not in known and ("phrases", language) not in context.catalogue.origins:
            yield context.catalogue.problem("editions", name, ("language",), f"no phrases are there in '{language}'",
                                            f"write phrases/{language}.yaml, or use one of: {', '.join(known)}")  # fmt: skip


@rule("parameters", "An entry gives only parameters that the shared check has.")
def parameters(context: Context) -> Iterator[Problem]:
    """Parameters of shared checks."""
    for decision in context.decisions.values():
        for check in decision.checks.values():
            known = check.shared.parameters if check.shared else {}
            for name in check.source.given:
                if name not in known:
                    yield context.entry_problem(decision, context.check_place(decision, check.id, "given", name),
                                                f"'{name}' is no parameter of {check.shared.id if check.shared else 'it'}",
                                                f"parameters: {', '.join(known) or 'none'}")  # fmt: skip


@rule("retired", "A retired id is never used again.")
def retired(context: Context) -> Iterator[Problem]:
    """Retired ids."""
    for old in context.catalogue.records["retired"]:
        for kind in ("faults", "checks", "tables", "topics"):
            if old in context.catalogue.records[kind]:
                yield context.catalogue.problem(
                    kind, old, (), f"the id '{old}' is retired", "choose another id"
                )


@rule("messages-exist", "Each message that an entry names is one of the family's.")
def messages_exist(context: Context) -> Iterator[Problem]:
    """Messages by family in conditions."""
    catalogue = context.catalogue
    for name, entry in catalogue.faults.items():
        for family_id, messages in entry.condition.messages.items():
            family = catalogue.families.get(family_id)
            for index, message in enumerate(messages):
                if family is not None and message not in family.messages:
                    yield catalogue.problem("faults", name, ("condition", "messages", family_id, index),
                                            f"'{message}' is no message of {family_id}",
                                            f"messages: {', '.join(family.messages)}")  # fmt: skip


def bodies(context: Context) -> Iterator[tuple[str, str, Location, CheckBody]]:
    """Every check body where it is written: shared ones, and the entries' own."""
    for name, shared in context.catalogue.checks.items():
        yield "checks", name, (), shared
    for name, entry in context.catalogue.faults.items():
        for index, check in enumerate(entry.checks):
            if check.body is not None:
                yield "faults", name, ("checks", index, "body"), check.body
