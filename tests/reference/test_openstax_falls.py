"""OpenStax: College Physics 2e and University Physics 1 (2022), Physics (2020).

Falls and bounces. The printed answers were read in the books' source texts; each is
met within half a unit of its last digit, with the books' g of 9.80 m/s².
"""

import pytest

from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import height_for_speed, impact_speed
from bouncelab.physics.restitution import restitution_from_heights

G = 9.80


def kinetic(mass, speed):
    return mass * speed**2 / 2


def test_stopping_after_a_fall():
    """College Physics, example 7.6: 60.0 kg, 3.00 m, stopped in 5.00 mm."""
    energy = kinetic(60.0, impact_speed(drop_height=3.00, gravity=G))

    assert energy / 0.00500 == pytest.approx(3.53e5, abs=0.005e5)


def test_half_way_down_half_the_energy_is_motion():
    """Physics (high school), 9.2, worked example: 10 kg from 20 m, at 10 m."""
    speed = impact_speed(drop_height=20.0 - 10.0, gravity=G)

    assert kinetic(10.0, speed) == pytest.approx(980, abs=0.5)
    assert pytest.approx(980, abs=0.5) == 10.0 * G * 10.0


def test_a_panel_loses_most_of_its_energy_to_the_air():
    """University Physics 1, example 8.8: 15 kg from 1000 m arrives at 45 m/s.

    Printed 130 kJ of 147 kJ, rounded to two digits.
    """
    as_if_from = height_for_speed(impact_speed=45.0, gravity=G)
    whole, lost = (15.0 * G * h / 1e3 for h in (1000.0, 1000.0 - as_if_from))

    assert whole == pytest.approx(147, abs=0.5)
    assert lost == pytest.approx(130, abs=5)


def test_a_child_on_a_bed():
    """University Physics 1, 8.3, additional problem: 32 kg, 1.0 m, 5000 N/m: 42 cm."""
    squeezed = 0.42
    speed = impact_speed(drop_height=1.0 + squeezed, gravity=G)

    assert (2 * kinetic(32.0, speed) / 5000.0) ** 0.5 == pytest.approx(0.42, abs=0.005)


@pytest.mark.parametrize(("restitution", "change"), [(1.0, 2.8), (0.0, 1.4)])
def test_a_ball_that_comes_back_changes_its_momentum_twice_as_much(restitution, change):
    """University Physics 1, example 9.7: 0.25 kg dropped 1.50 m, and back, or not.

    Printed 5.4 m/s, 1.4 kg m/s, and 2.8 kg m/s from the rounded 1.4 (2.71 unrounded).
    """
    train = bounce_train(
        drop_height=1.50, restitution=restitution, bounces=1, gravity=G
    )
    arrives, leaves = train.impact_speeds[0], train.launch_speeds[0]
    height = train.heights[0]

    assert arrives == pytest.approx(5.4, abs=0.05)
    assert 0.25 * arrives == pytest.approx(1.4, abs=0.05)
    assert 0.25 * (arrives + leaves) == pytest.approx(change, abs=0.1)
    assert height == pytest.approx(restitution * 1.50)


def test_the_rounded_restitution_of_tennis_balls_is_above_what_the_rules_allow():
    """College Physics, 8.5, take-home activity: e = √(h/H), 0.85 for new tennis balls.

    The formula agrees. The figure is a rounded teaching value: the Rules of Tennis,
    Appendix I, allow 53 to 58 in from 100 in, which is 0.728 to 0.762.
    """
    low, high = restitution_from_heights(drop_height=100.0, rebound_height=[53.0, 58.0])

    assert (round(low, 3), round(high, 3)) == (0.728, 0.762)
    assert high < 0.85
