"""SciPy's solve_ivp, an independent way to the same numbers: impacts.

The equations of motion are written out again here, in SI units, and integrated with
the eighth-order method at a relative tolerance of 1e-12. Agreement to 1e-8.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bouncelab.physics.hertz import hertz_impact
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.impact_solid import solid_impact
from bouncelab.physics.solids import viscoelastic_restitution

AIR, G = 101_325.0, 9.80665
TIGHT = {"method": "DOP853", "rtol": 1e-12, "atol": 1e-15, "max_step": 5e-4}


def stops_at(event):
    event.terminal, event.direction = True, -1
    return event


def shell(
    mass, diameter, gauge_pressure, impact_speed, loss_constant=0.0,
    wall_stiffness=0.0, wall_loss=0.0, flattening=False, exponent=1.4,
):  # fmt: skip
    """PHYSICS of the inflated shell, step by step: e, contact time, deepest point."""
    m, r = mass, diameter / 2
    volume = 4 / 3 * np.pi * r**3

    def force(x, w, loading):
        area = np.pi * (2 * r * x - x**2)
        left = volume - np.pi * x**2 * (r - x / 3)
        inside = (gauge_pressure + AIR) * (volume / left) ** exponent
        wall = wall_stiffness * (1 if loading else 1 - wall_loss)
        return area * (inside - AIR + loss_constant * w) + wall * x

    def motion(loading):
        def rates(_, y):
            x, w = y
            moving = m * (1 - x / (2 * r)) if flattening else m
            pull = m / (2 * r) * w**2 if flattening and not loading else 0.0
            return [w, (m * G - force(x, w, loading) + pull) / moving]

        return rates

    @stops_at
    def turned(_, y):
        return y[1]

    @stops_at
    def gone(_, y):
        return min(y[0], force(*y, False) / y[0] if y[0] > 1e-12 else y[0])

    down = solve_ivp(motion(True), (0, 10), [0, impact_speed], events=turned, **TIGHT)
    deepest = down.y_events[0][0][0]
    up = solve_ivp(motion(False), (0, 10), [deepest, 0], events=gone, **TIGHT)
    x, w = up.y_events[0][0]
    share = 1 - x / (2 * r) if flattening else 1
    time = down.t_events[0][0] + up.t_events[0][0]
    return -w * share / impact_speed, time, deepest


BASKETBALL = {
    "mass": 0.62,
    "diameter": 0.242,
    "gauge_pressure": 55e3,
    "impact_speed": 5.94,
}
FOOTBALL = {
    "mass": 0.43,
    "diameter": 0.2196,
    "gauge_pressure": 80e3,
    "impact_speed": 20.0,
}


@pytest.mark.parametrize(
    "ball",
    [
        BASKETBALL,
        {**BASKETBALL, "loss_constant": 2500.0},
        {**BASKETBALL, "loss_constant": 20e3},
        {**BASKETBALL, "loss_constant": 2500.0, "gauge_pressure": 5e3},
        {**BASKETBALL, "loss_constant": 500.0, "gauge_pressure": 0.0},
        {**BASKETBALL, "loss_constant": 1000.0, "flattening": True},
        {**BASKETBALL, "loss_constant": 100.0, "impact_speed": 0.05},
        {**BASKETBALL, "impact_speed": 25.0},
        {**BASKETBALL, "exponent": 1.0},
        {**FOOTBALL, "loss_constant": 1000.0},
        {**FOOTBALL, "wall_stiffness": 20e3, "wall_loss": 0.3},
    ],
)
def test_inflated_balls(ball):
    e, time, deepest = shell(**ball)
    hit = shell_impact(**ball, curves=False)

    assert hit.restitution == pytest.approx(e, abs=1e-8)
    assert hit.contact_time == pytest.approx(time, rel=1e-8)
    assert hit.compression == pytest.approx(deepest, rel=1e-8)


def solid(mass, impact_speed, stiffness, q, b, r):
    def force(x, w):
        return stiffness * (abs(x) ** q * np.sign(x) + b * abs(x) ** r * w)

    @stops_at
    def turned(_, y):
        return y[1]

    @stops_at
    def gone(_, y):
        return min(y[0], force(*y) / abs(y[0]) ** r if y[0] > 0 else y[0])

    def rates(_, y):
        return [y[1], -force(*y) / mass]

    exact = {**TIGHT, "rtol": 1e-13, "max_step": 1e-5}
    down = solve_ivp(rates, (0, 1), [0, impact_speed], events=turned, **exact)
    start = down.y_events[0][0]
    up = solve_ivp(rates, (0, 1), [start[0], 0.0], events=gone, **exact)
    time = down.t_events[0][0] + up.t_events[0][0]
    return -up.y_events[0][0][1] / impact_speed, time, start[0]


@pytest.mark.parametrize(
    ("q", "b", "r"),
    [
        (1.0, 0.05, 1.0),  # Hunt and Crossley
        (1.5, 0.1, 1.5),
        (2.0, 0.3, 2.0),
        (1.0, 2e-4, 0.0),  # Kelvin and Voigt
        (1.5, 3e-5, 0.5),  # viscoelastic sphere
    ],
)
def test_solid_balls_that_lose_energy(q, b, r):
    e, time, deepest = solid(0.1, 2.0, 1e6, q, b, r)
    hit = solid_impact(
        mass=0.1, impact_speed=2.0, stiffness=1e6, exponent=q, loss=b, loss_exponent=r,
        curves=False,
    )  # fmt: skip

    assert hit.restitution == pytest.approx(e, abs=1e-7)
    assert hit.contact_time == pytest.approx(time, rel=1e-7)
    assert hit.compression == pytest.approx(deepest, rel=1e-7)


@pytest.mark.parametrize("speed", [0.1, 1.0, 10.0])
def test_hertz_in_closed_form(speed):
    state = {"mass": 0.05, "impact_speed": speed}
    k = 4 / 3 * 5e6 * 0.02**0.5
    _, time, deepest = solid(0.05, speed, k, 1.5, 0.0, 1.5)
    hit = hertz_impact(radius=0.02, effective_modulus=5e6, **state)

    assert hit.contact_time == pytest.approx(time, rel=1e-6)
    assert hit.compression == pytest.approx(deepest, rel=1e-6)
    assert hit.peak_force == pytest.approx(k * deepest**1.5, rel=1e-6)


@pytest.mark.parametrize("dissipation", [1e-6, 1e-5, 5e-5, 1e-4])
def test_the_series_for_viscoelastic_spheres_is_good_to_3e_4(dissipation):
    e, _, _ = solid(0.1, 2.0, 1e6, 1.5, 1.5 * dissipation, 0.5)
    found = viscoelastic_restitution(
        mass=0.1, stiffness=1e6, dissipation=dissipation, impact_speed=2.0
    )

    assert e > 0.83
    assert found == pytest.approx(e, abs=3e-4)
