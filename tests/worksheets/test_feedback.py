"""Feedback: a page for each student, kind words that fit, a summary to be read."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from bouncelab.cli import main
from bouncelab.errors import InputError
from bouncelab.worksheets.class_marks import (
    ClassMarks,
    SheetMarks,
    mark_class,
    read_folder,
)
from bouncelab.worksheets.feedback import (
    feedback_paper,
    marks_csv,
    summary_paper,
    write_marks,
)
from bouncelab.worksheets.filled import Filled
from bouncelab.worksheets.keys import KeyRow, key_bytes, read_key
from bouncelab.worksheets.marking import mark_sheet
from worksheets.example import source_bytes

E = KeyRow(
    code="K7QM3X-RD",
    student="Ann Example",
    file="Ann_Example_K7QM3X-RD",
    number="1",
    question="e",
    kind="number",
    answer=0.7717,
    shown="0.77",
    quantity="ratio",
    tolerance=0.0077,
    figures=(2, 3),
    marks=2,
    wrong={"square root forgotten": 0.5955},
)
WIDE = replace(
    E,
    number="2",
    question="across",
    answer=24.51,
    shown="24.5 cm",
    unit="cm",
    quantity="length",
    tolerance=0.3,
    figures=None,
    wrong={"circumference halved": 38.5},
)
GRAMS = replace(
    WIDE,
    question="start",
    answer=8.437,
    shown="8.4 J",
    unit="J",
    quantity="energy",
    tolerance=0.09,
    wrong={"grams for kilograms": 8437.0},
)
WHY = replace(E, number="3", question="why", kind="words", wrong={})
OTHER = {"code": "M6XB46-VW", "student": "مريم", "file": "M6XB46-VW"}


def sheet(student="Ann Example", **answers):
    rows = [replace(row, student=student) for row in (E, WIDE, WHY)]
    marked = mark_sheet(rows, answers, None)
    return SheetMarks(student, E.code, "homework.ipynb", marked, [])


def test_an_empty_newer_file_takes_no_written_one_s_place():
    for order in ((0, 1), (1, 0)):
        both = [
            Filled("written.ipynb", E.code, {"e": "0.77", "across": ""}),
            Filled("empty.ipynb", E.code, {"e": "", "across": ""}),
        ]
        (marked,) = mark_class([E, WIDE], [both[k] for k in order], None).sheets
        assert (marked.file, marked.total) == ("written.ipynb", 2)
        assert "empty.ipynb" in marked.notes[-1]


def test_files_of_one_name_are_told_apart_by_their_folders(tmp_path):
    for name in ("ann", "bo"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "homework.ipynb").write_text('{"cells": []}')
    (tmp_path / "bo" / "cut.ipynb").write_text('{"cells": [')
    filled, problems = read_folder(tmp_path)
    names = {each.file for each in filled}
    assert names == {"ann/homework.ipynb", "bo/homework.ipynb"}
    assert problems[0].startswith("bo/cut.ipynb: ")


def test_what_was_handed_in_as_something_else_is_said(tmp_path):
    (tmp_path / "ann").mkdir()
    (tmp_path / "marks_feedback").mkdir()
    (tmp_path / "ok.ipynb").write_text('{"cells": []}')
    for name in ("ann/sheet.PDF", "ok.pdf", "ok.html", "marks_feedback/all.pdf"):
        (tmp_path / name).write_bytes(b"%PDF")
    filled, problems = read_folder(tmp_path)

    assert [each.file for each in filled] == ["ok.ipynb"]
    (said,) = problems
    assert said.startswith("ann/sheet.PDF: this is no notebook")


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({}, "Nothing is written yet"),
        ({"e": "0.77", "across": "24.5 cm", "why": "x"}, "All that you worked out"),
        ({"e": "0.77", "across": "24.5 cm"}, "Some lines are still empty"),
        ({"e": "0.77", "across": "24.5", "why": "x"}, "Units and figures"),
        ({"e": "0.77", "across": "30 cm", "why": "x"}, "lines with ✗"),
        ({"e": "0.77", "across": "wide", "why": "x"}, "lines with ?"),
        ({"e": "0.60", "across": "24.5 cm"}, "A slip with a name"),
    ],
)
def test_the_kind_word_fits_what_was_written(answers, words):
    text = feedback_paper(sheet(**answers), "Sheet").text
    assert words in text
    assert ("lines with ✗" in text) == ("| ✗ |" in text)


def test_files_of_one_name_get_a_page_each_and_none_takes_the_summary_s_place(tmp_path):
    key = [*[E, WIDE, WHY], *[replace(row, **OTHER) for row in (E, WIDE, WHY)]]
    filled = [
        Filled("homework.ipynb", E.code, {"e": "0.77"}),
        Filled("summary.ipynb", "M6XB46-VW", {"e": "0.60"}),
    ]
    marks = mark_class(key, filled, None)
    made = write_marks(marks, tmp_path / "marks.csv", "Sheet")

    pages = [path.name for path in made if path.suffix == ".html"]
    assert sorted(pages) == [
        "Ann_Example_K7QM3X-RD.html",
        "M6XB46-VW.html",
        "summary.html",
    ]
    assert len(set(made)) == len(made)
    assert "Questions most missed" in made[1].read_text("utf-8")


def test_a_word_wider_than_a_column_is_cut_and_a_long_name_is_not():
    long = "Anna Sofia Guilhermina Albuquerque de Vasconcelos"
    marks = ClassMarks([sheet("L" + 80 * "o" + "ng"), sheet(long)])
    text = summary_paper(marks, "Sheet").text
    assert max(len(word) for word in text.split()) == 31
    assert f"L{29 * 'o'}…" in text
    assert f"| {long} |" in text


def test_a_name_from_right_to_left_leaves_the_code_beside_it_whole():
    told = sheet("مريم الزهراء", why="x")
    paper = feedback_paper(told, "Sheet")
    assert paper.footer == "\u2068مريم الزهراء\u2069 · K7QM3X-RD"
    assert "\u2068مريم الزهراء\u2069, 3" in summary_paper(ClassMarks([told]), "S").text
    assert feedback_paper(sheet(), "Sheet").footer == "Ann Example · K7QM3X-RD"


@pytest.mark.parametrize(
    ("row", "text", "marks", "idea"),
    [
        (E, "0.8", 1, "rounded too far"),
        (E, "77", 1, "% left out"),
        (E, "3/4", 0, ""),
        (E, "1", 0, ""),
        (E, "0.79", 0, ""),
        (WIDE, "25 cm", 1, "rounded too far"),
        (WIDE, "25", 0, "rounded too far"),
        (WIDE, "0.25 m", 1, "rounded too far"),
        (WIDE, "24 cm", 0, ""),
        (WIDE, "20 cm", 0, ""),
        (WIDE, "24.5 m", 1, "wrong unit"),
        (GRAMS, "8440 J", 0, "grams for kilograms"),
        (GRAMS, "8300 J", 0, ""),
        (replace(WIDE, marks=1), "25 cm", 0, "rounded too far"),
    ],
)
def test_a_slip_of_writing_costs_one_mark_and_is_named(row, text, marks, idea):
    (marked,) = mark_sheet([row], {row.question: text}, None)
    assert (marked.result, marked.marks, marked.idea) == ("wrong", marks, idea)


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("it is elastic", "wrong"),
        ("not elastic", "unread"),
        ("It isn’t elastic", "unread"),
        ("partly", "unread"),
        ("no, it can't be told", "unread"),
        ("It can’t be told", "right"),
        ("can not be told", "right"),
    ],
)
def test_a_choice_that_is_denied_is_not_taken_for_chosen(text, result):
    among = ("elastic", "inelastic", "cannot be told")
    row = replace(E, kind="choice", answer="cannot be told", choices=among, wrong={})
    (marked,) = mark_sheet([row], {"e": text}, None)
    assert marked.result == result


def test_marks_written_into_an_earlier_table_are_kept(tmp_path):
    out, older = tmp_path / "marks.csv", tmp_path / "marks_older_1.csv"
    first = ClassMarks([sheet(e="0.77")])
    write_marks(first, out, "Sheet")
    write_marks(first, out, "Sheet")
    assert not older.exists()  # nothing differs, so nothing is to be kept

    mine = out.read_bytes() + b"my own marks\n"
    out.write_bytes(mine)
    write_marks(first, out, "Sheet")
    write_marks(ClassMarks([sheet(e="0.60")]), out, "Sheet")
    assert older.read_bytes() == mine
    assert (tmp_path / "marks_older_2.csv").read_bytes() == marks_csv(first)


def test_no_other_file_is_written_over_by_marks(tmp_path):
    key = tmp_path / "key.csv"
    key.write_bytes(whole := key_bytes([E, WIDE, WHY]))
    with pytest.raises(InputError, match="is no table of marks"):
        write_marks(ClassMarks([sheet(e="0.77")]), key, "Sheet")
    assert [each.name for each in tmp_path.iterdir()] == ["key.csv"]
    assert key.read_bytes() == whole


def test_a_table_saved_by_a_spreadsheet_is_still_one_of_marks(tmp_path):
    out, marks = tmp_path / "marks.csv", ClassMarks([sheet(e="0.77")])
    saved = marks_csv(marks).replace(b",", b";").replace(b"\n", b"\r\n")
    out.write_bytes(saved)
    write_marks(marks, out, "Sheet")
    assert (tmp_path / "marks_older_1.csv").read_bytes() == saved


@pytest.mark.parametrize("name", ["marks.xlsx", ".", "/", "marks"])
def test_marks_go_only_into_a_file_that_opens_as_a_table(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=r"ends in \.csv"):
        write_marks(ClassMarks([sheet(e="0.77")]), Path(name), "Sheet")
    assert list(tmp_path.iterdir()) == []


def test_boxes_without_names_are_read_by_the_numbers_printed_above(tmp_path):
    (tmp_path / "source.ipynb").write_bytes(source_bytes())
    asked = [
        "worksheets",
        str(tmp_path / "source.ipynb"),
        "--seed",
        "s",
        "--blank",
        "1",
    ]
    assert main([*asked, "--out", str(tmp_path), "--forms", "ipynb"]) == 0
    (path,) = (tmp_path / "students").iterdir()
    book = json.loads(path.read_text("utf-8"))
    boxes = [cell for cell in book["cells"] if cell["id"].startswith("answer-")]
    for k, box in enumerate(boxes):
        box |= {"cell_type": "code", "source": f"{k}.5"}
    for cell in book["cells"]:
        del cell["id"]
        cell["metadata"] = {}
    scratch = {"cell_type": "code", "metadata": {}, "source": "1 + 1"}
    book["cells"].insert(book["cells"].index(boxes[1]) + 1, scratch)
    del book["cells"][book["cells"].index(boxes[0])]
    path.write_text(json.dumps(book), "utf-8")

    filled, _ = read_folder(path.parent)
    numbers = [row.number for row in read_key(tmp_path / "teacher" / "key.csv")]
    there = {n: f"{k}.5" for k, n in enumerate(numbers)}
    del there[numbers[0]]  # its box was deleted: the next one does not take its place
    assert filled[0].answers == there
    assert "by their places" in filled[0].notes[0]
