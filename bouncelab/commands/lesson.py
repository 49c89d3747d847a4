"""The commands that prepare a lesson: its plan and its papers."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.commands.class_file import chosen_ranges, take_ranges
from bouncelab.commands.offer import DONE, LOOK, Commands, Parser, show, show_json, tell
from bouncelab.errors import InputError

if TYPE_CHECKING:
    from bouncelab.analysis.foresight import Assumed

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``plan``, ``papers`` and ``notes``.

    Parameters
    ----------
    commands : Commands
        Takes them.
    """
    plan = commands.add(
        "plan",
        "plan groups, drops and a balanced order, and say what the lesson can tell",
        "bouncelab plan --students 28 --balls 4 --tapes 7 --minutes 45",
        _plan,
        json=True,
    )
    for name, text in (
        ("--students", "how many there are"),
        ("--tapes", "how many tapes; each group needs one"),
    ):
        plan.add_argument(name, metavar="N", type=int, required=True, help=text)
    plan.add_argument(
        "--balls",
        metavar="N|NAMES",
        required=True,
        help="how many, or their names with commas between",
    )
    plan.add_argument("--pumps", metavar="N", type=int, default=0, help="with a gauge")
    plan.add_argument(
        "--pressures", metavar="N", type=int, default=1, help="of each ball; else 1"
    )
    plan.add_argument(
        "--minutes",
        metavar="N",
        type=float,
        default=45.0,
        help="of the lesson; else 45",
    )
    plan.add_argument(
        "--difference",
        metavar="E",
        type=float,
        default=0.02,
        help="in e that is worth seeing; else 0.02",
    )
    plan.add_argument(
        "--seed", metavar="TEXT", default="", help="draws another order, the same again"
    )
    plan.add_argument(
        "--assume",
        metavar="WHAT=N",
        action="append",
        default=[],
        help="another assumption, such as drop_seconds=20; --json tells them all",
    )
    plan.add_argument(
        "--check",
        action="store_true",
        help="simulate 200 lessons and say what came of them",
    )
    plan.add_argument(
        "--out", metavar="FOLDER", type=Path, help="write it as table, page and PDF"
    )
    papers = commands.add(
        "papers",
        "write recording sheets, wall strips, role cards, a pump table and a door sign",
        "bouncelab papers --out papers --range futsal-law-2",
        _papers,
    )
    take_ranges(papers)
    _take_paper(papers)
    notes = commands.add(
        "notes",
        "write the teacher notes as one PDF",
        "bouncelab notes --out papers",
        _notes,
    )
    _take_paper(notes)


def _take_paper(parser: Parser) -> None:
    parser.add_argument(
        "--out", metavar="FOLDER", type=Path, required=True, help="where to write"
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "us-letter"),
        default="a4",
        help="size of the sheets; a4 if left out",
    )
    parser.add_argument("--large", action="store_true", help="large print")


def _plan(options: argparse.Namespace) -> int:
    from bouncelab.analysis.planning import plan_lesson
    from bouncelab.publish.console import columns, remark_lines
    from bouncelab.reports.plan_paper import plan_rows, write_plan

    text = options.balls.strip()
    names = [each.strip() for each in text.split(",") if each.strip()]
    count = text.removeprefix("-")
    plan = plan_lesson(
        students=options.students,
        balls=int(text) if count.isascii() and count.isdecimal() else names,
        tapes=options.tapes,
        minutes=options.minutes,
        pumps=options.pumps,
        pressures=options.pressures,
        difference=options.difference,
        seed=options.seed,
        assumed=_assumed(options.assume),
    )
    check = None
    if options.check:
        from bouncelab.analysis.plan_check import check_plan

        check = check_plan(plan)
    if options.json:
        told = plan.to_dict()
        if check is not None:
            told["simulated"] = check.to_dict()
        show_json(told)
    else:
        show(remark_lines(plan.words))
        groups = [f"group {k + 1}" for k in range(len(plan.sizes))]
        blocks = columns(
            ["turn", "from", *groups], plan_rows(plan, brief=True), right=(0, 1)
        )
        show(["", *(line for block in blocks for line in block), ""])
        if plan.rounds > 1:
            show(["In brackets: which of the ball's pressures, 1 the lowest.", ""])
        if check is not None:
            show(remark_lines([str(check)]))
    if options.out:
        for path in write_plan(plan, options.out):
            tell(path)
    return DONE if plan.good else LOOK


def _assumed(asked: Sequence[str]) -> Assumed:
    from bouncelab.analysis.foresight import Assumed

    usual = Assumed().to_dict()
    for each in asked:
        name, _, value = each.partition("=")
        try:
            if name.strip() not in usual:
                raise ValueError
            usual[name.strip()] = float(value)
        except ValueError:
            raise InputError(
                what="--assume",
                read=each,
                allowed=f"one of {', '.join(usual)}, then = and a number",
                do="Write for example drop_seconds=20.",
            ) from None
    return Assumed(**usual)


def _papers(options: argparse.Namespace) -> int:
    from bouncelab.reports.floor_papers import write_papers

    made = write_papers(
        options.out, chosen_ranges(options), size=options.paper, large=options.large
    )
    show(str(each) for each in made)
    tell("Print at 100 %, without fitting to the page, so that strips keep their size.")
    return DONE


def _notes(options: argparse.Namespace) -> int:
    from bouncelab.reports.notes import write_notes

    show([str(write_notes(options.out, size=options.paper, large=options.large))])
    return DONE
