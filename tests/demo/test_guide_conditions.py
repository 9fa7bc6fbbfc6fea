"""What an owner is led through by the guides of the project's boats: only safe steps, and never into nothing."""

from __future__ import annotations

import pytest

import built
from book.test_guide_conditions import (
    answers_stand_in_order,
    cautions_before_the_first_step,
    ends,
    leads_to_what_is_printed,
    outlines_of,
    tells_only_what_is_safe,
)
from leadsman.book.guide import Outline, guide_values, outline_of
from leadsman.book.guide_subject import boat_subject
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return built.catalogue()


@pytest.fixture(scope="module")
def outlines(catalogue: Catalogue) -> dict[str, Outline]:
    return outlines_of(catalogue, catalogue.editions["owner-guide"])


def test_only_safe_steps_and_remedies_are_told(outlines: dict[str, Outline]) -> None:
    tells_only_what_is_safe(outlines)


def test_every_answer_leads_to_something_that_is_printed(outlines: dict[str, Outline]) -> None:
    leads_to_what_is_printed(outlines)


def test_every_walk_ends(outlines: dict[str, Outline]) -> None:
    ends(outlines)


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


def test_what_must_be_known_from_the_start_stands_before_the_first_step(
    catalogue: Catalogue, outlines: dict[str, Outline]
) -> None:
    assert cautions_before_the_first_step(catalogue, outlines) > 3


def test_yes_stands_before_no_and_cannot_last(outlines: dict[str, Outline]) -> None:
    answers_stand_in_order(outlines)
