"""The log gate: what the typesetting engine only logs, a build must treat as an error.

An unknown CSS property, a dead link, an image that failed to load, a missing glyph: the engine
writes a line to its log and goes on. Here every such line is a finding, and a finding stops the build.
"""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path

from leadsman.errors import OutputError

LOGGERS = ("weasyprint", "fontTools")


class Refused(OutputError):
    """An output was not written; ``findings`` says why, one line each.

    Examples
    --------
    >>> print(Refused("deck.pdf", ["no glyph for U+26A0"]))
    deck.pdf was not written:
      no glyph for U+26A0
    """

    def __init__(self, target: str | Path, findings: Sequence[str]) -> None:
        self.target = str(target)
        self.findings = tuple(dict.fromkeys(findings))
        super().__init__("\n  ".join([f"{self.target} was not written:", *self.findings]))


class TooLong(Refused):
    """An output that was not written since its texts need more room than its pages have."""


class _Collector(logging.Handler):
    """Keeps the messages of its own thread, so that two builds side by side do not mix."""

    def __init__(self) -> None:
        super().__init__(level=logging.WARNING)
        self.findings: list[str] = []
        self._thread = threading.get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self._thread:
            self.findings.append(record.getMessage())


@contextlib.contextmanager
def listen(names: Sequence[str] = LOGGERS) -> Iterator[list[str]]:
    """Collect every message of WARNING and above that the named loggers get inside the block.

    Examples
    --------
    >>> with listen() as findings:
    ...     logging.getLogger("weasyprint").warning("Ignored `colour:red`, unknown property.")
    >>> findings
    ['Ignored `colour:red`, unknown property.']
    """
    collector = _Collector()
    loggers = [logging.getLogger(name) for name in names]
    before = [(logger, logger.level, logger.propagate, logger.disabled) for logger in loggers]
    for logger in loggers:
        logger.addHandler(collector)
        logger.setLevel(logging.WARNING)
        logger.propagate, logger.disabled = False, False
    try:
        yield collector.findings
    finally:
        for logger, level, propagate, disabled in before:
            logger.removeHandler(collector)
            logger.level, logger.propagate, logger.disabled = level, propagate, disabled
