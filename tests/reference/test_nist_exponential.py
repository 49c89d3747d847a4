"""NIST Statistical Reference Datasets (public domain): Misra1a, an exponential.

Read in the data file of NIST: y = b1 (1 - exp(-b2 x)). The kit's second opinion on
pressure is a - b exp(-p/c); tied to zero by one point of great weight it is the same
law, with a = b = b1 and c = 1/b2. It goes through the kit's own fit, scaled to values
below one and to pressures in Pa. Parameters agree to 6 digits, their standard
deviations and the residual sum of squares to 5; the fit searches c no finer.
"""

import numpy as np
import pytest

from bouncelab.analysis.curves import fit_curve

DATA = """10.07 77.6 14.73 114.9 17.94 141.1 23.93 190.8 29.61 239.9 35.18 289.0
40.02 332.8 44.82 378.4 50.76 434.8 55.05 477.3 61.01 536.8 66.40 593.1 75.47 689.1
81.78 760.0"""
B1, B1_SD = 2.3894212918e2, 2.7070075241
B2, B2_SD = 5.5015643181e-4, 7.2668688436e-6
RESIDUAL_SD, SQUARES = 1.0187876330e-1, 1.2455138894e-1
TALL, LONG = 240.0, 100.0  # what y is divided by, and x multiplied by


def test_misra1a_through_the_exponential_of_the_pressure_fit():
    y, x = np.array(DATA.split(), dtype=float).reshape(-1, 2).T
    value = np.concatenate([[0.0], y / TALL])
    pressure = np.concatenate([[0.0], LONG * x])
    variance = np.full(15, (RESIDUAL_SD / TALL) ** 2)
    variance[0] = 1e-12
    curve = fit_curve(
        "a - b exp(-p/c)",
        pressure=pressure,
        value=value,
        variance=variance,
        gauge_uncertainty=0.0,
    )
    a_sd, _, c_sd = np.sqrt(np.diag(curve.covariance))
    left = TALL * (value - curve.at(pressure))

    assert TALL * curve.a == pytest.approx(B1, rel=1e-6)
    assert TALL * curve.b == pytest.approx(B1, rel=1e-6)
    assert LONG / curve.c == pytest.approx(B2, rel=1e-6)
    assert TALL * a_sd == pytest.approx(B1_SD, rel=1e-5)
    assert LONG * c_sd / curve.c**2 == pytest.approx(B2_SD, rel=1e-5)
    assert left @ left == pytest.approx(SQUARES, rel=1e-5)
