"""A case in words, section by section: what each answer, price, date and verdict of it puts on the three pages.

The likelihoods, minutes and sums are worked out by hand from the small content; the rules of the warranty and of the
order are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import small_cases
import small_content
from leadsman.book.case_text import CaseText
from leadsman.content.case_file import Case

Lines = tuple[str, ...]
GOOD = 'temperature: "yes", volts: "yes", software: "yes", plug: "yes", lamp: "yes", pins: "yes"'
D1 = "faults/depth/no-depth.yaml"


def written(
    tmp_path: Path,
    answers: str = "",
    more: str = "",
    boat: str = "{like: punt}",
    of: Path = small_content.FOLDER,
) -> Case:
    text = f"id: c1\nentry: D1\nopened: '2026-01-02'\nboat: {boat}\nhistory: in-service\nanswers: {{{answers}}}\n{more}"
    return small_cases.case(text, tmp_path, of=of)


def changed(case: Case, kind: str, name: str, **changes: Any) -> Case:
    """The case on a content of which one record is another."""
    records = case.catalogue.records
    record = records[kind][name].model_copy(update=changes)
    return replace(
        case, catalogue=replace(case.catalogue, records={**records, kind: {**records[kind], name: record}})
    )


def told(case: Case, units: str = "metric") -> dict[str, Lines]:
    """The lines of the technician's page by their heading."""
    return {section.title: section.lines for section in CaseText(case, units).technician()}


def to_maker(case: Case) -> dict[str, Lines]:
    return {section.title: section.lines for section in CaseText(case).maker()}


def to_owner(case: Case) -> dict[str, Lines]:
    return {section.title: section.lines for section in CaseText(case).owner()}


def under_way(tmp_path: Path, *edits: tuple[str, str]) -> Case:
    return small_cases.case(small_cases.UNDER_WAY, tmp_path, *edits)


# --- the technician's ------------------------------------------------------------------------------


def test_what_is_suspect_and_what_is_next(tmp_path: Path) -> None:
    """Joint 20, setting 20 and element 15 are left of 55; the lamp (6 min) is the next and parts off the joint."""
    found = told(under_way(tmp_path))
    assert found["Still suspect"] == (" 36%  Joint corroded", " 36%  Setting wrong", " 27%  Element dead")
    first, costs, left = found["Next check"]
    assert (
        first
        == "As the card goes, step 6: Measure the plug with the lamp lit. Does the drop stay below the limit?"
    )
    assert costs == "6 min, convicts with 36%"
    assert left.endswith(" min to a finding on average")


def test_a_check_that_convicts_for_certain_is_the_one_to_make(tmp_path: Path) -> None:
    """The volts have shown the joint: the lamp behind the opened dash takes its own six minutes."""
    case = written(tmp_path, 'temperature: "yes", volts: "no", software: "yes", plug: "yes"')
    first, costs, left = told(case)["Next check"]
    assert first.startswith("As the card goes, step 6: ")
    assert (costs, left) == ("6 min, convicts with 100%", "6 min to a finding on average")


def test_where_the_order_of_the_card_is_not_the_cheapest_both_are_told(tmp_path: Path) -> None:
    """With a list of software that takes an hour the plug is looked at before it."""
    case = changed(
        written(tmp_path, "temperature: cannot, volts: cannot"), "checks", "software-list", minutes=60.0
    )
    first, other, *_ = told(case)["Next check"]
    assert first.startswith("As the card goes, step 4: ")
    assert (
        other
        == "Cheapest, step 5: Part the plug of the transducer and look at its pins. Are the pins bright?"
    )


