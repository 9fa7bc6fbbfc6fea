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
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.inquiry import Inquiry


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


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
    catalogue = small_content.edited()
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


def test_the_whole_entry_line_by_line() -> None:
    """Short enough to stand here: what is seen, each step with its answers, each end."""
    catalogue = small_content.edited()
    lines = Ladder(Decision(catalogue.faults["low-volts"], catalogue), Words(catalogue)).whole()
    assert lines[:3] == ["P1  Low volts", "    The unit complains of its supply.", ""]
    assert lines[lines.index(" 2  Read the volts of the unit.") - 1 :] == [
        "", " 2  Read the volts of the unit.", "    Do the volts stand above the low limit?", "      YES > A", "      NO > B", "      CAN'T > C", "",
        " A  Limit too high", "    - Lower the limit.", "    Proof: Does the message stay away?", "      not proved > C", "",
        " B  Bad joint", "    - Renew the joint.", "    Proof: Do the volts hold in transmit?", "      not proved > C", "",
        " C  Not found here. To: Workshop.", "    - What changed before the fault",
    ]  # fmt: skip


def test_answers_with_one_target_share_a_line_unless_they_mean_otherwise(small: Decision) -> None:
    lines = Ladder(small, Words(small.catalogue), 120).step("plug")
    assert lines == [
        " 5  Part the plug of the transducer and look at its pins.",
        "    Are the pins bright?",
        "      YES / CAN'T > 6",
        "      NO > A",
    ]


def test_long_lines_hang_below_their_first_word_and_no_word_is_parted() -> None:
    catalogue = small_content.edited()
    words = Ladder(Decision(catalogue.faults["low-volts"], catalogue), Words(catalogue), 10)
    assert words.width == 40
    found = words._wrap("The fuse-holder-with-a-long-name of the twelve-volt-feed-of-the-unit", "  ", "    ")
    assert found == ["  The fuse-holder-with-a-long-name of", "    the twelve-volt-feed-of-the-unit"]
    assert words._wrap("One two three four five six seven eight nine ten", "  ")[1].startswith("  e")
    assert words._wrap("", "  ") == ["  "]


def test_which_answers_are_possible(small: Decision) -> None:
    ladder = Ladder(small, Words(small.catalogue))
    assert ladder.answers("plug") == {"yes": "YES", "no": "NO", "cannot": "CAN'T"}
    assert ladder.answers("found-plug") == {"proved": "PROVED", "not proved": "NOT PROVED"}
    assert ladder.answers("hand-over") == {}


def test_suspects_beyond_five_are_counted(small: Decision) -> None:
    """Seven causes of one share each: five are named."""
    entry = small.entry
    causes = [entry.causes[0].model_copy(update={"id": f"c{n}", "name": f"Cause {n}"}) for n in range(7)]
    many = entry.model_copy(
        update={"causes": causes, "findings": [f.model_copy(update={"causes": []}) for f in entry.findings]}
    )
    decision = Decision(many, small.catalogue)
    told = Ladder(decision, Words(small.catalogue), 200)._state(Inquiry(decision, {}))[0]
    assert told.count("Cause") == 5
    assert told.endswith("Cause 4 14%, 2 more.")
    five = Decision(many.model_copy(update={"causes": causes[:5]}), small.catalogue)
    assert "more" not in Ladder(five, Words(small.catalogue), 200)._state(Inquiry(five, {}))[0]


def test_a_search_that_leads_on_names_the_other_entry() -> None:
    catalogue = small_content.edited()
    entry = catalogue.faults["no-depth"]
    checks = []
    for check in entry.checks:
        if check.id == "temperature":
            away = check.outcomes["no"].model_copy(update={"then": None, "to_entry": "low-volts"})
            check = check.model_copy(update={"outcomes": {**check.outcomes, "no": away}})
        checks.append(check)
    lines = said(
        Decision(entry.model_copy(update={"checks": checks}), catalogue),
        history="in-service",
        temperature="no",
    )
    assert lines[:2] == ["    Go on with P1 Low volts.", ""]
