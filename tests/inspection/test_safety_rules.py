"""Cautions on pages made of places: each clause of a rule just kept and just broken, and what is told of it."""

from __future__ import annotations

import pytest

from inspection import making
from inspection.making import BOLD, answers_of, card_face, column, joined, page, shape, step_of, written
from leadsman.inspection.model import BLACK, WHITE, Colour, PdfFile, Run

RED, ORANGE, YELLOW, BLUE = (0.78, 0.06, 0.18), (1.0, 0.51, 0.0), (1.0, 0.82, 0.0), (0.04, 0.31, 0.62)
Told = list[tuple[float | str, str, int]]


def told(rule: str, file: PdfFile, kind: str = "deck") -> Told:
    """What breaks a rule: measured, said, on which page."""
    return [(r.measured, r.says, r.page) for r in making.outcome(rule, kind, file).breaches]


def text(words: str = "Some words.", tag: str = "P") -> list[Run]:
    return written(tag, words)


def caution(word: str = "WARNING", message: str = "Hot.", **more: object) -> list[Run]:
    return written("P", word, message, **more)  # type: ignore[arg-type]


def fix() -> list[Run]:
    return written("P", "A", "Feed was off.", face=BOLD)


def book(*texts: list[Run]) -> PdfFile:
    return page(*column(*texts))


def test_a_caution_stands_right_before_its_step() -> None:
    step = lambda: step_of(1, "Look.", text("Is it?"))  # noqa: E731
    assert told("SF-05", card_face(caution(), *step())) == []
    assert told("SF-05", card_face(caution(), caution(), *step())) == []
    assert told("SF-05", card_face(caution(), fix(), *step())) == []
    assert told("SF-05", card_face(*step(), caution())) == [
        ("then: nothing on this page", "'WARNING Hot.'", 1)
    ]
    assert told("SF-05", card_face(caution(), text("A " + "word " * 9), *step())) == [
        ("then: " + ("A " + "word " * 9)[:30], "'WARNING Hot.'", 1)
    ]
    # In a book the action of a method has no number; a heading is none.
    for tag, breaks in (("P", False), ("LI", False), ("H2", True), ("TD", True)):
        found = told("SF-05", book(caution(), text("Look.", tag), *step()), "handbook")
        assert found == ([("then: Look.", "'WARNING Hot.'", 1)] if breaks else [])


@pytest.mark.parametrize(("count", "grouped"), [(4, False), (5, True), (6, True)])
def test_hazards_in_a_group_protect_no_single_step(count: int, grouped: bool) -> None:
    """Five or more in a row, wherever the row begins, or a page on which nothing is done."""
    step, heading = step_of(1, "Look."), text("Next", "H2")
    row = [caution() for _ in range(count)]
    assert len(told("SF-05", book(text(), *row, heading, *step), "handbook")) == (0 if grouped else count)
    assert (
        told("SF-05", book(text(), *[caution() for _ in range(count)], text("Next", "H2")), "handbook") == []
    )
    with_fix = book(text(), *[caution() for _ in range(count)], text("Next", "H2"), fix())
    assert len(told("SF-05", with_fix, "handbook")) == (0 if grouped else count)


def test_the_first_and_the_last_text_of_a_page_are_of_a_group_too() -> None:
    assert (
        told(
            "SF-05",
            book(*[caution() for _ in range(5)], text("Next", "H2"), *step_of(1, "Look.")),
            "handbook",
        )
        == []
    )
    assert (
        told(
            "SF-05",
            book(*step_of(1, "Look."), text("Next", "H2"), *[caution() for _ in range(5)]),
            "handbook",
        )
        == []
    )
    assert (
        len(
            told(
                "SF-05",
                book(*step_of(1, "Look."), text("Next", "H2"), *[caution() for _ in range(4)]),
                "handbook",
            )
        )
        == 4
    )


def test_no_step_hides_in_a_caution() -> None:
    assert told("SF-08", book(caution(message="Hot. 1. Take it out."))) == [
        ("numbered item", "'WARNING Hot. 1. Take it out.'", 1)
    ]
    assert told("SF-08", book(caution(message="2) Take it out."))) != []
    assert told("SF-08", book(caution(message="Hot: 1.5 V and 3. of it."))) == []
    assert (
        told("SF-08", book(written("LI", "WARNING", "Hot.", label="7"))) == []
    )  # a label before the word: no caution
    assert told("SF-08", book(text("1. Take it out."))) == []
    assert making.outcome("SF-08", "deck", book(caution(), text())).looked_at == 1


def test_hazards_stand_together_before_the_first_step() -> None:
    def of(*texts: list[Run]) -> Told:
        return told("SF-09", book(*texts, *step_of(1, "Look.")), "handbook")

    assert of(caution(), caution(), caution()) == []
    assert of(caution(), caution()) == [("2 together", "before the first step", 1)]
    assert of(caution(), text("Never pull it."), text("Do not pull it.", "LI")) == []
    assert of(caution(), caution(), text("Nevertheless pull.")) != []
    later = joined(book(caution(), caution()), book(text("Never."), *step_of(1, "Look."), caution()))
    assert told("SF-09", later, "handbook") == []
    after = joined(book(caution(), caution(), *step_of(1, "Look.")), book(caution()))
    assert told("SF-09", after, "handbook") == [("2 together", "before the first step", 1)]
    none = making.outcome("SF-09", "handbook", joined(book(caution()), book(text())))
    assert (none.verdict, none.looked_at) == ("kept", 1)


