"""Pymunk, an independent physics engine: bodies on a line, discs, rows, stacks.

It steps through time and resolves contacts by repeated impulses, so it agrees to the
size of its steps, not to rounding.
"""

import numpy as np
import pymunk
import pytest

from bouncelab.physics.chains import collide_chain, drop_stack
from bouncelab.physics.collisions import collide
from bouncelab.physics.discs import collide_discs, meet

RANDOM = np.random.default_rng(11)


def disc(
    space, mass, radius, position, velocity, spin=0.0, e=1.0, friction=0.0, beta=0.5
):
    """Pymunk multiplies the two surfaces' numbers; one of each pair bears a 1."""
    body = pymunk.Body(mass, beta * mass * radius**2)
    body.position, body.velocity = tuple(position), tuple(velocity)
    body.angular_velocity = spin
    shape = pymunk.Circle(body, radius)
    shape.elasticity, shape.friction = e, friction
    space.add(body, shape)
    return body


def empty_space():
    space = pymunk.Space()
    space.iterations, space.collision_slop, space.collision_bias = 50, 0.0, 1.0
    return space


def moving(body):
    """Kinetic energy; Pymunk's own attribute leaves the ½ out."""
    return 0.5 * (
        body.mass * body.velocity.length_squared
        + body.moment * body.angular_velocity**2
    )


def around(bodies, point):
    """Angular momentum about a point, spins and orbits."""
    return sum(
        body.moment * body.angular_velocity
        + body.mass * (body.position - tuple(point)).cross(body.velocity)
        for body in bodies
    )


def run(space, step, count):
    for _ in range(count):
        space.step(step)


