"""JCGM 100:2008, Guide to the Expression of Uncertainty in Measurement, annex H.

H.1 (end gauge): figures read in open programs' data, those for 99 % from memory.
H.2 (resistance and reactance): table and results read there; correlations of the
results from memory, and recomputed. H.3 (thermometer): table read there, results
from memory, and recomputed.
"""

import numpy as np
import pytest

from bouncelab.physics.least_squares import least_squares
from bouncelab.uncertainty import effective_dof, expanded, propagate

# Volts, milliamperes, radians: table H.2
SETS = np.array(
    [
        (5.007, 19.663, 1.0456),
        (4.994, 19.639, 1.0438),
        (5.005, 19.640, 1.0468),
        (4.990, 19.685, 1.0428),
        (4.999, 19.678, 1.0433),
    ]
)
# °C: reading and correction, table H.6
THERMOMETER = np.array(
    [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ]
)
READINGS, CORRECTIONS = THERMOMETER.T


def impedance(volts, milliamperes, phase):
    z = 1000 * volts / milliamperes
    return z * np.cos(phase), z * np.sin(phase), z


def of_the_mean(sets):
    return np.cov(sets.T) / len(sets)


def test_h1_freedom_and_coverage():
    """32 nm from six parts; 16.7 degrees of freedom, cut to 16; k = 2.12 and 2.92."""
    parts = np.array([25, 5.8, 3.9, 6.7])
    # In nm: the gauge's length times the temperature, then times the expansion.
    gauge, away, expansion = 50e6, 0.1, 11.5e-6
    heat = np.array([gauge * away * 0.58e-6, gauge * expansion * 0.029])
    nu = effective_dof([*parts, *heat], [18, 24, 5, 8, 50, 2])

    assert heat == pytest.approx([2.9, 16.6], abs=0.08)  # 16.675, cut to 16.6
    assert np.hypot.reduce([*parts, *heat]) == pytest.approx(32, abs=0.5)
    assert nu == pytest.approx(16.7, abs=0.1)  # 16.64 from the unrounded parts
    for coverage, k in ((0.95, 2.12), (0.99, 2.92)):
        found = expanded(type_a=1.0, dof_a=16, type_b=0.0, coverage=coverage)
        assert found.expanded == pytest.approx(k, abs=0.005)


def test_h1_expanded_uncertainty():
    """93 nm at 99 %, worked out with 32 nm."""
    found = expanded(type_a=32.0, dof_a=16, type_b=0.0, coverage=0.99)

    assert found.expanded == pytest.approx(93, abs=0.7)


def test_h2_means_and_correlations():
    covariance = of_the_mean(SETS)
    u = np.sqrt(np.diag(covariance))
    r = covariance / np.outer(u, u)

    assert SETS.mean(axis=0) == pytest.approx([4.9990, 19.6610, 1.04446])
    assert u == pytest.approx([0.0032, 0.0095, 0.00075], rel=0.01)
    assert r[[0, 0, 1], [1, 2, 2]] == pytest.approx([-0.36, 0.86, -0.65], abs=0.006)


def test_h2_resistance_reactance_impedance():
    found = propagate(impedance, SETS.mean(axis=0), of_the_mean(SETS))

    assert found.values == pytest.approx([127.732, 219.847, 254.260], abs=5.1e-4)
    assert found.standard == pytest.approx([0.071, 0.295, 0.236], abs=6e-4)
    assert found.correlation[[0, 0, 1], [1, 2, 2]] == pytest.approx(
        [-0.588, -0.485, 0.993], abs=5.1e-4
    )


def test_h2_second_approach():
    """Each set on its own, then the means: the same uncertainties."""
    results = np.array([impedance(*each) for each in SETS])

    assert results.mean(axis=0) == pytest.approx([127.732, 219.847, 254.260], abs=6e-4)
    assert np.sqrt(np.diag(of_the_mean(results))) == pytest.approx(
        [0.071, 0.295, 0.236], abs=6e-4
    )


def test_h2_leaving_out_the_correlations_goes_wrong():
    """Worked out: 0.1945, 0.2009 and 0.2041 ohm, the first 2.7 times too large."""
    covariance = np.diag(np.diag(of_the_mean(SETS)))
    found = propagate(impedance, SETS.mean(axis=0), covariance)

    assert found.standard == pytest.approx([0.1945, 0.2009, 0.2041], abs=5.1e-5)


def line(at):
    away = READINGS - 20
    return at[0] + at[1] * away, np.column_stack([np.ones_like(away), away])


def test_h3_line_through_a_thermometers_corrections():
    fit = least_squares(line, CORRECTIONS, [0.0, 0.0])
    covariance = fit.residual_sd**2 * fit.unscaled
    u = np.sqrt(np.diag(covariance))

    assert fit.parameters == pytest.approx([-0.1712, 0.00218], abs=5e-5)
    assert u == pytest.approx([0.0029, 0.00067], rel=0.02)
    assert covariance[0, 1] / u.prod() == pytest.approx(-0.930, abs=6e-4)
    assert fit.residual_sd == pytest.approx(0.0035, abs=5e-5)
    assert fit.dof == 9


def test_h3_correction_at_thirty_degrees():
    fit = least_squares(line, CORRECTIONS, [0.0, 0.0])
    found = propagate(
        lambda y1, y2: y1 + 10 * y2,
        fit.parameters,
        fit.residual_sd**2 * fit.unscaled,
    )

    assert found.values[0] == pytest.approx(-0.1494, abs=5e-5)
    assert found.standard[0] == pytest.approx(0.0041, abs=5e-5)
