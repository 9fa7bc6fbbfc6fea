"""What a case tells: the next check, what to bring and to order, when to stop, what the warranty forbids.

The order of checks is held against brute force over all legal orders; the fuse against 33 CFR 183.455 and the rule of
a quarter more than the load (NEC 210.20); the rule "renew or look" against its own algebra. The rest is common practice
of the trade, no source.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest

import small_cases
import small_content
from leadsman.book.case_advice import add_months, stop_advice, supply_and_software_checked, warranty_state
from leadsman.book.case_needs import fuse_for, lent_transducers, needs
from leadsman.book.case_text import CaseText
from leadsman.compute.diagnosis.sequencing import expected_minutes, is_legal
from leadsman.content.case_file import Case
from leadsman.content.decision import Decision
from leadsman.content.inquiry import OpenInquiry
from leadsman.content.next_check import checks_left, next_check


def under_way(folder: Path, *edits: tuple[str, str]) -> Case:
    return small_cases.case(small_cases.UNDER_WAY, folder, *edits)


def test_the_next_check_is_the_first_of_the_cheapest_legal_order(tmp_path: Path) -> None:
    search = under_way(
        tmp_path, ('"yes"\n  volts', "cannot\n  volts"), ('plug: "yes"', "plug: cannot")
    ).search
    checks, best = checks_left(search), next_check(search)
    assert best is not None
    least = min(
        expected_minutes(checks, order)
        for order in itertools.permutations(checks.names)
        if is_legal(checks, order)
    )
    assert best.minutes_left == pytest.approx(least)
    assert sum(best.answers.values()) == pytest.approx(1)
    # 6 min with the lamp and 6 to open the dash, which nothing has opened yet.
    assert (best.check, best.minutes) == ("lamp", 12)


def test_every_answer_counts_also_off_the_cards_way() -> None:
    catalogue = small_cases.content()
    decision = Decision(catalogue.entry("D1"), catalogue)
    off = OpenInquiry(decision, {"history": "in-service", "plug": "no"})
    assert [s.cause for s in off.suspects] == ["bad-plug"]


def test_what_to_bring_is_what_the_ways_ahead_need(tmp_path: Path) -> None:
    """By hand: lamp and pins want the meter; of 55, the settings' 20 alone come to the swap (the pins find the 15)."""
    found = {need.tool: need.likelihood for need in needs(under_way(tmp_path).search)}
    assert found == pytest.approx({"multimeter": 1.0, "borrowed-transducer": 20 / 55})


def test_a_lent_transducer_fits_in_list_band_power_and_pins() -> None:
    """The same model always fits; the unit's list, the bands, the watts and the pins are those of the equipment."""
    fitted = small_cases.content().transducers["round"]
    (band,), (pin,) = fitted.bands, fitted.pins
    near = band.model_copy(update={"frequency_khz": 215.0})
    others = {
        "near": {"bands": [near]},
        "far": {"bands": [band.model_copy(update={"frequency_khz": 80.0})]},
        "sideways": {"bands": [band.model_copy(update={"looks": "side"})]},
        "weak": {"bands": [near.model_copy(update={"power_w": 300.0})]},
        "wired": {"pins": [pin.model_copy(update={"pair": "2 and 3"})]},
        "unlisted": {},
    }
    made = {name: fitted.model_copy(update={"id": name, **changes}) for name, changes in others.items()}
    catalogue = replace(
        small_cases.content(),
        records={**small_cases.content().records, "transducers": {"round": fitted, **made}},
    )
    display = catalogue.families["plain"].model_copy(
        update={"transducers": {name: "1.0" for name in catalogue.transducers if name != "unlisted"}}
    )
    told = {lent.transducer.id: lent.reasons for lent in lent_transducers(display, fitted, catalogue)}
    assert told == {
        "round": (), "near": (), "far": ("band",), "sideways": ("band",), "weak": ("power",), "wired": ("pins",),
        "unlisted": ("list",),
    }  # fmt: skip


def test_the_fuse_stands_above_the_load_and_below_wire_and_maker() -> None:
    """Load times 1.25 (NEC 210.20), never above the maker's: 12 W at 10 V are 1.2 A, 1.5 A with the quarter, so 2 A,
    the maker's own."""
    catalogue = small_cases.content()
    found = fuse_for(catalogue.boats["punt"], catalogue)
    assert found is not None
    assert (found.least_a, found.greatest_a) == (2.0, 2.0)


PRICES = "prices: {currency: EUR, hour: 80, parts: {joints: 0, plug: 0, element: 300}}\n"


def written(tmp_path: Path, answers: str, more: str = PRICES, of: Path = small_content.FOLDER) -> Case:
    text = f"id: c1\nentry: D1\nopened: '2026-01-02'\nboat: {{like: punt}}\nhistory: in-service\nanswers: {{{answers}}}\n{more}"
    return small_cases.case(text, tmp_path, of=of)


