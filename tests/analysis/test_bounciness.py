import json
import math
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.conditions import sort_drops
from bouncelab.analysis.names import names_alike
from bouncelab.analysis.nominal import nominal
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.analysis.words import shown
from bouncelab.catalogue import find_ball, find_range, ranges
from bouncelab.errors import InputError
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import COLUMNS, Drops, read_rows

HEADINGS = ["group", "ball", "floor", "drop (cm)", "rebound (cm)", "pressure (kPa)"]
EXACT = ReadingQuality(*[0.0] * 6)


def class_table(*rows, extra=()):
    return read_rows([*HEADINGS, *extra], [list(map(str, row)) for row in rows])


def one(*rebounds, quality=None, ranges=(), group="Oak", ball="Basketball 1"):
    rows = [(group, ball, "gym", 180, h, 55) for h in rebounds]
    return bounciness(class_table(*rows), quality=quality, ranges=ranges).rows[0]


# Conditions


def test_one_result_for_each_ball_floor_pressure_height_and_temperature():
    found = bounciness(
        class_table(
            ("Oak", "A1", "gym", 180, 110, 55, 20),
            ("Oak", "A1", "gym", 180, 111, 55, 20),
            ("Oak", "A1", "hall", 180, 110, 55, 20),
            ("Oak", "A1", "gym", 180, 90, 30, 20),
            ("Oak", "A1", "gym", 100, 61, 55, 20),
            ("Oak", "A1", "gym", 180, 104, 55, 5),
            ("Oak", "B1", "gym", 180, 110, 55, 20),
            extra=["temperature (°C)"],
        )
    )

    assert [row.n for row in found.rows] == [2, 1, 1, 1, 1, 1]


def test_names_that_differ_in_case_and_spaces_are_one_ball_shown_as_first_typed():
    found = bounciness(
        class_table(
            ("Oak", "Red  Ball", "Gym", 180, 110, 55),
            ("Oak", "red ball ", "gym ", 180, 111, 55),
        )
    )

    (row,) = found.rows
    assert (row.ball, row.floor, row.n) == ("Red Ball", "Gym", 2)


def test_a_name_written_in_two_ways_is_pointed_out_and_not_merged():
    found = bounciness(
        class_table(
            ("Oak", "Basketball 1", "gym", 180, 110, 55),
            ("Oak", "Basket-ball 1", "gym", 180, 111, 55),
            ("Oak", "Basketball 2", "gym", 180, 111, 55),
        )
    )

    assert len(found.rows) == 3
    (remark,) = [each for each in found.remarks if "two balls" in each]
    assert "Basket-ball 1" in remark
    assert "Basketball 2" not in remark


@pytest.mark.parametrize(
    ("names", "count"),
    [
        (["Football", "Footbal"], 1),
        (["Ball A", "Ball B"], 0),
        (["Size 5", "Size 4"], 0),
        (["Volleyball", "Handball"], 0),
        (["Red", "Rad"], 0),
    ],
)
def test_only_names_one_slip_apart_are_alike(names, count):
    assert len(names_alike(names)) == count


def test_pressures_within_a_gauges_uncertainty_are_one_condition():
    rows = [
        ("Oak", "A1", "gym", 180, 110, kpa) for kpa in (55, 55.158, 56.4, 56.6, 53.4)
    ]
    found = bounciness(class_table(*rows))

    # 53.4 reaches to 54.9; 55 reaches to 56.5; 56.6 starts anew.
    assert [row.n for row in found.rows] == [3, 1, 1]
    assert found.rows[0].gauge_pressure == pytest.approx(
        np.mean([55000, 55158, 56400]), rel=1e-12
    )


def test_a_blank_pressure_is_a_condition_of_its_own():
    found = bounciness(
        class_table(
            ("Oak", "A1", "gym", 180, 110, 55), ("Oak", "A1", "gym", 180, 110, "")
        )
    )

    assert [row.gauge_pressure for row in found.rows] == [pytest.approx(55000), None]


def test_drops_without_a_temperature_join_where_only_one_was_measured():
    rows = [
        ("Oak", "A1", "gym", 180, 110, 55, 20),
        ("Elm", "A1", "gym", 180, 111, 55, ""),
        ("Oak", "B1", "gym", 180, 110, 55, 20),
        ("Oak", "B1", "gym", 180, 110, 55, 5),
        ("Elm", "B1", "gym", 180, 111, 55, ""),
    ]
    found = bounciness(class_table(*rows, extra=["temperature (°C)"]))

    assert [row.n for row in found.rows] == [2, 1, 1, 1]


