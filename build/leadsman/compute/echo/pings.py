"""The timing of pings: interval, second return, and how another sounder's pings march over the picture."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula

_SOUND_SPEED = Number("sound_speed", "m/s", 1400, 1600, "sound speed", 1500.0)
_INTERVAL = Number("ping_interval", "ms", 1, 60_000, "own ping interval")
_OTHER_INTERVAL = Number("other_ping_interval", "ms", 1, 60_000, "ping interval of the other sounder")


class PingTiming(NamedTuple):
    """Shortest time between pings and what it makes a second."""

    interval: Values
    rate: Values


class SecondReturn(NamedTuple):
    """Where a repeated return of the bottom stands."""

    from_face: Values
    shown: Values
    ratio: Values


class March(NamedTuple):
    """How the marks of another sounder move over the picture."""

    step: Values
    pings_between: Values
    speed: Values


@formula(
    "echo.ping_interval",
    title="Shortest ping interval for a range",
    inputs=(
        Number("range", "m", 0.1, 10_000, "range to which the receiver listens"),
        _SOUND_SPEED,
        Number("overhead", "ms", 0, 2000, "pulse, processing and waiting in each ping", 0.0),
    ),
    outputs=(
        Output("interval", "ms", "time from ping to ping"),
        Output("rate", "Hz", "pings a second"),
    ),
    method="Time out and back, with the overhead",
    sources=("urick-1983, chapter 8",),
    accuracy="exact; displays often listen beyond the range shown",
)
def ping_interval(
    *, range_m: Values, sound_speed_mps: Values = 1500.0, overhead_ms: Values = 0.0
) -> PingTiming:
    r"""Shortest interval between pings that lets the echo from the whole range come back.

    .. math:: T = 2R/c + t_0

    Notes
    -----
    A picture that crawls on a great manual range does so for this reason.

    Examples
    --------
    >>> ping_interval(range_m=75)
    PingTiming(interval=100.0, rate=10.0)
    """
    interval_ms = 2000 * range_m / sound_speed_mps + overhead_ms
    return PingTiming(interval_ms, 1000 / interval_ms)


@formula(
    "echo.second_return",
    title="Where the second return appears",
    inputs=(
        Number("depth", "m", 0.05, 5000, "water below the face"),
        Number("face_immersion", "m", 0, 20, "depth of the face below the surface"),
        Number(
            "offset",
            "m",
            -20,
            20,
            "what the display adds to the depth below the face: the immersion, to show depth from the surface",
            0.0,
        ),
        Number("order", "1", 2, 10, "second return, third and so on", 2.0),
    ),
    outputs=(
        Output("from_face", "m", "apparent depth below the face"),
        Output("shown", "m", "as the display shows it, with its offset"),
        Output("ratio", "1", "shown depth of this return over the true shown depth"),
    ),
    method="Path between bottom and surface, the face hanging below the surface",
    sources=("urick-1983, chapter 8, for the path; the geometry is elementary",),
    accuracy="exact over a flat bottom",
)
def second_return(
    *, depth_m: Values, face_immersion_m: Values, offset_m: Values = 0.0, order: Values = 2.0
) -> SecondReturn:
    r"""Apparent depth of the echo that has been down, up to the surface and down again.

    .. math:: d_n = n d + (n - 1) h

    Notes
    -----
    The second return stands at twice the depth plus the face's immersion when depth is shown below the
    face, and at exactly twice when it is shown from the surface. Hulls send a weaker one from 2d.

    Examples
    --------
    >>> second_return(depth_m=3, face_immersion_m=0.5).from_face
    6.5
    """
    shown_first = np.asarray(depth_m + offset_m)
    if np.any(shown_first <= 0):
        raise NoAnswer("the offset leaves no depth to show")
    apparent = order * depth_m + (order - 1) * face_immersion_m
    return SecondReturn(apparent, apparent + offset_m, (apparent + offset_m) / shown_first)


@formula(
    "echo.band_overlap",
    title="Overlap of two sounders' bands",
    inputs=(
        Number("frequency", "kHz", 10, 1500, "middle of the receiver's band"),
        Number("bandwidth", "kHz", 0.05, 500, "width of the receiver's band"),
        Number("other_frequency", "kHz", 10, 1500, "middle of the other sounder's band"),
        Number("other_bandwidth", "kHz", 0.05, 500, "width of the other sounder's band"),
    ),
    outputs=(Output("overlap", "1", "fraction of the other's band that the receiver lets in"),),
    method="Common part of the two bands over the other's",
    sources=("common-practice",),
    accuracy="square bands; a strong neighbour also gets in beside the band",
)
def band_overlap(
    *,
    frequency_khz: Values,
    bandwidth_khz: Values,
    other_frequency_khz: Values,
    other_bandwidth_khz: Values,
) -> Values:
    r"""Fraction of another sounder's band that the receiver lets in.

    .. math:: o = \frac{\max(0, \min(h_1, h_2) - \max(l_1, l_2))}{h_2 - l_2}

    Returns
    -------
    float or array
        Overlap from 0 (no interference expected) to 1 [-].

    Notes
    -----
    Any overlap can put marks on the picture when both are on one boat; the level difference is tens of
    decibels in the intruder's favour.

    Examples
    --------
    >>> band_overlap(frequency_khz=200, bandwidth_khz=10, other_frequency_khz=198, other_bandwidth_khz=8)
    0.875
    """
    low = np.maximum(frequency_khz - bandwidth_khz / 2, other_frequency_khz - other_bandwidth_khz / 2)
    high = np.minimum(frequency_khz + bandwidth_khz / 2, other_frequency_khz + other_bandwidth_khz / 2)
    result: Values = np.maximum(0.0, high - low) / other_bandwidth_khz
    return result


@formula(
    "echo.interference_march",
    title="March of another sounder's marks",
    inputs=(_INTERVAL, _OTHER_INTERVAL, _SOUND_SPEED),
    outputs=(
        Output("step", "m", "shift from one mark to the next on the picture, positive deeper"),
        Output("pings_between", "1", "own pings from one mark to the next"),
        Output("speed", "m/s", "speed of the march, positive deeper"),
    ),
    method="Beat of the two ping intervals, nearest ratio of whole numbers with a one in it",
    sources=("common-practice",),
    accuracy="exact for steady intervals; jittered pings scatter instead of marching",
)
def interference_march(
    *, ping_interval_ms: Values, other_ping_interval_ms: Values, sound_speed_mps: Values = 1500.0
) -> March:
    r"""Shift of another sounder's marks from ping to ping: the marching dashes of cross-talk.

    .. math:: s = \frac{c}{2}(mT_2 - pT_1)

    Notes
    -----
    p and m are the whole numbers nearest to T2/T1 and T1/T2, one at least. At a step of 0 the marks stand
    still and look like a second bottom: two units of one kind on the same range do this.

    Examples
    --------
    >>> interference_march(ping_interval_ms=100, other_ping_interval_ms=101)
    March(step=0.75, pings_between=1.0, speed=7.5)
    """
    own, other = np.asarray(ping_interval_ms), np.asarray(other_ping_interval_ms)
    pings = np.maximum(1.0, np.round(other / own))
    others = np.maximum(1.0, np.round(own / other))
    step_m = sound_speed_mps * (others * other - pings * own) / 2000
    return March(step_m, pings, 1000 * step_m / (pings * own))


@formula(
    "echo.interference_crossing",
    title="Time in which another sounder's marks cross the picture",
    inputs=(
        _INTERVAL,
        _OTHER_INTERVAL,
        Number("range", "m", 0.1, 10_000, "depth range that the picture shows"),
        _SOUND_SPEED,
    ),
    outputs=(Output("time", "s", "time from one edge of the picture to the other"),),
    method="Range over the speed of the march",
    sources=("common-practice",),
    accuracy="exact for steady intervals",
    serves="How fast do another sounder's marks cross the picture?",
)
def interference_crossing(
    *,
    ping_interval_ms: Values,
    other_ping_interval_ms: Values,
    range_m: Values,
    sound_speed_mps: Values = 1500.0,
) -> Values:
    r"""Time that another sounder's marks take to march across the picture once.

    .. math:: t = R/|v|

    Notes
    -----
    A bottom follows the chart; marks that cross the picture in a steady time are another sounder.

    Examples
    --------
    >>> interference_crossing(ping_interval_ms=100, other_ping_interval_ms=101, range_m=60)
    8.0
    """
    march = interference_march(
        ping_interval_ms=ping_interval_ms,
        other_ping_interval_ms=other_ping_interval_ms,
        sound_speed_mps=sound_speed_mps,
    )
    if np.any(np.asarray(march.speed) == 0):
        raise NoAnswer("the two intervals match: the marks stand still on the picture like a second bottom")
    return range_m / np.abs(march.speed)
