"""How quick the formulas are, as ratios that hold on any machine.

Each formula is timed beside the same arithmetic without the guard of the registry (what the range checks
cost) and beside one scalar call for each cell (what a loop would cost). The times go to pytest-benchmark;
the ratios stand in ``extra_info`` and are held to generous bounds.
"""

import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from leadsman.compute.registry import formulas
from leadsman.evidence import evaluate, read_rows

pytestmark = pytest.mark.bench

ROWS = read_rows(Path(__file__).resolve().parents[1] / "reference")
SIDE = 200
#: A middling chirp sounder, as an equipment record gives it.
SOUNDER: dict[str, Any] = {
    "power_w": 500.0,
    "beamwidth_deg": 20.0,
    "pulse_long_ms": 1.0,
    "pulse_short_ms": 0.2,
    "quality_factor": 10.0,
    "receiver_recovery_ms": 0.3,
    "greatest_depth_m": 500.0,
    "temperature_c": 12.0,
    "salinity_psu": 35.0,
}


def best(call: Callable[[], object], times: int = 3) -> float:
    """The shortest of some runs, in seconds: what the work takes when nothing disturbs it."""
    spans = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        spans.append(time.perf_counter() - start)
    return min(spans)


def unguarded(name: str) -> Callable[..., Any]:
    """The formula's own function, without the range checks around it."""
    function: Callable[..., Any] = formulas()[name].function.__wrapped__  # type: ignore[attr-defined]
    return function


def grid() -> tuple[np.ndarray, np.ndarray]:
    """Frequencies in columns, depths in rows, both spread evenly by ratio."""
    return np.geomspace(28, 455, SIDE)[None, :], np.geomspace(0.5, 400, SIDE)[:, None]


def note(benchmark: BenchmarkFixture, **ratios: float) -> None:
    """Keep the ratios with the timing, and show them."""
    benchmark.extra_info.update({name: round(value, 4) for name, value in ratios.items()})
    print(benchmark.name, {name: f"{value:.3g}" for name, value in ratios.items()})


def test_suitability_grid(benchmark: BenchmarkFixture) -> None:
    """40,000 cells of the suitability table: well under a second, far quicker than cell by cell."""
    frequency, depth = grid()
    formula = formulas()["echo.suitability"]

    def whole() -> Any:
        return formula(depth_m=depth, frequency_khz=frequency, **SOUNDER)

    result = benchmark.pedantic(whole, rounds=3, warmup_rounds=1)
    whole_s = best(whole)
    plain_s = best(
        lambda: unguarded("echo.suitability")(
            depth_m=depth, frequency_khz=frequency, **_defaults("echo.suitability"), **SOUNDER
        )
    )
    cells = [(i, j) for i in range(0, SIDE, 20) for j in range(0, SIDE, 40)]

    def cell_by_cell() -> list[Any]:
        return [
            formula(depth_m=float(depth[i, 0]), frequency_khz=float(frequency[0, j]), **SOUNDER)
            for i, j in cells
        ]

    loop_s = best(cell_by_cell, 1) * SIDE**2 / len(cells)
    note(benchmark, to_plain_numpy=whole_s / plain_s, to_scalar_loop=whole_s / loop_s)

    assert result.word.shape == (SIDE, SIDE)
    assert [result.word[i, j] for i, j in cells] == [one.word for one in cell_by_cell()]
    assert whole_s < 1.0
    assert whole_s < loop_s / 20


def test_absorption_grid(benchmark: BenchmarkFixture) -> None:
    """A formula of one line each way: the guard costs little beside the arithmetic."""
    frequency, _ = grid()
    temperature = np.linspace(0, 40, SIDE)[:, None]
    formula = formulas()["water.absorption"]

    def whole() -> Any:
        return formula(frequency_khz=frequency, temperature_c=temperature, salinity_psu=35.0)

    result = benchmark(whole)
    whole_s = best(whole, 10)
    settings = {**_defaults("water.absorption"), "salinity_psu": 35.0}
    plain_s = best(
        lambda: unguarded("water.absorption")(frequency_khz=frequency, temperature_c=temperature, **settings),
        10,
    )

    def loop() -> None:
        for value in frequency[0]:
            formula(frequency_khz=float(value), temperature_c=20.0, salinity_psu=35.0)

    loop_s = best(loop) * SIDE
    note(benchmark, to_plain_numpy=whole_s / plain_s, to_scalar_loop=whole_s / loop_s)

    assert result.shape == (SIDE, SIDE)
    assert whole_s < 3 * plain_s
    assert whole_s < loop_s / 20


def test_all_evidence(benchmark: BenchmarkFixture) -> None:
    """Every reference row: what the comparison costs above the bare calls of the formulas."""
    formula = formulas()
    rows = [row for row in ROWS if evaluate(row).problem == "" and not row.known_bad]

    def compared() -> int:
        return sum(evaluate(row).passed for row in rows)

    def guarded() -> None:
        for row in rows:
            formula[row.formula](**row.inputs)

    # Everything that the guard would have added or converted is prepared, so that only arithmetic is timed.
    prepared = [(unguarded(row.formula), {**_defaults(row.formula), **_arrays(row.inputs)}) for row in rows]

    def bare() -> None:
        for function, arguments in prepared:
            function(**arguments)

    passed = benchmark.pedantic(compared, rounds=3, warmup_rounds=1)
    compared_s, guarded_s, bare_s = best(compared), best(guarded), best(bare)
    note(
        benchmark, to_guarded_calls=compared_s / guarded_s, to_bare_calls=compared_s / bare_s, rows=len(rows)
    )

    assert passed == len(rows)
    assert compared_s < 30
    assert compared_s < 3 * bare_s


def _arrays(inputs: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: np.array(value, float) if isinstance(value, list) else value for name, value in inputs.items()
    }


def _defaults(name: str) -> dict[str, Any]:
    defaults = {i.argument: getattr(i, "default", None) for i in formulas()[name].inputs}
    return {argument: value for argument, value in defaults.items() if value is not None}
