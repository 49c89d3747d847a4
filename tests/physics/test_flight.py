import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.fall import fall_time, impact_speed
from bouncelab.physics.flight import (
    flight_speed,
    flight_time,
    height_in_flight,
    landing_speed,
    launch_speed,
    rise_height,
    rise_time,
)
from strategies import drag_constants, speeds


@given(speeds, drag_constants)
def test_flight_and_its_inverses_go_there_and_back(v, k):
    time = flight_time(launch_speed=v, drag_constant=k)
    height = rise_height(launch_speed=v, drag_constant=k)

    assert flight_speed(interval=time, drag_constant=k) == pytest.approx(v, rel=1e-12)
    assert launch_speed(rise_height=height, drag_constant=k) == pytest.approx(
        v, rel=1e-13
    )


@given(speeds, drag_constants)
def test_a_flight_is_a_rise_and_a_fall(v, k):
    height = rise_height(launch_speed=v, drag_constant=k)
    up = rise_time(launch_speed=v, drag_constant=k)

    assert flight_time(launch_speed=v, drag_constant=k) == pytest.approx(
        up + fall_time(drop_height=height, drag_constant=k), rel=1e-13
    )
    assert landing_speed(launch_speed=v, drag_constant=k) == pytest.approx(
        impact_speed(drop_height=height, drag_constant=k), rel=1e-13
    )


@given(speeds, drag_constants)
def test_the_path_starts_and_ends_on_the_floor_and_is_highest_at_the_top(v, k):
    drag = {"launch_speed": v, "drag_constant": k}
    total, top = flight_time(**drag), rise_height(**drag)
    heights = height_in_flight(time=np.linspace(0, total, 101), **drag)

    assert heights[[0, -1]] == pytest.approx([0, 0], abs=1e-13 * top)
    assert height_in_flight(time=rise_time(**drag), **drag) == pytest.approx(top)
    assert heights.max() <= top * (1 + 1e-13)


@given(speeds)
def test_without_drag_the_path_is_a_parabola(v):
    time = np.linspace(0, flight_time(launch_speed=v, gravity=9.8), 11)

    for k in (0.0, 1e-300, 1e-16):
        found = height_in_flight(
            time=time, launch_speed=v, drag_constant=k, gravity=9.8
        )
        expected = v * time - 4.9 * time**2
        assert found == pytest.approx(expected, abs=1e-13 * v**2)


def test_an_interval_carries_its_uncertainty_to_the_speed():
    t, k = ufloat(0.8, 0.01), ufloat(0.1, 0.01)
    found = flight_speed(interval=t, drag_constant=k)
    by_t = [flight_speed(interval=x, drag_constant=0.1) for x in (0.799, 0.801)]
    by_k = [flight_speed(interval=0.8, drag_constant=x) for x in (0.099, 0.101)]

    spread = np.hypot(5 * (by_t[1] - by_t[0]), 5 * (by_k[1] - by_k[0]))
    assert found.std_dev == pytest.approx(spread, rel=1e-5)
    assert flight_speed(interval=t).std_dev == pytest.approx(9.80665 / 2 * 0.01)


def test_many_intervals_at_once_from_none_to_long():
    found = flight_speed(interval=[0.0, 1e-6, 0.5, 40.0], drag_constant=0.1)

    assert found[0] == 0
    assert flight_time(launch_speed=found, drag_constant=0.1) == pytest.approx(
        [0.0, 1e-6, 0.5, 40.0], rel=1e-12
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: rise_height(launch_speed=-1), "launch speed: read -1 m/s"),
        (lambda: flight_speed(interval=-0.1), "interval: read -0.1 s"),
        (lambda: flight_speed(interval=1e3, drag_constant=1), "interval times root"),
        (lambda: launch_speed(rise_height=1e3, drag_constant=1), "times height"),
        (
            lambda: height_in_flight(time=[0.1, 0.9], launch_speed=4, gravity=10),
            "time: read 0.9 s, allowed from 0 s to the landing",
        ),
        (lambda: flight_time(launch_speed=[1, 2], drag_constant=[1, 2, 3]), "shapes"),
    ],
)
def test_flights_that_cannot_be_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


@given(st.floats(0, 1e6), st.floats(0, 10))
def test_no_number_makes_a_flight_overflow(v, k):
    assert np.isfinite(flight_time(launch_speed=v, drag_constant=k))
    assert np.isfinite(rise_height(launch_speed=v, drag_constant=k))
