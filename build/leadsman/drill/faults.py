"""The faults that the drill puts into a boat: the component, what it changes, and what is seen that no number tells.

A number that follows from physics (a resistance, a loss in dB, a depth) is changed in the state, and what is seen
of it is computed. What no formula here yields (which way a mark points) is named in ``shows``: the trade's
knowledge of that fault, common practice without a source, written down apart from any entry.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from leadsman.drill.boats import INFINITE, Installation, State

Draw = Callable[["np.random.Generator", State, Installation], Any]


def between(low: float, high: float) -> Draw:
    """A number drawn evenly between two."""
    return lambda rng, state, fitted: float(rng.uniform(low, high))


def spread(low: float, high: float) -> Draw:
    """A number drawn evenly in its logarithm: resistances of contacts."""
    return lambda rng, state, fitted: float(math.exp(rng.uniform(math.log(low), math.log(high))))


def always(value: Any) -> Draw:
    """The same each time."""
    return lambda rng, state, fitted: value


@dataclass(frozen=True)
class Fault:
    """One way in which a component goes wrong."""

    component: str
    sets: Mapping[str, Draw] = field(default_factory=dict)
    shows: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    """What the boat must have: in-hull, through-hull, transom, lithium, adapter, second, network, own, petrol, tilted."""


def _sag(low: float, high: float) -> Draw:
    """A resistance that lets the unit's volts, transmitting, come to between these above its low limit."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        target = fitted.family.supply_low_v + float(rng.uniform(low, high))
        whole = (state.battery_v - target) * target / state.unit_w
        have = state.battery_ohm + state.positive_ohm + state.negative_ohm + state.joint_ohm + state.plug_ohm
        return max(whole - have - state.holder_ohm, 0.02) + state.joint_ohm

    return draw


def _sagging_battery(low: float, high: float) -> Draw:
    """A rest voltage of a tired battery that lets the unit come to between these above its low limit."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        target = fitted.family.supply_low_v + float(rng.uniform(low, high))
        loop = state.positive_ohm + state.negative_ohm + state.joint_ohm + state.plug_ohm + state.holder_ohm
        # Tired: what fails is its inner resistance, so that it rests high enough and falls under the load.
        return max((state.battery_v - target) * target / state.unit_w - loop, 0.03)

    return draw


def _beyond_reach(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    from leadsman.drill.view import reach

    return min(max(reach(state, fitted) * float(rng.uniform(1.15, 1.6)), 8.0), 1400.0)


def _dead_zone(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    from leadsman.drill.view import blind

    return blind(state, fitted) * float(rng.uniform(0.5, 0.9))


def _nominal(factor_low: float, factor_high: float) -> Draw:
    return lambda rng, state, fitted: 12.0 * fitted.times * float(rng.uniform(factor_low, factor_high))


def _foot(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return state.depth_m * float(rng.uniform(0.3, 0.8))


def _top(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return state.depth_m * float(rng.uniform(1.3, 2.0))


def _other_band(rng: np.random.Generator, state: State, fitted: Installation) -> int:
    return (state.band + 1) % len(fitted.pulses)


def _between_bands(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    """Water that one band reads and the one just chosen does not: too deep for it, or within its ringing."""
    from leadsman.drill.view import blind, reach

    bad, good = state.band, (state.band + 1) % len(fitted.pulses)
    low, high = reach(state, fitted, bad), reach(state, fitted, good)
    if low < high:
        return low + (high - low) * float(rng.uniform(0.3, 0.9))
    near, far = blind(state, fitted, good), blind(state, fitted, bad)
    return near + (far - near) * float(rng.uniform(0.2, 0.8))


def _twice(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return fitted.boat.face_immersion_m * float(rng.choice((1.0, -1.0)))


def _loss(low: float, high: float) -> Draw:
    """A loss that takes the boat from its margin at this depth to this many dB below what a number needs."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        from leadsman.drill.view import margin

        return max(margin(state, fitted), 0.0) + float(rng.uniform(low, high))

    return draw


