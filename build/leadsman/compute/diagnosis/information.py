"""Information, bounds and likelihoods of diagnosis, from lists of numbers (formulas of the topic ``diagnosis``)."""

from __future__ import annotations

import heapq

import numpy as np
from numpy.typing import NDArray

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Series, Values, formula

Array = NDArray[np.float64]

_LIKELIHOOD = Series("likelihood", "1", 0, 1, "likelihood of each cause, scaled to add up to 1")
_INVOLVED = Series("involved", "1", 0, 1, "1 for each cause that the test involves, else 0")
_DETECTION = Number("detection", "1", 0, 1, "chance that the test fails when it involves the cause", 1.0)
_FALSE_ALARM = Number("false_alarm", "1", 0, 1, "chance that it fails when it does not", 0.0)


def same_length(first: Values, second: Values, names: str) -> int:
    """The length of both lists, which must agree."""
    size = np.size(first)
    if size != np.size(second) or size == 0:
        raise NoAnswer(f"{names} must have the same length, at least one")
    return size


def scaled(likelihood: Values) -> Array:
    """The values over their sum, along the last axis."""
    values = np.asarray(likelihood, dtype=float)
    total = values.sum(axis=-1, keepdims=True)
    if np.any(total <= 0.0):
        raise NoAnswer("the likelihoods are all 0")
    return np.asarray(values / total)


def _information(chance: Values) -> Array:
    """The terms -p log2 p, 0 where p is 0."""
    p = np.asarray(chance, dtype=float)
    return np.asarray(-p * np.log2(np.where(p > 0.0, p, 1.0)))


def _binary(chance: Values) -> Array:
    p = np.asarray(chance, dtype=float)
    # Adding zero turns the minus zero of a certain event into plain zero.
    return _information(p) + _information(1.0 - p) + 0.0


def _failing(involved: Values, detection: Values, false_alarm: Values) -> Array:
    """The chance that the test fails for each cause (last axis)."""
    hit, false = np.asarray(detection)[..., np.newaxis], np.asarray(false_alarm)[..., np.newaxis]
    return np.asarray(false + np.asarray(involved) * (hit - false))


@formula(
    "diagnosis.entropy",
    title="Uncertainty over the causes",
    inputs=(Series("weight", "1", 0, 1e9, "likelihood or count of each cause"),),
    outputs=(Output("entropy", "bit", "uncertainty"),),
    method="Entropy of the weights scaled to add up to 1",
    sources=("shannon-1948, section 6",),
    accuracy="exact",
)
def entropy(*, weight: Values) -> Values:
    r"""Uncertainty over a list of causes, in bits.

    .. math:: H = -\sum_i p_i\log_2 p_i

    Returns
    -------
    float
        Entropy [bit].

    Notes
    -----
    With tests of equal time it is a lower bound on the expected number of tests.

    Examples
    --------
    >>> entropy(weight=[0.5, 0.25, 0.125, 0.125])
    1.75
    """
    chances = scaled(weight)
    return np.asarray(_information(chances).sum())


@formula(
    "diagnosis.perfect_test_information",
    title="Information of a perfect test",
    inputs=(
        Number(
            "fails", "1", 0, 1, "chance that the test fails: the likelihood of the suspects that it involves"
        ),
    ),
    outputs=(Output("information", "bit", "expected information"),),
    method="Entropy of the outcome",
    sources=("shannon-1948, section 6",),
    accuracy="exact",
)
def perfect_test_information(*, fails: Values) -> Values:
    r"""Expected information of a test that never lies, from its chance of failing.

    .. math:: I = -f\log_2 f - (1-f)\log_2(1-f)

    Returns
    -------
    float or array
        Information [bit].

    Notes
    -----
    Greatest, 1 bit, for a test that splits the suspects in halves. Divided by its time it ranks the next
    test, as a heuristic.

    Examples
    --------
    >>> perfect_test_information(fails=0.25)
    0.811
    """
    return _binary(fails)


@formula(
    "diagnosis.noisy_test_information",
    title="Information of a test that can err",
    inputs=(_LIKELIHOOD, _INVOLVED, _DETECTION, _FALSE_ALARM),
    outputs=(Output("information", "bit", "expected information"),),
    method="Mutual information of cause and outcome",
    sources=("shannon-1948, section 12", "cover-thomas-1991, section 2.4"),
    accuracy="exact for errors that are independent of one another",
)
def noisy_test_information(
    *, likelihood: Values, involved: Values, detection: Values = 1.0, false_alarm: Values = 0.0
) -> Values:
    r"""Expected information of a test that misses or gives false alarms.

    .. math:: I = h\Bigl(\sum_i p_i f_i\Bigr) - \sum_i p_i h(f_i)

    Returns
    -------
    float or array
        Information [bit].

    Notes
    -----
    A test as likely to fail either way tells nothing.

    Examples
    --------
    >>> noisy_test_information(likelihood=[0.5, 0.5], involved=[1, 0], detection=0.9, false_alarm=0.1)
    0.531
    """
    same_length(likelihood, involved, "likelihood and involved")
    p, fails = scaled(likelihood), _failing(involved, detection, false_alarm)
    return np.asarray(np.maximum(0.0, _binary(fails @ p) - _binary(fails) @ p))


