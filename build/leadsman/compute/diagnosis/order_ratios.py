"""The ratio of likelihood to time: it explains a best order, and guides the heuristic for long lists."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from leadsman.compute.diagnosis.sequencing import EXACT_LIMIT, TIE_MIN, CheckSet, expected_minutes, is_legal
from leadsman.compute.registry import ComputeError


def ratios(checks: CheckSet) -> dict[str, float]:
    """Return, for each check made first, the likelihood it finds divided by the minutes it takes.

    Parameters
    ----------
    checks : CheckSet
        The checks; the accesses that a check needs count in its minutes.

    Returns
    -------
    dict of str to float
        In 1/min; infinite for a check that takes no time.

    Notes
    -----
    Sorting by this ratio is optimal only without precedence, shared accesses and overlap; elsewhere it
    explains an order but does not prove it.

    Examples
    --------
    >>> ratios(CheckSet.from_shares(["a", "b"], [0.8, 0.2], [4, 2]))
    {'a': 0.2, 'b': 0.1}

    References
    ----------
    Mitten, L. G. An analytic solution to the least cost testing sequence problem. 1960.
    """
    return {check.name: _ratio(checks, (), (check.name,)) for check in checks.checks}


def _ratio(checks: CheckSet, done: tuple[str, ...], block: tuple[str, ...]) -> float:
    """Likelihood newly found by a block of checks over the minutes it takes, after those already done."""
    index = [checks.names.index(name) for name in done]
    added = [checks.names.index(name) for name in block]
    before = np.prod(checks.misses[index], axis=0)
    after = before * np.prod(checks.misses[added], axis=0)
    found = float(checks.still_unknown(before) - checks.still_unknown(after))
    opened = frozenset[str]().union(*(checks.checks[i].setups for i in index))
    needed = frozenset[str]().union(*(checks.checks[i].setups for i in added)) - opened
    minutes = sum(checks.checks[i].minutes for i in added) + sum(checks.setup_minutes[s] for s in needed)
    return found / minutes if minutes > 0.0 else np.inf


def improved_order(checks: CheckSet) -> tuple[str, ...]:
    """Return a good legal order for a list of any length: greedy by blocks, then moves of single checks.

    At each turn the unmade check is taken, together with all that must precede it, whose block has the
    greatest ratio of likelihood to time; then single checks are moved while that lowers the expected
    minutes. Nothing is proved about the result.

    Parameters
    ----------
    checks : CheckSet
        The checks.

    Returns
    -------
    tuple of str
        Their names.

    Examples
    --------
    >>> improved_order(CheckSet.from_shares(["a", "b"], [0.2, 0.8], [4, 2]))
    ('b', 'a')
    """
    order: tuple[str, ...] = ()
    if any(check.after_any or check.latest is not None for check in checks.checks):
        # Groups and latest places do not fit into blocks: begin with the written order.
        order = checks.written_order
    while len(order) < len(checks.checks):
        blocks = [_with_predecessors(checks, name, order) for name in checks.names if name not in order]
        order += max(blocks, key=lambda block: _ratio(checks, order, block))
    best = expected_minutes(checks, order)
    improving = True
    while improving:
        improving = False
        for moved in _single_moves(order):
            if is_legal(checks, moved) and (minutes := expected_minutes(checks, moved)) < best - TIE_MIN:
                order, best, improving = moved, minutes, True
                break
    return order


def _with_predecessors(checks: CheckSet, name: str, done: tuple[str, ...]) -> tuple[str, ...]:
    """The check with all that must precede it and is not done, in a legal order."""
    wanted, queue = {name}, [name]
    while queue:
        for earlier in checks.checks[checks.names.index(queue.pop())].after:
            if earlier not in wanted and earlier not in done:
                wanted.add(earlier)
                queue.append(earlier)
    return tuple(n for n in checks.written_order if n in wanted)


def _single_moves(order: tuple[str, ...]) -> list[tuple[str, ...]]:
    moves: list[tuple[str, ...]] = []
    for start, name in enumerate(order):
        rest = order[:start] + order[start + 1 :]
        moves.extend((*rest[:end], name, *rest[end:]) for end in range(len(order)) if end != start)
    return moves


def ratio_blocks(
    shares: Sequence[float], minutes: Sequence[float], precedence: Sequence[tuple[int, int]] = ()
) -> tuple[tuple[int, ...], ...]:
    """Return the Sidney decomposition: the blocks of checks, best first, that some best order keeps together.

    Repeatedly the legal initial set with the greatest (sum of likelihoods) / (sum of minutes) is taken;
    of equal ones the smallest.

    Parameters
    ----------
    shares : sequence of float
        Likelihood that each check finds the fault, or any weight.
    minutes : sequence of float
        Time of each check, above 0.
    precedence : sequence of (int, int)
        Pairs (earlier, later) of 0-based numbers.

    Returns
    -------
    tuple of tuple of int
        0-based numbers, each block in ascending order.

    Notes
    -----
    Single-fault model without shared accesses; at most :data:`EXACT_LIMIT` checks, by enumeration of
    the legal sets. It explains a best order: within a block the order is not settled.

    Examples
    --------
    >>> ratio_blocks([0.0, 0.6, 0.3], [3, 1, 4], precedence=[(0, 1)])
    ((0, 1), (2,))

    References
    ----------
    Sidney, J. B. Decomposition algorithms for single-machine sequencing with precedence relations and
    deferral costs. Operations Research 23. 1975.
    """
    size = len(shares)
    if size > EXACT_LIMIT:
        raise ComputeError(f"{size} checks are too many for the block decomposition (at most {EXACT_LIMIT})")
    if min(minutes, default=1.0) <= 0.0:
        raise ComputeError("every check of a block decomposition takes time")
    sets = np.arange(1 << size)
    member = (sets[:, None] >> np.arange(size)) & 1
    legal = np.ones(sets.shape, dtype=bool)
    for earlier, later in precedence:
        legal &= member[:, earlier] >= member[:, later]
    weight, time, count = member @ np.asarray(shares), member @ np.asarray(minutes), member.sum(axis=1)
    blocks, done = [], 0
    while done != sets[-1]:
        onward = sets[legal & (sets & done == done) & (sets != done)]
        gain = (weight[onward] - weight[done]) / (time[onward] - time[done])
        tied = onward[gain >= gain.max() * (1.0 - 1e-12)]
        chosen = int(tied[np.argmin(count[tied])])
        blocks.append(tuple(number for number in range(size) if (chosen & ~done) >> number & 1))
        done = chosen
    return tuple(blocks)
