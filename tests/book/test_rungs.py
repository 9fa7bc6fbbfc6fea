"""The ladder of a card on the small content: which answer falls through, which leaves, what stands beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

import small_content
from leadsman.book.passages import Words
from leadsman.book.rungs import End, Ladder, Rung, _facts, _rung, head_lines, key_word, ladder_of, spoken
from leadsman.book.views import answers_in_order, view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.base import Prose
from leadsman.content.model.reference import Evidence

ENTRY = "faults/depth/no-depth.yaml"


def ladder(catalogue: Catalogue) -> Ladder:
    return ladder_of(view_entry(Decision(catalogue.faults["no-depth"], catalogue)), catalogue)


@pytest.fixture(scope="module")
def rungs() -> dict[str, Rung]:
    return {rung.id: rung for rung in ladder(small_content.edited()).rungs}


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


def test_a_long_answer_and_one_that_leaves_the_card_have_a_line_of_their_own() -> None:
    longer = small_content.edited(
        (
            ENTRY,
            '"no": {then: found-software, shows: [old-software]}',
            '"no": {then: found-software, shows: [old-software], label: TOO OLD}',
        ),
    )
    (rung,) = (rung for rung in ladder(longer).rungs if rung.id == "software")
    assert (rung.falling, str(rung.exits[0].label), rung.beside) == ("YES", "TOO OLD", False)
    leaving = small_content.edited(
        (
            ENTRY,
            '"no": {then: found-software, shows: [old-software]}',
            '"no": {to_entry: low-volts, at: volts, shows: [old-software]}',
        ),
    )
    (rung,) = (rung for rung in ladder(leaving).rungs if rung.id == "software")
    assert (str(rung.exits[0].label), rung.beside) == ("NO", False)


def test_only_what_can_hurt_is_grave(rungs: dict[str, Rung]) -> None:
    """ANSI Z535: a NOTICE is about things; DANGER and WARNING are about people, and the gravest stands first."""
    assert [name for name, _ in rungs["pins"].grave] == ["live-element"]
    edits = (
        ENTRY,
        "    use: lamp-at-plug\n",
        "    use: lamp-at-plug\n    cautions: [update-battery, live-element, vapour]\n",
    )
    (rung,) = (rung for rung in ladder(small_content.edited(edits)).rungs if rung.id == "lamp")
    assert [name for name, _ in rung.grave] == ["vapour", "live-element"]


def test_a_step_to_which_a_failed_proof_leads_is_one_that_is_come_to() -> None:
    """Its caution is spoken anew: whoever comes from the back has not read what stands above it."""
    edit = (ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: temperature\n")
    assert "temperature" in ladder(small_content.edited(edit)).entered
    assert "temperature" not in ladder(small_content.edited()).entered


def test_answers_stand_in_one_order_whatever_was_written() -> None:
    """YES first, NO second, CAN'T last (common practice of checklists)."""
    check = SimpleNamespace(outcomes=dict.fromkeys(("cannot", "dim", "no", "off", "yes")))
    assert [name for name, _ in answers_in_order(check)] == ["yes", "no", "dim", "off", "cannot"]  # type: ignore[arg-type]


def test_a_message_is_printed_as_the_display_shows_it() -> None:
    words = Words(small_content.edited())
    assert words.text(Prose("Look for {message: plain no-depth}.")) == "Look for SEEKING."


def test_a_reading_that_is_only_noted_at_the_end_says_where_to_go() -> None:
    """With no step below it an arrow down would lead nowhere."""
    view = ladder(small_content.edited()).view
    last = view.steps[-1]
    answers = [replace(answer, target=last.answers[0].target) for answer in last.answers]
    noted = _rung(replace(last, answers=answers), False, small_content.edited())
    assert not noted.falls
    assert [(leaves.label, leaves.target) for leaves in noted.exits] == [("NOTE", last.answers[0].target)]


def test_what_was_not_done_is_asked_for_once() -> None:
    """The house style: the sheet's own sentence asks for it, so that it is none of the two facts."""
    asked = small_content.edited(
        (ENTRY, "evidence: [photo-pins, history]", "evidence: [photo-pins, not-done, history]"),
        (
            "evidence.yaml",
            "history: {",
            'not-done: {ask: "What was not tested, and why", kind: text}\nhistory: {',
        ),
    )
    ends = {end.id: end for end in ladder(asked).ends}
    assert ends["hand-over"].facts == ("What changed before the fault",)


