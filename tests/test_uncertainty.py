import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from bouncelab.errors import InputError
from bouncelab.uncertainty import effective_dof, expanded, propagate

parts = st.lists(
    st.tuples(st.floats(1e-6, 10), st.floats(1, 100)), min_size=1, max_size=6
)


@given(parts, st.floats(1e-9, 1e9))
def test_effective_freedom_lies_between_the_least_and_the_sum(found, unit):
    u, nu = zip(*found, strict=True)
    nu_eff = effective_dof(u, nu)

    assert min(nu) * (1 - 1e-12) <= nu_eff <= sum(nu) * (1 + 1e-12)
    assert effective_dof(np.multiply(u, unit), nu) == pytest.approx(nu_eff)


def test_one_part_keeps_its_freedom_and_exact_parts_have_no_end_of_it():
    assert effective_dof([0.3], [7]) == pytest.approx(7)
    assert effective_dof([0.3, 0.4], [np.inf, np.inf]) == np.inf
    assert effective_dof([0.0, 0.0], [3, 4]) == np.inf


def test_tiny_uncertainties_do_not_vanish():
    small = expanded(type_a=3e-120, dof_a=4, type_b=4e-120)
    large = expanded(type_a=3.0, dof_a=4, type_b=4.0)

    assert small.nu_eff == pytest.approx(large.nu_eff)
    assert small.expanded == pytest.approx(large.expanded * 1e-120)


def test_coverage_comes_from_students_t():
    found = expanded(type_a=[0.1, 0.2], dof_a=[4, 9], type_b=0.0, coverage=0.9)

    assert found.standard == pytest.approx([0.1, 0.2])
    assert found.expanded / found.standard == pytest.approx(stats.t.ppf(0.95, [4, 9]))


@pytest.mark.parametrize("n", [5, 8, 20])
@pytest.mark.parametrize("common", [0.0, 0.3, 1.0])
def test_the_interval_covers_what_it_says_when_shared_errors_are_added_once(n, common):
    random = np.random.default_rng(n)
    runs = 20_000
    shared = common * random.standard_normal((runs, 1))
    readings = shared + random.standard_normal((runs, n))
    found = expanded(
        type_a=readings.std(axis=1, ddof=1) / np.sqrt(n), dof_a=n - 1, type_b=common
    )
    covered = np.mean(np.abs(readings.mean(axis=1)) <= found.expanded)

    assert 0.93 <= covered <= 0.97


def test_propagation_of_a_sum_is_exact():
    v = np.array([[4.0, 1.0], [1.0, 9.0]])
    found = propagate(lambda a, b: (a + b, a - b), [1.0, 2.0], v)

    assert found.values == pytest.approx([3.0, -1.0])
    assert found.covariance == pytest.approx(np.array([[15.0, -5.0], [-5.0, 11.0]]))
    assert found.correlation[0, 1] == pytest.approx(-5 / np.sqrt(165))
    assert found.bias == pytest.approx([0, 0], abs=1e-9)


@given(
    st.floats(0.5, 2), st.floats(0.5, 2), st.floats(0.001, 0.05), st.floats(-0.9, 0.9)
)
def test_bias_is_the_second_order_term(a, b, u, r):
    v = u**2 * np.array([[1, r], [r, 4]])
    found = propagate(lambda x, y: x**2 * y, [a, b], v)

    # Half of f_xx = 2y and f_yy = 0, and f_xy = 2x once.
    assert found.bias[0] == pytest.approx(
        b * v[0, 0] + 2 * a * v[0, 1], rel=1e-6, abs=1e-10
    )
    assert found.sensitivities[0] == pytest.approx([2 * a * b, a**2], rel=1e-9)


def test_an_exact_input_has_a_slope_but_adds_nothing():
    found = propagate(lambda x, y: x * y, [2.0, 3.0], [[0.01, 0], [0, 0]])

    assert found.sensitivities == pytest.approx(np.array([[3.0, 2.0]]))
    assert found.standard == pytest.approx([0.3])


def test_fully_correlated_inputs_are_allowed():
    found = propagate(lambda x, y: x / y, [1.0, 1.0], [[0.01, 0.01], [0.01, 0.01]])

    assert found.standard == pytest.approx([0.0], abs=1e-8)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: expanded(type_a=-0.1, dof_a=4, type_b=0.1), "uncertainty: read -0.1"),
        (
            lambda: expanded(type_a=0.1, dof_a=0, type_b=0.1),
            "freedom: read 0, .* Type B",
        ),
        (lambda: expanded(type_a=float("nan"), dof_a=4, type_b=0), "read nan"),
        (
            lambda: expanded(type_a=0.1, dof_a=4, type_b=0.1, coverage=95),
            "coverage: read 95, allowed between 0 and 1. Write 0.95 for 95 %",
        ),
        (
            lambda: expanded(type_a=[0.1] * 2, dof_a=[4] * 3, type_b=0.1),
            "one value of each for every result",
        ),
        (lambda: effective_dof([1.0, 2.0], [3]), "read 1 of them for 2 contributions"),
        (lambda: propagate(abs, [1.0], [[1.0, 0.0]]), r"read shape \(1, 2\) for 1 inp"),
        (
            lambda: propagate(max, [1.0, 1.0], [[1, 2], [2, 1]]),
            "with correlations from -1 to 1",
        ),
        (lambda: propagate(abs, [float("nan")], [[1.0]]), "read .nan., "),
        (
            lambda: propagate(lambda x: np.nan, [1.0], [[1.0]]),
            "result of the function: read .nan. at .1.0.",
        ),
    ],
)
def test_what_cannot_be_combined_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
