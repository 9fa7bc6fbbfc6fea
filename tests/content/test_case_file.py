"""Reading a case: whatever is wrong is told at its line and column, and no line of the dealer's is repeated."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_cases
import small_content
from leadsman.content.case_file import Case, read_case
from leadsman.content.catalogue import load
from leadsman.errors import Problem


def read(text: str, folder: Path) -> tuple[Case | None, list[Problem]]:
    """Read a case from a text."""
    path = folder / "case.yaml"
    path.write_text(text, encoding="utf-8")
    return read_case(path, small_cases.content())


def good() -> str:
    return small_cases.UNDER_WAY


def test_a_good_case_is_read_whole(tmp_path: Path) -> None:
    case, problems = read(good(), tmp_path)
    assert problems == []
    assert case is not None
    assert (case.entry.code, case.display.id, case.boat.supply.lead_length_m) == ("D1", "plain", 6.0)
    assert case.search.node == "lamp"
    assert {s.cause: s.likelihood for s in case.search.suspects} == pytest.approx(
        {"bad-joint": 20 / 55, "wrong-setting": 20 / 55, "dead-element": 15 / 55}
    )
    assert case.search.not_done == ("volts",)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("entry: D1", "entry: D11", "is no fault entry"),
        ("entry: D1", "sign: Its power goes", "is no sign of the index"),
        ("entry: D1\n", "", "exactly one of 'entry' and 'sign'"),
        ('plug: "yes"', 'plug: "maybe"', "is no answer of 'plug'"),
        ("volts: cannot", "fuse: cannot", "is no check of D1"),
        ("like: punt", "like: pnut", "is no boat of the content"),
        ("lead_length: 6 m", "lead_length: 6 kg", "is no quantity in m"),
        ("history: in-service", "history: new-fitting\nanswers_: 1", "is an unknown key"),
        ('opened: "2026-10-02"', 'opened: "2026-10-03"', "lies before the case was opened"),
        ("bought: \"2025-06-01\"", "bought: \"2027-06-01\"", "lies after the case was opened"),
        ("currency: EUR", "currency: euro", "has the wrong form"),
        ("display: 900", "dispaly: 900", "is no component"),
        ("own-readout: 12.5", "own-readout: 900", "less than or equal to 60"),
        ("  own: {own-", "  owm: {own-", "is no reading of the service record"),
        ("minutes: 25", "minutes: -1", "greater than or equal to 0"),
        ("  history: It", "  histroy: It", "is no evidence"),
        ("photos: []", "photos: [history]", "is no photograph"),
        ("minutes: 25", "verdict: {finding: found-none}\nminutes: 25", "is none of D1"),
        ("minutes: 25", "verdict: {nothing_found: true, proved: true}\nminutes: 25", "nothing is proved"),
        ("minutes: 25", "verdict: {}\nminutes: 25", "a verdict is one of"),
        ("words: No number", "words: \"No\\u202e number", "hidden sign"),
    ],
)  # fmt: skip
def test_a_slip_is_told_at_its_place(tmp_path: Path, old: str, new: str, told: str) -> None:
    text = good()
    assert old in text
    changed = text.replace(old, new, 1)
    if "u202e" in new:
        changed = changed.replace("sounder on", 'sounder on"', 1)
    case, problems = read(changed, tmp_path)
    assert case is None
    assert any(told in str(p) for p in problems), [str(p) for p in problems]
    if not old.startswith("opened"):
        line = changed[: changed.index(new)].count("\n") + 1 if new and "u202e" not in new else None
        lines = {p.line for p in problems if told in str(p)}
        assert line in lines or line is None or "unknown key" in told, (line, [str(p) for p in problems])
    assert not any("Person" in str(p) or "Otter" in str(p) for p in problems)


@pytest.mark.parametrize(
    ("old", "typed"), [("like: punt", "pnut"), ("lead_length: 6 m", "6 kg"), ("like: punt", "rookling")]
)
def test_of_its_boat_too_no_line_is_repeated(tmp_path: Path, old: str, typed: str) -> None:
    """A customer list is quoted where it names nobody; a case is not quoted at all."""
    _, problems = read(good().replace(old, f"{old.partition(':')[0]}: {typed}", 1), tmp_path)
    assert problems
    assert not any(typed in str(problem) for problem in problems)


def test_what_a_swap_saw_and_what_was_answered_must_agree(tmp_path: Path) -> None:
    text = good().split("answers:")[0]
    text += "answers: {swap: returns}\nswaps:\n  swap: {compatible: true, gone: true, back: false}\n"
    _, problems = read(text, tmp_path)
    assert any("the swap says 'not-back'" in str(p) for p in problems), [str(p) for p in problems]


def test_the_search_goes_on_where_an_answer_leads(tmp_path: Path) -> None:
    """From D1 to P1, at the step that the card names, with the history carried over."""
    folder = small_content.copy(tmp_path)
    lost = 'no": {then: software, shows: [bad-joint]'
    small_content.edit(folder, "faults/depth/no-depth.yaml", lost, 'no": {to_entry: low-volts, at: volts')
    path = tmp_path / "case.yaml"
    path.write_text(
        "id: c1\nentry: D1\nopened: '2026-01-02'\nboat: {like: punt}\nhistory: after-impact\n"
        "answers: {temperature: 'yes', volts: 'no'}\n",
        encoding="utf-8",
    )
    case, problems = read_case(path, load(folder))
    assert problems == []
    assert case is not None
    assert [leg.decision.entry.id for leg in case.legs] == ["no-depth", "low-volts"]
    assert (case.search.node, case.search.history) == ("volts", "after-impact")


@given(st.binary(max_size=200))
def test_no_bytes_break_the_reader(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.mktemp("case") / "c.yaml"
    path.write_bytes(raw)
    case, problems = read_case(path, small_cases.content())
    assert case is None
    assert problems


def test_a_link_and_a_large_file_are_not_read(tmp_path: Path) -> None:
    (tmp_path / "sound.yaml").write_text(good(), encoding="utf-8")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "sound.yaml")
    (tmp_path / "large.yaml").write_text("#" * 600_000, encoding="utf-8")
    for name in ("link.yaml", "large.yaml", "missing.yaml"):
        case, problems = read_case(tmp_path / name, small_cases.content())
        assert case is None
        assert problems[0].line == 1
