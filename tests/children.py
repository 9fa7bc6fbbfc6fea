"""Starting programs from a test, whatever this run itself was started by."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator


@contextlib.contextmanager
def heard() -> Iterator[None]:
    """Start what is started here with the signals of a terminal at their default.

    A signal that is ignored stays ignored in every child (POSIX, exec): a run begun with nohup or in the background of
    a script would hand that down.
    """
    ignored = [
        number for number in (signal.SIGINT, signal.SIGHUP) if signal.getsignal(number) == signal.SIG_IGN
    ]
    for number in ignored:
        signal.signal(number, signal.SIG_DFL)
    try:
        yield
    finally:
        for number in ignored:
            signal.signal(number, signal.SIG_IGN)
