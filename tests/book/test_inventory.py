"""What is there, a line a record, and the next free code."""

from __future__ import annotations

import pytest

import small_content
from leadsman.book.inventory import inventory
from leadsman.cli import main
from leadsman.content.codes import free_code


def test_every_record_has_a_line_with_a_title() -> None:
    catalogue = small_content.edited(
        ("faults/power/low-volts.yaml", "code: P1", "code: D10"),
        ("faults/depth/no-depth.yaml", "code: D1", "code: D2"),
    )
    for kind, records in catalogue.records.items():
        lines = list(inventory(catalogue, kind))
        assert {line.id for line in lines} == set(records)
        assert all(line.title for line in lines), kind
    codes = [line.code for line in inventory(catalogue, "faults")]
    assert codes.index("D2") < codes.index("D10")
    assert all(free_code(catalogue, area) not in codes for area in catalogue.areas)


def test_the_list_and_an_entry_in_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    for words, says in (
        (["list", "--area", "power"], "P1  Low volts"),
        (["list", "boats"], "punt"),
        (["show", "low-volts"], "P1  Low volts"),
        (["show", "p1"], "P1  Low volts"),
    ):
        with pytest.raises(SystemExit) as end:
            main([*words, "--content", str(small_content.FOLDER)])
        assert end.value.code == 0
        assert says in " ".join(capsys.readouterr().out.split("  ")).replace("P1 ", "P1  ").replace(
            "   ", "  "
        )
    for words, says in (
        (["list", "boots"], "is no kind of record"),
        (["list", "--area", "powr"], "did you mean 'power'?"),
        (["show", "P99"], "`leadsman list` has them all"),
    ):
        with pytest.raises(SystemExit) as end:
            main([*words, "--content", str(small_content.FOLDER)])
        assert end.value.code == 2
        assert says in capsys.readouterr().err
