"""The numbers of rules at their limits: what just keeps each, and what just breaks it.

Formulas are written down again from their sources, which each test names; limits without a published source are the
common practice that the rules name.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

import small_content
from leadsman.compute.supply.battery import WINDOW_V
from leadsman.content.model.equipment import Band, Boat, Family, Transducer
from leadsman.content.rules import RULES, boats, check, equipment, language, limits

SMALL = small_content.edited()
check(SMALL)  # the rules register themselves when they first run
ROUND, PLAIN, PUNT = SMALL.transducers["round"], SMALL.families["plain"], SMALL.boats["punt"]
(BAND,) = ROUND.bands


def band(**changes: Any) -> Band:
    return BAND.model_copy(update=changes)


def disc(diameter_mm: float) -> Any:
    return BAND.aperture.model_copy(update={"diameter_mm": diameter_mm})


def oblong(length_mm: float | None, width_mm: float | None) -> Any:
    return BAND.aperture.model_copy(
        update={"shape": "rectangular", "diameter_mm": None, "length_mm": length_mm, "width_mm": width_mm}
    )


def told(rule: str, **catalogue: Any) -> list[tuple[str, Any, str]]:
    """What a rule finds in a catalogue of a few records: record, place, words."""

    def problem(kind: str, name: str, place: Any, what: str, hint: str, **more: Any) -> tuple[str, Any, str]:
        return name, place, what

    records = catalogue.pop("records", {})
    made = SimpleNamespace(problem=problem, records={"assumptions": records}, **catalogue)
    return list(RULES[rule].find(SimpleNamespace(catalogue=made, mentions=lambda: ())))  # type: ignore[arg-type]


def bands(rule: str, *found: Band) -> list[tuple[Any, str]]:
    record = ROUND.model_copy(update={"bands": list(found)})
    return [(place, what) for _, place, what in told(rule, transducers={"round": record})]


# --- transducers ---------------------------------------------------------------------------------


def test_a_beam_differs_from_its_aperture_by_fifteen_in_a_hundred() -> None:
    """A disc is 2 asin(0.5145 wavelength / D) wide between half-power points (Urick 1983, chapter 3): 11.1 degrees here."""
    computed = 2 * math.degrees(math.asin(0.5145 * 1500 / 200e3 / 0.040))
    for share, kept in ((0.852, True), (0.848, False), (1.148, True), (1.152, False)):
        found = bands("aperture", band(beamwidth_deg=share * computed))
        assert (found == []) == kept
    assert bands("aperture", band(), band(beamwidth_deg=20.0)) == [
        (("bands", 1, "beamwidth_deg"), "20 degrees is no beam of this aperture at 200 kHz")
    ]


def test_a_narrow_beam_may_be_off_by_its_rounding() -> None:
    """Half of a printed degree: of a disc of 200 mm, 2.21 degrees wide, 15 in a hundred would be a third of one."""
    face = disc(200.0)
    computed = 2 * math.degrees(math.asin(0.5145 * 1500 / 200e3 / 0.200))
    for off, kept in ((0.49, True), (-0.49, True), (0.51, False), (-0.51, False)):
        assert (bands("aperture", band(aperture=face, beamwidth_deg=computed + off)) == []) == kept


def test_the_wide_beam_is_that_of_the_short_side() -> None:
    """A line is 2 asin(0.443 wavelength / L) wide (Urick 1983, chapter 3): 19.1 degrees for 20 mm and 9.5 for 40."""
    for face in (oblong(40.0, 20.0), oblong(20.0, 40.0)):
        right = {"aperture": face, "beamwidth_deg": 19.1, "narrow_beamwidth_deg": 9.5}
        assert bands("aperture", band(**right)) == []
        assert bands("aperture", band(**right | {"narrow_beamwidth_deg": None})) == []
        assert [place for place, _ in bands("aperture", band(**right | {"narrow_beamwidth_deg": 19.1}))] == [
            ("bands", 0, "narrow_beamwidth_deg")
        ]
        assert [place for place, _ in bands("aperture", band(**right | {"beamwidth_deg": 9.5}))] == [
            ("bands", 0, "beamwidth_deg")
        ]
    # A face without a size, or smaller than the sound lets it be, has no beam at all.
    assert len(bands("aperture", band(aperture=oblong(None, None), beamwidth_deg=19.1))) == 1
    assert bands("aperture", band(aperture=disc(1.0), beamwidth_deg=11.1)) != []


def pulse(**changes: Any) -> list[str]:
    return [place[2] for place, _ in bands("pulse", band(**changes))]


def test_a_pulse_is_as_wide_as_its_length_allows() -> None:
    """A square pulse of length T fills 0.886 / T (Urick 1983, chapter 2); figures are printed rounded: 0.8."""
    assert pulse() == []
    assert pulse(pulse_short_ms=0.8) == []
    assert pulse(pulse_short_ms=0.81) == ["pulse_short_ms"]
    for bandwidth, kept in ((1.001, True), (0.999, False)):
        assert (pulse(bandwidth_khz=bandwidth) == []) == kept
    assert pulse(bandwidth_khz=1.0) == []


def test_an_element_rings_up_in_its_time() -> None:
    """The amplitude of a resonator rises with the time constant Q / (pi f): 0.1 ms for 62.83 at 200 kHz."""
    quality = 0.1 * math.pi * 200
    assert pulse(quality_factor=quality - 0.01) == []
    assert pulse(quality_factor=quality, pulse_short_ms=quality / (math.pi * 200)) == []
    assert pulse(quality_factor=quality + 0.01) == ["pulse_short_ms"]


def test_an_element_sounds_as_wide_as_its_quality_lets_it() -> None:
    """A simple resonator is 1 + Q2 (f/f0 - f0/f)2 weaker: at a hundredth of the power, 20 dB, its sweep ends."""
    # Where Q (f0/f - f/f0) is the root of 99.
    apart = math.sqrt(99) / 24
    edge = 200 * (math.sqrt(1 + (apart / 2) ** 2) - apart / 2)
    for beyond, kept in ((-0.1, True), (0.1, False)):
        assert (pulse(bandwidth_khz=2 * (200 - edge) + beyond) == []) == kept
    assert pulse(bandwidth_khz=400.0, quality_factor=0.001) == ["bandwidth_khz"]
    assert pulse(bandwidth_khz=399.0, quality_factor=0.001) == []
    assert equipment._resonance_db(BAND, edge) == pytest.approx(-20, abs=1e-9)
    assert equipment._resonance_db(BAND, 200) == 0
    # As far above in its ratio as below.
    assert equipment._resonance_db(BAND, 250) == pytest.approx(equipment._resonance_db(BAND, 160))


@pytest.mark.parametrize(
    ("face", "area"),
    [
        (disc(40.0), 12.566),
        (disc(30.0), 7.069),
        (band().aperture.model_copy(update={"diameter_mm": None}), 0.0),
        (oblong(40.0, 25.0), 10.0),
        (oblong(None, 25.0), 0.0),
        (oblong(40.0, None), 0.0),
    ],
)
def test_a_face_bears_a_hundred_watts_a_square_centimetre(face: Any, area: float) -> None:
    """A disc of 40 mm has 12.57 cm2 (pi r2)."""
    assert equipment._area_cm2(band(aperture=face)) == pytest.approx(area, abs=1e-3)
    for watts, kept in ((99.9, True), (100.1, False)):
        found = bands("watts", band(aperture=face, power_w=max(area * watts, 1.0)))
        assert (found == []) == (kept or not area)


def test_a_tilted_element_has_a_mark() -> None:
    no_mark = ROUND.mark.model_copy(update={"points_to": "none"})

    def of(**changes: Any) -> bool:
        return told("tilt-datum", transducers={"round": ROUND.model_copy(update=changes)}) == []

    assert of(mark=no_mark, element_tilts_deg=[0.0])
    assert of(element_tilts_deg=[0.0, 12.0])
    assert not of(mark=no_mark, element_tilts_deg=[0.0, 12.0])


def test_the_least_depth_is_beyond_what_the_pulse_hides() -> None:
    """Half of what sound at 1500 m/s goes while the pulse, the ring-down and the receiver last."""

    def family(least: float, greatest: float = 200.0, **fitted: Any) -> list[str]:
        record = ROUND.model_copy(update=fitted)
        plain = PLAIN.model_copy(update={"least_depth_m": least, "greatest_depth_m": greatest})
        return [
            what
            for *_, what in told("depth-window", families={"plain": plain}, transducers={"round": record})
        ]

    hidden = equipment._hidden_m(BAND)
    assert 0.4 < hidden < 0.5
    assert family(hidden + 0.001) == family(hidden) == []
    assert family(hidden - 0.001) == [f"every transducer that it accepts hides {hidden:.2f} m or more"]
    assert family(2.0, 2.0) == ["2 m is not less than the greatest depth, 2 m"]
    assert family(2.0, 2.1) == []
    assert family(0.01, bands=[band(looks="side")]) == []  # it measures no depth
    worse = band(pulse_short_ms=0.5)
    assert family(hidden + 0.001, bands=[worse, BAND]) == []  # the best of them counts


def test_a_sweep_rings_longest_at_its_lowest_frequency() -> None:
    """Never below half of the middle one."""
    assert equipment._hidden_m(band(bandwidth_khz=100.0)) == pytest.approx(
        equipment._hidden_m(band(frequency_khz=150.0, bandwidth_khz=0.0))
    )
    assert equipment._hidden_m(band(bandwidth_khz=300.0)) == pytest.approx(
        equipment._hidden_m(band(frequency_khz=100.0, bandwidth_khz=0.0))
    )


# --- boats ---------------------------------------------------------------------------------------


def boat(**changes: Any) -> Boat:
    supply = changes.pop("supply", {})
    return PUNT.model_copy(update={**changes, "supply": PUNT.supply.model_copy(update=supply)})


def faults(made: Boat, family: Family | None = PLAIN, fitted: Transducer | None = ROUND) -> list[str]:
    return [fault.field for fault in boats.boat_faults(made, family, fitted)]


@pytest.mark.parametrize(
    ("hull", "least", "greatest"),
    [
        ("flat", 0, 6),
        ("modified-v", 6, 19),
        ("deep-v", 18, 30),
        ("displacement", 0, 30),
        ("pontoon", 0, 8),
        ("sailing", 0, 30),
    ],
)
def test_a_hull_has_the_deadrise_of_its_kind(hull: str, least: float, greatest: float) -> None:
    """Common practice, no published source."""
    for degrees, kept in ((least, True), (greatest, True), (least - 0.1, False), (greatest + 0.1, False)):
        assert faults(boat(hull=hull, deadrise_deg=degrees)) == ([] if kept else ["deadrise_deg"])


def test_a_transducer_is_listed_made_and_heard_through_its_hull() -> None:
    inside = ROUND.model_copy(update={"housing": "in-hull"})
    assert faults(boat()) == []
    assert faults(boat(transducer="square")) == ["transducer"]
    assert faults(boat(transducer="square"), None) == faults(boat(transducer="square"), PLAIN, None) == []
    assert faults(boat(element_tilt_deg=12.0)) == ["element_tilt_deg"]
    for material, kept in (
        ("solid-grp", True),
        ("polyethylene", True),
        ("aluminium", False),
        ("wood", False),
    ):
        assert faults(boat(material=material, laminate_mm=8.0), fitted=inside) == (
            [] if kept else ["transducer"]
        )
    assert faults(boat(material="solid-grp", laminate_mm=None), fitted=inside) == ["transducer"]
    assert faults(boat(material="aluminium")) == []


def test_a_battery_stays_in_the_window_of_its_display() -> None:
    """On charge a flooded battery of 12 V reaches 14.8 V (the program's own window); the display's limits are its maker's."""
    charging = WINDOW_V["flooded 12 V"][1]

    def of(low: float = 10.0, high: float = 17.0) -> list[str]:
        return faults(boat(), PLAIN.model_copy(update={"supply_low_v": low, "supply_high_v": high}))

    assert of(high=charging) == []
    assert of(high=charging - 0.01) == ["nominal_v"]
    assert of(low=11.99) == []
    assert of(low=12.0) == ["nominal_v"]


@pytest.mark.parametrize(
    ("fuse_a", "contact_ohm", "field"),
    [
        (1.0, 0.2, None), (0.9, 0.2, "fuse_a"), (2.0, 0.06, None), (2.1, 0.06, "fuse_a"),
        (2.0, 0.0535, None), (2.0, 0.0534, "contact_ohm"), (1.7, 0.0, None),
    ],
)  # fmt: skip
def test_a_fuse_fits_its_display(fuse_a: float, contact_ohm: float, field: str | None) -> None:
    """At least the unit's current, at most its maker's rating; a blade of 2 A has 0.0535 ohm cold by itself."""
    made = boat(supply={"fuse_a": fuse_a, "contact_ohm": contact_ohm})
    assert faults(made) == ([field] if field else [])


# --- values --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "band", "inside"),
    [
        ("2 m", ["1 m", "3 m"], True),
        ("1 m", ["1 m", "3 m"], True),
        ("3 m", ["1 m", "3 m"], True),
        ("0.99 m", ["1 m", "3 m"], False),
        ("3.01 m", ["1 m", "3 m"], False),
        ("1 to 3 m", ["1 m", "3 m"], True),
        ("0.5 to 3 m", ["1 m", "3 m"], False),
        ("1 to 3.5 m", ["1 m", "3 m"], False),
        ("200 cm", ["1 m", "3 m"], True),
        ("2 V", ["1 m", "3 m"], False),
        ("0 m", ["0 m", "0 m"], True),
        ("two", ["1 m", "3 m"], False),
        ("1 m", ["1 m"], True),
        ("1 m", ["1 m", "5 m", "3 m"], True),
        ("4 m", ["1 m", "5 m", "3 m"], False),
        ("1 ft", ["30.48 cm", "0.3048 m"], True),  # a foot is 0.3048 m by definition (1959)
        ("-3 degC", ["-5 degC", "-1 degC"], True),
        ("-6 degC", ["-5 degC", "-1 degC"], False),
    ],
)
def test_a_number_lies_inside_its_band(text: str, band: list[str], inside: bool) -> None:
    assert limits._inside(text, band) == inside


