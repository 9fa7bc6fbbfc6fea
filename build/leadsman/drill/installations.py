"""Draw installations and sound boats: the scenario's boats, their equipment, waters, seasons and batteries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat, Transducer
from leadsman.drill import circuit, sonar
from leadsman.drill.boats import Installation, State
from leadsman.drill.view import blind, reach

#: Loss through a solid laminate of ordinary thickness, two-way dB at 200 kHz and half of that at 50 (common practice).
_LAMINATE_DB = (3.0, 10.0)
#: Conductors in mm2 (IEC 60228), and the share of the nominal volts that the lead of an electronic unit may lose
#: (3 %: ABYC E-11, from memory).
_CONDUCTORS_MM2 = (0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0)
_MOST_DROP = 0.03


@dataclass(frozen=True)
class Wanted:
    """What an installation must have; empty: anything."""

    boat: str | None = None
    capabilities: tuple[str, ...] = ()
    battery: str | None = None
    housing: str | None = None
    sailing: bool = False


def pulses_of(transducer: Transducer) -> tuple[tuple[sonar.Pulse, ...], tuple[str, ...]]:
    """The bands that give the depth number: those that look down, or all of a transducer without such."""
    bands = [b for b in transducer.bands if b.looks == "down"] or list(transducer.bands)
    made = tuple(
        sonar.Pulse(b.frequency_khz, b.bandwidth_khz, b.power_w, b.beamwidth_deg,
                    b.narrow_beamwidth_deg or b.beamwidth_deg, b.pulse_short_ms, b.pulse_long_ms,
                    b.quality_factor, b.receiver_recovery_ms)
        for b in bands
    )  # fmt: skip
    return made, tuple(b.id for b in bands)


def fits(boat: Boat, catalogue: Catalogue, wanted: Wanted) -> bool:
    """Whether a boat of the content serves as it is."""
    family = catalogue.families[boat.display]
    transducer = catalogue.transducers[boat.transducer]
    return (
        (wanted.boat is None or boat.id == wanted.boat)
        and set(wanted.capabilities) <= set(family.capabilities)
        and (wanted.battery is None or boat.supply.battery == wanted.battery)
        and (wanted.housing is None or transducer.housing == wanted.housing)
        and (not wanted.sailing or boat.hull == "sailing")
    )


def choose(catalogue: Catalogue, wanted: Wanted, rng: np.random.Generator, history: str) -> Installation:
    """An installation of the scenario that has what is wanted; where none has, one is rebuilt until it does."""
    boats = [boat for boat in catalogue.boats.values() if fits(boat, catalogue, wanted)]
    boat = boats[int(rng.integers(len(boats)))] if boats else _rebuilt(catalogue, wanted, rng)
    family, transducer = catalogue.families[boat.display], catalogue.transducers[boat.transducer]
    waters = [catalogue.waters[w] for w in boat.waters]
    pulses, ids = pulses_of(transducer)
    return Installation(
        boat, family, transducer, waters[int(rng.integers(len(waters)))], pulses, ids,
        has_adapter=bool(rng.random() < 0.35), second_sounder=bool(rng.random() < 0.4), history=history,
        summer=bool(rng.random() < 0.6),
    )  # fmt: skip


def _rebuilt(catalogue: Catalogue, wanted: Wanted, rng: np.random.Generator) -> Boat:
    boats = [b for b in catalogue.boats.values() if wanted.boat is None or b.id == wanted.boat]
    boat = boats[int(rng.integers(len(boats)))]
    families = [
        f for f in catalogue.families.values() if set(wanted.capabilities) <= set(f.capabilities)
        and any(_serves(catalogue.transducers.get(t), wanted) for t in f.transducers)
    ]  # fmt: skip
    if not families:
        return boat
    family = families[int(rng.integers(len(families)))]
    heads = [t for t in family.transducers if _serves(catalogue.transducers.get(t), wanted)]
    supply = boat.supply
    if wanted.battery is not None:
        supply = supply.model_copy(update={"battery": wanted.battery})
    if supply.nominal_v * 1.2 > family.supply_high_v:
        supply = supply.model_copy(update={"nominal_v": 12})
    update = {"display": family.id, "transducer": heads[int(rng.integers(len(heads)))], "supply": supply}
    return boat.model_copy(update=update)


def with_sound_lead(fitted: Installation) -> Installation:
    """The installation as it is; where its own lead loses more than 3 %, with the next conductor that does not.

    A boat of one fault has one: a lead that is too thin would be a second one beneath it.
    """
    boat, nominal = fitted.boat, fitted.boat.supply.nominal_v
    current = fitted.family.current_a * 12.0 / nominal
    sizes = [size for size in _CONDUCTORS_MM2 if size > _area(boat.supply.conductor)]
    conductor = boat.supply.conductor
    while sizes and _drop(conductor, fitted, current) > _MOST_DROP * nominal:
        conductor = f"{sizes.pop(0):g} mm2"
    supply = boat.supply.model_copy(update={"conductor": conductor})
    return replace(fitted, boat=boat.model_copy(update={"supply": supply}))


def _drop(conductor: str, fitted: Installation, current: float) -> float:
    """Volts lost warm over both legs; joints and contacts are judged by themselves."""
    return current * 2 * circuit.lead_ohm(_area(conductor), fitted.boat.supply.lead_length_m, 40.0)


def _serves(transducer: Transducer | None, wanted: Wanted) -> bool:
    return transducer is not None and (wanted.housing is None or transducer.housing == wanted.housing)


def _area(conductor: str) -> float:
    number, unit = conductor.split()
    return circuit.gauge_mm2(int(number)) if unit == "AWG" else float(number)


def sound_state(fitted: Installation, rng: np.random.Generator, place: str = "ordinary") -> State:
    """A boat with nothing wrong: its battery within the sound range, its water in reach, its noise ordinary.

    ``place`` is ordinary, deep (half to nine tenths of the reach) or shallow (just beyond the blind band).
    """
    supply, water = fitted.boat.supply, fitted.water
    state = State()
    rest = {"flooded": (12.5, 12.75), "agm": (12.55, 12.9), "lithium": (13.1, 13.3)}[supply.battery]
    state.battery_v = float(rng.uniform(*rest)) * fitted.times
    state.battery_ohm = (
        float(rng.uniform(0.008, 0.025 if supply.battery != "lithium" else 0.015)) * fitted.times
    )
    state.alternator_v = float(rng.uniform(13.8, 14.5)) * fitted.times
    state.charger_v = float(rng.uniform(13.4, 14.4)) * fitted.times
    leg = circuit.lead_ohm(_area(supply.conductor), supply.lead_length_m, float(rng.uniform(5, 40)))
    state.positive_ohm, state.negative_ohm = leg, leg
    share = supply.contact_ohm * float(rng.uniform(0.6, 1.0))
    state.holder_ohm, state.joint_ohm, state.plug_ohm = 0.3 * share, 0.4 * share, 0.3 * share
    state.unit_w = fitted.family.current_a * 12.0 * float(rng.uniform(0.85, 1.0))
    state.readout_low_v = float(rng.uniform(0.2, 0.7))
    warm = water.summer_c if fitted.summer else water.winter_c
    state.sea = sonar.Sea(
        warm + float(rng.uniform(-1.5, 1.5)), water.salinity_psu, water.sediment, water.wind_mps, water.ph
    )
    state.installed_db = float(rng.normal(0, 3.0))
    if fitted.in_hull:
        state.laminate_db = float(rng.uniform(*_LAMINATE_DB))
    for b in range(len(fitted.pulses)):
        state.band = b if reach(state, fitted, b) >= reach(state, fitted, state.band) else state.band
    deepest, least = reach(state, fitted, state.band), blind(state, fitted, state.band)
    state.depth_m = {
        "deep": lambda: deepest * float(rng.uniform(0.45, 0.7)),
        "shallow": lambda: least * float(rng.uniform(1.1, 1.5)),
        "ordinary": lambda: min(max(least * 1.3, float(rng.uniform(2.5, 15.0))), deepest * 0.5),
    }[place]()
    state.depth_m = max(state.depth_m, least * 1.05)
    return state


def waters_of(catalogue: Catalogue) -> Iterable[str]:
    return catalogue.waters
