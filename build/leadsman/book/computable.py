"""What cannot be made of the content: tables and values without an answer, and two things under one name."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.book.computed import ComputedTable, TableError, compute_table, compute_value, unit_systems
from leadsman.book.in_rows import asked_in_rows
from leadsman.book.outputs import output_names, shared_names
from leadsman.compute.registry import NoAnswer
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Value
from leadsman.content.model.table import CARD_COLUMNS, CARD_ROWS
from leadsman.content.rules.language import ends
from leadsman.errors import LeadsmanError, Problem


def cannot_be_made(catalogue: Catalogue) -> Iterator[Problem]:
    """Every problem of tables, values and the names of what is made; entries have no part in it."""
    yield from uncomputed(catalogue)
    yield from out_of_order(catalogue)
    yield from same_file(catalogue)


def out_of_order(catalogue: Catalogue) -> Iterator[Problem]:
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


def same_file(catalogue: Catalogue) -> Iterator[Problem]:
    """Two things that would be made into one file: the later one would silently take the place of the earlier."""
    editions = catalogue.editions.items()
    for name, first, again in shared_names([(id, output_names(e, catalogue)) for id, e in editions]):
        whose = "it makes itself" if first == again else f"the edition '{first}' makes"
        yield catalogue.problem("editions", again, ("id",), f"makes the file {name}, which {whose} too",
                                "give one of them another id, or other formats", rule="same-file")  # fmt: skip


def _too_large(found: ComputedTable) -> tuple[str, str, str] | None:
    """The part of a table's record that makes it too large for a card, what is wrong, and what to do."""
    rows, columns = len(found.row_heads), len(found.column_heads)
    if not found.table.card or (rows <= CARD_ROWS and columns <= CARD_COLUMNS):
        return None
    part = "rows" if rows > CARD_ROWS else "columns" if found.table.columns else "cells"
    return (part, f"{rows} rows and {columns} columns; a card has room for {CARD_ROWS} and {CARD_COLUMNS}",
            "make it smaller, or write 'card: false'")  # fmt: skip


def uncomputed(catalogue: Catalogue) -> Iterator[Problem]:
    ask = asked_in_rows(catalogue.tables.values(), catalogue)
    for kind, compute in (("tables", compute_table), ("values", compute_value)):
        for name, record in catalogue.records[kind].items():
            for units in unit_systems(record):
                try:
                    found = compute(record, catalogue, units, ask)
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
