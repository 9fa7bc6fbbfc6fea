"""The active-sonar equation, term by term: what an echo loses, what it keeps, what it takes to see it.

The bottom's echo stands in ``bottom_echo``; ``budget`` puts the terms together for a small-craft sounder,
``readable`` and ``suitability`` say what depth it shows, ``pings`` has the timing. All are registered
as ``echo.``.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from leadsman.compute.numerics import find_root
from leadsman.compute.registry import NoAnswer, Number, Output, Values, formula

ABSORPTION = Number("absorption", "dB/km", 0, 2000, "absorption, one way")
PULSE = Number("pulse", "ms", 0.005, 200, "pulse length")


def range_for_loss(loss_db: Values, absorption_db_per_km: Values, spreading: Values) -> Any:
    """Range [m] at which ``spreading lg R + absorption R`` comes to the loss."""
    loss, absorption, factor = np.broadcast_arrays(loss_db, absorption_db_per_km, spreading)

    def balance(log_range: Any, loss: Any, absorption: Any, factor: Any) -> Any:
        return factor * log_range + absorption * 10.0 ** (log_range - 3) - loss

    ends = (np.full(loss.shape, -6.0), np.full(loss.shape, 25.0))
    return 10 ** find_root(balance, ends, args=(loss, absorption, factor)).x


@formula(
    "echo.processing_gain",
    title="Processing gain",
    inputs=(
        PULSE,
        Number(
            "bandwidth",
            "kHz",
            0,
            500,
            "swept bandwidth of a chirp; 0 for a tone burst, whose receiver is as wide as one over the pulse",
            0.0,
        ),
    ),
    outputs=(Output("gain", "dB", "gain in signal-to-noise ratio by the matched receiver"),),
    method="Time-bandwidth product of the matched filter",
    sources=("urick-1983, chapter 12", "lurton-2010, chapter 6"),
    accuracy="upper bound; weighting against range side lobes costs 1 to 2 dB",
)
def processing_gain(*, pulse_ms: Values, bandwidth_khz: Values = 0.0) -> Values:
    r"""Gain of the matched receiver: the time-bandwidth product of a chirp, none for a matched tone burst.

    .. math:: PG = 10\log_{10}\max(1, B\tau)

    Notes
    -----
    The gain is over a receiver as wide as the sweep. Against a tone burst of the same length and power a
    chirp is no louder in noise: it buys range resolution.

    Examples
    --------
    >>> processing_gain(pulse_ms=4, bandwidth_khz=30)
    20.79
    """
    return 10 * np.log10(np.maximum(1, bandwidth_khz * np.asarray(pulse_ms)))


@formula(
    "echo.detection_threshold",
    title="Detection threshold",
    inputs=(
        Number("detection_probability", "1", 0.3, 0.9, "probability of detection"),
        Number("false_alarm_probability", "1", 1e-7, 1e-3, "probability of false alarm"),
        Number("pings", "1", 1, 8096, "echoes averaged after detection", 1.0),
    ),
    outputs=(Output("threshold", "dB", "signal-to-noise ratio needed in each echo"),),
    method="Albersheim's equation",
    sources=("albersheim-1981",),
    accuracy="0.3 dB of the exact square-law detector",
    serves="How far must an echo stand above the noise for a firm digit?",
)
def detection_threshold(
    *, detection_probability: Values, false_alarm_probability: Values, pings: Values = 1.0
) -> Values:
    r"""Signal-to-noise ratio needed to detect a steady echo in noise, by Albersheim's equation.

    .. math:: DT = -5\log_{10} N + \left(6.2 + \frac{4.54}{\sqrt{N+0.44}}\right)
        \log_{10}(A + 0.12AB + 1.7B)

    Notes
    -----
    A = ln(0.62/Pfa), B = ln(Pd/(1 - Pd)). Published for a detection probability of 0.1 and more; it starts
    at 0.3 here, since below it reads up to 4 dB too low against the exact detector. A bottom echo
    fluctuates and needs more at high probability.

    Examples
    --------
    >>> detection_threshold(detection_probability=0.9, false_alarm_probability=1e-6)
    13.1
    """
    false_alarm = np.log(0.62 / false_alarm_probability)
    detection = np.log(detection_probability / (1 - detection_probability))
    slope = 6.2 + 4.54 / np.sqrt(pings + 0.44)
    argument = false_alarm + 0.12 * false_alarm * detection + 1.7 * detection
    return -5 * np.log10(pings) + slope * np.log10(argument)


@formula(
    "echo.reach_after_change",
    title="Depth reached after a gain or loss in decibels",
    inputs=(
        Number("reach", "m", 0.5, 5000, "deepest depth before the change"),
        Number(
            "change",
            "dB",
            -60,
            60,
            "two-way gain or loss: +3 for twice the power, minus the loss of a laminate both ways",
        ),
        ABSORPTION,
        Number(
            "spreading", "1", 20, 40, "spreading factor: 20 beam limited, 30 pulse limited, 40 a fish", 30.0
        ),
    ),
    outputs=(Output("reach", "m", "deepest depth after the change"),),
    method="Spreading and absorption of the bottom echo, from a known depth",
    sources=("urick-1983, chapter 2", "lurton-2010, chapter 3"),
    accuracy="5 % of the full budget while the spreading law does not change",
    serves="How deep will it still read after this gain or loss?",
)
def reach_after_change(
    *, reach_m: Values, change_db: Values, absorption_db_per_km: Values, spreading: Values = 30.0
) -> Values:
    r"""Deepest depth after a change in level, power, laminate or bottom, from the depth known before it.

    .. math:: n\log_{10}\frac{R_1}{R_0} + 2\alpha(R_1 - R_0) = \Delta

    Notes
    -----
    It needs no installed loss, since that is in the known depth already.

    Examples
    --------
    >>> reach_after_change(reach_m=150, change_db=3.01, absorption_db_per_km=54.4)
    165.7
    """
    budget = spreading * np.log10(reach_m) + 2 * absorption_db_per_km * reach_m / 1000 + change_db
    if np.any(budget <= -60):
        raise NoAnswer("so great a loss leaves no readable depth at all")
    result: Values = range_for_loss(budget, 2 * np.asarray(absorption_db_per_km), spreading)
    return result
