"""What a reader would notice between two contents: one edit at a time, each with all that must follow from it.

The expected words are those of the edit itself; that nothing else is reported is what the test holds.
"""

import re
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.changes import ACTIONS, KINDS, Changes, _moved, cards_to_replace, changed_ids, compare
from leadsman.book.number_changes import Side
from leadsman.compute.supply.voltage_drop import voltage_drop
from leadsman.content.catalogue import load

NO_DEPTH, LOW_VOLTS = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml"


def changes(tmp_path: Path, *edits: tuple[str, str, str], units: str = "metric") -> Changes:
    """The small content against itself with edits."""
    old = Side(small_content.edited())
    return compare(old, Side(small_content.edited(*edits)), units)


def told(found: Changes) -> list[tuple[str, str, str, str, str]]:
    """The changes in brief: kind, action, part, old, new."""
    return [(c.kind, c.action, c.part, c.old, c.new) for c in found.changes]


def test_the_same_content_has_no_changes(tmp_path: Path) -> None:
    found = changes(tmp_path)
    assert not found
    assert changed_ids(found) == frozenset()
    assert cards_to_replace(found).lines() == []


def test_layout_of_the_file_is_no_change(tmp_path: Path) -> None:
    folded = ("condition:\n  seen: The unit", "condition:\n  seen: >-\n    The\n    unit")
    assert not changes(tmp_path, (LOW_VOLTS, *folded))


@pytest.mark.parametrize(
    ("file", "old", "new", "expected", "ids"),
    [
        (NO_DEPTH, "title: No depth", "title: Depth blank", ("condition", "renamed", "title", "No depth", "Depth blank"),
         {"no-depth", "no-depth-lead"}),
        (LOW_VOLTS, "seen: The unit complains", "seen: The unit warns",
         ("condition", "changed", "what is seen", "The unit complains of its supply.", "The unit warns of its supply."),
         {"low-volts", "low-volts-lead"}),
        (LOW_VOLTS, "{in_service: 3}", "{in_service: 4}",
         ("cause", "changed", "likelihood by history",
          "in-service 3, new-fitting 3, after-lay-up 3, after-update 3, after-impact 3",
          "in-service 4, new-fitting 4, after-lay-up 4, after-update 4, after-impact 4"),
         {"low-volts", "low-volts-lead", "low-volts-cause-joint"}),
        (LOW_VOLTS, '"no": {then: found-joint, shows: [joint]}, cannot: {then: hand-over}',
         '"no": {then: found-joint, shows: [joint]}, cannot: {then: found-joint}',
         ("answer", "changed", "CAN'T", "hand-over 'hand-over'", "fix 'found-joint'"), {"low-volts", "low-volts-step-volts"}),
        (LOW_VOLTS, "remedy: [Renew the joint.]", "remedy: [Clean the joint., Renew it.]",
         ("finding", "changed", "remedy", "Renew the joint.", "Clean the joint.\nRenew it."),
         {"low-volts", "low-volts-fix-found-joint"}),
        (LOW_VOLTS, "evidence: [history]", "evidence: [history, photo-pins]",
         ("hand-over", "changed", "evidence", "What changed before the fault", "What changed before the fault\nPhotograph of the pins"),
         {"low-volts", "low-volts-end-hand-over"}),
        (NO_DEPTH, "cautions: [update-battery]", "cautions: [update-battery, vapour]",
         ("caution", "added", "vapour", "", "DANGER"), {"no-depth", "no-depth-fix-found-software"}),
        (NO_DEPTH, "    minutes: 4\n", "    minutes: 4\n    owner_safe: true\n",
         ("finding", "changed", "safe for an owner", "no", "yes"), {"no-depth", "no-depth-fix-found-plug"}),
        (NO_DEPTH, "    condemns: true\n", "", ("finding", "changed", "condemns a part", "yes", "no"),
         {"no-depth", "no-depth-fix-found-element"}),
        (NO_DEPTH, "    cautions: [live-element]\n", "", ("caution", "removed", "live-element", "WARNING", ""),
         {"no-depth", "no-depth-fix-found-element"}),
        ("families/plain.yaml", "text: SEEKING", "text: LOOKING", ("message", "changed", "", "SEEKING", "LOOKING"),
         {"message-plain-no-depth", "no-depth", "no-depth-lead"}),
    ],
)  # fmt: skip
def test_one_edit_is_one_change(
    tmp_path: Path, file: str, old: str, new: str, expected: tuple[str, ...], ids: set[str]
) -> None:
    found = changes(tmp_path, (file, old, new))
    assert expected in told(found)
    assert all(c.kind in KINDS and c.action in ACTIONS for c in found.changes)
    # A message stands in the family and in the condition that shows it.
    assert len(found.changes) == (2 if expected[0] == "message" else 1)
    assert changed_ids(found) == ids


