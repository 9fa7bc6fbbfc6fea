"""Numbers of diagnosis: expected time to isolate, and when to replace instead of looking.

The formulas here and in ``information`` take lists of numbers. What takes a graph, a matrix or a precedence stands in its own
module: ``structure`` and ``walk`` (proofs and paths of an entry), ``sequencing`` and ``best_order`` (orders
of checks), ``swap_matrix`` and ``testability`` (suspects).
"""

from __future__ import annotations

import numpy as np

from leadsman.compute.diagnosis.best_order import best_order
from leadsman.compute.diagnosis.information import same_length, scaled
from leadsman.compute.diagnosis.sequencing import EXACT_LIMIT, CheckSet, Model, expected_minutes
from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Series, Values, formula

_SHARE = Series("share", "1", 0, 1, "likelihood that each check finds the fault")
_TIME = Series("time", "min", 0, 1000, "time of each check")
_MODEL = Choice(
    "model",
    tuple(model.value for model in Model),
    "single fault, where what is missing from 1 is found by no check and pays for all; the same, but the last cause left is not checked; or independent faults",
    Model.SINGLE_FAULT.value,
)


def _check_set(share: Values, time_min: Values, model: str) -> CheckSet:
    size = same_length(share, time_min, "share and time")
    names = [str(number) for number in range(size)]
    shares, minutes = np.asarray(share).tolist(), np.asarray(time_min).tolist()
    return CheckSet.from_shares(names, shares, minutes, model=Model(model))


@formula(
    "diagnosis.expected_time",
    title="Expected time to isolate",
    inputs=(_SHARE, _TIME, _MODEL),
    outputs=(Output("time", "min", "expected time of the checks in the order given"),),
    method="Each check's time by the chance that it is needed",
    sources=(
        "smith-1956, single fault, as a weighted sum of completion times",
        "mitten-1960, independent faults",
    ),
    accuracy="exact; likelihoods and times from experience bear a factor of 1.5",
)
def expected_time(*, share: Values, time_min: Values, model: str = Model.SINGLE_FAULT.value) -> float:
    r"""Expected time to isolate a fault with checks made in the order given, under a named model.

    .. math:: E = \sum_k c_k\Bigl(1 - \sum_{j<k} p_j\Bigr) \quad or \quad \sum_k c_k\prod_{j<k}(1-q_j)

    Returns
    -------
    float
        Expected time [min].

    Notes
    -----
    The models give different numbers from the same inputs: print the model's name beside the number. For
    precedence and shared accesses see ``leadsman.compute.diagnosis.sequencing``.

    Examples
    --------
    >>> expected_time(share=[0.2, 0.8], time_min=[2, 3])
    4.4
    """
    checks = _check_set(share, time_min, model)
    return expected_minutes(checks, checks.names)


@formula(
    "diagnosis.least_time",
    title="Least expected time to isolate",
    inputs=(_SHARE, _TIME, _MODEL),
    outputs=(Output("time", "min", "expected time of the best order"),),
    method="Dynamic programming over the sets of checks made, free of precedence",
    sources=("held-karp-1962",),
    accuracy="exact to 16 checks; more are refused",
)
def least_time(*, share: Values, time_min: Values, model: str = Model.SINGLE_FAULT.value) -> float:
    r"""Least expected time to isolate over all orders of the checks, under a named model.

    .. math:: V(S) = \min_j\ c_j P(S) + V(S \cup j)

    Returns
    -------
    float
        Expected time [min].

    Notes
    -----
    Without precedence the best order is that of falling share over time, except in the variant with
    elimination. With precedence or shared accesses see ``leadsman.compute.diagnosis.best_order``.

    Examples
    --------
    >>> least_time(share=[0.2, 0.8], time_min=[2, 3])
    3.4
    """
    checks = _check_set(share, time_min, model)
    if len(checks.checks) > EXACT_LIMIT:
        raise NoAnswer(f"more than {EXACT_LIMIT} checks: the best order is not found exactly")
    return best_order(checks).minutes


@formula(
    "diagnosis.single_fault_likelihood",
    title="Likelihoods given exactly one fault",
    inputs=(Series("marginal", "1", 0, 1, "probability of each fault by itself"),),
    outputs=(Output("likelihood", "1", "likelihood of each fault, given that there is exactly one"),),
    method="Odds of each fault, scaled to add up to 1",
    sources=("de-kleer-williams-1987, independent priors; Bayes' rule",),
    accuracy="exact for independent faults",
)
def single_fault_likelihood(*, marginal: Values) -> Values:
    r"""Likelihood of each cause given that exactly one of several independent faults is present.

    .. math:: p_i \propto q_i / (1 - q_i)

    Returns
    -------
    array
        Likelihoods that add up to 1.

    Notes
    -----
    The order by likelihood over time can differ from that by the marginals. One certain fault takes all.

    Examples
    --------
    >>> single_fault_likelihood(marginal=[0.5, 0.4, 0.05]).round(3).tolist()
    [0.582, 0.388, 0.031]
    """
    chances = np.asarray(marginal, dtype=float)
    certain = chances == 1.0
    if np.count_nonzero(certain) > 1:
        raise NoAnswer("two faults are certain, so there is never exactly one")
    odds = certain.astype(float) if certain.any() else chances / (1.0 - chances)
    return scaled(odds)


@formula(
    "diagnosis.replace_threshold",
    title="When to replace without looking",
    inputs=(
        Number("inspect", "min", 0, 1000, "time to inspect the part, which is then replaced only if faulty"),
        Number("replace", "min", 0.1, 1000, "time to replace it, with its price put into time"),
        Number("verify", "min", 0, 1000, "time to prove that a part replaced outright was the fault"),
    ),
    outputs=(Output("chance", "1", "chance of being faulty above which replacing is quicker"),),
    method="Expected time of both ways set equal",
    sources=("common-practice",),
    accuracy="exact for one part; in a row of parts it depends on the place",
)
def replace_threshold(*, inspect_min: Values, replace_min: Values, verify_min: Values) -> Values:
    r"""Chance of being faulty above which replacing a part outright is quicker than inspecting it first.

    .. math:: P = \frac{r + v - c}{r}

    Returns
    -------
    float or array
        Chance: 1 or more means never, 0 or less means always.

    Notes
    -----
    A comparison of times only: a part is condemned by measurement, not because replacing is quick.

    Examples
    --------
    >>> replace_threshold(inspect_min=3, replace_min=8, verify_min=1)
    0.75
    """
    return (replace_min + verify_min - np.asarray(inspect_min)) / replace_min
