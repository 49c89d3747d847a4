"""Comparisons on simulated classes; all of them are invented."""

import json
from dataclasses import replace

import numpy as np
import pytest

from bouncelab import bounciness, check_drops, read_drops
from bouncelab.analysis.comparison import _holm, compare
from bouncelab.analysis.power import drops_for, power_of
from bouncelab.errors import InputError
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows

HEADINGS = ["group", "ball", "floor", "drop (m)", "rebound (m)", "pressure (kPa)"]


def a_class(rng, balls, *, groups=("Oak", "Elm", "Ash", "Fir"), offset=0.0, n=5):
    """Every group drops every ball; groups read differently by `offset` in e."""
    rows = []
    for group in groups:
        shift = rng.normal(0, offset)
        for ball, e in balls.items():
            for each in e + shift + rng.normal(0, 0.006, n):
                rows.append([group, ball, "gym", "1.8", f"{1.8 * each**2:.6f}", "50"])
    return bounciness(read_rows(HEADINGS, rows))


def test_balls_that_differ_are_told_apart_in_words():
    rng = np.random.default_rng(1)
    told = compare(a_class(rng, {"A": 0.75, "B": 0.79}, offset=0.01), by="ball")

    (pair,) = told.pairs
    assert pair.different
    assert pair.low < 0.04 < pair.high
    assert pair.method == "the same groups"
    assert str(pair).startswith("B is livelier than A: e differs by 0.0")
    assert pair.drops_needed == 0


@pytest.mark.parametrize("offset", [0.0, 0.01])
def test_false_alarms_are_as_rare_as_said_even_when_groups_differ(offset):
    rng = np.random.default_rng(2)
    alarms = [
        compare(a_class(rng, {"A": 0.76, "B": 0.76}, offset=offset), by="ball")
        .pairs[0]
        .different
        for _ in range(300)
    ]

    # 5 in 100; with 300 classes the count scatters by 1.3 in 100.
    assert 0.015 <= np.mean(alarms) <= 0.09


def test_the_interval_of_a_difference_covers_it():
    rng = np.random.default_rng(3)
    pairs = [
        compare(a_class(rng, {"A": 0.75, "B": 0.77}, offset=0.008), by="ball").pairs[0]
        for _ in range(300)
    ]

    assert 0.92 <= np.mean([p.low <= 0.02 <= p.high for p in pairs]) <= 0.98


def test_other_groups_for_each_ball_make_the_groups_the_unit():
    rng = np.random.default_rng(4)
    rows = []
    for ball, groups in (("A", ("Oak", "Elm", "Ash")), ("B", ("Fir", "Yew", "Bay"))):
        for group in groups:
            for each in 0.76 + rng.normal(0, 0.006, 5):
                height = f"{1.8 * each**2:.6f}"
                rows.append([group, ball, "gym", "1.8", height, "50"])
    (pair,) = compare(bounciness(read_rows(HEADINGS, rows)), by="ball").pairs

    assert pair.method == "groups"


def test_welch_without_groups_is_scipys():
    """scipy.stats.ttest_ind, an independent program, on drops of two balls."""
    from scipy.stats import ttest_ind

    rng = np.random.default_rng(5)
    found = a_class(rng, {"A": 0.75, "B": 0.755}, groups=("",), n=8)
    (pair,) = compare(found, by="ball").pairs
    a, b = (row.trials.e for row in found.rows)
    peer = ttest_ind(b, a, equal_var=False)
    interval = peer.confidence_interval(0.95)

    assert pair.p == pytest.approx(peer.pvalue, rel=1e-9)
    assert (pair.low, pair.high) == pytest.approx((interval.low, interval.high))


def test_many_pairs_are_allowed_for():
    # By hand, Holm: 3 × 0.01, then 2 × 0.02, then the larger of that and 0.03.
    assert _holm([0.02, 0.01, 0.03]) == pytest.approx([0.04, 0.03, 0.04])
    assert _holm([0.9, 0.8]) == [1.0, 1.0]