def test_a_shared_check_changes_every_entry_that_uses_it(tmp_path: Path) -> None:
    found = changes(tmp_path, ("checks/own-volts.yaml", "do: Read the volts", "do: Note the volts"))
    assert {c.entry for c in found.changes} == {"no-depth", "low-volts"}
    steps = {"no-depth", "no-depth-step-volts", "low-volts", "low-volts-step-volts"}
    assert changed_ids(found) == {*steps, "check-own-volts"}
    assert cards_to_replace(found).lines() == [
        "Replace these cards: the sheet that opens the set; D1 No depth; P1 Low volts."
    ]


def test_a_caution_marks_every_step_that_it_guards(tmp_path: Path) -> None:
    found = changes(tmp_path, ("cautions.yaml", "result: A touch can kill.", "result: A touch kills."))
    (change,) = found.changes
    assert (change.kind, change.part, change.old, change.new) == ("caution", "result", "A touch can kill.", "A touch kills.")  # fmt: skip
    guarded = {i for i in changed_ids(found) if i.startswith("no-depth-")}
    assert "no-depth-fix-found-element" in guarded
    assert "no-depth-fix-found-plug" not in guarded


def test_a_step_that_goes_and_one_that_moves(tmp_path: Path) -> None:
    def cut(text: str, name: str) -> tuple[str, str]:
        start = text.index(f"  - id: {name}\n")
        end = text.index("  - id: ", start + 1)
        return text[start:end], text[:start] + text[end:]

    folder = small_content.copy(tmp_path)
    path = folder / NO_DEPTH
    step, rest = cut(path.read_text(encoding="utf-8"), "volts")
    at = rest.index("  - id: plug\n")
    path.write_text(rest[:at] + step + rest[at:], encoding="utf-8")
    old = Side(small_content.edited())
    moved = compare(old, Side(load(folder)))
    assert [(c.kind, c.action) for c in moved.changes] == [("step", "moved")]
    assert moved.changes[0].id in {"no-depth-step-volts", "no-depth-step-software"}

    path.write_text(rest.replace("{then: volts}", "{then: software}"), encoding="utf-8")
    gone = compare(old, Side(load(folder)))
    assert [(c.kind, c.action, c.id) for c in gone.changes if c.kind == "step"] == [
        ("step", "removed", "no-depth-step-volts")
    ]
    assert {c.part for c in gone.changes if c.kind == "answer"} == {"YES", "CAN'T"}


def test_entries_come_go_and_are_renamed(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / LOW_VOLTS).read_text(encoding="utf-8")
    (folder / "faults/power/weak-supply.yaml").write_text(
        text.replace("id: low-volts", "id: weak-supply").replace("title: Low volts", "title: Weak supply"), encoding="utf-8"
    )  # fmt: skip
    (folder / LOW_VOLTS).unlink()
    small, large = Side(small_content.edited()), Side(load(folder))
    assert ("condition", "removed", "low-volts-lead") in [(c.kind, c.action, c.id) for c in compare(small, large).changes]  # fmt: skip
    (folder / "retired.yaml").write_text(
        'low-volts: {was: Low volts, on: "2026-11-26", replaced_by: weak-supply, reason: Clearer.}\n', encoding="utf-8"
    )  # fmt: skip
    found = compare(small, Side(load(folder)))
    named = [(c.action, c.old, c.new) for c in found.changes if c.kind == "condition" and c.entry == "weak-supply"]  # fmt: skip
    assert named == [("renamed", "P1 Low volts", "P1 Weak supply")]
    notice = cards_to_replace(found).lines()
    assert "Add these cards: P1 Weak supply." in notice
    assert "Destroy these cards: P1 Low volts." in notice


