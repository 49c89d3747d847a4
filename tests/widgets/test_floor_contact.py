import pytest

from bouncelab.figures.floor_contact import floor_contact_scene
from bouncelab.kinds import find_ball
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.shell_estimates import small_impact
from bouncelab.widgets.lessons.floor_contact import FloorContact


@pytest.fixture
def lesson(tmp_path):
    return FloorContact(tmp_path / "readings")


def write(lesson, **answers):
    for name, text in answers.items():
        lesson.answers.take(
            {
                "do": "setup",
                "field": "answer-" + name.replace("_", "-"),
                "text": text,
            }
        )


def test_every_control_reaches_its_scene_at_both_ends(lesson):
    stage = lesson.stage
    for control in stage.controls:
        ends = (
            [option[0] for option in control["options"]]
            if control["kind"] == "choice"
            else [control["least"], control["most"]]
        )
        for end in ends:
            stage.set(**{control["name"]: end})
            assert stage.values[control["name"]] == end
            assert stage.scene == floor_contact_scene(stage.values).to_dict()
            assert stage.scene["told"].count("Contact") == 1


def test_each_step_of_the_sliders_is_worked_out_as_it_reads(lesson):
    for height in range(25, 201, 25):
        lesson.stage.set(height=height)
        speed = impact_speed(drop_height=height / 100)
        (shown,) = [
            each["values"][0]
            for each in lesson.stage.scene["readings"]
            if each["label"] == "speed before"
        ]
        assert shown == f"{speed:.2f} m/s"
    lesson.stage.set(gauge=40)
    assert "at 40.0 kPa" in lesson.stage.scene["words"]


def test_a_ball_of_the_class_gets_its_contact_time(lesson):
    write(lesson, ball="Futsal 3", gauge="0,65 bar", drop="2 m", rebound="60")
    ball = find_ball("futsal")
    quick = small_impact(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        gauge_pressure=65e3,
        impact_speed=impact_speed(drop_height=2.0),
    )

    said = lesson.readings.state["answer"]
    assert said.startswith("futsal ball: e = 0.55.")
    assert f"about {1e3 * quick.contact_time:.0f} ms" in said
    assert "marked" not in said
    write(lesson, gauge="120")
    assert said != lesson.readings.state["answer"]
    assert lesson.readings.state["answer"].endswith("marked on such a ball!")


@pytest.mark.parametrize(
    ("change", "asked"),
    [
        ({"ball": "teapot"}, "Name an inflated ball"),
        ({"ball": "golf ball"}, "Name an inflated ball"),
        ({"gauge": "lots"}, "lots"),
        ({"gauge": "0"}, "gauge pressure"),
        ({"rebound": "250"}, "rebound height with a drop height of 180: read “250”"),
        ({"drop": ""}, "Fill in all four"),
    ],
)
def test_what_cannot_be_used_is_asked_for_again(lesson, change, asked):
    usual = {"ball": "netball", "gauge": "70", "drop": "180", "rebound": "110"}
    write(lesson, **(usual | change))

    assert asked in lesson.readings.state["answer"]
    assert "ms" not in lesson.readings.state["answer"].split()


def test_answers_come_back(lesson, tmp_path):
    write(lesson, how_long="0.01 s", dead="It has.")

    again = FloorContact(tmp_path / "readings")
    assert again.answers.given("how-long") == "0.01 s"
    assert again.answers.given("dead") == "It has."
