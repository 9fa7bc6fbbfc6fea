"""An entry's checks as a set to be put in order: what each finds, which are skipped, what comes first.

The expected minutes are worked out by hand from the small content; the rules of the order are common
practice of the trade (no published source).
"""

from pathlib import Path

import pytest

import small_content
from leadsman.compute.diagnosis.sequencing import Check
from leadsman.content.decision import Decision
from leadsman.content.ordering import Move, Ordering, best_move, by_history, compare, way_under

ENTRY = "faults/depth/no-depth.yaml"


def ordering(to: Path | None = None, *edits: tuple[str, str, str], entry: str = "no-depth") -> Ordering:
    """The small content's entry, with edits."""
    catalogue = small_content.edited(*edits) if to else small_content.edited()
    assert catalogue.problems == []
    return Ordering(Decision(catalogue.faults[entry], catalogue))


def checks_of(found: Ordering) -> dict[str, Check]:
    return {check.name: check for check in found.check_set().checks}


def test_a_check_finds_what_its_answer_convicts() -> None:
    """The volts convict nothing, since their answer leads on; the plug is convicted by three checks."""
    finds = {
        name: {f.partition(" ")[0] for f in check.finds} for name, check in checks_of(ordering()).items()
    }

    assert finds == {
        "history": set(), "temperature": {"bad-plug"}, "volts": set(), "software": {"old-software"},
        "plug": {"bad-plug"}, "lamp": {"bad-joint"}, "pins": {"dead-element"}, "swap": {"bad-plug", "dead-element"},
        "restore": {"wrong-setting"},
    }  # fmt: skip


def test_expected_minutes_by_hand() -> None:
    """Shares: plug 170, joint 100, software 60, element 75, setting 100, of 505 over five histories."""
    left = [505, 505, 335, 335, 275, 275, 175, 100, 100]
    minutes = [1, 1, 1, 2, 3 + 6, 6, 5, 10, 8]
    by_hand = sum(m * share for m, share in zip(minutes, left, strict=True)) / 505

    assert compare(ordering()).written_minutes == pytest.approx(by_hand)


def test_one_history_weighs_its_own_shares() -> None:
    """After a new fitting: plug 10, joint 20, software 40, element 15, setting 20, of 105."""
    left = [105, 105, 95, 95, 55, 55, 35, 20, 20]
    minutes = [1, 1, 1, 2, 3 + 6, 6, 5, 10, 8]

    found = compare(ordering().after("new-fitting"))

    assert found.written_minutes == pytest.approx(
        sum(m * s for m, s in zip(minutes, left, strict=True)) / 105
    )


def test_the_precedence_is_that_of_the_rules() -> None:
    checks = checks_of(ordering())

    assert all("history" in check.after for name, check in checks.items() if name != "history")
    # The free discriminator comes before what needs an access; defaults come last.
    assert {name for name, check in checks.items() if "temperature" in check.after} >= {
        "plug",
        "lamp",
        "pins",
    }
    assert checks["restore"].after == frozenset(checks) - {"restore"}
    # The pins measure the plug, so it is looked at before.
    assert frozenset({"plug"}) in checks["pins"].after_any
    # Both condemn the element: supply under load and software are proved before.
    for name in ("pins", "swap"):
        assert {frozenset({"lamp"}), frozenset({"software"})} <= set(checks[name].after_any)
    # The borrowed transducer brings a mounting: it is looked at before the verdict.
    assert frozenset({"plug"}) in checks["swap"].after_any
    assert checks["volts"].latest == 5


def test_a_check_asks_for_what_must_come_before_it(tmp_path: Path) -> None:
    found = ordering(
        tmp_path, (ENTRY, "use: lamp-at-plug\n", "use: lamp-at-plug\n    after: [software, plug]\n")
    )

    assert checks_of(found)["lamp"].after >= {"software", "plug"}


def test_a_broken_rule_leaves_the_written_order_standing(tmp_path: Path) -> None:
    """Whoever waives a rule has a reason; the best order does not undo it."""
    text = (small_content.FOLDER / ENTRY).read_text(encoding="utf-8")
    start = text.index("  - id: software\n")
    software = text[start : text.index("  - id: plug\n    use")]
    found = ordering(tmp_path, (ENTRY, software, ""), (ENTRY, "  - id: restore\n    use", software + "  - id: restore\n    use"),
                     (ENTRY, '"no": {then: software, shows: [bad-joint]}\n      cannot: {then: software}', '"no": {then: plug, shows: [bad-joint]}\n      cannot: {then: plug}'),
                     (ENTRY, '"yes": {then: software}', '"yes": {then: plug}'),
                     (ENTRY, "same: {then: restore}\n      cannot: {then: restore}", "same: {then: software}\n      cannot: {then: software}"),
                     (ENTRY, '"yes": {then: plug}\n      "no": {then: found-software', '"yes": {then: restore}\n      "no": {then: found-software'))  # fmt: skip

    assert {"pins", "swap"} <= checks_of(found)["software"].after
    assert compare(found).excess >= 0


