"""Which condition of a guide has a page, what it begins with, and where it is told how a step is done."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

import small_guides
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_conditions import GuideCondition
from leadsman.book.guide_pages import GuidePages, _guarded, _methods, guide_pages
from leadsman.book.guide_subject import boat_subject
from leadsman.content.model.edition import GuideEdition

LOOK = {"name": "Plug", "do": "Look at the plug.", "see": "Is it home?", "otherwise": "Push it home."}
LOOKS = {
    "plug": LOOK,
    "hull": {**LOOK, "housings": ["through-hull", "in-hull"]},
    "menu": {**LOOK, "do": "Open {menu: update-software}."},
    "hidden": {**LOOK, "otherwise": "Open {menu: record-settings}."},
}
PAGES = [{"entry": "no-depth", "looks": list(LOOKS), "picture": "plug"}, {"entry": "absent-here"}]


def conditions() -> tuple[GuideCondition, ...]:
    catalogue, edition = small_guides.for_owners(), small_guides.content()[1]
    subject = boat_subject(catalogue.boats["punt"], catalogue)
    shape = guide_values("x", subject, edition, catalogue, "metric").shape
    return outline_of(shape, edition, catalogue).conditions


def placed(
    housing: str | None, pages: list[dict[str, Any]] = PAGES, tasks: tuple[str, ...] = ("update-software",)
) -> GuidePages:
    edition = GuideEdition.model_validate({**small_guides.EDITION, "looks": LOOKS, "pages": pages})
    return guide_pages(edition, conditions(), housing, frozenset(tasks))


@pytest.mark.parametrize(
    ("housing", "tasks", "looks"),
    [
        ("transom", ("update-software",), ["plug", "menu"]), ("in-hull", ("update-software",), ["plug", "hull", "menu"]),
        (None, ("update-software",), ["plug", "hull", "menu"]), ("transom", (), ["plug"]),
        ("transom", ("update-software", "record-settings"), ["plug", "menu", "hidden"]),
    ],
)  # fmt: skip
def test_a_page_begins_with_the_looks_that_its_equipment_has(
    housing: str | None, tasks: tuple[str, ...], looks: list[str]
) -> None:
    """Without a boat all housings count; a look whose menu the unit lacks is none."""
    page = placed(housing, tasks=tasks).pages[0]
    assert [(look.do, look.housings, look.otherwise) for look in page.looks] == [
        (LOOKS[name]["do"], LOOKS[name].get("housings", []), LOOKS[name]["otherwise"]) for name in looks
    ]  # fmt: skip
    assert page.picture == "plug"
    # The steps are numbered behind the looks: the caution of the first step of "No depth" stands there.
    steps = page.condition.steps
    where = {str(g.caution.short): g.where for g in page.guarded}
    for step in steps:
        for caution in step.cautions:
            assert str(step.number + len(looks)) in where[str(caution.short)]


def test_what_has_no_page_stands_among_the_others() -> None:
    found = placed("transom")
    assert [page.condition.entry.id for page in found.pages] == ["no-depth"]
    assert [condition.entry.id for condition in found.others] == ["low-volts"]
    every = placed("transom", [])
    assert [page.condition.entry.id for page in every.pages] == [c.entry.id for c in conditions()]
    assert (every.others, every.pages[0].looks, every.pages[0].picture) == ((), (), None)


def test_a_condition_that_is_all_the_dealers_needs_no_page() -> None:
    bare = [dataclasses.replace(c, steps=()) if c.entry.id == "no-depth" else c for c in conditions()]
    pages = [{"entry": "no-depth"}, {"entry": "low-volts"}]
    edition = GuideEdition.model_validate({**small_guides.EDITION, "pages": pages})
    found = guide_pages(edition, bare, None, frozenset())
    assert [page.condition.entry.id for page in found.pages] == ["low-volts"]
    assert [condition.entry.id for condition in found.others] == ["no-depth"]


def test_a_caution_of_a_page_is_told_once_with_all_that_it_guards() -> None:
    hot, live = SimpleNamespace(short="Hot."), SimpleNamespace(short="Live.")
    condition: Any = SimpleNamespace(
        steps=[SimpleNamespace(number=1, cautions=(hot,)), SimpleNamespace(number=2, cautions=()), SimpleNamespace(number=3, cautions=(live, hot))],
        fixes=[SimpleNamespace(letter="A", cautions=(live,))],
    )  # fmt: skip
    found = [(str(g.caution.short), g.where) for g in _guarded(condition, 2)]
    assert found == [("Hot.", ("3", "5")), ("Live.", ("5", "A"))]


def step(name: str, lines: int, do: str = "") -> Any:
    how = [f"Line {number} of {do or name}." for number in range(lines)]
    return SimpleNamespace(id=name, tools=("torch",), body=SimpleNamespace(do=do or name, how=how))


def page(*steps: Any) -> Any:
    return SimpleNamespace(condition=SimpleNamespace(steps=steps))


def test_methods_of_one_id_are_told_apart_and_found_again() -> None:
    """The same id may be another check in another entry: then the number parts them."""
    same, other, short = (
        step("look", 4, "Look at the plug."),
        step("look", 4, "Look at the fuse."),
        step("short", 3),
    )
    methods = _methods([page(same, short), page(other)])
    assert [(m.id, m.number, m.do, len(m.how), m.tools) for m in methods] == [
        ("look-1", "1", "Look at the plug.", 4, ("torch",)), ("look-2", "2", "Look at the fuse.", 4, ("torch",)),
    ]  # fmt: skip
    pages = GuidePages((), (), methods)
    assert pages.method(other) is methods[1]
    # Told beside the step itself.
    assert pages.method(short) is None
    (one,) = _methods([page(same, short)])
    assert one.id == "look"
