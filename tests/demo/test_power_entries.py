"""The power entries against what the trade holds to (common practice, no source, unless a line says otherwise)."""

import re

import pytest

import built
from leadsman.book.computed import compute_table, value_on
from leadsman.content.decision import Decision


def decision(entry: str) -> Decision:
    catalogue = built.catalogue()
    return Decision(catalogue.faults[entry], catalogue)


def test_the_bypass_feeds_the_wake_wire() -> None:
    """A unit with a wake wire stays dead on two wires, however sound it is; the card itself must say so."""
    assert "wake wire" in str(built.catalogue().checks["bypass-battery"].do)


def test_high_volts_are_measured_before_they_run_through_the_unit() -> None:
    """Meter at the posts with the unit off, then the unit: the engine step comes last and only after the posts."""
    entry = decision("over-voltage")
    order = list(entry.checks)
    assert order.index("posts") < order.index("engine")
    assert entry.checks["posts"].body.state == "power-off"
    before = {check for check in order for target in entry.links(check).values() if target == "engine"}
    assert before == {"posts"}


@pytest.mark.parametrize("entry", ["dead-unit", "restarts-on-cranking", "fuse-blows", "fuse-blows-late"])
def test_petrol_is_named_before_a_consumer_is_switched_on(entry: str) -> None:
    """The first step that switches something other than the unit says it, or carries the caution."""
    for check in decision(entry).checks.values():
        words = " ".join([str(check.body.do), *map(str, check.body.how)]).lower()
        if re.search(r"switch (?:on|the feed on|the cabin)|lights on|feed on", words):
            assert "petrol" in words or "petrol-vapour" in check.body.cautions, check.id
            return


def test_no_breakout_lead_leads_to_the_lamp() -> None:
    assert decision("feed-falls-under-load").links("volts")["cannot"] == "legs"


def test_what_is_noted_without_the_transducer_is_used() -> None:
    """It stops without the transducer: then the least brightness tells supply from line, and the plug is mated again."""
    entry = decision("restarts-on-transmit")
    assert entry.links("unplugged")["no"] == "dim"
    assert entry.links("dim")["no"] != entry.links("dim")["yes"]
    assert "mate it again" in str(entry.checks["unplugged"].body.do).lower()


@pytest.mark.parametrize(
    "entry", ["dead-unit", "feed-falls-under-load", "restarts-on-cranking", "fuse-blows", "fuse-blows-late"]
)
def test_a_fitted_lead_or_fuse_has_its_distance_and_its_support(entry: str) -> None:
    """33 CFR 183.455: within 7 in of the source, 40 in sheathed (2024)."""
    remedies = " ".join(str(line) for finding in decision(entry).entry.findings for line in finding.remedy)
    assert "{value: fuse-near}" in remedies
    assert "{value: fuse-near-sheathed}" in remedies
    assert "{value: lead-support}" in remedies
    assert "terminals" in remedies


@pytest.mark.parametrize(
    ("units", "row", "least"), [("us", "40\u202f°F", "9.3"), ("metric", "20\u202f°C", "9.6")]
)
def test_cranking_volts_are_those_of_the_published_rows(units: str, row: str, least: str) -> None:
    """Battery Council International load test: 9.3 V at 40 degF, 9.6 V from 20 degC up."""
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables["crank-volts"], catalogue, units)
    assert table.cells[table.row_heads.index(row)][0].text.startswith(least)


def test_rest_volts_keep_the_hundredths_of_their_source() -> None:
    """Battery Council International: 12.65, 12.45, 12.24, 12.06, 11.89 V."""
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables["battery-rest"], catalogue)
    assert [row[0].text[:5] for row in table.cells] == ["12.65", "12.45", "12.24", "12.06", "11.89"]


