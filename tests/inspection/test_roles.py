"""Which text plays which part, on texts made of places."""

from __future__ import annotations

import pytest

from inspection import making
from inspection.making import BOLD, FACE, answers_of, card_face, column, joined, page, step_of, written
from leadsman.inspection import roles
from leadsman.inspection.model import Block, Run


def block(tag: str, *pieces: str | Run, label: str = "", bold: bool = False) -> Block:
    """A text by itself."""
    (found,) = page(*written(tag, *pieces, label=label, face=BOLD if bold else FACE)).blocks
    return found


def small(text: str, size_pt: float = 9.0) -> Run:
    return making.letters(text, 60, 0, 80, 4, size_pt=size_pt)


def test_the_main_size_is_that_of_most_letters() -> None:
    words = written("P", "Some words", small("note"), small(" " * 50, 30))
    assert roles.main_size(words) == 12
    assert roles.main_size(written("P", "Word", small("a longer note"))) == 9
    assert roles.main_size([]) == 0.0


def test_remarks_in_smaller_type_are_left_out() -> None:
    """Half a tenth of a point is the rounding of a file; larger letters stay."""
    found = block(
        "P", "Some long words", small("note", 11.9), small("same", 11.96), small("Large", 14), small("  ")
    )
    assert [run.text for run in roles.main_runs(found)] == ["Some long words", "same", "Large"]


def test_a_caution_is_a_signal_word_with_a_message() -> None:
    assert roles.signal_of(block("P", "WARNING", "Hot.")) == "WARNING"
    assert roles.signal_of(block("P", " ", "NOTICE ", "Plug.")) == "NOTICE"
    assert roles.signal_of(block("P", "WARNING Hot.")) is None  # it does not stand apart
    assert roles.signal_of(block("P", "Warning", "Hot.")) is None
    assert roles.is_caution(block("P", "WARNING", "Hot."))
    assert not roles.is_caution(block("P", "WARNING"))
    assert not roles.is_caution(block("P", "Hot."))
    assert roles.first_words(block("P", " ", "Hot.")) == "Hot."
    assert roles.first_words(block("P", " ")) == ""


@pytest.mark.parametrize(
    ("tag", "label", "pieces", "number"),
    [
        ("LI", "3.", ("Look.",), 3),
        ("LI", "12)", ("Look.",), 12),
        ("LI", "4", ("Look.",), 4),
        ("LI", "a.", ("Look.",), None),
        ("LI", "1.2", ("Look.",), None),
        ("LI", "", ("3.", "Look."), None),
        ("P", "3.", ("Look.",), None),
        ("H2", "", ("3", "Look."), 3),
        ("H2", "", ("3 Look.",), None),
        ("H2", "", ("3",), None),
        ("P", "", ("3", "Look."), None),
    ],
)
def test_a_step_is_told_by_its_number(
    tag: str, label: str, pieces: tuple[str, ...], number: int | None
) -> None:
    assert roles.step_number(block(tag, *pieces, label=label)) == number


@pytest.mark.parametrize(
    ("pieces", "found"),
    [
        (("YES → 2",), [("YES", "2")]),
        (("YES → 2", "NO → A"), [("YES", "2"), ("NO", "A")]),
        (("YES", "→ 2", "NO", "→ A"), [("YES", "2"), ("NO", "A")]),
        (("YES →", "step", "2"), [("YES", "step 2")]),  # over the end of a line
        (("YES →", "2", "words"), [("YES", "2")]),
        (("YES →", "NO → A"), [("YES", ""), ("NO", "A")]),
        (("YES →",), [("YES", "")]),
        (("YES → handbook", "page 9"), [("YES", "handbook page 9")]),
        (("↓ YES → 2",), [("YES", "2")]),
        (("↓ YES", "→ 2"), [("YES", "2")]),
        (("→ 2",), [("", "2")]),
        (("Look.",), []),
    ],
)
def test_an_answer_is_words_an_arrow_and_a_target(
    pieces: tuple[str, ...], found: list[tuple[str, str]]
) -> None:
    assert [(answer.label, answer.target) for answer in roles.answers(block("P", *pieces))] == found