def test_ends_are_said_in_the_words_of_the_card(tmp_path: Path) -> None:
    assert told(written(tmp_path, 'temperature: "no"'))["Next check"] == (
        "The search has come to its end: Plug corroded",
    )
    nothing = told(written(tmp_path, f'{GOOD}, swap: same, restore: "yes"'))
    assert nothing["Next check"] == ("The search has come to its end: Not found here",)
    assert nothing["Still suspect"] == (
        "No cause of this entry fits these answers. Ask them again from the first.",
    )
    stuck = told(written(tmp_path, f'{GOOD}, restore: "yes"'))
    assert stuck["Next check"][1:] == ("No check that is left can convict what is still suspect.",)
    assert stuck["When to stop"][0] == "No step that is left can tell anything more. Stop, and hand over."


def test_another_entry_is_named_with_its_code(tmp_path: Path) -> None:
    """P1 has the number of the leg that the answer opens; the leg of D1 is done."""
    folder = small_content.copy(tmp_path)
    there = '"no": {to_entry: low-volts, shows: [bad-joint]}'
    small_content.edit(folder, D1, '"no": {then: software, shows: [bad-joint]}', there)
    # P1's own "no" leads back, and a second round is no search.
    small_content.edit(
        folder,
        "faults/power/low-volts.yaml",
        '"no": {then: found-joint, shows: [joint]}',
        '"no": {to_entry: no-depth, shows: [joint]}',
    )
    case = written(
        tmp_path,
        'temperature: "yes", volts: "no"',
        'further: {low-volts: {history: cannot, volts: "no"}}\n',
        of=folder,
    )
    text = CaseText(case)
    assert told(case)["Next check"] == ("Go on with D1 No depth",)
    assert text.subject == "P1 Low volts, case c1"
    assert text.title == "Case c1: D1 No depth"
    assert to_maker(case)["Checks made"] == (
        "D1.2 Read the water temperature. Does the display show a likely temperature? YES",
        "D1.3 Read the volts of the unit. Do the volts stand above the low limit? NO",
        "P1.2 Read the volts of the unit. Do the volts stand above the low limit? NO",
    )


def test_what_was_not_done_is_what_could_not_and_what_lies_ahead(tmp_path: Path) -> None:
    """The volts could not be read. Of what lies ahead only checks on the way of a suspect count."""
    assert [line.split()[0] for line in told(under_way(tmp_path))["Not done"]] == [
        "D1.3",
        "D1.6",
        "D1.7",
        "D1.8",
        "D1.9",
    ]
    found = told(written(tmp_path, 'temperature: cannot, volts: "no", software: "yes", plug: "yes"'))
    # The joint alone is left, and the lamp decides on it.
    assert [line.split()[0] for line in found["Not done"]] == ["D1.2", "D1.6"]
    ended = told(written(tmp_path, 'temperature: "no"'))
    assert ended["Not done"] == ("Every check on the way was made.",)


def test_what_to_bring_names_this_boats_own(tmp_path: Path) -> None:
    """A break-out lead is of this display, spare fuses are of this lead; a transducer may be lent only where it fits."""
    case = under_way(tmp_path)
    assert told(case)["To bring"] == (
        "100%  Multimeter", " 36%  Borrowed transducer", "To lend for a swap: Round (the same model)",
    )  # fmt: skip
    text = CaseText(case)
    assert [text._of_this_boat(tool) for tool in ("breakout-lead", "spare-fuses", "torch")] == [
        ", of Plain", ", 2 A, never above", "",
    ]  # fmt: skip
    records = case.catalogue.records
    round_ = records["transducers"]["round"]
    weak = round_.model_copy(
        update={"id": "weak", "name": "Weak", "bands": [round_.bands[0].model_copy(update={"power_w": 1.0})]}
    )
    twin = round_.model_copy(update={"id": "twin", "name": "Twin"})
    stranger = round_.model_copy(update={"id": "stranger", "name": "Stranger", "pins": []})
    display = records["families"]["plain"].model_copy(
        update={"transducers": {"round": "1.0", "weak": "1.0", "twin": "1.0"}}
    )
    more = replace(case, catalogue=replace(case.catalogue, records={
        **records, "families": {"plain": display}, "transducers": {"round": round_, "weak": weak, "twin": twin, "stranger": stranger},
    }))  # fmt: skip
    # What the display does not know is not worth a line.
    assert told(more)["To bring"][-2:] == (
        "To lend for a swap: Round (the same model), Twin",
        "Weak: bears less power",
    )


