"""What comes back: a page for each student, a summary, and a list for the teacher."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from pathlib import Path

from bouncelab.errors import InputError
from bouncelab.places import not_written, write_whole
from bouncelab.readings.gathered import guarded
from bouncelab.typesetting.making import PaperSize, make_html, make_pdf
from bouncelab.typesetting.paper import Paper, plain, table
from bouncelab.typesetting.together import make_htmls
from bouncelab.worksheets.class_marks import ClassMarks, SheetMarks
from bouncelab.worksheets.marking import Marked

__all__ = ["feedback_paper", "marks_csv", "summary_paper", "write_marks"]

_SIGNS = {
    "right": "✓",
    "follows": "✓",
    "wrong": "✗",
    "empty": "–",
    "unread": "?",
    "for the teacher": "…",
}
_LONG = 300  # letters of an answer that are shown
_WORD = re.compile(r"(\S{30})\S+")  # of a name


def feedback_paper(sheet: SheetMarks, title: str) -> Paper:
    """Give a student's page.

    Parameters
    ----------
    sheet : SheetMarks
        Marked.
    title : str
        Of the worksheet.

    Returns
    -------
    Paper
        Each answer with its marks and a sentence.
    """
    whose = _apart(sheet.student, sheet.student)
    return Paper(
        f"{title}: feedback",
        "\n\n".join(_page(sheet, title_too=False)),
        {},
        f"{whose} · {sheet.code}" if whose else sheet.code,
    )


def _apart(name: str, shown: str) -> str:
    """Keep a name that runs from right to left from turning what stands beside it."""
    turns = any(unicodedata.bidirectional(each) in ("R", "AL") for each in name)
    return f"\u2068{shown}\u2069" if turns else shown


def _name(sheet: SheetMarks) -> str:
    """Give whose a sheet is, as Markdown; a word wider than a column is cut."""
    name = _WORD.sub(r"\1…", sheet.student)
    return _apart(name, plain(name)) or plain(sheet.code)


def _page(sheet: SheetMarks, *, title_too: bool = True) -> list[str]:
    whose = _name(sheet) if sheet.student else f"Sheet {plain(sheet.code)}"
    parts = [f"## {whose}" if title_too else f"**{whose}** (code {plain(sheet.code)})"]
    parts.append(f"**{sheet.total} of {sheet.most} marks**{_open(sheet)}.")
    parts.append(_kind_word(sheet))
    rows = [
        [
            plain(each.row.number),
            _SIGNS[each.result],
            plain(each.written[:_LONG]) or "–",
            _marks(each),
            plain(" ".join(each.said)),
        ]
        for each in sheet.answers
    ]
    parts.append(
        table(
            ["no.", "✓ ✗", "you wrote", "marks", "what to know"],
            rows,
            right=(3,),
            widths=(2, 2, 8, 3, 18),
        )
    )
    return parts


def _open(sheet: SheetMarks) -> str:
    if not sheet.open:
        return ""
    return f", and {sheet.open} that your teacher still decides"


def _marks(each: Marked) -> str:
    if each.needs_eye:
        return f"– / {each.row.marks}"
    return f"{each.marks} / {each.row.marks}"


def _kind_word(sheet: SheetMarks) -> str:
    results = {each.result for each in sheet.answers}
    if results == {"empty"}:
        return "Nothing is written yet. Start with the first question and its hint."
    if "follows" in results:
        return "You went on rightly from your own numbers: that is what counts."
    if any(each.idea for each in sheet.answers):
        return "A slip with a name is easy to mend: look at the lines with ✗."
    if "wrong" in results:
        return "Look at the lines with ✗: try them again before you look at the key."
    if "unread" in results:
        return "Look at the lines with ?: write each answer as one number or choice."
    asked = [each for each in sheet.answers if each.result == "right"]
    good = "All that you worked out is right." if asked else "Thank you."
    if any(each.marks < each.row.marks for each in asked):
        good = "All numbers are right. Units and figures belong to them, too."
    if "empty" in results:
        return f"{good} Some lines are still empty: try these, too."
    return good


def summary_paper(marks: ClassMarks, title: str) -> Paper:
    """Give the teacher's summary of a class.

    Parameters
    ----------
    marks : ClassMarks
        All sheets.
    title : str
        Of the worksheet.

    Returns
    -------
    Paper
        Marks, questions most missed with the ideas behind them, answers to look at,
        and what could not be marked.
    """
    parts = [
        table(
            ["student", "code", "marks", "of", "still to decide"],
            [
                [
                    _name(each) if each.student else "–",
                    plain(each.code),
                    str(each.total),
                    str(each.most),
                    str(each.open),
                ]
                for each in marks.sheets
            ],
            right=(2, 3, 4),
        )
    ]
    if not marks.carried:
        parts.append(
            "The source was not beside the key, or is another one: answers were not "
            "followed from students' own earlier ones."
        )
    missed = [each for each in marks.missed if each[1] or each[3]]
    if missed:
        parts.append("## Questions most missed")
        parts.append(
            table(
                ["question", "missed", "of", "the numbers point to"],
                [
                    [
                        plain(name),
                        str(wrong),
                        str(count),
                        plain("; ".join(f"{idea} ({n})" for idea, n in ideas)) or "–",
                    ]
                    for name, wrong, count, ideas in missed
                ],
                right=(1, 2),
            )
        )
    eye = [(s, m) for s in marks.sheets for m in s.answers if m.needs_eye]
    if eye:
        parts.append("## For your eye")
        for sheet, each in eye:
            parts.append(
                f"**{_name(sheet)}, {plain(each.row.number)}** "
                f"({each.row.marks} marks): {plain(each.written) or 'drawn on paper'}"
            )
            if each.row.expected:
                parts.append("\n".join(f"- {plain(x)}" for x in each.row.expected))
            elif each.result == "unread":
                parts.append(f"- the key has {plain(each.row.shown)}")
    for heading, lines in (
        ("Notes", [f"{s.file}: {n}" for s in marks.sheets for n in s.notes]),
        ("Not marked", marks.problems),
        ("Nothing handed in", marks.missing),
    ):
        if lines:
            parts.append(f"## {heading}")
            parts.append("\n".join(f"- {plain(each)}" for each in lines))
    return Paper(
        f"{title}: the class", "\n\n".join(parts), {}, "bouncelab: for the teacher only"
    )


def marks_csv(marks: ClassMarks) -> bytes:
    """Give the marks as a table; no cell is a formula.

    Parameters
    ----------
    marks : ClassMarks
        All sheets.

    Returns
    -------
    bytes
        CSV: a row for each sheet, those that did not come back last, without marks;
        a column for each question.
    """
    numbers = list(
        dict.fromkeys(m.row.number for sheet in marks.sheets for m in sheet.answers)
    )
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ["student", "code", "file", *numbers, "marks", "of", "still to decide", "notes"]
    )
    for sheet in marks.sheets:
        by = {each.row.number: each for each in sheet.answers}
        given = [
            "" if n not in by or by[n].needs_eye else str(by[n].marks) for n in numbers
        ]
        told = [str(sheet.total), str(sheet.most), str(sheet.open)]
        names = [guarded(each) for each in (sheet.student, sheet.code, sheet.file)]
        writer.writerow([*names, *given, *told, guarded(" ".join(sheet.notes))])
    for name in marks.missing:
        writer.writerow(
            [guarded(name), *[""] * (len(numbers) + 5), "nothing came back"]
        )
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def write_marks(
    marks: ClassMarks, out: Path, title: str, *, size: PaperSize = "a4"
) -> list[Path]:
    """Write the table of marks, and the feedback in a folder beside it.

    A table that stands there already, and is another, keeps its words under another
    name: a teacher may have written marks into it.

    Parameters
    ----------
    marks : ClassMarks
        All sheets.
    out : pathlib.Path
        The table, such as ``marks.csv``.
    title : str
        Of the worksheet.
    size : {"a4", "us-letter"}, optional
        Sheets of the PDF.

    Returns
    -------
    list of pathlib.Path
        The table; the summary as a page; all students' pages in one PDF and one page
        each.

    Raises
    ------
    BounceLabError
        If something cannot be typeset or written, or another kind of file would be
        written over.
    """
    data = marks_csv(marks)
    _keep(out, data)
    folder = out.with_name(f"{out.stem}_feedback")
    write_whole(out, data)
    summary = folder / "summary.html"
    write_whole(summary, make_html(summary_paper(marks, title)).encode())
    made = [out, summary]
    if marks.sheets:
        whole = "\n\n::: new-page\n:::\n\n".join(
            "\n\n".join(_page(each)) for each in marks.sheets
        )
        sheets = folder / "all_students.pdf"
        paper = Paper(f"{title}: feedback", whole, {}, "bouncelab feedback")
        write_whole(sheets, make_pdf(paper, size=size))
        made.append(sheets)
    pages = make_htmls([feedback_paper(each, title) for each in marks.sheets])
    for each, page in zip(marks.sheets, pages, strict=True):
        # By the key, not by what was handed in: two may have given theirs one name.
        path = folder / f"{Path(each.answers[0].row.file).name}.html"
        write_whole(path, page.encode())
        made.append(path)
    return made


def _keep(out: Path, data: bytes) -> None:
    """Keep an earlier table under the next free name; write over nothing else."""
    if out.suffix.lower() != ".csv":
        raise InputError(
            what="the table for the marks",
            read=f"“{out}”",
            allowed="a name that ends in .csv",
            do="Spreadsheets open such a table, too.",
        )
    try:
        older = out.read_bytes() if out.is_file() else data
    except OSError as error:
        raise not_written(out, error) from error
    if older == data:
        return
    heading = older.decode("utf-8-sig", errors="replace").partition("\n")[0]
    if "student" not in heading or "still to decide" not in heading:
        raise InputError(
            what="the table for the marks",
            read=f"“{out}”, which stands there and is no table of marks",
            allowed="a new name, or an earlier table of marks",
            do="Choose another name: nothing was written.",
        )
    count = 1
    while (kept := out.with_name(f"{out.stem}_older_{count}{out.suffix}")).exists():
        count += 1
    write_whole(kept, older)
