"""The picture of a recording, and its words."""

import numpy as np
import pytest

from bouncelab.figures.recording import draw_recording
from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.timing import fit_impact_times
from bouncelab.readings.impacts import Impact
from bouncelab.readings.sound import Heard, HeardDrop


def drop(start):
    train = bounce_train(drop_height=1.0, restitution=0.75, bounces=6)
    times = tuple(float(each) + start for each in train.impact_times)
    fit = fit_impact_times(times, time_uncertainty=1e-4)
    return HeardDrop(
        impacts=times,
        u_impacts=(1e-4,) * len(times),
        restitution=0.75,
        restitution_u=0.002,
        slope=0.0,
        drop_height=1.0,
        drop_height_u=0.01,
        rejected=(),
        fit=fit,
    )


def heard(*starts, seconds=4.0, others=()):
    drops = tuple(drop(each) for each in starts)
    times = sorted([*others, *(time for each in drops for time in each.impacts)])
    impacts = tuple(Impact(time, 1e-4, 15.0, 0.3) for time in times)
    outline = np.full(round(100 * seconds), 0.1)
    why = "" if drops else "No bounces heard: the recording is silent."
    return Heard(drops, why, seconds, impacts, outline)


def marks(axes):
    return {line.get_label(): line for line in axes.lines}


def test_every_impact_is_marked_at_its_time():
    found = heard(0.1, others=(0.2, 3.5))
    lines = marks(draw_recording(found).figure.axes[0])
    np.testing.assert_allclose(
        lines["impacts of drop 1"].get_xdata(), found.drops[0].impacts
    )
    assert list(lines["other sudden sounds"].get_xdata()) == [0.2, 3.5]


def test_drops_differ_in_shape_as_well_as_in_colour():
    axes = draw_recording(heard(0.1, 5.0, 10.0, seconds=15.0)).figure.axes[0]
    lines = [marks(axes)[f"impacts of drop {k}"] for k in (1, 2, 3)]
    assert len({line.get_marker() for line in lines}) == 3
    assert len({line.get_color() for line in lines}) == 3


@pytest.mark.parametrize(
    ("starts", "seconds", "rows"),
    [((), 4.0, 1), ((0.1,), 4.0, 1), ((0.1,), 30.0, 2), ((1.0, 6.0), 12.0, 3)],
)
def test_drops_are_drawn_larger_where_the_whole_is_too_long(starts, seconds, rows):
    assert len(draw_recording(heard(*starts, seconds=seconds)).figure.axes) == rows


def test_an_hour_with_many_drops_is_drawn_in_few_points():
    found = heard(*(60.0 * k for k in range(1, 40)), seconds=3600.0)
    picture = draw_recording(found)
    assert len(picture.figure.axes) == 7
    assert len(picture.svg()) < 1_000_000
    assert "Drop 39: 6 impacts" in picture.words


def test_the_words_give_the_same_numbers():
    words = draw_recording(heard(0.1, others=(3.5,))).words
    assert words == (
        "A recording of 4.0 s. Drop 1: 6 impacts from 0.55 s to 2.62 s, the gaps "
        "between them shrinking from 0.68 s to 0.21 s. 1 other sudden sound, crossed, "
        "belongs to no drop."
    )


def test_a_recording_without_a_drop_says_why():
    picture = draw_recording(heard())
    assert picture.words.endswith("No bounces heard: the recording is silent.")


def test_a_loud_part_stands_where_it_was_heard():
    found = heard(seconds=50.0)
    found.outline[2000:2010] = 0.9  # from 20.0 s to 20.1 s
    (shape,) = draw_recording(found).figure.axes[0].collections
    corners = shape.get_paths()[0].vertices
    assert corners[np.argmax(corners[:, 1]), 0] == pytest.approx(20.05, abs=0.07)