@given(
    values=st.lists(st.floats(0, 100) | st.just(math.nan), min_size=1, max_size=30),
    parents=st.data(),
)
@settings(max_examples=60)
def test_a_cluster_never_reaches_further_than_allowed_and_never_crosses(
    values, parents
):
    values = np.array(values)
    parent = np.array(
        parents.draw(
            st.lists(st.integers(0, 3), min_size=values.size, max_size=values.size)
        )
    )
    codes = nominal(values, parent, lambda first: np.full_like(first, 1.5))

    for code in set(codes.tolist()):
        inside = codes == code
        assert len(set(parent[inside])) == 1
        blank = np.isnan(values[inside])
        assert blank.all() or not blank.any()
        if not blank.any():
            assert np.ptp(values[inside]) <= 1.5 * (1 + 1e-6)
    for first in set(parent.tolist()):
        clusters = [
            values[(codes == code) & (parent == first)]
            for code in set(codes[parent == first].tolist())
        ]
        starts = sorted(c.min() for c in clusters if not np.isnan(c).any())
        assert all(b - a > 1.5 for a, b in pairwise(starts))


# Points of the ball


def test_a_top_reading_loses_the_diameter():
    circumference = 76.0
    table = class_table(
        ("Oak", "Basketball 1", "gym", 180, 130, 55, circumference),
        extra=["circumference (cm)"],
    )
    raw = bounciness(table, quality=EXACT).rows[0]
    table = class_table(
        ("Oak", "Basketball 1", "gym", 180, 130, 55, circumference, "top"),
        extra=["circumference (cm)", "rebound point"],
    )
    row = bounciness(table, quality=EXACT).rows[0]

    bottom = 1.30 - 0.76 / math.pi
    assert row.rebound_height == pytest.approx(bottom, rel=1e-12)
    assert row.e == pytest.approx(math.sqrt(bottom / 1.80), rel=1e-12)
    # PHYSICS of the trap: leaving it in raises e by about 0.08.
    assert raw.e - row.e == pytest.approx(0.08, abs=0.01)


def test_the_same_point_read_twice_gives_what_the_bottom_gives():
    rows = {
        point: bounciness(
            class_table(
                ("Oak", "A1", "gym", 180 + over, 110 + over, 55, 24, point, point),
                extra=["diameter (cm)", "drop point", "rebound point"],
            )
        ).rows[0]
        for point, over in (("bottom", 0), ("centre", 12), ("top", 24))
    }

    for row in rows.values():
        assert row.e == pytest.approx(rows["bottom"].e, rel=1e-12)


def test_a_missing_diameter_is_the_catalogues_and_less_sure():
    def row(diameter):
        return bounciness(
            class_table(
                ("Oak", "Basketball size 7", "gym", 180, 130, 55, diameter, "top"),
                extra=["diameter (cm)", "rebound point"],
            )
        ).rows[0]

    measured, looked_up = row("24"), row("")
    assert looked_up.diameter == find_ball("Basketball size 7").diameter_m
    assert any("catalogue" in remark for remark in looked_up.remarks)
    assert not any("catalogue" in remark for remark in measured.remarks)
    assert looked_up.u > measured.u


def test_a_drop_without_any_diameter_is_left_out_with_the_reason():
    found = bounciness(
        class_table(
            ("Oak", "thing", "gym", 180, 130, 55, "top"),
            ("Oak", "thing", "gym", 180, 110, 55, "bottom"),
            extra=["rebound point"],
        )
    )

    (row,) = found.rows
    assert (row.n, row.left_out) == (1, 1)
    assert "diameter is not known" in row.unused[0].why
    assert (found.findings[-1].row, found.findings[-1].column) == (1, "diameter_m")


# The estimate and its uncertainty


def test_e_is_the_mean_of_the_drops_and_the_rest_follows():
    row = one(110, 112, 114)
    each = np.sqrt(np.array([110, 112, 114]) / 180)

    assert row.e == pytest.approx(each.mean(), rel=1e-12)
    assert row.resilience == pytest.approx(each.mean() ** 2, rel=1e-12)
    assert row.energy_lost == pytest.approx(1 - each.mean() ** 2, rel=1e-12)
    assert row.basis.type_a == pytest.approx(each.std(ddof=1) / math.sqrt(3), rel=1e-9)
    assert row.basis.dof_a == 2


