"""Two made-up cases on the project's cards: what they come to, what they need, and what is told of them.

The order of checks is held against brute force over all legal orders; the fuse against 33 CFR 183.455 and the rule of
a quarter more than the load (NEC 210.20). The rest is common practice of the trade, no source.
"""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

import built
from leadsman.book.case_needs import fuse_for, lent_transducers, needs
from leadsman.book.case_text import CaseText
from leadsman.compute.diagnosis.sequencing import expected_minutes, is_legal
from leadsman.content.case_file import Case, read_case
from leadsman.content.next_check import checks_left, next_check

CASES = built.ROOT / "tests" / "cases"


def case(name: str) -> Case:
    found, problems = read_case(CASES / f"{name}.yaml", built.catalogue())
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


def test_what_to_bring_is_what_the_ways_ahead_need() -> None:
    found = {need.tool: need.likelihood for need in needs(case("weak-feed").search)}
    assert found["multimeter"] > 0.5
    assert "breakout-lead" in found  # of P9, to which P3 leads on
    assert "borrowed-transducer" not in found
    assert all(0 < share <= 1 for share in found.values())


def test_a_lent_transducer_fits_in_list_band_power_and_pins() -> None:
    """The same model always fits; the unit's list, the bands, the watts and the pins are those of the equipment files."""
    catalogue = built.catalogue()
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
    catalogue = built.catalogue()
    found = fuse_for(catalogue.boats["marten"], catalogue)
    assert found is not None
    assert (found.least_a, found.greatest_a) == (7.5, 7.5)


def test_the_search_goes_on_where_an_answer_leads(tmp_path: Path) -> None:
    """P9 after P3, and C11 after its bypass battery: at the step that the card names, with the history carried over."""
    answers = {"when": "yes", "own-volts": "yes", "plug": "yes", "card": "yes", "holder": "yes", "unplugged": "no",
               "dim": "no", "bypass": "yes"}  # fmt: skip
    text = "id: c1\nentry: P3\nopened: '2026-01-02'\nboat: {like: marten}\nhistory: after-impact\nanswers:\n"
    path = tmp_path / "case.yaml"
    path.write_text(text + "".join(f"  {k}: '{v}'\n" for k, v in answers.items()), encoding="utf-8")
    case, problems = read_case(path, built.catalogue())
    assert problems == []
    assert case is not None
    assert [leg.decision.entry.id for leg in case.legs] == ["restarts-on-transmit", "which-part"]
    assert (case.search.node, case.search.history) == ("version", "after-impact")


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
    assert sections["What was found"] == ("Growth, paint or air on the face",)
    assert "Paint taken off" in sections["What was done"][0]
    assert sections["How it was proved"][0].endswith("Yes.")
    assert "4.2 m" in sections["How it was proved"][1]
    assert sections["What is still open"][0] == "Nothing that we know of."


def test_of_a_case_that_is_mended_the_maker_is_asked_for_the_warranty_alone() -> None:
    for name, asked in (("weak-feed", "what to check next"), ("proved-face", "Mended and proved")):
        assert asked in CaseText(case(name)).maker()[-1].lines[-1]


PRICES = "prices: {currency: EUR, hour: 80, parts: {joints: 0, plug: 0, battery: 180}}\n"


def written(tmp_path: Path, entry: str, history: str, answers: str, more: str = PRICES) -> Case:
    path = tmp_path / "case.yaml"
    path.write_text(f"id: c1\nentry: {entry}\nopened: '2026-01-02'\nboat: {{like: marten}}\nhistory: {history}\n"
                    f"answers: {{{answers}}}\n{more}", encoding="utf-8")  # fmt: skip
    found, problems = read_case(path, built.catalogue())
    assert problems == []
    assert found is not None
    return found


def sections(of: Case) -> dict[str, tuple[str, ...]]:
    """What the technician reads, by its titles."""
    return {section.title: section.lines for section in CaseText(of).technician()}


def test_every_check_was_made_only_where_every_check_was_made(tmp_path: Path) -> None:
    """Whoever takes a case over must know what was left out, and a maker refuses a claim that hides it."""
    made = written(tmp_path, "P3", "in-service", 'when: "yes", own-volts: "yes", plug: "no"')
    assert sections(made)["Not done"] == ("Every check on the way was made.",)
    left = written(tmp_path, "P3", "in-service", 'when: "yes", own-volts: cannot')
    (line, *_) = sections(left)["Not done"]
    assert line.startswith("P3.")
    assert "Every check on the way was made." not in sections(left)["Not done"]
    assert sections(left)["Not done"] == {s.title: s.lines for s in CaseText(left).maker()}["Not done"]


def test_sums_are_told_only_where_prices_are_known(tmp_path: Path) -> None:
    feed = ("P3", "in-service", 'when: "yes", own-volts: "no", plug: "yes", card: "yes"')
    without, priced = (
        [line for lines in sections(written(tmp_path, *feed, more)).values() for line in lines]
        for more in ("", PRICES)
    )
    words = "Without prices only minutes are known. Write them into the case."
    assert words in without
    assert words not in priced
    assert any("EUR" in line for line in priced)
    assert not any("EUR" in line for line in without)


def test_the_warranty_and_the_end_are_said_in_words(tmp_path: Path) -> None:
    weak, proved = sections(case("weak-feed")), sections(case("proved-face"))
    told = " ".join(line for lines in weak.values() for line in lines)
    assert "2027-06-01" in told
    unknown = (
        "Ask when and where it was bought, and for the receipt, before anything is opened, cut or updated."
    )
    assert unknown not in told
    assert any(
        unknown in lines for lines in sections(written(tmp_path, "P3", "in-service", 'when: "yes"')).values()
    )
    assert any(
        line.endswith("Growth, paint or air on the face") for lines in proved.values() for line in lines
    )
    feed = 'when: "yes", own-volts: "no", plug: "yes", card: "yes"'
    assert any(
        "EUR 20" in line
        for lines in sections(written(tmp_path, "P3", "in-service", feed)).values()
        for line in lines
    )
