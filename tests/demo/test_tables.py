"""The project's tables: those that look at all cells at once see what a page prints."""

import pytest

import built
from book.test_in_rows import reads_the_same


def test_every_table_reads_the_same_in_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    reads_the_same(built.catalogue(), monkeypatch)
