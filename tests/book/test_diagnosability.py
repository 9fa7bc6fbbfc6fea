"""How well the small content's checks isolate, against figures worked out by hand.

Fractions detected and isolated as IEEE Std 1522-2004 defines them (from memory): a cause is detected if a
test involves it, isolated if no other cause has the same row.
"""

from pathlib import Path

import pytest

import small_content
from leadsman.book.diagnosability import (
    Diagnosability,
    EntryDiagnosis,
    answer_matrix,
    diagnosability,
    diagnose,
)
from leadsman.content.catalogue import load
from leadsman.content.decision import Decision

ENTRY = "faults/depth/no-depth.yaml"


@pytest.fixture(scope="module")
def found() -> Diagnosability:
    return diagnosability(load(small_content.FOLDER))


def entry(found: Diagnosability, name: str) -> EntryDiagnosis:
    return next(e for e in found.entries if e.entry == name)


def test_shares_are_of_all_histories(found: Diagnosability) -> None:
    """Plug 4 x 40 + 10, software 4 x 5 + 40, of 505."""
    shares = entry(found, "no-depth").shares

    assert shares == pytest.approx({"bad-plug": 170 / 505, "bad-joint": 100 / 505, "old-software": 60 / 505,
                                    "dead-element": 75 / 505, "wrong-setting": 100 / 505})  # fmt: skip


def test_all_is_isolated_where_each_cause_has_its_finding(found: Diagnosability) -> None:
    one = entry(found, "no-depth")

    assert (one.isolated, one.separable) == (pytest.approx(1), pytest.approx(1))
    assert {group.causes for group in one.groups} == {(cause,) for cause in one.shares}
    assert one.groups[0].says == "Plug corroded"


def test_found_by_minutes_by_hand(found: Diagnosability) -> None:
    """Plug at 2, software at 5, joint at 3 + 6 + 5 + 6 = 20, element at 25, setting at 43 minutes."""
    by = dict(entry(found, "no-depth").found_by)

    assert by[5] == pytest.approx(230 / 505)
    assert by[10] == pytest.approx(230 / 505)
    assert by[20] == pytest.approx(330 / 505)
    assert by[30] == pytest.approx(405 / 505)
    assert by[60] == pytest.approx(1)


def test_the_worst_order_stands_first(found: Diagnosability) -> None:
    assert [e.entry for e in found.entries] == ["no-depth", "low-volts"]
    assert found.entries[0].excess > found.entries[1].excess == pytest.approx(0)
    assert [h.history for h in found.entries[0].histories] == ["in-service", "new-fitting", "after-lay-up",
                                                               "after-update", "after-impact"]  # fmt: skip


SAME = (
    (ENTRY, "    causes: [dead-element]\n", "    causes: [dead-element, bad-joint]\n"),
    (ENTRY, '      "no": {then: found-joint, shows: [bad-joint]}', '      "no": {then: found-joint, shows: []}'),
    (ENTRY, '"no": {then: software, shows: [bad-joint]}', '"no": {then: software, shows: [bad-joint, dead-element]}'),
    (ENTRY, "shows: [dead-element]}\n      cannot: {then: swap}", "shows: [dead-element, bad-joint]}\n      cannot: {then: swap}"),
    (ENTRY, "returns: {then: found-element, shows: [dead-element]}", "returns: {then: found-element, shows: [dead-element, bad-joint]}"),
)  # fmt: skip


def test_causes_with_the_same_answers_are_one_group(tmp_path: Path) -> None:
    """No order of these checks tells the joint from the element: 175 of 505 stay unseparated."""
    catalogue = small_content.edited(tmp_path, *SAME)
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    (group,) = [group for group in one.groups if len(group.causes) > 1]

    assert set(group.causes) == {"bad-joint", "dead-element"}
    assert not group.told_apart
    assert one.isolated == one.separable == pytest.approx(330 / 505)


def test_causes_that_another_check_tells_apart_say_so(tmp_path: Path) -> None:
    """They end in one finding, but the volts answer differently."""
    edits = [edit for edit in SAME if "dead-element]}\n      cannot" in edit[1] or edit in SAME[:2]]
    catalogue = small_content.edited(tmp_path, *edits)
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    (group,) = [group for group in one.groups if len(group.causes) > 1]

    assert group.told_apart
    assert one.isolated == pytest.approx(330 / 505)
    assert one.separable == pytest.approx(1)


def test_the_matrix_of_an_entry_holds_what_each_answer_shows() -> None:
    catalogue = load(small_content.FOLDER)
    matrix = answer_matrix(Decision(catalogue.faults["low-volts"], catalogue))

    assert matrix.tests == {"volts: yes": {"limit"}, "volts: no": {"joint"}}


def test_the_matrix_of_the_installation(found: Diagnosability) -> None:
    """By hand: a swap involves what it exchanges and brings; cable, plug and element share the pins."""
    whole = found.installation

    assert whole.matrix["borrowed-transducer"] == {"element", "cable", "plug", "mounting"}
    assert whole.matrix["look-at-plug"] == {"plug", "mounting"}
    assert set(whole.matrix) == {"borrowed-transducer", "lamp-at-plug", "look-at-plug", "own-volts", "pin-readings",
                                 "restore-defaults", "software-list"}  # fmt: skip
    assert whole.untested == ("display",)
    assert whole.groups == (("cable", "element"),)
    # The joint of one entry, 0.5 x 100/505, and of the other, 0.5 x 3/4; the element 0.5 x 75/505.
    assert whole.weights["joints"] == pytest.approx(0.5 * 100 / 505 + 0.5 * 0.75)
    assert whole.detected == pytest.approx(1)
    assert whole.isolated == pytest.approx(1 - 0.5 * 75 / 505)


def test_an_unsound_entry_is_left_out(tmp_path: Path) -> None:
    loop = (
        "faults/power/low-volts.yaml",
        "cannot: {then: hand-over}}\nfindings",
        "cannot: {then: history}}\nfindings",
    )
    catalogue = small_content.edited(tmp_path, loop)

    assert [e.entry for e in diagnosability(catalogue).entries] == ["no-depth"]
