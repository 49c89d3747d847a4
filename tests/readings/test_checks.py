"""Each doubtful reading is found, once, with a reason and a cure."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.readings.checks import CHECKS, check_drops
from bouncelab.readings.drops import Drops, Finding, read_rows

TWO = ["drop height (cm)", "rebound height (cm)"]
BALL = ["ball", *TWO, "circumference (cm)"]
CLASS = ["group", "ball", *TWO]


def checked(headings: list[str], rows: list[list[str]]) -> Drops:
    return check_drops(read_rows(headings, rows))


def trials(drop: str, *rebounds: str) -> list[list[str]]:
    return [[drop, rebound] for rebound in rebounds]


def only(drops: Drops) -> Finding:
    assert len(drops.findings) == 1, drops.findings
    return drops.findings[0]


def of_class(*groups: tuple[str, str, tuple[str, ...]]) -> list[list[str]]:
    """Give a class's rows: the ball, a drop height and rebounds for each group."""
    return [
        [f"Group {i}", ball, drop, rebound]
        for i, (ball, drop, rebounds) in enumerate(groups)
        for rebound in rebounds
    ]


def test_ordinary_trials_are_left_alone() -> None:
    drops = checked(TWO, trials("180", "104", "106", "103", "105", "101"))
    assert drops.findings == ()
    assert set(drops.table["flag"]) == {""}


def test_a_rebound_above_the_drop_is_left_out() -> None:
    drops = checked(TWO, trials("100", "62", "64", "61", "113"))
    found = only(drops)
    assert (found.check, found.weight) == ("rebound above drop", "impossible")
    assert (found.row, found.column, found.read) == (4, "rebound_height_m", "113")
    assert drops.table["flag"].tolist() == ["", "", "", "left_out"]


def test_heights_that_changed_places_are_said_to_have() -> None:
    rows = [*trials("180", "104", "105", "103"), ["104", "180"]]
    assert "changed places" in only(checked(TWO, rows)).cure


def test_a_rebound_equal_to_the_drop_is_doubtful_and_stays_in() -> None:
    drops = checked(TWO, trials("100", "62", "64", "61", "100"))
    assert only(drops).check == "rebound equals drop"
    assert drops.table["flag"].tolist()[-1] == "doubtful"


def test_nothing_but_flag_and_why_is_changed() -> None:
    before = read_rows(TWO, trials("100", "62", "64", "25", "113", "100"))
    after = check_drops(before)
    assert after.findings
    same = [name for name in before.table if name not in {"flag", "why"}]
    pd.testing.assert_frame_equal(before.table[same], after.table[same])
    pd.testing.assert_frame_equal(before.typed, after.typed)


def test_checking_twice_finds_nothing_twice() -> None:
    once = checked(TWO, trials("100", "62", "64", "25", "113", "100"))
    assert check_drops(once).findings == once.findings


def test_a_rebound_read_in_inches_is_offered_in_inches() -> None:
    found = only(checked(TWO, trials("100", "62", "64", "63", "24.5")))
    assert found.check == "unit slip"
    assert found.cure == "If you read inches, write 24.5 in."


def test_a_rebound_read_in_centimetres_is_offered_in_centimetres() -> None:
    headings = ["drop height (in)", "rebound height (in)"]
    found = only(checked(headings, trials("72", "41", "42", "41 1/2", "105")))
    assert found.check == "unit slip"
    # 105 in is above the drop of 72 in, so the row cannot stand as it is.
    assert found.weight == "impossible"
    assert found.cure == "If you read centimetres, write 105 cm."


def test_a_drop_read_in_inches_is_found_in_its_own_cell() -> None:
    rows = [*trials("183", "104", "105", "103", "106"), ["72", "104"]]
    found = only(checked(TWO, rows))
    assert (found.column, found.check) == ("drop_height_m", "unit slip")
    assert found.cure == "If you read inches, write 72 in."


