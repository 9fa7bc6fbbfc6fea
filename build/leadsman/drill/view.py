"""What a simulated boat shows and what a meter finds on it: volts, echo, pins, and the signs of the screen."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

import numpy as np

from leadsman.drill import circuit, sonar
from leadsman.drill.boats import INFINITE, Installation, State
from leadsman.drill.faults import FAULTS
from leadsman.drill.sensing import thermistor_c, thermistor_ohm

Moment = Literal["off", "idle", "transmit", "pulse", "lamp", "engine", "charger", "crank"]

#: Share of its greatest power that a unit takes with the screen dimmed and transmit off (a choice).
IDLE_SHARE = 0.45
#: A starting motor's steady current, A (common practice for small engines).
STARTER_A = 180.0
#: Volts above its low limit below which the sounder of a unit no longer works as it should (common practice).
STARVED_V = 0.45
#: A picture is weak when this much of the sound boat's margin is gone, dB.
WEAK_DB = 8.0


@lru_cache(maxsize=65536)
def _solve(parts: tuple[tuple[str, float], ...]) -> dict[str, float]:
    found = circuit.solve(circuit.supply(**dict(parts)))
    return {name: float(getattr(found, name)[0]) for name in found.__dataclass_fields__}


def volts(
    state: State, fitted: Installation, moment: Moment, borrowed_w: float | None = None
) -> dict[str, float]:
    """Node voltages at a moment; all zero where the feed is open.

    The unit's power is constant, so that it draws more current the less volts it gets.
    """
    power = borrowed_w or state.unit_w
    unit_w = {"off": 0.0, "lamp": 0.0, "idle": IDLE_SHARE * power, "crank": IDLE_SHARE * power}.get(
        moment, power
    )
    source_v = {"engine": state.alternator_v, "charger": state.charger_v}.get(moment, state.battery_v)
    if moment == "crank":
        source_v -= STARTER_A * (state.battery_ohm * 0.55)
    lamp = (12.0 * fitted.times) ** 2 / 21.0 if moment == "lamp" else INFINITE
    joint = state.joint_ohm + (state.pulse_ohm if moment == "pulse" else 0.0)
    cut = 1e7
    parts = {
        "source_v": source_v, "source_ohm": state.battery_ohm,
        "holder_ohm": cut if state.fuse_open else state.holder_ohm,
        "positive_ohm": cut if state.feed_open else state.positive_ohm + joint,
        "negative_ohm": state.negative_ohm, "plug_ohm": state.plug_ohm, "unit_w": unit_w,
        "lamp_ohm": min(lamp, 1e9), "shared_a": state.shared_a if not state.feed_open and not state.fuse_open else 0.0,
    }  # fmt: skip
    return _solve(tuple(sorted(parts.items())))


def _tilt_loss(tilt_deg: float, beam_deg: float) -> float:
    """Two-way loss of a beam that looks aside, dB: Gaussian, 24 (tilt / beamwidth)^2, at most 60 (common practice)."""
    return min(24.0 * (tilt_deg / beam_deg) ** 2, 60.0)


def losses(state: State, fitted: Installation, band: int) -> float:
    """All that the echo loses on this boat beyond the sound installation, dB."""
    pulse = fitted.pulses[band]
    return (
        state.line_db + state.element_db + state.face_db + state.laminate_db + state.water_db + state.gain_db
        + state.installed_db + _tilt_loss(state.tilt_deg, pulse.narrow_deg)
    )  # fmt: skip


def margin(
    state: State,
    fitted: Installation,
    band: int | None = None,
    depth: float | None = None,
    quiet: bool = False,
) -> float:
    """How far the echo stands above what a firm number needs, dB."""
    chosen = state.band if band is None else band
    here = state.depth_m if depth is None else depth
    noise = 0.0 if quiet else state.noise_db
    return float(
        sonar.margin(
            fitted.pulses[chosen], state.sea, np.array([max(here, 0.2)]), losses(state, fitted, chosen), noise
        )[0]
    )


def reach(state: State, fitted: Installation, band: int | None = None) -> float:
    """The deepest water with a firm number, of the best band where none is named, m; at most the display's own."""
    bands = range(len(fitted.pulses)) if band is None else [band]
    deepest = max(
        sonar.reach_m(fitted.pulses[b], state.sea, losses(state, fitted, b), state.noise_db) for b in bands
    )
    return min(deepest, fitted.family.greatest_depth_m)


def blind(state: State, fitted: Installation, band: int | None = None) -> float:
    """Water under the face that ringing and the display's least depth hide, of the best band, m."""
    bands = range(len(fitted.pulses)) if band is None else [band]
    least = min(sonar.blind_m(fitted.pulses[b], state.ring_db) for b in bands)
    return max(least, fitted.family.least_depth_m)


