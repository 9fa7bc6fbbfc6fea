"""The list of customers that the project shows, and what a dealer is told of its columns."""

import pytest

import built
from leadsman.content.fleet import COLUMNS, read_fleet


def test_the_demo_list_is_sound() -> None:
    fleet = read_fleet(built.ROOT / "tests" / "fleet" / "customers.csv", built.catalogue())
    assert fleet.problems == []
    assert len(fleet.rows) == 6
    brindle = next(row for row in fleet.rows if row.id == "brindle")
    assert brindle.boat.supply.lead_length_m == pytest.approx(5.4864)  # 18 ft of exactly 0.3048 m
    assert (brindle.units, brindle.boat.waters) == ("us", ["harrow-bank"])


def test_every_column_is_documented() -> None:
    text = (built.ROOT / "content" / "CONVENTIONS.md").read_text(encoding="utf-8")
    assert [column for column in COLUMNS if f"`{column}`" not in text] == []
