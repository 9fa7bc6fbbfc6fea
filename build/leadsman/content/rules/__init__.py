"""The rules that the content must keep: one decorated function each, gathered by topic.

A rule yields a :class:`~leadsman.errors.Problem` for each breach. An entry may waive a rule of the
trade in its ``waivers`` with a written reason; the breach is then reported as waived, not as an error.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from leadsman.content.applicability import tasks_of
from leadsman.content.book_walk import BookWalk
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.facts import Facts, Mentions, facts_of, mentions_outside
from leadsman.content.judged import Verdict as Verdict
from leadsman.content.judged import Waived as Waived
from leadsman.content.model.base import Prose
from leadsman.content.source import Document, Location
from leadsman.errors import Problem, shown_path
from leadsman.store import Store


@dataclass
class Context:
    """What a rule looks at: the catalogue and each entry as a decision structure."""

    catalogue: Catalogue
    only: Document | None = None
    """The one file whose texts are looked at, of those that a rule with the scope "file" reads."""
    asked_for: Scope = "all"
    """The scope for which rules are asked: more than it names is not at hand."""
    entry: str | None = None
    """The one entry that is looked at in the scope "entry"; without one it is all that is no entry."""
    known: Mapping[str, Facts] | None = field(default=None, repr=False)
    """Facts of entries that need not be found again."""
    known_outside: Mentions | None = field(default=None, repr=False)

    @property
    def over_book(self) -> bool:
        """Whether a rule that looks at each record and at the whole book is asked of the book."""
        return self.asked_for in ("all", "book")

    @property
    def over_each(self) -> bool:
        """Whether such a rule is asked of the records."""
        return self.asked_for != "book"

    def records(self, kind: str) -> Mapping[str, Any]:
        """The records of a kind that are looked at; one that is only looked up lies in the catalogue."""
        if self.asked_for == "entry" and (self.entry is not None or kind == "faults"):
            wanted = kind == "faults" and self.entry is not None
            return (
                {self.entry: self.catalogue.faults[self.entry]} if wanted and self.entry is not None else {}
            )
        return self.catalogue.records[kind]

    def documents(self) -> list[Document]:
        """The files whose texts are looked at."""
        if self.only is not None:
            return [self.only]
        return list({document.path: document for document, _ in self.catalogue.origins.values()}.values())

    def prose(self) -> Iterable[tuple[str, str, Location, Prose]]:
        """Every piece of prose that is looked at: kind, id, place, text."""
        if self.asked_for == "entry" and self.entry is not None:
            entry = self.catalogue.faults[self.entry]
            return (("faults", self.entry, *at) for at in self.catalogue.prose_in(entry))
        if self.only is None:
            return self.catalogue.prose()
        return (
            (kind, name, location, text)
            for (kind, name), (document, _) in self.catalogue.origins.items()
            if document is self.only and name in self.catalogue.records[kind]
            for location, text in self.catalogue.prose_in(self.catalogue.records[kind][name])
        )

    @cached_property
    def decisions(self) -> dict[str, Decision]:
        return {name: Decision(entry, self.catalogue) for name, entry in self.records("faults").items()}

    @cached_property
    def facts(self) -> Mapping[str, Facts]:
        """What is known of each entry by itself."""
        if self.known is not None:
            return self.known
        return {name: facts_of(decision) for name, decision in self.decisions.items()}

    def mentions(self) -> Iterator[Mentions]:
        """What each entry, and all that is no entry, says of entries and values."""
        yield self.known_outside or mentions_outside(self.catalogue)
        yield from (facts.mentions for facts in self.facts.values())

    def decision(self, name: str) -> Decision:
        """One entry alone, to tell the place of something in it."""
        return Decision(self.catalogue.faults[name], self.catalogue)

    @cached_property
    def walk(self) -> BookWalk:
        """The whole book as one structure."""
        return BookWalk({}, {name: facts.walk for name, facts in self.facts.items()})

    @cached_property
    def tasks(self) -> dict[str, dict[str, Location]]:
        """The menu tasks that each entry names, each with its place in the entry."""
        return {name: dict(tasks_of(decision)) for name, decision in self.decisions.items()}

    def faults(self) -> list[Decision]:
        """The entries that look for a cause; a procedure does not."""
        return [decision for decision in self.decisions.values() if decision.entry.kind == "fault"]

    def entry_problem(self, decision: Decision, location: Location, what: str, hint: str = "") -> Problem:
        """A problem at a place in an entry."""
        return self.catalogue.problem("faults", decision.entry.id, location, what, hint)

    def check_place(self, decision: Decision, check_id: str, *more: str | int) -> Location:
        """The place of a check (by id) in its entry."""
        index = next(i for i, check in enumerate(decision.entry.checks) if check.id == check_id)
        return ("checks", index, *more)


#: What a rule looks at: everything together; one entry at a time, with all that is no entry (and once that alone); the
#: same without the words of the entry; the facts of all entries, with all that is no entry; all that is no entry; of that only what tables, values and equipment
#: know of; the texts of one file at a time, with the lists of words.
Scope = Literal["all", "entry", "form", "book", "rest", "equipment", "file"]


@dataclass(frozen=True)
class Rule:
    """A named rule; ``waivable`` when an entry may set it aside with a reason."""

    id: str
    says: str
    waivable: bool
    find: Callable[[Context], Iterable[Problem]] = field(repr=False)
    scope: Scope | tuple[Scope, ...] = "all"
    """One, or several: then it is asked for each of them."""

    @property
    def scopes(self) -> tuple[Scope, ...]:
        """What it looks at."""
        return self.scope if isinstance(self.scope, tuple) else (self.scope,)


RULES: dict[str, Rule] = {}

RuleFunction = Callable[[Context], Iterator[Problem]]


def rule(
    rule_id: str, says: str, *, waivable: bool = False, scope: Scope | tuple[Scope, ...] = "all"
) -> Callable[[RuleFunction], RuleFunction]:
    """Register the decorated function as the rule of that id; ``says`` is the rule in one sentence.

    What a rule with a narrower ``scope`` found may be kept as long as what it looks at stays the same.
    """
    assert rule_id not in RULES, f"the rule {rule_id} stands twice"

    def register(find: RuleFunction) -> RuleFunction:
        RULES[rule_id] = Rule(rule_id, says, waivable, find, scope)
        return find

    return register


def load_rules() -> None:
    """Import every module of rules, so that ``RULES`` holds them all."""
    from leadsman.content.rules import (  # noqa: F401
        boats,
        book,
        bring,
        coverage,
        doing,
        editions,
        endings,
        equipment,
        hazards,
        language,
        limits,
        links,
        menus,
        messages,
        order,
        owner,
        printing,
        rounding,
        shortened,
        structure,
        trade,
        verdicts,
    )


def check(catalogue: Catalogue, store: Store | None = None) -> Verdict:
    """Run every rule over the catalogue; reading problems come first.

    With a ``store``, what a rule of a narrow scope found before in the same text is taken from there.
    """
    load_rules()
    verdict = Verdict(list(catalogue.problems))
    context = Context(catalogue)
    narrow = {} if store is None else kept_findings(context, store)
    unused = dict(_waivers(context))
    waivers = dict(unused)
    candidates = _by_rule_and_file(waivers, catalogue)
    stopped: list[tuple[str, Exception]] = []
    for found_rule in RULES.values():
        try:
            problems = narrow[found_rule.id] if found_rule.id in narrow else list(found_rule.find(context))
        except Exception as error:
            # A record that is missing or makes no sense is told by its own rule, and others may stumble over it.
            stopped.append((found_rule.id, error))
            continue
        for problem in problems:
            problem = _named(problem, found_rule.id)
            possible = candidates.get((problem.rule, problem.path), []) if found_rule.waivable else []
            key = next((key for key in possible if _is_about(waivers[key], problem)), None)
            if key is None:
                verdict.problems.append(problem)
            else:
                verdict.waived.append(Waived(problem, key[0], waivers[key].reason))
                unused.pop(key, None)
    if stopped and not verdict.errors:
        raise stopped[0][1]
    for rule_id, _ in stopped:
        what = f"the rule '{rule_id}' could not be applied while there are other problems"
        verdict.problems.append(
            Problem(shown_path(catalogue.folder), 1, 1, what, "mend those first", "", rule_id)
        )
    for (name, index), waiver in unused.items():
        what = f"waives '{waiver.rule}', " + (
            "which nothing here breaks" if waiver.rule in RULES else "no such rule"
        )
        verdict.problems.append(
            catalogue.problem("faults", name, ("waivers", index), what, "remove the waiver")
        )
    verdict.problems = sorted(set(verdict.problems))
    return verdict


@dataclass(frozen=True)
class _Waiver:
    rule: str
    reason: str
    about: str | None


def _waivers(context: Context) -> Iterator[tuple[tuple[str, int], _Waiver]]:
    """The waivers of each entry, by entry and number; from the facts where they are known."""
    if context.known is not None:
        for name, facts in context.known.items():
            yield from (((name, index), _Waiver(*waiver)) for index, waiver in enumerate(facts.waivers))
        return
    for name, entry in context.catalogue.faults.items():
        for index, waiver in enumerate(entry.waivers):
            yield (name, index), _Waiver(waiver.rule, str(waiver.reason), waiver.about)


def kept_findings(context: Context, store: Store) -> dict[str, list[Problem]]:
    """What the rules of a narrow scope find, by rule: from the store where the same text was looked at before.

    What is then known of the entries is given to the context.
    """
    from leadsman.content.rules.keeping import findings

    try:
        return findings(context, store)
    except Exception:
        # A rule stumbles over a record that makes no sense: then each is asked plainly, and that one is told of.
        return {}


def _named(problem: Problem, rule_id: str) -> Problem:
    return Problem(problem.path, problem.line, problem.column, problem.what, problem.hint, problem.field, rule_id,
                   problem.severity)  # fmt: skip


def _by_rule_and_file(
    waivers: Mapping[tuple[str, int], _Waiver], catalogue: Catalogue
) -> dict[tuple[str, str], list[tuple[str, int]]]:
    """The waivers that a problem of a rule in a file may be set aside by."""
    found: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for (name, index), waiver in waivers.items():
        document, _ = catalogue.origins["faults", name]
        found.setdefault((waiver.rule, document.shown), []).append((name, index))
    return found


def _is_about(waiver: _Waiver, problem: Problem) -> bool:
    return waiver.about is None or waiver.about in problem.what
