"""SciPy's solve_ivp, an independent way to the same numbers: impacts.

The equations of motion are written out again here, in SI units, and integrated with
the eighth-order method at a relative tolerance of 1e-12. Agreement to 1e-8.
"""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from bouncelab.physics.hertz import hertz_impact
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.impact_solid import solid_impact
from bouncelab.physics.solids import (
    hunt_crossley_restitution,
    kelvin_voigt_restitution,
    viscoelastic_restitution,
)

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
        # Of a stiff wall that keeps nearly all, just enough is left to leave.
        {
            **{**FOOTBALL, "impact_speed": 1.0, "gauge_pressure": 0.0},
            **{"wall_stiffness": 1e6, "wall_loss": 0.985},
        },
    ],
)
def test_inflated_balls(ball):
    e, time, deepest = shell(**ball)
    hit = shell_impact(**ball, curves=False)

    assert hit.restitution == pytest.approx(e, abs=1e-8)
    assert hit.contact_time == pytest.approx(time, rel=1e-8)
    assert hit.compression == pytest.approx(deepest, rel=1e-8)


@pytest.mark.parametrize("flattening", [False, True])
@pytest.mark.parametrize("pressure", [2e3, 55e3])
def test_everything_that_is_said_of_an_impact(pressure, flattening):
    """Energies are integrals of force over way, worked out from the path by quad."""
    m, r, v, chi, kw, eta = 0.62, 0.121, 5.0, 2000.0, 5e3, 0.4
    volume, inside = 4 / 3 * np.pi * r**3, pressure + AIR
    hit = shell_impact(
        mass=m, diameter=2 * r, gauge_pressure=pressure, impact_speed=v,
        loss_constant=chi, wall_stiffness=kw, wall_loss=eta, flattening=flattening,
    )  # fmt: skip
    c = hit.curves
    half = len(c.time) // 2

    def area(x):
        return np.pi * (2 * r * x - x**2)

    def ratio(x):
        return volume / (volume - np.pi * x**2 * (r - x / 3))

    def loading(_, y):
        x, w = y[:2]
        push = area(x) * (inside * ratio(x) ** 1.4 - AIR + chi * w) + kw * x
        moving = m * (1 - x / (2 * r)) if flattening else m
        jerk = m / (4 * r) * abs(w) ** 3 if flattening else 0.0
        return [w, (m * G - push) / moving, area(x) * chi * w**2, jerk]

    path = solve_ivp(
        loading, (0, c.time[half]), [0, v, 0, 0], dense_output=True, **TIGHT
    )
    x, w, cover, flat = path.sol(c.time[: half + 1])
    push = area(x) * (inside * ratio(x) ** 1.4 - AIR + chi * w) + kw * x
    if flattening:
        push += m / (2 * r) * w**2

    down = slice(0, half + 1)
    assert c.compression[down] == pytest.approx(x, abs=1e-8 * x[-1])
    assert c.speed[down] == pytest.approx(w, abs=1e-7)
    assert c.force[down] == pytest.approx(push, rel=1e-7, abs=1e-5)
    assert c.lost_in_cover[down] == pytest.approx(cover, abs=1e-7)
    assert c.lost_to_flattening[down] == pytest.approx(flat, abs=1e-7)
    assert c.in_wall[down] == pytest.approx(kw * x**2 / 2, abs=1e-7)
    assert c.from_weight == pytest.approx(m * G * c.compression, abs=1e-9)
    share = 1 - c.compression / (2 * r) if flattening else 1
    assert c.kinetic == pytest.approx(0.5 * m * share * c.speed**2, abs=1e-9)
    for at in (30, half, half + 40, -1):
        deep = c.compression[at]
        gas, _ = quad(lambda s: area(s) * (inside * ratio(s) ** 1.4 - AIR), 0, deep)
        assert c.in_gas[at] == pytest.approx(gas, abs=1e-9)
        assert c.contact_radius[at] == pytest.approx((2 * r * deep - deep**2) ** 0.5)
        gauge = inside * ratio(deep) ** 1.4 - AIR
        assert c.gauge_pressure[at] == pytest.approx(gauge, rel=1e-9)
        warmth = 293.15 * (ratio(deep) ** 0.4 - 1)
        assert c.warming[at] == pytest.approx(warmth, abs=1e-9)
    last = half + 40
    back = (1 - eta) * kw * c.compression[last]
    gauge = c.gauge_pressure[last] + chi * c.speed[last]
    force = area(c.compression[last]) * gauge + back
    assert c.force[last] == pytest.approx(force, rel=1e-9)
    assert c.in_wall[last] == pytest.approx(back * c.compression[last] / 2, rel=1e-9)

    top = c.compression[half]
    assert hit.peak_force == pytest.approx(push.max(), rel=1e-4)
    assert hit.warming == pytest.approx(293.15 * (ratio(top) ** 0.4 - 1))
    assert hit.peak_gauge_pressure == pytest.approx(inside * ratio(top) ** 1.4 - AIR)
    assert hit.contact_radius == pytest.approx((2 * r * top - top**2) ** 0.5)
    assert hit.impact_energy == pytest.approx(0.5 * m * v**2)
    assert hit.rebound_energy == pytest.approx(0.5 * m * (hit.restitution * v) ** 2)
    kept = c.in_gas[-1] + c.in_wall[-1] + c.kinetic[-1] - hit.rebound_energy
    assert hit.left_in_vibration == pytest.approx(kept, abs=1e-7)
    assert hit.lost_in_cover == pytest.approx(c.lost_in_cover[-1], abs=1e-7)
    fallen = m * G * hit.contact_time
    assert hit.impulse == pytest.approx(m * v * (1 + hit.restitution) + fallen)


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


