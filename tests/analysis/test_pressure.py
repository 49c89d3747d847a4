"""Bounce against pressure; the simulated classes are invented."""

import json

import numpy as np
import pytest

from bouncelab import check_drops, find_range, read_drops
from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.curves import FORMS, fit_curve
from bouncelab.analysis.pressure import tune_pressure
from bouncelab.catalogue import BounceRange, load_ranges
from bouncelab.errors import InputError
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows

HEADINGS = ["ball", "drop height (m)", "rebound height (m)", "pressure (kPa)"]
TRUE = {"a": 0.74, "b": 8000.0, "c": 12000.0}
PRESSURES = np.array([20e3, 30e3, 40e3, 50e3, 58e3])


def truth(p):
    return TRUE["a"] - TRUE["b"] / (p + TRUE["c"])


def a_class(rng, *, gauge=1500.0, spread=0.008, n=5, pressures=PRESSURES):
    """Five drops at each pressure; each pressure shares one error of the gauge."""
    rows = []
    for p in pressures:
        real = p + rng.normal(0, gauge)
        for ratio in truth(real) + rng.normal(0, spread, n):
            rows.append(["Basketball 7", "1.8", f"{1.8 * ratio:.6f}", f"{p / 1e3}"])
    return bounciness(read_rows(HEADINGS, rows))


@pytest.fixture
def window(tmp_path):
    """0.55 to 0.65 of the drop height: reached at 40 kPa by the true curve."""
    path, middle = tmp_path / "own.csv", truth(40e3)
    path.write_text(
        "id,ball,drop height (m),rebound at least (m),rebound at most (m)\n"
        f"own,basketball-7,1.8,{1.8 * (middle - 0.05)},{1.8 * (middle + 0.05)}\n"
    )
    (own,) = load_ranges(path)
    return own


def test_exact_points_give_their_own_curve_back():
    for form, base in FORMS.items():
        value = 0.75 - 0.3 * base(PRESSURES, 15e3) / base(0.0, 15e3)
        curve = fit_curve(
            form,
            pressure=PRESSURES,
            value=value,
            variance=np.full(5, 1e-8),
            gauge_uncertainty=0.0,
        )
        assert curve.at(PRESSURES) == pytest.approx(value, abs=1e-9)
        assert curve.c == pytest.approx(15e3, rel=1e-4)
        assert curve.pressure_for(float(value[2])) == pytest.approx(40e3, rel=1e-6)


def test_the_fit_is_that_of_scipy():
    """scipy.optimize.curve_fit, an independent program, with the same weights."""
    from scipy.optimize import curve_fit

    rng = np.random.default_rng(5)
    value = truth(PRESSURES) + rng.normal(0, 0.003, 5)
    mine = fit_curve(
        "a - b/(p + c)",
        pressure=PRESSURES,
        value=value,
        variance=np.full(5, 0.003**2),
        gauge_uncertainty=0.0,
    )
    peer, covariance = curve_fit(
        lambda p, a, b, c: a - b / (p + c),
        PRESSURES / 1e4,
        value,
        p0=[0.74, 0.8, 1.2],
        sigma=np.full(5, 0.003),
        absolute_sigma=True,
    )

    assert [mine.a, mine.b / 1e4, mine.c / 1e4] == pytest.approx(peer, rel=1e-4)
    misfit = np.sum((value - mine.at(PRESSURES)) ** 2) / 0.003**2 / 2
    grown = max(1.0, misfit)
    assert mine.covariance[0, 0] == pytest.approx(grown * covariance[0, 0], rel=1e-3)


def test_the_interval_covers_the_true_pressure_as_often_as_it_says(window):
    rng = np.random.default_rng(11)
    hit = told = safe = 0
    for _ in range(250):
        result = tune_pressure(a_class(rng), ball="basketball 7", range=window)
        if result.best is None:
            continue
        told += 1
        low = -np.inf if result.low is None else result.low
        high = np.inf if result.high is None else result.high
        hit += low <= 40e3 <= high
        edges = np.array([result.safe_low, result.safe_high])
        drops = truth(edges) + rng.normal(0, 0.008, (200, 2))
        limits = np.array([window.rebound_min_m, window.rebound_max_m]) / 1.8
        safe += np.mean((drops >= limits[0]) & (drops <= limits[1]))

    assert told > 240
    assert 0.92 <= hit / told <= 0.99
    assert safe / told >= 0.94


