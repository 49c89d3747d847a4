"""OpenStax: College Physics 2e (2022), University Physics 1, Physics (2020).

Collisions on a line and in the plane. The printed answers were read in the books'
source texts; each is met within half a unit of its last digit.
"""

import math

import numpy as np
import pytest

from bouncelab.physics.collisions import bounce_off_earth, collide, stick
from bouncelab.physics.discs import collide_discs
from bouncelab.physics.momentum import missing_velocity


def test_an_elastic_collision():
    """College Physics, example 8.4: 0.500 kg at 4.00 m/s on 3.50 kg at rest."""
    after = collide(masses=(0.500, 3.50), velocities=(4.00, 0), restitution=1)

    assert after.velocities_after == pytest.approx((-3.00, 1.00), abs=0.005)
    assert after.ledger.total_kinetic_before == pytest.approx(4.00, abs=0.005)
    assert after.ledger.total_kinetic_after == pytest.approx(4.00, abs=0.005)


def test_a_puck_caught():
    """College Physics, example 8.5: 0.150 kg at 35.0 m/s by 70.0 kg at rest."""
    caught = stick(masses=(0.150, 70.0), velocities=(35.0, 0))
    ledger = caught.ledger

    assert caught.velocities_after[0] == pytest.approx(7.48e-2, abs=5e-5)
    assert ledger.total_kinetic_before == pytest.approx(91.9, abs=0.05)
    assert ledger.total_kinetic_after == pytest.approx(0.196, abs=5e-4)
    assert ledger.energy_lost == pytest.approx(91.7, abs=0.05)


@pytest.mark.parametrize(("second", "printed"), [(1.33, 0.997), (-1.33, -0.135)])
def test_birds_that_stay_together(second, printed):
    """University Physics 1, example 9.6: 0.675 kg at 0.75, 0.500 kg at ±1.33 m/s."""
    together = stick(masses=(0.675, 0.500), velocities=(0.75, second))

    assert together.velocities_after[0] == pytest.approx(printed, abs=5e-4)


def test_a_ball_returns_or_stops_dead():
    """University Physics 1, example 9.7: 0.25 kg at 5.4 m/s: 2.8 and 1.4 kg m/s.

    Printed with the arrival at √(2 · 9.81 · 1.50) m/s.
    """
    speed = math.sqrt(2 * 9.81 * 1.50)
    back, dead = (
        bounce_off_earth(mass=0.25, impact_speed=speed, restitution=e).impulse
        for e in (1, 0)
    )

    assert speed == pytest.approx(5.4, abs=0.05)
    assert back == pytest.approx(2.8, abs=0.1)  # printed as twice the rounded 1.4
    assert dead == pytest.approx(1.4, abs=0.05)


def test_one_puck_stops_and_the_other_leaves():
    """University Physics 1, example 9.8: equal 15 g pucks, 2.5 m/s: one stops."""
    striker = missing_velocity(masses=(0.015, 0.015), before=(0, 2.5), after=(2.5,))
    elastic = collide(masses=(0.015, 0.015), velocities=(2.5, 0), restitution=1)

    assert striker == pytest.approx(0, abs=1e-12)
    assert elastic.velocities_after == pytest.approx((0, 2.5))


def test_a_lander_on_a_comet():
    """University Physics 1, example 9.9: 96 kg, −1.0 to +0.38 m/s, 1.0e13 kg.

    Printed 133 kg m/s and −1.33e-11 m/s: the book rounds 36.48 to 36.5 and their
    sum 132.5 up again; unrounded it is 132.48.
    """
    bounce = bounce_off_earth(
        mass=96, impact_speed=1.0, restitution=0.38, other_mass=1.0e13
    )

    assert bounce.impulse == pytest.approx(132.48)
    assert bounce.impulse == pytest.approx(133, abs=0.55)
    assert bounce.velocities_after[1] == pytest.approx(1.33e-11, abs=0.0055e-11)


def test_a_car_stops_dead_on_a_truck():
    """University Physics 1, example 9.13: 1200 and 3000 kg; 10 m, friction 0.62."""
    truck = math.sqrt(2 * 0.62 * 9.8 * 10)
    # Momentum runs backwards as well: from the truck alone to the car alone.
    car = missing_velocity(masses=(3000, 1200), before=(truck, 0), after=(0,))
    crash = collide(masses=(1200, 3000), velocities=(27.5, 0), restitution=0.40)
    ledger = crash.ledger

    assert truck == pytest.approx(11.0, abs=0.05)
    assert car == pytest.approx(27.5, abs=0.1)  # printed from the rounded 11.0
    assert crash.velocities_after == pytest.approx((0, 11.0), abs=1e-9)
    assert ledger.total_kinetic_before == pytest.approx(4.5e5, abs=0.05e5)
    assert ledger.total_kinetic_after == pytest.approx(1.8e5, abs=0.05e5)
    assert ledger.energy_lost == pytest.approx(2.7e5, abs=0.05e5)


