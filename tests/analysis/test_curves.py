"""Curves of bounce against pressure: many balls at once, one ball, and scipy agree."""

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import chi2

from bouncelab.analysis.curves import FORMS, fit_curve, fit_curves

LEVELS = np.array([10e3, 20e3, 30e3, 45e3, 60e3, 75e3])


def many(form, count=40, seed=0):
    rng = np.random.default_rng(seed)
    p = np.tile(LEVELS, (count, 1))
    a, b, c = (
        rng.uniform(*ends, (count, 1))
        for ends in (
            (0.6, 0.85),
            (0.2, 0.5) if "exp" in form else (3e3, 9e3),
            (6e3, 15e3),
        )
    )
    y = a - b * FORMS[form](p, c) + rng.normal(0, 0.002, p.shape)
    return p, y, rng.uniform(2e-6, 9e-6, p.shape)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("gauge", [0.0, 1500.0])
def test_many_balls_at_once_are_each_as_alone(form, gauge):
    p, y, v = many(form)
    at_once = fit_curves(form, pressure=p, value=y, variance=v, gauge_uncertainty=gauge)

    for k, curve in enumerate(at_once):
        alone = fit_curve(
            form, pressure=p[k], value=y[k], variance=v[k], gauge_uncertainty=gauge
        )
        assert (curve.a, curve.b, curve.c) == pytest.approx(
            (alone.a, alone.b, alone.c), rel=1e-9
        )
        assert curve.covariance == pytest.approx(alone.covariance, rel=1e-6)


@pytest.mark.parametrize("form", FORMS)
def test_they_are_scipys_curve_fit(form):
    p, y, v = many(form, seed=1)
    curves = fit_curves(form, pressure=p, value=y, variance=v, gauge_uncertainty=0.0)

    for k, curve in enumerate(curves):
        (a, b, c), covariance = curve_fit(
            lambda x, a, b, c: a - b * FORMS[form](x, c),
            p[k],
            y[k],
            p0=(curve.a * 1.02, curve.b * 0.97, curve.c * 1.03),
            sigma=np.sqrt(v[k]),
            absolute_sigma=True,
            x_scale=(1.0, 1e3, 1e3),
            method="trf",
            xtol=1e-12,
            ftol=1e-12,
        )
        assert curve.a == pytest.approx(a, abs=2e-6)
        assert curve.at(LEVELS) == pytest.approx(
            a - b * FORMS[form](LEVELS, c), abs=2e-6
        )
        squares = np.sum((y[k] - curve.at(p[k])) ** 2 / v[k])
        doubted = chi2.sf(squares, 3) < 0.05  # three points to spare
        grown = covariance * (squares / 3 if doubted else 1.0)
        assert curve.uncertainty(LEVELS) == pytest.approx(
            np.sqrt(
                np.einsum(
                    "il,ij,jl->l", curve.slopes(LEVELS), grown, curve.slopes(LEVELS)
                )
            ),
            rel=2e-3,
        )
