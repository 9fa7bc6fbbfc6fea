"""Registry, signature and docstring of every formula agree, and every range is what it says."""

import inspect
import math
import os
import random
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np
import pytest

import leadsman.compute
import reference_rows
from leadsman.compute.registry import (
    TOPICS,
    Choice,
    ComputeError,
    Formula,
    Input,
    Number,
    OutOfRange,
    Output,
    Series,
    Text,
    formula,
    formulas,
)
from leadsman.compute.sources import SOURCES
from leadsman.compute.unit_table import UNITS
from leadsman.evidence import BASES, Row

FORMULAS = formulas()
ROWS = reference_rows.rows()
EACH = pytest.mark.parametrize("name", sorted(FORMULAS))


def rows_for(name: str) -> list[Row]:
    """The rows of a formula that state a right value."""
    return [row for row in ROWS if row.formula == name and not row.known_bad]


def section(docstring: str, heading: str) -> str:
    """The text of one numpydoc section."""
    match = re.search(
        rf"^{heading}\n-+\n(.*?)(?=^\w[^\n]*\n-{{3,}}$|\Z)", docstring, re.MULTILINE | re.DOTALL
    )
    return match[1] if match else ""


# --- declaration -------------------------------------------------------------------------------


def test_every_topic_module_is_registered() -> None:
    """Asking for all formulas gives what importing each module does; in a process that imported none."""
    script = """
import importlib, pkgutil, leadsman.compute
from leadsman.compute.registry import FORMULAS, formulas
before = set(formulas())
for module in pkgutil.walk_packages(leadsman.compute.__path__, "leadsman.compute."):
    importlib.import_module(module.name)
print(*sorted(set(FORMULAS) - before))
"""
    path = str(Path(leadsman.compute.__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, env={**os.environ, "PYTHONPATH": path}
    )

    assert (done.returncode, done.stdout.strip()) == (0, ""), done.stderr


def test_a_formula_stands_in_the_folder_of_its_topic() -> None:
    """The topic in a formula's name is the folder that defines it."""
    astray = {
        name: formula.function.__module__
        for name, formula in FORMULAS.items()
        if formula.function.__module__.split(".")[2] != formula.topic
    }

    assert not astray


def test_a_topic_loads_no_other(loaded_by: Any) -> None:
    """Asking for the supply formulas imports that folder alone, and none of SciPy, which takes longer than all else."""
    loaded = loaded_by("from leadsman.compute.registry import formulas\nformulas('supply')")
    topics = {name.split(".")[2] for name in loaded if name.startswith("leadsman.compute.")} & set(TOPICS)

    assert topics == {"supply"}
    assert "scipy" not in loaded


def test_a_formula_of_one_topic_is_the_one_of_all() -> None:
    """The topics together are all; what is no topic has no formulas."""
    assert {n: f for topic in TOPICS for n, f in formulas(topic).items()} == FORMULAS
    assert formulas("quux") == {}


@EACH
def test_name_is_topic_and_words(name: str) -> None:
    """A name is ``topic.words_in_lower_case``."""
    assert re.fullmatch(r"[a-z]+\.[a-z][a-z0-9_]*", name)
    assert FORMULAS[name].topic in TOPICS


@EACH
def test_declaration_is_complete(name: str) -> None:
    """Title, method, accuracy, meanings and sources are all there, and every source is in the list."""
    entry = FORMULAS[name]

    assert entry.title.strip()
    assert entry.method.strip()
    assert entry.accuracy.strip()
    assert entry.sources
    assert entry.outputs
    assert [key for key in entry.sources if key not in SOURCES] == []
    assert [i.name for i in (*entry.inputs, *entry.outputs) if not i.meaning.strip()] == []
    assert [o.unit for o in entry.outputs if (o.unit or "1") not in UNITS] == []


@EACH
def test_ranges_are_finite_and_hold_the_default(name: str) -> None:
    """An open-ended range is no validity limit."""
    for item in FORMULAS[name].inputs:
        if isinstance(item, Number | Series):
            assert math.isfinite(item.low), item.name
            assert math.isfinite(item.high), item.name
            assert item.low < item.high, item.name
        if isinstance(item, Number) and item.default is not None:
            assert item.low <= item.default <= item.high, item.name
        if isinstance(item, Choice) and item.default is not None:
            assert item.default in item.choices, item.name


# --- docstring ---------------------------------------------------------------------------------


@EACH
def test_docstring_says_what_the_declaration_says(name: str) -> None:
    """Method, parameters with unit, range and default, a result that the docstring does not tell, and the references."""
    entry = FORMULAS[name]
    docstring = inspect.getdoc(entry.function) or ""
    parameters = section(docstring, "Parameters")

    assert re.findall(r"^(\w+) :", parameters, re.MULTILINE) == [item.argument for item in entry.inputs]
    for item in entry.inputs:
        told = parameters.split(f"{item.argument} :", 1)[1]
        assert item.meaning[1:].rstrip(".") in told
        if isinstance(item, Number | Series):
            assert (
                f"[{item.unit if item.unit not in ('', '1') else '-'}], {item.low:g} to {item.high:g}" in told
            )
        if isinstance(item, Number | Choice) and item.default is not None:
            assert f"; {item.default} if not given" in told
    assert section(docstring, "References").split("\n")[: len(entry.sources)] == list(
        entry.references.values()
    )
    assert f"\n\n{entry.method.rstrip('.')}.\n\nParameters\n" in docstring
    if "\n    Returns\n" not in (inspect.unwrap(entry.function).__doc__ or ""):
        returns = section(docstring, "Returns")
        assert [line.split(":")[0].strip() for line in returns.strip().split("\n")[1:]] == [
            output.name for output in entry.outputs
        ]
        assert all(output.meaning.rstrip(".") in returns for output in entry.outputs)


@EACH
def test_docstring_has_every_section_once(name: str) -> None:
    """One opening sentence, then each section, of which the source holds only what the declaration does not."""
    docstring = inspect.getdoc(FORMULAS[name].function) or ""
    entry = FORMULAS[name]
    headings = re.findall(r"^([A-Z]\w+)\n-+$", docstring, re.MULTILINE)

    assert re.match(r"[A-Z][^\n]*", docstring)
    assert len(headings) == len(set(headings))
    assert [h for h in headings if h != "Raises"] == [
        "Parameters",
        "Returns",
        "Notes",
        "Examples",
        "References",
    ]
    assert ">>>" in section(docstring, "Examples")
    assert re.search(r"\b(1[6-9]|20)\d\d\b|n\.d\.|[Cc]ommon practice", section(docstring, "References"))
    for output in entry.outputs:
        if output.unit not in ("", "1"):
            assert f"[{output.unit}]" in section(docstring, "Returns"), output.name


# --- whom a formula serves -----------------------------------------------------------------------


def used_within() -> set[str]:
    """The formulas that are called while another one computes one of its reference rows."""
    codes = {inspect.unwrap(entry.function).__code__: name for name, entry in FORMULAS.items()}
    used: set[str] = set()
    for row in {row.formula: row for row in ROWS}.values():

        def note(frame: FrameType, event: str, _: Any, asked: str = row.formula) -> None:
            if event == "call" and codes.get(frame.f_code, asked) != asked:
                used.add(codes[frame.f_code])

        sys.setprofile(note)
        try:
            FORMULAS[row.formula](**row.inputs)
        except ComputeError:
            pass
        finally:
            sys.setprofile(None)
    return used


def test_every_formula_serves_somebody(repository: Path) -> None:
    """A page, another formula, or the question of a person at the terminal; what serves nobody goes."""
    package = repository / "build" / "leadsman"
    files = [*(repository / "content").rglob("*.yaml"), *package.rglob("*.py")]
    outside = [path.read_text() for path in files if not path.is_relative_to(package / "compute")]
    printed = {word for text in outside for word in re.findall(r"\b[a-z]+\.[a-z][a-z0-9_]*", text)}
    asked = {name for name, entry in FORMULAS.items() if entry.serves}

    assert sorted(set(FORMULAS) - printed - used_within() - asked) == []
    assert [FORMULAS[name].serves for name in asked if not FORMULAS[name].serves.endswith("?")] == []


# --- evidence ----------------------------------------------------------------------------------


@EACH
def test_formula_has_a_witness_from_outside(name: str) -> None:
    """At least one row comes from outside: published, from a library, recalled, or a habit of the trade."""
    strength = {row.basis for row in rows_for(name)}
    outside = strength & set(BASES[:2])
    stated = strength & {"memory", "common practice"}

    assert outside or stated, f"{name} has no reference row but {strength or 'none at all'}"
    if not outside:
        # A value recalled, or a habit of the trade, is honest evidence only when its row says what it is.
        assert all(row.why.strip() for row in rows_for(name))


# --- ranges in use -----------------------------------------------------------------------------


def with_value(row: Row, item: Number | Series, value: float) -> dict[str, Any]:
    """The row's inputs with one of them set to a value, the last of a series."""
    inputs = dict(row.inputs)
    if isinstance(item, Series):
        inputs[item.argument] = [*list(inputs[item.argument])[:-1], value]
    else:
        inputs[item.argument] = value
    return inputs


def refused_at(formula: Formula, item: Number | Series, value: float) -> str:
    """Why every row's inputs are refused for that value of the item; nothing when one of them is accepted."""
    refusal_text = "there is no row to try it with"
    for row in rows_for(formula.name):
        try:
            formula(**with_value(row, item, value))
        except OutOfRange as refusal:
            if refusal.quantity == item.name:
                refusal_text = str(refusal)
                continue
        except ComputeError:
            pass  # in range, but without a solution together with the other inputs of this row
        return ""
    return f"{item.argument} = {value:g} is refused: {refusal_text}"


@EACH
def test_both_ends_of_every_range_evaluate(name: str) -> None:
    """The ends belong to the range; where a choice narrows it, the widest choice reaches them."""
    entry = FORMULAS[name]
    numeric = [item for item in entry.inputs if isinstance(item, Number | Series)]
    refused = [refused_at(entry, item, end) for item in numeric for end in (item.low, item.high)]

    assert [text for text in refused if text] == []


@EACH
def test_just_past_every_end_is_refused(name: str) -> None:
    """The next number beyond either end, and NaN, are refused with quantity, value, range and source."""
    entry = FORMULAS[name]
    row = rows_for(name)[0]
    for item in entry.inputs:
        if not isinstance(item, Number | Series):
            continue
        for value in (math.nextafter(item.low, -math.inf), math.nextafter(item.high, math.inf), math.nan):
            with pytest.raises(OutOfRange) as caught:
                entry(**with_value(row, item, value))
            refusal = caught.value

            assert (refusal.quantity, refusal.unit) == (item.name, item.unit)
            assert (refusal.low, refusal.high) == (item.low, item.high)
            assert refusal.value == value or math.isnan(value)
            assert refusal.source == entry.sources[0]
            assert f"{item.low:g} to {item.high:g}" in str(refusal)


def drawn(item: Input, chance: random.Random) -> Any:
    """A value from anywhere in an input's range, its ends more often than by chance; None to keep the row's."""
    if isinstance(item, Choice):
        return chance.choice(item.choices)
    if not isinstance(item, Number):
        return None
    if chance.random() < 0.3:
        return chance.choice((item.low, item.high))
    if item.low > 0:
        spread = math.exp(chance.uniform(math.log(item.low), math.log(item.high)))
        return min(max(spread, item.low), item.high)
    return chance.uniform(item.low, item.high)


@EACH
def test_anywhere_in_its_ranges_a_formula_answers_or_refuses(name: str) -> None:
    """No overflow, no warning, no silent NaN; an output that may be infinite or no number says so."""
    entry = FORMULAS[name]
    chance = random.Random(name)
    answers = 0
    for row in (chance.choice(rows_for(name)) for _ in range(20)):
        values = {item.argument: drawn(item, chance) for item in entry.inputs}
        try:
            result = entry(**{**row.inputs, **{n: v for n, v in values.items() if v is not None}})
        except ComputeError:
            continue
        answers += 1
        for output in entry.outputs:
            value = getattr(result, output.name) if hasattr(result, "_fields") else result
            if isinstance(value, float) and not math.isfinite(value):
                assert re.search("infinite|no number", output.meaning), (
                    f"{output.name} = {value} for {values}"
                )

    assert answers, "every draw was refused"


# --- the decorator -----------------------------------------------------------------------------


@pytest.fixture
def doubled() -> Iterator[Formula]:
    """A formula registered for one test."""

    @formula(
        "water.doubled_for_test",
        title="Twice the depth",
        inputs=(
            Number("depth", "m", 0, 10, "depth"),
            Choice("kind", ("fresh", "sea"), "water", default="sea"),
            Text("remark", "anything", default=""),
        ),
        outputs=(Output("depth", "m", "twice the depth"),),
        method="doubling",
        sources=("common-practice",),
        accuracy="exact",
    )
    def twice(*, depth_m: float, kind: str = "sea", remark: str = "") -> float:
        return 2 * depth_m

    yield FORMULAS["water.doubled_for_test"]
    del leadsman.compute.registry.FORMULAS["water.doubled_for_test"]


def test_a_refusal_names_everything(doubled: Formula) -> None:
    """Quantity, value, unit, range and source stand in the message."""
    with pytest.raises(OutOfRange) as caught:
        doubled(depth_m=10.5)

    assert str(caught.value) == "depth = 10.5 m is outside 0 to 10 m (common-practice)"


@pytest.mark.parametrize(
    ("arguments", "error", "told"),
    [
        ({"depth_m": "deep"}, OutOfRange, "depth = deep m is outside 0 to 10 m"),
        ({"depth_m": None}, OutOfRange, "depth"),
        ({"depth_m": math.inf}, OutOfRange, "depth = inf m"),
        ({"depth_m": np.array([1.0, -1.0])}, OutOfRange, "depth = -1 m"),
        ({"depth_m": 1.0, "kind": "mud"}, ComputeError, "kind = 'mud' is none of fresh, sea"),
        ({"depth_m": 1.0, "remark": 3}, ComputeError, "remark must be text"),
        ({"depth": 1.0}, TypeError, "takes depth_m, kind, remark; not depth"),
        ({}, TypeError, "depth_m"),
    ],
)
def test_a_wrong_call_is_refused(doubled: Formula, arguments: dict[str, Any], error: type, told: str) -> None:
    """Every kind of nonsense has its own clear error."""
    with pytest.raises(error) as caught:
        doubled(**arguments)

    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("inputs", "told"),
    [
        ((Number("depth", "m", 0, 1, "d"),), r"signature \['depth'\] != \['depth_m'\]"),
        ((Number("depth", "1", 0, 1, "d", default=0.5),), "default of depth"),
    ],
)
def test_a_declaration_that_contradicts_the_function_is_refused(
    inputs: tuple[Number, ...], told: str
) -> None:
    """The decorator finds the contradiction when the module is imported."""
    with pytest.raises(AssertionError, match=told):

        @formula(
            "water.wrong_for_test", title="t", inputs=inputs, outputs=(), method="m", sources=(), accuracy="a"
        )
        def wrong(*, depth: float) -> float:
            return depth


