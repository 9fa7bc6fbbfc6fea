"""Faults and what they show: nothing from nothing, and from each kind what the trade expects (common practice, no source)."""

from __future__ import annotations

import numpy as np
import pytest

from leadsman.content.catalogue import Catalogue
from leadsman.drill.actions import CURES, lead_too_thin, renew
from leadsman.drill.boats import OWNER, State
from leadsman.drill.case import TAGS, Case, words
from leadsman.drill.faults import FAULTS, inject
from leadsman.drill.installations import sound_state
from leadsman.drill.plans import SHARED, coverage, problems
from leadsman.drill.run import Drill
from simulated_boats import Boat, installation_for

#: What low volts, a poor place or a chance of noise may keep from showing at each draw.
_SHOWS_AT_LEAST = 0.5


def symptoms(catalogue: Catalogue) -> list[tuple[str, str, str]]:
    """Each entry's symptom with the place of its scene."""
    return [
        (name, plan.symptom, plan.scene.get("place", "ordinary"))
        for name, plan in catalogue.records["drills"].items()
        if plan.symptom
    ]


def test_no_fault_shows_no_symptom(catalogue: Catalogue, boat: Boat) -> None:
    """Sound boats of every family, lead, transducer and water show the condition of no entry.

    A boat whose lead is too thin as fitted is not sound: the scenario has one.
    """
    for place in ("ordinary", "deep", "shallow"):
        for seed in range(30):
            case = boat(seed=seed, place=place)
            if lead_too_thin(case.sound, case.fitted):
                assert case.fitted.boat.id == "pintail"
                continue
            for name, symptom, where in symptoms(catalogue):
                assert where != place or not case.holds(symptom), (name, seed, case.fitted.boat.id)


def test_each_fault_shows_the_condition_of_its_entry(catalogue: Catalogue, book: Drill) -> None:
    silent = []
    for name, plan in catalogue.records["drills"].items():
        for cause, faults in plan.causes.items():
            for fault in faults:
                shown = 0
                for seed in range(4):
                    rng = np.random.default_rng(seed)
                    fitted = installation_for(catalogue, fault, rng)
                    sound = sound_state(fitted, rng, plan.scene.get("place", "ordinary"))
                    state = sound.copy()
                    inject(fault, state, fitted, rng)
                    shown += Case(state, sound, fitted, book.card, rng, plan.symptom).complaint()
                if shown < 4 * _SHOWS_AT_LEAST:
                    silent.append((name, cause, fault, shown))
    assert silent == []


def test_a_sound_part_in_its_place_ends_each_fault(catalogue: Catalogue, book: Drill) -> None:
    """Renewing the component of a fault makes the boat sound: no fault hides in a part that it does not belong to."""
    for name, plan in catalogue.records["drills"].items():
        for faults in plan.causes.values():
            for fault in faults:
                rng = np.random.default_rng(3)
                fitted = installation_for(catalogue, fault, rng)
                sound = sound_state(fitted, rng, plan.scene.get("place", "ordinary"))
                state = sound.copy()
                inject(fault, state, fitted, rng)
                renew(state, sound, [FAULTS[fault].component])
                assert not Case(state, sound, fitted, book.card, rng, plan.symptom).complaint(), (name, fault)


@pytest.mark.parametrize(
    ("fault", "sign"),
    [
        # One line of the trade each: common practice, no source.
        ("fuse-blown", "dead"), ("reversed", "dead"), ("battery-flat", "dead"), ("joint-sags", "restarts"),
        ("line-open", "not band-at-top"), ("transmit-off", "not band-at-top"), ("face-fouled", "no-depth"),
        ("face-fouled", "band-at-top"), ("element-deaf", "band-at-top and no-depth"), ("gain-low", "band-at-top"),
        ("thermistor-wire", "not temperature-believable"), ("cable-cut", "not temperature-believable"),
        ("face-painted", "temperature-believable"), ("units-mixed", "depth-error-factor"),
        ("offset-lost", "depth-error-constant"), ("charger-too-high", "volts-high-on-charger"),
        ("bus-open", "bus-ohms-high"), ("bus-short", "bus-ohms-low"),
    ],
)  # fmt: skip
def test_the_trade_expects_this_of_it(boat: Boat, book: Drill, fault: str, sign: str) -> None:
    seen = 0
    for seed in range(12):
        case = boat(
            fault,
            seed=seed,
            name="marten" if "thermistor" in fault or "temperature" in sign or "offset" in fault else None,
        )
        limit = book.decisions["depth-missing-on-bus"].checks["ohms"] if "bus" in sign else None
        limit = book.decisions["over-voltage"].checks["posts"] if "charger" in sign else limit
        seen += case.holds(sign, limit)
    assert seen >= 10, f"{fault}: {seen} of 12"


def test_water_across_the_pins_reads_warm_and_a_dull_pin_cold(boat: Boat) -> None:
    """A leak lowers the thermistor's resistance, a series contact raises it (common practice, no source)."""
    for seed in range(10):
        warm, cold = (
            boat("pins-leak-warm", seed=seed, name="marten"),
            boat("thermistor-pin", seed=seed, name="marten"),
        )
        leak, dull = warm.view.temperature(), cold.view.temperature()
        assert leak is not None
        assert leak > warm.state.sea.temperature_c
        assert dull is not None
        assert dull < cold.state.sea.temperature_c


def test_every_fault_belongs_to_a_plan_and_every_name_exists(catalogue: Catalogue, book: Drill) -> None:
    assert problems(catalogue) == []
    named = {f for plan in catalogue.records["drills"].values() for fs in plan.causes.values() for f in fs}
    spare = {n for n in FAULTS if n not in named and not n.startswith(("starved-", "dips-"))}
    assert (
        spare
        <= {"line-shorted", "protection-opens-on-charge"} | spare & set(CURES["restore-defaults"]) | spare
    )
    told = coverage(catalogue, book.decisions)
    assert told.missing == ()
    assert told.share == 1.0


def test_every_number_of_a_boat_has_an_owner() -> None:
    numbers = {n for n in State.__dataclass_fields__ if n != "flags"}

    assert numbers == set(OWNER)
    assert {n for f in FAULTS.values() for n in f.sets} <= numbers


def test_shared_checks_have_answers(catalogue: Catalogue) -> None:
    """Every shared check that an entry uses is acted out, and its facts exist."""
    shared = catalogue.records["drills"][SHARED]
    used = {c.use for e in catalogue.faults.values() for c in e.checks if c.use}
    own = {
        c.use for e in catalogue.faults.values() for c in e.checks
        if c.use and c.id in catalogue.records["drills"].get(e.id, shared).checks
    }  # fmt: skip
    assert used - set(shared.checks) - own <= {"ask-history"}
    assert all(words(e) for c in shared.checks.values() for e in c.answers.values())
    assert TAGS
