import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.catalogue import balls, find_ball

# What a class calls a ball


@pytest.mark.parametrize(
    ("name", "id"),
    [
        ("Basketball", "basketball-7"),
        ("basket ball", "basketball-7"),
        ("Basket-balls", "basketball-7"),
        ("b-ball", "basketball-7"),
        ("basket 7", "basketball-7"),
        ("BASKETBALL size 7, Oak", "basketball-7"),
        ("Basketball size 6", "basketball-6"),
        ("girls' basketball", "basketball-6"),
        ("Basketball 8 psi", "basketball-7"),
        ("Basketball 6 psi", "basketball-7"),
        ("soccer ball", "football-5"),
        ("Football 5", "football-5"),
        ("Fußball", "football-5"),
        ("foot ball, size 4", "football-4"),
        ("Futsal ball from the cold store", "futsal"),
        ("Futsal size 4", "futsal"),
        ("fútbol sala", "futsal"),
        ("Handball", "handball-3"),
        ("hand ball size 1", "handball-1"),
        ("volley ball", "volleyball"),
        ("Beach volleyball", "beach-volleyball"),
        ("netball", "netball"),
        ("Tennis ball", "tennis"),
        ("tenis ball", "tennis"),
        ("Tennis ball (red)", "tennis-red"),
        ("ping-pong", "table-tennis"),
        ("TT ball", "table-tennis"),
        ("Table tennis ball 40 mm", "table-tennis"),
        ("Table-tennis ball 38 mm", "table-tennis-38"),
        ("🏀 basketball", "basketball-7"),
    ],
)
def test_a_ball_is_found_by_what_a_class_calls_it(name, id):
    assert find_ball(name).id == id


@pytest.mark.parametrize(
    "label", ["3", "#3", "no. 3", "A", "A6", "(third)", "12", "07"]
)
def test_a_number_or_letter_is_the_classs_label(label):
    assert find_ball(f"Basketball {label}").id == "basketball-7"
    assert find_ball(f"Handball {label}").id == "handball-3"


@pytest.mark.parametrize(
    ("name", "id"), [("Basketball 6", "basketball-6"), ("Football 4", "football-4")]
)
def test_a_number_is_a_size_where_the_catalogue_lists_it(name, id):
    assert find_ball(name).id == id


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "ball",
        "ball 7",
        "size 7",
        "A1",
        "the red one",
        "football or basketball",
        "tennis/padel ball",
        "Basketball size 3",
        "American football",
        "rugby football",
        "foam tennis ball",
        "mini basketball",
        "beach ball",
        "footballer",
        "כדור",
    ],
)
def test_the_catalogue_refuses_to_guess(name):
    assert find_ball(name) is None


@given(st.text(max_size=40))
@settings(max_examples=200)
def test_any_text_is_a_known_ball_or_none(name):
    found = find_ball(name)

    assert found is None or found in balls()


def test_a_very_long_name_is_answered():
    assert find_ball("basketball " * 10_000).id == "basketball-7"


@pytest.mark.parametrize("ball", balls(), ids=lambda ball: ball.id)
def test_each_ball_is_found_by_its_id_and_every_alias(ball):
    for name in (ball.id, *ball.aliases, ball.aliases[0].upper()):
        assert find_ball(name) is ball, name


# The balls


def test_ids_and_aliases_belong_to_one_ball():
    said = [alias for ball in balls() for alias in {*ball.aliases, ball.id}]

    assert len({ball.id for ball in balls()}) == len(balls())
    assert sorted(said) == sorted(set(said))


@pytest.mark.parametrize("ball", balls(), ids=lambda ball: ball.id)
def test_a_balls_figures_are_of_the_size_of_a_ball(ball):
    assert ball.source
    assert ball.confirmed
    assert 0.002 < ball.mass_kg < 1
    assert 0.03 < ball.diameter_m < 0.3
    # Between a balloon and a shot: kg in a cubic metre.
    assert 50 < ball.mass_kg / (math.pi * ball.diameter_m**3 / 6) < 1300
    assert 0.4 < ball.drag_coefficient < 0.6
    assert 0.05 <= ball.drag_coefficient_u / ball.drag_coefficient <= 0.2
    if ball.max_gauge_pressure_pa is None:
        assert ball.usual_gauge_pressure_pa is None
    else:
        low, high = ball.usual_gauge_pressure_pa
        assert 1e4 < low < high <= ball.max_gauge_pressure_pa < 1.2e5
        assert "common practice" in ball.confirmed


def test_a_ball_tells_its_figures_and_source():
    assert str(find_ball("futsal")) == (
        "futsal ball: 62 to 64 cm; 400 to 440 g; 0.6 to 0.9 atm (FIFA, Futsal Laws of "
        "the Game, Law 2, on The FA's site)"
    )
