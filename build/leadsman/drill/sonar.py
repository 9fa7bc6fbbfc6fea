"""The echo of the bottom against time, and the noise that it must rise above, from the pieces of the sonar equation.

Written down independently of ``leadsman.compute.echo``: absorption after Ainslie and McColm, the bottom as the
patch that beam and pulse light up, ring-down as the free decay of the element. One ``installed`` loss, as there,
stands for hull and electrical noise, cable and receiver; here it is set so that the reach of practice is met.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Backscatter at normal incidence of each bottom, dB re 1 m2 (common practice in round numbers).
BOTTOM_DB = {"rock": -7.0, "gravel": -9.0, "sand": -12.0, "silt": -18.0, "mud": -21.0}
#: Echo over noise at which a firm number stands, dB.
THRESHOLD_DB = 10.0
#: Loss that a boat adds to the bare equation, dB (common practice: the bare one reads several times too deep).
INSTALLED_DB = 80.0
#: Depths at which the echo is looked for, m.
DEPTHS = np.geomspace(0.2, 1500.0, 360)
_SPEED = 1500.0


@dataclass(frozen=True)
class Pulse:
    """One band of a transducer as the sonar equation needs it; kHz, W (RMS), degrees, ms."""

    khz: float
    bandwidth_khz: float
    watts: float
    beam_deg: float
    narrow_deg: float
    short_ms: float
    long_ms: float
    quality: float
    recovery_ms: float


@dataclass(frozen=True)
class Sea:
    """The water: temperature in C, salinity in PSU, kind of bottom, wind in m/s."""

    temperature_c: float
    salinity_psu: float
    bottom: str
    wind_mps: float
    ph: float = 8.0


@lru_cache(maxsize=4096)
def absorption(khz: float, sea: Sea, depth_km: float = 0.02) -> float:
    """Absorption in dB/km: Ainslie and McColm, J. Acoust. Soc. Am. 103, 1998 (constants from memory)."""
    t, s = sea.temperature_c, max(sea.salinity_psu, 0.0)
    f1 = 0.78 * np.sqrt(s / 35) * np.exp(t / 26) if s > 0 else 0.0
    f2 = 42 * np.exp(t / 17)
    f = khz
    boron = 0.106 * f1 * f**2 / (f1**2 + f**2) * np.exp((sea.ph - 8) / 0.56)
    magnesium = 0.52 * (1 + t / 43) * (s / 35) * f2 * f**2 / (f2**2 + f**2) * np.exp(-depth_km / 6)
    water = 0.00049 * f**2 * np.exp(-(t / 27 + depth_km / 17))
    return float(boron + magnesium + water)


@lru_cache(maxsize=256)
def source_level(pulse: Pulse) -> float:
    """dB re 1 uPa at 1 m on the axis: 170.8 + 10 log P + directivity, efficiency one half."""
    solid = np.radians(pulse.beam_deg) * np.radians(pulse.narrow_deg) * np.pi / 4
    directivity = 10 * np.log10(4 * np.pi / solid)
    return float(170.8 + 10 * np.log10(pulse.watts * 0.5) + directivity)


@lru_cache(maxsize=4096)
def noise_level(pulse: Pulse, sea: Sea) -> float:
    """Ambient and thermal noise behind the beam, dB re 1 uPa in the receiver's band.

    Wind noise falls 17 dB a decade from 44 dB + 23 log(wind) at 1 kHz; thermal noise is -15 + 20 log f (kHz).
    """
    wind = 44 + 23 * np.log10(max(sea.wind_mps, 1.0) / 5) - 17 * np.log10(pulse.khz)
    thermal = -15 + 20 * np.log10(pulse.khz)
    density = 10 * np.log10(10 ** (wind / 10) + 10 ** (thermal / 10))
    solid = np.radians(pulse.beam_deg) * np.radians(pulse.narrow_deg) * np.pi / 4
    return float(density + 10 * np.log10(pulse.bandwidth_khz * 1000) - 10 * np.log10(4 * np.pi / solid))


def echo_level(pulse: Pulse, sea: Sea, depth_m: Array) -> Array:
    """Level of the bottom echo at the face, dB, by depth: pulse and beam light a patch, which scatters back."""
    spread = 40 * np.log10(depth_m) + 2 * absorption(pulse.khz, sea) * depth_m / 1000
    wide = depth_m * np.tan(np.radians(pulse.beam_deg) / 2)
    narrow = depth_m * np.tan(np.radians(pulse.narrow_deg) / 2)
    beam_area = np.pi * wide * narrow
    seconds = np.where(depth_m > 20, pulse.long_ms, pulse.short_ms) / 1000
    pulse_area = np.pi * depth_m * _SPEED * seconds
    return np.asarray(
        source_level(pulse)
        - spread
        + BOTTOM_DB[sea.bottom]
        + 10 * np.log10(np.minimum(beam_area, pulse_area))
    )


def margin(
    pulse: Pulse, sea: Sea, depth_m: Array, loss_db: Array | float, noise_db: Array | float = 0.0
) -> Array:
    """How far the echo stands above what a firm number needs, dB; losses are two-way, noise is a rise of it."""
    level = echo_level(pulse, sea, np.asarray(depth_m, float)) - loss_db - INSTALLED_DB
    return np.asarray(level - noise_level(pulse, sea) - noise_db - THRESHOLD_DB)


def blind_m(pulse: Pulse, extra_db: float = 0.0, dynamic_db: float = 80.0) -> float:
    """Depth within which pulse and ringing still cover the echo, m.

    The element rings down by 27.3 f/Q dB a second (amplitude falls by exp(-pi f t / Q)); ``extra_db`` is a
    ringing that starts or ends that much higher, from growth, paint or a void.
    """
    decay = 27.3 * pulse.khz * 1000 / pulse.quality
    seconds = pulse.short_ms / 1000 + (dynamic_db + extra_db) / decay + pulse.recovery_ms / 1000
    return _SPEED * seconds / 2


@lru_cache(maxsize=4096)
def _sound_margin(pulse: Pulse, sea: Sea) -> Array:
    """The margin at all depths of a boat without losses; it is asked again and again of one boat."""
    return margin(pulse, sea, DEPTHS, 0.0)


def reach_m(pulse: Pulse, sea: Sea, loss_db: float = 0.0, noise_db: float = 0.0) -> float:
    """The greatest depth with a firm number, m; 0 when there is none."""
    good = np.flatnonzero(_sound_margin(pulse, sea) >= loss_db + noise_db)
    return float(DEPTHS[good[-1]]) if good.size else 0.0


def trace(pulse: Pulse, sea: Sea, depth_m: float, loss_db: float, seed: int) -> tuple[Array, Array]:
    """Depth scale and level of one ping with noise in it, dB above the noise: ringing, bottom echo, speckle.

    The noise is the envelope of a narrow-band Gaussian process (Rayleigh), drawn with the seed.
    """
    rng = np.random.default_rng(seed)
    depths = np.arange(0.1, max(2 * depth_m, 5.0), 0.05)
    seconds = 2 * depths / _SPEED
    decay = 27.3 * pulse.khz * 1000 / pulse.quality
    ringing = 80.0 - decay * np.maximum(seconds - pulse.short_ms / 1000, 0)
    strength = margin(pulse, sea, np.array([depth_m]), loss_db)[0] + THRESHOLD_DB
    behind = depths - depth_m
    echo = np.where(behind >= 0, strength - 25 * behind / max(0.1 * depth_m, 0.3), -60.0)
    noise = 20 * np.log10(rng.rayleigh(1 / np.sqrt(2), depths.size))
    total = 10 * np.log10(10 ** (ringing / 10) + 10 ** (echo / 10) + 10 ** (noise / 10))
    return depths, np.asarray(total)


def first_bottom(depths: Array, level: Array, blind: float) -> float | None:
    """The depth number that a unit would take from a ping: the first rise over the threshold below the blind band."""
    found = np.flatnonzero((depths > blind) & (level > THRESHOLD_DB))
    return float(depths[found[0]]) if found.size else None


def sound_speed(sea: Sea) -> float:
    """m/s: Medwin's short equation (J. Acoust. Soc. Am. 58, 1975; constants from memory), for shallow water."""
    t, s = sea.temperature_c, sea.salinity_psu
    return 1449.2 + 4.6 * t - 0.055 * t**2 + 0.00029 * t**3 + (1.34 - 0.010 * t) * (s - 35)
