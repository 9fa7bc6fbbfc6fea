"""The sonar equation of a bottom echo for a small-craft sounder, with one declared installed loss.

A bare textbook budget reads three to thirteen times too deep on small craft, and more in deep fresh
water. What it leaves out (hull and electrical noise beyond the quiet boat's, cable and receiver losses,
the pulse really sent, uneven bottom, a firm digit instead of a smear) is one named term here, the installed loss.
It was set by least squares on the logarithm of the depths that practice believes for seven sounders, 50 to
800 kHz, in sea and fresh water; the test of the calibration holds the rows and their residuals.

Water depths are below the face. The bottom is the smaller of the beam's footprint and the patch under the
pulse; a chirp's patch is that of its compressed pulse, and the receiver averages the patches within the
length of the sweep.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.echo import noise, seabed
from leadsman.compute.echo import sonar_equation as echo
from leadsman.compute.registry import Choice, Number, Output, Values, formula
from leadsman.compute.transducer import laminate
from leadsman.compute.transducer import range_and_time as transducer
from leadsman.compute.water import by_water as water

#: What practice loses against the budget, two-way, and how far it may be off [dB].
INSTALLED_LOSS_DB = 54.0
INSTALLED_LOSS_BAND_DB = 6.0
#: Own noise of a quiet boat at rest above thermal noise, and how far it may be off [dB].
QUIET_OWN_NOISE_DB = 26.0
OWN_NOISE_BAND_DB = 5.0
#: A beam wider than this lets in no more noise: hull and receiver noise reach the receiver past the beam.
#: Set so that 40 to 45 degrees meet practice, which believes the same depths from 20 to 45 degrees.
_NOISE_BEAM_DEG = 30.0
#: Wind in which the ranges of practice hold [m/s].
QUIET_WIND_MPS = 3.0


class StateLoss(NamedTuple):
    """What the boat's motion costs, and how far it may be off."""

    loss: Values
    band: Values


#: Noise of the flow and the engine together with bubbles over the face, counted as noise [dB].
_STATES = {
    "at rest": StateLoss(0.0, 0.0),
    "displacement": StateLoss(6.0, 3.0),
    "planing": StateLoss(13.0, 6.0),
}

DEPTH = Number("depth", "m", 0.05, 10_000, "water below the face")
FREQUENCY = Number("frequency", "kHz", 20, 1500, "frequency; the middle of a chirp's band")
BANDWIDTH = Number("bandwidth", "kHz", 0, 400, "swept bandwidth of a chirp; 0 for a tone burst", 0.0)
TEMPERATURE = water.TEMPERATURE
SALINITY = Number("salinity", "PSU", 0, 40, "practical salinity; 0 is fresh water")
#: What the budget needs to know of sounder, boat and water: the formulas take it as one record.
RECORD = (
    FREQUENCY,
    Number("power", "W", 1, 5000, "electrical power, RMS and not peak to peak"),
    Number("beamwidth", "deg", 0.3, 150, "full half-power beam width, one way, in the plane of the tilt"),
    Number("pulse_long", "ms", 0.02, 50, "pulse length at the deep setting"),
    TEMPERATURE,
    SALINITY,
    Number("beamwidth_across", "deg", 0, 150, "beam width in the other plane; 0 for a round beam", 0.0),
    BANDWIDTH,
    Choice("sediment", seabed.BOTTOMS, "kind of bottom", "sand"),
    Number("tilt", "deg", 0, 30, "angle between the beam's axis and the bottom's normal", 0.0),
    Number("wind", "m/s", 0, 30, "wind speed", QUIET_WIND_MPS),
    Number("own_noise", "dB", 0, 90, "own noise above thermal noise, at rest", QUIET_OWN_NOISE_DB),
    Choice("boat_state", tuple(_STATES), "at rest, at displacement speed or planing", "at rest"),
    Number("installed_loss", "dB", 0, 90, "installed loss, two-way", INSTALLED_LOSS_DB),
    Number("extra_loss", "dB", 0, 90, "further two-way loss: fouling, long cable", 0.0),
    Number("detection_threshold", "dB", -10, 40, "signal-to-noise ratio of a firm digit", 10.0),
    Number("laminate", "mm", 0, 60, "solid laminate before an in-hull face; 0 for a face in the water", 0.0),
    Number("efficiency", "1", 0.05, 1, "acoustic over electrical power", 0.45),
)
SOURCES = ("urick-1983, chapter 2", "lurton-2010, chapter 3", "common-practice")


