"""What a filled record or a case file teaches when it is closed, and what of it is never read.

The reader takes nothing that names a person; what a verdict and answers leave is worked out by hand from the small
content's entry D1.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import small_cases
import small_content
from leadsman.book.closed import ClosedCase, Fields, RecordReader, Unclear, causes_left, closed_of_case
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import NOT_PROVED, Decision

TITLE = "Service record, D1 No depth"


def catalogue() -> Catalogue:
    return small_content.edited()


def read(fields: Fields, title: str = TITLE) -> ClosedCase:
    return RecordReader(catalogue()).read(title, fields)


def case(
    tmp_path: Path, answers: str, verdict: str, more: str = "", of: Path = small_content.FOLDER
) -> list[ClosedCase]:
    text = f"id: c1\nentry: D1\nopened: '2026-01-02'\nboat: {{like: punt}}\nhistory: in-service\nanswers: {{{answers}}}\n"
    text += f"verdict: {verdict}\n{more}" if verdict else more
    return closed_of_case(small_cases.case(text, tmp_path, of=of))


# --- filled records ----------------------------------------------------------------------------------


def test_a_record_with_a_finding_that_is_proved() -> None:
    found = read({
        "check-history-after-lay-up": True, "check-temperature-no": True, "check-plug-no": True, "finding-found-plug": True, "proved-found-plug": True,
        "minutes": "35 min.", "equipment-display-model": "the PLAIN mk 2", "came-back": True,
    })  # fmt: skip
    assert found == ClosedCase(
        "no-depth", "after-lay-up", "plain", "finding", "found-plug", ("bad-plug",), True, 35.0, True
    )
    assert found.counts


def test_what_is_not_ticked_is_not_told() -> None:
    found = read(
        {"finding-found-plug": True, "proved-found-plug": False, "check-plug-no": False, "came-back": False}
    )
    assert found == ClosedCase("no-depth", "", "", "finding", "found-plug", ("bad-plug",), False, None, False)


@pytest.mark.parametrize(
    ("verdict", "proved", "causes", "history", "counts"),
    [
        ("finding", True, ("a",), "in-service", True),
        ("finding", False, ("a",), "in-service", False),  # a fix that was not proved convicts nothing
        ("hand-over", False, ("a", "b"), "in-service", True),
        ("finding", True, (), "in-service", False),
        ("finding", True, ("a",), "", False),
    ],
)
def test_which_cases_teach_likelihoods(
    verdict: str, proved: bool, causes: tuple[str, ...], history: str, counts: bool
) -> None:
    assert ClosedCase("d", history, "", verdict, "", causes, proved, None, False).counts == counts


@pytest.mark.parametrize(
    ("written", "minutes"),
    [("35", 35.0), ("35 min", 35.0), (" 35 minutes ", 35.0), ("12,5 min.", 12.5), ("12.5", 12.5), ("", None)],
)
def test_minutes_as_people_write_them(written: str, minutes: float | None) -> None:
    assert read({"finding-found-plug": True, "minutes": written}).minutes == minutes


@pytest.mark.parametrize("written", ["35 to 40", "half an hour", "12345", "3h", "-3"])
def test_minutes_that_are_no_number_are_refused(written: str) -> None:
    with pytest.raises(Unclear, match="minutes are no number"):
        read({"finding-found-plug": True, "minutes": written})


def test_the_entry_is_told_by_title_else_by_its_fields() -> None:
    """A title that names no condition: the fields of D1's checks and findings are those of no other entry."""
    untitled = {"finding-found-plug": True, "check-software-yes": True}
    assert read(untitled, "Service record").entry == "no-depth"
    assert read({"finding-found-limit": True}, "Service record").entry == "low-volts"
    assert read({"hand-over-hand-over": True}, "Record, P1 Low volts").entry == "low-volts"
    for fields in (
        {"hand-over-hand-over": True},  # both entries have it
        {"check-software-yes": True},  # no end is among the fields
        {"finding-found-plug": True, "check-colour-yes": True},
        {"finding-found-plug": True, "finding-found-limit": True},
        {},
    ):
        with pytest.raises(Unclear, match="of which condition"):
            read(fields, "Service record")


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"check-plug-yes": True, "check-plug-no": True, "finding-found-plug": True}, "two answers are ticked at 'plug'"),
        ({}, "no verdict"),
        ({"finding-found-plug": True, "hand-over-hand-over": True}, "more than one verdict"),
        ({"finding-found-plug": True, "verdict-other": "A mouse"}, "more than one verdict"),
        ({"hand-over-hand-over": True, "proved-found-plug": True}, "a proof is ticked"),
        ({"finding-found-plug": True, "proved-found-plug": True, "proved-found-joint": True}, "a proof is ticked"),
        ({"check-temperature-yes": True, "finding-found-plug": True}, "its answers exclude"),
    ],
)  # fmt: skip
def test_a_record_that_contradicts_itself_is_refused(fields: Fields, told: str) -> None:
    with pytest.raises(Unclear, match=told):
        read(fields)


