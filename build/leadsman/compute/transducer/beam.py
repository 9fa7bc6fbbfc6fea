"""The beam of a transducer: width, pattern, side lobes and the loss of a tilted face.

Far-field theory of a plane piston in a rigid baffle, circular or rectangular. The argument of the pattern
is ``x = k a sin(theta)`` for a circle of radius a and ``u = pi L sin(theta) / lambda`` for a side L. A width
given at 3 dB means half power (3.0103 dB) and one at 6 dB half amplitude (6.0206 dB), as the field uses the
words; any other level is taken as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.numerics import bessel_j1, find_root
from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula

HALF_POWER_DB = 10 * math.log10(2)
#: Half-power arguments of the circular and of the rectangular pattern, and the circle's first null.
PISTON_HALF_POWER = 1.6163399561
LINE_HALF_POWER = 1.3915573782
PISTON_FIRST_NULL = 3.8317059702

FREQUENCY = Number("frequency", "kHz", 10, 1500, "frequency")
SOUND_SPEED = Number("sound_speed", "m/s", 1380, 1620, "speed of sound in the water", 1500.0)
BEAMWIDTH = Number("beamwidth", "deg", 0.3, 150, "full beam width at half power (-3 dB), one way")


def _decibels(level_db: Values) -> NDArray[np.float64]:
    """The level meant: the field's 3 and 6 dB are a half of power and a half of amplitude."""
    level = np.asarray(level_db, dtype=float)
    return np.where(level == 3, HALF_POWER_DB, np.where(level == 6, 2 * HALF_POWER_DB, level))


def piston_amplitude(x: Values) -> NDArray[np.float64]:
    """Pressure pattern ``2 J1(x)/x`` of a circular piston, 1 on the axis."""
    x = np.asarray(x, dtype=float)
    return np.asarray(np.divide(2 * bessel_j1(x), x, out=np.ones_like(x), where=x != 0))


def line_amplitude(u: Values) -> NDArray[np.float64]:
    """Pressure pattern ``sin(u)/u`` of a rectangular face in the plane of one side, 1 on the axis."""
    return np.sinc(np.asarray(u, dtype=float) / np.pi)


def piston_argument(level_db: Values) -> NDArray[np.float64]:
    """Where the main lobe of the circular pattern has fallen by a level."""
    return _falls_to(piston_amplitude, _decibels(level_db), PISTON_FIRST_NULL)


def line_argument(level_db: Values) -> NDArray[np.float64]:
    """Where the main lobe of the rectangular pattern has fallen by a level."""
    return _falls_to(line_amplitude, _decibels(level_db), np.pi)


def _falls_to(
    pattern: Callable[[Values], NDArray[np.float64]], level_db: NDArray[np.float64], null: float
) -> NDArray[np.float64]:
    levels, inverse = np.unique(level_db, return_inverse=True)
    amplitude = 10 ** (-levels / 20)
    # Its published types know no functions with further arguments.
    found = find_root(lambda x, target: pattern(x) - target, (1e-6, null), args=(amplitude,))
    arguments: NDArray[np.float64] = found.x[inverse].reshape(level_db.shape)
    return arguments


def full_angle(sine: Values, what: str) -> Values:
    """Full angle [deg] whose half has the given sine; no answer where no such angle exists."""
    if np.any(np.asarray(sine) > 1):
        raise NoAnswer(what)
    result: Values = 2 * np.degrees(np.arcsin(sine))
    return result


