"""How well the small content's checks isolate, against figures worked out by hand.

Fractions detected and isolated as IEEE Std 1522-2004 defines them (from memory): a cause is detected if a
test involves it, isolated if no other cause has the same row.
"""

from dataclasses import replace

import pytest

import small_content
from leadsman.book.diagnosability import (
    Diagnosability,
    EntryDiagnosis,
    _found_by,
    answer_matrix,
    diagnosability,
    diagnose,
    installation,
)
from leadsman.compute.diagnosis.sequencing import Check, CheckSet
from leadsman.content.decision import Decision

ENTRY = "faults/depth/no-depth.yaml"


@pytest.fixture(scope="module")
def found() -> Diagnosability:
    return diagnosability(small_content.edited())


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


def test_causes_with_the_same_answers_are_one_group() -> None:
    """No order of these checks tells the joint from the element: 175 of 505 stay unseparated."""
    catalogue = small_content.edited(*SAME)
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    (group,) = [group for group in one.groups if len(group.causes) > 1]

    assert set(group.causes) == {"bad-joint", "dead-element"}
    assert not group.told_apart
    assert one.isolated == one.separable == pytest.approx(330 / 505)


def test_causes_that_another_check_tells_apart_say_so() -> None:
    """They end in one finding, but the volts answer differently."""
    edits = [edit for edit in SAME if "dead-element]}\n      cannot" in edit[1] or edit in SAME[:2]]
    catalogue = small_content.edited(*edits)
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    (group,) = [group for group in one.groups if len(group.causes) > 1]

    assert group.told_apart
    assert one.isolated == pytest.approx(330 / 505)
    assert one.separable == pytest.approx(1)


def test_the_matrix_of_an_entry_holds_what_each_answer_shows() -> None:
    catalogue = small_content.edited()
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


def test_an_unsound_entry_is_left_out() -> None:
    loop = (
        "faults/power/low-volts.yaml",
        "cannot: {then: hand-over}}\nfindings",
        "cannot: {then: history}}\nfindings",
    )
    catalogue = small_content.edited(loop)

    assert [e.entry for e in diagnosability(catalogue).entries] == ["no-depth"]


def test_minutes_of_the_written_order_by_hand(found: Diagnosability) -> None:
    """Shares of 505 by the minutes at which each is found, the opening of the dash counted: 2, 5, 20, 25 and 43; the order
    that is best saves the three minutes at the plug wherever the joint is the fault."""
    one = entry(found, "no-depth")
    assert one.written_min == pytest.approx((170 * 2 + 60 * 5 + 100 * 20 + 75 * 25 + 100 * 43) / 505)
    assert one.best_min == pytest.approx(one.written_min - 3 * 100 / 505)
    assert one.excess == pytest.approx(one.written_min / one.best_min - 1)
    assert one.exact
    assert one.best_order.index("lamp") < one.best_order.index("plug") < one.best_order.index("pins")
    for history in one.histories:
        assert history.excess == pytest.approx(history.written_min / history.best_min - 1)
        assert history.waived == ""


def test_columns_are_numbered_as_the_steps_and_leave_the_history_out(found: Diagnosability) -> None:
    columns = entry(found, "no-depth").columns
    assert [(column.number, column.check) for column in columns] == [
        (2, "temperature"), (3, "volts"), (4, "software"), (5, "plug"), (6, "lamp"), (7, "pins"), (8, "swap"), (9, "restore"),
    ]  # fmt: skip
    swap = columns[6].answers
    assert swap == {
        "bad-plug": "GONE, NOT BACK",
        "bad-joint": "SAME",
        "old-software": "SAME",
        "dead-element": "GONE, BACK",
        "wrong-setting": "SAME",
    }
    # A cause under which any answer may be seen has none.
    assert set(columns[0].answers.values()) == {"YES", "NO"}


def test_groups_stand_by_their_share_and_tell_what_no_card_names() -> None:
    groups = entry(diagnosability(small_content.edited()), "no-depth").groups
    assert [(group.finding, group.share) for group in groups] == [
        ("found-plug", pytest.approx(170 / 505)), ("found-joint", pytest.approx(100 / 505)), ("found-setting", pytest.approx(100 / 505)),
        ("found-element", pytest.approx(75 / 505)), ("found-software", pytest.approx(60 / 505)),
    ]  # fmt: skip
    assert not any(group.told_apart for group in groups)
    catalogue = small_content.edited(
        (ENTRY, '"no": {then: found-setting, shows: [wrong-setting]}', '"no": {then: hand-over}')
    )
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    (lost,) = (group for group in one.groups if "wrong-setting" in group.causes)
    assert (lost.finding, lost.says) == ("", str(catalogue.phrases().links.not_found))