def test_a_gauge_taken_for_perfect_covers_too_little(window):
    """Why the gauge's uncertainty must be in the weights."""
    rng = np.random.default_rng(12)
    results = [
        tune_pressure(
            a_class(rng, spread=0.002), ball="basketball 7", range=window, **gauge
        )
        for _ in range(60)
        for gauge in ({}, {"gauge_uncertainty": 0.0})
    ]
    widths = [r.high - r.low for r in results if r.low and r.high]

    assert np.median(widths[::2]) > 1.0 * np.median(widths[1::2])


@pytest.mark.parametrize(
    ("pressures", "words"),
    [
        ([40e3], "dropped at 1 pressure;"),
        ([20e3, 30e3, 40e3], "dropped at 3 pressures;"),
        ([18e3, 20e3, 22e3, 24e3], "is not reached between"),
    ],
)
def test_what_cannot_be_told_has_its_reason(window, pressures, words):
    found = a_class(np.random.default_rng(1), pressures=np.array(pressures))
    result = tune_pressure(found, ball="Basketball 7", range=window)

    assert result.best is None
    assert words in result.advice


def test_the_marked_maximum_is_never_passed(window):
    found = a_class(np.random.default_rng(2))
    result = tune_pressure(found, ball="Basketball 7", range=window, maximum=35e3)

    assert result.best is None
    assert "more than the marked maximum of 35.0 kPa" in result.advice
    assert result.safe_high is None or result.safe_high <= 35e3
    assert "may burst" in str(result)


def test_one_drop_at_each_pressure_is_too_little(window):
    found = a_class(np.random.default_rng(3), n=1)

    assert (
        "more than once"
        in tune_pressure(found, ball="Basketball 7", range=window).advice
    )


def test_a_ball_that_was_not_dropped_is_named_with_those_that_were(window):
    found = a_class(np.random.default_rng(4))

    with pytest.raises(InputError, match="“Basketball 7”"):
        tune_pressure(found, ball="Tennis", range=window)


def test_the_invented_class_is_answered_in_plain_json():
    drops = check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    found = bounciness(drops)
    result = tune_pressure(
        found, ball="futsal ball", range=find_range("futsal-law-2")
    ).to_dict()

    told = json.loads(json.dumps(result))
    assert told["curve"]["form"] == "e² = a - b/(p + c)"
    assert told["low_pa"] < told["best_pa"] < told["high_pa"]
    assert told["safe_low_pa"] < told["best_pa"] < told["safe_high_pa"]
    assert abs(told["second_opinion_pa"] - told["best_pa"]) < 5e3


def test_a_minimum_alone_is_a_target_too(window):
    only = BounceRange(
        **{f: getattr(window, f) for f in window.__dataclass_fields__}
        | {"rebound_max_m": None}
    )
    result = tune_pressure(
        a_class(np.random.default_rng(6)), ball="Basketball 7", range=only
    )

    assert result.safe_low > result.best


def test_groups_that_read_differently_widen_the_interval_and_it_still_covers(window):
    rng = np.random.default_rng(21)
    headings = ["group", *HEADINGS]
    hit = told = 0
    widths = {0.0: [], 0.012: []}
    for each in [0.012] * 120 + [0.0] * 20:
        shifts = rng.normal(0, each, 4)
        rows = []
        for p in PRESSURES:
            real = p + rng.normal(0, 1500.0)
            for k, shift in enumerate(shifts):
                for ratio in truth(real) + shift + rng.normal(0, 0.008, 3):
                    cells = ["Basketball 7", "1.8", f"{1.8 * ratio:.6f}", f"{p / 1e3}"]
                    rows.append([f"g{k}", *cells])
        found = bounciness(read_rows(headings, rows))
        result = tune_pressure(found, ball="basketball 7", range=window)
        if result.best is None:
            continue
        low = -np.inf if result.low is None else result.low
        high = np.inf if result.high is None else result.high
        if result.low and result.high:
            widths[each].append(high - low)
        if each:
            told += 1
            hit += low <= 40e3 <= high

    assert told > 100
    assert 0.88 <= hit / told <= 1.0
    assert np.median(widths[0.012]) > 1.2 * np.median(widths[0.0])


def test_a_class_without_a_usable_drop_is_sent_to_its_readings():
    rows = [["Basketball 7", "0.4", "1.9", p] for p in ("40", "50", "60", "70")]
    found = bounciness(check_drops(read_rows(HEADINGS, rows)))

    with pytest.raises(InputError, match="no drop that can be used"):
        tune_pressure(found, ball="Basketball 7", range=find_range("futsal-law-2"))
