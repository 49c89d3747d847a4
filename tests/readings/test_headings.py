import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import TableError
from bouncelab.readings.headings import match_headings, nearest, read_heading

HEIGHTS = ["drop height (cm)", "rebound height (cm)"]


def columns(*texts):
    return [heading.column for heading in match_headings([*texts, *HEIGHTS])[:-2]]


@pytest.mark.parametrize(
    ("text", "column", "unit"),
    [
        ("Ball Ø (cm)", "diameter_m", "cm"),
        ("ball size (cm)", "diameter_m", "cm"),
        ("h₁ (m)", "drop_height_m", "m"),
        ("h_2 (m)", "rebound_height_m", "m"),
        ("p (kPa)", "gauge_pressure_pa", "kPa"),
        ("T (°C)", "temperature_c", "°C"),
        ("pressure (psia)", "gauge_pressure_pa", "psi absolute"),
        ("pressure (bar g)", "gauge_pressure_pa", "bar"),
        ("drop height (dm)", "drop_height_m", "dm"),
        ("drop height (in.)", "drop_height_m", "in"),
        ("drop height (ft/in)", "drop_height_m", ""),  # then each cell says its own
        ("drop height (feet and inches)", "drop_height_m", ""),
        ("drop height (kPa)", "drop_height_m", ""),
        ("temp (degrees)", "temperature_c", ""),
        ("Temp in degrees F", "temperature_c", "°F"),
        ("Ball number", "ball", ""),
        ("group no", "group", ""),
        ("ball size", "ball", ""),  # a 7 is no diameter
        ("bounce time (s)", "", ""),
        ("mass (g)", "", ""),
    ],
)
def test_a_heading_says_its_column_and_unit(text, column, unit):
    found = read_heading(text)

    assert (found.column, found.unit) == (column, unit)


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("rebound height, top (in)", "top"),
        ("drop height (cm, bottom)", "bottom"),
        ("rebound to the centre of the ball (cm)", "centre"),
        ("How high did it bounce? (cm)", ""),
        ("drop height from the table top (cm)", ""),
        ("drop from the top of the stairs (m)", ""),
        ("top and bottom of drop (cm)", ""),
    ],
)
def test_only_a_word_for_a_point_of_the_ball_gives_the_point(text, point):
    assert read_heading(text).point == point


def test_of_two_headings_for_words_the_plainest_counts():
    assert columns("date", "time") == ["when", ""]
    assert columns("ball colour", "Ball") == ["", "ball"]
    with pytest.raises(TableError, match="one heading for each thing"):
        columns("Ball", "ball")


def test_several_bounces_in_one_line_are_answered_with_how_to_write_them():
    with pytest.raises(TableError, match="a line of its own"):
        match_headings(["drop (cm)", "bounce 1 (cm)", "bounce 2 (cm)"])


@pytest.mark.parametrize(
    ("headings", "words"),
    [
        (["drop (cm)", "rebuond (cm)"], "“rebound height” by “rebuond (cm)”"),
        (["drp hight", "rebound (cm)"], "“drop height” by “drp hight”"),
        (["drop (cm)", "colour"], "Rename the heading"),
    ],
)
def test_a_missing_heading_names_those_found_and_the_nearest(headings, words):
    with pytest.raises(TableError) as caught:
        match_headings(headings)

    assert words in str(caught.value)
    assert all(f"“{text}”" in caught.value.read for text in headings)


def test_both_heights_may_be_misspelt():
    assert nearest(["drp hight", "rebund hieght"]).count(" by ") == 2
    assert nearest(["a", "b"]) == ""


@given(st.lists(st.text(max_size=30), max_size=6))
def test_any_headings_are_known_or_refused_in_words(texts):
    try:
        found = match_headings(texts)
    except TableError as error:
        found = error
    assert isinstance(found, TableError) or len(found) == len(texts)
