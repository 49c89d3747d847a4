import re

import pytest

from bouncelab.physics.certainty import restitution_uncertainty
from bouncelab.widgets.lessons.one_number import OneNumber


def write(lesson, **answers):
    for name, text in answers.items():
        lesson.answers.take({"do": "setup", "field": f"answer-{name}", "text": text})


def said(lesson):
    return lesson.readings.state["answer"]


@pytest.fixture
def lesson(tmp_path):
    return OneNumber(tmp_path)


def test_the_number_follows_the_typed_heights(lesson):
    write(lesson, drop="1 m")
    assert said(lesson).startswith("✓ Kept")

    write(lesson, rebound="64")

    assert said(lesson).startswith("It arrives with 4.43 m/s and leaves with 3.54 m/s")
    assert said(lesson).endswith("the heights say e = 0.800.")


def test_the_doubt_of_a_height_becomes_one_of_the_number(lesson):
    write(lesson, drop="100 cm", rebound="64 cm", doubt="3 cm")
    each = 0.03 / 3**0.5
    u = restitution_uncertainty(
        drop_height=1.0, rebound_height=0.64, drop_u=each, rebound_u=each
    )

    assert f"a standard uncertainty of {u:.3f}." in said(lesson)


def test_times_give_a_number_too(lesson):
    write(lesson, times="0.0, 1.0, 1.8, 2.44 s")

    assert said(lesson) == "The times say e = 0.800."


def test_a_ball_that_stays_down_has_a_number(lesson):
    write(lesson, drop="100 cm", rebound="0 cm", doubt="1 cm")

    assert said(lesson).endswith("e = 0.000.")


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"drop": "1 m", "rebound": "120 cm"}, "drop height of 1 m: read “120 cm”"),
        ({"drop": "1 m", "rebound": "6O cm"}, "rebound height: .*digit"),
        ({"drop": "1 kg", "rebound": "60 cm"}, "drop height: .*no length"),
        ({"drop": "1 m", "rebound": "6 cm", "doubt": "-1"}, "without a sign"),
        ({"drop": "1 m", "rebound": "6 cm", "doubt": "some"}, "how far a height"),
        ({"times": "0.6, 1.5 s"}, "Let the ball bounce on"),
        ({"times": "0.6, 1.5, 1.4 s"}, "in order"),
        ({"times": "soon"}, "Write seconds"),
    ],
)
def test_a_slip_is_answered_in_words(lesson, answers, words):
    write(lesson, **answers)

    assert said(lesson).startswith("? ")
    assert re.search(words, said(lesson))


def test_the_derivation_ends_with_the_students_numbers(tmp_path):
    write(OneNumber(tmp_path), drop="180 cm", rebound="110 cm")

    lesson = OneNumber(tmp_path)  # the notebook was started anew

    assert "With drop height 1.8 m and rebound height 1.1 m" in lesson.derivation.value
    assert "$$e = 0.78174$$" in lesson.derivation.value

    write(lesson, rebound="45 cm")

    assert "$$e = 0.5$$" in lesson.derivation.value

    write(lesson, rebound="")

    assert "With drop" not in lesson.derivation.value
    assert "Mass and gravity cancel" in lesson.derivation.value


def test_the_students_heights_are_drawn_in_the_plot(lesson):
    assert "yours" not in lesson.bouncing.picture["words"]

    write(lesson, drop="180 cm", rebound="110 cm")

    words = lesson.bouncing.picture["words"]
    assert "yours: from 180.0 cm back to 110.0 cm" in words


def test_the_sliders_follow_the_students_heights(lesson):
    write(lesson, drop="1.8 m", rebound="110 cm")

    assert lesson.bouncing.at["height"] == 180
    assert lesson.bouncing.at["restitution"] == 0.78
    assert (lesson.wiggling.at["drop"], lesson.wiggling.at["rebound"]) == (180, 110)


def test_a_wiggle_that_cannot_be_is_told(lesson):
    lesson.wiggling.set(drop=60, rebound=60)

    assert "make the errors smaller" in lesson.wiggling.scene["told"]

    lesson.wiggling.set(rebound=40)

    assert "120 readings" in lesson.wiggling.scene["told"]
