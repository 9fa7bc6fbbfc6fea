"""What the entries of depth, picture, installation and sensors may not say again, each with its reason.

Where no source is named the reason is common practice, no source.
"""

from __future__ import annotations

import dataclasses
import re
from typing import Any

import pytest

import built
from leadsman.book.computed import compute_table
from leadsman.compute.hull.fitting import BELOW_MM, PROPELLER_MM, STRAKE_MM, THIN_SIDE_MM
from leadsman.compute.hull.tilt import FORE_AFT_LIMIT_DEG
from leadsman.compute.supply.load_checks import DESIGN_DROP_PCT
from leadsman.content import prose
from leadsman.units import convert, parse

CATALOGUE = built.catalogue()


def check(entry: str, name: str) -> Any:
    """A check of an entry."""
    return next(c for c in CATALOGUE.faults[entry].checks if c.id == name)


def finding(entry: str, name: str) -> Any:
    """A finding of an entry."""
    return next(f for f in CATALOGUE.faults[entry].findings if f.id == name)


def signs(entry: str) -> str:
    """The owner's words of an entry, in one text."""
    return " | ".join(str(s.words) for s in CATALOGUE.faults[entry].condition.signs).lower()


def test_the_question_about_heights_has_an_answer_for_each_of_its_cases() -> None:
    """The first edition asked "one height, both, or twice one?" and offered ONCE, TWICE and NEITHER."""
    asked = check("wrong-by-constant", "heights")
    see = str(asked.body.see)

    assert {"once", "twice", "neither", "cannot"} == {str(name) for name in asked.outcomes}
    assert "sum" in see
    assert "twice" in see
    assert "neither" in see


def test_without_a_lead_line_the_walk_ends_at_the_level_with_least_water() -> None:
    """Nothing is proved then, and too little water shown grounds nobody."""
    ends = {h.id: str(h.says) for h in CATALOGUE.faults["wrong-by-constant"].hand_overs}
    for name in ("two-depths", "zero"):
        to = str(check("wrong-by-constant", name).outcomes["cannot"].then)
        assert "least water" in ends[to]


def test_a_shortened_step_never_asks_to_draw_an_insert() -> None:
    """The long form forbids drawing an insert to look; afloat the boat takes water in seconds."""
    do = str(CATALOGUE.checks["look-in-hull"].do)
    assert "Do not draw" in do
    wheel = check("speed-wrong", "wheel")
    assert str(wheel.body.do).startswith("Boat ashore")
    assert wheel.body.access == "haul-out"


def test_words_of_the_trial_are_said_where_they_stand() -> None:
    """AT SPEED, one step and the end of the run stood on the card without a meaning or a number."""
    assert "quick-return" in str(check("depth-lost-under-way", "chop").outcomes["quick"].means)
    assert "height-step" in str(CATALOGUE.checks["lower-one-step"].do)
    assert "cruising speed" in str(CATALOGUE.checks["speed-trial"].do)
    assert "straight down" in str(CATALOGUE.checks["tilt-at-cruise"].parameters["wanted"])


def test_a_passing_run_is_repeated_before_anybody_goes_to_the_yard() -> None:
    """A pass of an intermittent fault clears nothing: the run is made again in the water, load and sea of the loss."""
    trial = check("depth-lost-under-way", "trial")
    assert "If it holds, again in the water, load and sea of the loss" in str(trial.body.do)
    assert "A pass clears nothing" in str(trial.outcomes["no"].means)
    assert all(str(o.then) != "hand-over" for o in trial.outcomes.values())


@pytest.mark.parametrize("entry", ["depth-never-appeared", "depth-flashes", "shallow-and-wanders"])
def test_an_unclear_place_is_an_answer(entry: str) -> None:
    """In a berth, over weed or in wash no number is no fault, and "no" would mean that the depth came back."""
    name = "afloat" if entry == "depth-never-appeared" else "clear"
    assert "unclear" in check(entry, name).outcomes


def test_a_number_at_the_end_of_its_scale_is_a_circuit_and_not_a_place() -> None:
    """A thermistor circuit that is open reads far below freezing: pins next, not the bilge."""
    answer = check("temperature-wrong", "compare").outcomes["absurd"]
    assert str(answer.label) == "SCALE END"
    assert str(answer.then) == "reseat"


def test_the_source_of_noise_is_named_before_the_gain_goes_to_automatic() -> None:
    """Automatic gain hides the streaks, and then nobody finds what makes them."""
    names = [c.id for c in CATALOGUE.faults["noise-streaks"].checks]
    assert names.index("one-by-one") < names.index("gain")
    assert any("over the deck" in str(line) for line in check("noise-streaks", "cable").body.how)
    assert any("takes DC for AC" in str(line) for line in check("noise-streaks", "charge").body.how)


