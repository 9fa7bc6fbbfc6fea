"""Topics: what is worth knowing beside the conditions, read and held to the same rules as all other content."""

import pytest

import small_content
from leadsman.content.rules import check

TOPIC = "topics/batteries.yaml"
TABLE = """columns: [Battery, Volts]
rows:
  - [Lead-acid, 'Charging at {value: charge-volts}.']
  - [Lithium, Volts say little.]
"""
PARAGRAPHS = """paragraphs:
  - Volts at rest tell the charge of a lead-acid battery.
"""


def test_a_topic_holds_paragraphs_and_a_table() -> None:
    topic = small_content.edited().topics["batteries"]
    assert [str(head) for head in topic.columns] == ["Battery", "Volts"]
    assert [len(row) for row in topic.rows] == [2, 2]
    assert topic.paragraphs
    assert topic.notes


@pytest.mark.parametrize(("old", "new"), [(TABLE, ""), (PARAGRAPHS, "")], ids=["no table", "no paragraphs"])
def test_one_of_the_two_is_enough(old: str, new: str) -> None:
    catalogue = small_content.edited((TOPIC, old, new))
    assert catalogue.problems == []
    assert check(catalogue).problems == []


@pytest.mark.parametrize(
    ("edits", "expected"),
    [
        ([(TABLE, ""), (PARAGRAPHS, "")], "a topic needs 'paragraphs' or 'rows'"),
        ([("columns: [Battery, Volts]\n", "")], "a topic's table needs 'rows' and at least two 'columns'"),
        ([(TABLE, "columns: [Battery, Volts]\n")], "a topic's table needs 'rows' and at least two 'columns'"),
        ([("[Battery, Volts]", "[Battery]")], "a topic's table needs 'rows' and at least two 'columns'"),
        ([("[Lithium, Volts say little.]", "[Lithium]")], "row 2 has 1 cell for 2 columns"),
        ([("[Battery, Volts]", "[Battery, Volts, Mind]")], "row 1 has 2 cells for 3 columns"),
    ],
)
def test_a_table_that_does_not_hold_together_is_a_problem(
    edits: list[tuple[str, str]], expected: str
) -> None:
    catalogue = small_content.edited(*((TOPIC, old, new) for old, new in edits))
    (problem,) = catalogue.problems
    assert problem.what == expected
    assert problem.path.endswith(TOPIC)


@pytest.mark.parametrize(
    ("old", "new", "rule", "says"),
    [
        ("source: common-practice", "source: common-practise", "links",
         "'common-practise' is no source; did you mean 'common-practice'?"),
        ("[live-element, vapour]", "[live-elements]", "links", "'live-elements' is no caution; did you mean 'live-element'?"),
        ("{value: charge-volts}", "{value: charge-volt}", "references", "{value: charge-volt} points to nothing"),
        ("Volts say little.", "It stands at 13 V.", "loose-number", "the number '13 V' stands loose in the text"),
        ("say little", "say" + " little" * 25, "sentence-length", "a sentence of 27 words (at most 25)"),
    ],
)  # fmt: skip
def test_the_rules_of_the_content_hold_for_every_cell(old: str, new: str, rule: str, says: str) -> None:
    found = check(small_content.edited((TOPIC, old, new))).problems
    assert [problem.rule for problem in found] == [rule]
    assert f"{found[0].what}; {found[0].hint}".startswith(says)
    assert found[0].path.endswith(TOPIC)


def test_a_retired_topic_does_not_come_back() -> None:
    old = ("retired.yaml", "{}", 'batteries: {was: Batteries, on: "2026-01-01", reason: It was merged.}')
    found = check(small_content.edited(old)).problems
    assert [(problem.rule, problem.what) for problem in found] == [
        ("retired", "the id 'batteries' is retired")
    ]
