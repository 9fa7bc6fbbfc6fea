"""Information and likelihoods: against SciPy's entropy, Bayes by counting, and their limits."""

import math

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.diagnosis import expected_time as diagnosis
from leadsman.compute.diagnosis import information
from leadsman.compute.registry import ComputeError, NoAnswer

CHANCE = st.floats(0, 1)
WEIGHTS = st.lists(st.floats(0.01, 100), min_size=1, max_size=8)


@given(weights=WEIGHTS)
def test_entropy_is_scipys(weights: list[float]) -> None:
    """The same to rounding, and between zero and the logarithm of the number."""
    found = information.entropy(weight=weights)

    assert found == pytest.approx(scipy.stats.entropy(weights, base=2), abs=1e-9)
    assert -1e-12 <= found <= math.log2(len(weights)) + 1e-9


@given(chance=CHANCE, detection=CHANCE, false_alarm=CHANCE)
def test_a_noisy_test_never_tells_more_than_a_perfect_one(
    chance: float, detection: float, false_alarm: float
) -> None:
    """A perfect test is the limit; one that fails alike either way tells nothing."""
    p, involved = [chance, 1 - chance], [1.0, 0.0]
    perfect = information.perfect_test_information(fails=chance)

    def noisy(hit: float, false: float) -> float:
        return float(
            information.noisy_test_information(
                likelihood=p, involved=involved, detection=hit, false_alarm=false
            )
        )

    assert -1e-12 <= noisy(detection, false_alarm) <= perfect + 1e-9
    assert noisy(1.0, 0.0) == pytest.approx(perfect, abs=1e-9)
    assert noisy(detection, detection) == pytest.approx(0, abs=1e-9)


@given(p=st.lists(st.integers(1, 9), min_size=2, max_size=5), data=st.data())
def test_posteriors_average_to_the_prior(p: list[int], data: st.DataObject) -> None:
    """Weighted by the chance of each outcome; cannot tell changes nothing."""
    involved = data.draw(st.lists(st.sampled_from([0.0, 1.0]), min_size=len(p), max_size=len(p)))
    prior = np.asarray(p) / sum(p)
    how = {"likelihood": prior, "involved": involved, "detection": 0.9, "false_alarm": 0.05}
    fails = float(prior @ (0.05 + 0.85 * np.asarray(involved)))
    after = fails * information.posterior(outcome="fail", **how) + (1 - fails) * information.posterior(
        outcome="pass", **how
    )

    assert after == pytest.approx(prior)
    assert information.posterior(outcome="cannot tell", **how) == pytest.approx(prior)


@given(marginals=st.lists(st.floats(0.01, 0.9), min_size=1, max_size=5))
def test_single_fault_likelihood_by_counting_worlds(marginals: list[float]) -> None:
    """Probability of each world with exactly one fault, over their sum."""
    worlds = [
        math.prod(q if j == i else 1 - q for j, q in enumerate(marginals)) for i in range(len(marginals))
    ]

    assert diagnosis.single_fault_likelihood(marginal=marginals) == pytest.approx(
        np.asarray(worlds) / sum(worlds)
    )


def test_the_two_models_part_ways() -> None:
    """From the same numbers, survival falls by addition or by multiplication."""
    numbers = {"share": [0.5, 0.2, 0.1], "time_min": [5.0, 1.0, 2.0]}

    assert diagnosis.expected_time(**numbers) == pytest.approx(5 + 0.5 + 2 * 0.3)
    assert diagnosis.expected_time(**numbers, model="independent faults") == pytest.approx(
        5 + 0.5 + 2 * 0.5 * 0.8
    )


@given(inspect=st.floats(0, 20), replace=st.floats(0.5, 30), verify=st.floats(0, 10), chance=CHANCE)
def test_the_threshold_is_where_both_ways_take_as_long(
    inspect: float, replace: float, verify: float, chance: float
) -> None:
    """Inspect, and replace if faulty; or replace outright and prove."""
    threshold = diagnosis.replace_threshold(inspect_min=inspect, replace_min=replace, verify_min=verify)
    saved = inspect + chance * replace - (replace + verify)

    assert saved == pytest.approx((chance - threshold) * replace, abs=1e-9)


def test_an_array_of_detections_gives_an_array() -> None:
    """One information for each detection, the causes summed over."""
    found = information.noisy_test_information(
        likelihood=[0.2, 0.3, 0.5], involved=[1, 0, 1], detection=np.array([0.5, 0.9]), false_alarm=0.1
    )
    single = [
        information.noisy_test_information(
            likelihood=[0.2, 0.3, 0.5], involved=[1, 0, 1], detection=d, false_alarm=0.1
        )
        for d in (0.5, 0.9)
    ]

    assert found.tolist() == pytest.approx(single)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: information.entropy(weight=[0.0, 0.0]), "all 0"),
        (lambda: diagnosis.expected_time(share=[0.5], time_min=[1.0, 2.0]), "same length"),
        (lambda: diagnosis.expected_time(share=[0.9, 0.9], time_min=[1.0, 2.0]), "more than 1"),
        (lambda: diagnosis.least_time(share=[0.01] * 17, time_min=[1.0] * 17), "more than 16 checks"),
        (lambda: diagnosis.single_fault_likelihood(marginal=[1.0, 1.0]), "never exactly one"),
        (
            lambda: information.posterior(likelihood=[1.0, 0.0], involved=[0, 1], outcome="fail"),
            "the test lied",
        ),
        (lambda: information.information_gain(first=[0.0], second=[0.0]), "no cases"),
    ],
)
def test_what_has_no_answer_says_why(call: object, told: str) -> None:
    """In range, yet without a solution."""
    with pytest.raises((NoAnswer, ComputeError), match=told):
        call()  # type: ignore[operator]


def test_a_certain_fault_takes_all() -> None:
    """The limit of the odds."""
    assert diagnosis.single_fault_likelihood(marginal=[0.3, 1.0]).tolist() == [0.0, 1.0]