def test_no_hand_goes_to_a_face_at_a_motor_that_a_remote_can_start() -> None:
    """An electric motor at the bow starts by its remote with the engine off and its key out."""
    assert "motor unplugged" in str(check("forward-blank", "face").body.do)
    for name in ("found-covered", "found-turned"):
        assert "motor unplugged" in str(finding("forward-blank", name).remedy[0])
    assert "unsupported-boat" in finding("forward-blank", "found-covered").cautions


def test_a_forward_picture_at_the_wrong_place_is_not_proved_by_a_plug() -> None:
    """Steps 5 and 6 lead on a picture that is not blank, and NO to "still blank?" would end there."""
    given = check("forward-blank", "reseat").given
    assert "wrong" in str(given["wanted"])
    assert "Right picture" in str(finding("forward-blank", "found-contact").proof)


def test_an_in_hull_transducer_is_judged_by_numbers_that_stand_in_the_step() -> None:
    """ "Far stronger" and "the third column" of a table in the book decide nothing on the boat."""
    assert "twice" in str(check("in-hull-weak", "over-side").body.see).lower()
    assert "{value: tilt-most-narrow}" in str(check("in-hull-weak", "level").body.see)
    assert "{table" not in str(check("in-hull-weak", "level").body.see)
    assert "to automatic" in str(CATALOGUE.checks["gain-and-filter"].do)


def test_turns_that_prove_an_in_hull_face_warn_of_the_propeller() -> None:
    """The depth is held in both turns under way."""
    assert "running-propeller" in finding("in-hull-weak", "found-aim").cautions


def test_nobody_sails_until_the_depth_goes_without_being_told_that_the_number_is_old() -> None:
    """Step 2 may be sailed, two steps before the heel is measured."""
    for name in ("tacks", "heel"):
        assert "old-depth" in check("lost-when-heeled", name).body.cautions


def test_an_insert_that_is_not_home_has_its_fix_where_the_bed_is_looked_at() -> None:
    """The question asks for insert and mark; a fix of couplant alone mends neither."""
    fix = finding("lost-when-heeled", "found-bed")
    assert "set an insert fully home" in " ".join(str(r) for r in fix.remedy)
    assert {"insert-afloat", "unattended-fitting"} <= set(fix.cautions)
    assert "live-cable" in finding("lost-when-heeled", "found-high-side").cautions


def test_a_sound_band_at_the_top_can_pass_the_proof_that_follows_its_question() -> None:
    """A face is convicted by the greater figure of the least depth; a stricter proof sent sound boats on."""
    for name in ("found-face", "found-bed"):
        assert "greater figure" in str(finding("no-bottom-shallow", name).proof)
    assert "Engine off, key out" in str(finding("no-bottom-shallow", "found-face").remedy[0])


def test_a_cracked_face_in_shallow_water_is_looked_at_for_water_coming_in() -> None:
    """ "Whole: no" had no answer."""
    assert str(check("no-bottom-shallow", "face").outcomes["cracked"].to_entry) == "water-at-fitting"


def test_noise_is_not_called_weed_because_the_engine_was_off_for_the_lead_line() -> None:
    """Who cannot judge the picture tries the quiet boat first; the lead line takes the engine's noise away."""
    assert str(check("shallow-and-wanders", "what-echo").outcomes["cannot"].then) == "quiet"
    assert "nothing" in str(check("shallow-and-wanders", "what-echo").body.see)


def test_streaks_that_do_not_come_back_convict_nothing() -> None:
    """Without the streaks the fused battery and the parted plug would both seem to take them away."""
    gain = check("noise-streaks", "gain")
    assert "else CAN'T" in str(gain.body.do)
    assert str(gain.outcomes["cannot"].then) == "hand-over"


def test_whatever_starts_the_engine_for_noise_warns_of_petrol_propeller_and_exhaust() -> None:
    """The start switch and the propeller are the same at the helm, at the posts and on the fused battery."""
    engine = {"petrol-vapour", "running-propeller", "engine-fumes"}
    assert engine <= set(check("noise-streaks", "one-by-one").body.cautions)
    assert engine <= set(check("noise-streaks", "charge").body.cautions)
    assert engine <= {
        *check("noise-streaks", "bypass").cautions,
        *CATALOGUE.checks["bypass-battery"].cautions,
    }
    assert engine <= set(finding("noise-streaks", "found-alternator").cautions)
    assert "under way" in str(finding("noise-streaks", "found-ignition").proof)