class Link(NamedTuple):
    """The budget of one sounder in one water with the range left open, as equal-shaped arrays."""

    level_db: Any
    absorption_db_per_m: Any
    beam_sr: Any
    cell_m: Any
    looks: Any
    foot_loss_db: Any
    oblique_drop_db: Any
    tilt_sine: Any
    hull_band_db: Any


class BudgetTerms(NamedTuple):
    """The terms of the budget; the excess is their sum."""

    source_level: Values
    transmission_loss: Values
    bottom_return: Values
    noise_level: Values
    processing_gain: Values
    detection_threshold: Values
    tilt_loss: Values
    installed_loss: Values
    signal_excess: Values


def link(record: Mapping[str, Any]) -> Link:
    """Gather everything that does not depend on range, from the arguments of a formula by name."""
    speed = _sound_speed(record)
    cell_ms, looks = _cells(record)
    index, solid_angle = _beam(record)
    tilt = record["tilt_deg"]
    hull = _hull(record)
    level = (
        _source_level(record, index, speed)
        + seabed.normal_strength(sediment=record["sediment"]).strength
        - _noise_level(record, index)
        + _processing_gain(record)
        - record["detection_threshold_db"]
        - record["installed_loss_db"]
        - record["extra_loss_db"]
        - hull.middle
    )
    parts = (
        level,
        _absorption_db_per_m(record),
        solid_angle,
        speed * cell_ms / 1000,
        looks,
        transducer.two_way_loss(angle_deg=tilt, beamwidth_deg=record["beamwidth_deg"], shape="gaussian"),
        seabed.oblique_drop(incidence_deg=tilt),
        np.sin(np.radians(tilt)),
        (hull.worst - hull.least) / 2,
    )
    return Link(*np.broadcast_arrays(*parts))


def _sound_speed(record: Mapping[str, Any]) -> Any:
    return water.sound_speed(temperature_c=record["temperature_c"], salinity_psu=record["salinity_psu"])


def _hull(record: Mapping[str, Any]) -> Any:
    """Two-way loss through the laminate before the face, with its band [dB]."""
    return laminate.laminate_loss_band(
        frequency_khz=record["frequency_khz"], thickness_mm=record["laminate_mm"]
    )


def excess_at(range_m: Values, link: Link) -> NDArray[np.float64]:
    """Signal excess at a range [dB]; ``link`` holds the rest of the budget."""
    spread = 40 * np.log10(range_m) + 2 * link.absorption_db_per_m * range_m
    return np.asarray(link.level_db - spread + bottom_gain(range_m, link) - tilt_penalty(range_m, link))


def _patch(range_m: Values, link: Link) -> Any:
    """Flat bottom that sends back at one instant [m2]: all of the beam, or the ring of the pulse."""
    return np.minimum(link.beam_sr * range_m**2, np.pi * range_m * link.cell_m)


def bottom_gain(range_m: Values, link: Link) -> NDArray[np.float64]:
    """Gain by the size of the patch and by averaging over the patches within the sweep [dB]."""
    patch = _patch(range_m, link)
    looks = np.clip(link.beam_sr * range_m**2 / patch, 1, link.looks)
    return np.asarray(10 * np.log10(patch) + 5 * np.log10(looks))


def tilt_penalty(range_m: Values, link: Link) -> NDArray[np.float64]:
    """Loss by tilt or slope [dB]: the lesser of looking past the nearest point and of oblique incidence.

    Either the echo comes from the point whose normal points at the face, seen off the axis, or from the
    axis, where the bottom is weaker and the pulse lights a narrow strip; averaging over the drawn-out
    echo gives half of the strip's decibels back.
    """
    patch = _patch(range_m, link)
    width = np.sqrt(4 * link.beam_sr / np.pi) * range_m
    strip = np.minimum(patch, width * link.cell_m / (2 * np.maximum(link.tilt_sine, 1e-9)))
    oblique = link.oblique_drop_db + 5 * np.log10(patch / strip)
    return np.asarray(np.minimum(link.foot_loss_db, oblique))