@pytest.mark.parametrize(
    ("text", "above", "ordered"),
    [
        ("1 m", "2 m", True), ("2 m", "2 m", True), ("2.01 m", "2 m", False), ("100 cm", "2 m", True), ("300 cm", "2 m", False),
        ("1 to 2 m", "2 to 3 m", True), ("1 to 2.1 m", "2 to 3 m", False), ("some", "2 m", True),
    ],
)  # fmt: skip
def test_a_value_stands_below_another(text: str, above: str, ordered: bool) -> None:
    """The greater end of the one against the least of the other."""
    assert limits._in_order(text, above) == ordered


def value(declared: str | None = "1 m", **more: Any) -> Any:
    plain = {
        "unitless": False,
        "band": [],
        "below": [],
        "computed": None,
        "us": None,
        "limit": None,
        "meaning": "A thing",
    }
    return SimpleNamespace(declared=declared, **plain | more)


def test_values_are_held_to_their_order() -> None:
    def of(**values: Any) -> list[tuple[str, Any, str]]:
        return told("limit-order", values=values)

    assert of(a=value("1 m", below=["b"]), b=value("2 m")) == []
    assert of(a=value("3 m", below=["c", "b"]), b=value("2 m")) == [
        ("a", ("below", 1), "'3 m' is not below 'b', 2 m")
    ]
    assert of(a=value(None, below=["b"]), b=value("2 m")) == []
    assert of(a=value("3 m", below=["b"]), b=value(None)) == []


