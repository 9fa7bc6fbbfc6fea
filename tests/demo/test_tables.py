"""The project's tables: those that look at all cells at once see what a page prints."""

import pytest

import built
from book.test_in_rows import reads_the_same
from leadsman.book.computed import compute_table, compute_value


def test_every_table_reads_the_same_in_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    reads_the_same(built.catalogue(), monkeypatch)


@pytest.mark.parametrize("name", ["fuse-drop", "fuse-drop-24"])
def test_a_drop_stands_beside_no_fuse_that_the_unit_may_not_have(name: str) -> None:
    """A limit beside a rating reads as leave to fit it; the maker's own rating stands under Equipment."""
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables[name], catalogue)
    for column, item in enumerate(table.columns):
        most = catalogue.families[item.record_id].fuse_a
        told = [float(head.split("\u202f")[0]) for head, cells in zip(table.row_heads, table.cells, strict=True) if cells[column].answered]  # fmt: skip
        assert told
        assert max(told) == most
    said = {cell.text for cells in table.cells for cell in cells if not cell.answered}
    assert said == {"never"}
    assert "Where it says never" in str(table.table.convention)


def test_the_tilts_that_steps_print_are_those_of_the_table_and_the_table_says_so() -> None:
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables["tilt-limits"], catalogue)
    third = [float(cells[2].printed or 0) for cells in table.cells]
    narrow, wide = (
        float(compute_value(catalogue.values[name], catalogue).number.printed or 0)
        for name in ("tilt-most-narrow", "tilt-most-wide")
    )
    assert (min(third), max(third)) == (narrow, wide)
    notes = " ".join(str(note) for note in table.table.notes)
    assert "{value: tilt-most-narrow}" in notes
    assert "{value: tilt-most-wide}" in notes


def test_a_current_that_stands_twice_says_at_which_volts() -> None:
    """The table has it at the least volts, the list of equipment at the rated ones: the one is the greater."""
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables["fuse-choice"], catalogue)
    for item, cells in zip(table.rows, table.cells, strict=True):
        boat = catalogue.boats[item.record_id]
        family = catalogue.families[boat.display]
        assert float(cells[0].printed or 0) > family.current_a * family.rated_v / boat.supply.nominal_v
    assert "at its rated volts" in " ".join(str(note) for note in table.table.notes)
    assert "{given: rated}" in str(catalogue.phrases().handbook.equipment.supply)


def test_no_table_of_a_card_names_what_only_the_handbook_prints_below_it() -> None:
    """A card prints no assumptions below a table: a number that its words name stands in them."""
    named = [t.id for t in built.catalogue().tables.values() if t.card and "named below" in str(t.convention)]
    assert named == []
    # ABYC E-11, as the content names it: 3 % for critical circuits.
    for name in ("smallest-conductor", "smallest-conductor-awg"):
        assert "drop of {value: design-drop}" in str(built.catalogue().tables[name].convention)
    assert str(built.catalogue().values["design-drop"].declared) == "3 %"
