"""Every rule over the content as it stands on the disk, asked in a process beside the one that sets pages."""

from __future__ import annotations

from pathlib import Path

from leadsman.book.verdict import judge
from leadsman.content.catalogue import Memory, load
from leadsman.errors import Problem
from leadsman.store import Store

_memory = Memory()
_store = Store(None)


def problems_in(folder: str) -> list[Problem]:
    """All problems of a folder of content; what was read before is not read again."""
    return judge(load(Path(folder), _memory), _store).problems