def state_loss(boat_state: str) -> StateLoss:
    """What the boat's motion costs [dB], with its band."""
    return _STATES[boat_state]


def noise_rise(record: Mapping[str, Any]) -> Any:
    """Noise above that of a quiet boat at rest in little wind [dB]."""
    frequency = record["frequency_khz"]
    quiet = noise.total(frequency_khz=frequency, wind_mps=QUIET_WIND_MPS, own_noise_db=QUIET_OWN_NOISE_DB)
    return _noise_spectrum(record) - quiet


def _noise_spectrum(record: Mapping[str, Any]) -> Any:
    at_rest = noise.total(
        frequency_khz=record["frequency_khz"],
        wind_mps=record["wind_mps"],
        own_noise_db=record["own_noise_db"],
    )
    return at_rest + state_loss(record["boat_state"]).loss


def _noise_level(record: Mapping[str, Any], directivity_index_db: Any) -> Any:
    """Noise in the receiver's band that the beam lets in; the band of a tone burst is one over its pulse."""
    band_khz = np.maximum(record["bandwidth_khz"], 1 / np.asarray(record["pulse_long_ms"]))
    spectrum = _noise_spectrum(record)
    shut_out = np.maximum(directivity_index_db, transducer.directivity_index(beamwidth_deg=_NOISE_BEAM_DEG))
    return noise.band_level(spectrum_level_db=spectrum, bandwidth_hz=1000 * band_khz) - shut_out


def _processing_gain(record: Mapping[str, Any]) -> Any:
    return echo.processing_gain(pulse_ms=record["pulse_long_ms"], bandwidth_khz=record["bandwidth_khz"])


def _cells(record: Mapping[str, Any]) -> tuple[Any, Any]:
    """Length of the compressed pulse [ms], and how many of them the sweep spans."""
    pulse = np.asarray(record["pulse_long_ms"])
    looks = np.maximum(1, pulse * record["bandwidth_khz"])
    return pulse / looks, looks


def _beam(record: Mapping[str, Any]) -> tuple[Any, Any]:
    """Directivity index [dB] and equivalent beam angle [sr] of a round or a fan beam."""
    along, across = np.broadcast_arrays(record["beamwidth_deg"], record["beamwidth_across_deg"])
    is_round = across == 0
    index = transducer.directivity_index(beamwidth_deg=along)
    angle = transducer.equivalent_beam_angle(beamwidth_deg=along)
    if np.all(is_round):
        return index, angle
    fan: dict[str, Any] = {
        "beamwidth_along_deg": along,
        "beamwidth_across_deg": np.where(is_round, along, across),
    }
    return (
        np.where(is_round, index, transducer.directivity_index_fan(**fan)),
        np.where(is_round, angle, transducer.equivalent_beam_angle_fan(**fan)),
    )


def _source_level(record: Mapping[str, Any], directivity_index_db: Any, sound_speed_mps: Any) -> Any:
    return transducer.source_level(
        power_w=record["power_w"],
        efficiency=record["efficiency"],
        directivity_index_db=directivity_index_db,
        sound_speed_mps=sound_speed_mps,
    )


def _absorption_db_per_m(record: Mapping[str, Any]) -> Any:
    """Absorption at the surface: the pressure of a thousand metres lessens it by a tenth, on the safe side."""
    absorption = water.absorption(
        frequency_khz=record["frequency_khz"],
        temperature_c=record["temperature_c"],
        salinity_psu=record["salinity_psu"],
    )
    return absorption / 1000


@formula(
    "echo.installed_loss",
    title="Installed loss",
    inputs=(
        FREQUENCY,
        Choice("boat_state", tuple(_STATES), "at rest, at displacement speed or planing", "at rest"),
    ),
    outputs=(
        Output("loss", "dB", "two-way loss of practice against the textbook budget"),
        Output("band", "dB", "how far it may be off, either way"),
    ),
    method="Least squares on the believable depths of practice, sand, boat at rest",
    sources=("common-practice",),
    accuracy="6 dB at rest; set on 42 to 800 kHz, an extrapolation outside",
    serves="How much does a real installation lose against the textbook?",
)
def installed_loss(*, frequency_khz: Values, boat_state: str = "at rest") -> StateLoss:
    r"""Loss of a real installation against the textbook budget, the same at all sounder frequencies.

    .. math:: L = L_{\text{installed}} + L_{\text{state}}

    Notes
    -----
    One value serves 42 to 800 kHz because own noise is counted from thermal noise, which rises with
    frequency as a receiver's own noise does when it is referred to the face.

    Examples
    --------
    >>> installed_loss(frequency_khz=200)
    StateLoss(loss=54.0, band=6.0)
    """
    state = state_loss(boat_state)
    band = np.hypot(INSTALLED_LOSS_BAND_DB, state.band)
    loss, band, _ = np.broadcast_arrays(INSTALLED_LOSS_DB + state.loss, band, frequency_khz)
    return StateLoss(loss, band)


