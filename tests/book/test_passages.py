"""The words that a reader meets: every kind of reference, and every field of every passage of the small entry."""

from __future__ import annotations

from typing import Any

import pytest

import small_content
from leadsman.book.passages import Words, caution_fields, hazard_fields, plain, print_entry
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Hazard


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return small_content.edited()


@pytest.mark.parametrize(
    ("written", "family", "printed"),
    [
        ("Wait {value: wait-time}.", None, "Wait 10 s."), ("Wait {value: absent}.", None, "Wait ?."), ("Reads {message: plain no-depth}.", None, "Reads SEEKING."),
        ("Reads {message: plain absent}.", None, "Reads ?."), ("Reads {message: absent no-depth}.", None, "Reads ?."), ("Do {menu: update-software}.", None, "Do Update the software."),
        ("Do {menu: update-software}.", "plain", "Do LIST key > Load."), ("Do {menu: absent}.", "plain", "Do ?."), ("Take {card: low-volts}.", None, "Take Low volts."),
        ("See {table: lead-drop}.", None, "See Drop in the lead."), ("A {term: transducer}.", None, "A transducer."), ("Two  spaces\n and a line.", None, "Two spaces and a line."),
        ("The {given: plug}.", None, "The {given: plug}."), (None, None, ""),
    ],
)  # fmt: skip
def test_references_in_words(catalogue: Catalogue, written: Any, family: str | None, printed: str) -> None:
    assert Words(catalogue, family=catalogue.families[family] if family else None).text(written) == printed


def test_values_are_printed_in_the_readers_units_and_for_the_readers_display(catalogue: Catalogue) -> None:
    assert (Words(catalogue).value("safe-depth"), Words(catalogue, "us").value("safe-depth")) == (
        "2 m",
        "7 ft",
    )
    assert Words(catalogue).lines(["One.", "Two."]) == "One.\nTwo."
    assert plain("\u221212.5\u202fV\u00a0a") == "-12.5 V a"
    broken = small_content.edited()
    value = broken.values["lead-drop"]
    assert value.computed is not None
    broken.records["values"]["lead-drop"] = value.model_copy(
        update={"computed": value.computed.model_copy(update={"formula": "x.y"})}
    )
    assert Words(broken).value("lead-drop") == "?"


def test_every_field_of_the_small_entry(catalogue: Catalogue) -> None:
    printed = print_entry(catalogue.faults["no-depth"], Words(catalogue))
    assert (printed.id, printed.code, printed.title, printed.tables, printed.card_table) == (
        "no-depth",
        "D1",
        "No depth",
        ("lead-drop",),
        "lead-drop",
    )
    assert printed.menu_tasks == ("record-settings", "restore-defaults", "update-software")
    lead = printed.passages["no-depth-lead"]
    assert (lead.kind, lead.fields) == ("condition", {
        "code": "D1", "title": "No depth", "what is seen": "No depth number stands on the screen.", "signs": "No depth",
        "tells apart": "If the unit complains of its supply, take Low volts.", "what each display shows": "Plain: The corner stays empty.", "messages": "Plain: SEEKING",
    })  # fmt: skip
    cause = printed.passages["no-depth-cause-old-software"]
    assert (cause.kind, cause.name, cause.fields) == ("cause", "Software too old", {
        "name": "Software too old", "reason": "The list is older than the transducer.", "part": "Software",
        "likelihood by history": "in-service 5, new-fitting 40, after-lay-up 5, after-update 5, after-impact 5",
    })  # fmt: skip
    pins = printed.passages["no-depth-step-pins"]
    assert (pins.kind, pins.fields) == ("step", {
        "action": "Measure from pin to pin.", "question": "Do the readings match the list?", "details": "", "note": "", "minutes": "5", "place": pins.fields["place"],
        "state": "power-off", "tools": "Multimeter", "caution live-element": "WARNING", "safe for an owner": "no",
        "answer YES": "step 'swap'", "answer NO": "fix 'found-element'", "answer CAN'T": "step 'swap'",
    })  # fmt: skip
    assert printed.passages["no-depth-step-temperature"].fields["safe for an owner"] == "yes"
    fix = printed.passages["no-depth-fix-found-element"]
    assert (fix.kind, fix.name, fix.fields) == ("finding", "Element dead", {
        "finding": "Element dead", "causes": "Element dead", "remedy": "Fit a new transducer.", "proof": "Does the depth match the lead line?", "tools": "",
        "if not proved": fix.fields["if not proved"], "caution live-element": "WARNING", "condemns a part": "yes", "safe for an owner": "no",
    })  # fmt: skip
    assert printed.passages["no-depth-fix-found-plug"].fields["condemns a part"] == "no"
    end = printed.passages["no-depth-end-hand-over"]
    assert (end.kind, end.fields) == ("hand-over", {
        "hand-over": "Not found here", "to": "Workshop", "evidence": "Photograph of the pins\nWhat changed before the fault",
    })  # fmt: skip
    assert len(printed.passages) == 1 + 5 + 9 + 5 + 1


def test_an_answer_to_another_card_names_its_step_and_what_it_means() -> None:
    there = '"no": {to_entry: low-volts, at: volts, shows: [old-software], means: It is old.}'
    found = small_content.edited(
        ("faults/depth/no-depth.yaml", '"no": {then: found-software, shows: [old-software]}', there)
    )
    printed = print_entry(found.faults["no-depth"], Words(found))
    assert printed.passages["no-depth-step-software"].fields["answer NO"] == "card P1 step 2; It is old."


def test_hazards_and_cautions_in_words(catalogue: Catalogue) -> None:
    made = Hazard.model_validate({
        "title": "Vapour is smelt", "signal": "DANGER", "words": ["I smell", "It smells"], "short": "Off.", "say": "Get off.", "do": ["Go.", "Call."],
        "comes": "The fire service.", "until": "it is gone.", "cautions": [], "areas": ["power"],
    })  # fmt: skip
    assert hazard_fields(made, Words(catalogue)) == {
        "signal word": "DANGER", "title": "Vapour is smelt", "short": "Off.", "say": "Get off.", "comes": "The fire service.", "until": "it is gone.",
        "do": "Go.\nCall.", "words": "I smell\nIt smells",
    }  # fmt: skip
    assert caution_fields(catalogue.cautions["vapour"], Words(catalogue)) == {
        "signal word": "DANGER", "hazard": "Vapour lies low.", "result": "A spark explodes it.", "avoid": "Air the space.", "short": "Air the space first.",
    }  # fmt: skip
