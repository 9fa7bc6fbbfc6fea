"""How the conditions of an owner's guide stand on its pages: some on a page of their own, the rest one line each.

A page begins with the cheap looks that its equipment has. What several pages ask to be done in the same way is
told once, on the pages of looks that come again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from leadsman.book.guide_conditions import GuideCondition, GuideStep
from leadsman.content import prose
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import GuideEdition, OwnerLook
from leadsman.content.model.reference import Caution, Tool

#: A step that needs no more lines than these says by itself how it is done.
_MOST_BESIDE = 3


@dataclass(frozen=True)
class Method:
    """How a look that several pages ask for is taken."""

    id: str
    number: str
    do: Prose
    how: tuple[Prose, ...]
    tools: tuple[Tool, ...]


@dataclass(frozen=True)
class Guarded:
    """A caution at the head of a page, with the numbers of the steps and letters of the fixes that it guards."""

    caution: Caution
    where: tuple[str, ...]


@dataclass(frozen=True)
class GuidePage:
    """A condition on its page."""

    condition: GuideCondition
    looks: tuple[OwnerLook, ...]
    picture: str | None
    guarded: tuple[Guarded, ...]


@dataclass(frozen=True)
class GuidePages:
    """What stands where in a guide."""

    pages: tuple[GuidePage, ...]
    others: tuple[GuideCondition, ...]
    methods: tuple[Method, ...]

    def method(self, step: GuideStep) -> Method | None:
        """Where it is told how a step is done, unless it is told beside the step."""
        return next((m for m in self.methods if (m.do, *m.how) == _told(step)), None)


def guide_pages(
    edition: GuideEdition, conditions: Sequence[GuideCondition], housing: str | None, tasks: frozenset[str]
) -> GuidePages:
    """Place the conditions; without pages in the edition each has one."""
    by_id = {condition.entry.id: condition for condition in conditions}
    if edition.pages:
        chosen = [(by_id[p.entry], p.looks, p.picture) for p in edition.pages if p.entry in by_id]
        # A condition of which nothing is left to the owner needs no page.
        chosen = [item for item in chosen if item[0].steps]
    else:
        chosen = [(condition, [], None) for condition in conditions]
    pages = []
    for condition, names, picture in chosen:
        looks = tuple(look for name in names if _fits(look := edition.looks[name], housing, tasks))
        pages.append(GuidePage(condition, looks, picture, _guarded(condition, len(looks))))
    paged = {page.condition.entry.id for page in pages}
    others = tuple(condition for name, condition in by_id.items() if name not in paged)
    return GuidePages(tuple(pages), others, _methods(pages))


def _fits(look: OwnerLook, housing: str | None, tasks: frozenset[str]) -> bool:
    named = set(prose.named((look.do, look.see, look.otherwise), "menu"))
    return (housing is None or not look.housings or housing in look.housings) and named <= tasks


def _guarded(condition: GuideCondition, before: int) -> tuple[Guarded, ...]:
    """Each caution of a page once, the gravest of each part first, with what it guards; the looks are counted before the steps."""
    found: dict[str, tuple[Caution, list[str]]] = {}
    parts = [(str(step.number + before), step.cautions) for step in condition.steps]
    parts += [(fix.letter, fix.cautions) for fix in condition.fixes]
    for where, cautions in parts:
        for caution in cautions:
            found.setdefault(str(caution.short), (caution, []))[1].append(where)
    return tuple(Guarded(caution, tuple(where)) for caution, where in found.values())


def _methods(pages: Sequence[GuidePage]) -> tuple[Method, ...]:
    steps = [step for page in pages for step in page.condition.steps if step.body.how]
    count = Counter(_told(step) for step in steps)
    first = {_told(step): step for step in reversed(steps)}
    told = [key for key in count if count[key] > 1 or len(key) - 1 > _MOST_BESIDE]
    ids = Counter(first[key].id for key in told)
    return tuple(
        # The same id may be another check in another entry.
        Method(f"{first[key].id}-{n}" if ids[first[key].id] > 1 else first[key].id, str(n), first[key].body.do,
               tuple(first[key].body.how), first[key].tools)
        for n, key in enumerate(told, 1)
    )  # fmt: skip


def _told(step: GuideStep) -> tuple[Prose, ...]:
    """What a step says of how it is done: steps that say the same share a method."""
    return (step.body.do, *step.body.how)
