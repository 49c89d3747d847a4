"""Filled sheets are data: notebooks read as text, tables of answers from paper."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError, NotebookError, TableError
from bouncelab.readings.gathered import unguarded
from bouncelab.readings.lines import Record, parse
from bouncelab.readings.opening import bytes_of, decode

__all__ = ["Filled", "read_filled", "read_table"]

_MOST = 300_000_000  # bytes of a notebook; outputs of this size were never typed
_LONG = 20_000  # letters of one answer that are kept
_ASKED = re.compile(r"\*\*(\d{1,2}[a-z]?)\*\*\s")  # a printed number
_CODE = re.compile(r"\b([2-9A-Z]{6}-[2-9A-Z]{2})\b")


@dataclass(frozen=True, slots=True)
class Filled:
    """What one student handed in.

    Attributes
    ----------
    file : str
        The file's name, or the line of a table.
    code : str
        Of the sheet; empty if none can be found.
    answers : dict of str to str
        What was written, by the question's name or printed number.
    notes : list of str
        What a teacher should know about the file.
    """

    file: str
    code: str
    answers: dict[str, str]
    notes: list[str] = field(default_factory=list)


def read_filled(path: Path) -> Filled:
    """Read a filled notebook; its code is never run and its outputs are passed over.

    Parameters
    ----------
    path : pathlib.Path
        The notebook.

    Returns
    -------
    Filled
        Answers by the questions' names, wherever their cells have been moved.

    Raises
    ------
    FileError
        If it cannot be read or is too large.
    NotebookError
        If it is no whole notebook.
    """
    try:
        if path.stat().st_size > _MOST:
            raise FileError(
                what=path.name,
                read=f"{path.stat().st_size} bytes",
                allowed=f"up to {_MOST}",
                do="Clear its outputs and save it again.",
            )
        data = path.read_bytes()
    except OSError as error:
        if isinstance(error, FileError):
            raise
        raise FileError(
            what=path.name,
            read=(error.strerror or type(error).__name__).lower(),
            allowed="a file that can be read",
            do="Look whether it is open elsewhere, or ask for it again.",
        ) from error
    try:
        book = json.loads(data)
        cells = book["cells"]
        if not isinstance(cells, list):
            raise TypeError
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise NotebookError(
            what=path.name,
            read="no whole notebook; it may be cut off",
            allowed="the .ipynb file as the notebook program saves it",
            do="Ask for it again, or mark its paper.",
        ) from error
    return _filled(path, book, [each for each in cells if isinstance(each, dict)])


def _filled(path: Path, book: Mapping[str, Any], cells: Sequence[Any]) -> Filled:
    answers: dict[str, str] = {}
    notes: list[str] = []
    for cell in cells:
        question = _question(cell)
        if question is None:
            continue
        text = _source(cell).strip()
        if question not in answers:
            answers[question] = text
        elif text and text != answers[question]:
            if answers[question]:
                notes.append(
                    f"Question {question} is answered twice: the first counts."
                )
            else:
                answers[question] = text
    if not answers:
        answers = _by_place(cells)
        if answers:
            notes.append(
                "Its boxes lost their names: answers are read by their places."
            )
    return Filled(path.name, _code(path, book, cells), answers, notes)


def _by_place(cells: Sequence[Any]) -> dict[str, str]:
    """Give what stands below each printed number, where a program dropped the names."""
    answers: dict[str, str] = {}
    number = ""
    for cell in cells:
        text = _source(cell)
        if cell.get("cell_type") == "markdown":
            asked = _ASKED.match(text.rstrip().rsplit("\n\n", 1)[-1])
            number = asked[1] if asked else ""
        elif number:
            answers.setdefault(number, text[:_LONG].strip())
            number = ""
    return answers


def _question(cell: Mapping[str, Any]) -> str | None:
    told = cell.get("metadata")
    mine = told.get("bouncelab") if isinstance(told, dict) else None
    if isinstance(mine, dict) and isinstance(mine.get("question"), str):
        return str(mine["question"])
    name = cell.get("id")
    if isinstance(name, str) and name.startswith("answer-"):
        return name.removeprefix("answer-").replace("-", "_")
    return None


def _source(cell: Mapping[str, Any]) -> str:
    text = cell.get("source", "")
    if isinstance(text, list):
        text = "".join(each for each in text if isinstance(each, str))
    return _writable(text[:_LONG]) if isinstance(text, str) else ""


def _writable(text: str) -> str:
    """Leave out what no page can show: control letters and halves of letters."""
    return "".join(
        each if each == "\n" or unicodedata.category(each) not in ("Cc", "Cs") else " "
        for each in text
    )


def _code(path: Path, book: Mapping[str, Any], cells: Sequence[Any]) -> str:
    told = book.get("metadata")
    mine = told.get("bouncelab") if isinstance(told, dict) else None
    if isinstance(mine, dict) and isinstance(mine.get("code"), str):
        return str(mine["code"])
    for cell in cells:
        if cell.get("cell_type") == "markdown":
            found = re.search(r"Code\W+" + _CODE.pattern, _source(cell))
            if found:
                return found[1]
    found = _CODE.search(path.stem.replace("_", " "))
    return found[1] if found else ""


def read_table(path: Path) -> list[Filled]:
    """Read answers from a table: typed from paper, or exported by a form.

    Parameters
    ----------
    path : pathlib.Path
        CSV or XLSX with a column ``code``; each other heading names a question by
        its printed number, such as ``2a`` or ``Question 2a``, or by its name.

    Returns
    -------
    list of Filled
        In the order of the table.

    Raises
    ------
    FileError
        If it cannot be read.
    TableError
        If there is no column of codes.
    """
    data = bytes_of(path)
    if data[:4] == b"PK\x03\x04":
        from bouncelab.readings.workbook import read_workbook

        records, _, _ = read_workbook(path, data, _with_codes)
    else:
        lines = decode(path, data).split("\n")
        first = next((line for line in lines if line.strip()), "")
        records = parse(lines, max(",;\t", key=first.count), list)
    _, start = _with_codes(records)
    if start < 0:
        headings = records[0].cells if records else ()
        raise TableError(
            what=path.name,
            read=", ".join(each for each in headings if each) or "no headings",
            allowed="a column named code, and one for each question, such as 1, 2a",
            do="Name the column that holds the sheets' codes: code.",
        )
    plain = [_heading(each) for each in records[start].cells]
    at = plain.index("code")
    filled = []
    for line, _, row in records[start + 1 :]:
        cells = [*row, *[""] * (len(plain) - len(row))]
        if not any(each.strip() for each in cells):
            continue
        answers = {
            heading: unguarded(_writable(cell[:_LONG]).strip())
            for heading, cell in zip(plain, cells, strict=False)
            if heading and heading not in ("code", "student", "name")
        }
        code = _as_printed(cells[at])
        filled.append(Filled(f"{path.name}, row {line}", code, answers))
    return filled


def _with_codes(records: Sequence[Record]) -> tuple[int, int]:
    """Say whether a sheet of a workbook has a column of codes, and in which line."""
    for place, each in enumerate(records):
        headings = [_heading(cell) for cell in each.cells]
        if "code" in headings:
            return len([one for one in headings if one]), place
    return 0, -1


def _as_printed(code: str) -> str:
    """Give a typed code as it stands on the sheet: K7QM3X-RD for k7qm3x rd."""
    letters = re.sub(r"[\W_]", "", code).upper()
    return f"{letters[:6]}-{letters[6:]}" if len(letters) == 8 else letters


def _heading(text: str) -> str:
    """Give a heading as a question's number or name: “Question 2a” is 2a."""
    bare = " ".join(text.split())
    found = re.search(r"(?<!\d)(\d{1,2}\s?[a-zA-Z]?)\b", bare)
    if re.fullmatch(r"(?i)(?:\w+ ){0,3}code(?: (?:of|on) (?:the|your) sheet)?", bare):
        return "code"
    if bare.casefold() in ("student", "name", "timestamp"):
        return "student"
    if found and re.match(r"(?i)(?:q(?:uestion)?\.?\s*)?\d", bare):
        return found[1].replace(" ", "").lower()
    return bare
