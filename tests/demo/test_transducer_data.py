"""The invented transducers against what elements can be: capacitance, ring, sweep, tick.

Material data are those of the common lead zirconate titanates, from memory: relative permittivity at low
frequency some 1300 (hard) to 3400 (soft), a third to half of it in a composite; half a wavelength thick, 2000 Hz m.
"""

from __future__ import annotations

import math

import pytest

import built
from leadsman.book.computed import compute_value

_VACUUM = 8.854e-12
_HALF_WAVE_HZ_M = 2000.0
TRANSDUCERS = built.catalogue().transducers
BANDS = [(t, b) for t in TRANSDUCERS.values() for b in t.bands]


@pytest.mark.parametrize(("transducer", "band"), BANDS, ids=[b.id for _, b in BANDS])
def test_a_capacitance_is_one_that_such_an_element_has(transducer: object, band: object) -> None:
    """Less its cable, the reading asks for a permittivity between a composite's and a soft ceramic's."""
    record, own = TRANSDUCERS[transducer.id], band  # type: ignore[attr-defined]
    for pin in record.pins:
        if pin.band != own.id or pin.instrument != "capacitance":  # type: ignore[attr-defined]
            continue
        aperture = own.aperture  # type: ignore[attr-defined]
        area = (
            math.pi / 4 * (aperture.diameter_mm / 1000) ** 2
            if aperture.shape == "circular"
            else aperture.length_mm * aperture.width_mm / 1e6
        )
        element = pin.expected * 1e-9 - record.cable_length_m * record.cable_pf_per_m * 1e-12
        thickness = _HALF_WAVE_HZ_M / (own.frequency_khz * 1000)  # type: ignore[attr-defined]
        permittivity = element * thickness / (_VACUUM * area)

        assert 400 <= permittivity <= 3400


def test_an_element_can_follow_its_sweep() -> None:
    """A resonance of Q passes f/Q to half power; a chirp may sweep to twice that, 10 dB down one way, no more.

    Source: the half-power width of a resonance, Kinsler and others 2000, section 1.10.
    """
    swept = [b for _, b in BANDS if b.bandwidth_khz > 0.2 * b.frequency_khz]
    assert len(swept) == 3
    for band in swept:
        assert band.bandwidth_khz <= 2 * band.frequency_khz / band.quality_factor


def test_every_band_that_looks_down_has_its_tick() -> None:
    """Common practice, no source: low bands are heard clearly, 200 kHz faintly, 430 kHz and more not at all."""
    catalogue = built.catalogue()
    ends = {
        name: [float(n) for n in compute_value(catalogue.values[f"tick-{name}"], catalogue).number.exact]
        for name in ("loud", "faint")
    }
    silent = float(compute_value(catalogue.values["tick-silent"], catalogue).number.exact)
    for _, band in BANDS:
        low, high = (band.frequency_khz + side * band.bandwidth_khz / 2 for side in (-1, 1))
        middle = band.frequency_khz
        loud = ends["loud"][0] <= low and middle <= ends["loud"][1]
        faint = ends["faint"][0] <= middle <= ends["faint"][1]
        assert loud + faint + (middle >= silent) == 1, band.id
        assert high < silent or middle >= silent
