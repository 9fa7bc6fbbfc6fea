"""Records that wait until somebody asks for them: to whoever does, they are there."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from typing import Any

import pytest

from leadsman.content.records import Records, WaitingRecords
from leadsman.errors import MissingRecord


def waiting() -> tuple[WaitingRecords, list[str]]:
    """Three records, of which the second was read, and the names of those that were asked for since."""
    asked: list[str] = []

    def read(name: str) -> Callable[[], str]:
        return lambda: asked.append(name) or name.upper()  # type: ignore[func-returns-value]

    records = WaitingRecords("values")
    for name in ("a", "b", "c"):
        records.wait(name, read(name))
    records["b"] = "B"
    return records, asked


def test_names_are_known_before_a_record_is_read() -> None:
    records, asked = waiting()
    assert (list(records), len(records), "a" in records, "d" in records) == (["a", "b", "c"], 3, True, False)
    assert (list(records.keys()), asked) == (["a", "b", "c"], [])


def test_one_that_is_asked_for_is_read_once_and_alone() -> None:
    records, asked = waiting()
    assert (records["a"], records.get("a"), records["b"], records.get("d", 1)) == ("A", "A", "B", 1)
    assert asked == ["a"]
    with pytest.raises(MissingRecord):
        records["d"]


@pytest.mark.parametrize(
    "seen",
    [
        lambda r: {**r},
        dict,
        lambda r: dict(r.items()),
        lambda r: dict(zip(r, r.values(), strict=True)),
        lambda r: r.copy(),
        lambda r: r | {},
        lambda r: {} | r,
        lambda r: pickle.loads(pickle.dumps(r)),
        lambda r: {name: r.setdefault(name, "") for name in r},
        lambda r: {name: r.pop(name) for name in list(r)},
        lambda r: dict(reversed([r.popitem() for _ in range(3)])),
    ],
)
def test_whoever_takes_all_gets_all(seen: Callable[[WaitingRecords], dict[str, Any]]) -> None:
    found = seen(waiting()[0])
    assert found == {"a": "A", "b": "B", "c": "C"}
    assert list(found) == ["a", "b", "c"]


def test_equal_to_what_was_read_at_once() -> None:
    plain = Records("values")
    plain.update({"a": "A", "b": "B", "c": "C"})
    assert waiting()[0] == plain
    assert plain == {**waiting()[0]}


def test_what_takes_its_place_is_not_read_over() -> None:
    records, asked = waiting()
    records["a"] = "X"
    del records["c"]
    assert (dict(records), asked) == ({"a": "X", "b": "B"}, [])