def test_a_changed_input_is_told_with_old_and_new_number(tmp_path: Path) -> None:
    found = changes(tmp_path, ("values.yaml", "length: 5 m, current: 2 A", "length: 9 m, current: 2 A"))
    (change,) = found.changes
    drops = []
    for length in (5.0, 9.0):
        drop: Any = voltage_drop(length_m=length, current_a=2.0, conductor="1.5 mm2", temperature_c=20.0)
        drops.append(f"{-(-float(drop) // 0.1) * 0.1:.1f} V")
    assert (change.kind, change.id, [change.old, change.new]) == ("number", "value-lead-drop", drops)
    assert change.why == ("input changed: length_m 5 -> 9",)


def test_a_rounding_that_changed_is_told_as_such(tmp_path: Path) -> None:
    found = changes(tmp_path, ("values.yaml", "show: {unit: V, step: 0.1, round: up}", "show: {unit: mV, step: 1, round: up}"))  # fmt: skip
    (change,) = found.changes
    assert change.new.endswith(" mV")
    assert change.why == ("printed with another unit, step or rounding",)


def test_a_declared_value_and_its_source(tmp_path: Path) -> None:
    found = changes(tmp_path, ("values.yaml", "declared: 10 s", "declared: 12 s"))
    change = next(c for c in found.changes if c.kind == "number")
    assert (change.old, change.new, change.why) == ("10 s", "12 s", ("declared anew",))
    # Where the number is printed, the passage changed with it.
    steps = [c for c in found.changes if c.kind == "step"]
    assert all(c.new == c.old.replace("10 s", "12 s") for c in steps)
    assert {c.id for c in steps} <= changed_ids(found)
    assert len(steps) == len(found.changes) - 1 > 0


def test_table_cells_change_with_their_reason_and_mark_the_card(tmp_path: Path) -> None:
    found = changes(
        tmp_path, ("tables/lead-drop.yaml", "given: {conductor: 1.5 mm2", "given: {conductor: 2.5 mm2")
    )
    assert {c.kind for c in found.changes} == {"table"}
    assert len(found.changes) == 4
    assert {why for c in found.changes for why in c.why} == {"input changed: conductor 1.5 mm2 -> 2.5 mm2"}
    assert {"table-lead-drop", "no-depth", "no-depth-table"} <= changed_ids(found)
    assert "low-volts" not in changed_ids(found)


def test_rows_of_a_table_come_and_go(tmp_path: Path) -> None:
    found = changes(tmp_path, ("tables/lead-drop.yaml", "values: [3 m, 6 m]", "values: [3 m, 9 m]"))
    assert sorted(c.why for c in found.changes) == [("row added",), ("row taken out",)]


def test_units_of_the_comparison_are_those_of_the_reader(tmp_path: Path) -> None:
    edit = ("tables/lead-drop.yaml", "us_values: [10 ft, 20 ft]", "us_values: [10 ft, 30 ft]")
    assert not changes(tmp_path, edit)
    assert changes(tmp_path / "us", edit, units="us")


def test_another_formula_on_the_same_input_is_told() -> None:
    catalogue = small_content.edited()

    def doubled(formula: Any, arguments: Any) -> Any:
        return 2 * formula(**arguments)

    found = compare(Side(catalogue, doubled), Side(catalogue))
    assert {c.kind for c in found.changes} == {"table", "number"}
    assert {why for c in found.changes for why in c.why} == {"the formula supply.voltage_drop changed"}


def test_a_menu_path_marks_the_family_and_the_entries_that_send_there(tmp_path: Path) -> None:
    found = changes(tmp_path, ("families/plain.yaml", "update-software: [LIST key, Load]", "update-software: [LIST key, Take in]"))  # fmt: skip
    assert told(found) == [("menu", "changed", "", "LIST key > Load", "LIST key > Take in")]
    assert changed_ids(found) == {"menus-plain", "menu-plain-update-software", "no-depth"}


