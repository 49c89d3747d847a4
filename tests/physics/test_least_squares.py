import numpy as np
import pytest

from bouncelab.errors import InputError
from bouncelab.physics.least_squares import least_squares

X = np.linspace(0.0, 4.0, 9)


def decay(at):
    if not 0 < at[1] < 50:
        return None
    falling = np.exp(-at[1] * X)
    return at[0] * falling, np.column_stack([falling, -at[0] * X * falling])


def test_exact_values_give_the_parameters_back_from_far_away():
    fit = least_squares(decay, decay(np.array([3.0, 0.7]))[0], [1.0, 5.0])

    assert fit.parameters == pytest.approx([3.0, 0.7], rel=1e-12)
    assert fit.dof == 7
    assert fit.residual_sd < 1e-14


def test_the_answer_is_that_of_scipy():
    from scipy.optimize import curve_fit

    noisy = decay(np.array([3.0, 0.7]))[0] + np.random.default_rng(1).normal(0, 0.1, 9)
    fit = least_squares(decay, noisy, [1.0, 1.0])
    best, covariance = curve_fit(
        lambda x, a, k: a * np.exp(-k * x), X, noisy, p0=[1.0, 1.0], xtol=1e-12
    )

    assert fit.parameters == pytest.approx(best, rel=1e-6)
    assert fit.residual_sd**2 * fit.unscaled == pytest.approx(covariance, rel=1e-5)


def test_a_fit_through_as_many_points_as_parameters_tells_no_scatter():
    fit = least_squares(lambda at: (at, np.eye(2)), [1.0, 2.0], [0.0, 0.0])

    assert fit.dof == 0
    assert np.isnan(fit.residual_sd)


@pytest.mark.parametrize(
    "model",
    [
        lambda at: None,
        lambda at: (at[0] + at[1] + 0 * X, np.ones((9, 2))),
        lambda at: (at[0] + 0 * X, np.column_stack([np.ones(9), np.zeros(9)])),
    ],
    ids=["nowhere", "parameters that are one", "a parameter that does nothing"],
)
def test_laws_that_cannot_be_fitted_are_refused(model):
    with pytest.raises(InputError, match="values that follow the law"):
        least_squares(model, X, [1.0, 1.0])