def test_one_balls_groups_pressures_and_floors_are_compared():
    rng = np.random.default_rng(6)
    rows = [
        [group, "A", floor, "1.8", f"{1.8 * (e + rng.normal(0, 0.003)) ** 2:.5f}", p]
        for group in ("Oak", "Elm")
        for floor, p, e in (
            ("gym", "30", 0.70),
            ("gym", "50", 0.76),
            ("hall", "50", 0.79),
        )
        for _ in range(4)
    ]
    found = bounciness(read_rows(HEADINGS, rows))

    assert [x.level for x in compare(found, by="pressure").levels] == [
        "30.0 kPa",
        "50.0 kPa",
    ]
    assert [x.level for x in compare(found, by="floor").levels] == ["gym", "hall"]
    assert [x.level for x in compare(found, by="group").levels] == ["Oak", "Elm"]


@pytest.mark.parametrize(
    ("by", "ball", "words"),
    [
        ("colour", None, "ball, pressure, floor"),
        ("floor", None, "two at least"),
        ("pressure", "Tennis", "Write it as typed"),
    ],
)
def test_what_cannot_be_compared_is_said(by, ball, words):
    found = a_class(np.random.default_rng(7), {"A": 0.75})

    with pytest.raises(InputError, match=words):
        compare(found, by=by, ball=ball)


def test_a_class_without_a_usable_drop_is_sent_to_look_at_its_readings():
    rows = [["Oak", ball, "gym", "0.4", "1.9", "50"] for ball in "AABB"]
    found = bounciness(check_drops(read_rows(HEADINGS, rows)))

    for by in ("ball", "pressure"):
        with pytest.raises(InputError, match=r"no drop that can be used.*check"):
            compare(found, by=by)


@pytest.mark.parametrize(
    ("needed", "words"), [(1.0, "1 more drop of"), (2.0, "2 more drops")]
)
def test_one_more_drop_is_said_in_the_singular(needed, words):
    (pair,) = compare(
        a_class(np.random.default_rng(2), {"A": 0.76, "B": 0.76}), by="ball"
    ).pairs

    assert words in replace(pair, different=False, p=0.5, drops_needed=needed).hint


def test_drops_that_are_all_equal_do_not_break_it():
    rows = [["Oak", ball, "gym", "1.8", "1.0", "50"] for ball in "AABB"]
    (pair,) = compare(bounciness(read_rows(HEADINGS, rows)), by="ball").pairs

    assert not pair.different
    assert pair.drops_needed is None


@pytest.mark.parametrize("groups", [("Oak",), ("Oak", "Elm")])
def test_drops_that_agree_better_than_they_can_be_read_prove_no_difference(groups):
    """Rebounds read to the centimetre, all alike: half a centimetre is no finding."""

    def told(other):
        rows = [
            [group, ball, "gym", "2.0", rebound, "50"]
            for group in groups
            for ball, rebound in (("A", "1.0"), ("B", other))
            for _ in range(2)
        ]
        found = bounciness(read_rows(HEADINGS, rows))
        by_group = compare(found, by="group").levels if len(groups) > 1 else ()
        assert all(level.expanded > 0.001 for level in by_group)
        return compare(found, by="ball").pairs[0]

    near, far = told("0.995"), told("0.80")
    assert not near.different
    assert near.high - near.low > 0.003
    assert far.different


def test_the_invented_class_is_told_in_plain_json():
    drops = check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    told = json.loads(json.dumps(compare(bounciness(drops), by="ball").to_dict()))

    assert told["by"] == "ball"
    assert set(told["levels"][0]) == {"level", "n", "groups", "e", "U_e"}
    keys = "a b difference low high p p_holm different drops_needed"
    assert set(told["pairs"][0]) == set(keys.split())


@pytest.mark.parametrize(
    ("difference", "spread", "drops"),
    # Worked out for 80 % power at 5 % by simulation, as the kit's design states.
    [
        (0.005, 0.004, 11),
        (0.005, 0.0075, 37),
        (0.01, 0.004, 4),
        (0.01, 0.0075, 10),
        (0.01, 0.015, 37),
        (0.02, 0.0075, 4),
        (0.02, 0.015, 10),
    ],
)
def test_the_drops_needed_are_those_of_the_table(difference, spread, drops):
    assert abs(drops_for(difference=difference, spread=spread) - drops) <= 1


