"""Limits, verdicts and the worst value: what becomes of the readings of a rule."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from inspection import making
from leadsman.inspection.findings import RULES, Limit, Outcome, Reading, Rule, at, judge, rule, rules_for


@pytest.mark.parametrize(
    ("limit", "within", "beyond"),
    [
        (Limit(">=", 10, "pt"), 9.9905, 9.9895),
        (Limit("<=", 10, "pt"), 10.0095, 10.0105),
        (Limit(">=", 5, "mm"), 4.981, 4.979),
        (Limit("<=", 0.5, "mm"), 0.519, 0.521),
        (Limit(">=", 15, "arcmin"), 14.9905, 14.9895),
        (Limit(">=", 1.25, "em"), 1.2453, 1.2447),
        (Limit(">=", 4.5, "ratio"), 4.5, 4.4999),
        (Limit(">=", 23, "%"), 23, 22.9999),
        (Limit("<=", 20, "words"), 20, 20.0001),
    ],
)
def test_only_the_rounding_of_the_file_is_forgiven(limit: Limit, within: float, beyond: float) -> None:
    """A hundredth of a point and two of a millimetre; nothing of a ratio or a count (W3C, understanding SC 1.4.3)."""
    assert limit.kept(within)
    assert not limit.kept(beyond)


def test_a_limit_is_said_with_its_unit() -> None:
    assert [str(Limit(">=", 4.5, "ratio")), str(Limit("<=", 3, ""))] == [">= 4.5 ratio", "<= 3"]


def judged(limit: Limit | None, *readings: Reading) -> Outcome:
    """What a rule of these readings comes to."""

    def read(file: object) -> Iterable[Reading]:
        return readings

    return judge(Rule("XX-01", "says", "must", ("deck",), limit, "", "none", read), None)


def test_the_worst_value_is_the_one_nearest_to_breaking() -> None:
    least, most = Limit(">=", 10, "pt"), Limit("<=", 3, "hues")
    found = judged(least, Reading(12.0), Reading(9.0), Reading(11.0), Reading("none", right=True))
    assert (found.worst, found.looked_at, found.verdict) == (9.0, 4, "broken")
    assert [r.measured for r in found.breaches] == [9.0]
    found = judged(most, Reading(1), Reading(3), Reading(2))
    assert (found.worst, found.breaches, found.verdict) == (3, (), "kept")
    assert judged(most).verdict == "nothing to measure"
    assert judged(most).worst is None
    assert judged(None, Reading(5, right=False)).worst is None


def test_what_a_rule_has_judged_itself_stands() -> None:
    limit = Limit(">=", 10, "pt")
    assert judged(limit, Reading(9.0, right=True)).verdict == "kept"
    assert judged(limit, Reading(11.0, right=False)).verdict == "broken"


@pytest.mark.parametrize(
    ("limit", "reading"), [(None, Reading(5.0)), (Limit(">=", 10, "pt"), Reading("some"))]
)
def test_a_reading_that_nothing_decides_is_a_mistake_of_the_rule(
    limit: Limit | None, reading: Reading
) -> None:
    with pytest.raises(ValueError, match=r"XX-01: a reading without a verdict needs a number and a limit"):
        judged(limit, reading)


def test_two_rules_of_one_name_and_kind_are_a_mistake() -> None:
    name, kinds = next(iter(RULES.values())).id, next(iter(RULES.values())).kinds
    before = dict(RULES)
    with pytest.raises(ValueError, match=f"two rules are called {name}"):
        rule(name, "the same again", kinds=kinds, source="none")(lambda file: ())
    assert before == RULES


def test_the_rules_of_a_kind_come_in_the_order_of_their_names() -> None:
    names = [found.id for found in rules_for("deck")]
    assert names == sorted(names)
    assert {"PH-01", "CK-05"} <= set(names)
    assert not {"PH-03", "EP-01"} & set(names)


def test_a_reading_at_some_text_quotes_its_beginning_and_its_place() -> None:
    run = making.letters("  " + "word " * 30, 1, 2, 3, 4)
    found = at(run, 5)
    assert found.says == f"'{('word ' * 30).strip()[:60]}'"
    assert (found.measured, found.page, found.box, found.right) == (5, 1, run.box, None)
    assert at(run, 5, True, "card P1").says == "card P1"


def test_what_a_rule_wants_is_its_limit_or_its_words() -> None:
    kept = dict(RULES)
    try:
        rule("XX-07", "says", kinds=("deck",), source="none", limit=("<=", 3, "hues"))(lambda file: ())
        rule("XX-08", "says", kinds=("deck",), source="none", wants="a word")(lambda file: ())
        rule("XX-09", "says", kinds=("deck",), source="none")(lambda file: ())
        found = [RULES[f"XX-0{n} deck"] for n in (7, 8, 9)]
    finally:
        RULES.clear()
        RULES.update(kept)
    assert [(each.limit, each.wants, each.severity) for each in found] == [
        (Limit("<=", 3, "hues"), "<= 3 hues", "must"),
        (None, "a word", "must"),
        (None, "", "must"),
    ]


def test_a_number_without_a_unit_is_held_to_itself() -> None:
    assert Limit(">=", 2, "").kept(2)
    assert not Limit(">=", 2, "").kept(1.9999)


def test_a_reading_without_a_place_is_of_the_file() -> None:
    found = Reading(1.0)
    assert (found.says, found.page, found.box, found.right, found.file) == ("", 0, None, None, "")
