import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.collisions import (
    EARTH_MASS,
    bounce_off_earth,
    collide,
    stick,
)
from strategies import any_restitution, masses, velocities

two_masses = st.tuples(masses, masses)
two_velocities = st.tuples(velocities, velocities)


def size(ms, vs):
    """The largest momentum and energy there can be, as a measure of rounding."""
    fast = max(map(abs, vs)) + 1e-3
    return max(ms) * fast, max(ms) * fast**2


@given(two_masses, two_velocities, any_restitution)
def test_momentum_is_kept_and_the_ledger_closes(ms, vs, e):
    ledger = collide(masses=ms, velocities=vs, restitution=e).ledger
    momentum, energy = size(ms, vs)

    assert ledger.total_momentum_after == pytest.approx(
        ledger.total_momentum_before, abs=1e-12 * momentum
    )
    assert ledger.unaccounted == pytest.approx(0, abs=1e-12 * energy)
    assert sum(ledger.impulse) == pytest.approx(0, abs=1e-12 * momentum)


@given(two_masses, two_velocities, any_restitution)
def test_motion_never_gains_energy(ms, vs, e):
    ledger = collide(masses=ms, velocities=vs, restitution=e).ledger

    assert ledger.energy_lost >= 0
    most = ledger.total_kinetic_before + 1e-12 * size(ms, vs)[1]
    assert ledger.total_kinetic_after <= most


@given(two_masses, two_velocities, any_restitution, velocities)
def test_a_moving_observer_sees_the_same_collision(ms, vs, e, shift):
    still = collide(masses=ms, velocities=vs, restitution=e)
    moving = collide(masses=ms, velocities=[v + shift for v in vs], restitution=e)

    for a, b in zip(still.velocities_after, moving.velocities_after, strict=True):
        assert b == pytest.approx(a + shift, abs=1e-12 * 80)
    assert moving.impulse == pytest.approx(still.impulse, abs=1e-12 * size(ms, vs)[0])


@given(two_masses, two_velocities, any_restitution)
def test_it_does_not_matter_which_body_comes_first(ms, vs, e):
    one = collide(masses=ms, velocities=vs, restitution=e)
    other = collide(masses=ms[::-1], velocities=vs[::-1], restitution=e)

    assert other.velocities_after[::-1] == pytest.approx(
        one.velocities_after, abs=1e-12 * 40
    )


@given(two_masses, two_velocities, any_restitution)
def test_speeds_of_parting_and_meeting_are_in_the_ratio_of_restitution(ms, vs, e):
    first, second = collide(masses=ms, velocities=vs, restitution=e).velocities_after

    assert second - first == pytest.approx(e * (vs[0] - vs[1]), abs=1e-12 * 40)


@given(two_masses, two_velocities, any_restitution)
def test_the_centre_of_mass_sees_speeds_change_by_the_same_factor(ms, vs, e):
    before, after = collide(masses=ms, velocities=vs, restitution=e).seen_from_centre

    for u, v in zip(before, after, strict=True):
        assert v == pytest.approx(-e * u, abs=1e-12 * 40)


@given(two_masses, two_velocities)
def test_a_higher_restitution_loses_less(ms, vs):
    lost = collide(
        masses=ms, velocities=vs, restitution=np.linspace(0, 1, 11)
    ).ledger.energy_lost

    assert np.all(np.diff(lost) <= 0)
    assert lost[-1] == 0


@given(two_masses, two_velocities)
def test_sticking_is_restitution_zero(ms, vs):
    stuck = stick(masses=ms, velocities=vs)
    lossy = collide(masses=ms, velocities=vs, restitution=0.0)

    assert stuck.velocities_after == pytest.approx(lossy.velocities_after, abs=1e-11)
    assert stuck.ledger.energy_lost == pytest.approx(
        lossy.ledger.energy_lost, rel=1e-9, abs=1e-12 * size(ms, vs)[1]
    )


@given(two_masses, two_velocities, any_restitution, st.floats(0, 1e4))
def test_energy_released_is_found_again_in_the_motion(ms, vs, e, energy):
    ledger = collide(
        masses=ms, velocities=vs, restitution=e, energy_released=energy
    ).ledger

    assert ledger.unaccounted == pytest.approx(
        0, abs=1e-11 * (size(ms, vs)[1] + energy)
    )
    assert ledger.total_momentum_after == pytest.approx(
        ledger.total_momentum_before, abs=1e-11 * (size(ms, vs)[0] + energy)
    )


