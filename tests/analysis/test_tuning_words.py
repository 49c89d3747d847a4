"""What is said of a ball's pressure where its curve does not say all."""

import numpy as np
import pytest

from bouncelab import bounciness, find_range
from bouncelab.analysis.pressure import tune_pressure
from bouncelab.analysis.tuning_words import how_sure
from bouncelab.readings.drops import read_rows

HEADINGS = ["ball", "drop height (m)", "rebound height (m)", "pressure (kPa)"]
FUTSAL = find_range("futsal-law-2")  # 0.25 to 0.325 of the drop height
NAMES = ("Futsal ball",)


def told(ratios, *, names=NAMES, range=FUTSAL, spread=0.002, n=4):
    """Drops of a ball at 20, 30, 40 … kPa with these shares of the drop height."""
    rng = np.random.default_rng(1)
    rows = [
        [names[k % len(names)], "2", f"{2 * (each + rng.normal(0, spread)):.5f}", kpa]
        for kpa, each in zip(("20", "30", "40", "50", "60"), ratios, strict=False)
        for k in np.arange(n)
    ]
    found = bounciness(read_rows(HEADINGS, rows))
    return tune_pressure(found, ball=names[0], range=range)


@pytest.mark.parametrize(
    ("ratios", "words"),
    [
        ([0.20], "it bounced lower than the range: it needs more air"),
        ([0.40], "it bounced higher than the range: it needs less air"),
        ([0.22, 0.30, 0.36], "its mean bounce was in the range at 30 kPa."),
        ([0.22, 0.36], "below the range at some pressures and above it at others"),
    ],
)
def test_too_few_pressures_still_tell_where_the_ball_stands(ratios, words):
    result = told(ratios)

    assert result.best is None
    assert "at least 4 are needed" in result.advice
    assert words in result.advice


def test_pressures_that_do_not_straddle_the_target_tell_the_way():
    result = told([0.36, 0.38, 0.395, 0.405, 0.412])

    assert result.best is None
    assert "is not reached between 16 kPa and 64 kPa" in result.advice
    assert "it needs less air. Try lower pressures." in result.advice


def test_drops_that_are_all_equal_say_little_and_that_is_said():
    result = told([0.3] * 4, spread=0.0)

    assert result.best is None
    assert "the bounce does not rise beyond its scatter" in result.advice
    assert "in the range at 20 kPa, 30 kPa, 40 kPa and 50 kPa" in result.advice


def test_a_bounce_that_rises_is_not_called_flat():
    result = told([0.22, 0.265, 0.29, 0.305, 0.315])

    assert result.best is not None
    assert "does not rise" not in result.advice
    assert "another kind of ball" not in result.advice


def test_a_range_for_another_ball_is_asked_about_and_used_all_the_same():
    result = told([0.22, 0.265, 0.29, 0.305, 0.315], names=("Handball 2",))

    assert result.best is not None
    assert "it is for futsal, and this is handball-2" in result.advice


def test_a_ball_named_in_several_ways_is_spoken_of():
    names = ("Futsal ball", "futsalball", "Futsal bal")
    result = told([0.22, 0.265, 0.29, 0.305, 0.315], names=names, n=9)

    assert "“Futsal ball” and “futsalball” are counted as one ball." in result.advice
    assert "“Futsal ball” and “Futsal bal” are counted as two balls." in result.advice


def test_an_end_that_leaves_what_was_measured_is_said_to_be_open():
    assert "between 30 kPa and 50 kPa" in how_sure(30e3, 50e3)
    assert "at least 30 kPa; how high, these drops cannot tell" in how_sure(30e3, None)
    assert "at most 50 kPa; how low" in how_sure(None, 50e3)
    assert "How far it may lie" in how_sure(None, None)

    result = told([0.287, 0.295, 0.300, 0.303, 0.305], spread=0.006)
    assert result.best is not None
    assert result.low is None or result.high is None
    assert "these drops cannot tell" in result.advice
