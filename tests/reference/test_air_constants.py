"""U.S. Standard Atmosphere 1976 and ICAO Doc 7488: air as the kit reckons with it.

And one constant of the Earth.

Read in secondary copies: 1.225 kg/m³ at 288.15 K and 101 325 Pa, 287.053 J/(kg K),
γ = 1.40, c_p 1005 and c_v 718 J/(kg K), speed of sound 340.3 m/s.
"""

import math

import pytest

from bouncelab.physics.ball_air import air_in_ball
from bouncelab.physics.collisions import EARTH_MASS
from bouncelab.physics.gas import ADIABATIC, squeeze
from bouncelab.physics.surroundings import GAS_CONSTANT, MOLAR_MASS_AIR


def test_density_at_15_degrees():
    density = air_in_ball(gauge_pressure=0.0, volume=1.0, temperature_c=15.0)

    assert density == pytest.approx(1.225, abs=5e-4)


def test_specific_gas_constant():
    """With the R of 1976, 8.31432, it is 287.053; with today's 8.314462618, 287.058."""
    ours = GAS_CONSTANT / MOLAR_MASS_AIR

    assert ours * 8.31432 / 8.314462618 == pytest.approx(287.053, abs=5e-4)


def test_ratio_and_difference_of_the_heat_capacities():
    specific = GAS_CONSTANT / MOLAR_MASS_AIR

    assert pytest.approx(1.40, abs=0.005) == ADIABATIC
    assert specific / (ADIABATIC - 1) == pytest.approx(718, abs=0.5)
    assert specific * ADIABATIC / (ADIABATIC - 1) == pytest.approx(1005, abs=0.5)


def test_speed_of_sound_from_a_small_fast_squeeze():
    """c² = dp/dρ at constant entropy, by a small step: 340.3 m/s at 15 °C."""
    density = air_in_ball(gauge_pressure=0.0, volume=1.0, temperature_c=15.0)
    less, more = (
        squeeze(absolute_pressure=101_325.0, volume=1.0, new_volume=1 / (1 + d))
        for d in (-1e-4, 1e-4)
    )
    slope = (more.absolute_pressure - less.absolute_pressure) / (2e-4 * density)

    assert math.sqrt(slope) == pytest.approx(340.3, abs=0.05)


def test_mass_of_the_earth():
    """WGS 84 (NIMA TR8350.2): GM = 3.986004418e14 m³/s²; CODATA 2018: G = 6.67430e-11.

    Both from memory; G is known to 2e-5 only.
    """
    assert pytest.approx(3.986004418e14, rel=3e-5) == EARTH_MASS * 6.67430e-11
