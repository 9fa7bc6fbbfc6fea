"""Physics of the equipment: what is written of a transducer must be possible."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.compute import transducer
from leadsman.compute.registry import ComputeError
from leadsman.content.model.equipment import Band
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

#: How far a declared beam may differ from that of its aperture: data are printed in whole degrees, and a
#: real element is shaded or clamped a little.
_TOLERANCE = 0.15
_WHOLE_DEGREE = 0.5


@rule("aperture", "A beamwidth is one that an aperture of that size has at that frequency.")
def aperture(context: Context) -> Iterator[Problem]:
    """The exact forms for a circular face and for each side of a rectangular one, in water of 1500 m/s."""
    for name, record in context.catalogue.transducers.items():
        for index, band in enumerate(record.bands):
            for field, declared, computed in _beams(band):
                if abs(declared - computed) > max(_TOLERANCE * computed, _WHOLE_DEGREE):
                    yield context.catalogue.problem(
                        "transducers",
                        name,
                        ("bands", index, field),
                        f"{declared:g} degrees is no beam of this aperture at {band.frequency_khz:g} kHz",
                        f"it gives {computed:.1f} degrees; correct the beam, its level or the aperture",
                    )


def _beams(band: Band) -> Iterator[tuple[str, float, float]]:
    """Each declared beam with the one that the aperture gives; a beam wider than half a sphere is none."""
    face = band.aperture
    sides: list[tuple[str, float | None, float | None]] = []
    if face.shape == "circular":
        sides.append(("beamwidth_deg", band.beamwidth_deg, face.diameter_mm))
    else:
        # The wide axis belongs to the short side.
        short, long = sorted(side or 0.0 for side in (face.length_mm, face.width_mm))
        sides += [
            ("beamwidth_deg", band.beamwidth_deg, short),
            ("narrow_beamwidth_deg", band.narrow_beamwidth_deg, long),
        ]
    form = transducer.beamwidth_circular if face.shape == "circular" else transducer.beamwidth_rectangular
    size = "diameter_mm" if face.shape == "circular" else "side_mm"
    for field, declared, width in sides:
        if declared is None:
            continue
        try:
            computed = form(
                frequency_khz=band.frequency_khz, level_db=band.beam_level_db, **{size: width or 0.0}
            )
        except ComputeError:
            computed = 0.0
        yield field, declared, float(computed)
