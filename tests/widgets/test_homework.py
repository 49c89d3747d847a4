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
    maker.own.value, maker.students.value = "mine.ipynb", "roster.csv"
    maker.seed.value, maker.forms.value = "words", ("ipynb",)
    maker.make.click()
    return maker


def test_an_example_is_shown_with_its_key_and_writes_nothing(desk):
    maker = MakeSheets()
    maker.own.value = "mine.ipynb"
    before = sorted(desk.iterdir())
    maker.look.click()

    assert maker.shown.value.count("<iframe sandbox") == 2
    assert "How much speed comes back?" in maker.said.value
    assert "&lt;math" in maker.shown.value  # real mathematics, of the key
    assert sorted(desk.iterdir()) == before


def test_each_press_shows_other_numbers(desk):
    maker = MakeSheets()
    maker.own.value = "mine.ipynb"
    pages = set()
    for count in (1, 2, 3):
        maker.look.click()
        assert f"Example {count} of" in maker.said.value
        pages.add(maker.shown.value)
    assert len(pages) == 3


def test_the_kits_worksheets_are_chosen_by_title_and_age():
    titles = {name: title for title, name in MakeSheets().source.options}
    assert len(titles) >= 10
    assert titles["age_14_cold_ball"] == "A cold ball (from age 14)"


def test_no_form_chosen_makes_no_sheet_and_claims_none(desk):
    maker = MakeSheets()
    maker.own.value, maker.blank.value = "mine.ipynb", 1
    maker.seed.value, maker.forms.value = "words", ()
    maker.make.click()
    assert "✕ the forms of the sheets" in maker.said.value
    assert not (desk / "sheets").exists()


def test_what_nobody_foresaw_does_not_stay_at_working(desk, monkeypatch):
    def fails(*args, **kwargs):
        raise RuntimeError("unforeseen")

    monkeypatch.setattr("bouncelab.worksheets.making.make_sheets", fails)
    maker = MakeSheets()
    maker.own.value, maker.blank.value = "mine.ipynb", 1
    maker.make.click()
    assert "This could not be done" in maker.said.value


def test_sheets_stand_in_the_folder_and_are_counted(desk):
    maker = made(desk)

    assert "✓ 2 sheets" in maker.said.value
    assert len(list((desk / "sheets" / "students").glob("*.ipynb"))) == 2
    assert maker.bar.value == maker.bar.max > 1
    students = {row.student for row in read_key(desk / "sheets/teacher/key.csv")}
    assert students == {"Ann <b>Example", "Bo Test"}


def test_what_is_missing_is_said_in_one_line(desk):
    maker = MakeSheets()
    maker.own.value, maker.seed.value = "mine.ipynb", "words"
    maker.make.click()
    assert "neither a list of names nor a number" in maker.said.value
    maker.blank.value, maker.seed.value = 1, " "
    maker.make.click()
    assert "the seed of worksheets" in maker.said.value
    maker.seed.value, maker.out.value = "words", ""
    maker.make.click()
    assert "the folder for the sheets" in maker.said.value
    maker.own.value = "<i>none.ipynb"
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


def test_who_handed_in_nothing_and_a_lost_source_are_said(desk):
    made(desk)
    first, _ = sorted((desk / "sheets" / "students").glob("*.ipynb"))
    first.unlink()
    (desk / "sheets" / "teacher" / "source.ipynb").unlink()
    marker = MarkSheets()
    marker.mark.click()
    assert "✓ 1 sheet marked" in marker.said.value
    assert "Nothing came of: Ann &lt;b&gt;Example." in marker.said.value
    assert "carried-forward marks are not given" in marker.said.value


def test_a_folder_without_sheets_is_no_success(desk):
    made(desk)
    (desk / "empty").mkdir()
    marker = MarkSheets()
    marker.folder.value = "empty"
    marker.mark.click()
    assert "✕ No filled sheet of this key was found" in marker.said.value
    assert "✓" not in marker.said.value


@pytest.mark.parametrize("name", ["marks.xlsx", ".", "/", "marks"])
def test_marks_go_only_into_a_file_that_opens_as_a_table(desk, name):
    made(desk)
    marker = MarkSheets()
    marker.out.value = name
    marker.mark.click()
    assert "a name that ends in .csv" in marker.said.value
    assert not (desk / name).is_file()
