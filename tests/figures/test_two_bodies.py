import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.figures.scene import Scene, circle
from bouncelab.figures.two_bodies import two_bodies_scene
from bouncelab.physics.collisions import collide

USUAL = {
    "mass_one": 1.0,
    "mass_two": 3.0,
    "speed_one": 2.0,
    "speed_two": 0.0,
    "restitution": 0.5,
    "released": 0.0,
    "seen": "floor",
}


def numbers(scene, label):
    (reading,) = [r for r in scene.readings if r.label == label]
    return [float(text.split()[0].replace("−", "-")) for text in reading.values]


@given(
    st.floats(0.1, 8),
    st.floats(0.1, 8),
    st.floats(0.1, 3),
    st.floats(-3, 0),
    st.floats(0, 1),
    st.floats(0, 5),
)
def test_the_numbers_beside_the_drawing_are_the_librarys(m1, m2, u1, u2, e, energy):
    asked = [m1, m2, u1, u2, e, energy, "floor"]
    scene = two_bodies_scene(dict(zip(USUAL, asked, strict=True)))
    met = collide(
        masses=(m1, m2), velocities=(u1, u2), restitution=e, energy_released=energy
    )

    for side, name in enumerate(("left", "right")):
        shown = numbers(scene, f"velocity, {name}")
        assert shown[0] == pytest.approx(met.velocities_before[side], abs=0.0051)
        assert shown[-1] == pytest.approx(met.velocities_after[side], abs=0.0051)


def test_the_bodies_move_as_fast_as_the_numbers_say():
    scene = two_bodies_scene(USUAL)
    one = next(s for s in scene.shapes if s.fixed.get("class") == "bl-one")
    moved = np.diff(one.moving["x"])

    # 2 s in 120 steps; before and after differ by the ratio of the velocities.
    assert moved[-1] / moved[0] == pytest.approx(-0.25 / 2.0, abs=0.01)


def test_seen_from_the_centre_of_mass_momentum_is_none():
    scene = two_bodies_scene({**USUAL, "seen": "centre"})
    both = np.add(numbers(scene, "momentum, left"), numbers(scene, "momentum, right"))

    assert both == pytest.approx(0, abs=0.011)
    assert numbers(scene, "velocity of the centre of mass") == [0.0]


def test_bodies_that_do_not_meet_are_said_so():
    scene = two_bodies_scene({**USUAL, "speed_one": -1.0, "speed_two": 1.0})

    assert "do not meet" in scene.told
    assert "do not meet" in scene.words
    assert numbers(scene, "velocity, left")[-1] == -1.0


def test_a_spring_is_said_where_energy_grows():
    scene = two_bodies_scene({**USUAL, "released": 3.0})

    assert "energy of motion 2.00 and 3.88 J" in scene.told


def test_a_shape_with_too_few_frames_is_refused():
    shape = circle("bl-ball", x=[1, 2, 3], y=0, radius=1)

    with pytest.raises(InputError, match="one value for each moment"):
        Scene(times=["0 s", "1 s"], shapes=[shape], readings=[], words="")


def test_an_arrow_points_where_its_body_goes():
    scene = two_bodies_scene(USUAL)
    shaft, head = (s for s in scene.shapes if s.fixed.get("class") == "bl-arrow")

    # +2 m/s and -0.25 m/s, 30 drawing units for 1 m/s; the head turns with it.
    for frame, length in ((0, 60.0), (-1, -7.5)):
        start, drawn = shaft.moving["d"][frame].removeprefix("M").split("h")
        back, tip, _ = head.moving["d"][frame].removeprefix("M").split("L")
        assert float(drawn) == length
        assert float(tip.split()[0]) == pytest.approx(
            float(start.split()[0]) + length, abs=0.11
        )
        assert (float(tip.split()[0]) > float(back.split()[0])) == (length > 0)


def test_a_body_at_rest_has_no_arrow():
    scene = two_bodies_scene(USUAL)
    arrow = next(s for s in scene.shapes if s.fixed.get("class") == "bl-arrow-two")

    assert "h" not in arrow.moving["d"][0]


def test_names_and_arrows_of_two_bodies_that_touch_are_apart():
    asked = {"mass_one": 0.1, "mass_two": 8.0, "speed_one": 3.0, "speed_two": -3.0}
    scene = two_bodies_scene({**USUAL, **asked})
    meeting = scene.times.index("0 ms")
    bodies = [s for s in scene.shapes if s.tag == "rect" and "y" in s.fixed][:2]
    names = [s for s in scene.shapes if s.text.endswith(" kg")]
    arrows = [s for s in scene.shapes if "bl-arrow" in str(s.fixed.get("class"))]

    highest = min(body.fixed["y"] for body in bodies)
    assert all(name.fixed["y"] < highest - 20 for name in names)
    assert [name.fixed["text-anchor"] for name in names] == ["end", "start"]
    left, right = (name.moving["x"][meeting] for name in names)
    assert left <= right + 0.01
    levels = {
        float(arrow.moving["d"][0].split("h")[0].split()[1]) for arrow in arrows[::2]
    }
    assert len(levels) == 2
    assert max(levels) < highest
