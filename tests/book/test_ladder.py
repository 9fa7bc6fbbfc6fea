"""The ladder in a terminal: the card's words, within the width; and the search that asks."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman.book.ladder import Ladder, answer_named
from leadsman.book.passages import Words
from leadsman.cli import main
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


def too_wide(catalogue: Catalogue, width: int) -> list[str]:
    """Lines of any ladder that are wider than the terminal, or hold a reference that was not put into words."""
    words = Words(catalogue)
    return [
        line
        for entry in catalogue.faults.values()
        for line in Ladder(Decision(entry, catalogue), words, width).whole()
        if len(line) > width or "{" in line
    ]


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_terminal(catalogue: Catalogue, width: int) -> None:
    assert too_wide(catalogue, width) == []
    lines = Ladder(Decision(catalogue.faults["no-depth"], catalogue), Words(catalogue), width).whole()
    assert max(map(len, lines)) > width - 20


@given(st.text(max_size=20))
def test_whatever_is_typed_names_one_answer_or_none(typed: str) -> None:
    answers = {"yes": "YES", "no": "NO", "not-back": "GONE, NOT BACK", "cannot": "CAN'T"}
    assert answer_named(answers, typed) in {*answers, None}


def test_it_asks_until_the_end(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong word is asked again, an empty line takes the last answer back, a proved finding ends."""
    typed: Iterator[str] = iter(["worked", "perhaps", "yes", "", "no", "proved"])
    monkeypatch.setattr(builtins, "input", lambda prompt="": next(typed))
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    with pytest.raises(SystemExit) as end:
        main(["walk", "P1", "--content", str(small_content.FOLDER)])
    out = capsys.readouterr().out
    assert end.value.code == 0
    assert "'perhaps' is none of these answers." in out
    assert out.rstrip().endswith("Proved: the fault is found and mended.")
    assert "Bad joint" in out
    assert next(typed, None) is None
