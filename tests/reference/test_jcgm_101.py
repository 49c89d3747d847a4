"""JCGM 101:2008, Propagation of distributions using a Monte Carlo method, clause 9.

Read in open programs' data, but 9.2.4 and 9.3, which are from memory. "First order"
is the method of the Guide (JCGM 100).
"""

import numpy as np
import pytest

from bouncelab.monte_carlo import monte_carlo, normal, rectangular
from bouncelab.uncertainty import propagate

MILLION = 1_000_000
ROOT3 = np.sqrt(3.0)
# Draws of a million leave about 0.003 of the standard uncertainty at each end.


def total(**parts):
    return sum(parts.values())


def four(sampler):
    return {f"x{k}": sampler for k in range(4)}


def test_sum_of_four_normals():
    """9.2.2: 0, 2.0, ±3.92."""
    found = monte_carlo(total, four(normal(0, 1)), draws=MILLION, seed=1)

    assert found.estimate == pytest.approx(0, abs=0.01)
    assert found.standard == pytest.approx(2.0, abs=0.01)
    assert [found.low, found.high] == pytest.approx([-3.92, 3.92], abs=0.02)


def test_sum_of_four_rectangles():
    """9.2.3: 2.0, ±3.88; exactly √3 (4 − 2·0.6^¼) = 3.8794."""
    found = monte_carlo(total, four(rectangular(0, ROOT3)), draws=MILLION, seed=2)

    assert found.standard == pytest.approx(2.0, abs=0.01)
    assert [found.low, found.high] == pytest.approx([-3.88, 3.88], abs=0.015)
    assert found.high == pytest.approx(ROOT3 * (4 - 2 * 0.6**0.25), abs=0.015)
    assert found.shortest_high - found.shortest_low == pytest.approx(7.76, abs=0.02)


def test_one_rectangle_ten_times_as_wide():
    """9.2.4: 10.1, ±17.0, where the first order says ±19.9."""
    inputs = four(rectangular(0, ROOT3)) | {"x3": rectangular(0, 10 * ROOT3)}
    found = monte_carlo(total, inputs, draws=MILLION, seed=3)

    assert found.standard == pytest.approx(10.1, abs=0.06)
    assert [found.low, found.high] == pytest.approx([-17.0, 17.0], abs=0.06)
    assert 1.96 * np.sqrt(3 + 100) == pytest.approx(19.9, abs=0.05)


@pytest.mark.parametrize(
    ("x1", "standard", "shortest", "first_order"),
    [
        (0.000, 50, (0, 150), (0, 0)),
        (0.010, 112, (0, 367), (-96, 296)),
        (0.050, 502, (1590, 3543), (1520, 3480)),
    ],
)
def test_comparison_loss(x1, standard, shortest, first_order):
    """9.4.2: x1² + x2², u = 0.005 each; all in millionths.

    Read: intervals, and u = 50 for x1 = 0; 112 and 502 follow from the moments of
    normal distributions, √(4x²u² + 4u⁴).
    """
    u = 0.005

    def loss(a, b):
        return a**2 + b**2

    drawn = monte_carlo(
        loss, {"a": normal(x1, u), "b": normal(0, u)}, draws=MILLION, seed=4
    )
    found = propagate(loss, [x1, 0.0], np.diag([u**2, u**2]))
    middle, half = found.values[0], 1.959964 * found.standard[0]

    assert 1e6 * drawn.estimate == pytest.approx(1e6 * x1**2 + 50, abs=2)
    assert 1e6 * drawn.standard == pytest.approx(standard, abs=2)
    assert 1e6 * drawn.shortest_low == pytest.approx(shortest[0], abs=12)
    assert 1e6 * drawn.shortest_high == pytest.approx(shortest[1], abs=12)
    assert 1e6 * (middle - half) == pytest.approx(first_order[0], abs=0.6)
    assert 1e6 * (middle + half) == pytest.approx(first_order[1], abs=0.6)
    assert 1e6 * found.bias[0] == pytest.approx(50, abs=1e-3)


def mass(reference, more, air, air_density, reference_density):
    return (reference + more) * (
        1 + (air - 1.2) * (1 / air_density - 1 / reference_density)
    ) - 100_000.0


def test_calibration_of_a_mass():
    """9.3: 1.2341 mg, 0.0754 mg, 1.0834 to 1.3825 mg; with higher orders 0.0750 mg.

    100 g against a reference: air 1.20 ± 0.10 kg/m³, the one weight 8000 ± 1000,
    the other 8000 ± 50 kg/m³. The remembered 0.0520 mg of the first order does not
    follow: that is √(0.050² + 0.020²) = 0.0539. What it leaves out, the product of
    the doubts of air and weight, is 0.0521; both together give the 0.0750.
    """
    found = monte_carlo(
        mass,
        {
            "reference": normal(100_000.0, 0.050),
            "more": normal(1.234, 0.020),
            "air": rectangular(1.20, 0.10),
            "air_density": rectangular(8000.0, 1000.0),
            "reference_density": rectangular(8000.0, 50.0),
        },
        draws=MILLION,
        seed=5,
    )
    u = np.array([0.050, 0.020, 0.10 / ROOT3, 1000 / ROOT3, 50 / ROOT3])
    first = propagate(mass, [100_000.0, 1.234, 1.2, 8000.0, 8000.0], np.diag(u**2))

    assert found.estimate == pytest.approx(1.2341, abs=5e-4)
    assert found.standard == pytest.approx(0.0754, abs=3e-4)
    assert found.shortest_low == pytest.approx(1.0834, abs=0.003)
    assert found.shortest_high == pytest.approx(1.3825, abs=0.003)
    assert first.values[0] == pytest.approx(1.2340, abs=1e-6)
    assert first.standard[0] == pytest.approx(0.0539, abs=5.1e-5)
    product = 100_000.0 * u[2] * np.hypot(u[3], u[4]) / 8000.0**2
    assert product == pytest.approx(0.0521, abs=1e-4)
    assert np.hypot(first.standard[0], product) == pytest.approx(0.0750, abs=1e-4)


@pytest.mark.parametrize(("digits", "tolerance"), [(1, 0.5), (2, 0.05), (3, 0.005)])
def test_adaptive_procedure(digits, tolerance):
    """7.9.2, 9.2.2.4: u = 2.00 settles to 0.5, 0.05, 0.005."""
    found = monte_carlo(total, four(normal(0, 1)), digits=digits, seed=6)

    assert found.tolerance == pytest.approx(tolerance)
    assert found.settled
    assert found.standard == pytest.approx(2.0, abs=tolerance)
    assert found.high == pytest.approx(3.92, abs=2 * tolerance)