def test_a_formula_may_take_its_inputs_as_a_record() -> None:
    """Named inputs and a record of the others: every input is there, defaults included, and none but the declared."""

    @formula(
        "water.record_for_test",
        title="t",
        inputs=(
            Number("depth", "m", 0, 10, "depth"),
            Number("bias", "%", 0, 5, "bias", 1.0),
            Text("remark", "r"),
        ),
        outputs=(Output("seen", "", "what came"),),
        method="m",
        sources=("urick-1983, chapter 2",),
        accuracy="a",
    )
    def seen(*, depth_m: float, **record: Any) -> Any:
        """Tell what came.

        Returns
        -------
        tuple
            Depth and record.
        """
        return depth_m, dict(record)

    try:
        assert seen(depth_m=3, remark="x") == (3.0, {"bias_pct": 1.0, "remark": "x"})
        assert seen(depth_m=3, bias_pct=2, remark="x")[1]["bias_pct"] == 2.0
        for wrong, told in (
            ({"depth_m": 3}, "lacks remark"),
            ({"depth_m": 3, "remark": "x", "tide_m": 1}, "not tide_m"),
        ):
            with pytest.raises(TypeError, match=told):
                seen(**wrong)  # type: ignore[arg-type]
        with pytest.raises(OutOfRange, match="bias = 9"):
            seen(depth_m=3, bias_pct=9, remark="x")
        assert FORMULAS["water.record_for_test"].references["urick-1983"].endswith(" Chapter 2.")
        assert FORMULAS["water.record_for_test"].sources == ("urick-1983",)
    finally:
        del leadsman.compute.registry.FORMULAS["water.record_for_test"]
