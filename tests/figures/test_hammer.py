import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.figures.hammer import METALS, hammer_scene
from bouncelab.physics.energy import impact_warming

USUAL = {
    "hammer": 1,
    "speed": 5,
    "blows": 20,
    "restitution": 0,
    "metal": "lead",
    "piece": 100,
    "share": 100,
}


def numbers(scene, label):
    (reading,) = [r for r in scene.readings if r.label == label]
    return np.array([float(text.split()[0]) for text in reading.values])


@given(
    st.fixed_dictionaries(
        {
            "hammer": st.floats(0.2, 1.5),
            "speed": st.floats(1, 6),
            "blows": st.integers(1, 30),
            "restitution": st.floats(0, 0.8),
            "metal": st.sampled_from(sorted(METALS)),
            "piece": st.integers(50, 500),
            "share": st.floats(0, 100),
        }
    )
)
def test_the_thermometer_shows_what_the_library_says(values):
    scene = hammer_scene(values)
    rise = impact_warming(
        mass=values["hammer"],
        impact_speed=values["speed"],
        restitution=values["restitution"],
        warmed_mass=values["piece"] / 1000,
        specific_heat=METALS[values["metal"]],
        share=values["share"] / 100,
        impacts=np.arange(values["blows"] + 1),
    )
    shown = numbers(scene, "warmer by at most")

    assert shown[[0, -1]] == pytest.approx(rise[[0, -1]], abs=0.051)
    assert (np.diff(shown) >= 0).all()
    bar = next(s for s in scene.shapes if s.fixed.get("class") == "bl-bar-lost")
    long = np.array(bar.moving["height"])
    assert long.max() <= 171
    share = np.array(numbers(scene, "blows so far")) / values["blows"]
    assert long == pytest.approx(long[-1] * share, abs=0.011)


def test_twenty_blows_warm_lead_as_worked_out_by_hand():
    # 20 x 12.5 J in 0.1 kg of 129 J/(kg K).
    scene = hammer_scene(USUAL)

    assert numbers(scene, "warmer by at most")[-1] == pytest.approx(19.4)
    assert "After 20 blows 250.0 J have left the motion" in scene.told


def test_the_hammer_is_down_when_a_blow_is_counted():
    scene = hammer_scene(USUAL)
    (head,) = [s for s in scene.shapes if s.fixed.get("class") == "bl-one"]
    struck = np.flatnonzero(np.diff(numbers(scene, "blows so far"))) + 1
    height = np.array(head.moving["y"])

    assert len(struck) == 20
    assert height[struck] == pytest.approx(height.max())


def test_one_blow_is_one_blow():
    assert "After 1 blow " in hammer_scene({**USUAL, "blows": 1}).told
