"""Directivity index of a face from its measures: circular, rectangular and line."""

from __future__ import annotations

import numpy as np

from leadsman.compute.numerics import bessel_j1
from leadsman.compute.registry import NoAnswer, Values


def piston_index(ka: Values) -> Values:
    """Exact index of a circular piston in a baffle from its ``k a``."""
    result: Values = 10 * np.log10(ka**2 / (1 - bessel_j1(2 * ka) / ka))
    return result


def rectangle_index(length: Values, width: Values) -> Values:
    """Index of a face with the sides given in wavelengths."""
    if np.any(np.minimum(length, width) < 0.5):
        raise NoAnswer("a side is shorter than half a wavelength: the large-face form does not hold")
    result: Values = 10 * np.log10(4 * np.pi * length * width)
    return result
