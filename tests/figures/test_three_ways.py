import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.figures.bounce_path import bounces_of, follow_bounces
from bouncelab.figures.drop_and_rebound import draw_drop_and_rebound
from bouncelab.figures.three_ways import PLACES, three_ways, three_ways_scene
from bouncelab.physics.rebounds import rebound_height

USUAL = {"ball": "futsal", "height": 180, "restitution": 0.8, "air": "air"}
asked = st.fixed_dictionaries(
    {
        "ball": st.sampled_from(["futsal", "tennis", "table-tennis"]),
        "height": st.integers(50, 250),
        "restitution": st.floats(0.3, 0.95),
        "air": st.sampled_from(sorted(PLACES)),
    }
)


@given(asked)
@settings(max_examples=25, deadline=None)
def test_all_ways_agree_where_there_is_no_air(values):
    found, e = three_ways(follow_bounces(values, most=2)), values["restitution"]

    assert (found.speeds, found.corrected) == pytest.approx((e, e))
    if values["air"] == "air":
        assert found.heights < e
        assert found.times < e
    else:
        assert (found.heights, found.times) == pytest.approx((e, e))


@given(asked)
@settings(max_examples=15, deadline=None)
def test_the_numbers_beside_the_drawing_are_the_librarys(values):
    scene, train = three_ways_scene(values), bounces_of(values)
    said = {r.label: float(r.values[0].split()[0]) for r in scene.readings}
    flights = np.diff(train.impact_times[:3])

    assert said["rebound height h₂"] == pytest.approx(100 * train.heights[0], abs=0.051)
    assert said["impact speed v"] == pytest.approx(train.impact_speeds[0], abs=0.0051)
    assert said["rebound speed w"] == pytest.approx(train.launch_speeds[0], abs=0.0051)
    assert said["first flight T₁"] == pytest.approx(flights[0], abs=0.00051)
    assert said["second flight T₂"] == pytest.approx(flights[1], abs=0.00051)
    assert said["e from speeds, w / v"] == pytest.approx(
        values["restitution"], abs=0.00051
    )


def test_the_drawing_is_to_scale():
    scene, train = three_ways_scene(USUAL), bounces_of(USUAL)
    down, up = (
        next(s.fixed for s in scene.shapes if s.fixed["class"] == look)
        for look in ("bl-arrow", "bl-arrow-two")
    )
    (ball,) = [s for s in scene.shapes if s.fixed["class"] == "bl-one"]
    long = [mark["y1"] - mark["y2"] for mark in (down, up)]

    assert long[1] / long[0] == pytest.approx(0.8, abs=0.001)
    assert ball.moving["cy"][0] == 30.0
    top = np.array(ball.moving["cy"])[len(ball.moving["cy"]) // 3 :].min()
    assert (200 - top) / 170 == pytest.approx(train.heights[0] / 1.8, abs=0.002)


def test_the_moon_changes_times_and_speeds_but_not_e():
    here, there = (
        three_ways_scene({**USUAL, "air": place}) for place in ("none", "moon")
    )

    assert here.told == there.told
    assert here.seconds < there.seconds / 2


@pytest.mark.parametrize("air", sorted(PLACES))
def test_the_plot_shows_the_librarys_rebounds(air):
    values = {**USUAL, "air": air, "own": (1.8, 1.1)}
    lines = draw_drop_and_rebound(values).figure.axes[0].get_lines()
    train = bounces_of(values)
    drops = lines[-3].get_xdata() / 100
    rebounds = rebound_height(
        drop_height=drops, restitution=0.8, drag_constant=train.drag_constant
    )

    assert len(lines) == (4 if air == "air" else 3)
    assert lines[-3].get_ydata() == pytest.approx(100 * rebounds)
    assert lines[-2].get_ydata() == pytest.approx([100 * train.heights[0]])
    assert (lines[-1].get_xdata(), lines[-1].get_ydata()) == (
        [180.0],
        pytest.approx([110]),
    )


def test_the_plot_says_that_air_takes_more_of_a_long_way():
    in_air = draw_drop_and_rebound(USUAL).words
    without = draw_drop_and_rebound({**USUAL, "air": "none"}).words

    assert "the air takes more of a long way" in in_air
    assert "0.640 of the drop height, from each height" in without