@pytest.mark.parametrize(
    "entry",
    ["depth-never-appeared", "depth-flashes", "no-bottom-deep", "shallow-and-wanders", "stuck-small-number"],
)
def test_where_the_bottom_is_weak_the_noise_filter_is_lowered(entry: str) -> None:
    """A strong filter takes a weak bottom with the noise; the five entries never touched it."""
    assert any(c.use == "sounder-settings" for c in CATALOGUE.faults[entry].checks)
    shared = CATALOGUE.checks["sounder-settings"]
    assert "filter lowest" in str(shared.do)
    assert any("{menu: noise-filter}" in str(line) for line in shared.how)


def test_a_moulded_plug_does_not_pass_through_a_sleeve() -> None:
    """Self-bonding tape or a sleeve that wraps round closes a cut in the middle of a cable."""
    text = " ".join(str(r) for r in finding("cable-damaged", "found-jacket").remedy)
    assert "self-bonding tape" in text
    assert "shrink" not in text
    assert "warranty" in " ".join(str(r) for r in finding("cable-damaged", "found-wet").remedy)


def test_no_plain_brass_through_a_hull_and_no_bronze_on_aluminium() -> None:
    """Brass loses its zinc in salt water; bronze on aluminium eats the hull."""
    how = " ".join(str(line) for line in check("choosing-transducer", "hull-material").body.how)
    assert "plain brass" in how
    assert "Never bronze" in how


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("depth-lost-under-way", "cavitation"),
        ("never-worked-since-fitting", "no depth since the day it was fitted"),
        ("transom-bracket", "crooked since the trailer"),
        ("noise-streaks", "dots thicken as the revs rise"),
        ("forward-blank", "ahead shows astern"),
        ("wrong-by-factor", "three times the depth"),
        ("first-launch", "weak since the boat was painted"),
        ("temperature-wrong", "far too cold"),
        ("fish-as-streaks", "normal"),
        ("wrong-element", "flat fitting in a vee hull"),
    ],
)
def test_the_owners_words_lead_to_the_entry(entry: str, words: str) -> None:
    """Complaints as people make them on the telephone."""
    assert words in signs(entry)


def test_two_false_friends_are_told_apart() -> None:
    """A chart that agrees in the morning is the tide; rows that slant and march are another sounder."""
    assert "chart agrees in the morning" in signs("disagrees-with-chart")
    assert "march past" in signs("cross-talk")


def test_entries_name_the_neighbour_that_they_were_taken_for() -> None:
    """A blank depth that never worked, a bracket that was struck, a picture weak since the paint."""
    for entry, words in (
        ("depth-never-appeared", "{card: never-worked-since-fitting}"),
        ("depth-lost-under-way", "{card: transom-bracket}"),
        ("weak-picture", "paint"),
    ):
        assert words in " ".join(str(line) for line in CATALOGUE.faults[entry].condition.tells_apart)


def test_what_a_formula_takes_where_nothing_is_given_is_the_limit_of_the_content() -> None:
    """Pages take the value of the content; the terminal, which reads none, answers with the same limit."""
    for name, ends in {
        "fore-aft-limit": (FORE_AFT_LIMIT_DEG, "deg"),
        "design-drop": (DESIGN_DROP_PCT, "%"),
        "block-thin-side": (THIN_SIDE_MM, "mm"),
        "propeller-distance": (PROPELLER_MM[0], "mm"),
        "propeller-comfortable": (PROPELLER_MM[1], "mm"),
        "strake-distance": (STRAKE_MM[0], "mm"),
        "strake-comfortable": (STRAKE_MM[1], "mm"),
        "below-smooth": (BELOW_MM["grp"][0], "mm"),
        "below-smooth-most": (BELOW_MM["grp"][1], "mm"),
        "below-riveted": (BELOW_MM["aluminium"][0], "mm"),
        "below-riveted-most": (BELOW_MM["aluminium"][1], "mm"),
    }.items():
        declared = parse(str(CATALOGUE.values[name].declared))
        assert convert(declared.value, declared.unit, ends[1]) == pytest.approx(ends[0]), name


def test_a_changed_limit_reaches_the_table() -> None:
    """The content gives the fore-and-aft limit, the formula takes it."""
    table = CATALOGUE.tables["tilt-limits"]
    value = CATALOGUE.values["fore-aft-limit"].model_copy(update={"declared": "4 deg"})
    changed = dataclasses.replace(
        CATALOGUE, records={**CATALOGUE.records, "values": {**CATALOGUE.values, "fore-aft-limit": value}}
    )
    before, after = (compute_table(table, found).cells[0][-1].text for found in (CATALOGUE, changed))

    assert (before, after) == ("5°", "4°")


