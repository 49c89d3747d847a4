"""What cold does, on simulated classes; all of them are invented."""

import json

import numpy as np
import pytest

from bouncelab import bounciness, check_drops, read_drops
from bouncelab.analysis.comparison import compare
from bouncelab.analysis.warmth import warmth_effect
from bouncelab.errors import InputError
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows
from makers import floors

HEADINGS = ["group", "ball", "drop (m)", "rebound (m)", "temperature (°C)"]
GROUPS = ("Oak", "Elm", "Ash", "Fir")


def a_class(rng, slope, *, groups=GROUPS, warmths=(5, 12, 20, 27), n=4, offset=0.01):
    """Every group drops one ball at every temperature; groups read differently."""
    rows = []
    for group in groups:
        shift = rng.normal(0, offset)
        for warmth in warmths:
            e = 0.7 + slope * (warmth - 20) + shift
            for each in e + rng.normal(0, 0.006, n):
                rows.append([group, "A", "1.8", f"{1.8 * each**2:.6f}", str(warmth)])
    return bounciness(read_rows(HEADINGS, rows))


@pytest.fixture(scope="module")
def larkfield():
    drops = read_drops(kit_folder("data") / "larkfield_floors.csv")
    return bounciness(check_drops(drops))


def test_the_slope_s_interval_covers_it_though_groups_read_differently():
    rng = np.random.default_rng(4)
    inside = 0
    for _ in range(200):
        found = warmth_effect(a_class(rng, 0.0015).rows)
        inside += abs(found.slope - 0.0015) <= found.slope_expanded

    assert 0.90 <= inside / 200 <= 0.985


def test_where_warmth_does_nothing_it_is_rarely_said_to():
    rng = np.random.default_rng(6)
    alarms = 0
    for _ in range(400):
        found = warmth_effect(a_class(rng, 0.0).rows)
        alarms += abs(found.slope) > found.slope_expanded

    assert 0.03 <= alarms / 400 <= 0.08


def test_values_carried_to_one_temperature_agree():
    found = warmth_effect(a_class(np.random.default_rng(6), 0.002).rows)

    assert np.ptp(found.e) > 0.03
    assert np.ptp(found.corrected) < 0.01
    assert (found.corrected_expanded >= found.expanded).all()
    assert found.corrected == pytest.approx(
        found.e + found.slope * (20 - found.temperature)
    )


def test_nothing_is_carried_beyond_what_was_measured():
    rows = a_class(np.random.default_rng(7), 0.002).rows
    found = warmth_effect(rows, reference=40.0)

    assert found.corrected is None
    assert "say nothing of 40.0 °C" in str(found)
    assert warmth_effect(rows, reference=28.0).corrected is not None


def test_one_temperature_is_too_little_and_that_is_said():
    found = warmth_effect(a_class(np.random.default_rng(8), 0.0, warmths=(20,)).rows)

    assert found.slope is None
    assert "at least 5 °C are needed" in str(found)


def test_groups_at_one_temperature_each_are_not_taken_for_warmth():
    rng = np.random.default_rng(9)
    rows = [
        [group, "A", "1.8", f"{1.8 * each**2:.6f}", warmth]
        for group, warmth in (("Oak", "5"), ("Elm", "25"))
        for each in 0.7 + rng.normal(0, 0.005, 5)
    ]
    found = warmth_effect(bounciness(read_rows(HEADINGS, rows)).rows)

    assert "may look like warmth" in str(found)


def test_without_temperatures_a_column_is_asked_for():
    rows = [["Oak", "A", "1.8", "0.9", ""]] * 3
    with pytest.raises(InputError, match="temperature"):
        warmth_effect(bounciness(read_rows(HEADINGS, rows)).rows)


def test_the_invented_cold_ball_has_the_same_air_and_the_planted_slope(larkfield):
    told = compare(larkfield, by="temperature")
    warm = told.warmth

    assert list(warm.temperature) == [6, 13, 20, 27]
    assert "same air" in told.held
    # The gas law, as the file's maker has it, in kPa to the rounding of a gauge.
    assert warm.gauge_pressure == pytest.approx(warm.sealed, abs=600)
    # Planted: the cover's share; the pressure's share comes from its curve.
    kind = floors.KINDS["Futsal ball"]

    def e(celsius):
        law = np.sqrt(kind.a - kind.b / (floors._sealed(celsius) + kind.c))
        return law - floors.COLD * (20 - celsius)

    true = (e(27) - e(6)) / 21
    assert abs(warm.slope - true) <= warm.slope_expanded
    assert "No air has gone" in str(warm)


def test_floors_differ_as_they_were_made(larkfield):
    told = compare(larkfield, by="floor")
    made = {(p.a, p.b): p.difference for p in told.pairs}

    assert len(told.levels) == 3
    for (a, b), gap in made.items():
        assert gap == pytest.approx(floors.FLOORS[b] - floors.FLOORS[a], abs=0.012)


def test_the_maker_makes_the_committed_file_byte_for_byte():
    path = kit_folder("data") / "larkfield_floors.csv"
    assert path.read_bytes() == floors.floors_file().encode()
    assert path.read_text("utf-8").startswith("# Invented data")


def test_it_is_told_in_plain_json(larkfield):
    told = json.loads(json.dumps(compare(larkfield, by="temperature").to_dict()))

    assert len(told["temperature"]["levels"]) == 4
    assert told["temperature"]["why"] is None
    assert told["group_effect"]["groups"] == 4
