"""All that can be wrong with the content: its own rules, and what the computation says of it."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.book.computed import ComputedTable, TableError, compute_table, compute_value, unit_systems
from leadsman.book.outputs import output_names, shared_names
from leadsman.compute.registry import NoAnswer
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Value
from leadsman.content.rules import Verdict, check
from leadsman.content.rules.followers import followers
from leadsman.content.rules.language import ends
from leadsman.errors import LeadsmanError, Problem


def judge(catalogue: Catalogue) -> Verdict:
    """Every problem of the content, by rule, with the tables and values computed in both unit systems."""
    verdict = check(catalogue)
    verdict.problems = sorted(
        {*verdict.problems, *_uncomputed(catalogue), *_out_of_order(catalogue), *_same_file(catalogue)}
    )
    verdict.following = followers(verdict.problems, catalogue)
    return verdict


def _out_of_order(catalogue: Catalogue) -> Iterator[Problem]:
    """Of two values in their order, where at least one is computed; the content's own rule has the declared ones."""
    for name, value in catalogue.values.items():
        for index, above in enumerate(value.below):
            other = catalogue.values.get(above)
            if other is None or (value.declared is not None and other.declared is not None):
                continue
            try:
                low, high = (_ends_of(record, catalogue) for record in (value, other))
            except (LeadsmanError, ArithmeticError, LookupError, TypeError, ValueError):
                # What cannot be computed is told as such.
                continue
            if low[-1] > high[0]:
                yield catalogue.problem("values", name, ("below", index), f"{low[-1]:g} is not below '{above}', {high[0]:g}",
                                        "correct one of them", rule="limit-order")  # fmt: skip


def _ends_of(value: Value, catalogue: Catalogue) -> tuple[float, float]:
    """The least and the greatest of a value as it is printed for twelve volts, in its own unit."""
    if value.declared is not None:
        found = ends(value.declared)
        return found[0].value, found[-1].value
    exact = compute_value(value.model_copy(update={"blocks": False}), catalogue).number.exact
    numbers = [float(number) for number in exact] if isinstance(exact, list) else [float(exact)]
    return min(numbers), max(numbers)


def _same_file(catalogue: Catalogue) -> Iterator[Problem]:
    """Two things that would be made into one file: the later one would silently take the place of the earlier."""
    editions = catalogue.editions.items()
    for name, first, again in shared_names([(id, output_names(e, catalogue)) for id, e in editions]):
        whose = "it makes itself" if first == again else f"the edition '{first}' makes"
        yield catalogue.problem("editions", again, ("id",), f"makes the file {name}, which {whose} too",
                                "give one of them another id, or other formats", rule="same-file")  # fmt: skip


#: What a card has room for.
_MOST_ROWS, _MOST_COLUMNS = 10, 4


def _too_large(found: ComputedTable) -> tuple[str, str, str] | None:
    """The part of a table's record that makes it too large for a card, what is wrong, and what to do."""
    rows, columns = len(found.row_heads), len(found.column_heads)
    if not found.table.card or (rows <= _MOST_ROWS and columns <= _MOST_COLUMNS):
        return None
    part = "rows" if rows > _MOST_ROWS else "columns" if found.table.columns else "cells"
    return (part, f"{rows} rows and {columns} columns; a card has room for {_MOST_ROWS} and {_MOST_COLUMNS}",
            "make it smaller, or write 'card: false'")  # fmt: skip


def _uncomputed(catalogue: Catalogue) -> Iterator[Problem]:
    for kind, compute in (("tables", compute_table), ("values", compute_value)):
        for name, record in catalogue.records[kind].items():
            for units in unit_systems(record):
                try:
                    found = compute(record, catalogue, units)
                    if isinstance(found, ComputedTable) and (large := _too_large(found)):
                        yield catalogue.problem(kind, name, (large[0],), *large[1:], rule="card-table")
                        break
                except TableError as error:
                    yield catalogue.problem(
                        kind, name, (error.part,), error.what, error.hint, rule="computed"
                    )
                except NoAnswer as error:
                    yield catalogue.problem(
                        kind, name, ("computed",), f"has no answer: {error}", rule="computed"
                    )
                except LeadsmanError as error:
                    yield catalogue.problem(kind, name, (), str(error), rule="computed")
                except (ArithmeticError, LookupError, TypeError, ValueError) as error:
                    # A formula that was given what nobody thought of: the record is told, not the program's text.
                    what = f"cannot be computed ({type(error).__name__})"
                    yield catalogue.problem(kind, name, (), what, "look at its numbers", rule="computed")
                else:
                    continue
                break
