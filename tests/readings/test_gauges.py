"""Pressures that no ball holds: never explained as what others read."""

from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import read_rows

HEADINGS = ["group", "ball", "drop (cm)", "rebound (cm)", "pressure (bar)"]


def test_a_pressure_that_no_ball_holds_is_never_said_to_fit() -> None:
    """A column of other numbers under bar: 87 bar less the air outside fits nothing."""
    typed = {"A": ("87", "92"), "B": ("86", "95"), "C": ("88", "90")}
    rows = [
        [group, "my ball", "180", "104", pressure]
        for group, pressures in typed.items()
        for pressure in pressures
    ]
    findings = check_drops(read_rows(HEADINGS, rows)).findings

    assert {each.row for each in findings} == set(range(1, 7))
    assert not any("bar abs" in each.cure for each in findings)
    assert {each.check for each in findings} <= {
        "pressure unit slip",
        "unlikely pressure",
    }


def test_a_real_absolute_reading_is_still_offered_as_one() -> None:
    pressures = ("0.55", "0.55", "0.55", "0.55", "1.563")
    rows = [["A", "my ball", "180", "104", pressure] for pressure in pressures]
    (found,) = check_drops(read_rows(HEADINGS, rows)).findings

    assert found.check == "absolute for gauge"
    assert "write 1.563 bar abs" in found.cure