def test_nobody_lends_a_transducer_where_none_is_suspect(tmp_path: Path) -> None:
    """With the joint alone left the lamp is all; a suspect plug wants the swap even if no step on the way has it."""
    only_joint = told(written(tmp_path, 'temperature: "yes", volts: "no", software: "yes", plug: "yes"'))
    assert only_joint["To bring"] == ("100%  Multimeter",)
    plug = written(tmp_path, 'temperature: "no"')
    assert told(plug)["To bring"][-1].startswith("To lend for a swap: ")


def test_what_to_order_is_gathered_by_what_is_bought(tmp_path: Path) -> None:
    """Plug and element are one transducer (55 of 100), the joint is the lead's (20); settings and software no part."""
    found = told(written(tmp_path))["Order, once convicted"]
    assert [line.strip() for line in found] == [
        "55%  Transducer Round, element 0°, cable 9 m or the real run with its loops",
        "55%  With it, screws, bracket pin and sealant for below the waterline.",
        "20%  Pair of 16 AWG or larger, 4 m one way, fuse 2 A, never above",
        "Nothing is ordered on suspicion. A measurement or a swap with the fault back convicts it.",
    ]
    us = told(written(tmp_path), "us")["Order, once convicted"]
    assert "cable 30 ft" in us[0]
    assert "13 ft one way" in us[2]
    only_setting = told(written(tmp_path, f"{GOOD}, swap: same"))
    assert only_setting["Still suspect"] == ("100%  Setting wrong",)
    assert only_setting["Order, once convicted"] == ()


def test_each_part_has_its_line(tmp_path: Path) -> None:
    text = CaseText(written(tmp_path))
    assert list(text._ordered("display")) == [
        "Display Plain, with serial number, date code and software from its label"
    ]
    assert list(text._ordered("mounting")) == ["Parts for: Mounting"]
    assert [list(text._ordered(key)) for key in ("settings", "software", "water", "noise")] == [
        [],
        [],
        [],
        [],
    ]


def test_a_hull_that_no_element_serves_wants_a_fairing_block(tmp_path: Path) -> None:
    """An element of 0 degrees alone, a deadrise of 20: the order says what to do, and names the tilt that is fitted."""
    case = changed(written(tmp_path), "transducers", "round", housing="through-hull")
    steep = case.boat.model_copy(update={"deadrise_deg": 20.0, "element_tilt_deg": 12.0})
    first, order, seals = CaseText(replace(case, row=replace(case.row, boat=steep)))._ordered("transducer")
    assert first == "No element of this transducer serves this deadrise. Take a fairing block."
    assert "element 12°" in order
    assert seals.startswith("With it, seal rings")


def test_a_fuse_is_a_span_one_rating_or_none(tmp_path: Path) -> None:
    """12 W at 10 V and a quarter more are 1.5 A: from 2 A up to the maker's; on a conductor that bears nothing none."""
    case = written(tmp_path)
    assert CaseText(case)._fuse() == "2 A, never above"
    large = changed(case, "families", "plain", fuse_a=5.0)
    assert CaseText(large)._fuse() == "from 2 A up to 5 A, never above"
    strong = changed(case, "families", "plain", current_a=60.0)
    assert CaseText(strong)._fuse() == "No fuse fits this conductor and this unit. The conductor comes first."


def prices(**parts: int) -> str:
    inner = ", ".join(f"{name}: {price}" for name, price in parts.items())
    return f"prices: {{currency: EUR, hour: 80, parts: {{{inner}}}}}\n"


