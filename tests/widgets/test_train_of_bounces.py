import pytest

from bouncelab.widgets.lessons.train_of_bounces import TrainOfBounces


def write(lesson, name, text):
    lesson.answers.take({"do": "setup", "field": f"answer-{name}", "text": text})


def squares(lesson):
    scene = lesson.bouncing.scene
    return [s for s in scene["shapes"] if s["fixed"].get("class") == "bl-two"]


def test_heights_typed_are_laid_over_drawing_and_plot(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    assert squares(lesson) == []

    write(lesson, "heights", "110, 68, 42 cm")

    assert len(squares(lesson)) == 3
    assert "Squares, yours: 110.0 cm" in lesson.bouncing.picture["words"]
    assert lesson.heights.state["answer"].startswith("✓ Kept, and laid over")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("110, 68", "Write the unit after the last height"),
        ("110,68 cm", "semicolons between them"),
        ("110, 6B cm", "digit"),
        ("<b>1</b> cm", "allowed"),
        ("one metre", "allowed"),
    ],
)
def test_a_slip_is_answered_and_what_was_typed_stays(tmp_path, typed, words):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "heights", "110, 68, 42 cm")

    write(lesson, "heights", typed)

    assert words in lesson.heights.state["answer"]
    assert lesson.answers.given("heights") == typed
    assert squares(lesson) == []


def test_a_bounce_above_the_drop_is_answered_beneath_the_plot(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "heights", "190 cm")

    assert "Move the drop height to yours" in lesson.bouncing.picture["words"]

    lesson.bouncing.set(height=220)

    assert "✕" not in lesson.bouncing.picture["words"]


def test_the_sliders_follow_drop_height_and_first_bounce(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "drop", "1.5 m")

    assert lesson.bouncing.at["height"] == 150

    write(lesson, "heights", "96 cm")

    assert lesson.bouncing.at["restitution"] == 0.8
    assert "e = 0.80 if there were no air" in lesson.heights.state["answer"]

    lesson.bouncing.set(restitution=0.83)
    write(lesson, "heights", "96, 62 cm")

    assert lesson.bouncing.at["restitution"] == 0.83  # moved by hand: it stays
    assert TrainOfBounces(tmp_path).bouncing.at["height"] == 150


@pytest.mark.parametrize(
    ("drop", "words"),
    [("90 cm", "no lower than the first"), ("9O cm", "your drop height"), ("0", "abo")],
)
def test_a_drop_that_cannot_be_is_answered_and_nothing_follows(tmp_path, drop, words):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "heights", "96 cm")
    write(lesson, "drop", drop)

    assert words in lesson.heights.state["answer"]
    assert lesson.bouncing.at["height"] == 180
    assert len(squares(lesson)) == 1


def test_more_heights_than_are_drawn_are_said_so(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "heights", ", ".join(map(str, range(90, 76, -1))) + " cm")

    assert "The first 12 are laid over" in lesson.heights.state["answer"]


def test_heights_are_found_again_and_drawn_at_once(tmp_path):
    write(TrainOfBounces(tmp_path), "heights", "110, 68 cm")

    again = TrainOfBounces(tmp_path)

    assert len(squares(again)) == 2
    assert again.heights.state["setup"]["answer-heights"] == "110, 68 cm"


def test_an_emptied_box_takes_the_squares_away(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    write(lesson, "heights", "110 cm")
    write(lesson, "heights", "")

    assert squares(lesson) == []


def test_the_hammer_follows_its_controls(tmp_path):
    lesson = TrainOfBounces(tmp_path)
    lesson.hammering.set(metal="lead", speed=5, blows=20, restitution=0)

    assert "warmer by 19.4 K at most" in lesson.hammering.scene["told"]
