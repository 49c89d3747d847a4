"""OpenStax: College Physics 2e (2022), University Physics 1, Physics (2020).

Momentum, impulse and force. The printed answers were read in the books' source
texts; each is met within half a unit of its last digit, with the books' g of 9.80.
"""

import math

import pytest

from bouncelab.physics.collisions import bounce_off_earth, collide
from bouncelab.physics.discs import collide_discs
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.momentum import average_force

G = 9.80


def test_a_footballer_and_a_ball():
    """College Physics, example 8.1: 110 kg at 8.00 m/s, 0.410 kg at 25.0 m/s.

    The ratio of momenta is printed 85.4, from rounded values; unrounded it is 85.9
    (so printed in Physics, 8.1).
    """
    player, ball = collide(
        masses=(110, 0.410), velocities=(8.00, 25.0), restitution=0.5
    ).ledger.momentum_before

    assert player == pytest.approx(880, abs=0.5)
    assert ball == pytest.approx(10.3, abs=0.0501)
    assert player / ball == pytest.approx(85.9, abs=0.05)
    assert player / round(ball, 1) != pytest.approx(player / ball, abs=0.05)


def test_a_serve():
    """College Physics, example 8.2; University Physics 1, 9.5: 0.057 kg to 58 m/s."""
    force = average_force(
        mass=0.057, velocity_before=0, velocity_after=58, contact_time=5.0e-3
    )

    assert force == pytest.approx(661, abs=0.5)
    assert force * 5.0e-3 == pytest.approx(3.306, abs=5e-4)


def test_a_ball_on_a_wall_head_on_and_at_30_degrees():
    """College Physics, example 8.3: impulses in the ratio 2/√3 = 1.155."""
    wall = {"masses": (0.1, 1e15), "radii": (0.1, 1.0), "restitution": 1.0}
    head_on, slanting = (
        collide_discs(
            velocities=([math.cos(angle), math.sin(angle)], [0.0, 0.0]),
            line_of_centres=[1.0, 0.0],
            **wall,
        ).normal_impulse
        for angle in (0.0, math.radians(30))
    )

    assert head_on / slanting == pytest.approx(1.155, abs=5e-4)


def test_putty_that_does_not_bounce():
    """College Physics, 8.2, test preparation 3: 1.0 kg from 1.5 m in 0.045 s: 120 N."""
    speed = impact_speed(drop_height=1.5, gravity=G)
    force = average_force(
        mass=1.0, velocity_before=-speed, velocity_after=0, contact_time=0.045
    )

    assert force == pytest.approx(120, abs=5)


def test_a_puck_off_the_boards():
    """College Physics, 8.2, test preparation 11: 22 g, 14 m/s, 5.5 ms: 112 N."""
    force = average_force(
        mass=0.022, velocity_before=-14, velocity_after=14, contact_time=5.5e-3
    )

    assert force == pytest.approx(112, abs=0.5)


def test_a_ball_thrown_at_a_wall():
    """College Physics, 8.5, problem 31: 0.240 kg, 3.00 to 2.40 m/s back, 15.0 ms."""
    bounce = bounce_off_earth(mass=0.240, impact_speed=3.00, restitution=0.80)
    speed = -bounce.velocities_after[0]
    ledger = bounce.ledger

    assert speed == pytest.approx(2.40)
    assert bounce.impulse / 15.0e-3 == pytest.approx(86.4, abs=0.05)
    assert ledger.energy_lost == pytest.approx(0.389, abs=5e-4)
    left = ledger.total_kinetic_after / ledger.total_kinetic_before
    assert 100 * left == pytest.approx(64.0, abs=0.05)


def test_a_phone_dropped():
    """University Physics 1, example 9.4: 0.172 kg from 1.5 m, 0.026 s: 36 N."""
    speed = impact_speed(drop_height=1.5, gravity=G)
    force = average_force(
        mass=0.172, velocity_before=-speed, velocity_after=0, contact_time=0.026
    )

    assert speed == pytest.approx(5.4, abs=0.05)
    assert force == pytest.approx(36, abs=0.5)


def test_balls_that_patter_on_a_wall():
    """University Physics 2, 2.2, problem 35: 58 g, 11 m/s, every 2.1 s, 3.0 m²."""
    force = average_force(
        mass=0.058, velocity_before=11, velocity_after=-11, contact_time=2.1
    )

    assert -force == pytest.approx(0.61, abs=0.005)
    assert -force / 3.0 == pytest.approx(0.20, abs=0.005)
