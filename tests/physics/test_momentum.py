import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.collisions import collide, stick
from bouncelab.physics.momentum import (
    average_force,
    centre_velocity,
    missing_velocity,
)
from strategies import any_restitution, masses, velocities

bodies = st.lists(st.tuples(masses, velocities), min_size=2, max_size=6)


@given(bodies, velocities)
def test_the_centre_moves_along_with_the_observer(some, shift):
    m, v = zip(*some, strict=True)

    assert centre_velocity(
        masses=m, velocities=[each + shift for each in v]
    ) == pytest.approx(centre_velocity(masses=m, velocities=v) + shift, abs=1e-11)


@given(st.tuples(masses, masses), st.tuples(velocities, velocities), any_restitution)
def test_the_missing_velocity_is_the_one_that_was_hidden(m, u, e):
    first, second = collide(masses=m, velocities=u, restitution=e).velocities_after

    assert missing_velocity(masses=m, before=u, after=[first]) == pytest.approx(
        second, abs=1e-12 * 40 * max(m) / min(m)
    )


def test_vectors_and_columns_fit_side_by_side():
    flat = stick(masses=(1.0, 3.0), velocities=([4.0, 0.0], [0.0, 4.0]), plane=True)

    assert flat.velocities_after[0].tolist() == [1.0, 3.0]
    assert flat.ledger.energy_lost == pytest.approx(12.0)
    assert flat.ledger.unaccounted == pytest.approx(0.0, abs=1e-12)


def test_three_carts_that_couple_move_as_their_centre():
    coupled = stick(masses=(1, 2, 3), velocities=(6.0, 0.0, -2.0))

    assert coupled.velocities_after == (0.0, 0.0, 0.0)
    assert coupled.ledger.energy_lost == pytest.approx(24.0)


def test_force_is_change_of_momentum_over_time():
    force = average_force(
        mass=0.5, velocity_before=np.array([2.0, -2.0]), velocity_after=-2.0,
        contact_time=0.01,
    )  # fmt: skip

    assert force.tolist() == [-200.0, 0.0]


def test_too_many_known_velocities_are_refused():
    with pytest.raises(InputError, match="2 of them, allowed 1"):
        missing_velocity(masses=(1, 2), before=(0, 0), after=(1, 2))


def test_a_contact_takes_time():
    with pytest.raises(InputError, match="contact time: read 0 s, allowed above 0 s"):
        average_force(mass=1, velocity_before=1, velocity_after=0, contact_time=0)
