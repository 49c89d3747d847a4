"""Collisions of discs with friction and spin, in a column, against Pymunk one by one.

Run it by hand: python tests/benchmarks/bench_physics_collisions.py
"""

import statistics
import sys
import time

import numpy as np
import pymunk

from bouncelab.physics.discs import collide_discs

COUNT = 100_000
PEER = 5_000  # of them go through Pymunk; its time grows in proportion
AIM = 100.0


def meetings(count):
    random = np.random.default_rng(9)
    velocities = random.normal(0, 3, (2, count, 2))
    line = random.normal(size=(count, 2))
    line /= np.hypot(*line.T)[:, np.newaxis]
    line[np.sum((velocities[0] - velocities[1]) * line, axis=1) < 0] *= -1
    return {
        "masses": random.uniform(0.1, 2, (2, count)),
        "radii": random.uniform(0.05, 0.2, (2, count)),
        "velocities": velocities,
        "line_of_centres": line,
        "restitution": random.uniform(0, 1, count),
        "spins": random.normal(0, 5, (2, count)),
        "friction": random.uniform(0, 1, count),
    }


def pymunk_one(m, r, v, line, e, w, friction):
    space = pymunk.Space()
    space.iterations, space.collision_slop = 1, 0.0
    bodies = []
    for k in (0, 1):
        body = pymunk.Body(m[k], 0.5 * m[k] * r[k] ** 2)
        reach = k * (r[0] + r[1] + 1e-8)
        body.position = (reach * line[0], reach * line[1])
        body.velocity, body.angular_velocity = (v[k][0], v[k][1]), w[k]
        shape = pymunk.Circle(body, r[k])
        shape.elasticity, shape.friction = (e, 1.0)[k], (friction, 1.0)[k]
        space.add(body, shape)
        bodies.append(body)
    space.step(1e-7)
    space.step(1e-7)
    return [[*body.velocity, body.angular_velocity] for body in bodies]


def main():
    pairs = meetings(COUNT)
    collide_discs(**pairs)
    times = []
    for _ in range(7):
        start = time.perf_counter()
        after = collide_discs(**pairs)
        times.append(time.perf_counter() - start)
    rows = list(
        zip(
            pairs["masses"].T.tolist(),
            pairs["radii"].T.tolist(),
            pairs["velocities"].transpose(1, 0, 2).tolist(),
            pairs["line_of_centres"].tolist(),
            pairs["restitution"].tolist(),
            pairs["spins"].T.tolist(),
            pairs["friction"].tolist(),
            strict=True,
        )
    )
    start = time.perf_counter()
    peer = np.array([pymunk_one(*row) for row in rows[:PEER]])
    slow = (time.perf_counter() - start) * COUNT / PEER
    apart = np.abs(peer[:, 0, :2] - after.velocities_after[0][:PEER])
    fast = statistics.median(times)
    print(
        f"{COUNT:,} collisions: column {1e3 * fast:.1f} ms, Pymunk {slow:.2f} s, ratio "
        f"{slow / fast:.0f} (aim {AIM:.0f}); they differ by {np.median(apart):.0e} m/s"
    )
    return slow / fast < AIM


if __name__ == "__main__":
    sys.exit(main())
