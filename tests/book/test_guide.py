"""The two parts of an owner's guide: what only one boat has, and what every guide of its shape says."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

import small_fleet
import small_guides
from leadsman.book.guide import Outline, Shape, _equipment, guide_values, outline_of
from leadsman.book.guide_numbers import BoatNumbers, Grid, NumberLine
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.fault import Sign


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("boat", "units", "told"),
    [
        ("punt", "metric", ("Round", "level, transom", "4 m of 16 AWG, fuse 2 A", "0.2 m")),
        # A foot is 0.3048 m: 4 m are 13.12 ft, 12 m 39.37 ft; 0.2 m are 0.656 ft, told no deeper than they are.
        ("punt", "us", ("Round", "level, transom", "13.1 ft of 16 AWG, fuse 2 A", "0.65 ft")),
        ("pintail", "metric", ("IH 200", "level, in-hull", "12 m of 1 mm², fuse 7.5 A", "0.2 m")),
        ("pintail", "us-fathoms", ("IH 200", "level, in-hull", "39.35 ft of 1 mm², fuse 7.5 A", "0.65 ft")),
        ("corrie", "metric", ("CH 185", "tilted 20°, through-hull", "6 m of 14 AWG, fuse 5 A", "0.2 m")),
    ],
)  # fmt: skip
def test_what_is_fitted_in_short_texts(boat: str, units: str, told: tuple[str, ...]) -> None:
    catalogue = small_fleet.content()
    found = _equipment(boat_subject(catalogue.boats[boat], catalogue), units, catalogue.phrases().guide)
    assert list(found) == ["transducer", "element", "lead", "face"]
    assert tuple(plain(text) for text in found.values()) == told


@pytest.mark.parametrize(
    ("lead_m", "face_m", "units", "told"),
    [
        (4.8, 0.48, "metric", ("4.8 m", "0.48 m")),
        (4.75, 0.3, "metric", ("4.75 m", "0.3 m")),
        # 16 ft 6 in and 14 in, at 0.3048 m a foot and 25.4 mm an inch; 14 in are 1.1667 ft, told no deeper than they are.
        (5.0292, 0.3556, "us", ("16.5 ft", "1.15 ft")),
        (5.0292, 0.3556, "metric", ("5.03 m", "0.35 m")),
        # 0.29 m are a little less in binary numbers, and are told as they are all the same.
        (10.0, 0.29, "metric", ("10 m", "0.29 m")),
    ],
)
def test_a_length_is_told_as_the_tape_read_it(
    lead_m: float, face_m: float, units: str, told: tuple[str, str]
) -> None:
    """A customer's own length is no limit: it comes back as it stands in the list, to a centimetre or half an inch."""
    catalogue = small_fleet.content()
    punt = catalogue.boats["punt"]
    supply = punt.supply.model_copy(update={"lead_length_m": lead_m})
    boat = punt.model_copy(update={"supply": supply, "face_immersion_m": face_m})
    found = _equipment(boat_subject(boat, catalogue), units, catalogue.phrases().guide)
    assert (plain(found["lead"]).partition(" of ")[0], plain(found["face"])) == told


def test_of_half_a_boat_nothing_is_told() -> None:
    catalogue = small_fleet.content()
    boat, transducer = catalogue.boats["punt"], catalogue.transducers["round"]
    words = catalogue.phrases().guide
    assert _equipment(Subject(boat=boat), "metric", words) == {}
    assert _equipment(Subject(transducer=transducer), "metric", words) == {}


def shape(
    subject: Subject, numbers: BoatNumbers | None = None, edition: GuideEdition = small_fleet.EDITION
) -> tuple[Shape, dict[str, str]]:
    found = guide_values("x", subject, edition, small_fleet.content(), "metric", numbers)
    return found.shape, dict(found.values)


def test_the_shape_of_a_boat_and_its_values() -> None:
    catalogue = small_fleet.content()
    subject = dataclasses.replace(
        boat_subject(catalogue.boats["marten"], catalogue), owner="  A.\n Person ", display_serial=" "
    )
    found, values = shape(subject)
    # A text that is blank has no place, and no text runs over a line.
    assert (values["owner"], values["boat"], "display-serial" in values) == ("A. Person", "Marten", False)
    assert found.personal == ("owner", "boat", "element", "lead", "face", "transducer")
    assert (found.edition, found.units, found.family, found.nominal_v, found.thin_lead) == (
        "guide",
        "metric",
        "tideway",
        12,
        False,
    )
    assert found.drawn == ("modified-v", "through-hull", "outboard")
    assert [(place.id, place.label) for place in found.numbers] == [("plug", "Volts at the power plug")]
    assert [(grid.id, grid.columns, grid.rows) for grid in found.grids] == [
        ("depths", 2, 2),
        ("bands", 2, 4),
        ("thermistor", 1, 2),
    ]
    assert plain(values["number-plug"]) == "12.20 V"
    assert (values["depths-head-2"], values["depths-1-0"]) == ("Tolmer Estuary", "50 kHz")
    assert "Person" not in repr(found)


def test_a_reader_without_a_boat_has_no_numbers() -> None:
    catalogue = small_fleet.content()
    found, values = shape(Subject(catalogue.families["holm"]))
    assert (found.family, found.numbers, found.grids, found.nominal_v, found.drawn, values) == (
        "holm",
        (),
        (),
        None,
        None,
        {},
    )
    nobody, _ = shape(Subject())
    assert (nobody.family, nobody.can) == (None, frozenset({"depth"}))