def test_when_to_stop_in_sums(tmp_path: Path) -> None:
    """An hour is 80: 12 min to the lamp are 16, and the joints with their hour of fitting are 80 more than their price."""
    feed = 'temperature: "yes", volts: cannot, software: "yes", plug: cannot, restore: "yes"'
    dear = told(written(tmp_path, feed, prices(joints=100, plug=0, element=300)))["When to stop"]
    assert dear[0] == "Go on: the next step costs EUR 16, the likeliest part EUR 100"
    cheap = told(written(tmp_path, feed, prices(joints=0, plug=0, element=300)))["When to stop"]
    # 12 min and 5 more for 15 of 35.
    assert (
        cheap[0]
        == "Joints: EUR 19 to search on, EUR 0 to renew, 57% likely. Ask the owner, renew it and prove it"
    )
    assert cheap[1:] == (
        "Stop at once at the hull, at fuel, at shore power and at a damaged battery: licensed trades.",
        "Call back after the next wet trip. A fault that came and went is mended when it stayed away there.",
    )
    none = told(written(tmp_path, feed))["When to stop"]
    assert none[0] == "Without prices only minutes are known. Write them into the case."
    early = told(written(tmp_path, "", prices(plug=0, joints=0, element=0)))["When to stop"]
    assert early[0] == "Transducer plug is not renewed before supply under load and software are checked"
    ended = told(small_cases.case(small_cases.MENDED, tmp_path))["When to stop"]
    assert len(ended) == 2


def test_a_sum_that_is_not_known_is_a_question_mark(tmp_path: Path) -> None:
    text = CaseText(written(tmp_path, "", prices(plug=1)))
    assert [text._money(amount) for amount in (12.4, 0.0, None)] == ["EUR 12", "EUR 0", "?"]
    assert CaseText(written(tmp_path))._money(12.0) == "?"


def test_the_warranty_in_words(tmp_path: Path) -> None:
    runs = told(under_way(tmp_path))["Warranty"]
    assert runs == (
        "Runs to 2027-06-01, bought here, with the receipt",
        "Before the maker agrees nothing is opened, cut or spliced, updated",
        "No part goes back without a return number.",
    )
    agreed = told(under_way(tmp_path, ("receipt: true", "agreed: [cut], return_number: RMA 7")))["Warranty"]
    assert agreed == (
        "Runs to 2027-06-01, bought here, receipt not seen",
        "Before the maker agrees nothing is opened, updated",
        "Agreed by the maker: cut or spliced",
        "Return number RMA 7: on the box and on the record",
    )
    old = told(
        under_way(
            tmp_path, ('"2025-06-01"', '"2020-06-01"'), ("receipt: true", "receipt: true, agreed: [cut]")
        )
    )
    assert old["Warranty"] == ("Ran out on 2022-06-01, bought here, with the receipt",)
    unknown = told(written(tmp_path))["Warranty"]
    assert (
        unknown[0]
        == "Ask when and where it was bought, and for the receipt, before anything is opened, cut or updated."
    )


def test_fixes_that_a_warranty_forbids_are_named(tmp_path: Path) -> None:
    """The remedy of the old software is an update: told as long as it is suspect and the maker has not agreed."""
    warranty = 'warranty: {bought: "2025-06-01", seller: here, months: 24}\n'
    found = told(written(tmp_path, "", warranty))["Warranty"]
    assert found[-1] == "Fix B (Software too old) asks for it: updated"
    assert [line for line in found if "asks for it" in line] == [found[-1]]
    agreed = told(written(tmp_path, "", warranty.replace("24}", "24, agreed: [update]}")))["Warranty"]
    assert not any("asks for it" in line for line in agreed)
    current = told(written(tmp_path, 'software: "yes"', warranty))["Warranty"]
    assert not any("asks for it" in line for line in current)
    # Without a word on the warranty everything is forbidden until it is asked for.
    assert told(written(tmp_path))["Warranty"][-1] == found[-1]
    assert not any(
        "asks for it" in line
        for line in told(written(tmp_path, "", warranty.replace("24}", "0}")))["Warranty"]
    )


