"""Hazards in every book: a card before the card of signs, a part before the index, and a line before step 1."""

from pathlib import Path
from typing import Any

import pytest

import small_content
import small_guides
from leadsman.book.changes import compare
from leadsman.book.finder import build_finder
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import Subject
from leadsman.book.manual import build_manual
from leadsman.book.number_changes import Side
from leadsman.book.rungs import ladder_of
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.edition import Edition, GuideEdition, HandbookEdition
from leadsman.output.guide import guide_source
from leadsman.output.handbook import handbook_parts
from leadsman.output.ladder_filters import ladder_filters
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment
from leadsman.paths import data_folder

TEMPLATES = data_folder("templates")
HAZARD = """vapour:
  title: Vapour is smelt
  signal: DANGER
  words: [I smell vapour]
  short: 'Vapour smelt: all off.'
  say: Get off.
  do: [Get everybody off.]
  comes: The fire service.
  until: it is gone.
  cautions: [vapour]
  areas: [power]
"""


def hazardous(to: Path, text: str = HAZARD) -> Catalogue:
    """The small content with one hazard, which bears on the entry about power."""
    folder = small_content.copy(to)
    (folder / "hazards.yaml").write_text(text, encoding="utf-8")
    return load(folder)


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    """The small content with one hazard."""
    return hazardous(tmp_path_factory.mktemp("hazard"))


def test_the_card_stands_before_the_signs_and_the_line_before_step_one(catalogue: Catalogue) -> None:
    cards = build_finder(catalogue.editions["deck"], catalogue)
    assert [card.code for card in cards][:2] == ["F", "Q"]
    assert cards[0].blocks[0].data.title == "Vapour is smelt"
    views = {name: view_entry(Decision(entry, catalogue)) for name, entry in catalogue.faults.items()}
    words = catalogue.phrases()
    jinja = environment(TEMPLATES, Setter(catalogue))
    jinja.filters |= ladder_filters(words.ladder)
    text = "{% set measuring = False %}{% import 'ladder/blocks.html.j2' as blocks with context %}{{ blocks.head_front(ladder, 'T', True) }}"
    told = {
        name: jinja.from_string(text).render(ladder=ladder_of(view, catalogue), words=words.ladder)
        for name, view in views.items()
    }
    assert "Vapour is smelt." in told["low-volts"]
    assert "Vapour is smelt" not in told["no-depth"]


def _common(edition: Edition) -> dict[str, Any]:
    """What editions of every kind have."""
    return {name: getattr(edition, name) for name in Edition.model_fields}


def test_the_handbook_tells_it_before_the_index_and_before_step_one(catalogue: Catalogue) -> None:
    edition = HandbookEdition(
        **{**_common(catalogue.editions["deck"]), "kind": "handbook", "formats": ["pdf"]}
    )
    parts = {p.id: p for p in handbook_parts(build_manual(edition, catalogue), catalogue, TEMPLATES)}
    names = list(parts)
    assert names.index("first") + 1 == names.index("find")
    assert [section.anchor for section in parts["first"].sections] == ["hazard-vapour"]
    assert "I smell vapour" in parts["first"].html
    power, depth = parts["area-power"].whole(), parts["area-depth"].whole()
    assert 0 < power.index("Vapour is smelt") < power.index('id="low-volts-step-')
    assert "Vapour is smelt" not in depth


def test_an_owner_reads_it_before_what_is_seen(catalogue: Catalogue) -> None:
    edition = GuideEdition(
        **{
            **_common(catalogue.editions["deck"]),
            "kind": "guide",
            "formats": ["pdf"],
            "distress": small_guides.EDITION["distress"],
        }
    )
    shape = guide_values("guide", Subject(), edition, catalogue, "metric").shape
    html = guide_source(outline_of(shape, edition, catalogue), catalogue, TEMPLATES).html.replace(
        "\u00a0", " "
    )
    assert html.index('id="hazard-vapour"') < html.index("What do you see?")
    power = html.index('<h1 id="low-volts">')
    assert html.index("Vapour smelt: all off.", power) > power


def test_a_changed_hazard_is_told_and_marks_the_entries_that_carry_it(tmp_path: Path) -> None:
    old = Side(hazardous(tmp_path / "old"))
    new = Side(hazardous(tmp_path / "new", HAZARD.replace("Vapour smelt: all off.", "Vapour smelt: run.")))
    found = compare(old, new)
    assert [(c.kind, c.action, c.part, c.old, c.new) for c in found.changes] == [
        ("hazard", "changed", "short", "Vapour smelt: all off.", "Vapour smelt: run.")
    ]
    assert {"hazard-vapour", "low-volts", "low-volts-lead"} <= found.touched
    assert "no-depth" not in found.touched


def test_what_always_holds_begins_with_the_dangers() -> None:
    """ANSI Z535.6: the gravest signal word first; none of them may be left out."""
    catalogue = small_content.edited()
    edition = HandbookEdition(
        **{**_common(catalogue.editions["deck"]), "kind": "handbook", "formats": ["pdf"]}
    )
    told = [(caution.signal, name) for name, caution in build_manual(edition, catalogue).cautions]
    assert told == [("DANGER", "vapour"), ("WARNING", "live-element"), ("NOTICE", "update-battery")]
