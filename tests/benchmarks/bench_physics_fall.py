"""How much faster are the closed forms of a fall than integrating its motion?

Run it by hand: python tests/benchmarks/bench_physics_fall.py
"""

import statistics
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

from bouncelab.physics.fall import fall_time, impact_speed

FALLS = 100_000
PEERS = 20  # falls integrated one by one
ROUNDS = 7
AIM = 5000
# The closed forms are right to the last digits; the peer is asked for nine of them.
PEER = {"method": "DOP853", "rtol": 1e-9, "atol": 1e-12}


def floor(_, state):
    return state[0]


floor.terminal, floor.direction = True, -1


def integrated(height, k, g):
    def motion(_, state):
        return state[1], -g - k * state[1] * abs(state[1])

    found = solve_ivp(motion, (0, 100), (height, 0.0), events=floor, **PEER)
    return found.t_events[0][0], -found.y_events[0][0][1]


def seconds(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


if __name__ == "__main__":
    random = np.random.default_rng(3)
    heights = random.uniform(0.3, 3.0, FALLS)
    drag = {"drag_constant": random.uniform(0.01, 0.3, FALLS), "gravity": 9.6}

    def closed():
        return (
            fall_time(drop_height=heights, **drag),
            impact_speed(drop_height=heights, **drag),
        )

    def one_by_one():
        pairs = zip(heights[:PEERS], drag["drag_constant"][:PEERS], strict=True)
        return np.array([integrated(h, k, 9.6) for h, k in pairs])

    ratios = []
    for _ in range(ROUNDS):  # by turns, so that a busy machine slows both alike
        mine, ours = seconds(closed)
        peer, theirs = seconds(one_by_one)
        ratios.append(peer / PEERS / (mine / FALLS))
    off = np.abs(np.array(ours)[:, :PEERS].T / theirs - 1).max()
    ratio = statistics.median(ratios)
    print(
        f"fall: {mine / FALLS * 1e9:.0f} ns, solve_ivp {peer / PEERS * 1e3:.2f} ms, "
        f"{ratio:.0f} times faster (aim: {AIM}), agree to {off:.0e} "
        f"{'ok' if ratio >= AIM else 'TOO SLOW'}"
    )
    sys.exit(ratio < AIM)
