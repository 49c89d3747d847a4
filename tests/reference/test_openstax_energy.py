"""OpenStax: College Physics 2e (2022), University Physics 1 and 2, Physics (2020).

Energy of motion and of height, and where it goes. The printed answers were read in
the books' source texts; each is met within half a unit of its last digit, with the
books' g of 9.80 m/s².
"""

import pytest

from bouncelab.physics.energy import (
    bounce_energy,
    height_energy,
    impact_warming,
    motion_energy,
)

G = 9.80


def test_energy_of_a_striker():
    """College Physics, example 8.4: 0.500 kg at 4.00 m/s has 4.00 J."""
    assert motion_energy(mass=0.500, speed=4.00) == pytest.approx(4.00, abs=0.005)


def test_half_way_down():
    """Physics, 9.2, worked example: 10 kg from 20 m, at 10 m: 980 J of each kind."""
    above = height_energy(mass=10.0, height=10.0, gravity=G)
    fallen = bounce_energy(
        mass=10.0, drop_height=10.0, rebound_height=0.0, gravity=G
    ).at_impact

    assert above == pytest.approx(980, abs=0.5)
    assert fallen == pytest.approx(980, abs=0.5)


def test_a_panel_that_falls_through_air():
    """University Physics 1, example 8.8: 15 kg, 1000 m, arrives at 45 m/s.

    Printed 147 kJ and 130 kJ lost to the air, to two digits; unrounded 131.8 kJ.
    """
    fall = bounce_energy(
        mass=15.0, drop_height=1000.0, rebound_height=0.0, impact_speed=45.0, gravity=G
    )

    assert fall.start / 1e3 == pytest.approx(147, abs=0.5)
    assert fall.lost_falling / 1e3 == pytest.approx(131.8, abs=0.05)


def test_a_ball_off_a_wall_keeps_64_per_cent():
    """College Physics, 8.5, problem 31: 0.240 kg, 3.00 to 2.40 m/s: 0.389 J lost."""
    high, low = 3.00**2 / (2 * G), 2.40**2 / (2 * G)
    bounce = bounce_energy(mass=0.240, drop_height=high, rebound_height=low, gravity=G)

    assert bounce.lost_in_impact == pytest.approx(0.389, abs=5e-4)
    assert bounce.after_impact / bounce.at_impact == pytest.approx(0.640, abs=5e-4)


def test_warmth_in_iron():
    """University Physics 2, table of specific heats, 1.4: iron 452 J/(kg K).

    Worked out by hand: 10 blows of 2.0 kg at 3.0 m/s are 90 J; in 0.50 kg, 0.398 K.
    """
    rise = impact_warming(
        mass=2.0,
        impact_speed=3.0,
        restitution=0.0,
        warmed_mass=0.50,
        specific_heat=452.0,
        share=1.0,
        impacts=10,
    )

    assert rise == pytest.approx(0.398, abs=5e-4)