@formula(
    "transducer.beam_pattern",
    title="Beam pattern, one way",
    inputs=(
        Number("angle", "deg", -90, 90, "angle from the axis"),
        BEAMWIDTH,
        Choice(
            "shape",
            ("circular", "rectangular", "gaussian"),
            "circular piston, rectangular face in the plane of the side that makes the width, or a Gaussian lobe",
            "circular",
        ),
    ),
    outputs=(Output("pattern", "dB", "level against the axis, one way"),),
    method="Far-field pattern of the face with the stated half-power width",
    sources=("kinsler-2000, sections 7.3 and 7.4",),
    accuracy="main lobe 1 dB; in real transducers nulls are filled in and side lobes are 1 to 5 dB lower",
)
def beam_pattern(*, angle_deg: Values, beamwidth_deg: Values, shape: str = "circular") -> Values:
    r"""Level of the beam at an angle from its axis, one way, from its half-power width.

    .. math:: b = 20\log\left|\frac{2J_1(x)}{x}\right|, \quad x = 1.6163\frac{\sin\theta}{\sin(\theta_3/2)}

    Returns
    -------
    float or array
        Level against the axis, 0 or less, without a floor in a null [dB].

    Notes
    -----
    The Gaussian lobe has neither nulls nor side lobes.

    Examples
    --------
    >>> beam_pattern(angle_deg=6, beamwidth_deg=12)
    -3.0103
    """
    if shape == "gaussian":
        return -HALF_POWER_DB * (2 * angle_deg / beamwidth_deg) ** 2
    ratio = np.sin(np.radians(angle_deg)) / np.sin(np.radians(beamwidth_deg) / 2)
    if shape == "circular":
        amplitude = piston_amplitude(PISTON_HALF_POWER * ratio)
    else:
        amplitude = line_amplitude(LINE_HALF_POWER * ratio)
    with np.errstate(divide="ignore"):
        result: Values = 20 * np.log10(np.abs(amplitude))
    return result


@formula(
    "transducer.two_way_loss",
    title="Beam loss there and back",
    inputs=(
        Number("angle", "deg", -90, 90, "angle from the axis"),
        BEAMWIDTH,
        Choice("shape", ("circular", "rectangular", "gaussian"), "shape of the face", "circular"),
    ),
    outputs=(Output("loss", "dB", "loss against the axis, two-way"),),
    method="Twice the one-way pattern, the same face sending and receiving",
    sources=("kinsler-2000, section 7.4",),
    accuracy="as transducer.beam_pattern, doubled",
)
def two_way_loss(*, angle_deg: Values, beamwidth_deg: Values, shape: str = "circular") -> Values:
    r"""Loss of an echo that comes from an angle to the axis, there and back.

    .. math:: L = -2b(\theta)

    Returns
    -------
    float or array
        Two-way loss, 0 or more [dB].

    Notes
    -----
    Beyond the main lobe the value swings with the side lobes.

    Examples
    --------
    >>> two_way_loss(angle_deg=10, beamwidth_deg=12)
    19.14
    """
    return -2 * beam_pattern(angle_deg=angle_deg, beamwidth_deg=beamwidth_deg, shape=shape)


@formula(
    "transducer.tilt_loss",
    title="Loss of a tilted face over a level, mirror-like bottom",
    inputs=(
        Number("tilt", "deg", 0, 45, "tilt of the face out of the horizontal"),
        BEAMWIDTH,
        Choice(
            "method",
            ("piston", "gaussian"),
            "the exact piston pattern, or the Gaussian form of the trade, which has no nulls",
            "piston",
        ),
    ),
    outputs=(Output("loss", "dB", "loss of the echo from straight below, two-way"),),
    method="Two-way piston pattern inside the main lobe, or the Gaussian form 24 (tilt/width)^2",
    sources=("kinsler-2000, section 7.4", "common-practice"),
    accuracy="1 dB to a tilt of half the beam width; the two methods differ by 0.2 dB there",
)
def tilt_loss(*, tilt_deg: Values, beamwidth_deg: Values, method: str = "piston") -> Values:
    r"""Two-way loss of the echo from straight below when the face is tilted.

    .. math:: L = -40\log\left|\frac{2J_1(x)}{x}\right|, \quad x = 1.6163\frac{\sin t}{\sin(\theta_3/2)}

    Notes
    -----
    The piston form has no answer from the first null on: there the bottom straight below is seen by side
    lobes alone and no figure of loss means anything. The Gaussian form goes on rising.

    Examples
    --------
    >>> tilt_loss(tilt_deg=6, beamwidth_deg=12)
    6.02
    >>> tilt_loss(tilt_deg=3, beamwidth_deg=12, method="gaussian")
    1.505
    """
    if method == "gaussian":
        return two_way_loss(angle_deg=tilt_deg, beamwidth_deg=beamwidth_deg, shape="gaussian")
    ratio = np.sin(np.radians(tilt_deg)) / np.sin(np.radians(beamwidth_deg) / 2)
    if np.any(PISTON_HALF_POWER * ratio >= PISTON_FIRST_NULL):
        raise NoAnswer(
            "the tilt lies beyond the first null of the beam: its main lobe misses the bottom straight below"
        )
    return two_way_loss(angle_deg=tilt_deg, beamwidth_deg=beamwidth_deg)


# Argument and level of the first side lobe: the first zero of J2, and of tan(u) = u.
