import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.bounces import (
    bounce_train,
    restitution_by_speed,
    total_path,
    total_time,
)
from bouncelab.physics.restitution import restitution_with_drag
from strategies import drag_constants, drop_heights, restitutions

livelier = restitution_by_speed(restitution=0.75, slope=0.06, speed=4.0)


@settings(max_examples=25, deadline=None)  # hundreds of bounces each
@given(drop_heights, st.floats(0.05, 0.9))
def test_the_intervals_of_a_train_add_up_to_the_closed_total(drop, e):
    # So many bounces that what is left is below the last digit.
    n = min(int(np.ceil(np.log(1e-17) / np.log(e))), 1000)
    train = bounce_train(drop_height=drop, restitution=e, bounces=n)

    assert train.impact_times[-1] == pytest.approx(
        total_time(drop_height=drop, restitution=e), rel=1e-12
    )
    assert drop + 2 * train.heights.sum() == pytest.approx(
        total_path(drop_height=drop, restitution=e), rel=1e-12
    )


@given(drop_heights, restitutions)
def test_rebounds_shrink_by_the_square_of_restitution(drop, e):
    train = bounce_train(drop_height=drop, restitution=e, bounces=5)

    expected = drop * e ** (2 * np.arange(1, 6))
    assert train.heights == pytest.approx(expected, rel=1e-12)


@given(drop_heights, st.floats(0.05, 0.999), drag_constants)
def test_every_pair_of_heights_gives_the_restitution_back(drop, e, k):
    train = bounce_train(drop_height=drop, restitution=e, bounces=4, drag_constant=k)
    heights = np.concatenate([[drop], train.heights])

    found = restitution_with_drag(
        drop_height=heights[:-1], rebound_height=heights[1:], drag_constant=k
    )
    assert found == pytest.approx(train.restitutions, rel=1e-11)


def test_restitution_may_follow_the_speed():
    train = bounce_train(drop_height=1.5, restitution=livelier, bounces=6)

    assert train.restitutions == pytest.approx(
        0.75 - 0.06 * (train.impact_speeds / 4 - 1)
    )
    assert np.all(np.diff(train.restitutions) > 0)


def test_contact_only_delays():
    quick = bounce_train(drop_height=1.5, restitution=0.7, bounces=5)
    slow = bounce_train(drop_height=1.5, restitution=0.7, bounces=5, contact_time=0.01)

    assert slow.impact_times - quick.impact_times == pytest.approx(
        0.01 * np.arange(5), abs=1e-14
    )


def test_many_trains_at_once_are_as_one_by_one():
    drops, ks = np.array([1.0, 2.0]), np.array([0.02, 0.13])
    both = bounce_train(
        drop_height=drops, restitution=livelier, bounces=4, drag_constant=ks
    )
    assert both.impact_times.shape == (2, 4)
    for i in range(2):
        one = bounce_train(
            drop_height=drops[i], restitution=livelier, bounces=4, drag_constant=ks[i]
        )
        assert both.impact_times[i] == pytest.approx(one.impact_times, rel=1e-14)


def test_a_dead_ball_stays_and_nothing_runs_for_ever():
    train = bounce_train(
        drop_height=1.0, restitution=0.0, bounces=2000, contact_time=0.01
    )

    assert train.heights.max() == 0
    assert train.impact_times[0] == train.impact_times[-1]


@pytest.mark.parametrize("k", [0.0, 0.13])
def test_the_path_passes_the_heights_and_the_floor(k):
    train = bounce_train(
        drop_height=1.0, restitution=0.8, bounces=3, drag_constant=k, contact_time=0.01
    )
    times, heights = train.path(points=2001)

    assert times.size == heights.size == 4 * 2001
    assert np.all(np.diff(times) >= 0)
    assert heights[0] == 1.0
    assert heights[2000::2001] == pytest.approx([0] * 4, abs=1e-12)
    for i, top in enumerate(train.heights, start=1):
        flight = heights[i * 2001 : (i + 1) * 2001]
        assert flight.max() == pytest.approx(top, rel=1e-5)
        assert times[i * 2001] == pytest.approx(train.impact_times[i - 1] + 0.01)


def test_a_train_gives_plain_values():
    found = bounce_train(drop_height=1.0, restitution=0.5, bounces=2).to_dict()

    assert found["heights_m"] == pytest.approx([0.25, 0.0625])
    assert found["drop_height_m"] == 1.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: bounce_train(drop_height=1, restitution=0.5, bounces=0),
            "number of bounces: read 0, allowed a whole number from 1 to 10000",
        ),
        (
            lambda: bounce_train(drop_height=1, restitution=0.5, bounces=2.5),
            "number of bounces: read 2.5",
        ),
        (
            lambda: bounce_train(drop_height=1, restitution=lambda v: 1.5, bounces=2),
            "coefficient of restitution: read 1.5, allowed from 0 up to 1",
        ),
        (
            lambda: bounce_train(drop_height=0, restitution=0.5, bounces=2),
            "drop height: read 0 m",
        ),
        (
            lambda: bounce_train(drop_height=[1, 2], restitution=[0.5] * 3, bounces=2),
            "read shapes",
        ),
        (
            lambda: total_time(drop_height=1, restitution=1),
            "read 1, allowed from 0 below 1. With 1 the ball would never",
        ),
        (lambda: total_path(drop_height=1, restitution=1), "never come to rest"),
        (
            lambda: bounce_train(drop_height=[1, 2], restitution=0.5, bounces=2).path(),
            "path of a train: .* one train",
        ),
        (
            lambda: restitution_by_speed(restitution=0.5, slope=0.1, speed=0),
            "speed: read 0 m/s",
        ),
    ],
)
def test_trains_that_cannot_be_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