def test_ends_beside_findings() -> None:
    """A hand-over with nothing found is a case in which nothing was found; another card goes on elsewhere."""
    found = read({"hand-over-hand-over": True, "check-plug-yes": True})
    assert (found.verdict, found.end, found.proved) == ("hand-over", "hand-over", False)
    assert found.causes == ("bad-joint", "old-software", "dead-element", "wrong-setting")
    nothing = read({"hand-over-hand-over": True, "nothing-found": True})
    assert (nothing.verdict, nothing.end) == ("nothing", "")
    assert len(nothing.causes) == 5
    with pytest.raises(Unclear, match="more than one verdict"):
        read({"finding-found-plug": True, "nothing-found": True})
    elsewhere = read({"verdict-elsewhere": "P1", "check-volts-no": True})
    assert (elsewhere.verdict, elsewhere.end, elsewhere.causes) == ("elsewhere", "", ("bad-joint",))
    assert read({"verdict-elsewhere": "P1", "finding-found-plug": True}).verdict == "finding"


def test_another_cause_is_told_in_eighty_letters_without_the_names_of_the_record() -> None:
    personal = {
        "technician": "Ann Smith", "boat-name": "Sea Otter", "signed-technician": "A. Smithson", "signed-owner": "O'Neil Jo", "place": "Lanternby",
        "job-number": "J-4711",
    }  # fmt: skip
    words = "Ann Smith and Smithson saw Otter at Lanternby, O'Neil said Jo knows J-4711"
    found = read({**personal, "verdict-other": words})
    assert (found.verdict, found.causes, found.proved) == ("other", (), False)
    # Two letters may be any word: "Jo" stays.
    assert found.end == "... ... and ... saw ... at ..., ... said Jo knows ..."
    long = read({"verdict-other": "x" * 100})
    assert long.end == "x" * 80


# --- what is left ------------------------------------------------------------------------------------


def left(answers: dict[str, str], verdict: str, end: str, **changes: Any) -> tuple[str, ...]:
    entry = catalogue().faults["no-depth"]
    findings = [f.model_copy(update=changes) if f.id == "found-plug" else f for f in entry.findings]
    return causes_left(
        Decision(entry.model_copy(update={"findings": findings}), catalogue()), answers, verdict, end
    )


def test_a_finding_leaves_those_of_its_causes_that_the_answers_leave() -> None:
    both = {"causes": ["bad-plug", "bad-joint"]}
    assert left({}, "finding", "found-plug", **both) == ("bad-plug", "bad-joint")
    assert left({"temperature": "yes"}, "finding", "found-plug", **both) == ("bad-joint",)
    # A finding that names no cause teaches none, and nothing contradicts it.
    assert left({"temperature": "yes"}, "finding", "found-plug", causes=[]) == ()
    with pytest.raises(Unclear, match="exclude what 'found-plug' names"):
        left({"temperature": "yes"}, "finding", "found-plug")
    assert left({"temperature": "yes"}, "other", "A mouse") == ()


def test_a_proof_that_failed_excludes_nothing() -> None:
    """A technician may have proved wrongly: the answers alone count."""
    assert left({"temperature": "no", "found-plug": NOT_PROVED}, "hand-over", "hand-over") == ("bad-plug",)


# --- case files --------------------------------------------------------------------------------------


def test_a_case_that_is_mended(tmp_path: Path) -> None:
    (found,) = case(
        tmp_path,
        'temperature: "yes", volts: "no"',
        "{finding: found-joint, proved: true}",
        "minutes: 40\ncame_back: true\n",
    )
    assert found == ClosedCase(
        "no-depth", "in-service", "plain", "finding", "found-joint", ("bad-joint",), True, 40.0, True
    )
    with pytest.raises(Unclear, match="no verdict"):
        case(tmp_path, "", "")
    with pytest.raises(Unclear, match="exclude"):
        case(tmp_path, 'temperature: "yes"', "{finding: found-plug}")


@pytest.mark.parametrize(
    ("verdict", "kind", "end"),
    [
        ("{finding: found-joint}", "finding", "found-joint"), ("{hand_over: hand-over}", "hand-over", "hand-over"),
        ("{nothing_found: true}", "nothing", ""), (f"{{other: {{component: plug, words: {'x' * 100}}}}}", "other", "x" * 80),
    ],
)  # fmt: skip
def test_the_verdict_of_a_case(tmp_path: Path, verdict: str, kind: str, end: str) -> None:
    (found,) = case(tmp_path, "", verdict)
    assert (found.verdict, found.end, found.proved, found.minutes, found.came_back) == (
        kind,
        end,
        False,
        None,
        False,
    )


def test_a_case_that_went_on_in_another_entry(tmp_path: Path) -> None:
    """The first entry led elsewhere and teaches its likelihoods; minutes, proof and come-back belong to the last."""
    folder = small_content.copy(tmp_path)
    there = '"no": {to_entry: low-volts, shows: [bad-joint]}'
    small_content.edit(
        folder, "faults/depth/no-depth.yaml", '"no": {then: software, shows: [bad-joint]}', there
    )
    further = 'further: {low-volts: {history: cannot, volts: "no", found-joint: proved}}\nminutes: 30\ncame_back: true\n'
    answers = 'temperature: "yes", volts: "no"'
    first, last = case(
        tmp_path, answers, "{finding: found-joint, entry: low-volts, proved: true}", further, folder
    )
    assert first == ClosedCase(
        "no-depth", "in-service", "plain", "elsewhere", "", ("bad-joint",), False, None, False
    )
    assert last == ClosedCase(
        "low-volts", "in-service", "plain", "finding", "found-joint", ("joint",), True, 30.0, True
    )
    with pytest.raises(Unclear, match="to which no answer led"):
        case(tmp_path, 'temperature: "yes"', "{finding: found-joint, entry: low-volts}", "", folder)