def lamp(current: Any, watts: str | None = "21 W", assumed: Any = None, **tables: Any) -> list[str]:
    values = {"test-lamp-current": value(current)}
    if watts:
        values["test-lamp"] = value(watts)
    records = {"lamp-current": assumed} if assumed else {}
    return [what for *_, what in told("one-lamp", values=values, tables=tables, records=records)]


def test_a_lamp_draws_its_watts_over_twelve_volts() -> None:
    """Figures of the trade are rounded: a hundredth is let pass."""
    assert lamp("1.75 A") == lamp("1.735 A") == lamp("1.765 A") == []
    assert lamp("1.731 A") == lamp("1.78 A") == ["a lamp of 21 W draws 1.75 A on 12 V"]
    assert lamp("1.72 A", watts=None) == lamp("some") == lamp(None) == []
    assert lamp("1.72 A", watts="some") == []


def test_the_tables_count_with_no_less_than_the_lamp_draws() -> None:
    assumed = lambda value, *band: SimpleNamespace(value=value, band=list(band))  # noqa: E731
    outside = ["the lamp draws 1.75 A, outside what the tables count with"]
    assert lamp("1.75 A", assumed=assumed("2 A", "1.7 A", "2 A")) == []
    assert lamp("1.75 A", assumed=assumed("1.75 A", "1.7 A", "2 A")) == []
    assert lamp("1.75 A", assumed=assumed("1.74 A", "1.7 A", "2 A")) == outside
    assert lamp("1.75 A", assumed=assumed("2 A", "1.8 A", "2 A")) == outside
    assert lamp("1.75 A", assumed=assumed("1 A")) == []  # without a band nothing is said
    assert lamp("1.75 A", assumed=assumed("some", "1.7 A", "2 A")) == []
    table = lambda given: SimpleNamespace(given=given)  # noqa: E731
    own = ["takes a lamp current of its own"]
    assert lamp("1.75 A", one=table({}), two=table({"lamp_current": {"assumption": "lamp-current"}})) == []
    assert lamp("1.75 A", one=table({"lamp_current": "2 A"})) == own
    assert lamp("1.75 A", one=table({"lamp_current": {"assumption": "other"}})) == own