def test_what_all_drops_share_is_added_once_after_averaging():
    many = one(*[110, 112, 114, 109, 113, 111] * 20)
    few = one(110, 112, 114, 109, 113, 111)

    assert many.basis.type_b == pytest.approx(few.basis.type_b, rel=1e-3)
    assert many.u > few.basis.type_b
    assert many.basis.type_a < few.basis.type_a / 4


def test_the_budget_is_that_of_finite_differences():
    quality = ReadingQuality()
    table = class_table(
        ("Oak", "Basketball 1", "gym", 180, 130, 55, 24, "top"),
        extra=["diameter (cm)", "rebound point"],
    )
    terms = bounciness(table, quality=quality).rows[0].basis.terms
    step = 1e-6

    def e(drop=1.80, top=1.30, diameter=0.24, offset=0.0):
        return math.sqrt((top + offset - diameter) / (drop + offset))

    for name, moved, half_width in (
        ("setting the drop height", e(drop=1.80 + step), quality.drop_half_width),
        ("the tape's zero", e(offset=step), quality.tape_offset_half_width),
        ("the ball's diameter", e(diameter=0.24 + step), quality.diameter_half_width),
        ("reading the rebound", e(top=1.30 + step), quality.rebound_half_width),
    ):
        slope = abs(moved - e()) / step
        assert terms[name] == pytest.approx(slope * half_width / math.sqrt(3), rel=1e-4)


@pytest.mark.parametrize("points", [("top", "top"), ("bottom", "centre")])
def test_the_diameters_share_follows_the_points_that_were_read(points):
    table = class_table(
        ("Oak", "Basketball 1", "gym", 200, 130, 55, 24, *points),
        extra=["diameter (cm)", "drop point", "rebound point"],
    )
    shares = [{"bottom": 0.0, "centre": 0.5, "top": 1.0}[each] for each in points]
    step = 1e-6

    def e(diameter):
        return math.sqrt((1.30 - shares[1] * diameter) / (2.0 - shares[0] * diameter))

    slope = abs(e(0.24 + step) - e(0.24)) / step
    term = bounciness(table).rows[0].basis.terms["the ball's diameter"]
    assert term == pytest.approx(slope * 0.003 / math.sqrt(3), rel=1e-4)


def test_reading_error_counts_for_a_single_drop_and_not_twice_for_several():
    single, several = one(111), one(108, 111, 114)

    assert single.basis.terms["reading the rebound"] > 0
    assert several.basis.terms["reading the rebound"] == 0
    assert math.isinf(single.nu_eff)
    assert any("One drop" in remark for remark in single.remarks)
    assert single.to_dict()[0]["nu_eff"] is None


def test_drops_that_agree_better_than_they_can_be_read_keep_the_reading_error():
    row = one(111, 111, 111)

    assert row.basis.type_a == 0
    assert row.basis.terms["reading the rebound"] > 0
    assert any("agree better" in remark for remark in row.remarks)


def test_welch_satterthwaite_and_student_give_the_interval():
    from scipy import stats

    row = one(108, 111, 114, 110)
    basis = row.basis
    u = math.hypot(basis.type_a, basis.type_b)
    nu = u**4 / (basis.type_a**4 / 3)

    assert row.u == pytest.approx(u, rel=1e-12)
    assert row.nu_eff == pytest.approx(nu, rel=1e-9)
    assert row.expanded == pytest.approx(stats.t.ppf(0.975, nu) * u, rel=1e-9)


def test_groups_that_differ_are_the_units():
    rows = [("Oak", h) for h in (110, 110.5, 111)] + [
        ("Elm", h) for h in (116, 116.5, 117)
    ]
    found = bounciness(
        class_table(*[(g, "A1", "gym", 180, h, 55) for g, h in rows])
    ).rows[0]
    means = [
        np.sqrt(np.array([h for g, h in rows if g == who]) / 180).mean()
        for who in ("Oak", "Elm")
    ]

    assert found.basis.by_group
    assert found.basis.dof_a == 1
    assert found.basis.type_a == pytest.approx(
        np.std(means, ddof=1) / math.sqrt(2), rel=1e-9
    )
    assert found.e == pytest.approx(np.mean(means), rel=1e-12)
    assert any("scatter more than their own" in remark for remark in found.remarks)


