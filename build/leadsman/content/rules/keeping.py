"""What rules found in a text, kept by the digest of that text and of all else that they look at."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import astuple, replace
from pathlib import Path
from typing import Any

from leadsman.content.catalogue import Catalogue
from leadsman.content.rules import RULES, Context, Rule, Scope
from leadsman.errors import Problem
from leadsman.store import Store, digest, program_digest

#: The lists of words, which the rules on one file's texts have beside it.
WORDS = ("glossary", "us_words")
#: Kinds of records that tables, values and equipment know nothing of.
NO_EQUIPMENT = frozenset({"faults", "checks", "topics", "drills"})


def findings(context: Context, store: Store) -> dict[str, list[Problem]]:
    """The problems that each rule of a narrow scope finds."""
    catalogue = context.catalogue
    found: dict[str, list[Problem]] = {rule.id: [] for rule in RULES.values() if rule.scope != "all"}
    others = documents_digest(catalogue, lambda kind: kind != "faults")
    for name in catalogue.faults:
        alone = replace(catalogue, records={**catalogue.records, "faults": {name: catalogue.faults[name]}})
        key = digest(program_digest(), "entry", others, _document(catalogue, "faults", name))
        _add(found, "entry", store, key, Context(alone))
    _of_files(catalogue, store, found)
    without = narrowed(catalogue)
    key = digest(
        program_digest(), "equipment", documents_digest(catalogue, lambda kind: kind not in NO_EQUIPMENT)
    )
    _add(found, "equipment", store, key, Context(without))
    return found


def _of_files(catalogue: Catalogue, store: Store, found: dict[str, list[Problem]]) -> None:
    """What the rules find that look at the texts of one file at a time."""
    words = documents_digest(catalogue, lambda kind: kind in WORDS)
    inside: dict[Path, list[tuple[str, str]]] = {}
    for origin, (document, _) in catalogue.origins.items():
        inside.setdefault(document.path, []).append(origin)
    origins = {origin: place for origin, place in catalogue.origins.items() if origin[0] in WORDS}
    for names in inside.values():
        document, _ = catalogue.origins[names[0]]
        records: dict[str, dict[str, Any]] = {kind: catalogue.records[kind] for kind in WORDS}
        for kind, name in names:
            if kind not in WORDS:
                there = {name: catalogue.records[kind][name]} if name in catalogue.records[kind] else {}
                records.setdefault(kind, {}).update(there)
        own = {origin: catalogue.origins[origin] for origin in names}
        alone = replace(catalogue, records=records, origins=origins | own)
        key = digest(program_digest(), "file", words, document.shown, document.text)
        _add(found, "file", store, key, Context(alone, document))


def narrowed(catalogue: Catalogue) -> Catalogue:
    """The content without what tables, values and equipment know nothing of: a look at it would be an error."""
    kept = {kind: found for kind, found in catalogue.records.items() if kind not in NO_EQUIPMENT}
    return replace(catalogue, records=kept)


def documents_digest(catalogue: Catalogue, wanted: Callable[[str], bool]) -> str:
    """Digest of the names and texts of all files that hold records of the wanted kinds."""
    found = {
        document.shown: document.text
        for (kind, _), (document, _) in catalogue.origins.items()
        if wanted(kind)
    }
    return digest(sorted(found.items()))


def _document(catalogue: Catalogue, kind: str, name: str) -> list[str]:
    document, _ = catalogue.origins[kind, name]
    return [document.shown, document.text]


def _add(found: dict[str, list[Problem]], scope: Scope, store: Store, key: str, context: Context) -> None:
    rules = [rule for rule in RULES.values() if rule.scope == scope]
    for name, problems in kept_problems(store, key, rules, context).items():
        found[name] += problems


def kept_problems(
    store: Store, key: str, rules: Iterable[Rule], context: Context
) -> dict[str, list[Problem]]:
    """What some rules find, from the store or else found now and kept."""
    told = store.get_data("verdicts", key)
    if told is None:
        told = {rule.id: [astuple(problem) for problem in rule.find(context)] for rule in rules}
        store.put_data("verdicts", key, told)
    return {name: [Problem(*parts) for parts in problems] for name, problems in told.items()}
