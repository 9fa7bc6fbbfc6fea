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
    BANDWIDTH,
    DEPTH,
    FREQUENCY,
    RECORD,
    SALINITY,
    SOURCES,
    TEMPERATURE,
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
    *, depth_m: Values, greatest_depth_m: Values, least_depth_m: Values = 0.0, **sounder: Any
) -> Suitability:
    r"""Word and reason for a depth: good, fair, poor or none, from the bands of both depth limits.

    .. math:: \text{good: } SE \ge u;\quad \text{fair: } SE \ge 0;\quad \text{poor: } SE \ge -u

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
    """
    depth = np.asarray(depth_m)
    terms = link(sounder)
    margin, band = np.broadcast_arrays(excess_at(depth, terms), uncertainty_at(depth, terms, sounder))
    deep = _rank_deep(margin, band)
    deep_cause = np.where(absorption_rules(depth, terms), "absorption", "spreading")
    deep_cause = np.where(_noise_to_blame(depth, margin, terms, sounder), "noise", deep_cause)
    nearest = (FREQUENCY, *SHALLOW, TEMPERATURE, SALINITY, BANDWIDTH)
    zone = shallowest_depth(**{item.argument: sounder[item.argument] for item in nearest})
    near = sum((depth >= np.asarray(limit)).astype(int) for limit in zone[:3])
    rank = np.minimum(deep, near)
    cause = np.where(near <= deep, "dead zone", deep_cause)
    cause = np.where(rank == len(WORDS) - 1, "in hand", cause)
    hidden = (depth > greatest_depth_m) | (depth < least_depth_m)
    word = np.asarray(WORDS)[np.where(hidden, 0, rank)]
    return Suitability(*np.broadcast_arrays(word, np.where(hidden, "display range", cause), margin))
