"""What a record gives to a formula: each field under the argument's name, and what a boat makes of its equipment."""

from __future__ import annotations

from typing import Any

import pytest

import small_content
import small_fleet
from leadsman.book.inputs import (
    axis_records,
    band_inputs,
    boat_inputs,
    family_inputs,
    through,
    transducer_inputs,
    water_inputs,
)
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.errors import LeadsmanError


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return small_fleet.content()


def test_a_display_gives_its_window_and_its_power(catalogue: Catalogue) -> None:
    """Power is current times rated volts: 3.8 A at 12 V are 45.6 W."""
    found = family_inputs(catalogue.families["tideway"])
    assert found == {
        "current_a": 3.8, "unit_power_w": pytest.approx(45.6), "low_limit_v": 10.5, "supply_low_v": 10.5, "supply_high_v": 32.0,
        "high_limit_v": 32.0, "fuse_a": 7.5, "maker_fuse_a": 7.5, "least_depth_m": 0.5, "greatest_depth_m": 900.0,
    }  # fmt: skip


def test_a_band_gives_numbers_alone_and_its_short_pulse(catalogue: Catalogue) -> None:
    (band,) = catalogue.transducers["round"].bands
    found = band_inputs(band)
    assert (found["frequency_khz"], found["pulse_ms"], found["pulse_long_ms"], found["diameter_mm"]) == (
        200,
        0.1,
        0.8,
        40,
    )
    assert all(isinstance(value, int | float) or name == "level_db" for name, value in found.items())
    assert not {"id", "name", "shape", "beamwidth_across_deg"} & found.keys()
    narrow = band_inputs(band.model_copy(update={"narrow_beamwidth_deg": 6.0}))
    assert (narrow["beamwidth_across_deg"], narrow["beamwidth_along_deg"], narrow["beamwidth_deg"]) == (
        6.0,
        6.0,
        11.1,
    )


def test_a_transducer_gives_its_first_band_that_looks_down(catalogue: Catalogue) -> None:
    two = catalogue.transducers["td-70-190"]
    assert transducer_inputs(two)["frequency_khz"] == 70
    ahead = two.model_copy(
        update={"bands": [two.bands[0].model_copy(update={"looks": "forward"}), two.bands[1]]}
    )
    assert transducer_inputs(ahead)["frequency_khz"] == 190
    # One that looks nowhere down gives its first band all the same.
    assert transducer_inputs(catalogue.transducers["fl-675"])["frequency_khz"] == 675
    plain = transducer_inputs(two)
    assert (plain["laminate_mm"], plain["cable_length_m"], plain["cable_pf_per_m"]) == (0.0, 9.0, 105)
    assert not {"r25_ohm", "beta_k", "paddle_hz_per_kn"} & plain.keys()
    warm = transducer_inputs(catalogue.transducers["th-50-200"])
    assert (warm["r25_ohm"], warm["beta_k"]) == (5000, 3450)
    assert transducer_inputs(catalogue.transducers["ih-200"])["laminate_mm"] == 10.0
    assert transducer_inputs(two.model_copy(update={"paddle_hz_per_kn": 5.5}))["paddle_hz_per_kn"] == 5.5


def test_a_water_is_a_summers_unless_winter_is_asked_for(catalogue: Catalogue) -> None:
    lake = catalogue.waters["lake"]
    for season, degrees in ((None, 18.0), ("summer", 18.0), ("winter", 4.0)):
        assert water_inputs(lake, season) == {
            "temperature_c": degrees, "salinity_psu": 0.1, "ph": 7.5, "sediment": "mud", "wind_mps": 4.0,
        }  # fmt: skip


def boat(catalogue: Catalogue, name: str, supply: dict[str, Any] | None = None, **changes: Any) -> Boat:
    found = catalogue.boats[name]
    own = found.supply.model_copy(update=supply or {})
    return found.model_copy(update={"supply": own, **changes})


def test_a_boat_gives_its_lead_and_what_its_display_draws_on_its_volts(catalogue: Catalogue) -> None:
    """The unit holds its power: 45.6 W are 3.8 A on 12 V and 1.9 A on 24 V."""
    found = boat_inputs(boat(catalogue, "marten"), catalogue)
    assert found["current_a"] == pytest.approx(3.8)
    assert (found["length_m"], found["conductor"], found["contact_ohm"], found["nominal_v"]) == (
        5.0,
        "12 AWG",
        0.03,
        12.0,
    )
    assert (found["deadrise_deg"], found["running_trim_deg"], found["trim_deg"]) == (12.0, 3.0, 3.0)
    assert (found["element_tilt_deg"], found["face_immersion_m"], found["speed_kn"]) == (12.0, 0.2, 12.0)
    assert found["frequency_khz"] == 50
    twice = boat_inputs(boat(catalogue, "marten", {"nominal_v": 24}), catalogue)
    assert twice["current_a"] == pytest.approx(1.9)
    assert twice["unit_power_w"] == pytest.approx(45.6)


