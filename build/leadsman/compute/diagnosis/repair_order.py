"""The order of checks when a part may also be replaced outright and the repair proved (replacing as a test)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from leadsman.compute.diagnosis.sequencing import EXACT_LIMIT
from leadsman.compute.registry import ComputeError


@dataclass(frozen=True)
class RepairPlan:
    """The parts in order (0-based), whether each is inspected first, and the expected minutes."""

    order: tuple[int, ...]
    inspected: tuple[bool, ...]
    minutes: float


def best_repair_plan(
    shares: Sequence[float], inspect: Sequence[float], replace: Sequence[float], verify: float
) -> RepairPlan:
    """Return the best order of parts when each is inspected, or replaced outright and the repair proved.

    ``V(S) = min over j of min(c[j] P(S) + p[j] r[j], (r[j] + v) P(S)) + V(S + j)``

    Parameters
    ----------
    shares : sequence of float
        Likelihood that each part is the fault (single fault; the rest of 1 is none of them).
    inspect, replace : sequence of float
        Minutes to inspect a part (it is replaced if faulty), and to replace it.
    verify : float
        Minutes to prove a repair by replacement.

    Returns
    -------
    RepairPlan
        Ties go to inspection, and to the part listed first.

    Notes
    -----
    Whether to inspect depends on the place in the order, so no fixed ratio sorts the parts; the dynamic
    programme over sets is exact for up to 16 of them.

    Examples
    --------
    >>> best_repair_plan([0.5, 0.3, 0.2], inspect=[2, 3, 1], replace=[3, 8, 2], verify=1)
    RepairPlan(order=(0, 2, 1), inspected=(True, True, False), minutes=7.1)

    References
    ----------
    Held, M., Karp, R. M. A dynamic programming approach to sequencing problems. 1962.
    """
    size = len(shares)
    if not size == len(inspect) == len(replace):
        raise ComputeError("shares, inspect and replace must have the same length")
    if size > EXACT_LIMIT:
        raise ComputeError(f"{size} parts are too many for the exact order (at most {EXACT_LIMIT})")
    if min([*shares, *inspect, *replace, verify], default=0.0) < 0.0 or sum(shares) > 1.0 + 1e-6:
        raise ComputeError(
            "likelihoods and minutes must be 0 or more, and the likelihoods add up to at most 1"
        )
    sets = np.arange(1 << size)
    member = (sets[:, None] >> np.arange(size)) & 1
    unknown = np.maximum(0.0, 1.0 - member @ np.asarray(shares, dtype=float))
    looked = np.asarray(inspect) * unknown[:, None] + np.asarray(shares) * np.asarray(replace)
    outright = (np.asarray(replace) + verify) * unknown[:, None]
    own = np.minimum(looked, outright)
    to_go = np.zeros(1 << size)
    # A set's successors are all greater as numbers, so one pass downward is enough.
    for done in range((1 << size) - 2, -1, -1):
        rest = np.flatnonzero(member[done] == 0)
        to_go[done] = np.min(own[done, rest] + to_go[done | (1 << rest)])
    order, inspected, done = list[int](), list[bool](), 0
    while len(order) < size:
        rest = np.flatnonzero(member[done] == 0)
        totals = own[done, rest] + to_go[done | (1 << rest)]
        chosen = int(rest[np.flatnonzero(totals <= totals.min() + 1e-9)[0]])
        order.append(chosen)
        inspected.append(bool(looked[done, chosen] <= outright[done, chosen] + 1e-9))
        done |= 1 << chosen
    return RepairPlan(tuple(order), tuple(inspected), round(float(to_go[0]), 12))
