"""Reference values of the functions that take a graph, a matrix or a precedence (not registered formulas)."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from leadsman.compute.diagnosis.best_order import best_order, best_orders
from leadsman.compute.diagnosis.order_ratios import ratio_blocks
from leadsman.compute.diagnosis.sequencing import CheckSet, Model, expected_minutes
from leadsman.compute.diagnosis.swap_matrix import (
    Outcome,
    SwapMatrix,
    ambiguity_groups,
    conflicts,
    minimal_hitting_sets,
    single_fault_suspects,
    states,
)
from leadsman.compute.diagnosis.testability import (
    fraction_detected,
    fraction_isolated,
    posterior_given_conflicts,
    rank_by_weight,
)

ROWS = yaml.safe_load(
    (Path(__file__).resolve().parents[2] / "reference" / "structural" / "diagnosis.yaml").read_text()
)
MODELS = {
    "single_fault": Model.SINGLE_FAULT,
    "single_fault_elimination": Model.ELIMINATION,
    "independent": Model.INDEPENDENT,
}
LETTERS = {"P": Outcome.PASS, "F": Outcome.FAIL, "U": Outcome.CANNOT_TELL}


def check_set(i: dict[str, Any]) -> CheckSet:
    """The checks of a row; each finds a cause of its own."""
    shares = i.get("p", i.get("q"))
    names = [str(n) for n in range(len(shares))]
    pairs = [(str(a), str(b)) for a, b in i.get("precedence", [])]
    return CheckSet.from_shares(names, shares, i["c"], pairs, MODELS[i["model"]])


def matrix(i: dict[str, Any]) -> SwapMatrix:
    """The matrix of a row, causes and tests named by their numbers."""
    rows = i["D"]
    causes = tuple(str(n) for n in range(len(rows)))
    tests = {str(t): frozenset(c for c in causes if rows[int(c)][t]) for t in range(len(rows[0]))}
    return SwapMatrix(causes, tests)


def outcomes(i: dict[str, Any]) -> dict[str, Outcome]:
    """The outcomes of a row by test."""
    return {str(n): LETTERS[letter] for n, letter in enumerate(i["outcomes"])}


def numbers(found: Any) -> list[list[int]]:
    """Sets of numbers as sorted lists."""
    return sorted(sorted(int(name) for name in part) for part in found)


def rates(i: dict[str, Any]) -> dict[str, float]:
    """Failure rates by cause."""
    return {str(n): rate for n, rate in enumerate(i["rates"])}


def weighted_time(i: dict[str, Any], best: bool) -> float:
    """A weighted sum of completion times, which is the expected time by the sum of the weights."""
    total = sum(i["w"])
    checks = check_set({"p": [w / total for w in i["w"]], "c": i["t"], "model": "single_fault"})
    return total * (
        best_order(checks).minutes if best else expected_minutes(checks, list(map(str, i["order"])))
    )


QUANTITIES: dict[str, Callable[[dict[str, Any]], Any]] = {
    "expected_cost_of_order": lambda i: expected_minutes(check_set(i), [str(n) for n in i["order"]]),
    "best_expected_cost": lambda i: best_order(check_set(i)).minutes,
    "best_orders": lambda i: sorted([int(n) for n in order] for order in best_orders(check_set(i))),
    "weighted_completion_time": lambda i: weighted_time(i, best=False),
    "best_weighted_completion_time": lambda i: weighted_time(i, best=True),
    "sidney_blocks": lambda i: [
        list(block) for block in ratio_blocks(i["p"], i["c"], [(a, b) for a, b in i["precedence"]])
    ],
    "multifault_suspect_states": lambda i: [s.name for s in states(matrix(i), outcomes(i)).values()],
    "single_fault_suspects": lambda i: [int(c) for c in single_fault_suspects(matrix(i), outcomes(i))],
    "ambiguity_groups": lambda i: numbers(ambiguity_groups(matrix(i))),
    "conflicts_from_outcomes": lambda i: numbers(conflicts(matrix(i), outcomes(i))),
    "FFD": lambda i: fraction_detected(matrix(i), rates(i)),
    "FFI": lambda i: fraction_isolated(matrix(i), i["L"], rates(i)),
    "minimal_hitting_sets": lambda i: sorted(sorted(s) for s in minimal_hitting_sets(i["conflicts"])),
    "hitting_sets_by_weight_sum": lambda i: [
        sorted(s) for s in rank_by_weight(minimal_hitting_sets(i["conflicts"]), i["weights"])
    ],
    "single_fault_from_conflicts": lambda i: sorted(
        cause for s in minimal_hitting_sets(i["conflicts"], most=1) for cause in s
    ),
    "posterior_given_conflicts": lambda i: posterior_given_conflicts(i["prior"], i["conflicts"])[i["cause"]],
}


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['id']} [{r['basis']}: {r['source']}]" for r in ROWS])
def test_row(row: dict[str, Any]) -> None:
    """Each value comes out as its source has it."""
    actual, expected = QUANTITIES[row["quantity"]](row["inputs"]), row["expected"]
    if row["quantity"] in {"best_orders", "minimal_hitting_sets"}:
        expected = sorted(expected)
    if row["tolerance"] == {"exact": True}:
        assert actual == expected
    else:
        assert actual == pytest.approx(expected, abs=row["tolerance"]["abs"])


def test_every_kind_of_value_is_used() -> None:
    """No evaluator stands idle, and no row is left without one."""
    assert {row["quantity"] for row in ROWS} == set(QUANTITIES)
