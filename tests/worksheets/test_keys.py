"""The key survives a spreadsheet program, and a damaged one is named."""

import csv
import io
from dataclasses import replace

import pytest

from bouncelab.errors import TableError
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.keys import key_bytes, key_rows, parse_key, read_key
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import parse_source
from worksheets.example import source_bytes

SOURCE = parse_source("example.ipynb", source_bytes())
VARIANT = solve_code(SOURCE, new_code("autumn", "ann", 0, SOURCE.ranges))
ROWS = key_rows(VARIANT, "Ann Example", "Ann_Example", SOURCE.fingerprint)


@pytest.mark.parametrize(
    "name",
    ["Ann Example", "", "=SUM(A1)", "'quoted", "-1", "@x", "A, B", 'A "B"', "李"],
)
def test_a_key_is_read_as_it_was_written(name):
    rows = [replace(each, student=name) for each in ROWS]

    assert parse_key("key.csv", key_bytes(rows).decode()) == rows


def test_no_cell_of_a_key_is_a_formula():
    rows = [replace(each, student="=cmd|' /C calc'!A0") for each in ROWS]
    cells = [
        cell
        for line in csv.reader(io.StringIO(key_bytes(rows).decode("utf-8-sig")))
        for cell in line
    ]

    assert not [
        each for each in cells if each[:1] in "=@+\t\r" and each and each[:1] != "'"
    ]


def test_a_key_holds_answers_to_full_precision_in_the_unit_asked():
    row = next(each for each in ROWS if each.question == "e")
    drawn = VARIANT.drawn

    assert row.answer == (drawn["h2"] / drawn["h1"]) ** 0.5
    assert row.wrong == {"square root forgotten": drawn["h2"] / drawn["h1"]}
    assert row.givens == drawn


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("kind", "sort", "no column kind"),
        ("2 to 3", "two", "line 2"),
        ('""idea""', '""idea', "line 2"),
        ("ratio", "ratio\nx", "line"),
    ],
)
def test_a_damaged_key_is_named_with_its_line(tmp_path, old, new, told):
    text = key_bytes(ROWS).decode().replace(old, new, 1)
    path = tmp_path / "key.csv"
    path.write_text(text, "utf-8")

    with pytest.raises(TableError, match=told) as said:
        read_key(path)
    assert "\n" not in str(said.value)
