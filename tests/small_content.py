"""The small, valid content of ``tests/mini_content``: read for each case with its edits, or copied and edited."""

import shutil
from pathlib import Path
from typing import Any

from leadsman.content.catalogue import Catalogue, Memory, load
from leadsman.content.source import Document, parse

FOLDER = Path(__file__).resolve().parent / "mini_content"


def copy(to: Path) -> Path:
    """Copy the small content below a folder and return where it lies."""
    return Path(shutil.copytree(FOLDER, to / "content"))


def edit(folder: Path, file: str, old: str, new: str) -> None:
    """Replace a text that stands exactly once in a file."""
    path = folder / file
    path.write_text(_replaced(path.read_text(encoding="utf-8"), file, old, new), encoding="utf-8")


def _replaced(text: str, file: str, old: str, new: str) -> str:
    assert text.count(old) == 1, f"{file} holds {old!r} {text.count(old)} times"
    return text.replace(old, new)


class _WithEdits(Memory):
    """The small content as if some of its files held other text: what no edit touches is parsed once a process."""

    def __init__(self, texts: dict[Path, str]) -> None:
        super().__init__(dict(_AS_IT_IS.documents), dict(_AS_IT_IS.records))
        self.texts = texts

    def read(self, path: Path, raw: bytes, key: str = "") -> Document:
        """The document of the edited text, or that of the file."""
        edited = self.texts.get(path)
        return super().read(path, raw, key) if edited is None else parse(edited.encode(), path)


_AS_IT_IS = Memory()


def edited(*edits: tuple[str, str, str]) -> Catalogue:
    """The small content with edits (file, old, new), as it loads; no file is written."""
    if not _AS_IT_IS.documents:
        load(FOLDER, _AS_IT_IS)
    texts: dict[Path, str] = {}
    for file, old, new in edits:
        path = FOLDER / file
        texts[path] = _replaced(texts.get(path) or path.read_text(encoding="utf-8"), file, old, new)
    return load(FOLDER, _WithEdits(texts))


def answered(catalogue: Catalogue, check: str, answer: str, **changes: Any) -> None:
    """Put another outcome to one answer of the entry about depth."""
    entry = catalogue.faults["no-depth"]
    checks = [
        c.model_copy(
            update={"outcomes": {**c.outcomes, answer: c.outcomes[answer].model_copy(update=changes)}}
        )
        if c.id == check
        else c
        for c in entry.checks
    ]
    catalogue.records["faults"]["no-depth"] = entry.model_copy(update={"checks": checks})
