"""What an owner is led through, on the small content: only safe steps, and never into nothing."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

import small_guides
from leadsman.book.guide import Outline, guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.edition import GuideEdition


def outlines_of(catalogue: Catalogue, edition: GuideEdition) -> dict[str, Outline]:
    """What the guides of the dealer, of each family and of each boat say."""
    subjects = {"dealer": Subject()}
    subjects |= {name: Subject(family) for name, family in catalogue.families.items()}
    subjects |= {name: boat_subject(boat, catalogue) for name, boat in catalogue.boats.items()}
    shapes = {n: guide_values(n, s, edition, catalogue, "metric").shape for n, s in subjects.items()}
    return {name: outline_of(shape, edition, catalogue) for name, shape in shapes.items()}


def tells_only_what_is_safe(outlines: dict[str, Outline]) -> None:
    """Steps and remedies that are marked safe, and none of the kinds that no owner may be asked."""
    for name, outline in outlines.items():
        steps = [(c.entry.id, s) for c in outline.conditions for s in c.steps]
        assert steps, name
        assert [(entry, s.id) for entry, s in steps if not s.body.owner_safe] == []
        # The list of the trade: nothing measured, swapped, restored, opened, or done under way.
        assert {s.body.kind for _, s in steps} <= {"ask", "look", "operate", "read", "trial"}
        assert {s.body.access for _, s in steps} <= {"helm", "transom"}
        assert [f.id for c in outline.conditions for f in c.fixes if not f.finding.owner_safe] == []


def leads_to_what_is_printed(outlines: dict[str, Outline]) -> None:
    """Every answer and every failed remedy."""
    for name, outline in outlines.items():
        conditions = {c.entry.id for c in outline.conditions}
        for c in outline.conditions:
            there = {
                "step": {s.id for s in c.steps},
                "fix": {f.id for f in c.fixes},
                "dealer": {e.id for e in c.ends},
                "condition": conditions,
            }
            ways = [a.way for s in c.steps for a in s.answers] + [f.otherwise for f in c.fixes]
            assert [(name, c.entry.id, way) for way in ways if way.id not in there[way.kind]] == []
            assert [s.number for s in c.steps] == list(range(1, len(c.steps) + 1))


def ends(outlines: dict[str, Outline]) -> None:
    """Within a condition no answer leads back to a step already taken; a failed remedy only leads on."""
    for outline in outlines.values():
        for c in outline.conditions:
            follows = {s.id: {a.way.id for a in s.answers} for s in c.steps}
            follows |= {f.id: {f.otherwise.id} for f in c.fixes}

            def walk(node: str, passed: tuple[str, ...], follows: dict[str, set[str]] = follows) -> None:
                assert node not in passed, (*passed, node)
                for following in follows.get(node, ()):
                    walk(following, (*passed, node))

            if c.steps:
                walk(c.steps[0].id, ())


def cautions_before_the_first_step(catalogue: Catalogue, outlines: dict[str, Outline]) -> int:
    """The question about the history is not asked of an owner; its cautions are not lost with it."""
    seen = 0
    for outline in outlines.values():
        for c in outline.conditions:
            start = Decision(c.entry, catalogue).checks[c.entry.checks[0].id]
            if c.steps and start.body.cautions:
                first = {caution.short for caution in c.steps[0].cautions}
                assert {catalogue.cautions[name].short for name in start.body.cautions} <= first, c.entry.id
                seen += 1
    return seen


def answers_stand_in_order(outlines: dict[str, Outline]) -> None:
    """YES first, CAN'T last."""
    for outline in outlines.values():
        for step in (s for c in outline.conditions for s in c.steps):
            labels = [answer.label for answer in step.answers]
            assert labels[0] == "YES" or "YES" not in labels, labels
            assert labels[-1] == "CAN'T" or "CAN'T" not in labels, labels


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content with more for an owner to do."""
    return small_guides.for_owners()


@pytest.fixture(scope="module")
def edition() -> GuideEdition:
    return small_guides.content()[1]


@pytest.fixture(scope="module")
def outlines(catalogue: Catalogue, edition: GuideEdition) -> dict[str, Outline]:
    return outlines_of(catalogue, edition)


def test_only_safe_steps_and_remedies_are_told(outlines: dict[str, Outline]) -> None:
    tells_only_what_is_safe(outlines)
    conditions = {c.entry.id: c for c in outlines["punt"].conditions}
    assert [s.id for s in conditions["no-depth"].steps] == ["temperature", "volts", "software"]
    assert [f.id for f in conditions["no-depth"].fixes] == ["found-software"]
    assert [e.id for e in conditions["low-volts"].ends] == ["found-limit", "found-joint", "hand-over"]


def test_every_answer_leads_to_something_that_is_printed(outlines: dict[str, Outline]) -> None:
    """What is not for an owner is answered "cannot": the plug behind the software is the dealer's."""
    leads_to_what_is_printed(outlines)
    software = outlines["punt"].conditions[-1].steps[-1]
    assert {a.label: (a.way.kind, a.way.id) for a in software.answers} == {
        "YES": ("dealer", "hand-over"),
        "NO": ("fix", "found-software"),
        "CAN'T": ("dealer", "hand-over"),
    }


