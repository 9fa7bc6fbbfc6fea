"""The reports as tables: what each cell says of a record made here, with shares in whole per cent."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_content
from leadsman.book.diagnosability import (
    BY_MINUTES,
    CheckColumn,
    Diagnosability,
    EntryDiagnosis,
    Group,
    HistoryMinutes,
    Installation,
)
from leadsman.book.language import LENGTHS
from leadsman.book.reports import (
    Report,
    Sheet,
    _fallback,
    coverage_report,
    isolation_report,
    language_report,
    swap_report,
)
from leadsman.book.swap_card import Combination, Part
from leadsman.content.catalogue import load
from leadsman.content.model.fault import SharedCheck
from leadsman.content.ordering import Move

ENTRY = EntryDiagnosis(
    code="D9", entry="made", title="Made", shares={"a": 0.614, "b": 0.386},
    columns=(CheckColumn(2, "volts", {"a": "NO"}),),
    groups=(Group("both", "Both", ("a", "b"), 0.614, True), Group("one", "One", ("a",), 0.3, False)),
    isolated=0.713, separable=0.888, written_min=12.34, best_min=10.06, excess=0.227, exact=False, best_order=(),
    move=Move("plug", "pins", 2.0),
    histories=(HistoryMinutes("in-service", 12.34, 10.06, 0.227, "Slow for a reason."),),
    found_by=tuple((minutes, minutes / 100) for minutes in BY_MINUTES),
)  # fmt: skip
CHAIN = Installation(
    components=("plug", "cable", "element"), checks=("pins",), matrix={"pins": frozenset({"plug", "element"})},
    groups=(("plug", "element"), ("x", "y")), untested=("cable",), weights={}, detected=0.625, isolated=0.374,
)  # fmt: skip


def sheets(report: Report) -> dict[str, Sheet]:
    return {sheet.name: sheet for sheet in report.sheets}


def test_shares_are_told_in_whole_per_cent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("leadsman.book.reports.diagnosability", lambda _: Diagnosability(CHAIN, (ENTRY,)))
    told = sheets(isolation_report(small_content.edited()))
    (row,) = told["entries"].rows
    assert dict(zip(told["entries"].heads, row, strict=True)) == {
        "code": "D9", "entry": "made", "written min": 12.3, "best min": 10.1, "longer %": 23, "isolated %": 71, "separable %": 89,
        "by 5 min %": 5, "by 10 min %": 10, "by 20 min %": 20, "by 30 min %": 30, "by 60 min %": 60,
        "best single move": str(ENTRY.move), "exact": False,
    }  # fmt: skip
    assert told["histories"].rows == (("made", "in-service", 12.3, 10.1, 23, "Slow for a reason."),)
    # Only causes that end together are a group.
    assert told["groups"].rows == (("made", "Both", "a b", 61, True),)
    assert told["made"].rows == (("a", 61, "NO"), ("b", 39, ""))
    assert told["made"].heads == ("cause", "share %", "2 volts")
    assert told["installation"].rows == (("pins", "x", "", "x"),)
    assert told["installation"].note == (
        "detected 62 %, told apart from all others 37 %, by the shares in all entries; not told apart: plug = element; "
        "x = y; untested: cable"
    )


def test_no_move_and_nothing_untested_are_said_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    chain, entry = replace(CHAIN, groups=(), untested=()), replace(ENTRY, move=None)
    monkeypatch.setattr("leadsman.book.reports.diagnosability", lambda _: Diagnosability(chain, (entry,)))
    told = sheets(isolation_report(small_content.edited()))
    assert told["entries"].rows[0][-2] == ""
    assert told["installation"].note.endswith("not told apart: none; untested: none")


def test_coverage_counts_entries_and_tells_what_is_without(tmp_path: Path) -> None:
    """A second display without a sonar of its own: the entry about depth is not about it, nor has it a menu path."""
    folder = small_content.copy(tmp_path)
    plain = (folder / "families" / "plain.yaml").read_text(encoding="utf-8")
    bare = (
        plain.replace("id: plain", "id: bare")
        .replace("name: Plain", "name: Bare")
        .replace("[depth]", "[picture]")
    )
    (folder / "families" / "bare.yaml").write_text(bare, encoding="utf-8")
    capabilities = folder / "capabilities.yaml"
    first = capabilities.read_text(encoding="utf-8").splitlines()[0]
    capabilities.write_text(
        f"{capabilities.read_text(encoding='utf-8')}{first.replace('depth:', 'picture:')}\n", encoding="utf-8"
    )
    catalogue = load(folder)
    told = sheets(coverage_report(catalogue))
    assert told["conditions"].heads == ("code", "entry", "title", "bare", "plain", "about")
    assert told["conditions"].rows == (
        ("D1", "no-depth", "No depth", False, True, "depth"),
        ("P1", "low-volts", "Low volts", True, True, ""),
    )
    assert told["capabilities"].rows == (("bare", "picture", 0, ""), ("plain", "depth", 1, "no-depth"))
    assert ("plain", "low-supply", "SUPPLY LOW", 1, "low-volts") in told["messages"].rows
    assert ("bare", "no-depth", "SEEKING", 0, "") in told["messages"].rows
    assert told["tasks"].rows[0] == ("record-settings", "Record the settings", 1, "plain", "")
    assert told["causes"].rows[-1] == ("low-volts", "limit", "settings", "volts: yes", "volts: no")
    assert told["findings"].rows[0][:4] == ("no-depth", "found-plug", "Plug corroded", 1)
    assert told["gaps"].note == ""
    assert coverage_report(catalogue).gaps == len(told["gaps"].rows) > 0


def test_how_the_entries_read_by_class_of_length() -> None:
    """By hand from the small content: the longest sentence of D1 has twelve words, the longest of P1 eight."""
    told = sheets(language_report(small_content.edited()))
    heads = told["entries"].heads
    assert heads[6 : 6 + len(LENGTHS) + 1] == ("1-5", "6-10", "11-15", "16-20", "21-25", "over 25")
    last = dict(zip(heads, told["entries"].rows[-1], strict=True))
    assert (last["code"], last["entry"]) == ("", "all entries")
    rows = {row[1]: dict(zip(heads, row, strict=True)) for row in told["entries"].rows[:-1]}
    assert {name: row["longest"] for name, row in rows.items()} == {"no-depth": 12, "low-volts": 8}
    assert sum(int(row["words"]) for row in rows.values()) == last["words"]
    for row in (*rows.values(), last):
        assert row["words a sentence"] == round(int(row["words"]) / int(row["sentences"]), 1)
        grade = (
            0.39 * int(row["words"]) / int(row["sentences"]) + 11.8 * float(row["syllables a word"]) - 15.59
        )
        assert row["grade"] == pytest.approx(grade, abs=0.12)
        assert row["grade"] == round(float(row["grade"]), 1)
        assert row["syllables a word"] == round(float(row["syllables a word"]), 2)
        assert row["words a step"] == round(float(row["words a step"]), 1)
    # All entries together have no longest sentence of their own.
    assert told["longest"].rows == (
        ("low-volts", 8, "Do the volts stand above the low limit?"),
        ("no-depth", 12, "Is the fault gone with it, and back with the own one?"),
    )


def test_two_faults_are_told_as_pairs() -> None:
    a, b, c = (Part(name, name.title()) for name in ("plug", "cable", "mounting"))
    combination = Combination(("returns", "same"), (), ((a, b), (a, c)), False)
    assert _fallback(combination) == "Plug with Cable; Plug with Mounting"


def test_swap_tests_together_name_suspects_or_what_else_explains() -> None:
    """The transducer and the display are both swapped; the rest of the chain is cleared or suspect by what stays."""
    catalogue = small_content.edited()
    display = {
        "id": "borrowed-display", "title": "Borrowed display", "kind": "swap", "do": "Fit it.", "see": "Is the fault gone?",
        "minutes": 5, "access": "helm", "swap": {"part": ["display"], "carries": ["settings", "software"]},
    }  # fmt: skip
    catalogue.records["checks"]["borrowed-display"] = SharedCheck.model_validate(display)
    told = sheets(swap_report(catalogue))
    together = {row[:2]: row[2:] for row in told["together"].rows}
    assert together["SAME", "SAME"] == ("Joints", "")
    assert together["GONE, BACK", "SAME"] == ("Transducer plug, Transducer cable, Element, Mounting", "")
    assert together["GONE, BACK", "GONE, BACK"] == ("", "no fault that stays explains this")
    meanings = {row[:2]: row[2:] for row in told["meanings"].rows}
    assert meanings["borrowed-display", "GONE, NOT BACK"] == (False, "as before", "")
    assert meanings["borrowed-display", "SAME"][0] is True
    assert dict(row[::2] for row in told["matrix"].rows)["Display"] == "exchanged"