@formula(
    "echo.signal_excess",
    title="Signal excess of the bottom echo",
    inputs=(DEPTH, *RECORD),
    outputs=(Output("signal_excess", "dB", "echo in hand above what a firm digit needs"),),
    method="Active-sonar equation of a rough bottom, with the installed loss",
    sources=SOURCES,
    accuracy="10 dB on sand, 13 dB on mud: bottom, installed loss and own noise are known no better",
    serves="How many decibels are in hand at this depth?",
)
def signal_excess(*, depth_m: Values, **sounder: Any) -> Values:
    r"""Decibels in hand for a firm depth digit, from the sonar equation with the installed loss.

    .. math:: SE = SL - 2TL + S_b + 10\log_{10} A - (NL - DI) + PG - DT - L_{\text{tilt}} - L_{\text{installed}}

    Returns
    -------
    float or array
        Signal excess; below 0 no firm digit [dB].

    Notes
    -----
    Weed is no sediment here: no number holds over it. Near field and dead zone are no part of it.

    Examples
    --------
    >>> signal_excess(depth_m=20, frequency_khz=200, power_w=500, beamwidth_deg=12, pulse_long_ms=0.6,
    ...               temperature_c=12, salinity_psu=35)
    28.1
    """
    return excess_at(depth_m, link(sounder))


@formula(
    "echo.budget",
    title="Budget of the bottom echo, term by term",
    inputs=(DEPTH, *RECORD),
    outputs=(
        Output("source_level", "dB", "source level re 1 uPa at 1 m"),
        Output("transmission_loss", "dB", "loss out and back, negative"),
        Output("bottom_return", "dB", "strength and size of the bottom that sends back"),
        Output("noise_level", "dB", "noise in the band that the beam lets in, negative"),
        Output("processing_gain", "dB", "gain of the matched receiver"),
        Output("detection_threshold", "dB", "ratio that a firm digit needs, negative"),
        Output("tilt_loss", "dB", "loss by tilt or slope, negative"),
        Output("installed_loss", "dB", "installed and further loss, laminate included, negative"),
        Output("signal_excess", "dB", "sum of the terms"),
    ),
    method="Active-sonar equation of a rough bottom, with the installed loss",
    sources=SOURCES,
    accuracy="10 dB on sand, 13 dB on mud: bottom, installed loss and own noise are known no better",
    serves="Which term of the bottom echo costs this boat its depth?",
)
def budget(*, depth_m: Values, **sounder: Any) -> BudgetTerms:
    r"""Every term of the bottom-echo budget with its sign, to be printed as a sum.

    .. math:: SE = \sum_i T_i

    Notes
    -----
    The boat's state counts as noise.

    Examples
    --------
    >>> budget(depth_m=20, frequency_khz=200, power_w=500, beamwidth_deg=12, pulse_long_ms=0.6,
    ...        temperature_c=12, salinity_psu=35).source_level
    218.1
    """
    terms = link(sounder)
    index, _ = _beam(sounder)
    losses = sounder["installed_loss_db"] + sounder["extra_loss_db"] + _hull(sounder).middle
    parts = (
        _source_level(sounder, index, _sound_speed(sounder)),
        -(40 * np.log10(depth_m) + 2 * terms.absorption_db_per_m * depth_m),
        seabed.normal_strength(sediment=sounder["sediment"]).strength + bottom_gain(depth_m, terms),
        -_noise_level(sounder, index),
        _processing_gain(sounder),
        -np.asarray(sounder["detection_threshold_db"]),
        -tilt_penalty(depth_m, terms),
        -np.asarray(losses),
    )
    return BudgetTerms(*np.broadcast_arrays(*parts, sum(parts)))
