"""The teacher notes: numbers of the library, links that lead somewhere, one PDF."""

import re

import pymupdf
import pytest

from bouncelab.cli import main
from bouncelab.errors import InputError
from bouncelab.places import kit_folder
from bouncelab.reports.note_numbers import NUMBERS, TABLES
from bouncelab.reports.notes import PAGES, note_paper, refreshed, write_notes

FOLDER = kit_folder("teacher_notes")
NOTES = sorted(path.name for path in FOLDER.glob("*.md"))
# A number with a unit, or with a decimal sign, that nobody worked out.
UNITS = "m|cm|mm|km|in|kPa|bar|psi|°C|°F|J|N|ms|s|g|kg|%"
TYPED = re.compile(rf"(?<![\w.–-])(?:\d+[.,]\d+|\d+ ?(?:{UNITS})(?!\w))")
# Values that a question or a table gives, not results; each is used as it stands.
GIVEN = {
    "100 %",  # the scale of a print
    "0.02",  # an uncertainty asked about
    "0.4",  # masses and speed of question 4, which collision.1 and .2 follow from
    "0.2",
    "3 m",
    "1910.242",  # a regulation's number
}


def text_of(name):
    return (FOLDER / name).read_text("utf-8")


def test_every_page_is_part_of_the_notes():
    assert sorted(PAGES) == NOTES


@pytest.mark.parametrize("name", NOTES)
def test_numbers_stand_as_the_library_works_them_out(name):
    assert refreshed(text_of(name)) == text_of(name)


@pytest.mark.parametrize("name", NOTES)
def test_no_number_is_typed_by_hand(name):
    text = re.sub(r"<!--table.*?<!--/table-->", "", text_of(name), flags=re.DOTALL)
    text = re.sub(r"<!--.*?-->.*?<!--/-->", "", text, flags=re.DOTALL)
    text = re.sub(r"`[^`]*`|\$[^$]*\$", "", text)
    text = text.replace("68 in a column", "")

    assert set(TYPED.findall(text)) <= GIVEN


def test_every_number_and_table_that_is_worked_out_is_used():
    text = "".join(text_of(name) for name in NOTES)

    assert {name for name in NUMBERS if f"<!--{name}-->" not in text} == set()
    assert {name for name in TABLES if f"<!--table {name}-->" not in text} == set()


def test_an_unknown_number_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match=r"fall\.time"):
        refreshed("<!--nothing-->1<!--/-->")


@pytest.mark.parametrize("name", NOTES)
def test_links_lead_somewhere(name):
    for target in re.findall(r"\]\((?!https?:)([^)#]*)\)", text_of(name)):
        assert (FOLDER / target).is_file(), target


def test_every_command_that_the_notes_name_is_one(capsys):
    text = "".join(text_of(name) for name in NOTES)
    named = set(re.findall(r"`bouncelab ([a-z]+)", text))

    assert len(named) > 5
    for each in named:
        with pytest.raises(SystemExit) as ended:
            main([each, "--help"])
        assert ended.value.code == 0, each
    capsys.readouterr()


def test_every_page_with_something_to_do_has_its_cautions():
    for name in ("lesson_45_minutes", "lesson_90_minutes", "week_project", "safety"):
        assert "school's rules" in " ".join(text_of(f"{name}.md").split()).lower()
    safety = text_of("safety.md")
    for word in ("needle", "ladders", "latex", "Noise", "Slipping", "cold", "hot"):
        assert word.lower() in safety.lower()


@pytest.mark.parametrize("name", ["lesson_45_minutes", "lesson_90_minutes"])
def test_a_lesson_s_minutes_follow_each_other_to_its_end(name):
    text = text_of(f"{name}.md")
    spans = re.findall(r"^\| (\d+)–(\d+) \|", text, re.M)
    ends = [int(stop) for _, stop in spans]

    assert [int(start) for start, _ in spans] == [0, *ends[:-1]]
    assert ends[-1] == int(name.split("_")[1])


@pytest.mark.parametrize(
    "name", ["lesson_45_minutes", "lesson_90_minutes", "week_project", "recording"]
)
def test_whoever_teaches_finds_aims_materials_a_course_and_what_to_ask(name):
    text = text_of(f"{name}.md")

    for part in ("## Aims", "## What you need", "## The course", "Cautions"):
        assert part in text
    assert "what you say or ask |" in text


def test_all_pages_are_in_the_pdf_without_their_marks(tmp_path):
    with pymupdf.open(write_notes(tmp_path)) as document:
        text = " ".join(" ".join(page.get_text() for page in document).split())

    for name in NOTES:
        assert text_of(name).splitlines()[0].lstrip("# ") in text
    assert "<!--" not in text
    assert NUMBERS["fall.later"]() in text
    # A number at the end of a line keeps its distance from the next word.
    assert f"takes {NUMBERS['fall.time']()} and ends" in text
    assert "](" not in note_paper().text


def test_the_command_writes_notes_and_papers(tmp_path, capsys):
    assert main(["notes", "--out", str(tmp_path), "--paper", "us-letter"]) == 0
    assert main(["papers", "--out", str(tmp_path), "--range", "tennis-itf"]) == 0
    said = capsys.readouterr().out.split()

    assert len(said) == 7
    assert (tmp_path / "wall_strip_tennis-itf.pdf").is_file()
    assert main(["papers", "--out", str(tmp_path), "--range", "nothing"]) == 2
    assert "tennis-itf" in capsys.readouterr().err


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path, capsys):
    (tmp_path / "file").write_text("in the way")

    assert main(["papers", "--out", str(tmp_path / "file" / "x")]) == 2
    said = capsys.readouterr().err
    assert len(said.strip().splitlines()) == 1
    assert "saving" in said
