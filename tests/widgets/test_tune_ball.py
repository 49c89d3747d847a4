import pytest

from bouncelab.errors import InputError
from bouncelab.places import kit_folder
from bouncelab.widgets.lessons.tune_ball import TuneBall

CLASS = kit_folder("data") / "larkfield_class.csv"


def test_the_ball_with_most_pressures_comes_first(tmp_path):
    lesson = TuneBall(CLASS, tmp_path)

    assert lesson.stage.values["pair"].startswith("Futsal ball|")
    assert "Add 0.65 g of air" in lesson.stage.scene["told"]
    assert "0.250 at 30.0 kPa" in lesson.stage.picture["words"]


def test_another_pair_brings_another_curve(tmp_path):
    lesson = TuneBall(CLASS, tmp_path)
    lesson.stage.set(pair="Basketball size 7|basketball-us-canada-1937", now=70)

    assert (
        "Stop" in lesson.stage.scene["told"] or "Let out" in lesson.stage.scene["told"]
    )
    assert "Basketball size 7" in lesson.stage.picture["words"]


def test_a_class_without_pressures_is_told_what_to_fill_in(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text("ball,drop (cm),rebound (cm)\nFutsal A,200,61\n", encoding="utf-8")

    with pytest.raises(InputError, match="Fill in the column “gauge pressure"):
        TuneBall(path, tmp_path)


def test_what_is_said_of_air_is_only_of_the_pressure_on_the_slider(tmp_path):
    scene = TuneBall(CLASS, tmp_path).stage.scene

    assert "Add 0.65 g of air" in scene["told"]
    assert "Let out" not in str(scene)
