"""How well a sounder suits a depth, in one word with the reason, over whole grids at once.

The word follows the bands of ``echo.deepest_depth`` and ``echo.shallowest_depth``: *good* where a digit
holds even on a bad day, *fair* where it nominally does, *poor* where it does on a good day only, *none*
beyond that. The reason names what takes the depth away.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.echo.budget import (
    DEPTH,
    INSTALLED_LOSS_BAND_DB,
    INSTALLED_LOSS_DB,
    OWN_NOISE_BAND_DB,
    QUIET_OWN_NOISE_DB,
    QUIET_WIND_MPS,
    RECORD,
    SOURCES,
    Link,
    excess_at,
    link,
    noise_rise,
)
from leadsman.compute.echo.readable import (
    BANDS,
    GREATEST_DEPTH,
    LEAST_DEPTH,
    SHALLOW,
    absorption_rules,
    shallowest_depth,
    uncertainty_at,
)
from leadsman.compute.registry import Output, Values, formula

#: The words from worst to best, and the reasons; "in hand" goes with good.
WORDS = ("none", "poor", "fair", "good")
REASONS = ("in hand", "dead zone", "absorption", "spreading", "noise", "display range")


class Suitability(NamedTuple):
    """A word, the reason for it, and the decibels in hand."""

    word: Any
    reason: Any
    margin: Values


def _rank_deep(margin_db: Any, band_db: Any) -> Any:
    """Rank 3 (good) to 0 (none) by the signal excess against its uncertainty."""
    return (margin_db >= band_db).astype(int) + (margin_db >= 0) + (margin_db >= -band_db)


def _noise_to_blame(depth_m: Any, margin_db: Any, terms: Link, record: Mapping[str, Any]) -> Any:
    """Whether a quiet boat at rest would have the depth good."""
    rise = noise_rise(record)
    needed = uncertainty_at(depth_m, terms, {**record, "boat_state": "at rest"})
    return (rise > 0) & (margin_db + rise >= needed)


@formula(
    "echo.suitability",
    title="Suitability of a sounder for a depth",
    inputs=(DEPTH, *RECORD, *SHALLOW, GREATEST_DEPTH, LEAST_DEPTH, *BANDS),
    outputs=(
        Output("word", "", "good, fair, poor or none"),
        Output("reason", "", "in hand, dead zone, absorption, spreading, noise or display range"),
        Output("margin", "dB", "signal excess"),
    ),
    method="Depth against the bands of the deepest and of the shallowest readable depth",
    sources=SOURCES,
    accuracy="the words carry the band: good holds on a bad day, poor on a good day only",
)
def suitability(
    *,
    depth_m: Values,
    frequency_khz: Values,
    power_w: Values,
    beamwidth_deg: Values,
    pulse_long_ms: Values,
    temperature_c: Values,
    salinity_psu: Values,
    beamwidth_across_deg: Values = 0.0,
    bandwidth_khz: Values = 0.0,
    sediment: str = "sand",
    tilt_deg: Values = 0.0,
    wind_mps: Values = QUIET_WIND_MPS,
    own_noise_db: Values = QUIET_OWN_NOISE_DB,
    boat_state: str = "at rest",
    installed_loss_db: Values = INSTALLED_LOSS_DB,
    extra_loss_db: Values = 0.0,
    detection_threshold_db: Values = 10.0,
    laminate_mm: Values = 0.0,
    efficiency: Values = 0.45,
    pulse_short_ms: Values,
    quality_factor: Values,
    receiver_recovery_ms: Values,
    greatest_depth_m: Values,
    least_depth_m: Values = 0.0,
    own_noise_band_db: Values = OWN_NOISE_BAND_DB,
    installed_loss_band_db: Values = INSTALLED_LOSS_BAND_DB,
) -> Suitability:
    r"""Word and reason for a depth: good, fair, poor or none, from the bands of both depth limits.

    .. math:: \text{good: } SE \ge u;\quad \text{fair: } SE \ge 0;\quad \text{poor: } SE \ge -u

    Parameters
    ----------
    depth_m : float or array
        Water below the face [m].
    frequency_khz, power_w, beamwidth_deg, pulse_long_ms : float or array
        The sounder: frequency [kHz], RMS power [W], half-power width [deg], pulse at the deep setting [ms].
    temperature_c, salinity_psu : float or array
        The water: temperature [degC] and salinity [PSU].
    beamwidth_across_deg, bandwidth_khz : float or array
        Other width of a fan beam, 0 for a round one [deg]; sweep of a chirp, 0 for a tone [kHz].
    sediment : str
        Kind of bottom [-].
    tilt_deg, wind_mps, own_noise_db : float or array
        Tilt of the beam's axis off the bottom's normal [deg]; wind [m/s]; own noise above thermal noise [dB].
    boat_state : str
        What the boat does [-].
    installed_loss_db, extra_loss_db, detection_threshold_db : float or array
        The installed loss, further two-way loss, ratio that a firm digit needs [dB].
    laminate_mm : float or array
        Solid laminate before an in-hull face, 0 for a face in the water [mm].
    efficiency : float or array
        Acoustic over electrical power [-].
    pulse_short_ms, quality_factor, receiver_recovery_ms : float or array
        Pulse at the shallow setting [ms], Q in water [-], recovery after overload [ms].
    greatest_depth_m, least_depth_m : float or array
        Limits of the display, below the face [m].
    own_noise_band_db, installed_loss_band_db : float or array
        How far the two terms may be off [dB].

    Returns
    -------
    Suitability
        Word, reason and signal excess [-], [-], [dB].

    Notes
    -----
    The reason is "noise" where a quiet boat at rest would have the depth good; otherwise what costs more
    in the next metre, "absorption" or "spreading". Where both ends trouble a depth, the worse is named.

    Examples
    --------
    >>> suitability(depth_m=250, frequency_khz=200, power_w=500, beamwidth_deg=12, pulse_long_ms=0.6,
    ...             temperature_c=12, salinity_psu=35, pulse_short_ms=0.1, quality_factor=20,
    ...             receiver_recovery_ms=0.2, greatest_depth_m=400)[:2]
    ('none', 'absorption')

    References
    ----------
    Urick 1983, chapter 2; Lurton 2010, chapter 3; words and installed loss by common practice.
    """
    record = dict(locals())
    depth = np.asarray(depth_m)
    terms = link(record)
    margin, band = np.broadcast_arrays(excess_at(depth, terms), uncertainty_at(depth, terms, record))
    deep = _rank_deep(margin, band)
    deep_cause = np.where(absorption_rules(depth, terms), "absorption", "spreading")
    deep_cause = np.where(_noise_to_blame(depth, margin, terms, record), "noise", deep_cause)
    zone = shallowest_depth(
        frequency_khz=frequency_khz,
        pulse_short_ms=pulse_short_ms,
        quality_factor=quality_factor,
        receiver_recovery_ms=receiver_recovery_ms,
        temperature_c=temperature_c,
        salinity_psu=salinity_psu,
        bandwidth_khz=bandwidth_khz,
    )
    near = sum((depth >= np.asarray(limit)).astype(int) for limit in zone[:3])
    rank = np.minimum(deep, near)
    cause = np.where(near <= deep, "dead zone", deep_cause)
    cause = np.where(rank == len(WORDS) - 1, "in hand", cause)
    hidden = (depth > greatest_depth_m) | (depth < least_depth_m)
    word = np.asarray(WORDS)[np.where(hidden, 0, rank)]
    return Suitability(word, np.where(hidden, "display range", cause), margin + 0.0 * rank)
