"""SciPy's solve_ivp, an independent way to the same numbers: falls, flights, trains.

The equation of motion is integrated step by step with the eighth-order method at a
relative tolerance of 1e-13; the closed forms must agree to 1e-10.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import (
    drag_constant,
    effective_gravity,
    fall_height,
    fall_time,
    impact_speed,
)
from bouncelab.physics.flight import (
    flight_speed,
    flight_time,
    height_in_flight,
    landing_speed,
    rise_height,
    rise_time,
)
from bouncelab.physics.restitution import restitution_with_drag

CLOSE = {"rel": 1e-10}
EXACT = {"method": "DOP853", "rtol": 1e-13, "atol": 1e-15}
# mass kg, diameter m, drag coefficient
BALLS = {
    "basketball": (0.620, 0.242, 0.50),
    "football": (0.430, 0.2196, 0.47),
    "tennis": (0.0577, 0.0667, 0.55),
    "table tennis": (0.0027, 0.040, 0.47),
    "balloon": (0.0035, 0.25, 0.47),
    "next to no drag": (1e6, 0.1, 0.5),
}


def drag_of(ball):
    mass, diameter, coefficient = BALLS[ball]
    air = {"mass": mass, "diameter": diameter, "air_density": 1.204}
    return {
        "drag_constant": drag_constant(**air, drag_coefficient=coefficient),
        "gravity": effective_gravity(**air),
    }


def follow(height, speed, drag_constant, gravity, until, **more):
    """Integrate height and upward speed until an event; give time and state there."""

    def motion(_, state):
        return state[1], -gravity - drag_constant * state[1] * abs(state[1])

    def event(_, state):
        return until(state)

    event.terminal, event.direction = True, -1
    found = solve_ivp(motion, (0, 100), (height, speed), events=event, **EXACT, **more)
    return found.t_events[0][0], found.y_events[0][0], found


@pytest.mark.parametrize("ball", BALLS)
@pytest.mark.parametrize("height", [0.3, 1.8])
def test_falls(ball, height):
    drag = drag_of(ball)
    time, (_, speed), _ = follow(height, 0.0, **drag, until=lambda y: y[0])

    assert fall_time(drop_height=height, **drag) == pytest.approx(time, **CLOSE)
    assert impact_speed(drop_height=height, **drag) == pytest.approx(-speed, **CLOSE)
    assert fall_height(time=time, **drag) == pytest.approx(height, **CLOSE)


@pytest.mark.parametrize("ball", BALLS)
@pytest.mark.parametrize("launch", [1.0, 6.0])
def test_flights(ball, launch):
    drag = drag_of(ball)
    top_time, (top, _), _ = follow(0.0, launch, **drag, until=lambda y: y[1])
    time, (_, speed), path = follow(
        0.0, launch, **drag, until=lambda y: y[0], dense_output=True
    )
    inside = time * np.linspace(0.05, 0.95, 7)

    assert rise_time(launch_speed=launch, **drag) == pytest.approx(top_time, **CLOSE)
    assert rise_height(launch_speed=launch, **drag) == pytest.approx(top, **CLOSE)
    assert flight_time(launch_speed=launch, **drag) == pytest.approx(time, **CLOSE)
    assert landing_speed(launch_speed=launch, **drag) == pytest.approx(-speed, **CLOSE)
    assert flight_speed(interval=time, **drag) == pytest.approx(launch, **CLOSE)
    assert height_in_flight(time=inside, launch_speed=launch, **drag) == pytest.approx(
        path.sol(inside)[0], rel=1e-8
    )


@pytest.mark.parametrize("ball", BALLS)
def test_trains(ball):
    drag, e = drag_of(ball), 0.8
    train = bounce_train(drop_height=1.8, restitution=e, bounces=4, **drag)
    clock, (_, speed), _ = follow(1.8, 0.0, **drag, until=lambda y: y[0])
    for k in range(4):
        assert train.impact_times[k] == pytest.approx(clock, **CLOSE)
        assert train.impact_speeds[k] == pytest.approx(-speed, **CLOSE)
        _, (top, _), _ = follow(0.0, -e * speed, **drag, until=lambda y: y[1])
        assert train.heights[k] == pytest.approx(top, **CLOSE)
        flown, (_, speed), _ = follow(0.0, -e * speed, **drag, until=lambda y: y[0])
        clock += flown


@pytest.mark.parametrize("ball", BALLS)
def test_the_restitution_put_into_a_fall_and_a_rise_comes_back_out(ball):
    drag, e = drag_of(ball), 0.8
    _, (_, speed), _ = follow(1.8, 0.0, **drag, until=lambda y: y[0])
    _, (top, _), _ = follow(0.0, -e * speed, **drag, until=lambda y: y[1])
    found = restitution_with_drag(
        drop_height=1.8, rebound_height=top, drag_constant=drag["drag_constant"]
    )

    assert found == pytest.approx(e, **CLOSE)
