"""All that can be wrong with the content: its own rules, and what the computation says of it."""

from __future__ import annotations

from dataclasses import astuple
from pathlib import Path

from leadsman.content.catalogue import Catalogue
from leadsman.content.judged import bundle_of
from leadsman.content.rules import Verdict, check
from leadsman.content.rules.followers import followers
from leadsman.content.rules.keeping import NO_EQUIPMENT, documents_digest, without_entries
from leadsman.errors import Problem, shown_path
from leadsman.store import Store, digest, program_digest


def judge(catalogue: Catalogue, store: Store | None = None) -> Verdict:
    """Every problem of the content, by rule, with the tables and values computed in both unit systems.

    With a ``store`` only what has changed is looked at again; the verdict is the same.
    """
    key = ""
    if store is not None:
        key = digest(program_digest(), "whole", _all_read(catalogue))
        if (told := store.get_data("verdicts", key)) is not None:
            return Verdict.from_data(told)
    verdict = check(catalogue, store)
    verdict.problems = sorted({*verdict.problems, *_not_made(catalogue, store)})
    verdict.following = followers(verdict.problems, catalogue)
    if store is not None:
        store.put_data("verdicts", key, verdict.as_data())
    return verdict


def judge_kept(catalogue: Catalogue, kept: Path | None) -> Verdict:
    """The same with the store in a folder, where one is given: it shares with ``leadsman check`` what it finds there."""
    if kept is None:
        return judge(catalogue)
    bundle = bundle_of(Store(kept), catalogue.folder)
    verdict = judge(catalogue, bundle)
    # A check has more in the bundle than is asked for here.
    bundle.write(whole=False)
    return verdict


def _all_read(catalogue: Catalogue) -> list[str]:
    """All that a verdict is given on: the text of every record's file, and what was wrong in reading."""
    problems = [str(problem) for problem in catalogue.problems]
    return [shown_path(catalogue.folder), documents_digest(catalogue, lambda kind: True), *problems]


def _not_made(catalogue: Catalogue, store: Store | None) -> list[Problem]:
    """What cannot be made; kept for the same tables, values and equipment, whatever the entries say."""
    key = digest(
        program_digest(), "computed", documents_digest(catalogue, lambda kind: kind not in NO_EQUIPMENT)
    )
    told = None if store is None else store.get_data("verdicts", key)
    if told is None:
        # Not before it is asked: the formulas take longer to load than a check after an edit.
        from leadsman.book.computable import cannot_be_made

        found = cannot_be_made(catalogue if store is None else without_entries(catalogue))
        told = [astuple(problem) for problem in found]
        if store is not None:
            store.put_data("verdicts", key, told)
    return [Problem(*parts) for parts in told]
