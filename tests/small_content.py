"""The small, valid content of ``tests/mini_content``: copied for each case and broken by one edit."""

import shutil
from pathlib import Path
from typing import Any

from leadsman.content.catalogue import Catalogue, load

FOLDER = Path(__file__).resolve().parent / "mini_content"


def copy(to: Path) -> Path:
    """Copy the small content below a folder and return where it lies."""
    return Path(shutil.copytree(FOLDER, to / "content"))


def edit(folder: Path, file: str, old: str, new: str) -> None:
    """Replace a text that stands exactly once in a file."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{file} holds {old!r} {text.count(old)} times"
    path.write_text(text.replace(old, new), encoding="utf-8")


def edited(to: Path, *edits: tuple[str, str, str]) -> Catalogue:
    """The small content with edits (file, old, new), as it loads."""
    folder = copy(to)
    for file, old, new in edits:
        edit(folder, file, old, new)
    return load(folder)


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
