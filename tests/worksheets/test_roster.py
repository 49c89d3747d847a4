"""Rosters as people keep them."""

import pytest

from bouncelab.errors import TableError
from bouncelab.readings.workbook import workbook_bytes
from bouncelab.worksheets.roster import file_stem, read_roster


def roster(tmp_path, text, name="roster.csv"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_roster(path)


def names(tmp_path, text, name="roster.csv"):
    return [each.name for each in roster(tmp_path, text, name)[0]]


@pytest.mark.parametrize(
    "text",
    [
        "name\nAnn Lee\nBob Ray\n",
        "Name;class\nAnn Lee;7b\nBob Ray;7b\n",
        "class\tStudent name\n7b\tAnn Lee\n7b\tBob Ray\n",
        "First name,Last name\nAnn,Lee\nBob,Ray\n",
        "last_name,first_name\nLee,Ann\nRay,Bob\n",
        "Ann Lee\nBob Ray\n",
        "\ufeffname\r\nAnn Lee\r\n\r\nBob Ray",
        "name\n  Ann   Lee \nBob\u00a0Ray\n",
        'name\n"Ann Lee"\n"Bob Ray"\n',
    ],
)
def test_names_are_found_however_the_table_is_laid_out(tmp_path, text):
    assert names(tmp_path, text) == ["Ann Lee", "Bob Ray"]


def test_a_workbook_is_a_roster_too(tmp_path):
    data = workbook_bytes([["class", "name"], ["7b", "Ann Lee"], ["7b", "Bob Ray"]])

    assert names(tmp_path, data, "roster.xlsx") == ["Ann Lee", "Bob Ray"]


def test_a_comma_inside_a_name_parts_nothing(tmp_path):
    assert names(tmp_path, "name\nLee, Ann\n") == ["Lee, Ann"]


def test_rows_without_a_usable_name_are_told_and_all_others_stay(tmp_path):
    text = f"name,class\nAnn,7b\n,7b\nann,7b\n{'x' * 300},7b\nדנה,7b\n=1+1,7b\n"
    students, told = roster(tmp_path, text)

    assert [each.name for each in students] == ["Ann", "ann", "דנה", "=1+1"]
    assert len({each.who for each in students}) == 4
    assert [line.split(":")[0] for line in told] == [
        "roster.csv, line 3",
        "roster.csv, line 4",
        "roster.csv, line 5",
    ]


def test_marks_that_turn_text_around_are_left_out(tmp_path):
    assert names(tmp_path, "name\nAnn\u202eeeL\u0007\n") == ["AnneeL"]


@pytest.mark.parametrize(
    "text",
    ["a,b\n1,2\n", "name\n", "name\n,\n\n", b"\x00\x01\x02" * 50, b"PK\x03\x04nothing"],
)
def test_what_holds_no_names_is_refused_in_one_line(tmp_path, text):
    with pytest.raises(TableError) as told:
        roster(tmp_path, text)

    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("../../etc/passwd", "etc_passwd_C"),
        ("CON", "CON_C"),
        ("דנה כהן", "דנה_כהן_C"),
        ("=1+1", "1_1_C"),
        ("...", "C"),
        ("a" * 300, "a" * 40 + "_C"),
        ("राम", "राम_C"),
        ("-rf *", "rf_C"),
    ],
)
def test_a_files_name_is_safe_on_every_system(name, stem):
    assert file_stem(name, "C") == stem
