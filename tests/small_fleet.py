"""Equipment beside that of the small content, for lists of many boats and for the numbers of a boat.

Three displays, five transducers, four boats and three waters, each as a record of the small content with other values.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import small_content
import small_guides
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.base import Record
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.equipment import Thermistor
from leadsman.content.model.table import Table

_FAMILIES: dict[str, dict[str, Any]] = {
    "skerry": {"name": "Skerry", "current_a": 1.1,
               "transducers": {"td-70-190": "1.0", "th-50-200": "1.4", "ih-200": "1.0"}},
    "tideway": {"name": "Tideway", "supply_low_v": 10.5, "supply_high_v": 32.0, "current_a": 3.8, "fuse_a": 7.5,
                "greatest_depth_m": 900.0,
                "transducers": {"td-70-190": "2.0", "th-50-200": "2.0", "ih-200": "2.0", "ch-185": "2.6"}},
    "holm": {"name": "Holm", "supply_low_v": 10.8, "supply_high_v": 18.0, "current_a": 2.6, "fuse_a": 5.0,
             "transducers": {"td-70-190": "3.0", "ch-185": "3.2", "fl-675": "3.4"}},
}  # fmt: skip
_TILTS = [0.0, 12.0, 20.0]
_TRANSDUCERS: dict[str, dict[str, Any]] = {
    "td-70-190": {"name": "TD 70/190", "bands": {"td-70": {"name": "70 kHz", "frequency_khz": 70.0}, "td-190": {"name": "190 kHz", "frequency_khz": 190.0}}},
    "th-50-200": {"name": "TH 50/200", "housing": "through-hull", "element_tilts_deg": _TILTS, "thermistor": Thermistor(r25_ohm=5000, beta_k=3450),
                  "bands": {"th-50": {"name": "50 kHz", "frequency_khz": 50.0, "beamwidth_deg": 23.4}, "th-200": {"beamwidth_deg": 12.3}}},
    "ih-200": {"name": "IH 200", "housing": "in-hull", "laminate_mm": 10.0, "bands": {"ih-200": {"power_w": 600.0, "beamwidth_deg": 10.1}}},
    "fl-675": {"name": "FL 675", "housing": "trolling-motor", "bands": {"fl-675": {"name": "675 kHz ahead", "frequency_khz": 675.0, "looks": "forward"}}},
    "ch-185": {"name": "CH 185", "housing": "through-hull", "element_tilts_deg": _TILTS,
               "bands": {"ch-185": {"name": "145 to 225 kHz", "frequency_khz": 185.0, "bandwidth_khz": 80.0, "quality_factor": 3.5}}},
}  # fmt: skip
_WATERS: dict[str, dict[str, Any]] = {
    "harrow-bank": {"name": "Harrow Bank", "kind": "sea", "salinity_psu": 35.0, "ph": 8.1, "sediment": "sand"},
    "tolmer-estuary": {"name": "Tolmer Estuary", "kind": "brackish", "salinity_psu": 15.0, "sediment": "sand", "deep_m": 20.0},
    "lake-vessany": {"name": "Lake Vessany"},
}  # fmt: skip
_GRP = {"material": "solid-grp", "laminate_mm": 12.0}
_BOATS: dict[str, dict[str, Any]] = {
    "sedge": {"name": "Sedge", "display": "skerry", "transducer": "td-70-190", "waters": ["tolmer-estuary", "lake-vessany"],
              "supply": {"contact_ohm": 0.09}},
    "marten": {**_GRP, "name": "Marten", "hull": "modified-v", "deadrise_deg": 12.0, "display": "tideway", "transducer": "th-50-200",
               "element_tilt_deg": 12.0, "waters": ["harrow-bank", "tolmer-estuary"],
               "supply": {"battery": "agm", "lead_length_m": 5.0, "conductor": "12 AWG", "contact_ohm": 0.03, "fuse_a": 7.5}},
    "corrie": {**_GRP, "name": "Corrie", "hull": "deep-v", "deadrise_deg": 21.0, "display": "holm", "transducer": "ch-185",
               "element_tilt_deg": 20.0, "waters": ["tolmer-estuary", "harrow-bank"],
               "supply": {"battery": "agm", "lead_length_m": 6.0, "conductor": "14 AWG", "contact_ohm": 0.04, "fuse_a": 5.0}},
    "pintail": {**_GRP, "name": "Pintail", "hull": "sailing", "deadrise_deg": 8.0, "running_trim_deg": 0.0, "drive": "sail", "fuel": "diesel",
                "display": "tideway", "transducer": "ih-200", "face_levelled": True, "waters": ["harrow-bank", "tolmer-estuary"],
                "supply": {"battery": "agm", "lead_length_m": 12.0, "conductor": "1 mm2", "contact_ohm": 0.04, "fuse_a": 7.5}},
}  # fmt: skip


#: Depths on a bad day, both seasons; where each band serves; the thermistor by the water.
_TABLES: dict[str, dict[str, Any]] = {
    "shallowest": {"formula": "echo.shallowest_depth", "given": {"temperature": "10 C", "salinity": "35 PSU"},
                   "rows": {"each": "band", "head": "Band"}, "columns": {"each": "family", "head": "Display"},
                   "cells": [{"output": "pessimistic", "show": {"unit": "m", "step": 0.1, "round": "up"}, "show_us": {"unit": "ft", "step": 0.5, "round": "up"}}]},
    **{f"deepest-{season}": {
        "formula": "echo.deepest_depth", "given": {"greatest_depth": "900 m"},
        "rows": {"each": "band", "head": "Band"}, "columns": {"each": "water", "season": season, "head": "Water"}, "no_answer": "none",
        "cells": [{"output": "pessimistic", "show": {"unit": "m", "step": 5, "round": "down"}, "show_us": {"unit": "ft", "step": 10, "round": "down"},
                   "show_fathoms": {"unit": "fathom", "step": 1, "round": "down"}}],
    } for season in ("summer", "winter")},
    "suitability": {"formula": "echo.suitability", "given": {"temperature": "17 C", "salinity": "35 PSU", "greatest_depth": "900 m", "least_depth": "0.4 m", "sediment": "sand"},
                    "rows": {"each": "band", "head": "Band"}, "columns": {"input": "depth", "values": ["2 m", "30 m"], "us_values": ["6 ft", "100 ft"], "head": "Depth"},
                    "cells": [{"output": "word"}]},
    "thermistor": {"formula": "sensors.thermistor_resistance", "columns": {"each": "transducer", "only": ["th-50-200"], "head": "Transducer"},
                   "rows": {"input": "temperature", "values": ["0 C", "10 C"], "us_values": ["32 F", "50 F"], "head": "Water"},
                   "cells": [{"output": "resistance", "show": {"unit": "kohm", "step": 0.1, "round": "nearest"}}]},
}  # fmt: skip
BANDS = {"formula": "supply.plug_bands", "given": {"block": "12.5 V", "temperature": "20 C", "warm": "40 C", "joint_allowance": "0.4 V", "low_limit_margin": "0.5 V", "working_drop": "10 %"}}  # fmt: skip


def _number(label: str, lead: str, output: str) -> dict[str, Any]:
    show = {"unit": "V", "step": 0.05, "round": "nearest"}
    computed = {**BANDS, "output": output}
    return {"label": label, "lead": lead, "value": {"meaning": label, "computed": computed, "show": show}}


#: A guide with a page of the boat's own numbers.
EDITION = GuideEdition.model_validate({
    **small_guides.EDITION,
    "lead": {**BANDS, "output": "lead"},
    "window": {"shallow": "shallowest", "deep": ["deepest-summer", "deepest-winter"], "suitability": "suitability", "thermistor": "thermistor"},
    "numbers": {
        "plug": _number("Volts at the power plug", "serves", "expected"),
        "thin-plug": _number("Volts at the power plug, even when all is sound", "too thin", "expected"),
        "thin-wanted": _number("Volts that this unit wants there", "too thin", "convicted_below"),
        "bracket": {**_number("At a bracket", "serves", "expected"), "housings": ["transom"]},
    },
})  # fmt: skip


def _like(record: Record, own_id: str, **changes: Any) -> Any:
    """A record with other values, each read as a file's would be."""
    return type(record).model_validate({**record.model_dump(), "id": own_id, **changes})


@cache
def content() -> Catalogue:
    """The small content with the equipment beside its own."""
    catalogue = small_content.edited()
    records = catalogue.records
    plain, one = records["families"]["plain"], records["transducers"]["round"]
    lake, punt = records["waters"]["lake"], records["boats"]["punt"]
    records["families"] |= {name: _like(plain, name, **changes) for name, changes in _FAMILIES.items()}
    for name, changes in _TRANSDUCERS.items():
        bands = [{**one.bands[0].model_dump(), "id": band, **own} for band, own in changes["bands"].items()]
        pins = [{**one.pins[0].model_dump(), "band": bands[0]["id"]}]
        records["transducers"][name] = _like(one, name, **{**changes, "bands": bands, "pins": pins})
    records["waters"] |= {name: _like(lake, name, **changes) for name, changes in _WATERS.items()}
    for name, changes in _BOATS.items():
        supply = {**punt.supply.model_dump(), **changes["supply"]}
        records["boats"][name] = _like(punt, name, **{**changes, "supply": supply})
    words = {"question": "Which?", "convention": "As computed."}
    for name, table in _TABLES.items():
        records["tables"][name] = Table.model_validate({"id": name, "title": name, **words, **table})
    return catalogue
