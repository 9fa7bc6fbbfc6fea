"""The ladder in a terminal: the card's words, within the width; and the search that asks."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.book.ladder import Ladder, answer_named
from leadsman.book.passages import Words
from leadsman.cli import main
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """Return the demo content."""
    return load(ROOT / "content")


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_terminal(catalogue: Catalogue, width: int) -> None:
    words = Words(catalogue)
    for entry in catalogue.faults.values():
        lines = Ladder(Decision(entry, catalogue), words, width).whole()
        assert [line for line in lines if len(line) > width] == []
        assert not any("{" in line for line in lines)


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
        main(["walk", "P1", "--content", str(ROOT / "content")])
    out = capsys.readouterr().out
    assert end.value.code == 0
    assert "'perhaps' is none of these answers." in out
    assert out.rstrip().endswith("Proved: the fault is found and mended.")
    assert "Alive but dark" in out
    assert next(typed, None) is None
