"""Directivity index of a face from its measures: circular, rectangular and line."""

from __future__ import annotations

import numpy as np

from leadsman.compute.numerics import bessel_j1
from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.transducer.beam import FREQUENCY, SOUND_SPEED

_INDEX = (Output("directivity_index", "dB", "directivity index"),)


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


@formula(
    "transducer.directivity_index_circular",
    title="Directivity index of a circular face",
    inputs=(FREQUENCY, Number("diameter", "mm", 4, 1000, "diameter of the radiating face"), SOUND_SPEED),
    outputs=_INDEX,
    method="Exact index of a piston in a rigid baffle",
    sources=("kinsler-2000", "urick-1983"),
    accuracy="exact for an ideal piston",
)
def directivity_index_circular(
    *, frequency_khz: Values, diameter_mm: Values, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Directivity index of a circular face from its diameter.

    .. math:: DI = 10\log\frac{(ka)^2}{1 - J_1(2ka)/(ka)}, \quad ka = \pi D/\lambda

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    diameter_mm : float or array
        Diameter of the radiating face [mm].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Directivity index [dB].

    Notes
    -----
    Tends to 20 log(ka) for a large face and to 3 dB (the baffle) for a very small one.

    Examples
    --------
    >>> directivity_index_circular(frequency_khz=50, diameter_mm=50)
    14.32

    References
    ----------
    Kinsler and others 2000, section 7.6.
    """
    return piston_index(np.pi * diameter_mm * frequency_khz / sound_speed_mps)


@formula(
    "transducer.directivity_index_rectangular",
    title="Directivity index of a rectangular face",
    inputs=(
        FREQUENCY,
        Number("length", "mm", 4, 1000, "one side of the radiating face"),
        Number("width", "mm", 4, 1000, "the other side of the radiating face"),
        SOUND_SPEED,
    ),
    outputs=_INDEX,
    method="4 pi times the area over the wavelength squared",
    sources=("urick-1983",),
    accuracy="0.5 dB where both sides exceed a wavelength",
)
def directivity_index_rectangular(
    *, frequency_khz: Values, length_mm: Values, width_mm: Values, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Directivity index of a rectangular face from its sides.

    .. math:: DI = 10\log\frac{4\pi L_xL_y}{\lambda^2}

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    length_mm : float or array
        One side [mm].
    width_mm : float or array
        The other side [mm].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Directivity index [dB].

    Notes
    -----
    No answer where a side is shorter than half a wavelength.

    Examples
    --------
    >>> directivity_index_rectangular(frequency_khz=200, length_mm=75, width_mm=15)
    24.0

    References
    ----------
    Urick 1983, table 3.2.
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    return rectangle_index(length_mm / wavelength_mm, width_mm / wavelength_mm)


@formula(
    "transducer.directivity_index_line",
    title="Directivity index of a line",
    inputs=(FREQUENCY, Number("length", "mm", 4, 1000, "length of the line"), SOUND_SPEED),
    outputs=_INDEX,
    method="Twice the length over the wavelength",
    sources=("urick-1983",),
    accuracy="0.5 dB for a line longer than its wavelength",
)
def directivity_index_line(
    *, frequency_khz: Values, length_mm: Values, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Directivity index of a line that is long against the wavelength and narrow across.

    .. math:: DI = 10\log\frac{2L}{\lambda}

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    length_mm : float or array
        Length of the line [mm].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Directivity index [dB].

    Notes
    -----
    No answer where the line is shorter than half a wavelength.

    Examples
    --------
    >>> directivity_index_line(frequency_khz=200, length_mm=150)
    16.02

    References
    ----------
    Urick 1983, table 3.2.
    """
    lengths = length_mm * frequency_khz / sound_speed_mps
    if np.any(lengths < 0.5):
        raise NoAnswer("the line is shorter than half a wavelength: the long-line form does not hold")
    result: Values = 10 * np.log10(2 * lengths)
    return result
