"""The active-sonar equation, term by term: what an echo loses, what it keeps, what it takes to see it.

The bottom's echo stands in ``bottom_echo``; ``budget`` puts the terms together for a small-craft sounder,
``readable`` and ``suitability`` say what depth it shows, ``pings`` has the timing. All are registered
as ``echo.``.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from leadsman.compute.numerics import find_root
from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula

SOURCE_LEVEL = Number("source_level", "dB", 100, 260, "source level re 1 uPa at 1 m")
RANGE = Number("range", "m", 0.05, 20_000, "range from the face")
ABSORPTION = Number("absorption", "dB/km", 0, 2000, "absorption, one way")
PULSE = Number("pulse", "ms", 0.005, 200, "pulse length")
ECHO = (Output("echo_level", "dB", "echo level re 1 uPa"),)


@formula(
    "echo.transmission_loss",
    title="Transmission loss",
    inputs=(
        RANGE,
        ABSORPTION,
        Number("spreading", "1", 10, 40, "spreading factor: 20 is spherical, 10 cylindrical", 20.0),
    ),
    outputs=(Output("loss", "dB", "transmission loss, one way, re 1 m"),),
    method="Spreading and absorption",
    sources=("urick-1983",),
    accuracy="as good as the absorption; no refraction, no bubbles",
)
def transmission_loss(*, range_m: Values, absorption_db_per_km: Values, spreading: Values = 20.0) -> Values:
    r"""Loss on the way out by spreading and absorption, one way.

    .. math:: TL = 20\log_{10} R + \alpha R

    Parameters
    ----------
    range_m : float or array
        Range [m].
    absorption_db_per_km : float or array
        Absorption, one way [dB/km].
    spreading : float or array
        Factor before the logarithm [-].

    Returns
    -------
    float or array
        Transmission loss, one way, re 1 m [dB].

    Notes
    -----
    Within the near field the beam does not spread yet, and the loss is smaller.

    Examples
    --------
    >>> transmission_loss(range_m=100, absorption_db_per_km=54.45)
    45.44

    References
    ----------
    Urick 1983, chapter 5.
    """
    return spreading * np.log10(range_m) + absorption_db_per_km * range_m / 1000


@formula(
    "echo.detection_range",
    title="Range for a figure of merit",
    inputs=(
        Number("figure_of_merit", "dB", 0, 200, "largest transmission loss allowed, one way"),
        ABSORPTION,
    ),
    outputs=(Output("range", "m", "range at which the transmission loss equals the figure of merit"),),
    method="Root of spherical spreading and absorption less the figure of merit",
    sources=("ainslie-2010", "urick-1983"),
    accuracy="2 % of published worked examples",
)
def detection_range(*, figure_of_merit_db: Values, absorption_db_per_km: Values) -> Values:
    r"""Range at which spherical spreading and absorption use up the figure of merit, by root finding.

    .. math:: 20\log_{10} R + \alpha R = FOM

    Parameters
    ----------
    figure_of_merit_db : float or array
        Figure of merit, one way, re 1 m [dB].
    absorption_db_per_km : float or array
        Absorption, one way [dB/km].

    Returns
    -------
    float or array
        Range [m].

    Notes
    -----
    For a target much smaller than the beam. A bottom fills the beam and goes deeper:
    ``echo.deepest_depth``.

    Examples
    --------
    >>> detection_range(figure_of_merit_db=82.7, absorption_db_per_km=15.39)
    1318.8

    References
    ----------
    Ainslie 2010, section 3.3.
    """
    result: Values = range_for_loss(figure_of_merit_db, absorption_db_per_km, 20.0)
    return result


def range_for_loss(loss_db: Values, absorption_db_per_km: Values, spreading: Values) -> Any:
    """Range [m] at which ``spreading lg R + absorption R`` comes to the loss."""
    loss, absorption, factor = np.broadcast_arrays(loss_db, absorption_db_per_km, spreading)

    def balance(log_range: Any, loss: Any, absorption: Any, factor: Any) -> Any:
        return factor * log_range + absorption * 10.0 ** (log_range - 3) - loss

    ends = (np.full(loss.shape, -6.0), np.full(loss.shape, 25.0))
    return 10 ** find_root(balance, ends, args=(loss, absorption, factor)).x


@formula(
    "echo.figure_of_merit",
    title="Figure of merit",
    inputs=(
        Number("source_level", "dB", 0, 260, "source level, in band or spectrum as the noise is"),
        Number("noise_level", "dB", -50, 200, "noise level, in band or spectrum as the source is"),
        Number("array_gain", "dB", -20, 80, "array gain, or directivity index", 0.0),
        Number("detection_threshold", "dB", -60, 60, "signal-to-noise ratio needed", 0.0),
        Number("target_strength", "dB", -120, 60, "target strength re 1 m2; of no account one way", 0.0),
        Choice("paths", ("two-way", "one-way"), "active sonar, or listening only", "two-way"),
    ),
    outputs=(Output("figure_of_merit", "dB", "largest transmission loss allowed, one way"),),
    method="Sonar equation at zero signal excess",
    sources=("ainslie-2010", "urick-1983"),
    accuracy="exact sum of its terms",
)
def figure_of_merit(
    *,
    source_level_db: Values,
    noise_level_db: Values,
    array_gain_db: Values = 0.0,
    detection_threshold_db: Values = 0.0,
    target_strength_db: Values = 0.0,
    paths: str = "two-way",
) -> Values:
    r"""Largest one-way transmission loss that still allows detection, from the sonar equation.

    .. math:: FOM = (SL + TS - NL + AG - DT)/2

    Parameters
    ----------
    source_level_db, noise_level_db : float or array
        Source level and noise level, both in band or both spectrum levels [dB].
    array_gain_db, detection_threshold_db, target_strength_db : float or array
        Remaining terms [dB].
    paths : str
        "two-way" for an echo; "one-way" for a sound that is only listened to [-].

    Returns
    -------
    float or array
        Figure of merit re 1 m [dB].

    Notes
    -----
    Defined for a target of fixed strength; a bottom's strength grows with range.

    Examples
    --------
    >>> figure_of_merit(source_level_db=198.2, target_strength_db=-29, noise_level_db=75,
    ...                 array_gain_db=16.5, detection_threshold_db=8.7)
    51.0

    References
    ----------
    Ainslie 2010, tables 3.3 and 11.7.
    """
    one_way = source_level_db - noise_level_db + array_gain_db - detection_threshold_db
    return one_way if paths == "one-way" else (one_way + target_strength_db) / 2


@formula(
    "echo.target_echo_level",
    title="Echo level of a small target",
    inputs=(
        SOURCE_LEVEL,
        RANGE,
        ABSORPTION,
        Number("target_strength", "dB", -120, 60, "target strength re 1 m2"),
    ),
    outputs=ECHO,
    method="Sonar equation, spherical spreading both ways",
    sources=("urick-1983",),
    accuracy="exact sum of its terms",
)
def target_echo_level(
    *, source_level_db: Values, range_m: Values, absorption_db_per_km: Values, target_strength_db: Values
) -> Values:
    r"""Echo level of a target smaller than the beam.

    .. math:: EL = SL - 40\log_{10} R - 2\alpha R + TS

    Parameters
    ----------
    source_level_db : float or array
        Source level re 1 uPa at 1 m [dB].
    range_m : float or array
        Range [m].
    absorption_db_per_km : float or array
        Absorption, one way [dB/km].
    target_strength_db : float or array
        Target strength re 1 m2 [dB].

    Returns
    -------
    float or array
        Echo level at the face re 1 uPa [dB].

    Notes
    -----
    It falls 10 to 20 dB per tenfold depth faster than the bottom's: fish vanish before the bottom does.

    Examples
    --------
    >>> target_echo_level(source_level_db=215, range_m=30, absorption_db_per_km=53.9, target_strength_db=-40)
    112.7

    References
    ----------
    Urick 1983, chapter 2.
    """
    loss = transmission_loss(range_m=range_m, absorption_db_per_km=absorption_db_per_km)
    return source_level_db - 2 * loss + target_strength_db


@formula(
    "echo.signal_to_noise",
    title="Echo signal-to-noise ratio",
    inputs=(
        Number("echo_level", "dB", -100, 260, "echo level re 1 uPa"),
        Number("noise_spectrum_level", "dB", -50, 200, "noise spectrum level re 1 uPa2/Hz"),
        Number("bandwidth", "Hz", 1, 1e7, "receiver bandwidth"),
        Number("directivity_index", "dB", 0, 60, "directivity index"),
    ),
    outputs=(Output("ratio", "dB", "signal-to-noise ratio before processing"),),
    method="Echo level less the noise in the band that the beam lets in",
    sources=("urick-1983",),
    accuracy="exact sum of its terms",
)
def signal_to_noise(
    *,
    echo_level_db: Values,
    noise_spectrum_level_db: Values,
    bandwidth_hz: Values,
    directivity_index_db: Values,
) -> Values:
    r"""Signal-to-noise ratio of an echo at the receiver's input.

    .. math:: SNR = EL - (NSL + 10\log_{10} B - DI)

    Parameters
    ----------
    echo_level_db : float or array
        Echo level re 1 uPa [dB].
    noise_spectrum_level_db : float or array
        Noise spectrum level re 1 uPa2/Hz [dB].
    bandwidth_hz : float or array
        Bandwidth [Hz].
    directivity_index_db : float or array
        Directivity index [dB].

    Returns
    -------
    float or array
        Ratio [dB].

    Notes
    -----
    The directivity index helps against noise from all round; noise from the boat itself may come down
    the beam's side lobes.

    Examples
    --------
    >>> signal_to_noise(echo_level_db=95, noise_spectrum_level_db=35, bandwidth_hz=5000, directivity_index_db=18)
    41.0

    References
    ----------
    Urick 1983, chapter 2.
    """
    return echo_level_db - noise_spectrum_level_db - 10 * np.log10(bandwidth_hz) + directivity_index_db


@formula(
    "echo.processing_gain",
    title="Processing gain",
    inputs=(
        PULSE,
        Number("bandwidth", "kHz", 0, 500, "swept bandwidth of a chirp; 0 for a tone burst", 0.0),
    ),
    outputs=(Output("gain", "dB", "gain in signal-to-noise ratio by the matched receiver"),),
    method="Time-bandwidth product of the matched filter",
    sources=("urick-1983", "lurton-2010"),
    accuracy="upper bound; weighting against range side lobes costs 1 to 2 dB",
)
def processing_gain(*, pulse_ms: Values, bandwidth_khz: Values = 0.0) -> Values:
    r"""Gain of the matched receiver: the time-bandwidth product of a chirp, none for a matched tone burst.

    .. math:: PG = 10\log_{10}\max(1, B\tau)

    Parameters
    ----------
    pulse_ms : float or array
        Pulse length [ms].
    bandwidth_khz : float or array
        Swept bandwidth; 0 for a tone burst, whose receiver is as wide as one over the pulse [kHz].

    Returns
    -------
    float or array
        Gain [dB].

    Notes
    -----
    The gain is over a receiver as wide as the sweep. Against a tone burst of the same length and power a
    chirp is no louder in noise: it buys range resolution.

    Examples
    --------
    >>> processing_gain(pulse_ms=4, bandwidth_khz=30)
    20.79

    References
    ----------
    Urick 1983, chapter 12; Lurton 2010, chapter 6.
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
)
def detection_threshold(
    *, detection_probability: Values, false_alarm_probability: Values, pings: Values = 1.0
) -> Values:
    r"""Signal-to-noise ratio needed to detect a steady echo in noise, by Albersheim's equation.

    .. math:: DT = -5\log_{10} N + \left(6.2 + \frac{4.54}{\sqrt{N+0.44}}\right)
        \log_{10}(A + 0.12AB + 1.7B)

    Parameters
    ----------
    detection_probability : float or array
        Probability of detection [-].
    false_alarm_probability : float or array
        Probability of false alarm [-].
    pings : float or array
        Echoes averaged after detection [-].

    Returns
    -------
    float or array
        Threshold [dB].

    Notes
    -----
    A = ln(0.62/Pfa), B = ln(Pd/(1 - Pd)). Published for a detection probability of 0.1 and more; it starts
    at 0.3 here, since below it reads up to 4 dB too low against the exact detector. A bottom echo
    fluctuates and needs more at high probability.

    Examples
    --------
    >>> detection_threshold(detection_probability=0.9, false_alarm_probability=1e-6)
    13.1

    References
    ----------
    Albersheim 1981.
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
        Number("change", "dB", -60, 60, "two-way gain (positive) or loss (negative)"),
        ABSORPTION,
        Number(
            "spreading", "1", 20, 40, "spreading factor: 20 beam limited, 30 pulse limited, 40 a fish", 30.0
        ),
    ),
    outputs=(Output("reach", "m", "deepest depth after the change"),),
    method="Spreading and absorption of the bottom echo, from a known depth",
    sources=("urick-1983", "lurton-2010"),
    accuracy="5 % of the full budget while the spreading law does not change",
)
def reach_after_change(
    *, reach_m: Values, change_db: Values, absorption_db_per_km: Values, spreading: Values = 30.0
) -> Values:
    r"""Deepest depth after a change in level, power, laminate or bottom, from the depth known before it.

    .. math:: n\log_{10}\frac{R_1}{R_0} + 2\alpha(R_1 - R_0) = \Delta

    Parameters
    ----------
    reach_m : float or array
        Deepest depth before [m].
    change_db : float or array
        Two-way change: +3 for twice the power, minus the loss of a laminate both ways [dB].
    absorption_db_per_km : float or array
        Absorption, one way [dB/km].
    spreading : float or array
        Factor before the logarithm, both ways together [-].

    Returns
    -------
    float or array
        Deepest depth after [m].

    Notes
    -----
    It needs no installed loss, since that is in the known depth already.

    Examples
    --------
    >>> reach_after_change(reach_m=150, change_db=3.01, absorption_db_per_km=54.4)
    165.7

    References
    ----------
    Urick 1983, chapter 2; Lurton 2010, chapter 3.
    """
    budget = spreading * np.log10(reach_m) + 2 * absorption_db_per_km * reach_m / 1000 + change_db
    if np.any(budget <= -60):
        raise NoAnswer("so great a loss leaves no readable depth at all")
    result: Values = range_for_loss(budget, 2 * np.asarray(absorption_db_per_km), spreading)
    return result