BRANCH = (
    (ENTRY, '"yes": {then: volts}\n', '"yes": {then: restore, shows: [wrong-setting]}\n      "dim": {then: volts, label: DIM}\n'),
    (ENTRY, '"no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: volts}', '"no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: volts}'),
)  # fmt: skip


def test_what_an_answer_leads_past_is_not_made(tmp_path: Path) -> None:
    """A temperature that shows leads straight to the settings: nothing between costs anything there."""
    found = ordering(tmp_path, *BRANCH)
    way = way_under(found.decision, "wrong-setting", "in-service")
    spared = {
        name
        for name, check in checks_of(found).items()
        if any("wrong-setting" in cause for cause in check.spared)
    }

    assert way.made == ("history", "temperature", "restore")
    assert spared == {"volts", "software", "plug", "lamp", "pins", "swap"}
    assert all("temperature" in checks_of(found)[name].after for name in spared)
    # By hand: the setting's 100 of 505 now cost 1 + 1 + 8 minutes.
    left = [405, 405, 235, 235, 175, 175, 75, 0]
    minutes = [1, 1, 1, 2, 9, 6, 5, 10]
    others = sum(m * s for m, s in zip(minutes, left, strict=True))
    assert compare(found).written_minutes == pytest.approx((others + 100 * 10) / 505)


def test_a_wider_verdict_does_not_count(tmp_path: Path) -> None:
    """Only the lamp finds the joint; the pins, which then blame joint or element, have not found it."""
    found = ordering(
        tmp_path,
        (ENTRY, "    causes: [dead-element]\n", "    causes: [dead-element, bad-joint]\n"),
        (ENTRY, "shows: [dead-element]}\n      cannot: {then: swap}", "shows: [dead-element, bad-joint]}\n      cannot: {then: swap}"),
    )  # fmt: skip

    assert way_under(found.decision, "bad-joint", "in-service").convicting == {"lamp"}


def test_an_entry_elsewhere_convicts_only_what_it_is_shown(tmp_path: Path) -> None:
    """'None of these' leads to another card; that finds nothing here."""
    found = ordering(
        tmp_path, (ENTRY, '"yes": {then: hand-over}\n      "no"', '"yes": {to_entry: low-volts}\n      "no"')
    )

    assert {f.partition(" ")[0] for f in checks_of(found)["restore"].finds} == {"wrong-setting"}


def test_the_move_that_saves_most() -> None:
    """By hand: the lamp before the plug spares the joint's 100 of 505 the plug's 3 minutes."""
    found = ordering()
    move = best_move(found.check_set(), found.written)

    assert move == Move("plug", "pins", pytest.approx(3 * 100 / 505))
    assert compare(found).best.minutes == pytest.approx(compare(found).written_minutes - 300 / 505)


def test_each_history_is_judged_by_its_own_best_order() -> None:
    found = by_history(ordering())

    assert max(found, key=lambda history: found[history].excess) == "new-fitting"
    # By hand, of 105: the plug's 3 minutes for the joint's 20; the temperature's one for the 40 of the
    # software, against its 2 minutes and the volts' one for the plug's 10.
    report = found["new-fitting"]
    assert report.best.order[:4] == ("history", "volts", "software", "temperature")
    assert report.written_minutes - report.best.minutes == pytest.approx((3 * 20 + 40 - 2 * 10 - 10) / 105)


def test_a_history_that_jumps_is_timed_on_its_own_way(tmp_path: Path) -> None:
    """Temperature and volts are not made after an update, neither as written nor in the best order."""
    jump = (ENTRY, "      after-update: {then: temperature}\n", "      after-update: {then: software}\n")
    plain, jumped = by_history(ordering()), ordering(tmp_path, jump)
    found = by_history(jumped)["after-update"]

    assert found.written == ("history", "software", "plug", "lamp", "pins", "swap", "restore")
    assert set(found.best.order) == set(found.written)
    # By hand, of 100: the plug's 40 are found by the plug after 1 + 2 + 9 minutes, not by the temperature
    # after 1 + 1; all others are spared the minutes of temperature and volts.
    assert found.written_minutes - plain["after-update"].written_minutes == pytest.approx(
        (40 * (12 - 2) - 60 * (1 + 1)) / 100
    )
    assert by_history(jumped)["in-service"] == plain["in-service"]


def test_an_entry_whose_best_order_is_written_has_no_move() -> None:
    found = ordering(entry="low-volts")

    assert compare(found).excess == pytest.approx(0)
    assert best_move(found.check_set(), found.written) is None
