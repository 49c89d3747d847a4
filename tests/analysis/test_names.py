"""Names of balls; a ball that is named in several ways is never merged in silence."""

from bouncelab import bounciness
from bouncelab.analysis.comparison import compare
from bouncelab.analysis.names import about_names, names_as_one
from bouncelab.readings.drops import read_rows


def test_names_that_differ_in_case_and_spaces_count_as_one_and_that_is_said():
    assert names_as_one(["Handball 2", "Hand ball 2", "HANDBALL  2"]) == [
        "“Handball 2”, “Hand ball 2” and “HANDBALL 2” are counted as one ball."
    ]


def test_spaces_that_nobody_sees_are_not_spoken_of():
    assert names_as_one(["Handball 2", " Handball  2 ", "Handball 3"]) == []


def test_a_slip_of_one_letter_is_asked_about_and_not_merged():
    assert about_names(["Futsal ball", "Futsal bal"]) == [
        "“Futsal ball” and “Futsal bal” are counted as two balls. Is it one?"
    ]


def test_a_ball_named_three_ways_is_spoken_of_beside_its_results():
    names = ("Futsal ball", "futsalball", "Futsal bal")
    rows = [[name, "2 m", f"0.{k} m"] for name in names for k in (60, 61, 63)]
    found = bounciness(read_rows(["ball", "drop", "rebound"], rows))
    said = " ".join(found.remarks)

    assert "“Futsal ball” and “futsalball” are counted as one ball." in said
    assert "“Futsal ball” and “Futsal bal” are counted as two balls." in said
    assert [row.n for row in found.rows] == [6, 3]
    assert "Is it one?" in str(compare(found, by="ball"))
