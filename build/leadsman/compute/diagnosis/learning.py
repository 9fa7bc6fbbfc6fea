"""What closed cases teach: shares of causes from the written ones and the counts, with their intervals.

The written shares are a Dirichlet prior worth a stated number of cases; the counts are multinomial. The posterior of
one share is a beta distribution. A case whose verdict leaves several causes, or none was found, counts for each cause
by its likelihood (data augmentation), so that causes which are found easily do not crowd out the others.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.numerics import beta_quantile, normal_quantile
from leadsman.compute.registry import ComputeError, Number, Output, Values, formula

#: Draws of the posterior, and those before them that are dropped.
DRAWS, SETTLING = 2000, 200
#: Nothing is drawn differently from one run to the next.
SEED = 20261129


class ShareEstimate(NamedTuple):
    """A share: its mean and the ends of its equal-tailed 95 % interval."""

    mean: Values
    low: Values
    high: Values


_OUTPUTS = (
    Output("mean", "1", "mean of the share"),
    Output("low", "1", "lower end of the 95 % interval"),
    Output("high", "1", "upper end of the 95 % interval"),
)


@formula(
    "diagnosis.cause_share",
    title="Share of a cause after closed cases",
    inputs=(
        Number("written", "1", 0.0, 1.0, "share of the cause as it is written"),
        Number("weight", "1", 0.01, 10_000.0, "how many cases the written shares are worth"),
        Number("seen", "1", 0.0, 1_000_000.0, "closed cases with this cause"),
        Number("cases", "1", 0.0, 1_000_000.0, "all closed cases"),
    ),
    outputs=_OUTPUTS,
    method="Dirichlet-multinomial: beta with weight*written + seen and the rest; equal-tailed quantiles",
    sources=("gelman-2013",),
    accuracy="exact for cases with one certain verdict",
    serves="How likely is this cause now, after the cases that were closed?",
)
def cause_share(*, written: Values, weight: Values, seen: Values, cases: Values) -> ShareEstimate:
    r"""Share of a cause when the written shares are worth so many cases and some cases were closed.

    .. math:: m = (w s + n)/(w + N)

    Raises
    ------
    ComputeError
        When more cases have the cause than there are.

    Notes
    -----
    The marginal of a Dirichlet is a beta; its quantiles are the interval, not mean plus or minus two deviations.

    Examples
    --------
    >>> tuple(round(float(part), 4) for part in cause_share(written=0.3, weight=10, seen=6, cases=10))
    (0.45, 0.2445, 0.665)
    """
    if np.any(np.asarray(seen) > np.asarray(cases)):
        raise ComputeError("more cases have the cause than there are")
    alpha = np.asarray(weight) * written + seen
    rest = np.asarray(weight) * (1.0 - np.asarray(written)) + (np.asarray(cases) - seen)
    low, high = (_quantile(at, alpha, rest) for at in (0.025, 0.975))
    return ShareEstimate(alpha / (alpha + rest), low, high)


def _quantile(at: float, alpha: Values, rest: Values) -> Values:
    """Of a beta distribution; one with nothing on one side stands at the other end."""
    inside = (np.asarray(alpha) > 0.0) & (np.asarray(rest) > 0.0)
    found = beta_quantile(at, np.where(inside, alpha, 1.0), np.where(inside, rest, 1.0))
    return np.where(inside, found, np.where(np.asarray(alpha) > 0.0, 1.0, 0.0))


@formula(
    "diagnosis.proportion",
    title="Interval of a counted proportion",
    inputs=(
        Number("seen", "1", 0.0, 1_000_000.0, "cases that have it"),
        Number("cases", "1", 1.0, 1_000_000.0, "all cases"),
    ),
    outputs=_OUTPUTS,
    method="Wilson score interval at 95 %",
    sources=("wilson-1927",),
    accuracy="coverage near 95 % also for few cases; no continuity correction",
    serves="How many boats come back, and how sure is that?",
)
def proportion(*, seen: Values, cases: Values) -> ShareEstimate:
    r"""Proportion of cases with the Wilson score interval.

    .. math:: \frac{p + z^2/2n \pm z\sqrt{p(1-p)/n + z^2/4n^2}}{1 + z^2/n}

    Raises
    ------
    ComputeError
        When more cases have it than there are.

    Notes
    -----
    For counts of come-backs and of "nothing found".

    Examples
    --------
    >>> tuple(round(float(part), 4) for part in proportion(seen=4, cases=20))
    (0.2, 0.0807, 0.416)
    """
    if np.any(np.asarray(seen) > np.asarray(cases)):
        raise ComputeError("more cases have it than there are")
    z, n = float(normal_quantile(0.975)), np.asarray(cases, dtype=float)
    share = np.asarray(seen) / n
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * np.sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    # At none and at all the end is exact; rounding must not carry it past.
    low = np.where(np.asarray(seen) == 0, 0.0, middle - half)
    return ShareEstimate(share, low, np.where(np.asarray(seen) == n, 1.0, middle + half))


def draw_shares(
    written: Sequence[float], weight: float, certain: Sequence[float], open_cases: Sequence[Sequence[float]]
) -> NDArray[np.float64]:
    """Draws of all shares together (rows), when some cases leave several causes.

    Parameters
    ----------
    written
        Shares as written, adding up to 1.
    weight
        How many cases they are worth.
    certain
        Cases with one certain cause, by cause.
    open_cases
        For each other case, which causes its answers leave: 1 for one that they leave, 0 for one that they exclude.

    Returns
    -------
    array
        :data:`DRAWS` rows, one column for each cause.

    Notes
    -----
    Gibbs sampling: a cause for each open case by the shares, then the shares by all causes (Tanner, Wong 1987).
    """
    generator = np.random.default_rng(SEED)
    alpha = np.maximum(weight * np.asarray(written, dtype=float), 1e-9) + np.asarray(certain, dtype=float)
    patterns, repeats = np.unique(
        np.asarray(open_cases, dtype=float).reshape(-1, len(alpha)), axis=0, return_counts=True
    )
    if not len(patterns):
        return np.asarray(generator.dirichlet(alpha, DRAWS))
    shares, found = alpha / alpha.sum(), np.empty((DRAWS, len(alpha)))
    for number in range(-SETTLING, DRAWS):
        counts = np.zeros(len(alpha))
        for pattern, times in zip(patterns, repeats, strict=True):
            left = pattern * np.maximum(shares, 1e-300)
            if left.sum() > 0.0:
                counts += generator.multinomial(times, left / left.sum())
        shares = generator.dirichlet(alpha + counts)
        if number >= 0:
            found[number] = shares
    return found