@formula(
    "diagnosis.posterior",
    title="Likelihoods after a test",
    inputs=(
        _LIKELIHOOD,
        _INVOLVED,
        Choice("outcome", ("fail", "pass", "cannot tell"), "what the test showed"),
        _DETECTION,
        _FALSE_ALARM,
    ),
    outputs=(Output("likelihood", "1", "likelihood of each cause after the test"),),
    method="Bayes' rule",
    sources=("cover-thomas-1991, chapter 2 (conditional probability)",),
    accuracy="exact for errors that are independent of one another; a wrong set-up repeats itself",
)
def posterior(
    *,
    likelihood: Values,
    involved: Values,
    outcome: str,
    detection: Values = 1.0,
    false_alarm: Values = 0.0,
) -> Values:
    r"""Likelihood of each cause after a test, perfect or not.

    .. math:: p_i' \propto p_i f_i \quad (fail), \qquad p_i(1 - f_i) \quad (pass)

    Returns
    -------
    array
        Likelihoods that add up to 1, the causes on the last axis.

    Notes
    -----
    A pass does not clear a cause unless the detection is 1.

    Examples
    --------
    >>> posterior(likelihood=[0.6, 0.4], involved=[1, 0], outcome="pass", detection=0.9).round(3).tolist()
    [0.13, 0.87]
    """
    same_length(likelihood, involved, "likelihood and involved")
    p, fails = scaled(likelihood), _failing(involved, detection, false_alarm)
    weight = {"fail": fails, "pass": 1.0 - fails, "cannot tell": np.ones_like(fails)}[outcome]
    if np.any(weight @ p <= 0.0):
        raise NoAnswer(f"no cause can make the test {outcome}: the model is wrong, or the test lied")
    return scaled(p * weight)


@formula(
    "diagnosis.information_gain",
    title="Information of a question with several answers",
    inputs=(
        Series(
            "first", "1", 0, 1e9, "cases of the first kind (the fault was the supply, say) under each answer"
        ),
        Series("second", "1", 0, 1e9, "cases of the second kind under each answer"),
    ),
    outputs=(Output("gain", "bit", "expected information"),),
    method="Entropy before less mean entropy after",
    sources=("quinlan-1986, section 4",),
    accuracy="exact for the counts given",
)
def information_gain(*, first: Values, second: Values) -> Values:
    r"""Expected information of a question with any number of answers, from counts of two kinds of cases.

    .. math:: G = h\Bigl(\frac{A}{A+B}\Bigr) - \sum_k\frac{a_k+b_k}{A+B}\,h\Bigl(\frac{a_k}{a_k+b_k}\Bigr)

    Returns
    -------
    float
        Gain [bit].

    Notes
    -----
    Small counts overstate the gain.

    Examples
    --------
    >>> information_gain(first=[4, 3, 2], second=[0, 2, 3])
    0.2467
    """
    same_length(first, second, "first and second")
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    cases = a + b
    total = cases.sum()
    if total <= 0.0:
        raise NoAnswer("there are no cases")
    after = np.sum(cases / total * _binary(a / np.where(cases > 0.0, cases, 1.0)))
    return np.asarray(np.maximum(0.0, _binary(a.sum() / total) - after))


@formula(
    "diagnosis.huffman_bound",
    title="Fewest tests that could tell the causes apart",
    inputs=(Series("weight", "1", 0, 1e9, "likelihood or count of each cause, or of each ambiguity group"),),
    outputs=(Output("tests", "1", "weight times number of tests, summed"),),
    method="Huffman's construction: the two least weights are joined until one is left",
    sources=("huffman-1952", "pattipati-alexandridis-1990, as a bound on test sequences"),
    accuracy="exact",
)
def huffman_bound(*, weight: Values) -> float:
    r"""Least expected number of tests if a test existed for every split of the causes: a lower bound.

    .. math:: B = \sum_i w_i l_i, \quad l \text{ the code lengths of Huffman's code}

    Returns
    -------
    float
        Sum of weight times tests; the expected number when the weights add up to 1.

    Notes
    -----
    No adaptive plan needs fewer tests. For unequal times, the least time multiplied by it is a bound.

    Examples
    --------
    >>> huffman_bound(weight=[45, 13, 12, 16, 9, 5])
    224.0
    """
    heap = np.asarray(weight, dtype=float).tolist()
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return float(total)
