import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.collisions import collide
from bouncelab.physics.discs import collide_discs, meet
from strategies import any_restitution, masses, velocities

some = settings(max_examples=60)
vectors = st.tuples(velocities, velocities)
radii = st.floats(0.01, 1)
spins = st.floats(-50, 50)
angles = st.floats(-np.pi, np.pi)
frictions = st.floats(0, 2)


@st.composite
def meetings(draw):
    """Two discs that are closing in along the line of their centres."""
    pair = {
        "masses": (draw(masses), draw(masses)),
        "radii": (draw(radii), draw(radii)),
        "velocities": (np.array(draw(vectors)), np.array(draw(vectors))),
        "spins": (draw(spins), draw(spins)),
        "restitution": draw(any_restitution),
        "friction": draw(frictions),
        "tangential_restitution": draw(st.floats(-1, 1)),
        "inertia_factors": (draw(st.floats(0.1, 1)), draw(st.floats(0.1, 1))),
    }
    angle = draw(angles)
    line = np.array([np.cos(angle), np.sin(angle)])
    if (pair["velocities"][0] - pair["velocities"][1]) @ line < 0:
        line = -line
    return {**pair, "line_of_centres": line}


def momentum_scale(pair):
    fast = 60.0 + 50.0 * max(pair["radii"])
    return max(pair["masses"]) * fast


def turning(pair, velocities, spins, point):
    """Angular momentum about any point, with the first centre at (3, −2)."""
    m, r, b = pair["masses"], pair["radii"], pair["inertia_factors"]
    first = np.array([3.0, -2.0])
    centres = first, first + (r[0] + r[1]) * pair["line_of_centres"]
    total = 0.0
    for k in (0, 1):
        arm = centres[k] - point
        total += m[k] * (arm[0] * velocities[k][1] - arm[1] * velocities[k][0])
        total += b[k] * m[k] * r[k] ** 2 * spins[k]
    return total


@some
@given(meetings())
def test_momentum_and_energy_are_accounted_for(pair):
    after = collide_discs(**pair)
    scale = momentum_scale(pair)

    assert after.ledger.total_momentum_after == pytest.approx(
        after.ledger.total_momentum_before, abs=1e-12 * scale
    )
    energy = scale**2 / max(pair["masses"])
    assert after.ledger.unaccounted == pytest.approx(0, abs=1e-12 * energy)


@some
@given(meetings(), vectors)
def test_angular_momentum_about_any_point_is_kept(pair, point):
    after = collide_discs(**pair)
    before = turning(pair, pair["velocities"], pair["spins"], np.array(point))
    then = turning(pair, after.velocities_after, after.spins_after, np.array(point))

    assert then == pytest.approx(before, abs=1e-12 * 60 * momentum_scale(pair))
    assert after.angular_momentum_after == pytest.approx(
        after.angular_momentum_before, abs=1e-12 * 60 * momentum_scale(pair)
    )


@some
@given(meetings())
def test_neither_restitution_nor_friction_makes_energy(pair):
    after = collide_discs(**pair)
    rounding = 1e-12 * momentum_scale(pair) ** 2 / max(pair["masses"])

    assert after.lost_along >= 0
    assert after.lost_across >= -rounding
    least = after.ledger.total_kinetic_after - rounding
    assert least <= after.ledger.total_kinetic_before


@some
@given(meetings(), vectors)
def test_a_moving_observer_sees_the_same_discs(pair, shift):
    seen = {**pair, "velocities": tuple(v + shift for v in pair["velocities"])}
    still = collide_discs(**pair)
    if abs(still.normal_impulse) < 1e-9:
        return  # grazing: rounding decides whether they close in
    moving = collide_discs(**seen)

    # Light discs gain speed from heavy ones: rounding grows with the mass ratio.
    size = 1e-12 * momentum_scale(pair) / min(pair["masses"])
    for a, b in zip(still.velocities_after, moving.velocities_after, strict=True):
        assert b == pytest.approx(a + shift, abs=size)


@some
@given(meetings())
def test_exchanging_the_labels_exchanges_the_answers(pair):
    swapped = {
        name: value[::-1] if isinstance(value, tuple) else value
        for name, value in pair.items()
    }
    swapped["line_of_centres"] = -pair["line_of_centres"]
    one, other = collide_discs(**pair), collide_discs(**swapped)

    size = 1e-12 * momentum_scale(pair) / min(pair["masses"])
    for a, b in zip(one.velocities_after, other.velocities_after[::-1], strict=True):
        assert b == pytest.approx(a, abs=size)
    assert other.normal_impulse == pytest.approx(one.normal_impulse, rel=1e-12)