def test_a_fitting_is_looked_at_before_the_engine_runs_on_it() -> None:
    """The trial ran the engine for ten minutes afloat before anybody looked whether the new fitting was dry."""
    names = [c.id for c in CATALOGUE.faults["proving-trial"].checks]
    assert names.index("fitting") < names.index("settle")


def test_petrol_is_smelt_for_before_the_engine_of_a_proving_trial_starts() -> None:
    """Work in the bilge comes before the trial, and the starter is the first spark after it."""
    assert "petrol-vapour" in check("proving-trial", "settle").body.cautions


def test_a_trial_without_its_run_at_cruise_is_not_proved() -> None:
    """The sheet led on to the signature, and the note that should stand beside it is on no sheet."""
    assert str(check("proving-trial", "cruise").outcomes["cannot"].then) == "not-proved"


@pytest.mark.parametrize("name", ["found-pick-up", "found-plug"])
def test_a_wheel_is_proved_before_its_insert_goes_back(name: str) -> None:
    """Once refitted it can only be spun from beneath the boat."""
    assert str(finding("speed-wrong", name).proof).startswith("Before refitting")


@pytest.mark.parametrize(
    "name", ["found-factor", "found-settings", "found-wheel", "found-turned", "found-flow"]
)
def test_a_speed_that_is_proved_by_a_run_names_the_propeller(name: str) -> None:
    """The proof is a run like that of the steps, which name it."""
    assert "running-propeller" in finding("speed-wrong", name).cautions


def test_settings_of_a_speed_wheel_are_tried_under_way() -> None:
    """At a berth zero is right, whatever the settings."""
    assert check("speed-wrong", "settings").body.state == "under-way"


def test_an_unmeasured_transom_gets_no_bracket() -> None:
    """The walk ordered a bracket for a rake that nobody had measured."""
    assert str(check("choosing-transducer", "clearance").outcomes["cannot"].then) == "yard"


def test_a_longer_cable_is_fitted_under_the_same_warnings() -> None:
    """It had a fix of its own that said "fit it" with no word of sealant, of the line or of the depth."""
    cable = check("choosing-transducer", "cable").outcomes
    assert {str(cable[name].then) for name in ("yes", "no", "cannot")} == {"chosen"}
    assert "sealant-cure" in finding("choosing-transducer", "chosen").cautions


def test_the_material_of_the_fitting_is_said_where_it_is_ordered() -> None:
    """METAL and PLANKED lead where YES leads: bronze on aluminium and plastic in planks were ordered alike."""
    text = " ".join(str(r) for r in finding("choosing-transducer", "chosen").remedy)
    assert "no bronze" in text
    assert "no plastic" in text


def test_only_the_thermistor_pair_convicts_the_thermistor() -> None:
    """WRONG stood for each pair and for the insulation too, and all of them ended at the thermistor."""
    outcomes = check("temperature-wrong", "thermistor").outcomes
    assert str(outcomes["open"].label) == "THERMISTOR"
    assert str(outcomes["other"].to_entry) == "which-part"


def test_a_missing_temperature_is_asked_for_its_source_first() -> None:
    """Dashes from a source that is not aboard led past the source to the plug."""
    asked = check("temperature-wrong", "compare")
    assert "A number shown" in str(asked.body.see)
    assert str(asked.outcomes["no"].then) == "source"


def test_a_bracket_has_a_window_for_its_height_and_its_angle() -> None:
    """A face at 6 mm, sound by its picture, was lowered, and no measured angle meets a row of the table exactly."""
    height = str(check("transom-bracket", "height").body.see)
    for name in ("below-smooth", "below-smooth-most", "below-riveted", "below-riveted-most"):
        assert f"{{value: {name}}}" in height
    assert "bracket-tolerance" in str(check("transom-bracket", "angle").body.see)


def test_a_sound_latch_is_pulled_lightly() -> None:
    """It is made to let go: a hard pull kicks it up and convicts it."""
    assert "lightly" in str(check("transom-bracket", "latch").body.do)


def test_a_restart_is_credited_with_the_memory_card_back_in() -> None:
    """The card came out for the restart: without it the card would go unconvicted and come back with the fault."""
    found = finding("record-then-restore", "found-restart")
    assert "memory card back" in str(found.remedy[0])
    assert str(found.proof).startswith("Card in")


