"""Student's and Fisher's laws beside scipy's, with round trips and ends."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from bouncelab.chance_laws import (
    fisher_above,
    student_above,
    student_below,
    student_beyond,
    student_quantile,
)

freedom = st.floats(0.1, 1e9)


@pytest.mark.parametrize("nu", [0.1, 0.7, 1, 2, 3.3, 9, 30.9, 400, 1e5, 1e8])
def test_students_law_is_scipys(nu):
    t = np.concatenate([-np.geomspace(1e-3, 30, 60), [0.0], np.geomspace(1e-3, 30, 60)])
    want = special.stdtr(nu, t)
    assert student_below(nu, t) == pytest.approx(want, rel=1e-10, abs=1e-300)
    assert student_above(nu, -t) == pytest.approx(want, rel=1e-10, abs=1e-300)


@pytest.mark.parametrize("nu", [0.1, 0.7, 1, 2, 3.3, 9, 30.9, 400, 1e5, 1e8])
def test_students_quantiles_are_scipys(nu):
    share = np.array([1e-9, 0.001, 0.025, 0.2, 0.26, 0.4, 0.6, 0.9, 0.975, 0.9995])
    got = student_quantile(nu, share)
    assert got == pytest.approx(special.stdtrit(nu, share), rel=2e-10)


def test_the_normal_law_is_the_limit():
    x = np.linspace(-8, 8, 101)
    assert student_below(np.inf, x) == pytest.approx(special.ndtr(x), rel=1e-10)
    share = np.linspace(0.01, 0.99, 99)
    want = special.ndtri(share)
    assert student_quantile(np.inf, share) == pytest.approx(want, rel=1e-10, abs=1e-12)


@pytest.mark.parametrize("k", [1, 2, 3, 4, 7, 8, 50, 333, 1500, 5001])
@pytest.mark.parametrize("n", [0.7, 3.3, 10, 57.2, 1e3])
def test_fishers_law_is_scipys(k, n):
    for f in (1e-3, 0.1, 0.9, 1.0, 1.3, 2.5, 20.0):
        want = special.fdtrc(k, n, f)
        assert fisher_above(k, n, f) == pytest.approx(want, rel=1e-9, abs=1e-200)


@pytest.mark.parametrize("k", [1, 2, 3, 4, 7, 12, 31])
def test_with_endless_freedom_within_it_is_chi_squareds(k):
    for x in (0.1, 1.0, 3.84, 20.0, 60.0):
        got = fisher_above(k, np.inf, x / k)
        assert got == pytest.approx(special.chdtrc(k, x), rel=1e-9)


@pytest.mark.parametrize("nu", [1, 1.5, 2, 3.1, 8, 18, 100, 1e5])
@pytest.mark.parametrize("shift", [0.1, 1.0, 3.0, 6.0])
def test_the_shifted_law_is_scipys(nu, shift):
    edge = student_quantile(nu, 0.975)
    want = stats.nct.sf(edge, nu, shift) + stats.nct.cdf(-edge, nu, shift)
    assert student_beyond(nu, shift, edge) == pytest.approx(want, abs=1e-8)
    assert student_beyond(nu, -shift, edge) == pytest.approx(want, abs=1e-8)


def test_far_shifts_where_scipy_has_no_number():
    # By mpmath's quadrature with 25 digits.
    for nu, want in ((1.5, 0.9889472541508671), (2, 0.9999326961619784)):
        edge = student_quantile(nu, 0.975)
        assert student_beyond(nu, 14.0, edge) == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize("nu", [1, 4, 60])
def test_without_a_shift_the_risk_is_left(nu):
    for risk in (0.1, 0.05, 0.001):
        edge = student_quantile(nu, 1 - risk / 2)
        assert student_beyond(nu, 0.0, edge) == pytest.approx(risk, rel=1e-7)


@settings(max_examples=50)
@given(freedom, st.floats(1e-12, 1 - 1e-12))
def test_a_quantile_leads_back_to_its_share(nu, share):
    assert student_below(nu, student_quantile(nu, share)) == pytest.approx(
        share, rel=1e-10
    )


@settings(max_examples=50)
@given(freedom, st.floats(-50, 50))
def test_both_sides_make_a_whole(nu, t):
    assert student_below(nu, t) + student_above(nu, t) == pytest.approx(1, abs=1e-12)


def test_more_than_a_block_at_once_is_one_by_one():
    nu = np.linspace(1, 60, 9001)
    got = student_quantile(nu, 0.975)
    for k in (0, 4095, 4096, 9000):
        assert got[k] == pytest.approx(student_quantile(nu[k], 0.975), rel=1e-13)
    assert student_below([[1.0], [2.0]], [0.0, 1.0, 2.0]).shape == (2, 3)


def test_ends_and_no_number():
    assert student_below(4, [-np.inf, np.inf]).tolist() == [0, 1]
    assert student_quantile(4, [0.0, 0.5, 1.0]).tolist() == [-np.inf, 0, np.inf]
    assert np.isnan(student_quantile([np.nan, 4], [0.9, np.nan])).all()
    assert np.isnan(student_above(np.nan, 1.0))
    assert [fisher_above(3, 9, f) for f in (0.0, np.inf)] == [1, 0]
    assert student_above(0.5, 1e200) >= 0


def test_nothing_but_numpy_is_loaded_for_it():
    code = "import sys, bouncelab.chance_laws as c; c.student_quantile(4, 0.975);" + (
        "print('scipy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.strip() == "False", done.stderr
