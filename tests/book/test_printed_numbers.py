"""The numbers that are kept with an edition: what is written, what is read back, and what a stranger's file may not do."""

from __future__ import annotations

import json
from collections import namedtuple
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

import small_content
from leadsman.book.computed import UNIT_SYSTEMS
from leadsman.book.number_changes import calls_of
from leadsman.book.printed_numbers import (
    MOST_BYTES,
    Answer,
    PrintedNumbers,
    _is_plain,
    _kept,
    call_of,
    printed_numbers,
    read_printed_numbers,
)
from leadsman.compute.registry import ComputeError, NoAnswer, formulas
from leadsman.errors import LeadsmanError

Pair = namedtuple("Pair", "volts word")
ONE, TWO = (SimpleNamespace(name="x.y", outputs=[SimpleNamespace(name=name) for name in names]) for names in (["volts"], ["volts", "word"]))  # fmt: skip


def file(numbers: Any, form: Any = 1) -> bytes:
    return json.dumps({"about": "x", "form": form, "numbers": numbers}).encode()


def test_a_call_is_the_same_whatever_the_order_and_the_last_binary_digit() -> None:
    """Twelve digits count: 0.1 + 0.2 is 0.3, and 0.30000000001 is another number."""
    key = call_of("f", {"a": 0.3, "b": "x"})
    assert key[0] == "f"
    assert len(key[1]) == 24
    assert call_of("f", {"b": "x", "a": 0.1 + 0.2}) == key
    others = [
        ("g", {"a": 0.3, "b": "x"}),
        ("f", {"a": 0.30000000001, "b": "x"}),
        ("f", {"a": 0.3, "b": "y"}),
        ("f", {"a": 0.3}),
    ]
    assert key not in [call_of(name, arguments) for name, arguments in others]
    # A whole number is the same as its float, a truth value is neither, and a list counts in its order.
    assert call_of("f", {"a": 1}) == call_of("f", {"a": 1.0}) != call_of("f", {"a": True})
    assert call_of("f", {"a": None}) != call_of("f", {"a": 0})
    lists = [call_of("f", {"a": given}) for given in ([1, 2], (1.0, 2.0), np.array([1.0, 2.0]))]
    assert len(set(lists)) == 1
    assert call_of("f", {"a": [2, 1]}) != lists[0]


def test_every_number_of_the_content_is_kept_once_and_read_back() -> None:
    catalogue = small_content.edited()
    written = printed_numbers(catalogue)
    known = read_printed_numbers(written)
    asked = {
        call_of(name, arguments) for units in UNIT_SYSTEMS for name, arguments in calls_of(catalogue, units)
    }
    assert set(known) == asked
    for units in UNIT_SYSTEMS:
        for name, arguments in calls_of(catalogue, units):
            outputs = known[call_of(name, arguments)].outputs
            assert outputs is not None
            result: Any = formulas()[name](**arguments)
            assert outputs["drop"] == pytest.approx(float(getattr(result, "drop", result)))
    assert written.endswith(b"\n")
    assert json.loads(written)["form"] == 1
    assert printed_numbers(small_content.edited()) == written


def test_a_result_is_kept_as_plain_data_or_not_at_all() -> None:
    assert _kept(ONE, 3) == {"outputs": {"volts": 3.0}}  # type: ignore[arg-type]
    assert _kept(ONE, np.str_("serves")) == {"outputs": {"volts": "serves"}}  # type: ignore[arg-type]
    assert _kept(ONE, True) == {"outputs": {"volts": True}}  # type: ignore[arg-type]
    assert _kept(TWO, Pair(np.float64(1.5), "ok")) == {"outputs": {"volts": 1.5, "word": "ok"}}  # type: ignore[arg-type]
    assert _kept(TWO, Pair(None, "ok")) == {"outputs": {"volts": None, "word": "ok"}}  # type: ignore[arg-type]
    assert _kept(ONE, NoAnswer("too thin")) == {"no_answer": "too thin"}  # type: ignore[arg-type]
    # No error, no array and no number without a value is printed.
    for result in (ComputeError("x"), np.array([1.0, 2.0]), float("nan"), float("inf"), "two\nlines"):
        assert _kept(ONE, result) is None, result  # type: ignore[arg-type]
    assert _kept(TWO, Pair(np.array([1.0]), "ok")) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "plain"),
    [(1.5, True), (float("nan"), False), (float("-inf"), False), ("x" * 400, True), ("x" * 401, False), ("a\u202eb", False), (None, True),
     (True, True), (1, False), ([], False), ({}, False)],
)  # fmt: skip
def test_what_is_plain(value: Any, plain: bool) -> None:
    assert _is_plain(value) == plain


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b" " * (MOST_BYTES + 1), "is larger than"), (b"", "no JSON"), (b"\xff", "no JSON"), (b"[" * 100_000, "no JSON"), (b'{"form": NaN}', "no JSON"),
        (b"[]", "has a form"), (file({}, 2), "has a form"), (file([]), "has a form"), (b'{"form": 1}', "has a form"),
        (file({"f": []}), "something else than numbers"), (file({"f": {"k": {}}}), "something else than numbers"), (file({"f": {"k": 1}}), "something else"),
        (file({"f": {"k": {"outputs": [1]}}}), "something else"), (file({"f": {"k": {"outputs": {"a": [1]}}}}), "something else"),
        (file({"f": {"k": {"no_answer": 1}}}), "something else"), (file({"f": {"k": {"outputs": {"a": "x" * 401}}}}), "something else"),
    ],
)  # fmt: skip
def test_a_file_that_is_none_of_ours_is_refused(raw: bytes, told: str) -> None:
    with pytest.raises(LeadsmanError, match=told):
        read_printed_numbers(raw)


def test_a_file_of_the_greatest_size_is_read() -> None:
    small = file({"f": {"k": {"outputs": {"a": 2, "b": "w", "c": None}}, "n": {"no_answer": "too " * 100}}})
    found = read_printed_numbers(small + b" " * (MOST_BYTES - len(small)))
    assert found["f", "k"] == Answer({"a": 2.0, "b": "w", "c": None})
    no_answer = found["f", "n"].no_answer
    assert no_answer is not None
    assert len(no_answer) <= 203
    assert no_answer.startswith("too too")


def test_kept_numbers_answer_and_todays_stand_in() -> None:
    today: list[str] = []

    def ask(formula: Any, arguments: Any) -> str:
        today.append(formula.name)
        return "today"

    answers = {
        call_of("x.y", {"a": 1}): Answer({"volts": 2.0, "word": "w"}), call_of("x.y", {"a": 2}): Answer(no_answer="too thin"),
        call_of("x.y", {"a": 3}): Answer({"word": "w"}),
    }  # fmt: skip
    kept = PrintedNumbers(answers, ask)
    assert kept(ONE, {"a": 1}) == 2.0  # type: ignore[arg-type]
    both = kept(TWO, {"a": 1})  # type: ignore[arg-type]
    assert (both, both.volts, both.word, both._fields) == ((2.0, "w"), 2.0, "w", ("volts", "word"))
    with pytest.raises(AttributeError):
        _ = both.amps
    with pytest.raises(NoAnswer, match="too thin"):
        kept(ONE, {"a": 2})  # type: ignore[arg-type]
    assert (kept.stood_in, today) == (set(), [])
    # An output that was not kept, and a call that was not.
    assert kept(TWO, {"a": 3}) == kept(ONE, {"a": 4}) == "today"  # type: ignore[arg-type]
    assert kept.stood_in == {call_of("x.y", {"a": 3}), call_of("x.y", {"a": 4})}