def test_a_history_that_may_be_slow_says_why() -> None:
    """A waiver about one history, and one about all of them; another rule's is no reason."""
    waivers = "see_also: [low-volts]\nwaivers:\n  - {rule: order, about: after-update, reason: Rare.}\n  - {rule: looks-like, reason: One family.}\n"
    catalogue = small_content.edited((ENTRY, "see_also: [low-volts]\n", waivers))
    one = diagnose(Decision(catalogue.faults["no-depth"], catalogue))
    assert {h.history: h.waived for h in one.histories if h.waived} == {"after-update": "Rare."}
    every = small_content.edited(
        (ENTRY, "see_also: [low-volts]\n", waivers.replace(", about: after-update", ""))
    )
    assert {h.waived for h in diagnose(Decision(every.faults["no-depth"], every)).histories} == {"Rare."}


def test_the_entries_that_lose_most_stand_first() -> None:
    """By the minutes lost, then by what is isolated least, then by the longest order."""
    catalogue = small_content.edited()
    made = {
        "a": (0.1, 0.5, 9.0),
        "b": (0.2, 0.9, 1.0),
        "c": (0.1, 0.4, 1.0),
        "d": (0.1, 0.5, 10.0),
        "e": (0.1004, 0.1, 1.0),
    }
    entry_ = entry(diagnosability(catalogue), "low-volts")
    told = {
        name: replace(entry_, entry=name, excess=e, isolated=i, written_min=w)
        for name, (e, i, w) in made.items()
    }
    catalogue.records["faults"] = {
        name: catalogue.faults["low-volts"].model_copy(update={"id": name}) for name in made
    }
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("leadsman.book.diagnosability.diagnose", lambda decision: told[decision.entry.id])
        assert [e.entry for e in diagnosability(catalogue).entries] == ["b", "e", "c", "d", "a"]


def test_procedures_are_not_diagnosed_and_weigh_nothing() -> None:
    catalogue = small_content.edited()
    catalogue.records["faults"]["low-volts"] = catalogue.faults["low-volts"].model_copy(
        update={"kind": "procedure"}
    )
    found = diagnosability(catalogue)
    assert [e.entry for e in found.entries] == ["no-depth"]
    assert found.installation.weights["joints"] == pytest.approx(100 / 505)
    assert sum(found.installation.weights.values()) == pytest.approx(1)


def test_without_a_tested_component_nothing_is_detected() -> None:
    catalogue = small_content.edited()
    bare = {
        name: check.model_copy(update={"tests": [], "swap": None}) for name, check in catalogue.checks.items()
    }
    catalogue.records["checks"] = bare
    found = installation(catalogue)
    assert (found.detected, found.isolated, found.matrix, found.groups) == (0.0, 0.0, {}, ())
    assert len(found.untested) == len(found.components) == 8


def test_a_cause_that_is_spared_a_check_is_found_sooner() -> None:
    """Of two checks of 4 and 6 minutes, the second behind an opening of 5: at 4, at 15, and at 11 where the first is spared."""
    first = Check("first", 4.0, {"a": 1.0})
    second = Check(
        "second",
        6.0,
        {"b": 1.0},
        frozenset({"dash"}),
        frozenset({"first"}),
        spared=frozenset({"c"}),
    )
    third = Check("third", 1.0, {"c": 1.0}, frozenset({"dash"}))
    checks = CheckSet((first, second, third), {"a": 0.5, "b": 0.3, "c": 0.2}, {"dash": 5.0})
    # Without the second the third costs its opening: 4 + 5 + 1.
    assert dict(_found_by(checks, ["first", "second", "third"])) == pytest.approx(
        {5: 0.5, 10: 0.7, 20: 1.0, 30: 1.0, 60: 1.0}
    )


def test_by_ten_minutes_counts_what_takes_ten_and_an_opened_place_costs_once() -> None:
    ten = CheckSet((Check("first", 10.0, {"a": 1.0}),), {"a": 0.9, "lost": 0.1})
    # What no check finds is never found.
    assert dict(_found_by(ten, ["first"])) == pytest.approx({5: 0, 10: 0.9, 20: 0.9, 30: 0.9, 60: 0.9})
    dash = frozenset({"dash"})
    twice = CheckSet(
        (Check("one", 4.0, {}, dash), Check("two", 6.0, {"a": 1.0}, dash)), {"a": 1.0}, {"dash": 10.0}
    )
    assert dict(_found_by(twice, ["one", "two"])) == {5: 0, 10: 0, 20: 1.0, 30: 1.0, 60: 1.0}
