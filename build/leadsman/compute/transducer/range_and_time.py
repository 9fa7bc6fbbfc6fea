"""The transducer in time and range: near field, ring-down, dead zone and range resolution.

The beam stands in ``beam``, ``aperture``, ``face_directivity`` and ``directivity`` (with the source level), its
print on the bottom in ``footprint``, the hull above an in-hull transducer in ``laminate``; all are registered
as ``transducer.`` and can be taken from here.
"""

from __future__ import annotations

import math

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.transducer import aperture, beam, directivity, laminate
from leadsman.compute.transducer import footprint as _footprint
from leadsman.compute.transducer.beam import FREQUENCY, SOUND_SPEED

beam_pattern = beam.beam_pattern
beamwidth_at_level = aperture.beamwidth_at_level
beamwidth_circular = aperture.beamwidth_circular
beamwidth_rectangular = aperture.beamwidth_rectangular
tilt_loss = beam.tilt_loss
two_way_loss = beam.two_way_loss
directivity_index = directivity.directivity_index
directivity_index_fan = directivity.directivity_index_fan
equivalent_beam_angle = directivity.equivalent_beam_angle
equivalent_beam_angle_fan = directivity.equivalent_beam_angle_fan
source_level = directivity.source_level
footprint = _footprint.footprint
footprint_on_slope = _footprint.footprint_on_slope
footprint_usable = _footprint.footprint_usable
cored_hull_loss = laminate.cored_hull_loss
laminate_loss = laminate.laminate_loss
laminate_loss_band = laminate.laminate_loss_band
laminate_loss_envelope = laminate.laminate_loss_envelope

_PULSE = Number("pulse", "ms", 0.01, 50, "length of the transmitted pulse")
_RESOLUTION = (Output("resolution", "m", "least distance at which two targets show apart"),)


@formula(
    "transducer.near_field",
    title="Reach of the near field",
    inputs=(
        FREQUENCY,
        Number("diameter", "mm", 4, 1000, "diameter of the radiating face"),
        SOUND_SPEED,
        Choice(
            "definition",
            ("near-field-length", "last-maximum", "rayleigh"),
            "a^2/lambda; the last maximum on the axis, a^2/lambda - lambda/4; or pi a^2/lambda",
            "near-field-length",
        ),
    ),
    outputs=(Output("near_field", "m", "distance from the face"),),
    method="Square of the radius over the wavelength, by the definition named",
    sources=("kinsler-2000, section 7.4",),
    accuracy="a convention: the definitions differ by a factor of three",
)
def near_field(
    *,
    frequency_khz: Values,
    diameter_mm: Values,
    sound_speed_mps: Values = 1500.0,
    definition: str = "near-field-length",
) -> Values:
    r"""Distance to which the near field of a circular face reaches, by a named definition.

    .. math:: N = \frac{a^2}{\lambda}, \quad N - \frac{\lambda}{4} \quad\text{or}\quad \pi N

    Notes
    -----
    A depth reads perfectly well inside it: only widths and footprints fail there. It is never a limit of
    the least depth. A face smaller than its wavelength has no maximum on its axis: no answer.

    Examples
    --------
    >>> near_field(frequency_khz=200, diameter_mm=50)
    0.08333
    >>> near_field(frequency_khz=200, diameter_mm=50, definition="rayleigh")
    0.2618
    """
    wavelength_m = sound_speed_mps / (1000 * frequency_khz)
    length: Values = (diameter_mm / 2000) ** 2 / wavelength_m
    if definition == "rayleigh":
        return np.pi * length
    if definition == "last-maximum":
        if np.any(length <= wavelength_m / 4):
            raise NoAnswer("the face is smaller than its wavelength: the pressure has no maximum on its axis")
        return length - wavelength_m / 4
    return length


#: Decibels that a ringing element loses in one cycle, times its Q: 20 log10(e) pi.
_DECAY_PER_CYCLE = 20 * math.pi * math.log10(math.e)

_QUALITY = Number("quality_factor", "1", 0.5, 100, "mechanical Q of the element in water")
_DECAY = Number("decay", "dB", 10, 160, "fall of the ringing after which an echo shows", 80.0)


@formula(
    "transducer.ring_down_time",
    title="Ring-down of the element",
    inputs=(FREQUENCY, _QUALITY, _DECAY),
    outputs=(Output("ring_down", "ms", "time from the end of the pulse"),),
    method="Exponential decay of a resonator with the Q given",
    sources=("kinsler-2000, sections 1.6 and 1.10",),
    accuracy="30 %; a second resonance or a ringing housing makes it longer",
)
def ring_down_time(*, frequency_khz: Values, quality_factor: Values, decay_db: Values = 80.0) -> Values:
    r"""Time in which the ringing of the element falls by a stated amount, from its Q.

    .. math:: t = \frac{Q\,L}{20\pi\log_{10}(e)\,f}

    Notes
    -----
    The amplitude falls by exp(-pi f t/Q), that is 27.3/Q decibels in each cycle. The low band rings longest:
    at equal Q the time goes with the wavelength.

    Examples
    --------
    >>> ring_down_time(frequency_khz=50, quality_factor=10)
    0.5863
    """
    return quality_factor * decay_db / (_DECAY_PER_CYCLE * frequency_khz)


