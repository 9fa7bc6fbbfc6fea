"""Which problems only follow from others: a writer mends the roots, and the rest goes or is told in the next run."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from leadsman.content.catalogue import Catalogue
from leadsman.errors import Problem

#: What cannot follow from anything: a file that is not YAML, a record with a wrong form.
_READING = ("yaml", "content")
#: What keeps a number from being computed.
_UNREAD = (*_READING, "declared-unit")
#: A wrong id in an entry makes its ways and proofs wrong as well.
_NAMING = (*_READING, "links", "answers", "parameters")
#: What is true of one text by itself.
_LOCAL = frozenset({*_NAMING, "references", "sentence-length", "loose-number", "imperative", "vocabulary", "wanted-reading",
                    "signs", "letters", "long-word", "codes", "retired", "phrases", "us-limit"})  # fmt: skip
#: What is asked of all records together: it is unsure as long as one of them cannot be read.
_OF_ALL = frozenset({"message-coverage", "capability-coverage", "menu-coverage", "hazard-coverage", "hazard-bears", "computed",
                     "book-loop", "asked-again", "go-on-at", "applies", "depth-window", "family-transducers"})  # fmt: skip
#: An id that no record has, as the rules on links and references tell it.
_NO_RECORD = re.compile(r"'([\w-]+)' is no |\{(?:\w+): ([\w-]+)\} points to nothing")
#: From so many places on, one missing record is told once.
_MANY = 3


def followers(problems: Iterable[Problem], catalogue: Catalogue) -> frozenset[Problem]:
    """Of all problems those that follow from others.

    Parameters
    ----------
    problems
        Everything that was found.
    catalogue
        The content, for which entries use which shared checks.
    """
    found = sorted(problems)
    unread = any(problem.rule in _UNREAD for problem in found)
    astray = {problem.path for problem in found if problem.rule in _NAMING and not _is_unused_waiver(problem)}
    astray |= _users(catalogue, astray)
    named = [_missing(problem) for problem in found]
    often = Counter(named)
    told = set[str]()
    following = set()
    for problem, missing in zip(found, named, strict=True):
        again = missing in told
        if missing is not None:
            told.add(missing)
        if (
            ((problem.rule not in _LOCAL or _is_unused_waiver(problem)) and problem.path in astray)
            or (problem.rule in _OF_ALL and unread)
            or (again and often[missing] >= _MANY)
        ):
            following.add(problem)
    return frozenset(following)


def _is_unused_waiver(problem: Problem) -> bool:
    return problem.rule == "content" and problem.what.startswith("waives '")


def _missing(problem: Problem) -> str | None:
    match = _NO_RECORD.search(problem.what) if problem.rule in ("links", "references") else None
    return (match[1] or match[2]) if match else None


def _users(catalogue: Catalogue, astray: set[str]) -> set[str]:
    """The files of the entries that use a shared check whose own file is astray."""
    broken = {name for kind, name in catalogue.unread if kind == "checks"}
    if astray:
        broken |= {
            name for (kind, name), (document, _) in catalogue.origins.items()
            if kind == "checks" and document.shown in astray
        }  # fmt: skip
    if not broken:
        return set()
    return {
        catalogue.origins["faults", entry.id][0].shown
        for entry in catalogue.faults.values()
        if any(check.use in broken for check in entry.checks)
    }
