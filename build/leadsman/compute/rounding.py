"""Comparing beyond the last binary digits. A rule of the content compares so too, and loads no array library for it."""

from __future__ import annotations

from typing import Any

#: Two results of one exact value differ by less than this share of it.
ROUNDING = 1e-9


def exceeds(value: Any, limit: Any) -> Any:
    """Whether a value is greater than a limit by more than the last binary digits; of arrays element by element.

    Examples
    --------
    >>> exceeds(0.1 + 0.2, 0.3), exceeds(0.31, 0.3)
    (False, True)
    """
    return value > limit + ROUNDING * abs(limit)


def falls_short(value: Any, limit: Any) -> Any:
    """Whether a value is less than a limit by more than the last binary digits; of arrays element by element."""
    return exceeds(limit, value)


def first_not_below(steps: Any, value: Any) -> Any:
    """The place of the first of some rising steps that a value does not exceed, element by element."""
    import numpy as np

    return np.searchsorted(np.asarray(steps), np.asarray(value) * (1 - ROUNDING))