def test_two_steps_of_one_other_card_are_two_places() -> None:
    """Both answers leave for low-volts, at different steps: one NOTE for both would lose the second step."""
    old = '"yes": {then: hand-over}\n      "no": {then: found-setting, shows: [wrong-setting]}\n      cannot: {then: hand-over}'
    new = '"yes": {to_entry: low-volts, at: volts}\n      "no": {to_entry: low-volts, at: history, shows: [wrong-setting]}\n      cannot: {to_entry: low-volts, at: volts}'
    last = ladder(small_content.edited((ENTRY, old, new))).rungs[-1]
    assert last.step.decides
    assert [(leaves.label, leaves.target.words) for leaves in last.exits] == [
        ("YES, CAN'T", "P1 step 2"),
        ("NO", "P1 step 1"),
    ]


# --- where answers lead ------------------------------------------------------------------------------

PLUG_NO = '"no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: lamp}'
SOFTWARE = '"no": {then: found-software, shows: [old-software]}\n      cannot: {then: hand-over}'


def edited(*edits: tuple[str, str]) -> Ladder:
    return ladder(small_content.edited(*((ENTRY, old, new) for old, new in edits)))


def rung_of(found: Ladder, name: str) -> Rung:
    return next(rung for rung in found.rungs if rung.id == name)


def told(rung: Rung) -> list[tuple[str, str, bool, bool]]:
    return [(leaves.label, leaves.target.number, leaves.jumps, leaves.back) for leaves in rung.exits]


def test_every_exit_of_the_small_ladder() -> None:
    """Letters as the steps first name the fixes: plug A, software B, joint C, element D, setting E, hand-over F."""
    found = {rung.id: told(rung) for rung in ladder(small_content.edited()).rungs}
    assert found == {
        "history": [],
        "temperature": [("NO", "A", False, False)],
        # A fact that is only noted goes on below.
        "volts": [],
        "software": [("NO", "B", False, False), ("CAN'T", "F", False, False)],
        "plug": [("NO", "A", False, False)],
        "lamp": [("NO", "C", False, False), ("CAN'T", "F", False, False)],
        "pins": [("NO", "D", False, False)],
        # The swap has no YES to fall through: each answer is printed.
        "swap": [("GONE, BACK", "D", False, False), ("GONE, NOT BACK", "A", False, False), ("SAME, CAN'T", "9", False, False)],
        "restore": [("YES, CAN'T", "F", False, False), ("NO", "E", False, False)],
    }  # fmt: skip
    falls = {rung.id: rung.falls for rung in ladder(small_content.edited()).rungs}
    assert falls == {**dict.fromkeys(found, True), "swap": False, "restore": False}


@pytest.mark.parametrize(("label", "lines"), [("GONE", ["GONE, CAN'T"]), ("GREEN", ["GREEN", "CAN'T"])])
def test_short_answers_with_one_target_stand_in_one_line(label: str, lines: list[str]) -> None:
    """Eleven letters with the comma and the blank go into a line of the column, twelve do not."""
    new = f'"no": {{then: hand-over, shows: [bad-plug], label: {label}}}\n      cannot: {{then: hand-over}}'
    rung = rung_of(edited((PLUG_NO, new)), "plug")
    assert [leaves.label for leaves in rung.exits] == lines


def test_a_jump_forward_is_entered_and_counted() -> None:
    """From the plug past the lamp to the pins; the step that simply follows is no jump."""
    found = edited((PLUG_NO, '"no": {then: pins, shows: [bad-plug]}\n      cannot: {then: lamp}'))
    assert told(rung_of(found, "plug")) == [("NO", "7", True, False)]
    assert (found.forward_jumps, found.backward_jumps) == (1, 0)
    assert found.entered == {"pins"}
    plain = ladder(small_content.edited())
    assert (plain.forward_jumps, plain.backward_jumps, plain.entered) == (0, 0, frozenset())


