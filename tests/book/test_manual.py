"""What a handbook prints, part by part, on the small content."""

from __future__ import annotations

from typing import Any

import small_content
import small_guides
from leadsman.book.manual import Manual, build_manual
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import HandbookEdition


def manual(catalogue: Catalogue, reports: bool = False, **changes: Any) -> Manual:
    common = {k: v for k, v in small_guides.EDITION.items() if k in HandbookEdition.model_fields}
    edition = HandbookEdition.model_validate({**common, "kind": "handbook", "formats": ["pdf"], **changes})
    return build_manual(edition, catalogue, reports=reports)


def test_the_parts_of_a_handbook() -> None:
    catalogue = small_content.edited()
    found = manual(catalogue)
    assert [(part.id, [view.entry.id for view in part.entries]) for part in found.areas] == [
        ("power", ["low-volts"]),
        ("depth", ["no-depth"]),
    ]
    assert [view.entry.code for view in found.entries] == ["P1", "D1"]
    assert [(line.family, line.text, line.entry.id) for line in found.messages] == [
        ("Plain", "SEEKING", "no-depth"),
        ("Plain", "SUPPLY LOW", "low-volts"),
    ]
    assert [(heading, [(words, entry.id) for words, entry in rows]) for heading, rows in found.signs] == [
        ("Depth number gone", [("No depth", "no-depth")])
    ]
    assert (list(found.tables), [formula.name for formula in found.formulas]) == (
        ["lead-drop"],
        ["supply.voltage_drop"],
    )
    assert [name for name, _ in found.cautions] == ["vapour", "live-element", "update-battery"]
    assert (found.waived, found.diagnosis, found.cover, found.hazards) == ((), None, None, ())


def test_an_area_without_an_entry_is_no_part() -> None:
    found = manual(small_content.edited(), entries=["no-depth"])
    assert [part.id for part in found.areas] == ["depth"]


def test_tables_stand_by_title_or_as_the_edition_lists_them() -> None:
    catalogue = small_content.edited()
    lead = catalogue.tables["lead-drop"]
    for name, title in (("a", "zinc"), ("z", "Amperes")):
        catalogue.records["tables"][name] = lead.model_copy(update={"id": name, "title": title})
    assert list(manual(catalogue).tables) == ["z", "lead-drop", "a"]
    assert list(manual(catalogue, tables=["a", "lead-drop"]).tables) == ["a", "lead-drop"]
    assert [formula.name for formula in manual(catalogue).formulas] == ["supply.voltage_drop"]


def test_reports_are_made_where_they_are_asked_for() -> None:
    catalogue = small_content.edited()
    found = manual(catalogue, reports=True)
    assert found.diagnosis is not None
    assert found.cover is not None
    assert len(found.diagnosis.entries) == 2
    assert len(found.cover.conditions) == 2


def test_each_shared_check_is_told_once_with_the_entries_that_use_it() -> None:
    """By title, the parameters at their usual words; the codes in the order of the book, each once."""
    found = manual(small_content.edited()).methods
    assert [method.title for method in found] == sorted((method.title for method in found), key=str.casefold)
    methods = {method.id: method for method in found}
    assert {name: method.users for name, method in methods.items() if len(method.users) > 1} == {
        "ask-history": ("P1", "D1"),
        "own-volts": ("P1", "D1"),
    }
    plug = methods["look-at-plug"]
    assert (str(plug.do), str(plug.see)) == (
        "Part the transducer plug and look at its pins.",
        "Are the pins bright?",
    )
    assert ([str(line) for line in plug.how], plug.note, plug.minutes) == (
        ["If the pins are wet, dry them for {value: wait-time}."],
        None,
        3,
    )
    assert (plug.tools, plug.tests) == (("Torch",), ("Transducer plug", "Mounting"))
    assert [name for name, _ in methods["pin-readings"].cautions] == ["live-element"]
    catalogue = small_content.edited()
    shared = catalogue.checks["look-at-plug"]
    catalogue.records["checks"]["look-at-plug"] = shared.model_copy(
        update={"note": Prose("Mind the {given: plug}.")}
    )
    (noted,) = (method for method in manual(catalogue).methods if method.id == "look-at-plug")
    assert str(noted.note) == "Mind the transducer plug."


def test_a_check_of_an_entrys_own_is_no_method() -> None:
    catalogue = small_content.edited()
    assert {method.id for method in manual(catalogue, entries=["low-volts"]).methods} == {
        "ask-history",
        "own-volts",
    }
