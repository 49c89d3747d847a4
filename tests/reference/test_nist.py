"""NIST Statistical Reference Datasets (public domain): certified values and data.

Read in the data files of NIST: Norris (straight line) and Misra1a (a law with two
parameters, from both starts that NIST gives).
"""

import numpy as np
import pytest

from bouncelab.physics.least_squares import least_squares

NORRIS = """0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3
998.5 996.3 449.1 448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9
339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6
119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0
10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5"""
MISRA1A = """10.07 77.6 14.73 114.9 17.94 141.1 23.93 190.8 29.61 239.9 35.18 289.0
40.02 332.8 44.82 378.4 50.76 434.8 55.05 477.3 61.01 536.8 66.40 593.1 75.47 689.1
81.78 760.0"""


def columns(text):
    return np.array(text.split(), dtype=float).reshape(-1, 2).T


def test_norris():
    y, x = columns(NORRIS)
    fit = least_squares(
        lambda at: (at[0] + at[1] * x, np.column_stack([np.ones_like(x), x])),
        y,
        [0.0, 0.0],
    )
    sd = fit.residual_sd * np.sqrt(np.diag(fit.unscaled))

    assert fit.parameters == pytest.approx(
        [-0.262323073774029, 1.00211681802045], 1e-11
    )
    assert sd == pytest.approx([0.232818234301152, 0.000429796848199937], 1e-11)
    assert fit.residual_sd == pytest.approx(0.884796396144373, 1e-11)
    assert fit.dof == 34


@pytest.mark.parametrize("start", [(500, 0.0001), (250, 0.0005)])
def test_misra1a(start):
    y, x = columns(MISRA1A)

    def law(at):
        left = np.exp(-at[1] * x)
        return at[0] * (1 - left), np.column_stack([1 - left, at[0] * x * left])

    fit = least_squares(law, y, start)
    sd = fit.residual_sd * np.sqrt(np.diag(fit.unscaled))

    assert fit.parameters == pytest.approx([2.3894212918e2, 5.5015643181e-4], 1e-10)
    assert sd == pytest.approx([2.7070075241, 7.2668688436e-6], 1e-8)
    assert fit.residual_sd == pytest.approx(1.0187876330e-1, 1e-9)
    assert fit.residuals @ fit.residuals == pytest.approx(1.2455138894e-1, 1e-9)
    assert fit.dof == 12
