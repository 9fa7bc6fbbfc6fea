"""Solve the supply of a boat by nodal analysis: battery, joints, two legs, shared loads, constant-power unit.

Written down independently of ``leadsman.compute.supply``, which uses the closed quadratic.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Nodes: battery positive post, behind the fuse-holder, plug +, unit +, unit -, plug -. Ground is the negative post.
_POST, _FUSED, _PLUG, _UNIT, _UNIT_NEGATIVE, _PLUG_NEGATIVE = range(6)
_NODES = 6
#: A missing branch, as a conductance.
_OPEN = 1e-9
#: Newton's steps before an operating point counts as absent.
_STEPS = 60


@dataclass(frozen=True)
class Supply:
    """The parts of each boat's supply, one array element a boat. Ohms, volts, watts, amperes."""

    source_v: Array
    source_ohm: Array
    holder_ohm: Array
    positive_ohm: Array
    negative_ohm: Array
    plug_ohm: Array
    """Contacts of power plug and cradle, both poles together."""
    unit_w: Array
    """Constant power that the unit takes; 0 when it is off or unplugged."""
    lamp_ohm: Array
    """A resistive load across the plug; infinite when there is none."""
    shared_a: Array
    """Current of other consumers that hang on the same lead, at the plug."""


@dataclass(frozen=True)
class Volts:
    """What a meter of infinite input resistance would read, and the current of the unit's lead."""

    post: Array
    fused: Array
    plug: Array
    unit: Array
    current: Array
    holds: NDArray[np.bool_]
    """False where the constant-power load finds no operating point: the supply collapses."""
    positive_drop: Array
    negative_drop: Array
    holder_drop: Array


def supply(**parts: object) -> Supply:
    """A supply from scalars or arrays, broadcast to one length."""
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, float)) for v in parts.values()))
    return Supply(**dict(zip(parts, arrays, strict=True)))


def solve(circuit: Supply) -> Volts:
    """Node voltages by Newton's method on the nodal equations, from the unloaded state downwards.

    Started above the upper operating point, the iteration comes down to it and cannot reach the lower,
    unstable one. Where it falls through, or does not settle, the load has no operating point.
    """
    count = circuit.source_v.size
    conductance = np.zeros((count, _NODES, _NODES))
    source = np.zeros((count, _NODES))

    def branch(a: int, b: int | None, ohm: Array) -> None:
        g = 1.0 / np.maximum(ohm, 1e-9)
        conductance[:, a, a] += g
        if b is not None:
            conductance[:, b, b] += g
            conductance[:, a, b] -= g
            conductance[:, b, a] -= g

    branch(_POST, None, circuit.source_ohm)
    source[:, _POST] += circuit.source_v / np.maximum(circuit.source_ohm, 1e-9)
    branch(_POST, _FUSED, circuit.holder_ohm)
    branch(_FUSED, _PLUG, circuit.positive_ohm)
    branch(_PLUG, _UNIT, circuit.plug_ohm / 2)
    branch(_UNIT_NEGATIVE, _PLUG_NEGATIVE, circuit.plug_ohm / 2)
    branch(_PLUG_NEGATIVE, None, circuit.negative_ohm)
    branch(_PLUG, _PLUG_NEGATIVE, circuit.lamp_ohm)
    source[:, _PLUG] -= circuit.shared_a
    source[:, _PLUG_NEGATIVE] += circuit.shared_a
    for node in range(_NODES):
        conductance[:, node, node] += _OPEN
    volts = np.linalg.solve(conductance, source[..., None])[..., 0]
    holds = (volts[:, _UNIT] - volts[:, _UNIT_NEGATIVE]) > 0.5
    settled = np.zeros(count, bool)
    for _ in range(_STEPS):
        across = np.maximum(volts[:, _UNIT] - volts[:, _UNIT_NEGATIVE], 1e-3)
        current = circuit.unit_w / across
        slope = -circuit.unit_w / across**2
        matrix = conductance.copy()
        for a, b, sign in ((_UNIT, _UNIT, 1), (_UNIT_NEGATIVE, _UNIT_NEGATIVE, 1),
                           (_UNIT, _UNIT_NEGATIVE, -1), (_UNIT_NEGATIVE, _UNIT, -1)):  # fmt: skip
            matrix[:, a, b] += sign * slope
        wrong = np.einsum("nij,nj->ni", conductance, volts) - source
        wrong[:, _UNIT] += current
        wrong[:, _UNIT_NEGATIVE] -= current
        step = np.linalg.solve(matrix, wrong[..., None])[..., 0]
        fresh = volts - step
        # Below zero there is no operating point: the unit has pulled its own supply down.
        fell = (fresh[:, _UNIT] - fresh[:, _UNIT_NEGATIVE]) <= 0
        holds &= ~(fell & ~settled)
        active = holds & ~settled
        volts = np.where(active[:, None], fresh, volts)
        settled |= np.abs(step).max(axis=1) < 1e-9
        if (settled | ~holds).all():
            break
    holds &= settled
    across = volts[:, _UNIT] - volts[:, _UNIT_NEGATIVE]
    current = np.where(holds, circuit.unit_w / np.maximum(across, 1e-3), 0.0)
    return Volts(
        post=np.asarray(volts[:, _POST], float),
        fused=np.asarray(volts[:, _FUSED], float),
        plug=volts[:, _PLUG] - volts[:, _PLUG_NEGATIVE],
        unit=np.where(holds, across, 0.0),
        current=current,
        holds=holds,
        positive_drop=volts[:, _POST] - volts[:, _PLUG],
        negative_drop=np.asarray(volts[:, _PLUG_NEGATIVE], float),
        holder_drop=volts[:, _POST] - volts[:, _FUSED],
    )


def lead_ohm(area_mm2: float, length_m: float, temperature_c: float) -> float:
    """One leg of copper: resistivity 17.24 nano-ohm metre at 20 C, +0.393 % a kelvin, 3 % more for the lay.

    The constants are those of annealed copper (IEC 60028, from memory).
    """
    return 0.01724 * 1.03 * (1 + 0.00393 * (temperature_c - 20)) * length_m / area_mm2


#: Area of a wire gauge: diameter 0.127 mm x 92^((36 - gauge)/39) (ASTM B258, from memory).
def gauge_mm2(gauge: int) -> float:
    """Copper area of an AWG size."""
    diameter = 0.127 * float(92 ** ((36 - gauge) / 39))
    return float(np.pi) / 4 * diameter**2
