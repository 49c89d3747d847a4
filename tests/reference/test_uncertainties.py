"""The package uncertainties, an independent program for first-order propagation."""

import numpy as np
import pytest
from uncertainties import correlated_values, ufloat, umath

from bouncelab.physics.bounces import total_time
from bouncelab.physics.certainty import restitution_uncertainty, sensitivities
from bouncelab.physics.fall import drag_constant, fall_time, impact_speed
from bouncelab.physics.flight import flight_speed, flight_time
from bouncelab.physics.restitution import restitution_with_drag
from bouncelab.uncertainty import propagate

RANDOM = np.random.default_rng(31)


@pytest.mark.parametrize("r", [-0.7, 0.0, 0.9])
def test_restitution_of_many_readings(r):
    drops = RANDOM.uniform(0.3, 3, 50)
    rebounds = drops * RANDOM.uniform(0.2, 0.9, 50)
    found = restitution_uncertainty(
        drop_height=drops,
        rebound_height=rebounds,
        drop_u=0.003,
        rebound_u=0.008,
        correlation=r,
    )
    v = np.outer([0.003, 0.008], [0.003, 0.008]) * [[1, r], [r, 1]]
    for drop, rebound, mine in zip(drops, rebounds, found, strict=True):
        h1, h2 = correlated_values([drop, rebound], v)
        assert mine == pytest.approx(umath.sqrt(h2 / h1).std_dev, rel=1e-10)


def test_readings_at_the_top_with_a_tape_that_is_off():
    u = [0.002, 0.008, 0.003, 0.004]
    h, t, c, o = map(ufloat, (1.8, 1.34, 0.76, 0.0), u)
    e = umath.sqrt((t + o - c / np.pi) / (h + o))
    s = sensitivities(drop_height=1.8, rebound_height=1.34 - 0.76 / np.pi)
    slopes = [s.drop, s.rebound, s.circumference, s.offset]

    assert slopes == pytest.approx([e.derivatives[each] for each in (h, t, c, o)])
    assert np.linalg.norm(np.multiply(u, slopes)) == pytest.approx(e.std_dev)


@pytest.mark.parametrize(
    ("mine", "theirs"),
    [
        (
            lambda h, k: restitution_with_drag(
                drop_height=h, rebound_height=0.6 * h, drag_constant=k
            ),
            lambda h, k: umath.sqrt(
                (umath.exp(1.2 * k * h) - 1) / (1 - umath.exp(-2 * k * h))
            ),
        ),
        (
            lambda h, k: impact_speed(drop_height=h, drag_constant=k, gravity=9.8),
            lambda h, k: umath.sqrt(9.8 / k * (1 - umath.exp(-2 * k * h))),
        ),
        (
            lambda h, k: fall_time(drop_height=h, drag_constant=k, gravity=9.8),
            lambda h, k: umath.acosh(umath.exp(k * h)) / umath.sqrt(9.8 * k),
        ),
        (
            lambda h, k: flight_time(launch_speed=h, drag_constant=k, gravity=9.8),
            lambda h, k: (
                (
                    umath.atan(h * umath.sqrt(k / 9.8))
                    + umath.asinh(h * umath.sqrt(k / 9.8))
                )
                / umath.sqrt(9.8 * k)
            ),
        ),
        (
            lambda h, k: drag_constant(
                mass=0.6, diameter=h / 8, drag_coefficient=k, air_density=1.2
            ),
            lambda h, k: (
                1.2
                * k
                * np.pi
                * (h / 8) ** 2
                / 8
                / (0.6 + 1.8 * np.pi * (h / 8) ** 3 / 6)
            ),
        ),
    ],
    ids=["restitution", "speed", "fall", "flight", "drag constant"],
)
@pytest.mark.parametrize("k", [0.02, 0.13, 0.76])
def test_closed_forms_carry_values_and_uncertainties_as_the_textbook_forms_do(
    mine, theirs, k
):
    inputs = correlated_values([1.8, k], [[4e-4, 1e-5], [1e-5, 1e-5]])
    here, there = mine(*inputs), theirs(*inputs)

    assert here.nominal_value == pytest.approx(there.nominal_value, rel=1e-12)
    assert here.std_dev == pytest.approx(there.std_dev, rel=1e-9)


def test_propagation_of_several_results():
    v = np.array([[4e-4, 1e-4, 0], [1e-4, 9e-4, 2e-4], [0, 2e-4, 1e-3]])
    x = [1.8, 1.1, 0.3]
    a, b, c = correlated_values(x, v)
    theirs = [umath.sqrt(b / a), a * b * c, umath.exp(c) / b]
    found = propagate(lambda a, b, c: (np.sqrt(b / a), a * b * c, np.exp(c) / b), x, v)

    assert found.standard == pytest.approx([y.std_dev for y in theirs], rel=1e-8)
    assert found.values == pytest.approx([y.nominal_value for y in theirs])


def test_time_until_rest():
    h, e, g = ufloat(1.8, 0.003), ufloat(0.8, 0.01), ufloat(9.6, 0.05)
    theirs = umath.sqrt(2 * h / g) * (1 + e) / (1 - e)
    found = total_time(drop_height=h, restitution=e, gravity=g)

    assert found.std_dev == pytest.approx(theirs.std_dev, rel=1e-12)
    # They share their inputs, so nothing is left of the difference.
    assert (found - theirs).std_dev == pytest.approx(0, abs=1e-12)


def test_the_speed_of_a_flight_found_back_from_its_time_is_the_same_quantity():
    v, k, g = ufloat(5.0, 0.1), ufloat(0.1288, 0.02), ufloat(9.6, 0.05)
    drag = {"drag_constant": k, "gravity": g}
    back = flight_speed(interval=flight_time(launch_speed=v, **drag), **drag)

    assert back.nominal_value == pytest.approx(5.0, rel=1e-13)
    assert (back - v).std_dev == pytest.approx(0, abs=1e-8)