def test_ids_can_stand_in_a_style_sheet(tmp_path: Path) -> None:
    """An id with a blank or a sign in it would make the style sheet a faulty one, and a build would refuse it."""
    edits = [("families/plain.yaml", "name: Plain", "name: Plain & Sound 2"), ("families/plain.yaml", "text: SEEKING", "text: LOOKING"),
             ("families/plain.yaml", "update-software: [LIST key, Load]", "update-software: [LIST key, In]"), (LOW_VOLTS, "title: Low volts", "title: Weak volts")]  # fmt: skip
    assert all(re.fullmatch(r"[a-z][a-z0-9-]*", name) for name in changed_ids(changes(tmp_path, *edits)))


# --- what is told besides ----------------------------------------------------------------------------


def compared(old: Path, new: Path) -> Changes:
    return compare(Side(load(old)), Side(load(new)))


def test_values_tables_and_cautions_that_come_and_go(tmp_path: Path) -> None:
    """Each by its id, with the number that is or was printed; what both contents have is not told again."""
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder,
        "values.yaml",
        "wait-time:",
        "new-time: {meaning: New time, declared: 7 s, source: common-practice}\nwait-time:",
    )
    small_content.edit(
        folder,
        "cautions.yaml",
        "vapour:",
        "fresh: {signal: CAUTION, hazard: It is., result: It hurts., avoid: Do not., short: Mind.}\nvapour:",
    )
    table = (folder / "tables" / "lead-drop.yaml").read_text(encoding="utf-8")
    (folder / "tables" / "other.yaml").write_text(
        table.replace("id: lead-drop", "id: other").replace("Drop in the lead", "Other"), encoding="utf-8"
    )
    came, went = compared(small_content.FOLDER, folder), compared(folder, small_content.FOLDER)
    assert [(c.kind, c.action, c.id, c.name, c.old, c.new) for c in came.changes] == [
        ("caution", "added", "caution-fresh", "CAUTION fresh", "", ""), ("table", "added", "table-other", "Other", "", ""),
        ("number", "added", "value-new-time", "New time", "", "7 s"),
    ]  # fmt: skip
    assert [(c.kind, c.action, c.id, c.name, c.old, c.new) for c in went.changes] == [
        ("caution", "removed", "caution-fresh", "CAUTION fresh", "", ""), ("table", "removed", "table-other", "Other", "", ""),
        ("number", "removed", "value-new-time", "New time", "7 s", ""),
    ]  # fmt: skip
    assert (came.new, came.withdrawn, came.entries) == (frozenset(), {}, {})


def test_the_words_of_a_table_are_told_by_their_field(tmp_path: Path) -> None:
    found = changes(
        tmp_path,
        ("tables/lead-drop.yaml", "title: Drop in the lead", "title: Fall"),
        ("tables/lead-drop.yaml", "How far do", "How much do"),
    )
    assert [(c.action, c.name, c.part, c.new) for c in found.changes] == [
        ("renamed", "Fall", "title", "Fall"), ("changed", "Fall", "question", "How much do the volts fall?"),
    ]  # fmt: skip


def test_a_message_and_a_menu_that_come_and_go(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder, "families/plain.yaml", "  low-supply: {text: SUPPLY LOW, meaning: The volts are low.}\n", ""
    )
    small_content.edit(folder, "faults/power/low-volts.yaml", "  messages: {plain: [low-supply]}\n", "")
    small_content.edit(folder, "families/plain.yaml", "  update-software: [LIST key, Load]\n", "")
    went, came = compared(small_content.FOLDER, folder), compared(folder, small_content.FOLDER)
    shared = {(c.kind, c.action, c.id, c.name, c.old, c.new) for c in went.changes if not c.entry}
    assert shared == {
        ("message", "removed", "message-plain-low-supply", "Plain: low-supply", "SUPPLY LOW", ""),
        ("menu", "removed", "menu-plain-update-software", "Plain: update-software", "LIST key > Load", ""),
    }
    assert {(c.action, c.old, c.new) for c in came.changes if not c.entry} == {
        ("added", "", "SUPPLY LOW"),
        ("added", "", "LIST key > Load"),
    }
    # Whoever is sent there reads something else; the message is no menu.
    assert {"menus-plain", "no-depth"} <= went.touched
    assert "low-volts-lead" in went.touched


