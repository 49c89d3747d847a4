import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.figures.wiggle import wiggle, wiggle_scene
from bouncelab.physics.certainty import sensitivities

USUAL = {"drop": 100, "rebound": 64, "drop_doubt": 0.5, "rebound_doubt": 2, "tape": 0}


def numbers(scene, label):
    (reading,) = [r for r in scene.readings if r.label == label]
    return np.array([float(text.split()[0]) for text in reading.values])


@given(st.floats(0, 3), st.floats(0.5, 5))
@settings(max_examples=25, deadline=None)
def test_readings_scatter_as_the_formula_says(drop_doubt, rebound_doubt):
    values = {"drop_doubt": drop_doubt, "rebound_doubt": rebound_doubt}
    found = wiggle({**USUAL, **values})

    # The standard deviation of 120 readings is itself good to 7 %.
    spread = found.restitutions.std(ddof=1)
    assert spread == pytest.approx(found.standard, rel=0.2)
    assert abs(found.drops - 1).max() <= drop_doubt / 100 + 1e-7
    assert abs(found.rebounds - 0.64).max() <= rebound_doubt / 100 + 1e-7


def test_a_tape_that_is_off_moves_all_readings_alike():
    still, moved = wiggle(USUAL), wiggle({**USUAL, "tape": 1})
    slope = sensitivities(drop_height=1.0, rebound_height=0.64).offset

    assert moved.shift == pytest.approx(0.01 * slope, rel=0.02)
    assert moved.drops - still.drops == pytest.approx(0.01)
    by = moved.restitutions - still.restitutions
    assert by == pytest.approx(moved.shift, rel=0.1)
    assert "more readings do not help" in wiggle_scene({**USUAL, "tape": 1}).told
    assert "more readings" not in wiggle_scene(USUAL).told


def test_the_numbers_beside_the_drawing_are_of_the_readings_so_far():
    scene, found = wiggle_scene(USUAL), wiggle(USUAL)
    e = found.restitutions

    assert numbers(scene, "e from this reading") == pytest.approx(e, abs=0.000051)
    assert numbers(scene, "mean of e so far")[9] == pytest.approx(
        e[:10].mean(), abs=0.000051
    )
    (spread,) = [r for r in scene.readings if r.label == "spread of e so far"]
    assert spread.values[0] == "–"
    assert float(spread.values[9]) == pytest.approx(e[:10].std(ddof=1), abs=0.000051)


def test_bars_count_every_reading():
    scene, found = wiggle_scene(USUAL), wiggle(USUAL)
    bars = [s for s in scene.shapes if s.fixed.get("class") == "bl-bar-kept"]
    tall = np.array([bar.moving["height"] for bar in bars])

    one = tall[tall > 0].min()
    assert tall.sum(axis=0) / one == pytest.approx(np.arange(1, 121), rel=0.01)
    # The bar in which the first reading falls: half of the scale is 0.02.
    left = 230 + 380 * (found.restitutions[0] - found.true + 0.02) / 0.04
    (first,) = [b for b, high in zip(bars, tall, strict=True) if high[0] > 0]
    assert first.fixed["x"] <= left <= first.fixed["x"] + 19


@pytest.mark.parametrize(
    "values", [{"rebound": 99}, {"rebound": 2}, {"rebound": 4, "tape": -3}]
)
def test_readings_that_could_not_be_are_refused_in_words(values):
    with pytest.raises(InputError, match="make the errors smaller"):
        wiggle({**USUAL, **values})