@pytest.mark.parametrize(
    ("ohm", "band", "kept"),
    [
        (0.02, ("0.02 ohm", "0.1 ohm"), True), (0.1, ("0.02 ohm", "0.1 ohm"), True), (0.019, ("0.02 ohm", "0.1 ohm"), False),
        (0.11, ("0.02 ohm", "0.1 ohm"), False), (9.0, (), True), (9.0, ("some", "0.1 ohm"), True), (9.0, ("0.02 ohm", "more"), True),
        (0.05, ("20 mohm", "100 mohm"), True), (0.1, ("0.1 ohm",), True), (0.11, ("0.1 ohm",), False),
    ],
)  # fmt: skip
def test_the_joints_of_a_boat_are_those_of_a_sound_lead(
    ohm: float, band: tuple[str, ...], kept: bool
) -> None:
    contacts = SimpleNamespace(band=list(band))
    made = boat(supply={"contact_ohm": ohm})
    found = told("boat-joints", boats={"punt": made}, records={"sound-contacts": contacts})
    assert found == ([] if kept else [("punt", ("supply", "contact_ohm"), found[0][2])])
    assert told("boat-joints", boats={"punt": made}, records={}) == []


@pytest.mark.parametrize(
    ("given", "alike", "equal"),
    [
        ("2 m", True, True),
        ("200 cm", True, True),
        ("2.001 m", True, False),
        ("2 V", False, False),
        ("2", False, False),
        ({"value": "x"}, False, False),
        ("some", False, False),
    ],
)
def test_a_given_is_held_against_the_value_of_its_kind(given: Any, alike: bool, equal: bool) -> None:
    assert limits._alike(given, value("2 m")) == alike
    if alike:
        assert limits._equal(given, value("2 m")) == equal
    elif isinstance(given, dict):
        assert not limits._equal(given, value("2 m"))


