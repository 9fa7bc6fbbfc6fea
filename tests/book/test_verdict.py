"""What the book says of a content beyond its rules: orders and sizes that are known only when numbers are computed."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_content
from leadsman.book.verdict import judge

VALUES, LEAD = "values.yaml", "tables/lead-drop.yaml"


def told(folder: Path, *edits: tuple[str, str, str]) -> list[str]:
    return [f"{p.rule}: {p.what}" for p in judge(small_content.edited(folder, *edits)).problems]


def test_the_small_content_computes(tmp_path: Path) -> None:
    assert told(tmp_path) == []


@pytest.mark.parametrize(
    ("declared", "problems"),
    [("0.1 V", []), ("0.2 V", []), ("0.4 V", ["limit-order: 0.4 is not below 'lead-drop', 0.25"]),
     ("0.1 to 0.4 V", ["limit-order: 0.4 is not below 'lead-drop', 0.25"])],
)  # fmt: skip
def test_a_declared_value_is_held_against_a_computed_one(
    tmp_path: Path, declared: str, problems: list[str]
) -> None:
    """Twice 5 m at 2 A through 13.3 ohm/km, the most of 1.5 mm2 at 20 degC (IEC 60228, class 5), are 0.27 V."""
    more = f"low: {{meaning: Low, declared: {declared}, source: common-practice, below: [lead-drop]}}\nwait-time:"
    found = told(tmp_path, (VALUES, "wait-time:", more))
    assert [line.rpartition(",")[0] for line in found] == [line.rpartition(",")[0] for line in problems]


def test_a_table_too_large_for_a_card_is_told(tmp_path: Path) -> None:
    many = ", ".join(f"{length} m" for length in range(3, 40))
    (problem,) = told(
        tmp_path,
        (
            LEAD,
            "values: [3 m, 6 m], us_values: [10 ft, 20 ft]",
            f"values: [{many}], us_values: [10 ft, 20 ft]",
        ),
    )
    assert problem.startswith("card-table: 37 rows and 2 columns; a card has room for ")