@pytest.mark.parametrize("conductor", ["1", "1-5", "2-5", "4", "16-awg", "14-awg", "12-awg", "10-awg"])
def test_any_boat_has_a_number_that_fits_a_card(conductor: str) -> None:
    catalogue = built.catalogue()
    table = compute_table(catalogue.tables[f"lead-drop-{conductor}"], catalogue)
    assert len(table.row_heads) <= 10
    assert len(table.column_heads) <= 4
    drops = [[float(cell.printed) for cell in row if cell.printed is not None] for row in table.cells]
    assert all(row == sorted(row) for row in drops)
    (power,) = (ring for ring in catalogue.editions["sheet-deck"].sets if "power" in ring.areas)
    assert f"lead-drop-{conductor}" in power.tables


def test_who_cranks_after_a_fix_has_its_warnings() -> None:
    """Each proof by cranks names a step that says them, or says them itself; the fix of JOINED is reached past none."""
    entry = decision("restarts-on-cranking")
    numbers = {str(at): check for at, check in enumerate(entry.checks.values(), 1)}
    for finding in entry.findings.values():
        named = re.search(r"(?:[Ss]tep|as in) (\d)", str(finding.proof))
        cautions = numbers[named[1]].body.cautions if named else finding.cautions
        assert {"running-propeller", "petrol-vapour"} <= set(cautions), finding.id


def test_a_battery_is_fit_for_its_unit_before_its_volts_are_judged() -> None:
    """Twenty-four volts are high on one display and right on another; four lithium-ion cells stand above any limit."""
    entry = decision("over-voltage")
    assert "fit for the unit" in str(entry.checks["rest"].body.see)
    assert entry.links("rest")["unfit"] == "found-battery"
    assert "renew nothing" in " ".join(map(str, entry.findings["found-battery"].remedy))


def test_no_lithium_battery_is_charged_before_it_was_looked_at() -> None:
    """Heat and swelling are looked for in step 4; who comes to a fix past it is sent there first, and frost is named."""
    entry = decision("dead-on-lithium")
    assert [*entry.checks][3] == "look"
    for name in ("found-heavy", "found-cold"):
        assert "If sound by step 4" in " ".join(map(str, entry.findings[name].remedy))
    for name in ("found-heavy", "found-cold", "found-charger", "found-empty"):
        assert "lithium-cold" in entry.findings[name].cautions


def test_the_fire_warning_of_a_battery_says_when_it_holds() -> None:
    """A cool battery calls for no fire service: the words that stand in a step have their condition."""
    assert str(built.catalogue().cautions["battery-damaged"].first).startswith("If swollen, hot or smelling")


def test_a_woken_battery_is_measured_without_its_charger() -> None:
    assert "charger off" in str(decision("dead-on-lithium").checks["wake"].body.do)


def test_a_lithium_battery_that_closed_again_is_not_called_alive() -> None:
    """P1 would turn to plug and brightness; the cut-off comes again."""
    entry = decision("dead-on-lithium")
    assert entry.links("neighbours")["back"] == "look"
    assert entry.links("posts")["back"] == "hand-over"


def test_a_memory_card_is_convicted_only_when_the_fault_returns_with_it() -> None:
    """A fault that is merely absent convicts nothing, least of all where no card was in."""
    assert str(decision("hot-or-boot-loop").findings["found-card"].remedy[0]).startswith(
        "Refit the old card. If"
    )


def test_what_failed_in_heat_is_proved_in_heat() -> None:
    entry = decision("hot-or-boot-loop")
    for name in ("found-card", "found-supply", "found-contact", "found-display"):
        assert "{value: hot-run}" in str(entry.findings[name].proof), name


def test_a_high_readout_costs_no_battery_before_the_meter() -> None:
    assert decision("over-voltage").links("rest")["no"] == "terminals"


def test_no_gas_warning_forbids_the_reading_on_charge() -> None:
    """The meter is clipped on before the charge and read during it."""
    first = str(built.catalogue().cautions["battery-gas"].first)
    assert "Stop the charge" not in first
    assert "on charge" in first


