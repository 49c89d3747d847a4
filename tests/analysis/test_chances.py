"""Probabilities of lying inside limits, and what they allow to be said."""

from dataclasses import replace
from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from bouncelab.analysis.chances import (
    acceptance_limits,
    edges,
    more_drops,
    probability_inside,
)
from bouncelab.analysis.conformity import judge
from bouncelab.catalogue import find_range
from bouncelab.errors import InputError
from bouncelab.uncertainty import expanded

FUTSAL = find_range("futsal-law-2")  # 50 to 65 cm
LEAST = find_range("croquet-ca-championship")  # at least 94 cm, no upper limit

means = st.floats(0.3, 1.0)
uncertainties = st.floats(1e-4, 0.2)
freedoms = st.one_of(st.floats(1, 200), st.just(inf))


# The probability


@settings(max_examples=60)
@given(mean=means, u=uncertainties, nu=st.floats(1, 300))
def test_the_probability_is_that_of_students_t(mean, u, nu):
    law = stats.t(nu, mean, u)

    assert probability_inside(mean, u, nu, 0.5, 0.65) == pytest.approx(
        law.cdf(0.65) - law.cdf(0.5), abs=1e-12
    )


@settings(max_examples=60)
@given(mean=means, u=uncertainties)
def test_with_endless_freedom_it_is_the_normal_law(mean, u):
    law = stats.norm(mean, u)
    wanted = law.cdf(0.65) - law.cdf(0.5)

    assert probability_inside(mean, u, inf, 0.5, 0.65) == pytest.approx(
        wanted, abs=1e-12
    )
    assert probability_inside(mean, u, 1e7, 0.5, 0.65) == pytest.approx(
        wanted, abs=1e-6
    )


@pytest.mark.parametrize(
    ("mean", "u", "nu"), [(0.63, 0.02, 4), (0.48, 0.03, 2.5), (0.57, 0.05, inf)]
)
def test_random_draws_give_the_same_probability(mean, u, nu):
    # JCGM 101:2008, 6.4.9: a t-distribution scaled and shifted, here drawn from its
    # definition: a normal number over the root of chi squared by its freedom.
    draw = np.random.default_rng(20260101)
    n = 400_000
    spread = 1.0 if nu == inf else np.sqrt(draw.chisquare(nu, n) / nu)
    values = mean + u * draw.standard_normal(n) / spread
    share = np.mean((values >= 0.5) & (values <= 0.65))

    # Four standard errors of a share.
    assert probability_inside(mean, u, nu, 0.5, 0.65) == pytest.approx(
        share, abs=4 * np.sqrt(0.25 / n)
    )


@pytest.mark.parametrize(
    ("probability", "z"),
    [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)],
)
def test_one_limit_agrees_with_the_guides_table(probability, z):
    # JCGM 106:2012, 7.3, Table 1, as the quantiles of the normal law; from memory.
    # z is printed to two digits, which moves the probability by up to half a digit
    # times the law's density there.
    slack = 0.005 * stats.norm.pdf(z) * 1.1

    assert probability_inside(-z, 1.0, inf, -inf, 0.0) == pytest.approx(
        probability, abs=slack
    )
    assert probability_inside(z, 1.0, inf, 0.0, inf) == pytest.approx(
        probability, abs=slack
    )


@settings(max_examples=60)
@given(mean=means, u=uncertainties, nu=freedoms)
def test_below_inside_and_above_make_one(mean, u, nu):
    parts = [
        probability_inside(mean, u, nu, *ends)
        for ends in ((-inf, 0.5), (0.5, 0.65), (0.65, inf))
    ]

    assert sum(parts) == pytest.approx(1, abs=1e-12)
    assert all(0 <= each <= 1 for each in parts)


@settings(max_examples=60)
@given(mean=means, u=uncertainties, nu=freedoms, scale=st.floats(0.01, 100))
def test_the_unit_of_length_does_not_matter(mean, u, nu, scale):
    assert probability_inside(
        scale * mean, scale * u, nu, scale * 0.5, scale * 0.65
    ) == pytest.approx(probability_inside(mean, u, nu, 0.5, 0.65), abs=1e-9)


