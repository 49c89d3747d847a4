"""The commands that make worksheets and look up their keys."""

from __future__ import annotations

import argparse
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.commands.offer import DONE, LOOK, Commands, show_json, tell

if TYPE_CHECKING:
    from bouncelab.batches import Done
    from bouncelab.worksheets.roster import Student

__all__ = ["offer"]

_SOURCE = "a notebook, or the name of one of the kit's worksheets"
_FEW = 24  # sheets that are made sooner than other processes start
_BAR = 30


def offer(commands: Commands) -> None:
    """Offer ``worksheets`` and ``key``.

    Parameters
    ----------
    commands : Commands
        Takes them.
    """
    made = commands.add(
        "worksheets",
        "make a worksheet with other numbers for every student, and the key",
        "bouncelab worksheets e_from_heights --students roster.csv --out sheets "
        '--seed "autumn term"',
        _worksheets,
    )
    made.add_argument("source", metavar="SOURCE", help=_SOURCE)
    made.add_argument(
        "--students", metavar="FILE", type=Path, help="CSV or XLSX with a column name"
    )
    made.add_argument(
        "--blank", metavar="N", type=int, default=0, help="so many without names"
    )
    made.add_argument(
        "--out", metavar="FOLDER", type=Path, required=True, help="where to write"
    )
    made.add_argument(
        "--seed",
        metavar="TEXT",
        required=True,
        help="any words; the same words give the same sheets. Keep them to yourself",
    )
    made.add_argument(
        "--forms",
        nargs="+",
        choices=("ipynb", "html", "pdf"),
        default=("ipynb", "html", "pdf"),
        help="which files; all three if left out",
    )
    made.add_argument(
        "--paper",
        choices=("a4", "us-letter"),
        default="a4",
        help="size of the paper; a4 if left out",
    )
    made.add_argument("--large", action="store_true", help="large print")
    key = commands.add(
        "key",
        "show the answers of the sheet that has this code",
        "bouncelab key K7QM3X-RD e_from_heights",
        _key,
        json=True,
    )
    key.add_argument("code", metavar="CODE", help="as printed on the sheet")
    key.add_argument("source", metavar="SOURCE", help=_SOURCE)
    key.add_argument(
        "--out", metavar="FILE", type=Path, help="also write it as PDF, with the steps"
    )


def _worksheets(options: argparse.Namespace) -> int:
    gc.enable()  # a school's sheets take minutes
    from bouncelab.batches import local_processes
    from bouncelab.errors import InputError
    from bouncelab.worksheets.making import blank_students, make_sheets
    from bouncelab.worksheets.roster import read_roster
    from bouncelab.worksheets.source import read_source

    source = read_source(options.source)
    students: list[Student] = []
    told: list[str] = []
    if options.students is not None:
        students, told = read_roster(options.students)
    students += blank_students(options.blank)
    if not students:
        raise InputError(
            what="for whom the sheets are",
            read="neither --students nor --blank",
            allowed="a roster, or a number of sheets without names",
            do="Add --students roster.csv or --blank 30.",
        )
    executor = local_processes() if len(students) > _FEW else None
    try:
        made = make_sheets(
            source,
            students,
            options.out,
            options.seed,
            forms=options.forms,
            size=options.paper,
            large=options.large,
            executor=executor,
            progress=_progress,
        )
    finally:
        if executor is not None:
            executor.shutdown(cancel_futures=True)
    told += made.told
    for line in told:
        tell(_visible(line))
    sheets = "1 sheet" if made.sheets == 1 else f"{made.sheets} sheets"
    print(f"{options.out / 'students'}: {sheets} of “{source.title}”")
    print(
        f"{options.out / 'teacher'}: key.csv, key.pdf and the source; not for students"
    )
    return LOOK if told else DONE


def _progress(done: Done, count: int, of: int) -> None:
    if sys.stderr.isatty():
        full = _BAR * count // of
        end = "\n" if count == of else ""
        bar = "#" * full + "." * (_BAR - full)
        print(f"\r[{bar}] {count} of {of}", end=end, file=sys.stderr, flush=True)


def _visible(line: str) -> str:
    from bouncelab.publish.console import visible

    return visible(line)


def _key(options: argparse.Namespace) -> int:
    from bouncelab.worksheets.codes import checked_code
    from bouncelab.worksheets.key_paper import accepted, key_paper
    from bouncelab.worksheets.keys import key_rows
    from bouncelab.worksheets.running import solve_code
    from bouncelab.worksheets.source import read_source

    source = read_source(options.source)
    variant = solve_code(source, checked_code(options.code, source.ranges))
    if options.json:
        rows = key_rows(variant, "", "", source.fingerprint)
        names = ("number", "question", "kind", "answer", "unit", "tolerance", "shown")
        show_json(
            {
                "code": variant.code,
                "givens": dict(variant.drawn),
                "answers": [
                    {name: getattr(row, name) for name in names} for row in rows
                ],
            }
        )
    else:
        print(f"{source.title}, sheet {variant.code}")
        for name, each in variant.givens.items():
            print(f"  {name} = {each.shown}".replace("\u202f", " "))
        for asked in variant.answers.values():
            shown = str(asked.shown) or "; ".join(asked.expected)
            print(
                f"{asked.number}  {shown}  ({accepted(asked)})".replace("\u202f", " ")
            )
    if options.out is not None:
        from bouncelab.places import write_whole
        from bouncelab.typesetting.making import make_pdf

        write_whole(options.out, make_pdf(key_paper(source, [(variant, "")])))
    return DONE