def test_numbers_that_are_given_are_not_computed_again() -> None:
    catalogue = small_fleet.content()
    given = BoatNumbers(
        (NumberLine("own", "Own", "7 V"),), (Grid("g", "G", "Head", ("a", "b"), (("r", "1", "2"),)),), True
    )
    found, values = shape(boat_subject(catalogue.boats["marten"], catalogue), given)
    assert [place.id for place in found.numbers] == ["own"]
    assert found.thin_lead
    slots = {name: text for name, text in values.items() if name.startswith(("number", "g-"))}
    assert slots == {
        "number-own": "7 V",
        "g-head-1": "a",
        "g-head-2": "b",
        "g-1-0": "r",
        "g-1-1": "1",
        "g-1-2": "2",
    }


def outline(catalogue: Catalogue, subject: Subject, **edition: Any) -> Outline:
    made = GuideEdition.model_validate({**small_guides.EDITION, **edition})
    return outline_of(guide_values("x", subject, made, catalogue, "metric").shape, made, catalogue)


def test_tables_give_way_to_the_boats_own_depths() -> None:
    catalogue = small_fleet.content()
    window = small_fleet.EDITION.window
    assert window is not None
    wanted: dict[str, Any] = {"tables": ["shallowest", "thermistor"], "window": window.model_dump()}
    boat = outline(catalogue, boat_subject(catalogue.boats["marten"], catalogue), **wanted)
    assert (list(boat.tables), boat.window_tables) == ([], ("shallowest", "deepest-summer", "deepest-winter"))
    # A display's own transducers stand in its tables, of those that the table holds; a table without any is left out.
    holm, tideway = (
        outline(catalogue, Subject(catalogue.families[name]), **wanted) for name in ("holm", "tideway")
    )
    assert (list(holm.tables), holm.window_tables) == (["shallowest"], ())
    bands = [item.record_id.split("/")[0] for item in holm.tables["shallowest"].rows]
    assert bands == ["td-70-190", "td-70-190", "ch-185"]
    assert [item.record_id for item in tideway.tables["thermistor"].columns] == ["th-50-200"]
    dealer = outline(catalogue, Subject(), **{**wanted, "tables": ["shallowest"]})
    assert len(dealer.tables["shallowest"].rows) > 3


def test_messages_and_menus_are_those_of_the_reader() -> None:
    catalogue = small_guides.for_owners()
    other = catalogue.families["plain"].model_copy(
        update={"id": "other", "name": "Other", "menus": {"update-software": ["Knob", "In"]}}
    )
    catalogue.records["families"]["other"] = other
    dealer = outline(catalogue, Subject())
    assert [(m.family, m.text, m.entry, m.title) for m in dealer.messages] == [
        ("Plain", "SEEKING", "no-depth", "No depth"), ("Plain", "SUPPLY LOW", "low-volts", "Low volts"),
    ]  # fmt: skip
    # The number is that of the whole list of tasks.
    assert [(m.number, m.name, dict(m.paths)) for m in dealer.menus] == [
        (3, "Update the software", {"Other": ("Knob", "In"), "Plain": ("LIST key", "Load")}),
    ]  # fmt: skip
    own = outline(catalogue, Subject(other))
    assert own.messages == ()
    assert [(m.number, m.paths) for m in own.menus] == [(3, (("Other", ("Knob", "In")),))]
    assert own.family is other


def test_conditions_are_found_by_two_of_their_signs_or_by_their_title() -> None:
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    signs = [Sign.model_validate({"by": "number", "words": words}) for words in ("One", "Two", "Three")]
    condition = entry.condition.model_copy(update={"signs": signs})
    catalogue.records["faults"]["no-depth"] = entry.model_copy(update={"condition": condition})
    found = {group.by: group.lines for group in outline(catalogue, Subject()).found_by}
    assert found == {
        "gone": (("One", "no-depth"), ("Two", "no-depth")),
        "other": (("Low volts", "low-volts"),),
    }
    low = catalogue.faults["low-volts"]
    catalogue.records["faults"]["low-volts"] = low.model_copy(
        update={"condition": low.condition.model_copy(update={"signs": signs[:1], "number": ["gone"]})}
    )
    assert [group.by for group in outline(catalogue, Subject()).found_by] == ["gone"]


def test_an_entry_that_came_to_nothing_is_not_led_to() -> None:
    """A procedure without a step for an owner is left out, and an answer that led there goes to the dealer."""
    catalogue = small_guides.for_owners()
    faults = catalogue.records["faults"]
    procedure = faults["low-volts"].model_copy(update={"kind": "procedure"})
    faults["low-volts"] = procedure
    entry = faults["no-depth"]
    checks = []
    for check in entry.checks:
        no = check.outcomes.get("no")
        if check.id == "volts" and no is not None:
            away = no.model_copy(update={"then": None, "to_entry": "low-volts"})
            check = check.model_copy(update={"outcomes": {**check.outcomes, "no": away}})
        checks.append(check)
    faults["no-depth"] = entry.model_copy(update={"checks": checks})

    def way(found: Outline) -> tuple[str, str]:
        (condition,) = (c for c in found.conditions if c.entry.id == "no-depth")
        (step,) = (s for s in condition.steps if s.id == "volts")
        return next((a.way.kind, a.way.id) for a in step.answers if a.label == "NO")

    assert way(outline(catalogue, Subject())) == ("condition", "low-volts")
    catalogue.records["checks"]["own-volts"] = catalogue.checks["own-volts"].model_copy(
        update={"owner_safe": True}
    )
    shared = procedure.checks[1].model_copy(update={"owner_safe": False})
    faults["low-volts"] = procedure.model_copy(update={"checks": [procedure.checks[0], shared]})
    without = outline(catalogue, Subject())
    assert [c.entry.id for c in without.conditions] == ["no-depth"]
    assert way(without) == ("dealer", "entry-low-volts")
