import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.ball_air import (
    air_in_ball,
    ball_volume,
    sealed_pressure,
    sealed_temperature,
)

gauges = st.floats(0, 150e3)
celsius = st.floats(-20, 50)


@given(gauges, celsius, celsius)
def test_pressure_and_temperature_of_a_sealed_ball_undo_each_other(gauge, t, t_new):
    there = sealed_pressure(
        gauge_pressure=gauge, temperature_c=t, new_temperature_c=t_new
    )
    back = sealed_temperature(
        gauge_pressure=gauge, temperature_c=t, new_gauge_pressure=there
    )

    assert back == pytest.approx(t_new, abs=1e-9)


@given(gauges, celsius, celsius)
def test_a_sealed_ball_keeps_its_air(gauge, t, t_new):
    there = sealed_pressure(
        gauge_pressure=gauge, temperature_c=t, new_temperature_c=t_new
    )

    kept = air_in_ball(gauge_pressure=there, volume=0.007, temperature_c=t_new)
    assert kept == pytest.approx(
        air_in_ball(gauge_pressure=gauge, volume=0.007, temperature_c=t), rel=1e-12
    )


def test_an_open_ball_holds_air_of_the_density_outside():
    assert air_in_ball(gauge_pressure=0.0, volume=1.0) == pytest.approx(1.204, abs=5e-4)


def test_volume_grows_with_the_cube_of_the_diameter():
    assert ball_volume(diameter=0.2) == pytest.approx(8 * ball_volume(diameter=0.1))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: ball_volume(diameter=0.0), "diameter: read 0 m, allowed above 0 m"),
        (lambda: air_in_ball(gauge_pressure=-2e5, volume=1.0), "absolute pressure"),
        (
            lambda: sealed_pressure(
                gauge_pressure=0, temperature_c=20, new_temperature_c=-274
            ),
            "new temperature: read -274 °C",
        ),
        (
            lambda: sealed_temperature(
                gauge_pressure=[1, 2], temperature_c=[1, 2, 3], new_gauge_pressure=5
            ),
            "shapes",
        ),
    ],
)
def test_impossible_air_is_refused_with_words(call, words):
    with pytest.raises(InputError, match=words):
        call()
