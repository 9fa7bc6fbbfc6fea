"""The make-up of cards, on faces made of places: each clause of a rule just kept and just broken, and what is told of it."""

from __future__ import annotations

import pytest

from inspection import making
from inspection.making import (
    BOLD,
    answers_of,
    card_face,
    column,
    element,
    joined,
    page,
    shape,
    step_of,
    written,
)
from leadsman.inspection.model import BLACK, PdfFile, Run

Told = list[tuple[float | str, str, int]]


def verdict(rule: str, file: PdfFile, kind: str = "deck") -> str:
    return making.outcome(rule, kind, file).verdict


def told(rule: str, file: PdfFile, kind: str = "deck") -> Told:
    """What breaks a rule: measured, said, on which page."""
    return [(r.measured, r.says, r.page) for r in making.outcome(rule, kind, file).breaches]


def text(words: str = "Some words.", tag: str = "P") -> list[Run]:
    return written(tag, words)


def step(number: int, *answers: str, words: str = "Look.", question: str = "Is it dark?") -> list[list[Run]]:
    return step_of(
        number, words, *([text(question)] if question else []), *([answers_of(*answers)] if answers else [])
    )


def front(*texts: list[Run], total: int = 2, turn: str = "step 2 →", **more: object) -> PdfFile:
    return card_face(*texts, total=total, turn=turn, **more)  # type: ignore[arg-type]


def back(
    *texts: list[Run], number: int = 2, total: int = 2, turn: str = "END of P1", **more: object
) -> PdfFile:
    return card_face(*texts, number=number, total=total, turn=turn, **more)  # type: ignore[arg-type]


def test_a_card_has_one_title_and_one_start() -> None:
    assert verdict("CK-05", joined(front(*step(1)), back(*step(2)))) == "kept"
    assert verdict("CK-05", front(text())) == "kept"  # without steps there is no start
    assert told("CK-05", joined(front(*step(1)), back(*step(1)))) == [("2 starts", "card P1", 1)]
    assert told("CK-05", joined(front(*step(2)), back(*step(3)))) == [("0 starts", "card P1", 1)]
    assert told("CK-05", front(text(), title="Off")) == [("no title", "'Off'", 1)]
    assert verdict("CK-05", front(text(), title="Dead")) == "kept"
    foot = "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck."
    assert told("CK-05", page(*written("P", foot))) == [("no title", f"'{foot}'", 1)]


def test_a_card_ends_once_and_nothing_follows() -> None:
    assert verdict("CK-06", joined(front(text()), back(text()))) == "kept"
    assert told("CK-06", joined(front(text()), back(text(), turn=""))) == [("0 end marks", "card P1", 2)]
    assert told("CK-06", joined(front(text(), turn="END"), back(turn="END"))) == [
        ("2 end marks", "card P1", 1)
    ]
    notes, late = "Notes of the day", "Now do this as well"
    for words, tag, breaks in ((notes, "P", False), (late, "P", True), (notes, "LI", True)):
        found = told("CK-06", joined(back(text(), number=1), back(text(words, tag), turn="")))
        assert found == ([("text after the end", f"'{words}'", 2)] if breaks else [])
    for below_mm, breaks in ((0.1, True), (-0.1, False)):
        file = card_face(text(), turn="END of P1")
        (only,) = file.pages
        bottom = next(run for run in only.runs if run.text.startswith("END")).box.bottom + below_mm
        late_run = making.letters("More", 30, bottom, 40, bottom + 3, element=element("P"))
        only.runs.append(late_run)
        assert told("CK-06", file) == ([("text after the end", "'More'", 1)] if breaks else [])


