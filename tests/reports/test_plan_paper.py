"""The plan on paper: the same turns as the plan's, with its cautions."""

import csv

import pymupdf

from bouncelab.analysis.planning import plan_lesson
from bouncelab.cli import main
from bouncelab.reports.plan_paper import plan_rows, write_plan


def test_every_turn_stands_in_the_table(tmp_path):
    plan = plan_lesson(students=20, balls=["A*", "<B>", "C"], tapes=5, seed="s")
    made = write_plan(plan, tmp_path)
    with made[0].open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))

    assert rows[1:] == plan_rows(plan)
    for turn in plan.turns:
        assert rows[1 + turn.slot][2 + turn.group] == plan.balls[turn.ball]
    with pymupdf.open(made[2]) as document:
        text = " ".join(" ".join(page.get_text() for page in document).split())
    for each in ("A*", "<B>", "Take care.", "group 5", "school's rules"):
        assert each in text
    assert "<B>" not in made[1].read_text("utf-8")


def test_pressures_are_named_round_by_round():
    plan = plan_lesson(students=8, balls=2, tapes=2, pumps=2, pressures=3, minutes=90)
    cells = [cell for row in plan_rows(plan) for cell in row[2:]]

    assert {cell.split(", ")[1] for cell in cells} == {
        "pressure 1",
        "pressure 2",
        "pressure 3",
    }


def test_the_command_prints_a_plan_and_says_if_a_wish_cannot_be_met(tmp_path, capsys):
    good = ["plan", "--students", "28", "--balls", "4", "--tapes", "7"]
    assert main([*good, "--out", str(tmp_path), "--check"]) == 0
    said = capsys.readouterr()
    assert "7 groups of 4 students" in said.out
    assert "simulated lessons" in said.out
    assert "plan.pdf" in said.err
    assert main([*good, "--difference", "0.001"]) == 1
    assert "will often be missed" in " ".join(capsys.readouterr().out.split())
    assert main(["plan", "--students", "0", "--balls", "4", "--tapes", "7"]) == 2
    assert "students: read 0" in capsys.readouterr().err
