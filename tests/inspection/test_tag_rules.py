"""Rules on tags, on trees made by hand: each clause just kept and just broken, and what is told of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inspection import making
from inspection.making import FACE, column, element, in_turn, joined, lowered, page, written
from leadsman.inspection.model import Annotation, Box, Element, PdfFile, Run

Told = list[tuple[float | str, str, int]]


def verdict(rule: str, file: PdfFile) -> str:
    return making.outcome(rule, "handbook", file).verdict


def told(rule: str, file: PdfFile) -> Told:
    """What breaks a rule: measured, said, on which page."""
    return [(r.measured, r.says, r.page) for r in making.outcome(rule, "handbook", file).breaches]


def of_tree(*tops: Element, **more: Any) -> PdfFile:
    return replace(page(), tree=list(tops), **more)


def nested(tag: str, *kids: Element, **more: Any) -> Element:
    """An element around others."""
    made = element(tag, page=3, **more)
    for kid in kids:
        kid.parent = made
        made.kids.append(kid)
    return made


def text(words: str, tag: str = "P") -> list[Run]:
    return written(tag, words)


def test_what_is_painted_is_tagged() -> None:
    (only,) = page().pages
    file = replace(page(), pages=[replace(only, untagged_operators=n, number=n + 1) for n in (0, 1)])
    assert told("PD-01", file) == [(1, "operators outside the tags", 2)]


def heads(
    *lines: str, top: float = 8.0, bottom: float | None = None, tag: str = "P", high: float = 210.0
) -> Told:
    """A line near the edge of each page."""
    pages = []
    for line in lines:
        runs = written(tag, line)
        tall = runs[0].box.height
        runs = lowered(runs, high - bottom - tall if bottom is not None else top)
        # The places of the sample page begin 30 mm down, as its trim size does not.
        made = page(*runs, size=(148, high))
        for run in made.runs:
            run.box = Box(run.box.left, run.box.top - 30, run.box.right, run.box.bottom - 30)
        pages.append(made)
    return told("PD-02", joined(*pages))


def test_a_line_that_returns_on_three_pages_is_decoration() -> None:
    """In the margin of 14 mm; the head of a table returns by right, and short signs are none."""
    third = [("3 pages in a row", "'Faults'", 3)]
    assert heads("Faults", "Faults", "Faults") == third
    assert heads("Faults", "Faults") == []
    assert heads("Faults", "Faults", "Power", "Faults", "Faults") == []
    assert heads("Faults", "Power", "Faults", "Faults", "Faults") == [("3 pages in a row", "'Faults'", 5)]
    assert heads("Faults", "Faults", "Faults", "Faults") == [*third, ("4 pages in a row", "'Faults'", 4)]
    assert heads("Off", "Off", "Off") == []
    assert heads("Four", "Four", "Four") != []
    assert heads("Faults", "Faults", "Faults", tag="TH") == []
    assert heads(*["Faults"] * 3, top=13.9) != []
    assert heads(*["Faults"] * 3, top=14.1) == []
    assert heads(*["Faults"] * 3, bottom=13.9) != []
    assert heads(*["Faults"] * 3, bottom=14.1) == []


def test_a_line_at_another_height_is_another_line() -> None:
    first, second, third = (page(*lowered(written("P", "Faults"), 8), size=(148, 210)) for _ in range(3))
    for made, at in ((first, 8), (second, 8), (third, 10)):
        for run in made.runs:
            run.box = Box(10, at, 40, at + 4)
    assert told("PD-02", joined(first, second, third)) == []


@pytest.mark.parametrize(
    ("more", "measured"),
    [
        ({"xmp_title": "Faults"}, []),
        ({"xmp_title": " "}, ["title ' '"]),
        ({"xmp_title": "F", "ua_part": "2"}, ["PDF/UA part '2'"]),
    ],
)
def test_metadata_names_title_and_part(more: dict[str, str], measured: list[str]) -> None:
    assert told("PD-03", of_tree(**more)) == [(said, "the file", 0) for said in measured]


def test_the_title_is_shown_and_the_file_marked() -> None:
    assert told("PD-04", of_tree(shows_title=False)) == [("DisplayDocTitle false", "the file", 0)]
    assert told("PD-04", of_tree(shows_title=True)) == []
    assert told("PD-17", of_tree(marked=True, suspects=False)) == []
    assert told("PD-17", of_tree(marked=False, suspects=False)) == [
        ("Marked false, Suspects false", "the file", 0)
    ]
    assert told("PD-17", of_tree(marked=True, suspects=True)) == [
        ("Marked true, Suspects true", "the file", 0)
    ]


@pytest.mark.parametrize(
    ("tag", "right"),
    [
        ("en-GB", True),
        ("de", True),
        ("zh-Hans-CN", True),
        ("en_GB", False),
        ("", False),
        ("English language", False),
        ("x" * 9, False),
    ],
)
def test_a_language_is_a_tag_of_bcp_47(tag: str, right: bool) -> None:
    """RFC 5646: parts of one to eight letters, then letters and digits, with hyphens between."""
    assert told("PD-05", of_tree(language=tag)) == ([] if right else [(tag or "none", "the file", 0)])
    inner = nested("Span", language=tag)
    expected = [] if right or not tag else [(tag, "Span ''", 3)]
    assert told("PD-05", of_tree(inner, element("P"), language="en")) == expected


def test_a_figure_has_an_alternative() -> None:
    assert told("PD-06", of_tree(nested("Figure", alt="A hull"), element("P"))) == []
    assert told("PD-06", of_tree(nested("Figure"))) == [("none", "Figure ''", 3)]
    long = making.outcome("PD-06", "handbook", of_tree(nested("Figure", alt="x" * 60)))
    assert long.looked_at == 1


@pytest.mark.parametrize(
    ("levels", "breaks"),
    [
        ("1", None), ("12", None), ("1223121", None), ("123456", None), ("2", ("H2 after none", 0)), ("13", ("H3 after H1", 1)),
        ("1214", ("H4 after H1", 3)),
    ],
)  # fmt: skip
def test_headings_skip_no_level(levels: str, breaks: tuple[str, int] | None) -> None:
    tops = [nested(f"H{level}") for level in levels]
    assert told("PD-07", of_tree(*tops)) == ([(breaks[0], f"{tops[breaks[1]].tag} ''", 3)] if breaks else [])


def test_headings_are_of_one_kind() -> None:
    assert told("PD-07", of_tree()) == [("no heading", "the file", 0)]
    assert told("PD-07", of_tree(element("H"))) == [("no heading", "the file", 0)]
    assert told("PD-07", of_tree(element("H1"), element("H"))) == [("H and Hn mixed", "the file", 0)]


def table(*kids: Element) -> Told:
    return told("PD-08", of_tree(nested("Table", *kids)))


def test_tables_are_built_of_rows_and_cells() -> None:
    """ISO 32000-1, 14.8.4.3.4."""
    row = lambda *tags: nested("TR", *(element(tag) for tag in tags))  # noqa: E731
    assert (
        table(
            element("Caption"),
            nested("THead", row("TH")),
            nested("TBody", row("TH", "TD")),
            nested("TFoot", row("TD")),
        )
        == []
    )
    assert table(row("TH", "TD")) == []
    assert table(element("Div"), element("P")) == [("holds Div, P", "Table ''", 3)]
    assert table(nested("THead", element("P"))) == [("holds P", "THead ''", 3)]
    assert table(nested("TBody", element("TD"))) == [("holds TD", "TBody ''", 3)]
    assert table(nested("TFoot", element("TR"), element("TH"))) == [("holds TH", "TFoot ''", 3)]
    assert table(row("P")) == [("holds P", "TR ''", 3)]
    assert table(element("THead"), element("THead")) == [("2 parts", "Table ''", 3)]


@pytest.mark.parametrize(
    ("scope", "right"), [("Row", True), ("Column", True), ("Both", True), ("", False), ("Cell", False)]
)
def test_a_header_cell_says_what_it_heads(scope: str, right: bool) -> None:
    assert told("PD-09", of_tree(nested("TH", scope=scope), element("TD"))) == (
        [] if right else [(scope or "none", "TH ''", 3)]
    )


def test_lists_are_built_of_items() -> None:
    item = lambda *tags: nested("LI", *(element(tag) for tag in tags))  # noqa: E731
    assert (
        told("PD-10", of_tree(nested("L", element("Caption"), item("Lbl", "LBody"), item("LBody", "L"))))
        == []
    )
    assert told("PD-10", of_tree(nested("L", nested("L", item("LBody"))))) == []
    assert told("PD-10", of_tree(nested("L", element("P"), item("LBody")))) == [("LI, P", "L ''", 3)]
    assert told("PD-10", of_tree(nested("L", item("Lbl")))) == [("Lbl", "LI ''", 3)]
    assert told("PD-10", of_tree(nested("L", item("Lbl", "LBody", "P")))) == [("LBody, Lbl, P", "LI ''", 3)]
    assert told("PD-10", of_tree(item("LBody"))) == [("LBody", "LI ''", 3)]
    assert told("PD-10", of_tree(nested("Div", item("LBody")))) == [("LBody", "LI ''", 3)]


def annotated(*found: Annotation, tabs: str = "/S") -> PdfFile:
    (only,) = page().pages
    return replace(page(), pages=[replace(only, annotations=list(found), tab_order=tabs)])


BOX = Box(0, 0, 9, 9)
LINK, FIELD = (
    Annotation(1, "link", BOX, "The power part", "Link", True),
    Annotation(1, "field", BOX, "Boat", "Form", True),
)


@pytest.mark.parametrize(
    ("found", "wrong"),
    [
        (LINK, ""),
        (FIELD, ""),
        (replace(LINK, tagged_as="Form"), "tagged as Form"),
        (replace(FIELD, tagged_as="Link"), "tagged as Link"),
        (replace(FIELD, tagged_as=""), "tagged as nothing"),
        (replace(LINK, says=""), "no description"),
        (replace(LINK, says="#power", target="power"), "no description"),
        (replace(LINK, target="power"), ""),
        (replace(LINK, resolved=False), "leads nowhere"),
        (
            replace(LINK, tagged_as="", says="", resolved=False),
            "tagged as nothing, no description, leads nowhere",
        ),
    ],
)
def test_a_link_or_field_is_tagged_described_and_leads_somewhere(found: Annotation, wrong: str) -> None:
    assert told("PD-11", annotated(found)) == ([(wrong, found.says, 1)] if wrong else [])


def test_the_tab_key_follows_the_tags_where_there_is_something_to_reach() -> None:
    assert told("PD-12", annotated(LINK)) == []
    assert told("PD-12", annotated(LINK, tabs="/R")) == [("/R", "tab order", 1)]
    assert told("PD-12", annotated(LINK, tabs="")) == [("none", "tab order", 1)]
    assert told("PD-12", annotated(tabs="")) == []


def test_fonts_are_embedded_and_of_the_house() -> None:
    def of(rule: str, **more: Any) -> Told:
        return told(rule, of_tree(typefaces=[replace(FACE, **more)]))

    assert of("PD-13") == []
    assert of("PD-13", embedded=False) == [("not embedded", "Leadsman-Head", 0)]
    assert of("PD-13", has_unicode=False) == [("no Unicode", "Leadsman-Head", 0)]
    assert of("PD-13", embedded=False, has_unicode=False) == [
        ("not embedded, no Unicode", "Leadsman-Head", 0)
    ]
    assert of("FN-01", name="Leadsman Text Bold") == of("FN-01", name="LeadsmanForm-Bold") == []
    assert of("FN-01", name="My-Leadsman-Text") == [("My-Leadsman-Text", "font", 0)]


def test_bookmarks_mirror_the_headings_of_the_first_level() -> None:
    made = page(*column(text("Dead unit", "H1"), text("No echo", "H1"), text("More", "H2")))
    assert told("PD-16", replace(made, outline=[(1, "Dead  unit", 1), (1, "No echo", 1)])) == []
    assert told("PD-16", replace(made, outline=[(1, "Dead unit", 1)])) == [("no bookmark", "H1 'No echo'", 1)]


def read_in(*boxes: tuple[float, float, float, float], parent: str = "") -> Told:
    around = element(parent) if parent else None
    runs = [written("P", making.letters(f"text {n}", *box), parent=around)[0] for n, box in enumerate(boxes)]
    return told("PD-23", page(*in_turn(runs)))


def test_texts_are_read_in_the_order_in_which_they_stand() -> None:
    """What stands beside is no inversion, nor what touches by rounding."""
    above = [("above the text read before", "'text 1'", 1)]
    low = (10, 20, 40, 24)
    assert read_in(low, (10, 30, 40, 34)) == []
    assert read_in(low, (10, 10, 40, 14)) == above
    assert read_in(low, (10, 15.4, 40, 19.4)) == above
    assert read_in(low, (10, 15.6, 40, 19.6)) == []
    assert read_in(low, (40, 10, 60, 14)) == []
    assert read_in(low, (39.9, 10, 60, 14)) == above
    assert read_in((30, 20, 60, 24), (10, 10, 30, 14)) == []
    assert read_in((30, 20, 60, 24), (10, 10, 30.1, 14)) == above
    for tag in ("Table", "Figure"):
        assert read_in(low, (10, 10, 40, 14), parent=tag) == []


def test_an_element_is_quoted_with_its_page() -> None:
    """Fifty letters of its text, forty of an alternative; one that names no page is of the file."""
    words = "word " * 20
    made = page(*written("H1", words))
    assert told("PD-16", made) == [("no bookmark", f"H1 '{words.strip()[:50]}'", 1)]
    nowhere = element("Figure", page=None)
    assert told("PD-06", of_tree(nowhere)) == [("none", "Figure ''", 0)]
    figure = of_tree(nested("Figure", alt=words))
    found = [r.measured for r in making.rule("PD-06", "handbook").read(figure)]
    assert found == [words[:40]]
    said = replace(LINK, says=words, resolved=False)
    assert told("PD-11", annotated(said)) == [("leads nowhere", words[:50], 1)]


def test_lists_may_hold_all_that_they_may_hold() -> None:
    item = nested("LI", element("Lbl"), element("LBody"), element("L"))
    assert told("PD-10", of_tree(nested("L", element("Caption"), element("L"), item))) == []


def test_half_a_millimetre_is_no_inversion() -> None:
    assert read_in((10, 20, 40, 24), (10, 15.48, 40, 19.48)) != []
    assert read_in((10, 20, 40, 24), (10, 15.52, 40, 19.52)) == []
