"""The command that marks filled worksheets."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path

from bouncelab.commands.offer import DONE, LOOK, Commands, show, show_json, tell

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``mark``.

    Parameters
    ----------
    commands : Commands
        Takes it.
    """
    mark = commands.add(
        "mark",
        "mark filled worksheets, with feedback for each student and the class",
        "bouncelab mark sheets/students --key sheets/teacher/key.csv --out marks.csv",
        _mark,
        json=True,
    )
    mark.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        help="filled notebooks; leave it out if all answers are in --answers",
    )
    mark.add_argument(
        "--key", metavar="FILE", type=Path, required=True, help="the key.csv"
    )
    mark.add_argument(
        "--out", metavar="FILE", type=Path, required=True, help="marks go here, as CSV"
    )
    mark.add_argument(
        "--answers",
        metavar="FILE",
        type=Path,
        help="answers typed from paper or from a form: CSV or XLSX with a column "
        "code, and one for each question",
    )
    mark.add_argument(
        "--paper",
        choices=("a4", "us-letter"),
        default="a4",
        help="size of the feedback's sheets; a4 if left out",
    )


def _mark(options: argparse.Namespace) -> int:
    gc.enable()
    from bouncelab.publish.console import visible
    from bouncelab.worksheets.class_marks import mark_files
    from bouncelab.worksheets.feedback import write_marks

    marks, title = mark_files(options.key, options.folder, options.answers)
    if not marks.carried:
        tell(
            "The source.ipynb beside the key is missing or was changed: "
            "carried-forward marks are not given."
        )
    made = write_marks(marks, options.out, title, size=options.paper)
    if options.json:
        show_json(
            {
                "sheets": [
                    {
                        "student": each.student,
                        "code": each.code,
                        "marks": each.total,
                        "of": each.most,
                        "to_decide": each.open,
                        "answers": [
                            {
                                "number": m.row.number,
                                "written": m.written,
                                "marks": m.marks,
                                "result": m.result,
                                "idea": m.idea,
                            }
                            for m in each.answers
                        ],
                    }
                    for each in marks.sheets
                ],
                "problems": marks.problems,
                "missing": marks.missing,
            }
        )
    else:
        for sheet in marks.sheets:
            more = f", {sheet.open} to decide" if sheet.open else ""
            name = visible(sheet.student or sheet.code)
            print(f"{name}: {sheet.total} of {sheet.most}{more}")
        show(str(path) for path in made[:3])
    for line in marks.problems:
        tell(visible(line))
    if marks.missing:
        tell(f"Nothing came of: {visible(', '.join(marks.missing))}")
    eye = any(sheet.open or sheet.notes for sheet in marks.sheets)
    return LOOK if eye or marks.problems or marks.missing else DONE