def test_changes_stand_by_condition_then_what_is_shared(tmp_path: Path) -> None:
    """D1 before P1 by their codes, in each the kinds in the order of the report, what no condition has at the end."""
    found = changes(
        tmp_path,
        (LOW_VOLTS, "title: Low volts", "title: Weak volts"),
        (LOW_VOLTS, "remedy: [Renew the joint.]", "remedy: [Mend the joint.]"),
        (NO_DEPTH, "title: No depth", "title: Depth gone"),
        (NO_DEPTH, "name: Plug corroded", "name: Plug green"),
        (NO_DEPTH, "says: Plug corroded", "says: Plug green"),
        ("values.yaml", "declared: 2 m", "declared: 3 m"),
    )
    order = [(c.entry, c.kind) for c in found.changes]
    assert [entry for entry, _ in order] == sorted(
        (entry for entry, _ in order), key=["no-depth", "low-volts", ""].index
    )
    for entry in ("no-depth", "low-volts", ""):
        kinds = [KINDS.index(kind) for name, kind in order if name == entry]
        assert kinds == sorted(kinds)
    assert order[-1] == ("", "number")
    assert "no-depth-lead" in found.touched


def test_a_cause_marks_the_opening_of_its_entry(tmp_path: Path) -> None:
    found = changes(tmp_path, (NO_DEPTH, "name: Element dead, component", "name: Element cracked, component"))
    (cause,) = (c for c in found.changes if c.kind == "cause")
    assert (cause.id, cause.part, cause.old, cause.new) == (
        "no-depth-cause-dead-element",
        "name",
        "Element dead",
        "Element cracked",
    )
    assert {"no-depth", "no-depth-lead"} <= found.touched
    # A step stands by itself.
    step = changes(
        tmp_path / "b",
        (NO_DEPTH, "given: {plug: plug of the transducer}", "given: {plug: plug of the sender}"),
    )
    assert "no-depth-lead" not in step.touched


def test_a_check_with_another_id_and_the_same_words_is_no_change_but_of_the_way(tmp_path: Path) -> None:
    """A reader sees no id: the step is the same, and only what names it is told to lead elsewhere."""
    folder = small_content.copy(tmp_path)
    path = folder / LOW_VOLTS
    path.write_text(path.read_text(encoding="utf-8").replace("found-limit", "found-high"), encoding="utf-8")
    found = compared(small_content.FOLDER, folder)
    assert [(c.kind, c.action) for c in found.changes] == [("answer", "changed")]
    assert found.changes[0].part == "YES"


def test_steps_that_are_new_or_gone_are_told_with_their_words(tmp_path: Path) -> None:
    text = "  - {id: found-third, causes: [limit], says: Third, remedy: [Do it.], proof: Does it hold?}\nhand_overs:"
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, LOW_VOLTS, "hand_overs:", text)
    came, went = compared(small_content.FOLDER, folder), compared(folder, small_content.FOLDER)
    assert [(c.kind, c.action, c.id, c.name, c.entry) for c in came.changes] == [
        ("finding", "added", "low-volts-fix-found-third", "Third", "low-volts")
    ]
    assert [(c.kind, c.action, c.id, c.name, c.entry) for c in went.changes] == [
        ("finding", "removed", "low-volts-fix-found-third", "Third", "low-volts")
    ]


