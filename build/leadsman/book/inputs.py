"""What a record gives to a formula: its fields, by the names of the formula's arguments."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Band, Boat, Family, Transducer, Water
from leadsman.content.model.phrases import LinkWords, filled
from leadsman.errors import LeadsmanError
from leadsman.units import present

Inputs = dict[str, Any]


@dataclass(frozen=True)
class AxisItem:
    """One row or column of a table: what is printed for it, and the arguments that it gives."""

    label: str
    inputs: Mapping[str, Any]
    record_id: str = ""


def family_inputs(family: Family) -> Inputs:
    """A display family: its supply window, current, and the depths that it can show."""
    return {
        "current_a": family.current_a,
        "unit_power_w": family.current_a * family.rated_v,
        "low_limit_v": family.supply_low_v,
        "supply_low_v": family.supply_low_v,
        "supply_high_v": family.supply_high_v,
        "high_limit_v": family.supply_high_v,
        "fuse_a": family.fuse_a,
        "maker_fuse_a": family.fuse_a,
        "least_depth_m": family.least_depth_m,
        "greatest_depth_m": family.greatest_depth_m,
    }


def band_inputs(band: Band) -> Inputs:
    """One frequency band of a transducer."""
    numbers = {
        name: value
        for name, value in band.model_dump(exclude={"aperture"}).items()
        if isinstance(value, int | float)
    }
    aperture = band.aperture.model_dump(exclude_none=True, exclude={"shape"})
    if band.narrow_beamwidth_deg is not None:
        numbers |= {
            # The formulas call the wide axis the beamwidth, and the other one "across".
            "beamwidth_across_deg": band.narrow_beamwidth_deg,
            "beamwidth_along_deg": band.narrow_beamwidth_deg,
        }
    return {**numbers, **aperture, "pulse_ms": band.pulse_short_ms, "level_db": band.beam_level_db}


def transducer_inputs(transducer: Transducer) -> Inputs:
    """A transducer: its cable and temperature sensor, and its first band that looks down."""
    down = next((band for band in transducer.bands if band.looks == "down"), transducer.bands[0])
    inputs: Inputs = {
        **band_inputs(down),
        "laminate_mm": transducer.laminate_mm or 0.0,
        "cable_length_m": transducer.cable_length_m,
        "cable_pf_per_m": transducer.cable_pf_per_m,
    }
    if transducer.thermistor is not None:
        inputs |= {"r25_ohm": transducer.thermistor.r25_ohm, "beta_k": transducer.thermistor.beta_k}
    if transducer.paddle_hz_per_kn is not None:
        inputs["paddle_hz_per_kn"] = transducer.paddle_hz_per_kn
    return inputs


def water_inputs(water: Water, season: str | None = None) -> Inputs:
    """A water in a season (summer by default)."""
    return {
        "temperature_c": water.winter_c if season == "winter" else water.summer_c,
        "salinity_psu": water.salinity_psu,
        "ph": water.ph,
        "sediment": water.sediment,
        "wind_mps": water.wind_mps,
    }


def boat_inputs(boat: Boat, catalogue: Catalogue) -> Inputs:
    """A boat with its display and transducer: hull, lead, and everything that these give."""
    inputs: Inputs = {}
    if (transducer := catalogue.transducers.get(boat.transducer)) is not None:
        inputs |= transducer_inputs(transducer)
    if (family := catalogue.families.get(boat.display)) is not None:
        inputs |= family_inputs(family)
        # The unit holds its power: on twice the volts it draws half the amperes.
        inputs["current_a"] = family.current_a * family.rated_v / boat.supply.nominal_v
    in_hull = transducer is not None and transducer.housing == "in-hull"
    # A block, tank or bed is made for the slope of the hull, both ways.
    cut = boat.face_levelled
    return inputs | {
        "laminate_mm": boat.laminate_mm or 0.0 if in_hull else 0.0,
        "deadrise_deg": boat.deadrise_deg,
        "running_trim_deg": boat.running_trim_deg,
        "trim_deg": boat.running_trim_deg,
        "shaft_angle_deg": 0.0 if cut else boat.shaft_angle_deg,
        "element_tilt_deg": boat.deadrise_deg if cut else boat.element_tilt_deg,
        "face_immersion_m": boat.face_immersion_m,
        "length_m": boat.supply.lead_length_m,
        "conductor": boat.supply.conductor,
        "contact_ohm": boat.supply.contact_ohm,
        "nominal_v": float(boat.supply.nominal_v),
        "speed_kn": boat.cruise_kn,
    }


def through(laminate_mm: float | None, units: str, words: LinkWords) -> str:
    """The laminate that the depths of an in-hull transducer count with, for the head of its row."""
    if not laminate_mm:
        return ""
    # To the thick side: a thicker hull takes more.
    if units == "metric":
        size = present(laminate_mm, "mm", "up", step=1)
    else:
        size = present(laminate_mm, "mm", "up", to="in", step="0.1")
    return f" {filled(words.through, size=size)}"


def axis_records(
    each: str,
    only: list[str],
    season: str | None,
    catalogue: Catalogue,
    units: str = "metric",
    *,
    names_hull: bool = False,
) -> Iterator[AxisItem]:
    """One item for each record that a table's axis runs over; ``names_hull`` where the hull counts."""
    if each in ("band", "element"):
        for transducer in _chosen(catalogue.transducers, only):
            base = transducer_inputs(transducer)
            if each == "element":
                for tilt in transducer.element_tilts_deg:
                    yield AxisItem(f"{tilt:g}°", {**base, "element_tilt_deg": tilt}, transducer.id)
                continue
            for band in transducer.bands:
                if band.looks == "down":
                    hull = (
                        through(transducer.laminate_mm, units, catalogue.phrases().links)
                        if names_hull
                        else ""
                    )
                    label = f"{transducer.name}, {band.name}{hull}"
                    yield AxisItem(label, {**base, **band_inputs(band)}, f"{transducer.id}/{band.id}")
        return
    if each == "transducer":
        for transducer in _chosen(catalogue.transducers, only):
            yield AxisItem(str(transducer.name), transducer_inputs(transducer), transducer.id)
    elif each == "water":
        for water in _chosen(catalogue.waters, only):
            yield AxisItem(str(water.name), water_inputs(water, season), water.id)
    elif each == "family":
        for family in _chosen(catalogue.families, only):
            yield AxisItem(str(family.name), family_inputs(family), family.id)
    else:
        for boat in _chosen(catalogue.boats, only):
            yield AxisItem(str(boat.name), boat_inputs(boat, catalogue), boat.id)


def _chosen(records: Mapping[str, Any], only: list[str]) -> list[Any]:
    unknown = [name for name in only if name not in records]
    if unknown:
        raise LeadsmanError(f"'only' names {', '.join(unknown)}, but there are only {', '.join(records)}")
    return [records[name] for name in only] if only else list(records.values())