@settings(max_examples=60)
@given(mean=means, u=uncertainties, nu=freedoms, wider=st.floats(0, 0.2))
def test_wider_limits_never_make_it_less_likely(mean, u, nu, wider):
    narrow = probability_inside(mean, u, nu, 0.5, 0.65)

    assert probability_inside(mean, u, nu, 0.5 - wider, 0.65 + wider) >= narrow - 1e-14


def test_small_probabilities_keep_their_digits():
    wanted = stats.norm.sf(8) - stats.norm.sf(9)

    assert probability_inside(0, 1, inf, 8, 9) == pytest.approx(wanted, rel=1e-9, abs=0)


def test_without_uncertainty_the_limits_themselves_are_inside():
    found = probability_inside([0.5, 0.65, 0.49, 0.66], 0.0, inf, 0.5, 0.65)

    assert found.tolist() == [1, 1, 0, 0]


# Guarded limits and more drops


@settings(max_examples=50)
@given(u=st.floats(1e-4, 0.02), nu=freedoms, risk=st.floats(0.01, 0.4))
def test_at_an_acceptance_limit_the_risk_is_the_one_asked_for(u, nu, risk):
    low, none = acceptance_limits(LEAST, u, nu, risk)

    assert none is None
    assert probability_inside(low, u, nu, LEAST.rebound_min_m, inf) == pytest.approx(
        1 - risk, abs=1e-7
    )


def test_acceptance_limits_are_1_645_standard_uncertainties_inside():
    assert acceptance_limits(FUTSAL, 0.01) == pytest.approx(
        (0.5 + 0.01645, 0.65 - 0.01645), abs=1e-5
    )
    low, high = acceptance_limits(FUTSAL, 0.05)
    assert low > high  # nothing can be passed


@pytest.mark.parametrize("risk", [0, 0.5, -1, nan])
def test_a_risk_that_is_none_is_refused(risk):
    with pytest.raises(InputError, match=r"between 0 and 0\.5"):
        acceptance_limits(FUTSAL, 0.01, risk=risk)


def test_as_many_more_drops_as_it_says_settle_it():
    # Scatter alone: u² = s²/n, and the degrees of freedom are n - 1.
    s, n, mean = 0.02, 5, 0.51
    more = more_drops(mean, s / n**0.5, n - 1.0, FUTSAL, n)

    def word(total):
        return judge(mean, s / total**0.5, total - 1.0, FUTSAL).word

    assert word(n) == word(n + more - 1) == "cannot be told"
    assert word(n + more) == "meets"
    found = judge(mean, s / n**0.5, n - 1.0, FUTSAL, n=n)
    assert f"{more} more drops may settle it" in found.reason


def test_what_all_drops_share_does_not_shrink_with_more_of_them():
    # 1 cm of scatter and 4 mm that all drops share, put together as in the GUM, G.4.
    s, shared, n, mean = 0.01, 0.004, 4, 0.5095

    def known(total):
        return expanded(type_a=s / sqrt(total), dof_a=total - 1, type_b=shared)

    def word(total):
        found = known(total)
        return judge(mean, found.standard, found.nu_eff, FUTSAL).word

    now = known(n)
    more = more_drops(mean, now.standard, now.nu_eff, FUTSAL, n)
    assert word(n) == word(n + more - 1) == "cannot be told"
    assert word(n + more) == "meets"


def test_a_missing_limit_is_endlessly_far():
    assert edges(LEAST) == (LEAST.rebound_min_m, inf)
    assert edges(replace(FUTSAL, rebound_min_m=None)) == (-inf, 0.65)


@pytest.mark.parametrize(("u", "nu", "n"), [(0.01, inf, 5), (0.01, 4, 1), (0, 4, 5)])
def test_more_drops_are_not_asked_for_where_they_cannot_help(u, nu, n):
    assert more_drops(0.505, u, nu, FUTSAL, n) is None
