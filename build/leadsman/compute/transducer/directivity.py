"""Directivity, equivalent beam angle and source level of a transducer from its beam width and power."""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Choice, Number, Output, Values, formula
from leadsman.compute.transducer.beam import (
    BEAMWIDTH,
    LINE_HALF_POWER,
    PISTON_HALF_POWER,
    SOUND_SPEED,
    piston_amplitude,
)
from leadsman.compute.transducer.face_directivity import (
    piston_index,
    rectangle_index,
)

_INDEX = (Output("directivity_index", "dB", "directivity index"),)
_SOLID_ANGLE = (Output("solid_angle", "sr", "equivalent two-way beam angle"),)
_ALONG = Number("beamwidth_along", "deg", 0.3, 150, "full half-power beam width in one plane, one way")
_ACROSS = Number(
    "beamwidth_across", "deg", 0.3, 150, "full half-power beam width in the other plane, one way"
)
_POWER = Number("power", "W", 1, 5000, "electrical power while sending, RMS and not peak to peak")
_EFFICIENCY = Number("efficiency", "1", 0.01, 1, "acoustic power sent over electrical power taken")
_DENSITY = Number("density", "kg/m3", 980, 1060, "density of the water", 1025.0)


def piston_size(beamwidth_deg: Values) -> Values:
    """``k a`` of the circular piston that has a half-power width."""
    result: Values = PISTON_HALF_POWER / np.sin(np.radians(beamwidth_deg) / 2)
    return result


def line_size(beamwidth_deg: Values) -> Values:
    """Side over wavelength of the rectangular face that has a half-power width in the plane of that side."""
    result: Values = LINE_HALF_POWER / (np.pi * np.sin(np.radians(beamwidth_deg) / 2))
    return result


@formula(
    "transducer.directivity_index",
    title="Directivity index from the beam width",
    inputs=(BEAMWIDTH,),
    outputs=_INDEX,
    method="Exact index of the circular piston with the stated half-power width",
    sources=("kinsler-2000, section 7.6", "urick-1983, table 3.2"),
    accuracy="1 dB for a real round transducer",
)
def directivity_index(*, beamwidth_deg: Values) -> Values:
    r"""Directivity index of a round transducer from its half-power beam width.

    .. math:: DI = 10\log\frac{(ka)^2}{1 - J_1(2ka)/(ka)}, \quad ka = \frac{1.6163}{\sin(\theta_3/2)}

    Notes
    -----
    For a fan beam use ``transducer.directivity_index_fan``.

    Examples
    --------
    >>> directivity_index(beamwidth_deg=8.85235)
    26.414
    """
    return piston_index(piston_size(beamwidth_deg))


@formula(
    "transducer.directivity_index_fan",
    title="Directivity index of a fan beam",
    inputs=(
        _ALONG,
        _ACROSS,
        Choice(
            "method",
            ("rectangular", "solid-angle"),
            "the rectangular face that makes the widths, or the plain solid angle of the two",
            "rectangular",
        ),
    ),
    outputs=_INDEX,
    method="Area of the rectangular face with the two widths, or 4 pi over the product of the widths",
    sources=("urick-1983, table 3.2",),
    accuracy="1 dB; the solid-angle form reads about 1 dB high",
    serves="What is the directivity of a fan beam?",
)
def directivity_index_fan(
    *, beamwidth_along_deg: Values, beamwidth_across_deg: Values, method: str = "rectangular"
) -> Values:
    r"""Directivity index of a beam with two widths, from those widths.

    .. math:: DI = 10\log\frac{4\pi L_xL_y}{\lambda^2}, \quad L = \frac{0.44295\lambda}{\sin(\theta_3/2)}

    Notes
    -----
    A beam wider than about 124 degrees comes from a face shorter than half a wavelength: no answer.

    Examples
    --------
    >>> directivity_index_fan(beamwidth_along_deg=12, beamwidth_across_deg=12, method="solid-angle")
    24.57
    """
    if method == "solid-angle":
        angle = np.radians(beamwidth_along_deg) * np.radians(beamwidth_across_deg)
        result: Values = 10 * np.log10(4 * np.pi / angle)
        return result
    return rectangle_index(line_size(beamwidth_along_deg), line_size(beamwidth_across_deg))