def test_a_spring_parts_carts_at_rest_in_the_ratio_of_their_masses():
    apart = collide(
        masses=(1.0, 3.0), velocities=(0.0, 0.0), restitution=0.0, energy_released=6.0
    )

    assert apart.velocities_after == pytest.approx((-3.0, 1.0))


def test_parting_may_be_faster_than_meeting_only_with_energy_released():
    with pytest.raises(InputError, match="energy_released"):
        collide(masses=(1, 1), velocities=(1, 0), restitution=1.2)
    first, second = collide(
        masses=(1, 1), velocities=(1, 0), restitution=1.0, energy_released=1.0
    ).velocities_after
    assert second - first > 1


def test_columns_give_what_single_collisions_give():
    m = (np.array([0.2, 0.4]), 0.3)
    u = (2.0, np.array([-1.0, 0.5]))
    many = collide(masses=m, velocities=u, restitution=0.6)

    for at in (0, 1):
        one = collide(
            masses=(m[0][at], 0.3), velocities=(2.0, u[1][at]), restitution=0.6
        )
        assert [v[at] for v in many.velocities_after] == list(one.velocities_after)


def test_the_earth_takes_the_momentum_and_leaves_the_energy():
    bounce = bounce_off_earth(mass=0.6, impact_speed=5.0, restitution=0.8)

    assert bounce.ledger.impulse[1] == pytest.approx(0.6 * 1.8 * 5.0)
    assert bounce.velocities_after[1] == pytest.approx(0.6 * 9.0 / EARTH_MASS)
    share = bounce.ledger.kinetic_after[1] / bounce.ledger.kinetic_before[0]
    assert 0 < share < 1e-24


def test_uncertain_masses_and_speeds_pass_through():
    after = collide(
        masses=(ufloat(0.5, 0.01), 3.5),
        velocities=(ufloat(4.0, 0.1), 0.0),
        restitution=1.0,
    ).velocities_after

    # By hand: v2 = 2 m1 u1/(m1 + m2), so dv2/du1 = 1/4, dv2/dm1 = 2 u1 m2/(m1+m2)².
    assert after[1].nominal_value == pytest.approx(1.0)
    assert after[1].std_dev == pytest.approx(np.hypot(0.25 * 0.1, 28 / 16 * 0.01))


def test_results_become_json_with_units_in_the_keys():
    result = collide(masses=(ufloat(1, 0.1), 1), velocities=(1, 0), restitution=0.5)
    plain = json.loads(json.dumps(result.to_dict()))

    assert plain["velocities_after_m_per_s"] == [0.25, 0.75]
    assert plain["ledger"]["energy_lost_j"] == 0.1875
    assert "1.00±0.10; 1" in result._repr_html_()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"masses": (-0.5, 1.0)}, r"mass 1: read -0.5 kg, allowed above 0 kg"),
        ({"masses": (1.0, 0.0)}, r"mass 2: read 0 kg"),
        ({"masses": (1.0, 1.0, 1.0)}, r"3 masses and 2 velocities.*for 2 bodies"),
        ({"masses": 1.0}, r"allowed one mass a body"),
        ({"velocities": (float("nan"), 0.0)}, r"velocity 1: read nan m/s"),
        ({"velocities": (float("inf"), 0.0)}, r"velocity 1: read inf m/s"),
        ({"restitution": -0.1}, r"restitution: read -0.1, allowed from 0 up to 1"),
        ({"energy_released": -1.0}, r"energy released: read -1 J, allowed from 0 J"),
        (
            {"masses": ([1.0, 2.0], 1.0), "restitution": [0.1] * 3},
            r"shapes \(2,\), \(3,\)",
        ),
    ],
)
def test_what_cannot_collide_is_refused_with_words(change, words):
    good = {"masses": (1.0, 1.0), "velocities": (1.0, 0.0), "restitution": 0.5}

    with pytest.raises(InputError, match=words):
        collide(**{**good, **change})


def test_numbers_beyond_all_measure_are_refused_without_a_warning():
    with pytest.raises(InputError, match="too large or too small to hold"):
        collide(masses=(1.0, 1.0), velocities=(1e200, 0.0), restitution=0.5)