@pytest.mark.parametrize(
    ("where", "masses", "velocities", "printed", "digit"),
    [
        ("8.3, problem 23", (150_000, 110_000), (0.300, -0.120), 0.122, 5e-4),
        ("8.3, problem 27", (1.80, 0.650), (28.0, 7.00), 22.4, 0.05),
    ],
)
def test_bodies_that_couple(where, masses, velocities, printed, digit):
    """College Physics: two problems of section 8.3."""
    coupled = stick(masses=masses, velocities=velocities)

    assert coupled.velocities_after[0] == pytest.approx(printed, abs=digit), where


def test_a_light_particle_on_a_heavy_nucleus():
    """University Physics 1, 9.4, problem 49: mass 4 on 235: 6.6 % of the energy."""
    ledger = collide(masses=(4, 235), velocities=(1, 0), restitution=1).ledger

    share = ledger.kinetic_after[1] / ledger.total_kinetic_before
    assert 100 * share == pytest.approx(6.6, abs=0.05)


def test_equal_cars_exchange_their_speeds():
    """University Physics 1, 9.4, problem 47: 400 kg at 6.00 and 5.60 m/s."""
    after = collide(masses=(400, 400), velocities=(6.00, 5.60), restitution=1)

    assert after.velocities_after == pytest.approx((5.60, 6.00), abs=0.005)


def test_the_second_body_from_the_first_in_the_plane():
    """College Physics, example 8.7: 0.250 kg at 2.00, then 1.50 m/s at 45.0°."""
    angle = math.radians(45.0)
    first = 1.50 * np.array([math.cos(angle), math.sin(angle)])
    second = missing_velocity(
        masses=(0.250, 0.400), before=([2.00, 0], [0.0, 0.0]), after=(first,)
    )

    tangent = second[1] / second[0]
    assert tangent == pytest.approx(-1.129, abs=5e-4)
    assert math.degrees(math.atan(tangent)) % 360 == pytest.approx(312, abs=0.5)
    assert np.hypot(*second) == pytest.approx(0.886, abs=5e-4)


def test_two_cars_lock_at_a_crossing():
    """University Physics 1, example 9.14: 1200 kg east, 3000 kg north.

    The sentence after it calls 59° "east of north" and 31° from east; its own
    arithmetic, and this, give 59° north of east.
    """
    slow, fast = 40e3 / 3600, 60e3 / 3600
    locked = stick(masses=(1200, 3000), velocities=([fast, 0], [0, slow]), plane=True)
    east, north = locked.velocities_after[0]

    assert east == pytest.approx(4.76, abs=0.005)
    assert north == pytest.approx(7.93, abs=0.01)  # printed from the rounded 11.1
    assert math.hypot(east, north) == pytest.approx(9.25, abs=0.01)
    assert math.degrees(math.atan2(north, east)) == pytest.approx(59, abs=0.5)


def test_a_tank_that_bursts():
    """University Physics 1, example 9.15: 4.5 kg at 105 m/s, 3.2 kg at 77, 19° off.

    The printed bearing is 183.5°; 180° + 6.49° is 186.5°.
    """
    angle = math.radians(19)
    pieces = [np.array([105.0, 0.0]), 77 * np.array([math.cos(angle), math.sin(angle)])]
    third = missing_velocity(
        masses=(4.5, 3.2, 14.4 - 4.5 - 3.2), before=[[0.0, 0.0]] * 3, after=pieces
    )
    momentum = 6.7 * third

    assert momentum[0] == pytest.approx(-705, abs=0.6)  # printed from rounded parts
    assert momentum[1] == pytest.approx(-80.2, abs=0.05)
    assert np.hypot(*momentum) == pytest.approx(710, abs=0.5)
    assert np.hypot(*third) == pytest.approx(106, abs=0.5)
    bearing = math.degrees(math.atan2(third[1], third[0])) % 360
    assert bearing - 180 == pytest.approx(6.49, abs=0.01)


def test_two_pucks_part_at_a_right_angle():
    """College Physics, 8.6, problems: 6.00 m/s, leaves at 30.0°: 5.196 and 3.00 m/s."""
    line = math.radians(-60.0)
    after = collide_discs(
        masses=(0.17, 0.17),
        radii=(0.038, 0.038),
        velocities=([6.00, 0.0], [0.0, 0.0]),
        line_of_centres=[math.cos(line), math.sin(line)],
        restitution=1.0,
    )
    first, second = after.velocities_after

    assert np.hypot(*first) == pytest.approx(5.196, abs=5e-4)
    assert math.degrees(math.atan2(first[1], first[0])) == pytest.approx(30.0)
    assert np.hypot(*second) == pytest.approx(3.00, abs=0.005)
    assert first @ second == pytest.approx(0, abs=1e-12)
