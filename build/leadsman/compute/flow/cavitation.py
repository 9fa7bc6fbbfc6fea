"""Water flowing past a face: cavitation, and why air takes the echo long before.

Cavitation is vapour of the water itself, below the vapour pressure; ventilation is air drawn in from the
surface, possible as soon as the suction takes the pressure below that of the air; aeration is bubbles that
the hull already carries under it. Small craft lose the echo by the last two. An inception speed is
background for the handbook, never a limit on a card.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.hull.geometry import Words
from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.water.properties import density, vapour_pressure

#: Standard acceleration of gravity, exact by definition (ISO 80000-3:2006).
GRAVITY_MPS2 = 9.80665

_SPEED = Number("speed", "m/s", 0.1, 50, "speed of the water past the face")
_SUCTION = Number("suction", "1", 0.05, 5, "strongest suction, minus the least pressure coefficient")
_DEPTH = Number("depth", "m", 0.02, 20, "immersion of the face")
_TEMPERATURE = Number("temperature", "degC", 0, 40, "water temperature", 15.0)
_SALINITY = Number("salinity", "PSU", 0, 40, "practical salinity; 0 is fresh water", 35.0)
_AIR = Number("air_pressure", "kPa", 60, 110, "pressure of the air", 101.325)


def _excess_over_vapour(
    depth_m: Values, temperature_c: Values, salinity_psu: Values, air_pressure_kpa: Values
) -> tuple[Values, Values]:
    """Still pressure at the face less the vapour pressure [Pa], and the density [kg/m3]."""
    rho = density(temperature_c=temperature_c, salinity_psu=salinity_psu)
    vapour = vapour_pressure(temperature_c=temperature_c, salinity_psu=salinity_psu)
    return 1000.0 * air_pressure_kpa + rho * GRAVITY_MPS2 * depth_m - vapour, rho


@formula(
    "flow.cavitation_number",
    title="Cavitation number",
    inputs=(_SPEED, _DEPTH, _TEMPERATURE, _SALINITY, _AIR),
    outputs=(Output("number", "1", "cavitation number"),),
    method="Still pressure less vapour pressure, over the dynamic pressure",
    sources=("brennen-1995, chapter 1",),
    accuracy="0.1 % for the inputs given",
    serves="How near is the water at the face to tearing?",
)
def cavitation_number(
    *,
    speed_mps: Values,
    depth_m: Values,
    temperature_c: Values = 15.0,
    salinity_psu: Values = 35.0,
    air_pressure_kpa: Values = 101.325,
) -> Values:
    r"""Cavitation number of a face: how far the flow is from boiling, in units of its dynamic pressure.

    .. math:: \sigma = \frac{p_a + \rho g h - p_v}{\rho U^2/2}

    Notes
    -----
    The vapour pressure is 2 percent of the air's at 20 degC: temperature hardly matters.

    Examples
    --------
    >>> cavitation_number(speed_mps=10, depth_m=0.5)
    2.04
    """
    excess, rho = _excess_over_vapour(depth_m, temperature_c, salinity_psu, air_pressure_kpa)
    return excess / (0.5 * rho * speed_mps**2)


@formula(
    "flow.inception_speed",
    title="Speed at which cavitation could begin (never a limit: air comes first)",
    inputs=(_SUCTION, _DEPTH, _TEMPERATURE, _SALINITY, _AIR),
    outputs=(Output("speed", "m/s", "ideal inception speed"),),
    method="Speed at which the cavitation number equals the strongest suction",
    sources=("brennen-1995, chapter 1", "acosta-2000, section 2.1.1"),
    accuracy="ideal: real inception comes earlier or later by nuclei, roughness and vortices; the suction of a "
    "real face is known to a factor of 2 at best",
)
def inception_speed(
    *,
    suction: Values,
    depth_m: Values,
    temperature_c: Values = 15.0,
    salinity_psu: Values = 35.0,
    air_pressure_kpa: Values = 101.325,
) -> Values:
    r"""Speed at which the water at the strongest suction of a face would just boil.

    .. math:: U = \sqrt{\frac{2(p_a + \rho g h - p_v)}{\rho(-C_{p,min})}}

    Notes
    -----
    Background only. A speed below it does not clear the flow: air takes the echo at a fraction of it (see
    ``flow.loss_mechanism``). It is never a limit on a card.

    Examples
    --------
    >>> inception_speed(suction=1, depth_m=0.5)
    14.3
    """
    excess, rho = _excess_over_vapour(depth_m, temperature_c, salinity_psu, air_pressure_kpa)
    return np.sqrt(2.0 * excess / (rho * suction))


@formula(
    "flow.ventilation_speed",
    title="Speed from which a face could draw air",
    inputs=(_SUCTION, _DEPTH),
    outputs=(Output("speed", "m/s", "least speed at which the pressure falls below the air's"),),
    method="Suction equal to the head of water over the face",
    sources=(
        "brennen-1995, chapter 1 (pressure coefficient)",
        "acosta-2000, section 2.1.1 (the distinction)",
    ),
    accuracy="the least speed possible; air also needs a path down, along a bracket, a step or a vortex",
)
def ventilation_speed(*, suction: Values, depth_m: Values) -> Values:
    r"""Least speed at which the pressure on a face falls below that of the air, so that air can be drawn in.

    .. math:: U = \sqrt{\frac{2 g h}{-C_{p,min}}}

    Notes
    -----
    The condition is necessary, not sufficient. Bubbles that the hull carries under it (aeration) need no
    suction at all and come at any speed.

    Examples
    --------
    >>> ventilation_speed(suction=0.5, depth_m=0.3)
    3.43
    """
    return np.sqrt(2.0 * GRAVITY_MPS2 * np.asarray(depth_m) / suction)


class LossMechanism(NamedTuple):
    """What the flow can do at a speed, and the two speeds at which that changes."""

    word: Words
    air_from: Values
    vapour_from: Values


@formula(
    "flow.loss_mechanism",
    title="What takes the echo under way",
    inputs=(_SPEED, _SUCTION, _DEPTH, _TEMPERATURE, _SALINITY, _AIR),
    outputs=(
        Output("word", "", "carried air, drawn air, or air and cavitation"),
        Output("air_from", "m/s", "speed from which air can be drawn in"),
        Output("vapour_from", "m/s", "speed from which the water could boil"),
    ),
    method="Speed against flow.ventilation_speed and flow.inception_speed",
    sources=("acosta-2000, section 2.1.1", "brennen-1995, chapter 1"),
    accuracy="names what is possible, not what is present; the trials on the water decide",
    serves="Does the face lose its water by cavitation or by drawn air, and at what speed?",
)
def loss_mechanism(
    *,
    speed_mps: Values,
    suction: Values,
    depth_m: Values,
    temperature_c: Values = 15.0,
    salinity_psu: Values = 35.0,
    air_pressure_kpa: Values = 101.325,
) -> LossMechanism:
    r"""What the flow past a face can do at a speed: carry air, draw air, or also cavitate.

    .. math:: U \lessgtr \sqrt{2gh/(-C_{p,min})}, \quad U \lessgtr \sqrt{2(p_a+\rho gh-p_v)/(-\rho C_{p,min})}

    Notes
    -----
    No word says that the flow is clean: carried air is possible at every speed, and below the second speed
    it and drawn air are all that the flow can do.

    Examples
    --------
    >>> loss_mechanism(speed_mps=7.2, suction=0.5, depth_m=0.3)
    LossMechanism(word='drawn air', air_from=3.43, vapour_from=20.1)
    """
    air = ventilation_speed(suction=suction, depth_m=depth_m)
    vapour = inception_speed(
        suction=suction,
        depth_m=depth_m,
        temperature_c=temperature_c,
        salinity_psu=salinity_psu,
        air_pressure_kpa=air_pressure_kpa,
    )
    speed, air, vapour = np.broadcast_arrays(speed_mps, air, vapour)
    drawn = np.where(speed < vapour, "drawn air", "air and cavitation")
    return LossMechanism(np.where(speed < air, "carried air", drawn), air, vapour)