def test_groups_that_agree_are_pooled():
    rows = [("Oak", h) for h in (108, 111, 114)] + [("Elm", h) for h in (109, 111, 113)]
    found = bounciness(
        class_table(*[(g, "A1", "gym", 180, h, 55) for g, h in rows])
    ).rows[0]

    assert not found.basis.by_group
    assert found.basis.dof_a == 5


def test_very_low_rebounds_use_the_ratio_of_means():
    row = one(1, 2, 6)

    assert row.e == pytest.approx(math.sqrt(0.03 / 1.80), rel=1e-9)
    assert row.basis.low
    assert row.basis.coarse


def test_a_dead_ball_has_e_0_and_an_interval_above_it():
    row = one(0, 0, 0)

    assert row.e == 0
    assert row.energy_lost == 1
    # sqrt(1 cm / 180 cm) is 0.07: what a reading error of 1 cm can hide.
    assert 0.02 < row.expanded < 0.09
    assert all(math.isfinite(v) for v in (row.u, row.expanded))


def test_monte_carlo_agrees_with_an_independent_run():
    row = one(6, 13, 11, 16)  # e about 0.25; the rebound known to a fifth
    assert row.basis.coarse
    random = np.random.default_rng(1)
    size = 400_000
    ratio = row.rebound_height / row.drop_height
    q = row.basis.quality
    rebound = (
        row.rebound_height
        + row.basis.rebound_type_a * random.standard_t(3, size)
        + random.uniform(-1, 1, size) * q.tape_offset_half_width * (1 - ratio)
    )
    drop = row.drop_height + random.uniform(-1, 1, size) * q.drop_half_width
    apart = np.abs(np.sqrt(np.maximum(rebound, 0) / drop) - math.sqrt(ratio))

    assert row.expanded == pytest.approx(np.quantile(apart, 0.95), rel=0.03)


@pytest.mark.parametrize(
    ("trials", "half_widths"),
    [
        (5, (0.010, 0.010, 0.003)),
        (8, (0.005, 0.010, 0.010)),
        (12, (0.020, 0.010, 0.005)),
    ],
)
def test_intervals_hold_the_true_e_in_95_of_100_classes(trials, half_widths):
    drop_a, read_a, tape_a = half_widths
    quality = ReadingQuality(drop_a, read_a, tape_a)
    random = np.random.default_rng(trials)
    classes, truth, height = 4000, 0.78, 1.80
    shape = (classes, trials)

    def uniform(half_width, size):
        return random.uniform(-half_width, half_width, size)

    tape = uniform(tape_a, (classes, 1))
    fallen = height + tape + uniform(drop_a, (classes, 1))
    e = random.normal(truth, 0.0075, shape)
    read = fallen * e**2 - tape + uniform(read_a, shape)
    row = bounciness(many(classes, trials, height, read), quality=quality).estimates

    covered = np.mean(np.abs(row.e - truth) <= row.expanded)
    assert 0.93 <= covered <= 0.97


def many(balls, trials, height, rebounds):
    """A table of balls with their trials, built without texts."""
    size = balls * trials
    blank = np.full(size, "", dtype=object)
    table = pd.DataFrame({name: blank for name in COLUMNS})
    table["ball"] = np.repeat([f"thing {k} x" for k in range(balls)], trials)
    table["drop_point"] = table["rebound_point"] = "bottom"
    table["drop_height_m"] = height
    table["rebound_height_m"] = np.ravel(rebounds)
    for name in ("diameter_m", "gauge_pressure_pa", "temperature_c"):
        table[name] = np.nan
    table.index = pd.RangeIndex(2, size + 2, name="row")
    return Drops(table, pd.DataFrame(index=table.index))


# Air


def test_without_air_e_is_higher_and_labelled_apart():
    row = one(108, 111, 114)

    # A basketball from 1.8 m: the plain e is about 3 % low.
    assert row.no_air / row.e == pytest.approx(1 / 0.9691, abs=0.005)
    assert row.no_air_u > row.u
    assert one(108, 111, ball="pebble").no_air is None


def test_the_drag_coefficients_doubt_is_carried():
    row = one(108, 111, 114, quality=EXACT)
    ball = find_ball("Basketball 1")
    share = ball.drag_coefficient_u / ball.drag_coefficient

    # 20 % of the drag coefficient moves a basketball's e by about 0.005.
    assert row.basis.drag_term == pytest.approx(0.005 * share / 0.2, rel=0.2)
    assert row.no_air_u == pytest.approx(
        math.hypot(row.u * row.no_air / row.e, row.basis.drag_term), rel=1e-9
    )


