import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.surroundings import (
    air_density,
    air_viscosity,
    local_gravity,
    reynolds_number,
    sphere_drag,
)

temperatures = st.floats(-20, 45)


@given(temperatures, st.floats(8e4, 1.06e5), st.floats(0, 1))
def test_warm_thin_and_damp_air_is_lighter(temperature, pressure, humidity):
    here = air_density(temperature_c=temperature, pressure=pressure, humidity=humidity)

    assert here <= air_density(temperature_c=temperature, pressure=pressure)
    assert here > air_density(
        temperature_c=temperature + 1, pressure=pressure, humidity=humidity
    )
    assert here < air_density(
        temperature_c=temperature, pressure=pressure + 100, humidity=humidity
    )


def test_uncertain_weather_gives_an_uncertain_density():
    found = air_density(temperature_c=ufloat(20, 1), humidity=ufloat(0.5, 0.1))
    near = [air_density(temperature_c=t, humidity=0.5) for t in (19.5, 20.5)]
    damp = [air_density(temperature_c=20, humidity=h) for h in (0.45, 0.55)]

    spread = np.hypot(near[1] - near[0], damp[1] - damp[0])
    assert found.std_dev == pytest.approx(spread, rel=1e-3)


@given(temperatures)
def test_warm_air_is_more_viscous(temperature):
    assert air_viscosity(temperature_c=temperature + 1) > air_viscosity(
        temperature_c=temperature
    )


@given(st.floats(-90, 90), st.floats(0, 5000))
def test_gravity_is_alike_north_and_south_and_less_high_up(latitude, height):
    here = local_gravity(latitude=latitude, height=height)

    assert here == local_gravity(latitude=-latitude, height=height)
    assert here > local_gravity(latitude=latitude, height=height + 10)
    assert 9.76 < here < 9.84


def test_drag_is_less_sure_for_fast_balls():
    coefficient, u = sphere_drag([1e4, 9e4, 1.1e5])

    assert u / coefficient == pytest.approx([0.1, 0.1, 0.2])


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: air_density(humidity=40), "humidity: read 40, .* Divide a percentage"),
        (lambda: air_density(pressure=0), "air pressure: read 0 Pa"),
        (lambda: air_density(temperature_c=300), "temperature: read 300 °C"),
        (lambda: air_viscosity(temperature_c=float("nan")), "temperature: read nan"),
        (lambda: sphere_drag(3e5), "Reynolds number: read 300000, .* measured drag"),
        (lambda: local_gravity(latitude=91), "latitude: read 91 °"),
        (
            lambda: reynolds_number(
                speed=-1, diameter=1, air_density=1, air_viscosity=1
            ),
            "speed: read -1 m/s",
        ),
    ],
)
def test_weather_and_places_that_are_not_on_earth_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
