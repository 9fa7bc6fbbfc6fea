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
