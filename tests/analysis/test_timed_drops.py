"""Drops whose rebound was timed, in a class's table beside those read on a tape."""

import pytest

from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.comparison import compare
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import read_rows
from bouncelab.readings.files import read_drops, write_drops
from bouncelab.readings.merge import merge_drops
from bouncelab.readings.sheet import Sheet, apply

HEADINGS = ["ball", "drop height (cm)", "rebound height (cm)", "method"]


def rows(method, rebounds, ball="Futsal A"):
    return [[ball, "200", str(rebound), method] for rebound in rebounds]


def both():
    taped, timed = rows("", [62, 63, 61]), rows("timed", [62.1, 62.3, 62.2])
    return check_drops(read_rows(HEADINGS, [*taped, *timed]))


def test_a_timed_ball_is_a_row_of_its_own_and_surer_than_a_taped_one():
    taped, timed = bounciness(both()).rows

    assert (taped.ball, timed.ball) == ("Futsal A", "Futsal A (timed)")
    assert timed.kind == taped.kind == "futsal"
    assert timed.n == 3
    assert timed.expanded < taped.expanded
    assert timed.basis.quality.rebound_half_width == 0.003


def test_one_timed_drop_leaves_less_open_than_one_read_on_a_tape():
    for method, half in (("", 0.010), ("Timed", 0.003)):
        (row,) = bounciness(read_rows(HEADINGS, rows(method, [62]))).rows
        reading = row.basis.terms["reading the rebound"]
        assert reading == pytest.approx(half / 3**0.5 / (2 * row.e * 2.0))


def test_the_tape_and_the_ear_are_compared_as_two_balls():
    told = compare(bounciness(both()), by="ball")

    assert [each.level for each in told.levels] == ["Futsal A", "Futsal A (timed)"]
    assert not told.pairs[0].different


def test_the_mark_outlives_a_class_file_and_a_merge(tmp_path):
    write_drops(both(), tmp_path / "oak.csv")
    again = read_drops(tmp_path / "oak.csv")
    merged = merge_drops([("oak", again), ("elm", both())])

    assert again.table["method"].tolist() == [""] * 3 + ["timed"] * 3
    assert merged.table["method"].tolist() == ([""] * 3 + ["timed"] * 3) * 2
    names = [row.ball for row in bounciness(merged).rows]
    assert names == ["Futsal A", "Futsal A (timed)"]


def test_a_sheet_shows_the_column_only_once_the_kit_has_filled_it():
    sheet = apply(Sheet(), {"do": "cell", "row": 0, "column": "ball", "text": "A"})
    assert "method" not in sheet.headings()
    assert all(len(row) == len(sheet.headings()) for row in sheet.table()[1])

    cells = {"ball": "A", "drop_height": "2 m", "rebound_height": "62 cm"}
    sheet = apply(sheet, {"do": "row", "row": 1, "cells": {**cells, "method": "timed"}})

    lines, table = sheet.table()
    assert lines == [2]
    found = read_rows(sheet.headings(), table, lines=lines).table
    assert found["method"].tolist() == ["timed"]
    assert found["rebound_height_m"].tolist() == [0.62]
