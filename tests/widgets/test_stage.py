import pytest

from bouncelab.errors import InputError
from bouncelab.figures.scene import Reading, Scene
from bouncelab.widgets.lessons.two_bodies import TwoBodies
from bouncelab.widgets.questions import Answers
from bouncelab.widgets.stage import Choice, Slider, Stage

SLIDER = Slider("height", "height", "cm", 10, 20, 1, 15)
CHOICE = Choice(
    "seen", "seen from", (("floor", "the floor"), ("air", "the air")), "air"
)


def build(values):
    if values["height"] == 20:
        raise InputError("height", "20 cm", "below 20 cm", "Go lower.")
    shown = [f"{values['height']:g} cm, {values['seen']}"]
    return Scene(times=["0 s"], shapes=[], readings=[Reading("h", shown)], words="w")


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ({"height": "12"}, "12 cm, air"),
        ({"height": 99, "seen": "floor"}, "15 cm, air"),  # 20 is refused: it stays
        ({"height": -5}, "10 cm, air"),
        ({"height": "<b>"}, "15 cm, air"),
        ({"height": float("nan")}, "15 cm, air"),
        ({"seen": "nowhere", "colour": 3}, "15 cm, air"),
    ],
)
def test_a_stage_follows_its_controls_and_nothing_else(sent, shown):
    stage = Stage(SLIDER, CHOICE, build=build)
    stage.set(**sent)

    assert stage.scene["readings"][0]["values"] == [shown]


def test_what_the_library_refuses_is_told():
    stage = Stage(SLIDER, CHOICE, build=build)
    stage.set(height=20)

    told = stage.scene["told"]
    assert told.startswith("✕ The drawing stays as it was. Height: read 20 cm")
    assert "Go lower." in told
    assert stage.at == {"height": 20, "seen": "air"}  # the slider stays in the hand


def test_sliders_follow_a_number_of_the_students_own():
    stage = Stage(SLIDER, CHOICE, build=build)
    stage.follow(height=12.4)

    assert stage.at == {"height": 12, "seen": "air"}
    assert stage.scene["readings"][0]["values"] == ["12 cm, air"]


def test_sliders_follow_together_or_not_at_all():
    wide = Slider("width", "width", "cm", 0, 5, 0.5, 1)
    stage = Stage(SLIDER, wide, CHOICE, build=build)
    stage.follow(height=12, width=9)

    assert stage.at == {"height": 15, "width": 1, "seen": "air"}


def test_answers_are_kept_and_found_again(tmp_path):
    first = TwoBodies(tmp_path)
    step = {"do": "setup", "field": "answer-after", "text": "0,5 m/s"}
    first.answers.take(step)

    again = TwoBodies(tmp_path)

    assert again.prediction.state["setup"]["answer-after"] == "0,5 m/s"
    assert "✓ Kept" in again.prediction.state["answer"]
    assert again.explanation.state["answer"] == ""


def test_an_answer_is_answered_with_what_follows_from_it(tmp_path):
    answers = Answers("a", folder=tmp_path)
    panel = answers.ask(("n", "How many?", "3"), told=lambda given: given["n"] + "!")
    answers.take({"do": "setup", "field": "answer-n", "text": "7"})

    assert panel.state["answer"] == "7!"
    assert answers.given("n") == "7"


def test_a_full_disk_is_said_beneath_the_answer(tmp_path, monkeypatch):
    answers = Answers("a", folder=tmp_path)
    panel = answers.ask(("n", "How many?", "3"))

    def refuse(_number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    answers.take({"do": "setup", "field": "answer-n", "text": "7"})

    assert panel.state["bad"]
    assert "no space left on device" in panel.state["answer"]