def field(colour: Colour, wide: float, high: float, *more: Run) -> Told:
    return told("SF-10", page(shape(20, 40, 20 + wide, 40 + high, fill=colour), *more))


@pytest.mark.parametrize(
    ("colour", "name"),
    [(RED, "red"), (ORANGE, "orange"), (YELLOW, "yellow"), (BLUE, ""), (WHITE, ""), (BLACK, "")],
)
def test_safety_colours_are_kept_for_safety(colour: Colour, name: str) -> None:
    """ISO 3864: a square centimetre and less is a dot."""
    assert field(colour, 20, 10) == ([(f"2.0 cm2 of {name}", "field", 1)] if name else [])
    assert field(colour, 10, 9.9) == []
    assert field(colour, 20, 10, *column(text("WARNING"), top=42)) == []
    if name:
        assert field(colour, 20, 10, *column(text("NEWS"), top=42))
        assert field(colour, 20, 10, *column(text("WARNING"), top=52))  # beside it


def test_a_field_counts_as_far_as_it_is_seen() -> None:
    assert told("SF-10", page(shape(-30, 40, 5, 50, fill=RED))) == []  # half a square centimetre on the page
    assert told("SF-10", page(shape(-30, 40, 20, 50, fill=RED))) == [("2.0 cm2 of red", "field", 1)]
    assert told("SF-10", page(shape(-30, 40, -5, 90, fill=RED))) == []
    assert told("SF-10", page(shape(20, 40, 60, 50, line=RED, pt=1))) == []
    assert told("SF-10", page(shape(20, 40, 60, 50, fill=RED, pt=1))) == []


@pytest.mark.parametrize(
    ("thing", "stands"),
    [
        (shape(9, 39, 60, 39.2, line=BLACK, pt=0.48), True),
        (shape(9, 39, 60, 39.2, line=BLACK, pt=0.47), False),
        (shape(9, 36, 60, 36.5, line=BLACK, pt=1), False),  # more than 3 mm off
        (shape(9, 36.9, 60, 37.1, line=BLACK, pt=1), True),
        (shape(9, 39, 60, 48, fill=YELLOW), True),
        (shape(9, 39, 60, 48, fill=(0.8, 0.8, 0.8)), False),
        (shape(9, 39, 60, 48, fill=YELLOW, pt=0.3), False),
    ],
)
def test_a_caution_is_framed_or_on_a_panel(thing: object, stands: bool) -> None:
    found = told("SF-13", page(*column(caution(), text(), top=40), thing))  # type: ignore[arg-type]
    assert found == ([] if stands else [("like other text", "'WARNING Hot.'", 1)])


@pytest.mark.parametrize(("size_pt", "stands"), [(12, True), (13, True), (11.995, True), (11.98, False)])
def test_a_signal_word_is_no_smaller_than_its_text(size_pt: float, stands: bool) -> None:
    word = making.letters("WARNING", 10, 0, 30, 4, size_pt=size_pt)
    runs = written("P", making.letters(" ", 8, 0, 9, 4, size_pt=5), word, "Hot and long enough to count.")
    found = told("SF-13", page(*column(runs, top=40), shape(9, 39, 90, 48, fill=YELLOW)))
    assert bool(found) != stands


@pytest.mark.parametrize(
    ("word", "colour"), [("DANGER", RED), ("WARNING", ORANGE), ("CAUTION", YELLOW), ("NOTICE", BLUE)]
)
def test_a_signal_word_has_the_colour_of_its_standard(word: str, colour: Colour) -> None:
    """ANSI Z535 and ISO 3864-2: red, orange, yellow, blue."""
    for other in (RED, ORANGE, YELLOW, BLUE):
        under = shape(8, 38, 40, 48, fill=other)
        found = making.outcome("SF-04", "deck", page(*column(caution(word), top=40), under))
        assert found.verdict == ("kept" if other == colour else "broken")
    # The last painted field is the one that is seen; a grey one, a line and one elsewhere are none.
    wrong = BLUE if colour != BLUE else RED
    covered = [shape(8, 38, 40, 48, fill=wrong), shape(8, 38, 40, 48, fill=colour)]
    beside = [
        shape(8, 38, 40, 48, fill=(0.9, 0.9, 0.9)),
        shape(8, 43, 90, 43.2, fill=wrong, pt=0.5),
        shape(70, 38, 90, 48, fill=wrong),
    ]
    assert told("SF-04", page(*column(caution(word), top=40), *covered, *beside)) == []
    assert making.outcome("SF-04", "deck", page(*column(caution(word), top=40), *beside)).looked_at == 0
    assert making.outcome("SF-04", "deck", page(*column(text(), top=40), *covered)).looked_at == 0


def test_answers_are_no_action_that_a_caution_protects() -> None:
    assert told("SF-05", card_face(*step_of(1, "Look."), caution(), answers_of("YES → 2"))) == [
        ("then: YES → 2", "'WARNING Hot.'", 1)
    ]


@pytest.mark.parametrize(("high", "breaks"), [(10.0, False), (10.5, True)])
def test_a_square_centimetre_is_the_limit(high: float, breaks: bool) -> None:
    assert bool(field(RED, 10, high)) == breaks
