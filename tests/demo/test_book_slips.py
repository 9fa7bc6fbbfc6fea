"""A writer's slips, put into the book one by one: the drill and the rules together notice at least nine in ten.

Here every third of the set is tried; ``python tests/bench/book_slips_whole.py`` tries all of them and tells which.
"""

from __future__ import annotations

import pytest

from book_slips import SLIPS, Slip, drilled, put_in, said_by_check, worse
from leadsman.content.catalogue import Catalogue
from leadsman.drill.run import Drill, Outcome

#: Boats of an entry; so many of them that fare worse are noticed.
_BOATS, _NOTICED = 20, 2


@pytest.fixture(scope="module")
def before() -> dict[str, list[Outcome]]:
    """The boats of each entry with the book as it stands, drawn when first asked for."""
    return {}


def noticed_by_drill(book: Drill, slip: Slip, before: dict[str, list[Outcome]]) -> bool:
    with put_in(book.catalogue, slip) as changed:
        slipped = Drill(changed)
        for entry in slip.entries:
            if entry not in before:
                before[entry] = drilled(book, entry, _BOATS)
            if worse(before[entry], drilled(slipped, entry, _BOATS)) >= _NOTICED:
                return True
    return False


def noticed_by_check(catalogue: Catalogue, slip: Slip) -> bool:
    with put_in(catalogue, slip) as changed:
        return bool(said_by_check(changed, slip) - said_by_check(catalogue, slip))


def test_drill_and_check_notice_nine_in_ten(book: Drill, before: dict[str, list[Outcome]]) -> None:
    tried = SLIPS[::3]
    missed = [
        slip.name for slip in tried
        if not noticed_by_drill(book, slip, before) and not noticed_by_check(book.catalogue, slip)
    ]  # fmt: skip

    assert len(missed) <= len(tried) / 10, missed


def test_the_set_is_large_and_of_many_kinds() -> None:
    assert len(SLIPS) >= 60
    assert len({slip.name for slip in SLIPS}) == len(SLIPS)
    assert len({slip.kind for slip in SLIPS}) >= 8


def test_a_book_without_slips_fares_no_worse(book: Drill) -> None:
    """The same boats in the same book end in the same way: what is noticed is the slip's."""
    assert worse(drilled(book, "dead-unit", 8), drilled(Drill(book.catalogue), "dead-unit", 8)) == 0
