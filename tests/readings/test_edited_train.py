"""What a person does to the impacts of a recording, and what follows from it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.kinds import find_ball
from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import impact_speed
from bouncelab.readings.edited_train import (
    BY_HAND,
    Mark,
    as_heights,
    drag_of,
    edited,
    next_place,
    reckon,
    said_at,
)

FUTSAL = find_ball("futsal ball")


def law(speed):
    return 0.60 - 0.03 * (speed / 4.0 - 1.0)


def train(count=8, air=0.0, contact=0.0):
    return bounce_train(
        drop_height=1.8,
        restitution=law,
        bounces=count - 1,
        drag_constant=air,
        contact_time=contact,
    )


def marks(times, u=1e-4):
    return [Mark(f"impact at {t:.4f} s", t, u, True, t) for t in times]


def test_times_of_a_known_law_give_its_e_at_the_second_impact():
    made = train()
    drop = reckon(marks(made.impact_times))

    assert drop.restitution == pytest.approx(float(made.restitutions[1]), abs=1e-4)
    assert drop.slope is not None
    assert drop.drop_height == pytest.approx(1.8, abs=0.002)


@settings(max_examples=25, deadline=None)
@given(shift=st.floats(0, 500), times=st.floats(1e-5, 1e-3))
def test_the_zero_of_the_clock_does_not_matter(shift, times):
    made = train().impact_times
    here, there = reckon(marks(made, times)), reckon(marks(made + shift, times))

    assert there.restitution == pytest.approx(here.restitution, abs=1e-7)


@pytest.mark.parametrize("height", [0.8, 1.8, 2.5])
def test_e_at_another_speed_is_the_law_there(height):
    drop = reckon(marks(train().impact_times))
    speed = float(impact_speed(drop_height=height))
    e, u = said_at(drop, speed)

    assert e == pytest.approx(law(speed), abs=1e-3)
    assert u > drop.restitution_u * 0.99  # never surer than where it was timed


def test_few_impacts_leave_the_change_with_speed_open():
    drop = reckon(marks(train(4).impact_times))
    speed = float(drop.fit.impact_speed)
    near, far = said_at(drop, speed), said_at(drop, 2 * speed)

    assert drop.slope is None
    assert near == pytest.approx((drop.restitution, drop.restitution_u), rel=1e-3)
    assert far[1] > near[1]
    assert abs(far[0] - law(2 * speed)) < 2 * far[1]


def test_heights_are_those_of_the_flights():
    air, contact = drag_of(FUTSAL), 0.0095
    made = train(8, air, contact)
    drop = reckon(marks(made.impact_times), FUTSAL)

    assert as_heights(drop, FUTSAL) == pytest.approx(made.heights[:2], rel=0.01)
    taped = as_heights(drop, FUTSAL, drop_height=1.8)
    assert taped == (1.8, pytest.approx(made.heights[0], rel=0.01))
    for wrong in (0.3, float("nan")):
        with pytest.raises(InputError, match="more than the first bounce"):
            as_heights(drop, FUTSAL, drop_height=wrong)


def test_the_next_impact_is_expected_where_it_comes():
    times = train().impact_times
    for count in range(3, 7):
        told = next_place(marks(times[:count]))
        assert told == pytest.approx(times[count], abs=0.006)
    assert next_place(marks(times[:2])) is None


def test_edits_move_strike_out_and_add_and_leave_the_rest():
    found = marks([0.5, 1.1, 1.5])
    edits = {
        "impact at 1.1000 s, moved to": "1.1050 s",
        "impact at 0.5000 s, counts": "no",
        "drop 1, added impact 1, placed at": "1.8000 s",
        "impact at 1.5000 s, moved to": "",  # undone
        "something else": "1.0 s",
    }
    made = edited(found, edits)

    assert [each.time for each in made] == [0.5, 1.105, 1.5, 1.8]
    assert [each.counts for each in made] == [False, True, True, True]
    assert [each.by_hand for each in made] == [False, True, False, True]
    assert made[1].u == made[3].u == BY_HAND
    assert made[2] == found[2]


def test_an_edit_finds_its_impact_should_it_be_heard_a_little_elsewhere_now():
    found = marks([0.5012])
    assert not edited(found, {"impact at 0.5000 s, counts": "no"})[0].counts
    assert edited(found, {"impact at 0.4000 s, counts": "no"})[0].counts


@pytest.mark.parametrize("times", [[], [1.0], [1.0, 2.0]])
def test_fewer_than_three_impacts_are_refused(times):
    with pytest.raises(InputError, match="three or more"):
        reckon(marks(times))


@pytest.mark.parametrize("times", [[0, 1, 2, 3, 4], [0, 0.4, 1.2], [0, 1.5, 1.6, 3.0]])
def test_what_is_no_train_of_bounces_is_refused_in_words(times):
    with pytest.raises(InputError, match="missed"):
        reckon(marks(np.array(times, float)))


def test_e_at_another_speed_is_as_unsure_as_its_change_with_speed():
    train = bounce_train(drop_height=1.5, restitution=0.75, bounces=7)
    drop = reckon([Mark(str(t), t, 1e-4, True) for t in train.impact_times])
    speed = float(drop.fit.impact_speed)
    at = said_at(drop, speed)[1]
    twice = said_at(replace(drop, slope_u=0.05), 2 * speed)[1]
    assert at == pytest.approx(drop.restitution_u)
    assert twice > 0.05 > said_at(replace(drop, slope_u=0.0), 2 * speed)[1]
