import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import TableError
from bouncelab.readings.drops import COLUMNS, Finding, read_rows, with_findings
from bouncelab.readings.headings import read_heading

HEADINGS = ["group", "ball", "drop height (cm)", "rebound height (cm)", "trial"]


@pytest.mark.parametrize(
    ("heading", "column", "unit", "point"),
    [
        ("Drop height (cm)", "drop_height_m", "cm", ""),
        ("drop_height_m", "drop_height_m", "m", ""),
        ("Drop Ht (in)", "drop_height_m", "in", ""),
        ("HEIGHT OF DROP", "drop_height_m", "", ""),
        ("drop height to bottom (cm)", "drop_height_m", "cm", "bottom"),
        ("bounce height in inches", "rebound_height_m", "in", ""),
        ("Rebound height, top (in)", "rebound_height_m", "in", "top"),
        ('bounce (")', "rebound_height_m", "in", ""),
        ("Point read at rebound", "rebound_point", "", ""),
        ("drop point", "drop_point", "", ""),
        ("PSI", "gauge_pressure_pa", "psi", ""),
        ("Pressure (bar abs)", "gauge_pressure_pa", "bar absolute", ""),
        ("Ball temp (C)", "temperature_c", "°C", ""),
        ("Team", "group", "", ""),
        ("ball type", "ball", "", ""),
        ("Ball diameter (mm)", "diameter_m", "mm", ""),
        ("Circumference [in]", "circumference", "in", ""),
        ("Drop no.", "trial", "", ""),
        ("surface", "floor", "", ""),
        ("set aside", "set aside", "", ""),
        ("favourite colour", "", "", ""),
    ],
)
def test_a_heading_is_known_in_common_words(heading, column, unit, point):
    found = read_heading(heading)

    assert (found.column, found.unit, found.point) == (column, unit, point)


def test_every_column_is_there_whatever_the_table_held():
    drops = read_rows(["drop", "rebound"], [["1 m", "50 cm"]])

    assert list(drops.table.columns) == list(COLUMNS)
    assert drops.table.index.name == "row"
    assert str(drops.table["trial"].dtype) == "Int64"
    assert "the bottom of the ball is taken" in drops.remarks[0]


def test_the_points_that_were_read_are_kept():
    headings = ["drop (cm)", "drop point", "rebound to the top (cm)"]
    drops = read_rows(headings, [["180", "Lowest", "1.30 m"], ["180", "side", "120"]])

    assert drops.table["drop_point"].tolist() == ["bottom", ""]
    assert drops.table["rebound_point"].tolist() == ["top", "top"]
    assert drops.table["flag"].tolist() == ["", "left_out"]
    assert "bottom, centre, top" in drops.findings[0].why


def test_a_circumference_gives_the_diameter_and_two_sizes_are_compared():
    headings = ["drop (cm)", "rebound (cm)", "circumference (cm)", "diameter (cm)"]
    rows = [["180", "110", "75.4", ""], ["180", "110", "75.4", "24"]]
    rows += [["180", "110", "75.4", "20"], ["180", "110", "", ""]]
    drops = read_rows(headings, rows)

    expected = [75.4 / np.pi / 100, 0.24, 0.2, np.nan]
    np.testing.assert_allclose(drops.table["diameter_m"], expected)
    assert drops.table["flag"].tolist() == ["", "", "doubtful", ""]
    assert [(f.row, f.read) for f in drops.findings] == [(3, "20")]


@pytest.mark.parametrize(
    ("drop", "rebound", "flag", "words"),
    [
        ("180", "0", "", ""),  # a dead ball
        ("0", "0", "left_out", "above zero"),
        ("-180", "110", "left_out", "above zero"),
        ("180", "-1", "left_out", "below the floor"),
        ("180", "", "left_out", "rebound height is missing"),
        ("NaN", "110", "left_out", "no drop height"),
        ("inf", "110", "left_out", "no drop height"),
        ("180", "1O5", "left_out", "no rebound height"),
    ],
)
def test_a_height_that_cannot_be_is_left_out_with_its_reason(
    drop, rebound, flag, words
):
    drops = read_rows(HEADINGS, [["Oak", "A", drop, rebound, "1"]])

    assert drops.table["flag"].tolist() == [flag]
    assert words in drops.table["why"].iloc[0]


def test_a_cell_that_is_not_needed_leaves_the_drop_in():
    drops = read_rows(HEADINGS, [["Oak", "A", "180", "110", "first"]])

    assert drops.table["flag"].tolist() == ["doubtful"]
    assert drops.table["trial"].isna().all()


def test_findings_are_added_once_and_a_persons_decision_stays():
    drops = read_rows(
        [*HEADINGS, "set aside"], [["", "A", "180", "110", "", "yes"]] * 2
    )
    odd = Finding(2, "rebound_height_m", "110", "Odd.", "Look.", "odd", "doubtful")

    once = with_findings(drops, [odd])
    twice = with_findings(once, [odd])

    assert twice.findings == once.findings
    assert twice.table["flag"].tolist() == ["set_aside", "set_aside"]
    assert twice.table["why"].tolist() == ["", "Odd."]
    assert drops.table["why"].tolist() == ["", ""]


@pytest.mark.parametrize(
    ("headings", "words"),
    [
        (["ball", "rebound (cm)"], "a heading “drop height” with its unit"),
        (["drop (cm)", "ball"], "a heading “rebound height” with its unit"),
        (["drop (cm)", "rebound (cm)", "Ball", "ball"], "one heading for each"),
    ],
)
def test_headings_that_do_not_do_are_named(headings, words):
    with pytest.raises(TableError, match=words):
        read_rows(headings, [["1"] * len(headings)])


@settings(max_examples=150, deadline=None)
@given(st.lists(st.lists(st.text(max_size=9), max_size=7), max_size=12))
def test_no_row_is_lost_and_nothing_crashes(rows):
    drops = read_rows(HEADINGS, rows)

    assert len(drops.table) == len(rows)
    shown = drops.typed.to_numpy().tolist()
    for typed, row in zip(shown, rows, strict=True):
        assert typed[: len(row)] == row
    good = drops.table["flag"] == ""
    assert (
        drops.table.loc[good, ["drop_height_m", "rebound_height_m"]]
        .notna()
        .to_numpy()
        .all()
    )
