"""The rules of hazards: every danger has one, with its signal word, and each bears on an entry."""

from pathlib import Path

import small_content
from leadsman.content.catalogue import load
from leadsman.content.rules import check

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
    assert small_content.edited().problems == []
