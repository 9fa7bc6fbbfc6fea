"""Each value of the content stands once: whoever changes it changes every place in print.

Each declared number is made a tenth larger by itself. The sentences that name it, the values and tables that take it,
and the pictures that print it must all follow; a place that keeps the old number has it from elsewhere.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from typing import Any

import pytest

import built
from leadsman.book.computed import ComputedTable, TableError, compute_table
from leadsman.book.passages import Words, plain
from leadsman.book.pins import pin_tables
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Value
from leadsman.output.figures import figures
from leadsman.output.figures.figure import Figure

CATALOGUE = built.catalogue()
DECLARED = {name: value for name, value in CATALOGUE.values.items() if value.declared is not None}
#: Pictures that print the same number for another reason: of a table's axis, a transducer, a scale or another value.
#: By the value that they do not show.
CHANCE: dict[str, set[str]] = {
    "proof-agree": {"dead-zone"},  # the example's depth
    "angle-step": {"hull-section"},  # an element's tilt
}
#: Charts of waters and transducers, whose scales are full of round numbers; they show none of the values.
CHARTS = ("suitability-", "depths-")


def larger(value: Value, factor: float = 1.1) -> Value:
    """The value with each of its numbers a tenth larger, and its US number with it."""

    def grown(text: str) -> str:
        unit = "" if value.unitless else text.split()[-1]
        numbers = [float(part.removesuffix(unit)) * factor for part in text.split(" to ")]
        return f"{' to '.join(f'{n:.4g}' for n in numbers)} {unit}".strip()

    us = grown(value.us) if value.us is not None else None
    return value.model_copy(update={"declared": grown(str(value.declared)), "us": us})


def with_values(values: dict[str, Value]) -> Catalogue:
    """The content with some of its values changed."""
    records = {**CATALOGUE.records, "values": {**CATALOGUE.values, **values}}
    return dataclasses.replace(CATALOGUE, records=records)


def names_of_values(given: Mapping[str, Any]) -> set[str]:
    """The values that a computation takes."""
    return {str(part["value"]) for part in given.values() if isinstance(part, dict) and "value" in part}


def followers(name: str) -> set[str]:
    """The value and every computed one that takes it."""
    found = {name}
    while more := {
        other
        for other, value in CATALOGUE.values.items()
        if other not in found and value.computed is not None and found & names_of_values(value.computed.given)
    }:
        found |= more
    return found


@cache
def sentences() -> dict[str, tuple[Any, ...]]:
    """By value, every piece of prose in print that names it."""
    found: dict[str, list[Any]] = {}
    for _, _, _, text in CATALOGUE.prose():
        for reference in prose.references(str(text)):
            if reference.kind == "value":
                found.setdefault(reference.what, []).append(text)
    return {name: tuple(texts) for name, texts in found.items()}


@cache
def pictures() -> dict[str, Figure]:
    """The pictures of the content as it stands."""
    return {figure.id: figure for figure in figures(CATALOGUE)}


def printed(figure: Figure) -> str:
    """Everything that a picture says, on it and beside it."""
    labels = re.findall(r"<text[^>]*>(.*?)</text>", figure.svg, re.DOTALL)
    return plain(re.sub(r"<[^>]+>", "", " | ".join([*labels, figure.text, figure.caption])))


def says(figure: Figure, number: str) -> bool:
    """Whether a number with its unit stands in a picture, not as a part of a longer one."""
    return re.search(rf"(?<![\d.]){re.escape(number)}(?!\w)", printed(figure)) is not None


@pytest.mark.parametrize("name", DECLARED)
def test_every_sentence_and_table_follows_its_value(name: str) -> None:
    changed = with_values({name: larger(DECLARED[name])})
    before, after = Words(CATALOGUE), Words(changed)
    for text in sentences().get(name, ()):
        assert before.text(text) != after.text(text), text
    for table in CATALOGUE.tables.values():
        if name in names_of_values(table.given):
            was = compute_table(table, CATALOGUE)
            # A table of words moves only where a row lies near the limit: three sizes of change, of those that the
            # formula takes.
            now = []
            for factor in (0.5, 1.1, 2.0):
                with suppress(TableError):
                    now.append(compute_table(table, with_values({name: larger(DECLARED[name], factor)})))
            assert any(exact(found) != exact(was) for found in now), table.id


def exact(table: ComputedTable) -> list[list[Any]]:
    """The cells of a table before they are rounded."""
    return [[number.exact for number in row] for row in table.cells]


def test_a_computed_value_follows_those_that_it_takes() -> None:
    """With each of its inputs larger by a tenth a margin moves by more than its printed step."""
    moved = {name: followers(name) - {name} for name in DECLARED if followers(name) - {name}}
    assert moved
    for name, others in moved.items():
        words, after = Words(CATALOGUE), Words(with_values({name: larger(DECLARED[name], 1.4)}))
        assert any(words.value(other) != after.value(other) for other in others), name


def test_no_picture_keeps_a_number_whose_value_has_changed() -> None:
    """All at once: whatever picture still says the old number has it from elsewhere."""
    changed = {name: larger(value) for name, value in DECLARED.items()}
    words = Words(CATALOGUE)
    kept = {}
    after = {figure.id: figure for figure in figures(with_values(changed))}
    for name in DECLARED:
        number = words.value(name)
        if not number[-1].isdigit():
            found = {
                figure.id for figure in pictures().values()
                if says(figure, number) and says(after[figure.id], number) and not figure.id.startswith(CHARTS)
            }  # fmt: skip
            if found:
                kept[name] = found

    assert kept == CHANCE


def test_the_pictures_that_show_a_value_are_known() -> None:
    """The check above sees pictures: these limits of the trade stand on one."""
    words = Words(CATALOGUE)
    for name in ("joint-drop", "propeller-distance", "strake-comfortable", "below-riveted-most", "fore-aft-limit",
                 "block-thin-side", "insulation-good"):  # fmt: skip
        assert any(says(figure, words.value(name)) for figure in pictures().values()), name


def test_the_insulation_of_every_pin_table_is_the_value_of_the_steps() -> None:
    changed = with_values({"insulation-good": larger(DECLARED["insulation-good"])})
    for found, wanted in ((CATALOGUE, "10 MΩ or more"), (changed, "11 MΩ or more")):
        limits = {
            plain(line.limits)
            for _, lines in pin_tables(found, found.phrases().pins)
            for line in lines
            if line.what == "shield"
        }
        assert limits == {wanted}