# --- the maker's and the owner's --------------------------------------------------------------------


def test_what_is_fitted_with_its_serial_numbers(tmp_path: Path) -> None:
    assert to_maker(under_way(tmp_path))["Equipment"] == (
        "Plain, Round, 12 V, lead 6 m of 16 AWG, fuse 2 A",
        "Plain: serial number PL-004711",
        "Round: serial number not noted",
        "Warranty: Runs to 2027-06-01",
    )
    old = to_maker(under_way(tmp_path, ('"2025-06-01"', '"2020-06-01"')))["Equipment"]
    assert old[-1] == "Warranty: Ran out on 2022-06-01"
    assert len(to_maker(written(tmp_path))["Equipment"]) == 3


def test_the_complaint_in_the_owners_words_and_the_displays(tmp_path: Path) -> None:
    assert to_maker(under_way(tmp_path))["Complaint"] == (
        "D1 No depth: No depth number stands on the screen.",
        "Reported 2026-10-02",
        "SEEKING",
        "In the owner's words: No number since I switched the sounder on",
        "History: Worked before",
    )
    bare = "id: c1\nentry: D1\nopened: '2026-01-02'\nboat: {like: punt}\n"
    assert len(to_maker(small_cases.case(bare, tmp_path))["Complaint"]) == 2
    # A message that this display does not have is not made up.
    strange = to_maker(under_way(tmp_path, ("message: no-depth", "message: other")))["Complaint"]
    assert "SEEKING" not in strange
    assert len(strange) == 4


def test_checks_made_with_reading_remark_and_swap(tmp_path: Path) -> None:
    answers = (
        'temperature: {answer: "yes", reading: 12 C, remark: seen twice}, volts: cannot, software: "yes"'
    )
    swaps = "swaps: {swap: {compatible: true, gone: false, carried: own bracket}}\n"
    made = to_maker(written(tmp_path, answers, swaps))["Checks made"]
    assert made == (
        "D1.2 Read the water temperature. Does the display show a likely temperature? YES; 12 C; seen twice",
        "D1.4 Compare the version with the list. Does the list name this transducer? YES",
        "Swaps: swap; own bracket",
    )
    plain = to_maker(written(tmp_path, answers, swaps.replace(", carried: own bracket", "")))["Checks made"]
    assert len(plain) == 2


def test_readings_evidence_and_photographs(tmp_path: Path) -> None:
    found = to_maker(under_way(tmp_path, ("photos: []", "photos: [photo-pins]")))
    assert found["Readings"] == ("Own readout, own readout: 12.5 V. At least 11 V.",)
    assert found["Evidence"] == (
        "What changed before the fault: It came with the rain",
        "Photographs: Photograph of the pins",
    )
    assert to_maker(under_way(tmp_path))["Evidence"] == (
        "What changed before the fault: It came with the rain",
    )
    assert "Readings" not in to_maker(written(tmp_path))


VERDICTS = {
    "{hand_over: hand-over}": (
        "The fault is not found yet. What is still suspect stands below.",
        "Please tell us",
    ),
    "{nothing_found: true}": ("Nothing wrong was found. The fault may come back.", "Please tell us"),
    "{other: {component: plug, words: A mouse ate it}}": ("A mouse ate it", "Please tell us"),
    "{other: {component: plug, words: A mouse ate it}, proved: true}": (
        "A mouse ate it",
        "Mended and proved",
    ),
    "{finding: found-limit, entry: low-volts}": ("Limit too high", "Please tell us"),
    "{finding: found-joint, proved: true}": ("Joint corroded", "Mended and proved"),
}


