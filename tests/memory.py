"""The peak of memory of this process."""

from __future__ import annotations

import re
import resource
from pathlib import Path

_STATUS, _CLEAR = Path("/proc/self/status"), Path("/proc/self/clear_refs")


def peak_mb() -> float:
    """Its own peak [MB]; where no system tells it, at least that of the process that started this one too.

    A program that is started inherits the peak of its parent in `ru_maxrss` (Linux, getrusage(2)): beside a test worker
    that has grown, a small command would seem to have eaten a gigabyte.
    """
    own = re.search(r"VmHWM:\s*(\d+) kB", _STATUS.read_text(encoding="utf-8")) if _STATUS.exists() else None
    return (int(own[1]) if own else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024


def begun_mb() -> float:
    """The peak [MB] from here on: what the process holds now, where the system can forget what was before (proc(5)).

    Else what comes next hides below a peak that an earlier test or the making of the data has left.
    """
    if _CLEAR.exists():
        _CLEAR.write_text("5", encoding="ascii")
    return peak_mb()
