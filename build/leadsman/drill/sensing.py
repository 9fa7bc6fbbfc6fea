"""Meters and thermistors of the drill: what is read, with the error of the instrument and of its reader."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

#: Probability of each slip, the median of a lognormal (THERP, NUREG/CR-1278, 1983; tables 20-7, 20-10, 20-12, 20-13).
OMITS_STEP = 0.003
OMITS_TICKED_STEP = 0.001
MISREADS_DIGITS = 0.001
MISREADS_PICTURE = 0.003
CHOOSES_WRONG_ITEM = 0.003
#: Routine look by a practised person (HEART generic task E, 0.02), halved by the second look that a card asks for.
OVERLOOKS = 0.01
#: An owner at the helm, reading for somebody on the telephone (HEART generic task D, 0.09, halved by the question back).
OWNER_ERRS = 0.045
#: The place or the hour keeps a step from being done that the bring-list allows (a choice); it is nobody's slip.
CANNOT_DO = 0.005
#: Error factors: the square root of the ratio of the 95th to the 5th percentile.
ERROR_FACTOR = 3.0


def person(rng: np.random.Generator) -> float:
    """Multiplier of all slips of one technician, careful or careless: lognormal, drawn once a person."""
    return math.exp(math.log(ERROR_FACTOR) / 1.64485 * float(rng.normal()))


@dataclass(frozen=True)
class Meter:
    """A hand meter: one gain error for the whole case, and the last digits of its range (0.5 % + 3 digits)."""

    gain: float
    leads_ohm: float
    rng: np.random.Generator

    @staticmethod
    def taken(rng: np.random.Generator) -> Meter:
        """A meter from the box: gain uniform within 0.5 %, leads of 0.2 to 0.5 ohm that were zeroed to 0.05."""
        return Meter(1 + float(rng.uniform(-0.005, 0.005)), float(rng.uniform(0.0, 0.05)), rng)

    def volts(self, true: float) -> float:
        """A reading on the lowest range that holds it: 2 V (1 mV), 20 V (10 mV) or 200 V (0.1 V)."""
        size = abs(true)
        step = 0.001 if size < 2 else 0.01 if size < 20 else 0.1
        return self._digits(true * self.gain, step)

    def ohm(self, true: float) -> float:
        """A reading of resistance, with what is left of the leads; above 40 Mohm it shows an overrange."""
        if true > 40e6:
            return math.inf
        step = 10 ** (math.floor(math.log10(max(true, 1.0))) - 2)
        return self._digits(true * (1 + 2 * (self.gain - 1)) + self.leads_ohm, max(step, 0.1))

    def nanofarad(self, true: float) -> float:
        """A reading of capacitance: 2 % and 3 digits of 0.01 nF."""
        return self._digits(true * (1 + 4 * (self.gain - 1)), 0.01)

    def _digits(self, value: float, step: float) -> float:
        return round((value + float(self.rng.uniform(-1.5, 1.5)) * step) / step) * step


def thermistor_ohm(temperature_c: float, r25_ohm: float, beta_k: float) -> float:
    """Resistance from the ice point, built up in small steps of -beta/T2 a kelvin (not by the closed law)."""
    steps = max(int(abs(temperature_c - 25) * 50), 1)
    step = (temperature_c - 25) / steps
    middle = 298.15 + step * (np.arange(steps) + 0.5)
    return float(r25_ohm * np.exp(np.sum(-beta_k / middle**2) * step))


def thermistor_c(ohm: float, r25_ohm: float, beta_k: float) -> float:
    """The temperature that a display makes of a resistance, or its scale's end."""
    if ohm <= 0 or not math.isfinite(ohm):
        return -40.0 if ohm > 0 else 120.0
    kelvin = 1 / (1 / 298.15 + math.log(ohm / r25_ohm) / beta_k)
    return min(max(kelvin - 273.15, -40.0), 120.0)
