"""What the small content covers, counted by hand, and the gaps that one edit makes."""

import pytest

import small_content
from leadsman.book.coverage import Coverage, coverage

ENTRY = "faults/depth/no-depth.yaml"
OTHER = "faults/power/low-volts.yaml"


@pytest.fixture(scope="module")
def covered() -> Coverage:
    return coverage(small_content.edited())


def test_conditions_families_and_capabilities(covered: Coverage) -> None:
    assert [(c.code, c.families, c.capabilities) for c in covered.conditions] == [
        ("D1", ("plain",), ("depth",)),
        ("P1", ("plain",), ()),
    ]
    assert [(c.family, c.capability, c.entries) for c in covered.capabilities] == [
        ("plain", "depth", ("no-depth",))
    ]
    assert covered.gaps == ()


def test_each_message_leads_to_one_entry(covered: Coverage) -> None:
    assert [(m.message, m.text, m.entries) for m in covered.messages] == [
        ("no-depth", "SEEKING", ("no-depth",)),
        ("low-supply", "SUPPLY LOW", ("low-volts",)),
    ]


def test_menu_tasks_are_followed_into_shared_checks(covered: Coverage) -> None:
    tasks = {task.task: task for task in covered.tasks}

    # Recording and restoring stand in a shared check, updating in a remedy.
    assert set(tasks) == {"record-settings", "restore-defaults", "update-software"}
    for task in tasks.values():
        assert (task.entries, task.families, task.without) == (("no-depth",), ("plain",), ())


def test_answers_for_and_against_each_cause(covered: Coverage) -> None:
    causes = {(c.entry, c.cause): c for c in covered.causes}
    joint, plug = causes["no-depth", "bad-joint"], causes["no-depth", "bad-plug"]

    assert len(causes) == 7
    assert joint.convicted_by == ("lamp: no",)
    # Whatever shows only under another cause clears it; the volts answer with 'no' under it alone.
    assert joint.cleared_by == ("temperature: no", "volts: yes", "software: no", "plug: no", "lamp: yes", "pins: no",
                                "swap: returns", "swap: not-back", "restore: no")  # fmt: skip
    assert plug.convicted_by == ("temperature: no",)
    assert causes["low-volts", "limit"].convicted_by == ("volts: yes",)
    assert causes["low-volts", "limit"].cleared_by == ("volts: no",)


def test_each_finding_has_remedy_and_proof(covered: Coverage) -> None:
    assert len(covered.findings) == 7
    assert all(finding.remedies >= 1 and finding.proof.endswith("?") for finding in covered.findings)


@pytest.mark.parametrize(
    ("rule", "edits"),
    [
        ("message-coverage", [(OTHER, "  messages: {plain: [low-supply]}\n", "")]),
        ("capability-coverage", [(ENTRY, "needs: [depth]\n", "")]),
        ("menu-coverage", [("families/plain.yaml", "  update-software: [LIST key, Load]\n", "")]),
        ("found", [(ENTRY, "shows: [wrong-setting]", "shows: []")]),
    ],
)
def test_a_gap_is_told_with_its_place(rule: str, edits: list[tuple[str, str, str]]) -> None:
    gaps = coverage(small_content.edited(*edits)).gaps

    assert {gap.rule for gap in gaps} == {rule}
    assert all(gap.line > 0 and gap.column > 0 and gap.path.endswith(".yaml") for gap in gaps)


def test_a_cause_that_nothing_convicts_shows_an_empty_row() -> None:
    found = coverage(small_content.edited((ENTRY, "shows: [wrong-setting]", "shows: []")))

    assert [c.cause for c in found.causes if not c.convicted_by] == ["wrong-setting"]