def test_power_rises_with_the_drops_and_is_always_a_number():
    drops = range(2, 1001)
    for ratio in (0.05, 0.5, 2.0, 3.475, 5.0, 40.0):
        chances = [power_of(difference=ratio, spread=1, drops=n) for n in drops]
        assert all(0.05 <= each <= 1 + 1e-12 for each in chances)
        assert min(np.diff(chances)) > -1e-7
    assert drops_for(difference=0.0053077071, spread=0.00152716) == 3


def test_power_is_the_share_of_simulated_classes_in_which_it_is_found():
    rng = np.random.default_rng(8)
    from scipy.stats import ttest_ind

    a = rng.normal(0, 0.0075, (4000, 8))
    b = rng.normal(0.01, 0.0075, (4000, 8))
    found = np.mean(ttest_ind(a, b, axis=1).pvalue < 0.05)

    asked = power_of(difference=0.01, spread=0.0075, drops=8)
    assert asked == pytest.approx(found, abs=0.03)


def test_one_level_is_told_all_the_same_with_what_else_can_be_compared():
    rng = np.random.default_rng(9)
    rows = [
        [group, "A", "gym", "1.8", f"{1.8 * (e + rng.normal(0, 0.003)) ** 2:.5f}", p]
        for group in ("Oak", "Elm")
        for p, e in (("30", 0.70), ("50", 0.76))
        for _ in range(4)
    ]
    found = bounciness(read_rows(HEADINGS, rows))

    with pytest.raises(InputError, match=r"only “A”, with e = 0\.\d+ ± 0\.\d+") as told:
        compare(found, by="ball")
    assert "compare by pressure or group" in str(told.value)


def a_store(places):
    """Balls at places of a floor and a temperature, eight drops each."""
    headings = ["ball", "floor", "drop (m)", "rebound (m)", "temperature (°C)"]
    rng = np.random.default_rng(10)
    rows = [
        [ball, floor, "1.8", f"{1.8 * (0.75 + rng.normal(0, 0.004)) ** 2:.5f}", warm]
        for ball, floor, warm, n in places
        for _ in range(n)
    ]
    return bounciness(read_rows(headings, rows))


def test_balls_are_compared_where_they_were_dropped_alike():
    found = a_store(
        [("A", "gym", "4", 9), ("A", "gym", "20", 8), ("B", "gym", "20", 8)]
    )
    told = compare(found, by="ball")

    assert [each.e.size for each in told.levels] == [8, 8]
    assert "that most balls share" in told.held
    assert "may come from there" not in told.held


def test_balls_that_were_never_dropped_alike_are_not_compared_in_silence():
    found = a_store(
        [("A", "gym", "4", 8), ("B", "hall", "20", 8), ("C", "hall", "20", 8)]
    )

    assert "“A” differs in floor and temperature, too" in compare(found, by="ball").held


def test_three_balls_are_first_taken_all_together():
    rng = np.random.default_rng(11)
    told = compare(a_class(rng, {"A": 0.75, "B": 0.75, "C": 0.80}), by="ball")

    assert "Taken all together, they do differ" in told.remarks[0]
    assert told.to_dict()["overall"]["method"] == "the same groups"


def by_one_and_four(rng, one):
    """A by one group, B by four; groups read differently, the balls are alike."""
    shifts = {name: rng.normal(0, 0.01) for name in ("Oak", "Elm", "Ash", "Fir", "Yew")}
    rows = []
    for ball, groups in (("A", (one,)), ("B", ("Oak", "Elm", "Ash", "Fir"))):
        for group in groups:
            for each in 0.76 + shifts[group] + rng.normal(0, 0.006, 5):
                height = f"{1.8 * each**2:.6f}"
                rows.append([group, ball, "gym", "1.8", height, "50"])
    return compare(bounciness(read_rows(HEADINGS, rows)), by="ball").pairs[0]


def test_a_ball_of_one_group_is_compared_with_what_that_group_found_of_others():
    rng = np.random.default_rng(12)
    pairs = [by_one_and_four(rng, "Oak") for _ in range(300)]

    assert pairs[0].method == "drops of the group that dropped both"
    assert 0.02 <= np.mean([each.different for each in pairs]) <= 0.09


def test_where_other_groups_dropped_it_that_is_said_beside_the_difference():
    pair = by_one_and_four(np.random.default_rng(13), "Yew")

    assert "it may be the groups" in str(pair)
