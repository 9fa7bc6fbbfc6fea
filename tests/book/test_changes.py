"""What a reader would notice between two contents: one edit at a time, each with all that must follow from it.

The expected words are those of the edit itself; that nothing else is reported is what the test holds.
"""

import re
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.changes import ACTIONS, KINDS, Changes, cards_to_replace, changed_ids, compare
from leadsman.book.number_changes import Side
from leadsman.compute.supply.voltage_drop import voltage_drop
from leadsman.content.catalogue import load

NO_DEPTH, LOW_VOLTS = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml"


def changes(tmp_path: Path, *edits: tuple[str, str, str], units: str = "metric") -> Changes:
    """The small content against itself with edits."""
    old = Side(load(small_content.FOLDER))
    return compare(old, Side(small_content.edited(tmp_path, *edits)), units)


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
    old = Side(load(small_content.FOLDER))
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
    small, large = Side(load(small_content.FOLDER)), Side(load(folder))
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


def test_another_formula_on_the_same_input_is_told(tmp_path: Path) -> None:
    catalogue = load(small_content.FOLDER)

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