def test_checks_that_are_made_up_for_end_nothing_while_the_fault_stands() -> None:
    """The proof asked for the checks alone, and a fault that stood ended as mended."""
    for name in ("found-first", "found-list"):
        assert "fault away" in str(finding("record-then-restore", name).proof)


def test_a_failed_proof_of_the_versions_passes_over_no_supply() -> None:
    """It led to the start from cold, past the unit's own volts."""
    assert str(finding("lost-after-update", "found-versions").unproved) == "own-volts"


def test_a_weep_at_the_launch_is_followed_on_its_own_sheet() -> None:
    """Three fixes asked for the launch in their proof, and a weep led back to a plug or to the yard."""
    fitted = CATALOGUE.faults["lay-up-and-recommission"]
    launch = [c.id for c in fitted.checks].index("afloat") + 1
    assert check(fitted.id, "afloat").outcomes["no"].to_entry == "water-at-fitting"
    asked = [
        f
        for f in fitted.findings
        if re.search(rf"(?i)steps? [\d and]*{launch} passed|to {launch} passed", str(f.proof))
    ]
    assert len(asked) == 3
    for fix in asked:
        remedy = " ".join(fix.remedy)
        assert "weeps, take {card: water-at-fitting}" in remedy, fix.id


def test_a_housing_that_ice_has_cracked_is_not_launched() -> None:
    """Water freezes in a bore or housing over the winter: it is looked at whole before the launch, not only clean."""
    asked = check("lay-up-and-recommission", "ashore")
    assert str(asked.body.see).startswith("Whole")
    assert "housing" in str(asked.body.do)
    assert asked.outcomes["damaged"].to_entry == "water-at-fitting"


def test_what_is_read_on_the_unit_is_read_before_its_plug_is_out() -> None:
    """A fix that begins with "Unit off, power plug out" cannot ask for a menu."""
    assert "Unit off, power plug out" in str(CATALOGUE.records["cautions"]["live-element"].first)
    for entry in CATALOGUE.faults.values():
        for fix in entry.findings:
            if "live-element" in fix.cautions:
                assert not prose.named(fix.remedy, "menu"), (entry.code, fix.id)
    assert "record-settings" in prose.named([check("lay-up-and-recommission", "season").body.do], "menu")


def test_a_boat_laid_up_afloat_keeps_its_bilge_pump() -> None:
    """A pump on a disconnected battery sinks the boat over the winter."""
    fix = finding("lay-up-and-recommission", "laid-up")
    (line,) = (str(line) for line in fix.remedy if "Disconnect" in line)
    assert "afloat, not the bilge pump" in line


def test_bad_own_volts_lead_past_no_battery() -> None:
    """A fall can be the battery's: who is sent to the feed begins at the plug, or at the battery, never behind it."""
    order = [c.id for c in CATALOGUE.faults["feed-falls-under-load"].checks]
    sent = [
        (entry.code, outcome.at)
        for entry in CATALOGUE.faults.values()
        for asked in entry.checks
        if asked.use == "own-volts"
        for outcome in asked.outcomes.values()
        if outcome.to_entry == "feed-falls-under-load" and outcome.at is not None
    ]
    assert sent
    assert all(order.index(at) <= order.index("battery") for _, at in sent), sent


def test_a_memory_card_goes_back_in_and_is_convicted_by_the_fault_that_returns() -> None:
    """It came out for a restart, and nothing put it back: the charts stayed at the dealer's."""
    assert "out until the END" in str(check("depth-frozen", "restart").body.do)
    fix = finding("depth-frozen", "found-hung")
    assert re.search(r"put it back\. If it hangs again only with it, renew", str(fix.remedy[0]))
    assert "memory card in" in str(fix.proof)
    assert {"lead-line", "memory-card"} <= set(fix.tools)


def test_a_fault_that_the_sponge_took_away_has_its_answer() -> None:
    """Look and sponge want the unit off: the fault is judged with it on again, and gone is an answer."""
    asked = check("transducer-suspected", "face")
    assert "Unit on: fault still there" in str(asked.given["wanted"])
    assert asked.outcomes["gone"].then == "found-face"


def test_little_water_is_judged_by_the_table_of_the_least_depth() -> None:
    """SHALLOW is an answer of that step, and where to go on belongs to YES alone."""
    asked = check("depth-flashes", "lost-where")
    assert {"deepest-depth", "shallowest-depth"} <= set(prose.named([asked.body.do], "table"))
    assert str(asked.body.do).endswith("If YES, go on there.")
