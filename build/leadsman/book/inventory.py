"""What a content folder holds, a line a record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from leadsman.content.catalogue import Catalogue

#: The fields that say in words what a record is, the first that it has.
_TITLES = ("title", "name", "term", "meaning", "ask", "hazard", "was", "reference")


@dataclass(frozen=True)
class Line:
    """One record: its printed code and area where it has them, its title, its id, and the file that holds it."""

    code: str
    title: str
    area: str
    id: str
    file: Path


def inventory(catalogue: Catalogue, kind: str) -> Iterator[Line]:
    """The records of a kind, by code, then by id; a code's number counts as one ("P2" before "P10")."""
    for name, record in sorted(
        catalogue.records[kind].items(), key=lambda item: _order(item[0], getattr(item[1], "code", ""))
    ):
        title = next((str(getattr(record, field)) for field in _TITLES if getattr(record, field, None)), name)
        document, _ = catalogue.origins[kind, name]
        yield Line(getattr(record, "code", ""), title, getattr(record, "area", ""), name, document.path)


def _order(name: str, code: str) -> tuple[str, int, str]:
    return code[:1], int(code[1:] or 0), name
