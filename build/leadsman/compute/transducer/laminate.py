"""The hull over an in-hull transducer: loss through a solid laminate, and why a cored hull fails.

A plane wave meets the layer square on. The layer is a line with the complex wave number ``k = omega/c - i a``
and the impedance ``rho omega/k``; outside is water, inside the couplant. Losses are of energy, there and back:
by reciprocity the way out costs as much as the way in.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.transducer.beam import FREQUENCY

_THICKNESS = Number("thickness", "mm", 0, 60, "thickness of the laminate")
_SPEED = Number("sound_speed", "m/s", 1800, 4000, "sound speed through the laminate", 2700.0)
_DENSITY = Number("density", "kg/m3", 900, 2300, "density of the laminate", 1700.0)
_ATTENUATION = Number(
    "attenuation_at_200_khz",
    "dB/m",
    0,
    3000,
    "attenuation in the laminate at 200 kHz, in proportion to the frequency elsewhere",
    200.0,
)
_COUPLANT_SPEED = Number("couplant_sound_speed", "m/s", 1100, 3000, "sound speed in the couplant", 1500.0)
_COUPLANT_DENSITY = Number("couplant_density", "kg/m3", 700, 1500, "density of the couplant", 960.0)
_LOSS = (Output("loss", "dB", "loss through the laminate, two-way"),)

#: Impedance of sea water at 10 degrees [kg/(m2 s)]; fresh water is 4 % lower, of no account here.
_WATER = 1027.0 * 1490.0
_NEPER = 20 * np.log10(np.e)

Complex = NDArray[np.complex128]


class _Layer(NamedTuple):
    """Impedance [kg/(m2 s)] and wave number [1/m], both complex, of a lossy layer."""

    impedance: Complex
    wave_number: Complex


def _layer(
    frequency_khz: Any, sound_speed_mps: Any, density_kg_per_m3: Any, attenuation_at_200_khz: Any
) -> _Layer:
    omega = 2e3 * np.pi * np.asarray(frequency_khz)
    wave_number = omega / sound_speed_mps - 1j * attenuation_at_200_khz / _NEPER * frequency_khz / 200
    return _Layer(np.asarray(density_kg_per_m3 * omega / wave_number), np.asarray(wave_number))


def _transmission(layer: _Layer, thickness_m: Any, inside: Any, outside: Any) -> NDArray[np.float64]:
    """Share of the energy that passes one layer between two half spaces."""
    phase = layer.wave_number * thickness_m
    z = layer.impedance
    even = (1 + inside / outside) * np.cos(phase)
    odd = 1j * (z / outside + inside / z) * np.sin(phase)
    share: NDArray[np.float64] = 4 * inside / outside / np.abs(even + odd) ** 2
    return share


def _bound_db(layer: _Layer, thickness_m: Any, inside: Any, outside: Any, sign: int) -> NDArray[np.float64]:
    """One-way loss [dB] at the worst (+1) or best (-1) phase of the reflections inside the layer."""
    z = layer.impedance
    # Kept in decibels: through a thick core the share that is left is too small for a float.
    decay = -layer.wave_number.imag * thickness_m * _NEPER
    echo = np.abs((inside - z) / (inside + z) * (outside - z) / (outside + z)) * 10 ** (-decay / 10)
    pressure = np.abs(2 * z / (z + inside) * 2 * outside / (z + outside)) / (1 + sign * echo)
    loss: NDArray[np.float64] = decay - 10 * np.log10(pressure**2 * inside / outside)
    return loss


def _two_way_db(share: NDArray[np.float64]) -> NDArray[np.float64]:
    loss: NDArray[np.float64] = -20 * np.log10(share)
    return loss


@formula(
    "transducer.laminate_loss",
    title="Loss through a solid laminate",
    inputs=(FREQUENCY, _THICKNESS, _SPEED, _DENSITY, _ATTENUATION, _COUPLANT_SPEED, _COUPLANT_DENSITY),
    outputs=_LOSS,
    method="Plane wave through one lossy layer between couplant and water",
    sources=("brekhovskikh-godin-1990, section 2.4", "kinsler-2000, section 6.3", "ono-2020"),
    accuracy="exact for the layer given; a real laminate is not known well enough, see the envelope",
)
def laminate_loss(
    *,
    frequency_khz: Values,
    thickness_mm: Values,
    sound_speed_mps: Values = 2700.0,
    density_kg_per_m3: Values = 1700.0,
    attenuation_at_200_khz_db_per_m: Values = 200.0,
    couplant_sound_speed_mps: Values = 1500.0,
    couplant_density_kg_per_m3: Values = 960.0,
) -> Values:
    r"""Loss of an echo through a solid laminate of known thickness and speed, there and back.

    .. math:: L = -20\log\frac{4Z_1/Z_3}{\left|(1 + Z_1/Z_3)\cos kd + i(Z_2/Z_3 + Z_1/Z_2)\sin kd\right|^2}

    Notes
    -----
    Never print the half-wave windows that this formula shows: speed (15 %) and thickness (2 mm) of a hand-laid
    hull are not known well enough to hit one. ``transducer.laminate_loss_envelope`` is the number to print. The
    default speed, density and attenuation stand for glass and polyester, from common practice without a source;
    the proportion to the frequency is that measured in most plastics and laminates (Ono 2020).

    Examples
    --------
    >>> laminate_loss(frequency_khz=200, thickness_mm=10)
    11.86
    """
    layer = _layer(frequency_khz, sound_speed_mps, density_kg_per_m3, attenuation_at_200_khz_db_per_m)
    couplant = couplant_sound_speed_mps * couplant_density_kg_per_m3
    return _two_way_db(_transmission(layer, thickness_mm / 1000, couplant, _WATER))


# Steps of the sound speed and of the thickness across their tolerances; the loss is smooth in both.
_SPEED_STEPS = np.linspace(-1, 1, 41)
#: Of a hand-laid hull, known by its thickness alone: how far that may be off [mm], and the speeds that it may have [m/s].
_OFF_MM = np.linspace(-2.0, 2.0, 21)
_HAND_LAID_MPS = 2700.0 * np.linspace(0.85, 1.15, 41)


@formula(
    "transducer.laminate_loss_envelope",
    title="Worst loss through a solid laminate",
    inputs=(
        FREQUENCY,
        _THICKNESS,
        Number("thickness_tolerance", "mm", 0, 10, "tolerance of the thickness, either way", 2.0),
        Number("sound_speed_tolerance", "%", 0, 25, "tolerance of the sound speed, either way", 15.0),
        _SPEED,
        _DENSITY,
        _ATTENUATION,
        _COUPLANT_SPEED,
        _COUPLANT_DENSITY,
    ),
    outputs=(Output("loss", "dB", "worst loss within the tolerances, two-way"),),
    method="Greatest loss of the lossy layer over the tolerances of thickness and sound speed",
    sources=("brekhovskikh-godin-1990, section 2.4", "common-practice"),
    accuracy="never below the loss at any thickness and speed within the tolerances; at most 1.5 dB above it",
    serves="What can a laminate about this thick cost at worst?",
)
def laminate_loss_envelope(
    *,
    frequency_khz: Values,
    thickness_mm: Values,
    thickness_tolerance_mm: Values = 2.0,
    sound_speed_tolerance_pct: Values = 15.0,
    sound_speed_mps: Values = 2700.0,
    density_kg_per_m3: Values = 1700.0,
    attenuation_at_200_khz_db_per_m: Values = 200.0,
    couplant_sound_speed_mps: Values = 1500.0,
    couplant_density_kg_per_m3: Values = 960.0,
) -> Values:
    r"""Worst loss of an echo through a solid laminate within its tolerances, there and back.

    .. math:: L = \max_{|d'-d|\le\delta,\;|c'/c-1|\le\epsilon} L(d', c')

    Returns
    -------
    float or array
        Two-way loss, on the safe side [dB].

    Notes
    -----
    Where the tolerances reach an odd number of quarter waves, the loss at that phase and the full thickness is
    taken; elsewhere the loss rises or falls across the tolerance, and its ends decide. The default tolerances
    are common practice for hand-laid hulls.

    Examples
    --------
    >>> laminate_loss_envelope(frequency_khz=200, thickness_mm=10)
    14.23
    """
    thin, thick = (
        np.asarray(np.maximum(thickness_mm + sign * thickness_tolerance_mm, 0.0))[..., np.newaxis] / 1000
        for sign in (-1, 1)
    )
    change = 1 + np.asarray(sound_speed_tolerance_pct)[..., np.newaxis] / 100 * _SPEED_STEPS
    layer = _layer(
        np.asarray(frequency_khz)[..., np.newaxis],
        np.asarray(sound_speed_mps)[..., np.newaxis] * change,
        np.asarray(density_kg_per_m3)[..., np.newaxis],
        np.asarray(attenuation_at_200_khz_db_per_m)[..., np.newaxis],
    )
    couplant = np.asarray(couplant_sound_speed_mps * couplant_density_kg_per_m3)[..., np.newaxis]
    ends = np.minimum(
        _transmission(layer, thin, couplant, _WATER), _transmission(layer, thick, couplant, _WATER)
    )
    quarters = [layer.wave_number.real * d / (np.pi / 2) for d in (thin, thick)]
    # An odd number lies between them if rounding (q + 1)/2 down gives different numbers of odd quarters passed.
    reaches_quarter = np.floor((quarters[1] + 1) / 2) > np.floor((quarters[0] + 1) / 2)
    at_ends = _two_way_db(ends)
    worst = np.maximum(2 * _bound_db(layer, thick, couplant, _WATER, 1), at_ends)
    envelope: NDArray[np.float64] = np.where(reaches_quarter, worst, at_ends).max(axis=-1)
    return envelope


class LaminateBand(NamedTuple):
    """What a solid hull may cost: at best, in the middle, and at worst."""

    least: Values
    middle: Values
    worst: Values


@formula(
    "transducer.laminate_loss_band",
    title="Band of the loss through a solid laminate",
    inputs=(FREQUENCY, _THICKNESS),
    outputs=(
        Output("least", "dB", "least loss within the tolerances, two-way"),
        Output("middle", "dB", "middle of the two"),
        Output("worst", "dB", "worst loss of any hull up to this thickness"),
    ),
    method="Ends of the loss of the lossy layer over the tolerances of a hand-laid hull; the worst never falls",
    sources=("brekhovskikh-godin-1990, section 2.4", "common-practice"),
    accuracy="0.3 dB of the ends; where within them a hull lies, only a trial over the side tells",
)
def laminate_loss_band(*, frequency_khz: Values, thickness_mm: Values) -> LaminateBand:
    r"""Least, middle and worst loss of an echo through a solid laminate known by its thickness alone.

    .. math:: L_{\text{middle}} = (L_{\text{least}} + L_{\text{worst}})/2

    Notes
    -----
    Tolerances and material are the defaults of ``transducer.laminate_loss_envelope``. From the first quarter
    wave on the worst phase is taken at the full thickness, so that the worst never falls with the thickness: a
    thicker hull that passes more sound is a half-wave window, and that is luck.

    Examples
    --------
    >>> laminate_loss_band(frequency_khz=200, thickness_mm=10)
    LaminateBand(least=5.5, middle=9.9, worst=14.2)
    """
    frequency, thickness = np.broadcast_arrays(frequency_khz, thickness_mm)
    worst = _worst_up_to(frequency, thickness)
    depths = np.maximum(thickness[..., np.newaxis, np.newaxis] + _OFF_MM[:, np.newaxis], 0)
    losses = laminate_loss(
        frequency_khz=frequency[..., np.newaxis, np.newaxis],
        thickness_mm=np.minimum(depths, 60),
        sound_speed_mps=_HAND_LAID_MPS,
    )
    least = np.asarray(losses).min(axis=(-2, -1))
    none = np.asarray(thickness) == 0
    least, worst = np.where(none, 0.0, least), np.where(none, 0.0, worst)
    return LaminateBand(least, (least + worst) / 2, worst)


def _worst_up_to(
    frequency_khz: NDArray[np.float64], thickness_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Worst loss of any hull up to a thickness and its tolerance [dB], at any speed within its tolerance."""
    thick = (thickness_mm[..., np.newaxis] + 2.0) / 1000
    layer = _layer(frequency_khz[..., np.newaxis], _HAND_LAID_MPS, 1700.0, 200.0)
    couplant = 1500.0 * 960.0
    rising = _two_way_db(_transmission(layer, thick, couplant, _WATER))
    worst = np.maximum(2 * _bound_db(layer, thick, couplant, _WATER, 1), rising)
    past_quarter = layer.wave_number.real * thick > np.pi / 2
    envelope: NDArray[np.float64] = np.where(past_quarter, worst, rising).max(axis=-1)
    return envelope


