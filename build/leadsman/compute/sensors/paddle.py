"""Speed paddles: pulse rate by speed and back, and the calibration that a measured run asks for."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.rounding import exceeds, falls_short

PULSE_RATE_INPUT = Number("paddle", "Hz/kn", 0.5, 50.0, "Pulses per second and knot, from the sensor's data.")
CALIBRATION_INPUT = Number(
    "calibration", "1", 0.5, 2.0, "Calibration factor set in the display.", default=1.0
)


@formula(
    "sensors.paddle_frequency",
    title="Pulse rate of a speed paddle",
    inputs=(Number("speed", "kn", 0.0, 60.0, "Speed through the water."), PULSE_RATE_INPUT),
    outputs=(Output("frequency", "Hz", "Pulse frequency."),),
    method="f = k v",
    sources=("common-practice",),
    accuracy="5 to 10 % between 1 and 30 kn; a wheel slips below and cavitates above.",
)
def paddle_frequency(*, speed_kn: Values, paddle_hz_per_kn: Values) -> Values:
    """Pulse frequency of a paddle wheel at a speed through the water, by its pulse rate.

    ``f = k v``; a wheel of ``n`` pulses a nautical mile has ``k = n/3600`` Hz per knot.

    Notes
    -----
    For a meter with a frequency range at the plug; spun by a finger, the wheel must give pulses too.

    Examples
    --------
    >>> paddle_frequency(speed_kn=6.0, paddle_hz_per_kn=20000 / 3600)
    33.3
    """
    return paddle_hz_per_kn * speed_kn


@formula(
    "sensors.paddle_speed",
    title="Speed from the pulse rate of a paddle",
    inputs=(
        Number("frequency", "Hz", 0.0, 3000.0, "Pulse frequency."),
        PULSE_RATE_INPUT,
        CALIBRATION_INPUT,
    ),
    outputs=(Output("speed", "kn", "Speed that the display shows."),),
    method="v = c f / k",
    sources=("common-practice",),
    accuracy="5 to 10 % uncalibrated.",
    serves="What speed do these pulses mean?",
)
def paddle_speed(*, frequency_hz: Values, paddle_hz_per_kn: Values, calibration: Values = 1.0) -> Values:
    """Speed that a display shows for a pulse frequency, by the wheel's pulse rate and the calibration factor.

    Notes
    -----
    A display set to another wheel's pulse rate reads wrong by a constant ratio at every speed.

    Examples
    --------
    >>> paddle_speed(frequency_hz=33.3, paddle_hz_per_kn=20000 / 3600)
    5.99
    """
    return calibration * np.asarray(frequency_hz) / paddle_hz_per_kn


class PaddleCalibration(NamedTuple):
    """The calibration factor that a measured run asks for, and whether it is one."""

    factor: Values
    verdict: Any


@formula(
    "sensors.paddle_calibration",
    title="Calibration factor of a speed paddle",
    inputs=(
        Number("true_speed", "kn", 0.5, 60.0, "Mean of two runs in opposite directions."),
        Number("shown_speed", "kn", 0.1, 60.0, "Mean shown with the present factor."),
        CALIBRATION_INPUT,
    ),
    outputs=(
        Output("factor", "1", "Factor to set."),
        Output("verdict", "", "Whether calibration is the answer."),
    ),
    method="c_new = c_old v_true / v_shown; 0.8 to 1.2 is calibration, outside it is a fault",
    sources=("common-practice",),
    accuracy="2 %, with two runs to cancel the stream.",
)
def paddle_calibration(
    *, true_speed_kn: Values, shown_speed_kn: Values, calibration: Values = 1.0
) -> PaddleCalibration:
    """Calibration factor from a measured run, and whether so large a factor hides a fault.

    Returns
    -------
    PaddleCalibration
        ``factor`` [1] and ``verdict``: ``"set it"`` or ``"find the cause: flow, wheel or pulse setting"``.

    Notes
    -----
    A factor outside 0.8 to 1.2 means disturbed flow, a fouled or broken wheel, or another wheel's pulse rate.

    Examples
    --------
    >>> paddle_calibration(true_speed_kn=6.0, shown_speed_kn=5.5)
    PaddleCalibration(factor=1.09, verdict='set it')
    """
    factor = calibration * np.asarray(true_speed_kn) / shown_speed_kn
    faulty = falls_short(factor, 0.8) | exceeds(factor, 1.2)
    return PaddleCalibration(
        factor, np.where(faulty, "find the cause: flow, wheel or pulse setting", "set it")
    )