# Flags


def test_left_out_and_set_aside_drops_are_not_used_and_are_accounted_for():
    drops = check_drops(
        class_table(
            ("Oak", "A1", "gym", 180, 110, 55, ""),
            ("Oak", "A1", "gym", 180, 111, 55, ""),
            ("Oak", "A1", "gym", 180, 190, 55, ""),
            ("Oak", "A1", "gym", 180, "112", 55, "yes"),
            ("Oak", "A1", "gym", 180, "6l.5", 55, ""),
            ("Oak", "A1", "gym", 180, 112, 55, ""),
            extra=["set aside"],
        )
    )
    found = bounciness(drops)

    (row,) = found.rows
    assert (row.n, row.left_out, row.set_aside) == (3, 2, 1)
    assert sorted(each.line for each in row.unused) == [3, 4, 5]
    assert (found.left_out, found.set_aside) == (2, 1)
    assert any(remark.startswith("Row 3 is left out: ") for remark in row.remarks)
    html = found._repr_html_()
    assert "2 drops were left out and 1 set aside" in html
    assert f"Readings to look at: {len(found.findings)}" in html
    assert found.findings[0].why in html


def test_an_unchecked_rebound_above_the_drop_is_left_out_all_the_same():
    row = one(110, 111, 190)

    assert (row.n, row.left_out) == (2, 1)
    assert "higher than it fell" in row.unused[0].why


def test_doubtful_drops_stay_in_and_are_counted():
    drops = check_drops(
        class_table(
            *[("Oak", "A1", "gym", 180, h, 55) for h in (110, 111, 112, 111, 44)]
        )
    )
    row = bounciness(drops).rows[0]

    assert (row.n, row.doubtful) == (5, 1)
    assert any("doubtful" in remark for remark in row.remarks)


# Ranges


def top_read(*rebounds, ball="Basketball size 7", drop=180):
    return class_table(
        *[("Oak", ball, "gym", drop, h, 55, 24, "top") for h in rebounds],
        extra=["diameter (cm)", "rebound point"],
    )


def basketball_range():
    return next(
        each
        for each in ranges()
        if each.drop_height_m == pytest.approx(1.8) and each.rebound_point == "top"
    )


@pytest.mark.parametrize(
    ("heights", "word"),
    [
        ((129, 130, 131), "meets"),
        ((150, 151, 152), "does not meet"),
        ((139, 140, 141), "cannot be told"),
    ],
)
def test_the_verdict_compares_raw_heights_at_the_rules_own_point(heights, word):
    rule = basketball_range()
    row = bounciness(top_read(*heights), ranges=[rule]).rows[0]

    (verdict,) = row.verdicts
    assert verdict.word == word
    assert verdict.rebound == pytest.approx(np.mean(heights) / 100, rel=1e-9)


def test_a_rule_that_reads_the_top_gets_the_diameter_back():
    rule = basketball_range()
    table = class_table(
        *[("Oak", "Basketball size 7", "gym", 180, h, 55, 24) for h in (105, 106, 107)],
        extra=["diameter (cm)"],
    )
    (verdict,) = bounciness(table, ranges=[rule]).rows[0].verdicts

    assert verdict.rebound == pytest.approx(1.06 + 0.24, rel=1e-9)
    assert verdict.word == "meets"


def test_the_diameter_does_not_matter_where_the_rules_points_were_read():
    rule = basketball_range()
    sure, unsure = (
        bounciness(
            top_read(129, 130, 131),
            ranges=[rule],
            quality=ReadingQuality(diameter_half_width=width),
        )
        .rows[0]
        .verdicts[0]
        for width in (0.0, 0.05)
    )

    assert sure.standard_uncertainty == pytest.approx(
        unsure.standard_uncertainty, rel=1e-9
    )


