"""Hazards in the caller's first words: which entry carries which, and that none is forgotten.

What is dangerous, and what anybody aboard does first, is common practice (no published source), after the
safety pages of every boat. The signal words are those of ANSI Z535, as the cautions use them.
"""

import re
from pathlib import Path

import pytest

import small_content
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.hazards import gravest_first, hazards_of
from leadsman.content.model.reference import SIGNALS
from leadsman.content.rules import check
from leadsman.paths import data_folder


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The content of the handbook."""
    return load(data_folder("content"))


def carried(catalogue: Catalogue) -> dict[str, set[str]]:
    """For each entry's code the hazards that stand before its step 1."""
    return {
        entry.code: {name for name, _ in hazards_of(Decision(entry, catalogue))}
        for entry in catalogue.faults.values()
    }


def test_what_a_caller_can_say_first_is_asked_before_any_step(catalogue: Catalogue) -> None:
    """A dead unit with a smell of petrol; a face that somebody dives to; a wheel drawn afloat; a burnt lead."""
    found = carried(catalogue)
    for code in ("P1", "P2", "P3", "P4", "P5", "P6", "P7"):
        assert {"petrol", "fire"} <= found[code], code
    for code in ("D1", "D2", "D11", "W2", "S8"):
        assert {"in-water", "insert"} <= found[code], code
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


HAZARD = """vapour:
  title: It smells
  signal: DANGER
  words: [It smells]
  short: 'Smell: all off.'
  say: Get off.
  do: [Get everybody off.]
  comes: The fire service.
  until: it is gone.
  cautions: [vapour]
  areas: [power]
"""


def with_hazards(to: Path, text: str) -> list[tuple[str, str]]:
    """The rules that the small content breaks when it has these hazards, each with what is wrong."""
    folder = small_content.copy(to)
    (folder / "hazards.yaml").write_text(text, encoding="utf-8")
    return [(p.rule, p.what) for p in check(load(folder)).problems]


def test_a_danger_without_a_hazard_is_an_error(tmp_path: Path) -> None:
    other = HAZARD.replace("  cautions: [vapour]\n", "")
    assert with_hazards(tmp_path / "with", HAZARD) == []
    assert with_hazards(tmp_path / "without", other) == [
        ("hazard-coverage", "the DANGER 'vapour' belongs to no hazard")
    ]


def test_a_hazard_keeps_the_signal_word_of_its_caution(tmp_path: Path) -> None:
    found = with_hazards(tmp_path, HAZARD.replace("signal: DANGER", "signal: WARNING"))
    assert found == [("hazard-signal", "WARNING is milder than the DANGER 'vapour'")]


def test_a_hazard_that_no_reader_meets_is_an_error(tmp_path: Path) -> None:
    lone = HAZARD + HAZARD.replace("vapour:\n", "lone:\n").replace(
        "cautions: [vapour]\n  areas: [power]", "signs: [motion]"
    )
    assert with_hazards(tmp_path, lone) == [("hazard-bears", "the hazard 'lone' bears on no entry")]


def test_what_a_hazard_names_exists(tmp_path: Path) -> None:
    found = with_hazards(tmp_path, HAZARD.replace("cautions: [vapour]", "cautions: [vapour, vapor]"))
    assert ("links", "'vapor' is no caution") in [(rule, what.partition(";")[0]) for rule, what in found]


def test_content_without_hazards_is_read_as_before() -> None:
    """Earlier revisions have none, and are still compared with."""
    assert load(small_content.FOLDER).problems == []
