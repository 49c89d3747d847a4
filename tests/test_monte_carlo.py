import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from bouncelab.errors import InputError
from bouncelab.monte_carlo import (
    _summary,
    _tolerance,
    monte_carlo,
    normal,
    rectangular,
    student,
)

RANDOM = np.random.default_rng(4)


@pytest.mark.parametrize(
    ("sampler", "law"),
    [
        (normal(2.0, 0.3), stats.norm(2.0, 0.3)),
        (rectangular(2.0, 0.3), stats.uniform(1.7, 0.6)),
        (student(2.0, 0.3, 4), stats.t(4, 2.0, 0.3)),
    ],
    ids=["normal", "rectangular", "student"],
)
def test_samplers_follow_their_laws(sampler, law):
    assert stats.kstest(sampler(RANDOM, 20_000), law.cdf).pvalue > 1e-3


@settings(max_examples=30)
@given(st.integers(60, 400), st.floats(0.2, 0.97), st.integers(0, 10**6))
def test_intervals_are_those_of_all_values_sorted(size, coverage, seed):
    values = np.random.default_rng(seed).exponential(size=size)
    found = _summary(values, coverage, np.nan, True)
    inside = (values >= found.low) & (values <= found.high)
    order = np.sort(values)
    q = min(int(coverage * size + 0.5), size - 1)

    assert inside.sum() == q + 1
    assert abs((values < found.low).sum() - (values > found.high).sum()) <= 1
    shortest = np.min(order[q:] - order[: size - q])
    assert found.shortest_high - found.shortest_low == shortest
    assert found.estimate == values.mean()


@pytest.mark.parametrize(
    ("u", "digits", "tolerance"),
    [
        (2.0, 1, 0.5),
        (2.0, 2, 0.05),
        (0.35, 2, 0.005),
        (0.0996, 2, 0.005),
        (1e-9, 1, 5e-10),
    ],
)
def test_tolerance_is_half_a_unit_of_the_last_digit(u, digits, tolerance):
    assert _tolerance(u, digits) == pytest.approx(tolerance)


def test_it_stops_once_the_figures_have_settled():
    inputs = {"a": normal(0, 1), "b": normal(0, 1)}
    coarse = monte_carlo(lambda a, b: a + b, inputs, digits=1, seed=1)
    fine = monte_carlo(lambda a, b: a + b, inputs, digits=3, seed=1)

    assert coarse.settled
    assert fine.settled
    assert coarse.draws < fine.draws
    assert fine.standard == pytest.approx(np.sqrt(2), abs=2 * fine.tolerance)
    assert fine.high == pytest.approx(1.96 * np.sqrt(2), abs=2 * fine.tolerance)


def test_it_also_stops_when_they_never_settle():
    found = monte_carlo(
        lambda a: a, {"a": student(0, 1, 1)}, digits=3, seed=1, most_draws=150_000
    )

    assert not found.settled
    assert found.draws <= 150_000


def test_exact_inputs_give_an_exact_result():
    found = monte_carlo(lambda a: 2 * a, {"a": 1.5}, seed=1)

    assert (found.estimate, found.standard, found.low, found.high) == (3, 0, 3, 3)
    assert found.settled


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: normal(1.0, -0.1), "standard uncertainty: read -0.1, allowed 0 or"),
        (lambda: normal(float("nan"), 1), "mean: read nan, allowed a number"),
        (lambda: rectangular(1.0, -1), "half-width: read -1"),
        (lambda: student(1.0, 1.0, 0.5), "degrees of freedom: read 0.5, allowed 1"),
        (lambda: monte_carlo(abs, {}, coverage=95), "coverage: read 95"),
        (
            lambda: monte_carlo(abs, {}, draws=3),
            "number of draws: read 3, allowed a whole number from 40",
        ),
        (lambda: monte_carlo(abs, {}, digits=0), "digits: read 0"),
        (lambda: monte_carlo(abs, {}, most_draws=10), "most draws: read 10"),
        (
            lambda: monte_carlo(
                lambda a: np.where(a > 0, a, np.nan), {"a": normal(0, 1)}, draws=100
            ),
            r"no finite number for \d+ of 100 draws",
        ),
    ],
)
def test_draws_that_mean_nothing_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
