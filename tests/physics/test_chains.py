import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.chains import collide_chain, drop_stack
from bouncelab.physics.collisions import collide
from strategies import any_restitution, masses, velocities

few = settings(max_examples=50, deadline=None)  # lossy chains take many events
chains = st.lists(st.tuples(masses, velocities), min_size=2, max_size=5)


@few
@given(chains, st.floats(0.3, 1), st.floats(0, 2))
def test_momentum_is_kept_and_the_ledger_closes(bodies, e, gap):
    m, v = zip(*bodies, strict=True)
    chain = collide_chain(masses=m, velocities=v, restitution=e, gaps=gap)
    scale = max(m) * (max(map(abs, v)) + 1e-3)

    events = max(len(chain.events), 1)
    assert chain.ledger.total_momentum_after == pytest.approx(
        chain.ledger.total_momentum_before, abs=1e-13 * events * scale
    )
    assert chain.ledger.unaccounted == pytest.approx(
        0, abs=1e-12 * events * scale * max(abs(np.array(v)).max(), 1e-3)
    )


@few
@given(chains, st.floats(0.5, 1), st.floats(0.1, 2))
def test_bodies_end_in_the_order_of_their_speeds_and_never_pass(bodies, e, gap):
    m, v = zip(*bodies, strict=True)
    chain = collide_chain(masses=m, velocities=v, restitution=e, gaps=gap)
    still = 1e-9 * max(map(abs, v))

    if chain.finished:
        assert np.all(np.diff(chain.velocities_after) >= -still)
    for event in chain.events:
        assert np.all(np.diff(event.positions) >= -1e-9)
    times = [event.time for event in chain.events]
    assert times == sorted(times)


@given(st.tuples(masses, masses), st.tuples(velocities, velocities), any_restitution)
def test_two_bodies_are_one_collision(m, v, e):
    chain = collide_chain(masses=m, velocities=v, restitution=e)
    one = collide(masses=m, velocities=v, restitution=e).velocities_after

    met = v[0] - v[1] > 1e-9 * max(map(abs, v))
    assert chain.velocities_after == pytest.approx(one if met else v, abs=1e-12 * 40)


@pytest.mark.parametrize("count", [3, 5, 8])
@pytest.mark.parametrize("moving", [1, 2])
def test_as_many_balls_leave_a_row_as_arrive(count, moving):
    row = collide_chain(
        masses=[0.1] * count,
        velocities=[1.0] * moving + [0.0] * (count - moving),
        restitution=1.0,
    )

    assert row.velocities_after == (0.0,) * (count - moving) + (1.0,) * moving


def test_a_row_of_clay_ends_at_the_speed_of_its_centre():
    row = collide_chain(masses=[1.0] * 6, velocities=[1.0] + [0.0] * 5, restitution=0.0)

    assert row.finished
    assert row.velocities_after == pytest.approx([1 / 6] * 6, abs=1e-8)


def test_a_mass_between_lets_more_energy_through():
    """The middle mass that passes most is the geometric mean of its neighbours."""
    middles = np.geomspace(0.1, 10.0, 41)
    last = [
        collide_chain(
            masses=(0.1, middle, 10.0), velocities=(1.0, 0.0, 0.0), restitution=1.0,
            gaps=1.0, most_events=2,
        ).velocities_after[2]
        for middle in middles
    ]  # fmt: skip

    assert middles[int(np.argmax(last))] == pytest.approx(1.0)


def test_a_chain_that_goes_on_meeting_is_stopped_and_says_so():
    row = collide_chain(
        masses=(1, 1e4, 1, 1e4), velocities=(1, 0, 0, -1), restitution=0.05,
        most_events=50,
    )  # fmt: skip

    assert not row.finished
    assert len(row.events) == 50


@few
@given(masses, masses, any_restitution, any_restitution, st.floats(0.1, 3))
def test_the_first_round_of_a_stack_of_two_follows_its_formula(m1, m2, e_f, e, h):
    drop = drop_stack(
        masses=(m1, m2),
        drop_height=h,
        floor_restitution=e_f,
        restitution=e,
        most_events=2,
    )
    met = next(event for event in drop.events if event.pair == (0, 1))

    top = ((m1 * e_f - m2) + m1 * e * (1 + e_f)) / (m1 + m2)
    assert met.velocities_after[1] / drop.impact_speed == pytest.approx(top, abs=1e-12)


@few
@given(st.lists(masses, min_size=1, max_size=4), st.floats(0.3, 1), st.floats(0.3, 1))
def test_a_stack_never_gains_energy(m, e_f, e):
    drop = drop_stack(masses=m, drop_height=1.0, floor_restitution=e_f, restitution=e)
    after = sum(
        mass * v**2 / 2 for mass, v in zip(m, drop.velocities_after, strict=True)
    )
    before = sum(m) * drop.impact_speed**2 / 2
    lost = sum(event.energy_lost for event in drop.events)

    assert after + lost == pytest.approx(before, rel=1e-12 * max(len(drop.events), 1))


def test_one_ball_alone_is_a_plain_bounce():
    drop = drop_stack(
        masses=[0.6], drop_height=1.8, floor_restitution=0.8, restitution=1.0
    )

    assert drop.rises[0] == pytest.approx(0.64 * 1.8)
    assert [event.pair for event in drop.events] == [(-1, 0)]


@pytest.mark.parametrize("e", [0.0, 0.05, 0.5])
def test_a_light_lossy_ball_under_a_heavy_one_comes_to_an_end(e):
    drop = drop_stack(
        masses=(0.01, 10.0), drop_height=1.0, floor_restitution=e, restitution=e
    )

    assert len(drop.events) <= 10_000
    assert all(rise >= 0 for rise in drop.rises)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"masses": (1, -1)}, "mass 2: read -1 kg"),
        ({"masses": (1,)}, "1 masses and 2 velocities"),
        ({"masses": ([1, 2], 1)}, "one number a body"),
        ({"restitution": (0.5, 0.5)}, "read 2 values, allowed one, or 1"),
        ({"restitution": 1.5}, "restitution: read 1.5"),
        ({"gaps": -1}, "gap: read -1 m"),
        ({"gaps": (1, 2)}, "gaps: read 2 values"),
    ],
)
def test_what_is_no_chain_is_refused_with_words(change, words):
    good = {"masses": (1.0, 1.0), "velocities": (1.0, 0.0), "restitution": 0.5}

    with pytest.raises(InputError, match=words):
        collide_chain(**{**good, **change})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"drop_height": 0.0}, "drop height: read 0 m, allowed above 0 m"),
        ({"floor_restitution": 2.0}, "restitution on the floor: read 2"),
        ({"gravity": -9.8}, "gravity: read -9.8 m/s²"),
        ({"masses": (1, float("nan"))}, "mass 2: read nan kg"),
        ({"masses": ()}, "one number a body"),
    ],
)
def test_what_is_no_stack_is_refused_with_words(change, words):
    good = {
        "masses": (1.0, 1.0),
        "drop_height": 1.0,
        "floor_restitution": 0.8,
        "restitution": 0.5,
    }

    with pytest.raises(InputError, match=words):
        drop_stack(**{**good, **change})


def test_under_a_third_of_its_mass_the_lower_ball_stops_and_the_top_rises_fourfold():
    drop = drop_stack(
        masses=(0.3, 0.1), drop_height=0.5, floor_restitution=1.0, restitution=1.0
    )

    assert drop.rises == pytest.approx((0.0, 2.0), abs=1e-12)
