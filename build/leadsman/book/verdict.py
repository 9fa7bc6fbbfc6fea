"""All that can be wrong with the content: its own rules, and what the computation says of it."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.book.computed import TableError, compute_table, compute_value, unit_systems
from leadsman.compute.registry import NoAnswer
from leadsman.content.catalogue import Catalogue
from leadsman.content.rules import Verdict, check
from leadsman.errors import LeadsmanError, Problem


def judge(catalogue: Catalogue) -> Verdict:
    """Every problem of the content, by rule, with the tables and values computed in both unit systems."""
    verdict = check(catalogue)
    verdict.problems = sorted({*verdict.problems, *_uncomputed(catalogue)})
    return verdict


def _uncomputed(catalogue: Catalogue) -> Iterator[Problem]:
    for kind, compute in (("tables", compute_table), ("values", compute_value)):
        for name, record in catalogue.records[kind].items():
            for units in unit_systems(record):
                try:
                    compute(record, catalogue, units)
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
                else:
                    continue
                break