def test_an_answer_begins_where_its_words_stand() -> None:
    found = block("P", "YES", "→ 2", "NO → A")
    assert [answer.run.text for answer in roles.answers(found)] == ["YES", "NO → A"]
    assert {id(answer.block) for answer in roles.answers(found)} == {id(found)}


@pytest.mark.parametrize(
    ("pieces", "alone"),
    [
        (("YES → 2",), True),
        (("↓",), True),
        (("↓ YES → 2",), True),
        (("↓", "NO → A"), True),
        (("Look. YES → 2",), False),
        (("Look.", "YES → 2"), False),
        (("yes → 2",), False),
        (("YES →",), False),
        (("Look.",), False),
    ],
)
def test_answers_stand_by_themselves_and_in_capitals(pieces: tuple[str, ...], alone: bool) -> None:
    assert roles.is_answers(block("P", *pieces)) == alone


@pytest.mark.parametrize(
    ("tag", "pieces", "bold", "fix"),
    [
        ("P", ("A", "Feed was off."), True, True),
        ("H3", ("AB", "Feed was off."), True, True),
        ("Div", ("A Feed was off.",), True, True),
        ("LI", ("A", "Feed was off."), True, True),
        ("TD", ("A", "Feed was off."), True, False),
        ("P", ("A", "Feed was off."), False, False),
        ("P", ("ABC", "Feed was off."), True, False),
        ("P", ("A",), True, False),
        ("P", ("A", "1"), True, True),
        ("P", ("As it was.",), True, False),
        ("P", ("A → 2",), True, False),
        ("P", ("1", "Feed was off."), True, False),
        ("P", (" ",), True, False),
    ],
)
def test_a_fix_opens_with_its_letter_in_bold(
    tag: str, pieces: tuple[str, ...], bold: bool, fix: bool
) -> None:
    found = block(tag, *pieces, bold=bold)
    assert roles.is_fix(found) == fix
    if fix:
        assert roles.letter_of(found) == pieces[0].split()[0]


def follow(*texts: list[Run]) -> list[tuple[int, list[str], str | None, list[str]]]:
    """The steps of a page: number, texts after it, question, answers."""
    found = roles.steps(page(*column(*texts)).pages[0])
    return [
        (
            s.number,
            [b.text for b in s.after],
            s.question.text if s.question else None,
            [a.label for a in s.answers],
        )
        for s in found
    ]


def test_a_step_goes_on_to_its_answers() -> None:
    look = written("P", "Is it dark?")
    assert follow(
        written("P", "Before."),
        *step_of(1, "Look.", look, answers_of("YES → 2", "NO → A")),
        written("P", "After."),
    ) == [(1, ["Is it dark?", "YES → 2 NO → A"], "Is it dark?", ["YES", "NO"])]


def test_answers_in_a_list_do_not_end_a_step() -> None:
    items = [written("LI", words) for words in ("YES → 2", "NO → A")]
    assert follow(*step_of(1, "Is it dark?", *items), written("P", "More.")) == [
        (1, ["YES → 2", "NO → A", "More."], "1. Is it dark?", ["YES", "NO"])
    ]


@pytest.mark.parametrize(
    "ends",
    [
        ("P", "WARNING", "Hot."),
        ("P", "A", "Feed was off."),
        ("H2", "Next"),
        ("TH", "Boat"),
        ("TD", "Sedge"),
        ("Caption", "Drop"),
    ],
)
def test_what_ends_a_step(ends: tuple[str, ...]) -> None:
    stop = written(ends[0], *ends[1:], face=BOLD)
    assert follow(*step_of(1, "Look."), stop, written("P", "After."), *step_of(2, "Hear.", written("P", "It ticks."))) == [
        (1, [], None, []), (2, ["It ticks."], None, []),
    ]  # fmt: skip


