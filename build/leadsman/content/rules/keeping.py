"""What rules found in a text, kept by the digest of that text and of all else that they look at."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import astuple, replace
from functools import partial
from typing import Any

from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.facts import Facts, Mentions, facts_of, mentions_outside
from leadsman.content.model.base import Prose, Record
from leadsman.content.model.fault import Cause, FaultEntry
from leadsman.content.rules import RULES, Context, Rule, Scope
from leadsman.content.source import Document, Location
from leadsman.errors import Problem
from leadsman.store import Store, digest, program_digest

#: The lists of words, which the rules on one file's texts have beside it.
WORDS = ("glossary", "us_words")
#: Kinds of records that tables, values and equipment know nothing of.
NO_EQUIPMENT = frozenset({"faults", "checks", "topics", "drills"})


def findings(context: Context, store: Store) -> dict[str, list[Problem]]:
    """The problems that each rule of a narrow scope finds; what is known of the entries is given to the context."""
    catalogue = context.catalogue
    found: dict[str, list[Problem]] = {rule.id: [] for rule in RULES.values() if rule.scope != "all"}
    outside = narrowed(catalogue, lambda kind: kind != "faults")
    others = documents_digest(catalogue, lambda kind: kind != "faults")
    alone = Context(outside, asked_for="entry")
    _add(found, "entry", store, digest(program_digest(), "entry", others), lambda: alone)
    _add(
        found,
        "rest",
        store,
        digest(program_digest(), "rest", others),
        lambda: replace(alone, asked_for="rest"),
    )
    known = {name: _facts(catalogue, name, outside, others, store) for name in catalogue.faults}
    for name in catalogue.faults:
        _of_entry(catalogue, name, known, outside, others, store, found)
    _of_files(catalogue, store, found)
    key = digest(
        program_digest(), "equipment", documents_digest(catalogue, lambda kind: kind not in NO_EQUIPMENT)
    )
    _add(found, "equipment", store, key, lambda: Context(without_entries(catalogue), asked_for="equipment"))
    mentioned = _kept(
        store, digest(program_digest(), "outside", others), lambda: mentions_outside(outside).as_data()
    )
    book = replace(context, asked_for="book", known=known, known_outside=Mentions.from_data(mentioned))
    for rule in _of_scope("book"):
        found[rule.id] += rule.find(book)
    context.known, context.known_outside = known, book.known_outside
    return found


def _facts(catalogue: Catalogue, name: str, outside: Catalogue, others: str, store: Store) -> Facts:
    """What is known of an entry, which rests on nothing but its file and what is no entry."""

    def find() -> dict[str, Any]:
        alone = replace(outside, records={**outside.records, "faults": {name: catalogue.faults[name]}})
        return facts_of(Decision(catalogue.faults[name], alone)).as_data()

    key = digest(program_digest(), "facts", others, name, catalogue.origins["faults", name][0].digest)
    return Facts.from_data(_kept(store, key, find))


def _of_entry(
    catalogue: Catalogue,
    name: str,
    known: dict[str, Facts],
    outside: Catalogue,
    others: str,
    store: Store,
    found: dict[str, list[Problem]],
) -> None:
    """What the rules find that look at one entry at a time."""
    document, _ = catalogue.origins["faults", name]
    beside = {
        other: known[other].components for other in known[name].leads_to if other in known and other != name
    }

    def alone(entry: FaultEntry) -> Context:
        # Of an entry that it leads to, it is known in which components its causes lie, and nothing else.
        entries = {other: _only_components(other, components) for other, components in beside.items()}
        entries[name] = entry
        origins = {**outside.origins, ("faults", name): catalogue.origins["faults", name]}
        records = {**outside.records, "faults": entries}
        return Context(replace(outside, records=records, origins=origins), asked_for="entry", entry=name)

    def find() -> dict[str, list[Any]]:
        entry = catalogue.faults[name]
        told = _asked(_of_scope("entry"), alone(entry))
        form = without_words(entry)
        sound = digest(program_digest(), "form", others, form.model_dump(mode="json"), beside)
        # Where nothing is wrong with its form, no place in its file counts.
        if store.get_data("forms", sound) is None:
            wrong = _asked(_of_scope("form"), alone(form))
            if not wrong:
                store.put_data("forms", sound, True)
            told |= wrong
        return told

    key = digest(program_digest(), "entry", others, name, document.shown, document.digest, beside)
    for rule, problems in _problems(_kept(store, key, find)).items():
        found[rule] += problems


def without_words(value: Any) -> Any:
    """A record, or a part of one, with all prose made the same: what is left is its form."""
    if isinstance(value, Prose):
        return type(value)("-")
    if isinstance(value, Record):
        fields = type(value).model_fields
        return type(value).model_construct(**{name: without_words(getattr(value, name)) for name in fields})
    if isinstance(value, dict):
        return {key: without_words(item) for key, item in value.items()}
    return [without_words(item) for item in value] if isinstance(value, list) else value


def _only_components(name: str, components: list[str]) -> FaultEntry:
    causes = [Cause.model_construct(component=component) for component in components]
    return FaultEntry.model_construct(id=name, causes=causes)


def _of_files(catalogue: Catalogue, store: Store, found: dict[str, list[Problem]]) -> None:
    """What the rules find that look at the texts of one file at a time."""
    words = documents_digest(catalogue, lambda kind: kind in WORDS)
    lists = {origin: place for origin, place in catalogue.origins.items() if origin[0] in WORDS}
    inside: dict[int, list[tuple[str, str]]] = {}
    for origin, (document, _) in catalogue.origins.items():
        inside.setdefault(id(document), []).append(origin)
    for names in inside.values():
        document, _ = catalogue.origins[names[0]]
        key = digest(program_digest(), "file", words, document.shown, document.digest)
        _add(found, "file", store, key, partial(_texts_of, catalogue, document, names, lists))


def _texts_of(
    catalogue: Catalogue,
    document: Document,
    names: list[tuple[str, str]],
    lists: dict[tuple[str, str], tuple[Document, Location]],
) -> Context:
    """The texts of one file, with the lists of words."""
    records: dict[str, dict[str, Any]] = {kind: catalogue.records[kind] for kind in WORDS}
    for kind, name in names:
        if kind not in WORDS:
            there = {name: catalogue.records[kind][name]} if name in catalogue.records[kind] else {}
            records.setdefault(kind, {}).update(there)
    own = {origin: catalogue.origins[origin] for origin in names}
    return Context(replace(catalogue, records=records, origins=lists | own), document, "file")


def narrowed(catalogue: Catalogue, wanted: Callable[[str], bool]) -> Catalogue:
    """The content with some kinds of records alone: a look at any other would be an error."""
    return replace(
        catalogue,
        records={kind: found for kind, found in catalogue.records.items() if wanted(kind)},
        origins={origin: place for origin, place in catalogue.origins.items() if wanted(origin[0])},
        unread={place for place in catalogue.unread if wanted(place[0])},
    )


def without_entries(catalogue: Catalogue) -> Catalogue:
    """The content without what tables, values and equipment know nothing of."""
    return narrowed(catalogue, lambda kind: kind not in NO_EQUIPMENT)


def documents_digest(catalogue: Catalogue, wanted: Callable[[str], bool]) -> str:
    """Digest of the names and texts of all files that hold records of the wanted kinds, and which cannot be read."""
    found = {
        document.shown: document.digest
        for (kind, _), (document, _) in catalogue.origins.items()
        if wanted(kind)
    }
    return digest(sorted(found.items()), sorted(place for place in catalogue.unread if wanted(place[0])))


def _of_scope(scope: Scope) -> list[Rule]:
    return [rule for rule in RULES.values() if scope in rule.scopes]


def _add(
    found: dict[str, list[Problem]], scope: Scope, store: Store, key: str, context: Callable[[], Context]
) -> None:
    for name, problems in kept_problems(store, key, _of_scope(scope), context).items():
        found[name] += problems


def kept_problems(
    store: Store, key: str, rules: Iterable[Rule], context: Callable[[], Context]
) -> dict[str, list[Problem]]:
    """What some rules find, from the store or else found now and kept."""

    return _problems(_kept(store, key, lambda: _asked(rules, context())))


def _asked(rules: Iterable[Rule], context: Context) -> dict[str, list[Any]]:
    """What some rules find, as plain data; a rule that finds nothing is left out."""
    every = {rule.id: [astuple(problem) for problem in rule.find(context)] for rule in rules}
    return {name: problems for name, problems in every.items() if problems}


def _problems(told: dict[str, list[Any]]) -> dict[str, list[Problem]]:
    return {name: [Problem(*parts) for parts in problems] for name, problems in told.items()}


def _kept(store: Store, key: str, find: Callable[[], Any]) -> Any:
    """Plain data from the store, or else found now and kept."""
    told = store.get_data("verdicts", key)
    if told is None:
        told = find()
        store.put_data("verdicts", key, told)
    return told
