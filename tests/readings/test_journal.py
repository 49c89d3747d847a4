import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import BounceLabError, FileError, InputError
from bouncelab.readings.journal import Journal
from bouncelab.readings.sheet import COLUMNS, Sheet, apply


def cell(row, column, text):
    return {"do": "cell", "row": row, "column": column, "text": text}


names = st.sampled_from([c.name for c in COLUMNS])
rows = st.integers(0, 6)
texts = st.text(max_size=12)
steps = st.one_of(
    st.builds(cell, rows, names, texts),
    st.builds(
        lambda r, c, t: {"do": "paste", "row": r, "column": c, "text": t},
        rows,
        names,
        st.text(alphabet="7 2\t\n,½🏀א", max_size=20),
    ),
    st.builds(lambda n: {"do": "add", "count": n}, st.integers(1, 3)),
    st.builds(lambda r: {"do": "aside", "row": r}, rows),
    st.sampled_from(
        [
            {"do": "unit", "column": "drop_height", "unit": "in"},
            {"do": "unit", "column": "drop_height", "unit": "cm"},
            {"do": "unit", "column": "ball", "unit": "cm"},
            {"do": "setup", "field": "group", "text": "Oak"},
            {"do": "setup", "field": "drop_point", "text": "side"},
            {"do": "undo"},
            {"do": "redo"},
            {"do": "dance"},
        ]
    ),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(steps, max_size=25))
def test_whatever_is_typed_is_found_again_after_a_kill(tmp_path_factory, work):
    path = tmp_path_factory.mktemp("journal") / "lab.jsonl"
    journal = Journal(path)
    for step in work:
        try:
            journal.step(step)
        except InputError:
            continue

        # As after kill -9: nothing is closed, a second process opens the file.
        found = Journal(path)
        assert found.sheet == journal.sheet
        assert found.remarks == []


def test_undo_takes_back_one_cell_however_many_keys_it_took(tmp_path):
    journal = Journal(tmp_path / "lab.jsonl")
    for text in ("7", "72", "72 ", "72 in"):
        journal.step(cell(0, "drop_height", text))
    journal.step(cell(0, "rebound_height", "5"))

    journal.step({"do": "undo"})
    assert journal.sheet.rows[0][2:4] == ("72 in", "")

    journal.step({"do": "undo"})
    assert journal.sheet == Sheet()

    journal.step({"do": "redo"})
    assert journal.sheet.rows[0][2] == "72 in"
    assert Journal(journal.path).sheet == journal.sheet


def test_a_line_cut_short_costs_that_line_only(tmp_path):
    path = tmp_path / "lab.jsonl"
    journal = Journal(path)
    journal.step(cell(0, "drop_height", "180"))
    journal.step(cell(0, "rebound_height", "110"))
    whole = path.read_bytes()
    path.write_bytes(whole[:-9])

    found = Journal(path)

    assert found.sheet.rows[0][2:4] == ("180", "")
    assert "1 line of the saved readings could not be read" in found.remarks[0]
    assert (tmp_path / "lab.jsonl.damaged").read_bytes() == whole[:-9]
    found.step(cell(0, "rebound_height", "111"))
    assert Journal(path).sheet.rows[0][3] == "111"


def test_a_spoilt_line_in_the_middle_is_passed_over(tmp_path):
    path = tmp_path / "lab.jsonl"
    journal = Journal(path)
    for text in ("110", "111"):
        journal.step(cell(0, "rebound_height", text))
    journal.step(cell(0, "note", "sat down"))
    lines = path.read_bytes().split(b"\n")
    lines[1] = b"\xff\x00 nonsense"
    path.write_bytes(b"\n".join(lines))

    assert Journal(path).sheet.rows[0][7] == "sat down"


def test_a_full_disk_keeps_the_reading_and_writes_it_later(tmp_path, monkeypatch):
    path = tmp_path / "lab.jsonl"
    journal = Journal(path)
    journal.step(cell(0, "drop_height", "180"))
    before = path.read_bytes()

    def refuse(_number):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", refuse)
        with pytest.raises(FileError, match="no space left on device"):
            journal.step(cell(0, "rebound_height", "110"))
        assert path.read_bytes() == before
        assert journal.sheet.rows[0][3] == "110"
        assert journal.unsaved == 1

    journal.step(cell(1, "rebound_height", "112"))

    assert journal.unsaved == 0
    assert Journal(path).sheet == journal.sheet
    assert [r[3] for r in journal.sheet.rows] == ["110", "112"]


def test_two_windows_on_one_file_do_not_mix(tmp_path):
    path = tmp_path / "lab.jsonl"
    first, second = Journal(path), Journal(path)
    first.step(cell(0, "ball", "Futsal A"))
    second.step(cell(0, "ball", "Tennis 3"))

    assert second.path.name == "lab-2.jsonl"
    assert "changed by another window" in second.remarks[0]
    assert Journal(path).sheet == first.sheet
    assert Journal(second.path).sheet == second.sheet


def test_a_long_journal_is_written_anew(tmp_path):
    path = tmp_path / "lab.jsonl"
    lines = [json.dumps({"sheet": Sheet().to_dict()})]
    lines += [json.dumps(cell(0, "note", str(n))) for n in range(2100)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    journal = Journal(path)

    assert journal.sheet.rows[0][7] == "2099"
    assert len(path.read_bytes().splitlines()) == 1
    assert Journal(path).sheet == journal.sheet


def test_a_folder_in_place_of_the_journal_is_said(tmp_path):
    with pytest.raises(FileError, match="a file that can be read"):
        Journal(tmp_path)


def test_a_changed_unit_leaves_numbers_already_typed_as_they_were_meant():
    sheet = Sheet()
    for row, text in enumerate(("180", "1,80 m", "5' 11", "")):
        sheet = apply(sheet, cell(row, "drop_height", text))

    sheet = apply(sheet, {"do": "unit", "column": "drop_height", "unit": "in"})

    assert [r[2] for r in sheet.rows] == ["180 cm", "1,80 m", "5' 11", ""]
    assert "drop height (in)" in sheet.headings()


def test_a_block_from_a_spreadsheet_fills_cells_and_adds_rows():
    step = {"do": "paste", "row": 0, "column": "drop_height"}
    sheet = apply(Sheet(), {**step, "text": "180\t110\r\n180\t112\r\n"})

    assert [r[2:4] for r in sheet.rows] == [("180", "110"), ("180", "112")]


def test_a_new_row_carries_the_ball_but_not_the_reading():
    sheet = apply(Sheet(), cell(0, "ball", "Futsal A"))
    sheet = apply(sheet, cell(0, "rebound_height", "60"))
    sheet = apply(sheet, {"do": "add"})

    assert sheet.rows[1][0] == "Futsal A"
    assert sheet.rows[1][3] == ""
    assert sheet.table()[0] == [1]


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ({"do": "dance"}, "a step"),
        (cell(9, "ball", "x"), "Add rows first"),
        (cell(0, "colour", "x"), "a column"),
        (cell(0, "ball", "x" * 501), "501 letters"),
        ({"do": "paste", "row": 0, "column": "note", "text": "a\tb"}, "fewer columns"),
        ({"do": "add", "count": 2000}, "2001 rows"),
        ({"do": "unit", "column": "drop_height", "unit": "psi"}, "cm, m, mm, in"),
        ({"do": "setup", "field": "rebound_point", "text": "side"}, "bottom, centre"),
        ({"do": "cell", "row": 0}, "all of its parts"),
    ],
)
def test_a_step_that_does_not_fit_is_refused_in_words(step, words):
    with pytest.raises(BounceLabError, match=words):
        apply(Sheet(), step)
