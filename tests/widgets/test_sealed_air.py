import pytest

from bouncelab.figures.pumping import pumping_scene
from bouncelab.figures.squeeze import squeeze_scene
from bouncelab.figures.store_and_hall import store_and_hall_scene
from bouncelab.physics.ball_air import sealed_pressure
from bouncelab.widgets.lessons.sealed_air import SealedAir


@pytest.fixture
def lesson(tmp_path):
    return SealedAir(tmp_path / "readings")


def write(lesson, **answers):
    for name, text in answers.items():
        field = "answer-" + name.replace("_", "-")
        lesson.answers.take({"do": "setup", "field": field, "text": text})


@pytest.mark.parametrize(
    ("stage", "build"),
    [
        ("squeezing", squeeze_scene),
        ("pumping", pumping_scene),
        ("carrying", store_and_hall_scene),
    ],
)
def test_every_control_reaches_its_scene_at_both_ends(lesson, stage, build):
    stage = getattr(lesson, stage)
    for control in stage.controls:
        ends = (
            [option[0] for option in control["options"]]
            if control["kind"] == "choice"
            else [control["least"], control["most"]]
        )
        for end in ends:
            stage.set(**{control["name"]: end})
            assert stage.values[control["name"]] == end
            assert stage.scene == build(stage.values).to_dict()


def test_the_plot_follows_the_syringe(lesson):
    before = dict(lesson.squeezing.picture)
    lesson.squeezing.set(way="wait")

    assert lesson.squeezing.picture != before
    assert "The paths enclose" in lesson.squeezing.picture["words"]


def test_a_ball_of_the_class_is_laid_beside_the_law(lesson):
    write(lesson, cold="5", cold_gauge="50", warm="77 °F")
    law = sealed_pressure(gauge_pressure=50e3, temperature_c=5, new_temperature_c=25)
    said = f"By the law the gauge shows {law / 1e3:.1f} kPa in the warm place."
    assert lesson.readings.state["answer"] == said

    write(lesson, warm_gauge="0,6 bar")
    apart = f" You read {law / 1e3 - 60:.1f} kPa below it."
    assert lesson.readings.state["answer"] == said + apart


def test_a_reading_that_cannot_be_read_is_asked_for_again(lesson):
    write(lesson, cold="5", cold_gauge="fifty", warm="25")

    assert lesson.readings.state["answer"].startswith("? ")
    assert "fifty" in lesson.readings.state["answer"]
    assert "gauge pressure in the cold place" in lesson.readings.state["answer"]
    write(lesson, cold_gauge="50", warm="2l")
    assert "temperature in the warm place" in lesson.readings.state["answer"]
    write(lesson, cold="-300", warm="25")
    assert lesson.readings.state["answer"].startswith("? ")


def test_unfinished_readings_are_kept_and_answers_come_back(lesson, tmp_path):
    write(lesson, cold="5", halved="101 kPa", halved_why="Twice.")

    assert "first three" in lesson.readings.state["answer"]
    again = SealedAir(tmp_path / "readings")
    assert again.answers.given("halved") == "101 kPa"
    assert again.answers.given("cold") == "5"
