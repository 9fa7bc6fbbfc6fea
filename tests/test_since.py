"""``leadsman build --since`` and ``--paper``: bars beside what changed, the notice of cards, the page size.

On the small content, whose deck has two cards.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pikepdf
import pymupdf
import pytest

import small_content
from leadsman.cli import main
from leadsman.content.catalogue import PRINTED_CARDS, load
from leadsman.content.model.edition import HandbookEdition
from leadsman.output.change_bars import change_bar_css
from leadsman.output.handbook import Part, write_handbook_pdf
from leadsman.press.typeset import Typesetter, render_pdf
from leadsman.released import Card, cards_as_kept, made_cards, replacement

HANDBOOK = {
    "id": "book",
    "kind": "handbook",
    "title": "Book",
    "subtitle": "The handbook",
    "set_name": "Quay book",
    "document": "Q-BOOK",
    "formats": ["pdf"],
    "reader": "For the technician.",
    "kept": "In the workshop.",
    "revisions": [{
        "revision": 1, "date": "2026-11-25", "affects": "All pages", "reason": "First edition.",
        "approved_by": "Workshop lead",
    }],
}  # fmt: skip


def git(folder: Path, *words: str) -> None:
    named = [
        "-c",
        "user.name=Writer",
        "-c",
        "user.email=writer@tolmerquay.example",
        "-c",
        "commit.gpgsign=false",
    ]
    subprocess.run(["git", *named, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository with a tag, and one remedy changed since."""
    folder = tmp_path_factory.mktemp("book")
    git(folder, "init", "-q", "-b", "main")
    content = small_content.copy(folder)
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "First edition")
    git(folder, "tag", "first")
    small_content.edit(
        content, "faults/power/low-volts.yaml", "remedy: [Renew the joint.]", "remedy: [Clean the joint.]"
    )
    return folder


def build(*words: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["build", *words])
    return int(ended.value.code or 0)


