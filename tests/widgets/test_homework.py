"""Sheets made and marked by widgets: what is pressed, said, and written."""

import html
import json

import pytest

from bouncelab.widgets.homework import MakeSheets, MarkSheets
from bouncelab.worksheets.keys import read_key
from worksheets.example import source_bytes


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.ipynb").write_bytes(source_bytes())
    (tmp_path / "roster.csv").write_text("name\nAnn <b>Example\nBo Test\n")
    return tmp_path


def made(desk):
    maker = MakeSheets()
    maker.source.value, maker.students.value = "mine.ipynb", "roster.csv"
    maker.seed.value, maker.forms.value = "words", ("ipynb",)
    maker.make.click()
    return maker


def test_an_example_is_shown_with_its_key_and_writes_nothing(desk):
    maker = MakeSheets()
    maker.source.value = "mine.ipynb"
    before = sorted(desk.iterdir())
    maker.look.click()

    assert maker.shown.value.count("<iframe sandbox") == 2
    assert "How much speed comes back?" in maker.said.value
    assert "&lt;math" in maker.shown.value  # real mathematics, of the key
    assert sorted(desk.iterdir()) == before


def test_sheets_stand_in_the_folder_and_are_counted(desk):
    maker = made(desk)

    assert "✓ 2 sheets" in maker.said.value
    assert len(list((desk / "sheets" / "students").glob("*.ipynb"))) == 2
    assert maker.bar.value == maker.bar.max > 1
    students = {row.student for row in read_key(desk / "sheets/teacher/key.csv")}
    assert students == {"Ann <b>Example", "Bo Test"}


def test_what_is_missing_is_said_in_one_line(desk):
    maker = MakeSheets()
    maker.source.value, maker.seed.value = "mine.ipynb", "words"
    maker.make.click()
    assert "neither a list of names nor a number" in maker.said.value
    maker.blank.value, maker.seed.value = 1, " "
    maker.make.click()
    assert "the seed of worksheets" in maker.said.value
    maker.seed.value, maker.out.value = "words", ""
    maker.make.click()
    assert "the folder for the sheets" in maker.said.value
    maker.source.value = "<i>none.ipynb"
    maker.look.click()
    assert "&lt;i&gt;none.ipynb" in maker.said.value
    assert maker.shown.value == ""
    assert not (desk / "sheets").exists()


def test_filled_sheets_are_marked_and_the_class_is_shown(desk):
    made(desk)
    rows = read_key(desk / "sheets" / "teacher" / "key.csv")
    for row in rows:
        path = desk / "sheets" / "students" / f"{row.file}.ipynb"
        book = json.loads(path.read_text("utf-8"))
        for cell in book["cells"]:
            if cell["id"] == f"answer-{row.question}" and row.student == "Bo Test":
                cell["source"] = row.shown or "because"
        path.write_text(json.dumps(book), "utf-8")
    (desk / "sheets" / "students" / "cut.ipynb").write_bytes(b"{")
    marker = MarkSheets()
    marker.mark.click()

    assert "✓ 2 sheets marked" in marker.said.value
    assert "3 answers wait for your eye" in marker.said.value
    assert "cut.ipynb" in marker.said.value
    assert (desk / "marks.csv").read_text("utf-8-sig").count("\n") == 3
    assert (desk / "marks_feedback" / "all_students.pdf").is_file()
    page = html.unescape(marker.shown.value)
    assert "Questions most missed" in page
    assert "<b>Example" not in page


def test_a_folder_or_key_that_is_not_there_is_said(desk):
    marker = MarkSheets()
    marker.mark.click()
    assert "✕" in marker.said.value
    assert "sheets/students" in marker.said.value
    marker.folder.value = ""
    marker.mark.click()
    assert "neither a folder" in marker.said.value
    assert marker.shown.value == ""