def test_a_face_names_itself_at_its_foot() -> None:
    file = card_face(
        written("P", "Words."), number=2, total=4, turn="step 3 →",
        says="DK-7-{code}, face {number} of {total}, rev 12, 25 Nov 2026. Quay deck.",
    )  # fmt: skip
    face = roles.face_of(file.pages[0])
    assert face is not None
    assert (face.document, face.code, face.number, face.total, face.revision, face.date, face.set_name) == (
        "DK-7", "P1", 2, 4, 12, "25 Nov 2026", "Quay deck",
    )  # fmt: skip
    assert (face.title.text, face.turn.text if face.turn else "") == ("Dead unit", "step 3 →")
    assert [b.text for b in face.body] == ["Words."]
    assert roles.face_of(file.pages[0]) is face
    assert roles.face_of(page(*written("P", "Words.")).pages[0]) is None


@pytest.mark.parametrize(
    ("pieces", "mark"),
    [
        (("END of P1",), True), (("END",), True), (("END of card P1",), False), (("The END",), False),
        (("ENDING of P1",), False), ((" ",), False),
    ],
)  # fmt: skip
def test_an_end_mark_is_short(pieces: tuple[str, ...], mark: bool) -> None:
    assert roles.is_end_mark(block("P", *pieces)) == mark


def test_the_mark_at_the_foot_is_the_last_that_leads_on() -> None:
    face = roles.face_of(card_face(written("P", "NO →"), written("P", "Words."), turn="END of P1").pages[0])
    assert face is not None
    assert face.turn is not None
    assert face.turn.text == "END of P1"
    face = roles.face_of(card_face(written("P", "Words.")).pages[0])
    assert face is not None
    assert face.turn is None


@pytest.mark.parametrize(
    ("size_pt", "down", "bold", "title"),
    [
        (10.5, 1.0, True, "Dead unit"),
        (10.5, 5.0, True, "Dead unit"),  # it touches the title, no more
        (10.5, 7.0, True, "Power"),  # not above it
        (12.0, 1.0, True, "Power"),  # of the size of a title
        (16.0, 1.0, True, "Power"),
        (10.5, 1.0, False, "Power"),  # then what follows it is no title
    ],
)
def test_a_word_on_a_tab_is_no_title(size_pt: float, down: float, bold: bool, title: str) -> None:
    """A title has 12 pt or more and is bold."""
    tab = making.lowered(written("P", "Power", size_pt=size_pt), down)
    head = making.lowered(written("P", "Dead unit", size_pt=15, face=BOLD if bold else FACE), 8)
    foot = making.lowered(written("P", "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck.", size_pt=8), 139)
    face = roles.face_of(page(*tab, *head, *making.lowered(written("P", "Words."), 30), *foot).pages[0])
    assert face is not None
    assert face.title.text == title
    # Neither the tab nor the title is a text of the body.
    assert [b.text for b in face.body] == (["Words."] if title == "Dead unit" else ["Dead unit", "Words."])


def test_the_code_of_a_card_is_no_text_of_it() -> None:
    """Only where it stands in its box."""
    face = roles.face_of(
        card_face(written("P", "P1"), written("Div", "P2"), written("P", "A", "Off.", face=BOLD)).pages[0]
    )
    assert face is not None
    assert [b.text for b in face.body] == ["P1", "P2", "A Off."]
    assert face.letters == ["A"]


def test_faces_are_gathered_by_card_and_steps_by_file() -> None:
    one = card_face(*step_of(1, "Look."), total=2)
    two = card_face(*step_of(2, "Hear."), number=2, total=2)
    other = card_face(written("P", "Words."), code="0")
    file = joined(other, one, page(*column(*step_of(9, "Feel."))), two)
    assert {code: [face.number for face in found] for code, found in roles.cards(file).items()} == {
        "0": [1],
        "P1": [1, 2],
    }
    assert [face.code for face in roles.faces(file)] == ["0", "P1", "P1"]
    assert [step.number for step in roles.all_steps(file)] == [1, 9, 2]
    assert [step.head.text for face in roles.cards(file)["P1"] for step in face.steps] == [
        "1. Look.",
        "2. Hear.",
    ]


def test_sizes_that_differ_by_the_rounding_of_the_file_are_one() -> None:
    sizes = (("four", 12.001), ("more", 12.004), ("a note", 9.0))
    assert roles.main_size([small(words, size) for words, size in sizes]) == 12.0
