"""Hazards in the caller's first words: which entry carries which, and that none is forgotten.

What is dangerous, and what anybody aboard does first, is common practice (no published source), after the
safety pages of every boat. The signal words are those of ANSI Z535, as the cautions use them.
"""

import re

import pytest

import built
from leadsman.book.finder import build_finder
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import Subject
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.hazards import gravest_first, hazards_of
from leadsman.content.model.reference import SIGNALS
from leadsman.output.guide import guide_source


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The content of the handbook."""
    return built.catalogue()


def carried(catalogue: Catalogue) -> dict[str, set[str]]:
    """For each entry's code the hazards that stand before its step 1."""
    return {
        entry.code: {name for name, _ in hazards_of(Decision(entry, catalogue))}
        for entry in catalogue.faults.values()
    }


def test_what_a_caller_can_say_first_is_asked_before_any_step(catalogue: Catalogue) -> None:
    """A dead unit with a smell of petrol; a face that somebody dives to; a wheel drawn afloat; a burnt lead."""
    found = carried(catalogue)
    for code in ("P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8", "P9"):
        assert {"petrol", "fire"} <= found[code], code
    # D1, D5 and D11 look at face and insert on D15; D4 goes on with C11, which asks no caller about petrol.
    for code in ("D1", "D2", "D5", "D11", "D15", "W2", "S8"):
        assert {"in-water", "insert"} <= found[code], code
    assert "petrol" not in found["D4"]
    assert {"propeller", "number"} <= found["D3"]
    assert "flooding" in found["I3"]
    assert all("number" in hazards for code, hazards in found.items() if code.startswith("D"))


def test_each_entry_carries_the_hazards_of_what_its_text_has_somebody_do(catalogue: Catalogue) -> None:
    """Read from the words, not from the cautions: drawing an insert, and trying it under way."""
    found = carried(catalogue)
    draws = re.compile(r"\b(?:draw|drawn|withdraw|pull)\b[^.]*\b(?:insert|wheel)\b", re.IGNORECASE)
    for entry in catalogue.faults.values():
        checks = Decision(entry, catalogue).checks.values()
        texts = [str(text) for c in checks for text in (c.body.do, c.body.see, *c.body.how)]
        texts += [str(text) for finding in entry.findings for text in finding.remedy]
        if any(draws.search(text) for text in texts):
            assert "insert" in found[entry.code], entry.id
        if any(c.body.access == "run" for c in checks):
            assert "propeller" in found[entry.code], entry.id


def test_every_step_can_be_read_out_on_the_telephone(catalogue: Catalogue) -> None:
    """No menu, no tool, no table, no number to measure: only what anybody aboard can do at once."""
    tools = re.compile(r"\b(?:meter|lamp on clips|torch|card|table|menu)\b", re.IGNORECASE)
    for name, hazard in catalogue.hazards.items():
        texts = [*hazard.do, hazard.say, hazard.short, hazard.comes, hazard.until]
        assert not [r for text in texts for r in prose.references(text)], name
        assert not [text for text in texts if tools.search(text)], name


def test_petrol_has_a_procedure_of_its_own(catalogue: Catalogue) -> None:
    """No spark, nobody aboard, air by hand, no blower that can spark, no telephone in the vapour, a licensed hand."""
    petrol = catalogue.hazards["petrol"]
    said = " ".join(petrol.do)
    assert petrol.signal == "DANGER"
    for words in ("nothing on or off", "everybody off", "by hand", "Leave the blower off", "no telephone or radio"):  # fmt: skip
        assert words in said
    assert "licensed" in petrol.comes


def test_the_gravest_stand_first(catalogue: Catalogue) -> None:
    ranks = [SIGNALS.index(hazard.signal) for _, hazard in gravest_first(catalogue)]
    assert ranks == sorted(ranks)
    assert len(ranks) >= 7


def test_an_owner_is_told_how_a_sounder_works_before_the_conditions(catalogue: Catalogue) -> None:
    """Pulse, echo and time, in a picture with its text; the topics of the workshop stand in the handbook alone."""
    edition = catalogue.editions["owner-guide"].model_copy(update={"entries": ["dead-unit"], "tables": []})
    shape = guide_values("guide", Subject(), edition, catalogue, "us").shape
    html = guide_source(
        outline_of(shape, edition, catalogue), catalogue, built.ROOT / "templates"
    ).html.replace("\u00a0", " ")
    assert html.index("Pulse and echo") < html.index('<h1 id="dead-unit">')
    assert "Updating the software" not in html
    # And in a US guide the first danger is one of gasoline.
    assert "Gasoline smell" in html
    assert "Petrol" not in html


def test_every_grave_caution_of_the_content_stands_on_the_finder(catalogue: Catalogue) -> None:
    """With its hazard on the first card, or in full on the card of hazards."""
    edition = catalogue.editions["finder"]
    blocks = {block.id for card in build_finder(edition, catalogue) for block in card.blocks}
    first = {name for hazard in catalogue.hazards.values() for name in hazard.cautions}
    grave = {name for name, caution in catalogue.cautions.items() if caution.signal in ("DANGER", "WARNING")}
    assert {f"caution-{name}" for name in grave - first} <= blocks
    assert {
        f"caution-{name}"
        for name, c in catalogue.cautions.items()
        if c.signal in ("CAUTION", "NOTICE") and c.general
    } <= blocks
    assert {name for name, c in catalogue.cautions.items() if c.signal == "DANGER"} <= first


def test_what_a_caller_says_of_a_danger_leads_there_first_in_the_index_too() -> None:
    """The same words in both lists; a keel that struck may leak, by common practice without a source."""
    catalogue = built.catalogue()
    callers = {str(words): name for name, hazard in catalogue.hazards.items() for words in hazard.words}
    signs = [sign for entry in catalogue.faults.values() for sign in entry.condition.signs]
    assert [str(s.words) for s in signs if s.first != callers.get(str(s.words), s.first)] == []
    assert [str(s.words) for s in signs if "ouched bottom" in str(s.words) and s.first != "flooding"] == []
    assert sum(s.first is not None for s in signs) >= 2
