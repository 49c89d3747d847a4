"""The invented class file is what its maker says, and its mistakes are all found."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from bouncelab.places import kit_folder
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import Drops, read_rows
from makers import larkfield


def lines_of(path: Path) -> list[tuple[int, list[str]]]:
    """Give each line that is not a comment, with its number in the file."""
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        return [(reader.line_num, row) for row in reader if row[0][:1] != "#"]


@pytest.fixture(scope="module")
def larkfield_drops() -> Drops:
    (_, headings), *rows = lines_of(kit_folder("data") / "larkfield_class.csv")
    drops = read_rows(
        headings, [row for _, row in rows], lines=[line for line, _ in rows]
    )
    return check_drops(drops)


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("larkfield_class.csv", larkfield.class_file),
        ("larkfield_mistakes.csv", larkfield.mistakes_file),
    ],
)
def test_the_maker_makes_the_committed_file_byte_for_byte(name, made) -> None:
    assert (kit_folder("data") / name).read_bytes() == made().encode()


def test_the_file_says_first_that_its_data_is_invented() -> None:
    text = (kit_folder("data") / "larkfield_class.csv").read_text(encoding="utf-8")
    assert text.startswith("# Invented data")


def test_eight_groups_drop_eight_kinds_of_balls_on_two_floors(
    larkfield_drops: Drops,
) -> None:
    table = larkfield_drops.table
    assert len(table) == 241  # 240 drops and a row pasted twice
    assert table["group"].nunique() == 8
    assert table["ball"].nunique() == 9  # one futsal ball comes from the cold store
    assert table["floor"].nunique() == 2
    assert table["gauge_pressure_pa"].nunique() >= 8


def test_every_planted_mistake_is_found_and_nothing_else(
    larkfield_drops: Drops,
) -> None:
    _, *planted = lines_of(kit_folder("data") / "larkfield_mistakes.csv")
    wanted = {(int(row), column, check) for _, (row, column, _, check, _) in planted}
    found = {(each.row, each.column, each.check) for each in larkfield_drops.findings}
    assert found == wanted


def test_each_finding_shows_what_was_typed(larkfield_drops: Drops) -> None:
    _, *planted = lines_of(kit_folder("data") / "larkfield_mistakes.csv")
    wanted = {(int(row), column): read for _, (row, column, read, _, _) in planted}
    for each in larkfield_drops.findings:
        assert each.read == wanted[each.row, each.column]