@formula(
    "transducer.dead_zone",
    title="Dead zone below the face",
    inputs=(
        _PULSE,
        FREQUENCY,
        _QUALITY,
        _DECAY,
        Number("receiver_recovery", "ms", 0, 20, "time that the receiver needs after overload", 0.0),
        SOUND_SPEED,
        Number("bandwidth", "kHz", 0, 400, "sweep of a chirp about the frequency; 0 for a tone", 0.0),
    ),
    outputs=(Output("dead_zone", "m", "water below the face in which no bottom can show"),),
    method="Half the way that sound travels in pulse, ring-down and receiver recovery together",
    sources=("urick-1983, chapter 2", "kinsler-2000, section 1.6"),
    accuracy="30 %, from the ring-down; the display's own least depth is a separate limit",
)
def dead_zone(
    *,
    pulse_ms: Values,
    frequency_khz: Values,
    quality_factor: Values,
    decay_db: Values = 80.0,
    receiver_recovery_ms: Values = 0.0,
    sound_speed_mps: Values = 1500.0,
    bandwidth_khz: Values = 0.0,
) -> Values:
    r"""Water below the face in which the bottom is hidden by pulse, ring-down and receiver recovery.

    .. math:: d = \frac{c}{2}(\tau + t_{ring} + t_{recovery})

    Returns
    -------
    float or array
        Dead zone, measured from the face and not from the surface [m].

    Notes
    -----
    A long pulse alone hides 0.75 m for each millisecond; this is why a low-band chirp transducer has trouble
    in 1.5-1.8 m of water. The near field is no part of it.

    Examples
    --------
    >>> dead_zone(pulse_ms=1, frequency_khz=42, quality_factor=8, receiver_recovery_ms=0.2)
    1.319
    """
    lowest_khz = frequency_khz - np.asarray(bandwidth_khz) / 2
    if np.any(lowest_khz < 10):
        raise NoAnswer("the sweep reaches below 10 kHz: the frequency must be the middle of the band")
    ring_down_ms = ring_down_time(frequency_khz=lowest_khz, quality_factor=quality_factor, decay_db=decay_db)
    return sound_speed_mps * (pulse_ms + ring_down_ms + receiver_recovery_ms) / 2000


@formula(
    "transducer.range_resolution",
    title="Range resolution of a plain pulse",
    inputs=(_PULSE, SOUND_SPEED),
    outputs=_RESOLUTION,
    method="Half the length of the pulse in the water",
    sources=("urick-1983, chapter 8",),
    accuracy="exact for a square pulse; a narrow-band element stretches it",
    serves="How close may two targets stand and still show apart?",
)
def range_resolution(*, pulse_ms: Values, sound_speed_mps: Values = 1500.0) -> Values:
    r"""Least distance at which two targets show apart with a plain (CW) pulse.

    .. math:: \Delta r = \frac{c\tau}{2}

    Notes
    -----
    A fish nearer to the bottom than this is part of the bottom echo.

    Examples
    --------
    >>> range_resolution(pulse_ms=0.1)
    0.075
    """
    return sound_speed_mps * pulse_ms / 2000


@formula(
    "transducer.range_resolution_chirp",
    title="Range resolution of a chirp",
    inputs=(
        Number("bandwidth", "kHz", 0.5, 400, "width of the swept band that the transducer really passes"),
        SOUND_SPEED,
    ),
    outputs=_RESOLUTION,
    method="Half the distance of the compressed pulse, whose length is one over the bandwidth",
    sources=("lurton-2010, section 6.4",),
    accuracy="the ideal; weighting of the sweep against side lobes makes it 1.3 to 1.5 times larger",
    serves="How close may two targets stand under a chirp and still show apart?",
)
def range_resolution_chirp(*, bandwidth_khz: Values, sound_speed_mps: Values = 1500.0) -> Values:
    r"""Least distance at which two targets show apart with a chirp, from its bandwidth.

    .. math:: \Delta r = \frac{c}{2B}

    Notes
    -----
    It does not depend on the pulse length; the dead zone does.

    Examples
    --------
    >>> range_resolution_chirp(bandwidth_khz=60)
    0.0125
    """
    return sound_speed_mps / (2000 * bandwidth_khz)
