"""Ampacity: the table's order, its reductions, and that every rating is taken on the safe side."""

import numpy as np
import pytest

from leadsman.compute.registry import FORMULAS, NoAnswer
from leadsman.compute.supply.ampacity import (
    ISO_AMPERES,
    SCOPE_NOTE,
    TABLE_5_AMPERES,
    ampacity,
)

SIZES = [f"{size} AWG" for size in TABLE_5_AMPERES] + list(ISO_AMPERES)


@pytest.mark.parametrize("conductor", SIZES)
def test_hotter_insulation_carries_more(conductor: str) -> None:
    """Ampacity never falls as the rating of the insulation rises."""
    amperes = ampacity(conductor=conductor, insulation_c=np.arange(60.0, 201.0))

    assert np.all(np.diff(amperes) >= 0)


@pytest.mark.parametrize("table", [TABLE_5_AMPERES, ISO_AMPERES])
def test_a_thicker_conductor_carries_more(table: dict[str, tuple[int, ...]]) -> None:
    """Columns of both tables rise with size."""
    assert np.all(np.diff(np.array(list(table.values())), axis=0) >= 0)


@pytest.mark.parametrize(("rating_c", "column_c"), [(70, 60), (85, 80), (104.9, 90), (105, 105), (150, 125)])
def test_a_rating_between_columns_takes_the_lower(rating_c: float, column_c: float) -> None:
    """85 degC wire is read in the 80 degC column of 33 CFR 183.425 Table 5."""
    assert ampacity(conductor="12 AWG", insulation_c=rating_c) == ampacity(
        conductor="12 AWG", insulation_c=column_c
    )


@pytest.mark.parametrize("conductor", ["16 AWG", "2.5 mm2"])
def test_reductions_multiply(conductor: str) -> None:
    """Engine space and bundle together are the product of both factors."""
    full, hot, bundled, both = (
        ampacity(conductor=conductor, engine_space=space, bundled_conductors=count)
        for space, count in (("no", 1.0), ("yes", 1.0), ("no", 4.0), ("yes", 4.0))
    )

    assert both == pytest.approx(hot * bundled / full)
    assert both < min(hot, bundled)


def test_bundles_reduce_step_by_step() -> None:
    """Two conductors are no bundle; 3, 4 to 6, 7 to 24 and 25 carry 70, 60, 50 and 40 % (33 CFR 183.425, note
    2)."""
    counts = np.array([1.0, 2.0, 3.0, 4.0, 6.0, 7.0, 24.0, 25.0])

    assert ampacity(conductor="10 AWG", bundled_conductors=counts) / 60 == pytest.approx(
        np.array([1, 1, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4])
    )


@pytest.mark.parametrize("conductor", ["22 AWG", "20 AWG", "0.5 mm2", "95 mm2"])
def test_a_size_outside_the_tables_has_no_answer(conductor: str) -> None:
    """No ampacity is invented for it."""
    with pytest.raises(NoAnswer, match=f"no ampacity is tabled for {conductor}"):
        ampacity(conductor=conductor)


def test_the_scope_of_the_law_goes_with_the_number() -> None:
    """Most boats here have outboards, for which the regulation's table is data, not law."""
    assert SCOPE_NOTE in FORMULAS["supply.ampacity"].accuracy
    assert "petrol engines other than outboards" in SCOPE_NOTE


#: ISO 10133:2012, Table A.1, by its columns (from memory): 0.75 to 70 mm2.
BY_RATING = {
    60: (6, 8, 12, 17, 22, 29, 40, 54, 71, 87, 105, 135),
    70: (10, 14, 18, 25, 35, 45, 65, 90, 120, 160, 210, 265),
    85: (12, 18, 21, 30, 40, 50, 70, 100, 140, 185, 230, 285),
    105: (16, 20, 25, 35, 45, 60, 90, 130, 170, 210, 270, 330),
    125: (20, 25, 30, 40, 50, 70, 100, 150, 185, 225, 300, 360),
    200: (25, 35, 40, 45, 55, 75, 120, 170, 200, 240, 325, 375),
}  # fmt: skip


@pytest.mark.parametrize("rating_c", BY_RATING)
def test_metric_conductors_carry_what_the_standard_lets_them(rating_c: int) -> None:
    found = [ampacity(conductor=size, insulation_c=rating_c) for size in ISO_AMPERES]
    assert found == list(BY_RATING[rating_c])