def test_inches_in_both_heights_are_found_though_their_ratio_is_right() -> None:
    rows = [*trials("183", "104", "105", "103", "106"), ["72", "41"]]
    found = only(checked(TWO, rows))
    assert (found.column, found.check) == ("drop_height_m", "unit slip")
    assert "rebound too" in found.cure


def test_a_group_that_reads_inches_throughout_is_found_by_the_others() -> None:
    good = ("183", ("104", "105", "103"))
    rows = of_class(
        ("football", *good), ("football", *good), ("football", "72", ("41", "41", "42"))
    )
    found = checked(CLASS, rows).findings
    assert [each.row for each in found] == [7, 8, 9]
    assert {each.check for each in found} == {"unit slip"}


@pytest.mark.parametrize("metric", ["60", "100"])
def test_planned_heights_in_the_ratio_of_an_inch_are_no_slip(metric: str) -> None:
    tall = {"60": "150", "100": "254"}[metric]
    share = [f"{0.6 * float(drop):.0f}" for drop in (tall, metric)]
    good = ("football", tall, (share[0],) * 3)
    rows = of_class(good, good, good, ("football", metric, (share[1],) * 3))
    assert checked(CLASS, rows).findings == ()


@pytest.mark.parametrize(
    ("typed", "meant"), [("0.64", "64"), ("640", "64"), ("6.3", "63"), ("46", "64")]
)
def test_a_slipped_digit_is_mended_in_words(typed: str, meant: str) -> None:
    found = only(checked(TWO, trials("100", "62", "64", "63", "64", typed)))
    assert found.check == "digit slip"
    assert f"was it {meant}?" in found.cure


def test_exchanged_digits_are_mended_in_words() -> None:
    found = only(checked(TWO, trials("200", "127", "128", "126", "172")))
    assert found.check == "digit slip"
    assert "was it 127?" in found.cure


def test_metres_in_a_column_of_centimetres_are_a_slipped_point() -> None:
    rows = [*trials("183", "104", "105", "103", "106"), ["1.83", "1.04"]]
    found = only(checked(TWO, rows))
    assert (found.column, found.check) == ("drop_height_m", "digit slip")


def test_the_top_read_once_is_one_ball_too_high() -> None:
    rows = [["my ball", "180", r, "76"] for r in ("104", "105", "103", "128")]
    found = only(checked(BALL, rows))
    assert found.check == "points mixed up"
    assert "from bottom to top" in found.cure


def test_the_bottom_read_once_is_one_ball_too_low() -> None:
    headings = [*BALL, "rebound point"]
    rows = [["b", "180", r, "76", "top"] for r in ("129", "128", "130", "104")]
    found = only(checked(headings, rows))
    assert found.check == "points mixed up"
    assert "from top to bottom" in found.cure


def test_a_group_that_reads_the_top_is_found_by_the_other_groups() -> None:
    good = ("basketball", "180", ("104", "105", "103"))
    rows = of_class(good, good, good, ("basketball", "180", ("128", "129", "127")))
    found = checked([*CLASS, "circumference (cm)"], [[*row, "76"] for row in rows])
    assert [each.row for each in found.findings] == [10, 11, 12]
    assert {each.check for each in found.findings} == {"points mixed up"}


@pytest.mark.parametrize("groups", [3, 4, 5])
def test_a_group_that_reads_the_top_is_found_in_a_table_of_one_ball(
    groups: int,
) -> None:
    middles = (98, 96, 100, 97)[: groups - 1]
    usual = [("football", "180", (f"{m}", f"{m + 2}", f"{m - 1}")) for m in middles]
    rows = of_class(*usual, ("football", "180", ("119", "121", "118")))
    drops = checked([*CLASS, "diameter (cm)"], [[*row, "22"] for row in rows])
    assert {each.check for each in drops.findings} == {"points mixed up"}
    assert [each.row for each in drops.findings] == [len(rows) - i for i in (2, 1, 0)]


def test_balls_that_differ_much_are_no_mixed_points() -> None:
    rows = of_class(*(("football", "180", (f"{m}",) * 3) for m in (88, 96, 104, 115)))
    drops = checked([*CLASS, "diameter (cm)"], [[*row, "22"] for row in rows])
    assert drops.findings == ()


