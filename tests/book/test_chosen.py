"""Which entries an edition holds, in which order; and what a reader sees of one."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

import small_content
import small_guides
from leadsman.book.chosen import chosen_entries
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.edition import DeckEdition, GuideEdition


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


def test_codes_are_sorted_as_numbers(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / "faults/power/low-volts.yaml").read_text()
    for code in ("P10", "P2"):
        new = text.replace("code: P1", f"code: {code}").replace("id: low-volts", f"id: {code.lower()}")
        (folder / f"faults/power/{code.lower()}.yaml").write_text(new)
    loaded = load(folder)
    assert [e.code for e in chosen_entries(loaded.editions["deck"], loaded)] == ["P1", "P2", "P10", "D1"]


def test_a_reader_sees_numbers_letters_and_where_each_answer_leads(catalogue: Catalogue) -> None:
    view = view_entry(Decision(catalogue.faults["no-depth"], catalogue))
    assert [step.number for step in view.steps] == list(range(1, 10))
    assert [fix.letter for fix in view.fixes] == ["A", "B", "C", "D", "E"]
    assert [end.letter for end in view.hand_overs] == ["F"]
    software = next(step for step in view.steps if step.id == "software")
    assert [(a.label, a.target.kind, a.target.number) for a in software.answers] == [
        ("YES", "step", "5"), ("NO", "fix", "B"), ("CAN'T", "hand-over", "F"),
    ]  # fmt: skip
    assert view.steps[0].asks_history
    assert view.fixes[0].not_proved.number == "F"
    # The shares of the history "in service" are those of the file: 40, 20, 5, 15 and 20 of 100.
    assert sorted(line.percent[0] for line in view.likelihoods) == [5, 15, 20, 20, 40]
    assert view.menu_tasks == ("record-settings", "restore-defaults", "update-software")


def test_the_gravest_caution_comes_first(catalogue: Catalogue) -> None:
    entry = catalogue.faults["no-depth"]
    finding = entry.findings[0].model_copy(update={"cautions": ["update-battery", "vapour", "live-element"]})
    changed = entry.model_copy(update={"findings": [finding, *entry.findings[1:]]})
    view = view_entry(Decision(changed, replace(catalogue)))
    assert [caution.signal for _, caution in view.fixes[0].cautions] == ["DANGER", "WARNING", "NOTICE"]


def test_what_stands_in_the_handbook_only_is_no_card(catalogue: Catalogue) -> None:
    """A deck leaves it out unless its own list names it; any other edition has it."""
    deck = catalogue.editions["deck"]
    assert isinstance(deck, DeckEdition)
    off = [SimpleNamespace(entry="low-volts")]
    assert [e.id for e in chosen_entries(deck.model_copy(update={"handbook_only": off}), catalogue)] == [
        "no-depth"
    ]
    named = deck.model_copy(update={"handbook_only": off, "entries": ["low-volts"]})
    assert [e.id for e in chosen_entries(named, catalogue)] == ["low-volts"]
    guide = GuideEdition.model_validate(small_guides.EDITION)
    assert [e.id for e in chosen_entries(guide, catalogue)] == ["low-volts", "no-depth"]
