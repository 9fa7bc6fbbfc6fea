"""The beam of a transducer: width, pattern, side lobes and the loss of a tilted face.

Far-field theory of a plane piston in a rigid baffle, circular or rectangular. The argument of the pattern
is ``x = k a sin(theta)`` for a circle of radius a and ``u = pi L sin(theta) / lambda`` for a side L. A width
given at 3 dB means half power (3.0103 dB) and one at 6 dB half amplitude (6.0206 dB), as the field uses the
words; any other level is taken as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import elementwise
from scipy.special import j1

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula

HALF_POWER_DB = 10 * math.log10(2)
#: Half-power arguments of the circular and of the rectangular pattern, and the circle's first null.
PISTON_HALF_POWER = 1.6163399561
LINE_HALF_POWER = 1.3915573782
PISTON_FIRST_NULL = 3.8317059702

FREQUENCY = Number("frequency", "kHz", 10, 1500, "frequency")
SOUND_SPEED = Number("sound_speed", "m/s", 1380, 1620, "speed of sound in the water", 1500.0)
BEAMWIDTH = Number("beamwidth", "deg", 0.3, 150, "full beam width at half power (-3 dB), one way")
_DIAMETER = Number("diameter", "mm", 4, 1000, "diameter of the radiating face")
_LEVEL = Number("level", "dB", 0.5, 40, "one-way level at which the width is taken, below the axis", 3.0)
_WIDTH = (Output("beamwidth", "deg", "full beam width at the level, one way"),)


def _decibels(level_db: Values) -> NDArray[np.float64]:
    """The level meant: the field's 3 and 6 dB are a half of power and a half of amplitude."""
    level = np.asarray(level_db, dtype=float)
    return np.where(level == 3, HALF_POWER_DB, np.where(level == 6, 2 * HALF_POWER_DB, level))


def piston_amplitude(x: Values) -> NDArray[np.float64]:
    """Pressure pattern ``2 J1(x)/x`` of a circular piston, 1 on the axis."""
    x = np.asarray(x, dtype=float)
    safe = np.where(x == 0, 1.0, x)
    return np.where(x == 0, 1.0, 2 * j1(safe) / safe)


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
    find_root: Any = elementwise.find_root
    found = find_root(lambda x, target: pattern(x) - target, (1e-6, null), args=(amplitude,))
    arguments: NDArray[np.float64] = found.x[inverse].reshape(level_db.shape)
    return arguments


def full_angle(sine: Values, what: str) -> Values:
    """Full angle [deg] whose half has the given sine; no answer where no such angle exists."""
    if np.any(np.asarray(sine) > 1):
        raise NoAnswer(what)
    result: Values = 2 * np.degrees(np.arcsin(sine))
    return result


_TOO_SMALL = "the face is so small for its wavelength that its pattern nowhere falls by the level asked for"


