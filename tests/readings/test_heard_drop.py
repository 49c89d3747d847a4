"""What the impacts of one drop say, and which of them are trusted."""

import numpy as np
import pytest

from bouncelab.errors import InputError
from bouncelab.kinds import find_ball
from bouncelab.physics.bounces import bounce_train
from bouncelab.readings.heard_drop import best_drop, read_drop
from bouncelab.readings.impacts import Impact


def impacts(e=0.75, bounces=8, u=1e-4, shift=None, **how):
    times = bounce_train(drop_height=1.5, restitution=e, bounces=bounces, **how)
    times = times.impact_times.copy()
    for place, by in (shift or {}).items():
        times[place] += by
    return [Impact(float(time), u, 9.0, 0.1) for time in times]


def test_three_impacts_say_something_and_how_little():
    drop = read_drop(impacts(bounces=3)[:3])

    assert drop.restitution == pytest.approx(0.75, abs=2 * drop.restitution_u)
    assert drop.restitution_u > read_drop(impacts()).restitution_u
    assert drop.slope is None
    assert read_drop(impacts()).slope == pytest.approx(0.0, abs=0.005)


def test_a_known_ball_is_corrected_for_and_an_unknown_one_left_open():
    ball = find_ball("basketball 7")
    heard = impacts(drag_constant=0.0219, contact_time=0.012)
    known, unknown = read_drop(heard, ball), read_drop(heard)

    assert abs(known.restitution - 0.75) < 2 * known.restitution_u
    assert abs(unknown.restitution - 0.75) < 2 * unknown.restitution_u
    assert known.restitution_u < 0.6 * unknown.restitution_u
    for each in (known, unknown):
        assert each.fit.slope_u < each.slope_u
        assert abs(each.fit.slope) < 2 * each.slope_u  # made with none
    assert known.slope_u < unknown.slope_u
    assert known.drop_height == pytest.approx(1.5, abs=2 * known.drop_height_u)


def test_one_late_impact_is_trusted_less_and_stays():
    drop = best_drop(impacts(shift={3: 0.004}))

    assert len(drop.impacts) == len(impacts())
    assert drop.u_impacts[3] == pytest.approx(0.004, rel=0.05)
    assert max(np.delete(drop.u_impacts, 3)) == pytest.approx(1e-4)
    assert drop.restitution == pytest.approx(0.75, abs=1e-3)


def test_a_stray_first_sound_is_left_out():
    heard = impacts()
    stray = Impact(heard[0].time - 0.6, 1e-4, 9.0, 0.1)
    drop = best_drop([stray, *heard])

    assert drop.impacts == tuple(each.time for each in heard)
    assert drop.rejected == ((stray.time, "breaks the law of the bounces"),)


def test_last_impacts_that_are_hardly_timed_are_left_out():
    heard = impacts()
    faint = Impact(heard[-1].time + 0.2, 3e-3, 3.0, 0.01)
    drop = best_drop([*heard, faint])

    assert drop.impacts[-1] == heard[-1].time
    assert drop.rejected == ((faint.time, "too faint"),)


def test_times_that_are_less_sure_than_said_make_e_less_sure():
    random = np.random.default_rng(2)
    ball = find_ball("basketball 7")
    exact = impacts(bounces=12, drag_constant=0.0219, contact_time=0.012)
    noisy = [
        Impact(each.time + random.normal(0, 5e-4), 1e-4, 9.0, 0.1) for each in exact
    ]
    drop, sure = best_drop(noisy, ball), best_drop(exact, ball)

    assert len(drop.impacts) == len(sure.impacts) == len(exact)
    assert drop.restitution_u**2 - sure.restitution_u**2 > sure.fit.restitution_u**2
    assert drop.restitution == pytest.approx(0.75, abs=2.5 * drop.restitution_u)


@pytest.mark.parametrize(
    "times",
    [[0, 1, 2, 3, 4], [0, 0.4, 1.2, 2.5], [0, 1.5, 1.6, 3.0, 3.1], [0, 1, 1.99, 2.96]],
    ids=["a beat", "slower and slower", "two beats", "livelier than any ball"],
)
def test_what_no_ball_does_is_no_drop(times):
    heard = [Impact(float(each), 1e-4, 9.0, 0.1) for each in times]

    assert best_drop(heard) is None


def test_a_law_that_no_ball_has_is_refused_in_words():
    heard = [Impact(each, 1e-4, 9.0, 0.1) for each in (0.0, 1.5, 1.6, 3.0)]

    with pytest.raises(InputError, match="missed"):
        read_drop(heard)