class CoredHullLoss(NamedTuple):
    """Why a cored hull fails: the mismatch at the core, and the losses that follow from it."""

    impedance_ratio: float | NDArray[np.float64]
    interface: float | NDArray[np.float64]
    in_turn: float | NDArray[np.float64]
    least: float | NDArray[np.float64]


@formula(
    "transducer.cored_hull_loss",
    title="Loss through a cored hull",
    inputs=(
        FREQUENCY,
        Number("core_thickness", "mm", 3, 100, "thickness of the core"),
        Number("core_sound_speed", "m/s", 300, 4500, "sound speed through the core", 1100.0),
        Number("core_density", "kg/m3", 30, 300, "density of the core", 80.0),
        Number(
            "core_attenuation_at_200_khz",
            "dB/m",
            0,
            20000,
            "attenuation in the core at 200 kHz, in proportion to the frequency elsewhere",
            300.0,
        ),
        _SPEED,
        _DENSITY,
    ),
    outputs=(
        Output("impedance_ratio", "1", "impedance of the skin over that of the core"),
        Output("interface", "dB", "loss at one passage from skin to core, one way"),
        Output("in_turn", "dB", "loss of all four boundaries and the core in turn, two-way"),
        Output("least", "dB", "least loss through the hull, two-way, whatever the skins"),
    ),
    method="Mismatch of impedances, boundary by boundary, and the bound at the best of all resonances",
    sources=("brekhovskikh-godin-1990, section 2.4", "common-practice"),
    accuracy="least is a lower bound; real glue lines and cells lose far more",
    serves="Why does a cored hull not work?",
)
def cored_hull_loss(
    *,
    frequency_khz: Values,
    core_thickness_mm: Values,
    core_sound_speed_mps: Values = 1100.0,
    core_density_kg_per_m3: Values = 80.0,
    core_attenuation_at_200_khz_db_per_m: Values = 300.0,
    sound_speed_mps: Values = 2700.0,
    density_kg_per_m3: Values = 1700.0,
) -> CoredHullLoss:
    r"""Impedance mismatch of a core and the least loss of an echo through a cored hull, there and back.

    .. math:: T_{12} = \frac{4Z_1Z_2}{(Z_1 + Z_2)^2}, \quad
              L \ge -20\log\left(\frac{T_{wc}e^{-ad}}{1 - (1 - T_{wc})e^{-2ad}}\right)^2

    Notes
    -----
    The bound lets the skins be half-wave windows, which pass most because their impedance exceeds that of
    water and core, and lets the core stand at its best resonance: no hull is built to either. The loss in turn
    is what to expect. The core's defaults are those of a light foam, chosen low in attenuation so that the
    verdict does not hang on it; common practice, no source. An end-grain wood core is less mismatched and no
    better in practice: it is full of glue and voids.

    Examples
    --------
    >>> cored_hull_loss(frequency_khz=200, core_thickness_mm=20)
    CoredHullLoss(impedance_ratio=52.2, interface=11.3, in_turn=62.3, least=35.6)
    """
    core = _layer(
        frequency_khz, core_sound_speed_mps, core_density_kg_per_m3, core_attenuation_at_200_khz_db_per_m
    )
    ratio: Values = sound_speed_mps * density_kg_per_m3 / (core_sound_speed_mps * core_density_kg_per_m3)
    interface = -10 * np.log10(_passes(ratio))
    face = -10 * np.log10(_passes(sound_speed_mps * density_kg_per_m3 / _WATER))
    core_loss = core_attenuation_at_200_khz_db_per_m * frequency_khz / 200 * core_thickness_mm / 1000
    least = 2 * _bound_db(core, core_thickness_mm / 1000, _WATER, _WATER, -1)
    in_turn = 2 * (2 * face + 2 * interface + core_loss)
    return CoredHullLoss(*np.broadcast_arrays(ratio, interface, in_turn, least))


def _passes(ratio: Values) -> Values:
    """Share of the energy that passes one boundary between two impedances."""
    return 4 * ratio / (1 + ratio) ** 2
