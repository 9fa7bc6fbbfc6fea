"""What a case tells: the next check, what to bring and to order, when to stop, what the warranty forbids.

The order of checks is held against brute force over all legal orders; the fuse against 33 CFR 183.455 and the rule of
a quarter more than the load (NEC 210.20); the rule "renew or look" against its own algebra. The rest is common practice
of the trade, no source.
"""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

import built
from leadsman.book.case_advice import add_months, stop_advice, supply_and_software_checked, warranty_state
from leadsman.book.case_needs import fuse_for, lent_transducers, needs
from leadsman.book.case_text import CaseText
from leadsman.compute.diagnosis.sequencing import expected_minutes, is_legal
from leadsman.content.case_file import Case, read_case
from leadsman.content.decision import Decision
from leadsman.content.inquiry import OpenInquiry
from leadsman.content.next_check import checks_left, next_check

CASES = Path(__file__).resolve().parents[1] / "cases"


def case(name: str) -> Case:
    found, problems = read_case(CASES / f"{name}.yaml", built.content()[0])
    assert problems == []
    assert found is not None
    return found


def edited(name: str, tmp_path: Path, *edits: tuple[str, str]) -> Case:
    text = (CASES / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "case.yaml"
    path.write_text(text, encoding="utf-8")
    found, problems = read_case(path, built.content()[0])
    assert problems == []
    assert found is not None
    return found


def test_the_next_check_is_the_first_of_the_cheapest_legal_order() -> None:
    search = case("weak-feed").search
    checks, best = checks_left(search), next_check(search)
    assert best is not None
    least = min(
        expected_minutes(checks, order)
        for order in itertools.permutations(checks.names)
        if is_legal(checks, order)
    )
    assert best.minutes_left == pytest.approx(least)
    assert sum(best.answers.values()) == pytest.approx(1)
    # 4 min at the holder and 6 to open the dash, which nothing has opened yet.
    assert (best.check, best.minutes) == ("holder", 10)


def test_every_answer_counts_also_off_the_cards_way() -> None:
    catalogue, _ = built.content()
    decision = Decision(catalogue.entry("D1"), catalogue)
    off = OpenInquiry(decision, {"history": "in-service", "face": "no"})
    assert [s.cause for s in off.suspects] == ["face"]


def test_what_to_bring_is_what_the_ways_ahead_need() -> None:
    found = {need.tool: need.likelihood for need in needs(case("weak-feed").search)}
    assert found["multimeter"] > 0.5
    assert "breakout-lead" in found
    assert "borrowed-transducer" not in found
    assert all(0 < share <= 1 for share in found.values())


def test_a_lent_transducer_fits_in_list_band_power_and_pins() -> None:
    """The same model always fits; the unit's list, the bands, the watts and the pins are those of the equipment files."""
    catalogue, _ = built.content()
    for boat in catalogue.boats.values():
        display, fitted = catalogue.families[boat.display], catalogue.transducers[boat.transducer]
        for lent in lent_transducers(display, fitted, catalogue):
            if lent.transducer.id == fitted.id:
                assert lent.fits
            if lent.fits:
                assert lent.transducer.id in display.transducers
                assert {b.looks for b in fitted.bands} <= {b.looks for b in lent.transducer.bands}
                assert min(b.power_w for b in lent.transducer.bands) >= min(b.power_w for b in fitted.bands)
    tideway, th = catalogue.families["tideway"], catalogue.transducers["th-50-200"]
    told = {b.transducer.id: b.reasons for b in lent_transducers(tideway, th, catalogue)}
    assert "band" in told["ch-44"]
    assert "list" in told["sd-430"]


def test_the_fuse_stands_above_the_load_and_below_wire_and_maker() -> None:
    """Load times 1.25 (NEC 210.20), never above the maker's: Marten 4.34 A, so 7.5 A, the maker's own."""
    catalogue, _ = built.content()
    found = fuse_for(catalogue.boats["marten"], catalogue)
    assert found is not None
    assert (found.least_a, found.greatest_a) == (7.5, 7.5)


PRICES = "prices: {currency: EUR, hour: 80, parts: {joints: 0, plug: 0, battery: 180}}\n"


def written(tmp_path: Path, entry: str, history: str, answers: str, more: str = PRICES) -> Case:
    path = tmp_path / "case.yaml"
    path.write_text(f"id: c1\nentry: {entry}\nopened: '2026-01-02'\nboat: {{like: marten}}\nhistory: {history}\n"
                    f"answers: {{{answers}}}\n{more}", encoding="utf-8")  # fmt: skip
    found, problems = read_case(path, built.content()[0])
    assert problems == []
    assert found is not None
    return found


def test_when_to_stop(tmp_path: Path) -> None:
    """Renewing outright is cheaper when its chance exceeds (replace + verify - inspect) / replace: common practice."""
    assert stop_advice(case("weak-feed")).verdict == "go-on"
    assert stop_advice(case("proved-face")).verdict == "ended"
    feed = ("P3", "in-service", 'when: "yes", own-volts: "no", plug: "yes", card: "yes"')
    found = stop_advice(written(tmp_path, *feed))
    # Joints at no price and 15 min to renew: 20 EUR; searching on takes 20.07 min on average: 26.8 EUR.
    assert (found.verdict, found.part, found.price) == ("renew", "joints", 20.0)
    assert found.search is not None
    threshold = (15 + 10 - 60 * found.search / 80) / 15
    assert found.chance > threshold
    dear = PRICES.replace("joints: 0", "joints: 100")
    assert stop_advice(written(tmp_path, *feed, dear)).verdict == "go-on"
    assert stop_advice(written(tmp_path, *feed, "")).verdict == "no-prices"
    ended = stop_advice(written(tmp_path, "P3", "in-service", 'when: "yes", own-volts: "yes", plug: "no", found-contact: not proved'))  # fmt: skip
    assert ended.verdict == "tells-nothing"
    on = stop_advice(written(tmp_path, "P3", "after-impact", 'when: "yes", unplugged: "no", dim: "no"'))
    assert on.verdict == "leads-on"


def test_no_part_of_the_sounder_is_renewed_before_supply_and_software(tmp_path: Path) -> None:
    """Rule of the trade: no part is condemned before its supply was measured under load. Common practice, no source."""
    early = written(tmp_path, "C1", "after-impact", "")
    assert (stop_advice(early).verdict, stop_advice(early).part) == ("supply-first", "plug")
    assert not supply_and_software_checked(early)
    loaded = 'when: "yes", own-volts: "yes", volts: "yes"'
    assert not supply_and_software_checked(written(tmp_path, "P3", "in-service", loaded))
    assert supply_and_software_checked(
        written(tmp_path, "P3", "in-service", loaded, "software_checked: true\n")
    )
    unread = 'when: "yes", own-volts: "yes", volts: cannot'
    assert not supply_and_software_checked(
        written(tmp_path, "P3", "in-service", unread, "software_checked: true\n")
    )


def test_the_warranty_forbids_until_the_maker_agrees(tmp_path: Path) -> None:
    state = warranty_state(case("weak-feed"))
    assert state is not None
    assert (state.runs, state.until, state.forbidden) == (True, "2027-06-01", ("open", "cut", "update"))
    agreed = warranty_state(edited("weak-feed", tmp_path, ("receipt: true", "agreed: [cut]")))
    assert agreed is not None
    assert agreed.forbidden == ("open", "update")
    old = warranty_state(edited("weak-feed", tmp_path, ('"2025-06-01"', '"2020-06-01"')))
    assert old is not None
    assert (old.runs, old.forbidden) == (False, ())
    assert add_months("2024-02-29", 12) == "2025-02-28"


def test_the_message_to_the_maker_holds_the_evidence_and_no_name() -> None:
    text = CaseText(case("weak-feed"))
    told = "\n".join(line for section in text.maker() for line in section.lines)
    for wanted in (
        "TW-004711",
        "12.5 V to 11.6 V",
        "11.6 V",
        "AGM, four years",
        "P3.4",
        "Tiles > Workshop > Vital signs",
    ):
        assert wanted in told, wanted
    assert "Skerry" not in told
    assert "Person" not in told
    assert "Otter" not in told


def test_the_owners_page_says_found_done_proved_and_open() -> None:
    sections = {s.title: s.lines for s in CaseText(case("proved-face")).owner()}
    assert sections["What was found"] == ("Face fouled, painted or in air",)
    assert "Paint taken off" in sections["What was done"][0]
    assert sections["How it was proved"][0].endswith("Yes.")
    assert "4.2 m" in sections["How it was proved"][1]
    assert sections["What is still open"][0] == "Nothing that we know of."
