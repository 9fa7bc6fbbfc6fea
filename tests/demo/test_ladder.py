"""The project's cards in a terminal."""

import pytest

import built
from book.test_ladder import too_wide


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    assert too_wide(built.catalogue(), width) == []
