"""When to stop, what a warranty forbids and what to bring or order, number by number.

The threshold is its own algebra, (replace + verify - inspect) / replace; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import small_cases
import small_content
from leadsman.book.case_advice import (
    _fitting_minutes,
    _threshold,
    add_months,
    fixes_that_ask,
    stop_advice,
    supply_and_software_checked,
    warranty_state,
)
from leadsman.book.case_needs import (
    element_for,
    fuse_for,
    fuse_of_lead,
    lent_transducers,
    needs,
    orders,
    way_under,
)
from leadsman.content.case_file import Case
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.inquiry import Inquiry, OpenInquiry
from leadsman.content.model.reference import Tool
from leadsman.content.next_check import NextCheck

WARRANTY = 'warranty: {bought: "2025-01-31", seller: here, months: 1}\n'


def written(tmp_path: Path, answers: str = "", more: str = "", of: Path = small_content.FOLDER) -> Case:
    text = f"id: c1\nentry: D1\nopened: '2025-02-10'\nboat: {{like: punt}}\nhistory: in-service\nanswers: {{{answers}}}\n{more}"
    return small_cases.case(text, tmp_path, of=of)


def inquiry(**answers: str) -> Inquiry:
    catalogue = small_cases.content()
    return OpenInquiry(
        Decision(catalogue.faults["no-depth"], catalogue), {"history": "in-service", **answers}
    )


def with_records(catalogue: Catalogue, kind: str, **records: Any) -> Catalogue:
    return replace(catalogue, records={**catalogue.records, kind: {**catalogue.records[kind], **records}})


# --- when to stop ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("left", "price", "hour", "threshold"),
    [
        (20.0, 100.0, 60.0, 0.9),  # 100 min to replace, 10 to prove
        (20.0, 50.0, 100.0, 2 / 3),  # 30 min
        (5000.0, 100000.0, 60.0, 0.01),  # both held at a thousand
        (0.2, 0.0, 60.0, 99.0),  # nothing costs a tenth of a minute
    ],
)
def test_the_threshold_above_which_a_part_is_renewed_outright(
    left: float, price: float, hour: float, threshold: float
) -> None:
    following = NextCheck("lamp", 1.0, 1.0, {}, (), left)
    assert _threshold(following, price, hour) == pytest.approx(threshold)


def test_the_minutes_to_fit_a_part_are_those_of_the_fix_that_names_it_most_closely(tmp_path: Path) -> None:
    """Four for the plug in its own fix; an hour for a part that no fix names; the shortest of several fixes."""
    case = written(tmp_path)
    assert _fitting_minutes(case, "plug") == 4
    assert _fitting_minutes(case, "mounting") == 60
    decision = case.search.decision
    longer = decision.findings["found-joint"].model_copy(
        update={"causes": ["bad-joint", "bad-plug"], "minutes": 30}
    )
    entry = case.entry.model_copy(
        update={"findings": [longer if f.id == "found-joint" else f for f in case.entry.findings]}
    )
    other = replace(case, entry=entry)
    assert _fitting_minutes(other, "plug") == 4
    assert _fitting_minutes(other, "joints") == 30


def prices(**parts: int) -> str:
    inner = ", ".join(f"{name}: {price}" for name, price in parts.items())
    return f"prices: {{currency: EUR, hour: 90, parts: {{{inner}}}}}\n"


def test_the_price_of_a_part_is_with_its_fitting(tmp_path: Path) -> None:
    """The plug at 10 and 4 of 60 min at 90 an hour; the temperature comes first, 1 min."""
    found = stop_advice(written(tmp_path, "", prices(plug=10, element=300)))
    assert (found.part, found.chance) == ("plug", pytest.approx(0.4))
    assert found.price == pytest.approx(10 + 90 * 4 / 60)
    assert found.step == pytest.approx(90 * 1 / 60)
    # No price is known of what is likeliest but of something else that is suspect.
    other = stop_advice(written(tmp_path, "", prices(element=300)))
    assert (other.part, other.chance) == ("element", pytest.approx(0.15))
    assert stop_advice(written(tmp_path, "", prices(display=1))).verdict == "no-prices"
    unknown = stop_advice(written(tmp_path, "", prices(display=1)))
    assert unknown.step == pytest.approx(1.5)
    assert unknown.price is None


def test_software_in_another_entry_of_the_case_counts_as_looked_at(tmp_path: Path) -> None:
    """The lamp loads the lead; reading the unit's own volts does not."""
    lamp = written(tmp_path, 'lamp: "yes"', "software_checked: true\n")
    assert supply_and_software_checked(lamp)
    readout = written(tmp_path, 'volts: "yes"', "software_checked: true\n")
    assert not supply_and_software_checked(readout)
    assert not supply_and_software_checked(written(tmp_path, 'software: "yes"', "software_checked: true\n"))
    assert not supply_and_software_checked(written(tmp_path, 'lamp: "yes"'))