def test_every_walk_ends(outlines: dict[str, Outline]) -> None:
    ends(outlines)


def test_what_must_be_known_from_the_start_stands_before_the_first_step(
    catalogue: Catalogue, outlines: dict[str, Outline]
) -> None:
    assert cautions_before_the_first_step(catalogue, outlines) == 2 * len(outlines)


def test_yes_stands_before_no_and_cannot_last(outlines: dict[str, Outline]) -> None:
    answers_stand_in_order(outlines)


def test_one_band_is_not_asked_to_change(catalogue: Catalogue) -> None:
    """A menu that this equipment cannot use is no menu of its guide."""
    catalogue = dataclasses.replace(catalogue, records=dict(catalogue.records))
    menu = catalogue.records["tasks"]["update-software"]
    catalogue.records["tasks"] = {**catalogue.records["tasks"], "frequency": menu}
    family = catalogue.families["plain"]
    family = family.model_copy(update={"menus": {**family.menus, "frequency": ["Knob"]}})
    one = catalogue.transducers["round"]
    two = one.model_copy(update={"bands": [*one.bands, one.bands[0].model_copy(update={"id": "round-50"})]})
    asked = [
        "frequency" in Subject(family, boat=catalogue.boats["punt"], transducer=transducer).tasks(catalogue)
        for transducer in (one, two)
    ]
    assert asked == [False, True]


def test_a_transducer_that_cannot_do_it_leaves_a_condition_out(edition: GuideEdition) -> None:
    """A display that shows the temperature, a transducer that cannot measure it."""
    catalogue = small_guides.for_owners()
    catalogue.records["capabilities"]["temperature"] = catalogue.records["capabilities"]["depth"]
    family = catalogue.families["plain"].model_copy(update={"capabilities": ["depth", "temperature"]})
    catalogue.records["families"]["plain"] = family
    entry = catalogue.faults["no-depth"].model_copy(update={"needs": ["depth", "temperature"]})
    catalogue.records["faults"]["no-depth"] = entry
    told = {name: {c.entry.id for c in o.conditions} for name, o in outlines_of(catalogue, edition).items()}
    assert told["plain"] == {"no-depth", "low-volts"}
    assert told["punt"] == {"low-volts"}


def test_the_outline_holds_nobody(catalogue: Catalogue, edition: GuideEdition) -> None:
    subject = dataclasses.replace(boat_subject(catalogue.boats["punt"], catalogue), owner="Perpetua Rookling")
    guide = guide_values("rook", subject, edition, catalogue, "metric")
    assert "Perpetua" not in repr((subject, guide, outline_of(guide.shape, edition, catalogue)))
    assert guide.values["owner"] == "Perpetua Rookling"


def test_a_step_says_by_itself_what_fits_beside_it_once() -> None:
    """Three lines stand in the step; four, or what two steps share, stand once among the methods."""
    from leadsman.book.guide_pages import _methods

    def step(name: str, lines: int, do: str = "") -> SimpleNamespace:
        how = [f"Line {number} of {do or name}." for number in range(lines)]
        return SimpleNamespace(id=name, tools=(), body=SimpleNamespace(do=do or name, how=how))

    def page(*steps: SimpleNamespace) -> Any:
        return SimpleNamespace(condition=SimpleNamespace(steps=steps))

    one, two = (
        page(step("short", 3), step("long", 4), step("bare", 0)),
        page(step("plug", 2, "Look at the plug.")),
    )
    three = page(step("plug", 2, "Look at the plug."))
    assert [(m.id, m.number) for m in _methods([one, two, three])] == [("long", "1"), ("plug", "2")]
