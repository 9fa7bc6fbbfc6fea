"""Reading a case: whatever is wrong is told at its line and column, and no line of the dealer's is repeated."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import built
from leadsman.content.case_file import Case, read_case
from leadsman.errors import Problem

CASES = Path(__file__).resolve().parents[1] / "cases"


def read(text: str, folder: Path) -> tuple[Case | None, list[Problem]]:
    """Read a case from a text."""
    path = folder / "case.yaml"
    path.write_text(text, encoding="utf-8")
    return read_case(path, built.content()[0])


def good() -> str:
    return (CASES / "weak-feed.yaml").read_text(encoding="utf-8")


def test_a_good_case_is_read_whole(tmp_path: Path) -> None:
    case, problems = read(good(), tmp_path)
    assert problems == []
    assert case is not None
    assert (case.entry.code, case.display.id, case.boat.supply.lead_length_m) == ("P3", "tideway", 6.0)
    assert case.search.node == "holder"
    assert next(s.cause for s in case.search.suspects) == "contact"
    assert case.search.not_done == ("plug",)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("entry: P3", "entry: P33", "is no fault entry"),
        ("entry: P3", "sign: Its power goes", "is no sign of the index"),
        ("entry: P3\n", "", "exactly one of 'entry' and 'sign'"),
        ('when: "yes"', 'when: "maybe"', "is no answer of 'when'"),
        ("plug: cannot", "fuse: cannot", "is no check of P3"),
        ("like: marten", "like: martin", "is no boat of the content"),
        ("lead_length: 6 m", "lead_length: 6 kg", "is no quantity in m"),
        ("history: in-service", "history: new-fitting\nanswers_: 1", "is an unknown key"),
        ('opened: "2026-10-02"', 'opened: "2026-10-03"', "lies before the case was opened"),
        ("bought: \"2025-06-01\"", "bought: \"2027-06-01\"", "lies after the case was opened"),
        ("currency: EUR", "currency: euro", "has the wrong form"),
        ("display: 900", "dispaly: 900", "is no component"),
        ("own-readout: 12.5", "own-readout: 900", "less than or equal to 60"),
        ("  own: {own-", "  owm: {own-", "is no reading of the service record"),
        ("minutes: 25", "minutes: -1", "greater than or equal to 0"),
        ("battery-type: AGM", "batery-type: AGM", "is no evidence"),
        ("photos: []", "photos: [history]", "is no photograph"),
        ("minutes: 25", "verdict: {finding: found-none}\nminutes: 25", "is none of P3"),
        ("minutes: 25", "verdict: {nothing_found: true, proved: true}\nminutes: 25", "nothing is proved"),
        ("minutes: 25", "verdict: {}\nminutes: 25", "a verdict is one of"),
        ("words: It starts", "words: \"It\\u202e starts", "hidden sign"),
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
    ("old", "typed"), [("like: marten", "martin"), ("lead_length: 6 m", "6 kg"), ("like: marten", "rookling")]
)
def test_of_its_boat_too_no_line_is_repeated(tmp_path: Path, old: str, typed: str) -> None:
    """A customer list is quoted where it names nobody; a case is not quoted at all."""
    _, problems = read(good().replace(old, f"{old.partition(':')[0]}: {typed}", 1), tmp_path)
    assert problems
    assert not any(typed in str(problem) for problem in problems)


def test_what_a_swap_saw_and_what_was_answered_must_agree(tmp_path: Path) -> None:
    text = (CASES / "proved-face.yaml").read_text(encoding="utf-8").replace(
        "sign: No depth since it was switched on", "entry: which-part").split("answers:")[0]  # fmt: skip
    text += "answers: {borrowed-transducer: returns}\nswaps:\n  borrowed-transducer: {compatible: true, gone: true, back: false}\n"
    swap = next(
        c.id for c in built.content()[0].faults["which-part"].checks if c.use == "borrowed-transducer"
    )
    _, problems = read(text.replace("borrowed-transducer:", f"{swap}:"), tmp_path)
    assert any("the swap says 'not-back'" in str(p) for p in problems), [str(p) for p in problems]


def test_the_search_goes_on_where_an_answer_leads(tmp_path: Path) -> None:
    """C11 after P3's bypass battery: at the step that the card names, with the history carried over."""
    answers = {"when": "yes", "own-volts": "yes", "plug": "yes", "card": "yes", "holder": "yes", "unplugged": "yes",
               "battery": "yes", "volts": "yes", "bypass": "yes"}  # fmt: skip
    text = "id: c1\nentry: P3\nopened: '2026-01-02'\nboat: {like: marten}\nhistory: after-impact\nanswers:\n"
    case, problems = read(text + "".join(f"  {k}: '{v}'\n" for k, v in answers.items()), tmp_path)
    assert problems == []
    assert case is not None
    assert [leg.decision.entry.id for leg in case.legs] == ["restarts-on-transmit", "which-part"]
    assert (case.search.node, case.search.history) == ("version", "after-impact")


@given(st.binary(max_size=200))
def test_no_bytes_break_the_reader(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.mktemp("case") / "c.yaml"
    path.write_bytes(raw)
    case, problems = read_case(path, built.content()[0])
    assert case is None
    assert problems


def test_a_link_and_a_large_file_are_not_read(tmp_path: Path) -> None:
    (tmp_path / "link.yaml").symlink_to(CASES / "weak-feed.yaml")
    (tmp_path / "large.yaml").write_text("#" * 600_000, encoding="utf-8")
    for name in ("link.yaml", "large.yaml", "missing.yaml"):
        case, problems = read_case(tmp_path / name, built.content()[0])
        assert case is None
        assert problems[0].line == 1