# --- the warranty ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("date", "months", "later"),
    [
        ("2024-08-31", 6, "2025-02-28"), ("2023-08-31", 6, "2024-02-29"), ("2025-11-15", 1, "2025-12-15"), ("2025-12-15", 1, "2026-01-15"),
        ("2025-01-31", 0, "2025-01-31"), ("2025-06-30", 24, "2027-06-30"), ("2025-03-09", 13, "2026-04-09"), ("2025-01-01", 11, "2025-12-01"),
    ],
)  # fmt: skip
def test_months_later_by_the_calendar(date: str, months: int, later: str) -> None:
    assert add_months(date, months) == later


def test_a_warranty_runs_on_its_last_day(tmp_path: Path) -> None:
    for answers, runs in (
        ("", True),
        ('plug: {answer: "yes", on: "2025-02-28"}', True),
        ('plug: {answer: "yes", on: "2025-03-01"}', False),
    ):
        state = warranty_state(written(tmp_path, answers, WARRANTY))
        assert state is not None
        assert (state.until, state.runs) == ("2025-02-28", runs)
        assert state.forbidden == (("open", "cut", "update") if runs else ())
    assert warranty_state(written(tmp_path)) is None


def test_only_suspect_fixes_ask_for_what_is_forbidden(tmp_path: Path) -> None:
    """The joint is cut out and the unit opened for the setting; the words are those of the language's list."""
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder,
        "faults/depth/no-depth.yaml",
        "remedy: [Renew the joint.]",
        "remedy: [CUT out the joint., Open the box.]",
    )
    found = {fix.id: asked for fix, asked in fixes_that_ask(written(tmp_path, "", "", folder))}
    assert found == {"found-software": ("update",), "found-joint": ("open", "cut")}
    left = {fix.id for fix, _ in fixes_that_ask(written(tmp_path, 'volts: "no"', "", folder))}
    assert left == {"found-joint"}
    some = written(tmp_path, "", WARRANTY.replace("months: 1", "months: 2, agreed: [open]"), folder)
    assert {fix.id: asked for fix, asked in fixes_that_ask(some)} == {
        "found-software": ("update",),
        "found-joint": ("cut",),
    }


# --- what to bring and to order ----------------------------------------------------------------------


def test_the_way_under_a_cause_goes_to_its_fix() -> None:
    search = inquiry(temperature="yes")
    whole = ["history", "temperature", "volts", "software", "plug", "lamp"]
    assert way_under(search, "bad-joint") == [*whole, "found-joint"]
    assert way_under(search, "old-software") == [
        "history",
        "temperature",
        "volts",
        "software",
        "found-software",
    ]
    # A fix of another cause is tried, and its proof fails: the way goes on behind it.
    wrong = way_under(inquiry(temperature="no"), "bad-joint")
    assert wrong[:3] == ["history", "temperature", "found-plug"]
    assert wrong[-1] != "found-plug"


def test_tools_come_by_how_likely_they_are_wanted_then_as_the_content_lists_them() -> None:
    """By hand from D1's shares of 100: the torch is wanted by all that pass the software (the plug's 40 are found
    before, the software's 5 at it); the meter behind the plug; the fix of the joint wants a tool of its own."""
    found = {need.tool: need.likelihood for need in needs(inquiry())}
    assert found == pytest.approx({"torch": 0.55, "multimeter": 0.55, "borrowed-transducer": 0.2})
    assert [need.tool for need in needs(inquiry())] == ["multimeter", "torch", "borrowed-transducer"]
    catalogue = with_records(small_cases.content(), "tools", crimper=Tool(name="Crimper"))
    entry = catalogue.faults["no-depth"]
    fix = next(f for f in entry.findings if f.id == "found-joint").model_copy(update={"tools": ["crimper"]})
    made = entry.model_copy(update={"findings": [fix if f.id == fix.id else f for f in entry.findings]})
    own = {
        n.tool: n.likelihood for n in needs(OpenInquiry(Decision(made, catalogue), {"history": "in-service"}))
    }
    assert own["crimper"] == pytest.approx(0.2)
    # A step that was made wants no tool any more.
    assert "torch" not in {need.tool for need in needs(inquiry(plug="yes"))}


def test_orders_gather_the_causes_of_a_part() -> None:
    found = orders(inquiry())
    assert [(o.component, pytest.approx(o.likelihood)) for o in found] == [
        ("plug", 0.4), ("joints", 0.2), ("settings", 0.2), ("element", 0.15), ("software", 0.05),
    ]  # fmt: skip
    catalogue = small_cases.content()
    entry = catalogue.faults["no-depth"]
    causes = [
        c.model_copy(update={"component": "element"}) if c.component == "settings" else c
        for c in entry.causes
    ]
    both = OpenInquiry(
        Decision(entry.model_copy(update={"causes": causes}), catalogue), {"history": "in-service"}
    )
    assert {o.component: o.likelihood for o in orders(both)} == pytest.approx({"plug": 0.4, "element": 0.35, "joints": 0.2, "software": 0.05})  # fmt: skip


