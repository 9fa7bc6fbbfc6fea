"""The peak of memory of this process."""

from __future__ import annotations

import re
import resource
from pathlib import Path


def peak_mb() -> float:
    """Its own peak [MB]; where no system tells it, at least that of the process that started this one too.

    A program that is started inherits the peak of its parent in `ru_maxrss` (Linux, getrusage(2)): beside a test worker
    that has grown, a small command would seem to have eaten a gigabyte.
    """
    status = Path("/proc/self/status")
    own = re.search(
        r"VmHWM:\s*(\d+) kB", status.read_text(encoding="ascii", errors="replace") if status.exists() else ""
    )
    return (int(own[1]) if own else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024
