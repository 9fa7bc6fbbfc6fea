"""The rows of published values, read once a process."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from leadsman.evidence import Row, read_rows

FOLDER = Path(__file__).resolve().parent / "reference"


@cache
def rows() -> tuple[Row, ...]:
    """All rows of ``tests/reference``."""
    return tuple(read_rows(FOLDER))