@formula(
    "transducer.beamwidth_circular",
    title="Beam width of a circular face",
    inputs=(FREQUENCY, _DIAMETER, _LEVEL, SOUND_SPEED),
    outputs=_WIDTH,
    method="Piston pattern 2 J1(x)/x solved for the level",
    sources=("kinsler-2000", "urick-1983"),
    accuracy="exact for an ideal piston; a real face is some 10 to 20 % wider than its diameter promises",
)
def beamwidth_circular(
    *, frequency_khz: Values, diameter_mm: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Full beam width of a circular face at a stated one-way level, from the piston pattern.

    .. math:: \theta = 2\arcsin\frac{x_L\lambda}{\pi D}, \quad 20\log\left|2J_1(x_L)/x_L\right| = -L

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    diameter_mm : float or array
        Diameter of the radiating face [mm].
    level_db : float or array
        One-way level below the axis at which the width is taken; 3 means half power [dB].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Full beam width [deg].

    Notes
    -----
    No answer where the face is too small for the pattern to fall by the level. The small-angle constant
    (59 deg times wavelength over diameter at 3 dB) is not used.

    Examples
    --------
    >>> beamwidth_circular(frequency_khz=200, diameter_mm=50)
    8.852

    References
    ----------
    Kinsler and others 2000, section 7.4; Urick 1983, table 3.2.
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    return full_angle(piston_argument(level_db) * wavelength_mm / (np.pi * diameter_mm), _TOO_SMALL)


@formula(
    "transducer.beamwidth_rectangular",
    title="Beam width of a rectangular face in the plane of one side",
    inputs=(
        FREQUENCY,
        Number("side", "mm", 4, 1000, "length of the side in whose plane the width is taken"),
        _LEVEL,
        SOUND_SPEED,
    ),
    outputs=_WIDTH,
    method="Line pattern sin(u)/u solved for the level",
    sources=("kinsler-2000", "urick-1983"),
    accuracy="exact for an ideal face driven evenly",
)
def beamwidth_rectangular(
    *, frequency_khz: Values, side_mm: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Full beam width of a rectangular face along one side, from the line pattern.

    .. math:: \theta = 2\arcsin\frac{u_L\lambda}{\pi\ell}, \quad 20\log\left|\sin(u_L)/u_L\right| = -L

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    side_mm : float or array
        Length of the side [mm].
    level_db : float or array
        One-way level below the axis at which the width is taken; 3 means half power [dB].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Full beam width in the plane of that side [deg].

    Notes
    -----
    A fan beam has two widths, one for each side; the long side makes the narrow one.

    Examples
    --------
    >>> beamwidth_rectangular(frequency_khz=455, side_mm=150)
    1.1156

    References
    ----------
    Kinsler and others 2000, section 7.3; Urick 1983, table 3.2.
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    return full_angle(line_argument(level_db) * wavelength_mm / (np.pi * side_mm), _TOO_SMALL)


@formula(
    "transducer.aperture_diameter",
    title="Diameter of a circular face for a beam width",
    inputs=(FREQUENCY, BEAMWIDTH, _LEVEL, SOUND_SPEED),
    outputs=(Output("diameter", "mm", "diameter of the radiating face"),),
    method="Piston pattern solved for the diameter",
    sources=("kinsler-2000",),
    accuracy="exact for an ideal piston",
)
def aperture_diameter(
    *, frequency_khz: Values, beamwidth_deg: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Diameter of the circular face that has a beam width, from the piston pattern.

    .. math:: D = \frac{x_L\lambda}{\pi\sin(\theta/2)}

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    beamwidth_deg : float or array
        Full beam width at the level [deg].
    level_db : float or array
        One-way level at which the width is stated [dB].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Diameter [mm].

    Notes
    -----
    Its use is a check of equipment data: a width stated at 10 dB but recorded as 3 dB gives a face that
    does not fit the housing.

    Examples
    --------
    >>> aperture_diameter(frequency_khz=200, beamwidth_deg=12)
    36.91

    References
    ----------
    Kinsler and others 2000, section 7.4.
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    sine = np.sin(np.radians(beamwidth_deg) / 2)
    result: Values = piston_argument(level_db) * wavelength_mm / (np.pi * sine)
    return result


@formula(
    "transducer.aperture_side",
    title="Side of a rectangular face for a beam width",
    inputs=(FREQUENCY, BEAMWIDTH, _LEVEL, SOUND_SPEED),
    outputs=(Output("side", "mm", "length of the side"),),
    method="Line pattern solved for the side",
    sources=("kinsler-2000",),
    accuracy="exact for an ideal face driven evenly",
)
def aperture_side(
    *, frequency_khz: Values, beamwidth_deg: Values, level_db: Values = 3.0, sound_speed_mps: Values = 1500.0
) -> Values:
    r"""Side of the rectangular face that has a beam width in its plane, from the line pattern.

    .. math:: \ell = \frac{u_L\lambda}{\pi\sin(\theta/2)}

    Parameters
    ----------
    frequency_khz : float or array
        Frequency [kHz].
    beamwidth_deg : float or array
        Full beam width at the level in the plane of the side [deg].
    level_db : float or array
        One-way level at which the width is stated [dB].
    sound_speed_mps : float or array
        Speed of sound in the water [m/s].

    Returns
    -------
    float or array
        Side [mm].

    Notes
    -----
    The inverse of ``transducer.beamwidth_rectangular``.

    Examples
    --------
    >>> aperture_side(frequency_khz=455, beamwidth_deg=1.1156)
    150.0

    References
    ----------
    Kinsler and others 2000, section 7.3.
    """
    wavelength_mm = sound_speed_mps / frequency_khz
    result: Values = line_argument(level_db) * wavelength_mm / (np.pi * np.sin(np.radians(beamwidth_deg) / 2))
    return result


@formula(
    "transducer.beamwidth_at_level",
    title="Beam width at another level",
    inputs=(
        Number("beamwidth", "deg", 0.3, 150, "full beam width as stated, one way"),
        Number("stated_level", "dB", 0.5, 40, "one-way level at which the width is stated"),
        Number("level", "dB", 0.5, 40, "one-way level wanted", 3.0),
    ),
    outputs=_WIDTH,
    method="Piston pattern of the face that has the stated width",
    sources=("kinsler-2000",),
    accuracy="exact for an ideal piston",
)
def beamwidth_at_level(*, beamwidth_deg: Values, stated_level_db: Values, level_db: Values = 3.0) -> Values:
    r"""Full beam width at one level from the width stated at another, by the piston pattern.

    .. math:: \sin\frac{\theta_2}{2} = \frac{x_{L2}}{x_{L1}}\sin\frac{\theta_1}{2}

    Parameters
    ----------
    beamwidth_deg : float or array
        Full beam width as stated [deg].
    stated_level_db : float or array
        One-way level of that statement [dB].
    level_db : float or array
        One-way level wanted [dB].

    Returns
    -------
    float or array
        Full beam width at the level wanted [deg].

    Notes
    -----
    Wide "cones" are often stated at 10 dB; a 20 degree cone at 10 dB is an 11.8 degree beam at 3 dB.

    Examples
    --------
    >>> beamwidth_at_level(beamwidth_deg=20, stated_level_db=10)
    11.80

    References
    ----------
    Kinsler and others 2000, section 7.4.
    """
    ratio = piston_argument(level_db) / piston_argument(stated_level_db)
    return full_angle(ratio * np.sin(np.radians(beamwidth_deg) / 2), _TOO_SMALL)


@formula(
    "transducer.beam_pattern",
    title="Beam pattern, one way",
    inputs=(
        Number("angle", "deg", -90, 90, "angle from the axis"),
        BEAMWIDTH,
        Choice("shape", ("circular", "rectangular", "gaussian"), "shape of the face", "circular"),
    ),
    outputs=(Output("pattern", "dB", "level against the axis, one way"),),
    method="Far-field pattern of the face with the stated half-power width",
    sources=("kinsler-2000",),
    accuracy="main lobe 1 dB; in real transducers nulls are filled in and side lobes are 1 to 5 dB lower",
)
def beam_pattern(*, angle_deg: Values, beamwidth_deg: Values, shape: str = "circular") -> Values:
    r"""Level of the beam at an angle from its axis, one way, from its half-power width.

    .. math:: b = 20\log\left|\frac{2J_1(x)}{x}\right|, \quad x = 1.6163\frac{\sin\theta}{\sin(\theta_3/2)}

    Parameters
    ----------
    angle_deg : float or array
        Angle from the axis [deg].
    beamwidth_deg : float or array
        Full beam width at half power [deg].
    shape : str
        Circular piston; rectangular face in the plane of the side that makes the width; or a Gaussian lobe.

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

    References
    ----------
    Kinsler and others 2000, sections 7.3 and 7.4.
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
    sources=("kinsler-2000",),
    accuracy="as transducer.beam_pattern, doubled",
)
def two_way_loss(*, angle_deg: Values, beamwidth_deg: Values, shape: str = "circular") -> Values:
    r"""Loss of an echo that comes from an angle to the axis, there and back.

    .. math:: L = -2b(\theta)

    Parameters
    ----------
    angle_deg : float or array
        Angle from the axis [deg].
    beamwidth_deg : float or array
        Full beam width at half power, one way [deg].
    shape : str
        Shape of the face.

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

    References
    ----------
    Kinsler and others 2000, section 7.4.
    """
    return -2 * beam_pattern(angle_deg=angle_deg, beamwidth_deg=beamwidth_deg, shape=shape)


@formula(
    "transducer.tilt_loss",
    title="Loss of a tilted face over a level bottom",
    inputs=(
        Number("tilt", "deg", 0, 45, "tilt of the face out of the horizontal"),
        BEAMWIDTH,
        Choice("method", ("piston", "gaussian"), "pattern", "piston"),
    ),
    outputs=(Output("loss", "dB", "loss of the echo from straight below, two-way"),),
    method="Two-way piston pattern inside the main lobe, or the Gaussian form 24 (tilt/width)^2",
    sources=("kinsler-2000", "common-practice"),
    accuracy="1 dB to a tilt of half the beam width; the two methods differ by 0.2 dB there",
)
def tilt_loss(*, tilt_deg: Values, beamwidth_deg: Values, method: str = "piston") -> Values:
    r"""Two-way loss of the echo from straight below when the face is tilted.

    .. math:: L = -40\log\left|\frac{2J_1(x)}{x}\right|, \quad x = 1.6163\frac{\sin t}{\sin(\theta_3/2)}

    Parameters
    ----------
    tilt_deg : float or array
        Tilt of the face out of the horizontal, both axes combined [deg].
    beamwidth_deg : float or array
        Full beam width at half power, one way, in the plane of the tilt [deg].
    method : str
        The exact piston pattern, or the Gaussian form of the trade, which has no nulls.

    Returns
    -------
    float or array
        Two-way loss [dB].

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

    References
    ----------
    Kinsler and others 2000, section 7.4.
    """
    if method == "gaussian":
        return two_way_loss(angle_deg=tilt_deg, beamwidth_deg=beamwidth_deg, shape="gaussian")
    ratio = np.sin(np.radians(tilt_deg)) / np.sin(np.radians(beamwidth_deg) / 2)
    if np.any(PISTON_HALF_POWER * ratio >= PISTON_FIRST_NULL):
        raise NoAnswer(
            "the tilt lies beyond the first null of the beam: its main lobe misses the bottom straight below"
        )
    return two_way_loss(angle_deg=tilt_deg, beamwidth_deg=beamwidth_deg)


class SideLobe(NamedTuple):
    """The first null and the first side lobe beside the main lobe."""

    first_null: float | NDArray[np.float64]
    angle: float | NDArray[np.float64]
    level: float | NDArray[np.float64]


# Argument and level of the first side lobe: the first zero of J2, and of tan(u) = u.
_PISTON_SIDE_LOBE = (5.1356223018, -17.5701)
_LINE_SIDE_LOBE = (4.4934094579, -13.2615)


@formula(
    "transducer.first_side_lobe",
    title="First side lobe",
    inputs=(BEAMWIDTH, Choice("shape", ("circular", "rectangular"), "shape of the face", "circular")),
    outputs=(
        Output("first_null", "deg", "angle of the first null from the axis"),
        Output("angle", "deg", "angle of the first side lobe from the axis"),
        Output("level", "dB", "level of the first side lobe against the axis, one way"),
    ),
    method="Extrema of the far-field pattern",
    sources=("kinsler-2000",),
    accuracy="exact for an ideal face; a real one has its side lobe 1 to 5 dB lower",
)
def first_side_lobe(*, beamwidth_deg: Values, shape: str = "circular") -> SideLobe:
    r"""Angle of the first null, and angle and level of the first side lobe, from the half-power width.

    .. math:: \sin\theta_s = \frac{x_s}{1.6163}\sin\frac{\theta_3}{2}

    Parameters
    ----------
    beamwidth_deg : float or array
        Full beam width at half power [deg].
    shape : str
        Shape of the face.

    Returns
    -------
    SideLobe
        First null [deg]; angle [deg] and one-way level [dB] of the first side lobe.

    Notes
    -----
    No answer for a beam so wide that its side lobe falls beyond 90 degrees.

    Examples
    --------
    >>> first_side_lobe(beamwidth_deg=12)
    SideLobe(first_null=14.35, angle=19.40, level=-17.57)

    References
    ----------
    Kinsler and others 2000, sections 7.3 and 7.4.
    """
    circular = shape == "circular"
    half_power = PISTON_HALF_POWER if circular else LINE_HALF_POWER
    argument, level = _PISTON_SIDE_LOBE if circular else _LINE_SIDE_LOBE
    unit = np.sin(np.radians(beamwidth_deg) / 2) / half_power
    wide = "the beam is so wide that its first side lobe would lie beyond 90 degrees"
    angle = full_angle(argument * unit, wide) / 2
    null = full_angle((PISTON_FIRST_NULL if circular else np.pi) * unit, wide) / 2
    return SideLobe(null, angle, level + 0 * angle)
