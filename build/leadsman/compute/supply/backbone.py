"""Power on a network backbone: drop by length, load and place of the feed, and the budget to the farthest
node."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.supply.conductors import temperature_factor, temperature_input

#: Resistance of one power conductor of the trunk at 20 degC, ohm/m: thin is 22 AWG, thick 15 AWG (from
#: memory).
TRUNK_OHM_PER_M = {"thin": 0.0574, "thick": 0.0118}
#: Share of the lumped drop 2 L I R' by feed: all load at the far end, load spread evenly, feed at the centre.
FEED_SHARE = {"end, load at the far end": 1.0, "end, load spread": 1 / 2, "centre, load spread": 1 / 8}
#: Current of one load unit of the network, A, and least volts at a node for the budget (from memory).
LOAD_UNIT_A = 0.05
NODE_MINIMUM_V = 9.0

TRUNK_INPUT = Choice("trunk", tuple(TRUNK_OHM_PER_M), "Kind of trunk cable.")
FEED_INPUT = Choice("feed", tuple(FEED_SHARE), "Where power enters and how the load lies.")
LOAD_INPUT = Number("current", "A", 0.0, 8.0, "Total current of the nodes.")


@formula(
    "supply.network_load",
    title="Current of a network from its load units",
    inputs=(Number("load_units", "1", 0.0, 160.0, "Sum of the nodes' load equivalence numbers."),),
    outputs=(Output("current", "A", "Total current."),),
    method="I = 0.05 A x units",
    sources=("common-practice",),
    accuracy="Declared maxima, rounded up per node; the true current is less.",
    serves="What do these units on the network draw?",
)
def network_load(*, load_units: Values) -> Values:
    """Greatest current of a network from the load units that its nodes declare.

    Notes
    -----
    Each node's number is rounded up to a whole unit, so the sum errs on the safe side.

    Examples
    --------
    >>> network_load(load_units=12)
    0.6
    """
    return LOAD_UNIT_A * load_units


@formula(
    "supply.backbone_drop",
    title="Voltage drop along a network backbone",
    inputs=(
        Number("length", "m", 0.0, 200.0, "Whole length of the backbone."),
        LOAD_INPUT,
        TRUNK_INPUT,
        FEED_INPUT,
        temperature_input(20.0),
    ),
    outputs=(Output("drop", "V", "Drop to the farthest node."),),
    method="dV = k 2 L I R'(T), k = 1, 1/2 or 1/8",
    sources=("horowitz-hill-2015, section 1.2; trunk resistances from memory", "common-practice"),
    accuracy="10 %, the spread of trunk cables; drops to nodes and connectors come on top.",
)
def backbone_drop(
    *, length_m: Values, current_a: Values, trunk: str, feed: str, temperature_c: Values = 20.0
) -> Values:
    """Drop of the power pair of a backbone from its feed to the farthest node, by where load and feed lie.

    ``dV = k 2 L I R'(T)``: ``k = 1`` with all load at the far end, ``1/2`` spread evenly, ``1/8`` fed at the
    centre.

    Notes
    -----
    For a feed at the centre the current divides, and so does the length: a quarter of a quarter, spread.

    Examples
    --------
    >>> backbone_drop(length_m=10.0, current_a=0.5, trunk="thin", feed="end, load at the far end")
    0.574
    """
    per_m = TRUNK_OHM_PER_M[trunk] * temperature_factor(temperature_c=temperature_c)
    return FEED_SHARE[feed] * 2 * length_m * current_a * per_m


class BackboneBudget(NamedTuple):
    """Volts at the farthest node, what they leave over the least, and the backbone that would use it up."""

    farthest: Values
    margin: Values
    longest: Values


@formula(
    "supply.backbone_budget",
    title="Power budget of a network backbone",
    inputs=(
        Number("source", "V", 9.0, 16.0, "Lowest volts where power enters the backbone."),
        Number("length", "m", 0.0, 200.0, "Whole length of the backbone."),
        Number("current", "A", 0.01, 8.0, "Total current of the nodes."),
        TRUNK_INPUT,
        FEED_INPUT,
        temperature_input(20.0),
        Number("node_minimum", "V", 6.0, 12.0, "Least volts at a node.", default=NODE_MINIMUM_V),
    ),
    outputs=(
        Output("farthest", "V", "Volts at the farthest node."),
        Output("margin", "V", "Above the least volts; negative = too low."),
        Output("longest", "m", "Backbone that would leave exactly the least volts."),
    ),
    method="V = V_s - dV; L_max = (V_s - V_min) / (k 2 I R'(T))",
    sources=("horowitz-hill-2015, section 1.2", "common-practice"),
    accuracy="10 % of the drop.",
)
def backbone_budget(
    *,
    source_v: Values,
    length_m: Values,
    current_a: Values,
    trunk: str,
    feed: str,
    temperature_c: Values = 20.0,
    node_minimum_v: Values = NODE_MINIMUM_V,
) -> BackboneBudget:
    """Volts that reach the farthest node of a backbone and the longest backbone that would serve, from its
    drop.

    Raises
    ------
    NoAnswer
        The supply itself stands no higher than the nodes' least.

    Notes
    -----
    Take the volts of a tired battery, not of a charging one.

    Examples
    --------
    >>> backbone_budget(source_v=11.5, length_m=20.0, current_a=0.8, trunk="thin", feed="end, load spread")
    BackboneBudget(farthest=10.58, margin=1.58, longest=54.4)
    """
    if np.any(np.asarray(source_v - node_minimum_v) <= 0):
        raise NoAnswer(
            "the supply stands no higher than the least that the nodes need: no backbone can serve"
        )
    per_m = backbone_drop(
        length_m=1.0, current_a=current_a, trunk=trunk, feed=feed, temperature_c=temperature_c
    )
    farthest = source_v - np.asarray(length_m) * per_m
    longest = (source_v - node_minimum_v) / np.asarray(per_m)
    return BackboneBudget(*np.broadcast_arrays(farthest, farthest - node_minimum_v, longest))
