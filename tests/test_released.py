"""A release: a face that changed bears a later revision, or it is no release."""

from __future__ import annotations

import json
from pathlib import Path

import pymupdf
import pytest

import small_content
from leadsman.book.verdict import judge
from leadsman.build import Order, build_editions
from leadsman.cli import main
from leadsman.content.catalogue import PRINTED_CARDS, PRINTED_NUMBERS, load
from leadsman.errors import LeadsmanError
from leadsman.released import Card, cards_as_kept, cards_of, kept_cards, unraised

ENTRY = "faults/depth/no-depth.yaml"
SECOND = """  - {revision: 2, date: "2026-12-01", affects: D1, reason: Another title., approved_by: Workshop lead}
"""
RAISED = ("status: ", 'revision: 2\nrevised: "2026-12-01"\nstatus: ')


def deck(folder: Path, out: Path, repository: Path) -> Path:
    """Make the small deck."""
    catalogue = load(folder)
    (made,) = build_editions(Order(catalogue, judge(catalogue), repository / "templates"), ["deck"], out)
    return made.path


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory, repository: Path) -> dict[str, Card]:
    """Return the cards of the deck as it stands."""
    return cards_of(deck(small_content.FOLDER, tmp_path_factory.mktemp("first"), repository))


def test_a_card_is_known_by_its_faces_and_says_its_own_revision(
    first: dict[str, Card], tmp_path: Path, repository: Path
) -> None:
    """A changed word changes that card alone, and the list of cards beside it where it stands in a title."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, ENTRY, "title: No depth", "title: No depth at all")
    catalogue, path = load(folder), deck(folder, tmp_path / "changed", repository)
    code = catalogue.faults["no-depth"].code
    changed = cards_of(path)
    assert {c for c in first if first[c].faces != changed[c].faces} >= {code}
    other = catalogue.faults["low-volts"].code
    assert changed[other] == first[other]
    problems = unraised({path.name: first}, {path.name: changed}, {path.name: "deck"}, catalogue)
    assert any(
        f"{ENTRY}:" in str(p) and f"card {code} changed since its revision 1 was released" in p.what
        and p.hint == "write 'revision: 2' and its day under 'revised'"
        for p in problems
    ), problems  # fmt: skip
    assert all(p.rule == "card-revision" for p in problems)

    small_content.edit(folder, ENTRY, *RAISED)
    with (folder / "editions" / "deck.yaml").open("a", encoding="utf-8") as record:
        record.write(SECOND)
    path = deck(folder, tmp_path / "raised", repository)
    raised = cards_of(path)
    assert raised[code] == Card(2, raised[code].date, changed[code].faces), "the foot counts as the face"
    assert raised[code].date != first[code].date
    assert raised[other] == first[other], "a card that stays keeps its revision"
    assert unraised({path.name: first}, {path.name: raised}, {path.name: "deck"}, load(folder)) == []
    with pymupdf.open(path) as document:
        text = " ".join(" ".join(page.get_text() for page in document).split())
    assert "A sheet of a later revision replaces the earlier one: destroy that." in text


def test_a_revision_has_its_day() -> None:
    found = small_content.edited((ENTRY, "status: ", "revision: 2\nstatus: ")).problems
    assert ["'revision' and 'revised' go together" in problem.what for problem in found] == [True]


def test_what_is_kept_is_read_as_it_was_written(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    catalogue = load(folder)
    assert kept_cards(catalogue) == {}
    cards = {"deck-a6.pdf": {"P1": Card(1, "25 Nov 2026", "ab"), "P02": Card(3, "1 Dec 2026", "cd")}}
    (folder / PRINTED_CARDS).write_bytes(cards_as_kept(cards))
    assert load(folder).problems == [], "the file belongs there"
    assert kept_cards(catalogue) == cards
    for broken in ("{", "[]", '{"form": 9}', '{"form": 1, "files": {"a": {"P1": 3}}}'):
        (folder / PRINTED_CARDS).write_text(broken, encoding="utf-8")
        with pytest.raises(LeadsmanError, match="is not as leadsman wrote it"):
            kept_cards(catalogue)


def test_the_command_refuses_a_release_with_a_card_that_kept_its_revision(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing of the release is kept until the revision is raised; the finished deck is there to be looked at."""
    folder = small_content.copy(tmp_path)

    def release() -> tuple[object, str]:
        with pytest.raises(SystemExit) as end:
            main(["build", "--release", "--content", str(folder), "--out", str(tmp_path / "out")])
        said = capsys.readouterr()
        return end.value.code, said.out + said.err

    assert release()[0] == 0
    kept = (folder / PRINTED_CARDS).read_bytes()
    assert "deck-a6.pdf" in json.loads(kept)["files"]
    small_content.edit(folder, ENTRY, "plug: plug of the transducer", "plug: plug of the element")
    (folder / PRINTED_NUMBERS).unlink()
    code, said = release()
    assert code == 1
    assert "still says 1; write 'revision: 2' and its day under 'revised'" in said
    assert "this is no release: 1 card changed" in said
    assert (folder / PRINTED_CARDS).read_bytes() == kept
    assert not (folder / PRINTED_NUMBERS).exists()
    # With its revision raised the survey has nothing against it either: one revision a card, and what it replaces.
    small_content.edit(folder, ENTRY, *RAISED)
    with (folder / "editions" / "deck.yaml").open("a", encoding="utf-8") as record:
        record.write(SECOND)
    code, said = release()
    assert code == 0, said
    assert (folder / PRINTED_CARDS).read_bytes() != kept
