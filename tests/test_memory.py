"""The peak of memory that other tests judge by is that of the process itself."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import memory


def test_a_program_does_not_answer_for_the_one_that_started_it() -> None:
    parent = (
        "import subprocess, sys\n"
        "large = b'x' * 300_000_000\n"
        "child = [sys.executable, '-c', 'import memory; print(memory.peak_mb())']\n"
        "print(subprocess.run(child, capture_output=True, text=True, check=True).stdout)\n"
        "import memory\n"
        "print(memory.peak_mb())\n"
    )
    ran = subprocess.run([sys.executable, "-c", parent], capture_output=True, text=True, check=True,
                         env={"PYTHONPATH": str(Path(memory.__file__).parent)})  # fmt: skip
    child, own = map(float, ran.stdout.split())
    assert child < 100
    assert own > 286


@pytest.mark.skipif(sys.platform != "linux", reason="no other system forgets an earlier peak")
def test_what_comes_next_does_not_hide_below_an_earlier_peak() -> None:
    large = b"x" * 200_000_000
    del large
    before = memory.begun_mb()
    assert memory.peak_mb() - before < 20
    again = b"x" * 100_000_000
    assert memory.peak_mb() - before > 80
    del again