def _tilt(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    beam = fitted.pulses[state.band].narrow_deg
    return max(8.0, 0.6 * beam) * float(rng.uniform(1.0, 1.6)) + 4.0


_SOUNDER_LIMIT = 0.45
"""Volts above the low limit of the screen below which the sounder no longer gets what it needs (common practice)."""

FAULTS: dict[str, Fault] = {
    # --- battery
    "battery-tired": Fault("battery", {"battery_ohm": _sagging_battery(-0.4, -0.05)}),
    "battery-flat": Fault("battery", {"battery_v": _nominal(0.55, 0.78)}),
    "battery-open": Fault("battery", {"battery_v": always(2.0)}, ("all-dead",)),
    "lithium-empty": Fault("battery", {"battery_v": always(3.0)}, ("all-dead",), ("lithium",)),
    "lithium-charger-wrong": Fault("battery", {"battery_v": always(3.0)}, ("all-dead",), ("lithium",)),
    "lithium-heavy-load": Fault("battery", {"battery_v": always(3.0)}, ("all-dead",), ("lithium",)),
    "lithium-cold": Fault("battery", {"battery_v": always(3.0)}, ("all-dead",), ("lithium",)),
    "lithium-failed": Fault("battery", {"battery_v": always(2.0)}, ("all-dead", "swollen"), ("lithium",)),
    "lithium-dead-cell": Fault("battery", {"battery_v": always(2.0)}, ("all-dead",), ("lithium",)),
    "crank-battery-weak": Fault("battery", {"battery_ohm": between(0.038, 0.06)}, ("crank-restart", "shared-with-starter"), ("lead",)),
    "regulator-failed": Fault("battery", {"alternator_v": _nominal(1.32, 1.5)}, ("high-engine",)),
    "charger-too-high": Fault("battery", {"charger_v": _nominal(1.3, 1.45)}, ("high-charger",)),
    "battery-clamp-loose": Fault("battery", {"alternator_v": _nominal(1.3, 1.5)}, ("high-engine", "clamp-loose")),
    "bank-too-high": Fault("battery", {"battery_v": always(25.4)}, ("high-rest",), ("twelve", "narrow")),
    "protection-opens-on-charge": Fault("battery", {}, ("high-surge",), ("lithium",)),
    # --- supply cable
    "lead-thin": Fault("supply-cable", {"positive_ohm": _sag(-0.5, -0.05), "negative_ohm": lambda r, s, f: s.positive_ohm / 2}),
    "leg-broken": Fault("supply-cable", {"positive_ohm": spread(200, 2e5)}),
    "reversed": Fault("supply-cable", {}, ("reversed",)),
    "wake-unfed": Fault("supply-cable", {}, ("wake-unfed",)),
    "lead-shared": Fault("supply-cable", {"shared_a": lambda r, s, f: (s.battery_v - f.family.supply_low_v + 0.3) / (s.positive_ohm + s.negative_ohm + s.joint_ohm)}, ("fed-with-others",)),
    "second-unit-on-feed": Fault("supply-cable", {"shared_a": lambda r, s, f: max(0.8, (s.battery_v - f.family.supply_low_v - 0.2) / (s.positive_ohm + s.negative_ohm + s.joint_ohm + s.battery_ohm))}, ("sags-with-second",)),
    "converter-small": Fault("supply-cable", {"source_limit_a": lambda r, s, f: s.unit_w / s.battery_v * float(r.uniform(0.5, 0.85))}),
    "pinched-lead": Fault("supply-cable", {}, ("blows-at-once", "short-in-lead")),
    "others-on-fuse": Fault("supply-cable", {}, ("blows-later", "others-on-fuse")),
    "tap-at-alternator": Fault("supply-cable", {}, ("high-engine", "high-at-unit-only")),
    "fed-from-starter": Fault("supply-cable", {}, ("crank-restart", "shared-with-starter")),
    "negative-shared": Fault("supply-cable", {}, ("crank-restart", "negative-lifts")),
    # --- joints
    "fuse-blown": Fault("joints", {"fuse_open": always(True)}),
    "holder-green": Fault("joints", {"holder_ohm": spread(50, 5e4)}),
    "joint-green": Fault("joints", {"joint_ohm": spread(30, 3e4)}),
    "holder-sags": Fault("joints", {"holder_ohm": _sag(-0.4, -0.05)}),
    "joint-sags": Fault("joints", {"joint_ohm": _sag(-0.4, -0.05)}),
    "joint-pulses": Fault("joints", {"pulse_ohm": _sag(-1.2, -0.3)}),
    "feed-off": Fault("joints", {"feed_open": always(True)}, ("feed-switched-off",)),
    "feed-not-live": Fault("joints", {"feed_open": always(True)}, ("feed-not-live",)),
    "main-joint-open": Fault("joints", {"feed_open": always(True)}, ("all-dead",), ("lithium",)),
    "fuse-too-small": Fault("joints", {}, ("blows-later", "fuse-small")),
    "holder-hot": Fault("joints", {"holder_ohm": between(0.15, 0.4)}, ("blows-later", "holder-burnt")),
    "crank-clamp-bad": Fault("joints", {"clamp_ohm": between(0.012, 0.03)}, ("crank-restart", "shared-with-starter")),
    "batteries-linked": Fault("joints", {}, ("crank-restart", "linked")),
    "feed-poor-crank": Fault("joints", {"joint_ohm": _sag(0.05, 0.4)}, ("crank-restart", "shared-with-starter")),
    "charging-joint": Fault("joints", {"alternator_v": _nominal(1.28, 1.42)}, ("lost-with-revs", "volts-with-revs")),
    "bus-unpowered": Fault("joints", {}, ("bus-silent", "bus-feed-low")),
    # --- cradle
    "plug-not-home": Fault("cradle", {"plug_ohm": always(1e6)}),
    "cradle-mute": Fault("cradle", {}, ("sensor-missing", "cradle-contacts")),
    "cradle-one-band": Fault("cradle", {}, ("one-band-dead", "cradle-contacts"), ("two-bands",)),
    "cradle-deaf": Fault("cradle", {}, ("deaf", "cradle-contacts")),
    "cradle-sags": Fault("cradle", {"plug_ohm": _sag(-0.4, -0.05)}),
    "power-plug-burnt": Fault("cradle", {}, ("blows-at-once", "short-in-plug")),
    # --- display
    "display-dead": Fault("display", {}, ("display-dead",)),
    "display-restarts": Fault("display", {}, ("restarts-itself",)),
    "display-loops": Fault("display", {}, ("loops",)),
    "display-shorted": Fault("display", {}, ("blows-at-once", "short-in-unit")),
    "sun-heat": Fault("display", {}, ("hot",)),
    "no-air": Fault("display", {}, ("hot",)),
    "unit-heat-drops": Fault("display", {}, ("drops", "with-heat", "cured-by-shade")),
    "socket-green": Fault("display", {}, ("socket-bad",)),
    "socket-cracked": Fault("display", {}, ("drops", "socket-bad")),
    "input-dead": Fault("display", {}, ("input-dead",)),
    "transmitter-dead": Fault("display", {}, ("no-pulse",)),
    "receiver-deaf": Fault("display", {}, ("deaf",)),
    "one-output-dead": Fault("display", {}, ("one-band-dead",), ("two-bands",)),
    "port-dead": Fault("display", {}, ("serial-silent", "port-dead")),
    # --- settings
    "dark": Fault("settings", {}, ("dark",)),
    "screen-dead": Fault("display", {}, ("dark", "beeps-black")),
    "transmit-off": Fault("settings", {}, ("transmit-off", "message-stopped")),
    "quiet-mode": Fault("settings", {}, ("transmit-off", "message-stopped")),
    "held-by-other": Fault("settings", {}, ("held",), ("network",)),
    "page-elsewhere": Fault("settings", {}, ("page-elsewhere",)),
    "page-hidden": Fault("settings", {}, ("page-hidden",)),
    "simulator-on": Fault("settings", {}, ("simulates",)),
    "show-card": Fault("settings", {}, ("simulates", "starts-simulating", "card-in")),
    "source-wrong": Fault("settings", {}, ("source-wrong",)),
    "type-wrong": Fault("settings", {"line_db": between(12, 25)}, ("type-differs",)),
    "type-by-hand": Fault("settings", {}, ("type-differs", "type-message", "type-by-hand")),
    "range-fixed": Fault("settings", {"range_m": _foot}),
    "range-in-feet": Fault("settings", {"range_m": _foot}, ("range-in-feet",)),
    "gate-foot": Fault("settings", {"gate_foot_m": _foot}),
    "gate-top": Fault("settings", {"gate_top_m": _top}),
    "gain-low": Fault("settings", {"gain_db": _loss(2, 12)}, ("gain-by-hand",)),
    "gain-high": Fault("settings", {}, ("gain-high", "gain-by-hand")),
    "filter-strong": Fault("settings", {"gain_db": _loss(2, 10)}, ("filter-strong",)),
    "surface-filter": Fault("settings", {"gain_db": _loss(2, 10)}, ("surface-filter",)),
    "colours-pale": Fault("settings", {"gain_db": _loss(2, 10)}, ("colours-pale",)),
    "band-unsuited": Fault("settings", {"band": _other_band, "depth_m": _between_bands}, ("band-unsuited",), ("two-bands",)),
    "band-stopped": Fault("settings", {}, ("one-band-dead", "band-stopped"), ("two-bands",)),
    "paused": Fault("settings", {}, ("paused",)),
    "zoomed": Fault("settings", {}, ("zoomed",)),
    "hidden-setting": Fault("settings", {}, ("hidden-setting",)),
    "offset-lost": Fault("settings", {"offset_m": _twice}, ("off-by-height",)),
    "level-unlike": Fault("settings", {"offset_m": _twice}, ("off-by-height",)),
    "offset-sign": Fault("settings", {"offset_m": lambda r, s, f: 2 * _twice(r, s, f)}, ("off-by-twice",)),
    "units-mixed": Fault("settings", {"factor": lambda r, s, f: float(r.choice((3.281, 1 / 3.281, 1.829, 1 / 1.829)))}, ("units-differ",)),
    "ping-early": Fault("settings", {"factor": between(0.3, 0.6)}, ("range-short",)),
    "ping-before": Fault("settings", {}, ("marks-march", "moves-with-pace")),
    "gate-second": Fault("settings", {"factor": always(2.0)}, ("first-bottom-hidden",)),
    "water-kind-wrong": Fault("settings", {"factor": lambda r, s, f: float(r.choice((0.965, 1.035)))}, ("kind-wrong",)),
    "datum-misread": Fault("settings", {}, ("chart-differs", "datum-unlike")),
    "chart-offset-lost": Fault("settings", {"offset_m": _twice}, ("chart-differs", "line-differs", "off-by-height")),
    "chart-offset-sign": Fault("settings", {"offset_m": lambda r, s, f: 2 * _twice(r, s, f)}, ("chart-differs", "line-differs", "off-by-twice")),
    "run-filter": Fault("settings", {}, ("lost-under-way", "cured-by-pace")),
    "pace-slow": Fault("settings", {}, ("fish-flat", "smeared", "cured-by-pace")),
    "one-side-off": Fault("settings", {}, ("side-dark", "side-off"), ("side",)),
    "side-order": Fault("settings", {}, ("sides-exchanged",), ("side",)),
    "ahead-direction": Fault("settings", {}, ("ahead-wrong",), ("forward",)),
    "ahead-settings": Fault("settings", {}, ("ahead-blank", "ahead-settings"), ("forward",)),
    "antenna-unset": Fault("settings", {}, ("marks-off", "miss-with-boat")),
    "slant-as-level": Fault("settings", {}, ("marks-off", "miss-outward")),
    "mark-late": Fault("settings", {}, ("marks-off", "miss-none")),
    "temperature-source": Fault("settings", {}, ("temperature-wrong", "temperature-set-wrong")),
    "temperature-units": Fault("settings", {}, ("temperature-wrong", "temperature-set-wrong")),
    "speed-factor": Fault("settings", {}, ("speed-wrong", "speed-by-share")),
    "speed-settings": Fault("settings", {}, ("speed-wrong", "speed-zero-or-jumps", "speed-set-wrong")),
    "bus-source": Fault("settings", {}, ("bus-deaf", "bus-source")),
    "bus-not-sent": Fault("settings", {}, ("bus-deaf", "bus-not-sent")),
    "sentence-off": Fault("settings", {}, ("serial-silent", "sentence-off")),
    "serial-rate": Fault("settings", {}, ("serial-silent", "serial-rubbish", "sentence-off")),
    "listener-sentence": Fault("settings", {}, ("serial-silent", "serial-whole", "listener-wants-other")),
    "page-of-other": Fault("settings", {}, ("other-shown", "page-of-other"), ("network",)),
    # --- software
    "version-old": Fault("software", {}, ("type-message", "version-old")),
    "not-a-pair": Fault("software", {}, ("type-message", "not-listed")),
    "version-drops": Fault("software", {}, ("drops", "version-old")),
    "version-silent": Fault("software", {}, ("no-pulse", "version-old")),
    "version-mute": Fault("software", {}, ("sensor-missing", "version-old")),
    "version-one-band": Fault("software", {}, ("one-band-dead", "version-old"), ("two-bands",)),
    "version-no-sounder": Fault("software", {}, ("no-sounder-page", "version-old")),
    "version-no-depth": Fault("software", {}, ("deaf", "version-old")),
    "versions-differ": Fault("software", {}, ("deaf", "versions-differ"), ("network",)),
    "half-start": Fault("software", {}, ("deaf", "cured-by-cold-start")),
    "update-corrupt": Fault("software", {}, ("deaf", "cured-by-reload")),
    "update-half": Fault("software", {}, ("loops", "cured-by-finish")),
    "card-bad": Fault("software", {}, ("loops", "card-in")),
    "card-restarts": Fault("software", {}, ("restarts-itself", "card-in")),
    "unit-hung": Fault("software", {}, ("hung", "cured-by-cold-start")),
    "no-orders": Fault("software", {}, ("no-pulse", "version-old")),
    # --- module
    "box-dead": Fault("module", {}, ("input-dead", "box"), ("network",)),
    "box-transmitter": Fault("module", {}, ("no-pulse", "box"), ("network",)),
    "box-unpowered": Fault("joints", {}, ("no-sounder-page", "box-dark"), ("network",)),
    "box-unplugged": Fault("module", {}, ("no-sounder-page", "network-plug-loose"), ("network",)),
    "box-failed": Fault("module", {}, ("no-sounder-page", "box"), ("network",)),
    "box-socket": Fault("module", {}, ("drops", "socket-bad", "box"), ("network",)),
    "box-output": Fault("module", {}, ("one-band-dead", "box"), ("network", "two-bands")),
    "names-clash": Fault("module", {}, ("fails-with-second", "cured-by-parting"), ("network",)),
    "source-dead": Fault("module", {}, ("frozen", "source-wrong"), ("network",)),
    "other-simulates": Fault("module", {}, ("simulates-by-other",), ("network",)),
    "wanted-absent": Fault("module", {}, ("other-shown", "wanted-absent"), ("network",)),
    "offset-twice": Fault("module", {"offset_m": _twice}, ("two-offsets",), ("network",)),
    "heading-none": Fault("module", {}, ("marks-off", "miss-scattered", "heading-wanders")),
    "fix-poor": Fault("module", {}, ("marks-off", "miss-scattered", "position-wanders")),
    "bus-plug": Fault("module", {}, ("bus-silent", "bus-plug-bad")),
    "bus-open": Fault("module", {}, ("bus-silent",)),
    "bus-short": Fault("module", {}, ("bus-silent",)),
    "bus-crossed": Fault("module", {}, ("bus-silent",)),
    "bus-device": Fault("module", {}, ("bus-silent", "bus-device")),
    "backbone-falls": Fault("supply-cable", {}, ("bus-silent", "bus-node-low")),
    "serial-pair": Fault("module", {}, ("serial-silent", "serial-wires-bad")),
    "serial-crossed": Fault("module", {}, ("serial-silent", "serial-rubbish", "serial-crossed")),
    "two-senders": Fault("module", {}, ("serial-silent", "serial-rubbish", "serial-wires-bad")),
    # --- adapter
    "adapter-loose": Fault("adapter", {}, ("drops", "goes-at-adapter"), ("adapter",)),
    "adapter-dirty": Fault("adapter", {}, ("sensor-missing", "adapter-dirty"), ("adapter",)),
    "adapter-wet": Fault("adapter", {"insulation_ohm": spread(2e3, 5e5)}, ("sensor-missing", "adapter-wet"), ("adapter",)),
    "adapter-broken": Fault("adapter", {}, ("sensor-missing", "adapter-open"), ("adapter",)),
    "adapter-wrong": Fault("adapter", {}, ("sensor-missing", "adapter-wrong"), ("adapter",)),
    "adapter-no-identity": Fault("adapter", {}, ("type-message", "type-differs", "falls-back", "adapter-wrong"), ("adapter",)),
    "adapter-no-thermistor": Fault("adapter", {"thermistor_series_ohm": always(INFINITE)}, ("adapter-wrong",), ("adapter",)),
    "adapter-one-pair": Fault("adapter", {}, ("one-band-dead", "adapter-wrong"), ("adapter", "two-bands")),
    "splitter": Fault("adapter", {}, ("fails-with-second", "splitter"), ("adapter", "second")),
    # --- plug
    "plug-half-home": Fault("plug", {}, ("sensor-missing", "plug-half-home")),
    "pins-wet": Fault("plug", {"insulation_ohm": spread(1e3, 3e5), "thermistor_parallel_ohm": spread(500, 8e3)}, ("sensor-missing", "pins-bad")),
    "pins-dirty": Fault("plug", {"thermistor_series_ohm": between(800, 6000), "identification_factor": between(1.3, 2.5)}, ("type-message", "pins-bad")),
    "plug-loose": Fault("plug", {}, ("drops", "goes-at-plug")),
    "plug-wet-drops": Fault("plug", {}, ("drops", "with-wet", "pins-bad")),
    "element-pin-bad": Fault("plug", {"line_db": _loss(2, 15)}, ("element-pin-bad", "pins-bad")),
    "element-pin-open": Fault("plug", {"pair_open": always("plug")}, ("no-band", "pins-bad")),
    "identity-bad": Fault("plug", {"identification_factor": between(1.4, 4.0)}, ("type-message", "identity-bad")),
    "mating": Fault("plug", {}, ("sensor-missing", "mated-poorly")),
    "thermistor-pin": Fault("plug", {"thermistor_series_ohm": spread(2500, 4e5)}, ("pins-bad",)),
    "one-band-pin": Fault("plug", {}, ("one-band-dead", "pins-bad"), ("two-bands",)),
    "side-pin": Fault("plug", {}, ("side-dark", "pins-bad"), ("side",)),
    "side-plugs-exchanged": Fault("plug", {}, ("sides-exchanged", "plugs-exchanged"), ("side",)),
    "ahead-plug": Fault("plug", {}, ("ahead-blank", "pins-bad"), ("forward",)),
    "wheel-pin": Fault("plug", {}, ("speed-wrong", "speed-zero-or-jumps", "no-pulses", "pins-bad")),
    "sockets-exchanged": Fault("plug", {}, ("other-shown", "sockets-exchanged"), ("network",)),
    "no-transducer-start": Fault("plug", {}, ("simulates", "starts-simulating", "sensor-missing-message")),
    "gone-frozen": Fault("plug", {}, ("frozen", "message-gone", "drops", "goes-at-plug")),
    # --- cable
    "cable-cut": Fault("cable", {"pair_open": always("cable"), "thermistor_series_ohm": always(INFINITE)}, ("sensor-missing", "cable-damaged")),
    "line-open": Fault("cable", {"pair_open": always("cable")}, ("no-band", "line-open")),
    "line-wet": Fault("cable", {"insulation_ohm": spread(5e3, 8e5), "line_db": _loss(2, 15)}, ("line-wet",)),
    "line-short": Fault("cable", {"insulation_ohm": spread(5, 500), "unit_w": lambda r, s, f: s.unit_w * float(r.uniform(2.2, 3.5))}, ("line-shorted",)),
    "strain": Fault("cable", {}, ("drops", "goes-at-cable", "cable-damaged")),
    "cable-wet-drops": Fault("cable", {"insulation_ohm": spread(5e3, 8e5)}, ("drops", "with-wet")),
    "splice-crossed": Fault("cable", {"identification_factor": between(2.0, 4.0), "thermistor_parallel_ohm": between(400, 2500)}, ("type-message", "splice-crossed", "cable-damaged")),
    "pairs-exchanged": Fault("cable", {}, ("one-band-dead", "splice-crossed")),
    "splice-open": Fault("cable", {"pair_open": always("cable")}, ("one-band-dead", "splice-open")),
    "splice-wet": Fault("cable", {"insulation_ohm": spread(5e3, 8e5), "line_db": _loss(1, 10)}, ("splice-wet",)),
    "shield-open": Fault("cable", {}, ("streaks", "shield-open", "cable-damaged")),
    "cable-beside": Fault("cable", {}, ("streaks", "cable-beside", "streaks-by-radio")),
    "one-pair-open": Fault("cable", {}, ("one-band-dead", "pair-open-one"), ("two-bands",)),
    "side-pair-open": Fault("cable", {}, ("side-dark", "pair-open-one"), ("side",)),
    "side-pairs-crossed": Fault("cable", {}, ("sides-exchanged", "cable-damaged"), ("side",)),
    "cable-moves": Fault("cable", {}, ("lost-under-way", "lost-at-random", "goes-at-cable")),
    "cable-heels": Fault("cable", {}, ("lost-heeled", "goes-at-cable"), ()),
    "ahead-cable": Fault("cable", {}, ("ahead-blank", "cable-damaged"), ("forward",)),
    "thermistor-wire": Fault("cable", {"thermistor_series_ohm": always(INFINITE)}, ()),
    "pick-up-dead": Fault("cable", {}, ("speed-wrong", "speed-zero-or-jumps", "no-pulses")),
    "jacket-cut": Fault("cable", {}, ("leak-look", "cable-damaged")),
    "wet-cable": Fault("cable", {"insulation_ohm": spread(5e3, 8e5)}, ("leak-look", "cable-damaged")),
    "cable-bitten": Fault("cable", {"pair_open": always("cable"), "thermistor_series_ohm": always(INFINITE)}, ("no-band", "cable-damaged")),
    # --- element
    "element-dead": Fault("element", {"pair_open": always("housing"), "thermistor_series_ohm": always(INFINITE)}, ("sensor-missing",)),
    "element-deaf": Fault("element", {"element_db": _loss(3, 30)}, ()),
    "element-cracked": Fault("element", {"element_db": _loss(3, 20)}, ("face-cracked",)),
    "element-joint-heat": Fault("element", {}, ("drops", "with-heat")),
    "not-on-list": Fault("element", {}, ("type-message", "not-listed")),
    "overloaded": Fault("element", {"element_db": _loss(5, 30), "capacitance_factor": between(0.3, 0.65)}, ()),
    "one-element-dead": Fault("element", {"capacitance_factor": between(0.2, 0.6)}, ("one-band-dead", "at-housing"), ("two-bands",)),
    "side-element": Fault("element", {"capacitance_factor": between(0.2, 0.6)}, ("side-dark",), ("side",)),
    "frost-split": Fault("element", {"element_db": _loss(3, 20)}, ("face-cracked",)),
    "housing-cracked": Fault("element", {}, ("leak-look", "face-cracked")),
    "thermistor-dead": Fault("element", {"thermistor_series_ohm": always(INFINITE)}, ()),
    "sound-band": Fault("element", {}, ("band-heavy", "band-sound", "no-fault")),
    "wrong-tilt": Fault("element", {"tilt_deg": _tilt}, ("tilt-mismatch",), ("tilted",)),
    "tilt-at-cruise": Fault("element", {}, ("lost-under-way", "tilted-at-cruise")),
    # --- mounting
    "face-fouled": Fault("mounting", {"face_db": _loss(2, 20), "ring_db": between(10, 60)}, ("face-fouled",)),
    "face-painted": Fault("mounting", {"face_db": _loss(2, 20), "ring_db": between(10, 60)}, ("face-painted",)),
    "face-air": Fault("mounting", {"face_db": always(80.0)}, ("face-dry", "cured-by-way")),
    "face-film": Fault("mounting", {"face_db": always(80.0)}, ("face-painted", "waits")),
    "face-covered": Fault("mounting", {"face_db": always(90.0)}, ("face-covered",)),
    "half-covered": Fault("mounting", {"face_db": between(6, 10), "tilt_deg": _tilt}, ("face-fouled",)),
    "face-askew": Fault("mounting", {"tilt_deg": _tilt}, ("face-askew",)),
    "beam-blocked": Fault("mounting", {"face_db": always(60.0)}, ("face-askew", "line-below-band")),
    "couplant-low": Fault("mounting", {"laminate_db": lambda r, s, f: s.laminate_db + _loss(2, 30)(r, s, f), "ring_db": between(10, 50)}, ("bed-bad", "couplant-low"), ("in-hull",)),
    "bed-void": Fault("mounting", {"laminate_db": lambda r, s, f: s.laminate_db + _loss(2, 20)(r, s, f), "ring_db": between(10, 50)}, ("bed-bad", "bed-void"), ("in-hull",)),
    "hull-core": Fault("mounting", {"laminate_db": always(80.0)}, ("bed-bad", "hull-cored"), ("in-hull",)),
    "hull-thick": Fault("mounting", {"laminate_db": lambda r, s, f: s.laminate_db + _loss(2, 10)(r, s, f)}, ("hull-thick",), ("in-hull",)),
    "hull-usual": Fault("mounting", {}, ("weak-by-hull", "no-fault"), ("in-hull",)),
    "outside-growth": Fault("mounting", {"face_db": _loss(2, 20)}, ("outside-fouled",), ("in-hull",)),
    "insert-out": Fault("mounting", {"face_db": always(60.0), "ring_db": between(10, 40)}, ("insert-out", "bed-bad"), ("through-hull",)),
    "in-hull-askew": Fault("mounting", {"tilt_deg": _tilt}, ("in-hull-askew",), ("in-hull",)),
    "couplant-heels": Fault("mounting", {}, ("lost-heeled", "lost-one-tack", "bed-bad", "couplant-low"), ("in-hull",)),
    "face-high": Fault("mounting", {"onset_kn": between(4, 14)}, ("cured-by-lowering", "bracket-height-off", "goes-one-turn")),
    "air-ahead": Fault("mounting", {"onset_kn": between(4, 14)}, ("air-ahead", "goes-one-turn")),
    "bracket-loose": Fault("mounting", {"onset_kn": between(4, 12)}, ("bracket-loose",), ("transom",)),
    "trim-changed": Fault("mounting", {"onset_kn": between(4, 14)}, ("goes-one-trim", "trim-off")),
    "bracket-kicked": Fault("mounting", {"tilt_deg": between(25, 60)}, ("bracket-wrong", "bracket-up"), ("transom",)),
    "bracket-latch": Fault("mounting", {"onset_kn": between(4, 12)}, ("bracket-wrong", "latch-worn", "bracket-loose"), ("transom",)),
    "bracket-screws": Fault("mounting", {}, ("bracket-wrong", "plate-loose", "bracket-loose"), ("transom",)),
    "bracket-skewed": Fault("mounting", {"tilt_deg": _tilt}, ("bracket-wrong", "bracket-askew", "face-askew"), ("transom",)),
    "bracket-seized": Fault("mounting", {}, ("bracket-wrong", "hinge-seized"), ("transom",)),
    "bracket-angle": Fault("mounting", {}, ("bracket-wrong", "angle-off"), ("transom",)),
    "bracket-height": Fault("mounting", {"onset_kn": between(4, 12)}, ("bracket-wrong", "bracket-height-off"), ("transom",)),
    "mark-turned": Fault("mounting", {"tilt_deg": _tilt}, ("mark-wrong",)),
    "block-wrong": Fault("mounting", {"tilt_deg": _tilt}, ("block-wrong",)),
    "trim-tilts": Fault("mounting", {}, ("weak-tilted", "only-at-cruise", "tilted-at-cruise")),
    "heel-beyond": Fault("mounting", {}, ("lost-heeled", "lost-beyond-table", "no-fault")),
    "high-side": Fault("mounting", {}, ("lost-heeled", "lost-one-tack", "on-high-side")),
    "mark-heels": Fault("mounting", {}, ("lost-heeled", "lost-one-tack", "on-high-side", "mark-wrong")),
    "offset-moved": Fault("mounting", {"offset_m": lambda r, s, f: float(r.choice((-1, 1))) * f.boat.face_immersion_m * float(r.uniform(0.35, 0.65)) * (1 if f.boat.face_immersion_m > 0.3 else 2.6)}, ("off-by-other",)),
    "slant-tilt": Fault("mounting", {"factor": between(1.035, 1.06)}, ("housing-tilted",)),
    "roll-teeth": Fault("mounting", {}, ("teeth", "teeth-by-roll")),
    "bracket-teeth": Fault("mounting", {}, ("teeth", "bracket-loose"), ("transom",)),
    "side-shadow": Fault("mounting", {}, ("side-dark", "shadow-beside"), ("side",)),
    "side-askew": Fault("mounting", {}, ("side-dark", "face-askew"), ("side",)),
    "side-fouled": Fault("mounting", {}, ("side-dark", "face-fouled"), ("side",)),
    "housing-reversed": Fault("mounting", {}, ("sides-exchanged", "mark-wrong"), ("side",)),
    "ahead-turned": Fault("mounting", {}, ("ahead-wrong", "face-askew"), ("forward",)),
    "ahead-covered": Fault("mounting", {}, ("ahead-blank", "face-fouled"), ("forward",)),
    "fish-aim": Fault("mounting", {}, ("fish-flat", "fish-half", "bracket-loose")),
    "fan-skewed": Fault("mounting", {}, ("smeared", "bracket-loose", "drawn-askew")),
    "thermistor-place": Fault("mounting", {}, ("temperature-wrong", "place-unlike")),
    "wheel-fouled": Fault("mounting", {}, ("speed-wrong", "speed-zero-or-jumps", "wheel-bad")),
    "wheel-worn": Fault("mounting", {}, ("speed-wrong", "speed-zero-or-jumps", "wheel-bad")),
    "insert-turned": Fault("mounting", {}, ("speed-wrong", "speed-by-share", "speed-beyond-range", "insert-askew")),
    "flow-bad": Fault("mounting", {}, ("speed-wrong", "speed-zero-or-jumps", "fails-above-speed")),
    "leak-ring": Fault("mounting", {}, ("leak-look", "leak-at-ring")),
    "leak-bed": Fault("mounting", {}, ("leak-look", "leak-at-flange")),
    "leak-hull": Fault("mounting", {}, ("leak-look", "leak-at-flange", "hull-soft")),
    "leak-screws": Fault("mounting", {}, ("leak-look", "leak-at-screw")),
    # --- water
    "too-deep": Fault("water", {"depth_m": _beyond_reach}, ("beyond-reach", "no-fault")),
    "dead-zone": Fault("water", {"depth_m": _dead_zone}, ("in-dead-zone", "no-fault")),
    "soft-bottom": Fault("water", {"water_db": _loss(2, 15)}, ("soft-bottom", "no-fault", "site-bad")),
    "bubbles": Fault("water", {"water_db": _loss(5, 30)}, ("bubbly", "no-fault", "site-bad")),
    "site-bad": Fault("water", {"water_db": _loss(5, 30)}, ("soft-bottom", "no-fault", "site-bad")),
    "ashore": Fault("water", {"face_db": always(90.0)}, ("waits", "no-fault", "site-bad")),
    "shallow-weed": Fault("water", {"water_db": _loss(5, 30)}, ("weedy", "no-fault")),
    "clutter": Fault("water", {}, ("jumps", "no-fault", "site-bad")),
    "layer": Fault("water", {}, ("jumps", "layer", "no-fault")),
    "steep": Fault("water", {}, ("jumps", "steep", "no-fault")),
    "face-in-foam": Fault("water", {"water_db": _loss(5, 30)}, ("site-bad", "no-fault")),
    "heave": Fault("water", {}, ("teeth", "no-fault")),
    "real-teeth": Fault("water", {}, ("teeth", "teeth-without-waves", "no-fault")),
    "tide": Fault("water", {}, ("chart-differs", "level-explains", "no-fault")),
    "charted-slope": Fault("water", {}, ("chart-differs", "slope-explains", "no-fault")),
    "chart-old": Fault("water", {}, ("chart-differs", "no-fault")),
    "first-line-wrong": Fault("water", {}, ("constant-claimed", "no-fault")),
    "sound-speed": Fault("water", {}, ("proportion", "no-fault")),
    "line-stretched": Fault("water", {}, ("proportion", "line-bad", "no-fault")),
    "second-return": Fault("water", {"factor": always(2.0)}, ("second-return", "no-fault")),
    "rough-sea": Fault("water", {}, ("weak-tilted", "only-in-waves", "no-fault")),
    "near-clutter": Fault("water", {}, ("band-heavy", "band-thick", "site-bad", "no-fault")),
    "fish-still": Fault("water", {}, ("fish-flat", "cured-by-course", "no-fault")),
    "fish-fast": Fault("water", {}, ("fish-flat", "cured-by-course", "no-fault")),
    "course": Fault("water", {}, ("smeared", "cured-by-course", "no-fault")),
    "side-bottom": Fault("water", {}, ("side-dark", "side-by-course", "no-fault"), ("side",)),
    "going-astern": Fault("water", {}, ("sides-exchanged", "right-ahead", "no-fault"), ("side",)),
    "chart-shifted": Fault("water", {}, ("marks-off", "miss-by-compass", "no-fault")),
    "water-layered": Fault("water", {}, ("temperature-wrong", "thermometer-agrees", "no-fault")),
    "stream": Fault("water", {}, ("speed-wrong", "speed-by-share", "no-fault")),
    "leak-elsewhere": Fault("water", {}, ("leak-look", "leak-above", "no-fault")),
    "lost-freezes": Fault("water", {"depth_m": _beyond_reach}, ("frozen", "message-lost", "beyond-reach", "no-fault")),
    # --- noise
    "consumer-noise": Fault("noise", {"noise_db": _loss(2, 15)}, ("streaks", "streaks-by-device")),
    "other-sounder-noise": Fault("noise", {"noise_db": _loss(2, 15)}, ("streaks", "streaks-by-device")),
    "rev-noise": Fault("noise", {"rev_noise_db": _loss(3, 15)}, ("lost-with-revs",)),
    "alternator-noise": Fault("noise", {"ripple_v": between(0.2, 0.6)}, ("streaks", "streaks-by-engine")),
    "ignition-noise": Fault("noise", {}, ("streaks", "streaks-by-engine")),
    "motor-noise": Fault("noise", {}, ("streaks", "streaks-by-motor")),
    "always-on-noise": Fault("noise", {}, ("streaks", "streaks-always")),
    "propeller-near": Fault("noise", {"onset_kn": between(5, 14)}, ("returns-at-speed",)),
    "neighbour": Fault("noise", {}, ("marks-march", "slant-with-pace", "weaker-away")),
    "own-second": Fault("noise", {}, ("marks-march", "stops-with-second", "bands-share"), ("second",)),
    "cables-coupled": Fault("noise", {}, ("marks-march", "stops-with-second"), ("second",)),
    "range-hunts": Fault("noise", {}, ("range-hunts",)),
    "same-band": Fault("noise", {}, ("fails-with-second", "stops-with-second"), ("second",)),
    "specks": Fault("noise", {"noise_db": _loss(2, 10)}, ("jumps", "specks", "streaks-by-device")),
    # --- further faults of fish and beams
    "fish-narrow": Fault("element", {}, ("fish-flat", "cured-by-wide-band", "no-fault")),
    "gain-shows-noise": Fault("settings", {}, ("streaks", "gain-high", "gain-by-hand")),
    "gain-heavy": Fault("settings", {}, ("band-heavy", "gain-high", "gain-by-hand")),
    "gain-jumps": Fault("settings", {}, ("jumps", "gain-high", "gain-by-hand")),
    "face-rings": Fault("mounting", {"ring_db": between(90, 200)}, ("band-heavy", "face-fouled")),
    "bed-rings": Fault("mounting", {"ring_db": between(90, 200)}, ("band-heavy", "bed-bad", "bed-void", "insert-out"), ("bed",)),
    "face-weak": Fault("mounting", {"face_db": _loss(-3, 12)}, ("face-fouled", "weak-echoes")),
    "void-rings": Fault("mounting", {"laminate_db": always(60.0), "ring_db": between(30, 60)}, ("bed-bad", "bed-void"), ("in-hull",)),
    # --- the same parts with another face
    "type-mute": Fault("settings", {}, ("sensor-missing", "type-differs", "source-wrong")),
    "socket-mute": Fault("display", {}, ("sensor-missing", "socket-bad")),
    "box-mute": Fault("module", {}, ("sensor-missing", "socket-bad", "box"), ("network",)),
    "sounder-gone": Fault("display", {}, ("no-sounder-page", "display-gone")),
    "band-beyond": Fault("water", {}, ("one-band-dead", "band-out-of-reach", "no-fault"), ("two-bands",)),
    "type-one-band": Fault("settings", {}, ("one-band-dead", "type-differs"), ("two-bands",)),
    "identity-deaf": Fault("plug", {"identification_factor": between(1.4, 4.0)}, ("deaf", "identity-bad")),
    "face-unseen": Fault("mounting", {"face_db": _loss(3, 20)}, ("hidden-from-view",)),
    "joint-starves": Fault("joints", {"joint_ohm": _sag(0.05, _SOUNDER_LIMIT - 0.1)}, ("starves:deaf",)),
    "lead-starves": Fault("supply-cable", {"positive_ohm": _sag(0.05, _SOUNDER_LIMIT - 0.1)}, ("starves:deaf",)),
    "battery-starves": Fault("battery", {"battery_ohm": _sagging_battery(0.05, 0.3)}, ("starves:deaf",)),
    "adapter-falls-back": Fault("adapter", {"line_db": between(12, 25)}, ("type-differs", "falls-back", "adapter-wrong"), ("adapter",)),
    "socket-misreads": Fault("display", {}, ("type-message", "socket-bad")),
    "box-misreads": Fault("module", {}, ("type-message", "socket-bad", "box"), ("network",)),
    "type-wrong-silent": Fault("settings", {}, ("deaf", "type-differs")),
    "type-rings": Fault("settings", {"line_db": _loss(2, 20)}, ("type-differs",)),
    "type-no-pulse": Fault("settings", {}, ("no-pulse", "type-differs")),
    "type-doubles": Fault("settings", {"factor": always(2.0)}, ("type-differs",)),
    "type-temperature": Fault("settings", {}, ("temperature-wrong", "type-differs")),
    "pins-leak-warm": Fault("plug", {"thermistor_parallel_ohm": spread(1500, 15e3)}, ("pins-bad",)),
    "reversed-blows": Fault("supply-cable", {}, ("blows-at-once", "reversed-polarity")),
    "line-short-blows": Fault("cable", {"insulation_ohm": spread(5, 500), "unit_w": lambda r, s, f: s.unit_w * float(r.uniform(1.6, 2.4))}, ("blows-later",)),
    "stopped-frozen": Fault("settings", {}, ("frozen", "transmit-off", "message-stopped")),
    "simulator-blank": Fault("settings", {}, ("deaf", "simulates")),
    "band-jumps": Fault("settings", {"band": _other_band}, ("jumps", "band-unsuited"), ("two-bands",)),
    "plug-not-offered": Fault("plug", {}, ("no-sounder-page",)),
}  # fmt: skip

#: What a starved sounder does, by family and chance: the same low volts have many faces.
STARVED = (
    "sensor-missing",
    "type-message",
    "no-sounder-page",
    "deaf",
    "no-pulse",
    "drops",
    "one-band-dead",
    "hung",
    "loops",
    "weak",
)
for _name in STARVED:
    FAULTS[f"starved-{_name}"] = Fault(
        "joints", {"joint_ohm": _sag(0.05, _SOUNDER_LIMIT - 0.1)}, (f"starves:{_name}",)
    )
    FAULTS[f"dips-{_name}"] = Fault("joints", {"pulse_ohm": _sag(0.05, 0.3)}, (f"starves:{_name}",))


#: What many faults show alike: it tells nothing of the remedy.
_COMMON = {
    "drops", "sensor-missing", "type-message", "streaks", "no-sounder-page", "one-band-dead", "deaf", "no-pulse", "no-band",
    "teeth", "marks-march", "fish-flat", "smeared", "marks-off", "side-dark", "sides-exchanged", "ahead-blank", "ahead-wrong",
    "band-heavy", "leak-look", "bracket-wrong", "speed-wrong", "temperature-wrong", "bus-silent", "bus-deaf", "serial-silent",
    "chart-differs", "lost-heeled", "frozen", "simulates", "other-shown", "fails-with-second", "all-dead", "crank-restart",
    "loops", "hot", "jumps", "blows-at-once", "blows-later", "no-fault", "site-bad", "box", "weak-tilted", "high-engine",
    "miss-scattered", "speed-zero-or-jumps", "speed-by-share", "streaks-by-engine", "cable-damaged", "lost-under-way",
    "lost-one-tack", "on-high-side", "proportion", "with-wet", "with-heat", "bed-bad", "serial-rubbish", "shared-with-starter",
}  # fmt: skip
#: Numbers that different remedies put right.
_APART = {
    "offset_m",
    "factor",
    "tilt_deg",
    "onset_kn",
    "depth_m",
    "band",
    "gain_db",
    "battery_v",
    "thermistor_series_ohm",
    "line_db",
}


def akin(one: str, two: str) -> bool:
    """Whether the remedy of the one fault mends the other: the same component, and the same thing wrong with it."""
    a, b = FAULTS[one], FAULTS[two]
    if a.component != b.component:
        return False
    return bool((set(a.sets) & set(b.sets)) - _APART) or bool((set(a.shows) & set(b.shows)) - _COMMON)


def inject(name: str, state: State, fitted: Installation, rng: np.random.Generator) -> None:
    """Put one fault into a boat."""
    fault = FAULTS[name]
    for number, draw in fault.sets.items():
        setattr(state, number, draw(rng, state, fitted))
    state.flags.add(name)


def suits(name: str, fitted: Installation) -> bool:
    """Whether this boat can have the fault at all."""
    has = {
        "bed": fitted.in_hull or fitted.through_hull, "in-hull": fitted.in_hull, "through-hull": fitted.through_hull,
        "transom": fitted.transducer.housing == "transom", "lithium": fitted.lithium, "lead": not fitted.lithium,
        "adapter": fitted.has_adapter, "second": fitted.second_sounder,
        "network": "network" in fitted.family.capabilities, "side": "side" in fitted.family.capabilities,
        "forward": "forward" in fitted.family.capabilities, "two-bands": len(fitted.pulses) > 1,
        "tilted": len(fitted.transducer.element_tilts_deg) > 1, "twelve": fitted.boat.supply.nominal_v == 12,
        "narrow": fitted.family.supply_high_v < 24, "petrol": fitted.boat.fuel == "petrol",
        "starts": "start" in str(fitted.boat.supply.shared_with or ""), "house": "start" not in str(fitted.boat.supply.shared_with or ""),
    }  # fmt: skip
    return all(has[need] for need in FAULTS[name].only)
