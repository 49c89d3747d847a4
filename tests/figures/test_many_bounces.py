import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.figures.bounce_path import bounces_of, follow_bounces
from bouncelab.figures.many_bounces import many_bounces_scene
from bouncelab.figures.rebound_heights import draw_rebound_heights, restitutions_read
from bouncelab.physics.bounces import total_time
from bouncelab.physics.energy import bounce_energy
from bouncelab.units import STANDARD_GRAVITY

USUAL = {"ball": "basketball-7", "height": 180, "restitution": 0.8, "air": "air"}
asked = st.fixed_dictionaries(
    {
        "ball": st.sampled_from(["basketball-7", "tennis", "table-tennis"]),
        "height": st.integers(20, 250),
        "restitution": st.floats(0, 0.95),
        "air": st.sampled_from(["air", "none"]),
    }
)


def shown(scene, label):
    (reading,) = [r for r in scene.readings if r.label == label]
    return reading.values


def numbers(scene, label):
    return np.array([float(text.split()[0]) for text in shown(scene, label)])


@given(asked)
@settings(max_examples=25, deadline=None)
def test_energy_is_somewhere_at_every_moment(values):
    path = follow_bounces(values)
    parts = (path.of_height, path.of_motion, path.to_floor, path.to_air)

    assert sum(parts) == pytest.approx(path.start, rel=1e-12)
    assert min(part.min() for part in parts) >= 0
    # What air and floor have got they do not give back.
    assert np.diff(path.to_floor).min() >= 0
    assert np.diff(path.to_air).min() >= -1e-9 * path.start
    if values["air"] == "none":
        assert path.to_air.max() <= 1e-12 * path.start


def test_the_first_bounce_loses_what_the_library_says():
    path, train = follow_bounces(USUAL), bounces_of(USUAL)
    mass = path.start / (train.gravity * train.drop_height)
    books = bounce_energy(
        mass=mass,
        drop_height=1.8,
        rebound_height=train.heights[0],
        impact_speed=train.impact_speeds[0],
        rebound_speed=train.launch_speeds[0],
        gravity=train.gravity,
    )
    after = np.flatnonzero(path.passed == 1)

    assert path.to_floor[after] == pytest.approx(books.lost_in_impact)
    assert path.to_air[after[0] - 1] <= books.lost_falling
    assert path.to_air[after[0]] >= books.lost_falling
    assert path.start == pytest.approx(0.625 * STANDARD_GRAVITY * 1.8)


@given(asked)
@settings(max_examples=15, deadline=None)
def test_the_numbers_beside_the_drawing_are_the_librarys(values):
    scene, path = many_bounces_scene(values), follow_bounces(values)

    assert numbers(scene, "height") == pytest.approx(100 * path.heights, abs=0.051)
    assert numbers(scene, "speed") == pytest.approx(path.speeds, abs=0.0051)
    assert numbers(scene, "bounces so far").tolist() == path.passed.tolist()
    share = [float(text.split()[2]) for text in shown(scene, "given to the air")]
    assert share == pytest.approx(100 * path.to_air / path.start, abs=0.51)
    assert "nan" not in json.dumps(scene.to_dict())


def test_the_ball_is_drawn_as_high_as_it_is():
    scene, path = many_bounces_scene(USUAL), follow_bounces(USUAL)
    (ball,) = [s for s in scene.shapes if s.fixed.get("class") == "bl-one"]
    drawn = np.array(ball.moving["cy"])

    assert (drawn[0], drawn.max()) == (26.0, pytest.approx(180.0, abs=2))
    high = (180.0 - drawn) / (180.0 - drawn[0])
    assert high == pytest.approx(path.heights / 1.8, abs=1e-4)


def test_bars_are_as_long_as_their_share():
    scene, path = many_bounces_scene(USUAL), follow_bounces(USUAL)
    (bar,) = [s for s in scene.shapes if s.fixed.get("class") == "bl-bar-lost"]
    expected = 330 * path.to_floor / path.start

    assert bar.moving["width"] == pytest.approx(expected, abs=0.01)


def test_a_dead_ball_had_energy_until_it_struck():
    scene = many_bounces_scene({**USUAL, "restitution": 0})

    assert "the energy that it brought there went at once" in scene.told
    assert "1 bounce in" in scene.words
    assert numbers(scene, "energy of motion").max() > 10
    assert numbers(scene, "given to ball and floor")[-1] > 10


def test_without_air_the_whole_time_is_told():
    scene = many_bounces_scene({**USUAL, "air": "none"})
    rests = total_time(drop_height=1.8, restitution=0.8)

    assert shown(scene, "at rest after") == [f"{rests:.2f} s"]


@pytest.mark.parametrize("own", [(1.1,), (1.1, 0.68, 0.42), (2.2, 0.0), (0.5,) * 12])
def test_heights_read_are_drawn_at_their_height(own):
    scene = many_bounces_scene({**USUAL, "own": own})
    squares = [s for s in scene.shapes if s.fixed.get("class") == "bl-two"]
    tall = max(1.8, *own)

    middles = [(180 - s.fixed["y"] - 3.5) / (180 - 26) * tall for s in squares]
    assert middles == pytest.approx(own[:11], abs=0.001)
    assert "the heights that you read" in scene.words


def test_the_plot_shows_prediction_and_heights_read():
    picture = draw_rebound_heights({**USUAL, "own": (1.1, 0.68)})
    free, real, own = picture.figure.axes[0].get_lines()
    heights = bounces_of(USUAL).heights

    assert own.get_ydata() == pytest.approx([110, 68])
    assert real.get_ydata()[1:] == pytest.approx(100 * heights[:8])
    assert free.get_ydata()[:3] == pytest.approx([180, 180 * 0.64, 180 * 0.64**2])
    above = 110 - 100 * heights[0]
    assert f"110.0 cm ({above:.1f} above)" in picture.words


@given(asked.filter(lambda values: values["restitution"] > 0.1))
@settings(max_examples=15, deadline=None)
def test_heights_of_the_prediction_give_its_restitution_back(values):
    own = bounces_of(values).heights[:4]

    assert restitutions_read(values, own) == pytest.approx(values["restitution"])


@pytest.mark.parametrize(
    ("own", "words"),
    [
        ((1.9,), "height 1: read 190.0 cm, allowed up to 180.0 cm"),
        ((1.1, 1.2), "height 2: read 120.0 cm, allowed up to 110.0 cm"),
    ],
)
def test_a_bounce_above_its_fall_is_answered_in_words(own, words):
    with pytest.raises(InputError, match=words):
        restitutions_read(USUAL, own)
    assert words in draw_rebound_heights({**USUAL, "own": own}).words


def test_after_a_height_of_zero_no_restitution_is_told():
    assert restitutions_read(USUAL, (0.0, 0.0)).tolist() == [0.0]
