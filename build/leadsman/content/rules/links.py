"""Everything that is named exists: ids between records, and the references in the prose."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.links import LINKS as LINKS
from leadsman.content.links import named_by
from leadsman.content.model.fault import CheckBody
from leadsman.content.rules import Context, rule
from leadsman.content.source import Location
from leadsman.errors import Problem

_SINGULAR = {
    "faults": "fault entry",
    "access": "access",
    "families": "display family",
    "evidence": "evidence item",
}


@rule("links", "Every id that a record names exists.", scope=("entry", "book"))
def links(context: Context) -> Iterator[Problem]:
    """Ids in fields: those of entries over the whole book, all others in each record by itself."""
    if context.over_book:
        for mentions in context.mentions():
            for n in mentions.links:
                yield from _missing(context, "faults", n.kind, n.record, n.location, n.what, n.is_key)
    for kind, path, target in LINKS if context.over_each else ():
        for record_id, record in context.records(kind).items() if target != "faults" else ():
            for location, named, is_key in named_by(record, path):
                yield from _missing(context, target, kind, record_id, location, named, is_key)


def _missing(
    context: Context, target: str, kind: str, record_id: str, location: Location, named: str, is_key: bool
) -> Iterator[Problem]:
    catalogue = context.catalogue
    # A file that could not be read still counts as there: its own problems are reported.
    if named not in catalogue.records[target] and not catalogue.knows(target, named):
        noun = _SINGULAR.get(target, target.removesuffix("s"))
        yield catalogue.problem(kind, record_id, location, f"'{named}' is no {noun}",
                                catalogue.near(target, named), key=is_key)  # fmt: skip


_TARGETS = {"value": "values", "menu": "tasks", "card": "faults", "table": "tables", "term": "glossary"}


@rule(
    "references",
    "Every reference in the prose is well formed and points to something.",
    scope=("entry", "book"),
)
def references(context: Context) -> Iterator[Problem]:
    """References in braces: those to entries over the whole book, all others in each text by itself."""
    if context.over_book:
        for mentions in context.mentions():
            for n in mentions.cards:
                yield from _astray(context, n.kind, n.record, n.location, "card", n.what)
    for kind, record_id, location, text in context.prose() if context.over_each else ():
        for fault in prose.faults(text):
            yield context.catalogue.problem(kind, record_id, location, fault.what, fault.hint)
        for reference in prose.references(text):
            if reference.kind in _TARGETS:
                if reference.kind != "card":
                    yield from _astray(context, kind, record_id, location, reference.kind, reference.what)
            elif reference.kind == "message":
                yield from _message(context, kind, record_id, location, reference.what)
            elif reference.kind == "given":
                yield from _given(context, kind, record_id, location, reference.what)


def _astray(
    context: Context, kind: str, record_id: str, location: Location, reference: str, what: str
) -> Iterator[Problem]:
    catalogue, target = context.catalogue, _TARGETS[reference]
    if what and what not in catalogue.records[target] and not catalogue.knows(target, what):
        yield catalogue.problem(kind, record_id, location, f"{{{reference}: {what}}} points to nothing",
                                catalogue.near(target, what))  # fmt: skip


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


@rule("phrases", "The words of the frame are there in the language of every edition.", scope="rest")
def phrases(context: Context) -> Iterator[Problem]:
    """One file of content/phrases/ for each language."""
    known = context.catalogue.records["phrases"]
    for name, edition in context.catalogue.editions.items():
        language = edition.language.partition("-")[0]
        if language not in known and ("phrases", language) not in context.catalogue.origins:
            yield context.catalogue.problem("editions", name, ("language",), f"no phrases are there in '{language}'",
                                            f"write phrases/{language}.yaml, or use one of: {', '.join(known)}")  # fmt: skip


@rule("parameters", "An entry gives only parameters that the shared check has.", scope="entry")
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


@rule("retired", "A retired id is never used again.", scope="book")
def retired(context: Context) -> Iterator[Problem]:
    """Retired ids."""
    for old in context.catalogue.records["retired"]:
        for kind in ("faults", "checks", "tables", "topics"):
            if old in context.catalogue.records[kind]:
                yield context.catalogue.problem(
                    kind, old, (), f"the id '{old}' is retired", "choose another id"
                )


@rule("messages-exist", "Each message that an entry names is one of the family's.", scope="entry")
def messages_exist(context: Context) -> Iterator[Problem]:
    """Messages by family in conditions."""
    catalogue = context.catalogue
    for name, entry in context.records("faults").items():
        for family_id, messages in entry.condition.messages.items():
            family = catalogue.families.get(family_id)
            for index, message in enumerate(messages):
                if family is not None and message not in family.messages:
                    yield catalogue.problem("faults", name, ("condition", "messages", family_id, index),
                                            f"'{message}' is no message of {family_id}",
                                            f"messages: {', '.join(family.messages)}")  # fmt: skip


def bodies(context: Context) -> Iterator[tuple[str, str, Location, CheckBody]]:
    """Every check body where it is written: shared ones, and the entries' own."""
    for name, shared in context.records("checks").items():
        yield "checks", name, (), shared
    for name, entry in context.records("faults").items():
        for index, check in enumerate(entry.checks):
            if check.body is not None:
                yield "faults", name, ("checks", index, "body"), check.body