def test_an_engine_that_is_started_has_been_smelt_for_petrol() -> None:
    entry = decision("over-voltage")
    for part in [*(check.body for check in entry.checks.values()), *entry.findings.values()]:
        if "engine-fumes" in part.cautions:
            assert "petrol-vapour" in part.cautions, part


def test_no_battery_switch_is_turned_with_the_engine_running() -> None:
    """Passing OFF parts the alternator from its battery: its diodes fail."""
    remedy = " ".join(map(str, decision("restarts-on-cranking").findings["found-linked"].remedy))
    assert "Turn no switch while the engine runs" in remedy


def test_a_limit_of_ours_credits_no_standard() -> None:
    from leadsman.compute.registry import OutOfRange
    from leadsman.compute.supply.voltage_drop import voltage_drop

    with pytest.raises(OutOfRange, match="a limit of this program"):
        voltage_drop(current_a=400.0, length_m=1.0, conductor="16 AWG")


def test_a_battery_is_not_judged_by_a_dip_that_a_sound_one_has() -> None:
    """The limit is that of a load test read after fifteen seconds (BCI, in tests/reference); the starter's first pull is
    deeper on a sound battery too, and a meter's low hold catches it."""
    values = built.catalogue().values
    dip, lasts, hold = (
        str(values[name].declared) for name in ("crank-first-dip", "crank-dip-time", "meter-hold")
    )
    assert (dip, lasts, hold) == (
        "6 to 9 V",
        "0.1 to 0.5 s",
        "100 ms",
    )  # below 9.2 V, and long enough to be caught
    do = str(built.catalogue().checks["crank-dip"].do)
    battery, _, plug = do.partition("Unit on")
    assert "Low hold off: battery" in battery
    assert "plug, low hold" in plug


@pytest.mark.parametrize(
    "entry",
    ["feed-falls-under-load", "which-part", "dead-unit", "hot-or-boot-loop", "works-on-another-display"],
)  # fmt: skip
def test_a_feed_is_convicted_only_when_the_fault_returns_on_it(entry: str) -> None:
    """There and back again, as with every swap: a plug mated anew is no proof against the feed."""
    book = decision(entry)
    at = next(c for c in book.checks.values() if c.shared is not None and c.shared.id == "bypass-battery")
    finding = book.findings[str(at.outcomes["no"].then)]
    assert str(finding.remedy[0]).startswith("Join the boat's feed again. If ")
    assert "renew nothing" in str(finding.remedy[0])


def test_a_fall_of_own_volts_is_followed_on_the_card_that_it_sends_to() -> None:
    """Who comes with weak volts and no restart can answer each question of P3 that stands between plug and bypass."""
    checks = decision("restarts-on-transmit").checks
    for name in ("plug", "card", "bypass"):
        assert "volts stay bad" in str(checks[name].body.see), name
    checks = decision("feed-falls-under-load").checks
    assert re.search(r"falls? too far", str(checks["bypass"].body.see))
    assert "restart" not in str(checks["battery"].body.do)


def test_the_table_of_plug_volts_is_computed_at_the_volts_that_it_names() -> None:
    """Its convention names the least battery that may judge a lead; the cells assume the same."""
    catalogue = built.catalogue()
    assert "{value: battery-rested}" in str(catalogue.tables["plug-volts"].convention)
    assert str(catalogue.values["battery-rested"].declared) == str(
        catalogue.records["assumptions"]["battery-loaded-12"].value
    )


def test_a_card_speaks_its_cautions_anew_where_another_card_leads_in() -> None:
    """Who is sent to step 6 has not read the caution that stands in the words of step 3."""
    from leadsman.book.rungs import ladder_of, spoken
    from leadsman.book.views import view_entry

    catalogue = built.catalogue()
    checked = 0
    for fault in catalogue.faults.values():
        for check in fault.checks:
            for outcome in check.outcomes.values():
                if outcome.to_entry is None or outcome.at is None:
                    continue
                other = catalogue.faults[outcome.to_entry]
                ladder = ladder_of(view_entry(Decision(other, catalogue)), catalogue)
                rung = next(rung for rung in ladder.rungs if rung.id == outcome.at)
                said = spoken(ladder.rungs, ladder)[rung.id]
                assert {name for name, _ in rung.grave} <= set(said), (fault.code, other.code, rung.id)
                checked += bool(rung.grave)
    assert checked


