"""Lists of values against values one by one, for every registered formula and every input that takes a list.

A list must give what the single values give, or be refused where one of them is.
"""

import math
import random
from typing import Any

import numpy as np
import pytest

import reference_rows
from leadsman.arguments import read_arguments
from leadsman.calculation import calculate
from leadsman.compute.registry import Choice, ComputeError, Formula, Number, formulas
from leadsman.evidence import Row

ROWS = reference_rows.rows()
NUMERIC = sorted(name for name, f in formulas().items() if any(isinstance(i, Number) for i in f.inputs))
CHOOSING = sorted(name for name, f in formulas().items() if any(isinstance(i, Choice) for i in f.inputs))
LENGTHS = (1, 2, 3, 4)


def rows_of(name: str) -> list[Row]:
    """The reference rows that state a right value."""
    return [row for row in ROWS if row.formula == name and not row.known_bad]


def near(item: Number, value: float, spread: float, chance: random.Random) -> float:
    """A value in the input's range within a spread about one that the formula is known to answer, or an end."""
    if chance.random() < 0.4 * spread:
        return chance.choice((item.low, item.high))
    step = (item.high - item.low) * 0.1 * spread * chance.random()
    return min(
        max(value * chance.uniform(1 - spread, 1 + spread) if value else item.low + step, item.low), item.high
    )


def one_by_one(formula: Formula, base: dict[str, Any], lists: dict[str, list[float]]) -> list[Any] | None:
    """What each single call gives; nothing where one of them is refused."""
    count = len(next(iter(lists.values())))
    try:
        return [formula(**base, **{n: values[k] for n, values in lists.items()}) for k in range(count)]
    except ComputeError:
        return None


def drawn(formula: Formula, items: list[Number], length: int, chance: random.Random) -> tuple[Any, Any, Any]:
    """A row's inputs with lists in place of some of them, and the single answers: refused ones only if need be."""
    for spread in (0.5, 0.5, 0.5, 0.2, 0.2, 0.1, 0.05, 0.02, 0.01):
        inputs = dict(chance.choice(rows_of(formula.name)).inputs)
        lists = {
            item.argument: [
                near(item, inputs.get(item.argument, item.default or 0.0), spread, chance)
                for _ in range(length)
            ]
            for item in items
        }
        base = {n: value for n, value in inputs.items() if n not in lists}
        single = one_by_one(formula, base, lists)
        if single is not None:
            break
    return base, lists, single


def same(found: Any, expected: Any) -> bool:
    """Whether two answers are one: texts alike, numbers to the noise of another order of sums."""
    if np.ndim(found) or np.ndim(expected):
        return np.shape(found) == np.shape(expected) and all(map(same, np.ravel(found), np.ravel(expected)))
    if isinstance(found, float) and isinstance(expected, float):
        close = math.isclose(found, expected, rel_tol=1e-9, abs_tol=1e-12)
        return close or (math.isnan(found) and math.isnan(expected))
    return bool(found == expected)


def parts(formula: Formula, result: Any) -> dict[str, Any]:
    """The outputs by name."""
    if not hasattr(result, "_fields"):
        return {formula.outputs[0].name: result}
    return {output.name: getattr(result, output.name) for output in formula.outputs}


def held_against(formula: Formula, together: Any, single: list[Any]) -> list[str]:
    """The outputs in which the list's answer is not that of the single calls."""
    wrong = []
    for name, found in parts(formula, together).items():
        expected = [parts(formula, one)[name] for one in single]
        assert not any(isinstance(one, np.generic) for one in expected), f"{name} is no plain value"
        whole = np.ndim(found) == 0 and np.ndim(expected[0]) == 0
        got = [found] * len(expected) if whole else list(found)
        plain = [one.item() if isinstance(one, np.generic) else one for one in got]
        if len(plain) != len(expected) or not all(map(same, plain, expected)):
            wrong.append(f"{name}: {plain} instead of {expected}")
    return wrong


@pytest.mark.parametrize("name", NUMERIC)
def test_a_list_gives_what_its_values_give(name: str) -> None:
    """One to four values in each input by itself, in all together, and in two that are drawn."""
    formula = formulas()[name]
    chance = random.Random(name)
    items = [item for item in formula.inputs if isinstance(item, Number)]
    together = [[item] for item in items] + [items]
    together += [chance.sample(items, 2) for _ in range(2) if len(items) > 2]
    answered = 0
    for length in LENGTHS:
        for chosen in together:
            base, lists, single = drawn(formula, chosen, length, chance)
            arrays = {n: np.array(values) for n, values in lists.items()}
            if single is None:
                with pytest.raises(ComputeError):
                    formula(**base, **arrays)
                continue
            answered += 1
            wrong = held_against(formula, formula(**base, **arrays), single)
            assert not wrong, f"{lists} with {base}: {wrong}"
    assert answered, "no list was answered"


def test_a_list_of_greatest_depths_caps_each_by_its_own() -> None:
    """By hand: the water carries to 123 m, so a display of 100 m stops there, and one of 300 m does not matter."""
    formula = formulas()["echo.deepest_depth"]
    sounder = {"frequency_khz": 200, "power_w": 500, "beamwidth_deg": 12, "pulse_long_ms": 0.6}
    water = {"temperature_c": 12, "salinity_psu": 35}
    for greatest in ([100.0, 300.0], [100.0, 110.0, 300.0], [300.0, 100.0, 110.0, 50.0]):
        found = formula(**sounder, **water, greatest_depth_m=np.array(greatest))
        alone = formula(**sounder, **water, greatest_depth_m=10_000.0)

        assert list(found.nominal) == pytest.approx([min(alone.nominal, depth) for depth in greatest])
        assert list(found.optimistic) == pytest.approx([min(alone.optimistic, depth) for depth in greatest])
        assert list(found.limit) == [
            "display range" if depth < alone.nominal else alone.limit for depth in greatest
        ]


def test_round_and_fan_beams_go_into_one_list() -> None:
    """Zero across says round; it must not be taken for a fan that has no width because the next one is a fan."""
    formula = formulas()["echo.signal_excess"]
    row = next(r for r in rows_of("echo.signal_excess"))
    inputs = {n: v for n, v in row.inputs.items() if n != "beamwidth_across_deg"}
    round_beam, fan = (formula(**inputs, beamwidth_across_deg=across) for across in (0.0, 40.0))

    both = formula(**inputs, beamwidth_across_deg=np.array([0.0, 40.0]))
    assert list(both) == pytest.approx([round_beam, fan])


@pytest.mark.parametrize("name", CHOOSING)
def test_a_list_of_choices_gives_a_row_each(name: str) -> None:
    """Each word is a call of its own; the rows are those calls, in order."""
    formula = formulas()[name]
    item = next(i for i in formula.inputs if isinstance(i, Choice))
    for row in rows_of(name):
        typed = {n: v for n, v in row.inputs.items() if n != item.argument}
        answers = []
        for word in item.choices:
            try:
                answers.append((word, formula(**typed, **{item.argument: word})))
            except ComputeError:
                continue
        if len(answers) < 2:
            continue
        words = read_arguments(formula, {item.name: ",".join(word for word, _ in answers)}, partial=True)
        rows = calculate(formula, {**typed, **words})
        for output in formula.outputs:
            expected = [parts(formula, answer)[output.name] for _, answer in answers]
            assert all(map(same, rows.outputs[output.name], expected)), output.name
        return
    pytest.skip("no row is answered for two of the choices")