@pytest.mark.parametrize(
    ("metric", "us", "limit", "breaks"),
    [
        ("100 m", "115 m", None, False),
        ("2 m", "7 ft", "least", False),  # 2.13 m
        ("2 m", "6 ft", "least", True),  # 1.83 m
        ("2 m", "6 ft", "greatest", False),
        ("2 m", "7 ft", "greatest", True),
        ("0.3048 m", "1 ft", "least", False),
        ("0.3048 m", "1 ft", "greatest", False),
        ("1 m", "1.14 m", None, False),
        ("1 m", "1.16 m", None, True),
        ("1 m", "0.86 m", None, False),
        ("1 m", "0.84 m", None, True),
        ("2 m", "20 ft", "least", False),
        ("20 degC", "90 degF", None, False),  # it may be a difference
        ("1 to 2 m", "1 to 3 m", "greatest", True),
        ("1 to 2 m", "1 to 2 m", "greatest", False),
    ],
)
def test_a_us_value_stands_on_the_safe_side(metric: str, us: str, limit: str | None, breaks: bool) -> None:
    """A foot is 0.3048 m; where it is no limit, 15 in a hundred are let pass."""
    assert bool(list(language._us_faults(value(metric, us=us, limit=limit)))) == breaks


@pytest.mark.parametrize(
    ("meaning", "limit", "says"),
    [("Least", None, True), ("Greatest", None, True), ("Least", "least", False), ("Some", None, False)],
)
def test_a_limit_by_its_meaning_says_which(meaning: str, limit: str | None, says: bool) -> None:
    found = [
        what
        for what, _ in language._us_faults(value("1 m", us="1 m", limit=limit, meaning=f"{meaning} thing"))
    ]
    assert ("is a limit by its meaning and does not say which" in found) == says


def test_both_ends_of_a_range_have_its_unit() -> None:
    assert [(part.value, part.unit) for part in language.ends("2 to 5 m")] == [(2, "m"), (5, "m")]
    assert [(part.value, part.unit) for part in language.ends("2 m")] == [(2, "m")]


