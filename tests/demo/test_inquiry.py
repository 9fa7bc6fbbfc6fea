"""A search by any of the project's cards: whatever is wrong stays suspect to the end of the way."""

import built
from content.test_inquiry import causes_lost


def test_the_suspects_hold_the_cause_all_the_way() -> None:
    """Every entry and history."""
    assert causes_lost(built.catalogue()) == []