@pytest.mark.parametrize(("q", "b", "r"), [(1.5, 0.1, 1.5), (1.0, 2e-4, 0.0)])
def test_everything_that_is_said_of_a_solid_impact(q, b, r):
    m, v, k = 0.1, 2.0, 1e6
    hit = solid_impact(
        mass=m, impact_speed=v, stiffness=k, exponent=q, loss=b, loss_exponent=r
    )
    c = hit.curves

    def rates(_, y):
        x, w = max(y[0], 0.0), y[1]
        return [w, -k * (x**q + b * x**r * w) / m, k * b * x**r * w**2]

    exact = {**TIGHT, "max_step": 1e-5, "dense_output": True}
    x, w, lost = solve_ivp(rates, (0, c.time[-1]), [0, v, 0], **exact).sol(c.time)
    x = np.maximum(x, 0.0)

    assert c.compression == pytest.approx(x, abs=1e-7 * hit.compression)
    assert c.speed == pytest.approx(w, abs=1e-6)
    assert c.force == pytest.approx(
        k * (x**q + b * x**r * w), abs=1e-4 * hit.peak_force
    )
    assert c.kinetic == pytest.approx(0.5 * m * w**2, abs=1e-6)
    assert c.stored == pytest.approx(k * x ** (q + 1) / (q + 1), abs=1e-6)
    assert c.lost == pytest.approx(lost, abs=1e-6)
    assert hit.impact_energy == pytest.approx(0.5 * m * v**2)
    assert hit.rebound_energy == pytest.approx(0.5 * m * w[-1] ** 2, rel=1e-6)
    assert hit.lost == pytest.approx(lost[-1], rel=1e-6)
    assert hit.left_in_vibration == pytest.approx(c.stored[-1], abs=1e-9)
    assert hit.peak_force == pytest.approx(c.force.max(), rel=1e-3)
    assert hit.impulse == pytest.approx(m * (v - w[-1]), rel=1e-6)


@pytest.mark.parametrize("q", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("s", [0.1, 1.0])
def test_hunt_crossley_in_closed_form(q, s):
    e, _, _ = solid(0.1, 2.0, 1e6, q, s / 2.0, q)

    closed = hunt_crossley_restitution(loss=s / 2.0, impact_speed=2.0)
    assert closed == pytest.approx(e, abs=1e-7)


@pytest.mark.parametrize("zeta", [0.05, 0.3, 0.8])
def test_kelvin_voigt_in_closed_form(zeta):
    k, m = 1e4, 0.1
    e, _, _ = solid(m, 2.0, k, 1.0, 2 * zeta * np.sqrt(k * m) / k, 0.0)

    closed = kelvin_voigt_restitution(damping_ratio=zeta)
    assert closed == pytest.approx(e, abs=1e-7)


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
