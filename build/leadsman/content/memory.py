"""What was read before of a folder of content, so that reading it again costs only what has changed."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from leadsman.content.source import Document, parse, recalled, unopened
from leadsman.store import Store, digest, program_digest

if TYPE_CHECKING:
    from pydantic import ValidationError

    from leadsman.content.catalogue import Catalogue
    from leadsman.content.model.base import Record

#: Kinds of records that no number is computed from and no picture shows: whoever computes does not get to see them.
WORDS_ALONE = frozenset({"faults", "topics", "editions", "retired"})


@dataclass
class Memory:
    """What was read before, so that reading again costs only what has changed.

    A file is known by its bytes: times say nothing of an editor that writes twice in one tick.
    """

    documents: dict[Path, tuple[bytes, Document]] = field(default_factory=dict)
    records: dict[tuple[int, str, str], tuple[Document, Record | ValidationError]] = field(
        default_factory=dict
    )
    store: Store | None = None
    """Where the data of files lie that an earlier run has read."""
    waits: bool = False
    """Whether the records of a file in which an earlier run found nothing wrong wait until they are asked for."""

    computed: tuple[list[tuple[str, Any]], dict[tuple[str, ...], Any]] = field(
        default_factory=lambda: ([], {})
    )
    """The records behind numbers at the last reading, and what was computed from them."""

    def hand_on(self, catalogue: Catalogue) -> None:
        """Let a new reading keep what was computed from the same records."""
        if self.waits:
            # Nothing is computed from records that nobody asks for.
            return
        behind = [
            (name, record)
            for kind, found in catalogue.records.items()
            if kind not in WORDS_ALONE
            for name, record in found.items()
        ]
        known, kept = self.computed
        if len(known) == len(behind) and all(
            a is b and one == other for (one, a), (other, b) in zip(known, behind, strict=True)
        ):
            catalogue.kept = kept
        else:
            self.computed = behind, catalogue.kept

    def read(self, path: Path, raw: bytes, key: str = "") -> Document:
        """The document of a file with these bytes (of this digest), the same one as long as they are the same."""
        known = self.documents.get(path)
        if known is None or known[0] != raw:
            if known is not None:
                gone = id(known[1])
                self.records = {key: kept for key, kept in self.records.items() if key[0] != gone}
            read_as = parse(raw, path) if self.store is None else recalled(raw, path, self.store, key)
            known = self.documents[path] = (raw, read_as)
        return known[1]

    def found_good(
        self, parts: Sequence[str], path: Path, raw: bytes, key: str
    ) -> tuple[Document, list[str]] | None:
        """The document of a file and the ids in it, where the same bytes were found good in the same place before."""
        if not self.waits or self.store is None or path in self.documents:
            return None
        ids = self.store.get_data("verdicts", _good(parts, key))
        return None if ids is None else (unopened(raw, path, self.store, key), ids)

    def note_good(self, parts: Sequence[str], document: Document, ids: Sequence[str]) -> None:
        """Note that nothing is wrong with a file by itself: neither with its form nor with its place."""
        if self.waits and self.store is not None:
            self.store.put_data("verdicts", _good(parts, document.digest), list(ids))


def digest_of(raw: bytes) -> str:
    """Digest of a file's bytes."""
    return hashlib.sha256(raw).hexdigest()


def _good(parts: Sequence[str], key: str) -> str:
    return digest(program_digest(), "good", list(parts), key)
