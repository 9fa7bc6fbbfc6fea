"""Physics of the equipment: what is written of a transducer must be possible."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from leadsman.compute.rounding import exceeds, falls_short
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem

if TYPE_CHECKING:
    from leadsman.content.model.equipment import Band

#: How far a declared beam may differ from that of its aperture: data are printed in whole degrees, and a
#: real element is shaded or clamped a little.
_TOLERANCE = 0.15
_WHOLE_DEGREE = 0.5
#: A size of a face that is not given: there is no such face.
_ABSENT_MM = 0.0


@rule(
    "aperture", "A beamwidth is one that an aperture of that size has at that frequency.", scope="equipment"
)
def aperture(context: Context) -> Iterator[Problem]:
    """The exact forms for a circular face and for each side of a rectangular one, in water of 1500 m/s."""
    for name, record in context.catalogue.transducers.items():
        for index, band in enumerate(record.bands):
            for field, declared, computed in _beams(band):
                if exceeds(abs(declared - computed), max(_TOLERANCE * computed, _WHOLE_DEGREE)):
                    yield context.catalogue.problem(
                        "transducers",
                        name,
                        ("bands", index, field),
                        f"{declared:g} degrees is no beam of this aperture at {band.frequency_khz:g} kHz",
                        f"it gives {computed:.1f} degrees; correct the beam, its level or the aperture",
                    )


@rule("insulation-limit", "A pin table with insulation has its limit among the values.", scope="equipment")
def insulation_limit(context: Context) -> Iterator[Problem]:
    """The limit stands once, for the steps and for every pin table."""
    from leadsman.content.model.equipment import INSULATION_VALUE

    if not context.catalogue.knows("values", INSULATION_VALUE):
        for name, record in context.catalogue.transducers.items():
            if record.insulated is not None:
                yield context.catalogue.problem(
                    "transducers", name, ("insulated",), f"the value '{INSULATION_VALUE}' is missing",
                    "declare how much insulation a dry line has, in values.yaml",
                )  # fmt: skip


def _beams(band: Band) -> Iterator[tuple[str, float, float]]:
    """Each declared beam with the one that the aperture gives; a beam wider than half a sphere is none."""
    # Not before a band is looked at: most checks look at none.
    from leadsman.compute.registry import ComputeError
    from leadsman.compute.transducer import range_and_time as transducer

    face = band.aperture
    sides: list[tuple[str, float | None, float | None]] = []
    if face.shape == "circular":
        sides.append(("beamwidth_deg", band.beamwidth_deg, face.diameter_mm))
    else:
        # The wide axis belongs to the short side.
        short, long = sorted(side or _ABSENT_MM for side in (face.length_mm, face.width_mm))
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
                frequency_khz=band.frequency_khz, level_db=band.beam_level_db, **{size: width or _ABSENT_MM}
            )
        except ComputeError:
            computed = 0.0
        yield field, declared, float(computed)


#: A square pulse of length T fills a band of 0.886/T between its half-power points; the figures are rounded.
_LEAST_TIME_BANDWIDTH = 0.8
#: How weak an element may be at the edge of its sweep, one way: beyond that it does not sound there.
_EDGE_DB = -20.0


@rule(
    "pulse",
    "A pulse fits its bandwidth, and the element rings up and sweeps as its quality factor allows.",
    scope="equipment",
)
def pulse(context: Context) -> Iterator[Problem]:
    """A plain pulse or a sweep is no narrower than its length allows, and the element can follow it."""
    for name, record in context.catalogue.transducers.items():
        for index, band in enumerate(record.bands):
            for field, what, hint in _pulse_faults(band):
                yield context.catalogue.problem("transducers", name, ("bands", index, field), what, hint)


def _pulse_faults(band: Band) -> Iterator[tuple[str, str, str]]:
    if band.pulse_short_ms > band.pulse_long_ms:
        yield "pulse_short_ms", "the shortest pulse is longer than the longest", "exchange them"
    least = _LEAST_TIME_BANDWIDTH / band.pulse_long_ms
    if band.bandwidth_khz < least:
        yield ("bandwidth_khz", f"a pulse of {band.pulse_long_ms:g} ms fills {least:.2g} kHz at least",
               "correct the bandwidth or the longest pulse")  # fmt: skip
    # The amplitude of a resonator rises with the time constant Q / (pi f).
    rise_ms = band.quality_factor / (math.pi * band.frequency_khz)
    if band.pulse_short_ms < rise_ms:
        yield ("pulse_short_ms", f"an element of quality factor {band.quality_factor:g} takes {rise_ms:.2g} ms to ring up "
               f"at {band.frequency_khz:g} kHz", "correct the shortest pulse or the quality factor")  # fmt: skip
    edge = band.frequency_khz - band.bandwidth_khz / 2
    if edge <= 0 or falls_short(_resonance_db(band, edge), _EDGE_DB):
        yield ("bandwidth_khz", f"an element of quality factor {band.quality_factor:g} does not sound {band.bandwidth_khz:g} kHz wide",
               "correct the bandwidth or the quality factor")  # fmt: skip


def _resonance_db(band: Band, frequency_khz: float) -> float:
    """Response of a simple resonator at a frequency, against that at its resonance."""
    ratio = frequency_khz / band.frequency_khz
    return -10 * math.log10(1 + (band.quality_factor * (ratio - 1 / ratio)) ** 2)


#: RMS watts for each square centimetre of a face. Fitted elements bear 5 to 70; peak-to-peak watts, eight
#: times the RMS ones, lie above (common practice, no published source).
_GREATEST_W_PER_CM2 = 100.0


@rule("watts", "The RMS watts of a band are no more than its face can bear.", scope="equipment")
def watts(context: Context) -> Iterator[Problem]:
    """Peak-to-peak watts declared as RMS shift every table."""
    for name, record in context.catalogue.transducers.items():
        for index, band in enumerate(record.bands):
            area = _area_cm2(band)
            if area and band.power_w / area > _GREATEST_W_PER_CM2:
                yield context.catalogue.problem("transducers", name, ("bands", index, "power_w"),
                                                f"{band.power_w:g} W on {area:.1f} cm2 of face are more than an element bears",
                                                "give RMS watts, an eighth of peak-to-peak ones, or correct the aperture")  # fmt: skip


def _area_cm2(band: Band) -> float:
    face = band.aperture
    if face.shape == "circular":
        return math.pi * ((face.diameter_mm or _ABSENT_MM) / 20) ** 2
    return (face.length_mm or _ABSENT_MM) * (face.width_mm or _ABSENT_MM) / 100


@rule(
    "tilt-datum",
    "A transducer that comes with a tilted element has a mark that tells its direction.",
    scope="equipment",
)
def tilt_datum(context: Context) -> Iterator[Problem]:
    """Without a mark, half of all tilted elements are fitted the wrong way round."""
    for name, record in context.catalogue.transducers.items():
        if record.mark.points_to == "none" and any(record.element_tilts_deg):
            yield context.catalogue.problem("transducers", name, ("mark", "points_to"),
                                            "a tilted element without a mark cannot be fitted the right way round",
                                            "say where the mark points: keel, bow, forward, up")  # fmt: skip


@rule(
    "depth-window",
    "A family's least depth is below its greatest and no less than its best transducer's dead zone.",
    scope="equipment",
)
def depth_window(context: Context) -> Iterator[Problem]:
    """Pulse, ring-down and recovery of the receiver hide what is nearer."""
    for name, family in context.catalogue.families.items():
        if family.least_depth_m >= family.greatest_depth_m:
            yield context.catalogue.problem("families", name, ("least_depth_m",),
                                            f"{family.least_depth_m:g} m is not less than the greatest depth, {family.greatest_depth_m:g} m",
                                            "correct one of them")  # fmt: skip
            continue
        fitted = [
            context.catalogue.transducers[t] for t in family.transducers if t in context.catalogue.transducers
        ]
        hidden = [_hidden_m(band) for record in fitted for band in record.bands if band.looks == "down"]
        if hidden and family.least_depth_m < min(hidden):
            yield context.catalogue.problem("families", name, ("least_depth_m",),
                                            f"every transducer that it accepts hides {min(hidden):.2f} m or more",
                                            "correct the least depth, or the pulses of the transducers")  # fmt: skip


def _hidden_m(band: Band) -> float:
    """The dead zone with the shortest pulse; a sweep rings longest at its lowest frequency."""
    from leadsman.compute.transducer.range_and_time import dead_zone

    return float(
        dead_zone(
            pulse_ms=band.pulse_short_ms,
            frequency_khz=max(band.frequency_khz - band.bandwidth_khz / 2, band.frequency_khz / 2),
            quality_factor=band.quality_factor,
            receiver_recovery_ms=band.receiver_recovery_ms,
        )
    )


@rule("family-transducers", "A family can show what the transducers on its list look at.", scope="equipment")
def family_transducers(context: Context) -> Iterator[Problem]:
    """A band that looks aside or ahead is of no use to a display without that picture."""
    for name, family in context.catalogue.families.items():
        for fitted in family.transducers:
            record = context.catalogue.transducers.get(fitted)
            looks = {band.looks for band in record.bands} - {"down"} if record is not None else set[str]()
            for missing in sorted(looks - set(family.capabilities)):
                yield context.catalogue.problem("families", name, ("transducers", fitted),
                                                f"'{fitted}' looks {missing}, which {name} cannot show",
                                                f"add the capability '{missing}' or take it off the list", key=True)  # fmt: skip