class View:
    """The signs of one boat in one state; facts are computed once and kept until the state changes."""

    def __init__(self, state: State, fitted: Installation) -> None:
        self.state, self.fitted = state, fitted
        self._tags: frozenset[str] | None = None

    # --- supply
    def unit_volts(self, moment: Moment) -> float:
        return volts(self.state, self.fitted, moment)["unit"]

    def power(self) -> str:
        """dead, restarts or runs: what the unit does on this feed, by its limits with hysteresis."""
        state, low = self.state, self.fitted.family.supply_low_v
        flags = self.flag_tags()
        if flags & {"reversed", "wake-unfed", "display-dead"}:
            return "dead"
        if state.feed_open or state.fuse_open or self.unit_volts("idle") < low:
            return "dead"
        if state.source_limit_a * state.battery_v < state.unit_w:
            return "restarts"
        if self.unit_volts("transmit") < low or self.unit_volts("pulse") < low:
            return "restarts"
        return "runs"

    def starved(self) -> bool:
        """Whether the sounder gets less than it needs while the screen still lives."""
        return (
            self.power() == "runs" and self.unit_volts("pulse") < self.fitted.family.supply_low_v + STARVED_V
        )

    # --- echo
    def detects(self, band: int | None = None, depth: float | None = None, quiet: bool = False) -> bool:
        """Whether a bottom number comes on a band, with the settings as they are."""
        state = self.state
        chosen = state.band if band is None else band
        here = state.depth_m if depth is None else depth
        ranging = state.gate_top_m < here < min(state.gate_foot_m, state.range_m)
        if state.pair_open or not ranging or here < blind(state, self.fitted, chosen):
            return False
        return margin(state, self.fitted, chosen, here, quiet) > 0

    # --- pins
    def thermistor_reads(self, at_plug: bool = True) -> float:
        """Ohms of the thermistor pair, with what is in series and across it."""
        thermistor = self.fitted.transducer.thermistor
        if thermistor is None:
            return INFINITE
        own = thermistor_ohm(self.state.sea.temperature_c, thermistor.r25_ohm, thermistor.beta_k)
        leak = self.state.thermistor_parallel_ohm
        pair = own + self.state.thermistor_series_ohm
        return pair if leak == INFINITE else leak if pair == INFINITE else pair * leak / (pair + leak)

    def temperature(self) -> float | None:
        """The water temperature that the display makes of it; ``None`` without a live one."""
        thermistor = self.fitted.transducer.thermistor
        tags = self.flag_tags()
        if thermistor is None or "sensor-missing" in tags:
            return None
        return thermistor_c(self.thermistor_reads(), thermistor.r25_ohm, thermistor.beta_k)

    # --- signs
    def flag_tags(self) -> frozenset[str]:
        """What the faults aboard show by themselves."""
        if self._tags is None:
            self._tags = frozenset(tag for flag in self.state.flags for tag in FAULTS[flag].shows)
        return self._tags

    def tags(self) -> frozenset[str]:
        """All signs: those of the faults, and what low volts bring on."""
        tags = self.flag_tags()
        starves = [tag.removeprefix("starves:") for tag in tags if tag.startswith("starves:")]
        return tags | frozenset(starves) if starves and self.starved() else tags

    def transmits(self) -> bool:
        return not self.tags() & {"transmit-off", "held", "no-pulse", "page-elsewhere", "waits"}

    def band_at_top(self) -> bool:
        """A band stands at the top where a pulse goes into an element."""
        tags = self.tags()
        heard = not tags & {"no-band", "deaf", "sensor-missing", "no-sounder-page", "input-dead", "simulates"}
        return self.transmits() and heard and not self.state.pair_open

    def no_depth(self) -> bool:
        """The unit runs, knows its transducer, and shows no depth of this water."""
        tags = self.tags()
        if tags & {"transmit-off", "held", "no-pulse", "page-elsewhere", "waits", "deaf", "no-band", "hidden-setting",
                   "range-hunts", "zoomed", "input-dead", "source-wrong"}:  # fmt: skip
            return True
        return not self.detects()

    def weak(self, sound: State) -> bool:
        """The echo has lost a good part of what this boat has when it is sound, in the same water."""
        twin = sound.copy()
        twin.depth_m, twin.sea = self.state.depth_m, self.state.sea
        return margin(twin, self.fitted) - margin(self.state, self.fitted) >= WEAK_DB or "weak" in self.tags()


def shown_depth(state: State, fitted: Installation, depth_m: float, sound_speed: float = 1500.0) -> float:
    """The number on the screen for water of this depth under the surface: from the face, by the assumed speed.

    A face below the surface shows less; slower water shows more than there is.
    """
    under = depth_m - fitted.boat.face_immersion_m
    return under * sound_speed / sonar.sound_speed(state.sea) * state.factor + state.offset_m


def ordinary(number: float) -> bool:
    """Whether a number is an ordinary one: neither absent nor without end."""
    return math.isfinite(number)