def test_what_moves_is_told_with_its_places(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    path = folder / LOW_VOLTS
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    at = next(n for n, line in enumerate(lines) if "id: found-joint" in line)
    lines[at], lines[at + 1] = lines[at + 1], lines[at]
    # Fixes stand in the order in which the steps name them: that is what a reader sees.
    path.write_text(
        "".join(lines).replace(
            '{"yes": {then: found-limit}, "no": {then: found-joint, shows: [joint]}',
            '{"no": {then: found-joint, shows: [joint]}, "yes": {then: found-limit}',
        ),
        encoding="utf-8",
    )
    found = compared(small_content.FOLDER, folder)
    assert [(c.kind, c.action) for c in found.changes] == [("finding", "moved")]
    assert {found.changes[0].old, found.changes[0].new} == {"place 1", "place 2"}


def test_the_fewest_items_move() -> None:
    for old, new, moved in (
        ("abcd", "bcda", "a"), ("abcd", "dabc", "d"), ("abc", "abc", ""), ("ab", "ba", None), ("abcde", "acdbe", "b"),
    ):  # fmt: skip
        found = _moved(list(old), list(new))
        assert len(found) == 1 if moved is None else found == list(moved)


def test_tables_of_an_entry_that_changed(tmp_path: Path) -> None:
    found = changes(tmp_path, (NO_DEPTH, "tables: [lead-drop]\ncard_table: lead-drop\n", ""))
    (change,) = (c for c in found.changes if c.kind == "table")
    assert (change.action, change.name, change.old, change.new, change.entry) == (
        "changed",
        "tables of the entry",
        "lead-drop",
        "",
        "no-depth",
    )


def test_an_entry_that_cannot_be_set_is_told_once(tmp_path: Path) -> None:
    """Its step leads to what is not there; the old one stood, so that nothing is added or removed."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, LOW_VOLTS, '"yes": {then: found-limit}', '"yes": {then: nowhere}')
    found = compared(small_content.FOLDER, folder)
    (change,) = (c for c in found.changes if c.entry == "low-volts")
    assert (change.kind, change.action, change.name) == ("condition", "unreadable", "Low volts")
    assert change.why[0].startswith("cannot be set: ")
    assert found.withdrawn == {}
    assert "low-volts" not in found.new


def test_a_new_condition_is_an_added_card_with_all_its_passages(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / LOW_VOLTS).read_text(encoding="utf-8")
    (folder / "faults/power/high-volts.yaml").write_text(
        text.replace("id: low-volts", "id: high-volts")
        .replace("code: P1", "code: P2")
        .replace("title: Low", "title: High"),
        encoding="utf-8",
    )
    came, went = compared(small_content.FOLDER, folder), compared(folder, small_content.FOLDER)
    assert [(c.kind, c.action, c.id, c.name) for c in came.changes] == [
        ("condition", "added", "high-volts-lead", "P2 High volts")
    ]
    assert {
        "high-volts",
        "high-volts-lead",
        "high-volts-step-volts",
        "high-volts-fix-found-joint",
        "high-volts-end-hand-over",
    } <= came.touched
    assert (came.new, set(came.entries)) == ({"high-volts"}, {"high-volts"})
    assert cards_to_replace(came).lines() == [
        "Replace these cards: the sheet that opens the set.",
        "Add these cards: P2 High volts.",
    ]
    assert went.withdrawn == {"high-volts": "P2 High volts"}
    assert cards_to_replace(went).lines() == [
        "Replace these cards: the sheet that opens the set.",
        "Destroy these cards: P2 High volts.",
    ]
    # A deck that does not hold it adds nothing.
    assert cards_to_replace(came, lambda entry: entry != "high-volts").lines() == []


def test_a_retired_condition_whose_successor_was_there_before_is_removed(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / LOW_VOLTS).unlink()
    small_content.edit(folder, NO_DEPTH, "see_also: [low-volts]\n", "")
    small_content.edit(
        folder,
        NO_DEPTH,
        "  tells_apart: ['If the unit complains of its supply, take {card: low-volts}.']\n",
        "",
    )
    (folder / "retired.yaml").write_text(
        'low-volts: {was: Low volts, on: "2026-11-26", replaced_by: no-depth, reason: Joined.}\n',
        encoding="utf-8",
    )
    found = compared(small_content.FOLDER, folder)
    assert ("condition", "removed", "low-volts-lead") in [(c.kind, c.action, c.id) for c in found.changes]


def test_notes_are_handed_on() -> None:
    side = Side(small_content.edited())
    assert compare(side, side, notes=["Old numbers."]).notes == ("Old numbers.",)
