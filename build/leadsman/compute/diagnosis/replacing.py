"""When to replace a part instead of looking: the one formula of diagnosis that a person asks by itself.

What takes a graph, a matrix or a precedence is no registered formula: ``structure`` and ``walk`` (proofs and paths
of an entry), ``sequencing`` and ``best_order`` (orders of checks), ``swap_matrix`` and ``testability`` (suspects).
"""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula


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
    serves="Is it quicker to replace this part than to look at it first?",
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