def test_a_basketball_livelier_than_its_published_ranges_was_read_at_the_top() -> None:
    rows = [["basketball size 7", "180", r, "76"] for r in ("130", "131", "129")]
    found = checked(BALL, rows).findings
    assert {each.check for each in found} == {"points mixed up"}
    assert "higher than this kind of ball can bounce" in found[0].why


def test_a_top_lower_than_the_ball_is_wide_cannot_be() -> None:
    headings = [*BALL, "rebound point"]
    found = only(checked(headings, [["b", "180", "15", "76", "top"]]))
    assert (found.check, found.weight) == ("points mixed up", "impossible")


def test_an_outlier_is_said_to_be_one_by_its_rule() -> None:
    found = only(checked(TWO, trials("180", "104", "105", "103", "106", "83")))
    assert found.check == "far from its trials"
    assert "modified z-score" in found.why
    assert "set this drop aside" in found.cure


def test_a_drop_is_compared_with_those_from_its_own_height() -> None:
    # 68 from 80 would be ordinary for this ball's share from 50, not from 80.
    rows = [
        *trials("50", "42", "43", "42", "43"),
        *trials("80", "56", "57", "56", "68"),
    ]
    found = only(checked(TWO, rows))
    assert (found.row, found.read) == (8, "68")


def test_equal_trials_do_not_make_the_next_centimetre_an_outlier() -> None:
    drops = checked(TWO, trials("180", "104", "104", "104", "104", "106"))
    assert drops.findings == ()


def test_a_drop_set_aside_does_not_spoil_the_others() -> None:
    headings = [*TWO, "set aside"]
    rows = [["180", r, ""] for r in ("104", "105", "103", "106")]
    drops = checked(headings, [*rows, ["180", "60", "yes"]])
    assert drops.table["flag"].tolist() == ["", "", "", "", "set_aside"]


def test_a_dead_ball_is_no_mistake() -> None:
    assert checked(TWO, trials("180", "0", "0", "1", "2", "0")).findings == ()


def test_a_drop_from_too_high_is_asked_about() -> None:
    found = checked(TWO, trials("720", "400", "405", "410")).findings
    assert {each.check for each in found} == {"unlikely height"}


def test_sixty_eight_degrees_celsius_are_fahrenheit() -> None:
    rows = [["180", "104", each] for each in ("20", "20", "68")]
    found = only(checked([*TWO, "temperature (°C)"], rows))
    assert (found.check, found.cure) == (
        "°F for °C",
        "If the thermometer read °F, write 68 °F.",
    )


def test_twenty_degrees_fahrenheit_are_celsius() -> None:
    rows = [["180", "104", each] for each in ("68", "68", "20")]
    found = only(checked([*TWO, "temperature (°F)"], rows))
    assert found.cure == "If the thermometer read °C, write 20 °C."


PRESSED = ["ball", "pressure (kPa)", *TWO]


def pressed(*pairs: tuple[str, str]) -> list[list[str]]:
    return [["my ball", pressure, "180", rebound] for pressure, rebound in pairs]


AT_55 = [("55", "104"), ("55", "105"), ("55", "103"), ("55", "106")]


@pytest.mark.parametrize(
    ("typed", "check", "cure"),
    [
        ("156.3", "absolute for gauge", "write 156.3 kPa abs"),
        ("8", "pressure unit slip", "write 8 psi"),
        ("0.55", "pressure unit slip", "write 0.55 bar"),
    ],
)
def test_a_pressure_in_another_unit_is_offered_in_it(
    typed: str, check: str, cure: str
) -> None:
    found = only(checked(PRESSED, pressed(*AT_55, (typed, "104"))))
    assert (found.column, found.check) == ("gauge_pressure_pa", check)
    assert cure in found.cure


def test_an_absolute_pressure_alone_is_not_compared_with_drops_that_are_not_there() -> (
    None
):
    rows = [["football", "180", "98", "181"], ["football", "180", "99", "181"]]
    found = checked(["ball", *TWO, "pressure (kPa)"], rows).findings
    assert {each.check for each in found} == {"absolute for gauge"}
    assert "other drops" not in found[0].why


