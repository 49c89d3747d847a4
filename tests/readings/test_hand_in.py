import csv

import pytest

from bouncelab.errors import FileError
from bouncelab.readings.files import read_drops
from bouncelab.readings.hand_in import hand_in
from bouncelab.readings.journal import Journal
from bouncelab.widgets.hand_in import HandIn


def put(folder, name, *steps):
    journal = Journal(folder / f"{name}.jsonl")
    for step in steps:
        journal.step(step)


def cell(column, text, row=0):
    return {"do": "cell", "row": row, "column": column, "text": text}


def setup(field, text):
    return {"do": "setup", "field": field, "text": text}


def read(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file))


def test_predictions_readings_and_answers_stand_in_one_file(tmp_path):
    put(
        tmp_path,
        "drop-lab",
        setup("group", "Oak"),
        setup("prediction", "90 cm"),
        cell("drop_height", "200"),
        cell("rebound_height", "6l"),
        cell("ball", "Futsal A", row=1),
    )
    put(tmp_path, "two-bodies", setup("answer-energy", "Warm,\nclay"))

    path, count = hand_in(tmp_path)

    rows = read(path)
    assert rows[0] == ["notebook", "what", "typed"]
    assert len(rows) == count + 1
    assert ["drop-lab", "group's name", "Oak"] in rows
    assert ["drop-lab", "prediction", "90 cm"] in rows
    assert ["drop-lab", "row 1, rebound height (cm)", "6l"] in rows
    assert ["two-bodies", "energy", "Warm,\nclay"] in rows


def test_what_a_spreadsheet_would_run_is_written_as_text(tmp_path):
    put(tmp_path, "two-bodies", setup("answer-energy", "=1+1"))
    path, _ = hand_in(tmp_path)

    assert read(path)[1][2] == "'=1+1"


def test_nothing_typed_is_said(tmp_path):
    with pytest.raises(FileError, match="Type something first"):
        hand_in(tmp_path)
    button = HandIn(tmp_path)
    button.button.click()

    assert "Type something first" in button.said.value


def test_the_button_says_where_the_file_is(tmp_path):
    put(tmp_path, "two-bodies", setup("answer-energy", "Warm."))
    button = HandIn(tmp_path)
    button.button.click()

    assert "hand-in.csv holds 1 entry." in button.said.value


def test_the_button_puts_everything_into_the_box_of_a_classroom_server(
    tmp_path, monkeypatch
):
    box = tmp_path / "hand-in" / "ada"
    box.mkdir(parents=True)
    monkeypatch.setenv("BOUNCELAB_HAND_IN", str(box))
    put(
        tmp_path / "readings",
        "drop-lab",
        cell("ball", "Futsal A"),
        cell("drop_height", "200 cm"),
        cell("rebound_height", "61 cm"),
    )
    panel = HandIn(tmp_path / "readings")
    panel.button.click()

    assert "Handed in at " in panel.said.value
    assert sorted(path.name for path in box.iterdir()) == [
        "ada-drop-lab.csv",
        "ada-hand-in.csv",
    ]
    assert len(read_drops(box / "ada-drop-lab.csv").table) == 1

    box.rename(tmp_path / "away")
    (tmp_path / "hand-in" / "ada").write_text("in the way")
    panel.button.click()
    assert "✕" in panel.said.value
    assert (tmp_path / "readings" / "hand-in.csv").is_file()
