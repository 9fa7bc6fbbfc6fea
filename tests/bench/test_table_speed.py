"""How long the tables of the demonstration content take, beside reading the content: `pytest tests/bench`."""

import time
from pathlib import Path

import pytest

from leadsman.book.computed import compute_table
from leadsman.content.catalogue import load

CONTENT = Path(__file__).parents[2] / "content"


@pytest.mark.bench
@pytest.mark.parametrize("units", ["metric", "us"])
def test_all_tables(benchmark, units):
    """Every table, once; the ratio to reading the whole content is kept with the timing."""
    started = time.perf_counter()
    catalogue = load(CONTENT)
    reading = time.perf_counter() - started

    tables = benchmark(
        lambda: [compute_table(table, catalogue, units) for table in catalogue.tables.values()]
    )

    benchmark.extra_info["ratio to reading the content"] = benchmark.stats["min"] / reading
    assert len(tables) == len(catalogue.tables)
