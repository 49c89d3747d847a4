"""The lab driven from Python; what a student sees is in tests/browser."""

import pytest

from bouncelab.readings.journal import Journal
from bouncelab.widgets.drop_lab import DropLab


@pytest.fixture
def lab(tmp_path):
    return DropLab("lab", folder=tmp_path / "readings")


def put(lab, row, **cells):
    for column, text in cells.items():
        lab.take({"do": "cell", "row": row, "column": column, "text": text})


def put_drops(lab, rebounds, drop="200"):
    for row, rebound in enumerate(rebounds):
        put(lab, row, ball="Futsal A", drop_height=drop, rebound_height=rebound)


def results(lab):
    return lab.table.state["results"]


def test_an_empty_lab_says_what_to_do_first(lab):
    assert results(lab)["lines"] == []
    assert "a drop height and a rebound height" in results(lab)["advice"]
    assert not lab.journal.path.exists()


def test_the_answer_follows_each_key(lab):
    put_drops(lab, ["61", "62", "60"])
    lab.take({"do": "setup", "field": "range", "text": "futsal-law-2"})

    (line,) = results(lab)["lines"]
    assert line["word"] == "meets"
    assert line["cells"][2:5] == ["3", "200.0 cm", "61.0 cm"]
    put(lab, 1, rebound_height="6")
    assert "(probability" in results(lab)["lines"][0]["verdict"]
    assert results(lab)["lines"][0]["word"] == "cannot be told"


def test_a_range_for_another_ball_is_said(lab):
    put_drops(lab, ["61", "62"])
    lab.take({"do": "setup", "field": "range", "text": "tennis-itf"})

    said = "This range is for another ball: tennis ball."
    assert results(lab)["lines"][0]["reason"].casefold() == said.casefold()


def test_without_a_range_one_sentence_asks_for_one(lab):
    put_drops(lab, ["61", "62"])

    assert results(lab)["advice"].endswith("Choose a range above the table.")
    assert results(lab)["lines"][0]["reason"] == ""
    assert lab.table.state["rule"] == ""


def test_the_chosen_range_is_told_with_its_source(lab):
    lab.take({"do": "setup", "field": "range", "text": "racquetball-usa"})

    rule = lab.table.state["rule"]
    assert rule.startswith("Dropped from 254.0 cm (bottom of the ball), it must come")
    assert "Temperature: 21.1 °C to 23.3 °C." in rule
    assert "Source: USA Racquetball rule 2.2 (rules page:" in rule


def test_a_ball_of_unknown_size_read_at_the_top_asks_for_its_circumference(lab):
    lab.take({"do": "setup", "field": "rebound_point", "text": "top"})
    put(lab, 0, ball="Mystery", drop_height="180", rebound_height="110")

    (finding,) = lab.table.state["findings"]
    assert (finding["column"], finding["read"]) == ("circumference", "")
    assert finding["said"].endswith("write it under circumference.")
    put(lab, 0, circumference="70 cm")
    # 110 cm - 70 cm / pi = 87.72 cm, of 180 cm: the root of the ratio is 0.6981.
    assert lab.found.rows[0].e == pytest.approx(0.6981, abs=5e-5)


def test_a_doubtful_drop_is_looked_at_before_more_drops_are_asked_for(lab):
    lab.take({"do": "setup", "field": "range", "text": "futsal-law-2"})
    put_drops(lab, ["61", "62", "24.2", "61.5", "60"])

    (line,) = results(lab)["lines"]
    assert line["word"] == "cannot be told"
    assert line["reason"].startswith("Look first at what is marked “?” above.")


def test_a_reason_that_holds_for_many_rows_is_told_once(lab):
    for row in range(3):
        put(
            lab,
            row,
            ball="Volleyball",
            drop_height="180",
            rebound_height=str(100 + row),
            gauge_pressure="60",
        )

    first, *later = [each["said"] for each in lab.table.state["findings"]]
    assert "can burst" in first
    assert later == ["As in row 1."] * 2


def test_a_finding_points_at_its_cell_in_the_sheet(lab):
    put_drops(lab, ["61", "6l", "60"])

    (finding,) = lab.table.state["findings"]
    assert (finding["row"], finding["column"]) == (2, "rebound_height")
    assert finding["weight"] == "unreadable"
    assert results(lab)["remarks"][0] == "1 drop was left out and none set aside."


def test_the_point_read_changes_the_answer_and_the_drawing(lab):
    put_drops(lab, ["81", "82"])
    before = lab.found.rows[0].e
    lab.take({"do": "setup", "field": "rebound_point", "text": "top"})
    put(lab, 0, circumference="63 cm")
    put(lab, 1, circumference="63 cm")

    # 63 cm / pi = 20.05 cm comes off: 81.5 - 20.05 = 61.45 cm of 200 cm.
    assert lab.found.rows[0].e == pytest.approx((0.6145 / 2) ** 0.5, abs=2e-4)
    assert lab.found.rows[0].e < before
    drop, rebound = lab.table.state["points"]["balls"]
    assert drop["read"] == pytest.approx(drop["centre"] - drop["radius"])
    assert rebound["read"] == pytest.approx(rebound["centre"] + rebound["radius"])


def test_what_is_refused_is_said_and_changes_nothing(lab):
    put_drops(lab, ["61"])
    before = lab.journal.sheet
    lab.take({"do": "paste", "row": 0, "column": "note", "text": "a\tb"})

    assert lab.table.state["refused"].startswith("Not done, nothing was changed: ")
    assert "Copy fewer columns" in lab.table.state["refused"]
    assert lab.journal.sheet == before


def test_a_full_disk_is_said_until_there_is_room(lab, monkeypatch):
    put_drops(lab, ["61"])

    def refuse(_number):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", refuse)
        put(lab, 1, rebound_height="62")
        assert "no space left on device" in lab.table.state["problem"]
        assert len(lab.drops.table) == 2

    put(lab, 2, rebound_height="60")
    assert lab.table.state["problem"] == ""
    assert len(Journal(lab.journal.path).sheet.rows) == 3


def test_a_class_file_that_cannot_be_written_is_said(lab):
    put_drops(lab, ["61"])
    lab.journal.path.with_suffix(".csv").mkdir()
    lab.save()

    assert "saving lab.csv" in lab.table.state["refused"]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("90", "without a unit"),
        ("90", "Write a height with its unit, such as 90 cm."),
        ("90 kg", "which is no length"),
        ("61 cm", "as close as tape and eyes can tell"),
        ("90 cm", "29.0 cm less"),
        ("0,4 m", "21.0 cm more"),
    ],
)
def test_a_prediction_is_set_beside_what_was_measured(lab, typed, words):
    lab.take({"do": "setup", "field": "prediction", "text": typed})
    put_drops(lab, ["61", "61"])

    assert words in lab.prediction.state["answer"]


def test_a_school_can_add_a_range_of_its_own(tmp_path):
    own = tmp_path / "own.csv"
    own.write_text(
        "id,ball,drop height (cm),rebound at least (cm),rebound at most (cm)\n"
        "larkfield-house,futsal,200,58,64\n",
        encoding="utf-8",
    )
    lab = DropLab("lab", folder=tmp_path, own_ranges=own)
    put_drops(lab, ["61", "62", "60"])
    lab.take({"do": "setup", "field": "range", "text": "larkfield-house"})

    assert results(lab)["lines"][0]["word"] == "meets"
