"""Worker processes that never outlive their parent, and that leave nothing behind when they are ended."""

from __future__ import annotations

import contextlib
import multiprocessing
import multiprocessing.connection
import os
import signal
import tempfile
import threading
from collections.abc import Iterator

from leadsman.press.temporary import temporary_folder

#: So long a worker has to end before it is ended [s].
_PATIENCE_S = 3.0


@contextlib.contextmanager
def work_folder() -> Iterator[str]:
    """Give a folder for the temporary files of all workers; it goes with its owner, or with the next run after it."""
    with temporary_folder() as folder:
        try:
            yield str(folder)
        finally:
            stop_workers()


def begin_worker(folder: str) -> None:
    """Make this process a worker: its temporary files lie in the folder, and it ends when its parent does.

    Ctrl-C reaches every process of a terminal; the parent alone answers it and ends its workers.
    """
    for name in ("SIGINT", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if folder and os.path.isdir(folder):
        tempfile.tempdir = folder
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    # The other end of this pipe is held by the parent alone: the system closes it however the parent ends.
    multiprocessing.connection.wait([sentinel])
    os._exit(1)


def stop_workers() -> None:
    """End what still works for this process; harmless when nothing does."""
    children = multiprocessing.active_children()
    for child in children:
        child.terminate()
    for child in children:
        child.join(_PATIENCE_S)
        if child.is_alive():
            child.kill()
            child.join(_PATIENCE_S)
