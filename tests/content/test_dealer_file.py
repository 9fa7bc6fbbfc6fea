"""A dealer's file beside the content: held to the rules of the content's own, each mistake told at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_guides
from leadsman.content.dealer_file import document_of, with_dealer
from leadsman.output.guide import dealer_mark


def told(tmp_path: Path, text: str) -> list[str]:
    """Return what is said of a file."""
    (tmp_path / "mine.yaml").write_text(text, encoding="utf-8")
    _, problems = with_dealer(tmp_path / "mine.yaml", small_guides.content()[0], dealer_mark)
    return [str(problem).replace(f"{tmp_path}/", "") for problem in problems]


def test_the_dealer_of_the_file_takes_the_place_of_the_contents_own(tmp_path: Path) -> None:
    catalogue, _ = small_guides.content()
    (tmp_path / "mine.yaml").write_text(
        small_guides.DEALER + f"mark: '{small_guides.MARK}'\n", encoding="utf-8"
    )
    mine, problems = with_dealer(tmp_path / "mine.yaml", catalogue, dealer_mark)
    assert problems == []
    assert (mine.dealer.name, mine.dealer.colour) == ("Sedge Lane Sounders", "#402060")
    assert catalogue.dealer.name == "Quay Workshop", "the content was changed"
    assert "M1 1" in dealer_mark(mine.dealer)


def test_a_mark_may_lie_beside_the_file_and_nowhere_else(tmp_path: Path) -> None:
    (tmp_path / "mark.svg").write_text(small_guides.MARK, encoding="utf-8")
    assert told(tmp_path, small_guides.DEALER + "mark: mark.svg\n") == []
    folder = tmp_path / "below"
    folder.mkdir()
    (folder / "link.svg").symlink_to(tmp_path / "mark.svg")
    (folder / "latin.svg").write_bytes(b"<svg>\xe4</svg>")
    hint = "put the picture beside this file, or write the SVG itself"
    for named, why in (
        ("../mark.svg", "lies in another folder"),
        (str(tmp_path / "mark.svg"), "lies in another folder"),
        ("link.svg", "is a link, no regular file"),
        ("latin.svg", "is no SVG picture"),
    ):
        line = f"mine.yaml:8:7: mark: the file that is named {why}; {hint}"
        assert told(folder, small_guides.DEALER + f"mark: {named}\n") == [line]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("name: Sedge", "title: Sedge", "mine.yaml:1:1: title: is an unknown key"),
        ("phone: 01632 960 555\n", "", "mine.yaml:1:1: phone: is missing; add it"),
        ("#402060", "#aaccee", "mine.yaml:7:9: colour: #aaccee is too light: white letters cannot be read on it"),
        ("#402060", "#aaccee", "the same colour, dark enough: '#64788c'"),
        ("#402060", "violet", "mine.yaml:7:9: colour: 'violet' is no colour that can be printed; write it as on web pages"),
        ('"#402060"', "#402060", "mine.yaml:7:8: colour: no colour stands here; without quotes all behind a # is lost"),
        ('"#402060"', '"#402060"\nemergency: coast', "emergency: 'coast' is no emergency number; write its figures"),
        ('"#402060"', '"#402060"\nletters: S-1', "letters: 'S-1' cannot begin the numbers of documents"),
        ("address: [2", "address: [[2", "is not valid YAML"),
        ("Sedge Lane Sounders", "Sedge 雑魚", "the fonts have no sign '雑' (U+96D1)"),
        ("Sedge Lane Sounders", "S" * 50, "a word of 50 letters"),
        ("Sedge Lane Sounders", "Se\u202edge", "holds the hidden sign U+202E"),
        ("01632 960 555", "'1.63297E+11'", "mine.yaml:3:8: phone: '1.63297E+11' is a long number that a spreadsheet has cut short; write the number with all its figures"),
        ("+44", "44", "dial: '441632960555' is no number that a telephone dials from anywhere; write a plus"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_at_its_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in small_guides.DEALER
    found = told(tmp_path, small_guides.DEALER.replace(old, new, 1))
    assert any(said in line for line in found), found
    assert all(line.startswith("mine.yaml:") for line in found)


@pytest.mark.parametrize(
    "part",
    [
        "<script>alert(1)</script>",
        '<image href="http://elsewhere.example/x.png"/>',
        '<path d="M0 0" onload="x()"/>',
        '<use href="file:///etc/hostname#a"/>',
        '<style>path { fill: url("http://elsewhere.example/a") }</style>',
    ],
)
def test_a_mark_that_loads_or_runs_is_refused(tmp_path: Path, part: str) -> None:
    """The same gate as the content's own mark passes."""
    found = told(
        tmp_path, small_guides.DEALER + f"mark: '{small_guides.MARK.replace('</svg>', part + '</svg>')}'\n"
    )
    assert len(found) == 1
    assert found[0].startswith("mine.yaml:8:7: mark: the mark cannot be printed: ")