def test_a_laminate_counts_only_where_the_transducer_sounds_through_it(catalogue: Catalogue) -> None:
    assert boat_inputs(boat(catalogue, "pintail"), catalogue)["laminate_mm"] == 12.0
    assert boat_inputs(boat(catalogue, "pintail", laminate_mm=None), catalogue)["laminate_mm"] == 0.0
    # Through the hull, the hull is not in the way.
    assert boat_inputs(boat(catalogue, "marten"), catalogue)["laminate_mm"] == 0.0


def test_a_levelled_face_stands_straight_whatever_the_shaft(catalogue: Catalogue) -> None:
    """A block or a tank is cut for the slope of the hull both ways: its tilt is the deadrise, its shaft upright."""
    shaft = {"shaft_angle_deg": 6.0, "element_tilt_deg": 20.0}
    found = boat_inputs(boat(catalogue, "pintail", **shaft), catalogue)
    assert (found["element_tilt_deg"], found["shaft_angle_deg"]) == (8.0, 0.0)
    rough = boat_inputs(boat(catalogue, "pintail", face_levelled=False, **shaft), catalogue)
    assert (rough["element_tilt_deg"], rough["shaft_angle_deg"]) == (20.0, 6.0)


def test_a_boat_whose_equipment_is_not_known_gives_its_hull_alone(catalogue: Catalogue) -> None:
    """What its record misses is told by the rules of the content, not here."""
    found = boat_inputs(boat(catalogue, "marten", display="none", transducer="none"), catalogue)
    assert not {"current_a", "frequency_khz"} & found.keys()
    assert (found["laminate_mm"], found["length_m"]) == (0.0, 5.0)


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("laminate", "units", "told"),
    [(None, "metric", ""), (0.0, "metric", ""), (9.2, "metric", "10 mm"), (10.0, "metric", "10 mm"), (10.0, "us", "0.4 in"), (11.0, "us", "0.5 in")],
)  # fmt: skip
def test_a_hull_is_told_to_its_thick_side(laminate: float | None, units: str, told: str) -> None:
    """10 mm are 0.394 in, 11 mm 0.433 in (25.4 mm each): never thinner than it is."""
    words = small_content.edited().phrases().links
    found = plain(through(laminate, units, words))
    assert found.endswith(told)
    assert bool(found) == bool(told)
    assert not told or found.startswith(" ")


def axis(catalogue: Catalogue, each: str, *only: str, **more: Any) -> list[tuple[str, str]]:
    return [
        (plain(item.label), item.record_id)
        for item in axis_records(each, list(only), more.pop("season", None), catalogue, **more)
    ]


def test_an_axis_runs_over_the_chosen_records(catalogue: Catalogue) -> None:
    assert axis(catalogue, "transducer", "ih-200", "round") == [("IH 200", "ih-200"), ("Round", "round")]
    assert axis(catalogue, "family", "holm") == [("Holm", "holm")]
    assert axis(catalogue, "boat", "punt", "sedge") == [("Punt", "punt"), ("Sedge", "sedge")]
    assert axis(catalogue, "band", "td-70-190") == [
        ("TD 70/190, 70 kHz", "td-70-190/td-70"),
        ("TD 70/190, 190 kHz", "td-70-190/td-190"),
    ]
    # A band that looks ahead has no depth.
    assert axis(catalogue, "band", "fl-675") == []
    assert axis(catalogue, "element", "th-50-200") == [
        ("0°", "th-50-200"),
        ("12°", "th-50-200"),
        ("20°", "th-50-200"),
    ]
    tilts = [
        item.inputs["element_tilt_deg"] for item in axis_records("element", ["th-50-200"], None, catalogue)
    ]
    assert tilts == [0.0, 12.0, 20.0]
    waters = list(axis_records("water", ["lake"], "winter", catalogue))
    assert [(item.label, item.inputs["temperature_c"]) for item in waters] == [("Lake", 4.0)]
    assert len(axis(catalogue, "family")) == len(catalogue.families)


def test_the_hull_is_named_only_where_it_counts(catalogue: Catalogue) -> None:
    assert axis(catalogue, "band", "ih-200") == [("IH 200, 200 kHz", "ih-200/ih-200")]
    ((told, _),) = axis(catalogue, "band", "ih-200", names_hull=True)
    assert told.endswith("10 mm")
    ((us, _),) = axis(catalogue, "band", "ih-200", names_hull=True, units="us")
    assert us.endswith("0.4 in")


def test_records_that_are_not_there_are_named(catalogue: Catalogue) -> None:
    with pytest.raises(LeadsmanError, match="'only' names skif, but there are only "):
        axis(catalogue, "boat", "punt", "skif")
