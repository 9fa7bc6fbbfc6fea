"""Temporary files that go with their process, or with the next run after it, however it ended."""

from __future__ import annotations

import atexit
import contextlib
import os
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from leadsman.errors import OutputError
from leadsman.press import atomic

PREFIX = "leadsman-work-"


@cache
def own_folder() -> Path:
    """The folder for the temporary files of this process, made when it is first asked for.

    Those of the libraries lie in it too: they make their own, which nobody would remove after a kill.

    Raises
    ------
    OutputError
        When the system has no place for temporary files.
    """
    try:
        parent = Path(tempfile.gettempdir())
    except OSError as error:
        raise OutputError("there is no folder for temporary files; set TMPDIR to one") from error
    atomic.clear_abandoned(parent, PREFIX)
    held = contextlib.ExitStack()
    # Others may look into the system's folder: what lies in this one may name a customer.
    folder = held.enter_context(atomic.hidden_folder(parent, PREFIX, private=True))
    owner = os.getpid()

    def remove() -> None:
        # A forked worker inherits this handler; the folder is its parent's to remove.
        if os.getpid() == owner:
            held.close()

    atexit.register(remove)
    tempfile.tempdir = str(folder)
    return folder


@contextlib.contextmanager
def temporary_folder() -> Iterator[Path]:
    """Give a folder that goes when the block ends."""
    with tempfile.TemporaryDirectory(dir=own_folder(), ignore_cleanup_errors=True) as made:
        yield Path(made)
