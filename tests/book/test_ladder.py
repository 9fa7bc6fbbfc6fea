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
from leadsman.content.inquiry import Inquiry


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


@pytest.fixture(scope="module")
def small() -> Decision:
    """The small content's entry, whose priors in service are 40, 20, 20, 15 and 5."""
    catalogue = load(small_content.FOLDER)
    return Decision(catalogue.faults["no-depth"], catalogue)


def said(decision: Decision, **answers: str) -> list[str]:
    """What a search says after some answers."""
    given = {name.replace("_", "-"): answer for name, answer in answers.items()}
    return Ladder(decision, Words(decision.catalogue), 120).situation(Inquiry(decision, given))


def test_a_search_tells_what_is_suspect_by_what_is_left(small: Decision) -> None:
    """Shares of the causes that no answer excludes, over their sum: 100 at first, 60 without the plug."""
    lines = said(small, history="in-service")
    assert lines[0].startswith(" 2  Read the water temperature.")
    assert (
        lines[-2]
        == "Suspect: Plug corroded 40%, Joint corroded 20%, Setting wrong 20%, Element dead 15%, Software too old 5%."
    )
    assert lines[-1].startswith("Spent 1 min, ")
    assert lines[-1].endswith(" min to go on average.")
    lines = said(small, history="in-service", temperature="yes")
    assert (
        lines[-2] == "Suspect: Joint corroded 33%, Setting wrong 33%, Element dead 25%, Software too old 8%."
    )


def test_an_end_has_nothing_to_go_and_a_search_without_suspects_says_so(small: Decision) -> None:
    lines = said(small, history="in-service", temperature="no")
    assert lines[0] == " A  Plug corroded"
    assert lines[-2:] == ["Suspect: Plug corroded 100%.", "Spent 2 min."]
    lines = said(small, history="in-service", temperature="no", found_plug="not proved")
    assert "Suspect: none of the causes of this entry fits these answers." in lines
    assert "to go" not in lines[-1]


def test_a_search_that_hands_over_lists_what_was_not_done(small: Decision) -> None:
    """The workshop must know which checks could not be made."""
    lines = said(small, history="in-service", temperature="yes", volts="yes", software="cannot")
    undone = [line.strip() for line in lines if "not done:" in line]
    assert undone == ["- not done: Compare the version with the list."]


def test_cautions_stand_before_the_action(small: Decision) -> None:
    lines = Ladder(small, Words(small.catalogue), 120).step("pins")
    assert lines[0] == "    WARNING: Deadly in transmit. Unit off first."
    assert lines[1].lstrip().startswith("7  ")