@pytest.mark.parametrize(("target", "number"), [("temperature", "2"), ("plug", "5")])
def test_a_jump_back_is_counted_apart(target: str, number: str) -> None:
    """To an earlier step, or to the same once more."""
    found = edited((PLUG_NO, f'"no": {{then: {target}, shows: [bad-plug]}}\n      cannot: {{then: lamp}}'))
    assert told(rung_of(found, "plug")) == [("NO", number, True, True)]
    assert (found.forward_jumps, found.backward_jumps) == (0, 1)
    assert found.entered == {target}


def test_a_place_that_is_opened_again_is_counted() -> None:
    """At the helm, then behind the dash, then at the helm again."""
    found = ladder(small_content.edited())
    assert [rung.id for rung in found.rungs if rung.opens_place] == ["history", "plug", "restore"]
    assert found.returns == 1
    assert [rung.id for rung in found.rungs if rung.measures] == ["lamp", "pins"]


def test_a_step_at_which_another_entry_goes_on_is_entered(tmp_path: Path) -> None:
    other = '"no": {to_entry: no-depth, at: lamp, shows: [joint]}'
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder, "faults/power/low-volts.yaml", '"no": {then: found-joint, shows: [joint]}', other
    )
    assert ladder(load(folder)).entered == {"lamp"}


def test_a_history_that_leads_elsewhere_is_printed_and_what_was_not_said_goes_on() -> None:
    found = edited(("after-update: {then: temperature}", "after-update: {then: software}"), ("after-impact: {then: temperature}", "after-impact: {then: software}"))  # fmt: skip
    rung = rung_of(found, "history")
    assert (rung.falls, rung.falling, len(rung.exits)) == (True, "", 1)
    # Two histories with one target share the line, however long it gets.
    assert rung.exits[0].label.count(", ") == 1
    assert (rung.exits[0].target.id, rung.exits[0].jumps) == ("software", True)
    lost = edited(("cannot: {then: temperature}", "cannot: {then: software}"))
    assert not rung_of(lost, "history").falls


def test_cannot_is_printed_where_yes_does_not_fall_through() -> None:
    """Without the arrow down there is no sign to go down by."""
    found = edited(('"yes": {then: lamp}', '"yes": {then: hand-over}'))
    rung = rung_of(found, "plug")
    assert not rung.falls
    assert told(rung) == [("YES", "F", False, False), ("NO", "A", False, False), ("CAN'T", "6", False, False)]


# --- ends and what stands beside ---------------------------------------------------------------------


def test_the_ends_behind_a_front_are_those_that_it_names() -> None:
    found = ladder(small_content.edited())
    front, rest = found.rungs[:4], found.rungs[4:]
    # The plug's failed proof goes on at a later step, the hand-over is named by the software.
    behind = [end.id for end in found.ends_behind(front, last=False)]
    assert behind == ["found-plug", "found-software", "hand-over"]
    assert [end.id for end in found.ends_behind(rest, last=True)] == [
        "found-plug", "found-joint", "found-element", "found-setting", "hand-over",
    ]  # fmt: skip
    # An end that no answer names stands on the last sheet, one to which a failed proof leads behind that fix.
    hidden = edited(("    minutes: 4\n", "    minutes: 4\n    unproved: found-setting\n"))
    assert "found-setting" in [end.id for end in hidden.ends_behind(hidden.rungs[:2], last=False)]
    bare = edited(('"no": {then: found-setting, shows: [wrong-setting]}', '"no": {then: hand-over}'))
    assert "found-setting" not in [end.id for end in bare.ends_behind(bare.rungs, last=False)]
    assert "found-setting" in [end.id for end in bare.ends_behind(bare.rungs[:2], last=True)]


def test_the_cautions_of_an_end_are_its_own() -> None:
    found = ladder(small_content.edited())
    assert [name for name, _ in found.end_of["found-element"].cautions] == ["live-element"]
    assert [name for name, _ in found.end_of["found-element"].grave] == ["live-element"]
    # A NOTICE is about things.
    assert [name for name, _ in found.end_of["found-software"].cautions] == ["update-battery"]
    assert found.end_of["found-software"].grave == ()
    assert End("Z", "none", None, None).cautions == ()


