"""Small helpers that let one formula serve scalars and arrays alike."""

from __future__ import annotations

from typing import Any

import numpy as np


def plain(value: Any) -> Any:
    """Return a Python float, bool or text for a scalar result, and an array unchanged.

    NumPy functions give zero-dimensional arrays or NumPy scalars for scalar input; a formula
    promises plain Python values there.

    Examples
    --------
    >>> plain(np.float64(2.5)), plain(np.array("good"))
    (2.5, 'good')
    """
    array = np.asarray(value)
    return array.item() if array.ndim == 0 else array