def test_a_file_that_is_none_is_told(tmp_path: Path) -> None:
    assert told(tmp_path, "- a\n- b\n") == [
        "mine.yaml:1:1: is no dealer; write lines such as 'name: Quay Workshop'"
    ]
    (tmp_path / "mine-2026.yaml").write_text("", encoding="utf-8")
    _, problems = with_dealer(tmp_path / "mine2026.yaml", small_guides.content()[0], dealer_mark)
    assert [(problem.what, problem.hint) for problem in problems] == [
        ("is missing", "did you mean 'mine-2026.yaml' in that folder?")
    ]


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = (
        small_guides.DEALER.replace("phone: 01632 960 555\n", "")
        .replace("#402060", "red")
        .replace("+44", "0044")
    )
    found = told(tmp_path, text + "mark: mark.png\n")
    assert [line.split(": ")[1] for line in found] == ["phone", "dial", "colour", "mark"]


@pytest.mark.parametrize("typed", ["'#402060'", "402060", "'#426'", "'#4A2060'", '" #402060 "', "4A206F"])
def test_a_colour_is_read_as_people_type_it(tmp_path: Path, typed: str) -> None:
    assert told(tmp_path, small_guides.DEALER.replace('"#402060"', typed)) == []


def test_a_number_to_dial_and_an_address_are_read_as_people_type_them(tmp_path: Path) -> None:
    text = "emergency: 999\n" + small_guides.DEALER.replace("+441632960555", "+44 (1632) 960-555")
    text = text.replace("[2 Sedge Lane, Lanternby]", "2 Sedge Lane, Lanternby")
    (tmp_path / "mine.yaml").write_text(text, encoding="utf-8")
    mine, problems = with_dealer(tmp_path / "mine.yaml", small_guides.content()[0], dealer_mark)
    assert problems == []
    assert mine.dealer.emergency == "999"
    assert (mine.dealer.dial, mine.dealer.address) == ("+441632960555", ["2 Sedge Lane, Lanternby"])


@pytest.mark.parametrize(
    ("part", "said", "hint"),
    [
        ('<image href="data:image/png;base64,AA"/>', "it holds a photograph or a scan", "trace it into shapes"),
        ("<style>.a { fill: red }</style>", "it keeps its colours in a style sheet", "with its colours at the shapes"),
        ('<text font-family="Fraktur">S</text>', "it holds letters in a font that is not here", "turn the letters into outlines"),
        ("<script>x()</script>", "it holds something that runs or moves", "save it as plain SVG"),
        ('<use href="other.svg#a"/>', "it takes a part of itself from elsewhere", "all parts inside"),
        ("<path d='M0 0'", "it is no whole SVG picture", "save it anew"),
    ],
)  # fmt: skip
def test_why_a_mark_cannot_be_printed_is_said_in_a_dealers_words(
    tmp_path: Path, part: str, said: str, hint: str
) -> None:
    (tmp_path / "mark.svg").write_text(small_guides.MARK.replace("</svg>", part + "</svg>"), encoding="utf-8")
    (line,) = told(tmp_path, small_guides.DEALER + "mark: mark.svg\n")
    assert f"mark: 'mark.svg' cannot be printed: {said} (" in line
    assert hint in line
    assert "dealer-mark" not in line


def test_a_mark_that_is_named_and_missing_or_no_drawing_is_told(tmp_path: Path) -> None:
    (tmp_path / "lane-mark.svg").write_text(small_guides.MARK, encoding="utf-8")
    (line,) = told(tmp_path, small_guides.DEALER + "mark: lanemark.svg\n")
    assert line.endswith(
        "mark: the file that is named is missing; did you mean 'lane-mark.svg' in that folder?"
    )
    (line,) = told(tmp_path, small_guides.DEALER + "mark: mark.png\n")
    assert (
        "mark: 'mark.png' is no SVG picture, and a mark is printed from nothing else; ask whoever drew the mark"
        in line
    )


def test_the_numbers_of_documents_begin_with_the_dealers_own_letters(tmp_path: Path) -> None:
    catalogue, edition = small_guides.content()
    for more, number in (("", "SLS-OWNER"), ("letters: lane\n", "LANE-OWNER")):
        (tmp_path / "mine.yaml").write_text(small_guides.DEALER + more, encoding="utf-8")
        mine, problems = with_dealer(tmp_path / "mine.yaml", catalogue, dealer_mark)
        assert problems == []
        assert document_of(edition, mine.dealer) == number
    bare = edition.model_copy(update={"document": "OWNER"})
    assert document_of(bare, mine.dealer) == "LANE-OWNER"
