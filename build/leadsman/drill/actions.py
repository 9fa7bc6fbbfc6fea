"""What a technician does to a boat, and which faults that puts right."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from leadsman.drill.boats import OWNER, Installation, State
from leadsman.drill.faults import FAULTS
from leadsman.drill.view import reach, volts

_GAIN = ("gain-low", "gain-high", "gain-heavy", "gain-jumps", "gain-shows-noise")
_RANGE = ("range-fixed", "range-in-feet")
_GATES = ("gate-foot", "gate-top", "gate-second")

#: Faults that an action puts right.
CURES: dict[str, tuple[str, ...]] = {
    "reseat-transducer-plug": (
        "plug-not-offered",
        "plug-half-home", "pins-wet", "pins-dirty", "plug-loose", "element-pin-bad", "element-pin-open", "mating",
        "thermistor-pin", "one-band-pin", "side-pin", "ahead-plug", "wheel-pin", "no-transducer-start",
        "plug-wet-drops", "pins-leak-warm",
    ),
    "reseat-power-plug": ("cradle-mute", "cradle-one-band", "cradle-deaf", "plug-not-home", "cradle-sags"),
    "sounder-settings": (
        "simulator-blank", "stopped-frozen", "transmit-off", "quiet-mode", "page-elsewhere", "source-wrong", "source-dead", "simulator-on", *_RANGE,
        *_GATES, *_GAIN, "ping-early", "ahead-settings", "page-of-other",
    ),
    "gain-and-filter": (*_GAIN, *_RANGE, "filter-strong", "surface-filter"),
    "gain-automatic": _GAIN,
    "range-automatic": _RANGE,
    "gates-open": _GATES,
    "colours-middle": ("colours-pale", "dark"),
    "filters-lowest": ("filter-strong", "surface-filter"),
    "near-water-automatic": (*_GAIN, "surface-filter", *_RANGE),
    "pace-and-filter": ("run-filter", "filter-strong", *_GAIN, *_RANGE, "pace-slow"),
    "pace-fastest": ("pace-slow", *_GAIN, *_RANGE),
    "pace-slower": ("ping-before",),
    "choose-source": ("type-mute", "source-wrong", "source-dead", "page-elsewhere", "page-of-other"),
    "set-source-and-type": ("type-mute", "type-wrong-silent", "type-no-pulse", "source-wrong", "source-dead", "page-elsewhere", "type-wrong", "type-by-hand"),
    "type-automatic": ("type-rings", "type-by-hand", "type-wrong", "type-wrong-silent", "type-no-pulse", "type-one-band", "type-doubles", "type-temperature"),
    "leave-simulator": ("simulator-on",),
    "leave-all-simulators": ("simulator-on", "other-simulates"),
    "live-picture": ("paused", "zoomed"),
    "close-zoom": ("zoomed", "paused"),
    "range-by-hand": ("range-hunts", *_RANGE),
    "cards-out": ("card-bad", "card-restarts", "show-card"),
    "cold-start": ("half-start", "unit-hung"),
    "card-out-and-restart": ("half-start", "unit-hung", "card-bad", "card-restarts"),
    "load-version": ("update-corrupt", "update-half", "version-old", "versions-differ"),
    "finish-start": ("update-half",),
    "restore-defaults": tuple(n for n, f in FAULTS.items() if f.component == "settings" and n not in ("dark",)),
    "clean-face": ("face-fouled", "half-covered", "face-rings", "face-weak", "side-fouled"),
    "run-off-air": ("face-air",),
    "show-page": ("page-hidden",),
    "both-sides": ("one-side-off", *_GAIN),
    "set-ahead": ("ahead-direction",),
    "set-temperature-source": ("temperature-source", "temperature-units"),
    "set-wheel": ("speed-settings",),
    "set-bus-source": ("bus-source",),
    "send-bus-depth": ("bus-not-sent",),
    "reseat-bus": ("bus-plug",),
    "reseat-network": ("box-unplugged",),
    "set-serial": ("sentence-off", "serial-rate"),
    "set-band": ("band-stopped",),
    "brighten": ("dark", "show-card", "card-bad"),
    "shade": ("sun-heat", "no-air", "unit-heat-drops"),
    "switch-feed-on": ("feed-off",),
    "part-network": ("names-clash",),
    "part-transducer": ("line-short",),
    "stop-second": ("same-band", "own-second", "cables-coupled"),
    "zero-offset": ("chart-offset-lost", "chart-offset-sign", "offset-lost", "offset-sign", "level-unlike", "offset-twice"),
    "release-sounder": ("held-by-other",),
    "push-bracket-down": ("bracket-kicked",),
}  # fmt: skip

#: Faults of a place that clear water leaves behind.
_PLACE = tuple(
    n for n, f in FAULTS.items() if f.component == "water" and {"site-bad", "no-fault"} & set(f.shows)
)

Action = Callable[[State, State, Installation, np.random.Generator], None]


def clear(state: State, sound: State, names: Iterable[str]) -> None:
    """Take faults out: what they changed becomes as on the sound boat."""
    for name in names:
        if name in state.flags:
            state.flags.discard(name)
            for number in FAULTS[name].sets:
                setattr(state, number, getattr(sound, number))


def renew(state: State, sound: State, components: Iterable[str]) -> None:
    """Sound parts take the place of whole components."""
    parts = set(components)
    clear(state, sound, [n for n in state.flags if FAULTS[n].component in parts])
    for number, owner in OWNER.items():
        if owner in parts:
            setattr(state, number, getattr(sound, number))


def lead_too_thin(sound: State, fitted: Installation) -> bool:
    """Whether the lead, sound in itself, is too thin as fitted: over a tenth of the volts lost, or hardly any margin left.

    A tenth is the greatest drop that the trade allows a lead of no great account (ABYC E-11, from memory).
    """
    found = volts(sound, fitted, "transmit")
    lost = found["post"] - found["unit"] > 0.1 * 12.0 * fitted.times
    return lost or found["unit"] < fitted.family.supply_low_v + 0.5


def larger_pair(state: State, sound: State) -> None:
    """A new pair of the size that the load wants: three hundredths of the volts at full load, both legs."""
    leg = 0.03 * sound.battery_v**2 / sound.unit_w / 2
    for each in (state, sound):
        each.positive_ohm, each.negative_ohm = min(each.positive_ohm, leg), min(each.negative_ohm, leg)


def _move_to_clear(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    """To clear water of two to thirty metres over a firm bottom, engine off."""
    poor = bool(state.flags & set(_PLACE)) or not 2.0 <= state.depth_m <= 30.0
    clear(state, sound, _PLACE)
    state.water_db = 0.0
    if poor:
        state.depth_m = min(float(rng.uniform(3.0, 15.0)), 0.5 * reach(sound, fitted))


def _other_band(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    """The higher band in the shallows, the lower in the deep; the technician keeps the one that holds the bottom."""
    if len(fitted.pulses) > 1:
        state.band = (state.band + 1) % len(fitted.pulses)
        state.flags -= {"band-unsuited"}


def _quiet(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    state.noise_db = state.rev_noise_db = 0.0
    clear(state, sound, [n for n in state.flags if FAULTS[n].component == "noise" and n not in ("neighbour", "always-on-noise", "range-hunts")])  # fmt: skip


def _sound_supply(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    """A fused battery on a short, fat lead at the unit: nothing of the boat's feed remains."""
    # The bypass feeds the unit alone: a wake wire stays unfed, and the cradle carries other contacts still.
    kept = state.flags & {"wake-unfed", "cradle-mute", "cradle-one-band", "cradle-deaf"}
    renew(state, sound, ("battery", "supply-cable", "joints", "cradle"))
    state.flags |= kept
    state.battery_v, state.battery_ohm = 12.75 * fitted.times, 0.02
    state.positive_ohm = state.negative_ohm = 0.008
    state.holder_ohm = state.joint_ohm = state.plug_ohm = 0.004
    clear(state, sound, ["always-on-noise"])


def _feed_wake(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    clear(state, sound, ["wake-unfed"])


def _dim_screen(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    """The least brightness takes off a third of the unit's power; a shorted line keeps its own."""
    if "line-short" not in state.flags:
        state.unit_w *= 0.65


def _engine_off(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    state.rev_noise_db = 0.0


def _lower_face(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    clear(state, sound, ["face-high", "bracket-height"])


def _without_adapter(state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    renew(state, sound, ("adapter",))


SPECIAL: dict[str, Action] = {
    "move-to-clear": _move_to_clear, "other-band": _other_band, "quiet": _quiet, "sound-supply": _sound_supply, "feed-wake": _feed_wake, "dim-screen": _dim_screen,
    "engine-off": _engine_off, "lower-face": _lower_face, "without-adapter": _without_adapter,
}  # fmt: skip


def act(name: str, state: State, sound: State, fitted: Installation, rng: np.random.Generator) -> None:
    """Do one action to a boat."""
    if name in SPECIAL:
        SPECIAL[name](state, sound, fitted, rng)
    else:
        clear(state, sound, CURES[name])


def known(name: str) -> bool:
    """Whether an action exists."""
    return name in SPECIAL or name in CURES
