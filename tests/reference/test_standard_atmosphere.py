"""U.S. Standard Atmosphere 1976 (also ICAO Doc 7488): density and viscosity of air.

Read in handbook pages; the table at four temperatures is worked out from its gas
constant 287.053 J/(kg K) and its equation (51), and at 15 °C agrees with the printed
1.789e-5 Pa s and 1.460e-5 m²/s.
"""

import pytest

from bouncelab.physics.surroundings import air_density, air_viscosity
from bouncelab.units import ZERO_CELSIUS_K

# °C, kg/m³, Pa s
AIR = [
    (0.0, 1.2923, 1.716e-5),
    (15.0, 1.2250, 1.789e-5),
    (20.0, 1.2041, 1.813e-5),
    (25.0, 1.1839, 1.837e-5),
]


@pytest.mark.parametrize(("celsius", "density", "viscosity"), AIR)
def test_air_at_one_atmosphere(celsius, density, viscosity):
    assert air_density(temperature_c=celsius) == pytest.approx(density, abs=6e-5)
    assert air_viscosity(temperature_c=celsius) == pytest.approx(viscosity, abs=6e-9)


def test_kinematic_viscosity():
    """At 15 °C 1.460e-5 m²/s is printed: 1.4607e-5 with its last digit cut off."""
    found = [
        air_viscosity(temperature_c=t) / air_density(temperature_c=t) for t in (15, 20)
    ]

    assert found == pytest.approx([1.4607e-5, 1.506e-5], abs=6e-9)
    assert int(found[0] * 1e8) == 1460


def test_air_at_eleven_kilometres():
    """22 632 Pa and 216.65 K; 0.3639 kg/m³ follows from the gas constant.

    The one of 1976, 8.31432 J/(mol K), is less than that of the SI by 1.7e-5.
    """
    found = air_density(temperature_c=216.65 - ZERO_CELSIUS_K, pressure=22_632)

    assert found == pytest.approx(22_632 / (287.053 * 216.65), rel=2e-5)
    assert found * 8.314462618 / 8.31432 == pytest.approx(
        22_632 / (287.053 * 216.65), rel=1e-6
    )
    assert found == pytest.approx(0.3639, abs=5e-5)
