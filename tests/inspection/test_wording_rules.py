"""Words, tables and what identifies a book, on pages made of places: what just keeps each rule, and what just breaks it."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from inspection import making
from inspection.making import column, element, joined, page, written
from leadsman.inspection.model import Element, PdfFile, Run
from leadsman.inspection.wording_rules import is_enumeration


def verdict(rule: str, file: PdfFile, kind: str = "handbook") -> str:
    return making.outcome(rule, kind, file).verdict


def table(
    head: Sequence[str],
    *rows: Sequence[str],
    heads: int = 1,
    shift: Sequence[float] = (),
    decimals: str = "",
    number: int = 1,
) -> list[list[Run]]:
    """A table, its first so many cells of a row as heads; each cell a text of its own."""
    top = element("Table", page=number)
    found: list[list[Run]] = []
    for part, lines in (("THead", [head] if head else []), ("TBody", list(rows))):
        if not lines:
            continue
        group = element(part, top)
        for at, line in enumerate(lines):
            row = element("TR", group)
            for place, words in enumerate(line):
                tag = "TH" if part == "THead" or place < heads else "TD"
                left = 10 + 20 * place + (shift[at] if shift and part == "TBody" and place else 0)
                found.append(written(tag, words, parent=row, left=left))
    return found


# --- capitals ------------------------------------------------------------------------------------


def longest(*pieces: str | Run, parent: Element | None = None) -> float | None:
    file = page(*written("P", *pieces, parent=parent))
    return making.outcome("TY-03", "deck", file).worst


def test_words_in_capitals_are_counted_in_a_row() -> None:
    """A small word, a number or a wide gap ends the row; a dash or a letter by itself does not."""
    assert longest("NEVER OPEN THE CASE") == 4
    assert longest("NEVER OPEN the CASE") == 2
    assert longest("NEVER OPEN 12 CASES") == 2
    assert longest("NEVER – OPEN - CASES") == 3
    assert longest("NEVER & OPEN CASES") == 2
    assert longest("NEVER A CASE") == 2
    assert longest("Look at it") == 0
    assert longest("one TWO THREE four FIVE") == 2
    assert longest("NEVER OPEN", "\nTHE CASE") == 4  # the row goes on in the next line


@pytest.mark.parametrize(("gap", "row"), [(1.4, 4), (1.6, 2)])
@pytest.mark.parametrize(("down", "same_line"), [(0.0, True), (0.49, True), (0.51, False)])
def test_a_gap_between_labels_ends_a_row(gap: float, row: int, down: float, same_line: bool) -> None:
    first = making.letters("DEPTH ALARM", 10, 10, 30, 14)
    second = making.letters("SHALLOW WATER", 30 + gap, 10 + down, 60, 14 + down)
    assert longest(first, second) == (row if same_line else 4)


def test_the_boxes_of_a_form_end_a_row() -> None:
    outer = element("P")
    element("Form", outer)
    runs = [
        making.letters(words, left, 10, left + 10, 14)
        for words, left in (("DEPTH ALARM", 10), ("SHALLOW", 20))
    ]
    for run in runs:
        run.element = element("", outer)
    assert making.outcome("TY-03", "deck", page(*runs)).worst == 2


# --- sentences -----------------------------------------------------------------------------------


def test_a_paragraph_has_so_many_sentences() -> None:
    """Those of a table or a figure are its own, and a list item is no paragraph."""
    for count, expected in ((6, "kept"), (7, "broken")):
        assert verdict("PL-03", page(*written("P", "Look at it. " * count))) == expected
    assert verdict("PL-03", page(*written("LI", "Look at it. " * 9))) == "nothing to measure"
    for around in ("Table", "Figure"):
        inside = written("P", "Look at it. " * 9, parent=element(around))
        assert verdict("PL-03", page(*inside)) == "nothing to measure"


def test_a_long_sentence_is_found_wherever_it_stands() -> None:
    long = " ".join(["Word", *["word"] * 25]) + "."
    for tag, parent, expected in (
        ("P", None, "broken"), ("LI", None, "broken"), ("TD", None, "nothing to measure"), ("H1", None, "nothing to measure"),
        ("P", "Table", "nothing to measure"), ("P", "Figure", "nothing to measure"),
    ):  # fmt: skip
        inside = written(tag, long, parent=element(parent) if parent else None)
        assert verdict("PL-02", page(*inside)) == expected
    assert verdict("PL-02", page(*written("P", "YES → 2", long))) == "nothing to measure"
    assert (
        verdict("PL-02", page(*written("LI", long, label="1."))) == "nothing to measure"
    )  # a step has a rule of its own
    assert verdict("PL-01", page(*written("LI", long, label="1."))) == "broken"


def test_the_number_of_a_step_is_no_word_of_it() -> None:
    words = " ".join(["Word", *["word"] * 19]) + "."
    for label in ("1.", "12)", "3"):
        assert verdict("PL-01", page(*written("LI", words, label=label))) == "kept"
    small = making.letters("and a remark.", 10, 40, 30, 42, size_pt=9)
    assert verdict("PL-01", page(*written("LI", words[:-1], small, label="1."))) == "kept"  # in smaller type


# --- tables --------------------------------------------------------------------------------------

HEAD = ("Boat", "Drop", "Most")


def test_a_table_has_a_head() -> None:
    assert verdict("TB-01", page(*column(*table(HEAD, ("Sedge", "1", "2"))))) == "kept"
    assert verdict("TB-01", page(*column(*table((), ("Sedge", "1", "2"))))) == "broken"


@pytest.mark.parametrize(
    ("rows", "columns", "kept"), [(10, 4, True), (11, 1, False), (1, 5, False), (11, 5, False)]
)
def test_a_table_on_a_card_has_an_end(rows: int, columns: int, kept: bool) -> None:
    """The head is no row of it; one cell more in one row makes a column more."""
    body = [["x"] * columns] + [["x"]] * (rows - 1)
    file = page(*column(*table(["a"] * columns, *body), gap=0.1))
    assert verdict("TB-04", file, "deck") == ("kept" if kept else "broken")


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ([("0.39 V", "1"), ("0.29 V", "2")], "kept"),
        ([("0.39 V", "1"), ("290 mV", "2")], "broken"),
        ([("0.39 V", "1"), ("290 mV", "2"), ("none", "3")], "nothing to measure"),  # a list of facts
        ([("0.39 V", "1")], "nothing to measure"),
        ([("> 0.39 V", "1"), ("≤0.2 V", "2")], "kept"),
        ([("-3 °C", "1"), ("−4 F", "2")], "broken"),
        ([("0.39 V", "3 A"), ("0.5 V", "4 m")], "broken"),
        ([("1", "2"), ("3", "4")], "nothing to measure"),
        ([("12 rooms", "2"), ("3 V", "4")], "nothing to measure"),
    ],
)
def test_a_column_has_one_unit(cells: list[tuple[str, str]], expected: str) -> None:
    rows = [("Sedge", *line) for line in cells]
    assert verdict("LO-06", page(*column(*table(HEAD, *rows)))) == expected


FIGURES = [("Sedge", "0.39 V", "0.50 V"), ("Marten", "0.29 V", "0.40 V")]


def book(*pages: list[list[Run]]) -> PdfFile:
    return joined(*(page(*column(*texts), size=(148, 210)) for texts in pages))


@pytest.mark.parametrize(
    ("rows", "asked"),
    [
        (FIGURES, True),
        (FIGURES[:1], False),  # two figures are no table of figures
        ([("Sedge", "0.39 V", "fine"), ("Marten", "0.29 V", "fine"), ("Holm", "1 V", "2 V")], True),  # 4 of 6
        (
            [("Sedge", "0.39 V", "fine"), ("Marten", "0.29 V", "fine"), ("Holm", "1 V", "poor")],
            False,
        ),  # 3 of 6
        ([("Sedge", "1 V", "2 V"), ("Holm", "1 V", "fine"), ("Tern", "so", "so")], False),  # 3 of 6
        (
            [("a", "1 V", "2 V", "3 V", "4 V", "5 V"), ("b", "6 V", "so", "so", "so", "so")],
            False,
        ),  # 6 of 10 are no majority
    ],
)
def test_a_table_of_figures_names_its_formula(rows: list[tuple[str, ...]], asked: bool) -> None:
    """Heads of rows do not count among its cells."""
    assert verdict("TB-05", book(table(HEAD, *rows))) == ("broken" if asked else "nothing to measure")
    assert making.outcome("TB-05", "guide", book(table(HEAD, *rows))).verdict == (
        "broken" if asked else "nothing to measure"
    )


@pytest.mark.parametrize(
    "says", ["By the formula.", "COMPUTED for one.", "Assumed: 2 A.", "Found by supply.drop here."]
)
def test_the_formula_is_looked_for_near_its_table(says: str) -> None:
    """On the page before, on that of the table, and on the three after it."""

    def kept(*pages: str) -> bool:
        made = [table(HEAD, *FIGURES) if words == "table" else [written("P", words)] for words in pages]
        return verdict("TB-05", book(*made)) == "kept"

    assert verdict("TB-05", book([*table(HEAD, *FIGURES), written("P", says)])) == "kept"
    assert kept(says, "table")
    assert kept("Plain.", says, "table")
    assert not kept(says, "Plain.", "table")
    assert kept("table", "Plain.", "Plain.", says)
    assert not kept("table", "Plain.", "Plain.", "Plain.", says)
    assert not kept("table", "Plain.")


@pytest.mark.parametrize(
    ("cells", "off", "expected"),
    [
        (("12", "14"), 0.2, "kept"),
        (("12", "14"), 0.31, "kept"),
        (("12", "14"), 0.33, "broken"),
        (("12", "124"), 0.0, "broken"),  # ranged left
        (("> 12", "< 14"), 0.0, "kept"),
        (("12", "none"), 9.0, "nothing to measure"),
        (("12",), 0.0, "nothing to measure"),
    ],
)
def test_figures_of_a_column_end_at_one_place(cells: tuple[str, ...], off: float, expected: str) -> None:
    """Three tenths of a millimetre, and two hundredths for the rounding of the file."""
    rows = [("Sedge", cell) for cell in cells]
    shift = [0.0, off][: len(rows)]
    assert verdict("TB-02", page(*column(*table(HEAD, *rows, shift=shift)))) == expected


# --- what identifies a book ----------------------------------------------------------------------

OPENING = "For the technician. Applies to Holm. TQ-BOOK, revision 2, 25 Nov 2026. Approved by the lead. 01632 960 147."


def test_a_book_opens_on_its_first_three_pages() -> None:
    for before, expected in ((0, "kept"), (2, "kept"), (3, "broken")):
        file = book(*[[written("P", "Plain.")] for _ in range(before)], [written("P", OPENING)])
        assert verdict("ST-09", file) == expected
        assert verdict("DC-09", file) == expected
    assert verdict("ST-09", book([written("P", OPENING)], [written("P", "Plain.")])) == "kept"


@pytest.mark.parametrize(
    "lacking", ["For the technician", "Applies to Holm", "revision 2", "25 Nov 2026", "01632 960 147"]
)
def test_a_book_opens_with_all_five(lacking: str) -> None:
    found = making.outcome("ST-09", "handbook", book([written("P", OPENING.replace(lacking, ""))]))
    assert len(found.breaches) == 1
    assert (found.looked_at, found.breaches[0].page) == (5, 1)


@pytest.mark.parametrize("contact", ["Write to us@example.org", "Call 0163-2960", "Call 01632 960"])
def test_a_publisher_is_reached_by_telephone_or_letter(contact: str) -> None:
    assert verdict("ST-09", book([written("P", OPENING.replace("01632 960 147", contact))])) == "kept"


def log(*rows: tuple[str, str], head: tuple[str, str] = ("Revision", "Date")) -> str:
    return verdict("DC-10", book([written("P", OPENING)], table(head, *rows)))


def test_the_log_of_revisions_ends_with_the_newest() -> None:
    """A row for each, from the first on: MIL-STD-38784."""
    first, second = ("1", "1 Mar 2026"), ("2", "25 Nov 2026")
    assert log(first, second) == "kept"
    assert log(("1", "2026-03-01"), ("2", "2026-11-25")) == "kept"
    assert log(first) == "broken"
    assert log(second) == "broken"
    assert log(first, second, ("3", "26 Nov 2026")) == "broken"
    assert log(second, first) == "broken"
    assert log(("one", "1 Mar 2026"), second) == "broken"
    assert log(("1", "in March"), second) == "broken"
    assert log(first, second, head=("Number", "Date")) == "broken"
    assert verdict("DC-10", book([written("P", "Plain.")], table(("Revision", "Date"), first))) == "broken"
    assert verdict("DC-10", book([written("P", OPENING)])) == "broken"
    (made,) = making.outcome(
        "DC-10", "handbook", book([written("P", OPENING)], table(("Revision", "Date"), first))
    ).breaches
    assert (made.measured, made.page) == ("1 row, newest 1", 2)


def running(*lines: str, tagged: bool = False) -> PdfFile:
    """A book with a line at the foot of each page."""
    pages = []
    for line in lines:
        text = written("P", "Words.")
        foot = (
            written("P", *line.split("|"))
            if tagged
            else [making.letters(part, 10, 200, 90, 204) for part in line.split("|")]
        )
        pages.append(page(*text, *foot, size=(148, 210)))
    return joined(*pages)


def test_every_page_but_the_first_names_document_and_revision() -> None:
    line, other = "TQ-BOOK, revision 1, 25 Nov 2026", "TQ-BOOK, revision 2, 26 Nov 2026"
    assert verdict("DC-03", running("", line, line)) == "kept"
    assert verdict("DC-03", running(line, line, "")) == "broken"
    assert verdict("DC-03", running(line, line, other)) == "broken"
    assert verdict("DC-03", running("", "", "")) == "broken"
    assert (
        verdict("DC-03", running("", "TQ-BOOK, revision 1,|25 Nov 2026", "TQ-BOOK, revision 1,|25 Nov 2026"))
        == "kept"
    )
    assert (
        verdict("DC-03", running("", line, line, tagged=True)) == "broken"
    )  # among the words it is no running line
    assert [
        r.page for r in making.outcome("DC-03", "handbook", running(other, line, line, line, other)).breaches
    ] == [5]
    assert verdict("DC-03", running(line)) == "nothing to measure"


def test_decoration_may_carry_the_running_line() -> None:
    pages = []
    for _ in range(2):
        foot = written("P", "TQ-BOOK, revision 1, 25 Nov 2026")
        for run in foot:
            run.artifact = True
        pages.append(page(*written("P", "Words."), *foot, size=(148, 210)))
    assert verdict("DC-03", joined(*pages)) == "kept"


@pytest.mark.parametrize(
    ("sentence", "enumerates"),
    [
        ("The plug; the lead; the fuse.", True),
        ("The plug; the lead.", False),
        ("The plug, the lead, the fuse, the joint, all.", True),
        ("The plug, the lead, the fuse, all.", False),
        ("Look at: the plug, the lead, the fuse, all.", True),
        ("Look at: the plug, the lead, all.", False),
        ("Choose Menu › Depth.", True),
        ("Look at the plug.", False),
    ],
)
def test_an_enumeration_is_no_sentence(sentence: str, enumerates: bool) -> None:
    assert is_enumeration(sentence) == enumerates


def readings(rule: str, file: PdfFile, kind: str = "handbook") -> list[tuple[float | str, str, int]]:
    """All that a rule measured: value, words, page."""
    return [(r.measured, r.says, r.page) for r in making.rule(rule, kind).read(file)]


def test_a_table_is_told_by_its_beginning_its_column_and_its_page() -> None:
    long = "Boats of the quay and of the yard and of the river"
    plain = [written("P", "Plain.")]

    def of(
        rule: str, *rows: tuple[str, ...], head: bool = True, kind: str = "handbook"
    ) -> list[tuple[float | str, str, int]]:
        made = table((long, "Drop", "Most") if head else (), *rows)
        return readings(rule, book(plain, made), kind)

    first, second = ("Sedge", "0.39 V", "0.50 V"), ("Marten", "290 mV", "0.40 V")
    quoted = f"{long} Drop Most Sedge 0.39 V 0.50 V"
    assert of("TB-01", first) == [("head", f"'{quoted[:50]}'", 2)]
    assert of("TB-01", (long, "x"), head=False) == [("no head", f"'{(long + ' x')[:50]}'", 2)]
    assert of("TB-04", first, second, kind="deck") == [("2 x 3", f"'{quoted[:40]}'", 2)]
    assert of("TB-04", kind="deck") == [("0 x 0", f"'{quoted[:40]}'", 2)]
    assert of("LO-06", first, second) == [
        ("V, mV", f"column 2 of '{quoted[:40]}'", 2),
        ("V", f"column 3 of '{quoted[:40]}'", 2),
    ]
    assert of("TB-05", first, second) == [("not named", f"'{quoted[:50]}'", 2)]
    spread = readings("TB-02", book(plain, table(("a", "b"), ("x", "1"), ("y", "2"), shift=[0.0, 0.12345])))
    assert spread == [(0.12, "column 2 of 'a b x 1 y 2'", 2)]
    assert next(says for _, says, _ in of("TB-02", first, second)) == f"column 2 of '{quoted[:30]}'"


def test_a_table_that_names_no_page_is_of_the_file() -> None:
    made = page(*column(*table(HEAD, *FIGURES)))
    for each in made.elements:
        each.page = None
    assert [found[2] for rule in ("TB-01", "LO-06") for found in readings(rule, made)] == [0, 0, 0]
    assert readings("TB-04", made, "deck")[0][2] == 0
    assert readings("TB-05", made)[0][2] == 1


def test_five_figures_of_eight_are_a_majority() -> None:
    rows = [("a", "1 V", "2 V", "3 V", "4 V"), ("b", "5 V", "so", "so", "so")]
    assert verdict("TB-05", book(table(HEAD, *rows))) == "broken"


def test_what_identifies_a_book_is_told() -> None:
    plain = book([written("P", "Plain.")])
    missing = ("what it applies to", "revision", "date", "publisher's contact", "reader")
    assert readings("ST-09", plain) == [(f"no {what}", "first pages", 1) for what in missing]
    assert readings("ST-09", book([written("P", OPENING)])) == [(what, "first pages", 1) for what in missing]
    assert readings("DC-09", plain) == [("nobody", "first pages", 1)]
    assert readings("DC-09", book([written("P", OPENING)])) == [("named", "first pages", 1)]
    assert readings("DC-10", plain) == [("no log", "the file", 0)]
    logged = book(
        [written("P", OPENING)], table(("Revision", "Date"), ("1", "1 Mar 2026"), ("2", "25 Nov 2026"))
    )
    assert readings("DC-10", logged) == [("2 rows, newest 2", "log of revisions", 2)]
    line = "TQ-BOOK, revision 1, 25 Nov 2026"
    assert readings("DC-03", running("", "", line, line)) == [
        ("none", "running line", 2), (line, "running line", 3), (line, "running line", 4),
    ]  # fmt: skip


def test_the_longest_sentence_is_quoted_by_its_beginning() -> None:
    long = " ".join(["Word", *["word"] * 25]) + "."
    assert readings("PL-02", page(*written("P", long))) == [(26, f"'{long[:70]}'", 1)]
    twenty = " ".join(["Word", *["word"] * 20]) + "."
    assert verdict("PL-01", page(*written("LI", twenty, label="1."))) == "broken"


def test_two_letters_are_a_word_in_capitals() -> None:
    assert longest("NO GO") == 2