def exits(target: str, *, words: str = "YES") -> Told:
    """Where an answer may lead: the card has steps 1 and 2 and a letter A, the deck a card 0 with step 1."""
    fix = written("P", "A", "Feed was off.", face=BOLD)
    return told(
        "CK-07",
        joined(
            front(*step(1, f"{words} → {target}")), back(*step(2), fix),
            card_face(*step(1, words="Turn."), code="B2", total=1),
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    "target",
    [
        "2",
        "step 2",
        "A",
        "card B2",
        "B2",
        "B2/1",
        "B2 step 1",
        "card B2 step 1",
        "P1 step 2",
        "handbook page 9",
        "book 3",
        "BOOK 3",
    ],
)
def test_an_answer_leads_to_what_is_there(target: str) -> None:
    assert exits(target) == []


@pytest.mark.parametrize(
    "target", ["3", "step 3", "B", "card C1", "B2 step 2", "P1 step 3", "C1 step 1", "booking 3"]
)
def test_an_answer_that_leads_nowhere_is_told(target: str) -> None:
    assert exits(target) == [(f"YES → {target}", "card P1", 1)]


def test_an_answer_without_a_target_leads_nowhere() -> None:
    made = front(*step_of(1, "Look.", text("Is it?"), written("P", "YES →", "NO → A", face=BOLD)))
    assert ("YES → nothing", "card P1", 1) in told("CK-07", made)


def test_a_face_says_where_the_card_goes_on() -> None:
    assert verdict("CK-08", joined(front(*step(1)), back(*step(2), title="Dead unit: step 2"))) == "kept"
    assert told("CK-08", joined(front(*step(1), turn="step 3 →"), back(*step(2)))) == [
        ("step 3 →", "'step 3 →' at the foot", 1)
    ]
    assert told("CK-08", joined(front(*step(1), turn=""), back(*step(2)))) == [
        ("no mark", "'' at the foot", 1)
    ]
    assert told("CK-08", joined(front(*step(1), turn="step 12 →"), back(*step(2)))) != []
    # The next step is the lowest of those that follow, wherever it stands.
    three = joined(
        front(*step(1), total=3), back(*step(3), total=3, turn="step 2 →"), back(*step(2), number=3, total=3)
    )
    assert told("CK-08", three) == []


def test_a_card_without_steps_names_its_next_face() -> None:
    assert (
        verdict("CK-08", joined(front(text(), turn="face 2 →"), back(text("Some more words than four."))))
        == "kept"
    )
    wrong = joined(front(text(), turn="face 3 →"), back(text("Some more words than four.")))
    assert told("CK-08", wrong) == [("face 3 →", "'face 3 →' at the foot", 1)]


def test_a_later_face_repeats_the_title() -> None:
    def of(title: str, *texts: list[Run], first: str = "Dead unit, at night") -> Told:
        return told("CK-08", joined(front(*step(1), title=first), back(*texts, title=title)))

    assert of("Dead unit: step 2", *step(2)) == []
    assert of("Unit dead: step 2", *step(2)) == [("another title", "'Unit dead: step 2'", 2)]
    assert of("Dead unit: step 2", *step(2), first="Dead unit: start") == []
    # A face for notes is no part of the card that goes on: nothing is asked of it, nor of the face before it.
    assert (
        told("CK-08", joined(front(*step(1), turn=""), back(text("Notes of the day"), title="Notes"))) == []
    )
    assert of("Notes", text("Notes of the long day")) != []
    assert of("Notes", text("Notes"), text("Notes")) != []


def test_steps_that_end_behind_leave_nothing_to_name() -> None:
    """Neither a front without steps nor one whose steps are all behind it says where they go on."""
    fixes = back(text("The words of the fixes."), title="Dead unit: fixes")
    assert verdict("CK-08", joined(front(*step(1), turn=""), fixes)) == "kept"
    found = making.outcome("CK-08", "deck", joined(front(text(), turn=""), back(*step(1))))
    assert [r.page for r in found.breaches] == []


def test_a_step_is_not_split_between_pages() -> None:
    def of(*pages: list[list[Run]]) -> Told:
        return told("CK-09", joined(*(page(*column(*texts)) for texts in pages)), "handbook")

    whole = [*step(1, "YES → 2")]
    assert of(whole, [text()]) == []
    assert of([text()], [answers_of("YES → 2"), text()]) == [
        ("answers without their question", "'YES → 2'", 2)
    ]
    assert of([text()], [text("7"), answers_of("YES → 2")]) == [
        ("answers without their question", "'YES → 2'", 2)
    ]
    assert of([text()], [text("7 of 9"), answers_of("YES → 2")]) == []
    cut, rest = (
        lambda words="Hold the": step_of(1, words),
        lambda words="key down.", tag="LI": [text(words, tag)],
    )
    assert of(cut(), rest()) == [("goes on on the next page", "'1. Hold the'", 1)]
    assert of(cut("Hold the key."), rest()) == []
    assert of(cut("Hold it?"), rest()) == []
    assert of(cut(), rest("Key down.")) == []
    assert of(cut(), rest(tag="P")) == []
    assert of(cut(), step_of(2, "key down.")) == []
    assert of([written("LI", "Hold the", label="a.")], rest()) == []
    assert of([written("LI", "Hold the", label="2)")], rest()) != []
    assert of([text("Hold the")], [text("key down.")]) == []
    assert of(cut(), []) == []
    assert (
        making.outcome("CK-09", "handbook", joined(*(page(*column(*t)) for t in (whole, whole)))).looked_at
        == 2
    )


def test_the_frame_of_a_face_is_no_part_of_a_step() -> None:
    """On a card the texts between head and foot count."""
    made = joined(front(*step_of(1, "Hold the")), back(text("key down.", "LI")))
    assert told("CK-09", made) == [("goes on on the next page", "'1. Hold the'", 1)]
    assert told("CK-09", joined(front(text()), back(answers_of("YES → 1")))) == [
        ("answers without their question", "'YES → 1'", 2)
    ]


def gap(white_lines: float, *lines: float) -> Told:
    """A question of 12 pt, and its answers so many lines of 1.25 below it; lines to write on between."""
    line = 12 * 25.4 / 72 * 1.25
    head, question = written("LI", "Look.", label="1."), text("Is it dark?")
    found = column(head, question)
    bottom = found[-1].box.bottom
    answers = making.lowered(answers_of("YES → 2"), bottom + white_lines * line)
    rules = [shape(10, bottom + at - 0.2, 60, bottom + at, line=BLACK, pt=0.5) for at in lines]
    fields = [shape(10, bottom + 1, 60, bottom + 3, fill=BLACK)]
    foot = written("P", "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck.", size_pt=8)
    top = written("P", "Dead unit", size_pt=15, face=BOLD)
    return told(
        "CK-10", page(*making.in_turn([*top, *found, *answers, *making.lowered(foot, 139)]), *rules, *fields)
    )


def test_answers_stand_by_their_question() -> None:
    """A line of white at the most; a line to write a reading on is no white."""
    assert gap(0.99) == []
    assert gap(1.06) == [("1.1 lines", "'YES → 2'", 1)]
    assert gap(1.5, 3.0) == []
    assert gap(3.0, 3.0) == [("2.4 lines", "'YES → 2'", 1)]
    assert gap(3.0, 3.0, 11.0) == []
    assert gap(1.5, 30.0) != []  # below the answers
    assert gap(1.5, -3.0) != []  # above the question's foot


def test_answers_on_a_face_need_a_question() -> None:
    loose = answers_of("YES → 2")
    assert told("CK-10", front(text(), loose)) == [("answers without a question", "'YES → 2'", 1)]
    assert told("CK-10", front(*step(1, "YES → 2"))) == []
    assert told("CK-10", front(*step_of(1, "Is it dark?", answers_of("YES → 2")))) == []


def test_yes_stands_before_no_and_always_at_one_place() -> None:
    assert told("CK-11", front(*step(1, "YES → 2", "NO → A"))) == []
    assert told("CK-11", front(*step(1, "NO → A", "YES → 2"))) == [("NO, YES", "'NO → A YES → 2'", 1)]
    assert told("CK-11", front(*step(1, "NO → A"))) == []

    def at(*lefts: float) -> Told:
        texts = []
        for number, left in enumerate(lefts, 1):
            answers = written("P", "YES → 9", left=left, face=BOLD)
            texts += step_of(number, "Look.", text("Is it?"), answers)
        return told("CK-11", front(*texts))

    assert at(10, 10, 10.9) == []
    assert at(10, 10, 11.1) == [("YES at 31.1 mm", "'YES → 9'", 1)]
    assert at(10, 10, 8.9) == [("YES at 28.9 mm", "'YES → 9'", 1)]


def test_a_face_holds_nine_steps() -> None:
    def steps(count: int) -> PdfFile:
        return front(*(text for number in range(1, count + 1) for text in step_of(number, "Look.")))

    assert making.outcome("CK-13", "deck", steps(9)).worst == 9
    assert told("CK-13", steps(10)) == [(10, "card P1 face 1", 1)]


def test_steps_are_numbered_without_a_gap() -> None:
    assert verdict("CK-18", joined(front(*step(1)), back(*step(2)))) == "kept"
    assert told("CK-18", joined(front(*step(1)), back(*step(3)))) == [(3, "card P1, expected 2", 2)]


@pytest.mark.parametrize("words", ["Checked", "set.", "OK", "okay", "normal", "As required", "GOOD!"])
def test_a_result_without_content_is_told(words: str) -> None:
    assert told("CK-16", front(*step(1, question=words))) == [(words, f"'{words}'", 1)]
    assert told("CK-16", front(*step(1, question=f"{words} for all I know"))) == []


def test_a_decision_asks_a_question() -> None:
    assert told("CK-23", front(*step(1, "YES → 2", "NO → A", question="It is dark."))) == [
        ("no question", "'It is dark.'", 1)
    ]
    assert told("CK-23", front(*step(1, "YES → 2", "NO → A", question=""))) == [
        ("no question", "'1. Look.'", 1)
    ]
    assert told("CK-23", front(*step(1, "YES → 2", "NO → A", question="", words="Is it?"))) == []
    assert verdict("CK-23", front(*step(1, "YES → 2", question="It is dark."))) == "nothing to measure"


def test_a_card_opens_with_its_condition() -> None:
    words = " ".join(["word"] * 26)
    assert told("CK-27", front(text(words), *step(1))) == [(26, f"'{words[:60]}'", 1)]
    assert making.outcome("CK-27", "deck", front(text("No light shows."), *step(1))).worst == 3
    assert told("CK-27", front(*step(1))) == [("no condition", "card P1", 1)]
    assert told("CK-27", joined(front(), back(*step(1)))) == [("no condition", "card P1", 1)]
    assert verdict("CK-27", front(text(words))) == "nothing to measure"


def test_every_face_names_itself() -> None:
    assert verdict("CK-28", joined(front(text()), back(text()))) == "kept"
    plain = page(*text())
    assert told("CK-28", joined(front(text(), total=1), plain)) == [
        ("no identity line", "the face does not say which it is", 2)
    ]
    for wrong, measured in ((back(text(), number=3), "face 3 of 2"), (back(text(), total=3), "face 2 of 3")):
        assert [(m, p) for m, _, p in told("CK-28", joined(front(text()), wrong))] == [(measured, 2)]
    hidden = "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck."
    assert told("CK-28", card_face(text(), code="P9", says=hidden))[0][0] == "face 1 of 1"


def test_a_card_has_one_revision_and_a_deck_one_name() -> None:
    says = "{0}-{{code}}, face {{number}} of {{total}}, rev {1}, {2} Nov 2026. {3}."

    def deck(
        document: str = "TQ", revision: int = 1, day: int = 25, name: str = "Quay deck", code: str = "P1"
    ) -> Told:
        last = back(text(), number=3, total=3, says=says.format(document, revision, day, name), code=code)
        return told("DC-01", joined(front(text(), total=3), back(text(), total=3), last))

    assert deck() == []
    assert [(m, p) for m, _, p in deck(revision=2)] == [("revision 2, 25 Nov 2026", 3)]
    assert [(m, p) for m, _, p in deck(day=26)] == [("revision 1, 26 Nov 2026", 3)]
    assert len(deck(document="TX")) == len(deck(name="Other deck")) == 1
    assert deck(revision=2, code="P2") == []  # of another card
    assert len(deck(document="TX", code="P2")) == 1


def cards_listed(
    *rows: tuple[str, ...], head: tuple[str, ...] = ("Card", "Seen", "Faces", "Rev"), heads: int = 1
) -> list[list[Run]]:
    top = element("Table")
    found: list[list[Run]] = []
    for part, lines in (("THead", [head] * heads), ("TBody", rows)):
        group = element(part, top)
        for line in lines:
            row = element("TR", group)
            found += [
                written("TH" if not at else "TD", words, parent=row, left=10 + 20 * at)
                for at, words in enumerate(line)
            ]
    return found


INDEX = ("0", "Index", "1", "1")


def effective(*rows: tuple[str, ...], **more: object) -> Told:
    """A deck of the card P1 with two faces and the card 0 with one."""
    listed = cards_listed(*rows, **more)  # type: ignore[arg-type]
    return told("DC-02", joined(front(*listed), back(text()), card_face(text(), code="0")))


def test_the_list_of_cards_is_that_of_the_deck() -> None:
    right = ("P1", "Dead unit", "2", "1")
    unlisted, index = ("P1: not listed", "card P1 has 2 faces", 1), ("0: not listed", "card 0 has 1 face", 3)
    none = ("no list", "no table lists cards with their faces", 1)
    assert effective(right, INDEX) == []
    assert effective(right) == [index]
    assert effective(right, INDEX, ("7", "Gone", "2", "1")) == [
        ("7: no such card", "listed but not in the file", 1)
    ]
    assert effective(("P1", "Dead unit", "3", "1"), INDEX) == [("P1: 3", "card P1 has 2 faces", 1)]
    assert effective(("P7", "Gone", "2", "1"), INDEX) == [
        unlisted,
        ("P7: no such card", "listed but not in the file", 1),
    ]
    assert effective(("P1", "Dead unit", "two", "1"), INDEX) == [unlisted]
    assert effective(("unit", "Dead unit", "2", "1"), INDEX) == [unlisted]
    assert effective(("P1", "Dead unit", "2"), INDEX) == [unlisted]
    assert effective(right, INDEX, head=("Card", "Seen", "Faces")) == [none, unlisted, index]
    wide = ((*right, "y"), (*INDEX, "y"))
    assert effective(*wide, head=("Card", "Seen", "Faces", "Rev", "More")) == []
    assert effective(right, INDEX, heads=2) == [none, unlisted, index]
    # A card in a file of its own needs no list.
    assert verdict("DC-02", joined(front(text()), back(text()))) == "nothing to measure"


def test_a_later_revision_says_what_it_replaces() -> None:
    def revised(number: int) -> str:
        return f"TQ-{{code}}, face {{number}} of {{total}}, rev {number}, 25 Nov 2026. Quay deck."

    def of(words: str, *revisions: int) -> Told:
        made = [
            card_face(text(words), says=revised(number), code=code)
            for number, code in zip(revisions, ("P1", "P2"), strict=False)
        ]
        return told("DC-07", joined(*made))

    assert of("Words.", 1, 1) == []
    assert [m for m, _, _ in of("Words.", 2, 2)] == [m for m, _, _ in of("Words.", 1, 2)] == ["says nothing"]
    assert of("This REPLACES all earlier cards.", 2, 2) == []
    assert of("The replaced ones.", 2, 2) != []
    assert of("Words.", 2) == []  # a card alone leaves it to its deck
    assert verdict("DC-07", page(*text())) == "nothing to measure"


def test_a_card_alone_leads_to_its_deck_which_is_elsewhere() -> None:
    def alone(target: str) -> Told:
        return told("CK-07", front(*step(1, f"YES → {target}"), total=1))

    assert alone("P9") == alone("card P9") == alone("P9 step 3") == alone("1") == []
    assert alone("9") == [("YES → 9", "card P1", 1)]
    assert alone("B") == [("YES → B", "card P1", 1)]
    assert alone("P1 step 7") == [("YES → P1 step 7", "card P1", 1)]


def test_a_card_says_what_it_applies_to() -> None:
    plain = lambda: text("Some words for Holm.")  # noqa: E731
    assert told("DC-14", joined(front(plain(), *step(1)), back(plain()))) == [("no such line", "card P1", 1)]
    for words in ("For Holm.", "Applies to Holm.", "Fits Holm."):
        assert told("DC-14", joined(front(*step(1)), back(text(words)))) == []
        assert (
            told(
                "DC-14",
                joined(
                    front(*step(1), total=3), back(plain(), total=3), back(text(words), number=3, total=3)
                ),
            )
            != []
        )
    assert told("DC-14", joined(front(text("Forward."), *step(1)))) != []
    assert verdict("DC-14", front(plain())) == "nothing to measure"


@pytest.mark.parametrize(("count", "kept"), [(2, True), (3, False), (12, True), (14, False)])
def test_a_card_has_so_many_faces(count: int, kept: bool) -> None:
    file = joined(*(back(text(), number=number, total=count) for number in range(1, count + 1)))
    assert told("FC-01", file) == ([] if kept else [(f"{count} faces", "card P1", 1)])


def test_an_end_mark_that_lacks_is_missed_on_the_last_face() -> None:
    three = joined(front(text(), turn=""), back(text(), turn=""), back(text(), number=3, turn=""))
    assert told("CK-06", three) == [("0 end marks", "card P1", 3)]
    # What stands before the mark on its own face may be long.
    last = back(text("As many words as there are."), text("A", "LI"))
    assert verdict("CK-06", joined(front(text()), last)) == "kept"


def test_a_unit_begins_in_small_letters_too() -> None:
    pages = (column(*step_of(1, "Read the")), column(text("kHz of it.", "LI")))
    assert told("CK-09", joined(*(page(*texts) for texts in pages)), "handbook") != []


@pytest.mark.parametrize(("left", "kept"), [(10.95, True), (11.05, False)])
def test_yes_stands_within_a_millimetre(left: float, kept: bool) -> None:
    texts = []
    for number, at in enumerate((10.0, 10.0, left), 1):
        texts += step_of(number, "Look.", text("Is it?"), written("P", "YES → 9", left=at, face=BOLD))
    assert (told("CK-11", front(*texts)) == []) == kept


def test_a_long_result_is_cut() -> None:
    words = "OK" + "." * 40
    assert told("CK-16", front(*step(1, question=words))) == [(words[:30], f"'{words}'", 1)]


def test_twelve_faces_are_enough() -> None:
    file = joined(*(back(text(), number=number, total=13) for number in range(1, 14)))
    assert told("FC-01", file) == [("13 faces", "card P1", 1)]
