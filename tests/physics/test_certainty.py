import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.monte_carlo import normal, rectangular
from bouncelab.physics.certainty import (
    restitution_bias,
    restitution_uncertainty,
    sensitivities,
    simulate_restitution,
)
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.uncertainty import propagate
from strategies import drop_heights

DROP, REBOUND, AROUND = 1.8, 1.1, 0.76
STEP = 1e-6


def e_of(drop, top, around, offset=0.0):
    return restitution_from_heights(
        drop_height=drop + offset, rebound_height=top + offset - around / np.pi
    )


@pytest.mark.parametrize("name", ["drop", "rebound", "circumference", "offset"])
def test_sensitivities_are_slopes(name):
    at = {"drop": DROP, "top": REBOUND + AROUND / np.pi, "around": AROUND}
    key = {"rebound": "top", "circumference": "around"}.get(name, name)
    above = {**at, key: at.get(key, 0.0) + STEP}
    below = {**at, key: at.get(key, 0.0) - STEP}

    found = getattr(sensitivities(drop_height=DROP, rebound_height=REBOUND), name)
    assert found == pytest.approx(
        (e_of(**above) - e_of(**below)) / (2 * STEP), rel=1e-8
    )


@given(drop_heights, st.floats(0.1, 0.9), st.floats(1e-4, 0.05), st.floats(-1, 1))
def test_uncertainty_is_made_of_the_sensitivities(drop, share, relative, r):
    rebound = share * drop
    u1, u2 = relative * drop, 2 * relative * rebound
    s = sensitivities(drop_height=drop, rebound_height=rebound)
    squared = (s.drop * u1) ** 2 + (s.rebound * u2) ** 2
    squared += 2 * r * s.drop * s.rebound * u1 * u2

    found = restitution_uncertainty(
        drop_height=drop, rebound_height=rebound, drop_u=u1, rebound_u=u2, correlation=r
    )
    assert found**2 == pytest.approx(squared, rel=1e-9, abs=1e-18)


def test_a_shared_scale_error_moves_nothing():
    found = restitution_uncertainty(
        drop_height=2.0, rebound_height=1.0, drop_u=0.02, rebound_u=0.01, correlation=1
    )
    assert found == 0


@pytest.mark.parametrize("r", [-0.6, 0.0, 0.8])
def test_first_and_second_order_agree_with_a_million_draws(r):
    h, u = np.array([1.8, 1.1]), np.array([0.03, 0.08])
    covariance = np.outer(u, u) * [[1, r], [r, 1]]
    drawn = np.random.default_rng(5).multivariate_normal(h, covariance, 10**6)
    e = np.sqrt(drawn[:, 1] / drawn[:, 0])
    inputs = dict(zip(("drop_height", "rebound_height"), h, strict=True))
    inputs |= {"drop_u": u[0], "rebound_u": u[1], "correlation": r}

    assert restitution_uncertainty(**inputs) == pytest.approx(e.std(), rel=0.01)
    assert restitution_bias(**inputs) == pytest.approx(
        e.mean() - np.sqrt(h[1] / h[0]), abs=4 * e.std() / 1e3
    )


def test_draws_agree_with_first_order_where_it_holds():
    found = simulate_restitution(
        {"drop_height": normal(1.8, 0.002), "rebound_height": normal(1.1, 0.01)}, seed=2
    )

    first = restitution_uncertainty(
        drop_height=1.8, rebound_height=1.1, drop_u=0.002, rebound_u=0.01
    )
    assert found.standard == pytest.approx(first, rel=0.01)
    assert found.high - found.low == pytest.approx(2 * 1.96 * first, rel=0.02)


def test_draws_stay_sensible_for_a_ball_that_hardly_comes_back():
    found = simulate_restitution(
        {"drop_height": 1.0, "rebound_height": normal(0.01, 0.01)}, seed=2
    )

    assert found.low == 0
    assert found.shortest_low == 0
    assert 0.05 < found.estimate < 0.1


def test_drag_can_be_drawn_too():
    heights = {"drop_height": 1.8, "rebound_height": 1.1}
    found = simulate_restitution(
        {**heights, "drag_constant": rectangular(0.13, 0.026)}, draws=10**5, seed=3
    )
    plain = restitution_from_heights(**heights)

    assert found.estimate > 1.1 * plain
    assert found.standard == pytest.approx(
        plain * (1.8 + 1.1) / 2 * 0.026 / np.sqrt(3), rel=0.2
    )


@settings(max_examples=5)
@given(st.integers(0, 2**32))
def test_the_same_seed_draws_the_same(seed):
    inputs = {"drop_height": 1.0, "rebound_height": normal(0.5, 0.01)}

    first = simulate_restitution(inputs, seed=seed, draws=1000)
    assert simulate_restitution(inputs, seed=seed, draws=1000) == first


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"drop_height": 1.0}, "read drop_height, allowed drop_height, rebound"),
        ({}, "inputs: read nothing"),
        (
            {"drop_height": normal(1, 1), "rebound_height": 0.5},
            "drawn drop height: read -",
        ),
    ],
)
def test_draws_that_make_no_sense_are_refused(inputs, words):
    with pytest.raises(InputError, match=words):
        simulate_restitution(inputs, seed=1)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rebound_height": 0.0}, "rebound height: read 0 m, .* Use Monte Carlo"),
        ({"drop_u": -0.1}, "uncertainty of the drop height: read -0.1 m"),
        ({"correlation": 1.5}, "correlation: read 1.5, allowed from -1 up to 1"),
        ({"drop_u": [0.1, 0.2], "rebound_u": [0.1] * 3}, "read shapes"),
    ],
)
def test_uncertainties_that_make_no_sense_are_refused(change, words):
    usual = {"drop_height": 1.0, "rebound_height": 0.5, "drop_u": 0, "rebound_u": 0}
    for function in (restitution_uncertainty, restitution_bias):
        with pytest.raises(InputError, match=words):
            function(**(usual | change))


@pytest.mark.parametrize("r", [-0.6, 0.0, 0.9])
def test_bias_is_half_the_second_derivatives_times_the_covariances(r):
    u1, u2 = 0.05, 0.02
    numeric = propagate(
        lambda h1, h2: np.sqrt(h2 / h1),
        [1.8, 1.1],
        [[u1**2, r * u1 * u2], [r * u1 * u2, u2**2]],
    )
    found = restitution_bias(
        drop_height=1.8, rebound_height=1.1, drop_u=u1, rebound_u=u2, correlation=r
    )

    assert found == pytest.approx(numeric.bias[0], rel=1e-4)