# Gauss-Legendre nodes for the solid angle: the fourth power of the pattern has died out at x = 25.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_LAST_ARGUMENT = 25.0


@formula(
    "transducer.equivalent_beam_angle",
    title="Equivalent two-way beam angle",
    inputs=(BEAMWIDTH,),
    outputs=_SOLID_ANGLE,
    method="Integral of the two-way piston pattern over the half space",
    sources=("simmonds-maclennan-2005, section 2.3",),
    accuracy="0.01 % of the ideal piston; 1 dB for a real transducer",
)
def equivalent_beam_angle(*, beamwidth_deg: Values) -> Values:
    r"""Solid angle of the ideal two-way beam that gathers as much reverberation as the real one.

    .. math:: \psi = 2\pi\int_0^{\pi/2} b^4(\theta)\sin\theta\,d\theta \approx \frac{5.78}{(ka)^2}

    Notes
    -----
    The small-angle form is within 1 % below a width of about 20 degrees; the integral holds for all.

    Examples
    --------
    >>> equivalent_beam_angle(beamwidth_deg=8.85235)
    0.013194
    """
    ka = np.asarray(piston_size(beamwidth_deg))[..., np.newaxis]
    last = np.arcsin(np.minimum(1.0, _LAST_ARGUMENT / ka))
    angle = last * (_NODES + 1) / 2
    integrand = piston_amplitude(ka * np.sin(angle)) ** 4 * np.sin(angle)
    result: Values = 2 * np.pi * np.sum(_WEIGHTS * integrand, axis=-1) * last[..., 0] / 2
    return result


@formula(
    "transducer.equivalent_beam_angle_fan",
    title="Equivalent two-way beam angle of a fan beam",
    inputs=(_ALONG, _ACROSS),
    outputs=_SOLID_ANGLE,
    method="Product of the two-way line patterns, small-angle form",
    sources=("simmonds-maclennan-2005, section 2.3",),
    accuracy="5 % where both widths are below 40 degrees; too large in a wider plane",
    serves="How much water does a fan beam fill?",
)
def equivalent_beam_angle_fan(*, beamwidth_along_deg: Values, beamwidth_across_deg: Values) -> Values:
    r"""Equivalent two-way beam angle of a rectangular face, from its two half-power widths.

    .. math:: \psi = \frac{4}{9}\frac{\lambda^2}{L_xL_y}

    Notes
    -----
    The integral of sin^4(u)/u^4 over all u is 2 pi/3, which gives 2/3 of a wavelength over the side for
    each plane.

    Examples
    --------
    >>> equivalent_beam_angle_fan(beamwidth_along_deg=2, beamwidth_across_deg=40)
    0.01352
    """
    return 4 / 9 / (line_size(beamwidth_along_deg) * line_size(beamwidth_across_deg))


@formula(
    "transducer.source_level",
    title="Source level from the power",
    inputs=(
        _POWER,
        _EFFICIENCY,
        Number("directivity_index", "dB", 0, 60, "directivity index"),
        _DENSITY,
        SOUND_SPEED,
    ),
    outputs=(Output("source_level", "dB", "source level re 1 micropascal at 1 m"),),
    method="Intensity at 1 m of the acoustic power, raised by the directivity index",
    sources=("urick-1983, section 4.2",),
    accuracy="1 dB if power and efficiency are known; the efficiency seldom is within 2 dB",
)
def source_level(
    *,
    power_w: Values,
    efficiency: Values,
    directivity_index_db: Values,
    density_kg_per_m3: Values = 1025.0,
    sound_speed_mps: Values = 1500.0,
) -> Values:
    r"""Source level of a transmitter from its RMS power, efficiency and directivity.

    .. math:: SL = 10\log\frac{\rho c}{4\pi} + 120 + 10\log(\eta P) + DI

    Notes
    -----
    One watt, sent evenly to all sides, gives 170.9 dB in sea water.

    Examples
    --------
    >>> source_level(power_w=500, efficiency=0.5, directivity_index_db=20)
    214.86
    """
    acoustic = 10 * np.log10(efficiency * power_w) + 120
    result: Values = 10 * np.log10(density_kg_per_m3 * sound_speed_mps / (4 * np.pi)) + acoustic
    return result + directivity_index_db