@pytest.mark.parametrize(("khz", "fits"), [(219.9, True), (180.1, True), (221.0, False), (179.0, False)])
def test_a_lent_band_lies_within_a_tenth(khz: float, fits: bool) -> None:
    catalogue = small_cases.content()
    fitted = catalogue.transducers["round"]
    lent = fitted.model_copy(
        update={"id": "lent", "bands": [fitted.bands[0].model_copy(update={"frequency_khz": khz})]}
    )
    display = catalogue.families["plain"].model_copy(update={"transducers": {"round": "1", "lent": "1"}})
    found = {
        b.transducer.id: b
        for b in lent_transducers(display, fitted, with_records(catalogue, "transducers", lent=lent))
    }
    assert found["lent"].fits == fits
    assert found["lent"].reasons == (() if fits else ("band",))


def test_of_two_near_bands_the_nearer_is_compared() -> None:
    """A weak band a tenth away is no obstacle where a strong one stands beside the fitted one."""
    catalogue = small_cases.content()
    fitted = catalogue.transducers["round"]
    (band,) = fitted.bands
    weak, strong = (
        band.model_copy(update={"frequency_khz": f, "power_w": w})
        for f, w in ((185.0, 100.0), (202.0, 500.0))
    )
    display = catalogue.families["plain"].model_copy(update={"transducers": {"round": "1", "lent": "1"}})
    for bands in ([weak, strong], [strong, weak]):
        lent = with_records(
            catalogue, "transducers", lent=fitted.model_copy(update={"id": "lent", "bands": bands})
        )
        assert {b.transducer.id: b.reasons for b in lent_transducers(display, fitted, lent)}["lent"] == ()


@pytest.mark.parametrize(
    ("deadrise_deg", "tilts", "tilt"),
    [(2.0, [0.0, 12.0, 20.0], 0.0), (12.0, [0.0, 12.0, 20.0], 12.0), (20.0, [0.0, 12.0, 20.0], 20.0),
     (7.0, [0.0, 20.0], 0.0), (7.0, [20.0], None), (40.0, [0.0, 12.0, 20.0], None)],
)  # fmt: skip
def test_the_element_that_a_hull_wants(deadrise_deg: float, tilts: list[float], tilt: float | None) -> None:
    """Elements of 0, 12 and 20 degrees for the deadrise nearest to them; at 7 degrees 12 or 0 serve; above 26 none."""
    catalogue = small_cases.content()
    boat = catalogue.boats["punt"].model_copy(update={"deadrise_deg": deadrise_deg})
    through = catalogue.transducers["round"].model_copy(
        update={"housing": "through-hull", "element_tilts_deg": tilts}
    )
    assert element_for(boat, through) == tilt
    # A bracket is levelled, and so is a face in a fairing block: the first element serves.
    assert element_for(boat, through.model_copy(update={"housing": "transom"})) == tilts[0]
    assert element_for(boat.model_copy(update={"face_levelled": True}), through) == tilts[0]


def test_a_hull_beyond_the_range_of_the_formula_has_no_element() -> None:
    catalogue = small_cases.content()
    boat = catalogue.boats["punt"].model_copy(update={"deadrise_deg": 89.0})
    through = catalogue.transducers["round"].model_copy(update={"housing": "through-hull"})
    assert element_for(boat, through) is None


@pytest.mark.parametrize(
    ("changes", "nominal_v", "fuse"),
    [({}, 12.0, (2.0, 2.0)), ({"maker": 5.0}, 12.0, (2.0, 5.0)), ({"maker": 5.0}, 24.0, (1.0, 5.0)), ({"current_a": 60.0}, 12.0, None)],
)  # fmt: skip
def test_the_fuse_of_any_lead(
    changes: Mapping[str, float], nominal_v: float, fuse: tuple[float, float] | None
) -> None:
    """12 W at the low limit of 10 V are 1.2 A and with a quarter more 1.5 A; on 24 V, a tenth lost, 0.7 A: 1 A is next."""
    catalogue = small_cases.content()
    family = catalogue.families["plain"].model_copy(
        update={"fuse_a": changes.get("maker", 2.0), "current_a": changes.get("current_a", 1.0)}
    )
    found = fuse_of_lead(family, "16 AWG", nominal_v, catalogue)
    assert (found and (found.least_a, found.greatest_a)) == fuse
    boat = catalogue.boats["punt"]
    own = fuse_for(boat, with_records(catalogue, "families", plain=family))
    assert nominal_v != 12.0 or own == found
