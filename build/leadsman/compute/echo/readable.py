"""The depths that a sounder can show, deepest and shallowest, each with an honest band.

The band joins every declared uncertainty of what it is made of, as independent ones, by root of sum of
squares: absorption, own noise, installed loss (with it the efficiency, with which it was fitted), strength of the bottom and the
boat's state for the deepest depth; ring-down and recovery for the shallowest. A laminate is no matter of the
day: its worst stands whole at the one end and its best at the other. The display's own limits cap both.

The pessimistic end is what a sound sounder must do, the optimistic one what it may do. To convict, use the
first; to acquit, the second. Between them nothing is proved.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.echo import seabed
from leadsman.compute.echo.budget import (
    BANDWIDTH,
    FREQUENCY,
    INSTALLED_LOSS_BAND_DB,
    OWN_NOISE_BAND_DB,
    RECORD,
    SALINITY,
    SOURCES,
    TEMPERATURE,
    Link,
    excess_at,
    link,
    state_loss,
)
from leadsman.compute.numerics import find_root
from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula
from leadsman.compute.rounding import exceeds
from leadsman.compute.transducer import range_and_time as transducer
from leadsman.compute.water import by_water as water

#: Ring-down and recovery may be this fraction off: a hard bottom shows through ringing earlier, a soft
#: one later, and no maker states the Q in water (common practice).
_RINGING_BAND = 0.5
#: Least and greatest log10 of the range in metres between which the deepest depth is sought.
_LOG_RANGE_ENDS = (-6.0, 7.0)
#: Fineness of that search: a millionth of a decade is far below a digit.
_FINENESS = {"xatol": 1e-6, "xrtol": 0.0, "fatol": 1e-5, "frtol": 0.0}
_LEAST_DEEPEST_M = 0.1

GREATEST_DEPTH = Number("greatest_depth", "m", 1, 10_000, "deepest depth that the display shows at all")
LEAST_DEPTH = Number("least_depth", "m", 0, 10, "least depth that the display shows, below the face", 0.0)
BANDS = (
    Number("own_noise_band", "dB", 0, 30, "how far own noise may be off", OWN_NOISE_BAND_DB),
    Number(
        "installed_loss_band", "dB", 0, 30, "how far the installed loss may be off", INSTALLED_LOSS_BAND_DB
    ),
)
SHALLOW = (
    Number("pulse_short", "ms", 0.01, 50, "pulse length at the shallow setting"),
    Number("quality_factor", "1", 1, 66, "mechanical Q of the element in water"),
    Number("receiver_recovery", "ms", 0, 13, "time that the receiver needs after overload"),
)


class DepthBand(NamedTuple):
    """A depth limit: nominal, on a bad day and on a good one, and what sets it."""

    nominal: Values
    pessimistic: Values
    optimistic: Values
    limit: Any


def uncertainty_at(range_m: Values, link: Link, record: Mapping[str, Any]) -> NDArray[np.float64]:
    """Uncertainty of the signal excess at a range [dB]: root of sum of squares, and the hull's on top."""
    return _uncertainty(range_m, link, _absorption_uncertainty(record), _steady_variance(record))


def _absorption_uncertainty(record: Mapping[str, Any]) -> Any:
    return water.absorption_uncertainty(
        frequency_khz=record["frequency_khz"], salinity_psu=record["salinity_psu"]
    )


def _steady_variance(record: Mapping[str, Any]) -> Any:
    state = state_loss(record["boat_state"]).band
    bottom = seabed.normal_strength(sediment=record["sediment"])
    spread = (bottom.strongest - bottom.weakest) / 2
    noise, loss = record["own_noise_band_db"], record["installed_loss_band_db"]
    return noise**2 + loss**2 + state**2 + spread**2


def _uncertainty(range_m: Values, link: Link, fraction: Any, variance: Any) -> NDArray[np.float64]:
    by_chance = np.sqrt(variance + (2 * link.absorption_db_per_m * range_m * fraction) ** 2)
    return np.asarray(by_chance + link.hull_band_db)


def absorption_rules(range_m: Values, link: Link) -> NDArray[np.bool_]:
    """Whether the next metre costs more by absorption than by spreading."""
    pulse_limited = link.beam_sr * range_m > np.pi * link.cell_m
    spreading = np.where(pulse_limited, 30, 20) * np.log10(np.e)
    return np.asarray(2 * link.absorption_db_per_m * range_m > spreading)


def _roots(link: Link, fraction: Any, variance: Any) -> NDArray[np.float64]:
    """Ranges [m] at which the excess is nil, a full uncertainty in hand, and one short: stacked in front."""
    *terms, share, steady = np.broadcast_arrays(*link, fraction, variance)
    sign = np.array([0.0, 1.0, -1.0]).reshape(3, *([1] * share.ndim))

    def balance(log_range: Any, sign: Any, share: Any, steady: Any, *terms: Any) -> Any:
        range_m, budget = 10.0**log_range, Link(*terms)
        return excess_at(range_m, budget) - sign * _uncertainty(range_m, budget, share, steady)

    arguments = np.broadcast_arrays(sign, share, steady, *terms)
    shape = arguments[0].shape
    ends = tuple(np.full(shape, end) for end in _LOG_RANGE_ENDS)
    return np.asarray(10.0 ** find_root(balance, ends, args=arguments, tolerances=_FINENESS).x)


