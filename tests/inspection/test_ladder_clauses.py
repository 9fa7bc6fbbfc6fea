"""Each clause of the rules on a ladder, on faces made of places, and what is told of it."""

from __future__ import annotations

import pytest

from inspection import making
from inspection.making import BOLD, answers_of, card_face, column, joined, page, step_of, written
from leadsman.inspection.model import PdfFile, Run

Told = list[tuple[float | str, str, int]]


def told(rule: str, file: PdfFile, kind: str = "deck") -> Told:
    """What breaks a rule: measured, said, on which page."""
    return [(r.measured, r.says, r.page) for r in making.outcome(rule, kind, file).breaches]


def text(words: str = "Some words.", tag: str = "P") -> list[Run]:
    return written(tag, words)


def step(number: int, *answers: str, words: str = "Look. Is it?") -> list[list[Run]]:
    return step_of(number, words, *([answers_of(*answers)] if answers else []))


def fix(letter: str, words: str = "Feed was off.") -> list[Run]:
    return written("P", letter, words, face=BOLD)


def face(number: int, total: int, *texts: list[Run], **more: object) -> PdfFile:
    return card_face(*texts, number=number, total=total, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(("wide", "most"), [(130.0, 6), (131.0, 4)])
def test_a_condition_stands_on_so_many_faces(wide: float, most: int) -> None:
    def deck(count: int) -> PdfFile:
        size = (wide, 200.0)
        return joined(
            face(1, count, *step(1), size=size),
            *(face(n, count, text(), size=size) for n in range(2, count + 1)),
        )

    assert told("N1-01", deck(most)) == []
    assert told("N1-01", deck(most + 1)) == [(f"step 1 on face 1, {most + 1} faces", "card P1", 1)]


def test_a_condition_starts_on_its_front() -> None:
    assert told("N1-01", joined(face(1, 2, text()), face(2, 2, *step(1)))) == [
        ("step 1 on face 2, 2 faces", "card P1", 1)
    ]
    assert making.outcome("N1-01", "deck", face(1, 1, text())).verdict == "nothing to measure"


def test_a_letter_is_answered_behind_it() -> None:
    def of(answer: str, *back: list[Run]) -> Told:
        return told("N1-02", joined(face(1, 2, *step(1, answer)), face(2, 2, *back)))

    assert of("NO → A", fix("A")) == []
    assert of("NO → B", fix("A")) == [("elsewhere", "card P1 face 1, letter B", 1)]
    assert of("NO → AB", fix("A")) == [("elsewhere", "card P1 face 1, letter AB", 1)]
    assert of("NO → 2", fix("A")) == []
    assert of("NO → ABC", fix("A")) == []
    assert of("NO → A", fix("A"), fix("Z"), fix("AA"), fix("AB")) == []
    assert of("NO → A", fix("B"), fix("A")) == [("B, A", "card P1", 2)]
    assert of("NO → A", fix("AA"), fix("A")) == [("AA, A", "card P1", 2)]
    assert of("NO → 2", text()) == []
    # Of a back and of a front without steps nothing is asked.
    assert told("N1-02", joined(face(1, 2, text()), face(2, 2, fix("B"), fix("A")))) == []
    four = joined(
        face(1, 4, *step(1, "NO → A")),
        face(2, 4, fix("A"), *step(2, "NO → Z")),
        face(3, 4, *step(3)),
        face(4, 4, text()),
    )
    assert told("N1-02", four) == []


@pytest.mark.parametrize(
    ("answers", "jumps", "broken"),
    [
        (("↓", "NO → A"), "0 forward, 0 back", False),
        (("YES → 3",), "0 forward, 0 back", False),  # it is the next one
        (("YES → 4",), "1 forward, 0 back", False),
        (("YES → 4", "NO → 5", "CAN'T → 6"), "3 forward, 0 back", False),
        (("YES → 4", "NO → 5", "CAN'T → 6", "ELSE → 7"), "4 forward, 0 back", True),
        (("YES → 1",), "0 forward, 1 back", True),
        (("YES → 2",), "0 forward, 1 back", True),  # the step itself
    ],
)
def test_jumps_of_a_ladder_are_counted(answers: tuple[str, ...], jumps: str, broken: bool) -> None:
    made = face(1, 1, *step(1), *step(2, *answers))
    (found,) = making.outcome("N1-03", "deck", made).breaches or [None]
    assert (found is not None) == broken
    if found is not None:
        assert (found.measured, found.says) == (jumps, "card P1")
    if not broken:
        assert making.outcome("N1-03", "deck", made).looked_at == 1
    assert making.outcome("N1-03", "deck", face(1, 1, text())).looked_at == 0


def test_the_sign_is_explained_above_the_first_step() -> None:
    """In eight words or more of ten points or more, with the sign in them."""
    explains = "↓ is YES: go on down to it."

    def of(*before: list[Run], after: tuple[list[Run], ...] = (), answer: str = "↓") -> Told:
        return told("N1-04", face(1, 1, *before, *step(1, answer, "NO → A"), *after))

    missing = [("not explained", "card P1", 1)]
    assert of(text(explains)) == []
    assert of(text("↓ is YES: go on down.")) == missing
    assert of(text("It is YES: go on down to it.")) == missing
    assert of(written("P", explains, size_pt=9.9)) == missing
    assert of(written("P", explains, size_pt=10)) == []
    assert of(after=(text(explains),)) == missing
    assert of(answer="YES → 2") == []


def test_a_hazard_at_the_head_is_spoken_in_its_step() -> None:
    def of(says: str, *texts: list[Run], word: str = "WARNING") -> Told:
        return told("SF-17", face(1, 1, written("P", word, says), *texts))

    first, second = step(1, words="WARNING Off first."), step(2, words="Look.")
    assert of("Fire: steps 1, 2", *step(1, words="WARNING Off first."), *step(2, words="Look.")) == []
    assert of("Fire: 1", *step(1, words="WARNING Off first.")) == []
    assert of("Fire: step 2", *first, *second) == [("not spoken", "card P1: 2", 1)]
    assert of("Fire: steps 1, 7", *step(1, words="WARNING Off first.")) == [
        ("not on this face", "card P1: 7", 1)
    ]
    assert of("Fire: steps 7, 8", *step(1, words="WARNING Off first.")) == [
        ("not on this face", "card P1: 7, 8", 1)
    ]
    assert of("Fire: letter A", fix("A", "WARNING Off first.")) == []
    assert of("Fire: letter B", fix("A", "WARNING Off first.")) != []
    assert of("Fire: step 1", *step(1, words="Off first."), word="DANGER") == [
        ("not spoken", "card P1: 1", 1)
    ]
    assert of("Fire at every step", *step(1)) == []
    assert told("SF-17", face(1, 1, text("Fire: step 2"), *step(1))) == []


def tabbed(
    number: int, word: str, left: float, *, wide: float = 20.0, size_pt: float = 10.5, code: str = "P1"
) -> PdfFile:
    """A face of A6 with a word on a tab."""
    tab = written("P", making.letters(word, left, 1, left + wide, 4, size_pt=size_pt))
    return face(number, 2, text(), tab=tab, code=code)


def test_the_tabs_of_an_area_stand_in_one_place() -> None:
    """Fronts by their distance from the left edge, backs from the right one."""

    def of(*faces: PdfFile) -> Told:
        return told("N1-10", joined(*faces))

    assert of(tabbed(1, "Power", 30), tabbed(2, "Power", 105 - 20 - 30)) == []
    assert of(tabbed(1, "Power", 30), tabbed(1, "Power", 30.9, code="P2")) == []
    assert of(tabbed(1, "Power", 30), tabbed(1, "Power", 31.1, code="P2")) == [
        ("31.1 to 50.0 mm", "card P2, Power", 2)
    ]
    assert of(tabbed(1, "Power", 30), tabbed(2, "Power", 105 - 20 - 31.1)) == [
        ("31.1 to 50.0 mm", "card P1, Power", 2)
    ]
    assert of(tabbed(1, "Power", 30), tabbed(1, "Echo", 50.1, code="E1")) == []
    assert of(tabbed(1, "Power", 30), tabbed(1, "Echo", 49.9, code="E1")) == [
        ("49.9 to 69.9 mm", "card E1, Echo", 2)
    ]
    assert of(tabbed(1, "Power", 30), tabbed(1, "Echo", 9.9, code="E1")) == []
    assert of(tabbed(1, "Power", 30), tabbed(1, "Echo", 10.1, code="E1")) != []
    assert of(tabbed(1, "Power", 30, size_pt=10)) == []
    assert of(tabbed(1, "Power", 30, size_pt=9.9)) == [("30.0 to 50.0 mm", "card P1, Power", 1)]
    assert of(face(1, 1, text())) == []
    assert making.outcome("N1-10", "deck", face(1, 1, text())).looked_at == 0


@pytest.mark.parametrize(
    ("first", "second", "parted"),
    [
        ("It is 5", "\nA and no more", True),
        ("It is -5.5", "\nmm", True),
        ("It is −5", "\nkHz", True),
        ("5", "\nV", True),
        ("See page 9.", "\nA wheel turns", False),  # a sentence ends
        ("It is A5", "\nA and no more", False),  # a name
        ("It is 5", "\nAny more", False),
        ("It is 5", "\nm's", False),
        ("It is five", "\nA and no more", False),
        ("It is 5", " A", False),
    ],
)
def test_a_number_keeps_its_unit(first: str, second: str, parted: bool) -> None:
    found = told("LO-07", page(*column(written("P", first, second))))
    start = first[-8:]
    assert found == (
        [(f"'{start}' | '{second.strip()[:6]}'", f"'{first} {second.strip()}'", 1)] if parted else []
    )
