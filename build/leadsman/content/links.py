"""Where one record names another by its id."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from leadsman.content.source import Location

#: Where a record names others: kind of record, field path ('*' for each item or key), kind that is named.
LINKS: tuple[tuple[str, str, str], ...] = (
    ("faults", "area", "areas"),
    ("faults", "needs.*", "capabilities"),
    ("faults", "causes.*.component", "components"),
    ("faults", "checks.*.use", "checks"),
    ("faults", "checks.*.cautions.*", "cautions"),
    ("faults", "checks.*.tests.*", "components"),
    ("faults", "checks.*.body.access", "access"),
    ("faults", "checks.*.body.tools.*", "tools"),
    ("faults", "checks.*.body.tests.*", "components"),
    ("faults", "checks.*.body.through.*", "components"),
    ("faults", "checks.*.body.cautions.*", "cautions"),
    ("faults", "checks.*.body.swap.part.*", "components"),
    ("faults", "checks.*.body.swap.carries.*", "components"),
    ("faults", "checks.*.outcomes.*.to_entry", "faults"),
    ("faults", "checks.*.outcomes.*.clears.*", "components"),
    ("faults", "findings.*.cautions.*", "cautions"),
    ("faults", "findings.*.tools.*", "tools"),
    ("faults", "hand_overs.*.evidence.*", "evidence"),
    ("faults", "hand_overs.*.cautions.*", "cautions"),
    ("faults", "tables.*", "tables"),
    ("faults", "card_table", "tables"),
    ("faults", "see_also.*", "faults"),
    ("faults", "condition.signs.*.first", "hazards"),
    ("faults", "condition.messages.#", "families"),
    ("faults", "condition.looks_like.#", "families"),
    ("checks", "access", "access"),
    ("checks", "tools.*", "tools"),
    ("checks", "tests.*", "components"),
    ("checks", "through.*", "components"),
    ("checks", "cautions.*", "cautions"),
    ("checks", "evidence.*", "evidence"),
    ("cautions", "called_for.tools.*", "tools"),
    ("cautions", "called_for.tasks.*", "tasks"),
    ("cautions", "called_for.cautions.*", "cautions"),
    ("cautions", "called_for.served_by.*", "cautions"),
    ("checks", "swap.part.*", "components"),
    ("checks", "swap.carries.*", "components"),
    ("hazards", "cautions.*", "cautions"),
    ("hazards", "areas.*", "areas"),
    ("hazards", "access.*", "access"),
    ("capabilities", "areas.*", "areas"),
    ("capabilities", "tasks.*", "tasks"),
    ("families", "capabilities.*", "capabilities"),
    ("families", "menus.#", "tasks"),
    ("families", "transducers.#", "transducers"),
    ("boats", "display", "families"),
    ("boats", "transducer", "transducers"),
    ("boats", "waters.*", "waters"),
    ("tables", "assumptions.*", "assumptions"),
    ("tables", "us", "tables"),
    ("topics", "source", "sources"),
    ("topics", "cautions.*", "cautions"),
    ("editions", "entries.*", "faults"),
    ("editions", "handbook_only.*.entry", "faults"),
    ("editions", "sets.*.areas.*", "areas"),
    ("editions", "sets.*.only.*", "faults"),
    ("editions", "sets.*.tables.*", "tables"),
    ("editions", "second_sheets.*.entry", "faults"),
    ("editions", "pages.*.entry", "faults"),
    ("editions", "tables.*", "tables"),
    ("editions", "evidence.*", "evidence"),
    ("values", "source", "sources"),
    ("values", "below.*", "values"),
    ("values", "computed.boat", "boats"),
    ("values", "computed.family", "families"),
    ("values", "computed.transducer", "transducers"),
    ("values", "computed.water", "waters"),
    ("assumptions", "source", "sources"),
)


def named_by(record: object, path: str) -> Iterator[tuple[Location, str, bool]]:
    """The ids that a record names in a field: the place of each, the id, and whether it stands there as a key."""
    return _named(record, tuple(path.split(".")))


def _named(
    value: object, path: tuple[str, ...], location: Location = ()
) -> Iterator[tuple[Location, str, bool]]:
    if value is None:
        return
    if not path:
        yield location, str(value), False
    elif path[0] == "#":
        for key in value:  # type: ignore[attr-defined]
            yield (*location, key), key, True
    elif path[0] == "*":
        items = value.items() if isinstance(value, dict) else enumerate(value)  # type: ignore[arg-type]
        for key, item in items:
            yield from _named(item, path[1:], (*location, key))
    else:
        # An edition of another kind has no such field.
        yield from _named(getattr(value, path[0], None), path[1:], (*location, path[0]))


def named_in_given(given: Any, key: str) -> Iterator[str]:
    """The records that a given of a table or value names: ``{value: id}`` or ``{assumption: id}``."""
    if isinstance(given, dict):
        if isinstance(given.get(key), str):
            yield given[key]
        for item in given.values():
            yield from named_in_given(item, key)
