"""What the book says of a content beyond its rules: orders and sizes that are known only when numbers are computed."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_content
from leadsman.book.computable import _too_large
from leadsman.book.computed import ComputedTable, compute_value
from leadsman.book.verdict import judge
from leadsman.compute.registry import NoAnswer, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.table import CARD_COLUMNS, CARD_ROWS
from leadsman.errors import LeadsmanError
from leadsman.store import Store

VALUES, LEAD = "values.yaml", "tables/lead-drop.yaml"


def told(folder: Path, *edits: tuple[str, str, str]) -> list[str]:
    return [f"{p.rule}: {p.what}" for p in judge(small_content.edited(*edits)).problems]


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


def problems(catalogue: Catalogue, store: Store | None = None) -> list[tuple[str, str, str]]:
    return [(p.rule, p.field, p.what) for p in judge(catalogue, store).problems]


@pytest.mark.parametrize(
    ("rows", "columns", "card", "part"),
    [
        (CARD_ROWS, CARD_COLUMNS, True, None), (CARD_ROWS + 1, CARD_COLUMNS, True, "rows"), (CARD_ROWS, CARD_COLUMNS + 1, True, "columns"),
        (CARD_ROWS + 1, CARD_COLUMNS + 1, True, "rows"), (CARD_ROWS + 1, CARD_COLUMNS + 1, False, None), (2, 0, True, None), (2, -1, True, "cells"),
    ],
)  # fmt: skip
def test_a_table_fills_its_card_to_the_last_row_and_column(
    rows: int, columns: int, card: bool, part: str | None
) -> None:
    """Told at the part that is to be made smaller; without columns the cells are what stands side by side."""
    catalogue = small_content.edited()
    record = catalogue.tables["lead-drop"].model_copy(
        update={"card": card, **({} if columns > 0 else {"columns": None})}
    )
    across = abs(columns) and (columns if columns > 0 else CARD_COLUMNS + 1)
    made = ComputedTable(
        record, formulas()["supply.voltage_drop"], "Head", ("c",) * across, ("r",) * rows, (), "metric"
    )
    found = _too_large(made)
    assert (found and found[0]) == part
    if found:
        assert (
            found[1]
            == f"{rows} rows and {across} columns; a card has room for {CARD_ROWS} and {CARD_COLUMNS}"
        )


def test_what_cannot_be_computed_is_told_once_and_at_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """A value wrong in both systems of units is one problem; what nobody thought of is told by the kind of error."""
    catalogue = small_content.edited()
    value = catalogue.values["lead-drop"]
    assert value.computed is not None
    catalogue.records["values"]["lead-drop"] = value.model_copy(
        update={"computed": value.computed.model_copy(update={"formula": "x.y"})}
    )
    assert problems(catalogue) == [("computed", "lead-drop.formula", "'x.y' is no formula")]

    def breaks(error: Exception) -> list[tuple[str, str, str]]:
        def compute(*_: object) -> None:
            raise error

        with monkeypatch.context() as patch:
            patch.setattr("leadsman.book.computable.compute_value", compute)
            return sorted(set(problems(small_content.edited())))

    names = ("charge-volts", "lead-drop", "safe-depth", "wait-time")
    assert [what for _, _, what in breaks(ZeroDivisionError())] == [
        "cannot be computed (ZeroDivisionError)"
    ] * len(names)
    assert {what for _, _, what in breaks(NoAnswer("too thin"))} == {"has no answer: too thin"}
    assert {field.partition(".")[2] for _, field, _ in breaks(NoAnswer("too thin"))} == {"computed"}
    assert {what for _, _, what in breaks(LeadsmanError("odd"))} == {"odd"}


def test_values_in_their_order_may_touch() -> None:
    """A greater end of the lower one at the lesser end of the upper one is still in order; two declared ones are not judged here."""
    span = "mid: {{meaning: Mid, declared: {low}, source: common-practice, below: [lead-drop]}}\nwait-time:"
    drop = compute_value(small_content.edited().values["lead-drop"], small_content.edited()).number.exact
    for low, told_ in ((f"{drop - 1e-6:.6f} V", 0), (f"{drop + 1e-5:.6f} V", 1)):
        found = small_content.edited((VALUES, "wait-time:", span.format(low=low)))
        assert len([p for p in problems(found) if p[0] == "limit-order"]) == told_
    catalogue = small_content.edited(
        (VALUES, "wait-time:", span.format(low="0.1 V").replace("[lead-drop]", "[absent]"))
    )
    assert [p for p in problems(catalogue) if p[0] == "limit-order"] == []


def test_a_kept_verdict_is_the_same_and_is_asked_for_by_all_that_was_read(tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    edit = (VALUES, "output: drop}", "output: absent}")
    wrong = small_content.edited(edit)
    plain = problems(wrong)
    assert plain
    assert problems(wrong, store) == plain
    assert problems(wrong, store) == plain
    # Another entry: the numbers are not computed again, the verdict is another.
    other = small_content.edited(
        edit, ("faults/power/low-volts.yaml", "title: Low volts", "title: Weak volts")
    )
    again = problems(other, store)
    assert [p[:2] for p in again if p[0] == "computed"] == [p[:2] for p in plain if p[0] == "computed"]
    assert problems(small_content.edited(), store) == problems(small_content.edited()) == []
