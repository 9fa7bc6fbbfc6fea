"""The words of the frame: a catalogue a language, checked like all prose.

Common practice of translated interfaces, no source: a missing key is found before print, not in print.
"""

from pathlib import Path

import pytest

import small_content
from leadsman.content.catalogue import load
from leadsman.content.model.phrases import filled
from leadsman.content.rules import check

FILE = "phrases/en.yaml"


def problems(*edits: tuple[str, str, str]) -> list[str]:
    """What is said of the small content after edits, place and message."""
    catalogue = small_content.edited(*edits)
    found = [*catalogue.problems, *([] if catalogue.problems else check(catalogue).problems)]
    return [f"{p.path.rpartition('/')[2]}:{p.line}: {p.what}; {p.hint}" for p in found]


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ("  bring: Bring\n", "", None, "is missing"),
        ("  bring: Bring\n", "  brings: Bring\n", "brings", "is an unknown key"),
        ("  returns: GONE, BACK\n", "", None, "'answers' lacks 'returns'"),
        ("  returns: GONE, BACK\n", "  returned: GONE, BACK\n  returns: GONE, BACK\n", None, "has an unknown 'returned'"),
        ("next_step: 'step {given: name} →", "next_step: 'step →", "next_step", "has no place for 'name'"),
        ("next_step: 'step {given: name} →", "next_step: 'step {given: name} {given: code}", "next_step", "'code' is not given here"),
        ("bring: Bring\n", "bring: 'Bring {value: none-such}'\n", "bring", "{value: none-such} points to nothing"),
        (
            "  not_done: Note each step not done.",
            "  not_done: Note each step not done, and every one that was done only in part, "
            "with the name of the person, the place, the day and the hour.",
            "not_done",
            "words (at most 25)",
        ),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_line(old: str, new: str, line: str | None, told: str) -> None:
    """Missing and unknown keys, wrong places, dead references and long sentences."""
    found = problems((FILE, old, new))

    assert any(told in message for message in found), found
    if line is not None:
        lines = (small_content.FOLDER / FILE).read_text(encoding="utf-8").replace(old, new).splitlines()
        number = next(i for i, text in enumerate(lines, 1) if text.strip().startswith(f"{line}:"))
        assert any(message.startswith(f"en.yaml:{number}:") and told in message for message in found), found


def test_a_language_without_words_is_told_at_the_edition() -> None:
    """An edition in a language that has no file."""
    found = problems(("editions/deck.yaml", "document: Q-DECK\n", "document: Q-DECK\nlanguage: nb\n"))

    assert any("no phrases are there in 'nb'" in message for message in found), found


def test_the_words_reach_print(tmp_path: Path) -> None:
    """The label of an answer is the catalogue's, not the program's."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, FILE, '  "yes": "YES"', '  "yes": "JA"')

    assert load(folder).phrases("en-GB").answers["yes"] == "JA"
    assert filled("a {given: x}, b {given: y}", x=1, y="2") == "a 1, b 2"
