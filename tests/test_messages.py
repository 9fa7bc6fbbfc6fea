"""Messages count in words: one problem, two problems; nothing says "1 problems"."""

from __future__ import annotations

import ast
import multiprocessing
import pickle
import re
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from leadsman.arguments import ArgumentError
from leadsman.book.computed import TableError
from leadsman.errors import LeadsmanError, UsageError, counted
from leadsman.files import Refused as Lost
from leadsman.press.gate import Refused

#: A noun in the plural, perhaps behind one word more, right behind a number.
_PLURAL = re.compile(r" (?:[a-z]+ )?(?!is\b|was\b|has\b|this\b|its\b|less\b)[a-z]+s\b")
#: Expressions whose value is a number of things.
_COUNTS = re.compile(r"len\(.+\)|sum\(.+\)|[\w.]*(?:count|total)")


def slips(source: str) -> Iterator[tuple[int, str]]:
    """The f-strings that set a counted noun in the plural whatever the number is."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.JoinedStr):
            continue
        for value, after in zip(node.values, node.values[1:], strict=False):
            if (
                isinstance(value, ast.FormattedValue)
                and isinstance(after, ast.Constant)
                and _PLURAL.match(str(after.value))
                and _COUNTS.fullmatch(said := ast.unparse(value.value))
            ):
                yield node.lineno, f"{said}{after.value}"


def test_what_a_slip_is() -> None:
    assert list(slips('f"{len(found)} problems in {folder}"')) == [(1, "len(found) problems in ")]
    assert list(slips('f"{made.page_count} waived pages"')) == [(1, "made.page_count waived pages")]
    assert list(slips("f\"{counted(len(found), 'problem')} in {folder}\"")) == []


def test_every_number_of_things_goes_through_the_one_helper(repository: Path) -> None:
    found = [
        f"{path.relative_to(repository)}:{line}: {what}"
        for path in sorted((repository / "build" / "leadsman").rglob("*.py"))
        # A formula refuses a number of things because there are many.
        if "compute" not in path.parts
        for line, what in slips(path.read_text(encoding="utf-8"))
    ]
    assert found == []


@pytest.mark.parametrize(
    ("number", "one", "said"),
    [
        (0, "problem", "0 problems"),
        (1, "problem", "1 problem"),
        (1, "entry", "1 entry"),
        (2, "entry", "2 entries"),
        (2, "key", "2 keys"),
        (3, "witness", "3 witnesses"),
        (2, "waived breach", "2 waived breaches"),
        (2, "fillable record", "2 fillable records"),
    ],
)
def test_a_number_of_things_in_words(number: int, one: str, said: str) -> None:
    assert counted(number, one) == said
    assert counted(2, "more follows", "more follow") == "2 more follow"


def kinds(kind: type[LeadsmanError] = LeadsmanError) -> Iterator[type[LeadsmanError]]:
    yield kind
    for below in kind.__subclasses__():
        yield from kinds(below)


def test_every_error_comes_out_of_a_worker_as_it_went_in() -> None:
    """One that cannot be unpickled breaks the pool, and the user is told that a process died."""
    made = [Refused("a.pdf", ["28 pages", "no glyph"]), ArgumentError("length", "is no number", "write 5 m"),
            TableError("given", "what", "hint"), UsageError("x"), Lost("y")]  # fmt: skip
    for error in made:
        again = pickle.loads(pickle.dumps(error))
        assert (type(again), str(again), vars(again)) == (type(error), str(error), vars(error))
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        with pytest.raises(Refused, match="28 pages"):
            pool.submit(refuse).result()
        assert pool.submit(len, "ab").result() == 2
    assert all(kind.__reduce__ is LeadsmanError.__reduce__ for kind in kinds())


def refuse() -> None:
    raise Refused("a.pdf", ["28 pages"])
