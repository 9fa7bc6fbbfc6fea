"""The project's cards in a terminal."""

import pytest

import built
from book.test_ladder import too_wide
from leadsman.book.rungs import ladder_of, spoken
from leadsman.book.views import view_entry
from leadsman.content.decision import Decision


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    assert too_wide(built.catalogue(), width) == []


def test_a_sign_without_words_has_its_words_close_above_it_on_its_own_face() -> None:
    """A reader with one step before him sees its warning in words there, or at most two steps higher.

    One that is said at every step is no longer read, one on another face is not seen (common practice, no source).
    """
    catalogue, silent = built.catalogue(), 0
    for fault in catalogue.faults.values():
        ladder = ladder_of(view_entry(Decision(fault, catalogue)), catalogue)
        for start in range(len(ladder.rungs)):
            face = ladder.rungs[start:]
            said, above = spoken(face, ladder), dict[str, int]()
            for at, rung in enumerate(face):
                for name, _ in rung.grave:
                    if name in said[rung.id]:
                        above[name] = at
                    else:
                        silent += 1
                        assert at - above[name] <= 2, (fault.code, rung.step.number, name)
    assert silent