@some
@given(meetings())
def test_rims_that_do_not_slide_leave_with_the_sliding_that_was_asked_for(pair):
    after = collide_discs(**{**pair, "friction": 1e9})
    t = np.array([-pair["line_of_centres"][1], pair["line_of_centres"][0]])
    r = pair["radii"]

    def sliding(v, w):
        return (v[0] - v[1]) @ t + w[0] * r[0] + w[1] * r[1]

    before = sliding(pair["velocities"], pair["spins"])
    if after.normal_impulse < 1e-6:
        return  # grazing: no grip without a push
    wanted = -pair["tangential_restitution"] * before
    assert sliding(after.velocities_after, after.spins_after) == pytest.approx(
        wanted, abs=1e-11 * momentum_scale(pair) / min(pair["masses"])
    )


@some
@given(st.tuples(masses, masses), st.tuples(velocities, velocities), any_restitution)
def test_head_on_discs_are_a_collision_on_a_line(ms, vs, e):
    line = [1.0, 0.0] if vs[0] >= vs[1] else [-1.0, 0.0]
    flat = collide_discs(
        masses=ms, radii=(0.1, 0.2), velocities=([vs[0], 0.0], [vs[1], 0.0]),
        line_of_centres=line, restitution=e, friction=0.5,
    )  # fmt: skip
    on_line = collide(masses=ms, velocities=vs, restitution=e)

    for k in (0, 1):
        assert flat.velocities_after[k][0] == pytest.approx(
            on_line.velocities_after[k], abs=1e-12 * 40
        )
        assert flat.velocities_after[k][1] == 0.0


@some
@given(st.tuples(vectors, vectors), vectors, st.tuples(radii, radii))
def test_discs_touch_at_the_moment_they_meet(positions, velocity, r):
    apart = np.hypot(*np.subtract(*positions))
    if apart <= sum(r):
        return
    meeting = meet(positions=positions, radii=r, velocities=(velocity, (0.0, 0.0)))

    if np.isfinite(meeting.time):
        assert np.hypot(*meeting.line_of_centres) == pytest.approx(sum(r), rel=1e-6)
        there = np.asarray(positions[0]) + np.asarray(velocity) * meeting.time
        assert meeting.positions[0] == pytest.approx(there)
    else:
        assert meeting.to_dict()["time_s"] is None


def test_discs_that_miss_never_meet():
    misses = meet(
        positions=([[0.0, 0.0]] * 2, [[1.0, 0.5]] * 2),
        radii=(0.1, [0.1, 0.45]),
        velocities=([1.0, 0.0], [0.0, 0.0]),
    )

    assert np.isinf(misses.time[0])
    assert 0 < misses.time[1] < 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"masses": (-1, 1)}, "mass 1: read -1 kg, allowed above 0 kg"),
        ({"masses": (1,)}, "read 1 of them, allowed one mass a body, so 2"),
        ({"radii": (0.1, 0.0)}, "radius 2: read 0 m"),
        ({"velocities": (1.0, 0.0)}, r"velocity 1: read shape \(\), allowed two"),
        ({"velocities": 3}, "one for each of two discs"),
        ({"restitution": 1.1}, "restitution: read 1.1"),
        ({"friction": -0.1}, "friction: read -0.1, allowed from 0"),
        ({"tangential_restitution": 2}, "allowed from -1 up to 1"),
        ({"line_of_centres": (0.0, 0.0)}, "length of the line of centres: read 0 m"),
        ({"line_of_centres": (-1.0, 0.0)}, "they must be closing in"),
        ({"spins": (np.nan, 0.0)}, "spin 1: read nan rad/s"),
        ({"masses": ([1, 2], [1, 2, 3])}, r"shapes \(2,\), \(3,\)"),
    ],
)
def test_what_cannot_be_two_discs_is_refused_with_words(change, words):
    good = {
        "masses": (1.0, 1.0),
        "radii": (0.1, 0.1),
        "velocities": ([1.0, 0.0], [0.0, 0.0]),
        "line_of_centres": (1.0, 0.0),
        "restitution": 0.5,
    }

    with pytest.raises(InputError, match=words):
        collide_discs(**{**good, **change})


def test_overlapping_discs_are_refused():
    with pytest.raises(InputError, match="Set the discs further apart"):
        meet(
            positions=([0.0, 0.0], [0.1, 0.0]),
            radii=(0.1, 0.1),
            velocities=([1.0, 0.0], [0.0, 0.0]),
        )
