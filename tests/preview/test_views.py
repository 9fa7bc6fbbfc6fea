"""What a writer sees of a card after an edit: the pages of the deck, the untouched ones from memory."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.preview.views import Desk

ROOT = Path(__file__).resolve().parents[2]


def test_an_edit_sets_the_changed_face_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The words of the head stand on the first face; the other faces are the same pictures."""
    folder = small_content.copy(tmp_path)
    desk = Desk(folder, ROOT / "templates")
    target = desk.target("no-depth")

    def card() -> tuple[bytes, ...]:
        view = dict(desk.views(target))["card"]()
        assert not view.trouble, view.trouble
        return view.pages

    before = card()
    laid_out: list[str] = []
    lay_out = desk.typesetter.lay_out

    def noted(html: str, *more: Any, **named: Any) -> Any:
        laid_out.append(html)
        return lay_out(html, *more, **named)

    monkeypatch.setattr(desk.typesetter, "lay_out", noted)
    small_content.edit(folder, "faults/depth/no-depth.yaml", "No depth number stands", "No depth number is")
    desk.read()
    after = card()

    assert len(before) == len(after) >= 2
    assert before[0] != after[0]
    assert before[1:] == after[1:]
    # The block of the head is measured, and its face set.
    assert len(laid_out) == 2
    assert all("No depth number is" in html for html in laid_out)


def test_a_card_by_itself_is_as_tall_as_in_its_deck(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer that leads to another card of the deck names its sheet, not the book: longer words need more room."""
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder, "faults/depth/no-depth.yaml",
        '      "no": {then: software, shows: [bad-joint]}',
        '      "no": {shows: [bad-joint], to_entry: low-volts, at: volts}',
    )  # fmt: skip
    desk = Desk(folder, ROOT / "templates")
    laid_out: list[str] = []
    lay_out = desk.typesetter.lay_out

    def noted(html: str, *more: Any, **named: Any) -> Any:
        laid_out.append(html)
        return lay_out(html, *more, **named)

    monkeypatch.setattr(desk.typesetter, "lay_out", noted)
    view = dict(desk.views(desk.target("no-depth")))["card"]()
    assert not view.trouble, view.trouble
    answers = [
        answer for html in laid_out for answer in html.split('class="answer"')[1:] if "P1" in answer[:200]
    ]
    assert answers
    assert not any("book" in answer[:200] for answer in answers)


def test_an_edit_sets_the_changed_spread_of_the_handbook_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of its pages those before and behind it come from memory; a picture of each page is shown."""
    folder = small_content.copy(tmp_path)
    deck = (folder / "editions/deck.yaml").read_text(encoding="utf-8")
    kept = [line for line in deck.splitlines() if not line.startswith(("sets:", "  - {name: All"))]
    handbook = (
        "\n".join(kept).replace("deck", "handbook").replace("[a6]", "[pdf]").replace("Q-DECK", "Q-BOOK")
    )
    (folder / "editions/handbook.yaml").write_text(handbook + "\n", encoding="utf-8")
    desk = Desk(folder, ROOT / "templates")
    target = desk.target("no-depth")

    def spread() -> tuple[bytes, ...]:
        view = dict(desk.views(target))["handbook"]()
        assert not view.trouble, view.trouble
        return view.pages

    before = spread()
    laid_out: list[str] = []
    lay_out = desk.typesetter.lay_out

    def noted(html: str, *more: Any, **named: Any) -> Any:
        laid_out.append(html)
        return lay_out(html, *more, **named)

    monkeypatch.setattr(desk.typesetter, "lay_out", noted)
    small_content.edit(folder, "faults/depth/no-depth.yaml", "No depth number stands", "No depth number is")
    desk.read()
    after = spread()
    assert len(before) == len(after) >= 2
    assert before[0] != after[0]
    assert before[1:] == after[1:]
    # Its block is measured, and its pages are set; no new letter is asked of the fonts.
    assert len(laid_out) == 2
    assert all("No depth number is" in html for html in laid_out)