def test_one_pressure_of_three_in_another_unit_is_found() -> None:
    rows = [["basketball", "180", "98", p] for p in ("55", "8", "55")]
    found = only(checked(["ball", *TWO, "pressure (kPa)"], rows))
    assert (found.check, found.row) == ("pressure unit slip", 2)


def test_a_flat_ball_that_bounces_like_one_was_read_in_the_right_unit() -> None:
    assert checked(PRESSED, pressed(*AT_55, ("8", "52"))).findings == ()


def test_less_pressure_than_the_air_outside_is_asked_about() -> None:
    rows = [["my ball", "0.6", "180", "104"]]
    found = only(checked(["ball", "absolute pressure (bar)", *TWO], rows))
    assert found.check == "absolute for gauge"


def test_a_pressure_beyond_the_marked_maximum_warns_of_bursting() -> None:
    rows = [["football size 5", "300", "200", "130"]]
    found = only(checked(PRESSED, rows))
    assert found.check == "unlikely pressure"
    assert "burst" in found.cure


def test_a_trial_that_comes_twice_with_the_same_reading_is_a_copy() -> None:
    rows = [[str(n), "180", r] for n, r in enumerate(("104", "105", "103"), 1)]
    found = only(checked(["trial", *TWO], [*rows, rows[-1]]))
    assert (found.row, found.check) == (4, "copied row")


def test_two_series_with_the_same_trial_numbers_are_no_copies() -> None:
    rows = [
        [str(n), "180", r]
        for series in (("104", "105", "103"), ("105", "105", "106"))
        for n, r in enumerate(series, 1)
    ]
    assert checked(["trial", *TWO], rows).findings == ()


def test_equal_readings_alone_are_no_copies() -> None:
    rows = [[str(n), "180", "104"] for n in range(1, 6)]
    assert checked(["trial", *TWO], rows).findings == ()


def test_every_finding_bears_the_name_of_a_check_in_the_list() -> None:
    names = {check.name for check in CHECKS}
    rows = [
        *trials("180", "104", "105", "103", "41", "80", "1040", "180", "999"),
        *trials("7000", "400"),
    ]
    found = checked(TWO, rows).findings
    assert len(found) >= 5
    assert {each.check for each in found} <= names


ORDINARY = [
    "0",
    "1",
    "2",
    "24",
    "62",
    "64",
    "72",
    "100",
    "182.9",
    "1e6",
    "-3",
    "x",
    "0,6",
]
EXTREME = ["", "1e300", "1e-300", "99999999999999999999"]
numbers = st.sampled_from([*ORDINARY, *EXTREME])
rows_of_anything = st.lists(
    st.tuples(
        st.sampled_from(["", "Oak", "Elm"]),
        st.sampled_from(["", "tennis ball", "basketball", "🏀"]),
        st.sampled_from(["", "1", "2", "999999999999999999", "-999999999999999999"]),
        numbers,
        numbers,
        st.sampled_from(["", "bottom", "top", "centre"]),
        numbers,
        numbers,
        numbers,
    ),
    max_size=25,
)


@settings(max_examples=60, deadline=None)
@given(rows_of_anything)
def test_no_table_loses_a_row_a_number_or_a_cell_s_only_reason(
    rows: list[tuple[str, ...]],
) -> None:
    headings = ["group", "ball", "trial", *TWO, "rebound point"]
    headings += ["circumference (cm)", "pressure (kPa)", "temperature (°C)"]
    before = read_rows(headings, [list(row) for row in rows])
    after = check_drops(before)
    same = [name for name in before.table if name not in {"flag", "why"}]
    pd.testing.assert_frame_equal(before.table[same], after.table[same])
    cells = [(each.row, each.column) for each in after.findings]
    assert len(cells) == len(set(cells))
    for each in after.findings:
        assert each.why.endswith(".")
        assert each.cure.endswith((".", "?"))
