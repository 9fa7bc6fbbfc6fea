"""The echo of the bottom, smooth or rough, under a sounder that looks straight down."""

from __future__ import annotations

import numpy as np

from leadsman.compute.echo.sonar_equation import (
    ABSORPTION,
    ECHO,
    PULSE,
    RANGE,
    SOURCE_LEVEL,
    transmission_loss,
)
from leadsman.compute.registry import Choice, Number, Output, Values, formula

_SOUND_SPEED = Number("sound_speed", "m/s", 1400, 1600, "sound speed", 1500.0)
_BEAM = Number("beam", "sr", 1e-5, 12.6, "equivalent two-way beam angle")
_STRENGTH = Number("bottom_strength", "dB", -80, 10, "bottom backscattering strength re 1 m2 per m2")
_LIMIT = Choice(
    "limit", ("smaller", "beam", "pulse"), "area of the beam, of the pulse, or the smaller", "smaller"
)


@formula(
    "echo.bottom_echo_specular",
    title="Bottom echo level, smooth bottom",
    inputs=(
        SOURCE_LEVEL,
        Number("range", "m", 0.05, 10_000, "range from the face"),
        ABSORPTION,
        Number("reflection_loss", "dB", 0, 80, "bottom reflection loss"),
    ),
    outputs=ECHO,
    method="Mirror image below a smooth flat bottom",
    sources=("urick-1983, chapter 5", "lurton-2010, chapter 3"),
    accuracy="upper bound: no real bottom is a mirror at sounder frequencies",
)
def bottom_echo_specular(
    *, source_level_db: Values, range_m: Values, absorption_db_per_km: Values, reflection_loss_db: Values
) -> Values:
    r"""Echo level of a smooth flat bottom, the mirror image at twice the range: the upper bound.

    .. math:: EL = SL - 20\log_{10}(2R) - 2\alpha R - BL

    Returns
    -------
    float or array
        Echo level at the face re 1 uPa [dB].

    Notes
    -----
    Smooth means rough by less than an eighth of a wavelength: 1 mm at 200 kHz.

    Examples
    --------
    >>> bottom_echo_specular(source_level_db=200, range_m=50, absorption_db_per_km=90, reflection_loss_db=12)
    139.0
    """
    image = transmission_loss(range_m=2 * range_m, absorption_db_per_km=absorption_db_per_km)
    return source_level_db - image - reflection_loss_db


@formula(
    "echo.bottom_area",
    title="Area of bottom that sends back at one instant",
    inputs=(
        RANGE,
        _BEAM,
        PULSE,
        _SOUND_SPEED,
        Choice(
            "limit", ("smaller", "beam", "pulse"), "area of the beam, of the pulse, or the smaller", "smaller"
        ),
    ),
    outputs=(Output("area", "m2", "area"),),
    method="The smaller of the beam's footprint and the patch under the pulse, sounder looking straight down",
    sources=("lurton-2010, chapter 3", "urick-1983, chapter 8"),
    accuracy="10 %; the pulse form wants a range of many pulse lengths",
)
def bottom_area(
    *,
    range_m: Values,
    beam_sr: Values,
    pulse_ms: Values,
    sound_speed_mps: Values = 1500.0,
    limit: str = "smaller",
) -> Values:
    r"""Area of flat bottom under a sounder that sends back at one instant: the smaller of beam and pulse.

    .. math:: A = \min(\psi R^2,\ \pi R c \tau)

    Returns
    -------
    float or array
        Area [m2].

    Notes
    -----
    The pulse form is the patch inside which the echo of one pulse length overlaps at vertical incidence.

    Examples
    --------
    >>> bottom_area(range_m=100, beam_sr=0.0345, pulse_ms=1)
    345.0
    """
    beam = beam_sr * np.asarray(range_m) ** 2
    pulse = np.pi * np.asarray(range_m) * sound_speed_mps * pulse_ms / 1000
    chosen = {"beam": beam + 0 * pulse, "pulse": pulse + 0 * beam, "smaller": np.minimum(beam, pulse)}
    return chosen[limit]


@formula(
    "echo.beam_pulse_switch",
    title="Depth from which the pulse limits the bottom echo",
    inputs=(_BEAM, PULSE, _SOUND_SPEED),
    outputs=(Output("range", "m", "range at which both areas are equal"),),
    method="Footprint of the beam equal to the patch under the pulse",
    sources=("lurton-2010, chapter 3",),
    accuracy="10 %",
)
def beam_pulse_switch(*, beam_sr: Values, pulse_ms: Values, sound_speed_mps: Values = 1500.0) -> Values:
    r"""Range beyond which the pulse, not the beam, limits the bottom that sends back.

    .. math:: R = \pi c\tau/\psi

    Returns
    -------
    float or array
        Range [m].

    Notes
    -----
    Beyond it a longer pulse brings in more bottom, and the echo falls with 30 log R.

    Examples
    --------
    >>> beam_pulse_switch(beam_sr=0.0345, pulse_ms=1)
    136.6
    """
    return np.pi * sound_speed_mps * pulse_ms / 1000 / beam_sr


@formula(
    "echo.bottom_echo_rough",
    title="Bottom echo level, rough bottom",
    inputs=(
        SOURCE_LEVEL,
        RANGE,
        ABSORPTION,
        _STRENGTH,
        _BEAM,
        PULSE,
        _SOUND_SPEED,
        Choice(
            "limit", ("smaller", "beam", "pulse"), "area of the beam, of the pulse, or the smaller", "smaller"
        ),
    ),
    outputs=ECHO,
    method="Scattering by the smaller of the beam's footprint and the patch under the pulse",
    sources=("lurton-2010, chapter 3", "urick-1983, chapter 8"),
    accuracy="5 dB, of which most is the bottom's strength",
)
def bottom_echo_rough(
    *,
    source_level_db: Values,
    range_m: Values,
    absorption_db_per_km: Values,
    bottom_strength_db: Values,
    beam_sr: Values,
    pulse_ms: Values,
    sound_speed_mps: Values = 1500.0,
    limit: str = "smaller",
) -> Values:
    r"""Echo level of a rough flat bottom under a sounder that looks straight down.

    .. math:: EL = SL - 40\log_{10} R - 2\alpha R + S_b + 10\log_{10}\min(\psi R^2, \pi R c\tau)

    Returns
    -------
    float or array
        Echo level at the face re 1 uPa [dB].

    Notes
    -----
    Spreading is 20 log R while the beam limits the area and 30 log R once the pulse does.

    Examples
    --------
    >>> bottom_echo_rough(source_level_db=220, range_m=200, absorption_db_per_km=15.3919,
    ...                   bottom_strength_db=-25, beam_sr=0.5, pulse_ms=1)
    126.5
    """
    area = bottom_area(
        range_m=range_m, beam_sr=beam_sr, pulse_ms=pulse_ms, sound_speed_mps=sound_speed_mps, limit=limit
    )
    loss = transmission_loss(range_m=range_m, absorption_db_per_km=absorption_db_per_km)
    return source_level_db - 2 * loss + bottom_strength_db + 10 * np.log10(area)
