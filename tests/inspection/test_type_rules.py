"""Type on pages made of places: what just keeps each rule, and what just breaks it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from inspection import making
from inspection.making import (
    BOLD,
    FACE,
    card_face,
    column,
    element,
    page,
    shape,
    step_of,
    written,
)
from leadsman.inspection.model import BLACK, WHITE, PdfFile, Run, Typeface
from leadsman.inspection.type_rules import angle_arcmin

#: A point in millimetres.
PT = 25.4 / 72


def verdict(rule: str, file: PdfFile, kind: str = "deck") -> str:
    return making.outcome(rule, kind, file).verdict


def worst(rule: str, file: PdfFile, kind: str = "deck") -> float | None:
    return making.outcome(rule, kind, file).worst


def text(words: str = "Some words.", tag: str = "P", **more: object) -> list[Run]:
    return written(tag, words, **more)  # type: ignore[arg-type]


def test_the_smallest_letters_of_a_step_count() -> None:
    """With its question and its answers; spaces have no size."""
    blank, little = (
        making.letters("  ", 50, 0, 52, 4, size_pt=5),
        making.letters("note", 60, 0, 70, 4, size_pt=9),
    )
    assert worst("CK-01", card_face(*step_of(1, "Look.", written("P", "Is it dark?", blank)))) == 12
    found = making.outcome(
        "CK-01", "deck", card_face(*step_of(1, "Look.", written("P", "Is it dark?", little)))
    )
    assert (found.worst, [r.says for r in found.breaches]) == (9, ["'note'"])
    assert (
        worst(
            "CK-01", card_face(*step_of(1, "Look.", text("Is it dark?"), written("P", "YES → 2", size_pt=8)))
        )
        == 8
    )
    assert verdict("CK-01", card_face(text(size_pt=5))) == "nothing to measure"


def test_titles_and_headings_of_a_card_are_large() -> None:
    assert worst("CK-02", card_face(text("More", "H2", size_pt=13), text(size_pt=5))) == 13
    assert worst("CK-02", card_face(text())) == 15


def test_an_angle_is_twice_that_of_half_the_height() -> None:
    """By trigonometry: a height of twice the distance times the tangent of half the angle."""
    for angle, distance in ((15, 600), (20, 600), (600, 300)):
        height = 2 * distance * math.tan(math.radians(angle / 60) / 2)
        assert angle_arcmin(height, distance) == pytest.approx(angle, rel=1e-12)
    assert angle_arcmin(2.618) == angle_arcmin(2.618, 600)


def measured(**more: float) -> Typeface:
    return replace(FACE, **more)  # type: ignore[arg-type]


def test_capitals_of_steps_fill_their_angle() -> None:
    """15 minutes at 600 mm are 2.618 mm: with capitals of 0.7 em, type of 10.60 pt."""
    for size, expected in ((10.61, "kept"), (10.59, "broken")):
        assert (
            verdict(
                "CK-03",
                card_face(
                    *step_of(1, "Look.", written("P", "Is it?", size_pt=size, face=measured(cap_height=0.7)))
                ),
            )
            == expected
        )
    assert (
        verdict("CK-03", card_face(*step_of(1, "Look."))) == "nothing to measure"
    )  # of a font without capitals


def test_small_letters_of_cautions_have_their_height() -> None:
    """2.54 mm are 7.2 pt: with small letters of 0.5 em, type of 14.4 pt. Other texts have no such limit."""
    for size, expected in ((14.4, "kept"), (14.2, "broken")):
        assert (
            verdict(
                "CK-04", page(*written("P", "WARNING", "Hot.", size_pt=size, face=measured(x_height=0.5)))
            )
            == expected
        )
    assert (
        verdict("CK-04", page(*written("P", "Hot.", size_pt=9, face=measured(x_height=0.5))))
        == "nothing to measure"
    )
    assert verdict("CK-04", page(*written("P", "WARNING", "Hot."))) == "nothing to measure"


def test_labels_are_read_in_dim_light() -> None:
    """3.5 mm are 9.92 pt: with capitals of 0.7 em, type of 14.17 pt; titles, numbers and answers, nothing else."""
    face = measured(cap_height=0.7)
    small, large = 14.0, 14.3
    number = lambda size: written("LI", "Look.", label="1.", size_pt=size, face=face)  # noqa: E731
    assert verdict("CK-31", card_face(number(large))) == "kept"
    found = making.outcome("CK-31", "deck", card_face(number(small)))
    assert [r.says for r in found.breaches] == ["'1.'"]
    answers = lambda size: written("P", "YES → 2", size_pt=size, face=face)  # noqa: E731
    assert verdict("CK-31", card_face(*step_of(1, "Look.", answers(small)))) == "broken"
    assert (
        verdict("CK-31", card_face(*step_of(1, "Look.", answers(large), text(size_pt=8, face=face))))
        == "kept"
    )


def test_a_card_has_no_serifs() -> None:
    serif, plain = (replace(FACE, serif=serif) for serif in (True, False))
    assert [verdict("TY-01", replace(page(), typefaces=[face])) for face in (serif, plain)] == [
        "broken",
        "kept",
    ]


@pytest.mark.parametrize(
    ("tag", "looked_at"),
    [
        ("P", True),
        ("LI", True),
        ("TD", True),
        ("TH", True),
        ("Caption", True),
        ("Div", True),
        ("BlockQuote", True),
        ("H2", False),
        ("Note", False),
    ],
)
def test_lines_stand_apart(tag: str, looked_at: bool) -> None:
    """1.25 of the type size; the least distance counts."""

    def lines(*downs: float) -> str:
        runs = [making.letters("Words", 10, 60 + down * 12 * PT, 40, 64 + down * 12 * PT) for down in downs]
        return verdict("TY-04", page(*written(tag, *runs)))

    for pitch, expected in ((1.25, "kept"), (1.24, "broken")):
        assert lines(0, 1.4, 1.4 + pitch) == (expected if looked_at else "nothing to measure")
    assert lines(0) == "nothing to measure"


@pytest.mark.parametrize(
    ("top", "size_pt", "face", "title"),
    [
        (9, 15, BOLD, True),
        (9, 14, BOLD, True),
        (9, 13.9, BOLD, False),
        (9, 15, FACE, False),
        (20.5, 15, BOLD, False),
        (19.5, 15, BOLD, True),
    ],
)
def test_a_title_of_two_lines_may_be_close(top: float, size_pt: float, face: Typeface, title: bool) -> None:
    """On the back of a card a title is no heading: large and bold within two centimetres of the edge."""
    title_runs = written("P", "Dead", face=face, size_pt=size_pt)
    (first,) = title_runs
    second = replace(first, text="unit")
    made = page(
        *making.lowered([first], top - 30),
        *making.lowered([_hung(second, first)], top - 30 + 1.1 * size_pt * PT),
    )
    assert (verdict("TY-04", made) == "nothing to measure") == title


def _hung(run: Run, beside: Run) -> Run:
    """Letters that belong to the text of others."""
    run.element = beside.element
    return run


def test_what_stands_in_a_figure_or_a_form_is_no_running_text() -> None:
    for tag in ("Figure", "Form"):
        assert (
            verdict("TY-15", page(*written("P", "w" * 95, "\nw", parent=element(tag))))
            == "nothing to measure"
        )


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (("w" * 90, "\nw"), 90),
        (("w" * 91, "\nw"), 91),
        (("w" * 91, "\n" + "w" * 89, "\nw"), 90),
        (("w" * 10, "\n" + "w" * 99), 10),  # the last line is left out
        (("w" * 91,), None),
    ],
)
def test_letters_of_a_line(lines: tuple[str, ...], expected: float | None) -> None:
    assert worst("TY-15", page(*written("P", *lines))) == expected


@pytest.mark.parametrize(
    ("rights", "expected"),
    [
        ((50, 50, 50, 30), "broken"),
        ((50, 50.09, 50, 30), "broken"),
        ((50, 50.11, 50, 30), "kept"),
        ((50, 40, 50, 50), "kept"),
        ((50, 50, 50), "nothing to measure"),
    ],
)
def test_four_lines_that_end_at_one_place_are_justified(rights: tuple[float, ...], expected: str) -> None:
    """All but the last; each by its letters farthest to the right."""
    runs = []
    for number, right in enumerate(rights):
        top = 40 + 6 * number
        runs += [
            making.letters("ends", 30, top, right, top + 4),
            making.letters("begins", 10, top, 25, top + 4),
        ]
    assert verdict("TY-16", page(*written("P", *runs))) == expected


@pytest.mark.parametrize(
    ("share", "expected"), [(0.124, "broken"), (0.125, "kept"), (0.2, "kept"), (0.201, "broken")]
)
def test_stems_are_neither_thin_nor_thick(share: float, expected: str) -> None:
    """MIL-HDBK-791 (from memory): an eighth to a fifth of the height of capitals."""
    made = lambda face: card_face(written("LI", "Look.", label="1.", face=face))  # noqa: E731
    assert verdict("TY-09", made(measured(cap_height=0.7, stem=0.7 * share))) == expected
    assert verdict("TY-09", made(measured(stem=0.1))) == "nothing to measure"
    assert verdict("TY-09", made(measured(cap_height=0.7))) == "nothing to measure"


LIGHT, DIM = (0.7, 0.7, 0.7), (0.6, 0.6, 0.6)  # luminance 0.448 and 0.319 (IEC 61966-2-1)


@pytest.mark.parametrize(
    ("ink", "field", "reversed_"),
    [
        (WHITE, BLACK, True),
        (LIGHT, BLACK, True),
        (DIM, BLACK, False),
        (WHITE, (0.58, 0.58, 0.58), True),  # luminance 0.296
        (WHITE, (0.59, 0.59, 0.59), False),  # 0.307
        (BLACK, WHITE, False),
    ],
)
def test_light_letters_on_a_dark_ground(
    ink: tuple[float, float, float], field: tuple[float, float, float], reversed_: bool
) -> None:
    run = making.letters("Off", 10, 40, 30, 44, size_pt=11, colour=ink)
    made = page(*written("P", run), shape(5, 35, 40, 50, fill=field))
    (only,) = made.pages
    paint = only.painter

    def painter(scale: float) -> object:
        pixels = paint(scale).copy()
        pixels[:] = [round(255 * v) for v in field]
        return pixels

    made = replace(made, pages=[replace(only, painter=painter)])
    assert verdict("TY-10", made) == ("broken" if reversed_ else "nothing to measure")
    assert verdict("TY-11", made) == ("kept" if reversed_ else "nothing to measure")


@pytest.mark.parametrize(
    ("step", "lines", "expected"),
    [(False, 1, "kept"), (False, 2, "broken"), (True, 1, "broken"), (True, 0, "kept"), (False, 0, "kept")],
)
def test_slanted_words_fill_a_line_and_stand_in_no_step(step: bool, lines: int, expected: str) -> None:
    slanted = replace(FACE, italic=True)
    runs = [making.letters("words", 10, 6 * n, 30, 6 * n + 4) for n in range(2)]
    for number, run in enumerate(runs):
        run.face = slanted if number < lines else FACE
    blank = making.letters(" ", 60, 20, 61, 24)
    blank.face = slanted
    body = written("P", *runs, blank)
    texts = step_of(1, "Look.", body) if step else [body]
    found = making.outcome("TY-12", "deck", page(*column(*texts)))
    assert found.verdict == expected
    assert found.breaches == () or found.breaches[0].measured == (
        "1 line of italics" if lines == 1 else "2 lines of italics"
    )


def test_two_families_are_enough() -> None:
    names = ("Leadsman-Text", "Leadsman-Text-Bold", "Leadsman-Head", "Other")
    faces = [replace(FACE, name=name) for name in names]
    assert worst("TY-13", replace(page(), typefaces=faces[:3])) == 2
    assert verdict("TY-13", replace(page(), typefaces=faces)) == "broken"


def test_running_text_of_a_book_is_large_enough() -> None:
    """Notes right after a table belong to it; the line that identifies the book is no running text."""

    def of(*texts: list[Run]) -> str:
        return verdict("TY-18", page(*column(*texts)), "handbook")

    assert of(text(size_pt=10)) == "kept"
    assert of(text(size_pt=9.9)) == "broken"
    assert of(text(tag="LI", size_pt=9.9)) == "broken"
    assert of(text(tag="Div", size_pt=8)) == "nothing to measure"
    assert of(text(tag="TD", size_pt=8)) == "nothing to measure"
    for tag in ("TH", "TD", "Caption", "Figure"):
        assert of(text(tag=tag, size_pt=8), text(size_pt=9), text(size_pt=8)) == "nothing to measure"
    assert of(text(tag="TD"), text(size_pt=9), text(size_pt=10), text(size_pt=9)) == "broken"
    assert of(text(tag="TD"), text(tag="LI", size_pt=9)) == "broken"
    assert of(text("TQ-BOOK, revision 1, 25 Nov 2026", size_pt=8)) == "nothing to measure"
    assert of(text(size_pt=9), text(tag="TD")) == "broken"


def test_cautions_are_larger_than_other_text() -> None:
    """Twelve points, and so the items of a list under a signal word of its own."""

    def of(*texts: list[Run]) -> list[object]:
        return [r.says for r in making.outcome("TY-19", "handbook", page(*column(*texts))).breaches]

    word, item, other = (
        lambda: written("P", "WARNING"),
        lambda: text("Hot.", "LI", size_pt=11),
        lambda: text("Look.", size_pt=9),
    )
    assert of(written("P", "WARNING", "Hot.", size_pt=11.9)) == ["'WARNING'"]
    assert of(written("P", "WARNING", "Hot.", size_pt=12)) == []
    assert of(item()) == []
    assert of(word(), item(), item()) == ["'Hot.'", "'Hot.'"]
    assert of(word(), other(), item()) == []
    assert of(word(), other()) == []
    assert of(written("P", "WARN", "ING"), item()) == []  # two pieces: the word does not stand as one


def test_nothing_on_a_card_is_smaller_than_its_foot() -> None:
    """Eight points at the foot and ten elsewhere; a hundredth for the rounding of the file."""

    def of(size_pt: float) -> str:
        return verdict("TY-20", card_face(text(size_pt=size_pt), written("P", "   ", size_pt=5)))

    assert (of(10), of(9.991), of(9.98)) == ("kept", "kept", "broken")

    def foot(size):
        return page(*written("P", "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck.", size_pt=size))

    assert [verdict("TY-20", foot(size)) for size in (8, 7.991, 7.98)] == ["kept", "kept", "broken"]
    assert verdict("TY-20", page(*text(size_pt=9))) == "broken"


def readings(rule: str, file: PdfFile, kind: str = "deck") -> list[tuple[float | str, str]]:
    """All that a rule measured, and where."""
    return [(r.measured, r.says) for r in making.judge(making.rule(rule, kind), file).rule.read(file)]


def test_what_is_measured_is_told_with_so_many_decimals() -> None:
    size, long = 9.12345, "word " * 30
    step = step_of(
        1, "Look.", written("P", long, size_pt=size, face=measured(cap_height=0.7123, x_height=0.5))
    )
    assert readings("CK-01", card_face(*step))[1] == (9.123, f"'{long.strip()[:50]}'")
    # 0.7123 of 9.12345 pt are 2.2926 mm: at 600 mm 13.14 minutes, by the tangent.
    angle = 2 * math.degrees(math.atan(0.7123 * size * PT / 1200)) * 60
    assert readings("CK-03", card_face(*step)) == [(round(angle, 2), f"'{long.strip()[:60]}'")]
    caution = written("P", "WARNING", "Hot.", size_pt=size, face=measured(x_height=0.5111))
    assert readings("CK-04", page(*caution))[0][0] == round(0.5111 * size * PT, 2)
    label = written("LI", "Look.", label="1.", size_pt=size, face=measured(cap_height=0.7123))
    assert readings("CK-31", card_face(label)) == [(round(0.7123 * size * PT, 2), "'1.'")]
    assert readings("TY-20", page(*written("P", "Off", size_pt=10.12345))) == [(10.123, "'Off'")]
    pitch = [making.letters("Words", 10, at, 40, at + 4) for at in (40, 45.12345)]
    assert readings("TY-04", page(*written("P", *pitch)))[0][0] == round(5.12345 / (12 * PT), 3)
    lines = written("P", "w" * 40, "\n" + "w" * 41, "\n" + "w" * 41, "\nw")
    assert readings("TY-15", page(*lines))[0][0] == 40.7
    stem = written("LI", "Look.", label="1.", face=measured(cap_height=0.7, stem=0.1))
    assert readings("TY-09", card_face(stem)) == [(0.143, "Leadsman-Head")]
    serif = replace(FACE, name="Other", serif=True)
    assert readings("TY-01", replace(page(), typefaces=[FACE, serif])) == [
        ("sans serif", "Leadsman-Head"),
        ("serif", "Other"),
    ]


def test_the_first_letters_of_a_title_tell_its_weight() -> None:
    first = making.letters("Dead unit", 10, -25, 60, -20, size_pt=15)
    rest = making.letters("at night", 10, -21, 40, -16, size_pt=15)
    first.face = BOLD
    assert verdict("TY-04", page(*written("P", first, rest))) == "nothing to measure"
    # The same with the weights exchanged is running text.
    first.face, rest.face = FACE, BOLD
    assert verdict("TY-04", page(*written("P", first, rest))) == "broken"


def test_slanted_letters_on_nearly_one_baseline_are_one_line() -> None:
    runs = [making.letters("words", 10, 40, 30, 44), making.letters("more", 40, 40.04, 60, 44.04)]
    for run in runs:
        run.face = replace(FACE, italic=True)
    assert verdict("TY-12", page(*written("P", *runs))) == "kept"


def test_lines_are_justified_by_their_last_letters() -> None:
    """Each by the third of its three pieces, and each but the last: here the third line is shorter."""

    def of(*rights: float) -> list[tuple[float | str, str]]:
        runs = []
        for number, right in enumerate(rights):
            top = 40 + 6 * number
            runs += [making.letters("abc", left, top, left + 9, top + 4) for left in (10, 20 + number)]
            runs.append(making.letters("ends", 40, top, right, top + 4))
        return readings("TY-16", page(*written("P", *runs)))

    assert of(70, 70, 60, 70)[0][0] == "ragged"
    assert of(70, 70, 70, 60)[0][0] == "justified"
    assert of(60, 70, 70, 70)[0][0] == "ragged"


@pytest.mark.parametrize(("grey", "light"), [(0.675, True), (0.66, False)])
def test_letters_are_light_from_a_luminance_of_four_tenths(grey: float, light: bool) -> None:
    """0.413 and 0.393 by the curve of IEC 61966-2-1."""
    run = making.letters("Off", 10, 40, 30, 44, colour=(grey,) * 3)
    made = page(*written("P", run), shape(5, 35, 40, 50, fill=BLACK))
    (only,) = made.pages
    white = only.painter
    made = replace(made, pages=[replace(only, painter=lambda scale: white(scale) * 0)])
    assert verdict("TY-11", made) == ("kept" if light else "nothing to measure")


@pytest.mark.parametrize(("size_pt", "kept"), [(9.9905, True), (9.9895, False)])
def test_a_hundredth_of_a_point_is_forgiven(size_pt: float, kept: bool) -> None:
    assert (verdict("TY-20", page(*text(size_pt=size_pt))) == "kept") == kept