@pytest.mark.parametrize("points", [("bottom", "bottom"), ("top", "top")])
def test_another_point_than_the_rules_brings_the_diameters_doubt(points):
    # The rule drops the bottom and reads the top, so y = r (H - S) + d.
    shares = [{"bottom": 0.0, "top": 1.0}[each] for each in points]
    rows = [("Oak", "Basketball 7", "gym", 180 + 24 * shares[0]) for _ in range(3)]
    heights = [h + 24 * shares[1] for h in (105, 106, 107)]
    table = class_table(
        *[(*r, h, 55, 24, *points) for r, h in zip(rows, heights, strict=True)],
        extra=["diameter (cm)", "drop point", "rebound point"],
    )

    def u(width):
        quality = ReadingQuality(diameter_half_width=width)
        found = bounciness(table, quality=quality, ranges=[basketball_range()])
        return found.rows[0].verdicts[0].standard_uncertainty

    def rebound(diameter):
        lowest = 1.06 + 0.24 * shares[1] - shares[1] * diameter
        fallen = 1.80 + 0.24 * shares[0] - shares[0] * diameter
        return lowest / fallen * 1.80 + diameter

    slope = abs(rebound(0.24 + 1e-6) - rebound(0.24)) / 1e-6
    added = math.sqrt(u(0.02) ** 2 - u(0.0) ** 2)
    assert added == pytest.approx(slope * 0.02 / math.sqrt(3), rel=1e-3)


def test_another_drop_height_cannot_be_told():
    (verdict,) = (
        bounciness(top_read(84, 85, 86, drop=100), ranges=[basketball_range()])
        .rows[0]
        .verdicts
    )

    assert (verdict.word, verdict.probability) == ("cannot be told", None)
    assert "drops from 180.0 cm, this ball from 100.0 cm" in verdict.reason


def test_a_drop_a_little_too_high_is_made_good_in_proportion():
    (verdict,) = (
        bounciness(top_read(129, 130, 131, drop=182), ranges=[basketball_range()])
        .rows[0]
        .verdicts
    )

    made_good = 1.06 * 1.80 / 1.82 + 0.24
    assert f"{made_good * 100:.1f} cm" in verdict.reason
    assert "scaled in proportion" in verdict.reason


def test_a_range_is_for_its_kind_of_ball_only():
    rule = basketball_range()
    tennis = class_table(("Oak", "Tennis ball", "gym", 180, 100, ""))

    assert bounciness(tennis, ranges=[rule]).rows[0].verdicts == ()


def test_a_ball_of_unknown_kind_is_compared_with_the_only_range():
    rule = basketball_range()
    odd = top_read(129, 130, 131, ball="Mystery")
    others = [each for each in ranges() if each.id != rule.id][:1]

    (row,) = bounciness(odd, ranges=[rule]).rows
    assert len(row.verdicts) == 1
    assert any("does not know this ball" in remark for remark in row.remarks)
    assert bounciness(odd, ranges=[rule, *others]).rows[0].verdicts == ()


def test_two_fitting_ranges_give_two_rows_of_json():
    rule = basketball_range()
    plain = bounciness(
        top_read(129, 130, 131), ranges=[rule, find_range(rule.id)]
    ).to_dict()

    assert [each["range"] for each in plain["rows"]] == [rule.id, rule.id]
    assert plain["rows"][0]["e"] == plain["rows"][1]["e"]


# What is given out


def test_json_has_the_promised_keys_and_no_nan():
    found = bounciness(check_drops(class_table(("Oak", "x", "gym", 180, 111, ""))))
    plain = found.to_dict()

    json.dumps(plain, allow_nan=False)
    assert {
        "ball",
        "floor",
        "gauge_pressure_pa",
        "n",
        "drop_height_m",
        "rebound_height_m",
        "e",
        "u_e",
        "U_e",
        "nu_eff",
        "energy_lost",
        "e_no_air",
        "range",
        "verdict",
        "probability",
    } <= set(plain["rows"][0])
    assert plain["rows"][0]["e_no_air"] is None
    assert list(found.table().columns) == list(plain["rows"][0])


def test_names_cannot_act_as_html_or_markdown():
    found = bounciness(class_table(("Oak", "<b>|*x*", "gym", 180, 111, 55)))

    assert "<b>" not in found._repr_html_()
    assert "<b>" not in found.rows[0].working()._repr_html_()
    assert "&lt;b&gt;\\|\\*x\\*" in found.rows[0].working()._repr_markdown_()


def test_the_working_shows_the_students_own_numbers():
    found = bounciness(top_read(129, 130, 131), ranges=[basketball_range()])
    text = str(found.rows[0].working())

    assert "√(105.0 ÷ 180.0) = 0.7638" in text
    assert "The top of the ball was read at the rebound; its lowest point is" in text
    assert "s ÷ √3" in text
    assert shown(found.rows[0].e, found.rows[0].expanded) in text
    assert "Verdict: meets" in text


