"""A dealer's file beside the content: held to the rules of the content's own, each mistake told at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_guides
from leadsman.content.dealer_file import with_dealer
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
        ("none.svg", "is missing"),
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
        ("#402060", "#aaccee", "'colour' #aaccee stands 1.7 to 1 from white; take a darker one, 4.5 to 1 or more"),
        ("#402060", "violet", "mine.yaml:7:9: colour: 'violet' has the wrong form"),
        ("address: [2", "address: [[2", "is not valid YAML"),
        ("Sedge Lane Sounders", "Sedge 雑魚", "the fonts have no sign '雑' (U+96D1)"),
        ("Sedge Lane Sounders", "S" * 50, "a word of 50 letters"),
        ("Sedge Lane Sounders", "Se\u202edge", "holds the hidden sign U+202E"),
        ("+44", "44", "dial: '441632960555' has the wrong form"),
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
    _, problems = with_dealer(tmp_path / "no.yaml", small_guides.content()[0], dealer_mark)
    assert [problem.what for problem in problems] == ["is missing"]