def test_when_to_stop(tmp_path: Path) -> None:
    """Renewing outright is cheaper when its chance exceeds (replace + verify - inspect) / replace: common practice."""
    assert stop_advice(under_way(tmp_path)).verdict == "go-on"
    assert stop_advice(small_cases.case(small_cases.MENDED, tmp_path)).verdict == "ended"
    feed = 'temperature: "yes", volts: cannot, software: "yes", plug: cannot, restore: "yes"'
    found = stop_advice(written(tmp_path, feed))
    # 20 of the joint and 15 of the element are left; 12 min to the lamp, and 5 at the pins for 15 of 35.
    assert (found.verdict, found.part, found.price) == ("renew", "joints", 0.0)
    assert found.chance == pytest.approx(20 / 35)
    assert found.search == pytest.approx((12 + 5 * 15 / 35) * 80 / 60)
    # For 100 EUR, or 75 min of work, the threshold is (75 + 10 - 14.1) / 75.
    dear = PRICES.replace("joints: 0", "joints: 100")
    assert stop_advice(written(tmp_path, feed, dear)).verdict == "go-on"
    assert stop_advice(written(tmp_path, feed, "")).verdict == "no-prices"
    all_good = 'temperature: "yes", volts: "yes", software: "yes", plug: "yes", lamp: "yes", pins: "yes"'
    assert stop_advice(written(tmp_path, f'{all_good}, restore: "yes"')).verdict == "tells-nothing"


def test_a_suspect_whose_card_goes_on_elsewhere_leads_on(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    found = '"yes": {then: hand-over}\n      "no": {then: found-setting, shows: [wrong-setting]}'
    other = '"yes": {to_entry: low-volts}\n      "no": {then: found-setting}'
    small_content.edit(folder, "faults/depth/no-depth.yaml", found, other)
    all_good = 'temperature: "yes", volts: "yes", software: "yes", plug: "yes", lamp: "yes", pins: "yes"'
    assert stop_advice(written(tmp_path, all_good, of=folder)).verdict == "leads-on"


def test_no_part_of_the_sounder_is_renewed_before_supply_and_software(tmp_path: Path) -> None:
    """Rule of the trade: no part is condemned before its supply was measured under load. Common practice, no source."""
    early = written(tmp_path, "")
    assert (stop_advice(early).verdict, stop_advice(early).part) == ("supply-first", "plug")
    assert not supply_and_software_checked(early)
    loaded = 'temperature: "yes", volts: "yes", software: cannot, lamp: "yes"'
    assert not supply_and_software_checked(written(tmp_path, loaded))
    assert supply_and_software_checked(written(tmp_path, loaded, "software_checked: true\n"))
    assert supply_and_software_checked(written(tmp_path, loaded.replace("cannot", '"yes"')))
    unread = loaded.replace('lamp: "yes"', "lamp: cannot")
    assert not supply_and_software_checked(written(tmp_path, unread, "software_checked: true\n"))


def test_the_warranty_forbids_until_the_maker_agrees(tmp_path: Path) -> None:
    state = warranty_state(under_way(tmp_path))
    assert state is not None
    assert (state.runs, state.until, state.forbidden) == (True, "2027-06-01", ("open", "cut", "update"))
    agreed = warranty_state(under_way(tmp_path, ("receipt: true", "agreed: [cut]")))
    assert agreed is not None
    assert agreed.forbidden == ("open", "update")
    old = warranty_state(under_way(tmp_path, ('"2025-06-01"', '"2020-06-01"')))
    assert old is not None
    assert (old.runs, old.forbidden) == (False, ())
    assert add_months("2024-02-29", 12) == "2025-02-28"


def test_the_message_to_the_maker_holds_the_evidence_and_no_name(tmp_path: Path) -> None:
    text = CaseText(under_way(tmp_path))
    told = "\n".join(line for section in text.maker() for line in section.lines)
    for wanted in (
        "PL-004711",
        "SEEKING",
        "version 2.1",
        "12.5 V",
        "It came with the rain",
        "D1.4",
        "LIST key > Choices",
    ):
        assert wanted in told, wanted
    assert "Punt" not in told
    assert "Person" not in told
    assert "Otter" not in told
    assert "what to check next" in text.maker()[-1].lines[-1]


def test_of_a_case_that_is_mended_the_maker_is_asked_for_the_warranty_alone(tmp_path: Path) -> None:
    case = small_cases.case(small_cases.MENDED, tmp_path)
    assert "Mended and proved" in CaseText(case).maker()[-1].lines[-1]


def test_the_owners_page_says_found_done_proved_and_open(tmp_path: Path) -> None:
    case = small_cases.case(small_cases.MENDED, tmp_path)
    sections = {s.title: s.lines for s in CaseText(case).owner()}
    assert sections["What was found"] == ("Plug corroded",)
    assert "Pins cleaned" in sections["What was done"][0]
    assert sections["How it was proved"][0].endswith("Yes.")
    assert "4.2 m" in sections["How it was proved"][1]
    assert sections["What is still open"][0] == "Nothing that we know of."
