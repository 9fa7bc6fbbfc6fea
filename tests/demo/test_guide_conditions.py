"""What an owner is led through: only safe steps, and never into nothing."""

from __future__ import annotations

import pytest

import small_guides
from leadsman.book.guide import Outline, guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """Return the demo content."""
    return load(small_guides.ROOT / "content")


@pytest.fixture(scope="module")
def outlines(catalogue: Catalogue) -> dict[str, Outline]:
    """Return what the guides of the dealer, of each family and of each boat say."""
    edition = catalogue.editions["owner-guide"]
    subjects = {"dealer": Subject()}
    subjects |= {name: Subject(family) for name, family in catalogue.families.items()}
    subjects |= {name: boat_subject(boat, catalogue) for name, boat in catalogue.boats.items()}
    shapes = {n: guide_values(n, s, edition, catalogue, "metric").shape for n, s in subjects.items()}
    return {name: outline_of(shape, edition, catalogue) for name, shape in shapes.items()}


def test_only_safe_steps_and_remedies_are_told(outlines: dict[str, Outline]) -> None:
    for name, outline in outlines.items():
        steps = [(c.entry.id, s) for c in outline.conditions for s in c.steps]
        assert steps, name
        assert [(entry, s.id) for entry, s in steps if not s.body.owner_safe] == []
        # The list of the trade: nothing measured, swapped, restored, opened, or done under way.
        assert {s.body.kind for _, s in steps} <= {"ask", "look", "operate", "read", "trial"}
        assert {s.body.access for _, s in steps} <= {"helm", "transom"}
        assert [f.id for c in outline.conditions for f in c.fixes if not f.finding.owner_safe] == []


def test_every_answer_leads_to_something_that_is_printed(outlines: dict[str, Outline]) -> None:
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


def test_every_walk_ends(outlines: dict[str, Outline]) -> None:
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


def test_a_guide_names_only_menus_that_its_display_has(
    catalogue: Catalogue, outlines: dict[str, Outline]
) -> None:
    for name, boat in catalogue.boats.items():
        menus = catalogue.families[boat.display].menus
        for c in outlines[name].conditions:
            texts = [t for s in c.steps for t in (s.body.do, s.body.see, *s.body.how)]
            texts += [t for f in c.fixes for t in (*f.finding.remedy, f.finding.proof)]
            named = {r.what for t in texts for r in prose.references(t) if r.kind == "menu"}
            assert named <= set(menus), (name, c.entry.id)
            assert all(catalogue.records["tasks"][task].owner_may for task in named)


def test_one_band_is_not_asked_to_change(catalogue: Catalogue, outlines: dict[str, Outline]) -> None:
    assert len(catalogue.transducers[catalogue.boats["brent"].transducer].bands) == 1
    assert "frequency" not in outlines["brent"].shape.tasks
    assert "frequency" in outlines["marten"].shape.tasks


def test_a_transducer_that_cannot_do_it_leaves_a_condition_out(catalogue: Catalogue) -> None:
    subject = boat_subject(catalogue.boats["pintail"], catalogue)
    assert "temperature" in catalogue.families["tideway"].capabilities
    assert not {"temperature", "speed"} & subject.can(catalogue)
    outline = outline_of(
        guide_values("p", subject, catalogue.editions["owner-guide"], catalogue, "metric").shape,
        catalogue.editions["owner-guide"],
        catalogue,
    )
    assert [c.entry.id for c in outline.conditions if {"temperature", "speed"} & set(c.entry.needs)] == []


def test_the_outline_holds_nobody(catalogue: Catalogue) -> None:
    import dataclasses

    edition = catalogue.editions["owner-guide"]
    subject = dataclasses.replace(
        boat_subject(catalogue.boats["marten"], catalogue), owner="Perpetua Rookling"
    )
    guide = guide_values("rook", subject, edition, catalogue, "metric")
    assert "Perpetua" not in repr((subject, guide, outline_of(guide.shape, edition, catalogue)))
    assert guide.values["owner"] == "Perpetua Rookling"


def test_what_must_be_known_from_the_start_stands_before_the_first_step(
    catalogue: Catalogue, outlines: dict[str, Outline]
) -> None:
    """The question about the history is not asked of an owner; its cautions are not lost with it."""
    seen = 0
    for outline in outlines.values():
        for c in outline.conditions:
            start = Decision(c.entry, catalogue).checks[c.entry.checks[0].id]
            if c.steps and start.body.cautions:
                first = {caution.short for caution in c.steps[0].cautions}
                assert {catalogue.cautions[name].short for name in start.body.cautions} <= first, c.entry.id
                seen += 1
    assert seen > 3


def test_yes_stands_before_no_and_cannot_last(outlines: dict[str, Outline]) -> None:
    for outline in outlines.values():
        for step in (s for c in outline.conditions for s in c.steps):
            labels = [answer.label for answer in step.answers]
            assert labels[0] == "YES" or "YES" not in labels, labels
            assert labels[-1] == "CAN'T" or "CAN'T" not in labels, labels
