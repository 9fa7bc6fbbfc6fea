"""The ladder of a card on the small content: which answer falls through, which leaves, what stands beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

import small_content
from leadsman.book.passages import Words
from leadsman.book.rungs import Ladder, Rung, _rung, ladder_of
from leadsman.book.views import answers_in_order, view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.base import Prose

ENTRY = "faults/depth/no-depth.yaml"


def ladder(catalogue: Catalogue) -> Ladder:
    return ladder_of(view_entry(Decision(catalogue.faults["no-depth"], catalogue)), catalogue)


@pytest.fixture(scope="module")
def rungs() -> dict[str, Rung]:
    return {rung.id: rung for rung in ladder(load(small_content.FOLDER)).rungs}


def test_yes_falls_through_and_no_stands_beside_it(rungs: dict[str, Rung]) -> None:
    """The house style: two short answers share a line, and CAN'T falls through with YES where it leads on as well."""
    for name, exits in (
        ("temperature", ["NO"]),
        ("plug", ["NO"]),
        ("lamp", ["NO", "CAN'T"]),
        ("software", ["NO", "CAN'T"]),
    ):
        rung = rungs[name]
        assert (rung.falling, [str(exit.label) for exit in rung.exits]) == ("YES", exits)
        assert rung.beside


def test_a_history_and_a_swap_fall_through_without_a_word(rungs: dict[str, Rung]) -> None:
    """Of six answers that lead on together none is named."""
    assert [rungs[name].falling for name in ("history", "swap")] == ["", ""]
    assert not rungs["history"].beside
    assert not rungs["swap"].beside


def test_a_long_answer_and_one_that_leaves_the_card_have_a_line_of_their_own(tmp_path: Path) -> None:
    longer = small_content.edited(
        tmp_path / "a",
        (
            ENTRY,
            '"no": {then: found-software, shows: [old-software]}',
            '"no": {then: found-software, shows: [old-software], label: TOO OLD}',
        ),
    )
    (rung,) = (rung for rung in ladder(longer).rungs if rung.id == "software")
    assert (rung.falling, str(rung.exits[0].label), rung.beside) == ("YES", "TOO OLD", False)
    leaving = small_content.edited(
        tmp_path / "b",
        (
            ENTRY,
            '"no": {then: found-software, shows: [old-software]}',
            '"no": {to_entry: low-volts, at: volts, shows: [old-software]}',
        ),
    )
    (rung,) = (rung for rung in ladder(leaving).rungs if rung.id == "software")
    assert (str(rung.exits[0].label), rung.beside) == ("NO", False)


def test_only_what_can_hurt_is_grave(tmp_path: Path, rungs: dict[str, Rung]) -> None:
    """ANSI Z535: a NOTICE is about things; DANGER and WARNING are about people, and the gravest stands first."""
    assert [name for name, _ in rungs["pins"].grave] == ["live-element"]
    edits = (
        ENTRY,
        "    use: lamp-at-plug\n",
        "    use: lamp-at-plug\n    cautions: [update-battery, live-element, vapour]\n",
    )
    (rung,) = (rung for rung in ladder(small_content.edited(tmp_path, edits)).rungs if rung.id == "lamp")
    assert [name for name, _ in rung.grave] == ["vapour", "live-element"]


def test_a_step_to_which_a_failed_proof_leads_is_one_that_is_come_to(tmp_path: Path) -> None:
    """Its caution is spoken anew: whoever comes from the back has not read what stands above it."""
    edit = (ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: temperature\n")
    assert "temperature" in ladder(small_content.edited(tmp_path, edit)).entered
    assert "temperature" not in ladder(load(small_content.FOLDER)).entered


def test_answers_stand_in_one_order_whatever_was_written() -> None:
    """YES first, NO second, CAN'T last (common practice of checklists)."""
    check = SimpleNamespace(outcomes=dict.fromkeys(("cannot", "dim", "no", "off", "yes")))
    assert [name for name, _ in answers_in_order(check)] == ["yes", "no", "dim", "off", "cannot"]  # type: ignore[arg-type]


def test_a_message_is_printed_as_the_display_shows_it() -> None:
    words = Words(load(small_content.FOLDER))
    assert words.text(Prose("Look for {message: plain no-depth}.")) == "Look for SEEKING."


def test_a_reading_that_is_only_noted_at_the_end_says_where_to_go() -> None:
    """With no step below it an arrow down would lead nowhere."""
    view = ladder(load(small_content.FOLDER)).view
    last = view.steps[-1]
    answers = [replace(answer, target=last.answers[0].target) for answer in last.answers]
    noted = _rung(replace(last, answers=answers), False, load(small_content.FOLDER))
    assert not noted.falls
    assert [(leaves.label, leaves.target) for leaves in noted.exits] == [("NOTE", last.answers[0].target)]


def test_what_was_not_done_is_asked_for_once(tmp_path: Path) -> None:
    """The house style: the sheet's own sentence asks for it, so that it is none of the two facts."""
    asked = small_content.edited(
        tmp_path,
        (ENTRY, "evidence: [photo-pins, history]", "evidence: [photo-pins, not-done, history]"),
        (
            "evidence.yaml",
            "history: {",
            'not-done: {ask: "What was not tested, and why", kind: text}\nhistory: {',
        ),
    )
    ends = {end.id: end for end in ladder(asked).ends}
    assert ends["hand-over"].facts == ("What changed before the fault",)


def test_two_steps_of_one_other_card_are_two_places(tmp_path: Path) -> None:
    """Both answers leave for low-volts, at different steps: one NOTE for both would lose the second step."""
    old = '"yes": {then: hand-over}\n      "no": {then: found-setting, shows: [wrong-setting]}\n      cannot: {then: hand-over}'
    new = '"yes": {to_entry: low-volts, at: volts}\n      "no": {to_entry: low-volts, at: history, shows: [wrong-setting]}\n      cannot: {to_entry: low-volts, at: volts}'
    last = ladder(small_content.edited(tmp_path, (ENTRY, old, new))).rungs[-1]
    assert last.step.decides
    assert [(leaves.label, leaves.target.words) for leaves in last.exits] == [
        ("YES, CAN'T", "P1 step 2"),
        ("NO", "P1 step 1"),
    ]
