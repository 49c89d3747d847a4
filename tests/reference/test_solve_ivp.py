"""scipy.integrate.solve_ivp, an independent way to follow a fall: step by step.

Relative agreement 1e-10 is asked of every closed form.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import fall_height, fall_time, impact_speed
from bouncelab.physics.flight import (
    flight_time,
    height_in_flight,
    landing_speed,
    rise_height,
    rise_time,
)

TIGHT = {"method": "DOP853", "rtol": 1e-13, "atol": 1e-14}
# drag constant in 1/m, gravity in m/s²: none, basketball, table tennis ball, balloon
AIRS = [(0.0, 9.80665), (0.0219, 9.6), (0.1288, 9.59), (0.76, 1.88)]


def follow(k, g, height, velocity, until):
    """Give the time and state where `until` is reached, upward being positive."""

    def push(_, state):
        return state[1], -g - k * state[1] * abs(state[1])

    until.terminal = True
    return solve_ivp(push, (0, 100), (height, velocity), events=until, **TIGHT)


def on_the_floor(t, state):
    return state[0] if t > 1e-3 else 1.0


def at_the_top(_, state):
    return state[1]


@pytest.mark.parametrize(("k", "g"), AIRS)
@pytest.mark.parametrize("height", [0.3, 1.8, 10.0])
def test_falls(k, g, height):
    done = follow(k, g, height, 0.0, on_the_floor)
    time, speed = done.t_events[0][0], -done.y_events[0][0][1]
    drag = {"drag_constant": k, "gravity": g}

    assert fall_time(drop_height=height, **drag) == pytest.approx(time, rel=1e-10)
    assert impact_speed(drop_height=height, **drag) == pytest.approx(speed, rel=1e-10)
    assert fall_height(time=time, **drag) == pytest.approx(height, rel=1e-10)


@pytest.mark.parametrize(("k", "g"), AIRS)
@pytest.mark.parametrize("speed", [1.0, 5.0])
def test_flights(k, g, speed):
    drag = {"launch_speed": speed, "drag_constant": k, "gravity": g}
    up = follow(k, g, 0.0, speed, at_the_top)
    down = follow(k, g, 0.0, speed, on_the_floor)

    assert rise_time(**drag) == pytest.approx(up.t_events[0][0], rel=1e-10)
    assert rise_height(**drag) == pytest.approx(up.y_events[0][0][0], rel=1e-10)
    assert flight_time(**drag) == pytest.approx(down.t_events[0][0], rel=1e-10)
    assert landing_speed(**drag) == pytest.approx(-down.y_events[0][0][1], rel=1e-10)
    inside = slice(1, -1)
    assert height_in_flight(time=down.t[inside], **drag) == pytest.approx(
        down.y[0][inside], rel=1e-8, abs=1e-10
    )


def test_a_train_followed_from_bounce_to_bounce():
    k, g, e, contact = 0.1288, 9.59, 0.85, 0.002
    train = bounce_train(
        drop_height=0.8,
        restitution=e,
        bounces=5,
        drag_constant=k,
        gravity=g,
        contact_time=contact,
    )
    time, height, velocity, times = 0.0, 0.8, 0.0, []
    for _ in range(5):
        done = follow(k, g, height, velocity, on_the_floor)
        times.append(time + done.t_events[0][0])
        time, height = times[-1] + contact, 0.0
        velocity = -e * done.y_events[0][0][1]

    assert train.impact_times == pytest.approx(np.array(times), rel=1e-10)