@pytest.mark.parametrize("verdict", VERDICTS)
def test_what_was_found_is_the_verdict(tmp_path: Path, verdict: str) -> None:
    words, asked = VERDICTS[verdict]
    case = written(tmp_path, "", f"verdict: {verdict}\n")
    found, wanted = to_maker(case)["What follows from it"]
    assert (found, wanted.startswith(asked)) == (words, True)
    assert to_owner(case)["What was found"] == (words,)
    # With a verdict there is nothing to do next but what ended it.
    assert told(case)["Next check"][0].startswith("The search has come to its end")


def test_without_a_verdict_the_maker_reads_what_is_suspect(tmp_path: Path) -> None:
    assert to_maker(under_way(tmp_path))["What follows from it"][:-1] == ("36%  Joint corroded", "36%  Setting wrong", "27%  Element dead")  # fmt: skip


def owner(tmp_path: Path, verdict: str) -> dict[str, Lines]:
    found = to_owner(written(tmp_path, GOOD, f"verdict: {verdict}\n" if verdict else ""))
    return {
        title: found[title]
        for title in ("What was done", "How it was proved", "What is still open")
        if title in found
    }


def test_the_owner_reads_what_was_done_and_what_is_open(tmp_path: Path) -> None:
    proved = owner(tmp_path, "{finding: found-joint, proved: true}")
    assert proved["What was done"] == ("Renew the joint.",)
    assert proved["How it was proved"] == ("Do the volts hold in transmit? Yes.",)
    assert proved["What is still open"][0] == "Nothing that we know of."
    own = owner(
        tmp_path, "{finding: found-joint, proved: true, renewed: Both joints, lead_line: 4 m and 4 m}"
    )
    assert own["What was done"] == ("Both joints",)
    assert own["How it was proved"] == ("Do the volts hold in transmit? Yes.", "4 m and 4 m")
    unproved = owner(tmp_path, "{finding: found-joint, open: The lead is old}")
    # A remedy that is not proved is not told as done.
    assert "What was done" not in unproved
    assert unproved["How it was proved"] == ("Do the volts hold in transmit? Not proved yet.",)
    assert unproved["What is still open"][0] == "The lead is old"
    other = owner(tmp_path, "{other: {component: plug, words: A mouse}, renewed: The lead}")
    assert other["What was done"] == ("The lead",)
    assert "How it was proved" not in other
    assert other["What is still open"][0] == "Nothing that we know of."


@pytest.mark.parametrize("verdict", ["", "{hand_over: hand-over}", "{nothing_found: true}"])
def test_what_is_not_found_stays_open_with_its_suspects(tmp_path: Path, verdict: str) -> None:
    """Wrong setting and nothing else fits; the word on the lead line stands on every owner's page."""
    found = owner(tmp_path, verdict)["What is still open"]
    assert found[0] == "100%  Setting wrong"
    assert found[1].startswith("A sounder with an open fault")
    assert len(found) == 3


def test_the_owner_is_told_whom_to_ask(tmp_path: Path) -> None:
    found = to_owner(under_way(tmp_path))
    assert found["Ask us"] == ("Quay Workshop, 01632 960 000", "Every day")
    # Neither the display's message nor the history is the owner's business.
    assert len(found["Complaint"]) == 2


def test_more_suspects_than_a_page_bears_are_cut_off(tmp_path: Path) -> None:
    """Eight are named: the ninth and last is no help in a search."""
    case = written(tmp_path)
    entry = case.entry
    causes = [
        entry.causes[0].model_copy(update={"id": f"c{number}", "name": f"Cause {number}"})
        for number in range(10)
    ]
    records = case.catalogue.records
    made = entry.model_copy(
        update={"causes": causes, "findings": [f.model_copy(update={"causes": []}) for f in entry.findings]}
    )
    more = replace(case, entry=made, catalogue=replace(case.catalogue, records={**records, "faults": {**records["faults"], "no-depth": made}}))  # fmt: skip
    assert len(told(more)["Still suspect"]) == 8