def test_an_owner_is_not_asked_in_a_word_of_the_trade() -> None:
    """ "Own volts" is the name of a step on the sheets: an owner reads the number of a menu, and no such name."""
    for entry in built.catalogue().faults.values():
        book = decision(entry.id)
        for check in book.checks.values():
            if check.body.owner_safe:
                assert "own volts" not in f"{check.body.do} {check.body.see}".lower(), (entry.code, check.id)


@pytest.mark.parametrize("family", ["holm", "skerry", "tideway"])
def test_what_clears_battery_and_lead_clears_the_readout_behind_both(family: str) -> None:
    """Series drops add (Kirchhoff): a battery at its limit and a lead at 3 % of 12 V may not be called a bad feed.

    The unit idles at 30 % or more of its full current, and its readout shows tenths (common practice, no source).
    """
    catalogue = built.catalogue()
    battery, whole, convicts = (
        value_on(catalogue.values[name], catalogue, family, 12).exact
        for name in ("battery-fall", "own-volts-change", "own-volts-bad-change")
    )
    lead = 0.03 * 12 * (1 - 0.3)
    assert float(whole) >= battery + lead + 0.1 - 1e-9
    assert convicts >= float(whole)


def test_a_battery_is_judged_by_the_fall_that_the_load_brings() -> None:
    """A fresh charge stands above rest by its surface charge, which any load takes off (common practice, no source)."""
    check = decision("feed-falls-under-load").checks["battery"]
    assert "transmit off, then on" in str(check.body.do)
    assert "transmit off to on" in str(built.catalogue().values["battery-fall"].meaning)


def test_a_feed_is_no_more_suspect_than_its_battery_after_the_bypass() -> None:
    """The fused battery stands in for battery and lead: put at the battery's end of the lead it tells which."""
    remedy = " ".join(map(str, decision("feed-falls-under-load").findings["found-feed"].remedy))
    assert "feed that lead from the fused battery" in remedy
    assert remedy.index("blame the battery") < remedy.index("renew holder")


def test_a_three_cell_pack_is_judged_by_no_limit_for_lithium_iron() -> None:
    """Lithium-ion is full at 4.2 V a cell (common knowledge of the trade, no source): 12.6 V, below 12.8 and 13.2 V."""
    catalogue = built.catalogue()
    limits = [value_on(catalogue.values[f"battery-{name}-lithium"], catalogue, "tideway", 12).exact for name in ("loaded", "charged")]  # fmt: skip
    assert all(limit > 3 * 4.2 for limit in limits)
    texts = [str(p) for *_, p in catalogue.prose() if re.search(r"\{value: battery-\w+-lithium\}", str(p))]
    assert texts
    assert all(re.search(r"(?i)lithium iron:? \{value: battery-(?:loaded|charged)-lithium\}|^\{value: battery-loaded-lithium\} or more behind", t) for t in texts), texts  # fmt: skip
    assert "three-cell" in " ".join(map(str, catalogue.checks["battery-terminals"].how))
    for entry, check in (("feed-falls-under-load", "battery"), ("dead-on-lithium", "wake")):
        assert "three-cell" in " ".join(map(str, decision(entry).checks[check].body.how)), entry


