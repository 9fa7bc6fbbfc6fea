"""How much of a fault a boat gets: numbers drawn so that the fault tells, by the boat's own physics."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from leadsman.drill.boats import Installation, State

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


def sag(low: float, high: float) -> Draw:
    """A resistance that lets the unit's volts, transmitting, come to between these above its low limit."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        have = state.battery_ohm + state.positive_ohm + state.negative_ohm + state.joint_ohm + state.plug_ohm
        return (
            max(_whole_ohm(low, high, rng, state, fitted) - have - state.holder_ohm, 0.02) + state.joint_ohm
        )

    return draw


def _whole_ohm(
    low: float, high: float, rng: np.random.Generator, state: State, fitted: Installation
) -> float:
    """The resistance of the whole feed [ohm] that lets the unit's volts come to between these above its low limit."""
    target = fitted.family.supply_low_v + float(rng.uniform(low, high))
    return (state.battery_v - target) * target / state.unit_w


def sagging_battery(low: float, high: float) -> Draw:
    """A rest voltage of a tired battery that lets the unit come to between these above its low limit."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        loop = state.positive_ohm + state.negative_ohm + state.joint_ohm + state.plug_ohm + state.holder_ohm
        # Tired: what fails is its inner resistance, so that it rests high enough and falls under the load.
        return max(_whole_ohm(low, high, rng, state, fitted) - loop, 0.03)

    return draw


def beyond_reach(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    from leadsman.drill.view import reach

    return min(max(reach(state, fitted) * float(rng.uniform(1.15, 1.6)), 8.0), 1400.0)


def dead_zone(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    from leadsman.drill.view import blind

    return blind(state, fitted) * float(rng.uniform(0.5, 0.9))


def nominal(factor_low: float, factor_high: float) -> Draw:
    return lambda rng, state, fitted: 12.0 * fitted.times * float(rng.uniform(factor_low, factor_high))


def foot(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return state.depth_m * float(rng.uniform(0.3, 0.8))


def top(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return state.depth_m * float(rng.uniform(1.3, 2.0))


def other_band(rng: np.random.Generator, state: State, fitted: Installation) -> int:
    return (state.band + 1) % len(fitted.pulses)


def between_bands(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    """Water that one band reads and the one just chosen does not: too deep for it, or within its ringing."""
    from leadsman.drill.view import blind, reach

    bad, good = state.band, (state.band + 1) % len(fitted.pulses)
    low, high = reach(state, fitted, bad), reach(state, fitted, good)
    if low < high:
        return low + (high - low) * float(rng.uniform(0.3, 0.9))
    near, far = blind(state, fitted, good), blind(state, fitted, bad)
    return near + (far - near) * float(rng.uniform(0.2, 0.8))


def twice(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    return fitted.boat.face_immersion_m * float(rng.choice((1.0, -1.0)))


def loss(low: float, high: float) -> Draw:
    """A loss that takes the boat from its margin at this depth to this many dB below what a number needs."""

    def draw(rng: np.random.Generator, state: State, fitted: Installation) -> float:
        from leadsman.drill.view import margin

        return max(margin(state, fitted), 0.0) + float(rng.uniform(low, high))

    return draw


def tilt(rng: np.random.Generator, state: State, fitted: Installation) -> float:
    beam = fitted.pulses[state.band].narrow_deg
    return max(8.0, 0.6 * beam) * float(rng.uniform(1.0, 1.6)) + 4.0


SOUNDER_LIMIT = 0.45
"""Volts above the low limit of the screen below which the sounder no longer gets what it needs (common practice)."""