def test_many_drops_of_groups_that_differ_have_a_short_working():
    rows = [
        (group, "A1", "gym", 180, height + k % 3, 55)
        for group, height in (("Oak", 110), ("Elm", 116), ("Ash", 113))
        for k in range(20)
    ]
    text = str(bounciness(class_table(*rows)).rows[0].working())

    assert "The first 40 of 60 drops are shown." in text
    assert "The mean of the 3 groups' means of e is" in text
    assert "s ÷ √3" in text


@pytest.mark.parametrize("make", [(111,), (111, 111), (0, 0), (1, 2, 3), (108, 115)])
def test_every_case_has_a_working(make):
    steps = one(*make).working().steps

    assert all(step.lines for step in steps)
    assert "nan" not in str(one(*make).working())


@pytest.mark.parametrize(
    ("value", "half_width", "text"),
    [
        (0.77614, 0.01349, "0.776 ± 0.013"),
        (0.77614, 0.0996, "0.78 ± 0.10"),
        (0.77614, 0.00999, "0.776 ± 0.010"),
        (0.5, 0.0, "0.500"),
        (123.4, 12.3, "123 ± 12"),
    ],
)
def test_uncertainties_keep_two_digits(value, half_width, text):
    assert shown(value, half_width) == text


def test_no_drop_at_all_gives_no_rows():
    found = bounciness(read_rows(HEADINGS, []))

    assert found.rows == ()
    assert found.to_dict()["rows"] == []


def test_an_impossible_reading_quality_is_refused():
    with pytest.raises(InputError, match="tape offset half width: read -1, allowed 0"):
        ReadingQuality(tape_offset_half_width=-1)


# Laws

heights = st.floats(5.0, 170.0)


@given(st.lists(heights, min_size=1, max_size=8), st.floats(0.5, 3.0))
@settings(max_examples=40, deadline=None)
def test_e_does_not_depend_on_the_scale(rebounds, scale):
    first = many(1, len(rebounds), 1.8, np.array(rebounds) / 100)
    second = many(1, len(rebounds), 1.8 * scale, scale * np.array(rebounds) / 100)

    assert bounciness(first).rows[0].e == pytest.approx(
        bounciness(second).rows[0].e, rel=1e-9
    )


@pytest.mark.parametrize(
    ("drop", "rebound", "left_out", "e"),
    [
        ("9.3e-180", "0", 1, []),
        ("1e-7", "1e-8", 1, []),
        ("1", "2.2e-311", 0, [0.0]),
        ("2e-6", "1e-6", 0, [math.sqrt(0.5)]),
    ],
)
def test_heights_of_next_to_nothing_break_nothing(drop, rebound, left_out, e):
    found = bounciness(read_rows(["drop (m)", "rebound (m)"], [[drop, rebound]]))

    assert found.left_out == left_out
    assert [row.e for row in found.rows] == pytest.approx(e)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["A", "a ", "B"]),
            st.sampled_from(["", "Oak", "Elm"]),
            st.floats(-0.5, 3) | st.sampled_from([math.nan, math.inf]),
            st.floats(-0.5, 3) | st.sampled_from([math.nan, math.inf]),
            st.sampled_from(["bottom", "centre", "top"]),
            st.sampled_from(["", "doubtful", "left_out", "set_aside"]),
        ),
        max_size=12,
    )
)
@settings(max_examples=60, deadline=None)
def test_every_drop_is_used_or_accounted_for_once(rows):
    table = many(1, len(rows), 1.0, [0.5] * len(rows)).table
    columns = list(zip(*rows, strict=True)) or [[]] * 6
    for name, values in zip(
        ("ball", "group", "drop_height_m", "rebound_height_m", "drop_point", "flag"),
        columns,
        strict=True,
    ):
        table[name] = list(values)
    drops = Drops(table, pd.DataFrame(index=table.index))
    found = bounciness(drops)
    sorted_ = sort_drops(drops)

    assert sum(row.n for row in found.rows) + len(sorted_.unused) == len(rows)
    lines = [*sorted_.line.tolist(), *sorted_.unused[:, 0].tolist()]
    assert sorted(lines) == table.index.tolist()
    for row in found.rows:
        assert 0 <= row.e <= 1
        assert row.expanded >= 0
        assert math.isfinite(row.expanded)
