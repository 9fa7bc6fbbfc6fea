"""Noise against which an echo is heard: thermal, wind, shipping, turbulence, and the boat's own.

All are spectrum levels in dB re 1 uPa2/Hz in the open water. Above some 100 kHz a small-craft
sounder hears its own electrics long before the sea; the ambient sum is the floor, not the forecast.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from leadsman.compute.registry import Choice, Number, Output, Values, formula

_FREQUENCY = Number("frequency", "kHz", 1, 1500, "frequency")
_WIND = Number("wind", "m/s", 0, 30, "wind speed")
_LEVEL = (Output("spectrum_level", "dB", "noise spectrum level re 1 uPa2/Hz"),)
_BOLTZMANN_J_PER_K = 1.380649e-23


def power_sum(*levels_db: Values) -> Any:
    """Level of the sum of several powers [dB].

    Examples
    --------
    >>> float(power_sum(30.0, 30.0))
    33.01
    """
    return 10 * np.log10(sum(10 ** (np.asarray(level) / 10) for level in levels_db))


@formula(
    "echo.noise_thermal",
    title="Thermal noise",
    inputs=(
        _FREQUENCY,
        Choice("method", ("mellen", "exact"), "rounded form, or from temperature and impedance", "mellen"),
        Number("temperature", "degC", 0, 40, "water temperature, for the exact form", 10.0),
        Number("density", "kg/m3", 990, 1040, "water density, for the exact form", 1000.0),
        Number("sound_speed", "m/s", 1400, 1600, "sound speed, for the exact form", 1480.0),
    ),
    outputs=_LEVEL,
    method="Thermal agitation of the water (Mellen 1952)",
    sources=("mellen-1952",),
    accuracy="0.7 dB between the two forms",
)
def thermal(
    *,
    frequency_khz: Values,
    method: str = "mellen",
    temperature_c: Values = 10.0,
    density_kg_per_m3: Values = 1000.0,
    sound_speed_mps: Values = 1480.0,
) -> Values:
    r"""Thermal noise of the water, the floor of any receiver, by Mellen's formula.

    .. math:: N = -15 + 20\log_{10} f_{\text{kHz}} \approx 10\log_{10}(4\pi k T\rho f^2/c) + 120

    Notes
    -----
    It passes the wind's noise somewhere between 60 and 220 kHz.

    Examples
    --------
    >>> thermal(frequency_khz=100)
    25.0
    """
    if method == "mellen":
        return -15 + 20 * np.log10(frequency_khz)
    energy_j = _BOLTZMANN_J_PER_K * (temperature_c + 273.15)
    frequency_hz = 1000 * np.asarray(frequency_khz)
    return 10 * np.log10(4 * np.pi * energy_j * density_kg_per_m3 * frequency_hz**2 / sound_speed_mps) + 120


@formula(
    "echo.noise_wind",
    title="Wind noise",
    inputs=(_FREQUENCY, _WIND),
    outputs=_LEVEL,
    method="Fit to Wenz's curves in the form of Coates",
    sources=("coates-1990, the attribution is usual, the book was not read", "wenz-1962"),
    accuracy="5 dB; fitted to some tens of kHz, an extrapolation above",
)
def wind(*, frequency_khz: Values, wind_mps: Values) -> Values:
    r"""Noise of the wind on the sea, by the usual fit to Wenz's curves.

    .. math:: N = 50 + 7.5\sqrt{w} + 20\log_{10} f - 40\log_{10}(f + 0.4)

    Notes
    -----
    Fitted to some tens of kilohertz. Above 100 kHz it lies below thermal noise in most winds.

    Examples
    --------
    >>> wind(frequency_khz=50, wind_mps=5)
    32.65
    """
    result: Values = (
        50 + 7.5 * np.sqrt(wind_mps) + 20 * np.log10(frequency_khz) - 40 * np.log10(frequency_khz + 0.4)
    )
    return result


@formula(
    "echo.noise_turbulence",
    title="Turbulence noise",
    inputs=(_FREQUENCY,),
    outputs=_LEVEL,
    method="Fit to Wenz's curves in the form of Coates",
    sources=("coates-1990", "wenz-1962"),
    accuracy="of no account at sounder frequencies",
)
def turbulence(*, frequency_khz: Values) -> Values:
    r"""Noise of turbulence, by the usual fit to Wenz's curves.

    .. math:: N = 17 - 30\log_{10} f

    Notes
    -----
    It is here so that the ambient sum can be checked against other programs that carry it.

    Examples
    --------
    >>> turbulence(frequency_khz=10)
    -13.0
    """
    return 17 - 30 * np.log10(frequency_khz)


@formula(
    "echo.noise_shipping",
    title="Distant shipping noise",
    inputs=(_FREQUENCY, Number("shipping", "1", 0, 1, "shipping activity, 0 none to 1 heavy")),
    outputs=_LEVEL,
    method="Fit to Wenz's curves in the form of Coates",
    sources=("coates-1990", "wenz-1962"),
    accuracy="of no account at sounder frequencies",
)
def shipping(*, frequency_khz: Values, shipping: Values) -> Values:
    r"""Noise of distant shipping, by the usual fit to Wenz's curves.

    .. math:: N = 40 + 20(s - 0.5) + 26\log_{10} f - 60\log_{10}(f + 0.03)

    Notes
    -----
    Distant ships only. A propeller near by is own noise or a neighbour's, and far louder.

    Examples
    --------
    >>> shipping(frequency_khz=10, shipping=0.5)
    5.92
    """
    result: Values = (
        40 + 20 * (shipping - 0.5) + 26 * np.log10(frequency_khz) - 60 * np.log10(frequency_khz + 0.03)
    )
    return result


@formula(
    "echo.noise_ambient",
    title="Ambient noise",
    inputs=(_FREQUENCY, _WIND, Number("shipping", "1", 0, 1, "shipping activity, 0 none to 1 heavy", 0.0)),
    outputs=_LEVEL,
    method="Power sum of thermal, wind, shipping and turbulence noise",
    sources=("coates-1990", "wenz-1962", "mellen-1952"),
    accuracy="5 dB below 100 kHz, 1 dB above, where thermal noise rules",
)
def ambient(*, frequency_khz: Values, wind_mps: Values, shipping: Values = 0.0) -> Values:
    r"""Noise of the open water: the power sum of thermal, wind, shipping and turbulence noise.

    .. math:: N = 10\log_{10}\sum_i 10^{N_i/10}

    Notes
    -----
    No rain, no snapping shrimp, no surf: each can add 20 dB near a coast.

    Examples
    --------
    >>> ambient(frequency_khz=50, wind_mps=5)
    32.84
    """
    ships = _shipping(frequency_khz=frequency_khz, shipping=shipping)
    result: Values = power_sum(
        thermal(frequency_khz=frequency_khz),
        wind(frequency_khz=frequency_khz, wind_mps=wind_mps),
        ships,
        turbulence(frequency_khz=frequency_khz),
    )
    return result


#: The argument of ``ambient`` hides the function of the same name.
_shipping = shipping


@formula(
    "echo.noise_total",
    title="Noise at the face of the transducer",
    inputs=(
        _FREQUENCY,
        _WIND,
        Number(
            "own_noise",
            "dB",
            0,
            90,
            "own noise of boat and receiver above thermal noise, like a noise figure: 26 dB is a quiet small boat at rest",
            26.0,
        ),
    ),
    outputs=_LEVEL,
    method="Power sum of ambient noise and of own noise, given above the thermal limit",
    sources=("mellen-1952", "coates-1990", "common-practice"),
    accuracy="own noise is known to some 5 dB at best",
)
def total(*, frequency_khz: Values, wind_mps: Values, own_noise_db: Values = 26.0) -> Values:
    r"""Noise at the face: ambient noise and the boat's and receiver's own, which is given above thermal noise.

    .. math:: N = N_{\text{ambient}} \oplus (N_{\text{thermal}} + N_{\text{own}})

    Notes
    -----
    Own noise is given relative to thermal noise because a receiver's noise, referred to the face, rises
    with frequency as its element's sensitivity falls. 26 dB is 45 dB re 1 uPa2/Hz at 50 kHz.

    Examples
    --------
    >>> total(frequency_khz=200, wind_mps=3)
    57.03
    """
    floor = thermal(frequency_khz=frequency_khz)
    result: Values = power_sum(ambient(frequency_khz=frequency_khz, wind_mps=wind_mps), floor + own_noise_db)
    return result


@formula(
    "echo.noise_band_level",
    title="Noise level in a band",
    inputs=(
        Number("spectrum_level", "dB", -50, 150, "spectrum level re 1 uPa2/Hz"),
        Number("bandwidth", "Hz", 1e-3, 1e7, "bandwidth"),
    ),
    outputs=(Output("level", "dB", "noise level in the band re 1 uPa2"),),
    method="Flat spectrum over the band",
    sources=("urick-1983, chapter 1",),
    accuracy="exact for a flat spectrum",
)
def band_level(*, spectrum_level_db: Values, bandwidth_hz: Values) -> Values:
    r"""Noise level in a band from its spectrum level.

    .. math:: NL = NSL + 10\log_{10} B

    Notes
    -----
    Good while the spectrum is flat over the band, as it is over any one sounder band.

    Examples
    --------
    >>> band_level(spectrum_level_db=30, bandwidth_hz=10_000)
    70.0
    """
    return spectrum_level_db + 10 * np.log10(bandwidth_hz)