def test_the_facts_of_a_hand_over_are_those_that_are_lost_later() -> None:
    """Declared ones first, then readings, then words; two at the most, and no photograph."""
    catalogue = small_content.edited()
    kinds = {
        "words": ("text", False),
        "volts": ("reading", False),
        "shot": ("photo", False),
        "lost": ("photo", True),
    }
    for name, (kind, lost) in kinds.items():
        catalogue.records["evidence"][name] = Evidence.model_validate(
            {"ask": name.title(), "kind": kind, "lost_later": lost}
        )
    (end,) = ladder(catalogue).view.hand_overs

    def facts(*names: str) -> list[str]:
        return list(
            _facts(
                replace(end, hand_over=end.hand_over.model_copy(update={"evidence": list(names)})), catalogue
            )
        )

    assert facts("shot", "words", "volts", "lost") == ["Lost", "Volts"]
    assert facts("words", "volts") == ["Volts", "Words"]
    assert facts("shot") == []
    assert facts("words", "words") == ["Words"]
    assert facts("lost", "words") == ["Lost", "Words"]


def test_the_key_word_is_the_writers_the_titles_the_parts_or_the_kinds() -> None:
    catalogue = small_content.edited()
    body = catalogue.checks["own-volts"].model_copy(update={"key": None})
    assert key_word(body, "Volts of the unit", catalogue) == "Volts"
    assert key_word(body, "", catalogue) == "Joints"
    assert key_word(body.model_copy(update={"tests": []}), "", catalogue) == catalogue.phrases().kinds["read"]
    short = catalogue.records["components"]["joints"].model_copy(update={"short": "Joint"})
    catalogue.records["components"]["joints"] = short
    assert key_word(body, "", catalogue) == "Joint"
    # A word that only begins like one of the small words ends nothing.
    assert key_word(body, "Forward offset", catalogue) == "Forward offset"


def test_a_run_of_guarded_steps_speaks_once() -> None:
    """Pins and swap are one run; whoever jumps into it, or comes to an end, has read nothing above."""
    plain = ladder(small_content.edited())
    said = spoken(plain.rungs, plain)
    assert {name: words for name, words in said.items() if words} == {"pins": ("live-element",)}
    jumped = edited((PLUG_NO, '"no": {then: swap, shows: [bad-plug]}\n      cannot: {then: lamp}'))
    said = spoken(jumped.rungs, jumped)
    assert {name: words for name, words in said.items() if words} == {
        "pins": ("live-element",),
        "swap": ("live-element",),
    }
    ends = spoken(plain.ends, plain)
    assert ends["found-software"] == ()
    assert ends["found-element"] == ("live-element",)
    (line,) = head_lines(plain.rungs)
    assert (line.name, line.where) == ("live-element", ("7", "8"))
    assert [(line.name, line.where) for line in head_lines(plain.ends)] == [("live-element", ("D",))]


@pytest.mark.parametrize("general", [True, False])
def test_a_caution_for_property_that_holds_always_is_spoken_nowhere(general: bool) -> None:
    """The card of what always holds has it; what can hurt somebody is said in the step all the same."""
    catalogue = small_content.edited()
    for name in ("update-battery", "live-element"):
        catalogue.records["cautions"][name] = catalogue.cautions[name].model_copy(update={"general": general})
    found = ladder(catalogue)
    assert spoken(found.ends, found)["found-software"] == (() if general else ("update-battery",))
    assert spoken(found.ends, found)["found-element"] == ("live-element",)


def test_the_gravest_hazard_heads_a_face() -> None:
    found = edited(("    use: restore-defaults\n", "    use: restore-defaults\n    cautions: [vapour]\n"))
    assert [(line.name, line.where) for line in head_lines(found.rungs)] == [
        ("vapour", ("9",)),
        ("live-element", ("7", "8")),
    ]


def test_the_steps_that_use_a_table_are_those_that_name_it(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder,
        "checks/lamp-at-plug.yaml",
        "see: Does the drop stay below the limit?",
        "see: 'Does the drop stay below {table: lead-drop}?'",
    )
    found = ladder(load(folder))
    assert (found.uses("lead-drop"), found.uses("other")) == ({"lamp"}, set())
    assert (found.id, found.code) == ("no-depth", "D1")