@pytest.mark.parametrize(("rating", "current"), [(5.0, 2.9), (7.5, 4.4)])
def test_a_sound_fuse_holder_is_judged_by_volts_and_not_by_touch(rating: float, current: float) -> None:
    """A blade fuse has 17.85 mohm at 5 A and 11.2 at 7.5 A (typical, common practice): a fifth of a watt in the holder.

    Its contacts, 5 mohm a side, stay below the limit; a contact that pulls the unit down by a volt is far beyond it.
    """
    check = decision("restarts-on-transmit").checks["holder"]
    assert str(check.body.see).startswith("{value: joint-drop} or less")
    assert "feel" not in str(check.body.do).lower()
    limit = built.catalogue().values["joint-drop"]
    most = float(str(limit.declared).split()[0])
    assert current**2 * {5.0: 0.01785, 7.5: 0.0112}[rating] > 0.14
    assert current * 0.005 < most < 1.0
    for entry in ("restarts-on-transmit", "fuse-blows-late"):
        for part in [*(c.body.see for c in decision(entry).checks.values()), *(f.proof for f in decision(entry).findings.values())]:  # fmt: skip
            assert not re.search(r"\b(?:cool|warm)\b", str(part)), (entry, part)


def test_a_larger_pair_is_proved_by_its_own_limit() -> None:
    """12 m of 1 mm2 may drop 2.5 V of 12.5 before a joint is blamed; the pair that replaces it, a few tenths."""
    proof = str(decision("feed-falls-under-load").findings["found-lead"].proof)
    assert "{table: lead-drop-2-5}" in proof
    for entry, finding in (("works-on-another-display", "found-feed"), ("which-part", "found-feed")):
        proof = str(decision(entry).findings[finding].proof)
        assert "sound lead" not in proof
        assert "{card: feed-falls-under-load}" in proof


def test_a_unit_that_runs_today_is_convicted_by_no_exchange() -> None:
    """While a fault is away every exchange seems to cure it: the meter is left."""
    outcome = decision("restarts-on-transmit").checks["when"].outcomes["gone"]
    assert (outcome.to_entry, outcome.at) == ("feed-falls-under-load", "own-volts")


def test_the_lamp_is_not_lit_by_a_consumer_that_runs() -> None:
    """21 W in series with a pump or a light that is switched on glow or shine without any short."""
    assert "switched off" in str(built.catalogue().checks["lamp-for-fuse"].see)


def test_the_fuse_is_back_and_the_plug_mated_before_the_load_is_measured() -> None:
    do = str(decision("fuse-blows-late").checks["current"].body.do)
    order = [do.index(word) for word in ("lamp out", "fuse in", "mated", "Feed on", "Transmit")]
    assert order == sorted(order)


def test_work_on_the_feed_names_petrol_first() -> None:
    """A conductor joined or a fuse fitted sparks (33 CFR 183.410 keeps ignition out of petrol spaces for that reason)."""
    for name in ("found-small", "found-others", "found-holder"):
        assert "petrol-vapour" in decision("fuse-blows-late").findings[name].cautions, name


def test_a_live_line_is_flexed_in_the_bilge_after_smelling() -> None:
    """A broken conductor arcs under the pulse as it is flexed; vapour lies low (common practice, no source)."""
    check = built.catalogue().checks["walk-the-cable"]
    assert (check.access, check.state) == ("bilge", "on")
    assert "petrol-vapour" in check.cautions


@pytest.mark.parametrize(
    ("entry", "tools"),
    [("fuse-blows-late", {"spare-fuses", "test-lamp", "multimeter", "crimps", "contact-cleaner", "capacitance-meter"}),
     ("noise-streaks", {"multimeter", "fused-battery", "ferrite", "crimps", "contact-cleaner", "capacitance-meter"})],
)  # fmt: skip
def test_all_that_a_card_does_has_its_tool(entry: str, tools: set[str]) -> None:
    """A fuse is fitted, joints are crimped, a plug is cleaned, a feed is run: none is in the pocket by itself."""
    book = decision(entry)
    brought = {t for part in [*(c.body for c in book.checks.values()), *book.findings.values()] for t in part.tools}  # fmt: skip
    assert tools <= brought