@pytest.mark.parametrize("e", [0.0, 0.3, 0.8, 1.0])
@pytest.mark.parametrize(("m1", "m2"), [(0.5, 3.5), (2.0, 2.0), (10.0, 0.01)])
def test_two_bodies_on_a_line(m1, m2, e):
    space = empty_space()
    first = disc(space, m1, 0.1, (0, 0), (3.0, 0), e=e)
    second = disc(space, m2, 0.1, (0.2000001, 0), (-1.0, 0))
    run(space, 1e-6, 10)
    after = collide(masses=(m1, m2), velocities=(3.0, -1.0), restitution=e)
    left = [moving(first), moving(second)]

    assert [first.velocity.x, second.velocity.x] == pytest.approx(
        after.velocities_after, abs=1e-6
    )
    assert after.ledger.kinetic_after == pytest.approx(left, rel=1e-5, abs=1e-5)
    lost = 0.5 * (9 * m1 + m2) - sum(left)
    assert after.ledger.energy_lost == pytest.approx(lost, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("case", range(12))
def test_discs_with_friction_and_spin(case):
    m, r = RANDOM.uniform(0.1, 5, 2), RANDOM.uniform(0.05, 0.5, 2)
    v, w = RANDOM.normal(0, 3, (2, 2)), RANDOM.normal(0, 5, 2)
    beta = RANDOM.choice([0.4, 0.5, 1.0], 2)
    angle = RANDOM.uniform(0, 2 * np.pi)
    line = np.array([np.cos(angle), np.sin(angle)])
    line *= np.sign((v[0] - v[1]) @ line)
    e, friction = RANDOM.uniform(0, 1), [0.05, 0.3, 5.0][case % 3]
    space = empty_space()
    places = [np.zeros(2), (r.sum() + 1e-8) * line]
    pair = [
        disc(
            space,
            m[k],
            r[k],
            places[k],
            v[k],
            w[k],
            (e, 1)[k],
            (friction, 1)[k],
            beta[k],
        )
        for k in (0, 1)
    ]
    before = [moving(body) for body in pair]
    turning = around(pair, places[0] + r[0] * line)
    run(space, 1e-7, 20)
    after = collide_discs(
        masses=m, radii=r, velocities=v, line_of_centres=line, restitution=e,
        spins=w, friction=friction, inertia_factors=beta,
    )  # fmt: skip

    for k in (0, 1):
        assert tuple(pair[k].velocity) == pytest.approx(
            tuple(after.velocities_after[k]), abs=2e-4
        )
        assert pair[k].angular_velocity == pytest.approx(after.spins_after[k], abs=2e-3)
    then = [moving(body) for body in pair]
    assert after.ledger.kinetic_before == pytest.approx(before, rel=1e-12)
    assert after.ledger.kinetic_after == pytest.approx(then, rel=2e-3, abs=2e-3)
    assert after.ledger.energy_lost == pytest.approx(sum(before) - sum(then), abs=5e-3)
    assert after.angular_momentum_before == pytest.approx(turning, rel=1e-6, abs=1e-6)
    assert after.angular_momentum_after == pytest.approx(turning, rel=1e-6, abs=1e-6)


def test_discs_meet_where_the_engine_lets_them_meet():
    now = {
        "positions": ([0.0, 0.0], [1.0, 0.15]),
        "radii": (0.1, 0.12),
        "velocities": ([2.0, 0.1], [-0.5, 0.0]),
    }
    meeting = meet(**now)
    space = empty_space()
    pair = [
        disc(space, 1.0, now["radii"][k], now["positions"][k], now["velocities"][k])
        for k in (0, 1)
    ]
    step, taken = 1e-5, 0
    while pair[0].velocity.x == 2.0:
        space.step(step)
        taken += 1

    assert taken * step == pytest.approx(meeting.time, abs=3 * step)
    assert tuple(pair[0].position) == pytest.approx(
        tuple(meeting.positions[0]), abs=1e-4
    )


@pytest.mark.parametrize(
    ("masses", "e"),
    [
        ([0.1, 0.1, 0.1, 0.1, 0.1], 1.0),
        ([0.1, 0.3, 0.2, 0.05], 1.0),
        ([0.2, 0.1, 0.4], 0.7),
        ([0.5, 0.2, 0.1, 0.05], 0.5),
    ],
)
def test_a_row_of_carts_with_gaps(masses, e):
    count = len(masses)
    space = empty_space()
    row = [
        # Each pair's restitution is the product, so each surface bears its root.
        disc(space, mass, 0.1, (0.21 * k, 0), (1.0 if k == 0 else 0.0, 0), e=e**0.5)
        for k, mass in enumerate(masses)
    ]
    run(space, 2e-5, 20_000)
    chain = collide_chain(
        masses=masses,
        velocities=[1.0] + [0.0] * (count - 1),
        restitution=e,
        gaps=0.01,
    )

    assert chain.finished
    assert [each.velocity.x for each in row] == pytest.approx(
        chain.velocities_after, abs=2e-3
    )
    left = [moving(each) for each in row]
    lost = 0.5 * masses[0] - sum(left)
    assert chain.ledger.total_kinetic_before == pytest.approx(0.5 * masses[0])
    assert chain.ledger.kinetic_after == pytest.approx(left, abs=1e-3)
    assert chain.ledger.energy_lost == pytest.approx(lost, abs=1e-3)


def test_a_ball_dropped_on_top_of_another():
    """Gaps of 1 mm, so that the lower one is on its way up when they meet."""
    space = empty_space()
    space.gravity = (0, -9.80665)
    floor = pymunk.Segment(space.static_body, (-5, 0), (5, 0), 0)
    floor.elasticity = 1.0
    space.add(floor)
    lower = disc(space, 0.6, 0.12, (0, 0.5 + 0.12), (0, 0), e=0.9)
    upper = disc(space, 0.06, 0.03, (0, 0.5 + 0.24 + 0.03 + 1e-3), (0, 0), e=1.0)
    step, highest = 2e-5, 0.0
    for _ in range(60_000):
        space.step(step)
        highest = max(highest, upper.position.y)
    drop = drop_stack(
        masses=(0.6, 0.06), drop_height=0.5, floor_restitution=0.9, restitution=0.9
    )

    assert lower.position.y > 0.11
    # It starts from where it was at the impact, 0.27 m up.
    assert highest - 0.27 == pytest.approx(drop.rises[1], rel=0.02)
