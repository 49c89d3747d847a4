"""CoolProp, an independent program: real air (Lemmon et al. 2000) in a ball."""

import pytest
from CoolProp.CoolProp import PropsSI

from bouncelab.physics.ball_air import air_in_ball, sealed_pressure
from bouncelab.physics.gas import absolute_pressure, amount_of_gas, squeeze
from bouncelab.units import ZERO_CELSIUS_K, kelvin

GAUGES = [0.0, 30e3, 55e3, 100e3]


@pytest.mark.parametrize("gauge", GAUGES)
@pytest.mark.parametrize("celsius", [0.0, 20.0, 40.0])
def test_mass_and_amount_of_the_air_in_a_ball(gauge, celsius):
    """The compressibility factor is within 0.13 % of 1, furthest in the cold."""
    state = ("T", kelvin(celsius), "P", absolute_pressure(gauge_pressure=gauge), "Air")
    mass = air_in_ball(gauge_pressure=gauge, volume=0.0074, temperature_c=celsius)
    amount = amount_of_gas(
        absolute_pressure=absolute_pressure(gauge_pressure=gauge),
        volume=0.0074,
        temperature_c=celsius,
    )

    assert mass == pytest.approx(0.0074 * PropsSI("Dmass", *state), rel=1.3e-3)
    assert amount == pytest.approx(0.0074 * PropsSI("Dmolar", *state), rel=1.3e-3)


@pytest.mark.parametrize("gauge", GAUGES)
@pytest.mark.parametrize("squeezed", [0.98, 0.95, 0.8])
def test_a_fast_squeeze_keeps_the_entropy(gauge, squeezed):
    before = absolute_pressure(gauge_pressure=gauge)
    state = ("T", kelvin(20.0), "P", before, "Air")
    density, entropy = PropsSI("Dmass", *state), PropsSI("Smass", *state)
    then = ("Smass", entropy, "Dmass", density / squeezed, "Air")
    ours = squeeze(absolute_pressure=before, volume=1.0, new_volume=squeezed)
    energy = PropsSI("Umass", *then) - PropsSI("Umass", *state)

    assert ours.absolute_pressure == pytest.approx(PropsSI("P", *then), rel=1e-3)
    warmed = PropsSI("T", *then) - ZERO_CELSIUS_K - 20.0
    assert ours.temperature_c - 20.0 == pytest.approx(warmed, rel=0.01)
    assert ours.work == pytest.approx(density * energy, rel=2e-3)


@pytest.mark.parametrize("celsius", [-5.0, 5.0, 40.0])
def test_a_sealed_ball_at_another_temperature(celsius):
    density = PropsSI("Dmass", "T", kelvin(20.0), "P", 156_325.0, "Air")
    real = PropsSI("P", "T", kelvin(celsius), "Dmass", density, "Air") - 101_325.0
    ours = sealed_pressure(
        gauge_pressure=55e3, temperature_c=20.0, new_temperature_c=celsius
    )

    assert ours == pytest.approx(real, rel=2e-3)
