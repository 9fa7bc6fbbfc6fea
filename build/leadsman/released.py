"""The finished faces of the last release, kept with its content: a face that changed must bear a later revision.

What counts is what is printed, so the finished files are read: the letters of each face in their order, its identity
line left out, since that says the revision itself.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

import pymupdf

from leadsman.book.changes import Replacement
from leadsman.content.catalogue import PRINTED_CARDS, Catalogue
from leadsman.content.model.edition import DeckEdition, FinderEdition
from leadsman.errors import LeadsmanError, Problem
from leadsman.files import Refused, read_regular
from leadsman.inspection.roles import IDENTITY

_FORM = 1
#: Of so many lines the foot of a face is at the most.
_FOOT_LINES = 3
_MOST_BYTES = 4_000_000
_ABOUT = "The faces of this release, by file and card; written by leadsman build --release. Do not edit."


@dataclass(frozen=True)
class Card:
    """One card as it was printed: its revision with its day, and a digest of its faces."""

    revision: int
    date: str
    faces: str


Cards = Mapping[str, Mapping[str, Card]]


def cards_of(path: Path) -> dict[str, Card]:
    """The cards of a finished deck by their code; none where no page bears an identity line."""
    letters: dict[str, list[str]] = {}
    said: dict[str, tuple[int, str]] = {}
    with pymupdf.open(path) as document:  # type: ignore[no-untyped-call]
        for page in document:
            identity, words = _parted([" ".join(line.split()) for line in page.get_text().splitlines()])
            if identity is not None:
                code = identity["code"]
                said[code] = max(said.get(code, (0, "")), (int(identity["revision"]), identity["date"]))
                letters.setdefault(code, []).append("".join("".join(words).split()))
    return {
        code: Card(*said[code], hashlib.sha256("\f".join(faces).encode()).hexdigest())
        for code, faces in letters.items()
    }


def _parted(lines: list[str]) -> tuple[re.Match[str] | None, list[str]]:
    """The identity line of a page, which a small face may break, and the lines without it."""
    for start in reversed(range(len(lines))):
        for stop in range(start + 1, min(start + _FOOT_LINES, len(lines)) + 1):
            if found := IDENTITY.match(" ".join(lines[start:stop])):
                return found, lines[:start] + lines[stop:]
    return None, lines


def is_of_cards(edition: object) -> bool:
    """Whether an edition is a deck or a ring, whose faces are exchanged one by one."""
    return isinstance(edition, DeckEdition | FinderEdition)


def kept_cards(catalogue: Catalogue) -> dict[str, dict[str, Card]]:
    """The cards of the last release by file and code; none before the first."""
    path = catalogue.folder / PRINTED_CARDS
    if not path.exists():
        return {}
    try:
        return read_cards(read_regular(path, _MOST_BYTES))
    except Refused as refused:
        raise LeadsmanError(f"{PRINTED_CARDS} {refused}") from None


def read_cards(kept: bytes) -> dict[str, dict[str, Card]]:
    """The cards of a release as it kept them.

    Raises
    ------
    LeadsmanError
        Where somebody edited them.
    """
    try:
        told = json.loads(kept)
        if told["form"] != _FORM:
            raise KeyError("form")
        return {
            str(file): {str(code): Card(int(c["revision"]), str(c["date"]), str(c["faces"])) for code, c in cards.items()}
            for file, cards in told["files"].items()
        }  # fmt: skip
    except (ValueError, KeyError, TypeError, AttributeError):
        raise LeadsmanError(
            f"{PRINTED_CARDS} is not as leadsman wrote it; take it again from the last release"
        ) from None


def cards_as_kept(files: Cards) -> bytes:
    """What lies beside the content after a release."""
    told = {name: {code: asdict(card) for code, card in sorted(cards.items())} for name, cards in sorted(files.items())}  # fmt: skip
    return (json.dumps({"about": _ABOUT, "form": _FORM, "files": told}, indent=1) + "\n").encode()


def unraised(before: Cards, now: Cards, editions: Mapping[str, str], catalogue: Catalogue) -> list[Problem]:
    """Each card whose faces are others than in the last release, and whose revision is not a later one.

    ``editions`` names the edition that each file is of.
    """
    entries = {entry.code: name for name, entry in catalogue.faults.items()}
    found: dict[tuple[str, str], Problem] = {}
    for file, cards in now.items():
        for code, card in cards.items():
            earlier = before.get(file, {}).get(code)
            if earlier is None or card.faces == earlier.faces or card.revision > earlier.revision:
                continue
            what = f"card {code} changed since its revision {earlier.revision} was released, and still says {card.revision}"
            if code in entries:
                problem = catalogue.problem("faults", entries[code], ("revision",), what,
                                            f"write 'revision: {earlier.revision + 1}' and its day under 'revised'", rule="card-revision")  # fmt: skip
                found.setdefault(("faults", code), problem)
            else:
                problem = catalogue.problem("editions", editions[file], ("revisions",), what,
                                            f"add revision {earlier.revision + 1} to 'revisions'", rule="card-revision")  # fmt: skip
                found.setdefault((editions[file], code), problem)
    return sorted(found.values())


def made_cards(paths: Iterable[Path]) -> dict[str, dict[str, Card]]:
    """The cards of finished files, by the files' names."""
    return {path.name: cards_of(path) for path in paths if path.suffix == ".pdf"}


def replacement(
    files: Iterable[tuple[Mapping[str, Card], Mapping[str, Card]]],
    titles: Mapping[str, str],
    withdrawn: Mapping[str, str],
) -> Replacement:
    """Which cards to exchange, by the faces of a release and of today in each file of a deck.

    ``titles`` names the conditions of today by their codes, ``withdrawn`` those that went; other codes are of the
    sheets that open a set.
    """
    replace, add, destroy = set[str](), set[str](), set[str]()
    for before, now in files:
        add |= now.keys() - before.keys()
        destroy |= before.keys() - now.keys()
        replace |= {code for code in now.keys() & before.keys() if now[code].faces != before[code].faces}

    codes = list(titles)

    def in_order(found: Iterable[str]) -> list[str]:
        """The sheets that open a set, then the conditions as the deck has them."""
        return sorted(found, key=lambda code: (codes.index(code) if code in titles else -1, code))

    def named(code: str) -> str:
        return f"{code} {titles.get(code, 'the sheet that opens the set')}"

    return Replacement(
        tuple(map(named, in_order(replace))),
        tuple(map(named, in_order(add))),
        tuple(withdrawn.get(code, code) for code in in_order(destroy)),
    )