@formula(
    "echo.deepest_depth",
    title="Deepest readable depth",
    inputs=(*RECORD, GREATEST_DEPTH, *BANDS),
    outputs=(
        Output("nominal", "m", "deepest depth with a firm digit, below the face"),
        Output("pessimistic", "m", "on a bad day: what a sound sounder must reach"),
        Output("optimistic", "m", "on a good day: what it may reach"),
        Output("limit", "", "what sets the nominal depth: absorption, spreading or display range"),
    ),
    method="Root of the signal excess, with the installed loss; the band by root of sum of squares",
    sources=SOURCES,
    accuracy="the band is printed with it; calibrated on practice, sand, at rest, beams to 40 deg",
)
def deepest_depth(*, greatest_depth_m: Values, **sounder: Any) -> DepthBand:
    r"""Deepest depth with a firm digit, by the root of the signal excess, capped by the display.

    .. math:: SE(d) = 0;\quad SE(d_{\text{pessimistic}}) = u(d);\quad SE(d_{\text{optimistic}}) = -u(d)

    Notes
    -----
    Add the immersion of the face for depth below the surface. The pessimistic end convicts, the optimistic
    one acquits. Beams above 40 degrees lean short: at 50 kHz and 45 degrees the nominal depth lies up to a
    tenth below the least that practice believes, which the band still holds.

    Examples
    --------
    >>> deepest_depth(frequency_khz=200, power_w=500, beamwidth_deg=12, pulse_long_ms=0.6,
    ...               temperature_c=12, salinity_psu=35, greatest_depth_m=300).nominal
    122.96
    """
    terms = link(sounder)
    uncapped = _roots(terms, _absorption_uncertainty(sounder), _steady_variance(sounder))
    if not np.all(uncapped[0] >= _LEAST_DEEPEST_M):  # also where no root was found
        raise NoAnswer("the losses leave no depth at which the bottom can be read")
    # One by one: the three stand in front of the axis of the inputs, on which a list of greatest depths lies.
    nominal, pessimistic, optimistic = (np.minimum(depth, greatest_depth_m) for depth in uncapped)
    cause = np.where(absorption_rules(uncapped[0], terms), "absorption", "spreading")
    limit = np.where(exceeds(uncapped[0], greatest_depth_m), "display range", cause)
    return DepthBand(nominal, pessimistic, optimistic, limit)


@formula(
    "echo.shallowest_depth",
    title="Shallowest readable depth",
    inputs=(
        FREQUENCY,
        *SHALLOW,
        TEMPERATURE,
        SALINITY,
        BANDWIDTH,
        LEAST_DEPTH,
        Number("sound_speed_band", "%", 0, 10, "how far the sound speed may be off", 0.0),
    ),
    outputs=(
        Output("nominal", "m", "least depth with a firm digit, below the face"),
        Output("pessimistic", "m", "over a soft bottom, with a long ring"),
        Output("optimistic", "m", "over a hard bottom, with a short ring"),
        Output("limit", "", "what sets the nominal depth: dead zone or display range"),
    ),
    method="The larger of the dead zone and of the display's own least depth",
    sources=("urick-1983, chapter 2", "common-practice"),
    accuracy="the band is printed with it",
)
def shallowest_depth(
    *,
    frequency_khz: Values,
    pulse_short_ms: Values,
    quality_factor: Values,
    receiver_recovery_ms: Values,
    temperature_c: Values,
    salinity_psu: Values,
    bandwidth_khz: Values = 0.0,
    least_depth_m: Values = 0.0,
    sound_speed_band_pct: Values = 0.0,
) -> DepthBand:
    r"""Least depth with a firm digit: pulse, ring-down and recovery, or the display's least depth.

    .. math:: d = \max\left(\tfrac{c}{2}(\tau + t_{\text{ring}} + t_{\text{recovery}}),\ d_{\text{display}}\right)

    Notes
    -----
    The near field is no limit: a depth reads well inside it. Add the immersion of the face for depth
    below the surface. Ring-down and recovery are taken as known to half; the doubt about the sound speed
    widens both ends.

    Examples
    --------
    >>> shallowest_depth(frequency_khz=200, pulse_short_ms=0.1, quality_factor=20,
    ...                  receiver_recovery_ms=0.2, temperature_c=12, salinity_psu=0).nominal
    0.432
    """
    speed = water.sound_speed(temperature_c=temperature_c, salinity_psu=salinity_psu)
    zones = [
        transducer.dead_zone(
            pulse_ms=pulse_short_ms,
            frequency_khz=frequency_khz,
            bandwidth_khz=bandwidth_khz,
            quality_factor=quality_factor * share,
            receiver_recovery_ms=receiver_recovery_ms * share,
            sound_speed_mps=speed * (1 + side * np.asarray(sound_speed_band_pct) / 100),
        )
        for side, share in ((0, 1.0), (1, 1 + _RINGING_BAND), (-1, 1 - _RINGING_BAND))
    ]
    nominal, pessimistic, optimistic = (np.maximum(zone, least_depth_m) for zone in zones)
    limit = np.where(np.asarray(least_depth_m) > zones[0], "display range", "dead zone")
    return DepthBand(nominal, pessimistic, optimistic, limit)
