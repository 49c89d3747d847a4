"""A batch of inflated-ball impacts against a loop of SciPy's solve_ivp; and memory.

Both are held to 1e-8 in restitution. Of the solver's methods and tolerances the
fastest that still keeps to that is the peer.

Run it by hand: python tests/benchmarks/bench_physics_impact.py
"""

import resource
import statistics
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

from bouncelab.physics.impact_shell import shell_impact

COUNT = 1000
AIM = 50.0
AIM_MEMORY = 1e9  # bytes at 10^6 impacts
AIR, GRAVITY, EXPONENT = 101_325.0, 9.80665, 1.4


def balls(count):
    random = np.random.default_rng(5)
    return {
        "mass": random.uniform(0.25, 0.65, count),
        "diameter": random.uniform(0.19, 0.25, count),
        "gauge_pressure": random.uniform(20e3, 90e3, count),
        "impact_speed": random.uniform(3.0, 8.0, count),
        "loss_constant": random.uniform(500.0, 4000.0, count),
    }


def one_by_one(mass, diameter, gauge_pressure, impact_speed, loss_constant, **solver):
    m, r, inside = mass, diameter / 2, gauge_pressure + AIR
    volume = 4 / 3 * np.pi * r**3

    def force(x, w):
        ratio = 1 - np.pi * x * x * (r - x / 3) / volume
        push = inside * ratio**-EXPONENT - AIR + loss_constant * w
        return np.pi * x * (2 * r - x) * push

    def rates(_, y):
        return (y[1], GRAVITY - force(y[0], y[1]) / m)

    def back(_, y):
        return y[0]

    back.terminal, back.direction = True, -1
    # With this loss the force is gone where the compression is.
    path = solve_ivp(rates, (0, 1), (0.0, impact_speed), events=back, **solver)
    return -path.y_events[0][0][1] / impact_speed


def loop(ball, count, **solver):
    rows = [
        dict(zip(ball, each, strict=True)) for each in zip(*ball.values(), strict=True)
    ]
    return np.array([one_by_one(**row, **solver) for row in rows[:count]])


def ratio():
    ball = balls(COUNT)
    exact = loop(ball, 100, method="DOP853", rtol=1e-13, atol=1e-15)
    peers = []
    for method in ("DOP853", "RK45", "LSODA"):
        for digits in (7, 8, 9, 10, 11):
            solver = {
                "method": method,
                "rtol": 10.0**-digits,
                "atol": 1e-3 * 10.0**-digits,
            }
            start = time.perf_counter()
            found = loop(ball, 100, **solver)
            taken = time.perf_counter() - start
            if np.abs(found - exact).max() <= 1e-8:
                peers.append((taken, solver))
                break
    _, solver = min(peers, key=lambda each: each[0])
    shell_impact(**ball, curves=False)
    batches = []
    for _ in range(5):
        start = time.perf_counter()
        batch = shell_impact(**ball, curves=False).restitution
        batches.append(time.perf_counter() - start)
    start = time.perf_counter()
    peer = loop(ball, COUNT, **solver)
    slow = time.perf_counter() - start
    fast = statistics.median(batches)
    errors = [np.abs(each[:100] - exact).max() for each in (batch, peer)]
    print(
        f"{COUNT} impacts: batch {1e3 * fast:.1f} ms, error {errors[0]:.0e}; solve_ivp "
        f"{solver['method']} at rtol {solver['rtol']:.0e} {slow:.2f} s, error "
        f"{errors[1]:.0e}; ratio {slow / fast:.0f} (aim {AIM:.0f})"
    )
    return slow / fast >= AIM


def memory():
    good = True
    for count in (10_000, 100_000, 1_000_000):
        ball = balls(count)
        start = time.perf_counter()
        shell_impact(**ball, curves=False)
        taken = time.perf_counter() - start
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
        good = most < AIM_MEMORY
        print(f"{count:>9,} impacts: {taken:6.2f} s, most memory {most / 1e6:.0f} MB")
    return good


if __name__ == "__main__":
    sys.exit(not (ratio() & memory()))