def banded(rule: str, declared: Any, band: list[str], *, record: str = "a", **more: Any) -> list[str]:
    made = value(declared, band=band, **more)
    if rule == "assumption-band":
        return [what for *_, what in told(rule, records={record: SimpleNamespace(value=declared, band=band)})]
    catalogue: dict[str, Any] = {"values": {record: made}, "tables": {}}
    return [what for *_, what in told(rule, **catalogue)]


@pytest.mark.parametrize("rule", ["value-band", "assumption-band"])
def test_what_is_declared_lies_in_its_band(rule: str) -> None:
    assert banded(rule, "2 m", ["1 m", "3 m"]) == []
    assert banded(rule, "4 m", ["1 m", "3 m"]) == ["'4 m' lies outside its band, 1 m to 3 m"]
    assert banded(rule, "2 m", []) == []  # nothing takes it


def test_what_lost_its_unit_is_told_elsewhere() -> None:
    assert (
        banded("value-band", "4", ["1 m", "3 m"]) == banded("value-band", "-4 to 5.5", ["1 m", "3 m"]) == []
    )
    assert (
        banded("value-band", "4 m", ["1 m", "3 m"], unitless=True)
        == banded("value-band", None, ["1 m", "3 m"])
        == []
    )


@pytest.mark.parametrize(
    ("convention", "given", "breaks"),
    [
        ("From {value: depth}.", "2 m", False),
        ("From {value: depth}.", "3 m", True),
        ("From {assumption: depth}.", "3 m", False),  # a record of another kind with that name
        ("From {value: depth}.", "3 V", False),
        ("From {value: absent}.", "3 m", False),
        ("From here.", "3 m", False),
    ],
)
def test_a_table_takes_the_value_that_its_convention_names(convention: str, given: str, breaks: bool) -> None:
    table = SimpleNamespace(convention=convention, given={"depth": given})
    found = told("convention-value", values={"depth": value("2 m")}, tables={"reach": table})
    assert [place for _, place, _ in found] == ([("given", "depth")] if breaks else [])


def test_what_a_face_bears_is_kept_at_its_limit() -> None:
    """A face of 40 by 25 mm has 10 cm2, and 1000 W are 100 W on each."""
    assert bands("watts", band(aperture=oblong(40.0, 25.0), power_w=1000.0)) == []


def test_a_face_that_is_no_face_gives_no_beam() -> None:
    """Smaller than the sound lets it be, or without a size."""
    for face in (disc(1.0), band().aperture.model_copy(update={"diameter_mm": None})):
        assert list(equipment._beams(band(aperture=face))) == [("beamwidth_deg", 11.1, 0.0)]


def test_a_value_that_is_not_computed_is_rounded_by_nobody() -> None:
    shown = SimpleNamespace(round="up")
    assert told("rounded-side", values={"a": value("1 m", show=shown)}, tables={}) == []


@pytest.mark.parametrize(
    ("kinds", "places"),
    [
        (("tables", "tables", "values"), [("computed", "given", "length")]),
        (("tables", "values", "tables"), [("given", "length")]),
    ],
)
def test_the_one_given_that_differs_is_told_with_the_usual(
    kinds: tuple[str, ...], places: list[tuple[str, ...]]
) -> None:
    """The last of three takes 6 m, the others 5 m; a table that says that it differs counts for nothing."""
    made: dict[str, dict[str, Any]] = {"tables": {}, "values": {}}
    for number, kind in enumerate(kinds):
        given = {"length": "6 m" if number == 2 else "5 m"}
        record = SimpleNamespace(formula="f", given=given, differs=())
        made[kind][str(number)] = record if kind == "tables" else SimpleNamespace(computed=record)
    made["tables"]["apart"] = SimpleNamespace(formula="f", given={"length": "9 m"}, differs=("length",))

    assert [place for _, place, _ in told("same-given", **made)] == places


def test_a_value_is_no_table_of_its_name() -> None:
    """The table says that it differs, the value of the same name does not."""
    formula = SimpleNamespace(formula="f", given={"length": "6 m"}, differs=("length",))
    five = SimpleNamespace(formula="f", given={"length": "5 m"}, differs=())
    found = told(
        "same-given",
        tables={"one": five, "two": five, "drop": formula},
        values={"drop": SimpleNamespace(computed=formula)},
    )
    assert [(name, place) for name, place, _ in found] == [("drop", ("computed", "given", "length"))]
