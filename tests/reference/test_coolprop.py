"""CoolProp, an independent program: humid air (ASHRAE RP-1485) and viscosity of air."""

import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI

from bouncelab.physics.surroundings import air_density, air_viscosity
from bouncelab.units import kelvin


@pytest.mark.parametrize("celsius", [5.0, 20.0, 35.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("pressure", [85_000.0, 101_325.0])
def test_density_of_humid_air(celsius, humidity, pressure):
    volume = HAPropsSI("Vha", "T", kelvin(celsius), "P", pressure, "R", humidity)

    found = air_density(temperature_c=celsius, humidity=humidity, pressure=pressure)
    assert found == pytest.approx(1 / volume, rel=1e-3)


@pytest.mark.parametrize("celsius", [0.0, 15.0, 20.0, 40.0])
def test_viscosity_of_air(celsius):
    """Sutherland's formula of 1976 is lower by 0.3 to 0.5 %."""
    newer = PropsSI("V", "T", kelvin(celsius), "P", 101_325.0, "Air")

    assert air_viscosity(temperature_c=celsius) == pytest.approx(newer, rel=0.005)
