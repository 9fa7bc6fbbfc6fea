"""What is printed in the units of an edition: rounded to the safe side in the printed unit.

The factors are the exact ones of the international yard and pound agreement of 1959 (foot 0.3048 m) and of the fathom of
six such feet; they stand here apart from the program's own.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.computed import UNIT_SYSTEMS, compute_table, printed_as, show, unit_systems
from leadsman.content.model.reference import Shown, Value
from leadsman.content.model.table import Table


@given(
    depth=st.floats(0.3, 3000),
    step=st.sampled_from([0.1, 0.5, 1.0, 5.0]),
    side=st.sampled_from(["up", "down"]),
)
def test_fathoms_never_promise_more(depth: float, step: float, side: Any) -> None:
    number = show(depth, "m", Shown(unit="fathom", step=step, round=side))
    printed = float(number.printed or 0) * 1.8288
    assert number.text.endswith("fm")
    assert printed <= depth * (1 + 1e-9) if side == "down" else printed >= depth * (1 - 1e-9)
    assert abs(printed - depth) <= step * 1.8288 * (1 + 1e-9)


def test_a_conductor_converted_to_a_gauge_stays_on_its_side() -> None:
    """A least conductor of 2.5 mm2, printed as a gauge, must not become the thinner 14 AWG (2.08 mm2, ASTM B258)."""
    value = Value.model_validate({
        "meaning": "Least conductor",
        "computed": {"formula": "supply.smallest_area", "given": {}},
        "show": {"unit": "mm2", "step": 0.5, "round": "up"},
    })  # fmt: skip
    least = printed_as(value, "us")
    assert (least.unit, least.round) == ("AWG", "down")
    assert show(2.5, "mm2", least).text.startswith("13")


DEPTHS = {
    "id": "depths", "title": "Depths", "question": "How deep?", "convention": "Rounded down and up.",
    "formula": "echo.deepest_depth", "rows": {"each": "band", "head": "Band"},
    "columns": {"each": "water", "season": "summer", "head": "Water"}, "given": {"greatest_depth": "900 m"},
    "cells": [{
        "output": "pessimistic", "show": {"unit": "m", "step": 5, "round": "down"},
        "show_us": {"unit": "ft", "step": 10, "round": "down"},
        "show_fathoms": {"unit": "fathom", "step": 1, "round": "down"},
    }],
}  # fmt: skip


def test_fathoms_are_printed_only_where_they_are_asked_for() -> None:
    catalogue = small_content.edited()
    depths, leads = Table.model_validate(DEPTHS), catalogue.tables["lead-drop"]
    for units, sign in {"metric": "m", "us": "ft", "us-fathoms": "fm"}.items():
        ((cell,),) = compute_table(depths, catalogue, units).cells
        assert cell.text.endswith(f"\u202f{sign}")
    assert unit_systems(depths) == UNIT_SYSTEMS
    assert unit_systems(leads) == ("metric", "us")
    assert compute_table(leads, catalogue, "us-fathoms").cells == compute_table(leads, catalogue, "us").cells


@pytest.mark.parametrize(("units", "metres"), [("metric", 1.0), ("us", 0.3048), ("us-fathoms", 1.8288)])
def test_a_depth_is_converted_before_it_is_rounded(units: str, metres: float) -> None:
    """Rounded once, in the printed unit: never deeper than it is, and by less than one step."""
    catalogue = small_content.edited()
    ((cell,),) = compute_table(Table.model_validate(DEPTHS), catalogue, units).cells
    step = {"metric": 5, "us": 10, "us-fathoms": 1}[units]
    printed, exact = float(cell.printed or 0), float(cell.exact) / metres
    assert exact - step < printed <= exact
    assert printed % step == 0