def test_a_deck_comes_with_the_notice_of_its_cards(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = str(book / "content")
    assert build("deck", "--content", content, "--out", str(tmp_path), "--since", "first") == 0
    notice = (tmp_path / "deck-replace.txt").read_text(encoding="utf-8").splitlines()
    assert notice == [
        "Cards, Q-DECK revision 1, 2026-11-25",
        "Replace these cards: the sheet that opens the set; P1 Low volts.",
    ]
    assert "Replace these cards: the sheet that opens the set; P1 Low volts." in capsys.readouterr().out
    assert (tmp_path / "deck-a6.pdf").is_file()


@pytest.fixture(scope="module")
def released(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository whose tag holds the faces that its release printed."""
    folder = tmp_path_factory.mktemp("released")
    git(folder, "init", "-q", "-b", "main")
    content, out = small_content.copy(folder), folder / "out"
    assert build("deck", "--content", str(content), "--out", str(out)) == 0
    (content / PRINTED_CARDS).write_bytes(cards_as_kept(made_cards([out / "deck-a6.pdf"])))
    git(folder, "add", "content")
    git(folder, "commit", "-q", "-m", "First edition")
    git(folder, "tag", "first")
    return folder


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        # What only the handbook prints changes no card, whatever `leadsman changes` has to tell of it.
        ("faults/power/low-volts.yaml", "Somebody set it.", "Somebody has set it.", ["Every card stays as it is."]),
        ("faults/power/low-volts.yaml", "remedy: [Renew the joint.]", "remedy: [Clean the joint.]",
         ["Replace these cards: P1 Low volts."]),
        # A word of the frame is in no entry, and on each face.
        ("phrases/en.yaml", "note_it: NOTE", "note_it: WRITE",
         ["Replace these cards: P1 Low volts; D1 No depth."]),
    ],
)  # fmt: skip
def test_the_notice_holds_finished_faces_against_those_of_the_release(
    released: Path, tmp_path: Path, file: str, old: str, new: str, said: list[str]
) -> None:
    copy = shutil.copytree(released, tmp_path / "copy")
    small_content.edit(copy / "content", file, old, new)
    words = ["deck", "--content", str(copy / "content"), "--out", str(tmp_path), "--since", "first"]
    assert build(*words) == 0
    notice = (tmp_path / "deck-replace.txt").read_text(encoding="utf-8").splitlines()
    assert notice[1:] == said


def test_the_cards_of_a_deck_are_told_apart_by_what_became_of_them() -> None:
    """Replaced, added, destroyed, each once, though a deck has two sizes; in the order of the deck."""
    before = {
        "A0": Card(1, "d", "x"),
        "D1": Card(1, "d", "x"),
        "P1": Card(1, "d", "x"),
        "W1": Card(1, "d", "x"),
    }
    now = {"A0": Card(1, "d", "y"), "D1": Card(2, "d", "y"), "P1": Card(1, "d", "x"), "Q1": Card(1, "d", "x")}
    titles = {"P1": "Low volts", "Q1": "Quiet", "D1": "No depth"}
    found = replacement(
        [(before, now), (before, {**now, "P1": Card(1, "d", "y")})], titles, {"W1": "W1 Warm"}
    )
    assert found.lines() == [
        "Replace these cards: A0 the sheet that opens the set; P1 Low volts; D1 No depth.",
        "Add these cards: Q1 Quiet.",
        "Destroy these cards: W1 Warm.",
    ]


def test_a_bad_revision_makes_nothing(book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = str(book / "content")
    assert build("deck", "--content", content, "--out", str(tmp_path / "out"), "--since", "last") == 2
    assert "'last' is no revision" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def bars(page: Any) -> list[tuple[float, float]]:
    """Top and bottom of each black bar left of the text [pt], found on the painted page."""
    pixels = page.get_pixmap(dpi=144, colorspace=pymupdf.csGRAY)
    gray = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)
    margin = gray[:, : round(42.0 * 2)] < 100  # 42 pt is less than the left margin of 15 mm
    rows = np.flatnonzero(margin.any(axis=1))
    if not len(rows):
        return []
    parts = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    return [(part[0] / 2, part[-1] / 2) for part in parts]


def test_bars_stand_beside_what_changed_and_move_nothing(repository: Path, tmp_path: Path) -> None:
    html = (
        '<h1>One</h1><div id="a-step-b"><p>Changed words.</p></div><div id="a-step-c"><p>Old words.</p></div>'
    )
    css = "@page { size: A5; margin: 15mm } body { margin: 0 }"
    pages, documents = {}, []
    for name, changed in (("with", {"a-step-b", "not-here"}), ("without", set())):
        out = tmp_path / f"{name}.pdf"
        render_pdf(html, css, out=out, title="Book", typesetter=Typesetter(None, change_bar_css(changed)))
        documents.append(pymupdf.open(out))
        pages[name] = documents[-1][0]
    (bar,) = bars(pages["with"])
    (word,) = pages["with"].search_for("Changed words.")
    assert bar[0] <= word.y0 + 2
    assert bar[1] >= word.y1 - 4
    assert bars(pages["without"]) == []
    for words in ("Changed words.", "Old words."):
        (one,), (other,) = (page.search_for(words) for page in pages.values())
        assert tuple(one) == pytest.approx(tuple(other), abs=0.05)


@pytest.mark.parametrize(("paper", "size_mm"), [("a", (148.0, 210.0)), ("us", (139.7, 215.9))])
def test_a_handbook_takes_the_paper(
    book: Path, repository: Path, tmp_path: Path, paper: str, size_mm: Any
) -> None:
    """ISO 216 A5; half letter is 5.5 x 8.5 in. With one part of its many: all are laid out by one style sheet."""
    catalogue = load(book / "content")
    edition = HandbookEdition.model_validate({**HANDBOOK, "paper": paper})
    part = Part("use", "How to use it", '<h1 id="use">How to use it</h1><p>Find the entry.</p>')
    manual: Any = SimpleNamespace(edition=edition, entries=[], tables={})
    made = write_handbook_pdf(
        manual, [part], out=tmp_path / "book.pdf", templates=repository / "templates",
        typesetter=Typesetter(repository / "templates"), catalogue=catalogue,
    )  # fmt: skip
    with pikepdf.open(made.path) as pdf:
        for page in pdf.pages:
            found = [float(page.mediabox[i]) * 25.4 / 72 for i in (2, 3)]
            assert found == pytest.approx(size_mm, abs=0.01)
